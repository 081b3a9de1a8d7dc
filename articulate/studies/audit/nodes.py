"""What a population with a cause at work leads one to expect: means and covariances over nodes of the cause's size.

For a cause on the reading side every node is worked out on the clean population itself. For a cause on the vehicle
side a few points of the population are climbed again, each with its own size drawn from the prior. The change against
the clean climb of the same point is a smooth function of the size, and goes with what the clean vehicle is like: it is
regressed on a spline of the size and on the leading features of the clean population, and the regression is carried
over to the whole of it. What it leaves is added to the covariance, as is how surely it is known, and what the size
varies within a node. So both contain the whole spread of the uncertain inputs, and few points say as much as many.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.studies.audit.sizes import Size

Array = NDArray[np.float64]

FEWEST_LIFTS = 24  # climbs with a lift below which nothing can be said
KNOTS = 8
STIFFNESS = 0.3  # of the spline against bends
NEARNESS = 0.14  # sd of the kernel over shares of the size's prior
FEATURES = 6  # of a clean population
SHRINKAGE = 4.0  # of what goes with them, in points
LEAST_SPARE = 8.0  # degrees of freedom left to the residuals, at least
CONSTANT = 1e-9  # share of its size below which a channel counts as one that does not vary
POINTS_OF_FEWEST = 64  # of which as many as `FEWEST_LIFTS` have to lift a wheel; of fewer points the same share


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
    """A clean population with its moments and features, so that those of one with a cause at work are quick."""

    sample: Array  # (points, channels)
    kept: NDArray[np.bool_]  # (points,), every channel known
    centred: Array  # (kept points, channels)
    mean: Array
    covariance: Array
    features: Array  # (points, FEATURES), uncorrelated, of variance one; zero where not kept
    loadings: Array  # (FEATURES, channels), covariance of features and channels

    @staticmethod
    def of(sample: Array) -> Base:
        """Of a population (points, channels)."""
        kept = finite(sample)
        mean, covariance = moments(sample)
        centred = sample[kept] - mean
        spread = np.sqrt(np.diagonal(covariance))
        scale = np.where(spread > CONSTANT * (np.abs(mean) + 1.0), spread, np.inf)
        values, vectors = np.linalg.eigh(covariance / np.outer(scale, scale))
        lead = slice(None, -1 - FEATURES, -1)
        features = np.zeros((kept.size, FEATURES))
        some = (centred / scale) @ vectors[:, lead] / np.sqrt(np.maximum(values[lead], CONSTANT))
        features[kept, : some.shape[1]] = some
        return Base(sample, kept, centred, mean, covariance, features, features[kept].T @ centred / (len(centred) - 1))

    @cached_property
    def known(self) -> NDArray[np.bool_]:
        """Of each channel of each point, whether it is known, (points, channels)."""
        return np.asarray(np.isfinite(self.sample))

    @cached_property
    def without_features(self) -> Array:
        """Covariance of what the features do not tell, (channels, channels)."""
        return self.covariance - self.loadings.T @ self.loadings

    def misread(self, samples: Array, columns: NDArray[np.intp], out: Array | None = None) -> tuple[Array, Array, int]:
        """Means (k, channels) and covariances (k, channels, channels) with some columns read otherwise.

        Also how many points are not known whole, in the first of the samples.

        Args:
            samples: (k, columns, points).
            columns: channels that are read otherwise.
            out: where the covariances are put; a new place if None.
        """
        covariance = self.room(len(samples), out)
        rightly = np.delete(self.known, columns, axis=1).all(axis=1)
        known = np.asarray(np.isfinite(samples).all(axis=1) & rightly)
        lost = int((~known[0]).sum())
        if not (known == self.kept).all():
            whole = np.repeat(self.sample[None], len(samples), axis=0)
            whole[:, :, columns] = samples.transpose(0, 2, 1)
            mean = np.empty((len(samples), self.mean.size))
            for k, one in enumerate(whole):
                mean[k], covariance[k] = moments(one)
            return mean, covariance, lost
        new = samples if self.kept.all() else samples[:, :, self.kept]
        mean = np.repeat(self.mean[None], len(samples), axis=0)
        mean[:, columns] = new.mean(axis=2)
        new = new - mean[:, columns, None]
        spare = len(self.centred) - 1
        rows = new @ self.centred / spare
        rows[:, :, columns] = new @ new.transpose(0, 2, 1) / spare
        covariance[:] = self.covariance
        covariance[:, columns] = rows
        covariance[:, :, columns] = rows.transpose(0, 2, 1)
        return mean, covariance, lost

    def room(self, nodes: int, out: Array | None) -> Array:
        """Where covariances of so many nodes go, (nodes, channels, channels): there, or a new place."""
        return np.empty((nodes, *self.covariance.shape)) if out is None else out


def nodes_of_population(base: Base) -> Nodes:
    """The one node of a clean population."""
    one = np.ones(1)
    lost = int((~base.kept).sum())
    return Nodes(one, one, base.mean[None], base.covariance[None], np.full(1, float(base.kept.size)), lost)


def nodes_of_readings(
    base: Base, samples: Array, columns: NDArray[np.intp], size: Size, out: Array | None = None
) -> Nodes:
    """Nodes of a clean population that is read otherwise.

    Args:
        base: the clean population.
        samples: (nodes, columns, points), what is read at each size.
        columns: channels that are read otherwise.
        size: the prior.
        out: where the covariances are put, (nodes, channels, channels); a new place if None.
    """
    sizes, weights = size.nodes()
    mean, covariance, lost = base.misread(samples, columns, out)
    if size.continuous:
        moved = np.flatnonzero((mean != mean[0]).any(axis=0))
        step = _within(mean[:, moved])
        covariance[:, moved[:, None], moved] += step[:, :, None] * step[:, None, :]
    return Nodes(sizes, weights, mean, covariance, np.full(sizes.size, float(base.kept.size)), lost)


def nodes_of_sizes(base: Base, sample: Array, share: Array, size: Size, out: Array | None = None) -> Nodes:
    """Nodes from points with sizes of their own, each beside its clean climb.

    Args:
        base: the clean population.
        sample: (some points, channels), its first points with the cause at work.
        share: (some points,), of the size's prior.
        size: the prior.
        out: where the covariances are put, (nodes, channels, channels); a new place if None.
    """
    sizes, weights = size.nodes()
    covariance = base.room(sizes.size, out)
    fine = finite(sample) & base.kept[: share.size]
    lost, count = int((~fine).sum()), sizes.size
    if fine.sum() < FEWEST_LIFTS * min(1.0, share.size / POINTS_OF_FEWEST):  # lifts no wheel, and one was lifted
        covariance[:] = base.covariance
        return Nodes(sizes, 1e-9 * weights, np.tile(base.mean, (count, 1)), covariance, np.full(count, 10.0), lost)
    changed = (sample - base.sample[: share.size])[fine]
    share, features = share[fine], base.features[: fine.size][fine]
    at = size.shares() if size.continuous else np.full(1, 0.5)
    spline, bent = (_hats(share), _hats(at)) if size.continuous else (np.ones((share.size, 1)), np.ones((1, 1)))
    ends, leant = (np.stack([1.0 - one, one], axis=1) for one in (share, at))
    ends, leant = (ends, leant) if size.continuous else (spline, bent)
    across = np.concatenate([spline, *(end[:, None] * features for end in ends.T)], axis=1)
    knots = spline.shape[1]
    penalty = np.diag(np.where(np.arange(across.shape[1]) < knots, 0.0, SHRINKAGE))
    bend = np.diff(np.eye(knots), 2, axis=0)
    penalty[:knots, :knots] = STIFFNESS * bend.T @ bend
    solved = np.linalg.inv(across.T @ across + penalty)
    coefficients = solved @ across.T @ changed
    spare = max(share.size - float(np.trace(solved @ across.T @ across)), LEAST_SPARE)
    residual = (changed - across @ coefficients) * np.sqrt(share.size / spare)
    near = np.exp(-0.5 * ((at[:, None] - share) / NEARNESS) ** 2) if size.continuous else np.ones((1, share.size))
    near /= near.sum(axis=1, keepdims=True)
    leverage = np.einsum("na,ab,nb->n", bent, solved[:knots, :knots], bent)
    mean = base.mean + bent @ coefficients[:knots]
    goes_with = coefficients[knots:].reshape(ends.shape[1], FEATURES, -1)
    moved = base.loadings + np.tensordot(leant, goes_with, 1)  # (nodes, FEATURES, channels)
    left = np.sqrt(near * (1.0 + leverage)[:, None])[:, :, None] * residual
    within = _within(mean)[:, None, :] if size.continuous else np.empty((count, 0, mean.shape[1]))
    factor = np.concatenate([moved, left, within], axis=1)
    np.matmul(factor.transpose(0, 2, 1), factor, out=covariance)
    covariance += base.without_features
    return Nodes(
        sizes,
        fine.mean() * weights,
        mean,
        covariance,
        _freedom(base, covariance, left, 1.0 / (near**2).sum(axis=1)),
        lost,
    )


def _freedom(base: Base, covariance: Array, left: Array, points: Array) -> Array:
    """Degrees of freedom of covariances of which a part comes from few points (Welch and Satterthwaite), (nodes,)."""
    total = np.diagonal(covariance, axis1=1, axis2=2)
    few = (left**2).sum(axis=1) / np.where(total > 0.0, total, 1.0)
    inverse = (1.0 - few) ** 2 / base.kept.size + few**2 / points[:, None]
    return np.asarray(1.0 / inverse.mean(axis=1))


def _within(mean: Array) -> Array:
    """Standard deviations that a mean going with the size has within evenly weighted nodes, (nodes, channels)."""
    return np.asarray(np.gradient(mean, axis=0) / np.sqrt(12.0))


def _hats(share: Array) -> Array:
    """Linear splines over (0, 1), (points, KNOTS)."""
    knots = np.linspace(0.0, 1.0, KNOTS)
    return np.maximum(0.0, 1.0 - np.abs(share[:, None] - knots) * (KNOTS - 1))
