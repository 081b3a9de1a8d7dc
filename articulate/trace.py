"""Climbs in detail: states at even steps of climb, and the events along the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import Climb
from articulate.lanes import take, take_fast
from articulate.model.balance import RampSystem
from articulate.model.measures import Measures, beyond_limits, body_points, measures
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles
from articulate.solve.path import PathNodes
from articulate.types import WHEELS, lateral_sign
from articulate.way_up import WayUp

Array = NDArray[np.float64]
Lanes = NDArray[np.intp]

REFINEMENTS = 12
CLIMB_TOLERANCE = 1e-6  # [m], of the climb at an event
SMALL_MOVE = 0.02  # [m]; a turning point that moves no wheel further is no danger (a tyre letting go of the toe)
SMALL_ROLL = float(np.radians(1.0))
RAMP_WIDTH = 0.6  # [m], of the ramp's lane where it is not said; common practice, no source


@dataclass(frozen=True)
class BodyPoint:
    """A named point of the body that may meet ramp or ground, at ride height."""

    name: str
    behind_front_axle: float  # [m]
    left_of_centre: float  # [m]
    height: float  # [m]


def named_points(names: Sequence[str], places: Array) -> tuple[BodyPoint, ...]:
    """Points of one vehicle from their names and places (points, 3) [m]: behind front axle, left of centre, height."""
    return tuple(BodyPoint(name, *map(float, place)) for name, place in zip(names, places, strict=True))


@dataclass(frozen=True, eq=False, repr=False)
class Watched(Brief):
    """What of one vehicle's body a climb watches: where tyres meet it, and where it meets ramp or ground."""

    arch_gap: Array = field(default_factory=lambda: np.full((1, 2), np.inf))  # (1, 2) [m], hub travel to the arch
    points: tuple[BodyPoint, ...] = ()
    ramp_width: float = RAMP_WIDTH  # [m], of the lane the wheel climbs on, centred on the wheel's track

    def seen_from(self, side: str) -> Watched:
        """The same of the vehicle as it is computed, its points mirrored on the right."""
        across = lateral_sign(side)
        points = tuple(replace(point, left_of_centre=across * point.left_of_centre) for point in self.points)
        return replace(self, points=points)


_WORDS = {  # of each kind: as it begins, as it ends
    "bump stop": ("{wheel} meets its bump stop", "{wheel} leaves its bump stop"),
    "droop stop": ("{wheel} is at full droop", "{wheel} comes back from full droop"),
    "coil": ("{wheel} coil leaves its seat", "{wheel} coil is back in its seat"),
    "arch": ("{wheel} tyre reaches its arch", "{wheel} tyre leaves its arch"),
    "ramp": ("{wheel} wheel meets the ramp", "{wheel} wheel leaves the ramp"),
    "bodywork": ("{point} touches", "{point} is clear again"),
    "jump": ("the vehicle settles by {distance:.0f} mm, {angle:.1f} deg of roll",) * 2,
    "settles": ("the vehicle settles by {distance:.0f} mm, {angle:.1f} deg of roll",) * 2,
}


@dataclass(frozen=True)
class Event:
    """Something that began or ended on the way up."""

    climb: float  # [m]
    kind: str  # "bump stop", "droop stop", "coil", "arch", "ramp", "bodywork", "jump", "settles"
    corner: int  # wheel index, -1 where it is none
    begins: bool  # False where it ends (a stop let go, a coil seated again)
    point: str = ""  # name of the point of the bodywork
    settled: tuple[float, float] = (0.0, 0.0)  # [m], [rad], by how much the wheels move and the body rolls in a jump

    @property
    def what(self) -> str:
        """In words of the trade, with the corner."""
        return _WORDS[self.kind][0 if self.begins else 1].format(
            wheel=WHEELS[self.corner] if self.corner >= 0 else "",
            point=self.point,
            distance=self.settled[0] * 1000.0,
            angle=np.degrees(self.settled[1]),
        )


@dataclass(frozen=True, eq=False, repr=False)
class Trace(Brief):
    """A climb in detail."""

    climb: Array  # (points,) [m]
    state: Array  # (points, 8)
    measures: Measures  # lanes are the points
    clearance: Array  # (points, body points) [m], of each body point over ramp or ground
    events: tuple[Event, ...]
    anchor: Array  # (points, 2, 2) [m], of the friction elements on the way to each state


@dataclass(frozen=True)
class _Watch:
    kind: str
    corner: int
    point: str = ""

    def event(self, climb: float, begins: bool) -> Event:
        return Event(climb, self.kind, self.corner, begins, self.point)


