"""How an answer is wanted: text, JSON, or a CSV file beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.app import Answer, print_json, save
from articulate.cli.options import AsJson, Full, Replace, Units
from articulate.cli.places import AS_FILED

if TYPE_CHECKING:
    from articulate.output.text.conditions import Stated
    from articulate.prediction import Run
    from articulate.studies.predict.band import CaseBand


@dataclass(frozen=True, eq=False, repr=False)
class TextFile:
    """A text to start from, written or printed."""

    output: Annotated[Path, typer.Option(help="File to write; - for standard output.")] = Path("-")
    replace: Replace = False

    def write(self, text: str, then: str) -> None:
        """Write it, and say what to do next with the file."""
        save([Answer("--output", self.output, text)], self.replace)
        if str(self.output) != "-":
            typer.echo(f"wrote {self.output}; {then} {self.output}", err=True)


Csv = Annotated[
    Path | None,
    typer.Option("--csv", help="Write the table to this CSV file, SI units; - to print it."),
]


@dataclass(frozen=True, eq=False, repr=False)
class Shown:
    """How an answer is told."""

    full: Full = False
    units: Units = AS_FILED
    as_json: AsJson = False


@dataclass(frozen=True, eq=False, repr=False)
class Output(Shown):
    """How an answer is told, and its table written."""

    csv: Csv = None
    replace: Replace = False


def figures_in_text(runs: Sequence[Run], cases: Sequence[CaseBand], side: str) -> None:
    """Bands and wheel loads as a few lines of letters, where a person reads them; nothing into a pipe or a file."""
    import sys

    if not sys.stdout.isatty():
        return
    from articulate.output.text.terminal_figures import band_figure, load_figure, writes_blocks

    blocks = writes_blocks(sys.stdout.encoding)
    parts = [band_figure(cases, blocks), *(load_figure(run, side, blocks) for run in runs)]
    for lines in filter(None, parts):
        typer.echo("\n" + "\n".join(lines))


def show(
    table: str,
    data: Mapping[str, object],
    rows: Sequence[Mapping[str, str | float]],
    how: Output,
    held: Stated,
    figure: Sequence[Answer] = (),
) -> None:
    """Print the answer as asked: text, JSON or CSV; write the CSV file and the figure where they were named.

    Text and data say what they hold for.
    """
    from articulate.output.layout import csv_text

    files = [] if how.csv is None else [Answer("--csv", how.csv, csv_text(rows))]
    save([*figure, *files], how.replace)
    if how.as_json or str(how.csv) != "-":
        say(table, data, how.as_json, held)


def say(table: str, data: Mapping[str, object], as_json: bool, held: Stated) -> None:
    """Print an answer as text or data, with the conditions and files that it holds for."""
    from articulate.output.text.conditions import condition_data, with_conditions

    if as_json:
        print_json({**data, **condition_data(held)})
    else:
        typer.echo(with_conditions(table, held))
