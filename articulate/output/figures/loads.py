"""Wheel loads against climb, both bar states in one figure, with the events on the way up."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from articulate.climb import Outcome
from articulate.output.figures import theme
from articulate.output.figures.theme import Medium, Picture, hand
from articulate.output.text.wording import spinning_words
from articulate.output.units import SIZES, Lengths
from articulate.prediction import Prediction, Run
from articulate.trace import Event
from articulate.types import WHEELS, each_state, wheel_order

Array = NDArray[np.float64]

PANEL = 15.0  # type sizes, where the height is ours to choose
ABOVE = 0.6  # type sizes between a panel and the words above it
ROW = 1.4  # type sizes, of one row of event labels
LABELS = 14.5  # type sizes at the right, for the names of the wheels
LOW_PANEL = 6.0  # type sizes; where a panel would be lower, the events' type is smaller


def wheel_loads(prediction: Prediction, run: Run) -> Array:
    """Loads along a run, (points, 4) [N], in the vehicle's own left and right."""
    return np.asarray(np.maximum(run.trace.measures.wheel_load[:, wheel_order(prediction.side)], 0.0))


def ending(run: Run, lengths: Lengths) -> str:
    """How a run ended, in a few words."""
    there = lengths.one(run.climb)
    if run.outcome == Outcome.WHEEL_LIFTS:
        return f"{WHEELS[run.wheel]} lifts at {there}, score {run.score:.0f}"
    if run.outcome == Outcome.EQUILIBRIUM_JUMPS:
        return f"jumps at {there}, {WHEELS[run.wheel]} up, score {run.score:.0f}"
    if run.outcome == Outcome.WHEELS_SPIN:
        return f"wheels spin at {there} ({spinning_words(run.spinning)}), score {run.score:.0f}"
    return run.outcome.meaning


def _words(event: Event, brief: bool) -> str:
    """An event in words; in a few where there is little room."""
    if not brief or event.corner < 0:
        return event.what
    short = {
        "bump stop": ("bump stop", "off bump stop"),
        "droop stop": ("full droop", "off full droop"),
        "coil": ("coil unseats", "coil seats"),
        "arch": ("tyre at arch", "tyre off arch"),
        "ramp": ("on the ramp", "off the ramp"),
    }.get(event.kind)
    return event.what if short is None else f"{theme.WHEEL_SHORT[event.corner]} {short[0 if event.begins else 1]}"


def event_rows(places: Sequence[float], widths: Sequence[float], left: float, right: float) -> list[tuple[int, bool]]:
    """Where labels of events go above a diagram so that no label meets another or another's line.

    The earlier events have their labels to the left of their lines, each in the lowest row above all lines that it
    would cross; the later ones to the right, likewise. Where the change is made is chosen for the fewest rows.

    Args:
        places: of the events along the diagram, ascending.
        widths: of their labels, in the same unit.
        left: limit of the labels.
        right: limit of the labels.

    Returns:
        Row, counted from below, and whether the label is on the left, for each event.
    """
    count = len(places)
    best: list[tuple[int, bool]] = []
    cost = math.inf
    for split in range(count + 1):
        rows = [0] * count
        for k in range(split):
            rows[k] = 1 + max((rows[i] for i in range(k) if places[i] > places[k] - widths[k]), default=-1)
        for k in reversed(range(split, count)):
            rows[k] = 1 + max((rows[i] for i in range(k + 1, count) if places[i] < places[k] + widths[k]), default=-1)
        outside = sum(places[k] - widths[k] < left for k in range(split))
        outside += sum(places[k] + widths[k] > right for k in range(split, count))
        new = max(rows, default=-1) + 100.0 * outside + 0.01 * (count - split)
        if new < cost:
            best, cost = [(rows[k], k < split) for k in range(count)], new
    return best


def _draw_events(
    axes: Axes,
    events: Sequence[Event],
    medium: Medium,
    limits: tuple[float, float],
    inch: float,
    brief: bool,
    small: float,
) -> int:
    """Events as lines with their labels above the diagram; returns how many rows of labels there are."""
    transform, height = axes.get_xaxis_transform(), theme.size(axes)[1]
    texts = [axes.text(0.0, 0.0, f" {_words(event, brief)} ", va="center", transform=transform) for event in events]
    for text in texts:
        text.set_fontsize(medium.points(small))
    places = [event.climb / SIZES[medium.lengths.first] for event in events]
    rows = event_rows(places, [theme.drawn_width(text) / inch for text in texts], *limits)
    for event, text, place, (row, on_left) in zip(events, texts, places, rows, strict=True):
        up = 1.0 + medium.inches(ABOVE + small * (0.5 + ROW * row)) / height
        text.set_position((place, up))
        text.set_horizontalalignment("right" if on_left else "left")
        axes.plot(
            [place, place],
            [0.0, up + medium.inches(0.4 * small) / height],
            color=theme.MUTED,
            linewidth=theme.thin(),
            linestyle="-" if event.begins else (0, (2, 2)),
            transform=transform,
            clip_on=False,
            zorder=1,
        )
    return max((row for row, _ in rows), default=-1) + 1


