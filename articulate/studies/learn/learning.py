"""Learning from a first run: the band of the next run, given what was measured.

Inputs and next runs are conditioned on readings by weighting (`weighting`). Bands before and after are of what a test
would read: inputs, the reading's own uncertainty and what the model leaves out (`model_error`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.lanes import join
from articulate.studies.learn.outlook import GivenReadings, Outlook, outlook_of, prior_weights
from articulate.studies.learn.readings import (
    SCORE_UNCERTAINTY,
    Evidence,
    LiftSeen,
    ScoreReading,
    error_covariance,
)
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, ModelError
from articulate.studies.population.runs import Progress, Runs, simulate_at
from articulate.studies.population.sampling import SEED, normal_scores
from articulate.studies.population.weighting import (
    Proposal,
    effective_points,
    linear_proposal,
    log_weights,
    normalised,
    prior_proposal,
    tempered,
    weighted_quantiles,
)
from articulate.studies.predict.band import HIGH, LOW
from articulate.types import Case

Array = NDArray[np.float64]

ROUND_POINTS = 2048
ROUNDS = 4  # of further points at most
ENOUGH = 800.0  # effective points, no further round
FEWEST = 150.0  # effective points; with fewer nothing is said about what was learned
HOPELESS = 10.0  # effective points after two further rounds: the readings cannot be reached
SURPRISING, UNEXPLAINED = 0.02, 0.001  # chance of readings as far from the prediction as these
MAY_BE_SEEN = 0.01  # chance of the wheel that was seen to lift, below which it is a surprise


@dataclass(frozen=True)
class CaseOutlook:
    """One case before and after; `after` is None where nothing can be said."""

    case: Case
    before: Outlook
    after: Outlook | None
    measured: float | None  # where its score is among the readings


@dataclass(frozen=True)
class ReadingFit:
    """One reading beside what was predicted and what the weighted population says."""

    reading: Evidence
    predicted: float  # mean before
    predicted_deviation: float  # standard deviation before, the reading's own error in it
    residual: float  # measured less the mean after, over its standard deviation; NaN where nothing can be said


@dataclass(frozen=True)
class InputPosterior:
    """One input before and after [SI]."""

    key: str
    median_before: float
    low_before: float
    high_before: float
    mean: float
    deviation: float
    median: float
    low: float
    high: float
    shift: float  # of the mean, in standard deviations before
    narrowing: float  # standard deviation after over before
    remaining: float  # share of the next score's variance that would go if this input were measured (r^2)


@dataclass(frozen=True, eq=False, repr=False)
class Learned(Brief):
    """The prediction before and after the readings."""

    runs: Runs  # all points, those of the prior first
    weights: Array  # (points,), sum 1
    prior_points: int
    readings: tuple[Evidence, ...]
    seen: tuple[LiftSeen, ...]
    model: ModelError
    cases: tuple[CaseOutlook, ...]
    gain: (
        tuple[Outlook, Outlook | None] | None
    )  # before, after, on the target's side; None where no bar can be released
    target: Case  # whose remaining variance `InputPosterior.remaining` shares out
    chance: float  # of readings as far from the prediction as these, before
    chances_seen: tuple[float, ...]  # of each wheel that was seen to lift, before
    effective: float  # effective points
    next_score: Array  # (points,), of the target case with the model error expected of each point
    rounds: int
    fits: tuple[ReadingFit, ...]

    @property
    def trusted(self) -> bool:
        """Whether enough points carry the weight."""
        return self.effective >= FEWEST

    @property
    def explained(self) -> bool:
        """Whether the vehicle file with its uncertainties can explain the readings."""
        return self.trusted and self.chance >= UNEXPLAINED and min(self.chances_seen, default=1.0) >= MAY_BE_SEEN


def learn(
    prior: Runs,
    readings: Sequence[Evidence],
    seen: Sequence[LiftSeen] = (),
    model: ModelError | None = None,
    next_uncertainty: float = SCORE_UNCERTAINTY,
    enough: float = ENOUGH,
    seed: int = SEED,
    progress: Progress | None = None,
) -> Learned:
    """Condition a population on readings.

    Args:
        prior: simulated tests of the population (`runs.simulate`), some 4,096 points, and 1,024 at least
            for the smallest chances to be told apart; its cases are those to be told about, and those of the
            readings must be among them. It can serve many times.
        readings: what was measured; at least one, or one seen lift.
        seen: which wheel lifted first.
        model: its own error; the assumed one if None.
        next_uncertainty: standard uncertainty of the next score read.
        enough: effective points with which no further ones are simulated.
        seed: of further points.
        progress: called with points done and points in all of a round.

    Raises:
        ValueError: nothing was read, or a reading of a case that was not simulated.
    """
    error = model if model is not None else ASSUMED_MODEL_ERROR
    asked = _Asked(tuple(readings), tuple(seen), error, next_uncertainty)
    cases = tuple(prior.ends)
    _check(asked, cases)
    keys = len(prior.population.keys)

    parts = [prior]
    proposals = [prior_proposal(keys, prior.points)]
    tried = _Tried.of(prior, asked)
    chance = _chance(tried, asked.measured, seed)
    while True:
        rounds = len(parts) - 1
        weights = normalised(log_weights(tried.normal, tried.likelihood, proposals))
        effective = effective_points(weights)
        hopeless = not weights.any() or (rounds >= 2 and effective < HOPELESS)
        if effective >= enough or rounds == ROUNDS or not asked.readings or hopeless:
            break
        proposal = _next_proposal(tried, proposals, asked)
        proposals.append(proposal)
        fresh = proposal.mean + normal_scores(ROUND_POINTS, keys, seed + rounds + 1) @ proposal.root.T
        parts.append(simulate_at(prior.population, cases, fresh, progress))
        tried = join([tried, _Tried.of(parts[-1], asked)])
    return _learned(asked, parts, tried, weights, chance)


@dataclass(frozen=True, eq=False, repr=False)
class _Asked(Brief):
    """What was measured, and how well the model and the next reading are known."""

    readings: tuple[Evidence, ...]
    seen: tuple[LiftSeen, ...]
    model: ModelError
    next_uncertainty: float

    @property
    def measured(self) -> Array:
        """Values of the readings, (readings,)."""
        return np.array([reading.value for reading in self.readings])


@dataclass(frozen=True, eq=False, repr=False)
class _Tried(Brief):
    """Points of the population beside what was measured."""

    normal: Array  # (points, keys)
    simulated: Array  # (points, readings), what each would have read
    covariance: Array  # (points, readings, readings), of what separates the readings from that
    likelihood: Array  # (points,), log; minus infinity where a point has no such reading (no vehicle, no score)

    @staticmethod
    def of(runs: Runs, asked: _Asked) -> _Tried:
        """Of simulated tests."""
        each = [reading.simulated(runs) for reading in asked.readings]
        simulated = np.stack(each, axis=1) if each else np.empty((runs.points, 0))
        covariance = error_covariance(asked.readings, asked.model, simulated)
        total = np.zeros(runs.points)
        if each:
            away = asked.measured - simulated
            total -= 0.5 * _distance(away, covariance) + 0.5 * np.linalg.slogdet(covariance)[1]
        for one in asked.seen:
            total += one.log_likelihood(runs)
        exists = np.all([ends.ranked for ends in runs.ends.values()], axis=0)
        likelihood = np.where(exists & np.isfinite(total), total, -np.inf)
        return _Tried(runs.normal, simulated, covariance, likelihood)


def _check(asked: _Asked, cases: tuple[Case, ...]) -> None:
    readings, seen = asked.readings, asked.seen
    if not readings and not seen:
        raise ValueError("nothing was measured; give at least one reading")
    named: tuple[Evidence | LiftSeen, ...] = (*readings, *seen)
    for one in named:
        case = getattr(one, "case", None)
        if case is not None and case not in cases:
            raise ValueError(f"{one.label}, {case.side} side: that run was not simulated")
    for reading in readings:
        if not (reading.standard_uncertainty > 0.0 and np.isfinite(reading.value)):
            raise ValueError(f"{reading.label}: a finite value and an uncertainty above zero are needed")


def _distance(away: Array, covariance: Array) -> Array:
    """Squared, in units of the covariance, (points,); `covariance` of each point or of all."""
    return np.asarray((away * np.linalg.solve(covariance, away[:, :, None])[:, :, 0]).sum(axis=1))


def _chance(tried: _Tried, measured: Array, seed: int) -> float:
    """Chance, before, of readings as far from the prediction as these.

    Far is the squared distance in the prediction's own covariance; its distribution is that of the simulated
    readings with errors drawn, so no normal distribution is assumed of the prediction. Not below 1/(points + 1).
    """
    usable = np.isfinite(tried.simulated).all(axis=1)
    points, errors = tried.simulated[usable], tried.covariance[usable]
    if not measured.size or points.shape[0] < 2:
        return 1.0
    drawn = np.random.default_rng(seed).standard_normal(points.shape)
    drawn = points + (np.linalg.cholesky(errors) @ drawn[:, :, None])[:, :, 0]
    centre = points.mean(axis=0)
    whole = np.atleast_2d(np.cov(points.T)) + errors.mean(axis=0)
    mine = _distance((measured - centre)[None], whole)[0]
    further = int((_distance(drawn - centre, whole) >= mine).sum())
    return float((further + 1.0) / (points.shape[0] + 1.0))


def _next_proposal(tried: _Tried, proposals: Sequence[Proposal], asked: _Asked) -> Proposal:
    normal = tried.normal
    base = log_weights(normal, np.zeros(normal.shape[0]), proposals)
    usable = np.isfinite(tried.simulated).all(axis=1) & np.isfinite(tried.likelihood)
    weights = tempered(base, np.where(usable, tried.likelihood, -np.inf), wanted=5.0 * (normal.shape[1] + 1))
    typical = error_covariance(asked.readings, asked.model)
    return linear_proposal(
        normal[usable], tried.simulated[usable], weights[usable], asked.measured, typical, ROUND_POINTS
    )


def _joined(parts: Sequence[Runs]) -> Runs:
    first = parts[0]
    if len(parts) == 1:
        return first
    faults = {what: sum(part.faults.get(what, 0) for part in parts) for part in parts for what in part.faults}
    return Runs(
        first.population,
        np.concatenate([part.normal for part in parts]),
        {key: np.concatenate([part.samples[key] for part in parts]) for key in first.samples},
        {case: join([part.ends[case] for part in parts]) for case in first.ends},
        faults,
    )


def _learned(asked: _Asked, parts: Sequence[Runs], tried: _Tried, weights: Array, chance: float) -> Learned:
    runs, prior_points, readings = _joined(parts), parts[0].points, asked.readings
    effective = effective_points(weights)
    trusted = effective >= FEWEST
    before = prior_weights(runs, prior_points)
    away = np.where(weights[:, None] > 0.0, asked.measured - tried.simulated, 0.0)
    known = GivenReadings(readings, tried.simulated, away, tried.covariance)

    def outlook(parts: Sequence[tuple[Case, float]], given: bool) -> tuple[Outlook, Array]:
        """A combination of next scores, such as released less connected."""
        some = weights if given else before
        return outlook_of(runs, parts, some, known if given else None, asked.model, asked.next_uncertainty)

    score_of = {r.case: r.value for r in readings if isinstance(r, ScoreReading)}
    found = []
    for case in runs.ends:
        after = outlook([(case, 1.0)], True)[0] if trusted else None
        found.append(CaseOutlook(case, outlook([(case, 1.0)], False)[0], after, score_of.get(case)))
    target = next((case for case in reversed(list(runs.ends)) if case not in score_of), tuple(runs.ends)[-1])
    gain = None
    both = [case for case in runs.ends if case.side == target.side]
    if len(both) == 2:
        apart = [(case, 1.0 if case.bars == "released" else -1.0) for case in both]
        gain = (outlook(apart, False)[0], outlook(apart, True)[0] if trusted else None)
    fits = []
    for column, reading in enumerate(readings):
        simulated = tried.simulated[:, column]
        usable = (before > 0.0) & np.isfinite(simulated)
        own = float(np.sqrt(tried.covariance[usable, column, column].mean()))
        deviation = float(np.hypot(simulated[usable].std(), own))
        mean_after = float(weights @ np.where(weights > 0.0, simulated, 0.0))
        residual = (reading.value - mean_after) / own if trusted else float("nan")
        fits.append(ReadingFit(reading, float(simulated[usable].mean()), deviation, residual))
    return Learned(
        runs=runs,
        weights=weights,
        prior_points=prior_points,
        readings=readings,
        seen=asked.seen,
        model=asked.model,
        cases=tuple(found),
        gain=gain,
        target=target,
        chance=chance,
        chances_seen=tuple(float(before @ (runs.ends[one.case].wheel == one.wheel)) for one in asked.seen),
        effective=effective,
        rounds=len(parts) - 1,
        fits=tuple(fits),
        next_score=outlook([(target, 1.0)], True)[1],
    )


def input_posteriors(learned: Learned) -> tuple[InputPosterior, ...]:
    """Every uncertain input before and after; none where too few points carry the weight."""
    if not learned.trusted:
        return ()
    runs, weights, next_score = learned.runs, learned.weights, learned.next_score
    before = prior_weights(runs, learned.prior_points)
    used = (weights > 0.0) & np.isfinite(next_score)
    weight = weights[used] / weights[used].sum()
    score = next_score[used] - weight @ next_score[used]
    spread = float(weight @ score**2)
    found = []
    for key in runs.population.keys:
        x = runs.samples[key]
        mean_before = float(before @ x)
        deviation_before = float(np.sqrt(before @ (x - mean_before) ** 2))
        mean = float(weights @ x)
        deviation = float(np.sqrt(weights @ (x - mean) ** 2))
        own = x[used] - weight @ x[used]
        product = float(weight @ own**2) * spread
        low, median, high = weighted_quantiles(x, weights, (LOW, 0.5, HIGH))
        low_before, median_before, high_before = weighted_quantiles(x, before, (LOW, 0.5, HIGH))
        found.append(
            InputPosterior(
                key,
                float(median_before),
                float(low_before),
                float(high_before),
                mean,
                deviation,
                float(median),
                float(low),
                float(high),
                (mean - mean_before) / deviation_before if deviation_before > 0.0 else 0.0,
                deviation / deviation_before if deviation_before > 0.0 else 1.0,
                float(weight @ (own * score)) ** 2 / product if product > 0.0 else 0.0,
            )
        )
    return tuple(found)
