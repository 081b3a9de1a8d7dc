"""`score`, `run-sheet`: from the tape to a score."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from articulate.cli.app import (
    Answer,
    AsJson,
    Full,
    Replace,
    Strict,
    Units,
    app,
    lengths_for,
    load_spec,
    print_json,
    read_sheet,
    save,
    stop,
    stop_at,
)
from articulate.cli.places import AS_FILED, PlacedCommand

if TYPE_CHECKING:
    from articulate.measure.run_sheet import RunSheet
    from articulate.measure.scoring import SheetScores
    from articulate.measure.sheet_template import SheetHead
    from articulate.spec import VehicleSpec

MANY_RUNS = 12  # from here on it takes more than a second


@app.command(cls=PlacedCommand)
def score(
    sheet: Annotated[
        Path | None, typer.Argument(metavar="[SHEET]", help="Run sheet (TOML); - for standard input.")
    ] = None,
    mark_height: Annotated[list[str] | None, typer.Option(help="Mark squared from the ramp, over the flat.")] = None,
    slope_distance: Annotated[list[str] | None, typer.Option(help="That mark, along the ramp from its toe.")] = None,
    hub_height: Annotated[list[str] | None, typer.Option(help="Hub centre over the flat.")] = None,
    hub_rise: Annotated[list[str] | None, typer.Option(help="Hub height less that before the climb.")] = None,
    plumbed_mark_height: Annotated[
        list[str] | None, typer.Option(help="Point of the ramp plumb below the hub, over the flat.")
    ] = None,
    plumbed_mark_distance: Annotated[
        list[str] | None, typer.Option(help="That point, along the ramp from its toe.")
    ] = None,
    wheelbase: Annotated[str | None, typer.Option(help="Hub to hub, e.g. '2850 mm'; or that of --vehicle.")] = None,
    ramp_angle: Annotated[str | None, typer.Option(help="E.g. '20 deg ± 0.1 deg'.")] = None,
    side: Annotated[str | None, typer.Option(help="Front wheel on the ramp: left or right.")] = None,
    bars: Annotated[str | None, typer.Option(help="connected or released.")] = None,
    resolution: Annotated[str | None, typer.Option(help="What the tape is read to, e.g. '1/16 in'.")] = None,
    radius_on_flat: Annotated[str | None, typer.Option(help="Hub over the floor before the climb.")] = None,
    radius_on_ramp: Annotated[str | None, typer.Option(help="Hub to ramp, square to it, at the mark.")] = None,
    touch_load: Annotated[str | None, typer.Option(help="At which the film pulls out, '10 to 50 N'.")] = None,
    roll_back: Annotated[str | None, typer.Option(help="Between stopping and reading, '0 to 4 mm'.")] = None,
    vehicle: Annotated[Path | None, typer.Option(help="Vehicle file, for what the tape cannot tell.")] = None,
    seed: Annotated[int, typer.Option(min=0, help="Of the Monte Carlo check.")] = 20,
    strict: Strict = False,
    full: Full = False,
    units: Units = AS_FILED,
    as_json: AsJson = False,
) -> None:
    """Turn readings into a score with its uncertainty: a run sheet, or a single reading by options.

    Example: articulate score --mark-height "22 7/16 in" --wheelbase "2850 mm"
    """
    from articulate.measure.conversions import ReadingKind

    given = locals()
    readings: dict[str, Any] = {kind.value: given[kind.value] for kind in ReadingKind if given[kind.value]}
    rest = {
        "wheelbase": wheelbase,
        "ramp_angle": ramp_angle,
        "side": side,
        "bars": bars,
        "resolution": resolution,
        "radius_on_flat": radius_on_flat,
        "radius_on_ramp": radius_on_ramp,
        "touch_load": touch_load,
        "roll_back": roll_back,
    }
    typed = {**readings, **{name: value for name, value in rest.items() if value is not None}}
    if sheet is not None and typed:
        options = ", ".join(f"--{name.replace('_', '-')}" for name in typed)
        stop(f"{sheet}: a sheet says all of it, but {options} was given too; change the sheet, or leave it out")
    if sheet is None and wheelbase is None and vehicle is not None:
        typed["wheelbase"] = _wheelbase_of(load_spec(vehicle))
    named = vehicle is not None
    found = _sheet_of(sheet, named) if sheet is not None else _sheet_of_options(typed, readings, named)
    helped = vehicle or found.vehicle_path
    beside = None if helped is None else load_spec(helped)
    scores = _scored(found, beside, seed)
    if strict and scores.doubts:
        stop("\n".join(map(str, scores.doubts)))
    from articulate.output.text.measurement import score_data, score_table

    files = [] if beside is None else [beside]
    if as_json:
        print_json(score_data(scores, files))
    else:
        typer.echo(score_table(scores, full=full, lengths=lengths_for(units, [], found), beside=files))


@app.command("run-sheet", cls=PlacedCommand)
def run_sheet(
    vehicle: Annotated[
        Path | None, typer.Option(help="Vehicle file whose name, wheelbase, units and bars are put in.")
    ] = None,
    output: Annotated[Path, typer.Option(help="File to write; - for standard output.")] = Path("-"),
    replace: Replace = False,
) -> None:
    """Write a commented run sheet for both sides and bar states, its readings still empty.

    Example: articulate run-sheet --vehicle vehicle_specs_demo/wagon.toml --output my_sheet.toml
    """
    from articulate.measure.sheet_template import sheet_template

    text = sheet_template(None if vehicle is None else head_of(load_spec(vehicle), vehicle, output))
    save([Answer("--output", output, text)], replace)
    if str(output) != "-":
        typer.echo(f"wrote {output}; put in the day and the readings, then: articulate score {output}", err=True)


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


def _sheet_of(path: Path, with_vehicle: bool) -> RunSheet:
    faults: list[str] = []
    sheet = read_sheet(path, faults, with_vehicle=with_vehicle)
    stop_at(faults)
    assert sheet is not None
    return sheet


def _sheet_of_options(typed: dict[str, Any], readings: dict[str, Any], with_vehicle: bool) -> RunSheet:
    """The sheet of a single reading, read and checked like a file."""
    from articulate.measure.option_sheet import sheet_of_options
    from articulate.spec import SpecError

    if not readings:
        stop('nothing to score: give a run sheet, or --mark-height "22 7/16 in" --wheelbase "2850 mm"')
    if "wheelbase" not in typed:
        stop('--wheelbase is missing: a score needs it, e.g. --wheelbase "2850 mm"')
    try:
        return sheet_of_options(typed, with_vehicle=with_vehicle)
    except SpecError as error:
        stop(str(error))


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
