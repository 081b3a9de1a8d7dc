"""The command's frame: the Typer app, and how its commands write what they answer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, MutableMapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperGroup
from typer.main import get_group

from articulate.cli.places import JSON_WANTED, STDOUT
from articulate.cli.reading import stop

HOMES = {  # of each command, in the order of --help: the module that registers it with the app when it is imported
    "predict": "predict_command",
    "band": "band_commands",
    "score": "measure_commands",
    "run-sheet": "measure_commands",
    "learn": "learn_command",
    "audit": "audit_command",
    "explain": "explain_commands",
    "worth": "explain_commands",
    "timeline": "explain_commands",
    "target": "target_command",
    "blocks": "blocks_command",
    "compare": "compare_commands",
    "carry": "compare_commands",
    "tyre": "tyre_commands",
    "clearance": "tyre_commands",
    "ladder": "tyre_commands",
    "draw": "figure_commands",
    "animate": "figure_commands",
    "test-day": "report_commands",
    "report": "report_commands",
    "handover": "handover_commands",
    "receive": "handover_commands",
    "demo": "vehicle_commands",
    "template": "vehicle_commands",
    "check": "vehicle_commands",
    "schema": "vehicle_commands",
    "derive": "derive_command",
    "logbook": "logbook_commands",
}


class Commands(TyperGroup):
    """The commands by name, each loaded when it is asked for: one needs nothing of the others."""

    @property
    def commands(self) -> MutableMapping[str, Any]:
        """All of them."""
        self._load(HOMES)
        return self._loaded

    @commands.setter
    def commands(self, commands: MutableMapping[str, Any]) -> None:
        self._loaded = {name: commands[name] for name in [*HOMES, *commands] if name in commands}  # in order of --help

    def list_commands(self, ctx: Any) -> list[str]:
        """Every name, as `--help` has them."""
        return list(self.commands)  # loaded at once, since each will be asked for

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """A command, or None where there is no such name."""
        self._load([cmd_name] if cmd_name in HOMES else ())
        return self._loaded.get(cmd_name)

    def _load(self, names: Iterable[str]) -> None:
        missing = [name for name in names if name not in self._loaded]
        for home in dict.fromkeys(HOMES[name] for name in missing):
            import_module(f"articulate.cli.{home}")
        if missing:
            made = get_group(app)
            assert isinstance(made, Commands)
            self._loaded = {name: made._loaded[name] for name in HOMES if name in made._loaded}


app = typer.Typer(
    cls=Commands,
    pretty_exceptions_enable=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    context_settings={
        "color": True,  # or escapes of foreign text would be taken out unseen where a pipe reads
        "help_option_names": ["-h", "--help"],
        # Flags that are not typed are off: what is unknown is read with pydantic, which a command's help need not load.
        "default_map": dict.fromkeys(("help", "install_completion", "show_completion"), False),
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


@dataclass(frozen=True, eq=False, repr=False)
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
