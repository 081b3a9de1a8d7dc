"""`template`, `check`, `schema`: making and checking vehicle files."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from articulate.cli.app import Answer, Replace, VehicleFile, app, load_spec, save, stop
from articulate.cli.places import PlacedCommand


@app.command(cls=PlacedCommand)
def template(
    minimal: Annotated[bool, typer.Option("--minimal", help="Only what is needed; the rest is assumed.")] = False,
    output: Annotated[Path, typer.Option(help="File to write; - for standard output.")] = Path("-"),
    replace: Replace = False,
) -> None:
    """Write a commented vehicle file that runs as it is.

    Example: articulate template --output my_vehicle.toml
    """
    from articulate.spec import template as template_text

    text = template_text(minimal=minimal)
    save([Answer("--output", output, text)], replace)
    if str(output) == "-":
        return
    typer.echo(f"wrote {output}; try: articulate predict {output}", err=True)


@app.command(cls=PlacedCommand)
def check(vehicle: VehicleFile) -> None:
    """Report every fault of a vehicle file at once.

    Example: articulate check vehicle_specs_demo/wagon.toml
    """
    from articulate.output.drive_text import drive_line
    from articulate.spec import UnphysicalError, build

    spec = load_spec(vehicle)
    try:
        build(spec)
    except UnphysicalError as error:
        stop(f"{vehicle}: {error}")
    from articulate.output.roll_text import gradient_lines
    from articulate.studies.roll_range import roll_range

    typer.echo(f"{vehicle}: fine; {len(spec.inputs)} inputs, {len(spec.assumed())} of them assumed")
    typer.echo(gradient_lines(roll_range(spec)))
    typer.echo(drive_line(spec.drive))


@app.command(cls=PlacedCommand)
def schema() -> None:
    """Print the JSON Schema of the vehicle file, for editors.

    Example: articulate schema > vehicle.schema.json
    """
    import json

    from articulate.spec import vehicle_schema

    typer.echo(json.dumps(vehicle_schema(), indent=2))
