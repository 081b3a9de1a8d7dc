"""A rigid vehicle on a side slope: static stability factor and tipping angle.

Source: moment about the lower contact line; the factor T/2h is that of NHTSA's rollover rating (value from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def static_stability_factor(track: ArrayLike, centre_height: ArrayLike) -> Array:
    """Static stability factor t / (2 h).

    Args:
        track: t, any shape [m].
        centre_height: h, centre of gravity over the ground, broadcast [m]; positive.

    Returns:
        The factor [-]. Valid for a rigid vehicle with its weight centred and equal tracks.
    """
    return np.asarray(track, dtype=np.float64) / (2.0 * np.asarray(centre_height, dtype=np.float64))


def tipping_angle(track: ArrayLike, centre_height: ArrayLike) -> Array:
    """Side slope at which the upper wheels of a rigid vehicle unload, atan(t / (2 h)).

    Args:
        track: t, any shape [m].
        centre_height: h, centre of gravity over the ground, broadcast [m]; positive.

    Returns:
        The angle [rad]. Tyres and springs make the real angle smaller; it must not slide first, so friction
        above t / (2 h) is taken for granted.
    """
    return np.arctan(static_stability_factor(track, centre_height))
