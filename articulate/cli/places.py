"""What every command refuses before it does anything: places it cannot write its answers to, values that are none."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextvars import ContextVar
from pathlib import Path
from typing import Any, NoReturn

import typer
from typer.core import TyperCommand

STDIN = STDOUT = "-"
WRITTEN = (
    "output",
    "csv",
    "figure",
    "markdown",
    "trace",
    "ramp_page",
    "page",
    "words",
)  # parameters that name a file to write
AS_FILED = "as filed"  # units of lengths: both, those of the file first
KINDS_OF_UNITS = ("metric", "imperial", "both")
NEVER_TOML = ("csv", "figure", "markdown", "trace", "ramp_page", "page", "words")
MISUSED: Any = typer.BadParameter.__mro__[1]  # what the parser raises at all that it cannot read
_PARSER_SAYS = "Input should be"
_NUMBERS = {  # by the parser's message
    "valid integer": "not a whole number such as 256",
    "valid number": "not a number such as 0.5 or 600",
}
_PUT_IN = {"path": "FILE", "int": "N", "float": "NUMBER"}  # by the parser's name of the type
OWN_VEHICLE = ("--save", "vehicle")  # the one file that may take the place of one it was made from: on --replace

JSON_WANTED: ContextVar[bool] = ContextVar("json_wanted", default=False)
"""Whether the answer was asked for as data and has not been printed yet: then a refusal is data too."""

REFUSED: ContextVar[tuple[str, ...]] = ContextVar("refused", default=())
"""Why answers of the running command could not be written; `reading.stop_at` says it with all else that is wrong."""


def refuse(text: str | Sequence[str], code: int = 2) -> NoReturn:
    """Say what is wrong on standard error, a line each, and leave; with --json as data on standard output too."""
    lines = text.split("\n") if isinstance(text, str) else text
    typer.echo("\n".join(lines), err=True)
    _say_as_data(lines, code)
    raise typer.Exit(code)


def _say_as_data(lines: Sequence[str], code: int) -> None:
    """What is wrong as data on standard output, where data was asked for."""
    if JSON_WANTED.get():
        import json

        from articulate.output.refusal import refusal_data

        typer.echo(json.dumps(refusal_data(lines, code), indent=2))


class PlacedCommand(TyperCommand):
    """A command that refuses the places of its answers before it does anything."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read the words typed; a number that cannot be read is refused as everything else is."""
        typed = list(args)
        JSON_WANTED.set("--json" in typed)
        try:
            rest = super().parse_args(ctx, args)
            ctx.params = {name: _as_meant(value) for name, value in ctx.params.items()}
            if any("\n" in str(one) for value in ctx.params.values() for one in _each(value) if isinstance(one, Path)):
                refuse("a file name with a line break would read as two lines; rename the file")
            return rest
        except typer.BadParameter as error:
            param = error.param
            read = _as_typed(param.opts, typed) if param is not None else ""
            if param is None or not read or not error.message.startswith(_PARSER_SAYS):
                _say_as_data([error.format_message()], error.exit_code)
                raise
            why = next((words for part, words in _NUMBERS.items() if part in error.message), "")
            why = why or error.message.replace(_PARSER_SAYS, "it has to be")
            usual = f"; {param.default:g} is the default" if isinstance(param.default, int | float) else ""
            refuse(f"{read}: {why}{usual}")
        except MISUSED as error:  # an option that there is not
            _say_as_data([error.format_message()], error.exit_code)
            raise

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """The usual help, with what to put in told in words instead of types."""
        nameless = [param for param in self.params if param.metavar is None and not getattr(param, "is_flag", False)]
        for param in nameless:
            kind = getattr(param, "display_type")(ctx)  # noqa: B009 the parameters of other parsers have none
            param.metavar = next((word for part, word in _PUT_IN.items() if part in kind), "TEXT")
        try:
            super().format_help(ctx, formatter)
        finally:
            for param in nameless:
                param.metavar = None

    def invoke(self, ctx: Any) -> Any:  # the Context that Typer carries with it has no public name
        """Run the command, or stop with everything that is wrong with where its answers are to go."""
        if sum(str(path) == STDIN for _, path in _files_read(ctx.params)) > 1:  # nothing can be read then
            refuse(f"{STDIN}: standard input is one file; name the others")
        options = {param.name: param.opts[0] for param in self.params if param.name in WRITTEN}
        return self.refusing(ctx, [*place_faults(ctx.params, options), *unit_faults(ctx.params)])

    def refusing(self, ctx: Any, faults: list[str]) -> Any:
        """Run the command unless there are faults."""
        if faults:
            refuse("\n".join(faults))
        return super().invoke(ctx)


