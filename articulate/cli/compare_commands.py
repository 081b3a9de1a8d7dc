"""`compare`, `carry`: vehicles side by side, and a score on another ramp."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.answer import Output, show
from articulate.cli.app import app
from articulate.cli.figure_options import FigureOptions
from articulate.cli.groups import grouped
from articulate.cli.options import BarsOfRun, Settings, VehicleFile
from articulate.cli.places import GatheringCommand
from articulate.cli.population_options import USUAL_ERROR, ModelErrorOption, read_model_error
from articulate.cli.ramp_options import CarriedRamp, RampOfPossible, check_bars
from articulate.cli.reading import (
    as_tyre_options,
    check_number,
    check_size,
    lengths_for,
    names_apart,
    read_option,
    read_sheet,
    read_spec,
    read_vehicle_of,
    stop,
    stop_at,
    told_apart,
)
from articulate.output import figures

if TYPE_CHECKING:
    from articulate.measure.run_sheet import RunSheet
    from articulate.studies.compare.comparison import Measured


SheetsLoad = Annotated[
    str | None, typer.Option(help="Load at which a wheel counts as unloaded; that of the first --sheet, else 0 N.")
]


@dataclass(frozen=True)
class ComparedRamp(RampOfPossible):
    """The ramp of a comparison, whose touch load may come from a run sheet."""

    touch_load: SheetsLoad = None  # type: ignore[assignment]


SHORTEST_WHEELBASE, LONGEST_WHEELBASE = 1.2, 6.5  # [m], as in a vehicle file


def _measured(text: str, faults: list[str]) -> list[Measured]:
    """Read `NAME=SCORE [± TOLERANCE][, WHEELBASE]`; empty where something is wrong, which goes to the faults."""
    from articulate.studies.compare.comparison import Measured
    from articulate.studies.typed import as_given, read_score

    name, separator, rest = (part.strip() for part in text.partition("="))
    if not separator or not name:
        works = "write --measured 'Old wagon=587 ± 4' or 'Old wagon=587 ± 4, 2850 mm'"
        sheet = f"; a run sheet joins with --sheet {text}" if text.endswith(".toml") else ""
        faults.append(f"--measured {text}: {works}{sheet}")
        return []
    option = f"--measured {name}="
    score, comma, wheelbase = (part.strip() for part in rest.partition(","))
    found = read_score(option, score, faults)
    length = read_option(option, wheelbase, "LENGTH", faults) if comma else None
    if length is not None and not SHORTEST_WHEELBASE <= length.value <= LONGEST_WHEELBASE:
        works = f"write --measured '{name}={score}, 2850 mm'"
        faults.append(f"--measured {text}: {wheelbase} is outside 1200 to 6500 mm, no wheelbase; {works}")
    if found is None or (comma and length is None):
        return []
    return [Measured(name, as_given(option, found), None if length is None else length.value)]


def _from_sheet(path: Path, sheet: RunSheet, side: str, bars: str, touch_load: float) -> Measured:
    """The score a run sheet gives for one side and state of the bars, at the comparison's touch load [N], or stop."""
    from articulate.measure.conversions import MissingRadiusError
    from articulate.measure.scoring import score_sheet
    from articulate.spec import UnphysicalError, build
    from articulate.studies.compare.comparison import ComparisonError, Measured
    from articulate.studies.day.run_hints import run_hints

    faults: list[str] = []
    beside = read_vehicle_of(sheet, faults)
    stop_at(faults)
    try:
        hints = {} if beside is None else run_hints(build(beside), sheet, beside.path)
        return Measured.of_sheet(score_sheet(sheet, hints, carried_to=touch_load), side, bars, touch_load)
    except ComparisonError as error:
        stop(str(error))
    except (MissingRadiusError, UnphysicalError) as error:
        stop(f"{path}: {error}")


