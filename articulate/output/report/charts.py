"""Charts drawn as SVG without identifiers or styles of their own; the page's style sheet gives pens and letters."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from markupsafe import Markup, escape

from articulate.output.units import SIZES, Lengths
from articulate.output.visible import visible
from articulate.prediction import Run
from articulate.studies.population.intervals import Interval
from articulate.types import WHEELS, wheel_order

WIDE, HIGH = 640.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 52.0, 112.0, 22.0, 44.0
ROW = 46.0  # of the chart of scores
TYPE = 20.0  # the largest that the style sheet sets, on a phone
LABEL = 34  # letters of a label


def _ticks(low: float, high: float, about: int) -> list[float]:
    """Round values between two limits."""
    step = (high - low) / about
    size = 10.0 ** math.floor(math.log10(step))
    step = next(size * factor for factor in (1.0, 2.0, 2.5, 5.0, 10.0) if size * factor >= step * 0.999)
    first = math.ceil(low / step - 1e-9) * step
    return [float(tick) for tick in np.arange(first, high + step * 1e-6, step)]


def _apart(places: Sequence[float], room: float, top: float, bottom: float) -> list[float]:
    """Places on a vertical line moved so that no two are nearer than `room`, within top and bottom."""
    order = sorted(range(len(places)), key=lambda i: places[i])
    moved = list(places)
    for before, after in itertools.pairwise(order):
        moved[after] = max(moved[after], moved[before] + room)
    over = max(moved) - bottom
    for i in reversed(order):
        moved[i] = min(moved[i], moved[i] - over) if over > 0.0 else moved[i]
    return [max(place, top) for place in moved]


def _svg(kind: str, width: float, height: float, name: str, parts: Sequence[str]) -> Markup:
    return Markup(  # noqa: S704 foreign text is escaped where it is put in
        f'<svg class="{kind}" role="img" aria-label="{escape(visible(name))}" viewBox="0 0 {width:.0f} {height:.0f}">'
        + "".join(parts)
        + "</svg>"
    )


def load_chart(run: Run, side: str, lengths: Lengths) -> Markup:
    """Wheel loads over the climb, each line named at its end, with a cursor for the moving picture."""
    unit = lengths.first
    climb = run.trace.climb
    load = run.trace.measures.wheel_load[:, wheel_order(side)] / 1000.0
    low, high = float(climb[0]), float(max(climb[-1], climb[0] + 1e-3))
    most = float(load.max()) * 1.05

    def x(value: float) -> float:
        return LEFT + (value - low) / (high - low) * (WIDE - LEFT - RIGHT)

    def y(value: float) -> float:
        return HIGH - BOTTOM - value / most * (HIGH - BOTTOM - TOP)

    parts = []
    for tick in _ticks(0.0, most, 5):
        parts.append(
            f'<line class="rule" x1="{LEFT:.0f}" x2="{WIDE - RIGHT:.0f}" y1="{y(tick):.1f}" y2="{y(tick):.1f}"/>'
            f'<text class="tick" text-anchor="end" x="{LEFT - 6:.0f}" y="{y(tick) + 4:.1f}">{tick:g}</text>'
        )
    for tick in _ticks(low / SIZES[unit], high / SIZES[unit], 6):
        parts.append(
            f'<text class="tick" text-anchor="middle" x="{x(tick * SIZES[unit]):.1f}" y="{HIGH - BOTTOM + 18:.1f}">'
            f"{tick:g}</text>"
        )
    parts.append(f'<text class="tick" x="{LEFT - 44:.0f}" y="{TOP - 6:.0f}">kN</text>')
    middle = (LEFT + WIDE - RIGHT) / 2.0
    parts.append(f'<text class="tick" text-anchor="middle" x="{middle:.0f}" y="{HIGH - 5:.0f}">climb, {unit}</text>')
    for event in run.events:
        if low < event.climb < high:
            parts.append(
                f'<line class="event" x1="{x(event.climb):.1f}" x2="{x(event.climb):.1f}" y1="{TOP:.0f}" '
                f'y2="{HIGH - BOTTOM:.0f}"><title>{escape(visible(event.what))}</title></line>'
            )
    names = _apart([y(float(load[-1, wheel])) for wheel in range(4)], TYPE, TOP, HIGH - BOTTOM)
    for wheel in range(4):
        points = " ".join(
            f"{x(float(s)):.1f},{y(float(value)):.1f}" for s, value in zip(climb, load[:, wheel], strict=True)
        )
        parts.append(f'<polyline class="series wheel{wheel}" points="{points}"/>')
        parts.append(
            f'<text class="name wheel{wheel}" x="{WIDE - RIGHT + 6:.0f}" y="{names[wheel] + 4:.1f}">'
            f"{WHEELS[wheel]}</text>"
        )
    parts.append(
        f'<line class="cursor" data-axis="{low:.6f} {high:.6f} {LEFT:.0f} {WIDE - RIGHT:.0f}" '
        f'x1="{x(high):.1f}" x2="{x(high):.1f}" y1="{TOP:.0f}" y2="{HIGH - BOTTOM:.0f}"/>'
    )
    return _svg("loads", WIDE, HIGH, f"Load of each wheel over the climb, bars {run.bars}", parts)


def _shortened(text: str) -> str:
    """A name that fits its column; what is cut is cut in the middle, where names differ least."""
    half = LABEL // 2
    return text if len(text) <= LABEL else f"{text[:half]}…{text[-half:]}"


@dataclass(frozen=True)
class ScoreRow:
    """A row of the chart of scores: its label and what kind it is, and what was predicted where it is measured.

    A score that is not finite is none.
    """

    label: tuple[str, str]
    shown: Interval
    predicted: Interval | None = None


def score_chart(rows: Sequence[ScoreRow], name: str) -> Markup:
    """Scores with their ranges, one a row; a measured one stands over what was predicted for it.

    Args:
        rows: from above; rows without a finite score say so.
        name: of the picture.
    """
    every = [one for row in rows for one in (row.shown, row.predicted) if one is not None]
    values = [value for one in every for value in (one.value, one.low, one.high) if math.isfinite(value)]
    if not values:
        values = [0.0, 1000.0]
    low, high = min(values), max(values)
    room = max((high - low) * 0.08, 10.0)
    low, high = max(low - room, 0.0), high + room
    left = 30.0  # half of a number under the axis, on a phone
    compared = any(row.predicted for row in rows)
    foot = 72.0 if compared else 48.0
    height = ROW * len(rows) + foot

    def x(value: float) -> float:
        return left + (value - low) / (high - low) * (WIDE - left - 24.0)

    def drawn(one: Interval, y: float, kind: str) -> str:
        span = ""
        if math.isfinite(one.low) and math.isfinite(one.high):
            span = f'<line class="span {kind}" x1="{x(one.low):.1f}" x2="{x(one.high):.1f}" y1="{y:.1f}" y2="{y:.1f}"/>'
        if math.isfinite(one.value):
            return span + f'<circle class="dot {kind}" cx="{x(one.value):.1f}" cy="{y:.1f}" r="5"/>'
        return span + f'<text class="tick" x="{left:.0f}" y="{y + 4:.1f}">no score</text>'

    parts = []
    bottom = height - foot
    for tick in _ticks(low, high, 6):
        parts.append(
            f'<line class="rule" x1="{x(tick):.1f}" x2="{x(tick):.1f}" y1="4" y2="{bottom + 4:.0f}"/>'
            f'<text class="tick" text-anchor="middle" x="{x(tick):.1f}" y="{bottom + 22:.0f}">{tick:g}</text>'
        )
    for place, row in enumerate(rows):
        y = ROW * (place + 0.75)
        said, kind = (escape(visible(_shortened(text))) for text in row.label)
        parts.append(
            f'<text class="name" x="0" y="{y - 13:.1f}">{said}<tspan class="tick" dx="8">{kind}</tspan></text>'
        )
        if row.predicted is not None:
            parts.append(drawn(row.predicted, y, "predicted"))
        parts.append(drawn(row.shown, y, "measured" if row.predicted is not None else "alone"))
    middle = (left + WIDE) / 2.0
    parts.append(f'<text class="tick" text-anchor="middle" x="{middle:.0f}" y="{bottom + 43:.0f}">score</text>')
    if compared:
        y = height - 7.0
        for at, named in ((0.0, "measured"), (WIDE / 2.0, "predicted")):
            parts.append(
                f'<line class="span {named}" x1="{at:.0f}" x2="{at + 40.0:.0f}" y1="{y - 5.0:.0f}" y2="{y - 5.0:.0f}"/>'
                f'<circle class="dot {named}" cx="{at + 20.0:.0f}" cy="{y - 5.0:.0f}" r="5"/>'
                f'<text class="tick" x="{at + 48.0:.0f}" y="{y:.0f}">{named}</text>'
            )
    return _svg("scores", WIDE, height, name, parts)
