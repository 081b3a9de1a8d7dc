"""What there would be to see in many possible vehicles: their climbs, their posture at the mark and at rest."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import SCORED, climb_to_unload
from articulate.lanes import join, take
from articulate.model.balance import RampSystem
from articulate.model.measures import Measures, measures
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles, stack
from articulate.types import Case, lateral_sign, wheel_order

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, repr=False)
class Stops(Brief):
    """The bump stops of axles on which the tyre meets its arch before them."""

    gap: Array  # (lanes, 2) [m], at ride height
    half_base: Array  # (lanes, 2) [m], half the track where they act at the wheel
    half_track: Array  # (lanes, 2) [m]

    @staticmethod
    def of(vehicles: Vehicles) -> Stops:
        """Of vehicles whose stops are in place."""
        half_track = 0.5 * vehicles.track
        return Stops(vehicles.bump_gap, np.where(vehicles.solid, vehicles.bump_half_base, half_track), half_track)

    def take(self, lanes: slice | NDArray[np.intp]) -> Stops:
        """The stops of the chosen lanes (k,)."""
        return Stops(self.gap[lanes], self.half_base[lanes], self.half_track[lanes])

    def left_over(self, hub_travel: Array) -> Array:
        """Gap left over each stop, (lanes, 4) [m], at hub travels (lanes, 4) [m]: an axle turns about its middle."""
        wheels = hub_travel.reshape(-1, 2, 2)
        middle = wheels.mean(axis=2, keepdims=True)
        at_stop = middle + (wheels - middle) * (self.half_base / self.half_track)[:, :, None]
        return np.asarray((self.gap[:, :, None] - at_stop).reshape(-1, 4))


@dataclass(frozen=True, eq=False, repr=False)
class Subject(Brief):
    """The vehicles that really stand there and the ramp they really climb; one lane a point."""

    vehicles: Vehicles
    test: RampTest
    arch_gap: Array  # (lanes, 2) [m], infinite where the file gives none
    heading: Array | None = None  # (lanes,) [rad], between the vehicle's line and the ramp's; None: along it
    give: Array | None = None  # (lanes, 2) [m/N], of the ramp, and of the floor under the rear wheels; None: firm
    stops: Stops | None = None  # where something else takes the bump stops' place in `vehicles`; None: they are there

    def take(self, lanes: slice | NDArray[np.intp]) -> Subject:
        """The chosen lanes."""
        heading, give = (None if one is None else one[lanes] for one in (self.heading, self.give))
        stops = None if self.stops is None else self.stops.take(lanes)
        return Subject(self.vehicles.take(lanes), self.test.take(lanes), self.arch_gap[lanes], heading, give, stops)

    @property
    def ramp_angle(self) -> Array:
        """Of the ramp itself, (lanes,) [rad]: one that is climbed at an angle is steeper than the way up it."""
        if self.heading is None:
            return self.test.angle
        return np.asarray(np.arcsin(np.minimum(np.sin(self.test.angle) / np.cos(self.heading), 1.0)))

    def in_case(self, case: Case) -> Vehicles:
        """The vehicles as they climb in a case, if the bars are as they are called; not yet mirrored."""
        return self.vehicles.released() if case.bars == "released" else self.vehicles


@dataclass(frozen=True, eq=False, repr=False)
class AtMark(Brief):
    """One kind of run where it ends; NaN where no wheel lifts. Wheels in the vehicle's own left and right."""

    climb: Array  # (points,) [m]
    contest: Array  # (points,) [N], what the other front wheel still carries; minus the rear one's if that is left
    hub_height: Array  # (points,) [m], of the climbing hub over the floor
    hub_distance: Array  # (points,) [m], of the climbing hub from the ramp
    roll: Array  # (points,) [rad], of the body, left side up
    twist: Array  # (points,) [rad], of the frame: the front rolls by half of it more than the mean
    pitch: Array  # (points,) [rad]
    wheel_load: Array  # (points, 4) [N], normal to the ground
    hub_travel: Array  # (points, 4) [m], from ride height, bump positive
    stop_gap: Array  # (points, 4) [m], left over each bump stop, zero where it is met
    tyre_gap: Array  # (points, 4) [m], left between each tyre and its arch

    def further(self, factor: Array, angle: Array) -> AtMark:
        """The same runs with climb and posture so many times as far; loads and the wheel that lifts stay.

        factor: (points,). angle: of the ramp, (points,) [rad].
        """
        more = (factor - 1.0)[:, None] * self.hub_travel
        return replace(
            self,
            climb=factor * self.climb,
            hub_height=self.hub_height + (factor - 1.0) * self.climb * np.sin(angle),
            roll=factor * self.roll,
            twist=factor * self.twist,
            pitch=factor * self.pitch,
            hub_travel=self.hub_travel + more,
            stop_gap=np.where(self.stop_gap > 0.0, np.maximum(self.stop_gap - more, 0.0), self.stop_gap),
            tyre_gap=np.where(self.tyre_gap > 0.0, np.maximum(self.tyre_gap - more, 0.0), self.tyre_gap),
        )


