"""Follow the equilibria of F(x, s) = 0 in s until a watched margin first falls to its threshold.

From the last accepted state a lane strides on along the tangent; where the margins' rates say that one of them
comes down within the stride, the lane aims instead: it solves for that margin at its threshold, the parameter
unknown too. So a lift is found also where no equilibrium lies beyond it.

A state is accepted only if it is the one the last leads to: it converged, it is stable, and the change of every
unknown lies between what the tangents at the two ends predict (with one kink in between it must). Otherwise the
stride is shortened; where the shortest fails, the equilibrium has turned back (or ended), and the system settles
from the last stable state to the next one. Whether a margin dips below its threshold and recovers inside a stride
is bounded by the tangents at both ends; where it might, the stride is shortened too.

A system may remember the way it came (dry friction does). It is then shown every accepted state, and a stride is
shortened where what it cannot remember of it matters, and where the forces leap in it: up to the leap, and over it in
a short one. A turning point is settled with the memory of the last state before it: what the fall leaves behind is as
if it had gone straight to where it ends.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.compiled.library import Strides
from articulate.lanes import put, take_fast
from articulate.solve.newton import Goal, Solution, System, settle_from, solve_at, toppled

Array = NDArray[np.float64]
Lanes = NDArray[np.intp]


class End(IntEnum):
    """How a path ended."""

    RUNNING = 0
    CROSSED = 1  # a margin came down to its threshold
    LIMIT = 2  # the parameter's limit came first
    JUMPED = 3  # the equilibrium turned back, and in the state it fell to a margin is below its threshold
    LOST = 4  # it turned back, and what settles from there leaves all bounds
    FAILED = 5  # a solve did not converge where one should, or what settles came to no end


@dataclass(frozen=True, eq=False, repr=False)
class PathNodes(Brief):
    """Accepted points of the paths in the order found; `lane` says whose each is."""

    lane: Lanes  # (points,)
    parameter: Array  # (points,)
    state: Array  # (points, m)
    tangent: Array  # (points, m)
    after_jump: NDArray[np.bool_]  # (points,), the state was settled into


@dataclass(frozen=True, eq=False, repr=False)
class PathEnd(Brief):
    """Ends of a batch of paths."""

    end: Lanes  # (lanes,) of `End`
    which: Lanes  # (lanes,), the margin that came down, -1 if none
    solution: Solution  # at the end; for JUMPED the state landed in
    jumps: Lanes  # (lanes,), turning points met on the way
    nodes: PathNodes


@dataclass(frozen=True)
class Steps:
    """How a path is followed; lengths in units of the parameter."""

    first: float = 0.1
    longest: float = 0.3
    shortest: float = 1e-5  # where it fails too, the path has turned back
    loss: float = 1e-5  # of the residual, by what a system cannot remember of a stride
    slack: float = 1e-3  # departure of an unknown from the tangents' prediction that is still no jump
    tolerance: float = 1e-4  # of the residual on the way (see `solve_at`: the error left is far less)
    tolerance_at_end: float = 1e-9
    longest_when_crowded: float = 0.3
    iterations: int = 7
    most: int = 2000  # strides and aims of one path
    crowded: tuple[Array, Array] | None = (
        None  # (lanes,) each, a stretch on which so much happens that strides stay short
    )


@dataclass(frozen=True, eq=False, repr=False)
class Bounds(Brief):
    """Between what each path is followed, (lanes,)."""

    limit: Array  # of the parameter
    threshold: Array  # of the margins
    crowded_from: Array  # the parameter
    crowded_to: Array


@dataclass(frozen=True, eq=False, repr=False)
class Plan(Brief):
    """What each path tries next, (lanes,)."""

    step: Array  # of a stride
    aim: Lanes  # margin aimed at, -1 for a stride
    distance: Array  # to where it should be down
    tries: Lanes  # so far


@dataclass(frozen=True, eq=False, repr=False)
class StrideVerdict(Brief):
    """What became of a stride or aim, (lanes,) each."""

    onward: NDArray[np.bool_]  # the state is the path's next
    end: Lanes  # of `End`
    which: Lanes  # the margin that came down; where none did, without meaning
    plan: Plan
    held: NDArray[np.bool_]  # the shortest stride failed


ABOVE = 1e-5  # [unit of the margins]: a margin is located so much above its threshold, on the path's side of it
FIRST = 1e-3  # [unit of the margins]: so far down no other margin may be there
AIM_AHEAD = 1.25  # strides
OVER_A_LEAP = 2e-4  # [unit of the parameter], longest stride of a path with memory over a place where the forces leap
SLACK_OVER_A_LEAP = 5e-3  # as `Steps.slack`, for such a stride
SETTLE_BEYOND = (4e-5, 1e-3, 1e-2)  # [unit of the parameter], tried in turn


def _least_margin(low: Solution, high: Solution, step: Array, watched: Lanes) -> Array:
    """Lower bound of the watched margins inside a step: where the end tangents meet, (lanes, k)."""
    a, b = low.margins[:, watched], high.margins[:, watched]
    ra, rb = low.margin_rates[:, watched], high.margin_rates[:, watched]
    h = step[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        meet = (b - a - rb * h) / (ra - rb)
    inside = (ra < 0.0) & (rb > 0.0) & (meet > 0.0) & (meet < h)
    return np.where(inside, a + ra * np.where(inside, meet, 0.0), np.minimum(a, b))


def _consistent(low: Solution, high: Solution, step: Array, slack: Array) -> NDArray[np.bool_]:
    """Whether the change of every unknown is what the tangents at both ends allow."""
    h = step[:, None]
    first, second = low.tangent * h, high.tangent * h
    change = high.state - low.state
    spread = 0.25 * np.abs(second - first) + slack[:, None]
    bottom, top = np.minimum(first, second) - spread, np.maximum(first, second) + spread
    return np.asarray(((change >= bottom) & (change <= top)).all(axis=1))


def _least(values: Array, names: Lanes) -> tuple[Array, Lanes]:
    """Least of each lane's values (lanes, k), the first of equals, and its name of `names` (k,)."""
    least, name = values[:, 0], np.zeros(values.shape[0], dtype=np.intp) + names[0]
    for k in range(1, values.shape[1]):
        less = values[:, k] < least
        least, name = np.where(less, values[:, k], least), np.where(less, names[k], name)
    return least, name


