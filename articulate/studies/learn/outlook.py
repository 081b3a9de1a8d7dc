"""What the next test would read: a weighted population with the errors of reading and model on top."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.studies.learn.readings import Evidence, ScoreReading, model_covariance, model_scales
from articulate.studies.population.allowance import error_variances
from articulate.studies.population.intervals import Quantiles
from articulate.studies.population.model_error import ModelError
from articulate.studies.population.runs import Runs
from articulate.studies.population.weighting import mixture_quantiles
from articulate.studies.predict.band import BOTH_END, HIGH, LOW
from articulate.types import Case

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Outlook(Quantiles):
    """What a test would read."""

    noise_share: float  # of the variance: the reading and what the model leaves out, not the inputs


def prior_weights(runs: Runs, prior_points: int) -> Array:
    """Weights of the prior: its own points that have an end in every case, equally, (points,)."""
    before = np.zeros(runs.points)
    first = np.all([ends.ranked[:prior_points] for ends in runs.ends.values()], axis=0)
    before[:prior_points] = first / max(int(first.sum()), 1)
    return before


@dataclass(frozen=True, eq=False, repr=False)
class GivenReadings(Brief):
    """Readings and what separates them from the model at each point."""

    readings: tuple[Evidence, ...]
    simulated: Array  # (points, readings)
    away: Array  # (points, readings), measured less simulated; 0 where a point has no weight
    covariance: Array  # (points, readings, readings)


def outlook_of(
    runs: Runs,
    parts: Sequence[tuple[Case, float]],
    weights: Array,
    given: GivenReadings | None,
    model: ModelError,
    next_uncertainty: float,
) -> tuple[Outlook, Array]:
    """A linear combination of next scores, and its mean at each point.

    A point's model errors are normal with the readings' residuals: with C their covariance with the next error and R
    that of the residuals, the next score has mean f + C R^-1 (y - f_read) and variance V - C R^-1 C^T + u^2.

    A combination of several is that of the vehicles all of whose climbs end on the ramp, NaN where less than half do.

    Args:
        runs: the simulated population.
        parts: cases with their factors, such as 1 and -1 for a gain.
        weights: of the points, (points,).
        given: readings, None before them.
        model: its own error.
        next_uncertainty: standard uncertainty of each next score read.
    """
    if len(parts) > 1:
        end = np.all([np.isfinite(runs.ends[case].ranking) for case, _ in parts], axis=0)
        if weights[end].sum() < BOTH_END * weights.sum():
            return Outlook(*(float("nan"),) * 4), np.full(weights.size, np.nan)
        weights = np.where(end, weights, 0.0)
    scores = [factor * _known(runs.ends[case].ranking) for case, factor in parts]
    with np.errstate(invalid="ignore"):
        mean = np.sum([factor * _or_zero(runs.ends[case].ranking) for case, factor in parts], axis=0)
    variance = sum(error_variances(scores, model), sum(f**2 for _, f in parts) * next_uncertainty**2)
    if given is not None and given.readings and model.total > 0.0:
        scale = model_scales(given.readings, given.simulated)
        shared = np.zeros(given.away.shape)
        for (case, _), score in zip(parts, scores, strict=True):
            following = ScoreReading(case, 0.0)
            for column, reading in enumerate(given.readings):
                shared[:, column] += model_covariance(following, reading, model) * score * scale[:, column]
        weighting = np.linalg.solve(given.covariance, shared[:, :, None])[:, :, 0]
        mean = mean + (given.away * weighting).sum(axis=1)
        variance = variance - (shared * weighting).sum(axis=1)
    mean = np.where(np.isnan(mean), np.inf, mean)
    variance = np.maximum(np.broadcast_to(variance, mean.shape), 0.0)
    low, median, high = mixture_quantiles(mean, np.sqrt(variance), weights, (LOW, 0.5, HIGH))
    used = (weights > 0.0) & np.isfinite(mean)
    weight = weights[used] / max(weights[used].sum(), 1e-300)
    inputs = float(weight @ (mean[used] - weight @ mean[used]) ** 2)
    errors = float(weight @ variance[used])
    noise = errors / (errors + inputs) if errors + inputs > 0.0 else 0.0
    return Outlook(float(median), float(low), float(high), noise), mean


def _or_zero(score: Array) -> Array:
    """Scores, beyond the ramp infinite; 0 where there is none."""
    return np.where(np.isnan(score), 0.0, score)


def _known(score: Array) -> Array:
    """Scores that are numbers; else 0."""
    return np.where(np.isfinite(score), score, 0.0)
