"""Kinematics of the wheel carriers.

Both suspensions are one rigid carrier that turns about a pivot line parallel to body x:

- independent: one carrier a wheel; the pivot is fixed in the body, inboard of and above the hub;
- solid axle: one carrier for both wheels; the pivot is the roll centre, which slides along body z.

Seen from behind, in the body's cross plane (y left, z up), a point of the carrier stands at (sigma B, -e)
from the pivot at ride height (sigma = +1 left, -1 right; B its lateral distance, e the pivot's height
above it) and, with the carrier turned by tau and the pivot slid by c, has moved along body z by

    u_B = c + sigma B sin(tau) + e (1 - cos(tau)),    du_B/dtau = sigma B cos(tau) + e sin(tau).

Two coordinates an axle, (a, b), drive both kinds: solid c = a, tau = b on both sides; independent c = 0,
tau_left = a, tau_right = -b, so that a and b are positive in bump.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.model.vehicles import Vehicles

Array = NDArray[np.float64]

SIDE = np.array([1.0, -1.0])  # sigma: left, right


def lane_fastest(values: Array) -> Array:
    """A copy stored with the lane axis fastest, so that batch arithmetic runs over contiguous lanes."""
    return np.asfortranarray(values, dtype=np.float64)


@dataclass(frozen=True, eq=False)
class CarrierGeometry:
    """What the kinematics need of a vehicle, in the body frame.

    The body's origin is on the centre plane at the front axle, at the mean hub height of ride height; the
    line through it parallel to body x is also the axis of frame twist.
    """

    is_solid: Array  # (lanes, 2), kappa: 1 solid, 0 independent
    lever: Array  # (lanes, 2, 2) [m], sigma H: hub from pivot, lateral
    pivot_height: Array  # (lanes, 2, 1) [m], e
    pivot_y: Array  # (lanes, 2, 2) [m]
    pivot_z: Array  # (lanes, 2, 1) [m], at ride height
    axle_x: Array  # (lanes, 2) [m]: 0 and -L
    origin_height: Array  # (lanes,) [m], over flat ground at ride height

    @staticmethod
    def of(vehicles: Vehicles) -> CarrierGeometry:
        """The carrier geometry of a batch of vehicles."""
        hub_height = vehicles.reference_hub_height()
        origin_height = hub_height.mean(axis=1)
        half_track = vehicles.track / 2.0
        lever = np.where(vehicles.solid, half_track, vehicles.swing_arm)
        axle_x = np.stack([np.zeros_like(vehicles.wheelbase), -vehicles.wheelbase], axis=1)
        return CarrierGeometry(
            is_solid=lane_fastest(vehicles.solid.astype(np.float64)),
            lever=lane_fastest(lever[:, :, None] * SIDE),
            pivot_height=lane_fastest(vehicles.pivot_height[:, :, None]),
            pivot_y=lane_fastest((half_track - lever)[:, :, None] * SIDE),
            pivot_z=lane_fastest((hub_height - origin_height[:, None] + vehicles.pivot_height)[:, :, None]),
            axle_x=lane_fastest(axle_x),
            origin_height=origin_height,
        )


@dataclass(frozen=True, eq=False)
class CarrierPose:
    """Where the carriers stand in the body for given suspension coordinates, shape (lanes, 2, 2)."""

    slide: Array  # (lanes, 2, 1) [m], c
    sine: Array  # sin(tau)
    cosine: Array  # cos(tau)
    lever_y: Array  # [m], hub from pivot in the body frame: l = sigma H cos(tau) + e sin(tau)
    lever_z: Array  # [m], pivot above hub: m = e cos(tau) - sigma H sin(tau)
    hub_travel: Array  # [m], u of the hub along body z


def carrier_pose(geometry: CarrierGeometry, a: Array, b: Array) -> CarrierPose:
    """Pose of the four carriers from the suspension coordinates.

    a, b: (lanes, 2) [m or rad], the two coordinates of each axle (module docstring).
    """
    kappa = geometry.is_solid
    slide = (kappa * a)[:, :, None]
    turn = np.empty((*a.shape, 2), order="F")
    turn[:, :, 0] = a + kappa * (b - a)
    turn[:, :, 1] = (2.0 * kappa - 1.0) * b
    sine, cosine = np.sin(turn), np.cos(turn)
    side_rise = geometry.lever * sine
    lever_z = geometry.pivot_height * cosine - side_rise
    return CarrierPose(
        slide=slide,
        sine=sine,
        cosine=cosine,
        lever_y=geometry.lever * cosine + geometry.pivot_height * sine,
        lever_z=lever_z,
        hub_travel=slide + geometry.pivot_height - lever_z,
    )
