"""Loads of a vehicle that stands on three wheels, on the flat, on a ramp or on both.

Source: statics of a rigid body on three supports. Three equations for three loads: nothing of springs, tyres
or frame enters, only where the contacts and the centre of gravity are.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class ThreeWheelLoads:
    """Loads of the three wheels, each of shape (..., 3)."""

    normal: Array  # [N], square to the surface
    vertical: Array  # [N], normal load and its holding force together; they sum to the weight


def ground_level_shift(ramp_angle: ArrayLike, holding_share: ArrayLike) -> Array:
    """Slope of a ramp contact's line of action, kappa = (1 - lambda) tan g / (1 + lambda tan^2 g).

    A contact at height z acts as a vertical load at x + kappa z, where its line of action meets the level at
    which the horizontal remainder is held.

    Args:
        ramp_angle: g, any shape [rad]; 0 for a wheel on the flat.
        holding_share: lambda, broadcast [-]: share of the slope force held by the ramp wheel itself.

    Returns:
        kappa [-]: 0 for lambda = 1 (the reaction is vertical), tan g for lambda = 0 (it is the normal).
    """
    slope = np.tan(np.asarray(ramp_angle, dtype=np.float64))
    share = np.asarray(holding_share, dtype=np.float64)
    return np.asarray((1.0 - share) * slope / (1.0 + share * slope**2))


def three_wheel_loads(
    weight: ArrayLike,
    centre: ArrayLike,
    contacts: ArrayLike,
    ramp_angles: ArrayLike = 0.0,
    holding_share: ArrayLike = 1.0,
) -> ThreeWheelLoads:
    """Loads on three wheels: barycentric coordinates of the centre of gravity in the shifted triangle.

    The corners are (x_i + kappa_i z_i, y_i), `ground_level_shift` giving kappa. A contact on the ramp carries
    N n + lambda N tan(g) t with n the normal and t up the slope; the horizontal remainder acts at z = 0.

    Args:
        weight: W, of the whole vehicle, shape (...) [N].
        centre: x and y of its centre of gravity, shape (..., 2) [m].
        contacts: x, y, z of the three contact points, shape (..., 3, 3) [m]; not in one vertical plane.
        ramp_angles: g of the plane under each contact, broadcast to (..., 3) [rad]; 0 on the flat.
        holding_share: lambda, broadcast to (..., 3) [-].

    Returns:
        Normal and vertical loads. A negative load means that the vehicle cannot stand on these three
        wheels. Valid for any height of the contacts; moments about the vertical are left to friction.

    Raises:
        ValueError: The three contacts lie in one vertical plane.
    """
    w = np.asarray(weight, dtype=np.float64)
    g = np.asarray(centre, dtype=np.float64)
    p = np.asarray(contacts, dtype=np.float64)
    angles = np.broadcast_to(np.asarray(ramp_angles, dtype=np.float64), p.shape[:-1])
    share = np.broadcast_to(np.asarray(holding_share, dtype=np.float64), p.shape[:-1])
    x = p[..., 0] + ground_level_shift(angles, share) * p[..., 2] - g[..., None, 0]
    y = p[..., 1] - g[..., None, 1]
    following, last = np.roll(np.arange(3), -1), np.roll(np.arange(3), -2)
    areas = x[..., following] * y[..., last] - x[..., last] * y[..., following]
    total = areas.sum(axis=-1, keepdims=True)
    if np.any(total == 0.0):
        raise ValueError("the three contacts lie in one vertical plane")
    vertical = w[..., None] * areas / total
    per_normal = np.cos(angles) * (1.0 + share * np.tan(angles) ** 2)
    return ThreeWheelLoads(normal=vertical / per_normal, vertical=vertical)
