"""`band`: the scores with what the uncertainty of every input makes of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.answer import say
from articulate.cli.app import (
    AsJson,
    Full,
    Replace,
    Settings,
    Units,
    VehicleFile,
    app,
    check_numbers,
    lengths_for,
    load_spec,
    save,
)
from articulate.cli.figure_options import FigureFile, FigureMedium, FigureTransparent, check_figure, drawn
from articulate.cli.places import AS_FILED, GatheringCommand
from articulate.cli.population_options import (
    USUAL_ERROR,
    ModelErrorOption,
    Seed,
    TieOptions,
    Untied,
    population_or_stop,
    progress_on_stderr,
    read_model_error,
    read_ties,
)
from articulate.cli.ramp_options import (
    Friction,
    RampLength,
    Side,
    UncertainAngle,
    UncertainLoad,
    UncertainShare,
    read_ramp,
)

MOST_POINTS = 65536

if TYPE_CHECKING:
    from articulate.output.figures.theme import Medium, Picture


@app.command(cls=GatheringCommand)
def band(
    vehicle: VehicleFile,
    points: Annotated[int, typer.Option(help="Possible vehicles, each with both bar states.")] = 1024,
    seed: Seed = 20,
    thorough: Annotated[
        bool, typer.Option("--thorough", help="Shares without a fitted polynomial: some 40 times the runs.")
    ] = False,
    model_error: ModelErrorOption = USUAL_ERROR,
    ramp_angle: UncertainAngle = "20 deg",
    side: Side = "left",
    touch_load: UncertainLoad = "0 N",
    holding_share: UncertainShare = "0 to 1",
    ramp_length: RampLength = None,
    friction: Friction = None,
    tie: TieOptions = None,
    untied: Untied = False,
    settings: Settings = None,
    full: Full = False,
    units: Units = AS_FILED,
    as_json: AsJson = False,
    figure: FigureFile = None,
    medium: FigureMedium = "page",
    transparent: FigureTransparent = False,
    replace: Replace = False,
) -> None:
    """Predict both scores with their 90 % bands, and which input makes them wide.

    Example: articulate band vehicle_specs_demo/wagon.toml --touch-load "10 to 50 N"
    """
    faults: list[str] = []
    check_figure(figure, medium, faults)
    check_numbers({"--points": (points, 32, MOST_POINTS), "--seed": (seed, 0, 2**32 - 1)}, faults)
    typed = read_ties(tie, faults)
    error = read_model_error(model_error, faults)
    ramp = read_ramp(faults, ramp_angle, side, touch_load, holding_share, ramp_length, friction=friction)
    spec = load_spec(vehicle, settings)
    from articulate.output.text.band import band_data, band_table
    from articulate.output.text.conditions import stated
    from articulate.studies.predict.band import band as band_of

    conditions = ramp.conditions()
    people = population_or_stop(vehicle, spec, conditions, typed, untied)
    found = band_of(
        spec, conditions, side, points, seed, people.ties, thorough, progress_on_stderr("possible vehicles"), error
    )

    def figure_of(medium: Medium, transparent: bool) -> Picture:
        from articulate.output.figures.adapters import band_figure  # the drawing library only where it draws

        return band_figure(found, medium, transparent)

    held = stated(conditions, side, [spec], lengths=lengths_for(units, [spec]))
    save(drawn(figure, medium, transparent, figure_of, held), replace)
    say(band_table(found, full), band_data(found), as_json, held)
    if any(case.failed for case in found.cases):
        raise typer.Exit(1)
