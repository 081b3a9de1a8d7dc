"""`tyre`, `clearance`, `ladder`: tyres, what they leave of the bodywork, and which size is best for the score."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.answer import Shown, say
from articulate.cli.app import Answer, app, print_json, save
from articulate.cli.figure_options import FigureOptions
from articulate.cli.groups import grouped
from articulate.cli.options import AsJson, Replace, Settings, Units, VehicleFile
from articulate.cli.places import AS_FILED, GatheringCommand, PlacedCommand
from articulate.cli.population_options import USUAL_ERROR, ModelErrorOption, read_model_error, vehicles_tried
from articulate.cli.ramp_options import ClearanceRamp, LadderRamp
from articulate.cli.reading import as_tyre_options, check_number, check_size, lengths_for, read_option, stop, stop_at
from articulate.output import figures

if TYPE_CHECKING:
    from articulate.spec import VehicleSpec

Size = Annotated[str | None, typer.Option("--tyre", metavar="SIZE", help="Other tyres, e.g. 285/75R17.")]
Pressure = Annotated[str | None, typer.Option(help="Tyre pressure, e.g. '18 psi'.")]


def _changed(spec: VehicleSpec, size: str | None, pressure: str | None, spacers: bool | None) -> VehicleSpec:
    """The vehicle on the tyres asked for, or stop."""
    from articulate.spec import SpecError
    from articulate.studies.design.tyre_change import change_tyres

    try:
        return change_tyres(spec, size, pressure, spacers)
    except SpecError as error:
        stop(as_tyre_options(error))


@app.command(cls=PlacedCommand)
def tyre(
    size: Annotated[str, typer.Argument(metavar="SIZE", help="Size code from the sidewall.")],
    pressure: Annotated[str, typer.Option(help="On the road.")] = "220 kPa",
    load: Annotated[str, typer.Option(help="On one tyre, e.g. '5500 N' or '560 kgf'.")] = "5500 N",
    diameter: Annotated[str | None, typer.Option(help="Unloaded, as measured, e.g. '798 mm ± 2 mm'.")] = None,
    units: Units = AS_FILED,
    as_json: AsJson = False,
) -> None:
    """Say what a tyre size means, and its loaded radius aired down.

    Example: articulate tyre "LT285/70R17 121/118S E" --pressure "36 psi"
    """
    from dataclasses import replace

    from articulate.output.text.tyre import tyre_data, tyre_table
    from articulate.spec.errors import QuantityError
    from articulate.spec.tyres import read_tyre_size
    from articulate.studies.design.tyre_facts import tyre_facts

    faults: list[str] = []
    found, measured = None, None
    try:
        found = read_tyre_size(size)
    except QuantityError as error:
        faults.append(f"{size}: {error}")
    at = read_option("--pressure", pressure, "PRESSURE", faults)
    if at is not None and not 3e4 <= at.value <= 8e5:
        faults.append(f"--pressure {pressure}: outside 30 to 800 kPa; write, for instance, '36 psi'")
    on = read_option("--load", load, "FORCE", faults)
    if on is not None and not 0.0 < on.value <= 30e3:
        faults.append(f"--load {load}: outside 0 to 30 kN; write, for instance, '5500 N'")
    read = read_option("--diameter", diameter, "LENGTH", faults) if diameter is not None else None
    if read is not None:
        if not 0.45 <= read.low <= read.high <= 1.5:
            faults.append(f"--diameter {diameter}: outside 450 to 1500 mm; write, for instance, '803 mm'")
        from articulate.studies.typed import as_given

        measured = replace(as_given("--diameter", read), source="measured")
    if found is not None and measured is not None and measured.low <= found.rim_diameter:
        faults.append(f"--diameter {diameter}: smaller than the rim of {size}; measure the unloaded tyre across")
    stop_at(faults)
    assert found is not None
    assert on is not None
    assert at is not None
    facts = tyre_facts(found, on.value, at.value, measured_diameter=measured)
    if as_json:
        print_json(tyre_data(facts))
    else:
        typer.echo(tyre_table(facts, lengths_for(units, [])))


@app.command(cls=GatheringCommand)
@grouped
def clearance(
    *,
    vehicle: VehicleFile,
    tyre_size: Size = None,
    pressure: Pressure = None,
    spacers: Annotated[
        bool | None,
        typer.Option("--spacers/--no-spacers", help="Fit stop spacers that keep the tyre clear, or leave the stops."),
    ] = None,
    typed: ClearanceRamp,
    ramp_width: Annotated[str, typer.Option(help="Of the ramp's lane, centred on the wheel.")] = "600 mm",
    settings: Settings = None,
    shown: Shown,
) -> None:
    """Say where tyre and bodywork touch: wheelhouse, angles, underside along the climb.

    Exit code 1 where something rubs, touches or does not fit.

    Example: articulate clearance vehicle_specs_demo/wagon.toml --tyre 285/75R17
    """
    from articulate.output.text.clearance import answers, clearance_data, clearance_table
    from articulate.output.text.conditions import stated
    from articulate.spec import UnphysicalError
    from articulate.studies.design.bodywork import clearance_report

    faults: list[str] = []
    width = read_option("--ramp-width", ramp_width, "LENGTH", faults)
    if width is not None and not 0.1 <= width.value <= 3.0:
        faults.append(f"--ramp-width {ramp_width}: outside 100 to 3000 mm; write, for instance, '600 mm'")
    if tyre_size is not None:
        check_size("--tyre", tyre_size, faults)
    if pressure is not None:
        read_option("--pressure", pressure, "PRESSURE", faults)
    (ramp, filed), side = typed.read_with(vehicle, settings, faults), typed.side
    assert width is not None
    spec = _changed(filed, tyre_size, pressure, spacers)
    try:
        report = clearance_report(spec, ramp.chosen(), side, width.value)
    except UnphysicalError as error:
        stop(error.said)
    lengths = lengths_for(shown.units, [spec])
    held = stated(ramp.chosen(), side, [spec], [f"ramp {lengths.one(width.value)} wide"], lengths)
    say(clearance_table(report, shown.full, lengths), clearance_data(report), shown.as_json, held)
    if any(finding.startswith("!") for finding in answers(report)):
        raise typer.Exit(1)


@app.command(cls=GatheringCommand)
@grouped
def ladder(
    *,
    vehicle: VehicleFile,
    sizes: Annotated[
        list[str] | None,
        typer.Option(metavar="SIZE", help="Tyre sizes, with commas or repeated; eight usual ones if not given."),
    ] = None,
    typed: LadderRamp,
    points: Annotated[int, vehicles_tried("Possible vehicles a size, 16 to 4096.")] = 256,
    model_error: ModelErrorOption = USUAL_ERROR,
    settings: Settings = None,
    csv: Annotated[Path | None, typer.Option(help="Write the ladder to this CSV file; - prints it.")] = None,
    figure: FigureOptions,
    shown: Shown,
    replace: Replace = False,
) -> None:
    """Climb on a list of tyre sizes, with and without stop spacers: which is best for the score.

    Example: articulate ladder vehicle_specs_demo/wagon.toml --sizes 255/70R17,285/70R17
    """
    from articulate.spec import SpecError, UnphysicalError

    asked = [part.strip() for entry in sizes or [] for part in entry.split(",") if part.strip()]
    faults: list[str] = []
    for code in asked:
        check_size("--sizes", code, faults)
    if sizes and not asked:
        faults.append("--sizes: no size is given; write, for instance, --sizes 265/70R17,285/70R17")
    check_number("--points", points, 16, 4096, 256, faults)
    figure.check(faults)
    model = read_model_error(model_error, faults)
    ramp, spec = typed.read_with(vehicle, settings, faults)
    from articulate.output.layout import csv_text
    from articulate.output.text.conditions import stated
    from articulate.output.text.tyre import ladder_data, ladder_rows, ladder_table
    from articulate.studies.design.tyre_ladder import tyre_ladder

    try:
        found = tyre_ladder(spec, list(dict.fromkeys(asked)) or None, ramp.chosen(), points, model=model)
    except (SpecError, UnphysicalError) as error:
        stop(error.said)
    lengths = lengths_for(shown.units, [spec])
    held = stated(ramp.chosen(), "left", [spec], lengths=lengths)
    files = figure.drawn(held, lambda *size: figures.ladder_figure(found, *size))
    if csv is not None:
        files.append(Answer("--csv", csv, csv_text(ladder_rows(found))))
    save(files, replace)
    if shown.as_json or str(csv) != "-":
        say(ladder_table(found, shown.full, lengths), ladder_data(found), shown.as_json, held)