def _height(solution: Solution, bounds: Bounds, watched: Lanes) -> Array:
    """Watched margins over their threshold, (lanes, k)."""
    return np.asarray(solution.margins[:, watched] - bounds.threshold[:, None])


def aim_from(now: Solution, step: Array, bounds: Bounds, watched: Lanes) -> tuple[Lanes, Array]:
    """The margin whose rate brings it down about within the next stride, -1 where none does; how far off, (lanes,)."""
    rates = now.margin_rates[:, watched]
    falling = rates < 0.0
    distance = np.where(falling, _height(now, bounds, watched) / np.where(falling, -rates, 1.0), np.inf)
    nearest, first = _least(distance, watched)
    reach = np.minimum(AIM_AHEAD * step, bounds.limit - now.parameter)
    return np.where(nearest <= reach, first, -1), nearest


def short_where_crowded(step: Array, parameter: Array, bounds: Bounds, longest: float) -> Array:
    """Steps (lanes,) from where the parameter is, kept short on the crowded stretch and up to it."""
    kept = np.minimum(step, np.maximum(bounds.crowded_from - parameter, longest))
    return np.where(parameter < bounds.crowded_to, kept, step)


def attempt_of(low: Solution, plan: Plan, bounds: Bounds, steps: Steps) -> tuple[Array, Array, Array, Goal]:
    """State (lanes, m) and parameter guessed for the next stride or aim, how closely it is solved, what it aims at."""
    aimed = plan.aim >= 0
    ahead = np.where(aimed, plan.distance, np.minimum(plan.step, bounds.limit - low.parameter))
    close = np.where(aimed, steps.tolerance_at_end, steps.tolerance)
    goal = Goal(plan.aim, bounds.threshold + ABOVE)
    return low.state + ahead[:, None] * low.tangent, low.parameter + ahead, close, goal


