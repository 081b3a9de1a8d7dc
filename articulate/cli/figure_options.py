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


def save_figure(path: Path, medium: str, replace: bool, draw: Callable[[Medium], Picture]) -> None:
    """Draw and write the figure. Commands import what draws it where one is wanted: it takes long to load."""
    picture = draw(read_medium(medium, []))
    save(path, picture.svg() if path.suffix.lower() == ".svg" else picture.png(), replace, "--figure")
