"""Our normal distribution against that of scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtr, ndtri

from articulate.studies.population.normal_distribution import normal_probability, normal_quantile


def test_probabilities_are_those_of_scipy():
    z = np.concatenate([np.linspace(-37.0, 37.0, 2001), [0.0, -1e-300, 8.3]]).reshape(2, -1)
    assert normal_probability(z) == pytest.approx(ndtr(z), rel=1e-13, abs=0.0)
    assert np.isnan(normal_probability(np.array([np.nan]))).all()


def test_quantiles_are_those_of_scipy():
    p = np.concatenate([np.linspace(1e-6, 1.0 - 1e-6, 1999), [1e-12, 0.5, 1.0 - 1e-12]]).reshape(2, -1)
    assert normal_quantile(p) == pytest.approx(ndtri(p), rel=1e-12, abs=1e-14)
