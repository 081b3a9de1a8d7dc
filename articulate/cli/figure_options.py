"""Options of the commands whose answer can be drawn as well."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.app import save

if TYPE_CHECKING:
    from articulate.output.figures.theme import Medium, Picture

FigureFile = Annotated[Path | None, typer.Option("--figure", help="Draw the answer to this .svg or .png file too.")]
FigureMedium = Annotated[
    str, typer.Option("--medium", help="Of the figure: paper (160 mm), page (1200 px) or video (1920x1080).")
]


def read_medium(name: str, faults: list[str]) -> Medium:
    """The medium by its name; a fault is noted where there is none."""
    from articulate.output.figures.theme import MEDIA, PAGE

    if name not in MEDIA:
        faults.append(f"--medium {name}: not a medium; {', '.join(MEDIA)}")
    return MEDIA.get(name, PAGE)


FigureTransparent = Annotated[bool, typer.Option("--transparent", help="No background behind the figure.")]


def save_picture(path: Path, picture: Picture, replace: bool, option: str) -> None:
    """Write a picture as the end of its name says, - the SVG to stdout; a note if a font lacks letters of a name."""
    if letters := picture.missing_letters:
        typer.echo(f"note: no font on this machine has {letters}; drawn as boxes", err=True)
    form = "svg" if str(path) == "-" else path.suffix.lower().removeprefix(".")
    save(path, picture.svg() if form == "svg" else picture.png(), replace, option)


def check_figure(path: Path | None, medium: str, replace: bool, faults: list[str]) -> None:
    """Note before anything is computed where the figure could not be written."""
    if path is None:
        return
    from articulate.output.files import unwritable

    read_medium(medium, faults)
    if path.suffix.lower() not in (".svg", ".png"):
        faults.append(f"--figure {path}: the name must end in .svg or .png")
    if fault := unwritable(path, replace):
        faults.append(f"--figure {path}: {fault}")


def save_figure(
    path: Path | None, medium: str, transparent: bool, replace: bool, draw: Callable[[Medium, bool], Picture]
) -> None:
    """Draw and write the figure where one is wanted."""
    if path is None:
        return
    save_picture(path, draw(read_medium(medium, []), transparent), replace, "--figure")