@app.command(cls=GatheringCommand)
@grouped
def compare(
    *,
    vehicles: Annotated[
        list[Path] | None, typer.Argument(metavar="VEHICLES...", help="Vehicle files (TOML), as many as you like.")
    ] = None,
    measured: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME=SCORE", help="A score from the day: 'Old wagon=587 ± 4, 2850 mm' (wheelbase)."),
    ] = None,
    sheet: Annotated[
        list[Path] | None, typer.Option(metavar="SHEET", help="Run sheet whose score on --side, with --bars, joins.")
    ] = None,
    tyre: Annotated[str | None, typer.Option(help="Put all on one tyre size, e.g. 265/70R17.")] = None,
    spacers: Annotated[
        bool | None, typer.Option("--spacers/--no-spacers", help="With --tyre: stops that keep it clear, or as fitted.")
    ] = None,
    bars: BarsOfRun = "connected",
    settings: Settings = None,
    typed: ComparedRamp,
    samples: Annotated[int, typer.Option("--samples", "--points", help="Possible vehicles a file.")] = 512,
    model_error: ModelErrorOption = USUAL_ERROR,
    how: Output,
    figure: FigureOptions,
) -> None:
    """Rank vehicles, predicted or measured, with bands and the chance that one really beats another.

    --set, --tyre, --bars and the ramp are the same for all predicted vehicles.

    Example: articulate compare vehicle_specs_demo/wagon.toml vehicle_specs_demo/short_two_door.toml
    """
    faults: list[str] = []
    figure.check(faults)
    if not vehicles and not measured and not sheet:
        faults.append("compare needs vehicle files, run sheets with --sheet, or scores with --measured")
    check_bars(bars, faults)
    model = read_model_error(model_error, faults)
    if spacers is not None and tyre is None:
        faults.append("--spacers: goes with --tyre, which says for which tyre they are")
    if tyre is not None:
        check_size("--tyre", tyre, faults)
    check_number("--samples", samples, 64, 65536, 512, faults)
    scores = [score for text in measured or [] for score in _measured(text, faults)]
    sheets = [(path, read_sheet(path, faults)) for path in sheet or []]
    loads = [one.nominal_touch_load for _, one in sheets if one is not None]
    usual_load = f"{loads[0]:.6g} N" if loads else "0 N"
    read = [read_spec(path, settings, faults) for path in vehicles or []]
    ramp, side = replace(typed, touch_load=typed.touch_load or usual_load).read(faults), typed.side
    specs = told_apart([spec for spec in read if spec is not None])
    read_from = [(path, one) for path, one in sheets if one is not None]
    taken = [_from_sheet(path, one, side, bars, ramp.touch_load.value) for path, one in read_from]
    names = names_apart([(one.name, str(path)) for one, (path, _) in zip(taken, read_from, strict=True)])
    scores += [replace(one, name=name) for one, name in zip(taken, names, strict=True)]
    from articulate.output.text.comparison import comparison_data, comparison_rows, comparison_table
    from articulate.output.text.conditions import stated
    from articulate.spec import SpecError, UnphysicalError
    from articulate.studies.compare.comparison import ComparisonError
    from articulate.studies.compare.comparison import compare as put_side_by_side

    try:
        found = put_side_by_side(specs, scores, ramp.conditions(), side, bars, tyre, spacers, samples, model=model)
    except SpecError as error:
        stop(as_tyre_options(error))
    except UnphysicalError as error:
        stop(error.said)
    except ComparisonError as error:
        stop(str(error))

    lengths = lengths_for(how.units, specs)
    held = stated(
        ramp.conditions(), side, specs, [f"bars {bars}", *found.terms], lengths, [one for _, one in read_from]
    )
    drawn = figure.drawn(held, lambda *size: figures.ranking_figure(found, *size))
    table = comparison_table(found, how.full, lengths)
    show(table, comparison_data(found), comparison_rows(found), how, held, drawn)
    if any(entry.score.value != entry.score.value for entry in found.entries):  # one without a score
        raise typer.Exit(1)


@app.command(cls=GatheringCommand)
@grouped
def carry(
    *,
    vehicle: VehicleFile,
    to: Annotated[str, typer.Option(help="Angle of the other ramp.")],
    measured: Annotated[str | None, typer.Option(help="Score from the day, bars connected: '587 ± 4'.")] = None,
    measured_released: Annotated[str | None, typer.Option(help="The same with the bars released.")] = None,
    settings: Settings = None,
    typed: CarriedRamp,
    model_error: ModelErrorOption = USUAL_ERROR,
    how: Output,
) -> None:
    """Carry a score from one ramp (--ramp-angle) to another (--to) by climbing both.

    Example: articulate carry vehicle_specs_demo/wagon.toml --to "23 deg" --measured "587 ± 4"
    """
    faults: list[str] = []
    from articulate.studies.typed import read_ramp_angle, read_scores

    angle = read_ramp_angle("--to", to, "write --to '23 deg'", faults)
    model = read_model_error(model_error, faults)
    scores_typed = {"connected": ("--measured", measured), "released": ("--measured-released", measured_released)}
    scores = read_scores(scores_typed, faults)
    (ramp, spec), side = typed.read_with(vehicle, settings, faults), typed.side
    assert angle is not None
    from articulate.output.text.carry import carry_data, carry_rows, carry_table
    from articulate.output.text.conditions import stated
    from articulate.spec import UnphysicalError
    from articulate.studies.compare.carry import CarryError
    from articulate.studies.compare.carry import carry as carry_score

    try:
        found = carry_score(spec, angle.value, ramp.conditions(), side, scores, model=model)
    except UnphysicalError as error:
        stop(error.said)
    except CarryError as error:
        stop(str(error), 1)
    lengths = lengths_for(how.units, [spec])
    held = stated(ramp.conditions(), side, [spec], [f"carried to a ramp of {math.degrees(angle.value):g} deg"], lengths)
    show(carry_table(found, how.full, lengths), carry_data(found), carry_rows(found), how, held)
