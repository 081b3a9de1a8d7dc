"""From what a study found to an answer of the library: text, data and figure that say what they hold for."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic

from articulate.api.ramp import Ramp
from articulate.api.result import Found, Result, Row
from articulate.errors import ArgumentError
from articulate.spec import VehicleSpec
from articulate.types import BAR_STATES

if TYPE_CHECKING:
    from articulate.output.figures.theme import Medium, Picture
    from articulate.output.text.conditions import Stated

    Draw = Callable[[Medium, bool], Picture]  # for a medium, with or without a background
    DrawState = Callable[[str, Medium, bool], Picture]  # a state of the bars before them


@dataclass(frozen=True)
class Forms(Generic[Found]):
    """How a finding is told: as text (which is told in which `lengths` it is), as data, as rows."""

    table: Callable[..., str]
    data: Callable[[Found], Mapping[str, object]]
    rows: Callable[[Found], Sequence[Row]]


def held_by(ramp: Ramp, *specs: VehicleSpec, also: Sequence[str] = ()) -> Stated:
    """What an answer holds for: the test, the files, what was set in them; its lengths are in the files' units."""
    from articulate.output.text.conditions import stated

    return stated(ramp.conditions(), ramp.side, specs, also)


def told(found: Found, line: str, held: Stated, forms: Forms[Found], draw: Draw) -> Result[Found]:
    """A result whose text, data and figure say what they hold for, as those of the command do."""
    return _told(found, line, held, forms, pictured(held, draw))


def told_by_bars(found: Found, line: str, held: Stated, forms: Forms[Found], draw: DrawState) -> Result[Found]:
    """Likewise one whose figure is of one state of the bars, the first that `draw` is given."""

    def picture(bars: str = "connected", transparent: bool = False) -> Picture:
        state = checked_bars(bars)
        return pictured(held, lambda medium, clear: draw(state, medium, clear))(transparent)

    return _told(found, line, held, forms, picture)


def _told(found: Found, line: str, held: Stated, forms: Forms[Found], picture: Callable[..., Picture]) -> Result[Found]:
    from articulate.output.text.conditions import condition_data, with_conditions

    return Result(
        found,
        line,
        lambda: with_conditions(forms.table(found, lengths=held.lengths), held),
        lambda: {**forms.data(found), **condition_data(held)},
        lambda: forms.rows(found),
        picture,
    )


def pictured(held: Stated, draw: Draw) -> Callable[..., Picture]:
    """The figure of an answer for a page, drawn when it is asked for, with what it holds for at its foot.

    draw: from the medium, and whether the background is left out.
    """

    def picture(transparent: bool = False) -> Picture:
        from articulate.output.figures.conditions import figure_with_conditions
        from articulate.output.figures.theme import PAGE

        return figure_with_conditions(held, PAGE, lambda medium: draw(medium, transparent))

    return picture


def checked_bars(bars: str) -> str:
    """A state of the bars.

    Raises:
        ArgumentError: it is none.
    """
    if bars not in BAR_STATES:
        raise ArgumentError(f"bars {bars!r}: not a state of the bars; connected or released")
    return bars
