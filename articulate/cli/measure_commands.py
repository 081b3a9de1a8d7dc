"""`score`, `run-sheet`: from the tape to a score."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from articulate.cli.answer import Shown, TextFile
from articulate.cli.app import app, print_json
from articulate.cli.groups import grouped
from articulate.cli.options import Strict
from articulate.cli.places import GatheringCommand
from articulate.cli.population_options import USUAL_SEED, check_seed
from articulate.cli.reading import lengths_for, load_spec, read_sheet, read_spec, read_vehicle_of, stop, stop_at

if TYPE_CHECKING:
    from articulate.measure.run_sheet import RunSheet
    from articulate.measure.scoring import SheetScores
    from articulate.measure.sheet_template import SheetHead
    from articulate.spec import VehicleSpec

MANY_RUNS = 12  # from here on it takes more than a second


@dataclass(frozen=True)
class ReadingOptions:
    """A single climb as it was read, in place of a run sheet; a sheet's keys name the fields."""

    mark_height: Annotated[list[str] | None, typer.Option(help="Mark squared from the ramp, over the flat.")] = None
    slope_distance: Annotated[list[str] | None, typer.Option(help="That mark, along the ramp from its toe.")] = None
    hub_height: Annotated[list[str] | None, typer.Option(help="Hub centre over the flat.")] = None
    hub_rise: Annotated[list[str] | None, typer.Option(help="Hub height less that before the climb.")] = None
    plumbed_mark_height: Annotated[
        list[str] | None, typer.Option(help="Point of the ramp plumb below the hub, over the flat.")
    ] = None
    plumbed_mark_distance: Annotated[
        list[str] | None, typer.Option(help="That point, along the ramp from its toe.")
    ] = None
    wheelbase: Annotated[str | None, typer.Option(help="Hub to hub, e.g. '2850 mm'; or that of --vehicle.")] = None
    ramp_angle: Annotated[str | None, typer.Option(help="E.g. '20 deg ± 0.1 deg'.")] = None
    side: Annotated[str | None, typer.Option(help="Front wheel on the ramp: left or right.")] = None
    bars: Annotated[str | None, typer.Option(help="connected or released.")] = None
    resolution: Annotated[str | None, typer.Option(help="What the tape is read to, e.g. '1/16 in'.")] = None
    radius_on_flat: Annotated[str | None, typer.Option(help="Hub over the floor before the climb.")] = None
    radius_on_ramp: Annotated[str | None, typer.Option(help="Hub to ramp, square to it, at the mark.")] = None
    touch_load: Annotated[str | None, typer.Option(help="At which the film pulls out, '10 to 50 N'.")] = None
    roll_back: Annotated[str | None, typer.Option(help="Between stopping and reading, '0 to 4 mm'.")] = None

    def typed(self) -> dict[str, Any]:
        """What was typed, by its key in a run sheet."""
        return {name: value for name, value in vars(self).items() if value not in (None, [])}


@app.command(cls=GatheringCommand)
@grouped
def score(
    *,
    sheet: Annotated[
        Path | None, typer.Argument(metavar="[SHEET]", help="Run sheet (TOML); - for standard input.")
    ] = None,
    read: ReadingOptions,
    vehicle: Annotated[Path | None, typer.Option(help="Vehicle file, for what the tape cannot tell.")] = None,
    seed: Annotated[int, typer.Option(help="Of the Monte Carlo check.")] = USUAL_SEED,
    strict: Strict = False,
    shown: Shown,
) -> None:
    """Turn readings into a score with its uncertainty: a run sheet, or a single reading by options.

    Example: articulate score --mark-height "22 7/16 in" --wheelbase "2850 mm"
    """
    typed, faults = read.typed(), list[str]()
    check_seed(seed, faults)
    beside = None if vehicle is None else read_spec(vehicle, None, faults)
    if sheet is None:
        if beside is not None:
            typed.setdefault("wheelbase", _wheelbase_of(beside))
        found = _sheet_of_options(typed, vehicle is not None, faults)
    else:
        if typed:
            options = ", ".join(f"--{name.replace('_', '-')}" for name in typed)
            said = "a sheet says all of it, but"
            faults.append(f"{sheet}: {said} {options} was given too; change the sheet, or leave it out")
        found = read_sheet(sheet, faults, with_vehicle=vehicle is not None)
    if beside is None and found is not None:
        beside = read_vehicle_of(found, faults)
    stop_at(faults)
    assert found is not None
    scores = _scored(found, beside, seed)
    if strict and scores.doubts:
        stop("\n".join(map(str, scores.doubts)))
    from articulate.output.text.measurement import score_data, score_table

    files = [] if beside is None else [beside]
    if shown.as_json:
        print_json(score_data(scores, files))
    else:
        lengths = lengths_for(shown.units, [], found)
        typer.echo(score_table(scores, full=shown.full, lengths=lengths, beside=files))


