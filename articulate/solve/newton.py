"""Damped batched Newton for F(x, s) = 0, and settling by pseudo-transient continuation.

The solver knows no vehicles: it sees a `System` of lanes with residual, exact Jacobian and the derivative by a
parameter. Residuals are scaled to order one by the system. Lanes that are done drop out of the batch.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.compiled.library import Strides
from articulate.lanes import join, put, take_fast
from articulate.solve.linear import eliminate_in_place

Array = NDArray[np.float64]
Lanes = NDArray[np.intp]


class Linearised(Protocol):
    """What a system returns from `evaluate`; see `System`."""

    equations: Array  # (lanes, m, m + 2): -dF/dx, F and dF/ds side by side; the solver overwrites them
    margins: Array  # (lanes, k), signed watched quantities
    guards: Array  # (lanes, j), passed back to `edge`; j may be 0


At = TypeVar("At", bound=Linearised)


class System(Protocol[At]):
    """Equations F(x, s) = 0 in several lanes, with watched margins; `At` is what it linearises to."""

    def evaluate(self, state: Array, parameter: Array, /) -> At:
        """Linearise at state (lanes, m) and parameter s (lanes,)."""

    def margin_rate(self, at: At, direction: Array, parameter_rate: Array | float, /) -> Array:
        """Rate of the margins (lanes, k) along a direction (lanes, m), from where the system was linearised."""

    @property
    def compiled(self) -> bool:
        """Whether `moves` answers."""

    def moves(self, state: Array, parameter: Array, /) -> tuple[Array, ...] | None:
        """The fields of `Moves`, for states (lanes, m), by a compiled form of these equations; None without one."""

    def solve(
        self, guess: Array, parameter: Array, close: Array, iterations: int, goal: Goal | None, /
    ) -> tuple[Any, ...] | None:
        """The fields of the `Solution` of `solve_at`, arguments as there, by a compiled form; None without one."""

    def settle(self, start: Array, parameter: Array, iterations: int, /) -> Array | None:
        """States (lanes, m) that `settle_from`, arguments as there, comes to by a compiled form; None without one."""

    def strides(
        self, lanes: Lanes, now: Solution, plan: Any, bounds: Any, watched: Lanes, steps: Any
    ) -> Strides | None:
        """What `solve.path` makes of the paths of some lanes by a compiled form of it, None where it is not there.

        Lanes (k,), where their paths are, a `Plan` and `Bounds` of each; the system remembers the way they came.
        """

    def take(self, lanes: Lanes, /) -> System[At]:
        """The system of some lanes, with what it remembers."""

    def part(self, lanes: Lanes, /) -> System[At]:
        """The same for as long as the whole is only told what the part is told too (`carry`)."""

    def carry(self, lanes: Lanes, state: Array) -> None:
        """Let some lanes (k,) remember that the path came through states (k, m); nothing to do without a memory."""

    def loss(self, start: Array, start_tangent: Array, end: Array, end_tangent: Array, step: Array) -> Array | None:
        """Bound (lanes,) of the residual that a step makes wrong by what it cannot remember; None without a memory.

        States and tangents (lanes, m) at its ends; the step of the parameter (lanes,).
        """

    def edge(self, start: Array, end: Array) -> Array | None:
        """Share of a step at which the forces leap within it, (lanes,), NaN where they do not.

        From the guards (lanes, j) at its ends; None where no step need end there.
        """


BLOCK = 2048  # lanes evaluated at once: more do not fit the cache


@dataclass(frozen=True, eq=False, repr=False)
class Moves(Brief):
    """The equations linearised and solved at a trial, arrays over its lanes."""

    residual: Array  # F
    newton: Array  # -(dF/dx)^-1 F
    along: Array  # dx/ds
    negative: Array | Lanes  # pivots, how many
    margins: Array
    drift: Array  # rate of the margins along `newton`
    rates: Array  # and along the path
    guards: Array


def moves_of(system: System[Any], state: Array, parameter: Array) -> Moves:
    """The equations of a system linearised and solved at a state (lanes, m) and parameter (lanes,)."""
    at = system.evaluate(state, parameter)
    m = state.shape[1]
    residual = at.equations[:, :, m].copy(order="F")
    moves, negative = eliminate_in_place(at.equations)
    newton, along = moves[..., 0], moves[..., 1]
    drift = system.margin_rate(at, newton, 0.0)
    rates = system.margin_rate(at, along, 1.0)
    return Moves(residual, newton, along, negative, at.margins, drift, rates, at.guards)


def _moves(system: System[Any], state: Array, parameter: Array) -> Moves:
    """The same, compiled where it is there."""
    found = system.moves(state, parameter)
    return moves_of(system, state, parameter) if found is None else Moves(*found)


def _blocks(system: System[Any], lanes: int) -> list[tuple[slice, System[Any]]]:
    """A system cut into blocks of lanes, where it is not compiled."""
    if lanes <= BLOCK or system.compiled:
        return [(slice(0, lanes), system)]
    return [
        (slice(first, min(first + BLOCK, lanes)), system.take(np.arange(first, min(first + BLOCK, lanes))))
        for first in range(0, lanes, BLOCK)
    ]


def _moves_in_blocks(blocks: list[tuple[slice, System[Any]]], state: Array, parameter: Array) -> Moves:
    """The same, block by block."""
    if len(blocks) == 1:
        return _moves(blocks[0][1], state, parameter)
    done = [_moves(part, state[rows], parameter[rows]) for rows, part in blocks]
    return join(done)


SHORT_STEP = 1e-3  # a Newton step of this length leaves an error of about its square
LARGEST_STEP = 0.5  # [unit of the unknowns], in any of them


SETTLING_MOVE = 0.02  # [unit of the unknowns: m, rad], aimed at in one step of settling
FIRST_SETTLING_STEP = 0.05  # h
BOUND = 1.3  # [unit of the unknowns], beyond which what settles is lost: a vehicle on its side


@dataclass(frozen=True, eq=False, repr=False)
class Solution(Brief):
    """Solutions of F(x, s) = 0, one a lane.

    `tangent` is dx/ds; `margins` and `margin_rates` the watched quantities and their rates along the path;
    `stable` is true where no pivot of the negative Jacobian is negative. `guards` are those of the last evaluation.
    """

    state: Array  # (lanes, m)
    parameter: Array  # (lanes,)
    tangent: Array  # (lanes, m)
    margins: Array  # (lanes, k)
    margin_rates: Array  # (lanes, k)
    converged: NDArray[np.bool_]  # (lanes,)
    stable: NDArray[np.bool_]  # (lanes,)
    residual: Array  # (lanes,), largest scaled residual at the last evaluation
    guards: Array  # (lanes, j)

    def take(self, lanes: Lanes) -> Solution:
        """The solutions of some lanes."""
        return take_fast(self, lanes)

    def put(self, lanes: Lanes, values: Solution) -> None:
        """Overwrite some lanes."""
        put(self, lanes, values)


@dataclass(frozen=True, eq=False, repr=False)
class Goal(Brief):
    """Margins that lanes are to reach, the parameter unknown too; where `which` is negative the parameter is fixed."""

    which: Lanes  # (lanes,)
    value: Array  # (lanes,)


@dataclass(frozen=True, eq=False, repr=False)
class Attempt(Brief):
    """Where Newton's method stands: the last trial that was accepted, and the step that is tried from it."""

    state: Array  # (lanes, m)
    parameter: Array  # (lanes,)
    step: Array  # (lanes, m)
    step_parameter: Array  # (lanes,)
    factor: Array  # (lanes,), share of the step that is tried
    merit: Array  # (lanes,), sum of squares of the residual

    @staticmethod
    def at(state: Array, parameter: Array) -> Attempt:
        """The first: a guess, state (lanes, m) and parameter (lanes,)."""
        lanes = state.shape[0]
        none, still = np.zeros(lanes), np.zeros(state.shape, order="F")
        return Attempt(state, parameter, still, none, np.ones(lanes), np.full(lanes, np.inf))

    def trial(self) -> tuple[Array, Array]:
        """State (lanes, m) and parameter (lanes,) to be tried."""
        return self.state + self.factor[:, None] * self.step, self.parameter + self.factor * self.step_parameter


