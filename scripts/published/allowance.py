"""What the published scores say of the model's own error: a part common to the runs of a vehicle, and a part of each.

The logarithms of a vehicle's published scores are those of one of its possible vehicles, each as likely as the
others, and a normal error of covariance

    c^2 J + e^2 I + N,    c common to the runs of a vehicle, e of each run, J all ones, N of the publication.

So the likelihood of (c, e) is the mean over the possible vehicles of a normal density; relatives together count as
much as one vehicle. c and e go over a grid with a weak prior: sqrt(c^2 + e^2) half-normal with `PRIOR`, any split of it
as likely as another. Vehicles with a single score tell of that sum alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from articulate.studies.population.model_error import ModelError

from .holding import Held, HeldGain, Holding, Simulated, hold

Array = NDArray[np.float64]

# Standard deviation of a published score over the score: the folder's README has 5 to 8 % of one, and two publications
# of one vehicle 11 and 20 % apart, whose mean is then good to some 8 %. In two results of one vehicle by one hand most
# of it is the same (those two publications differ to the same side in both): a judgement from that one pair.
PUBLICATION = {"A": 0.05, "A-": 0.05, "B": 0.08, "C": 0.08}
PUBLICATION_COMMON = 0.7

PRIOR = 0.1
PARTS = np.linspace(0.0025, 0.1975, 27)  # of either part, over the score
COMMON, RUN = np.meshgrid(PARTS, PARTS, indexing="ij")
TOTAL = np.hypot(COMMON, RUN)


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

    probability: Array  # (parts, parts) of common and run, sum 1
    likelihood: Array  # (parts, parts), its largest 1
    left_out: str  # relatives without whom it was estimated

    def limits(self, what: Array) -> tuple[float, float, float]:
        """5 %, median and 95 % of a quantity given on the grid, such as `TOTAL`."""
        order = np.argsort(what, axis=None)
        reached = np.cumsum(self.probability.ravel()[order])
        low, middle, high = what.ravel()[order][np.searchsorted(reached, (0.05, 0.5, 0.95))]
        return float(low), float(middle), float(high)

    def likelihood_at(self, total: float) -> float:
        """Of a total, over the largest: the mean of the grid's points within 1 % of the score of it."""
        near = np.abs(TOTAL - total) < 0.01
        return float(self.likelihood[near].mean())

    @property
    def parts(self) -> tuple[float, float]:
        """One allowance for all of it, common and run: root mean squares."""
        common, run = (float((what**2 * self.probability).sum()) ** 0.5 for what in (COMMON, RUN))
        return common, run

    @property
    def model(self) -> ModelError:
        """The same as the studies take it."""
        return ModelError(*self.parts)


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
    """Of every common and run part on the grid, (parts, parts)."""
    away = np.log(seen.published) - np.log(seen.scores)
    results = seen.published.size
    one, each = np.ones((results, results)), np.eye(results)
    found = np.empty(TOTAL.shape)
    for i, common in enumerate(PARTS):
        covariance = common**2 * one + PARTS[:, None, None] ** 2 * each + seen.noise
        lower = np.linalg.cholesky(covariance)  # (parts, results, results)
        white = np.linalg.solve(lower, away.T)  # (parts, results, points)
        half_determinant = np.log(np.diagonal(lower, axis1=1, axis2=2)).sum(axis=1)
        found[i] = logsumexp(-0.5 * (white**2).sum(axis=1), axis=1) - half_determinant - np.log(away.shape[0])
    return found


def estimate(likelihoods: Mapping[str, Array], seen: Sequence[Observation], without: str = "") -> Estimated:
    """The model's error by the scores of all families but one.

    Args:
        likelihoods: `log_likelihood` by vehicle.
        seen: what was published.
        without: a vehicle that is left out with its relatives.
    """
    prior = -0.5 * (TOTAL / PRIOR) ** 2 - np.log(TOTAL)  # over the area, which grows with the total
    total = np.zeros(TOTAL.shape)
    left = next((one.family for one in seen if one.vehicle == without), frozenset())
    for one in seen:
        if one.vehicle not in left:
            total = total + likelihoods[one.vehicle] / sum(other.family == one.family for other in seen)
    weight = np.exp(prior + total - (prior + total).max())
    return Estimated(weight / weight.sum(), np.exp(total - total.max()), " ".join(sorted(left)))


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
