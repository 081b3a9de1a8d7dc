"""Roll rate of a solid axle: springs act through their own base, bars through theirs.

Source: energy of two springs turned about the axle's centre; Gillespie, Fundamentals of Vehicle Dynamics,
1992, ch. 6 (value from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def solid_axle_roll_stiffness(spring_rate: ArrayLike, spring_half_base: ArrayLike) -> Array:
    """Roll stiffness of two springs on a solid axle, k (2 b)^2 / 2.

    Args:
        spring_rate: k, at each spring, any shape [N/m].
        spring_half_base: b, half the distance between the springs, broadcast [m].

    Returns:
        The stiffness [N m/rad], for small angles. The track does not enter.
    """
    base = 2.0 * np.asarray(spring_half_base, dtype=np.float64)
    return np.asarray(spring_rate, dtype=np.float64) * base**2 / 2.0


def roll_rate_at_wheel(spring_rate: ArrayLike, spring_half_base: ArrayLike, track: ArrayLike) -> Array:
    """Rate that a spring at each wheel would need for the same roll stiffness, k (2 b / t)^2.

    Args:
        spring_rate: k, at each spring, any shape [N/m].
        spring_half_base: b, broadcast [m].
        track: t, broadcast [m]; positive.

    Returns:
        The rate [N/m], for roll only: in parallel bump the wheel sees k itself.
    """
    ratio = 2.0 * np.asarray(spring_half_base, dtype=np.float64) / np.asarray(track, dtype=np.float64)
    return np.asarray(spring_rate, dtype=np.float64) * ratio**2


def bar_roll_stiffness(bar_rate: ArrayLike, track: ArrayLike) -> Array:
    """Roll stiffness of an anti-roll bar rated at the wheels, k_b t^2.

    Args:
        bar_rate: k_b, energy k_b (u_left - u_right)^2 / 2 in the wheel travels u, any shape [N/m].
        track: t, broadcast [m].

    Returns:
        The stiffness [N m/rad], for small angles: not half of it, the rate is of one end against the other.
    """
    return np.asarray(bar_rate, dtype=np.float64) * np.asarray(track, dtype=np.float64) ** 2


def bar_roll_stiffness_from_ends(end_rate: ArrayLike, end_spacing: ArrayLike) -> Array:
    """Roll stiffness of a bar on a solid axle, rated at its own ends, k_end w^2.

    Args:
        end_rate: k_end, force over the displacement of one end relative to the other, any shape [N/m].
        end_spacing: w, distance between the ends, broadcast [m].

    Returns:
        The stiffness [N m/rad], for small angles.
    """
    return np.asarray(end_rate, dtype=np.float64) * np.asarray(end_spacing, dtype=np.float64) ** 2


def bar_rate_at_wheels(end_rate: ArrayLike, end_spacing: ArrayLike, track: ArrayLike) -> Array:
    """Rate at the wheels of a solid axle of a bar rated at its own ends, k_end (w / t)^2.

    Args:
        end_rate: k_end, any shape [N/m].
        end_spacing: w, broadcast [m].
        track: t, broadcast [m]; positive.

    Returns:
        k_b [N/m].
    """
    return (
        np.asarray(end_rate, dtype=np.float64)
        * (np.asarray(end_spacing, dtype=np.float64) / np.asarray(track, dtype=np.float64)) ** 2
    )
