"""Bands that hold the model's own error beside what the inputs leave open: mixtures of normals, one a vehicle."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from articulate.studies.population.model_error import ModelError
from articulate.studies.population.normal_distribution import normal_probability
from articulate.studies.population.weighting import mixture_quantiles

Array = NDArray[np.float64]


def error_variances(parts: Sequence[Array], model: ModelError) -> tuple[Array, Array]:
    """Variances of the model's error in a sum of scores of one vehicle, by its common part and those of the runs.

    c multiplies the whole sum and each e its own score: common^2 (sum a f)^2 and run^2 sum (a f)^2.

    Args:
        parts: a f, each run's score times its factor, such as 1 and -1 for a gain; each (points,).
        model: the error.

    Returns:
        Both variances, each (points,).
    """
    whole = np.sum(parts, axis=0)
    return model.common**2 * whole**2, model.run**2 * np.sum(np.square(parts), axis=0)


def quantiles(values: Array, deviation: Array, shares: Sequence[float]) -> Array:
    """Quantiles of values of which each has a normal error, (shares,).

    Args:
        values: (points,); infinities lie above every number, NaN are left out.
        deviation: standard deviation of each one's error, (points,).
        shares: wanted.
    """
    known = ~np.isnan(values)
    count = int(known.sum())
    if not count:
        return np.full(len(shares), np.nan)
    return mixture_quantiles(values[known], deviation[known], np.full(count, 1.0 / count), shares)


def quantile_error(values: Array, deviation: Array, at: float) -> float:
    """Standard error of a quantile found by `quantiles`, of the number of independent points; 0 where it is infinite.

    Of a mixture with distribution function F = mean of Phi_j and density p: sqrt(var Phi_j(at) / n) / p(at).
    """
    known = np.isfinite(values)
    if not known.any() or not np.isfinite(at):
        return 0.0
    spread = np.maximum(deviation[known], 1e-12)
    away = (at - values[known]) / spread
    reached = np.concatenate([normal_probability(away), np.zeros(int(np.isinf(values).sum()))])
    density = float((np.exp(-0.5 * away**2) / spread).sum() / (np.sqrt(2.0 * np.pi) * reached.size))
    return float(reached.std() / np.sqrt(reached.size)) / density if density > 0.0 else float("inf")


def reach(values: Array, deviation: Array, target: float) -> float:
    """Probability that a value reaches a target, each with a normal error; NaN count as not reaching it."""
    finite = np.isfinite(values)
    sure = np.where(np.isnan(values), False, values >= target)
    spread = np.where(finite & (deviation > 0.0), deviation, 1.0)
    chance = normal_probability((np.where(finite, values, 0.0) - target) / spread)
    return float(np.where(finite & (deviation > 0.0), chance, sure).mean())