def verdict(
    system: System[Any], low: Solution, high: Solution, plan: Plan, bounds: Bounds, watched: Lanes, steps: Steps
) -> StrideVerdict:
    """What became of each lane's stride or aim from one state to another, and what it tries next."""
    aimed = plan.aim >= 0
    h = np.minimum(plan.step, bounds.limit - low.parameter)
    went = high.parameter - low.parameter
    leap = system.edge(low.guards, high.guards)
    leap = np.full(went.size, np.nan) if leap is None else leap
    leaps = high.converged & ~np.isnan(leap)
    strides_over = leaps & (went > 1.01 * OVER_A_LEAP)
    slack = np.where(leaps, SLACK_OVER_A_LEAP, steps.slack)
    usable = high.converged & high.stable & _consistent(low, high, went, slack) & ~strides_over
    loss = system.loss(low.state, low.tangent, high.state, high.tangent, went)
    forgets = ((0.0 if loss is None else loss) > steps.loss) & (went > 3.0 * steps.shortest)
    usable = usable & ~forgets
    height = _height(high, bounds, watched)
    least = _least_margin(low, high, went, watched) - bounds.threshold[:, None]
    dips = (least <= np.where(aimed, -FIRST, 0.0)[:, None]).any(axis=1) & (went > 8.0 * steps.shortest)

    located = aimed & usable & ~dips & (height >= -FIRST).all(axis=1)
    located = located & (went >= -1e-9) & (high.parameter <= bounds.limit)
    passed = ~aimed & usable & (height <= 0.0).any(axis=1)
    accepted = ~aimed & usable & ~passed & ~dips
    # Down within the shortest stride, which nothing can be aimed at: a jump too small to be called one.
    sudden = passed & (h < 3.0 * steps.shortest)
    crossed = located | sudden
    end = np.where(crossed, int(End.CROSSED), int(End.RUNNING))
    end = np.where(accepted & (high.parameter >= bounds.limit - 1e-12), int(End.LIMIT), end)
    end = np.where(~crossed & (plan.tries + 1 >= steps.most), int(End.FAILED), end)
    which = np.where(aimed, plan.aim, _least(height, watched)[1])

    grown = np.where(leaps, steps.first, 1.7 * h)  # beyond a leap the short stride that crossed it is done
    grown = np.minimum(grown, steps.longest)
    grown = short_where_crowded(grown, high.parameter, bounds, steps.longest_when_crowded)
    step = np.where(accepted, grown, plan.step)
    next_aim, next_distance = aim_from(high, step, bounds, watched)
    # A stride that passed a lift: aim at it next, at where the line between the ends has it.
    before = _height(low, bounds, watched)
    down = height <= 0.0
    fraction = np.where(down, before / np.maximum(np.where(down, before - height, 1.0), 1e-300), np.inf)
    share, passing = _least(fraction, watched)
    goes_back = passed & ~sudden
    aim = np.where(accepted, next_aim, np.where(goes_back, passing, plan.aim))
    distance = np.where(accepted, next_distance, np.where(goes_back, share * h, plan.distance))

    # An aim in vain is followed by a stride, a stride in vain by a shorter one.
    missed = aimed & ~crossed
    aim = np.where(missed, -1, aim)
    step = np.where(missed & forgets, np.minimum(h, np.maximum(0.35 * went, steps.shortest)), step)
    shorten = ~aimed & ~accepted & ~sudden
    step = np.where(shorten, 0.35 * h, step)
    # Up to a leap, then over it in one short stride.
    upto = leap * went - 0.5 * OVER_A_LEAP
    upto = np.minimum(step, np.where(upto > 0.5 * OVER_A_LEAP, upto, OVER_A_LEAP))
    step = np.where(strides_over, upto, step)
    held = shorten & ~strides_over & ~passed & (0.35 * h < steps.shortest)
    return StrideVerdict(accepted | crossed, end, which, Plan(step, aim, distance, plan.tries + 1), held)