@dataclass(frozen=True, eq=False, repr=False)
class Judged(Brief):
    """What a trial led to."""

    attempt: Attempt  # the next
    accepted: NDArray[np.bool_]  # (lanes,)
    done: NDArray[np.bool_]  # (lanes,), here the method ends, with:
    state: Array  # (lanes, m)
    parameter: Array  # (lanes,)
    margins: Array  # (lanes, k)
    goes_on: NDArray[np.bool_]  # (lanes,); neither this nor done: no solution
    size: Array  # (lanes,), largest scaled residual

    def solution(self, at: Moves) -> Solution:
        """Where the method ends, if it does."""
        stable, converged = at.negative == 0, np.ones(self.size.size, dtype=bool)
        return Solution(
            self.state, self.parameter, at.along, self.margins, at.rates, converged, stable, self.size, at.guards
        )


def judge(attempt: Attempt, at: Moves, close: Array, goal: Goal | None) -> Judged:
    """Accept a trial or shorten its step.

    Args:
        attempt: whose trial it was.
        at: the equations linearised and solved there.
        close: (lanes,), tolerance on the largest scaled residual.
        goal: where margins are aimed at.
    """
    trial, trial_s = attempt.trial()
    newton = at.newton
    size = np.abs(at.residual).max(axis=1)
    merit = (at.residual**2).sum(axis=1)
    move_s = np.zeros(trial_s.size)
    if goal is not None:
        move_s, gap = _move_to_goal(at, goal)
        newton = newton + at.along * move_s[:, None]
        size = np.maximum(size, gap)
        merit = merit + gap**2
    longest = np.abs(newton).max(axis=1)
    small = size < close
    good = np.isfinite(merit) & np.isfinite(longest)
    falls = merit < attempt.merit * (1.0 - 1e-4 * attempt.factor)
    accepted = good & (falls | small | (attempt.factor < 1e-3))
    done = accepted & small & (longest < SHORT_STEP)
    with np.errstate(divide="ignore", invalid="ignore"):
        limit = np.minimum(1.0, LARGEST_STEP / longest)
    onward = Attempt(
        np.where(accepted[:, None], trial, attempt.state),
        np.where(accepted, trial_s, attempt.parameter),
        np.where(accepted[:, None], newton, attempt.step),
        np.where(accepted, move_s, attempt.step_parameter),
        np.where(accepted, limit, attempt.factor * 0.5),
        np.where(accepted, merit, attempt.merit),
    )
    return Judged(
        attempt=onward,
        accepted=accepted,
        done=done,
        state=trial + newton,
        parameter=trial_s + move_s,
        margins=at.margins + at.drift + at.rates * move_s[:, None],
        goes_on=~done & np.isfinite(onward.merit) & (onward.factor > 1e-6),
        size=size,
    )


