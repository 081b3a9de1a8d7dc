"""What a person would measure or ask of a vehicle in a given posture: hubs, travel, support, tipping."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.model.balance import BODY_PITCH, BODY_ROLL, TWIST, RampSystem
from articulate.model.posture import Posture
from articulate.model.suspension import BUMP, DROOP, element_displacement, spring_force_without_seat
from articulate.model.tyre_contact import LEFT_RAMP
from articulate.model.vehicles import Vehicles

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, repr=False)
class Measures(Brief):
    """Measures of a batch of postures; wheels in the order front-left, front-right, rear-left, rear-right."""

    hub: Array  # (lanes, 4, 3) [m], x from the toe line, y left, z up
    contact: Array  # (lanes, 4, 3) [m], point of each tyre's load (load-weighted where it touches twice)
    wheel_load: Array  # (lanes, 4) [N], normal to the ground
    vertical_load: Array  # (lanes, 4) [N], vertical part of the tyre's whole reaction
    hub_travel: Array  # (lanes, 4) [m], along body z from ride height, bump positive
    bump_displacement: Array  # (lanes, 4) [m], at the bump stop
    droop_displacement: Array  # (lanes, 4) [m], at the droop stop, droop positive
    spring_tension: Array  # (lanes, 4) [N], how far a loose coil is from its seat: > 0 when it has left it
    ramp_gap: Array  # (lanes, 2) [m], gap of the lane's tyres to the ramp, front and rear
    pitch: Array  # (lanes,) [rad]
    roll: Array  # (lanes,) [rad], mean of the body
    twist: Array  # (lanes,) [rad]
    mass_centre: Array  # (lanes, 3) [m], centre of gravity of the whole vehicle
    tipping_margin: Array  # (lanes,) [m], of its vertical line from the nearest edge of the support polygon
    tipping_angle: Array  # (lanes,) [rad], sideways angle still in hand about that edge


def beyond_limits(found: Measures, vehicles: Vehicles) -> Array:
    """How far each wheel is beyond its limits, (lanes, 3, 4): positive where one is met.

    The limits are bump stop [m], droop stop [m] and a loose coil's seat [N]; a coil that is held never leaves it (-1).

    Args:
        found: measures of the lanes.
        vehicles: the same lanes.
    """
    return np.stack(
        [
            found.bump_displacement - np.repeat(vehicles.bump_gap, 2, axis=1),
            found.droop_displacement - np.repeat(vehicles.droop_gap, 2, axis=1),
            np.where(np.repeat(vehicles.spring_loose, 2, axis=1), found.spring_tension, -1.0),
        ],
        axis=1,
    )


def _pitched(posture: Posture, x: Array, y: Array, zeta: Array) -> Array:
    """Ground coordinates (lanes, k, 3) of points given along the body's x, y and pitched vertical."""
    sine, cosine = posture.pitch_sine[:, None], posture.pitch_cosine[:, None]
    return np.stack(
        [
            posture.origin_x[:, None] + x * cosine + zeta * sine,
            y,
            posture.origin_z[:, None] - x * sine + zeta * cosine,
        ],
        axis=-1,
    )


def body_points(system: RampSystem, posture: Posture, state: Array, points: Array) -> Array:
    """Ground coordinates of points of the body.

    points: (lanes, k, 3) [m], behind the front axle, left of centre, above ground at ride height. Returns
    (lanes, k, 3) [m]. Points stand on the untwisted mean body.
    """
    roll = state[:, BODY_ROLL, None]
    height = points[:, :, 2] - system.geometry.origin_height[:, None]
    return _pitched(
        posture,
        -points[:, :, 0],
        points[:, :, 1] * np.cos(roll) - height * np.sin(roll),
        points[:, :, 1] * np.sin(roll) + height * np.cos(roll),
    )


