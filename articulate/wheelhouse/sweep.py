"""The tyre swept through travel and steer against measured points of the wheelhouse.

The hub travel at which the tyre first meets a point is found by marching: the tyre's distance from the point bounds how
far the wheel can move without touching it, so no contact deeper than half a millimetre is stepped over.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.lanes import of_lanes
from articulate.wheelhouse.motion import CornerMotion
from articulate.wheelhouse.tyre_shape import TyreShape, tyre_distance, tyre_distance_at

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
    each = np.arange(points.shape[0] * points.shape[1] * steer.shape[1])
    gaps = _first_met(_Rays.of(points, motion, shape, steer, None, each))
    return gaps.reshape(*points.shape[:2], steer.shape[1])


def least_arch_gap(
    points: Array, motion: CornerMotion, shape: TyreShape, steer: Array, reach: Array | None = None
) -> Array:
    """The least of `arch_gaps` in each lane, (lanes,) [m]; no point is followed further than that.

    reach: travel beyond which nobody asks, (lanes,) [m]; 0.4 m if None. It saves the steps from there on.
    """
    lane = np.repeat(np.arange(points.shape[0]), points.shape[1] * steer.shape[1])
    return _first_met(_Rays.of(points, motion, shape, steer, reach, lane))


def _first_met(rays: _Rays) -> Array:
    """Hub travel at which the tyre meets the first ray of each answer, (answers,) [m]."""
    least = np.full(rays.answer.max(initial=-1) + 1, np.inf)
    travel = np.zeros(rays.answer.size)
    distance = rays.distance(travel)
    upward = np.where(distance >= 0.0, 1.0, -1.0)  # an overlap at ride height is backed out of
    busy = np.ones(travel.size, dtype=bool)
    while busy.any():
        if busy.sum() < KEPT * busy.size:  # those that are done go along for a while: that costs less than taking
            rows = np.flatnonzero(busy)
            rays, busy = rays.take(rows), busy[rows]
            travel, distance, upward = travel[rows], distance[rows], upward[rows]
        step = upward * np.maximum(np.abs(distance) * rays.slowness, LEAST_STEP)
        travel = travel + step
        now = rays.distance(travel)
        met = busy & (upward * now <= 0.0)
        stuck = busy & ~met & (travel <= -FURTHEST)
        # Between two steps the distance is as good as straight.
        gap = travel - step * now / np.where(met, now - distance, 1.0)
        np.minimum.at(least, rays.answer[met], gap[met])
        least[rays.answer[stuck]] = -np.inf
        distance = now
        asked = (travel < np.minimum(rays.reach, least[rays.answer])) | (upward < 0.0)
        busy &= ~met & ~stuck & asked
    return least


@dataclass(frozen=True, eq=False, repr=False)
class _Rays(Brief):
    """Points each followed at one steer angle, arrays over them all."""

    answer: NDArray[np.intp]  # (rays,), for which the ray is asked
    motion: CornerMotion
    shape: TyreShape
    point: Array  # (rays, 3) [m]
    sine: Array  # (rays,), of the steer angle
    cosine: Array  # (rays,)
    slowness: Array  # (rays,), travel it takes at least per distance
    reach: Array  # (rays,) [m], travel up to which they are followed

    @staticmethod
    def of(
        points: Array,
        motion: CornerMotion,
        shape: TyreShape,
        steer: Array,
        reach: Array | None,
        answer: NDArray[np.intp],
    ) -> _Rays:
        """Every point of a batch at every angle, as of `arch_gaps`."""
        lanes, count, angles = points.shape[0], points.shape[1], steer.shape[1]
        lane = np.repeat(np.arange(lanes), count * angles)
        return _Rays(
            answer=answer,
            motion=motion.take(lane),
            shape=shape.take(lane),
            point=np.asfortranarray(np.repeat(points.reshape(-1, 3), angles, axis=0)),
            sine=np.repeat(np.sin(steer), count, axis=0).reshape(-1),
            cosine=np.repeat(np.cos(steer), count, axis=0).reshape(-1),
            slowness=np.repeat(1.0 / motion.speed(points).reshape(-1), angles),
            reach=np.full(lane.size, FURTHEST) if reach is None else np.minimum(reach, FURTHEST)[lane],
        )

    def take(self, rows: NDArray[np.intp]) -> _Rays:
        """Some of them."""
        arrays = (self.point, self.sine, self.cosine, self.slowness, self.reach)
        taken = (of_lanes(array, rows) for array in arrays)
        return _Rays(self.answer[rows], self.motion.take(rows), self.shape.take(rows), *taken)

    def distance(self, travel: Array) -> Array:
        """Of each point from its tyre at hub travels (rays,) [m]."""
        place = self.motion.coordinates_in_wheel_frame(self.point, travel, self.sine, self.cosine)
        return tyre_distance_at(*place, self.shape)