def _panel(axes: Axes, prediction: Prediction, run: Run, medium: Medium, limits: tuple[float, float, float]) -> None:
    left, right, top = limits
    axes.set_xlim(left, right)
    axes.set_ylim(0.0, top)
    axes.yaxis.set_major_locator(theme.few_ticks(min(6, max(2, int(theme.size(axes)[1] / medium.inches(1.5))))))
    climb, loads = run.trace.climb / SIZES[medium.lengths.first], wheel_loads(prediction, run)
    width, height = theme.size(axes)
    newton = height / top  # [in]
    places = theme.spread(
        [float(v) for v in loads[-1]], medium.inches(1.35) / newton, medium.inches(0.75) / newton, top
    )
    for wheel in range(4):
        lifts = wheel == run.wheel
        axes.plot(
            climb,
            loads[:, wheel],
            color=theme.WHEEL_COLOURS[wheel],
            linestyle=theme.WHEEL_DASHES[wheel],
            linewidth=theme.thick() * (1.9 if lifts else 1.0),
            zorder=4 if lifts else 3,
            clip_on=False,
        )[0].set_gid(f"{run.bars}-{WHEELS[wheel].replace(' ', '-')}")
        axes.plot(
            climb[-1],
            loads[-1, wheel],
            marker=theme.WHEEL_MARKERS[wheel],
            color=theme.WHEEL_COLOURS[wheel],
            clip_on=False,
            zorder=5,
        )
        inch = width / (right - left)
        axes.text(
            climb[-1] + medium.inches(0.7) / inch,
            places[wheel],
            f"{WHEELS[wheel]} {loads[-1, wheel]:.0f} N",
            color=theme.WHEEL_COLOURS[wheel],
            weight="bold" if lifts else "normal",
            va="center",
            zorder=6,
            path_effects=theme.halo(medium),
        )
    axes.plot([climb[-1]] * 2, [0.0, top], color=theme.INK, linewidth=theme.thin() * 1.5, zorder=2)


def _heights(
    runs: Sequence[Run], medium: Medium, limits: tuple[float, float], inch: float, apart: float, small: float
) -> tuple[float, list[float]]:
    """Height of a panel and of the words above each, in type sizes, with `apart` left for title and axes."""
    above = []
    for run in runs:  # measured on a sheet of its own
        trial = theme.sheet(medium, 20.0, False).add_axes((0.1, 0.1, 0.8, 0.5))
        count = _draw_events(trial, run.events, medium, limits, inch, medium.height is not None, small)
        above.append(1.9 + ABOVE + small * ROW * count + 0.1)
    if medium.height is None:
        return PANEL, above
    whole = medium.height * 72.0 / medium.type_size
    return (whole - apart - sum(above) - len(runs) + 1.0) / len(runs), above


def loads_picture(prediction: Prediction, name: str, medium: Medium = theme.PAGE, transparent: bool = False) -> Picture:
    """Wheel loads against climb.

    Args:
        prediction: both runs, or one.
        name: of the vehicle.
        medium: paper, page or video.
        transparent: no background.
    """
    runs = each_state(prediction)
    unit = medium.lengths.first
    size = SIZES[unit]
    first = min(0.0, *(float(run.trace.climb[0]) / size for run in runs))
    last = max(float(run.trace.climb[-1]) for run in runs) / size
    top = 1.04 * max(float(wheel_loads(prediction, run).max()) for run in runs)
    with hand(medium):
        side, foot, head = 5.0, 7.2, 3.4
        inch = medium.inches(medium.width_in_type - side - LABELS) / max(last - first, 1e-3 / size)
        brief, small = medium.height is not None, 1.0
        limits = (first - medium.inches(side - 0.5) / inch, last + medium.inches(LABELS - 0.5) / inch)
        panel, above = _heights(runs, medium, limits, inch, head + foot, small)
        if panel < LOW_PANEL:
            small = theme.SMALLEST
            panel, above = _heights(runs, medium, limits, inch, head + foot, small)
        total = head + foot + sum(above) + len(runs) * panel + (len(runs) - 1.0)
        figure = theme.sheet(medium, total, transparent)
        title = f"{name}: wheel loads in N on the way up the {math.degrees(prediction.angle):g}° ramp"
        theme.heading(figure, medium, title)
        height = figure.get_size_inches()[1]
        width = figure.get_size_inches()[0]
        y = head
        for k, run in enumerate(runs):
            left = medium.inches(side) / width
            y += above[k]
            bottom = 1.0 - medium.inches(y + panel) / height
            box = (left, bottom, 1.0 - left - medium.inches(LABELS) / width, medium.inches(panel) / height)
            axes = figure.add_axes(box)
            _panel(axes, prediction, run, medium, (first, last, top))
            _draw_events(axes, run.events, medium, limits, inch, brief, small)
            figure.text(
                medium.inches(0.8) / width,
                1.0 - medium.inches(y - above[k] + 0.9) / height,
                f"bars {run.bars}: {ending(run, medium.lengths)}",
                va="center",
                weight="bold",
            )
            y += panel + 1.0
            if k < len(runs) - 1:
                axes.tick_params(labelbottom=False)
            else:
                axes.set_xlabel(f"mark up the ramp, {unit}")
                score = axes.secondary_xaxis(
                    -medium.inches(3.3) / medium.inches(panel),
                    functions=(
                        lambda s: np.asarray(s, dtype=np.float64) * (1000.0 * size / prediction.wheelbase),
                        lambda s: np.asarray(s, dtype=np.float64) / (1000.0 * size / prediction.wheelbase),
                    ),
                )
                score.set_xlabel("score")
        words = ". ".join(f"Bars {run.bars}: {ending(run, medium.lengths)}" for run in runs)
        return Picture(figure, medium, title, f"{words}. Events: {_told(runs, medium.lengths)}.", transparent)


def _told(runs: Sequence[Run], lengths: Lengths) -> str:
    return "; ".join(
        f"bars {run.bars}, {event.what} at {lengths.one(event.climb)}" for run in runs for event in run.events
    )