class GatheringCommand(PlacedCommand):
    """One that calls `reading.stop_at` before it does anything, so that all faults are said at once."""

    def refusing(self, ctx: Any, faults: list[str]) -> Any:
        """Run the command; it stops at the faults and its own."""
        before = REFUSED.set(tuple(faults))
        try:
            return TyperCommand.invoke(self, ctx)
        finally:
            REFUSED.reset(before)


def _each(value: Any) -> Sequence[Any]:
    return value if isinstance(value, list | tuple) else [value]


def _as_meant(value: Any) -> Any:
    """An option's text on one line, also from a terminal that does not write what Python expects; no file names."""
    if isinstance(value, list | tuple):
        return type(value)(_as_meant(one) for one in value)
    if not isinstance(value, str):
        return value
    value = value.replace("\n", " ")  # what refuses it would read as two faults
    if not any("\ud800" <= sign <= "\udfff" for sign in value):
        return value
    raw = os.fsencode(value)
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("latin-1")


def _as_typed(names: Sequence[str], typed: Sequence[str]) -> str:
    """An option with its value as typed, apart or with an equals sign; empty where it was not."""
    for word, value in zip(typed, [*typed[1:], ""], strict=False):  # nothing typed has no value after it
        name, equals, joined = word.partition("=")
        if name in names:
            return f"{name} {joined if equals else value}"
    return ""


def place_faults(parameters: dict[str, Any], options: dict[str, str]) -> list[str]:
    """Why answers could not be written where they are asked for.

    Args:
        parameters: of a command, with their values.
        options: of its parameters that name a file to write, how they are typed.
    """
    replace = bool(parameters.get("replace"))
    wanted = {name: path for name in options if (path := parameters.get(name)) is not None}
    read = list(_files_read(parameters))
    faults = []
    taken: dict[Path, str] = {}
    for name, path in wanted.items():
        option = options[name]
        try:
            place = path if str(path) == STDOUT else Path(os.path.realpath(path))
        except FileNotFoundError:
            faults.append(f"{option} {path}: the folder this runs in is gone; change to another")
            continue
        if fault := _fault(name, option, path, read, replace):
            faults.append(f"{option} {path}: {fault}")
        elif place in taken:
            faults.append(f"{option} {path}: the same place as {taken[place]}; give another name")
        taken.setdefault(place, option)
    if parameters.get("as_json") and Path(STDOUT) in taken:
        faults.append(f"--json: standard output is taken by {taken[Path(STDOUT)]} already; name a file there")
    return faults


def unit_faults(parameters: dict[str, Any]) -> list[str]:
    """A kind of units that there is not, among the values of a command's parameters."""
    units = parameters.get("units", AS_FILED)
    known = units in (AS_FILED, *KINDS_OF_UNITS)
    return [] if known else [f"--units {units}: not a kind of units; metric, imperial or both"]


def _files_read(parameters: dict[str, Any]) -> Iterator[tuple[str, Path]]:
    """Every file a command reads, with the parameter that names it."""
    for name, value in parameters.items():
        if name not in WRITTEN:
            for one in _each(value):
                if isinstance(one, Path):
                    yield name, one


def _fault(name: str, option: str, path: Path, read: Sequence[tuple[str, Path]], replace: bool) -> str:
    from articulate.output.files import unwritable

    if str(path) == STDOUT:
        return ""
    for parameter, one in read:
        if _same_file(path, one) and (option, parameter) != OWN_VEHICLE:
            return f"that is {one} itself, which is read here; give another name"
    if name in NEVER_TOML and path.suffix.lower() == ".toml":
        return "vehicle files and run sheets end in .toml; give this file another ending"
    return unwritable(path, replace)


def _same_file(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except (OSError, ValueError):
        return False