def worst_of(worst: Array, judged: Judged) -> Array:
    """Residuals to be told (lanes,): of the last trial that was accepted, of any as long as none was."""
    return np.where(judged.accepted | ~np.isfinite(worst), judged.size, worst)


def chosen(values: Array, which: Lanes) -> Array:
    """One column of each lane's values (lanes, k), the first where `which` (lanes,) is negative."""
    column = values[:, 0]
    for k in range(1, values.shape[1]):
        column = np.where(which == k, values[:, k], column)
    return column


def _move_to_goal(at: Moves, goal: Goal) -> tuple[Array, Array]:
    """Move of the parameter that brings a margin to its value, and how far off that is; zero if none is aimed at."""
    rate, short = chosen(at.rates, goal.which), goal.value - chosen(at.margins, goal.which)
    with np.errstate(divide="ignore", invalid="ignore"):
        move = np.clip((short - chosen(at.drift, goal.which)) / rate, -0.1, 0.1)
        gap = np.abs(short) / np.maximum(np.abs(rate), 1.0)
    return np.where((goal.which >= 0) & ~np.isnan(move), move, 0.0), np.where(goal.which >= 0, gap, 0.0)


def unsolved(guess: Array, parameter: Array, margins: int, guards: int) -> Solution:
    """What there is before anything converged: the guess (lanes, m) at parameters (lanes,)."""
    lanes = parameter.size
    none = np.zeros(lanes, dtype=bool)
    missing = np.full((lanes, margins), np.nan, order="F")
    return Solution(
        state=np.array(guess, order="F"),
        parameter=np.array(parameter, dtype=np.float64),
        tangent=np.full(guess.shape, np.nan, order="F"),
        margins=missing,
        margin_rates=missing.copy(order="F"),
        converged=none,
        stable=none.copy(),
        residual=np.full(lanes, np.inf),
        guards=np.full((lanes, guards), np.nan, order="F"),
    )


