"""From what was observed to the probability of each cause, by Bayes' rule over all nodes.

At a node the channels are Student-t about their mean, with the covariance of the population and the scatter of reading;
which wheel came free is the sign of a channel of its own; a look finds what is there with a fixed reliability.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.studies.audit.channels import FINDS, FINDS_OTHER, MISLEADS
from articulate.studies.audit.expectations import CLEAN, Expectations
from articulate.studies.audit.nodes import finite
from articulate.studies.population.normal_distribution import chi_squared_beyond, each, normal_probability

Array = NDArray[np.float64]

WRONG_WHEEL = 0.03  # chance that the wheel on the sheet is not the one that lifted
# Ranges of inputs and the model's own error are judged: their standard deviations are known to some quarter of
# themselves, as well as 1/(2 (1/4)^2) normal values tell them. So what lies far out is less far out than it looks.
JUDGED = 8.0
NOTHING = 1e-9  # weight of a node that says nothing of what else would be seen
NORMAL = 500.0  # degrees of freedom that pass for a normal distribution
ALIKE = 0.8  # probabilities or likelihoods nearer than this ratio count as equal: the estimate is no finer


@dataclass(frozen=True)
class Observed:
    """What is known: values by channel key with their scatter [SI], signs of contests, what looks have found.

    `alike` are errors that several values share, as climbs of one run do, each with its part of their scatter.
    """

    values: Mapping[str, tuple[float, float]]
    rear_lifts: Mapping[str, bool] = field(default_factory=dict)  # by key of the contest
    looks: Mapping[str, bool] = field(default_factory=dict)  # True where something was found
    alike: Sequence[Mapping[str, float]] = ()

    @property
    def noise(self) -> Array:
        """Covariance of reading the values, (values, values)."""
        return self.noise_of(list(self.values))

    def noise_of(self, keys: Sequence[str]) -> Array:
        """The same of some of them, (keys, keys)."""
        found = np.diag([self.values[key][1] ** 2 for key in keys])
        for shared in self.alike:
            part = np.array([shared.get(key, 0.0) for key in keys])
            found += np.outer(part, part) - np.diag(part**2)
        return np.asarray(found, dtype=np.float64)

    def with_answers(self, values: Mapping[str, tuple[float, float]], looks: Mapping[str, bool]) -> Observed:
        """The same and more values, by channel key with their scatter [SI], and looks."""
        return Observed({**self.values, **values}, self.rear_lifts, {**self.looks, **looks}, self.alike)


@dataclass(frozen=True, eq=False, repr=False)
class Given(Brief):
    """Channels at some nodes, given what was observed of others."""

    expected: Expectations
    nodes: NDArray[np.intp]
    mean: Array  # (nodes, channels)
    cross: Array  # (nodes, observed, channels), covariance with the whitened observations

    @property
    def variance(self) -> Array:
        """Of each channel, (nodes, channels)."""
        own = np.diagonal(self.expected.covariance, axis1=1, axis2=2)[self.nodes]
        return np.asarray(np.maximum(own - (self.cross**2).sum(axis=1), 0.0))

    def take(self, some: NDArray[np.bool_]) -> Given:
        """Some of the nodes, by a mask (nodes,)."""
        return Given(self.expected, self.nodes[some], self.mean[some], self.cross[some])

    def covariance(self, channels: NDArray[np.intp]) -> Array:
        """Of some channels, (nodes, channels asked for, channels asked for)."""
        cross = self.cross[:, :, channels]
        own = self.expected.covariance[np.ix_(self.nodes, channels, channels)]
        return np.asarray(own - cross.transpose(0, 2, 1) @ cross)


@dataclass(frozen=True, eq=False, repr=False)
class Posterior(Brief):
    """Weights of all nodes, summing to one, and what belongs to them."""

    expected: Expectations
    observed: Observed
    weight: Array  # (nodes,)
    log_likelihood: Array  # (nodes,)
    whiten: Array  # (nodes, observed, observed), inverse of the Cholesky factor of what was observed
    white: Array  # (nodes, observed), residuals that it makes independent, of variance one
    at: NDArray[np.intp]  # observed channels

    @property
    def probability(self) -> Array:
        """Of each cause, (names,)."""
        return np.asarray(np.bincount(self.expected.cause, self.weight, len(self.expected.names)), dtype=np.float64)

    @property
    def likelihood(self) -> Array:
        """Log of each cause's marginal likelihood, whatever its prior, (names,)."""
        prior = np.bincount(self.expected.cause, np.exp(self.expected.log_prior), len(self.expected.names))
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(self.probability) - np.log(prior))

    @cached_property
    def likely(self) -> Given:
        """All channels at the nodes whose weight is more than nothing, as `given`."""
        return self.given(np.flatnonzero(self.weight > NOTHING))

    def given(self, nodes: NDArray[np.intp]) -> Given:
        """All channels at some nodes, given the observations; without their own scatter of reading."""
        e = self.expected
        cross = self.whiten[nodes] @ e.covariance[nodes[:, None], self.at]
        mean = e.mean[nodes] + (self.white[nodes][:, None, :] @ cross)[:, 0]
        return Given(e, nodes, mean, cross)


