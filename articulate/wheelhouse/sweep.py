"""The tyre swept through travel and steer against measured points of the wheelhouse.

The hub travel at which the tyre first meets a point is found by marching: the tyre's distance from the point bounds how
far the wheel can move without touching it, so no contact deeper than half a millimetre is stepped over.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.wheelhouse.motion import CornerMotion
from articulate.wheelhouse.tyre_shape import TyreShape, tyre_distance

Array = NDArray[np.float64]

FURTHEST = 0.4  # [m] of travel, beyond which a point is taken as never met
KEPT = 0.6  # share of the rays still under way from which the others are dropped
LEAST_STEP = 5e-4  # [m] of travel; a graze less deep than that can go unseen


def clock_points(angle: Array, distance: Array, inboard: Array, steer: Array, steering_offset: Array) -> Array:
    """Points of the body from what a person measures at the wheel, at ride height.

    Args:
        angle: clock position as an angle forward of straight up, (lanes, points) [rad]: 3 o'clock is forward.
        distance: from the hub centre, square to the axle, same shape [m].
        inboard: depth inboard of the tyre's centre plane, along the axle, same shape [m].
        steer: of the wheel when that was measured, same shape [rad], front edge outwards positive.
        steering_offset: of the tyre's centre plane from the steering axis, (lanes,) [m].

    Returns:
        (lanes, points, 3) [m], in the corner's frame.
    """
    offset = steering_offset[:, None]
    x, y, z = distance * np.sin(angle), -inboard, distance * np.cos(angle)
    sine, cosine = np.sin(steer), np.cos(steer)
    return np.stack(
        [x * cosine - y * sine - offset * sine, x * sine + y * cosine - offset * (1.0 - cosine), z], axis=-1
    )


def clearance_at(points: Array, motion: CornerMotion, shape: TyreShape, travel: Array, steer: Array) -> Array:
    """Distance of body points from the tyre's surface at given travel and steer, negative where it would overlap.

    points (lanes, ..., 3) [m]; travel [m] and steer [rad] (lanes, ...). Returns (lanes, ...) [m].
    """
    return tyre_distance(motion.in_wheel_frame(points, travel, steer), shape)


def arch_gaps(points: Array, motion: CornerMotion, shape: TyreShape, steer: Array, reach: Array | None = None) -> Array:
    """Hub travel from ride height until the tyre meets each point, at each steer angle.

    Args:
        points: (lanes, points, 3) [m], in the corner's frame.
        motion: of the corner, as many lanes.
        shape: the tyres, as many lanes.
        steer: (lanes, angles) [rad].
        reach: travel beyond which nobody asks, (lanes,) [m]; 0.4 m if None. It saves the steps up to there.

    Returns:
        (lanes, points, angles) [m]: infinite where the tyre passes clear; negative where it overlaps at ride height
        already (how far the wheel must go down to come clear; minus infinity if that is further than 0.4 m).
    """
    lanes, count, angles = points.shape[0], points.shape[1], steer.shape[1]
    lane = np.repeat(np.arange(lanes), count * angles)
    rays = _Rays(
        motion.take(lane),
        shape.take(lane),
        np.repeat(points.reshape(-1, 3), angles, axis=0),
        np.broadcast_to(steer[:, None, :], (lanes, count, angles)).reshape(-1),
        np.repeat(1.0 / motion.speed(points).reshape(-1), angles),
        np.full(lane.size, FURTHEST) if reach is None else np.minimum(reach, FURTHEST)[lane],
    )
    travel = np.zeros(lane.size)
    distance = rays.distance(travel)
    upward = np.where(distance >= 0.0, 1.0, -1.0)  # an overlap at ride height is backed out of
    gap, place = upward * np.inf, np.arange(lane.size)
    busy = np.ones(lane.size, dtype=bool)
    while busy.any():
        if busy.sum() < KEPT * busy.size:  # those that are done go along for a while: that costs less than taking
            rows = np.flatnonzero(busy)
            rays = rays.take(rows)
            travel, distance, upward = (part[rows] for part in (travel, distance, upward))
            place, busy = place[rows], busy[rows]
        step = upward * np.maximum(np.abs(distance) * rays.slowness, LEAST_STEP)
        travel = travel + step
        now = rays.distance(travel)
        met = busy & (upward * now <= 0.0)
        # Between two steps the distance is as good as straight.
        gap[place[met]] = (travel - step * now / np.where(met, now - distance, 1.0))[met]
        distance = now
        busy &= ~met & (travel < rays.reach) & (travel > -FURTHEST)
    return gap.reshape(lanes, count, angles)


@dataclass(frozen=True, eq=False, repr=False)
class _Rays(Brief):
    """Points each followed at one steer angle, arrays over them all."""

    motion: CornerMotion
    shape: TyreShape
    point: Array  # (rays, 3) [m]
    steer: Array  # (rays,) [rad]
    slowness: Array  # (rays,), travel it takes at least per distance
    reach: Array  # (rays,) [m], travel up to which they are followed

    def take(self, rows: NDArray[np.intp]) -> _Rays:
        """Some of them."""
        arrays = (self.point, self.steer, self.slowness, self.reach)
        return _Rays(self.motion.take(rows), self.shape.take(rows), *(array[rows] for array in arrays))

    def distance(self, travel: Array) -> Array:
        """Of each point from its tyre at hub travels (rays,) [m]."""
        return clearance_at(self.point, self.motion, self.shape, travel, self.steer)
