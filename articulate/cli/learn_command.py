"""`learn`: the band of the next run, given what the first one measured."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.answer import Shown, say
from articulate.cli.app import Answer, app, save
from articulate.cli.groups import grouped
from articulate.cli.options import Replace, Settings, VehicleFile
from articulate.cli.places import GatheringCommand
from articulate.cli.population_options import PossibleVehicles, progress_on_stderr, vehicles_tried
from articulate.cli.ramp_options import RangedRamp, sheet_says
from articulate.cli.reading import check_number, lengths_for, read_sheet, stop

if TYPE_CHECKING:
    from articulate.measure.run_sheet import RunSheet
    from articulate.spec import Estimate, VehicleSpec
    from articulate.studies.learn.readings import Evidence, LiftSeen
    from articulate.studies.population.conditions import Conditions
    from articulate.types import Case

SeenOptions = Annotated[
    list[str] | None,
    typer.Option(
        "--seen",
        metavar="WHAT=VALUE",
        help="At the end: roll='12 deg ± 0.5 deg', lifts='rear left', load.rear_right='2100 N ± 50 N'; at rest: "
        "flat_load.front_left=...; or a key of the file measured after all. Before roll, lifts, load: released. "
        "where it is of that run.",
    ),
]


@app.command(cls=GatheringCommand)
@grouped
def learn(
    *,
    context: typer.Context,
    vehicle: VehicleFile,
    connected: Annotated[
        str | None, typer.Option(help="Score measured with the bars connected, e.g. '587 ± 3' (limits).")
    ] = None,
    released: Annotated[str | None, typer.Option(help="Score measured with the bars released.")] = None,
    sheet: Annotated[Path | None, typer.Option(help="Run sheet to take scores and readings from.")] = None,
    seen: SeenOptions = None,
    points: Annotated[int, vehicles_tried("Possible vehicles to begin with.")] = 4096,
    drawn: PossibleVehicles,
    typed_ramp: RangedRamp,
    settings: Settings = None,
    output: Annotated[Path | None, typer.Option("--save", help="Write the vehicle file with what was learned.")] = None,
    replace: Replace = False,
    shown: Shown,
) -> None:
    """Update the band of the next run from what the first one measured.

    Example: articulate learn vehicle_specs_demo/wagon.toml --connected "601 ± 3"
    """
    faults: list[str] = []
    check_number("--points", points, 1024, 65536, 4096, faults)
    typed_ties, error = drawn.read(faults)
    if output is not None:
        _check_save(output, vehicle, settings, faults)
    side = typed_ramp.side
    typed = _Typed(side, faults)
    typed.score("--connected", connected, "connected")
    typed.score("--released", released, "released")
    if sheet is not None and (connected is not None or released is not None):
        faults.append("--sheet: it holds the scores; leave out --connected and --released")
    sheet_says(context, sheet, ("ramp_angle", "touch_load", "side"), faults)
    found = None if sheet is None else read_sheet(sheet, faults)
    from articulate.studies.learn.typed_seen import grammar_fault

    ramp, spec = typed_ramp.read_with(vehicle, settings, faults, list(filter(None, map(grammar_fault, seen or []))))
    from articulate.output.text.conditions import stated
    from articulate.output.text.learning import learning_data, learning_table
    from articulate.studies.learn.learned_file import LearnedFileError, band_of_file, learned_file
    from articulate.studies.learn.learning import learn as learn_from
    from articulate.studies.population.runs import cases_to_learn, simulate

    text = vehicle.read_text(encoding="utf-8-sig") if output is not None else ""
    conditions = ramp.conditions()
    if found is not None:
        conditions = typed.sheet(found, spec, conditions)
    people = drawn.of(vehicle, spec, conditions, typed_ties)
    for entry in seen or []:
        typed.see(entry, people.inputs, people.keys)
    if not typed.readings and not typed.seen and not typed.faults:
        typed.faults.append("nothing was measured: give --connected '587 ± 3', a --sheet or what was --seen")
    taken: tuple[Evidence | LiftSeen, ...] = (*typed.readings, *typed.seen)
    sides = [case.side for one in taken if (case := getattr(one, "case", None))]
    cases = cases_to_learn(spec, sides or (side,))
    typed.faults += [
        f"{one.label}: no bar of this vehicle can be released"
        for one in taken
        if (case := getattr(one, "case", None)) is not None and case not in cases
    ]
    if typed.faults:
        stop("\n".join(typed.faults))
    prior = simulate(people, cases, points, drawn.seed, progress_on_stderr("possible vehicles"))
    learned = learn_from(
        prior,
        typed.readings,
        typed.seen,
        error,
        seed=drawn.seed,
        progress=progress_on_stderr("vehicles like the one measured"),
    )
    saved = None
    problem = ""
    if output is not None and learned.explained:
        try:
            file = learned_file(text, learned)
            saved = (file, band_of_file(file, learned, seed=drawn.seed))
            itself = output.exists() and output.samefile(vehicle)
            save([Answer("--save", output, file.text)], replace)
            if itself:
                typed.remarks.append(
                    f"--save {output}: the vehicle file itself was replaced, as --replace asks; what each learned "
                    "input was before stands in its basis. Do not learn from the same readings again: they would "
                    "count twice"
                )
        except LearnedFileError as fault:
            problem = str(fault)
    elif output is not None:
        problem = "the readings are not explained by the file, so nothing was written"
    for remark in typed.remarks:
        typer.echo(f"note: {remark}", err=True)
    lengths = lengths_for(shown.units, [spec])
    driven, sheets = " and ".join(dict.fromkeys(sides or [side])), [] if found is None else [found]
    held = stated(conditions, driven, [spec], lengths=lengths, sheets=sheets)
    say(learning_table(learned, saved, shown.full, lengths), learning_data(learned, saved), shown.as_json, held)
    if problem:
        typer.echo(f"--save {output}: {problem}", err=True)
    if problem or not learned.explained:
        raise typer.Exit(1)


def _check_save(output: Path, vehicle: Path, settings: list[str] | None, faults: list[str]) -> None:
    """Note before the work where saving could not succeed."""
    if str(output) == "-":
        faults.append("--save -: the answer goes to standard output; name a file")
    if str(vehicle) == "-":
        faults.append(f"--save {output}: the vehicle came from standard input; name its file")
    if settings:
        faults.append(f"--save {output}: it keeps the file's text; write what is --set into the file first")


@dataclass
class _Typed:
    """Readings as typed, with all that is wrong with them."""

    side: str
    faults: list[str]

    def __post_init__(self) -> None:
        self.readings: list[Evidence] = []
        self.seen: list[LiftSeen] = []
        self.remarks: list[str] = []

    def case(self, bars: str) -> Case:
        from articulate.types import SIDES, Case

        return Case(self.side if self.side in SIDES else SIDES[0], bars)  # another side is refused with the ramp

    def score(self, option: str, text: str | None, bars: str) -> None:
        """A score with its limits, or with the assumed uncertainty."""
        if text is None:
            return
        from articulate.studies.learn.typed_score import score_reading
        from articulate.studies.typed import read_score

        read = read_score(option, text, self.faults)
        if read is None:
            return
        reading = score_reading(self.case(bars), read)
        if read.low == read.high:
            good = f"±{reading.standard_uncertainty:g} (one standard deviation, assumed)"
            self.remarks.append(f"{option} {text}: taken as good to {good}")
        self.readings.append(reading)

    def sheet(self, sheet: RunSheet, spec: VehicleSpec, conditions: Conditions) -> Conditions:
        """Everything of a run sheet that the model predicts too; the vehicle gives what it lacks for a score."""
        from articulate.measure.conversions import MissingRadiusError
        from articulate.measure.scoring import score_sheet
        from articulate.spec import UnphysicalError, build
        from articulate.studies.day.run_hints import disagreements, run_hints
        from articulate.studies.learn.sheet_readings import sheet_readings

        try:
            hints = run_hints(build(spec), sheet, spec.name)
            found = sheet_readings(score_sheet(sheet, hints), conditions)
        except (MissingRadiusError, UnphysicalError) as error:
            self.faults.append(f"{sheet.path}: {error}")
            return conditions
        self.remarks += disagreements(spec, sheet, hints)
        self.readings += found.readings
        self.seen += found.seen
        self.remarks += [f"{sheet.path}: {text}" for text in found.left_out]
        return found.conditions

    def see(self, entry: str, inputs: dict[str, Estimate], keys: tuple[str, ...]) -> None:
        """One --seen option."""
        from articulate.studies.learn.readings import LiftSeen
        from articulate.studies.learn.typed_seen import read_seen

        found = read_seen(entry, self.side, inputs, keys, self.faults)
        if isinstance(found, LiftSeen):
            self.seen.append(found)
        elif found is not None:
            self.readings.append(found)