def ranks(names: Sequence[str], probability: Array) -> NDArray[np.intp]:
    """Places of the causes by probability, 1 the first, (names,).

    Causes within `ALIKE` of the first of their place share it. That nothing is wrong is no cause: its place is 0.
    """
    order = [k for k in np.argsort(-probability, kind="stable") if names[k] != CLEAN]
    places = np.zeros(probability.size, dtype=np.intp)
    leader, place = np.inf, 1
    for i, k in enumerate(order):
        if probability[k] < ALIKE * leader:
            leader, place = probability[k], i + 1
        places[k] = place
    return places


def look_chance(expected: Expectations, look: str) -> Array:
    """Chance at each node that a look finds something, (nodes,)."""
    chance = np.full(expected.cause.size, MISLEADS)
    for i, component in enumerate(expected.components):
        if component.cause is not None and look in component.cause.marks:
            chance[expected.component == i] = FINDS
    chance[expected.component == -1] = FINDS_OTHER
    return chance


def student(residual: Array, covariance: Array, freedom: Array) -> tuple[Array, Array]:
    """Log density of residuals (nodes, k), and the inverse of the covariance's Cholesky factor (nodes, k, k).

    Multivariate Student-t with the given covariance (not scale) and degrees of freedom above 2.
    """
    k = residual.shape[1]
    whiten = np.linalg.inv(np.linalg.cholesky(covariance))
    white = (whiten @ residual[..., None])[..., 0]
    log_det = -2.0 * np.log(np.diagonal(whiten, axis1=1, axis2=2)).sum(axis=1)
    distance = (white**2).sum(axis=1)
    nu = np.maximum(freedom, 5.0)
    log_density = (
        each(math.lgamma, 0.5 * (nu + k))
        - each(math.lgamma, 0.5 * nu)
        - 0.5 * k * np.log(np.pi * (nu - 2.0))
        - 0.5 * log_det
        - 0.5 * (nu + k) * np.log1p(distance / (nu - 2.0))
    )
    return log_density, whiten


def tail_freedom(sample: Array, mean: Array, covariance: Array, reading: Array) -> float:
    """Degrees of freedom of the Student-t whose tails are as heavy as a sample's, read with scatter.

    In k dimensions E[D^4] = k (k + 2) (nu - 2)/(nu - 4) of Mahalanobis' distance D (Mardia's kurtosis); a sample with
    no heavier tails than a normal one gives `NORMAL`.

    Args:
        sample: (points, k).
        mean: (k,).
        covariance: (k, k), scatter included.
        reading: (k, k), covariance of reading alone.
    """
    k = mean.size
    noise = np.random.default_rng(k).standard_normal((4, *sample.shape)) @ np.linalg.cholesky(reading).T
    residual = (sample + noise).reshape(-1, k) - mean
    distance = (residual * np.linalg.solve(covariance, residual.T).T).sum(axis=1)
    excess = float((distance**2).mean()) / (k * (k + 2.0))
    return min((4.0 * excess - 2.0) / (excess - 1.0), NORMAL) if excess > 1.0 else NORMAL


