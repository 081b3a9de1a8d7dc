"""`band`: the scores with what the uncertainty of every input makes of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.app import AsJson, Replace, Settings, VehicleFile, app, load_spec, stop
from articulate.cli.conditions import (
    RampLength,
    Seed,
    Side,
    TieOptions,
    UncertainAngle,
    UncertainLoad,
    UncertainShare,
    Untied,
    progress_on_stderr,
    read_ties,
    uncertain_conditions,
)
from articulate.cli.figure_options import FigureFile, FigureMedium, check_figure, save_figure

if TYPE_CHECKING:
    from pathlib import Path

    from articulate.spec import VehicleSpec
    from articulate.studies.population import Conditions
    from articulate.studies.runs import Population

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
    from articulate.output.figures.adapters import band_figure
    from articulate.studies.band import band as band_of

    check_figure(figure, medium, replace)
    check_numbers({"--points": (points, 32, MOST_POINTS), "--seed": (seed, 0, 2**32 - 1)})
    conditions = uncertain_conditions(ramp_angle, side, touch_load, holding_share, ramp_length)
    typed = read_ties(tie, untied)
    spec = load_spec(vehicle, settings)
    people = population_or_stop(vehicle, spec, conditions, typed, untied)
    found = band_of(
        spec, conditions, side, points, seed, people.ties, thorough, progress_on_stderr("possible vehicles")
    )
    save_figure(figure, medium, replace, lambda size: band_figure(found, size))
    if as_json:
        import json

        typer.echo(json.dumps(band_data(found), indent=2, allow_nan=False))
    else:
        typer.echo(band_table(found))
    if any(case.failed for case in found.cases):
        raise typer.Exit(1)


def check_numbers(limits: dict[str, tuple[int, int, int]]) -> None:
    """Stop where a whole number is outside its limits."""
    faults = [
        f"{option} {value}: outside {low} to {high}"
        for option, (value, low, high) in limits.items()
        if not low <= value <= high
    ]
    if faults:
        stop("\n".join(faults))


def population_or_stop(
    vehicle: Path, spec: VehicleSpec, conditions: Conditions, typed: dict[tuple[str, str], float], untied: bool
) -> Population:
    """The population with the usual ties, unless they are left out, and those typed."""
    from articulate.spec import UnphysicalError, build
    from articulate.studies.population import all_inputs
    from articulate.studies.runs import population
    from articulate.studies.ties import TieError, usual_ties

    ties = {} if untied else usual_ties(all_inputs(spec, conditions))
    for one, other in typed:
        ties.pop((other, one), None)
    try:
        build(spec)
        return population(spec, conditions, {**ties, **typed})
    except TieError as error:
        stop(f"--tie {error}")
    except UnphysicalError as error:
        stop(f"{vehicle}: {error}")
