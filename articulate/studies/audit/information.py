"""How much a check is expected to tell: the mutual information of its outcome and the cause, given what is known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.studies.audit.checks import Check
from articulate.studies.audit.inference import Posterior, look_chance

Array = NDArray[np.float64]

DRAWS = 400
READY = 4.0  # [min] to get ready for any check, beside its own time; common practice, no source
WORTH_NAMING = 0.02  # [bit]; the draws know no less
GAIN_DIGITS = 6  # decimals [bit]; the draws know three, and rounding must not order equal checks
NEGLIGIBLE = 1e-5  # weight of a node that is left out


@dataclass(frozen=True)
class Advice:
    """A check, and what it is expected to tell about the cause."""

    check: Check
    gain: float  # [bit], expected
    likeliest_after: float  # expected probability of the then likeliest cause
    units: Mapping[str, str]  # of the channels, for display

    @property
    def per_minute(self) -> float:
        """Expected gain per minute [bit/min], getting ready for it included."""
        return self.gain / (READY + self.check.minutes)

    @property
    def tells(self) -> bool:
        """Whether it is worth naming."""
        return self.gain >= WORTH_NAMING


def _entropy(probability: Array) -> Array:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(-np.where(probability > 0.0, probability * np.log2(probability), 0.0).sum(axis=-1))


def _log_normal(outcome: Array, mean: Array, values: Array, vectors: Array) -> tuple[Array, Array]:
    """Log density of every outcome (draws, k) at every node, up to a constant, as one product of matrices.

    The squared distance is a polynomial of the outcome, whose terms are the features.

    Args:
        outcome: (draws, k).
        mean: (nodes, k).
        values: eigenvalues of the nodes' covariances, (nodes, k).
        vectors: their eigenvectors, (nodes, k, k).

    Returns:
        Features (draws, m) and coefficients (nodes, m) whose product it is.
    """
    precision = (vectors / values[:, None, :]) @ vectors.transpose(0, 2, 1)
    pulled = (precision @ mean[:, :, None])[:, :, 0]
    first, second = np.triu_indices(mean.shape[1])
    twice = np.where(first == second, 1.0, 2.0)
    constant = (mean * pulled).sum(axis=1) + np.log(values).sum(axis=1)
    features = [outcome[:, first] * outcome[:, second], outcome, np.ones((outcome.shape[0], 1))]
    coefficients = [-0.5 * twice * precision[:, first, second], pulled, -0.5 * constant[:, None]]
    return np.concatenate(features, axis=1), np.concatenate(coefficients, axis=1)


def advise(
    posterior: Posterior, checks: Sequence[Check], seed: int, draws: int = DRAWS, still_at_mark: bool = False
) -> list[Advice]:
    """Expected information of every check not yet answered, the most telling for its time first.

    What can be looked at only while the vehicle stands at its mark comes last where it has left (`still_at_mark`).

    I(cause; outcome) = H(cause) - E[H(cause | outcome)], the expectation over outcomes drawn from the posterior
    predictive distribution (nodes by systematic sampling, the same seed for every check).
    """
    e = posterior.expected
    given = posterior.likely.take(posterior.weight[posterior.likely.nodes] > NEGLIGIBLE)
    nodes = given.nodes
    weight = posterior.weight[nodes] / posterior.weight[nodes].sum()
    first = np.flatnonzero(np.diff(e.cause[nodes], prepend=-1))  # of each cause: its nodes stand together
    now = float(_entropy(np.add.reduceat(weight, first)))
    advice = []
    for check in checks:
        keys = [key for key in check.channels if key in e.index and key not in posterior.observed.values]
        looks = [look for look in check.looks if look not in posterior.observed.looks]
        if not keys and not looks:
            continue
        rng = np.random.default_rng(seed)
        picked = np.searchsorted(np.cumsum(weight), (np.arange(draws) + rng.random()) / draws)
        picked = np.minimum(picked, nodes.size - 1)
        parts = [(np.ones((draws, 1)), np.log(weight)[:, None])]
        if keys:
            at = np.array([e.index[key] for key in keys], dtype=np.intp)
            scatter = np.array([e.channels[i].scatter for i in at])
            values, vectors = np.linalg.eigh(given.covariance(at) + np.diag(scatter**2))
            values = np.maximum(values, 1e-6 * scatter.min() ** 2)
            root = vectors[picked] * np.sqrt(values[picked])[:, None, :]
            mean = given.mean[:, at]
            outcome = mean[picked] + (root @ rng.standard_normal((draws, len(keys)))[:, :, None])[:, :, 0]
            middle = weight @ mean
            parts.append(_log_normal(outcome - middle, mean - middle, values, vectors))
        for look in looks:
            chance = look_chance(e, look)[nodes]
            found = rng.random(draws) < chance[picked]
            log_chances = np.stack([np.log1p(-chance), np.log(chance)], axis=1)
            parts.append((np.stack([~found, found], axis=1).astype(np.float64), log_chances))
        features, coefficients = (np.concatenate(side, axis=1) for side in zip(*parts, strict=True))
        joint = features @ coefficients.T
        joint -= joint.max(axis=1, keepdims=True)
        np.exp(joint, out=joint)
        after = np.add.reduceat(joint, first, axis=1)
        after /= after.sum(axis=1, keepdims=True)
        gain = max(0.0, round(now - float(_entropy(after).mean()), GAIN_DIGITS))
        units = {key: e.channels[e.index[key]].unit for key in check.channels if key in e.index}
        advice.append(Advice(check, gain, float(after.max(axis=1).mean()), units))
    return sorted(advice, key=lambda one: (one.check.at_mark and not still_at_mark, -one.per_minute))
