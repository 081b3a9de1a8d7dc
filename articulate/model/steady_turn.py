"""The balance of a vehicle in a steady turn on level ground.

The equations are those of the ramp, far before its toe, with the forces of the turn; the parameter is the lateral
acceleration [m/s^2] instead of the climb. The vehicle turns left, so it leans to the right (roll > 0).

    inertia   w a/g to the right, at the sprung centre of gravity and at each hub
    ground    on each axle what balances inertia in force and yaw at ride height, A_f + A_r = W a/g, shared by an
              axle's wheels in proportion to their loads, at ground level below the crown point, which moves rigidly
              with its wheel carrier

Heights are those of the moment, so the centre of gravity moves outwards as the body rolls. Steer angles, camber
thrust, lateral give of the tyres and the forces of driving are left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.constants import STANDARD_GRAVITY
from articulate.model.balance import (
    AXLE_COORDINATES,
    BODY_PITCH,
    BODY_ROLL,
    HEIGHT,
    TWIST,
    TWIST_SHARE,
    UNKNOWNS,
    Balance,
    RampSystem,
    ramp_parts,
)
from articulate.model.carriers import lane_fastest
from articulate.model.posture import Posture
from articulate.model.ramp_test import FAR_BEFORE_TOE, ramp_test
from articulate.model.tyre_contact import LEFT_RAMP, PITCH, ROLL, SLIDE, TURN, Z
from articulate.model.vehicles import Vehicles

Array = NDArray[np.float64]

# A number at each wheel with its derivatives, on the last axis: itself, by height, pitch, roll of its axle's part of
# the body, and the two coordinates a, b of its axle.
VALUE, BY_HEIGHT, BY_PITCH, BY_ROLL, BY_A, BY_B = range(6)


def _product(one: Array, other: Array) -> Array:
    """Product of two numbers with their derivatives."""
    out = one * other[..., :1] + one[..., :1] * other
    out[..., VALUE] = one[..., VALUE] * other[..., VALUE]
    return np.asarray(out)


@dataclass(frozen=True, eq=False, repr=False)
class TurnSystem(RampSystem):
    """The equilibrium equations of a batch of vehicles in a left turn; the parameter is the acceleration [m/s^2].

    Friction, states and margins are as in `RampSystem`; what the solver knows as the derivative by the climb is that
    by the acceleration.
    """

    axle_force: Array  # (lanes, 2, 1) [N], of the ground at 1 g

    @staticmethod
    def turning(vehicles: Vehicles) -> TurnSystem:
        """The equations of vehicles on level ground."""
        parts = ramp_parts(vehicles, ramp_test(vehicles.lanes, angle=0.0))
        masses = parts["masses"]
        rear = -masses.sprung_weight * masses.sprung_x / vehicles.wheelbase
        sprung = np.stack([masses.sprung_weight - rear, rear], axis=1)
        return TurnSystem(**parts, axle_force=lane_fastest(sprung[:, :, None] + 2.0 * masses.wheel_weight))

    def posture(self, state: Array, climb: Array, rise: Array | None = None) -> Posture:
        """Geometry and tyre forces for unknowns (lanes, 8); the parameter does not enter."""
        return super().posture(state, np.full(self.lanes, FAR_BEFORE_TOE), rise)

    def evaluate(self, state: Array, climb: Array) -> Balance:
        """Residual, exact Jacobian and derivative by the acceleration, for unknowns (lanes, 8) and a (lanes,)."""
        at = super().evaluate(state, climb)
        force, by = self._lateral(state, at.posture)
        share = (climb / STANDARD_GRAVITY)[:, None]
        at.equations[:, :, :UNKNOWNS] -= (share * self.inverse_scale)[..., None] * by
        at.equations[:, :, UNKNOWNS] += share * self.inverse_scale * force
        at.equations[:, :, UNKNOWNS + 1] = self.inverse_scale * force / STANDARD_GRAVITY
        return at

    def _ground_forces(self, posture: Posture) -> Array:
        """Lateral force of the ground on each tyre at 1 g with its derivatives, (lanes, 2, 2, 6) [N].

        An axle without load shares equally.
        """
        load = self._of_contacts(posture, posture.derivatives.penetration)
        load[..., VALUE] = posture.contacts.penetration[:, :, :LEFT_RAMP]
        touches = posture.contacts.normal_force[:, :, :LEFT_RAMP] > 0.0
        load *= (self.ground.stiffness * touches)[..., None]
        both = load.sum(axis=2, keepdims=True)
        carries = both[..., :1] > 0.0
        total = np.where(carries, both[..., :1], 1.0)
        share = load / total - load[..., :1] * both / total**2
        share[..., VALUE] = np.where(carries, load[..., :1] / total, 0.5)[..., 0]
        return np.asarray(share * self.axle_force[..., None])

    def _of_contacts(self, posture: Posture, derivatives: Array) -> Array:
        """Derivatives of a quantity of the flat's contacts, (lanes, 2, 2, 6), the place of its value left zero."""
        geometry = self.geometry
        of = derivatives[:, :, :LEFT_RAMP]
        out = np.zeros((self.lanes, 2, 2, 6), order="F")
        out[..., BY_HEIGHT], out[..., BY_PITCH], out[..., BY_ROLL] = of[..., Z], of[..., PITCH], of[..., ROLL]
        out[..., BY_A] = geometry.slide_by_a * of[..., SLIDE] + geometry.turn_by_a * of[..., TURN]
        out[..., BY_B] = geometry.turn_by_b * of[..., TURN]
        return out

    def _lateral(self, state: Array, posture: Posture) -> tuple[Array, Array]:
        """What the forces of 1 g add to the equations, (lanes, 8), and its derivatives (lanes, 8, 8), not scaled."""
        geometry, masses = self.geometry, self.masses
        weight, up = masses.wheel_weight, posture.hub.up[:, :, :LEFT_RAMP]
        shape = (self.lanes, 2, 2, 6)

        def constant(values: Array) -> Array:
            out = np.zeros(shape, order="F")
            out[..., VALUE] = values
            return out

        cosine, sine = posture.pitch_cosine[:, None, None], posture.pitch_sine[:, None, None]
        pitch_sine, pitch_cosine = constant(sine), constant(cosine)
        pitch_sine[..., BY_PITCH], pitch_cosine[..., BY_PITCH] = cosine, -sine
        roll_sine = constant(posture.roll_sine)
        roll_sine[..., BY_ROLL] = posture.roll_cosine
        height = constant(posture.origin_z[:, None, None])
        height[..., BY_HEIGHT] = 1.0
        hub = constant(posture.hub_zeta)
        hub[..., BY_ROLL] = up[..., 0]
        hub[..., BY_A] = geometry.slide_by_a * up[..., 2] + geometry.turn_by_a * up[..., 1]
        hub[..., BY_B] = geometry.turn_by_b * up[..., 1]
        pivot = constant(posture.pivot_zeta)
        pivot[..., BY_ROLL] = posture.pivot_y
        pivot[..., BY_A] = geometry.slide_by_a * posture.roll_cosine
        # The point at ground level, below the crown point, from the body's origin along the pitched vertical.
        along = self._of_contacts(posture, posture.derivatives.slope_point)
        along[..., VALUE] = posture.contacts.slope_point[:, :, :LEFT_RAMP] - posture.origin_x[:, None, None]
        ground = _product(pitch_sine, along) - _product(pitch_cosine, height)

        force = self._ground_forces(posture)
        inertia = constant(weight)
        twisting = _product(inertia, hub) - _product(force, ground)  # about the line through the body's origin
        slide = _product(inertia - force, roll_sine)
        turn = twisting - _product(inertia - force, pivot)
        axle_x = geometry.axle_x[:, :, None, None]
        overturning = weight[..., None] * (height + _product(hub, pitch_cosine) - axle_x * pitch_sine)
        work_a = geometry.slide_by_a[..., None] * slide + geometry.turn_by_a[..., None] * turn
        work_b = geometry.turn_by_b[..., None] * turn
        twisting *= self.twist_moment[..., None]
        rows = np.stack([overturning, twisting, work_a, work_b], axis=3).sum(axis=2)  # (lanes, axle, row, 6)

        out, by = np.zeros((self.lanes, UNKNOWNS)), np.zeros((self.lanes, UNKNOWNS, UNKNOWNS))
        for axle, own in enumerate(AXLE_COORDINATES):
            for row, equation in enumerate((BODY_ROLL, TWIST, own.start, own.start + 1)):
                values = rows[:, axle, row]
                out[:, equation] += values[:, VALUE]
                by[:, equation, HEIGHT] += values[:, BY_HEIGHT]
                by[:, equation, BODY_PITCH] += values[:, BY_PITCH]
                by[:, equation, BODY_ROLL] += values[:, BY_ROLL]
                by[:, equation, TWIST] += TWIST_SHARE[axle] * values[:, BY_ROLL]
                by[:, equation, own] += values[:, BY_A:]

        # The sprung mass rolls with the untwisted mean of the body.
        roll_s, roll_c = np.sin(state[:, BODY_ROLL]), np.cos(state[:, BODY_ROLL])
        zeta = masses.sprung_y * roll_s + masses.sprung_z * roll_c
        lateral = masses.sprung_y * roll_c - masses.sprung_z * roll_s
        sine, cosine, load = posture.pitch_sine, posture.pitch_cosine, masses.sprung_weight
        out[:, BODY_ROLL] += load * (posture.origin_z + zeta * cosine - masses.sprung_x * sine)
        by[:, BODY_ROLL, HEIGHT] += load
        by[:, BODY_ROLL, BODY_PITCH] -= load * (zeta * sine + masses.sprung_x * cosine)
        by[:, BODY_ROLL, BODY_ROLL] += load * lateral * cosine
        return out, by
