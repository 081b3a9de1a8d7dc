"""The words that every layer shares, and the one place that knows left from right.

Every climb is computed for the front left wheel. A run on the right is that of the mirrored vehicle
(`Vehicles.climbing`), and what it finds is put back into the vehicle's own left and right by the functions here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, Protocol, TypeVar, overload

import numpy as np
from numpy.typing import NDArray

from articulate.errors import ArgumentError

Indices = NDArray[np.intp]
OfRun = TypeVar("OfRun")
OfRun_co = TypeVar("OfRun_co", covariant=True)

Side = Literal["left", "right"]
Bars = Literal["connected", "released"]
SIDES: tuple[Side, ...] = ("left", "right")
BAR_STATES: tuple[Bars, ...] = ("connected", "released")
AXLES = ("front", "rear")
WHEELS = ("front left", "front right", "rear left", "rear right")  # the order of every array by wheel

ACROSS = np.array([1, 0, 3, 2])  # of each wheel the other one of its axle


@dataclass(frozen=True)
class Case:
    """One kind of run: the front wheel that climbs and the state of the bars."""

    side: str = "left"
    bars: str = "connected"

    def __post_init__(self) -> None:
        """Refuse a side or state that there is not: it would be climbed as the other one."""
        if self.side not in SIDES or self.bars not in BAR_STATES:
            raise ArgumentError(f"side {self.side!r}, bars {self.bars!r}: left or right; connected or released")


class BothStates(Protocol[OfRun_co]):
    """What was found of a vehicle with its bars connected and released; None where no bar can be released."""

    @property
    def connected(self) -> OfRun_co:
        """As it is driven."""

    @property
    def released(self) -> OfRun_co | None:
        """With every bar released that can be."""


def each_state(found: BothStates[OfRun]) -> tuple[OfRun, ...]:
    """What was found in each state of the bars that the vehicle has, connected first."""
    return (found.connected,) if found.released is None else (found.connected, found.released)


def mirrored(side: str) -> bool:
    """Whether the climb of a side is computed in the mirror."""
    return side == "right"


def other_side(side: str) -> Side:
    """The side across."""
    return "left" if mirrored(side) else "right"


def lateral_sign(side: str) -> float:
    """1 on the left, -1 on the right: for lateral places, roll and twist, which change their sign in the mirror."""
    return -1.0 if mirrored(side) else 1.0


def wheel_order(side: str) -> Indices:
    """Order that puts a computed climb's values by wheel into the vehicle's own, and back, (4,).

    It is its own inverse: `own = computed[:, wheel_order(side)]`.
    """
    return ACROSS if mirrored(side) else np.arange(4)


@overload
def own_wheel(wheel: int, side: str) -> int: ...
@overload
def own_wheel(wheel: Indices, side: str) -> Indices: ...
def own_wheel(wheel: int | Indices, side: str) -> int | Indices:
    """Index of a computed climb's wheel on the vehicle itself, and back; -1, none, stays. An int, or any shape."""
    own = np.where(np.asarray(wheel) >= 0, wheel_order(side)[wheel], -1)
    return own if isinstance(wheel, np.ndarray) else int(own)


def ramp_wheel(side: str) -> int:
    """Index of the front wheel that climbs, on the vehicle itself."""
    return own_wheel(0, side)
