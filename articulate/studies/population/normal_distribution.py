"""The standard normal distribution and its relatives, without scipy.

Importing scipy.special takes longer than all the numbers of a band do here.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

PIECE = 65536  # values worked out at once

# Coefficients of M. J. Wichura, "Algorithm AS 241: The Percentage Points of the Normal Distribution", Applied
# Statistics 37 (1988), routine PPND16: numerator and denominator of its three quotients, the highest power first.
MIDDLE = (
    (
        *(2.5090809287301226727e3, 3.3430575583588128105e4, 6.7265770927008700853e4, 4.5921953931549871457e4),
        *(1.3731693765509461125e4, 1.9715909503065514427e3, 1.3314166789178437745e2, 3.3871328727963666080e0),
    ),
    (
        *(5.2264952788528545610e3, 2.8729085735721942674e4, 3.9307895800092710610e4, 2.1213794301586595867e4),
        *(5.3941960214247511077e3, 6.8718700749205790830e2, 4.2313330701600911252e1, 1.0),
    ),
)
TAIL = (
    (
        *(7.7454501427834140764e-4, 2.27238449892691845833e-2, 2.41780725177450611770e-1, 1.27045825245236838258e0),
        *(3.64784832476320460504e0, 5.76949722146069140550e0, 4.63033784615654529590e0, 1.42343711074968357734e0),
    ),
    (
        *(1.05075007164441684324e-9, 5.475938084995344946e-4, 1.51986665636164571966e-2, 1.48103976427480074590e-1),
        *(6.89767334985100004550e-1, 1.67638483018380384940e0, 2.05319162663775882187e0, 1.0),
    ),
)
FAR_TAIL = (
    (
        *(2.01033439929228813265e-7, 2.71155556874348757815e-5, 1.24266094738807843860e-3, 2.65321895265761230930e-2),
        *(2.96560571828504891230e-1, 1.78482653991729133580e0, 5.46378491116411436990e0, 6.65790464350110377720e0),
    ),
    (
        *(2.04426310338993978564e-15, 1.4215117583164458887e-7, 1.84631831751005468180e-5, 7.86869131145613259100e-4),
        *(1.48753612908506148525e-2, 1.36929880922735805310e-1, 5.99832206555887937690e-1, 1.0),
    ),
)


def normal_probability(z: Array) -> Array:
    """Distribution function Phi(z) = erfc(-z / sqrt(2)) / 2 at z of any shape [-]; NaN of NaN."""
    return 0.5 * each(math.erfc, -math.sqrt(0.5) * np.asarray(z))


def normal_quantile(probability: Array) -> Array:
    """The inverse of `normal_probability` at values of any shape in the open interval (0, 1) [-].

    As `statistics.NormalDist.inv_cdf`, operation by operation.

    Raises:
        ValueError: a value is not between 0 and 1.
    """
    p = np.asarray(probability, dtype=np.float64)
    if not ((p > 0.0) & (p < 1.0)).all():
        raise ValueError("a normal quantile needs probabilities between 0 and 1")
    q = p.ravel() - 0.5
    r = 0.180625 - q * q
    found = np.polyval(MIDDLE[0], r) * q / np.polyval(MIDDLE[1], r)
    outer = np.flatnonzero(np.abs(q) > 0.425)
    r = np.sqrt(-each(math.log, np.minimum(p.ravel()[outer], 1.0 - p.ravel()[outer])))  # np.log may round otherwise
    near, far = (
        np.polyval(above, r - c) / np.polyval(below, r - c) for c, (above, below) in ((1.6, TAIL), (5.0, FAR_TAIL))
    )
    found[outer] = np.copysign(np.where(r <= 5.0, near, far), q[outer])
    return found.reshape(p.shape)


def chi_squared_beyond(freedom: int, value: float) -> float:
    """Chance that a sum of squares of independent standard normal values exceeds a value.

    P = e^-h sum of h^j/j! over j < n/2 for an even number of degrees of freedom n, with h = value/2; for an odd one
    erfc(sqrt(h)) + e^-h sum of h^(j + 1/2)/Gamma(j + 3/2) over j < (n - 1)/2 (Abramowitz and Stegun, section 26.4).

    Args:
        freedom: how many values, 1 or more.
        value: of the sum, not negative.
    """
    half, odd = 0.5 * value, freedom % 2
    if half == 0.0:
        return 1.0
    log_half = math.log(half)
    powers = [j + 0.5 * odd for j in range(freedom // 2)]
    sum_of_powers = math.fsum(math.exp(k * log_half - math.lgamma(k + 1.0) - half) for k in powers)
    return sum_of_powers + (math.erfc(math.sqrt(half)) if odd else 0.0)


def each(function: Callable[[float], float], values: Array) -> Array:
    """A function of the standard library at every value of an array, whose shape the result has."""
    flat = values.ravel()
    found = np.empty(flat.size)
    for start in range(0, flat.size, PIECE):  # numbers of Python take four times the room of an array's
        piece = flat[start : start + PIECE]
        found[start : start + PIECE] = np.fromiter(map(function, piece.tolist()), np.float64, piece.size)
    return found.reshape(values.shape)
