"""What the published scores say of the model's own error: a part common to the runs of a vehicle, and a part of each.

The logarithms of a vehicle's published scores are those of one of its possible vehicles, each as likely as the
others, and a normal error e of covariance

    s^2 [(1 - c) I + c J] + N,    s the model's share, c what is common, J all ones, N of the publication.

So the likelihood of (s, c) is the mean over the possible vehicles of a normal density; relatives together count as
much as one vehicle. s and c go over a grid with a weak prior: s half-normal with `PRIOR_SHARE`, c uniform.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from articulate.studies.readings import ModelError

from .holding import Held, HeldGain, Holding, Simulated, hold

Array = NDArray[np.float64]

# Standard deviation of a published score over the score: the folder's README has 5 to 8 % of one, and two publications
# of one vehicle 11 and 20 % apart, whose mean is then good to some 8 %. In two results of one vehicle by one hand most
# of it is the same (those two publications differ to the same side in both): a judgement from that one pair.
PUBLICATION = {"A": 0.05, "A-": 0.05, "B": 0.08, "C": 0.08}
PUBLICATION_COMMON = 0.7

PRIOR_SHARE = 0.1
SHARES = np.linspace(0.0025, 0.2475, 50)
COMMONS = np.linspace(0.05, 0.95, 10)


@dataclass(frozen=True, eq=False)
class Observation:
    """The published scores of one vehicle and those of its possible vehicles."""

    vehicle: str
    family: frozenset[str]
    scores: Array  # (points, results), by the inputs alone
    published: Array  # (results,)
    noise: Array  # (results, results), covariance of the published log scores


@dataclass(frozen=True, eq=False)
class Estimated:
    """The model's error by the published scores: posterior over the grid, and its middle."""

    probability: Array  # (shares, commons), sum 1
    left_out: str  # relatives without whom it was estimated

    @property
    def share_limits(self) -> tuple[float, float, float]:
        """5 %, median and 95 % of the share."""
        return _limits(self.probability.sum(axis=1), SHARES)

    @property
    def common_limits(self) -> tuple[float, float, float]:
        """5 %, median and 95 % of what is common."""
        return _limits(self.probability.sum(axis=0), COMMONS)

    @property
    def model(self) -> ModelError:
        """One allowance for all of it: the mean square of the share, and its covariance over that."""
        square = float(SHARES**2 @ self.probability.sum(axis=1))
        common = float(SHARES**2 @ self.probability @ COMMONS) / square
        return ModelError(float(np.sqrt(square)), common)


def _limits(weights: Array, grid: Array) -> tuple[float, float, float]:
    """Where 5, 50 and 95 % are reached, the weight of a grid point spread evenly over its cell."""
    half = 0.5 * (grid[1] - grid[0])
    edges = np.concatenate([[grid[0] - half], grid + half])
    low, middle, high = np.interp((0.05, 0.5, 0.95), np.concatenate([[0.0], np.cumsum(weights)]), edges)
    return float(low), float(middle), float(high)


@dataclass(frozen=True)
class LeftOut:
    """A family predicted with the allowance that the others gave."""

    estimated: Estimated
    held: tuple[Held, ...]
    gains: tuple[HeldGain, ...]


@dataclass(frozen=True)
class Allowance:
    """The model's error by all published scores, and each family predicted by that of the others."""

    whole: Estimated
    left_out: tuple[LeftOut, ...]
    by_publication: tuple[tuple[float, Estimated], ...]  # with publications assumed better or worse by a factor

    @property
    def held(self) -> tuple[Held, ...]:
        """Every result beside a band that owes nothing to its own family."""
        return tuple(one for left in self.left_out for one in left.held)

    @property
    def gains(self) -> tuple[HeldGain, ...]:
        """Likewise of the gains."""
        return tuple(one for left in self.left_out for one in left.gains)


def observations(holding: Holding, publication: float = 1.0) -> tuple[Observation, ...]:
    """One a vehicle.

    Args:
        holding: every result beside its possible vehicles.
        publication: factor on what the publications are assumed to be good for.
    """
    found = []
    for vehicle in dict.fromkeys(one.result.vehicle for one in holding.held):
        mine = [one for one in holding.held if one.result.vehicle == vehicle]
        scores = np.stack([one.scores for one in mine], axis=1)
        deviation = publication * np.array([PUBLICATION[one.result.grade] for one in mine])
        mixing = PUBLICATION_COMMON + (1.0 - PUBLICATION_COMMON) * np.eye(len(mine))
        found.append(
            Observation(
                vehicle,
                mine[0].result.family,
                scores[np.isfinite(scores).all(axis=1)],
                np.array([one.result.score for one in mine]),
                np.outer(deviation, deviation) * mixing,
            )
        )
    return tuple(found)


def log_likelihood(seen: Observation) -> Array:
    """Of every share and common part on the grid, (shares, commons)."""
    away = np.log(seen.published) - np.log(seen.scores)
    results = seen.published.size
    common = (COMMONS if results > 1 else COMMONS[:1])[:, None, None]  # nothing is common to a single score
    mixing = common + (1.0 - common) * np.eye(results)
    covariance = SHARES[:, None, None, None] ** 2 * mixing + seen.noise
    lower = np.linalg.cholesky(covariance)  # (shares, commons, results, results)
    white = np.linalg.solve(lower, away.T)  # (shares, commons, results, points)
    half_determinant = np.log(np.diagonal(lower, axis1=2, axis2=3)).sum(axis=2)
    found = logsumexp(-0.5 * (white**2).sum(axis=2), axis=2) - half_determinant - np.log(away.shape[0])
    return np.array(np.broadcast_to(found, (SHARES.size, COMMONS.size)))


def estimate(likelihoods: Mapping[str, Array], seen: Sequence[Observation], without: str = "") -> Estimated:
    """The model's error by the scores of all families but one.

    Args:
        likelihoods: `log_likelihood` by vehicle.
        seen: what was published.
        without: a vehicle that is left out with its relatives.
    """
    total = np.broadcast_to(-0.5 * (SHARES[:, None] / PRIOR_SHARE) ** 2, (SHARES.size, COMMONS.size))
    left = next((one.family for one in seen if one.vehicle == without), frozenset())
    for one in seen:
        if one.vehicle not in left:
            total = total + likelihoods[one.vehicle] / sum(other.family == one.family for other in seen)
    weight = np.exp(total - total.max())
    return Estimated(weight / weight.sum(), " ".join(sorted(left)))


PUBLICATION_FACTORS = (0.0, 0.5, 1.0, 1.5)


def allowance(holding: Holding, simulated: Simulated) -> Allowance:
    """Estimate the model's error from all results, and without each family in turn.

    Args:
        holding: the results beside their predictions; the allowance in it plays no part.
        simulated: what the predictions were made from.
    """
    by_publication = []
    for factor in PUBLICATION_FACTORS:
        seen = observations(holding, factor)
        by_publication.append((factor, estimate({one.vehicle: log_likelihood(one) for one in seen}, seen)))
    seen = observations(holding)
    likelihoods = {one.vehicle: log_likelihood(one) for one in seen}
    left_out = []
    for family in dict.fromkeys(one.family for one in seen):
        found = estimate(likelihoods, seen, next(iter(family)))
        results = [one.result for one in holding.held if one.result.vehicle in family]
        again = hold(results, {vehicle: simulated[vehicle] for vehicle in family}, found.model)
        left_out.append(LeftOut(found, again.held, again.gains))
    return Allowance(estimate(likelihoods, seen), tuple(left_out), tuple(by_publication))
