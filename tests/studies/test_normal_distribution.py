"""Our normal distribution and its relatives against those of scipy and of the standard library."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest
from scipy.special import chdtrc, ndtr, ndtri

from articulate.studies.population.normal_distribution import chi_squared_beyond, normal_probability, normal_quantile


def test_probabilities_are_those_of_scipy():
    z = np.concatenate([np.linspace(-37.0, 37.0, 2001), [0.0, -1e-300, 8.3]]).reshape(2, -1)
    assert normal_probability(z) == pytest.approx(ndtr(z), rel=1e-13, abs=0.0)
    assert np.isnan(normal_probability(np.array([np.nan]))).all()


def test_quantiles_are_those_of_scipy():
    p = np.concatenate([np.linspace(1e-6, 1.0 - 1e-6, 1999), [1e-12, 0.5, 1.0 - 1e-12]]).reshape(2, -1)
    assert normal_quantile(p) == pytest.approx(ndtri(p), rel=1e-12, abs=1e-14)


def test_quantiles_are_those_of_the_standard_library_to_the_bit():
    p = np.random.default_rng(3).random(20_000)
    p = np.concatenate([p, p * 1e-3, p * 1e-15, 1.0 - (1.0 + p) * 1e-13, [0.075, 0.925, np.exp(-25.0), 5e-324]])
    assert normal_quantile(p).tolist() == [NormalDist().inv_cdf(one) for one in p.tolist()]
    with pytest.raises(ValueError, match="between 0 and 1"):
        normal_quantile(np.array([0.5, 1.0]))


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 9, 30])
def test_sums_of_squares_exceed_a_value_as_often_as_scipy_says(freedom):
    values = [0.0, 1e-9, 0.3, 1.0, 4.0, 25.0, 200.0]
    found = [chi_squared_beyond(freedom, value) for value in values]
    assert found == pytest.approx(chdtrc(freedom, values), rel=1e-12, abs=0.0)
