"""Prediction with a band: what the uncertainty of every input and the model's own error make of the scores."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from articulate.brief import Brief
from articulate.climb import Outcome
from articulate.ends import Ends
from articulate.studies.population.allowance import error_variances, quantile_error, quantiles
from articulate.studies.population.conditions import RAMP_ANGLE
from articulate.studies.population.intervals import Quantiles
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, ModelError
from articulate.studies.population.normal_distribution import normal_quantile
from articulate.studies.population.polynomial_shares import polynomial_shares
from articulate.studies.population.runs import Population, Progress, Runs, cases_of, simulate, simulate_at
from articulate.studies.population.sampling import SEED
from articulate.studies.population.sensitivity import Shares, thorough_shares
from articulate.studies.population.ties import tied_groups
from articulate.types import Case

Array = NDArray[np.float64]

POINTS = 1024
LOW, HIGH = 0.05, 0.95
GAIN = "gain"
BOTH_END = 0.5  # least share of the vehicles both of whose climbs end on the ramp, for anything to be said of gains


@dataclass(frozen=True)
class Spread(Quantiles):
    """Median and central 90 % of a number over a population; infinite where the ramp ends first."""

    median_error: float  # standard error, of the number of points
    limit_error: float  # of the limits, the larger of the two
    points: int


@dataclass(frozen=True, eq=False, repr=False)
class ScoreVariance(Brief):
    """The variance of a sum of scores, which is taken apart when its shares are first asked for."""

    runs: Runs
    parts: tuple[Array, ...]  # each run's score times its factor, (points,)
    model: ModelError
    thorough: Shares | None  # by picking and freezing; None: by a polynomial through the runs

    @cached_property
    def shares(self) -> Shares:
        """What the inputs and the model's own error have of it."""
        people = self.runs.population
        found = self.thorough
        if found is None:
            groups = tied_groups(people.keys, people.ties)
            found = polynomial_shares(self.runs.samples, _sum(self.parts), groups)
        return with_model_share(found, self.parts, self.model)


@dataclass(frozen=True, eq=False, repr=False)
class CaseBand(Brief):
    """One case's score over the population."""

    case: Case
    score: Spread
    outcomes: Mapping[int, int]  # points by `Outcome`, `runs.NOT_BUILT` among them
    without_spin: Spread | None  # the same with grip enough; None where no climb ends by wheelspin
    lifts_first: Array  # (4,), share of the runs in which a wheel lifts
    spin_first: Array  # (4,), share of the runs that end by wheelspin in which each wheel spins; NaN if none does
    limits: Array  # (3, 4): share of the climbs with an end at which each of `ends.LIMITS` is met at each wheel
    variance: ScoreVariance

    @property
    def shares(self) -> Shares:
        """Of the score's variance."""
        return self.variance.shares

    @property
    def failed(self) -> int:
        """Points without a score, a ramp that ends first not counted."""
        return sum(self.outcomes.values()) - self.score.points


@dataclass(frozen=True, eq=False, repr=False)
class Band(Brief):
    """A vehicle's scores with their bands, all cases on the same points; `runs` are those of the inputs alone."""

    seed: int
    cases: tuple[CaseBand, ...]
    gain: Spread | None  # released less connected, see `gain_spread`; None where no bar can be released
    gain_variance: ScoreVariance | None
    runs: Runs
    model: ModelError

    @property
    def gain_shares(self) -> Shares | None:
        """Of the gain's variance; None where no bar can be released."""
        return None if self.gain_variance is None else self.gain_variance.shares

    @property
    def population(self) -> Population:
        """The vehicles that may be."""
        return self.runs.population

    @property
    def points(self) -> int:
        """How many of them were tried."""
        return self.runs.points

    @property
    def faults(self) -> Mapping[str, int]:
        """Why points could not be built, and how many."""
        return self.runs.faults


