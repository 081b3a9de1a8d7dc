"""The path of a hub over flat ground and ramp: a rigid disc that rolls into a corner and up the plane.

Source: plane geometry of a circle tangent to one or both of two lines.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def hub_rise(climb: ArrayLike, radius: ArrayLike, ramp_angle: ArrayLike) -> Array:
    """Rise of the hub over its height on the flat, s sin g - R (1 - cos g).

    Args:
        climb: s, slope coordinate of the hub: distance from the toe to the foot of the square set on the
            ramp through the hub, any shape [m]. Valid from first touch, s >= R tan(g/2).
        radius: R, of the rigid disc, broadcast [m].
        ramp_angle: g, broadcast [rad]; valid in (0, pi/2).

    Returns:
        The rise [m], zero at first touch.
    """
    angle = np.asarray(ramp_angle, dtype=np.float64)
    return np.asarray(climb, dtype=np.float64) * np.sin(angle) - np.asarray(radius, dtype=np.float64) * (
        1.0 - np.cos(angle)
    )


def climb_from_hub_rise(rise: ArrayLike, radius: ArrayLike, ramp_angle: ArrayLike) -> Array:
    """Climb at which the hub has risen by a given amount, (rise + R (1 - cos g)) / sin g.

    Args:
        rise: of the hub over its height on the flat, any shape [m]; not negative.
        radius: R, of the rigid disc, broadcast [m].
        ramp_angle: g, broadcast [rad]; valid in (0, pi/2).

    Returns:
        s, slope coordinate of the hub [m].
    """
    angle = np.asarray(ramp_angle, dtype=np.float64)
    drop = np.asarray(radius, dtype=np.float64) * (1.0 - np.cos(angle))
    return (np.asarray(rise, dtype=np.float64) + drop) / np.sin(angle)


def first_touch_before_toe(radius: ArrayLike, ramp_angle: ArrayLike) -> Array:
    """Horizontal distance from hub to toe when a disc on the flat first touches the ramp, R tan(g/2).

    Args:
        radius: R, of the rigid disc, any shape [m].
        ramp_angle: g, broadcast [rad]; valid in (0, pi).

    Returns:
        How far the hub is before the toe [m]. The two tangents from the toe are equal, so the point touched
        is as far up the ramp.
    """
    return np.asarray(radius, dtype=np.float64) * np.tan(np.asarray(ramp_angle, dtype=np.float64) / 2.0)


def first_touch_climb(radius: ArrayLike, deflection: ArrayLike, ramp_angle: ArrayLike) -> Array:
    """Slope coordinate of the hub at first touch, R tan(g/2) - d / sin g.

    Args:
        radius: R, unloaded, any shape [m].
        deflection: d, how far the tyre is pressed flat before it touches the ramp, broadcast [m]; 0 for a
            rigid disc.
        ramp_angle: g, broadcast [rad]; valid in (0, pi/2).

    Returns:
        s [m]; negative where the tyre is pressed flat by more than R (1 - cos g).
    """
    angle = np.asarray(ramp_angle, dtype=np.float64)
    return first_touch_before_toe(radius, angle) - np.asarray(deflection, dtype=np.float64) / np.sin(angle)


def plumb_line_error(radius: ArrayLike, ramp_angle: ArrayLike) -> Array:
    """How far along the slope a plumb line from the hub falls short of the square's foot, R tan g.

    Args:
        radius: R, hub height square to the ramp, any shape [m].
        ramp_angle: g, broadcast [rad]; valid in (0, pi/2).

    Returns:
        The error [m]: the plumb line meets the ramp nearer the toe.
    """
    return np.asarray(radius, dtype=np.float64) * np.tan(np.asarray(ramp_angle, dtype=np.float64))
