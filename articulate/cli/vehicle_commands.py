"""`demo`, `template`, `check`, `schema`: making and checking vehicle files."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from articulate.cli.answer import TextFile
from articulate.cli.app import Answer, app, print_json, save
from articulate.cli.groups import grouped
from articulate.cli.options import AsJson, Replace, Strict, VehicleFile
from articulate.cli.places import PlacedCommand
from articulate.cli.reading import load_spec, stop, stop_if_doubtful
from articulate.demo_files import FOLDER, demo_files


@app.command(cls=PlacedCommand)
def demo(
    folder: Annotated[Path, typer.Argument(help="Folder to lay them out in; made if it is not there.")] = Path(FOLDER),
    replace: Replace = False,
) -> None:
    """Lay out the demo vehicles and run sheets, which the examples of all commands use.

    Example: articulate demo
    """
    from contextlib import ExitStack

    from articulate.output.files import folder_for_files

    with ExitStack() as made:
        try:
            texts = demo_files()
            for place in {(folder / name).parent for name in texts}:
                made.enter_context(folder_for_files(place))
        except OSError as error:
            stop(f"{folder}: {error.strerror or error}; name a folder that can be written")
        save([Answer("demo", folder / name, text) for name, text in texts.items()], replace)
    typer.echo(f"laid out {len(texts)} files; try: articulate predict {folder / 'wagon.toml'}")


@app.command(cls=PlacedCommand)
@grouped
def template(
    *,
    minimal: Annotated[bool, typer.Option("--minimal", help="Only what is needed; the rest is assumed.")] = False,
    file: TextFile,
) -> None:
    """Write a commented vehicle file that runs as it is.

    Example: articulate template --output my_vehicle.toml
    """
    from articulate.spec import template as template_text

    file.write(template_text(minimal=minimal), "try: articulate predict")


@app.command(cls=PlacedCommand)
def check(
    vehicle: VehicleFile,
    strict: Strict = False,
    assumed: Annotated[
        bool, typer.Option("--assumed", help="List all that the file leaves to be assumed, and what each rests on.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Report every fault of a vehicle file at once, and ask about what looks unlike what is meant.

    Example: articulate check vehicle_specs_demo/wagon.toml
    """
    from articulate.output.layout import HASH_SHOWN, doubt_lines, remark_lines, wrapped
    from articulate.output.text.arch import arch_first
    from articulate.output.text.assumed import assumed_lines
    from articulate.output.text.drive import drive_line
    from articulate.spec import UnphysicalError, build
    from articulate.spec.plausibility import doubts

    spec = load_spec(vehicle)
    try:
        build(spec)
    except UnphysicalError as error:
        stop(error.said)
    from articulate.output.text.checked import checked_data
    from articulate.output.text.roll import gradient_lines
    from articulate.studies.predict.roll_range import roll_range

    if strict:
        stop_if_doubtful(spec)
    asked, turn = doubts(spec), roll_range(spec)
    if as_json:
        print_json(checked_data(spec, turn, asked))
        return
    counts = f"{len(spec.inputs)} inputs, {len(spec.assumed())} of them assumed"
    typer.echo(f"{vehicle}: {f'can be used; {len(asked)} to look at again' if asked else 'fine'}; {counts}")
    typer.echo(gradient_lines(turn))
    typer.echo(drive_line(spec.drive))
    typer.echo(f"sha256 {spec.text_hash[:HASH_SHOWN]}")
    for text in arch_first(spec):
        typer.echo(wrapped(f"! {text}"))
    for line in (*doubt_lines(asked), *remark_lines(spec), *(["", *assumed_lines(spec)] if assumed else [])):
        typer.echo(line)


@app.command(cls=PlacedCommand)
def schema(
    of: Annotated[
        str | None,
        typer.Option("--of", metavar="COMMAND", help="Instead, that of what a command prints with --json."),
    ] = None,
) -> None:
    """Print the JSON Schema of the vehicle file, for editors, or of the data of a command, for programs.

    --of takes a command's name, such as predict or "logbook show", and refusal: what any of them prints instead.

    Example: articulate schema --of predict
    """
    import json

    typer.echo(json.dumps(_schema_of_file() if of is None else _schema_of_data(of), indent=2))


def _schema_of_file() -> dict[str, Any]:
    from articulate.spec import vehicle_schema

    return vehicle_schema()


def _schema_of_data(command: str) -> dict[str, Any]:
    from articulate.output.command_data import NoDataError, command_schema

    try:
        return command_schema(command)
    except NoDataError as error:
        stop(f"--of {command}: {error}")
