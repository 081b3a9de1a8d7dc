"""Quantiles of Student's t distribution, without the quarter of a second that importing a library for them costs."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np

NORMAL_BEYOND = 1e6  # degrees of freedom; the normal quantile is then right to a millionth
PANELS = 2000
NEWTON_STEPS = 60


def t_distribution(t: float, dof: float) -> float:
    """Distribution function of Student's t, for t >= 0.

    With t = sqrt(dof) tan w, F = 1/2 + Gamma((dof + 1)/2) / (sqrt(pi) Gamma(dof/2)) times the integral of
    cos(w)^(dof - 1) from 0 to atan(t / sqrt(dof)), by Simpson's rule.

    Args:
        t: not negative.
        dof: degrees of freedom, 1 to a million.
    """
    angle = np.linspace(0.0, math.atan(t / math.sqrt(dof)), PANELS + 1)
    value = np.cos(angle) ** (dof - 1.0)
    step = angle[-1] / PANELS
    integral = step / 3.0 * (value[0] + 4.0 * value[1::2].sum() + 2.0 * value[2:-1:2].sum() + value[-1])
    scale = math.exp(math.lgamma(0.5 * (dof + 1.0)) - math.lgamma(0.5 * dof)) / math.sqrt(math.pi)
    return float(0.5 + scale * integral)


def t_quantile(share: float, dof: float) -> float:
    """Quantile of Student's t distribution; of the normal one beyond a million degrees of freedom.

    Args:
        share: in [0.5, 1).
        dof: degrees of freedom, 1 or more; inf for the normal distribution.

    Raises:
        ValueError: outside these ranges.
    """
    if not (0.5 <= share < 1.0 and dof >= 1.0):
        raise ValueError(f"a t quantile needs a share in [0.5, 1) and a degree of freedom or more; got {share}, {dof}")
    normal = NormalDist().inv_cdf(share)
    if dof > NORMAL_BEYOND:
        return normal
    # The distribution function is concave here, so Newton from the left, where the normal quantile lies, never passes.
    t = normal
    log_scale = math.lgamma(0.5 * (dof + 1.0)) - math.lgamma(0.5 * dof) - 0.5 * math.log(math.pi * dof)
    for _ in range(NEWTON_STEPS):
        density = math.exp(log_scale - 0.5 * (dof + 1.0) * math.log1p(t * t / dof))
        change = (share - t_distribution(t, dof)) / density
        t += change
        if abs(change) < 1e-12 * (1.0 + t):
            break
    return t
