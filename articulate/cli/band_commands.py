"""`band`: the scores with what the uncertainty of every input makes of them."""

from __future__ import annotations

from typing import Annotated

import typer

from articulate.cli.answer import Shown, figures_in_text, say
from articulate.cli.app import app, save
from articulate.cli.figure_options import FigureOptions
from articulate.cli.groups import grouped
from articulate.cli.options import Replace, Settings, VehicleFile
from articulate.cli.places import GatheringCommand
from articulate.cli.population_options import PossibleVehicles, progress_on_stderr, vehicles_tried
from articulate.cli.ramp_options import RangedRamp
from articulate.cli.reading import check_number, lengths_for
from articulate.output import figures

MOST_POINTS = 65536


@app.command(cls=GatheringCommand)
@grouped
def band(
    *,
    vehicle: VehicleFile,
    points: Annotated[int, vehicles_tried("Possible vehicles, each with both bar states.")] = 1024,
    thorough: Annotated[
        bool, typer.Option("--thorough", help="Shares without a fitted polynomial: some 40 times the runs.")
    ] = False,
    drawn: PossibleVehicles,
    typed: RangedRamp,
    settings: Settings = None,
    shown: Shown,
    figure: FigureOptions,
    replace: Replace = False,
) -> None:
    """Predict both scores with their 90 % bands, and which input makes them wide.

    Example: articulate band vehicle_specs_demo/wagon.toml --touch-load "10 to 50 N"
    """
    faults: list[str] = []
    figure.check(faults)
    check_number("--points", points, 32, MOST_POINTS, 1024, faults)
    ties, error = drawn.read(faults)
    (ramp, spec), side = typed.read_with(vehicle, settings, faults), typed.side
    from articulate.output.text.band import band_data, band_table
    from articulate.output.text.conditions import stated
    from articulate.studies.predict.band import band as band_of

    conditions = ramp.conditions()
    people = drawn.of(vehicle, spec, conditions, ties)
    progress = progress_on_stderr("possible vehicles")
    found = band_of(people, side, points, drawn.seed, thorough, progress, error)
    held = stated(conditions, side, [spec], lengths=lengths_for(shown.units, [spec]))
    save(figure.drawn(held, lambda *size: figures.band_figure(found, *size)), replace)
    say(band_table(found, shown.full), band_data(found), shown.as_json, held)
    if not shown.as_json:
        figures_in_text([], found.cases, side)
    if any(case.failed for case in found.cases):
        raise typer.Exit(1)
