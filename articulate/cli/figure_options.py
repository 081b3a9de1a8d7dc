"""Options of the commands whose answer can be drawn as well."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.app import Answer

if TYPE_CHECKING:
    from articulate.output.figures.theme import Medium, Picture
    from articulate.output.text.conditions import Stated

USUAL_MEDIUM = "page"


@dataclass(frozen=True)
class FigureOptions:
    """A figure of the answer."""

    figure: Annotated[Path | None, typer.Option("--figure", help="Draw the answer to this .svg or .png file too.")] = (
        None
    )
    medium: Annotated[
        str, typer.Option("--medium", help="Of the figure: paper (160 mm), page (1200 px) or video (1920x1080).")
    ] = USUAL_MEDIUM
    transparent: Annotated[bool, typer.Option("--transparent", help="No background behind the figure.")] = False

    def check(self, faults: list[str]) -> None:
        """Note before anything is computed what kind of figure there is not."""
        if self.figure is None and self.medium == USUAL_MEDIUM:
            return
        read_medium(self.medium, faults)
        if self.figure is not None and self.figure.suffix.lower() not in (".svg", ".png"):
            faults.append(f"--figure {self.figure}: the name must end in .svg or .png")

    def drawn(self, held: Stated, draw: Callable[[Medium, bool], Picture]) -> list[Answer]:
        """The figure where one is wanted, with what it holds for.

        draw: from the medium, and whether the background is left out; called where a figure is wanted alone.
        """
        if self.figure is None:
            return []
        from articulate.output.figures.conditions import figure_with_conditions

        medium = read_medium(self.medium, [])
        picture = figure_with_conditions(held, medium, lambda size: draw(size, self.transparent))
        return [picture_answer("--figure", self.figure, picture)]


def read_medium(name: str, faults: list[str], *, of_vehicle: bool = False) -> Medium:
    """The medium by its name, of a vehicle also those for an audience; a fault is noted where there is none."""
    from articulate.output.figures.theme import AUDIENCE, MEDIA, PAGE

    media = MEDIA | AUDIENCE if of_vehicle else MEDIA
    if name not in media:
        faults.append(f"--medium {name}: not a medium; {', '.join(media)}")
    return media.get(name, PAGE)


def picture_answer(option: str, path: Path, picture: Picture) -> Answer:
    """A picture as the end of its name says, - the SVG for stdout; a note if a font lacks letters of a name."""
    if letters := picture.missing_letters:
        typer.echo(f"note: no font on this machine has {letters}; drawn as boxes", err=True)
    return Answer(option, path, picture.png() if path.suffix.lower() == ".png" else picture.svg())


def words_of(picture: Picture, **also: object) -> str:
    """Title, caption and text for people who cannot see a picture, and what is told besides, as JSON."""
    said = {"title": picture.title, "caption": picture.caption or f"{picture.title}.", "alt": picture.description}
    return as_words({**said, **also})


def as_words(said: Mapping[str, object]) -> str:
    """What a picture or a film says, as JSON; foreign text made visible."""
    import json

    from articulate.output.visible import visible

    def shown(one: object) -> object:
        if isinstance(one, Mapping):
            return {key: shown(value) for key, value in one.items()}
        if isinstance(one, list):
            return [shown(value) for value in one]
        return visible(one) if isinstance(one, str) else one

    return json.dumps(shown(said), ensure_ascii=False, indent=2) + "\n"
