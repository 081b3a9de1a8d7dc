"""A plate on four equal springs: wheel loads off centre, and with one wheel lifted.

Source: statics of a rigid plate; three equilibrium equations and one compatibility condition.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

_DIAGONAL = np.array([1.0, -1.0, -1.0, 1.0])
_FORWARD = np.array([1.0, 1.0, -1.0, -1.0])
_LEFT = np.array([1.0, -1.0, 1.0, -1.0])


def plate_loads(weight: ArrayLike, forward: ArrayLike, left: ArrayLike) -> Array:
    """Loads of a plate on four equal springs, W/4 (1 +- x/a +- y/b).

    Args:
        weight: W, any shape [N].
        forward: x/a, offset of the weight to the front over half the wheelbase, broadcast [-].
        left: y/b, offset to the left over half the track, broadcast [-].

    Returns:
        Loads front-left, front-right, rear-left, rear-right, shape (..., 4) [N]. Valid while none is
        negative and the springs can be taken as linear.
    """
    w, x, y = (np.asarray(value, dtype=np.float64)[..., None] for value in (weight, forward, left))
    return np.asarray(w / 4.0 * (1.0 + x * _FORWARD + y * _LEFT))


def lifted_wheel_loads(weight: ArrayLike, spring_rate: ArrayLike, lift: ArrayLike) -> Array:
    """Loads with the front-left wheel lifted by z: W/4 + k z/4 on its diagonal, W/4 - k z/4 on the other.

    Args:
        weight: W, centred, any shape [N].
        spring_rate: k, of each of the four equal springs, broadcast [N/m].
        lift: z, vertical lift under the front-left wheel, broadcast [m].

    Returns:
        Loads front-left, front-right, rear-left, rear-right, shape (..., 4) [N]. Valid for small angles and
        while no load is negative, |z| <= W/k; the weight's own overturning is left out.
    """
    w, k, z = (np.asarray(value, dtype=np.float64)[..., None] for value in (weight, spring_rate, lift))
    return np.asarray(w / 4.0 + k * z / 4.0 * _DIAGONAL)


def unloading_lift(weight: ArrayLike, spring_rate: ArrayLike) -> Array:
    """Lift under one wheel at which the other diagonal unloads, z = W/k.

    Args:
        weight: W, centred, any shape [N].
        spring_rate: k, of each of the four equal springs, broadcast [N/m]; positive.

    Returns:
        z [m]. Validity as for `lifted_wheel_loads`.
    """
    return np.asarray(weight, dtype=np.float64) / np.asarray(spring_rate, dtype=np.float64)
