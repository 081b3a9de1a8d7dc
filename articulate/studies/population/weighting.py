"""Importance sampling in the space of independent normal scores: a prior conditioned on readings.

The prior's points are weighted by the likelihood; where too few of them count, normal proposals fitted to the weighted
points by a local linear model are added, and all points are weighted anew by the mixture they came from (adaptive
multiple importance sampling: Cornuet, Marin, Mira and Robert, Scand. J. Stat. 39, 2012). The weights are exact
whatever the linear model is worth: a poor one costs effective points, not truth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.studies.population.normal_distribution import normal_probability

Array = NDArray[np.float64]

MOST_STEPS = 80  # to a quantile; some five are usual
WIDENING = 1.5  # of the readings' covariance in a proposal: tails heavier than the target's


@dataclass(frozen=True, eq=False, repr=False)
class Proposal(Brief):
    """A normal distribution of normal scores; the prior is the one with mean 0 and root I."""

    mean: Array  # (keys,)
    root: Array  # (keys, keys), lower Cholesky root of the covariance
    points: int  # drawn from it

    def log_density(self, normal: Array) -> Array:
        """At points (n, keys), (n,), without the constant that all share."""
        away = (normal - self.mean) @ np.linalg.inv(self.root).T
        return np.asarray(-0.5 * (away**2).sum(axis=1) - np.log(np.diag(self.root)).sum())


def prior_proposal(keys: int, points: int) -> Proposal:
    """The prior as the first member of a mixture."""
    return Proposal(np.zeros(keys), np.eye(keys), points)


def log_weights(normal: Array, log_likelihood: Array, proposals: Sequence[Proposal]) -> Array:
    """Logarithms of the weights of points drawn from a mixture of proposals, (n,), not normalised.

    The first proposal is the prior; alone, it leaves the likelihood. With the prior density p, the likelihood L and
    the proposals q_k of n_k points each: log w = log p + log L - log sum n_k q_k, but for a constant.

    Args:
        normal: points as normal scores, (n, keys).
        log_likelihood: of each point, (n,).
        proposals: what they were drawn from.
    """
    if len(proposals) == 1:
        return log_likelihood
    prior = -0.5 * (normal**2).sum(axis=1)
    mixture = np.logaddexp.reduce([proposal.log_density(normal) + np.log(proposal.points) for proposal in proposals])
    return np.asarray(prior + log_likelihood - mixture)


def normalised(logarithms: Array) -> Array:
    """Weights (n,) that sum to 1, from their logarithms (n,); all zero where no point has any."""
    highest = float(np.max(logarithms, initial=-np.inf))
    if not np.isfinite(highest):
        return np.zeros(logarithms.shape)
    weights = np.exp(logarithms - highest)
    return np.asarray(weights / weights.sum())


def effective_points(weights: Array) -> float:
    """Number of equally weighted points worth as much (Kish): 1 / sum(w^2), 0 without weights."""
    square = float((weights**2).sum())
    return 1.0 / square if square > 0.0 else 0.0


def tempered(base: Array, log_likelihood: Array, wanted: float) -> Array:
    """Weights with the likelihood raised to the largest power up to 1 that leaves `wanted` effective points.

    Args:
        base: logarithms of the weights without the likelihood, (n,).
        log_likelihood: of each point, (n,); not finite where it is impossible.
        wanted: effective points.
    """
    usable = np.where(np.isfinite(log_likelihood), log_likelihood, -np.inf)

    def at(power: float) -> Array:
        with np.errstate(invalid="ignore"):
            return normalised(np.where(np.isfinite(usable), base + power * usable, -np.inf))

    if effective_points(at(1.0)) >= wanted:
        return at(1.0)
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if effective_points(at(middle)) >= wanted else (low, middle)
    return at(low)


def linear_proposal(
    normal: Array, simulated: Array, weights: Array, measured: Array, covariance: Array, points: int
) -> Proposal:
    """Normal posterior of a linear model fitted to weighted points.

    With readings y = a + G z + error of covariance R' (the readings' own, widened, and what the fit leaves over),
    z standard normal: mean K (y - a), covariance I - K G with K = G^T (G G^T + R')^-1.

    Args:
        normal: normal scores, (n, keys).
        simulated: what each point would have read, (n, readings).
        weights: of the points, (n,), sum 1.
        measured: (readings,).
        covariance: of the readings' errors, (readings, readings).
        points: to be drawn from it.
    """
    keys = normal.shape[1]
    used = weights > 0.0
    z, f, w = normal[used], simulated[used], weights[used]
    root_weight = np.sqrt(w)[:, None]
    design = np.concatenate([np.ones((z.shape[0], 1)), z], axis=1)
    # A ridge of a few points keeps directions the weighted points do not spread over from running wild.
    ridge = np.sqrt(1.0 / max(effective_points(w), 1.0)) * np.eye(keys + 1)
    ridge[0, 0] = 0.0
    scale = np.maximum(f.std(axis=0), 1e-12)
    lines = np.linalg.lstsq(
        np.concatenate([design * root_weight, ridge]),
        np.concatenate([f / scale * root_weight, np.zeros((keys + 1, f.shape[1]))]),
        rcond=None,
    )[0]
    lines = lines * scale
    offset, slope = lines[0], lines[1:].T
    left = f - design @ lines
    widened = WIDENING * covariance + (left * w[:, None]).T @ left
    gain = slope.T @ np.linalg.inv(slope @ slope.T + widened)
    spread = np.eye(keys) - gain @ slope
    return Proposal(gain @ (measured - offset), np.linalg.cholesky(0.5 * (spread + spread.T)), points)


def weighted_quantiles(values: Array, weights: Array, shares: Sequence[float]) -> Array:
    """Quantiles of weighted values, (shares,); infinities count, values of weight 0 do not."""
    used = weights > 0.0
    order = np.argsort(values[used], kind="stable")
    ranked, weight = values[used][order], weights[used][order]
    middle = (np.cumsum(weight) - 0.5 * weight) / weight.sum()
    finite = np.isfinite(ranked)
    found = np.interp(shares, middle[finite], ranked[finite]) if finite.any() else np.full(len(shares), np.inf)
    return np.where(np.asarray(shares) > weight[finite].sum() / weight.sum(), np.inf, found)


def mixture_quantiles(mean: Array, deviation: float | Array, weights: Array, shares: Sequence[float]) -> Array:
    """Quantiles of a weighted mixture of normals, (shares,).

    An infinite mean is a share of the mixture that lies above every number. The means are first shared out over a
    grid of a tenth of the least deviation, which widens the mixture by less than 0.1 % of it.

    Args:
        mean: (n,).
        deviation: standard deviation of all, or of each, (n,).
        weights: (n,).
        shares: wanted.
    """
    used = weights > 0.0
    centre, weight = mean[used], weights[used] / weights[used].sum()
    finite = np.isfinite(centre)
    if not finite.any():
        return np.full(len(shares), np.inf)
    spread = np.broadcast_to(np.asarray(deviation, dtype=np.float64), mean.shape)[used][finite]
    if not (spread > 0.0).any():
        return weighted_quantiles(mean, weights, shares)
    # A normal far narrower than the others is a step: it needs some width to be found by halving, and no more.
    spread = np.maximum(spread, 1e-6 * spread.max())
    centre, spread, weight = _on_grid(centre[finite], spread, weight[finite])
    wanted = np.asarray(shares, dtype=np.float64)
    found = np.full(wanted.shape, np.inf)
    below = wanted < weight.sum()
    found[below] = _reached_at(centre, spread, weight, wanted[below])
    return found


def _reached_at(centre: Array, spread: Array, weight: Array, shares: Array) -> Array:
    """Where the distribution function of a mixture of normals reaches shares: Newton between limits that close in."""
    low = np.full(shares.shape, (centre - 10.0 * spread).min())
    high = np.full(shares.shape, (centre + 10.0 * spread).max())
    enough = 1e-11 * (high - low)
    order = np.argsort(centre)
    at = np.interp(shares * weight.sum(), np.cumsum(weight[order]) - 0.5 * weight[order], centre[order])
    for _ in range(MOST_STEPS):
        away = (at[:, None] - centre) / spread
        over = normal_probability(away) @ weight - shares
        low, high = np.where(over < 0.0, at, low), np.where(over < 0.0, high, at)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            aim = at - over * np.sqrt(2.0 * np.pi) / (np.exp(-0.5 * away**2) @ (weight / spread))
        before, at = at, np.where((aim >= low) & (aim <= high), aim, 0.5 * (low + high))
        if (np.abs(at - before) <= enough).all():
            break
    return np.asarray(at, dtype=np.float64)


def _on_grid(values: Array, spread: Array, weights: Array) -> tuple[Array, Array, Array]:
    """Weighted normals shared out linearly over a grid of their means; as they are where that saves nothing.

    A place of the grid has the mean variance of what it takes up.
    """
    start, step = float(values.min()), 0.1 * float(spread.min())
    bins = int(min((float(values.max()) - start) / step, values.size)) + 2
    if bins >= values.size:
        return values, spread, weights
    place = (values - start) / step
    below = place.astype(np.intp)
    upper = place - below

    def shared(amounts: Array) -> Array:
        return np.asarray(
            np.bincount(below, amounts * (1.0 - upper), bins) + np.bincount(below + 1, amounts * upper, bins)
        )

    weight = shared(weights)
    taken = weight > 0.0
    variance = shared(weights * spread**2)[taken] / weight[taken]
    grid = np.asarray(start + step * np.flatnonzero(taken), dtype=np.float64)
    return grid, np.asarray(np.sqrt(variance), dtype=np.float64), weight[taken]