@app.command("run-sheet", cls=GatheringCommand)
@grouped
def run_sheet(
    *,
    vehicle: Annotated[
        Path | None, typer.Option(help="Vehicle file whose name, wheelbase, units and bars are put in.")
    ] = None,
    file: TextFile,
) -> None:
    """Write a commented run sheet for both sides and bar states, its readings still empty.

    Example: articulate run-sheet --vehicle vehicle_specs_demo/wagon.toml --output my_sheet.toml
    """
    from articulate.measure.sheet_template import sheet_template

    head = None if vehicle is None else head_of(load_spec(vehicle), vehicle, file.output)
    file.write(sheet_template(head), "put in the day and the readings, then: articulate score")


def head_of(spec: VehicleSpec, vehicle: Path, output: Path) -> SheetHead:
    """What a vehicle, read from a file, says of a sheet that is written to a place."""
    import os

    from articulate.measure.sheet_template import SheetHead

    folder = Path() if str(output) == "-" else output.parent
    seen = "" if str(vehicle) == "-" else Path(os.path.relpath(vehicle, folder)).as_posix()
    return SheetHead(
        vehicle=spec.name,
        vehicle_file=seen,
        wheelbase=_wheelbase_of(spec),
        in_inches=spec.inputs["wheelbase"].unit in ("in", "ft"),
        releasable=any(axle.bar_releasable for axle in spec.axles),
    )


def _wheelbase_of(spec: VehicleSpec) -> str:
    """A vehicle file's wheelbase as a run sheet would have it, in the file's unit."""
    length = spec.inputs["wheelbase"]
    half, unit, size = 0.5 * (length.high - length.low), length.unit, length.unit_size
    return f"{length.value / size:.6g} {unit}" + (f" ± {half / size:.3g} {unit}" if half else "")


def _progress(text: str, *, last: bool, of: bool) -> None:
    """Progress on stderr, where a person watches."""
    import sys

    if of and sys.stderr.isatty():
        typer.echo(text + ("\n" if last else ""), err=True, nl=False)


def _sheet_of_options(typed: dict[str, Any], with_vehicle: bool, faults: list[str]) -> RunSheet | None:
    """The sheet of a single reading, read and checked like a file; what is wrong goes to the faults."""
    from articulate.measure.conversions import ReadingKind
    from articulate.measure.option_sheet import sheet_of_options
    from articulate.spec import SpecError

    if not any(kind.value in typed for kind in ReadingKind):
        faults.append('nothing to score: give a run sheet, or --mark-height "22 7/16 in" --wheelbase "2850 mm"')
    elif "wheelbase" not in typed and not with_vehicle:
        faults.append('--wheelbase is missing: a score needs it, e.g. --wheelbase "2850 mm"')
    elif "wheelbase" in typed:
        try:
            return sheet_of_options(typed, with_vehicle=with_vehicle)
        except SpecError as error:
            faults += error.said
    return None


def _scored(sheet: RunSheet, vehicle: VehicleSpec | None, seed: int) -> SheetScores:
    """Scores of a sheet, or stop."""
    from articulate.measure.conversions import MissingRadiusError
    from articulate.measure.scoring import score_sheet
    from articulate.spec import UnphysicalError

    _progress(f"{len(sheet.runs)} runs ...", last=True, of=len(sheet.runs) > MANY_RUNS)
    try:
        if vehicle is None:
            return score_sheet(sheet, seed=seed)
        from articulate.studies.day.run_hints import hints_and_remarks  # the model only where there is a vehicle

        hints, remarks = hints_and_remarks(vehicle, sheet)
        return score_sheet(sheet, hints, seed=seed, remarks=remarks)
    except (MissingRadiusError, UnphysicalError) as error:
        stop(f"{sheet.path}: {error}")