def spread(values: ArrayLike) -> Spread:
    """Median and central 90 % of a sample; infinities count, NaN are left out.

    The errors are half the distance between the order statistics one standard deviation sqrt(p (1-p) n) either side,
    those of independent points: Sobol points do better.
    """
    ranked = np.sort(np.asarray(values, dtype=np.float64))
    ranked = ranked[~np.isnan(ranked)]
    n = ranked.size
    if n == 0:
        return Spread(*(float("nan"),) * 5, 0)

    def at(share: float) -> float:
        place = share * (n - 1)
        below = int(np.floor(place))
        above = min(below + 1, n - 1)
        if ranked[below] == ranked[above]:
            return float(ranked[below])
        return float(ranked[below] + (place - below) * (ranked[above] - ranked[below]))

    def error(share: float) -> float:
        step = float(np.sqrt(share * (1.0 - share) / n))
        low, high = at(max(share - step, 0.0)), at(min(share + step, 1.0))
        return 0.0 if low == high else 0.5 * (high - low)

    return Spread(at(0.5), at(LOW), at(HIGH), error(0.5), max(error(LOW), error(HIGH)), n)


def spread_of_runs(parts: Sequence[Array], model: ModelError) -> Spread:
    """Median and central 90 % of a sum of scores of one vehicle with the model's own error.

    Args:
        parts: each run's score times its factor, (points,); infinities count, NaN are left out.
        model: the error; without one this is `spread` of the sum.
    """
    values = _sum(parts)
    if model.total == 0.0:
        return spread(values)
    with np.errstate(invalid="ignore"):
        deviation = np.sqrt(sum(error_variances(parts, model)))
    low, median, high = (float(at) for at in quantiles(values, deviation, (LOW, 0.5, HIGH)))
    errors = [quantile_error(values, deviation, at) for at in (low, median, high)]
    return Spread(median, low, high, errors[1], max(errors[0], errors[2]), int((~np.isnan(values)).sum()))


def _sum(parts: Sequence[Array]) -> Array:
    if len(parts) == 1:
        return parts[0]
    with np.errstate(invalid="ignore"):
        whole = np.sum(parts, axis=0)
    return np.where(np.isfinite(whole), whole, np.nan)


def gain_parts(runs: Runs) -> tuple[Array, Array]:
    """Released score and connected score taken off, each (points,)."""
    by_bars = {case.bars: ends.ranking for case, ends in runs.ends.items()}
    return by_bars["released"], -by_bars["connected"]


def gains(runs: Runs) -> Array:
    """Released less connected score, point by point, NaN where either has none; (points,)."""
    return _sum(gain_parts(runs))


def gain_spread(parts: Sequence[Array], model: ModelError) -> Spread:
    """Gains of the vehicles both of whose climbs end on the ramp, as `spread_of_runs`.

    NaN where less than half of them do: what the others gain is not known, and those that gain much are among them.
    """
    known = int(np.isfinite(_sum(parts)).sum())
    if known < BOTH_END * np.all([~np.isnan(part) for part in parts], axis=0).sum():
        return Spread(*(float("nan"),) * 5, known)
    return spread_of_runs(parts, model)


