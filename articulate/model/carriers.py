"""Kinematics of the wheel carriers.

Both suspensions are one rigid carrier that turns about a pivot line parallel to body x:

- independent: one carrier a wheel; the pivot is fixed in the body, inboard of and above the hub;
- solid axle: one carrier for both wheels; the pivot is the roll centre, which slides along body z.

Seen from behind, in the body's cross plane (y left, z up), a point of the carrier stands at (sigma B, -e)
from the pivot at ride height (sigma = +1 left, -1 right; B its lateral distance, e the pivot's height
above it) and, with the carrier turned by tau and the pivot slid by c, has moved along body z by

    u_B = c + sigma B sin(tau) + e (1 - cos(tau)),    du_B/dtau = sigma B cos(tau) + e sin(tau).

whose second derivative is the pivot's height above the point. The points that matter on each side are where
spring, bump stop and droop stop bear, and the hub.

Two coordinates an axle, (a, b), drive both kinds: solid c = a, tau = b on both sides; independent c = 0,
tau_left = a, tau_right = -b, so that a and b are positive in bump.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.model.vehicles import Vehicles

Array = NDArray[np.float64]

SIDE = np.array([1.0, -1.0])  # sigma: left, right
SPRING, BUMP, DROOP, HUB = range(4)  # the points of a carrier on one side, where arrays have them on the last axis


def lane_fastest(values: Array) -> Array:
    """A copy of an array (lanes, ...) with the lane axis fastest: batch arithmetic runs over contiguous lanes."""
    return np.asfortranarray(values, dtype=np.float64)


@dataclass(frozen=True, eq=False, repr=False)
class CarrierGeometry(Brief):
    """What the kinematics need of a vehicle, in the body frame.

    The body's origin is on the centre plane at the front axle, at the mean hub height of ride height; the
    line through it parallel to body x is also the axis of frame twist.
    """

    lateral: Array  # (lanes, 2, 2, 4) [m], sigma B of the points
    pivot_height: Array  # (lanes, 2, 1) [m], e
    pivot_y: Array  # (lanes, 2, 2) [m]
    pivot_z: Array  # (lanes, 2, 1) [m], at ride height
    axle_x: Array  # (lanes, 2) [m]: 0 and -L
    origin_height: Array  # (lanes,) [m], over flat ground at ride height
    slide_by_a: Array  # (lanes, 2, 1), dc/da: 1 solid, 0 independent
    turn_by_a: Array  # (lanes, 2, 2), dtau/da at each side
    turn_by_b: Array  # (lanes, 2, 2), dtau/db

    @staticmethod
    def of(vehicles: Vehicles) -> CarrierGeometry:
        """The carrier geometry of a batch of vehicles."""
        solid = vehicles.solid
        hub_height = vehicles.reference_hub_height()
        origin_height = hub_height.mean(axis=1)
        half_track = vehicles.track / 2.0
        lever = np.where(solid, half_track, vehicles.swing_arm)
        bases = (vehicles.spring_half_base, vehicles.bump_half_base, vehicles.droop_half_base)
        points = np.stack([*(np.where(solid, base, vehicles.swing_arm) for base in bases), lever], axis=-1)
        axle_x = np.stack([np.zeros_like(vehicles.wheelbase), -vehicles.wheelbase], axis=1)
        one, both = solid[:, :, None].astype(np.float64), np.ones(2)
        return CarrierGeometry(
            lateral=lane_fastest(points[:, :, None, :] * SIDE[:, None]),
            pivot_height=lane_fastest(vehicles.pivot_height[:, :, None]),
            pivot_y=lane_fastest((half_track - lever)[:, :, None] * SIDE),
            pivot_z=lane_fastest((hub_height - origin_height[:, None] + vehicles.pivot_height)[:, :, None]),
            axle_x=lane_fastest(axle_x),
            origin_height=origin_height,
            slide_by_a=lane_fastest(one),
            turn_by_a=lane_fastest((1.0 - one) * np.array([1.0, 0.0])),
            turn_by_b=lane_fastest(one * both + (1.0 - one) * np.array([0.0, -1.0])),
        )


@dataclass(frozen=True, eq=False, repr=False)
class CarrierPose(Brief):
    """Where the carriers stand in the body for given suspension coordinates."""

    slide: Array  # (lanes, 2, 1) [m], c
    sine: Array  # (lanes, 2, 2), sin(tau)
    cosine: Array  # (lanes, 2, 2), cos(tau)
    lever: Array  # (lanes, 2, 2, 4) [m], point from pivot along body y, du/dtau = sigma B cos(tau) + e sin(tau)
    drop: Array  # (lanes, 2, 2, 4) [m], pivot above point along body z, d2u/dtau2 = e cos(tau) - sigma B sin(tau)
    displacement: Array  # (lanes, 2, 2, 4) [m], u of the points along body z

    @property
    def hub_travel(self) -> Array:
        """Displacement of the hubs along body z, (lanes, 2, 2) [m]."""
        return np.asarray(self.displacement[..., HUB])


def carrier_pose(geometry: CarrierGeometry, a: Array, b: Array) -> CarrierPose:
    """Pose of the four carriers from the suspension coordinates.

    a, b: (lanes, 2) [m or rad], the two coordinates of each axle (module docstring).
    """
    a, b = a[:, :, None], b[:, :, None]
    slide = geometry.slide_by_a * a
    turn = geometry.turn_by_a * a + geometry.turn_by_b * b
    sine, cosine = np.sin(turn), np.cos(turn)
    height = geometry.pivot_height
    lever = geometry.lateral * cosine[..., None]
    lever += (height * sine)[..., None]
    drop = geometry.lateral * -sine[..., None]
    drop += (height * cosine)[..., None]
    return CarrierPose(slide, sine, cosine, lever, drop, (slide + height)[..., None] - drop)
