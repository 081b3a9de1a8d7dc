"""Charts drawn as SVG without identifiers or styles of their own; the page's style sheet gives pens and letters."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
from markupsafe import Markup, escape

from articulate.output.units import SIZES, Lengths
from articulate.output.visible import visible
from articulate.prediction import Run
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


def score_chart(rows: Sequence[tuple[tuple[str, str], float, float, float]], name: str) -> Markup:
    """Scores with their bands, one a row.

    Args:
        rows: a label of two lines, score, low and high; rows without a finite score say so.
        name: of the picture.
    """
    values = [value for _, *numbers in rows for value in numbers if math.isfinite(value)]
    if not values:
        values = [0.0, 1000.0]
    low, high = min(values), max(values)
    room = max((high - low) * 0.08, 10.0)
    low, high = max(low - room, 0.0), high + room
    left = 30.0  # half of a number under the axis, on a phone
    height = ROW * len(rows) + 48.0

    def x(value: float) -> float:
        return left + (value - low) / (high - low) * (WIDE - left - 24.0)

    parts = []
    for tick in _ticks(low, high, 6):
        parts.append(
            f'<line class="rule" x1="{x(tick):.1f}" x2="{x(tick):.1f}" y1="4" y2="{height - 44:.0f}"/>'
            f'<text class="tick" text-anchor="middle" x="{x(tick):.1f}" y="{height - 26:.0f}">{tick:g}</text>'
        )
    for place, (label, score, least, most) in enumerate(rows):
        y = ROW * (place + 0.75)
        said, kind = (escape(visible(_shortened(text))) for text in label)
        parts.append(
            f'<text class="name" x="0" y="{y - 13:.1f}">{said}<tspan class="tick" dx="8">{kind}</tspan></text>'
        )
        if math.isfinite(least) and math.isfinite(most):
            parts.append(f'<line class="span" x1="{x(least):.1f}" x2="{x(most):.1f}" y1="{y:.1f}" y2="{y:.1f}"/>')
        if math.isfinite(score):
            parts.append(f'<circle class="dot" cx="{x(score):.1f}" cy="{y:.1f}" r="5"/>')
        else:
            parts.append(f'<text class="tick" x="{left:.0f}" y="{y + 4:.1f}">no score</text>')
    middle = (left + WIDE) / 2.0
    parts.append(f'<text class="tick" text-anchor="middle" x="{middle:.0f}" y="{height - 5:.0f}">score</text>')
    return _svg("scores", WIDE, height, name, parts)
