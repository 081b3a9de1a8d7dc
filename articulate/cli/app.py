"""The command's frame: the Typer app, and how its commands write what they answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from articulate.cli.places import JSON_WANTED, STDOUT
from articulate.cli.reading import stop

app = typer.Typer(
    pretty_exceptions_enable=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    context_settings={
        "color": True,  # or escapes of foreign text would be taken out unseen where a pipe reads
        "help_option_names": ["-h", "--help"],
    },
)


def _say_version(asked: bool) -> None:
    if asked:
        from articulate.output.stamp import program

        typer.echo(program())
        raise typer.Exit


@app.callback()
def root(
    version: Annotated[
        bool, typer.Option("--version", callback=_say_version, is_eager=True, help="Say which version this is.")
    ] = False,
) -> None:
    """Predict how far a vehicle climbs a ramp before a wheel unloads, and say why.

    The demo vehicles come with it: articulate demo lays them out in a folder.

    Example: articulate predict vehicle_specs_demo/wagon.toml
    """


def print_json(data: Mapping[str, object]) -> None:
    """Print plain data; a number JSON cannot hold is a mistake of ours."""
    import json

    JSON_WANTED.set(False)
    typer.echo(json.dumps(data, indent=2, allow_nan=False))


@dataclass(frozen=True)
class Answer:
    """A file that a command writes: the option that asked for it, where to (- prints it) and what it holds."""

    option: str
    path: Path
    content: str | bytes


def save(answers: Sequence[Answer], replace: bool) -> None:
    """Write all files of an answer, each whole, or none of them and stop; then print what goes to standard output."""
    from articulate.output.files import WriteError, write_all

    files = {answer.path: answer for answer in answers if str(answer.path) != STDOUT}
    try:
        write_all({path: answer.content for path, answer in files.items()}, replace)
    except WriteError as error:
        stop(f"{files[error.path].option} {error.path}: {error}")
    for answer in answers:
        if str(answer.path) == STDOUT:
            typer.echo(answer.content, nl=False)
