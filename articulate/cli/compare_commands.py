"""`compare`, `carry`: vehicles side by side, and a score on another ramp."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.app import AsJson, Replace, Settings, VehicleFile, app, load_spec, quantity, stop
from articulate.cli.figure_options import FigureFile, FigureMedium, check_figure, save_figure
from articulate.cli.ramp_options import (
    Csv,
    Output,
    RampAngle,
    RampLength,
    Side,
    TouchLoad,
    UnknownShare,
    read_score,
    show,
    uncertain_conditions,
)

if TYPE_CHECKING:
    from articulate.studies.comparison import Measured


def _measured(text: str) -> Measured:
    """Read `NAME=SCORE [± TOLERANCE][, WHEELBASE]`, or stop."""
    from articulate.studies.comparison import Measured

    name, separator, rest = (part.strip() for part in text.partition("="))
    if not separator or not name:
        stop(f"--measured {text}: write --measured 'Old wagon=587 ± 4' or 'Old wagon=587 ± 4, 2850 mm'")
    score, comma, wheelbase = (part.strip() for part in rest.partition(","))
    found = read_score(f"--measured {name} =", score)
    return Measured(name, found, quantity(f"--measured {name}=", wheelbase, "LENGTH") if comma else None)


def _from_sheet(path: Path, side: str, bars: str) -> Measured:
    """The score a run sheet gives for one side and state of the bars, or stop."""
    from articulate.measure.conversions import MissingRadiusError
    from articulate.measure.scoring import score_sheet
    from articulate.measure.sheet_load import load_sheet
    from articulate.spec import SpecError, UnphysicalError, build
    from articulate.studies.comparison import ComparisonError, Measured
    from articulate.studies.run_hints import run_hints

    try:
        sheet = load_sheet(path)
        hints = {}
        if sheet.vehicle_path is not None:
            hints = run_hints(build(load_spec(sheet.vehicle_path)), sheet, str(sheet.vehicle_path))
        return Measured.of_sheet(score_sheet(sheet, hints), side, bars)
    except (SpecError, ComparisonError) as error:
        stop(str(error))
    except (MissingRadiusError, UnphysicalError) as error:
        stop(f"{path}: {error}")


@app.command()
def compare(
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
    bars: Annotated[str, typer.Option(help="Bars connected or released.")] = "connected",
    settings: Settings = None,
    ramp_angle: RampAngle = "20 deg",
    side: Side = "left",
    touch_load: TouchLoad = "0 N",
    holding_share: UnknownShare = None,
    ramp_length: RampLength = None,
    samples: Annotated[int, typer.Option(min=64, max=65536, help="Possible vehicles a file.")] = 512,
    as_json: AsJson = False,
    csv: Csv = None,
    figure: FigureFile = None,
    medium: FigureMedium = "page",
    replace: Replace = False,
) -> None:
    """Rank vehicles, predicted or measured, with bands and the chance that one really beats another.

    --set, --tyre, --bars and the ramp are the same for all predicted vehicles.

    Example: articulate compare vehicle_specs_demo/wagon.toml vehicle_specs_demo/short_two_door.toml
    """
    from articulate.output.comparison_text import comparison_data, comparison_rows, comparison_table
    from articulate.output.figures.adapters import ranking_figure
    from articulate.spec import SpecError, UnphysicalError
    from articulate.studies.comparison import ComparisonError
    from articulate.studies.comparison import compare as put_side_by_side

    check_figure(figure, medium, replace)
    if not vehicles and not measured and not sheet:
        stop("compare needs vehicle files, run sheets with --sheet, or scores with --measured")
    if bars not in ("connected", "released"):
        stop(f"--bars {bars}: connected or released")
    if spacers is not None and tyre is None:
        stop("--spacers: goes with --tyre, which says for which tyre they are")
    conditions = uncertain_conditions(ramp_angle, side, touch_load, holding_share, ramp_length)
    scores = [_measured(text) for text in measured or []]
    scores += [_from_sheet(path, side, bars) for path in sheet or []]
    specs = [load_spec(path, settings) for path in vehicles or []]
    try:
        found = put_side_by_side(specs, scores, conditions, side, bars, tyre, spacers, samples)
    except SpecError as error:
        stop(str(error).replace("--set tyre.size=", "--tyre "))
    except (UnphysicalError, ComparisonError) as error:
        stop(str(error))
    save_figure(figure, medium, replace, lambda size: ranking_figure(found, size))
    show(comparison_table(found), comparison_data(found), comparison_rows(found), Output(as_json, csv, replace))
    if any(entry.score.value != entry.score.value for entry in found.entries):  # one without a score
        raise typer.Exit(1)


@app.command()
def carry(
    vehicle: VehicleFile,
    to: Annotated[str, typer.Option(help="Angle of the other ramp.")],
    measured: Annotated[str | None, typer.Option(help="Score from the day, bars connected: '587 ± 4'.")] = None,
    measured_released: Annotated[str | None, typer.Option(help="The same with the bars released.")] = None,
    settings: Settings = None,
    ramp_angle: RampAngle = "20 deg",
    side: Side = "left",
    touch_load: TouchLoad = "0 N",
    holding_share: UnknownShare = None,
    as_json: AsJson = False,
    csv: Csv = None,
    replace: Replace = False,
) -> None:
    """Carry a score from one ramp (--ramp-angle) to another (--to) by climbing both.

    Example: articulate carry vehicle_specs_demo/wagon.toml --to "23 deg" --measured "587 ± 4"
    """
    import math

    from articulate.output.carry_text import carry_data, carry_rows, carry_table
    from articulate.spec import UnphysicalError
    from articulate.studies.carry import CarryError
    from articulate.studies.carry import carry as carry_score

    conditions = uncertain_conditions(ramp_angle, side, touch_load, holding_share)
    angle = quantity("--to", to, "ANGLE")
    if not math.radians(5.0) - 1e-9 <= angle <= math.radians(35.0) + 1e-9:
        stop(f"--to {to}: outside 5 to 35 deg; write --to '23 deg'")
    scores = [
        read_score(option, text) if text is not None else None
        for option, text in (("--measured", measured), ("--measured-released", measured_released))
    ]
    spec = load_spec(vehicle, settings)
    try:
        found = carry_score(spec, angle, conditions, side, scores[0], scores[1])
    except UnphysicalError as error:
        stop(f"{vehicle}: {error}")
    except CarryError as error:
        stop(str(error), 1)
    show(carry_table(found), carry_data(found), carry_rows(found), Output(as_json, csv, replace))