class _Paths:
    """The paths of all lanes while they are followed; `follow` says what the arguments are."""

    def __init__(
        self, system: System[Any], start: Solution, limit: Array, threshold: Array, watched: Lanes, steps: Steps
    ) -> None:
        lanes = start.parameter.size
        everyone = np.arange(lanes)
        never = np.full(lanes, np.inf)
        self.system, self.watched, self.steps = system, watched, steps
        self.bounds = Bounds(limit, threshold, *(steps.crowded or (never, -never)))
        self.now = start.take(everyone)
        self.end = np.zeros(lanes, dtype=np.intp)
        self.which = np.full(lanes, -1, dtype=np.intp)
        self.jumps = np.zeros(lanes, dtype=np.intp)
        none = np.zeros(lanes, dtype=np.intp)
        self.plan = Plan(np.full(lanes, steps.first), none - 1, np.zeros(lanes), none)
        self.trail: list[tuple[Lanes, Array, Array, Array, NDArray[np.bool_]]] = []

        self.remember(everyone, self.now.take(everyone), after_jump=False)  # a copy: `now` moves on
        fine = self.now.converged & self.now.stable
        self.end[~fine] = End.FAILED
        self.finish_where_down(np.flatnonzero(fine), End.CROSSED)
        self.choose_aim(np.flatnonzero(self.end == End.RUNNING))

    def remember(self, lanes: Lanes, solution: Solution, after_jump: bool) -> None:
        """Add nodes."""
        self.trail.append(
            (lanes, solution.parameter, solution.state, solution.tangent, np.full(lanes.size, after_jump))
        )

    def finish_where_down(self, lanes: Lanes, how: End) -> None:
        """End the lanes in whose present state a margin is down."""
        height, lowest = _least(
            _height(self.now.take(lanes), take_fast(self.bounds, lanes), self.watched), self.watched
        )
        down = height <= 0.0
        self.end[lanes[down]] = how
        self.which[lanes[down]] = lowest[down]

    def choose_aim(self, lanes: Lanes) -> None:
        """Aim where the rates bring a margin down about within the next stride."""
        now, bounds = self.now.take(lanes), take_fast(self.bounds, lanes)
        self.plan.aim[lanes], self.plan.distance[lanes] = aim_from(now, self.plan.step[lanes], bounds, self.watched)

    def stride(self) -> Lanes:
        """Go on in every running lane until it ends or its shortest stride fails; returns the latter."""
        active = np.flatnonzero(self.end == End.RUNNING)
        now, plan, bounds = self.now.take(active), take_fast(self.plan, active), take_fast(self.bounds, active)
        compiled = self.system.strides(active, now, plan, bounds, self.watched, self.steps)
        if compiled is not None:
            return self.have_stridden(active, compiled)
        part = self.system.part(active)
        stuck: list[Lanes] = []
        while active.size:
            held = self.advance(part, active)
            stuck.append(active[held])
            going = (self.end[active] == End.RUNNING) & ~held
            if not going.all():
                rows = np.flatnonzero(going)
                active, part = active[rows], part.part(rows)
        return np.concatenate(stuck) if stuck else active

    def have_stridden(self, lanes: Lanes, strides: Strides) -> Lanes:
        """Take over what the compiled form of strides led to."""
        self.now.put(lanes, Solution(*strides.now))
        put(self.plan, lanes, Plan(*strides.plan))
        self.end[lanes] = strides.end
        crossed = strides.end == End.CROSSED
        self.which[lanes[crossed]] = strides.which[crossed]
        jumped = np.zeros(strides.lane.size, dtype=bool)
        self.trail.append((strides.lane, strides.parameter, strides.state, strides.tangent, jumped))
        return lanes[strides.held]

    def advance(self, part: System[Any], lanes: Lanes) -> NDArray[np.bool_]:
        """One stride or aim in each lane; returns where the shortest stride failed."""
        low, plan, bounds = self.now.take(lanes), take_fast(self.plan, lanes), take_fast(self.bounds, lanes)
        guess, parameter, close, goal = attempt_of(low, plan, bounds, self.steps)
        high = solve_at(part, guess, parameter, tolerance=close, iterations=self.steps.iterations, goal=goal)
        found = verdict(part, low, high, plan, bounds, self.watched, self.steps)
        rows = np.flatnonzero(found.onward)
        onward, reached = lanes[rows], high.take(rows)
        self.now.put(onward, reached)
        self.remember(onward, reached, after_jump=False)
        part.carry(rows, reached.state)
        self.system.carry(onward, reached.state)
        self.end[lanes] = found.end
        crossed = found.end == End.CROSSED
        self.which[lanes[crossed]] = found.which[crossed]
        put(self.plan, lanes, found.plan)
        return found.held

    def settle(self, lanes: Lanes) -> None:
        """Let lanes that can go no further fall to the next stable state."""
        low = self.now.take(lanes)
        limit = self.bounds.limit[lanes]
        beyond = np.minimum(low.parameter + SETTLE_BEYOND[0], limit)
        landed = settle_from(self.system.take(lanes), low.state, beyond)
        for further in SETTLE_BEYOND[1:]:
            # Just beyond a turning point motion is so slow that it may not come to its end; driven on a little it does.
            rest = np.flatnonzero(~(landed.converged & landed.stable))
            if not rest.size:
                break
            beyond[rest] = np.minimum(low.parameter[rest] + further, limit[rest])
            landed.put(rest, settle_from(self.system.take(lanes[rest]), low.state[rest], beyond[rest]))
        safe = landed.converged & landed.stable
        self.jumps[lanes] += 1
        self.end[lanes[~safe]] = np.where(toppled(landed), End.LOST, End.FAILED)[~safe]
        lanes, landed, beyond = lanes[safe], landed.take(np.flatnonzero(safe)), beyond[safe]
        self.now.put(lanes, landed)
        self.remember(lanes, landed, after_jump=True)
        self.system.carry(lanes, landed.state)
        self.end[lanes[beyond >= limit[safe]]] = End.LIMIT
        self.end[lanes[self.jumps[lanes] > 20]] = End.FAILED
        self.finish_where_down(lanes, End.JUMPED)
        self.plan.step[lanes] = self.steps.first / 4.0
        self.choose_aim(lanes)


def follow(
    system: System[Any], start: Solution, limit: Array, threshold: Array, watched: Lanes, steps: Steps | None = None
) -> PathEnd:
    """Follow each lane from a converged, stable start.

    Args:
        system: the equations of all lanes; one that remembers is left with its memory of where each path ended.
        start: solutions at the start of each path.
        limit: (lanes,), parameter at which a path ends unless a margin came down before.
        threshold: (lanes,), a margin is down at this value.
        watched: indices of the margins that are watched.
        steps: how far a stride may go and how closely it is solved.

    Returns:
        How and where each path ended.
    """
    paths = _Paths(system, start, limit, threshold, watched, steps or Steps())
    while (paths.end == End.RUNNING).any():
        # Those that fall are few and settle slowly: all together.
        stuck = paths.stride()
        if stuck.size:
            paths.settle(stuck)
    nodes = PathNodes(*(np.concatenate(column) for column in zip(*paths.trail, strict=True)))
    return PathEnd(paths.end, paths.which, paths.now, paths.jumps, nodes)
