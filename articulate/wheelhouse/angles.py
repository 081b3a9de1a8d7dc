"""Approach, breakover and departure angle and running clearance, by the definitions of 49 CFR 523.2.

Static loaded radius arc: part of a circle about the wheel centre that touches the ground. Approach angle: the smallest
angle between the ground and a line tangent to the front arc that touches the underside forward of the front tyre;
departure angle likewise behind the rear tyre. Breakover angle: supplement of the largest angle between two lines
tangent to the front and the rear arc that meet at a point of the underside. Running clearance: height of the lowest
point that is not unsprung.

A line through a point a distance a from the wheel centre and h above the ground, tangent from below to the arc of
radius r, is inclined by

    atan2(a, r - h) - acos(r / hypot(a, r - h)),

and no line is where the point lies within the arc.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, repr=False)
class RampAngles(Brief):
    """Angles of a batch of vehicles standing level; NaN where no named point limits one, with point -1."""

    approach: Array  # (lanes,) [rad]
    departure: Array  # (lanes,) [rad]
    breakover: Array  # (lanes,) [rad]
    running_clearance: Array  # (lanes,) [m]
    approach_point: NDArray[np.intp]  # (lanes,), index of the point that decides
    departure_point: NDArray[np.intp]
    breakover_point: NDArray[np.intp]
    lowest_point: NDArray[np.intp]


def tangent_angle(distance: Array, height: Array, radius: Array) -> Array:
    """Inclination of the line through a point, tangent from below to a tyre's arc; NaN inside the arc.

    distance: of the point from the wheel centre along the vehicle [m]; height: over the ground [m]; radius: static
    loaded [m]. Shapes broadcast; returns [rad].
    """
    drop = radius - height
    away = np.hypot(distance, drop)
    share = np.divide(radius, away, out=np.full(np.broadcast(radius, away).shape, np.nan), where=away > 0.0)
    with np.errstate(invalid="ignore"):
        return np.asarray(np.arctan2(distance, drop) - np.arccos(share))


def ramp_angles(points: Array, wheelbase: Array, loaded_radius: Array) -> RampAngles:
    """Angles from named points of the underside.

    Args:
        points: (lanes, points, 3) [m], behind the front axle, left of centre, above the ground.
        wheelbase: (lanes,) [m].
        loaded_radius: front and rear, (lanes, 2) [m].

    Returns:
        `RampAngles`. Ahead of the front tyre is taken as ahead of its hub, and a point between hub and tread that lies
        below the arc counts too: with it the angle can only be smaller.
    """
    behind, height = points[:, :, 0], points[:, :, 2]
    base, front, rear = wheelbase[:, None], loaded_radius[:, :1], loaded_radius[:, 1:]
    between = (behind > 0.0) & (behind < base)
    approach = np.where(behind < 0.0, tangent_angle(-behind, height, front), np.nan)
    departure = np.where(behind > base, tangent_angle(behind - base, height, rear), np.nan)
    over = tangent_angle(behind, height, front) + tangent_angle(base - behind, height, rear)
    near, far, middle, low = map(_least, (approach, departure, np.where(between, over, np.nan), height))
    return RampAngles(near[0], far[0], middle[0], low[0], near[1], far[1], middle[1], low[1])


def _least(values: Array) -> tuple[Array, NDArray[np.intp]]:
    """The least of each lane and where it is; NaN and -1 where there is none."""
    lanes, count = values.shape
    if not count:
        return np.full(lanes, np.nan), np.full(lanes, -1, dtype=np.intp)
    full = np.where(np.isnan(values), np.inf, values)
    which = full.argmin(axis=1)
    least = full[np.arange(lanes), which]
    known = np.isfinite(least)
    return np.where(known, least, np.nan), np.where(known, which, -1)
