"""Elastic forces of springs, stops, anti-roll bars and cross-linked bars, with their exact stiffness.

Energies (u: displacement along body z from ride height, at the element's own half base):

    spring      P u + k u^2 / 2, cut off where a loose coil would have to pull (P + k u < 0)
    bump stop   k1 d^2 / 2 + k3 d^4 / 4   for d = u - gap > 0
    droop stop  k d^2 / 2                 for d = -u - gap > 0
    bar         k_b (u_left - u_right)^2 / 2 at the hubs
    cross link  k_x ((u_FL - u_FR) + (u_RL - u_RR))^2 / 2
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.model.carriers import SIDE, CarrierGeometry, CarrierPose, lane_fastest
from articulate.model.constants import STANDARD_GRAVITY
from articulate.model.vehicles import Vehicles

Array = NDArray[np.float64]

SPRING, BUMP, DROOP = 0, 1, 2  # the elements that stand on the last axis


@dataclass(frozen=True, eq=False)
class Elements:
    """Springs and stops of the vehicles in one form: x = offset + slope u, force = c1 x + c3 x^3 for x > 0.

    For a spring x is its force (slope k, offset P); for a stop x is its compression. Shapes
    (lanes, 2, 1, 3), last axis spring, bump stop, droop stop.
    """

    half_base: Array  # [m]
    offset: Array  # [N] spring, [m] stops
    slope: Array  # [N/m] spring, [-] stops
    linear: Array  # c1 with the sign of the force along +u
    cubic: Array  # c3
    keeps_pulling: NDArray[np.bool_]  # True for a held spring: active also at x < 0
    bar_rate: Array  # (lanes, 2) [N/m]
    cross_link_rate: Array  # (lanes,) [N/m]

    @staticmethod
    def of(vehicles: Vehicles) -> Elements:
        """The elements of a batch of vehicles."""
        solid = vehicles.solid

        def on_carrier(half_base: Array) -> Array:
            return np.where(solid, half_base, vehicles.swing_arm)

        unsprung_weight = vehicles.unsprung_mass * STANDARD_GRAVITY
        preload = (vehicles.reference_axle_load() - unsprung_weight) / 2.0
        one, zero = np.ones_like(preload), np.zeros_like(preload)

        def elements(spring: Array, bump: Array, droop: Array) -> Array:
            return lane_fastest(np.stack([spring, bump, droop], axis=-1)[:, :, None, :])

        held = ~vehicles.spring_loose[:, :, None, None] & np.array([True, False, False])
        return Elements(
            half_base=elements(
                on_carrier(vehicles.spring_half_base),
                on_carrier(vehicles.bump_half_base),
                on_carrier(vehicles.droop_half_base),
            ),
            offset=elements(preload, -vehicles.bump_gap, -vehicles.droop_gap),
            slope=elements(vehicles.spring_rate, one, -one),
            linear=elements(one, vehicles.bump_rate, -vehicles.droop_rate),
            cubic=elements(zero, vehicles.bump_rate_cubic, zero),
            keeps_pulling=np.asfortranarray(held),
            bar_rate=lane_fastest(vehicles.bar_rate),
            cross_link_rate=vehicles.cross_link_rate,
        )


@dataclass(frozen=True, eq=False)
class ElasticForces:
    """Gradient and Hessian of the elastic energy in the carriers' slide c and turn tau.

    Shapes (lanes, 2, 2) unless said; `slide`/`turn` are dE/dc and dE/dtau summed over the elements at one
    side; `coupling` holds k l_i l_j of the bars between any two of the four wheels.
    """

    slide: Array  # [N]
    turn: Array  # [N m]
    slide_slide: Array  # [N/m]
    slide_turn: Array  # [N]
    turn_turn: Array  # [N m], the wheel's own, bars included
    left_right: Array  # (lanes, 2) [N m], d2E/dtau_left dtau_right of one axle
    front_rear: Array  # (lanes, 2, 2) [N m], d2E/dtau_front,i dtau_rear,j


def element_displacement(elements: Elements, geometry: CarrierGeometry, pose: CarrierPose) -> Array:
    """Displacement u along body z at springs, bump stops and droop stops, (lanes, 2, 2, 3) [m]."""
    rise = pose.slide + geometry.pivot_height * (1.0 - pose.cosine)
    return rise[..., None] + elements.half_base * (SIDE * pose.sine)[..., None]


def elastic_forces(elements: Elements, geometry: CarrierGeometry, pose: CarrierPose) -> ElasticForces:
    """Forces and stiffness of all elastic elements at a pose of the carriers."""
    side_sine = (SIDE * pose.sine)[..., None]
    side_cosine = (SIDE * pose.cosine)[..., None]
    e_sine = (geometry.pivot_height * pose.sine)[..., None]
    e_cosine = (geometry.pivot_height * pose.cosine)[..., None]
    rise = (pose.slide + geometry.pivot_height)[..., None] - e_cosine

    x = elements.offset + elements.slope * (rise + elements.half_base * side_sine)
    active = (x > 0.0) | elements.keeps_pulling
    x *= active
    cubic_part = elements.cubic * (x * x)
    force = (elements.linear + cubic_part) * x
    rate = (elements.linear + 3.0 * cubic_part) * elements.slope * active
    lever = elements.half_base * side_cosine + e_sine  # du/dtau
    curvature = e_cosine - elements.half_base * side_sine  # d2u/dtau2
    rate_lever = rate * lever

    # Bars act at the hubs, where du/dtau = lever_y and d2u/dtau2 = lever_z.
    travel = pose.hub_travel
    twist = travel[:, :, 0] - travel[:, :, 1]
    link = elements.cross_link_rate[:, None]
    pull = elements.bar_rate * twist + link * (twist[:, :1] + twist[:, 1:])
    pull_side = pull[:, :, None] * SIDE
    bar_and_link = elements.bar_rate + link
    side_lever = pose.lever_y * SIDE
    return ElasticForces(
        slide=force.sum(axis=-1),
        turn=(force * lever).sum(axis=-1) + pull_side * pose.lever_y,
        slide_slide=rate.sum(axis=-1),
        slide_turn=rate_lever.sum(axis=-1),
        turn_turn=(rate_lever * lever + force * curvature).sum(axis=-1)
        + bar_and_link[:, :, None] * pose.lever_y**2
        + pull_side * pose.lever_z,
        left_right=bar_and_link * side_lever[:, :, 0] * side_lever[:, :, 1],
        front_rear=link[..., None] * side_lever[:, 0, :, None] * side_lever[:, 1, None, :],
    )
