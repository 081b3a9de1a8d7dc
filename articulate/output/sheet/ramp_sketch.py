"""A sketch of the ramp with the marks to expect, to scale, as plain shapes for any drawing surface."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from articulate.output.units import Lengths
from articulate.studies.day.plan import DayPlan

Point = tuple[float, float]
Pen = Literal["floor", "ramp", "guide", "band", "mark", "wheel"]
LINE_ROOM = 0.14  # of the sketch's height, between two labels


@dataclass(frozen=True)
class Stroke:
    """A line through points [m]; closed where the last meets the first."""

    points: tuple[Point, ...]
    pen: Pen


@dataclass(frozen=True)
class Ring:
    """A circle [m]."""

    centre: Point
    radius: float
    pen: Pen


@dataclass(frozen=True)
class Label:
    """A line of text; `at` is its left, middle or right on the base line [m]."""

    at: Point
    text: str
    anchor: Literal["start", "middle", "end"] = "start"


@dataclass(frozen=True)
class Sketch:
    """Shapes in metres, x along the floor from the toe, z up, and the frame that holds them."""

    shapes: tuple[Stroke | Ring | Label, ...]
    left: float
    right: float
    top: float
    bottom: float
    caption: str  # the same in words


def _apart(heights: Sequence[float], room: float) -> list[float]:
    """Heights moved apart so that neighbours have room; order kept, the middle kept."""
    order = sorted(range(len(heights)), key=lambda i: heights[i])
    placed = list(heights)
    for lower, upper in itertools.pairwise(order):
        lack = room - (placed[upper] - placed[lower])
        if lack > 0.0:
            placed[lower] -= lack / 2.0
            placed[upper] += lack / 2.0
    return placed


def ramp_sketch(plan: DayPlan, lengths: Lengths) -> Sketch:
    """Draw the ramp the test needs, the marks of both bar states with their bands, and the tyre at the first mark."""
    need, slope = plan.ramp, math.tan(plan.angle)
    length = need.length if math.isfinite(need.length) else plan.wheelbase
    along, rise = length * math.cos(plan.angle), length * math.sin(plan.angle)
    scored = [run for run in plan.runs if math.isfinite(run.nominal.score)]
    radius = need.spare
    left = -1.0 * along
    shapes: list[Stroke | Ring | Label] = [
        Stroke(((left, 0.0), (along * 1.02, 0.0)), "floor"),
        Stroke(((0.0, 0.0), (along, rise), (along, 0.0)), "ramp"),
        Label(
            (along * 0.985, rise * 0.06),
            f"{math.degrees(plan.angle):g}°, {lengths.far(length).partition(',')[0]} of slope",
            "end",
        ),
    ]
    top = max(rise, *(run.nominal.hub_height + radius for run in scored), 0.0) if scored else rise
    if scored:
        first = scored[0].nominal
        foot = (first.climb * math.cos(plan.angle), first.mark_height)
        reach = (first.hub_height - first.mark_height) / math.cos(plan.angle)
        hub = (foot[0] - reach * math.sin(plan.angle), first.hub_height)
        shapes += [Ring(hub, radius, "wheel"), Stroke((hub, foot), "guide")]
    heights = _apart([run.nominal.mark_height for run in scored], LINE_ROOM * top)
    for run, height in zip(scored, heights, strict=True):
        mark = run.nominal.mark_height
        if math.isfinite(run.mark_height.low):
            low, high = run.mark_height.low, run.mark_height.high
            shapes.append(Stroke(((low / slope, low), (high / slope, high)), "band"))
        elbow = along * 0.04
        shapes += [
            Stroke(((mark / slope, mark), (elbow, mark), (elbow + left * 0.08, height), (left, height)), "guide"),
            Ring((mark / slope, mark), 0.012 * along, "mark"),
            Label((left, height + 0.014 * top), f"{run.bars} {lengths.tape(mark)}"),
        ]
    words = "; ".join(
        f"bars {run.bars}: mark {' or '.join(lengths.tape(run.nominal.mark_height).split(', '))} over the floor"
        for run in scored
    )
    return Sketch(
        tuple(shapes),
        left * 1.01,
        along * 1.04,
        top * 1.03,
        -0.03 * along,
        f"The ramp to scale with the marks to expect. {words or 'No mark is expected.'}",
    )
