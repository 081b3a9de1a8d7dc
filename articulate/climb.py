"""The main job in two functions: a vehicle at rest, and its climb up the ramp until a wheel unloads."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.errors import ArgumentError
from articulate.lanes import join, take
from articulate.model.balance import UNKNOWNS, RampSystem
from articulate.model.drive import level_holding_share
from articulate.model.ramp_test import FAR_BEFORE_TOE, RampTest
from articulate.model.tyre_contact import LEFT_RAMP
from articulate.model.vehicles import Vehicles
from articulate.model.watched import WatchedLoads
from articulate.solve.newton import Goal, Solution, settle_from, solve_at, toppled
from articulate.solve.path import End, PathEnd, PathNodes, Steps, follow
from articulate.wheelspin import first_spin, traction_at

Array = NDArray[np.float64]
Lanes = NDArray[np.intp]

LONGEST_CLIMB = 3.0  # wheelbases, where the ramp's length is not known
REAR_MEETS_RAMP = np.array([0.0, 0.6])  # rear tyre radii of climb, from where front and rear wheel are at one place
SHORT_STEP = 0.03  # [m], in there
OVERSHOOT = 0.1  # [m] of climb beyond the lift before creeping back
SHARE_TOLERANCE = 1e-4  # of the holding share by the drive: some 0.006 points of score
PLAIN_SHARES, MOST_SHARES = 5, 20  # climbs before the share is bisected, and in all
OTHER_WHEELS = np.array([1, 2, 3])  # front right, rear left, rear right


class Outcome(IntEnum):
    """How a climb ended; never mixed up."""

    WHEEL_LIFTS = 1
    RAMP_ENDS = 2
    EQUILIBRIUM_JUMPS = 3
    TIPS = 4
    NOT_CONVERGED = 5
    UNSTABLE_AT_REST = 6
    WHEELS_SPIN = 7
    FALLS_AT_REST = 8
    LIFTS_BEFORE_RAMP = 9

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
    Outcome.UNSTABLE_AT_REST: "the vehicle does not stand upright: its weight overturns what its springs hold up",
    Outcome.WHEELS_SPIN: "driven wheels spin before a wheel unloads: a limit of drive and grip, not of the suspension",
    Outcome.FALLS_AT_REST: "the vehicle falls over on level ground: its weight lies too far off the middle or too high",
    Outcome.LIFTS_BEFORE_RAMP: "a wheel is down to the touch load before the climbing wheel is on the ramp",
}
SCORED = (Outcome.WHEEL_LIFTS, Outcome.EQUILIBRIUM_JUMPS, Outcome.WHEELS_SPIN)  # these have a place and a score
CANNOT_STAND = (Outcome.NOT_CONVERGED, Outcome.UNSTABLE_AT_REST, Outcome.FALLS_AT_REST)  # no state to speak of


@dataclass(frozen=True, eq=False, repr=False)
class Climb(Brief):
    """Results of a batch of climbs, one a lane; values are NaN where the outcome gives none."""

    outcome: NDArray[np.intp]  # (lanes,) of `Outcome`
    climb: Array  # (lanes,) [m], s of the climbing hub at the end
    score: Array  # (lanes,), 1000 s / L of the end where the outcome is one of `SCORED`, else NaN
    wheel: NDArray[np.intp]  # (lanes,), index of the wheel that unloads, -1 if none
    wheel_load: Array  # (lanes, 4) [N], normal to the ground, at the end
    state: Array  # (lanes, 8), unknowns at the end
    start: Solution  # at rest on flat ground, at the climb of first touch
    jumps: NDArray[np.intp]  # (lanes,), turning points on the way
    nodes: PathNodes  # accepted points of the climb
    anchor: Array  # (lanes, 2, 2) [m], of the friction elements at the end
    holding_share: Array  # (lanes,), lambda it climbed with: as given, or by the drive in the last state
    spinning: NDArray[np.bool_]  # (lanes, 4), wheels that spin at the end
    friction_needed: Array  # (lanes,), the most that a state on the whole way needs; NaN where no drive is known
    outcome_without_spin: NDArray[
        np.intp
    ]  # (lanes,) of `Outcome`, the end with grip enough; `outcome` if nothing spins
    score_without_spin: Array  # (lanes,)
    wheel_without_spin: NDArray[np.intp]  # (lanes,)

    def as_held(self, test: RampTest) -> RampTest:
        """The tests with the holding share of each climb, by which its states are to be looked at again."""
        return test.held(self.holding_share)

    def block(self, lanes: slice) -> Climb:
        """The climbs of a block of lanes, counted from its start."""
        start, stop, _ = lanes.indices(self.climb.size)
        mine = (self.nodes.lane >= start) & (self.nodes.lane < stop)
        nodes = replace(take(self.nodes, mine), lane=self.nodes.lane[mine] - start)
        arrays = {f.name: getattr(self, f.name)[lanes] for f in fields(Climb) if f.name not in ("start", "nodes")}
        return Climb(**arrays, start=self.start.take(np.arange(start, stop)), nodes=nodes)


def settle(vehicles: Vehicles, test: RampTest) -> Solution:
    """The vehicles at rest on flat ground, just before the ramp.

    Their suspension carries no friction: so a vehicle stands that was rolled to the ramp and shaken. A lane is not
    `stable` where the vehicle, centred, would not stand upright, and neither `stable` nor `converged` where it falls.
    """
    return _settle(vehicles, test, RampSystem.of(vehicles.frictionless(), test)).rest


@dataclass(frozen=True, eq=False, repr=False)
class _Standing(Brief):
    """Vehicles on flat ground: at rest, and the same vehicles centred, in the upright state that may be unstable."""

    rest: Solution
    upright: Solution


def _settle(vehicles: Vehicles, test: RampTest, system: RampSystem) -> _Standing:
    """As `settle`; system: of the vehicles, without friction."""
    level = replace(
        vehicles.frictionless(),
        sprung_centre=vehicles.sprung_centre * np.array([1.0, 0.0, 1.0]),
        load_centre=vehicles.load_centre * np.array([1.0, 0.0, 1.0]),
        spring_drop=np.zeros_like(vehicles.spring_drop),
        tyre_share=np.ones_like(vehicles.tyre_share),
    )
    far = np.full(vehicles.lanes, FAR_BEFORE_TOE)
    zero = np.zeros((vehicles.lanes, UNKNOWNS))
    centred = RampSystem.of(level, test)
    upright = solve_at(centred, zero, far)
    _settle_again(centred, upright, np.flatnonzero(~upright.converged), zero, far)
    leaning = (vehicles.sprung_centre[:, 1] != 0.0) | (vehicles.load_centre[:, 1] * vehicles.load_mass != 0.0)
    leaning |= vehicles.spring_drop.any(axis=(1, 2)) | (vehicles.tyre_share != 1.0).any(axis=(1, 2))
    if not leaning.any():
        return _Standing(upright, upright)
    start = np.where(upright.converged[:, None], upright.state, 0.0)
    rest = solve_at(system, start, far)
    wrong = np.flatnonzero(~(rest.converged & rest.stable) & (upright.stable | ~upright.converged))
    _settle_again(system, rest, wrong, start, far)
    rest.stable[:] &= upright.stable | ~upright.converged
    return _Standing(rest, upright)


def _before_the_ramp(test: RampTest, stood: _Standing) -> NDArray[np.intp]:
    """Outcomes decided on level ground, (lanes,); 0 where the climb can begin."""
    rest, upright = stood.rest, stood.upright
    down = rest.margins <= np.where(np.arange(4) == 0, 0.0, test.touch_load[:, None])
    return np.select(
        [upright.converged & ~upright.stable, toppled(rest), ~(rest.converged & rest.stable), down.any(axis=1)],
        [Outcome.UNSTABLE_AT_REST, Outcome.FALLS_AT_REST, Outcome.NOT_CONVERGED, Outcome.LIFTS_BEFORE_RAMP],
        0,
    ).astype(np.intp)


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


def _steps(system: RampSystem, vehicles: Vehicles, longest_step: float, direction: float = 1.0) -> Steps:
    """How a path by `direction` x climb is followed.

    With friction strides are short where the rear wheel goes from the flat onto the ramp: there corners turn back and
    on again within a few centimetres.
    """
    if system.friction is None:
        return Steps(longest=longest_step)
    radius = vehicles.tyre_radius[:, 1]
    stretch = np.sort(direction * (vehicles.wheelbase + np.outer(REAR_MEETS_RAMP, radius)), axis=0)
    return Steps(longest=longest_step, crowded=(stretch[0], stretch[1]), longest_when_crowded=SHORT_STEP)


def climb_to_unload(vehicles: Vehicles, test: RampTest, longest_step: float = 0.3) -> Climb:
    """Drive the left front wheel of each vehicle up the ramp until another wheel is down to the touch load.

    Where the drive is known, the climb ends before that where wheels spin, and it has the holding share that the drive
    makes in its own last state (`share_by_drive` of the test), found by climbing again until it stands.

    Args:
        vehicles: the batch; mirror it for a run on the right.
        test: ramp and conditions, as many lanes.
        longest_step: of the path in climb [m]. Results do not depend on it, but for corners with friction that turn
            back unseen within a step: one vehicle in some hundreds moves by up to 0.1 %.

    Returns:
        A `Climb`: every lane ends in one named outcome.

    Raises:
        ArgumentError: vehicles and tests are not as many.
    """
    if vehicles.lanes != test.angle.size:
        raise ArgumentError(f"{vehicles.lanes} vehicles and {test.angle.size} tests; ramp_test({vehicles.lanes})")
    driven = bool(vehicles.drive_known.any())
    by_drive = vehicles.drive_known & test.share_by_drive
    if driven:
        level = level_holding_share(vehicles, test.angle)
        test = replace(test, holding_share=np.where(by_drive, level, test.holding_share))
    system = RampSystem.of(vehicles, test)
    stood = _settle(vehicles, test, replace(system, friction=None))
    lifted = _climb(system, stood, vehicles, test, longest_step)
    if not driven:
        return lifted

    def gripping(lanes: Lanes, share: Array) -> Climb:
        some, tests = vehicles.take(lanes), test.take(lanes).held(share)
        return _climb(RampSystem.of(some, tests), take(stood, lanes), some, tests, longest_step)

    def spinning(lanes: Lanes, share: Array) -> Climb:
        return _ended_by_spin(gripping(lanes, share), vehicles.take(lanes), test.take(lanes))

    lifted = _until_share_stands(lifted, vehicles, test, np.flatnonzero(by_drive), gripping)
    spun = _ended_by_spin(lifted, vehicles, test)
    spins = np.flatnonzero(by_drive & (spun.outcome == Outcome.WHEELS_SPIN))
    return replace(
        _until_share_stands(spun, vehicles, test, spins, spinning),
        friction_needed=spun.friction_needed,
        outcome_without_spin=lifted.outcome,
        score_without_spin=lifted.score,
        wheel_without_spin=lifted.wheel,
    )


def _until_share_stands(
    climbed: Climb, vehicles: Vehicles, test: RampTest, lanes: Lanes, run: Callable[[Lanes, Array], Climb]
) -> Climb:
    """Climb again in some lanes until each has the holding share that its drive makes in its own last state.

    Before the first time the last state itself is solved with the share made in it: of what it makes then the secant
    knows where to go. Where the share jumps with the state (another wheel lifts first) the climb is left where it
    jumps.

    run: climbs of lanes (k,) with shares (k,).
    """
    low, high = np.zeros(vehicles.lanes), np.ones(vehicles.lanes)
    before, off_before = np.full(vehicles.lanes, np.nan), np.full(vehicles.lanes, np.nan)
    for count in range(MOST_SHARES):
        share, made = climbed.holding_share[lanes], _share_made(climbed, vehicles, test, lanes)
        off = made - share
        low[lanes] = np.where(off > 0.0, share, low[lanes])
        high[lanes] = np.where(off < 0.0, share, high[lanes])
        moves = (np.abs(off) > SHARE_TOLERANCE) & (high[lanes] - low[lanes] > SHARE_TOLERANCE)
        lanes, made, share, off = lanes[moves], made[moves], share[moves], off[moves]
        if not lanes.size:
            break
        if count == 0:
            before[lanes], off_before[lanes] = made, _share_made(climbed, vehicles, test, lanes, made) - made
        with np.errstate(divide="ignore", invalid="ignore"):
            secant = share - off * (share - before[lanes]) / (off - off_before[lanes])
        before[lanes], off_before[lanes] = share, off
        aim = np.where(np.isfinite(secant), secant, made)
        between = (aim >= low[lanes]) & (aim <= high[lanes]) & (count < PLAIN_SHARES)
        share = np.where(between, aim, 0.5 * (low[lanes] + high[lanes]))
        climbed = _replaced(climbed, lanes, run(lanes, share))
    return climbed


def _share_made(climbed: Climb, vehicles: Vehicles, test: RampTest, lanes: Lanes, share: Array | None = None) -> Array:
    """Holding share that the drive makes in the last states of some lanes, (k,); NaN where a climb has none.

    share: (k,), with which the last state is solved anew first, where the same wheel is down to the touch load.
    """
    vehicles, test = vehicles.take(lanes), test.take(lanes)
    state, climb = climbed.state[lanes], climbed.climb[lanes]
    ended = np.isfinite(climb)
    climb = np.nan_to_num(climb)
    system = RampSystem.of(vehicles, test.held(climbed.holding_share[lanes] if share is None else share))
    if share is not None:
        system.set_anchor(climbed.anchor[lanes])
        lifts = climbed.outcome[lanes] == Outcome.WHEEL_LIFTS
        last = solve_at(system, state, climb, goal=Goal(np.where(lifts, climbed.wheel[lanes], -1), test.touch_load))
        state, climb, ended = last.state, last.parameter, ended & last.converged
    return np.where(ended, traction_at(system, vehicles, test, state, climb).holding_share, np.nan)


def _replaced(whole: Climb, lanes: Lanes, part: Climb) -> Climb:
    """Climbs with those of some lanes replaced."""
    arrays = {}
    for name in (f.name for f in fields(Climb) if f.name not in ("start", "nodes")):
        arrays[name] = getattr(whole, name).copy()
        arrays[name][lanes] = getattr(part, name)
    start = whole.start.take(np.arange(whole.climb.size))
    start.put(lanes, part.start)
    kept = ~np.isin(whole.nodes.lane, lanes)
    nodes = join([take(whole.nodes, kept), replace(part.nodes, lane=lanes[part.nodes.lane])])
    return Climb(**arrays, start=start, nodes=nodes)


def _ended_by_spin(climbed: Climb, vehicles: Vehicles, test: RampTest) -> Climb:
    """Climbs ended where wheels spin, with the holding share they have."""
    unsound = np.isin(climbed.outcome, (*CANNOT_STAND, Outcome.LIFTS_BEFORE_RAMP))
    asked = vehicles.drive_known & ~unsound
    spin = first_spin(vehicles, climbed.as_held(test), climbed.nodes, asked)
    lanes, at = spin.lanes, spin.solution
    fine = at.converged

    def put(name: str, values: Array | NDArray[np.bool_] | int) -> Array:
        array: Array = getattr(climbed, name).copy()
        array[lanes] = values
        return array

    nodes = climbed.nodes
    last = np.full(vehicles.lanes, nodes.lane.size)
    last[lanes] = spin.before
    kept = np.arange(nodes.lane.size) <= last[nodes.lane]
    ends = PathNodes(lanes, at.parameter, at.state, at.tangent, np.zeros(lanes.size, dtype=bool))
    climb = np.where(fine, at.parameter, np.nan)
    return replace(
        climbed,
        outcome=put("outcome", np.where(fine, Outcome.WHEELS_SPIN, Outcome.NOT_CONVERGED)).astype(np.intp),
        climb=put("climb", climb),
        score=put("score", np.maximum(1000.0 * climb / vehicles.wheelbase[lanes], 0.0)),  # in the corner: none yet
        wheel=put("wheel", -1).astype(np.intp),
        wheel_load=put("wheel_load", np.where(fine[:, None], np.maximum(at.margins, 0.0), np.nan)),
        state=put("state", at.state),
        jumps=np.bincount(nodes.lane[kept & nodes.after_jump], minlength=vehicles.lanes),
        nodes=join([take(nodes, kept), ends]),
        anchor=put("anchor", spin.anchor),
        spinning=put("spinning", spin.spinning & fine[:, None]).astype(bool),
        friction_needed=np.where(asked, spin.most_needed, np.nan),
    )


def _climb(system: RampSystem, stood: _Standing, vehicles: Vehicles, test: RampTest, longest_step: float) -> Climb:
    """The climbs with the holding share of the tests, and grip enough; no share counts for how they stand before."""
    rest = stood.rest
    before = _before_the_ramp(test, stood)
    touch = first_touch(system, rest)
    system.relax(rest.state)
    start = solve_at(system, rest.state, np.where(np.isfinite(touch), touch, FAR_BEFORE_TOE))
    stays = np.flatnonzero(before)
    start.put(stays, replace(rest, parameter=np.fmin(touch, 0.0), guards=start.guards).take(stays))
    start.stable[stays] = False  # no path begins there
    limit = np.minimum(test.length, LONGEST_CLIMB * vehicles.wheelbase)
    limit = np.maximum(limit, start.parameter)
    path = follow(system, start, limit, test.touch_load, OTHER_WHEELS, _steps(system, vehicles, longest_step))

    at = path.solution
    # The mark of a lift or jump before the toe line would lie off the ramp.
    too_early = np.isin(path.end, (End.CROSSED, End.JUMPED)) & (at.parameter < 0.0)
    outcome = np.select(
        [
            before != 0,
            too_early,
            path.end == End.CROSSED,
            path.end == End.LIMIT,
            path.end == End.JUMPED,
            path.end == End.LOST,
        ],
        [
            before,
            Outcome.LIFTS_BEFORE_RAMP,
            Outcome.WHEEL_LIFTS,
            Outcome.RAMP_ENDS,
            Outcome.EQUILIBRIUM_JUMPS,
            Outcome.TIPS,
        ],
        Outcome.NOT_CONVERGED,
    ).astype(np.intp)
    known = np.isin(outcome, (Outcome.WHEEL_LIFTS, Outcome.RAMP_ENDS, Outcome.EQUILIBRIUM_JUMPS))
    scored = np.isin(outcome, (Outcome.WHEEL_LIFTS, Outcome.EQUILIBRIUM_JUMPS))
    stands = known | (outcome == Outcome.LIFTS_BEFORE_RAMP)
    score = np.where(scored, 1000.0 * at.parameter / vehicles.wheelbase, np.nan)
    wheel = np.where(scored, path.which, -1)
    return Climb(
        outcome=outcome,
        climb=np.where(known | (outcome == Outcome.TIPS), at.parameter, np.nan),
        score=score,
        wheel=wheel,
        wheel_load=np.where(stands[:, None], np.maximum(at.margins, 0.0), np.nan),
        state=at.state,
        start=start,
        jumps=path.jumps,
        nodes=path.nodes,
        anchor=system.anchor,
        holding_share=test.holding_share.copy(),
        spinning=np.zeros((vehicles.lanes, 4), dtype=bool),
        friction_needed=np.full(vehicles.lanes, np.nan),
        outcome_without_spin=outcome,
        score_without_spin=score,
        wheel_without_spin=wheel,
    )


@dataclass(frozen=True, eq=False, repr=False)
class Descent(Brief):
    """Where the lifted wheel is down to the touch load again, one a lane; NaN where there is no such place."""

    climb: Array  # (lanes,) [m], s of the climbing hub
    score: Array  # (lanes,), 1000 s / L
    wheel_load: Array  # (lanes, 4) [N]
    end: NDArray[np.intp]  # (lanes,) of `End`: CROSSED where the wheel came down, else what failed; 0 without a lift


def _lifted(climbed: Climb, vehicles: Vehicles, test: RampTest) -> tuple[NDArray[np.intp], RampSystem]:
    """The lanes in which a wheel lifts, and their system with the friction it has there."""
    rows = np.flatnonzero(climbed.outcome == Outcome.WHEEL_LIFTS)
    system = RampSystem.of(vehicles.take(rows), climbed.as_held(test).take(rows))
    system.set_anchor(climbed.anchor[rows])
    return rows, system


def _descent(vehicles: Vehicles, rows: NDArray[np.intp], end: PathEnd, system: RampSystem, climb: Array) -> Descent:
    """The result of lanes `rows` from how their paths ended."""
    lanes = vehicles.lanes
    good = end.end == End.CROSSED
    load = np.maximum(system.evaluate(end.solution.state, climb).margins, 0.0)
    none = np.full(lanes, np.nan)
    found = Descent(none, none.copy(), np.full((lanes, 4), np.nan), np.zeros(lanes, dtype=np.intp))
    found.climb[rows] = np.where(good, climb, np.nan)
    found.score[rows] = 1000.0 * found.climb[rows] / vehicles.wheelbase[rows]
    found.wheel_load[rows] = np.where(good[:, None], load, np.nan)
    found.end[rows] = end.end
    return found


def creep_back(
    vehicles: Vehicles, test: RampTest, climbed: Climb, overshoot: float = OVERSHOOT, longest_step: float = 0.3
) -> Descent:
    """Drive on from the lift by `overshoot`, then back until the lifted wheel is down to the touch load again.

    On three wheels the loads follow from the centre of gravity alone, so suspensions hardly move while the wheel hangs
    and their friction does not turn over: steady driving comes back onto very nearly the same score, whatever the
    overshoot. `friction_turned_over` has the other end of what may be found.

    Args:
        vehicles: the batch that climbed.
        test: its tests.
        climbed: the result of `climb_to_unload`.
        overshoot: climb beyond the lift [m]; where another wheel unloads first, it turns back there.
        longest_step: as in `climb_to_unload`.

    Returns:
        A `Descent`, with numbers for the lanes in which a wheel lifted, the way on was stable and the wheel came down.
    """
    rows, system = _lifted(climbed, vehicles, test)
    on, wheel = vehicles.take(rows), climbed.wheel[rows]
    others = np.array([OTHER_WHEELS[lifted != OTHER_WHEELS] for lifted in wheel], dtype=np.intp).reshape(-1, 2)
    onward = WatchedLoads(system, 1.0, others)
    start = solve_at(onward, climbed.state[rows], climbed.climb[rows])
    top = follow(
        onward, start, start.parameter + overshoot, np.zeros(rows.size), np.arange(2), _steps(system, on, longest_step)
    )
    turns = np.isin(top.end, (End.LIMIT, End.CROSSED))
    back = WatchedLoads(system, -1.0, wheel[:, None])
    start = solve_at(back, top.solution.state, -top.solution.parameter)
    start.converged[:] &= turns
    steps = _steps(system, on, longest_step, direction=-1.0)
    down = follow(back, start, -climbed.start.parameter[rows], -test.touch_load[rows], np.arange(1), steps)
    down.end[~turns] = top.end[~turns]
    return _descent(vehicles, rows, down, system, -down.solution.parameter)


def friction_turned_over(vehicles: Vehicles, test: RampTest, climbed: Climb, longest_step: float = 0.3) -> Descent:
    """Where the lifted wheel comes down if at each corner the friction of the way up is turned to its opposite limit.

    So it would be found after rocking the vehicle, while the wheel hangs, until every corner has swung past its place
    and come back to it from the other side. It is the far end of the band of scores that friction leaves open; without
    friction it is the climbing score once more. Arguments and result as for `creep_back`, without its overshoot.
    """
    rows, system = _lifted(climbed, vehicles, test)
    wheel, state = climbed.wheel[rows, None], climbed.state[rows]
    system.turn_friction(state)
    held = WatchedLoads(system, 1.0, wheel, held=True)
    start = settle_from(held, state, climbed.climb[rows])
    limit = np.maximum(start.parameter, LONGEST_CLIMB * vehicles.wheelbase[rows])
    # Held at its limit friction is a constant force, which does not ask from where the vehicle comes.
    steps = _steps(system, vehicles.take(rows), longest_step)
    end = follow(held, start, limit, test.touch_load[rows], np.arange(1), steps)
    return _descent(vehicles, rows, end, system, end.solution.parameter)
