"""What a figure holds for, at its foot."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from articulate.output.figures.theme import Medium, Picture, with_room
from articulate.output.text.conditions import Stated, condition_notes


def figure_with_conditions(
    held: Stated, medium: Medium, draw: Callable[[Medium], Picture], first: Sequence[str] = ()
) -> Picture:
    """A figure in the lengths of its answer, with what it holds for at its foot, after what is to be said first."""
    under = [*first, *condition_notes(held)]
    return draw(with_room(replace(medium, lengths=held.lengths), under)).noted(under)