def tipping(contact: Array, load: Array, mass_centre: Array) -> tuple[Array, Array]:
    """Distance of the centre of gravity's vertical line inside the support polygon, and the angle in hand.

    For every pair of loaded contacts with all others on one side, the horizontal distance b of the centre of gravity
    from the line through them, positive inside; h its height over that line below it. The margin is the least b,
    the angle atan(b/h) of that edge (a rigid body about a fixed edge; dynamic effects come on top).

    contact (lanes, 4, 3) [m], load (lanes, 4) [N], mass_centre (lanes, 3) [m]; returns (lanes,) [m], (lanes,) [rad].
    """
    order = (0, 2, 3, 1)  # counter-clockwise from above: front left, rear left, rear right, front right
    lanes = contact.shape[0]
    margin, angle = np.full(lanes, np.inf), np.full(lanes, np.inf)
    loaded = load > 1e-6
    for i, first in enumerate(order):
        for hop in (1, 2):  # to the next wheel, or over one that is off the ground
            second = order[(i + hop) % 4]
            between = order[(i + 1) % 4]
            edge = loaded[:, first] & loaded[:, second]
            if hop == 2:
                edge &= ~loaded[:, between]
            start, end = contact[:, first], contact[:, second]
            along = (end - start)[:, :2]
            length = np.hypot(along[:, 0], along[:, 1])
            to_centre = (mass_centre - start)[:, :2]
            inside = (along[:, 0] * to_centre[:, 1] - along[:, 1] * to_centre[:, 0]) / length
            share = (along * to_centre).sum(axis=1) / length**2
            height = mass_centre[:, 2] - start[:, 2] - share * (end - start)[:, 2]
            nearer = edge & (inside < margin)
            margin = np.where(nearer, inside, margin)
            angle = np.where(nearer, np.arctan2(inside, height), angle)
    return margin, angle


def measures(system: RampSystem, state: Array, climb: Array) -> Measures:
    """Measures at unknowns (lanes, 8) and climb (lanes,) [m]."""
    posture = system.posture(state, climb)
    geometry, masses, contacts = system.geometry, system.masses, posture.contacts
    lanes = system.lanes

    def wheels(values: Array) -> Array:
        return np.asarray(values).reshape(lanes, 4)

    axle_x = np.repeat(geometry.axle_x, 2, axis=1)
    hub = _pitched(posture, axle_x, wheels(posture.hub_y), wheels(posture.hub_zeta))

    force = contacts.normal_force
    sine, cosine, hold = system.ground.sine, system.ground.cosine, system.ground.hold
    # The crown point from its coordinates on its plane: p = s t - d n.
    point_x = contacts.slope_point * cosine + contacts.penetration * sine
    point_z = contacts.slope_point * sine - contacts.penetration * cosine
    points = np.stack([point_x, contacts.lateral_point, point_z], axis=-1)
    vertical = force * (cosine + hold * sine)
    left_load = force[:, :, 0] + force[:, :, 2]
    share = np.where(left_load > 0.0, force[:, :, 2] / np.where(left_load > 0.0, left_load, 1.0), 0.0)[..., None]
    contact = np.empty((lanes, 4, 3))
    contact[:, 0::2] = (1.0 - share) * points[:, :, 0] + share * points[:, :, 2]
    contact[:, 1::2] = points[:, :, 1]
    wheel_load, vertical_load = np.empty((lanes, 4)), np.empty((lanes, 4))
    wheel_load[:, 0::2], wheel_load[:, 1::2] = left_load, force[:, :, 1]
    vertical_load[:, 0::2], vertical_load[:, 1::2] = vertical[:, :, 0] + vertical[:, :, 2], vertical[:, :, 1]

    displacement = element_displacement(system.elements, geometry, posture.pose)
    spring = spring_force_without_seat(system.elements, displacement)

    roll = state[:, BODY_ROLL]
    sprung = _pitched(
        posture,
        masses.sprung_x[:, None],
        (masses.sprung_y * np.cos(roll) - masses.sprung_z * np.sin(roll))[:, None],
        (masses.sprung_y * np.sin(roll) + masses.sprung_z * np.cos(roll))[:, None],
    )[:, 0]
    wheel_weight = np.repeat(masses.wheel_weight[:, :, 0], 2, axis=1)
    centre = (masses.sprung_weight[:, None] * sprung + (wheel_weight[..., None] * hub).sum(axis=1)) / masses.weight[
        :, None
    ]
    margin, angle = tipping(contact, wheel_load, centre)
    return Measures(
        hub=hub,
        contact=contact,
        wheel_load=wheel_load,
        vertical_load=vertical_load,
        hub_travel=wheels(posture.pose.hub_travel),
        bump_displacement=wheels(displacement[..., BUMP]),
        droop_displacement=wheels(-displacement[..., DROOP]),
        spring_tension=-wheels(spring),
        ramp_gap=-contacts.penetration[:, :, LEFT_RAMP],
        pitch=state[:, BODY_PITCH],
        roll=roll,
        twist=state[:, TWIST],
        mass_centre=centre,
        tipping_margin=margin,
        tipping_angle=angle,
    )
