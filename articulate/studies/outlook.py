"""What the next test would read: a weighted population with the errors of reading and model on top."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.studies.band import HIGH, LOW
from articulate.studies.population import Case
from articulate.studies.readings import ModelError, Reading, ScoreReading, model_covariance
from articulate.studies.runs import Runs
from articulate.studies.weighting import mixture_quantiles

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Outlook:
    """What a test would read: median and central 90 %."""

    median: float
    low: float
    high: float
    noise_share: float  # of the variance: the reading and what the model leaves out, not the inputs

    @property
    def width(self) -> float:
        """Width of the central 90 %."""
        return self.high - self.low


def prior_weights(runs: Runs, prior_points: int) -> Array:
    """Weights of the prior: its own points that have an end in every case, equally, (points,)."""
    before = np.zeros(runs.points)
    first = np.all([ends.ranked[:prior_points] for ends in runs.ends.values()], axis=0)
    before[:prior_points] = first / max(int(first.sum()), 1)
    return before


def outlook_of(
    runs: Runs,
    parts: Sequence[tuple[Case, float]],
    weights: Array,
    readings: Sequence[Reading],
    away: Array,
    covariance: Array,
    model: ModelError,
    next_uncertainty: float,
    before: Array,
) -> tuple[Outlook, Array]:
    """A linear combination of next scores, and its mean at each point.

    A point's model errors are normal with the readings' residuals: with C their covariance with the next error, the
    next score has mean f + C R^-1 (y - f_read) and variance V - C R^-1 C^T + u^2.
    """
    mean = np.zeros(runs.points)
    variance = 0.0
    shared = np.zeros(len(readings))
    nexts = []
    for case, factor in parts:
        score = runs.ends[case].score
        mean = mean + factor * np.where(np.isnan(score), 0.0, score)
        usable = (before > 0.0) & np.isfinite(score)
        typical = float(np.median(score[usable])) if usable.any() else 0.0
        nexts.append((ScoreReading(case, typical, next_uncertainty), factor))
    for one, factor in nexts:
        variance += factor**2 * next_uncertainty**2
        for other, other_factor in nexts:
            variance += factor * other_factor * model_covariance(one, other, model, one is other)
        for column, reading in enumerate(readings):
            shared[column] += factor * model_covariance(one, reading, model, False)
    if shared.any():
        weighting = np.linalg.solve(covariance, shared)
        mean = mean + away @ weighting
        variance -= float(shared @ weighting)
    mean = np.where(np.isnan(mean), np.inf, mean)
    low, median, high = mixture_quantiles(mean, float(np.sqrt(max(variance, 0.0))), weights, (LOW, 0.5, HIGH))
    used = (weights > 0.0) & np.isfinite(mean)
    weight = weights[used] / max(weights[used].sum(), 1e-300)
    inputs = float(weight @ (mean[used] - weight @ mean[used]) ** 2)
    noise = variance / (variance + inputs) if variance + inputs > 0.0 else 0.0
    return Outlook(float(median), float(low), float(high), noise), mean
