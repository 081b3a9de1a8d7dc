"""Elastic forces of springs, stops, bars, auxiliary roll stiffness and cross links, with their exact stiffness.

Energies (u: displacement along body z from ride height, at the element's own half base):

    spring      P u + k u^2 / 2, cut off where a loose coil would have to pull (P + k u < 0); a drop takes k drop off P;
                a progressive one has (c - 1) k (u - u_c)^2 / 2 more for u > u_c
    linked      P (u_left + u_right) + k (u_left + u_right)^2 / 4, the springs of one axle with common air: both press
                with P + k times their mean u, cut off and shortened likewise by the mean
    bump stop   k1 d^2 / 2 + k3 d^4 / 4   for d = u - gap > 0
    droop stop  k d^2 / 2                 for d = -u - gap > 0
    bar         k_b d^2 / 2 with d = u_left - u_right at the hubs
    auxiliary   k_a d^2 / 2 + k_a3 d^4 / 4, which a released bar leaves
    cross link  k_x ((u_FL - u_FR) + (u_RL - u_RR))^2 / 2
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.constants import STANDARD_GRAVITY
from articulate.model.carriers import BUMP, DROOP, HUB, SPRING, CarrierGeometry, CarrierPose, lane_fastest
from articulate.model.vehicles import Vehicles

Array = NDArray[np.float64]

__all__ = ["BUMP", "DROOP", "SPRING", "Elements", "elastic_forces", "element_displacement"]


@dataclass(frozen=True, eq=False, repr=False)
class Elements(Brief):
    """Springs and stops of the vehicles in one form: x = offset + slope u, force = c1 x + c3 x^3 for x > 0.

    For a spring x is its force (slope k, offset P); for a stop x is its compression. Shapes
    (lanes, 2, 1, 3), last axis spring, bump stop, droop stop; offset has both sides where a spring stands shorter.
    """

    offset: Array  # [N] spring, [m] stops
    slope: Array  # [N/m] spring, [-] stops
    linear: Array  # c1 with the sign of the force along +u
    cubic: Array  # (lanes, 2, 1), c3 of the bump stop
    rise: Array  # (lanes, 2, 1) [N/m], (c - 1) k: how much stiffer progressive springs are beyond u_c
    rise_at: Array  # (lanes, 2, 1) [m], u_c
    keeps_pulling: NDArray[np.bool_]  # True for a held spring: active also at x < 0
    linked: NDArray[np.bool_]  # (lanes, 2, 1), springs of an axle that share their air: x of both is their mean
    twist_rate: Array  # (lanes, 2) [N/m], k_b + k_a, against opposite travel
    twist_rate_cubic: Array  # (lanes, 2) [N/m^3], k_a3
    cross_link_rate: Array  # (lanes, 1) [N/m], k_x
    bar_coupling: (
        Array  # (lanes, 4, 4) [N/m]: k_x between any two coordinates, k_b + k_a more between those of one axle
    )

    @staticmethod
    def of(vehicles: Vehicles) -> Elements:
        """The elements of a batch of vehicles."""
        unsprung_weight = vehicles.unsprung_mass * STANDARD_GRAVITY
        preload = (vehicles.reference_axle_load() - unsprung_weight) / 2.0
        one = np.ones_like(preload)

        def elements(spring: Array, bump: Array, droop: Array) -> Array:
            return lane_fastest(np.stack([spring, bump, droop], axis=-1)[:, :, None, :])

        offset = elements(preload, -vehicles.bump_gap, -vehicles.droop_gap)
        if vehicles.spring_drop.any():
            offset = np.repeat(offset, 2, axis=2)
            offset[..., SPRING] -= vehicles.spring_rate[:, :, None] * vehicles.spring_drop
            offset = lane_fastest(offset)
        same_axle = np.kron(np.eye(2), np.ones((2, 2)))
        twist_rate = vehicles.bar_rate + vehicles.auxiliary_rate
        coupling = np.repeat(twist_rate, 2, axis=1)[:, :, None] * same_axle
        coupling += vehicles.cross_link_rate[:, None, None]
        held = ~vehicles.spring_loose[:, :, None, None] & np.array([True, False, False])
        return Elements(
            offset=offset,
            slope=elements(vehicles.spring_rate, one, -one),
            linear=elements(one, vehicles.bump_rate, -vehicles.droop_rate),
            cubic=lane_fastest(vehicles.bump_rate_cubic[:, :, None]),
            rise=lane_fastest(((vehicles.spring_rate_factor - 1.0) * vehicles.spring_rate)[:, :, None]),
            rise_at=lane_fastest(vehicles.spring_rise_at[:, :, None]),
            keeps_pulling=np.asfortranarray(held),
            linked=np.asfortranarray(vehicles.spring_linked[:, :, None]),
            twist_rate=lane_fastest(twist_rate),
            twist_rate_cubic=lane_fastest(vehicles.auxiliary_rate_cubic),
            cross_link_rate=lane_fastest(vehicles.cross_link_rate[:, None]),
            bar_coupling=lane_fastest(coupling),
        )


@dataclass(frozen=True, eq=False, repr=False)
class ElasticForces(Brief):
    """Gradient and Hessian of the elastic energy E.

    `of_wheel` (lanes, 2, 2, 2, 3) has what springs and stops of one side do to their own carrier, and the bars' pull
    on its curved path: by slide c the row (d2E/dc dtau, d2E/dc2, dE/dc), by turn tau (d2E/dtau2, d2E/dtau dc, dE/dtau).
    `bar_force` (lanes, 4) and `bar_stiffness` (lanes, 4, 4) are the rest of bars, auxiliary stiffness and linked
    springs (whose rate joins both sides), by the coordinates front a, front b, rear a, rear b.
    """

    of_wheel: Array
    bar_force: Array
    bar_stiffness: Array


def element_displacement(elements: Elements, geometry: CarrierGeometry, pose: CarrierPose) -> Array:
    """Displacement u along body z at springs, bump stops and droop stops, (lanes, 2, 2, 3) [m]."""
    return np.asarray(pose.displacement[..., : DROOP + 1])


def spring_force_without_seat(elements: Elements, displacement: Array) -> Array:
    """P + k u of each spring, below zero where a loose one has left its seat, (lanes, 2, 2) [N].

    displacement: as `element_displacement` gives it.
    """
    return np.asarray(_law(elements, displacement)[0][..., SPRING])


def _law(elements: Elements, displacement: Array) -> tuple[Array, Array]:
    """What each element answers to, x of `Elements`: force of springs [N], compression of stops [m]; and dx/du.

    The one place of the springs' law; linked springs have it as their common air has. Both (lanes, 2, 2, 3), the
    derivative with one side where the sides have the same.
    """

    def shared(of_springs: Array) -> Array:
        if not elements.linked.any():
            return of_springs
        return np.where(elements.linked, of_springs.mean(axis=2)[:, :, None], of_springs)

    x = elements.slope * displacement
    x += elements.offset
    x[..., SPRING] = shared(x[..., SPRING])
    if not elements.rise.any():
        return x, elements.slope
    beyond = shared(displacement[..., SPRING]) - elements.rise_at
    rise = elements.rise * (beyond > 0.0)
    x[..., SPRING] += rise * beyond
    slope = np.repeat(elements.slope, 2, axis=2)
    slope[..., SPRING] += rise
    return x, lane_fastest(slope)


def elastic_forces(elements: Elements, geometry: CarrierGeometry, pose: CarrierPose) -> ElasticForces:
    """Forces and stiffness of all elastic elements at a pose of the carriers, all of the same lanes."""
    lever, drop = pose.lever[..., : DROOP + 1], pose.drop[..., : DROOP + 1]
    x, slope = _law(elements, pose.displacement[..., : DROOP + 1])
    active = x > 0.0
    active |= elements.keeps_pulling
    x *= active
    rate = elements.linear * active
    force = elements.linear * x
    stop = x[..., BUMP]
    hardening = elements.cubic * stop * stop
    force[..., BUMP] += hardening * stop
    rate[..., BUMP] += 3.0 * hardening
    rate = rate * slope
    sharing = elements.linked.any()
    if sharing:  # k/2 between any two of slide and turns of the axle, below; each side has none of its own
        shared_rate = np.where(elements.linked[..., 0], 0.5 * rate[:, :, 0, SPRING], 0.0)
        rate[..., SPRING] = np.where(elements.linked, 0.0, rate[..., SPRING])
    rate_lever = rate * lever

    # Bars and auxiliary stiffness act at the hubs; t is the derivative of u_left - u_right by the axle's coordinates.
    travel, hub_lever = pose.hub_travel, pose.lever[..., HUB]
    t = np.empty((*travel.shape[:2], 2), order="F")
    by_a, by_b = hub_lever * geometry.turn_by_a, hub_lever * geometry.turn_by_b
    t[:, :, 0] = by_a[:, :, 0] - by_a[:, :, 1]
    t[:, :, 1] = by_b[:, :, 0] - by_b[:, :, 1]
    twist = travel[:, :, 0] - travel[:, :, 1]
    bend = elements.twist_rate_cubic * twist * twist
    pull = (elements.twist_rate + bend) * twist + elements.cross_link_rate * (twist[:, :1] + twist[:, 1:])
    bar_force = np.empty((twist.shape[0], 4), order="F")
    np.multiply(pull[:, 0, None], t[:, 0], out=bar_force[:, :2])
    np.multiply(pull[:, 1, None], t[:, 1], out=bar_force[:, 2:])
    slopes = np.empty_like(bar_force)
    slopes[:, :2], slopes[:, 2:] = t[:, 0], t[:, 1]
    bar_stiffness = elements.bar_coupling.copy(order="F")
    for axle in range(2):
        bar_stiffness[:, 2 * axle : 2 * axle + 2, 2 * axle : 2 * axle + 2] += 3.0 * bend[:, axle, None, None]
    bar_stiffness *= slopes[:, :, None]
    bar_stiffness *= slopes[:, None, :]
    if sharing:
        bar_stiffness += _linked_stiffness(shared_rate, geometry, lever[..., SPRING])

    of_wheel = np.empty((*travel.shape, 2, 3), order="F")
    by_slide, by_turn = of_wheel[..., 0, :], of_wheel[..., 1, :]
    rate_lever.sum(axis=-1, out=by_slide[..., 0])
    rate.sum(axis=-1, out=by_slide[..., 1])
    force.sum(axis=-1, out=by_slide[..., 2])
    (rate_lever * lever + force * drop).sum(axis=-1, out=by_turn[..., 0])
    by_turn[:, :, 0, 0] += pull * pose.drop[:, :, 0, HUB]
    by_turn[:, :, 1, 0] -= pull * pose.drop[:, :, 1, HUB]
    by_turn[..., 1] = by_slide[..., 0]
    (force * lever).sum(axis=-1, out=by_turn[..., 2])
    return ElasticForces(of_wheel, bar_force, bar_stiffness)


def _linked_stiffness(rate: Array, geometry: CarrierGeometry, lever: Array) -> Array:
    """Stiffness of linked springs k/2 s s^T, s the derivative of u_left + u_right by an axle's a and b, (lanes, 4, 4).

    rate: k/2 (lanes, 2) [N/m], 0 where the springs are apart; lever: at the springs, (lanes, 2, 2) [m].
    """
    out = np.zeros((rate.shape[0], 4, 4), order="F")
    by_a = 2.0 * geometry.slide_by_a[..., 0] + (lever * geometry.turn_by_a).sum(axis=2)
    by_b = (lever * geometry.turn_by_b).sum(axis=2)
    slopes = np.stack([by_a, by_b], axis=2)
    for axle in range(2):
        own = slice(2 * axle, 2 * axle + 2)
        s = slopes[:, axle]
        out[:, own, own] = rate[:, axle, None, None] * s[:, :, None] * s[:, None, :]
    return out
