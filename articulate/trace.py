"""One vehicle's climb in detail: states at even steps of climb, and the events along the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import Climb
from articulate.lanes import take_fast
from articulate.model.balance import RampSystem
from articulate.model.measures import Measures, beyond_limits, body_points, measures
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles
from articulate.solve.newton import solve_at
from articulate.types import WHEELS, lateral_sign

Array = NDArray[np.float64]

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
    lane_centre: float,
    ramp_width: float,
) -> Array:
    """Height of body points over what lies below them, square to it, (lanes, points) [m].

    The ramp reaches half its width to each side of the climbing wheel's track; what is further in or out is over the
    flat, whatever its height.
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


def _signals(system: RampSystem, vehicles: Vehicles, arch_gap: Array, found: Measures, clearance: Array) -> Array:
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


def _spread(record: Vehicles | RampTest, points: int) -> Vehicles | RampTest:
    return record.take(np.zeros(points, dtype=np.intp))


def _jumps(base: RampSystem, climb: Array, state: Array, jumped: NDArray[np.bool_]) -> list[Event]:
    """Events for the nodes that were settled into, with how far the wheels and the body moved."""
    after = np.flatnonzero(jumped)
    if not after.size:
        return []
    both = np.concatenate([after - 1, after])
    found = measures(base.take(np.zeros(both.size, dtype=np.intp)), state[both], climb[both])
    half = after.size
    moved = np.abs(found.hub[half:] - found.hub[:half]).max(axis=(1, 2))
    rolled = np.abs(found.roll[half:] - found.roll[:half])
    return [
        Event(
            float(climb[k]),
            "jump" if distance > SMALL_MOVE or angle > SMALL_ROLL else "settles",
            -1,
            True,
            settled=(float(distance), float(angle)),
        )
        for k, distance, angle in zip(after, moved, rolled, strict=True)
    ]


def _anchors(base: RampSystem, state: Array) -> Array:
    """Anchors of the friction elements from each node of one lane on, (nodes, 2, 2) [m]."""
    system, only = base.take(np.zeros(1, dtype=np.intp)), np.zeros(1, dtype=np.intp)
    system.relax(state[:1])
    anchors = []
    for node in state:
        system.carry(only, node[None, :])
        anchors.append(system.anchor[0])
    return np.array(anchors)


def trace(
    vehicles: Vehicles, test: RampTest, climbed: Climb, lane: int = 0, points: int = 81, watched: Watched | None = None
) -> Trace:
    """The climb of one lane, solved afresh at even steps, with its events located.

    Args:
        vehicles: the batch that climbed.
        test: its tests.
        climbed: the result of `climb_to_unload`.
        lane: which vehicle.
        points: number of states from first touch to the end.
        watched: what of its body the climb watches, as seen from the side that climbs; nothing if None.

    Returns:
        A `Trace`; an event's climb is exact to about a micrometre between two states, and an event that begins and
        ends between two of them is not seen.
    """
    index = np.array([lane])
    one, one_test = vehicles.take(index), climbed.as_held(test).take(index)
    body = Watched() if watched is None else watched
    mine = climbed.nodes.lane == lane
    node_s, node_x = climbed.nodes.parameter[mine], climbed.nodes.state[mine]
    node_t, jumped = climbed.nodes.tangent[mine], climbed.nodes.after_jump[mine]

    base = RampSystem.of(one, one_test)
    anchors = _anchors(base, node_x)

    def solved(segment: NDArray[np.intp], s: Array) -> Array:
        """States at climbs s, each within the path segment that starts at node `segment`."""
        after = np.minimum(segment + 1, node_s.size - 1)
        h = np.maximum(node_s[after] - node_s[segment], 1e-12)
        f = ((s - node_s[segment]) / h)[:, None]
        guess = (
            (1 + 2 * f) * (1 - f) ** 2 * node_x[segment]
            + f * (1 - f) ** 2 * h[:, None] * node_t[segment]
            + f**2 * (3 - 2 * f) * node_x[after]
            + f**2 * (f - 1) * h[:, None] * node_t[after]
        )
        guess = np.where(jumped[after, None], node_x[segment], guess)
        system = base.anchored(np.zeros(s.size, dtype=np.intp), anchors[segment])
        return solve_at(system, guess, s, tolerance=1e-9).state

    def look(state: Array, s: Array) -> tuple[Measures, Array, Array]:
        lanes = s.size
        system = base.take(np.zeros(lanes, dtype=np.intp))
        found = measures(system, state, s)
        conditions = take_fast(one_test, np.zeros(lanes, dtype=np.intp))
        lane_centre = 0.5 * float(one.track[0, 0])
        clearance = body_clearance(system, conditions, state, s, body.points, lane_centre, body.ramp_width)
        spread = _spread(one, lanes)
        assert isinstance(spread, Vehicles)
        return found, clearance, _signals(system, spread, np.repeat(body.arch_gap, lanes, axis=0), found, clearance)

    s = np.linspace(node_s[0], node_s[-1], points)
    segment = np.clip(np.searchsorted(node_s, s, side="right") - 1, 0, max(node_s.size - 2, 0))
    state = solved(segment, s)
    state[-1] = climbed.state[lane]
    found, clearance, signal = look(state, s)

    watches = _watches(body.points)
    row, watch = np.nonzero((signal[:-1] > 0.0) != (signal[1:] > 0.0))
    events = [watches[k].event(float(s[0]), True) for k in np.flatnonzero(signal[0] > 0.0)]
    if row.size:
        low, high = s[row].copy(), s[row + 1].copy()
        f_low, f_high = signal[row, watch].copy(), signal[row + 1, watch].copy()
        begins = f_high > 0.0
        for _ in range(REFINEMENTS):
            # Regula falsi, its weight halved on the end that stays (Illinois).
            middle = high - f_high * (high - low) / (f_high - f_low)
            at = np.clip(np.searchsorted(node_s, middle, side="right") - 1, 0, max(node_s.size - 2, 0))
            f_middle = look(solved(at, middle), middle)[2][np.arange(row.size), watch]
            same = (f_middle > 0.0) == (f_high > 0.0)
            f_low = np.where(same, f_low * 0.5, f_high)
            low = np.where(same, low, high)
            high, f_high = middle, f_middle
            if (np.abs(high - low) < CLIMB_TOLERANCE).all() or (np.abs(f_middle) < 1e-9).all():
                break
        events += [watches[k].event(float(high[i]), bool(begins[i])) for i, k in enumerate(watch)]
    events += _jumps(base, node_s, node_x, jumped)
    events.sort(key=lambda event: event.climb)
    return Trace(s, state, found, clearance, tuple(events), anchors[segment])
