"""The balance of a vehicle on flat ground and ramp: residual and exact Jacobian of the equilibrium equations.

Unknowns (lanes, 8), in this order (see `State`):

    height of the body origin over its ride height [m], pitch [rad], roll [rad], frame twist w [rad],
    front a, front b, rear a, rear b: suspension coordinates (see `carriers`) [m or rad].

Equations (lanes, 8), each divided by a scale (weight, weight x wheelbase, ...):

    vertical force; moment about x; moment about y; frame twist w - T/K_c; virtual work of each coordinate.

The moment about y is taken at ground level below the body origin: with the vertical balance that is the moment
about the toe line, and the horizontal force at ground level that holds the vehicle (1 - lambda) has no lever.
The body's x follows from the climb s: the climbing (left front) hub's slope coordinate is s.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from articulate.model.carriers import CarrierGeometry, CarrierPose, carrier_pose, lane_fastest
from articulate.model.constants import STANDARD_GRAVITY
from articulate.model.ramp_test import RampTest
from articulate.model.suspension import ElasticForces, Elements, elastic_forces
from articulate.model.tyre_contact import (
    LEFT_FLAT,
    LEFT_RAMP,
    PITCH,
    RIGHT_FLAT,
    ROLL,
    ZETA,
    ContactDerivatives,
    TyreContacts,
    X,
    Y,
    Z,
    spread_over_contacts,
    tyre_contacts,
)
from articulate.model.vehicles import Vehicles

Array = NDArray[np.float64]

UNKNOWNS = 8
HEIGHT, BODY_PITCH, BODY_ROLL, TWIST, FRONT_A, FRONT_B, REAR_A, REAR_B = range(UNKNOWNS)
TWIST_SHARE = np.array([0.5, -0.5])  # of the twist, added to the body roll at front and rear


def take_lanes(record: Any, lanes: NDArray[np.intp]) -> Any:
    """The chosen lanes of a frozen dataclass of arrays, stored lane fastest."""
    return type(record)(
        **{field.name: np.asfortranarray(getattr(record, field.name)[lanes]) for field in fields(record)}
    )


@dataclass(frozen=True, eq=False)
class Masses:
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


@dataclass(frozen=True, eq=False)
class Ground:
    """The planes at the three contacts of an axle, and the tyres on them."""

    sine: Array  # (lanes, 1, 3): 0, 0, sin g
    cosine: Array  # (lanes, 1, 3): 1, 1, cos g
    hold: Array  # (lanes, 1, 3): 0, 0, lambda tan g
    crown_radius: Array  # (lanes, 2, 1) [m], rho = R - r
    section_radius: Array  # (lanes, 2, 1) [m], r
    stiffness: Array  # (lanes, 2, 1) [N/m]

    @staticmethod
    def of(vehicles: Vehicles, test: RampTest) -> Ground:
        """Planes and tyres of a batch of tests."""
        on_ramp = np.array([0.0, 0.0, 1.0])
        angle = test.angle[:, None, None] * on_ramp
        return Ground(
            sine=lane_fastest(np.sin(angle)),
            cosine=lane_fastest(np.cos(angle)),
            hold=lane_fastest(test.holding_share[:, None, None] * np.tan(angle)),
            crown_radius=lane_fastest((vehicles.tyre_radius - vehicles.tyre_section_radius)[:, :, None]),
            section_radius=lane_fastest(vehicles.tyre_section_radius[:, :, None]),
            stiffness=lane_fastest(vehicles.tyre_stiffness[:, :, None]),
        )


@dataclass(frozen=True, eq=False)
class Posture:
    """Where everything stands for given unknowns; wheel arrays (lanes, 2, 2), contacts (lanes, 2, 3)."""

    pitch_sine: Array  # (lanes,)
    pitch_cosine: Array  # (lanes,)
    roll_sine: Array  # (lanes, 2, 1), of each axle's part of the body
    roll_cosine: Array  # (lanes, 2, 1)
    pose: CarrierPose
    pivot_y: Array  # [m], in the cross plane after roll
    pivot_zeta: Array  # [m]
    hub_y: Array  # [m]
    hub_zeta: Array  # [m]
    beta_sine: Array  # (lanes, 1, 3)
    beta_cosine: Array  # (lanes, 1, 3)
    origin_x: Array  # (lanes,) [m]
    origin_z: Array  # (lanes,) [m]
    contacts: TyreContacts
    derivatives: ContactDerivatives


@dataclass(frozen=True, eq=False)
class Balance:
    """Linearised equilibrium at given unknowns and climb.

    residual (lanes, 8), jacobian (lanes, 8, 8) and climb_derivative (lanes, 8) are scaled to order one;
    `posture` holds the geometry and `margins` (lanes, 4) the signed wheel loads [N]: the load while a tyre
    touches, minus k_t times the gap while it does not.
    """

    residual: Array
    jacobian: Array
    climb_derivative: Array
    margins: Array
    posture: Posture


class RampSystem:
    """The equilibrium equations of a batch of vehicles on a batch of ramp tests."""

    def __init__(self, vehicles: Vehicles, test: RampTest) -> None:
        geometry = CarrierGeometry.of(vehicles)
        masses = Masses.of(vehicles, geometry.origin_height)
        weight, length = masses.weight, vehicles.wheelbase
        scale = np.ones((vehicles.lanes, UNKNOWNS), order="F")
        scale[:, HEIGHT] = weight
        scale[:, BODY_PITCH] = weight * length
        scale[:, BODY_ROLL] = weight * vehicles.track.mean(axis=1)
        lever = np.abs(geometry.lever[:, :, 0])
        scale[:, FRONT_A::2] = weight[:, None] * np.where(vehicles.solid, 1.0, lever)
        scale[:, FRONT_B::2] = weight[:, None] * lever
        self._set(
            geometry,
            Elements.of(vehicles),
            masses,
            Ground.of(vehicles, test),
            vehicles.frame_compliance,
            1.0 / scale,
        )

    def _set(
        self,
        geometry: CarrierGeometry,
        elements: Elements,
        masses: Masses,
        ground: Ground,
        frame_compliance: Array,
        inverse_scale: Array,
    ) -> None:
        self.geometry = geometry
        self.elements = elements
        self.masses = masses
        self.ground = ground
        self.frame_compliance = frame_compliance
        self.inverse_scale = inverse_scale

    @property
    def lanes(self) -> int:
        """Number of lanes."""
        return int(self.inverse_scale.shape[0])

    def take(self, lanes: NDArray[np.intp]) -> RampSystem:
        """The system of the chosen lanes alone."""
        part = object.__new__(RampSystem)
        part._set(
            take_lanes(self.geometry, lanes),
            take_lanes(self.elements, lanes),
            take_lanes(self.masses, lanes),
            take_lanes(self.ground, lanes),
            self.frame_compliance[lanes],
            np.asfortranarray(self.inverse_scale[lanes]),
        )
        return part

    def posture(self, state: Array, climb: Array) -> Posture:
        """Geometry and tyre forces for unknowns (lanes, 8) and climb s (lanes,) [m]."""
        geometry, ground = self.geometry, self.ground
        pose = carrier_pose(geometry, state[:, FRONT_A::2], state[:, FRONT_B::2])

        roll = state[:, BODY_ROLL, None] + state[:, TWIST, None] * TWIST_SHARE
        roll_sine, roll_cosine = np.sin(roll)[:, :, None], np.cos(roll)[:, :, None]
        pivot_z = geometry.pivot_z + pose.slide
        pivot_y = geometry.pivot_y * roll_cosine - pivot_z * roll_sine
        pivot_zeta = geometry.pivot_y * roll_sine + pivot_z * roll_cosine
        hub_y = pivot_y + pose.lever_y * roll_cosine + pose.lever_z * roll_sine
        hub_zeta = pivot_zeta + pose.lever_y * roll_sine - pose.lever_z * roll_cosine

        pitch_sine, pitch_cosine = np.sin(state[:, BODY_PITCH]), np.cos(state[:, BODY_PITCH])
        sine, cosine = pitch_sine[:, None, None], pitch_cosine[:, None, None]
        beta_sine = sine * ground.cosine + cosine * ground.sine
        beta_cosine = cosine * ground.cosine - sine * ground.sine

        # s = x cos g + z sin g of the left front hub, which stands at body x = 0.
        ramp_sine, ramp_cosine = ground.sine[:, 0, LEFT_RAMP], ground.cosine[:, 0, LEFT_RAMP]
        origin_z = geometry.origin_height + state[:, HEIGHT]
        origin_x = (climb - origin_z * ramp_sine - hub_zeta[:, 0, 0] * beta_sine[:, 0, LEFT_RAMP]) / ramp_cosine

        zeta = spread_over_contacts(hub_zeta)
        axle_x = geometry.axle_x[:, :, None]
        x, z = origin_x[:, None, None], origin_z[:, None, None]
        contacts, derivatives = tyre_contacts(
            normal_distance=z * ground.cosine - x * ground.sine - axle_x * beta_sine + zeta * beta_cosine,
            slope_distance=x * ground.cosine + z * ground.sine + axle_x * beta_cosine + zeta * beta_sine,
            hub_y=spread_over_contacts(hub_y),
            hub_zeta=zeta,
            lean_sine=spread_over_contacts(roll_sine * pose.cosine + roll_cosine * pose.sine),
            lean_cosine=spread_over_contacts(roll_cosine * pose.cosine - roll_sine * pose.sine),
            beta_sine=beta_sine,
            beta_cosine=beta_cosine,
            plane_sine=ground.sine,
            plane_cosine=ground.cosine,
            axle_x=axle_x,
            crown_radius=ground.crown_radius,
            section_radius=ground.section_radius,
            stiffness=ground.stiffness,
        )
        return Posture(
            pitch_sine,
            pitch_cosine,
            roll_sine,
            roll_cosine,
            pose,
            pivot_y,
            pivot_zeta,
            hub_y,
            hub_zeta,
            beta_sine,
            beta_cosine,
            origin_x,
            origin_z,
            contacts,
            derivatives,
        )

    def evaluate(self, state: Array, climb: Array) -> Balance:
        """Residual, exact Jacobian and derivative by the climb, for unknowns (lanes, 8) and s (lanes,)."""
        posture = self.posture(state, climb)
        value, slope = self._wheel_forces(posture)
        elastic = elastic_forces(self.elements, self.geometry, posture.pose)
        residual, jacobian, by_x = self._assemble(state, posture, value, slope, elastic)

        # The body's x depends on the unknowns through the left front hub; chain it in.
        ramp_cosine = self.ground.cosine[:, 0, LEFT_RAMP]
        x_by_state = self._origin_x_derivative(posture, ramp_cosine)
        jacobian += by_x[:, :, None] * x_by_state[:, None, :]
        jacobian *= self.inverse_scale[:, :, None]
        residual *= self.inverse_scale
        climb_derivative = by_x * self.inverse_scale / ramp_cosine[:, None]
        return Balance(residual, jacobian, climb_derivative, self._margins(posture), posture)

    def _wheel_forces(self, posture: Posture) -> tuple[Array, Array]:
        """Sums at each wheel of its contacts and its own weight.

        Values (lanes, 2, 2, 5): vertical force; moment about x; moment about y at ground level below the body
        origin; force along zeta; its moment about the roll axis. Slopes (lanes, 2, 2, 5, 6): the six directions.
        """
        ground, contacts, by = self.ground, posture.contacts, posture.derivatives
        normal = contacts.normal_force[..., None]
        normal_slope = (ground.stiffness * ((contacts.penetration > 0.0) & contacts.in_reach))[
            ..., None
        ] * by.penetration
        vertical = (ground.cosine + ground.hold * ground.sine)[..., None]
        along_zeta = (posture.beta_cosine + ground.hold * posture.beta_sine)[..., None]
        lateral = contacts.lateral_point[..., None]
        hold = ground.hold[..., None]
        lever = (
            posture.origin_x[:, None, None, None] * vertical
            - contacts.slope_point[..., None]
            - hold * contacts.penetration[..., None]
        )
        lever_slope = -by.slope_point - hold * by.penetration
        lever_slope[..., X] += vertical[..., 0]
        moment_slope = normal_slope * lateral + normal * by.lateral_point
        zeta_change = (ground.hold * posture.beta_cosine - posture.beta_sine) * contacts.normal_force
        zeta_moment_slope = along_zeta * moment_slope
        zeta_moment_slope[..., PITCH] += zeta_change * contacts.lateral_point
        zeta_slope = along_zeta * normal_slope
        zeta_slope[..., PITCH] += zeta_change

        slopes = (
            vertical * normal_slope,
            vertical * moment_slope,
            normal_slope * lever + normal * lever_slope,
            zeta_slope,
            zeta_moment_slope,
        )
        values = (
            (vertical * normal)[..., 0],
            (vertical * normal * lateral)[..., 0],
            (normal * lever)[..., 0],
            (along_zeta * normal)[..., 0],
            (along_zeta * normal * lateral)[..., 0],
        )
        lanes = self.lanes
        value = np.empty((lanes, 2, 2, 5), order="F")
        slope = np.empty((lanes, 2, 2, 5, 6), order="F")
        for k in range(5):
            value[:, :, 0, k] = values[k][:, :, LEFT_FLAT] + values[k][:, :, LEFT_RAMP]
            value[:, :, 1, k] = values[k][:, :, RIGHT_FLAT]
            slope[:, :, 0, k] = slopes[k][:, :, LEFT_FLAT] + slopes[k][:, :, LEFT_RAMP]
            slope[:, :, 1, k] = slopes[k][:, :, RIGHT_FLAT]

        # The wheel's own weight, at its hub.
        w = self.masses.wheel_weight
        y, zeta = posture.hub_y, posture.hub_zeta
        sine, cosine = posture.pitch_sine[:, None, None], posture.pitch_cosine[:, None, None]
        axle_x = self.geometry.axle_x[:, :, None]
        w_sine, w_cosine = w * sine, w * cosine
        value[..., 0] -= w
        value[..., 1] -= w * y
        value[..., 2] += w * (axle_x * cosine + zeta * sine)
        value[..., 3] -= w_cosine
        value[..., 4] -= w_cosine * y
        slope[..., 1, ROLL] += w * zeta
        slope[..., 1, Y] -= w
        slope[..., 2, PITCH] += w * (zeta * cosine - axle_x * sine)
        slope[..., 2, ROLL] += w_sine * y
        slope[..., 2, ZETA] += w_sine
        slope[..., 3, PITCH] += w_sine
        slope[..., 4, PITCH] += w_sine * y
        slope[..., 4, ROLL] += w_cosine * zeta
        slope[..., 4, Y] -= w_cosine
        return value, slope

    def _assemble(
        self, state: Array, posture: Posture, value: Array, slope: Array, elastic: ElasticForces
    ) -> tuple[Array, Array, Array]:
        """Residual, Jacobian at fixed body x, and derivative by body x (all unscaled)."""
        lanes = self.lanes
        masses = self.masses
        kappa = self.geometry.is_solid
        sine, cosine = posture.pitch_sine, posture.pitch_cosine
        roll_sine, roll_cosine = posture.roll_sine, posture.roll_cosine

        # Derivatives of the five sums by slide and turn of the wheel's own carrier.
        by_slide = roll_cosine[..., None] * slope[..., ZETA] - roll_sine[..., None] * slope[..., Y]
        by_turn = (
            slope[..., ROLL]
            - posture.pivot_y[..., None] * slope[..., ZETA]
            + posture.pivot_zeta[..., None] * slope[..., Y]
        )

        # Virtual work of slide and turn of each wheel, and its derivatives: G_c, G_tau.
        zeta_force = value[..., 3]
        work_slide = zeta_force * roll_cosine - elastic.slide
        work_turn = value[..., 4] - zeta_force * posture.pivot_y - elastic.turn
        slide_slope = slope[..., 3, :] * roll_cosine[..., None]
        slide_slope[..., ROLL] -= zeta_force * roll_sine
        turn_slope = slope[..., 4, :] - slope[..., 3, :] * posture.pivot_y[..., None]
        turn_slope[..., ROLL] += zeta_force * posture.pivot_zeta
        slide_by_slide = by_slide[..., 3] * roll_cosine - elastic.slide_slide
        slide_by_turn = by_turn[..., 3] * roll_cosine - elastic.slide_turn
        turn_by_slide = (
            by_slide[..., 4] - by_slide[..., 3] * posture.pivot_y + zeta_force * roll_sine - elastic.slide_turn
        )
        turn_by_turn = by_turn[..., 4] - by_turn[..., 3] * posture.pivot_y - elastic.turn_turn

        # From (slide, turn) of the wheels to the coordinates (a, b) of the axle.
        left_a, right_b = 1.0 - kappa, 2.0 * kappa - 1.0  # d tau_left / da, d tau_right / db
        left_b = kappa  # d tau_left / db; d slide / da = kappa on both sides

        residual = np.empty((lanes, UNKNOWNS), order="F")
        jacobian = np.zeros((lanes, UNKNOWNS, UNKNOWNS), order="F")
        by_x = np.empty((lanes, UNKNOWNS), order="F")

        body = value[..., :3].sum(axis=(1, 2))
        body_slope = slope[..., :3, :].sum(axis=2)  # (lanes, axle, 3, 6)
        roll_only_sine, roll_only_cosine = np.sin(state[:, BODY_ROLL]), np.cos(state[:, BODY_ROLL])
        centre_y = masses.sprung_y * roll_only_cosine - masses.sprung_z * roll_only_sine
        centre_zeta = masses.sprung_y * roll_only_sine + masses.sprung_z * roll_only_cosine
        weight = masses.sprung_weight
        residual[:, 0] = body[:, 0] - weight
        residual[:, BODY_ROLL] = body[:, 1] - weight * centre_y
        residual[:, BODY_PITCH] = body[:, 2] + weight * (masses.sprung_x * cosine + centre_zeta * sine)

        twist_moment = 0.5 * self.frame_compliance[:, None] * np.array([1.0, -1.0])
        axle_moment = value[..., 4].sum(axis=2)
        axle_moment_slope = slope[..., 4, :].sum(axis=2)
        residual[:, TWIST] = (twist_moment * axle_moment).sum(axis=1) - state[:, TWIST]

        rows = (HEIGHT, BODY_ROLL, BODY_PITCH)
        for m, row in enumerate(rows):
            by_x[:, row] = body_slope[:, 0, m, X] + body_slope[:, 1, m, X]
            jacobian[:, row, HEIGHT] = body_slope[:, 0, m, Z] + body_slope[:, 1, m, Z]
            jacobian[:, row, BODY_PITCH] = body_slope[:, 0, m, PITCH] + body_slope[:, 1, m, PITCH]
            jacobian[:, row, BODY_ROLL] = body_slope[:, 0, m, ROLL] + body_slope[:, 1, m, ROLL]
            jacobian[:, row, TWIST] = 0.5 * (body_slope[:, 0, m, ROLL] - body_slope[:, 1, m, ROLL])
        jacobian[:, BODY_ROLL, BODY_ROLL] += weight * centre_zeta
        jacobian[:, BODY_PITCH, BODY_PITCH] += weight * (centre_zeta * cosine - masses.sprung_x * sine)
        jacobian[:, BODY_PITCH, BODY_ROLL] += weight * (centre_y * sine)

        by_x[:, TWIST] = (twist_moment * axle_moment_slope[..., X]).sum(axis=1)
        jacobian[:, TWIST, HEIGHT] = (twist_moment * axle_moment_slope[..., Z]).sum(axis=1)
        jacobian[:, TWIST, BODY_PITCH] = (twist_moment * axle_moment_slope[..., PITCH]).sum(axis=1)
        roll_part = twist_moment * axle_moment_slope[..., ROLL]
        jacobian[:, TWIST, BODY_ROLL] = roll_part[:, 0] + roll_part[:, 1]
        jacobian[:, TWIST, TWIST] = 0.5 * (roll_part[:, 0] - roll_part[:, 1]) - 1.0

        for axle, (col_a, col_b) in enumerate(((FRONT_A, FRONT_B), (REAR_A, REAR_B))):
            k, la, lb, rb = kappa[:, axle], left_a[:, axle], left_b[:, axle], right_b[:, axle]
            left, right = (slice(None), axle, 0), (slice(None), axle, 1)

            # Residuals of the coordinates.
            residual[:, col_a] = k * (work_slide[left] + work_slide[right]) + la * work_turn[left]
            residual[:, col_b] = lb * work_turn[left] + rb * work_turn[right]

            # Their derivatives by the body's unknowns, shape (lanes, 6).
            row_a = k[:, None] * (slide_slope[left] + slide_slope[right]) + la[:, None] * turn_slope[left]
            row_b = lb[:, None] * turn_slope[left] + rb[:, None] * turn_slope[right]
            for row, wheel_slope in ((col_a, row_a), (col_b, row_b)):
                by_x[:, row] = wheel_slope[:, X]
                jacobian[:, row, HEIGHT] = wheel_slope[:, Z]
                jacobian[:, row, BODY_PITCH] = wheel_slope[:, PITCH]
                jacobian[:, row, BODY_ROLL] = wheel_slope[:, ROLL]
                jacobian[:, row, TWIST] = TWIST_SHARE[axle] * wheel_slope[:, ROLL]

            # By the axle's own coordinates.
            s_left, s_right = slide_by_turn[left], slide_by_turn[right]
            t_left, t_right = turn_by_slide[left], turn_by_slide[right]
            across = elastic.left_right[:, axle]  # bars pull the other wheel: d G_left / d tau_right
            jacobian[:, col_a, col_a] = k * (slide_by_slide[left] + slide_by_slide[right]) + la * turn_by_turn[left]
            jacobian[:, col_a, col_b] = k * (lb * s_left + rb * s_right) - la * rb * across
            jacobian[:, col_b, col_a] = k * (lb * t_left + rb * t_right) - la * rb * across
            jacobian[:, col_b, col_b] = lb * turn_by_turn[left] + rb * rb * turn_by_turn[right] - 2.0 * lb * rb * across

            # The body's equations by this axle's coordinates: moments 0-2 and the twist moment.
            slide_both = by_slide[:, axle].sum(axis=1)  # (lanes, 5)
            turn_left, turn_right = by_turn[left], by_turn[right]
            column_a = k[:, None] * slide_both + la[:, None] * turn_left
            column_b = lb[:, None] * turn_left + rb[:, None] * turn_right
            for column, wheel_column in ((col_a, column_a), (col_b, column_b)):
                for m, row in enumerate(rows):
                    jacobian[:, row, column] = wheel_column[:, m]
                jacobian[:, TWIST, column] = twist_moment[:, axle] * wheel_column[:, 4]

        # The cross link ties every turn at the front to every turn at the rear.
        front_rear = elastic.front_rear
        turn_weight = (  # d tau_side / d coordinate, for (a, b) of each axle
            (left_a, np.zeros_like(left_a)),
            (left_b, right_b),
        )
        for i, front in enumerate((FRONT_A, FRONT_B)):
            for j, rear in enumerate((REAR_A, REAR_B)):
                weight_front = np.stack([turn_weight[i][p][:, 0] for p in range(2)], axis=1)
                weight_rear = np.stack([turn_weight[j][q][:, 1] for q in range(2)], axis=1)
                tie = (weight_front[:, :, None] * weight_rear[:, None, :] * front_rear).sum(axis=(1, 2))
                jacobian[:, front, rear] = -tie
                jacobian[:, rear, front] = -tie
        return residual, jacobian, by_x

    def _origin_x_derivative(self, posture: Posture, ramp_cosine: Array) -> Array:
        """Derivative of the body origin's x by the unknowns at fixed climb, (lanes, 8)."""
        kappa = self.geometry.is_solid[:, 0]
        beta_sine = posture.beta_sine[:, 0, LEFT_RAMP]
        beta_cosine = posture.beta_cosine[:, 0, LEFT_RAMP]
        turn = -(posture.hub_y[:, 0, 0] - posture.pivot_y[:, 0, 0]) * beta_sine
        derivative = np.zeros((self.lanes, UNKNOWNS), order="F")
        derivative[:, HEIGHT] = -self.ground.sine[:, 0, LEFT_RAMP]
        derivative[:, BODY_PITCH] = -posture.hub_zeta[:, 0, 0] * beta_cosine
        derivative[:, BODY_ROLL] = -posture.hub_y[:, 0, 0] * beta_sine
        derivative[:, TWIST] = 0.5 * derivative[:, BODY_ROLL]
        derivative[:, FRONT_A] = -kappa * posture.roll_cosine[:, 0, 0] * beta_sine + (1.0 - kappa) * turn
        derivative[:, FRONT_B] = kappa * turn
        derivative /= ramp_cosine[:, None]
        return derivative

    def _margins(self, posture: Posture) -> Array:
        """Signed wheel loads (lanes, 4) [N]."""
        contacts = posture.contacts
        reach = np.where(contacts.in_reach, contacts.penetration, -np.inf) * self.ground.stiffness
        load = contacts.normal_force
        margins = np.empty((self.lanes, 4), order="F")
        left_load = load[:, :, LEFT_FLAT] + load[:, :, LEFT_RAMP]
        margins[:, 0::2] = np.where(
            left_load > 0.0, left_load, np.maximum(reach[:, :, LEFT_FLAT], reach[:, :, LEFT_RAMP])
        )
        margins[:, 1::2] = reach[:, :, RIGHT_FLAT]
        return margins

    def margin_rate(self, posture: Posture, direction: Array, climb_rate: Array | float) -> Array:
        """Rate of the signed wheel loads (lanes, 4) along a direction of the unknowns (lanes, 8) and the climb."""
        ramp_cosine = self.ground.cosine[:, 0, LEFT_RAMP]
        x_rate = (self._origin_x_derivative(posture, ramp_cosine) * direction).sum(axis=1)
        x_rate = x_rate + climb_rate / ramp_cosine
        roll_rate = direction[:, BODY_ROLL, None] + direction[:, TWIST, None] * TWIST_SHARE
        kappa = self.geometry.is_solid
        rate_a, rate_b = direction[:, FRONT_A::2], direction[:, FRONT_B::2]
        turn_rate = np.empty(posture.hub_y.shape, order="F")
        turn_rate[:, :, 0] = rate_a + kappa * (rate_b - rate_a)
        turn_rate[:, :, 1] = (2.0 * kappa - 1.0) * rate_b
        zeta_rate = (kappa * rate_a)[:, :, None] * posture.roll_cosine - turn_rate * posture.pivot_y
        by = posture.derivatives.penetration
        rate = (
            by[..., X] * x_rate[:, None, None]
            + by[..., Z] * direction[:, HEIGHT, None, None]
            + by[..., PITCH] * direction[:, BODY_PITCH, None, None]
            + by[..., ROLL] * spread_over_contacts(roll_rate[:, :, None] + turn_rate)
            + by[..., ZETA] * spread_over_contacts(zeta_rate)
        ) * self.ground.stiffness

        contacts = posture.contacts
        loaded = contacts.normal_force > 0.0
        flat, ramp = rate[:, :, LEFT_FLAT], rate[:, :, LEFT_RAMP]
        reach = np.where(contacts.in_reach, contacts.penetration, -np.inf)
        nearest = np.where(reach[:, :, LEFT_FLAT] >= reach[:, :, LEFT_RAMP], flat, ramp)
        both = flat * loaded[:, :, LEFT_FLAT] + ramp * loaded[:, :, LEFT_RAMP]
        rates = np.empty((self.lanes, 4), order="F")
        rates[:, 0::2] = np.where(loaded[:, :, LEFT_FLAT] | loaded[:, :, LEFT_RAMP], both, nearest)
        rates[:, 1::2] = rate[:, :, RIGHT_FLAT]
        return rates