_CORNERS = {  # watched, by kind; the columns of signals have this order, then the body points
    "bump stop": range(4),
    "droop stop": range(4),
    "coil": range(4),
    "arch": range(4),
    "ramp": (2,),  # the rear wheel of the climbing side
}
_BODYWORK = "bodywork"


def _watches(points: Sequence[BodyPoint]) -> list[_Watch]:
    return [
        *(_Watch(kind, corner) for kind, corners in _CORNERS.items() for corner in corners),
        *(_Watch(_BODYWORK, -1, p.name) for p in points),
    ]


def body_clearance(
    system: RampSystem,
    test: RampTest,
    state: Array,
    climb: Array,
    points: Sequence[BodyPoint],
    lane_centre: float | Array,
    ramp_width: float,
) -> Array:
    """Height of body points over what lies below them, square to it, (lanes, points) [m].

    The ramp reaches half its width to each side of the climbing wheel's track, `lane_centre`, one or (lanes, 1) [m];
    what is further in or out is over the flat, whatever its height.
    """
    if not points:
        return np.empty((state.shape[0], 0))
    local = np.array([[p.behind_front_axle, p.left_of_centre, p.height] for p in points])
    place = body_points(
        system, system.posture(state, climb), state, np.broadcast_to(local, (state.shape[0], *local.shape))
    )
    angle = test.angle[:, None]
    over_ramp = place[:, :, 2] * np.cos(angle) - place[:, :, 0] * np.sin(angle)
    on_ramp = (place[:, :, 0] > 0.0) & (np.abs(place[:, :, 1] - lane_centre) <= 0.5 * ramp_width)
    return np.where(on_ramp, over_ramp, place[:, :, 2])


def _signals(vehicles: Vehicles, arch_gap: Array, found: Measures, clearance: Array) -> Array:
    """Signed event functions (lanes, watches): positive while the thing is so."""

    def corners(axle_values: Array) -> Array:
        return np.repeat(axle_values, 2, axis=1)

    bump, droop, coil = np.moveaxis(beyond_limits(found, vehicles), 1, 0)
    # Where the arch is met before the stop, it is the arch that ends the travel and is spoken of.
    arch_first = np.repeat(~vehicles.solid & (arch_gap <= vehicles.bump_gap), 2, axis=1)
    signals = {
        "bump stop": np.where(arch_first, -1.0, bump),
        "droop stop": droop,
        "coil": coil,
        "arch": np.maximum(found.hub_travel - corners(arch_gap), -1.0),
        "ramp": -found.ramp_gap[:, 1:2],
        _BODYWORK: -clearance,
    }
    return np.concatenate([signals[kind] for kind in (*_CORNERS, _BODYWORK)], axis=1)


class _Detail(WayUp):
    """The way up of some climbs with what is watched on it."""

    def __init__(self, vehicles: Vehicles, test: RampTest, nodes: PathNodes, watched: Watched) -> None:
        super().__init__(RampSystem.of(vehicles, test), nodes, np.ones(vehicles.lanes, dtype=bool))
        self.vehicles, self.test, self.watched = vehicles, test, watched
        self.begin = np.searchsorted(self.lane, np.arange(vehicles.lanes + 1))  # of each lane's nodes, and their end

    def segment(self, lane: Lanes, climb: Array) -> Lanes:
        """The nodes after which climbs of some lanes lie."""
        found = np.empty(lane.size, dtype=np.intp)
        for one, (begin, end) in enumerate(pairwise(self.begin)):
            mine = lane == one
            before = np.searchsorted(self.climb[begin:end], climb[mine], side="right") - 1
            found[mine] = begin + np.clip(before, 0, max(end - begin - 2, 0))
        return found

    def look(self, lane: Lanes, state: Array, climb: Array) -> tuple[Measures, Array, Array]:
        """Measures, clearance of the body's points, and signals of states of some lanes."""
        system, vehicles, body = self.system.take(lane), self.vehicles.take(lane), self.watched
        found = measures(system, state, climb)
        test, centre = take_fast(self.test, lane), 0.5 * vehicles.track[:, :1]
        clearance = body_clearance(system, test, state, climb, body.points, centre, body.ramp_width)
        return found, clearance, _signals(vehicles, np.repeat(body.arch_gap, lane.size, axis=0), found, clearance)

    def crossed(self, lane: Lanes, watch: Lanes, far: Array, near: Array, at_far: Array, at_near: Array) -> Array:
        """Climbs (k,) at which signals of some lanes change sign, each between two climbs.

        A limit that is met changes the slope of its signal just where it is zero, so the line is drawn through the
        nearer end and the last place on the same side of the zero, across it only at first or where it leads out.
        """
        before, at_before = np.full(lane.size, np.nan), np.full(lane.size, np.nan)  # on the side of the nearer end
        active = np.arange(lane.size)
        for _ in range(REFINEMENTS):
            if not active.size:
                break
            a, b, c = far[active], near[active], before[active]
            at_a, at_b, at_c = at_far[active], at_near[active], at_before[active]
            across = b - at_b * (b - a) / (at_b - at_a)
            with np.errstate(divide="ignore", invalid="ignore"):  # a level signal leads out
                along = b - at_b * (b - c) / (at_b - at_c)
            new = np.where((along - a) * (along - b) < 0.0, along, across)
            state = self.solved(self.segment(lane[active], new), new).state
            at_new = self.look(lane[active], state, new)[2][np.arange(active.size), watch[active]]
            same = (at_new > 0.0) == (at_b > 0.0)
            before[active], at_before[active] = np.where(same, b, a), np.where(same, at_b, at_a)
            far[active], at_far[active] = np.where(same, a, b), np.where(same, at_a, at_b)
            near[active], at_near[active] = new, at_new
            active = active[(np.abs(new - b) > CLIMB_TOLERANCE) & (at_new != 0.0)]
        return near

    def jumps(self) -> list[tuple[int, Event]]:
        """The lane of each node that was settled into, and an event with how far the wheels and the body moved."""
        after = np.flatnonzero(self.after_jump)
        if not after.size:
            return []
        both = np.concatenate([after - 1, after])
        found = measures(self.system.take(self.lane[both]), self.state[both], self.climb[both])
        half = after.size
        moved = np.abs(found.hub[half:] - found.hub[:half]).max(axis=(1, 2))
        rolled = np.abs(found.roll[half:] - found.roll[:half])
        return [
            (
                int(self.lane[k]),
                Event(
                    float(self.climb[k]),
                    "jump" if distance > SMALL_MOVE or angle > SMALL_ROLL else "settles",
                    -1,
                    True,
                    settled=(float(distance), float(angle)),
                ),
            )
            for k, distance, angle in zip(after, moved, rolled, strict=True)
        ]


