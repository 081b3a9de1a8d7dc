"""Records the balance is worked out from: the weights, the planes with the tyres on them, where everything stands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.constants import STANDARD_GRAVITY
from articulate.model.carriers import CarrierPose, lane_fastest
from articulate.model.ramp_test import RampTest
from articulate.model.tyre_contact import LEFT_RAMP, ContactDerivatives, HubMotion, TyreContacts
from articulate.model.vehicles import Vehicles

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, repr=False)
class Masses(Brief):
    """Weights and the sprung centre of gravity, added load included, in the body frame."""

    sprung_weight: Array  # (lanes,) [N]
    sprung_x: Array  # (lanes,) [m], from the body origin (negative behind the front axle)
    sprung_y: Array  # (lanes,) [m]
    sprung_z: Array  # (lanes,) [m]
    wheel_weight: Array  # (lanes, 2, 1) [N], unsprung, one wheel
    weight: Array  # (lanes,) [N], all of it

    @staticmethod
    def of(vehicles: Vehicles, origin_height: Array) -> Masses:
        """Weights of a batch of vehicles; origin_height (lanes,) [m]."""
        mass = vehicles.sprung_mass + vehicles.load_mass
        centre = (
            vehicles.sprung_mass[:, None] * vehicles.sprung_centre + vehicles.load_mass[:, None] * vehicles.load_centre
        ) / mass[:, None]
        wheel_weight = vehicles.unsprung_mass * (STANDARD_GRAVITY / 2.0)
        return Masses(
            sprung_weight=mass * STANDARD_GRAVITY,
            sprung_x=-centre[:, 0],
            sprung_y=centre[:, 1].copy(),
            sprung_z=centre[:, 2] - origin_height,
            wheel_weight=lane_fastest(wheel_weight[:, :, None]),
            weight=mass * STANDARD_GRAVITY + 2.0 * wheel_weight.sum(axis=1),
        )


@dataclass(frozen=True, eq=False, repr=False)
class GroundAndTyres(Brief):
    """The planes at the three contacts of an axle, and the tyres on them."""

    sine: Array  # (lanes, 1, 3): 0, 0, sin g
    cosine: Array  # (lanes, 1, 3): 1, 1, cos g
    hold: Array  # (lanes, 1, 3): 0, 0, lambda tan g
    vertical: Array  # (lanes, 1, 3): vertical force per normal force, cos g + lambda tan g sin g
    crown_radius: Array  # (lanes, 2, 1) [m], rho = R - r
    section_radius: Array  # (lanes, 2, 1) [m], r
    stiffness: Array  # (lanes, 2, 1) [N/m], or (lanes, 2, 3) where the tyres of an axle are unlike

    @staticmethod
    def of(vehicles: Vehicles, test: RampTest) -> GroundAndTyres:
        """Planes and tyres of a batch of tests."""
        on_ramp = np.array([0.0, 0.0, 1.0])
        angle = test.angle[:, None, None] * on_ramp
        hold = test.holding_share[:, None, None] * np.tan(angle)
        return GroundAndTyres(
            sine=lane_fastest(np.sin(angle)),
            cosine=lane_fastest(np.cos(angle)),
            hold=lane_fastest(hold),
            vertical=lane_fastest(np.cos(angle) + hold * np.sin(angle)),
            crown_radius=lane_fastest((vehicles.tyre_radius - vehicles.tyre_section_radius)[:, :, None]),
            section_radius=lane_fastest(vehicles.tyre_section_radius[:, :, None]),
            stiffness=lane_fastest(_tyre_stiffness(vehicles)),
        )


def _tyre_stiffness(vehicles: Vehicles) -> Array:
    """By contact where left and right are unlike: left flat, right flat, left ramp."""
    alike = vehicles.tyre_stiffness[:, :, None]
    share = vehicles.tyre_share
    return alike if (share == 1.0).all() else alike * share[:, :, [0, 1, 0]]


@dataclass(frozen=True, eq=False, repr=False)
class Posture(Brief):
    """Where everything stands for given unknowns; wheel arrays (lanes, 2, 2), contacts (lanes, 2, 3)."""

    pitch_sine: Array  # (lanes,)
    pitch_cosine: Array  # (lanes,)
    roll_sine: Array  # (lanes, 2, 1), of each axle's part of the body
    roll_cosine: Array  # (lanes, 2, 1)
    pose: CarrierPose
    pivot_y: Array  # [m], in the cross plane after roll
    pivot_zeta: Array  # [m]
    hub: HubMotion
    beta_sine: Array  # (lanes, 1, 3)
    beta_cosine: Array  # (lanes, 1, 3)
    origin_x: Array  # (lanes,) [m]
    origin_x_by: Array  # (lanes, 6), its derivative by height, pitch, roll, twist, front a, front b at fixed climb
    origin_z: Array  # (lanes,) [m]
    contacts: TyreContacts
    derivatives: ContactDerivatives

    @property
    def hub_y(self) -> Array:
        """Hubs in the cross plane after roll [m]."""
        return self.hub.y[:, :, :LEFT_RAMP]

    @property
    def hub_zeta(self) -> Array:
        """Hubs in the cross plane after roll [m]."""
        return self.hub.zeta[:, :, :LEFT_RAMP]