def solve_at(
    system: System[Any],
    guess: Array,
    parameter: Array,
    tolerance: float | Array = 1e-9,
    iterations: int = 40,
    goal: Goal | None = None,
) -> Solution:
    """Damped Newton from a guess, in every lane at once.

    A lane is done when its residual is within the tolerance and the next Newton step is short. That step is still
    made, so the error left is about the square of its length; the margins are carried along it, tangent and margin
    rates are those of the last evaluation.

    Args:
        system: the equations.
        guess: (lanes, m).
        parameter: (lanes,), fixed, or the first guess where `goal` is given.
        tolerance: on the largest scaled residual, one or (lanes,).
        iterations: at most so many evaluations.
        goal: solve for the parameter too, so that margin `which` equals `value`; the margin's own residual is counted
            relative to its rate times one unit of the parameter.

    Returns:
        Solutions; lanes that did not converge are marked.
    """
    lanes = parameter.size
    close = np.full(lanes, tolerance)
    compiled = system.solve(guess, parameter, close, iterations, goal)
    if compiled is not None:
        return Solution(*compiled)
    found = unsolved(guess, parameter, 0, 0)
    attempt = Attempt.at(found.state.copy(order="F"), found.parameter.copy())
    active = np.arange(lanes)
    running = np.ones(lanes, dtype=bool)  # of the active ones
    blocks = _blocks(system, lanes)
    for count in range(iterations):
        at = _moves_in_blocks(blocks, *attempt.trial())
        if count == 0:
            found = unsolved(guess, parameter, at.margins.shape[1], at.guards.shape[1])
        judged = judge(attempt, at, close, goal)
        worst = found.residual[active]
        found.residual[active] = np.where(running, worst_of(worst, judged), worst)
        rows = np.flatnonzero(judged.done & running)
        if rows.size:
            found.put(active[rows], take_fast(judged.solution(at), rows))
        attempt = judged.attempt
        running &= judged.goes_on
        still = np.count_nonzero(running)
        if not still:
            break
        if still < 0.9 * active.size:
            rows = np.flatnonzero(running)
            system = system.part(rows)
            blocks = _blocks(system, rows.size)
            active, close, attempt = active[rows], close[rows], take_fast(attempt, rows)
            running = running[rows]
            goal = None if goal is None else take_fast(goal, rows)
    return found


@dataclass(frozen=True, eq=False, repr=False)
class Settling(Brief):
    """What a step of settling led to."""

    state: Array  # (lanes, m)
    step: Array  # (lanes,), h of the next
    goes_on: NDArray[np.bool_]  # (lanes,): neither at rest nor out of bounds


def settling(at: Linearised, state: Array, h: Array) -> Settling:
    """One step (I/h - J) dx = F of the overdamped motion.

    Args:
        at: the equations at the state; overwritten.
        state: (lanes, m).
        h: (lanes,).
    """
    m = state.shape[1]
    size = np.abs(at.equations[:, :, m]).max(axis=1)
    at.equations[:, :, :m] += np.eye(m) / h[:, None, None]
    moves, negative = eliminate_in_place(at.equations)
    move = moves[..., 0]
    longest = np.abs(move).max(axis=1)
    # A negative pivot: the step is longer than the motion away from an unstable state allows, and would turn back.
    short_enough = (negative == 0) & (longest < 2.0 * SETTLING_MOVE)
    rest = short_enough & (size < 1e-7) & (h > 1e3)
    state = np.where(short_enough[:, None], state + move, state)
    h = np.clip(h * np.where(short_enough, np.where(longest < SETTLING_MOVE, 1.6, 1.0), 0.3), 1e-9, 1e9)
    return Settling(state, h, ~rest & (np.abs(state).max(axis=1) < BOUND))


def toppled(found: Solution) -> NDArray[np.bool_]:
    """Lanes that `settle_from` saw leave the bound, (lanes,)."""
    return np.asarray(~found.converged & (np.abs(found.state).max(axis=1) >= BOUND))


def _settled(system: System[Any], start: Array, parameter: Array, iterations: int) -> Array:
    """States that the motion of `settle_from` ends in, step by step."""
    state = np.array(start, order="F")
    h = np.full(parameter.size, FIRST_SETTLING_STEP)
    active = np.arange(parameter.size)
    for _ in range(iterations):
        if not active.size:
            break
        moved = settling(system.evaluate(state[active], parameter[active]), state[active], h[active])
        state[active], h[active] = moved.state, moved.step
        if not moved.goes_on.all():
            rows = np.flatnonzero(moved.goes_on)
            active, system = active[rows], system.take(rows)
    return state


def settle_from(system: System[Any], start: Array, parameter: Array, iterations: int = 300) -> Solution:
    """Follow the overdamped motion from a start to the next stable equilibrium.

    Pseudo-transient continuation: (I/h - J) dx = F with a step h that keeps the moves small; as they fall h grows,
    and it becomes Newton's method. Lanes with an unknown that leaves `BOUND` are left there, not converged: see
    `toppled`.

    Args:
        system: the equations.
        start: (lanes, m).
        parameter: (lanes,).
        iterations: at most so many evaluations.
    """
    compiled = system.settle(start, parameter, iterations)
    state = _settled(system, start, parameter, iterations) if compiled is None else compiled
    found = solve_at(system, state, parameter)
    gone = np.flatnonzero(np.abs(state).max(axis=1) >= BOUND)
    found.state[gone] = state[gone]  # whatever Newton's method finds from there is not where the motion led
    found.converged[gone] = found.stable[gone] = False
    return found
