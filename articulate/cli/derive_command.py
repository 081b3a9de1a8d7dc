"""`derive`: the closed forms and their numbers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from articulate.cli.app import app
from articulate.cli.places import PlacedCommand
from articulate.cli.reading import load_spec, stop


@app.command(cls=PlacedCommand)
def derive(
    name: Annotated[str, typer.Argument(help="Which closed form; without it, the list.")] = "",
    vehicle: Annotated[Path | None, typer.Option(help="Vehicle file whose numbers are put in.")] = None,
) -> None:
    """Show how a closed form follows from its premises, and its value for a vehicle.

    Example: articulate derive mark-height --vehicle vehicle_specs_demo/wagon.toml
    """
    from articulate.closed_forms import UnknownDerivationError, derivation_names
    from articulate.closed_forms import derive as derivation_of
    from articulate.closed_forms.rendering import render

    if not name:
        typer.echo("\n".join(derivation_names()))
        return
    try:
        derivation = derivation_of(name)
    except UnknownDerivationError as error:
        stop(str(error))
    derivation.verify()
    numbers, held = None, ""
    if vehicle is not None:
        from articulate.model.ramp_test import ramp_test
        from articulate.output.text.conditions import condition_lines, stated
        from articulate.prediction import predict as predict_vehicle
        from articulate.spec import build
        from articulate.studies.population.conditions import Conditions
        from articulate.worked_numbers import takes_numbers, worked_numbers

        if not takes_numbers(derivation.name):
            stop(f"--vehicle {vehicle}: '{derivation.name}' is not about a whole vehicle; leave --vehicle out")
        spec = load_spec(vehicle)
        arrays, test = build(spec), ramp_test(1)
        held = "\n".join(["", *condition_lines(stated(Conditions(), "left", [spec])), ""])
        numbers = worked_numbers(derivation.name, arrays, test, predict_vehicle(arrays, test))
    typer.echo(render(derivation, numbers) + held, nl=False)
