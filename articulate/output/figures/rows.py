"""Diagrams made of rows: names on the left, marks on one scale, numbers beside them."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text

from articulate.brief import Brief
from articulate.output.figures import theme
from articulate.output.figures.tallies import Bar
from articulate.output.figures.theme import Medium

NAMES = 19.0  # type sizes, of the column of names
COLUMNS = 31  # letters of a name in a line
STEP, STEP_TWO = 2.2, 3.1  # type sizes, of a row; where a name takes two lines
LEAST_STEP = 1.75


@dataclass(frozen=True, eq=False, repr=False)
class Rows(Brief):
    """Axes whose rows stand at y = 0.5, 1.5, ... from above; the scale is along x."""

    figure: Figure
    axes: Axes
    step: float  # type sizes, of a row


def broken(name: str) -> str:
    """A name in at most two lines."""
    if "\n" in name:  # what its second line says, a day, tells it from another: the first is cut
        parts = name.split("\n")
        return "\n".join(part if len(part) <= COLUMNS else f"{part[: COLUMNS - 1].rstrip()}…" for part in parts)
    lines = textwrap.wrap(name, COLUMNS)
    if len(lines) > 2:
        lines = [lines[0], textwrap.shorten(" ".join(lines[1:]), COLUMNS, placeholder="…")]
    return "\n".join(lines)


def most_rows(medium: Medium, names: Sequence[str], head: float, foot: float) -> int:
    """How many rows there is room for; all of them unless the medium has a height of its own."""
    if medium.height is None:
        return len(names)
    step = STEP_TWO if any("\n" in broken(name) for name in names) else LEAST_STEP
    return max(int((medium.height * 72.0 / medium.type_size - head - foot) / step), 1)


def rows(
    medium: Medium,
    title: str,
    under: Sequence[str],
    names: Sequence[str],
    limits: tuple[float, float],
    transparent: bool,
    right: float = 10.0,
    foot: float = 4.4,
) -> Rows:
    """A sheet with one row a name, within `hand`.

    Args:
        medium: paper, page or video.
        title: of the sheet.
        under: lines below the title.
        names: of the rows, the first at the top.
        limits: of the scale.
        transparent: no background.
        right: margin at the right for words [type sizes].
        foot: below the rows [type sizes].

    Returns:
        The sheet with its axes.
    """
    two = any("\n" in broken(name) for name in names)
    step = STEP_TWO if two else STEP
    head = 3.6 + 1.45 * len(under)
    figure = theme.sheet(medium, head + foot + step * len(names), transparent)
    upper = theme.heading(figure, medium, title, under)
    if medium.height is not None:
        room = medium.height * 72.0 / medium.type_size - head - foot
        step = min(room / len(names), 1.6 * step)
    height = figure.get_size_inches()[1]
    top = upper - medium.inches(0.6) / height
    bottom = top - medium.inches(step * len(names)) / height
    width = medium.width
    axes = figure.add_axes(
        (
            medium.inches(NAMES + 0.8) / width,
            bottom,
            1.0 - medium.inches(NAMES + 0.8 + right) / width,
            top - bottom,
        )
    )
    axes.set_xlim(*limits)
    axes.set_ylim(len(names), 0.0)
    axes.set_yticks([k + 0.5 for k in range(len(names))], [broken(name) for name in names])
    axes.tick_params(axis="y", length=0.0)
    axes.spines["left"].set_visible(False)
    axes.xaxis.set_major_locator(theme.few_ticks())
    return Rows(figure, axes, step)


def span(values: Sequence[Bar], zero: bool, margin: float = 0.05) -> tuple[float, float]:
    """Limits of a scale that shows all values with their ranges, and zero where it must."""
    found = [x for bar in values for x in (bar.value, bar.low, bar.high) if math.isfinite(x)]
    found += [0.0] if zero or not found else []
    low, high = min(found), max(found)
    wide = (high - low) or max(abs(high), 1.0)
    return (
        low if zero and low == 0.0 else low - margin * wide,
        high if zero and high == 0.0 else high + margin * wide,
    )


def draw_range(axes: Axes, bar: Bar, y: float, colour: str, marker: str = "o", hollow: bool = False) -> None:
    """A value as a marker with its range as a line with ends."""
    if bar.ranged or bar.open_ended:
        axes.plot(
            [bar.low, min(bar.high, axes.get_xlim()[1])],
            [y, y],
            color=colour,
            marker="|",
            markevery=[0] if bar.open_ended else None,
            linestyle="--" if hollow else "-",
            zorder=3,
            solid_capstyle="butt",
        )
    if bar.open_ended:
        axes.plot(axes.get_xlim()[1], y, color=colour, marker=">", zorder=3, clip_on=False)
    if math.isfinite(bar.value):
        face = theme.PAPER_WHITE if hollow else colour
        axes.plot(bar.value, y, marker=marker, color=face, markeredgecolor=colour, linestyle="none", zorder=4)


def range_words(bar: Bar) -> str:
    """The range in brackets, with a space before; nothing where none is known."""
    if bar.open_ended:
        return f" ({bar.low:.0f} to beyond the ramp)"
    return f" ({bar.low:.0f} to {bar.high:.0f})" if bar.ranged else ""


def score_words(bar: Bar) -> str:
    """A score with its range, or what stands for it."""
    if bar.value == math.inf:
        return "beyond the ramp"
    return f"{bar.value:.0f}{range_words(bar)}" if math.isfinite(bar.value) else "no score"


def beside(axes: Axes, place: float, y: float, words: str, medium: Medium, bold: bool = False) -> Text:
    """Words to the right of a place on the scale."""
    return axes.annotate(
        words,
        (place, y),
        xytext=(medium.points(0.6), 0.0),
        textcoords="offset points",
        va="center",
        weight="bold" if bold else "normal",
        zorder=6,
        path_effects=theme.halo(medium),
        annotation_clip=False,
    )


def signed(value: float) -> str:
    """A change with its sign, one decimal; none has no sign."""
    words = f"{value:+.1f}".replace("-", "−")
    return "0.0" if words[1:] == "0.0" else words


def change_words(bar: Bar) -> str:
    """A change, with its range in brackets where that can be told from it."""
    middle, low, high = (signed(value) for value in (bar.value, bar.low, bar.high))
    return f"{middle} ({low} to {high})" if bar.ranged and not low == middle == high else middle
