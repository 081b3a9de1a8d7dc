"""How far the drive takes a vehicle up the ramp.

As filed and with more of it locked, or by the usual drives where the file does not say which wheels drive.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from articulate.climb import Climb, Outcome, climb_to_unload
from articulate.model.drive import friction_that_helps
from articulate.model.ramp_test import RampTest, ramp_test
from articulate.model.vehicles import Vehicles, stack
from articulate.spec import DriveChoices, VehicleSpec
from articulate.types import BAR_STATES, wheel_order

AS_FILED, ALL_OPEN = "as filed", "all differentials open"


@dataclass(frozen=True)
class DrivenEnd:
    """How one run ends with one drive."""

    bars: str
    outcome: Outcome
    score: float
    spinning: tuple[int, ...]  # wheels, in the vehicle's own left and right
    holding_share: float
    friction_needed: float  # the most on the way to the lift; infinite where no friction is enough
    outcome_without_spin: Outcome
    score_without_spin: float

    @property
    def reaches(self) -> bool:
        """Whether it gets as far as the suspension lets it."""
        return self.outcome == self.outcome_without_spin


@dataclass(frozen=True)
class DriveWay:
    """One way of being driven, with its ends: bars connected and, where a bar can be released, released."""

    name: str
    locked: tuple[str, ...]  # of centre, rear, front: locked beyond what the file says
    ends: tuple[DrivenEnd, ...]

    @property
    def reaches(self) -> bool:
        """Whether every run gets as far as the suspension lets it."""
        return all(end.reaches for end in self.ends)


@dataclass(frozen=True)
class DriveOutlook:
    """The ways looked at; the first is as filed where the drive is known."""

    drive: DriveChoices | None
    friction: float
    ways: tuple[DriveWay, ...]

    @property
    def least_locked(self) -> DriveWay | None:
        """The way with the fewest locks that gets there, the centre before the rear before the front; None if none."""
        there = [way for way in self.ways if way.reaches and way.name != ALL_OPEN]
        return min(there, key=lambda way: len(way.locked), default=None)


def _driven(vehicle: Vehicles, share: float, centre_locked: bool, rear_locked: bool = False) -> Vehicles:
    return replace(
        vehicle,
        drive_known=np.ones(1, dtype=bool),
        front_drive_share=np.full(1, share),
        centre_locked=np.full(1, centre_locked),
        torque_ratio=np.array([[1.0, 0.0 if rear_locked else 1.0]]),
    )


def _usual(vehicle: Vehicles) -> list[tuple[str, tuple[str, ...], Vehicles]]:
    """Drives that a vehicle may have; nothing is locked beyond what their names say."""
    return [
        ("rear drive", (), _driven(vehicle, 0.0, False)),
        ("front drive", (), _driven(vehicle, 1.0, False)),
        ("all, open centre", (), _driven(vehicle, 0.5, False)),
        ("all, centre locked", ("centre",), _driven(vehicle, 0.5, True)),
        ("and rear axle locked", ("centre", "rear axle"), _driven(vehicle, 0.5, True, rear_locked=True)),
    ]


def _locked(vehicle: Vehicles, parts: Sequence[str]) -> Vehicles:
    ratio = vehicle.torque_ratio * np.array([["front axle" not in parts, "rear axle" not in parts]])
    return replace(vehicle, torque_ratio=ratio, centre_locked=vehicle.centre_locked | ("centre" in parts))


def _of_file(vehicle: Vehicles, drive: DriveChoices) -> list[tuple[str, tuple[str, ...], Vehicles]]:
    """As filed, all open where it is not, and every set of what could be locked beside."""
    held = ("locked", "held by brakes")
    driven = [kind for kind in drive.differentials if kind is not None]
    free = [] if drive.centre != "open" else ["centre"]
    free += [
        f"{axle} axle"
        for axle, kind in (("rear", drive.differentials[1]), ("front", drive.differentials[0]))
        if kind is not None and kind not in held
    ]
    ways: list[tuple[str, tuple[str, ...], Vehicles]] = [(AS_FILED, (), vehicle)]
    if drive.centre == "locked" or any(kind != "open" for kind in driven):
        opened = replace(vehicle, torque_ratio=np.ones((1, 2)), centre_locked=np.zeros(1, dtype=bool))
        ways.append((ALL_OPEN, (), opened))
    for count in range(1, len(free) + 1):
        for parts in combinations(free, count):
            name = "all locked" if count == len(free) > 1 else " + ".join(part.split()[0] for part in parts) + " locked"
            ways.append((name, parts, _locked(vehicle, parts)))
    return ways


def _end(climbed: Climb, lane: int, bars: str, side: str) -> DrivenEnd:
    return DrivenEnd(
        bars=bars,
        outcome=Outcome(int(climbed.outcome[lane])),
        score=float(climbed.score[lane]),
        spinning=tuple(int(i) for i in np.flatnonzero(climbed.spinning[lane, wheel_order(side)])),
        holding_share=float(climbed.holding_share[lane]),
        friction_needed=friction_that_helps(float(climbed.friction_needed[lane])),
        outcome_without_spin=Outcome(int(climbed.outcome_without_spin[lane])),
        score_without_spin=float(climbed.score_without_spin[lane]),
    )


def drive_outlook(
    vehicle: Vehicles, spec: VehicleSpec, test: RampTest | None = None, side: str = "left"
) -> DriveOutlook:
    """How each way of being driven ends.

    Args:
        vehicle: a batch of one, built from the file.
        spec: the file, for what it says of the drive.
        test: ramp and conditions, a batch of one; the usual ramp if None.
        side: "left" or "right", of the wheel on the ramp.
    """
    conditions = ramp_test(1) if test is None else test
    ways = _usual(vehicle) if spec.drive is None else _of_file(vehicle, spec.drive)
    states = BAR_STATES if vehicle.releasable.any() else BAR_STATES[:1]
    lanes = stack([one.released() if bars == "released" else one for _, _, one in ways for bars in states])
    climbed = climb_to_unload(lanes.climbing(side), conditions.take(np.zeros(lanes.lanes, dtype=np.intp)))
    count = len(states)
    return DriveOutlook(
        drive=spec.drive,
        friction=float(conditions.friction[0]),
        ways=tuple(
            DriveWay(name, locked, tuple(_end(climbed, row * count + k, bars, side) for k, bars in enumerate(states)))
            for row, (name, locked, _) in enumerate(ways)
        ),
    )