def band(
    population: Population,
    side: str = "left",
    points: int = POINTS,
    seed: int = SEED,
    thorough: bool = False,
    progress: Progress | None = None,
    model: ModelError | None = None,
) -> Band:
    """Scores of a vehicle with their 90 % bands and what makes them.

    Args:
        population: the vehicles that may be, such as `Population.of(spec)`.
        side: of the front wheel on the ramp.
        points: Sobol points, each with both bar states.
        seed: of the points.
        thorough: take the variance apart by picking and freezing, (groups + 2) x points more runs, instead of by
            a polynomial through the band's own points.
        progress: called with points done and points in all.
        model: its own error; the assumed one if None, `NO_MODEL_ERROR` for the band of the inputs alone.

    Raises:
        UnphysicalError: the nominal vehicle cannot exist.
    """
    cases = cases_of(population.spec, side)
    runs = simulate(population, cases, points, seed, progress)
    error = model if model is not None else ASSUMED_MODEL_ERROR
    outputs: dict[str, tuple[Array, ...]] = {case.bars: (runs.ends[case].ranking,) for case in cases}
    if len(cases) > 1:
        outputs[GAIN] = gain_parts(runs)
    found: Sequence[Shares | None] = (None,) * len(outputs)
    if thorough:
        groups = tied_groups(population.keys, population.ties)
        found = thorough_shares(_outputs_at(population, cases, groups), groups, points, seed, progress)
    variances = {
        name: ScoreVariance(runs, parts, error, shares)
        for (name, parts), shares in zip(outputs.items(), found, strict=True)
    }
    return Band(
        seed=seed,
        cases=tuple(case_band(case, runs.ends[case], variances[case.bars]) for case in cases),
        gain=gain_spread(outputs[GAIN], error) if GAIN in outputs else None,
        gain_variance=variances.get(GAIN),
        runs=runs,
        model=error,
    )


def mark_heights(band: Band, case: Case) -> Spread:
    """Height of the mark over the floor in a case [m], s sin g, with the model's own error as in the score."""
    found, inputs = band.runs, band.population.inputs

    def drawn(key: str) -> Array:
        return np.asarray(found.samples.get(key, inputs[key].value), dtype=np.float64)

    height = 1e-3 * found.ends[case].ranking * drawn("wheelbase") * np.sin(drawn(RAMP_ANGLE))
    return spread_of_runs((height,), band.model)


def with_model_share(shares: Shares, parts: Sequence[Array], model: ModelError) -> Shares:
    """Shares of the inputs beside those of the model's own error in a sum of scores, of its mean variance.

    parts: as of `spread_of_runs`.
    """
    values = _sum(parts)
    known = np.isfinite(values)
    if not known.any() or (shares.variance == 0.0 and np.ptp(values[known]) > 0.0):  # of too few points
        return shares
    common, run = (float(one.mean()) for one in error_variances([part[known] for part in parts], model))
    return shares.with_error(common, run)


def case_band(case: Case, ends: Ends, variance: ScoreVariance) -> CaseBand:
    """Put one case's ends together.

    Args:
        case: side and bar state.
        ends: how the climb of every point ended.
        variance: of the score, with the model's own error.
    """
    kinds, counts = np.unique(ends.outcome, return_counts=True)
    lifted = ends.wheel[ends.wheel >= 0]
    ended = ends.ranked
    spun = ends.outcome == Outcome.WHEELS_SPIN
    return CaseBand(
        case=case,
        score=spread_of_runs(variance.parts, variance.model),
        outcomes={int(kind): int(count) for kind, count in zip(kinds, counts, strict=True)},
        without_spin=spread(ends.ranking_without_spin) if spun.any() else None,
        spin_first=ends.spinning[spun].mean(axis=0) if spun.any() else np.full(4, np.nan),
        lifts_first=np.bincount(lifted, minlength=4) / max(lifted.size, 1),
        limits=ends.limited[ended].mean(axis=0) if ended.any() else np.full(ends.limited.shape[1:], np.nan),
        variance=variance,
    )


def _outputs_at(
    people: Population, cases: tuple[Case, ...], groups: tuple[tuple[str, ...], ...]
) -> Callable[[Array], Array]:
    """Outputs (outputs, n) at points of the unit cube whose columns follow the groups."""
    order = [key for group in groups for key in group]
    back = np.array([order.index(key) for key in people.keys], dtype=np.intp)

    def outputs(unit: Array) -> Array:
        runs = simulate_at(people, cases, normal_quantile(unit[:, back]))
        return np.array([*(runs.ends[case].ranking for case in cases), *([gains(runs)] if len(cases) > 1 else [])])

    return outputs
