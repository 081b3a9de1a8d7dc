"""Follow the equilibria of F(x, s) = 0 in s until a watched margin first falls to its threshold.

A step is accepted only if the new state is the one the old leads to: it converged, it is stable, and the change of
every unknown lies between what the tangents at the two ends predict (with one kink in between it must). Otherwise
the step is shortened; where the shortest step fails, the equilibrium has turned back (or ended), and the system
settles from the last stable state to the next one. Whether a margin dips below its threshold and recovers inside a
step is bounded by the tangents at both ends; where it might, the step is shortened too.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from articulate.solve.newton import Solution, System, settle_from, solve_at

Array = NDArray[np.float64]
Lanes = NDArray[np.intp]


class End(IntEnum):
    """How a path ended."""

    RUNNING = 0
    CROSSED = 1  # a margin came down to its threshold
    LIMIT = 2  # the parameter's limit came first
    JUMPED = 3  # the equilibrium turned back, and in the state it fell to a margin is below its threshold
    LOST = 4  # it turned back and no stable state was found
    FAILED = 5  # a solve did not converge where one should


@dataclass(frozen=True, eq=False)
class Nodes:
    """Accepted points of the paths in the order found; `lane` says whose each is."""

    lane: Lanes  # (points,)
    parameter: Array  # (points,)
    state: Array  # (points, m)
    tangent: Array  # (points, m)
    after_jump: NDArray[np.bool_]  # (points,), the state was settled into


@dataclass(frozen=True, eq=False)
class PathEnd:
    """Ends of a batch of paths."""

    end: Lanes  # (lanes,) of `End`
    which: Lanes  # (lanes,), the margin that came down, -1 if none
    solution: Solution  # at the end; for JUMPED the state landed in
    jumps: Lanes  # (lanes,), turning points met on the way
    nodes: Nodes


def _first_crossing(low: Solution, high: Solution, threshold: Array, watched: Lanes) -> tuple[Lanes, Array]:
    """Which margin comes down first between two solutions, and a first guess of the fraction of the step."""
    before = low.margins[:, watched] - threshold[:, None]
    after = high.margins[:, watched] - threshold[:, None]
    fraction = np.where(after <= 0.0, before / np.maximum(before - after, 1e-300), np.inf)
    first = fraction.argmin(axis=1)
    return watched[first], np.clip(fraction[np.arange(first.size), first], 0.0, 1.0)


def _least_margin(low: Solution, high: Solution, step: Array, watched: Lanes) -> Array:
    """Lower bound of the watched margins inside a step: where the end tangents meet, (lanes, k)."""
    a, b = low.margins[:, watched], high.margins[:, watched]
    ra, rb = low.margin_rates[:, watched], high.margin_rates[:, watched]
    h = step[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        meet = (b - a - rb * h) / (ra - rb)
    inside = (ra < 0.0) & (rb > 0.0) & (meet > 0.0) & (meet < h)
    return np.where(inside, a + ra * np.where(inside, meet, 0.0), np.minimum(a, b))


def _consistent(low: Solution, high: Solution, step: Array, slack: float) -> NDArray[np.bool_]:
    """Whether the change of every unknown is what the tangents at both ends allow."""
    h = step[:, None]
    first, second = low.tangent * h, high.tangent * h
    change = high.state - low.state
    spread = 0.25 * np.abs(second - first) + slack
    bottom, top = np.minimum(first, second) - spread, np.maximum(first, second) + spread
    return np.asarray(((change >= bottom) & (change <= top)).all(axis=1))


def _pick(solution: Solution, rows: NDArray[np.bool_] | Lanes) -> Solution:
    return Solution(*(getattr(solution, name)[rows] for name in solution.__dataclass_fields__))


def _put(into: Solution, rows: Lanes, values: Solution, chosen: NDArray[np.bool_]) -> None:
    for name in into.__dataclass_fields__:
        getattr(into, name)[rows[chosen]] = getattr(values, name)[chosen]


def follow(
    system: System,
    start: Solution,
    limit: Array,
    threshold: Array,
    watched: Lanes,
    first_step: float = 0.1,
    longest_step: float = 0.3,
    shortest_step: float = 1e-5,
    slack: float = 1e-3,
) -> PathEnd:
    """Follow each lane from a converged, stable start.

    Args:
        system: the equations of all lanes.
        start: solutions at the start of each path.
        limit: (lanes,), parameter at which a path ends unless a margin came down before.
        threshold: (lanes,), a margin is down at this value.
        watched: indices of the margins that are watched.
        first_step: of the parameter.
        longest_step: of the parameter.
        shortest_step: of the parameter; where it fails too, the path has turned back.
        slack: departure of an unknown from the tangents' prediction that is still no jump.

    Returns:
        How and where each path ended.
    """
    lanes = start.parameter.size
    now = _pick(start, np.arange(lanes))
    end = np.zeros(lanes, dtype=np.intp)
    which = np.full(lanes, -1, dtype=np.intp)
    jumps = np.zeros(lanes, dtype=np.intp)
    step = np.full(lanes, first_step)
    trail: list[tuple[Lanes, Array, Array, Array, NDArray[np.bool_]]] = []

    def remember(rows: Lanes, solution: Solution, jumped: bool) -> None:
        trail.append((rows, solution.parameter, solution.state, solution.tangent, np.full(rows.size, jumped)))

    def down(solution: Solution, rows: Lanes) -> NDArray[np.bool_]:
        return np.asarray((solution.margins[:, watched] <= threshold[rows, None]).any(axis=1))

    failed = ~(now.converged & now.stable)
    end[failed] = End.FAILED
    everyone = np.arange(lanes)
    remember(everyone, _pick(now, everyone), False)  # a copy: `now` moves on
    at_once = ~failed & down(now, everyone)
    end[at_once] = End.CROSSED
    which[at_once] = watched[now.margins[at_once][:, watched].argmin(axis=1)]

    active = np.flatnonzero(end == End.RUNNING)
    part = system.take(active)
    while active.size:
        low = _pick(now, active)
        h = np.minimum(step[active], limit[active] - low.parameter)
        guess = low.state + h[:, None] * low.tangent
        high = solve_at(part, guess, low.parameter + h, tolerance=1e-8, iterations=12)
        usable = high.converged & high.stable & _consistent(low, high, h, slack)
        crossed = usable & down(high, active)
        least = _least_margin(low, high, h, watched)
        hidden = usable & ~crossed & (least <= threshold[active, None]).any(axis=1) & (h > 8 * shortest_step)
        accepted = usable & ~crossed & ~hidden

        # Locate the first margin to come down; look again if another one was down before it.
        rows = np.flatnonzero(crossed)
        if rows.size:
            part_low, part_high = _pick(low, rows), _pick(high, rows)
            margin, fraction = _first_crossing(part_low, part_high, threshold[active[rows]], watched)
            weight = fraction[:, None]
            found = solve_at(
                part.take(rows),
                (1.0 - weight) * part_low.state + weight * part_high.state,
                part_low.parameter + fraction * h[rows],
                target=(margin, threshold[active[rows]]),
                iterations=25,
            )
            tolerance = 1e-3  # [unit of the margin]
            first = (found.margins[:, watched] >= threshold[active[rows], None] - tolerance).all(axis=1)
            located = (
                found.converged
                & found.stable
                & first
                & (found.parameter >= part_low.parameter - 1e-9)
                & (found.parameter <= part_high.parameter + 1e-9)
            )
            lane = active[rows]
            _put(now, lane, found, located)
            end[lane[located]] = End.CROSSED
            which[lane[located]] = margin[located]
            remember(lane[located], _pick(found, located), False)
            hidden[rows[~located]] = True  # shorten the step: the margins will come apart

        moved = active[accepted]
        _put(now, active, high, accepted)
        remember(moved, _pick(high, accepted), False)
        step[moved] = np.minimum(1.7 * h[accepted], longest_step)
        over = accepted & (high.parameter >= limit[active] - 1e-12)
        end[active[over]] = End.LIMIT

        shorten = hidden | ~usable
        step[active[shorten]] = 0.35 * h[shorten]
        stuck = shorten & (0.35 * h < shortest_step)
        rows = np.flatnonzero(stuck)
        if rows.size:
            lane = active[rows]
            beyond = np.minimum(low.parameter[rows] + 4.0 * shortest_step, limit[lane])
            landed = settle_from(part.take(rows), low.state[rows], beyond)
            safe = landed.converged & landed.stable
            jumps[lane] += 1
            _put(now, lane, landed, safe)
            remember(lane[safe], _pick(landed, safe), True)
            fell = safe & down(landed, lane)
            end[lane[fell]] = End.JUMPED
            if fell.any():
                which[lane[fell]] = watched[landed.margins[fell][:, watched].argmin(axis=1)]
            end[lane[~safe]] = End.LOST
            end[lane[safe & ~fell & (beyond >= limit[lane])]] = End.LIMIT
            end[lane[safe & ~fell & (jumps[lane] > 20)]] = End.FAILED
            step[lane] = first_step / 4.0

        running = end[active] == End.RUNNING
        if not running.all():
            rows = np.flatnonzero(running)
            active, part = active[rows], part.take(rows)

    nodes = Nodes(*(np.concatenate(column) for column in zip(*trail, strict=True)))
    return PathEnd(end, which, now, jumps, nodes)
