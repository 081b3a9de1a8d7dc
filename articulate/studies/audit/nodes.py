"""What a population with a cause at work leads one to expect: means and covariances over nodes of the cause's size.

For a cause on the reading side every node is worked out on the clean population itself. For a cause on the vehicle
side every point of the population is climbed again with its own size, drawn from the prior; the change against the
clean climb of the same point is a smooth function of the size (linear spline, least squares), and the covariance at a
node is that of the residuals near it. Both contain the whole spread of the uncertain inputs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.studies.audit.sizes import Size

Array = NDArray[np.float64]

FEWEST_LIFTS = 24  # climbs with a lift below which nothing can be said
KNOTS = 8
STIFFNESS = 0.3  # of the spline against bends
NEARNESS = 0.14  # sd of the kernel over shares of the size's prior


@dataclass(frozen=True, eq=False, repr=False)
class Nodes(Brief):
    """What one component leads one to expect: k nodes of its size."""

    size: Array  # (k,)
    weight: Array  # (k,), of the prior, before it is shared among causes; climbs without a lift count for nothing
    mean: Array  # (k, channels)
    covariance: Array  # (k, channels, channels)
    freedom: Array  # (k,)
    lost: int  # climbs without a lift


def finite(sample: Array) -> NDArray[np.bool_]:
    """Points whose every channel is known, (points,)."""
    return np.asarray(np.isfinite(sample).all(axis=1))


def moments(sample: Array) -> tuple[Array, Array]:
    """Mean (channels,) and covariance (channels, channels) of the points whose every channel is known."""
    kept = sample[finite(sample)]
    return kept.mean(axis=0), np.cov(kept, rowvar=False)


@dataclass(frozen=True, eq=False, repr=False)
class Base(Brief):
    """A population with its moments, so that those of one that differs in a few channels are quick."""

    sample: Array  # (points, channels)
    kept: NDArray[np.bool_]  # (points,), every channel known
    centred: Array  # (kept points, channels)
    mean: Array
    covariance: Array

    @staticmethod
    def of(sample: Array) -> Base:
        """Of a population (points, channels)."""
        kept = finite(sample)
        mean, covariance = moments(sample)
        return Base(sample, kept, sample[kept] - mean, mean, covariance)

    def changed(self, sample: Array) -> tuple[Array, Array]:
        """As `moments(sample)`."""
        if not np.array_equal(finite(sample), self.kept):
            return moments(sample)
        other = np.flatnonzero((sample[self.kept] != self.sample[self.kept]).any(axis=0))
        new = sample[np.ix_(self.kept, other)]
        mean, covariance, centred = self.mean.copy(), self.covariance.copy(), self.centred.copy()
        mean[other] = new.mean(axis=0)
        centred[:, other] = new - mean[other]
        rows = centred[:, other].T @ centred / (centred.shape[0] - 1)
        covariance[other], covariance[:, other] = rows, rows.T
        return mean, covariance


def nodes_of_population(samples: Sequence[Array], size: Size, base: Base | None = None) -> Nodes:
    """Nodes from whole populations, one at each size; each sample (points, channels).

    `base` is the clean population, where a sample differs from it in a few channels only: the rest is as known.
    """
    sizes, weights = size.nodes()
    found = [moments(sample) if base is None else base.changed(sample) for sample in samples]
    return Nodes(
        sizes,
        weights,
        np.array([mean for mean, _ in found]),
        np.array([covariance for _, covariance in found]),
        np.full(sizes.size, float(samples[0].shape[0])),
        int((~finite(samples[0])).sum()),
    )


def nodes_of_sizes(clean: Array, sample: Array, share: Array, size: Size) -> Nodes:
    """Nodes from points with sizes of their own, each beside its clean climb.

    Args:
        clean: (points, channels), the clean population.
        sample: (some points, channels), its first points with the cause at work.
        share: (some points,), of the size's prior.
        size: the prior.
    """
    sizes, weights = size.nodes()
    fine = finite(sample) & finite(clean[: share.size])
    lost = int((~fine).sum())
    middle, spread = moments(clean)
    count = sizes.size
    if fine.sum() < FEWEST_LIFTS:  # such a vehicle lifts no wheel, and one was lifted
        flat = np.broadcast_to(spread, (count, *spread.shape)).copy()
        return Nodes(sizes, 1e-9 * weights, np.tile(middle, (count, 1)), flat, np.full(count, 10.0), lost)
    base, some, share = clean[: fine.size][fine], sample[fine], share[fine]
    lifts = fine.mean()
    if not size.continuous:
        mean = middle + (some - base).mean(axis=0)
        covariance = np.cov(some, rowvar=False)
        return Nodes(sizes, lifts * weights, mean[None], covariance[None], np.full(1, float(share.size)), lost)
    hats = _hats(share)
    bend = np.diff(np.eye(KNOTS), 2, axis=0)
    coefficients = np.linalg.solve(hats.T @ hats + STIFFNESS * bend.T @ bend, hats.T @ (some - base))
    residual = some - middle - hats @ coefficients
    near = np.exp(-0.5 * ((size.shares()[:, None] - share) / NEARNESS) ** 2)
    near /= near.sum(axis=1, keepdims=True)
    return Nodes(
        sizes,
        lifts * weights,
        middle + _hats(size.shares()) @ coefficients,
        (near[:, :, None] * residual).transpose(0, 2, 1) @ residual,
        1.0 / (near**2).sum(axis=1),
        lost,
    )


def _hats(share: Array) -> Array:
    """Linear splines over (0, 1), (points, KNOTS)."""
    knots = np.linspace(0.0, 1.0, KNOTS)
    return np.maximum(0.0, 1.0 - np.abs(share[:, None] - knots) * (KNOTS - 1))
