"""What a figure holds for, at its foot."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from articulate.output.figures.theme import Medium, Picture, with_room
from articulate.output.text.conditions import Stated, condition_notes


def figure_with_conditions(held: Stated, medium: Medium, draw: Callable[[Medium], Picture]) -> Picture:
    """A figure in the lengths of its answer, with what it holds for at its foot."""
    under = condition_notes(held)
    return draw(with_room(replace(medium, lengths=held.lengths), under)).noted(under)