def infer(expected: Expectations, observed: Observed, judged: float = JUDGED) -> Posterior:
    """Probability of every node given everything observed.

    judged: how surely the ranges of inputs and the model's error are known [degrees of freedom].
    """
    e = expected
    at = np.array([e.index[key] for key in observed.values], dtype=np.intp)
    value = np.array([v for v, _ in observed.values.values()])
    noise = observed.noise
    every = np.arange(e.cause.size)
    covariance = e.covariance[np.ix_(every, at, at)] + noise
    residual = value - e.mean[:, at]
    clean = e.clean[finite(e.clean)][:, at]
    whole = e.clean_covariance[np.ix_(at, at)] + noise
    tails = tail_freedom(clean, e.clean_mean[at], whole, noise)
    log_likelihood, whiten = student(residual, covariance, 1.0 / (1.0 / e.freedom + 1.0 / tails + 1.0 / judged))
    white = (whiten @ residual[..., None])[..., 0]
    for key, rear in observed.rear_lifts.items():
        i = e.index[key]
        cross = (whiten @ e.covariance[:, at, i][..., None])[..., 0]
        mean = e.mean[:, i] + (cross * white).sum(axis=1)
        variance = e.covariance[:, i, i] - (cross**2).sum(axis=1)
        chance = normal_probability(mean / np.sqrt(np.maximum(variance, 1.0)))
        chance = chance if rear else 1.0 - chance
        log_likelihood = log_likelihood + np.log(WRONG_WHEEL + (1.0 - 2.0 * WRONG_WHEEL) * chance)
    for look, found in observed.looks.items():
        chance = look_chance(e, look)
        log_likelihood = log_likelihood + np.log(chance if found else 1.0 - chance)
    log_weight = e.log_prior + log_likelihood
    weight = np.exp(log_weight - log_weight.max())
    return Posterior(e, observed, weight / weight.sum(), log_likelihood, whiten, white, at)


def fits_within(posterior: Posterior, cause: int) -> float:
    """Chance of observations as far off as these once a cause is granted, by the best of its nodes.

    The squared distance is chi-square of as many degrees of freedom as there are observations; that the size was chosen
    for them makes the chance too large, so a small one is real.
    """
    mine = posterior.expected.cause == cause
    least = float((posterior.white[mine] ** 2).sum(axis=1).min())
    return chi_squared_beyond(posterior.at.size, least)


def surprise(expected: Expectations, observed: Observed, seed: int) -> float:
    """Chance that a vehicle as filed, rightly read, gives readings at least this far from what is expected.

    The distance is Mahalanobis' over all values observed together, and minus twice the log chance of each wheel that
    came free; its distribution is that of the clean population with its reading scatter, counted. Never below
    1/(draws + 1).
    """
    e = expected
    at = np.array([e.index[key] for key in observed.values], dtype=np.intp)
    contests = np.array([e.index[key] for key in observed.rear_lifts], dtype=np.intp)
    value = np.array([v for v, _ in observed.values.values()])
    noise = observed.noise
    clean = e.clean[finite(e.clean)]
    rng = np.random.default_rng(seed)
    draws = np.tile(clean, (16, 1))
    read = draws[:, at] + rng.standard_normal((draws.shape[0], at.size)) @ np.linalg.cholesky(noise).T
    covariance = e.clean_covariance[np.ix_(at, at)] + noise
    inverse = np.linalg.inv(covariance)
    cross = e.clean_covariance[np.ix_(contests, at)]
    spare = np.diagonal(e.clean_covariance[np.ix_(contests, contests)] - cross @ inverse @ cross.T)

    def distance(scores: Array, rear: NDArray[np.bool_]) -> Array:
        residual = scores - e.clean_mean[at]
        far = ((residual @ inverse) * residual).sum(axis=1)
        middle = e.clean_mean[contests] + residual @ (inverse @ cross.T)
        chance = normal_probability(middle / np.sqrt(np.maximum(spare, 1.0)))
        chance = WRONG_WHEEL + (1.0 - 2.0 * WRONG_WHEEL) * np.where(rear, chance, 1.0 - chance)
        return np.asarray(far - 2.0 * np.log(chance).sum(axis=1))

    mistaken = rng.random((draws.shape[0], contests.size)) < WRONG_WHEEL
    simulated = distance(read, (draws[:, contests] > 0.0) ^ mistaken)
    mine = distance(value[None], np.array([list(observed.rear_lifts.values())], dtype=bool).reshape(1, -1))
    return float((1 + (simulated >= mine[0]).sum()) / (1 + simulated.size))
