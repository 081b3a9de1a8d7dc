"""The mark on the ramp: from its height over flat ground to the climb and the score.

Source: plane trigonometry; the score is the club rule 1000 x climb / wheelbase (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

SCORE_SCALE = 1000.0
"""Score of a vehicle that climbs its own wheelbase [-]."""


@dataclass(frozen=True, eq=False)
class ScoreSensitivities:
    """Partial derivatives of the score, all of the broadcast shape of the inputs."""

    mark_height: Array  # [1/m]
    wheelbase: Array  # [1/m]
    ramp_angle: Array  # [1/rad]


def climb_from_mark(mark_height: ArrayLike, ramp_angle: ArrayLike) -> Array:
    """Climb of a mark at a given height, s = h / sin g.

    Args:
        mark_height: h, height of the mark over the flat ground, any shape [m].
        ramp_angle: g, broadcast against h [rad]; valid in (0, pi/2].

    Returns:
        s, distance along the ramp from its toe to the mark [m].
    """
    return np.asarray(mark_height, dtype=np.float64) / np.sin(np.asarray(ramp_angle, dtype=np.float64))


def score(climb: ArrayLike, wheelbase: ArrayLike) -> Array:
    """Score 1000 s / L.

    Args:
        climb: s, any shape [m].
        wheelbase: L, broadcast against s [m]; positive.

    Returns:
        The score [-].
    """
    return SCORE_SCALE * np.asarray(climb, dtype=np.float64) / np.asarray(wheelbase, dtype=np.float64)


def score_from_mark(mark_height: ArrayLike, wheelbase: ArrayLike, ramp_angle: ArrayLike) -> Array:
    """Score of a mark at a given height, 1000 h / (L sin g).

    Args:
        mark_height: h, any shape [m].
        wheelbase: L, broadcast against h [m]; positive.
        ramp_angle: g, broadcast against h [rad]; valid in (0, pi/2].

    Returns:
        The score [-].
    """
    return score(climb_from_mark(mark_height, ramp_angle), wheelbase)


def score_sensitivities(mark_height: ArrayLike, wheelbase: ArrayLike, ramp_angle: ArrayLike) -> ScoreSensitivities:
    """Partial derivatives of 1000 h / (L sin g): score/h [1/m], -score/L [1/m] and -score cot g [1/rad].

    Arguments as `score_from_mark`.

    Returns:
        The three derivatives, each of the broadcast shape.
    """
    value = score_from_mark(mark_height, wheelbase, ramp_angle)
    length = np.asarray(wheelbase, dtype=np.float64)
    angle = np.asarray(ramp_angle, dtype=np.float64)
    per_height = SCORE_SCALE / (length * np.sin(angle))
    return ScoreSensitivities(
        mark_height=np.broadcast_to(per_height, value.shape).copy(),
        wheelbase=-value / length,
        ramp_angle=-value / np.tan(angle),
    )


def equal_lift_ratio(ramp_angle: ArrayLike, reference_angle: ArrayLike) -> Array:
    """Score on another ramp over the score on the reference ramp, sin g_0 / sin g, at equal lift.

    Args:
        ramp_angle: g, the other ramp, any shape [rad].
        reference_angle: g_0, broadcast against g [rad].

    Returns:
        The ratio [-]. Valid where the mark's height stays the same on both ramps; a real vehicle differs a
        little, because its hub rises less than its mark and its body pitches differently.
    """
    return np.sin(np.asarray(reference_angle, dtype=np.float64)) / np.sin(np.asarray(ramp_angle, dtype=np.float64))