@dataclass(frozen=True, eq=False, repr=False)
class Worlds(Brief):
    """Everything that could be seen of a population with one cause at work."""

    subject: Subject
    runs: Mapping[Case, AtMark]
    rest_load: Array  # (points, 4) [N]
    rest_hub: Array  # (points, 4) [m], height of each hub over the floor
    rest_bump: Array  # (points, 4) [m], gap over each bump stop
    rest_droop: Array  # (points, 4) [m], how far each stop lets the wheel fall

    @property
    def points(self) -> int:
        """How many vehicles."""
        return self.subject.vehicles.lanes

    def taped(self, case: Case) -> Array:
        """Distance of a run's mark from the toe, square to it, (points,) [m]: less than a way up that is askew."""
        climb, heading = self.runs[case].climb, self.subject.heading
        return climb if heading is None else climb * np.cos(heading)

    def at_rest_as(self, other: Worlds, lanes: slice | NDArray[np.intp]) -> Worlds:
        """The same, standing at rest as the chosen lanes of others, as many, do."""
        return replace(
            self,
            rest_load=other.rest_load[lanes],
            rest_hub=other.rest_hub[lanes],
            rest_bump=other.rest_bump[lanes],
            rest_droop=other.rest_droop[lanes],
        )


def _stop_gaps(vehicles: Vehicles, stops: Sequence[tuple[slice, Stops]], at: Measures) -> Array:
    """Gap left over each bump stop, (lanes, 4) [m], below zero where it is pressed.

    stops: those of lanes in which something else takes their place.
    """
    gap = np.repeat(vehicles.bump_gap, 2, axis=1) - at.bump_displacement
    for lanes, mine in stops:
        gap[lanes] = mine.left_over(at.hub_travel[lanes])
    return gap


def _at_mark(
    arch: Array, angle: Array, climb: Array, wheel: NDArray[np.intp], at: Measures, gap: Array, side: str
) -> AtMark:
    """Runs on one side; `wheel`, `at` and `gap` are those of the mirrored vehicle on the right."""
    swap, sign = wheel_order(side), lateral_sign(side)
    lost = ~np.isfinite(climb)

    def known(values: Array) -> Array:
        values = values.copy()
        values[lost] = np.nan
        return values

    contest = np.where(wheel == 1, -at.wheel_load[:, 2], at.wheel_load[:, 1])
    hub = at.hub[:, 0]
    return AtMark(
        climb=climb,
        contest=known(contest),
        hub_height=known(hub[:, 2]),
        hub_distance=known(hub[:, 2] * np.cos(angle) - hub[:, 0] * np.sin(angle)),
        roll=known(sign * at.roll),
        twist=known(sign * at.twist),
        pitch=known(at.pitch),
        wheel_load=known(at.wheel_load)[:, swap],
        hub_travel=known(at.hub_travel)[:, swap],
        stop_gap=known(np.maximum(gap, 0.0))[:, swap],
        tyre_gap=known(np.maximum(np.repeat(arch, 2, axis=1) - at.hub_travel, 0.0))[:, swap],
    )


def see(variants: Sequence[tuple[Subject, Mapping[Case, Vehicles]]], cases: Sequence[Case]) -> list[Worlds]:
    """Climb every variant of the population in every case, all in one batch: one case after the other.

    Args:
        variants: subjects, each with the vehicles that climb in each case (bars as they really are).
        cases: kinds of run; a run on the right is that of the mirrored vehicle.
    """
    subjects = [subject for subject, _ in variants]
    ends = np.cumsum([0, *(subject.vehicles.lanes for subject in subjects)])
    places = [slice(start, end) for start, end in pairwise(ends.tolist())]  # of the variants, in every case
    stops = [(place, one.stops) for place, one in zip(places, subjects, strict=True) if one.stops is not None]
    climbing = [stack([vehicles[case] for _, vehicles in variants]).climbing(case.side) for case in cases]
    everything = stack(climbing)
    test = join([subject.test for subject in subjects] * len(cases))
    climbed = climb_to_unload(everything, test)
    system = RampSystem.of(everything, climbed.as_held(test))
    end = measures(system, climbed.state, np.where(np.isfinite(climbed.climb), climbed.climb, 0.0))
    climb = np.where(np.isin(climbed.outcome, SCORED), climbed.climb, np.nan)

    arch, lanes = np.concatenate([subject.arch_gap for subject in subjects]), int(ends[-1])
    runs = {}
    for k, case in enumerate(cases):
        block = slice(k * lanes, (k + 1) * lanes)
        at = take(end, block)
        gap = _stop_gaps(climbing[k], stops, at)
        runs[case] = _at_mark(arch, test.angle[block], climb[block], climbed.wheel[block], at, gap, case.side)

    stands = np.arange(lanes)  # alike in all cases
    rest = measures(system.take(stands), climbed.start.state[stands], climbed.start.parameter[stands])
    swap = wheel_order(cases[0].side)
    bump = _stop_gaps(climbing[0], stops, rest)
    droop = np.repeat(climbing[0].droop_gap, 2, axis=1) - rest.droop_displacement
    at_rest = [part[:, swap] for part in (rest.wheel_load, rest.hub[:, :, 2], bump, droop)]
    return [
        Worlds(subject, {case: take(run, place) for case, run in runs.items()}, *(part[place] for part in at_rest))
        for subject, place in zip(subjects, places, strict=True)
    ]
