"""Weights against the normal-linear case, which has a closed form, and quantiles against brute force."""

import numpy as np
import pytest
from scipy import optimize, stats

from articulate.studies.population.sampling import normal_scores
from articulate.studies.population.weighting import (
    effective_points,
    linear_proposal,
    log_weights,
    mixture_quantiles,
    normalised,
    prior_proposal,
    tempered,
    weighted_quantiles,
)

SLOPE = np.array([[3.0, -1.0, 0.5, 0.0, 0.0]])
OFFSET, DEVIATION, MEASURED = 10.0, 0.4, 17.0  # 2.2 prior standard deviations off
COVARIANCE = np.array([[DEVIATION**2]])


def likelihood(normal):
    return -0.5 * ((MEASURED - OFFSET - normal @ SLOPE[0]) / DEVIATION) ** 2


def exact():
    """Posterior of a linear normal model: gain K = G^T (G G^T + R)^-1, form from memory."""
    gain = SLOPE.T @ np.linalg.inv(SLOPE @ SLOPE.T + COVARIANCE)
    return gain[:, 0] * (MEASURED - OFFSET), np.eye(5) - gain @ SLOPE


def test_the_prior_weighted_by_the_likelihood_has_the_exact_posterior():
    normal = normal_scores(2**15, 5)
    weights = normalised(log_weights(normal, likelihood(normal), [prior_proposal(5, 2**15)]))
    mean, covariance = exact()
    np.testing.assert_allclose(weights @ normal, mean, atol=0.05)
    np.testing.assert_allclose((normal * weights[:, None]).T @ normal - np.outer(mean, mean), covariance, atol=0.08)


def test_a_proposal_of_a_linear_model_is_its_posterior_widened():
    normal = normal_scores(4096, 5)
    simulated = OFFSET + normal @ SLOPE.T
    found = linear_proposal(normal, simulated, np.full(4096, 1 / 4096), np.array([MEASURED]), COVARIANCE / 1.5, 100)
    mean, covariance = exact()
    np.testing.assert_allclose(found.mean, mean, atol=0.02)
    np.testing.assert_allclose(found.root @ found.root.T, covariance, atol=0.01)
    density = stats.multivariate_normal(found.mean, found.root @ found.root.T)
    difference = found.log_density(normal[:50]) - density.logpdf(normal[:50])
    np.testing.assert_allclose(difference, difference[0], atol=1e-9)


def test_a_mixture_of_prior_and_a_poor_proposal_is_still_exact():
    few = normal_scores(1024, 5, seed=1)
    off = prior_proposal(5, 4096)
    poor = type(off)(exact()[0] * 0.7 + 0.2, 0.8 * np.eye(5), 4096)
    more = poor.mean + normal_scores(4096, 5, seed=2) @ poor.root.T
    normal = np.concatenate([few, more])
    weights = normalised(log_weights(normal, likelihood(normal), [prior_proposal(5, 1024), poor]))
    np.testing.assert_allclose(weights @ normal, exact()[0], atol=0.1)
    densities = [
        stats.multivariate_normal(np.zeros(5)).pdf(normal),
        stats.multivariate_normal(poor.mean, 0.64).pdf(normal),
    ]
    plain = densities[0] * np.exp(likelihood(normal)) / (1024 * densities[0] + 4096 * densities[1])
    np.testing.assert_allclose(weights, plain / plain.sum(), rtol=1e-6, atol=1e-12)
    alone = normalised(log_weights(few, likelihood(few), [prior_proposal(5, 1024)]))
    assert effective_points(weights) > 3.0 * effective_points(alone)


def test_tempered_weights_keep_the_effective_points_wanted():
    normal = normal_scores(4096, 5)
    weights = tempered(np.zeros(4096), 100.0 * likelihood(normal), wanted=50.0)
    assert effective_points(weights) == pytest.approx(50.0, rel=0.05)
    assert effective_points(tempered(np.zeros(4096), np.zeros(4096), 50.0)) == pytest.approx(4096)


def test_mixture_quantiles_against_a_root_finder():
    rng = np.random.default_rng(4)
    mean, weights = rng.normal(500.0, 15.0, 3000), rng.random(3000) ** 4
    weights /= weights.sum()
    shares = (0.05, 0.5, 0.95)
    for deviation in (0.5, 3.0, 40.0):
        expected = [
            optimize.brentq(lambda y, p=p, s=deviation: weights @ stats.norm.cdf((y - mean) / s) - p, 0.0, 1000.0)
            for p in shares
        ]
        np.testing.assert_allclose(mixture_quantiles(mean, deviation, weights, shares), expected, atol=0.01 * deviation)


def test_a_share_beyond_the_ramp_pushes_quantiles_up():
    mean = np.concatenate([np.linspace(490, 510, 900), np.full(100, np.inf)])
    low, median, high = mixture_quantiles(mean, 1.0, np.full(1000, 1e-3), (0.05, 0.5, 0.95))
    assert np.isinf(high)
    assert median == pytest.approx(np.quantile(mean[:900], 0.5 / 0.9), abs=0.1)
    assert low < median


def test_weighted_quantiles_are_those_of_repeated_values():
    values, counts = np.array([3.0, 1.0, 2.0, 9.0, -np.inf]), np.array([200, 500, 250, 50, 0])
    found = weighted_quantiles(values, counts / counts.sum(), (0.1, 0.3, 0.6, 0.97))
    many = np.repeat(values, counts)
    middles = np.interp((0.1, 0.3, 0.6, 0.97), (np.array([250, 625, 850, 975]) / 1000), [1, 2, 3, 9])
    np.testing.assert_allclose(found, middles, atol=1e-9)
    assert np.quantile(many, 0.1) <= found[0] <= np.quantile(many, 0.6)
