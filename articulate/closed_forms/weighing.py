"""Weighing a vehicle: loads of level axles, and the centre's height from one axle lifted.

Source: statics of a beam on two supports; ISO 10392 uses the tangent of the lift angle (value from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def axle_loads(weight: ArrayLike, behind_front: ArrayLike, wheelbase: ArrayLike) -> Array:
    """Loads of the two axles of a level vehicle, W (L - a)/L and W a/L.

    Args:
        weight: W, any shape [N].
        behind_front: a, centre of gravity behind the front axle, broadcast [m].
        wheelbase: L, broadcast [m]; positive.

    Returns:
        Front and rear axle load, shape (..., 2) [N]; half of each on a wheel if the weight is centred.
    """
    w, a, length = (np.asarray(value, dtype=np.float64) for value in (weight, behind_front, wheelbase))
    rear = w * a / length
    return np.stack(np.broadcast_arrays(w - rear, rear), axis=-1)


def lift_angle_tangent(wheelbase: ArrayLike, lift: ArrayLike) -> Array:
    """Tangent of the pitch of a vehicle with one axle lifted, z / sqrt(L^2 - z^2).

    Args:
        wheelbase: L, any shape [m].
        lift: z, of the hubs of one axle over those of the other, broadcast [m]; below L.

    Returns:
        tan of the angle [-]: the lift is the opposite side, the wheelbase the hypotenuse.
    """
    length, z = (np.asarray(value, dtype=np.float64) for value in (wheelbase, lift))
    return z / np.sqrt(length**2 - z**2)


def centre_height_from_lift(
    weight: ArrayLike, wheelbase: ArrayLike, lift: ArrayLike, load_gain: ArrayLike, hub_height: ArrayLike
) -> Array:
    """Height of the centre of gravity from one axle lifted, R + L dF / (W tan(angle)).

    Args:
        weight: W, of the vehicle, any shape [N].
        wheelbase: L, broadcast [m].
        lift: z, of the lifted axle's hubs, broadcast [m].
        load_gain: dF, load gained by the axle that stays down, broadcast [N].
        hub_height: R, of both axles over their ground, broadcast [m].

    Returns:
        The height over the ground [m]; suspension blocked, wheels free to roll, equal hub heights.
    """
    w, length, gain, hub = (np.asarray(value, dtype=np.float64) for value in (weight, wheelbase, load_gain, hub_height))
    return hub + length * gain / (w * lift_angle_tangent(wheelbase, lift))