def traces(
    vehicles: Vehicles,
    test: RampTest,
    climbed: Climb,
    lanes: Sequence[int],
    points: int = 81,
    watched: Watched | None = None,
) -> tuple[Trace, ...]:
    """The climbs of some lanes, solved afresh at even steps, with their events located; all at once.

    Args:
        vehicles: the batch that climbed.
        test: its tests.
        climbed: the result of `climb_to_unload`.
        lanes: which vehicles.
        points: number of states of each from first touch to the end.
        watched: what of their body the climbs watch, as seen from the side that climbs; nothing if None.

    Returns:
        A `Trace` of each lane; an event's climb is exact to about a micrometre between two states, and an event that
        begins and ends between two of them is not seen.
    """
    chosen, body = np.asarray(lanes, dtype=np.intp), Watched() if watched is None else watched
    place = np.full(vehicles.lanes, -1)
    place[chosen] = np.arange(chosen.size)
    mine = place[climbed.nodes.lane]
    nodes = replace(take(climbed.nodes, mine >= 0), lane=mine[mine >= 0])
    way = _Detail(vehicles.take(chosen), climbed.as_held(test).take(chosen), nodes, body)

    first, last = way.climb[way.begin[:-1]], way.climb[way.begin[1:] - 1]
    climb = np.linspace(first, last, points, axis=1)
    lane, s = np.repeat(np.arange(chosen.size), points), climb.ravel()
    segment = way.segment(lane, s)
    state = way.solved(segment, s).state
    state[points - 1 :: points] = climbed.state[chosen]
    found, clearance, signals = way.look(lane, state, s)

    watches, signal = _watches(body.points), signals.reshape(chosen.size, points, -1)
    who, row, watch = np.nonzero((signal[:, :-1] > 0.0) != (signal[:, 1:] > 0.0))
    before, after = signal[who, row, watch], signal[who, row + 1, watch]
    at = way.crossed(who, watch, climb[who, row], climb[who, row + 1], before, after.copy())
    events = [(int(one), watches[k].event(float(first[one]), True)) for one, k in np.argwhere(signal[:, 0] > 0.0)]
    events += [
        (int(one), watches[k].event(float(where), bool(begins)))
        for one, k, where, begins in zip(who, watch, at, after > 0.0, strict=True)
    ]
    events += way.jumps()
    events.sort(key=lambda event: event[1].climb)
    anchor = way.anchor(segment)

    def trace_of(one: int) -> Trace:
        rows = slice(one * points, (one + 1) * points)
        own = tuple(event for whose, event in events if whose == one)
        return Trace(climb[one], state[rows], take(found, rows), clearance[rows], own, anchor[rows])

    return tuple(trace_of(one) for one in range(chosen.size))
