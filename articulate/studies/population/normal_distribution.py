"""The standard normal distribution over arrays, by the standard library.

Importing scipy.special takes longer than all the numbers of a band do here.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def normal_probability(z: Array) -> Array:
    """Distribution function Phi(z) = erfc(-z / sqrt(2)) / 2 at z of any shape [-]; NaN of NaN."""
    return 0.5 * _each(math.erfc, -math.sqrt(0.5) * np.asarray(z))


def normal_quantile(probability: Array) -> Array:
    """The inverse of `normal_probability` at values of any shape in the open interval (0, 1) [-].

    Raises:
        statistics.StatisticsError: a value is not between 0 and 1.
    """
    return _each(NormalDist().inv_cdf, np.asarray(probability))


def _each(function: Callable[[float], float], values: Array) -> Array:
    flat = values.ravel()
    return np.fromiter(map(function, flat.tolist()), np.float64, flat.size).reshape(values.shape)
