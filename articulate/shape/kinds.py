"""Kinds of bodies and their proportions: plain shapes drawn for this tool, common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

KindName = Literal[
    "long wagon",
    "short wagon",
    "two-door",
    "single-cab pickup",
    "double-cab pickup",
    "forward-control van",
    "crossover",
]

LONG_WAGON_FROM = 2.7  # [m] of wheelbase
TWO_DOOR_UP_TO = 2.45
DOUBLE_CAB_FROM = 3.0


@dataclass(frozen=True)
class ShapeChoices:
    """What is said of the body's look, lengths [m] at the file's ride height; None where nothing is."""

    kind: KindName | None = None
    length: float | None = None
    width: float | None = None
    roof_height: float | None = None
    front_overhang: float | None = None
    rear_overhang: float | None = None
    bonnet_height: float | None = None


@dataclass(frozen=True)
class Proportions:
    """A kind of body.

    Places along are shares of the wheelbase behind the front axle, heights [m] over the hubs at a usual track.
    """

    front_overhang: float
    rear_overhang: float
    bonnet: float  # height of its leading edge
    cowl: float  # height and place of the foot of the windscreen
    cowl_at: float
    belt: float  # height of the foot of the side windows
    roof: float
    roof_from: float
    tail_lean: float  # how far ahead of the tail the roof ends, [m] at a usual track
    panes: tuple[tuple[float, float], ...]  # side windows, each from and to; the first follows the windscreen
    doors: tuple[float, ...]  # seams across the flank
    cab_to: float | None = None  # where a cab ends and the bed begins, None for a closed body
    spare: bool = False  # a spare wheel on the tail


KINDS: dict[KindName, Proportions] = {
    "long wagon": Proportions(
        0.30, 0.36, 0.60, 0.74, 0.24, 0.72, 1.47, 0.47, 0.16,
        ((0.30, 0.63), (0.66, 0.95), (0.99, 1.26)), (0.26, 0.645, 0.93),
    ),
    "short wagon": Proportions(
        0.31, 0.31, 0.60, 0.74, 0.25, 0.72, 1.45, 0.50, 0.18,
        ((0.32, 0.66), (0.69, 0.98), (1.03, 1.20)), (0.27, 0.675, 0.93),
    ),
    "two-door": Proportions(
        0.33, 0.30, 0.60, 0.72, 0.30, 0.70, 1.46, 0.46, 0.06,
        ((0.36, 0.80), (0.86, 1.17)), (0.31, 0.83), spare=True,
    ),
    "single-cab pickup": Proportions(
        0.28, 0.40, 0.60, 0.73, 0.25, 0.70, 1.42, 0.45, 0.05,
        ((0.30, 0.58),), (0.27, 0.61), cab_to=0.65,
    ),
    "double-cab pickup": Proportions(
        0.28, 0.40, 0.60, 0.73, 0.22, 0.70, 1.42, 0.42, 0.06,
        ((0.27, 0.53), (0.56, 0.75)), (0.24, 0.545, 0.77), cab_to=0.80,
    ),
    "forward-control van": Proportions(
        0.36, 0.40, 0.44, 0.78, -0.27, 0.80, 1.66, -0.02, 0.06,
        ((-0.10, 0.20), (0.28, 0.76), (0.82, 1.30)), (-0.16, 0.24, 0.79),
    ),
    "crossover": Proportions(
        0.33, 0.33, 0.46, 0.66, 0.22, 0.64, 1.27, 0.50, 0.34,
        ((0.33, 0.63), (0.66, 0.92), (0.96, 1.14)), (0.25, 0.645, 0.90),
    ),
}  # fmt: skip


def kind_of(construction: str, wheelbase: float) -> KindName:
    """The kind that is drawn where the file does not name one, by construction and wheelbase [m]."""
    if construction == "open pickup on ladder frame":
        return "double-cab pickup" if wheelbase >= DOUBLE_CAB_FROM else "single-cab pickup"
    if construction == "closed body":
        return "crossover"
    if wheelbase <= TWO_DOOR_UP_TO:
        return "two-door"
    return "long wagon" if wheelbase >= LONG_WAGON_FROM else "short wagon"
