"""The main job in two functions: a vehicle at rest, and its climb up the ramp until a wheel unloads."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from articulate.model.balance import UNKNOWNS, RampSystem
from articulate.model.ramp_test import RampTest
from articulate.model.tyre_contact import LEFT_RAMP
from articulate.model.vehicles import Vehicles
from articulate.solve.newton import Solution, settle_from, solve_at
from articulate.solve.path import End, Nodes, Steps, follow

Array = NDArray[np.float64]

FAR_BEFORE_TOE = -50.0  # [m] of climb: no wheel meets the ramp
LONGEST_CLIMB = 3.0  # wheelbases, where the ramp's length is not known
OTHER_WHEELS = np.array([1, 2, 3])  # front right, rear left, rear right


class Outcome(IntEnum):
    """How a climb ended; never mixed up."""

    WHEEL_LIFTS = 1
    RAMP_ENDS = 2
    EQUILIBRIUM_JUMPS = 3
    TIPS = 4
    NOT_CONVERGED = 5
    UNSTABLE_AT_REST = 6

    @property
    def meaning(self) -> str:
        """One sentence for people."""
        return _MEANINGS[self]


_MEANINGS = {
    Outcome.WHEEL_LIFTS: "a wheel is down to the touch load",
    Outcome.RAMP_ENDS: "the ramp ends before a wheel unloads",
    Outcome.EQUILIBRIUM_JUMPS: "the vehicle jumps to another state, in which a wheel is off the ground",
    Outcome.TIPS: "the vehicle would tip: no stable state was found",
    Outcome.NOT_CONVERGED: "the solver found no answer; this is no statement about the vehicle",
    Outcome.UNSTABLE_AT_REST: "the vehicle does not stand upright: its weight overturns its roll stiffness",
}


@dataclass(frozen=True, eq=False)
class Climb:
    """Results of a batch of climbs, one a lane; values are NaN where the outcome gives none."""

    outcome: NDArray[np.intp]  # (lanes,) of `Outcome`
    climb: Array  # (lanes,) [m], s of the climbing hub at the end
    score: Array  # (lanes,), 1000 s / L where a wheel lifts or the vehicle jumps, else NaN
    wheel: NDArray[np.intp]  # (lanes,), index of the wheel that unloads, -1 if none
    wheel_load: Array  # (lanes, 4) [N], normal to the ground, at the end
    state: Array  # (lanes, 8), unknowns at the end
    start: Solution  # at rest on flat ground, at the climb of first touch
    jumps: NDArray[np.intp]  # (lanes,), turning points on the way
    nodes: Nodes  # accepted points of the climb

    def lanes(self, block: slice) -> Climb:
        """The climbs of a block of lanes, counted from its start."""
        start, stop, _ = block.indices(self.climb.size)
        mine = (self.nodes.lane >= start) & (self.nodes.lane < stop)
        nodes = Nodes(self.nodes.lane[mine] - start, *(getattr(self.nodes, f.name)[mine] for f in fields(Nodes)[1:]))
        arrays = {f.name: getattr(self, f.name)[block] for f in fields(Climb) if f.name not in ("start", "nodes")}
        return Climb(**arrays, start=self.start.take(np.arange(start, stop)), nodes=nodes)


def settle(vehicles: Vehicles, test: RampTest) -> Solution:
    """The vehicles at rest on flat ground, just before the ramp.

    A lane is `converged` but not `stable` where the vehicle, centred, would not stand upright.
    """
    level = replace(
        vehicles,
        sprung_centre=vehicles.sprung_centre * np.array([1.0, 0.0, 1.0]),
        load_centre=vehicles.load_centre * np.array([1.0, 0.0, 1.0]),
    )
    far = np.full(vehicles.lanes, FAR_BEFORE_TOE)
    zero = np.zeros((vehicles.lanes, UNKNOWNS))
    centred = RampSystem(level, test)
    upright = solve_at(centred, zero, far)
    _settle_again(centred, upright, np.flatnonzero(~upright.converged), zero, far)
    leaning = (vehicles.sprung_centre[:, 1] != 0.0) | (vehicles.load_centre[:, 1] * vehicles.load_mass != 0.0)
    if not leaning.any():
        return upright
    system = RampSystem(vehicles, test)
    start = np.where(upright.converged[:, None], upright.state, 0.0)
    rest = solve_at(system, start, far)
    wrong = np.flatnonzero(~(rest.converged & rest.stable) & upright.converged & upright.stable)
    _settle_again(system, rest, wrong, start, far)
    rest.stable[:] &= upright.stable
    return rest


def _settle_again(system: RampSystem, found: Solution, lanes: NDArray[np.intp], start: Array, parameter: Array) -> None:
    """Replace the solutions of some lanes by where the vehicle comes to rest from a start."""
    if lanes.size:
        found.put(lanes, settle_from(system.take(lanes), start[lanes], parameter[lanes]))


def first_touch(system: RampSystem, rest: Solution) -> Array:
    """Climb at which the left front tyre of the vehicle at rest first touches the ramp, (lanes,) [m].

    The tyre's distance from the ramp falls by sin(g)/cos(g) of the climb while the vehicle stands on the flat.
    """
    posture = system.posture(rest.state, rest.parameter)
    ramp = np.arctan2(system.ground.sine[:, 0, LEFT_RAMP], system.ground.cosine[:, 0, LEFT_RAMP])
    gap = -posture.contacts.penetration[:, 0, LEFT_RAMP]
    return np.asarray(rest.parameter + gap / np.tan(ramp))


def climb_to_unload(vehicles: Vehicles, test: RampTest, longest_step: float = 0.3) -> Climb:
    """Drive the left front wheel of each vehicle up the ramp until another wheel is down to the touch load.

    Args:
        vehicles: the batch; mirror it for a run on the right.
        test: ramp and conditions, as many lanes.
        longest_step: of the path in climb [m]; results do not depend on it.

    Returns:
        A `Climb`: every lane ends in one named outcome.
    """
    system = RampSystem(vehicles, test)
    rest = settle(vehicles, test)
    touch = first_touch(system, rest)
    start = solve_at(system, rest.state, np.where(np.isfinite(touch), touch, FAR_BEFORE_TOE))
    start.stable[:] &= rest.stable
    limit = np.minimum(test.length, LONGEST_CLIMB * vehicles.wheelbase)
    limit = np.maximum(limit, start.parameter)
    path = follow(system, start, limit, test.touch_load, OTHER_WHEELS, Steps(longest=longest_step))

    outcome = np.select(
        [
            rest.converged & ~rest.stable,
            path.end == End.CROSSED,
            path.end == End.LIMIT,
            path.end == End.JUMPED,
            path.end == End.LOST,
        ],
        [
            Outcome.UNSTABLE_AT_REST,
            Outcome.WHEEL_LIFTS,
            Outcome.RAMP_ENDS,
            Outcome.EQUILIBRIUM_JUMPS,
            Outcome.TIPS,
        ],
        Outcome.NOT_CONVERGED,
    ).astype(np.intp)
    known = np.isin(outcome, (Outcome.WHEEL_LIFTS, Outcome.RAMP_ENDS, Outcome.EQUILIBRIUM_JUMPS))
    scored = np.isin(outcome, (Outcome.WHEEL_LIFTS, Outcome.EQUILIBRIUM_JUMPS))
    at = path.solution
    return Climb(
        outcome=outcome,
        climb=np.where(known | (outcome == Outcome.TIPS), at.parameter, np.nan),
        score=np.where(scored, 1000.0 * at.parameter / vehicles.wheelbase, np.nan),
        wheel=np.where(scored, path.which, -1),
        wheel_load=np.where(known[:, None], np.maximum(at.margins, 0.0), np.nan),
        state=at.state,
        start=start,
        jumps=path.jumps,
        nodes=path.nodes,
    )
