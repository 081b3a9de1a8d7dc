"""`band`: the scores with what the uncertainty of every input makes of them."""

from __future__ import annotations

from typing import Annotated

import typer

from articulate.cli.app import AsJson, Replace, Settings, VehicleFile, app, check_numbers, load_spec
from articulate.cli.figure_options import FigureFile, FigureMedium, check_figure, save_figure
from articulate.cli.population_options import (
    Seed,
    TieOptions,
    Untied,
    population_or_stop,
    progress_on_stderr,
    read_ties,
)
from articulate.cli.ramp_options import RampLength, Side, UncertainAngle, UncertainLoad, UncertainShare, read_ramp

MOST_POINTS = 65536


@app.command()
def band(
    vehicle: VehicleFile,
    points: Annotated[int, typer.Option(help="Possible vehicles, each with both bar states.")] = 1024,
    seed: Seed = 20,
    thorough: Annotated[
        bool, typer.Option("--thorough", help="Shares without a fitted polynomial: some 40 times the runs.")
    ] = False,
    ramp_angle: UncertainAngle = "20 deg",
    side: Side = "left",
    touch_load: UncertainLoad = "0 N",
    holding_share: UncertainShare = "0 to 1",
    ramp_length: RampLength = None,
    tie: TieOptions = None,
    untied: Untied = False,
    settings: Settings = None,
    as_json: AsJson = False,
    figure: FigureFile = None,
    medium: FigureMedium = "page",
    replace: Replace = False,
) -> None:
    """Predict both scores with their 90 % bands, and which input makes them wide.

    Example: articulate band vehicle_specs_demo/wagon.toml --touch-load "10 to 50 N"
    """
    from articulate.output.band_text import band_data, band_table
    from articulate.studies.band import band as band_of

    faults: list[str] = []
    check_figure(figure, medium, replace, faults)
    check_numbers({"--points": (points, 32, MOST_POINTS), "--seed": (seed, 0, 2**32 - 1)}, faults)
    typed = read_ties(tie, faults)
    conditions = read_ramp(faults, ramp_angle, side, touch_load, holding_share, ramp_length).conditions()
    spec = load_spec(vehicle, settings)
    people = population_or_stop(vehicle, spec, conditions, typed, untied)
    found = band_of(
        spec, conditions, side, points, seed, people.ties, thorough, progress_on_stderr("possible vehicles")
    )
    if figure is not None:
        from articulate.output.figures.adapters import band_figure

        save_figure(figure, medium, replace, lambda size: band_figure(found, size))
    if as_json:
        import json

        typer.echo(json.dumps(band_data(found), indent=2, allow_nan=False))
    else:
        typer.echo(band_table(found))
    if any(case.failed for case in found.cases):
        raise typer.Exit(1)
