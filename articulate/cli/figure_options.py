"""Options of the commands whose answer can be drawn as well."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.app import Answer

if TYPE_CHECKING:
    from articulate.output.figures.theme import Medium, Picture
    from articulate.output.text.conditions import Stated

USUAL_MEDIUM = "page"
FigureFile = Annotated[Path | None, typer.Option("--figure", help="Draw the answer to this .svg or .png file too.")]
FigureMedium = Annotated[
    str, typer.Option("--medium", help="Of the figure: paper (160 mm), page (1200 px) or video (1920x1080).")
]
FigureTransparent = Annotated[bool, typer.Option("--transparent", help="No background behind the figure.")]


def read_medium(name: str, faults: list[str]) -> Medium:
    """The medium by its name; a fault is noted where there is none."""
    from articulate.output.figures.theme import MEDIA, PAGE

    if name not in MEDIA:
        faults.append(f"--medium {name}: not a medium; {', '.join(MEDIA)}")
    return MEDIA.get(name, PAGE)


def check_figure(path: Path | None, medium: str, faults: list[str]) -> None:
    """Note before anything is computed what kind of figure there is not."""
    if path is None and medium == USUAL_MEDIUM:
        return
    read_medium(medium, faults)
    if path is not None and path.suffix.lower() not in (".svg", ".png"):
        faults.append(f"--figure {path}: the name must end in .svg or .png")


def picture_answer(option: str, path: Path, picture: Picture) -> Answer:
    """A picture as the end of its name says, - the SVG for stdout; a note if a font lacks letters of a name."""
    if letters := picture.missing_letters:
        typer.echo(f"note: no font on this machine has {letters}; drawn as boxes", err=True)
    return Answer(option, path, picture.png() if path.suffix.lower() == ".png" else picture.svg())


def noted(held: Stated, medium: Medium, draw: Callable[[Medium], Picture]) -> Picture:
    """A figure with what it holds for at its foot."""
    from articulate.output.figures.theme import with_room
    from articulate.output.text.conditions import condition_notes

    under = condition_notes(held)
    return draw(with_room(medium, under)).noted(under)


def drawn(
    path: Path | None,
    medium: str,
    transparent: bool,
    draw: Callable[[Medium, bool], Picture],
    held: Stated,
) -> list[Answer]:
    """The figure, drawn where one is wanted, with what it holds for."""
    if path is None:
        return []
    size = read_medium(medium, [])
    return [picture_answer("--figure", path, noted(held, size, lambda one: draw(one, transparent)))]
