"""Reaching a score: what one input, or the cheapest combination of several, must become; or that it cannot be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

from articulate.brief import Brief
from articulate.climb import Outcome
from articulate.model.ramp_test import RampTest, ramp_test
from articulate.spec import UnphysicalError, VehicleSpec, build
from articulate.studies.design.levers import CLOSE, Lever, LeverAnswer, Trials, Wish, alone, rounded
from articulate.studies.explain.shapley import coalitions
from articulate.studies.explain.timeline import timeline
from articulate.studies.population.allowance import reach
from articulate.studies.population.conditions import Conditions, climbs_of, draw, lanes_of
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, ModelError
from articulate.studies.population.sampling import SEED, unit_points
from articulate.types import Case

Array = NDArray[np.float64]

SCATTER = 512  # trial combinations spread over all limits
STARTS = 4
ROUNDS = 30
SMALLEST_TRUST = 1e-4  # of a lever's range


@dataclass(frozen=True)
class Settled:
    """One choice of all levers, verified by setting them in the file and climbing afresh."""

    values: tuple[float, ...]  # [SI], in the order of the levers
    score: float
    outcome: Outcome
    cost: float
    decided: str | None  # what decided the climb, see `timeline`


@dataclass(frozen=True, repr=False)
class TargetAnswer(Brief):
    """How a score is reached, or the best that can be.

    `chance` is the probability that the changed vehicle reaches the target with all that the file leaves uncertain, the
    holding share and the model's own error included; NaN where it is not reached at all. `no_score` of the `samples`
    had no score and count as not reaching it.
    """

    name: str
    bars: str
    side: str
    angle: float  # [rad]
    target: float
    levers: tuple[Lever, ...]
    present_score: float
    present_outcome: Outcome
    reached: bool
    already: bool
    answer: Settled | None  # the cheapest that reaches it
    best: Settled | None  # what the levers can do at most, where it is not reached
    alone: tuple[LeverAnswer, ...]
    at_limit: tuple[str, ...]  # where it is not reached: "upper", "lower" or "" for each lever
    chance: float
    samples: int
    no_score: int
    climbs: int
    model: ModelError


def reach_target(
    spec: VehicleSpec,
    wishes: Sequence[Wish],
    target: float,
    test: RampTest | None = None,
    side: str = "left",
    bars: str = "connected",
    conditions: Conditions | None = None,
    samples: int = 512,
    seed: int = SEED,
    model: ModelError | None = None,
) -> TargetAnswer:
    """Find the cheapest change of the levers that reaches a score.

    The cost is the sum of |change| x cost of one unit over the levers. The combination is found by descent from several
    starts (linear programmes in a shrinking trust region, every step climbed in full); a cheaper one far from all of
    them could in principle be missed.

    Args:
        spec: the vehicle.
        wishes: what may change, between which limits, at which cost.
        target: score to reach.
        test: ramp and conditions, a batch of one; the usual ramp if None.
        side: "left" or "right", of the wheel on the ramp.
        bars: "connected" or "released".
        conditions: what is not known about the test, for the chance; the usual ramp, holding share unknown, if None.
        samples: for the chance; 0 to leave it out.
        seed: of the scattered trials and the samples.
        model: its own error, for the chance; the assumed one if None.

    Raises:
        SpecError: a wish that the file cannot hold.
        LeverError: a wish that cannot be asked for.
    """
    one_test = ramp_test(1) if test is None else test
    error = model if model is not None else ASSUMED_MODEL_ERROR
    trials = Trials(spec, wishes, one_test, side, bars)
    present_score, present_outcome = trials.as_it_is()
    already = present_score >= target
    singles = tuple(alone(trials, index, target) for index in range(len(trials.levers)))
    values, best = None, trials.present
    if already:
        values = trials.present
    elif len(trials.levers) == 1:
        one = singles[0]
        values = np.array([one.value]) if one.reaches else None
        best = np.array([one.best_value])
    else:
        values, best = _several(trials, target, singles, seed)
    answer = most = None
    chance, no_score = float("nan"), 0
    if values is not None:
        if not already:
            values = rounded(trials, values, target)
        changed, answer = _settled(trials, values)
        if samples:
            unknown = conditions or Conditions()
            chance, no_score = _chance(changed, unknown, target, Case(side, bars), samples, seed, error)
    elif np.isfinite(best).all():
        most = _settled(trials, best)[1]
    return TargetAnswer(
        name=spec.name,
        bars=bars,
        side=side,
        angle=float(one_test.angle[0]),
        target=target,
        levers=trials.levers,
        present_score=present_score,
        present_outcome=present_outcome,
        reached=answer is not None and answer.score >= target - CLOSE,
        already=already,
        answer=answer,
        best=most,
        alone=singles,
        at_limit=_at_limit(trials, best) if answer is None else (),
        chance=chance,
        samples=samples if answer is not None else 0,
        no_score=no_score,
        climbs=trials.climbs,
        model=error,
    )


def _at_limit(trials: Trials, best: Array) -> tuple[str, ...]:
    """For each lever the limit that holds the score down: stepping back from it costs score."""
    low, high = trials.limits
    if not np.isfinite(best).all():
        return ("",) * best.size
    inward = 0.02 * np.where(best - low > high - best, low - high, high - low)
    score = trials.scores(np.concatenate([best[None], best + np.diag(inward)]))
    near = 1e-6 * (high - low)
    return tuple(
        ""
        if not score[1 + i] < score[0] - CLOSE
        else "upper"
        if best[i] >= high[i] - near[i]
        else "lower"
        if best[i] <= low[i] + near[i]
        else ""
        for i in range(best.size)
    )


def _settled(trials: Trials, values: Array) -> tuple[VehicleSpec, Settled]:
    changed, score, outcome = trials.fresh(values)
    told = timeline(build(changed), trials.test, trials.side)
    run = told.released if trials.bars == "released" and told.released is not None else told.connected
    settled = Settled(
        tuple(float(value) for value in values), score, outcome, float(trials.cost(values[None])[0]), run.decided
    )
    return changed, settled


def _chance(
    spec: VehicleSpec, conditions: Conditions, target: float, case: Case, samples: int, seed: int, model: ModelError
) -> tuple[float, int]:
    """Share of possible vehicles that reach the target, and how many had no score."""
    try:
        vehicles, tests = lanes_of(spec, conditions, draw(spec, conditions, samples, seed))
    except UnphysicalError:
        return float("nan"), 0
    score = climbs_of(vehicles, tests, [case])[case].score
    return reach(score, model.total * np.abs(score), target), int((~np.isfinite(score)).sum())


def _several(trials: Trials, target: float, singles: Sequence[LeverAnswer], seed: int) -> tuple[Array | None, Array]:
    """The cheapest combination that reaches the target, or None, and the best combination found."""
    low, high = trials.limits
    present = np.clip(trials.present, low, high)
    levers = present.size
    points = low + (high - low) * unit_points(SCATTER, levers, seed)
    corners = coalitions(min(levers, 8)).astype(np.float64)
    corners = np.hstack([corners, np.full((corners.shape[0], levers - corners.shape[1]), 0.5)])
    every = [points, low + (high - low) * corners, present[None]]
    for index, single in enumerate(singles):
        for value in (single.value, single.best_value):
            if np.isfinite(value):
                one = present.copy()
                one[index] = value
                every.append(one[None])
    scattered = np.concatenate(every)
    score = trials.scores(scattered)
    if not np.isfinite(score).any():
        return None, np.full(levers, np.nan)
    best, best_score = _climb_to_best(trials, scattered[np.nanargmax(score)], float(np.nanmax(score)), target)
    if best_score < target:
        return None, best
    meets = np.concatenate([scattered[score >= target], best[None]])
    pulled = _pull_toward(trials, meets[np.argsort(trials.cost(meets))][: 4 * STARTS], present, target)
    starts = pulled[np.argsort(trials.cost(pulled))][:STARTS]
    return _descend(trials, starts, target), best


def _climb_to_best(trials: Trials, start: Array, score: float, target: float) -> tuple[Array, float]:
    """Pattern search for the highest score; stops early where the target is passed."""
    low, high = trials.limits
    step = 0.25
    while step > SMALLEST_TRUST and score < target:
        moves = np.concatenate([np.diag((high - low) * step), -np.diag((high - low) * step)])
        around = np.clip(start + moves, low, high)
        found = trials.scores(around)
        better = int(np.nanargmax(found)) if np.isfinite(found).any() else 0
        if np.isfinite(found[better]) and found[better] > score + 1e-6:
            start, score = around[better], float(found[better])
        else:
            step /= 2.0
    return start, score


def _pull_toward(trials: Trials, points: Array, present: Array, target: float) -> Array:
    """Each point moved toward the present as far as the target is still met on the way, by bisection."""
    near, far = np.zeros(points.shape[0]), np.ones(points.shape[0])  # 1: the point itself
    for _ in range(12):
        middle = 0.5 * (near + far)
        met = trials.scores(present + middle[:, None] * (points - present)) >= target
        far, near = np.where(met, middle, far), np.where(met, near, middle)
    return np.asarray(present + far[:, None] * (points - present))


def _descend(trials: Trials, starts: Array, target: float) -> Array:
    """Lower the cost from starts that meet the target, never losing it; returns the cheapest found."""
    low, high = trials.limits
    span = high - low
    count, levers = starts.shape
    trust = np.full(count, 0.2)
    now, cost = starts.copy(), trials.cost(starts)
    for _ in range(ROUNDS):
        going = np.flatnonzero(trust > SMALLEST_TRUST)
        if not going.size:
            break
        slope, score = _slopes(trials, now[going], 0.02 * trust[going][:, None] * span)
        aims = np.array(
            [_cheaper(trials, now[g], slope[k], float(score[k]) - target, trust[g] * span) for k, g in enumerate(going)]
        )
        # Where the aim misses the target, the way there may still hold something cheaper.
        shares = np.linspace(1.0, 0.0, 12, endpoint=False)
        ways = now[going][:, None, :] + shares[:, None] * (aims - now[going])[:, None, :]
        beyond = np.clip(aims + 0.02 * trust[going][:, None] * span * np.sign(slope), low, high)
        trial = np.concatenate([ways, beyond[:, None, :]], axis=1)
        flat = trial.reshape(-1, levers)
        value = np.where(trials.scores(flat) >= target, trials.cost(flat), np.inf).reshape(going.size, -1)
        pick = value.argmin(axis=1)
        gained = value[np.arange(going.size), pick] < cost[going] * (1.0 - 1e-6)
        for k, g in enumerate(going):
            if gained[k]:
                now[g], cost[g] = trial[k, pick[k]], value[k, pick[k]]
            full = gained[k] and pick[k] == 0
            trust[g] *= 1.5 if full else 0.35 if not gained[k] else 0.8
        trust = np.minimum(trust, 0.5)
    return np.asarray(now[cost.argmin()])


def _slopes(trials: Trials, points: Array, step: Array) -> tuple[Array, Array]:
    """Central differences of the score by each lever, within the limits, (points, levers), and the score itself."""
    low, high = trials.limits
    count, levers = points.shape
    up = np.repeat(points[:, None, :], levers, axis=1)
    down = up.copy()
    diagonal = np.arange(levers)
    up[:, diagonal, diagonal] = np.minimum(points + step, high)
    down[:, diagonal, diagonal] = np.maximum(points - step, low)
    every = np.concatenate([up.reshape(-1, levers), down.reshape(-1, levers), points])
    score = trials.scores(every)
    rise = (score[: count * levers] - score[count * levers : 2 * count * levers]).reshape(count, levers)
    run = up[:, diagonal, diagonal] - down[:, diagonal, diagonal]
    return np.nan_to_num(rise / np.maximum(run, 1e-300)), score[2 * count * levers :]


def _cheaper(trials: Trials, point: Array, slope: Array, spare: float, reach: Array) -> Array:
    """Cheapest point within reach whose score, along the slopes, still meets the target.

    A linear programme in moves d and costs c: minimise sum c, c_i >= +-cost_i (x_i + d_i - present_i),
    slope . d >= -spare.
    """
    low, high = trials.limits
    levers = point.size
    price = np.array([lever.cost for lever in trials.levers])
    offset = price * (point - trials.present)
    scale = np.maximum(reach, 1e-300)
    rows = np.concatenate(
        [
            np.concatenate([np.diag(price * scale), -np.eye(levers)], axis=1),
            np.concatenate([-np.diag(price * scale), -np.eye(levers)], axis=1),
            np.concatenate([-slope * scale, np.zeros(levers)])[None],
        ]
    )
    right = np.concatenate([-offset, offset, [spare]])
    bounds = [
        *(
            (max(-1.0, (lo - x) / r), min(1.0, (hi - x) / r))
            for lo, hi, x, r in zip(low, high, point, scale, strict=True)
        ),
        *((0.0, None) for _ in range(levers)),
    ]
    found = linprog(np.concatenate([np.zeros(levers), np.ones(levers)]), A_ub=rows, b_ub=right, bounds=bounds)
    return np.clip(point + found.x[:levers] * scale, low, high) if found.status == 0 else point
