"""The tyre swept through travel and steer against measured points of the wheelhouse.

The hub travel at which the tyre first meets a point is found by marching: the tyre's distance from the point bounds how
far the wheel can move without touching it, so no contact deeper than half a millimetre is stepped over.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from articulate.wheelhouse.motion import CornerMotion
from articulate.wheelhouse.tyre_shape import TyreShape, tyre_distance

Array = NDArray[np.float64]

FURTHEST = 0.4  # [m] of travel, beyond which a point is taken as never met
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


def arch_gaps(points: Array, motion: CornerMotion, shape: TyreShape, steer: Array) -> Array:
    """Hub travel from ride height until the tyre meets each point, at each steer angle.

    Args:
        points: (lanes, points, 3) [m], in the corner's frame.
        motion: of the corner, as many lanes.
        shape: the tyres, as many lanes.
        steer: (lanes, angles) [rad].

    Returns:
        (lanes, points, angles) [m]: infinite where the tyre passes clear; negative where it overlaps at ride height
        already (how far the wheel must go down to come clear; minus infinity if that is further than 0.4 m).
    """
    lanes, count, angles = points.shape[0], points.shape[1], steer.shape[1]
    lane = np.repeat(np.arange(lanes), count * angles)
    point = np.repeat(points.reshape(-1, 3), angles, axis=0)
    turned = np.broadcast_to(steer[:, None, :], (lanes, count, angles)).reshape(-1)
    travel = np.zeros(lane.size)
    slowness = np.repeat(1.0 / motion.speed(points).reshape(-1), angles)
    distance = _distance(lane, point, motion, shape, travel, turned)
    upward = np.where(distance >= 0.0, 1.0, -1.0)  # an overlap at ride height is backed out of
    gap = upward * np.inf
    busy = np.arange(lane.size)
    while busy.size:
        before = distance[busy]
        step = upward[busy] * np.maximum(np.abs(before) * slowness[busy], LEAST_STEP)
        travel[busy] += step
        now = _distance(lane[busy], point[busy], motion, shape, travel[busy], turned[busy])
        distance[busy] = now
        met = upward[busy] * now <= 0.0
        # Between two steps the distance is as good as straight.
        gap[busy[met]] = (travel[busy] - step * now / np.where(met, now - before, 1.0))[met]
        busy = busy[~met & (np.abs(travel[busy]) < FURTHEST)]
    return gap.reshape(lanes, count, angles)


def _distance(
    lane: NDArray[np.intp], point: Array, motion: CornerMotion, shape: TyreShape, travel: Array, steer: Array
) -> Array:
    return clearance_at(point[:, None, :], motion.take(lane), shape.take(lane), travel[:, None], steer[:, None])[:, 0]
