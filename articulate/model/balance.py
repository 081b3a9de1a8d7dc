"""The balance of a vehicle on flat ground and ramp: residual and exact Jacobian of the equilibrium equations.

Unknowns (lanes, 8), in this order (see `State`):

    height of the body origin over its ride height [m], pitch [rad], roll [rad], frame twist w [rad],
    front a, front b, rear a, rear b: suspension coordinates (see `carriers`) [m or rad].

Equations (lanes, 8), each divided by a scale (weight, weight x wheelbase, ...):

    vertical force; moment about x; moment about y; frame twist w - T/K_c; virtual work of each coordinate.

The moment about y is taken at ground level below the body origin: with the vertical balance that is the moment
about the toe line, and the horizontal force at ground level that holds the vehicle (1 - lambda) has no lever.
The body's x follows from the climb s: the climbing (left front) hub's slope coordinate is s.

Every wheel contributes one block, rows by columns,

    (vertical force, moment about y, moment about x, twist moment, work of slide, work of turn)
    x (height, pitch, roll of its axle, turn, slide, value itself, body x),

in which slide and turn of its carrier are then replaced by the axle's coordinates, in the columns by the chain
rule and in the rows by virtual work. The sums of the blocks are the equations and their Jacobian at fixed body x.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.compiled.layout import WATCHED
from articulate.compiled.library import (
    PLAIN,
    Asked,
    Strides,
    Watch,
    compiled_loads,
    compiled_moves,
    compiled_settle,
    compiled_solve,
    compiled_strides,
    core,
    packed,
)
from articulate.lanes import of_lanes, take_fast
from articulate.model.carriers import HUB, CarrierGeometry, CarrierPose, carrier_pose, lane_fastest
from articulate.model.friction import (
    Friction,
    drawn_along,
    friction_loss,
    friction_of_wheel,
    hub_travel,
    hub_travel_and_rate,
)
from articulate.model.posture import GroundAndTyres, Masses, Posture
from articulate.model.ramp_test import RampTest
from articulate.model.suspension import Elements, elastic_forces
from articulate.model.tyre_contact import (
    LEFT_FLAT,
    LEFT_RAMP,
    PITCH,
    RIGHT_FLAT,
    ROLL,
    SLIDE,
    TURN,
    VALUE,
    HubMotion,
    X,
    Z,
    tyre_contacts,
)
from articulate.model.vehicles import Vehicles

Array = NDArray[np.float64]

UNKNOWNS = 8
HEIGHT, BODY_PITCH, BODY_ROLL, TWIST, FRONT_A, FRONT_B, REAR_A, REAR_B = range(UNKNOWNS)
VERTICAL, MOMENT_Y, MOMENT_X, TWIST_MOMENT, SLIDE_WORK, TURN_WORK = range(6)  # rows of a wheel's block
FAR = 10.0  # [m] of travel: no corner moves so far
LEAP = 1e-4  # of the weight: a load that leaps by less moves no friction worth speaking of
TWIST_SHARE = (0.5, -0.5)  # of the twist, added to the body roll at front and rear
AXLE_COORDINATES = (slice(FRONT_A, FRONT_B + 1), slice(REAR_A, REAR_B + 1))


@dataclass(frozen=True, eq=False, repr=False)
class Balance(Brief):
    """Linearised equilibrium at given unknowns and climb.

    `equations` (lanes, 8, 10) has -J, F, dF/ds side by side, scaled to order one; `posture` holds the geometry and
    `margins` (lanes, 4) the signed wheel loads [N]: the load while a tyre touches, minus k_t times the gap while
    it does not. `guards` (lanes, 8), with friction alone (else of no width), has for the left tyres' contacts on flat
    and ramp how far inside its own part of the ground each lies [m], and what its tyre carries or would there [N].
    """

    equations: Array
    margins: Array
    posture: Posture
    guards: Array

    @property
    def residual(self) -> Array:
        """F, (lanes, 8)."""
        return np.asarray(self.equations[:, :, UNKNOWNS])

    @property
    def jacobian(self) -> Array:
        """J = dF/dx, (lanes, 8, 8)."""
        return np.asarray(-self.equations[:, :, :UNKNOWNS])

    @property
    def climb_derivative(self) -> Array:
        """dF/ds, (lanes, 8)."""
        return np.asarray(self.equations[:, :, UNKNOWNS + 1])


def ramp_parts(vehicles: Vehicles, test: RampTest) -> dict[str, Any]:
    """What a `RampSystem` of vehicles and tests, as many of each, is made of, by the names of its fields."""
    geometry = CarrierGeometry.of(vehicles)
    masses = Masses.of(vehicles, geometry.origin_height)
    weight, length = masses.weight, vehicles.wheelbase
    scale = np.ones((vehicles.lanes, UNKNOWNS), order="F")
    scale[:, HEIGHT] = weight
    scale[:, BODY_PITCH] = weight * length
    scale[:, BODY_ROLL] = weight * vehicles.track.mean(axis=1)
    lever = geometry.lateral[:, :, 0, HUB]
    scale[:, FRONT_A::2] = weight[:, None] * np.where(vehicles.solid, 1.0, lever)
    scale[:, FRONT_B::2] = weight[:, None] * lever
    return {
        "geometry": geometry,
        "elements": Elements.of(vehicles),
        "masses": masses,
        "ground": GroundAndTyres.of(vehicles, test),
        "twist_moment": lane_fastest(0.5 * vehicles.frame_compliance[:, None, None] * np.array([[1.0], [-1.0]])),
        "inverse_scale": 1.0 / scale,
        "friction": Friction.of(vehicles),
    }


@dataclass(frozen=True, eq=False, repr=False)
class RampSystem(Brief):
    """The equilibrium equations of a batch of vehicles on a batch of ramp tests.

    Suspension friction makes them depend on the way: `friction` holds its anchors, at ride height until `relax`,
    `set_anchor` or `carry` moves them. It is None where no vehicle has friction.
    """

    geometry: CarrierGeometry
    elements: Elements
    masses: Masses
    ground: GroundAndTyres
    twist_moment: Array  # (lanes, 2, 1), +-1/(2 K_c)
    inverse_scale: Array  # (lanes, 8), of the equations
    friction: Friction | None

    @staticmethod
    def of(vehicles: Vehicles, test: RampTest) -> RampSystem:
        """The equations of vehicles on tests of as many lanes."""
        return RampSystem(**ramp_parts(vehicles, test))

    @property
    def lanes(self) -> int:
        """Number of lanes."""
        return int(self.inverse_scale.shape[0])

    @cached_property
    def packed(self) -> Array:
        """What the compiled equations need, side by side, a row a lane; see `compiled.library.packed`."""
        return packed(self, self.lanes)

    @property
    def compiled(self) -> bool:
        """Whether the compiled equations are there, and are those of this system: kinds of it have their own."""
        return type(self) is RampSystem and core() is not None

    @property
    def _everyone(self) -> SomeLanes:
        return SomeLanes(self, np.arange(self.lanes))

    def moves(self, state: Array, climb: Array) -> tuple[Array, ...] | None:
        """See `solve.newton.System`."""
        return self._everyone.moves(state, climb) if self.compiled else None

    def solve(
        self, guess: Array, climb: Array, close: Array, iterations: int, goal: Any, watch: Watch = PLAIN
    ) -> tuple[Array, ...] | None:
        """See `solve.newton.System`; `watch` as of `compiled.library`."""
        return self._everyone.solve(guess, climb, close, iterations, goal, watch) if self.compiled else None

    def settle(self, start: Array, climb: Array, iterations: int, watch: Watch = PLAIN) -> Array | None:
        """See `solve.newton.System`."""
        return self._everyone.settle(start, climb, iterations, watch) if self.compiled else None

    def strides(
        self,
        lanes: NDArray[np.intp],
        now: Any,
        plan: Any,
        bounds: Any,
        watched: NDArray[np.intp],
        steps: Any,
        watch: Watch = PLAIN,
        held: bool = False,
    ) -> Strides | None:
        """See `solve.newton.System`; the friction elements are drawn along unless they are `held`."""
        if not self.compiled or tuple(watched.tolist()) != WATCHED:
            return None
        rubs = self.friction is not None
        asked = Asked(lanes, self.packed, self.anchors_of(lanes), watch)
        found = compiled_strides(asked, now, plan, bounds, steps, rubs and not held)
        if self.friction is not None:
            self.friction.anchor[lanes] = found.anchor
        return replace(found, now=self.without_guards(found.now))

    def loads(self, state: Array, climb: Array) -> Array:
        """Normal forces at the contacts (lanes, 2, 3) [N], for unknowns (lanes, 8) and climb s (lanes,) [m]."""
        if self.compiled:
            return self._everyone.loads(state, climb)
        return self.posture(state, climb).contacts.normal_force

    def without_guards(self, fields: tuple[Array, ...]) -> tuple[Array, ...]:
        """Fields of a solution, (k, ...) each, of which the last are guards: of no width where there is no friction."""
        return fields if self.friction is not None else (*fields[:-1], fields[-1][:, :0])

    def anchors_of(self, lanes: NDArray[np.intp]) -> Array:
        """Anchors in some lanes, (k, 2, 2) [m]; zero where there is no friction."""
        return np.zeros((lanes.size, 2, 2)) if self.friction is None else of_lanes(self.friction.anchor, lanes)

    def take(self, lanes: NDArray[np.intp]) -> Self:
        """The system of the chosen lanes (k,) alone."""
        return take_fast(self, lanes)

    def part(self, lanes: NDArray[np.intp]) -> Self | SomeLanes:
        """The system of some lanes for a while, see `solve.newton.System`."""
        return SomeLanes(self, lanes) if self.compiled else self.take(lanes)

    def anchored(self, lanes: NDArray[np.intp], anchor: Array) -> RampSystem | SomeLanes:
        """Some lanes (any as often as is liked) with friction anchors (k, 2, 2) [m] of their own, to be asked only."""
        if self.compiled:
            return SomeLanes(self, lanes, anchor)
        system = self.take(lanes)
        system.set_anchor(anchor)
        return system

    @property
    def anchor(self) -> Array:
        """Anchors of the friction elements, (lanes, 2, 2) [m]; zero where there is no friction."""
        return self.anchors_of(np.arange(self.lanes))

    def set_anchor(self, anchor: Array) -> None:
        """Put the friction elements to anchors (lanes, 2, 2) [m]."""
        if self.friction is not None:
            self.friction.anchor[:] = anchor

    def relax(self, state: Array) -> None:
        """Anchor the friction elements at a state (lanes, 8), so that they carry nothing there."""
        if self.friction is not None:
            self.friction.anchor[:] = hub_travel(self.geometry, state[:, FRONT_A:])

    def turn_friction(self, state: Array) -> None:
        """Move the anchors: each friction element pulls at its limit, against what it does at states (lanes, 8)."""
        if self.friction is not None:
            travel = hub_travel(self.geometry, state[:, FRONT_A:])
            self.friction.anchor[:] = travel + FAR * np.sign(self.friction.stretch(travel))

    def carry(self, lanes: NDArray[np.intp], state: Array) -> None:
        """Draw the friction elements of some lanes along to a state (lanes, 8) on their way."""
        if self.friction is not None and lanes.size:
            some = take_fast(self.friction, lanes)
            self.friction.anchor[lanes] = drawn_along(some, take_fast(self.geometry, lanes), state[:, FRONT_A:])

    def loss(self, start: Array, start_tangent: Array, end: Array, end_tangent: Array, step: Array) -> Array | None:
        """Share of a friction force that a step forgets where a corner turned back in it, over the weight, (lanes,).

        States and tangents (lanes, 8) at the ends of the step (lanes,) [m]; see `friction_loss`. None without friction.
        """
        if self.friction is None:
            return None
        low = hub_travel_and_rate(self.geometry, start[:, FRONT_A:], start_tangent[:, FRONT_A:])
        high = hub_travel_and_rate(self.geometry, end[:, FRONT_A:], end_tangent[:, FRONT_A:])
        return np.asarray(friction_loss(self.friction, low, high, step) / self.masses.weight)

    def posture(self, state: Array, climb: Array, rise: Array | None = None) -> Posture:
        """Geometry and tyre forces for unknowns (lanes, 8) and climb s (lanes,) [m].

        rise: (lanes, 2, 3) [m], how much higher than its plane the ground under each contact stands, if any does.
        """
        geometry, ground = self.geometry, self.ground
        pose = carrier_pose(geometry, state[:, FRONT_A::2], state[:, FRONT_B::2])

        roll = np.empty((self.lanes, 2, 1), order="F")
        half_twist = 0.5 * state[:, TWIST]
        np.add(state[:, BODY_ROLL], half_twist, out=roll[:, 0, 0])
        np.subtract(state[:, BODY_ROLL], half_twist, out=roll[:, 1, 0])
        roll_sine, roll_cosine = np.sin(roll), np.cos(roll)
        pivot_z = geometry.pivot_z + pose.slide
        pivot_y = geometry.pivot_y * roll_cosine - pivot_z * roll_sine
        pivot_zeta = geometry.pivot_y * roll_sine + pivot_z * roll_cosine
        hub = self._hub_motion(pose, roll_sine, roll_cosine, pivot_y, pivot_zeta)

        pitch_sine, pitch_cosine = np.sin(state[:, BODY_PITCH]), np.cos(state[:, BODY_PITCH])
        sine, cosine = pitch_sine[:, None, None], pitch_cosine[:, None, None]
        beta_sine = sine * ground.cosine + cosine * ground.sine
        beta_cosine = cosine * ground.cosine - sine * ground.sine

        # s = x cos g + z sin g of the left front hub, which stands at body x = 0.
        ramp_sine, ramp_cosine = ground.sine[:, 0, LEFT_RAMP], ground.cosine[:, 0, LEFT_RAMP]
        origin_z = geometry.origin_height + state[:, HEIGHT]
        origin_x = (climb - origin_z * ramp_sine - hub.zeta[:, 0, 0] * beta_sine[:, 0, LEFT_RAMP]) / ramp_cosine

        x, z = origin_x[:, None, None], origin_z[:, None, None]
        normal = z * ground.cosine - x * ground.sine
        contacts, derivatives = tyre_contacts(
            hub,
            origin_normal=normal if rise is None else normal - rise,
            origin_along=x * ground.cosine + z * ground.sine,
            axle_x=geometry.axle_x[:, :, None],
            beta_sine=beta_sine,
            beta_cosine=beta_cosine,
            plane_sine=ground.sine,
            plane_cosine=ground.cosine,
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
            hub,
            beta_sine,
            beta_cosine,
            origin_x,
            self._origin_x_derivative(hub, beta_sine, beta_cosine),
            origin_z,
            contacts,
            derivatives,
        )

    def _hub_motion(
        self, pose: CarrierPose, roll_sine: Array, roll_cosine: Array, pivot_y: Array, pivot_zeta: Array
    ) -> HubMotion:
        """Hubs and their motion, left wheels repeated at the ramp contact."""
        lever, drop = pose.lever[..., HUB], pose.drop[..., HUB]
        spread = np.empty((self.lanes, 2, 3, 8), order="F")
        wheels = spread[:, :, :LEFT_RAMP]
        arm_y, arm_zeta = wheels[..., 1], wheels[..., 4]
        np.add(lever * roll_cosine, drop * roll_sine, out=arm_y)
        np.subtract(lever * roll_sine, drop * roll_cosine, out=arm_zeta)
        np.add(pivot_y, arm_y, out=wheels[..., 0])
        np.add(pivot_zeta, arm_zeta, out=wheels[..., 3])
        wheels[..., 2] = roll_cosine
        wheels[..., 5] = roll_sine
        np.add(roll_sine * pose.cosine, roll_cosine * pose.sine, out=wheels[..., 6])
        np.subtract(roll_cosine * pose.cosine, roll_sine * pose.sine, out=wheels[..., 7])
        spread[:, :, LEFT_RAMP] = spread[:, :, 0]
        return HubMotion(spread[..., 0:3], spread[..., 3:6], spread[..., 6], spread[..., 7])

    def evaluate(self, state: Array, climb: Array) -> Balance:
        """Residual, exact Jacobian and derivative by the climb, for unknowns (lanes, 8) and s (lanes,) [m]."""
        posture = self.posture(state, climb)
        blocks, bar_stiffness = self._axle_blocks(posture)
        equations = self._assemble(state, posture, blocks, bar_stiffness)
        return Balance(equations, self._margins(posture), posture, self._guards(posture))

    def _guards(self, posture: Posture) -> Array:
        """Guards, see `Balance`."""
        if self.friction is None:
            return np.empty((self.lanes, 0))
        guards = np.empty((self.lanes, 8), order="F")
        contacts, stiffness = posture.contacts, self.ground.stiffness[:, :, 0]
        for place, (contact, inward) in enumerate(((LEFT_FLAT, -1.0), (LEFT_RAMP, 1.0))):
            np.multiply(contacts.slope_point[:, :, contact], inward, out=guards[:, 2 * place : 2 * place + 2])
            np.multiply(contacts.penetration[:, :, contact], stiffness, out=guards[:, 4 + 2 * place : 6 + 2 * place])
        return guards

    def edge(self, start: Array, end: Array) -> Array | None:
        """Share of a step at which a loaded tyre's contact begins or ends at the toe line, (lanes,); NaN if none does.

        There its load leaps, and what friction remembers depends on whether the step ends there. From the guards
        (lanes, 8) at the ends of the step; leaps of less than `LEAP` of the weight are let be. None without friction.
        """
        if self.friction is None:
            return None
        low, high = start[:, :4], end[:, :4]
        crosses = (low > 0.0) != (high > 0.0)
        share = np.where(crosses, low / np.where(crosses, low - high, 1.0), 0.0)
        load = start[:, 4:] + share * (end[:, 4:] - start[:, 4:])
        leaps = crosses & (load > LEAP * self.masses.weight[:, None])
        first = np.where(leaps, share, np.inf).min(axis=1)
        return np.where(np.isfinite(first), first, np.nan)

    def _contact_forces(self, posture: Posture) -> Array:
        """Vertical force V, its moments about y and x, and their derivatives, (lanes, 2, 3, 4, 7) by contact.

        The last of the four rows is left free. A contact that carries N n + lambda N tan(g) t at p has the
        vertical force v N, the moments (x - (s_p + h d)/v) v N about y and y_p v N about x, with h = lambda tan g,
        v = cos g + h sin g. The weight of a wheel, at its hub, is counted at its contact with the flat.
        """
        ground, contacts, by = self.ground, posture.contacts, posture.derivatives
        out = np.empty((self.lanes, 2, 3, 6, 7), order="F")
        stiffness = ground.stiffness * ((contacts.penetration > 0.0) & contacts.in_reach) * ground.vertical
        vertical = out[..., VERTICAL, :]
        np.multiply(by.penetration, stiffness[..., None], out=vertical)
        force = vertical[..., VALUE, None].copy(order="F")

        along, normal = -1.0 / ground.vertical, -ground.hold / ground.vertical
        lever = posture.origin_x[:, None, None] + along * contacts.slope_point + normal * contacts.penetration
        lever_by = along[..., None] * by.slope_point
        lever_by += normal[..., None] * by.penetration
        lever_by[..., X] += 1.0
        lever_by[..., VALUE] = 0.0
        moment_y, moment_x = out[..., MOMENT_Y, :], out[..., MOMENT_X, :]
        np.multiply(vertical, lever[..., None], out=moment_y)
        moment_y += force * lever_by
        np.multiply(vertical, contacts.lateral_point[..., None], out=moment_x)
        moment_x += force * by.lateral_point

        flat = out[:, :, :LEFT_RAMP]
        weight = self.masses.wheel_weight
        weight_sine = weight * posture.pitch_sine[:, None, None]
        weight_cosine = weight * posture.pitch_cosine[:, None, None]
        axle_x = self.geometry.axle_x[:, :, None]
        up, across = posture.hub.up[:, :, :LEFT_RAMP], posture.hub.across[:, :, :LEFT_RAMP]
        flat[..., VERTICAL, VALUE] -= weight
        flat[..., MOMENT_Y, VALUE] += weight_cosine * axle_x + weight_sine * across[..., 0]
        flat[..., MOMENT_Y, PITCH] += weight_cosine * across[..., 0] - weight_sine * axle_x
        flat[..., MOMENT_Y, ROLL : SLIDE + 1] += weight_sine[..., None] * up
        flat[..., MOMENT_X, VALUE] -= weight * up[..., 0]
        flat[..., MOMENT_X, ROLL : SLIDE + 1] += weight[..., None] * across
        return out

    def _axle_blocks(self, posture: Posture) -> tuple[Array, Array]:
        """The blocks of the module docstring summed over the wheels of each axle, (lanes, 2, 6, 7).

        With them the stiffness of the bars, by the coordinates (lanes, 4, 4). In the blocks the rows SLIDE_WORK,
        TURN_WORK and the columns TURN, SLIDE have become those of the coordinates a, b.
        """
        geometry, ground = self.geometry, self.ground
        out = self._contact_forces(posture)

        # Force along zeta and its moment about the roll axis.
        ratio = (posture.beta_cosine + ground.hold * posture.beta_sine) / ground.vertical
        ratio_change = (ground.hold * posture.beta_cosine - posture.beta_sine) / ground.vertical
        in_plane = out[..., VERTICAL : MOMENT_X + 1 : 2, :]
        zeta = out[..., SLIDE_WORK:, :]
        np.multiply(in_plane, ratio[..., None, None], out=zeta)
        zeta[..., PITCH] += ratio_change[..., None] * in_plane[..., VALUE]

        # From contacts to wheels.
        out[:, :, 0, :TWIST_MOMENT] += out[:, :, LEFT_RAMP, :TWIST_MOMENT]
        out[:, :, 0, SLIDE_WORK:] += out[:, :, LEFT_RAMP, SLIDE_WORK:]
        wheel = out[:, :, :LEFT_RAMP]
        slide, turn = wheel[..., SLIDE_WORK, :], wheel[..., TURN_WORK, :]
        np.multiply(turn, self.twist_moment[..., None], out=wheel[..., TWIST_MOMENT, :])

        # Virtual work of slide and turn, G_c and G_tau.
        force = slide[..., VALUE].copy(order="F")
        turn -= slide * posture.pivot_y[..., None]
        turn[..., ROLL] += force * posture.pivot_zeta
        turn[..., SLIDE] += force * posture.roll_sine
        slide *= posture.roll_cosine[..., None]
        slide[..., ROLL] -= force * posture.roll_sine
        elastic = elastic_forces(self.elements, geometry, posture.pose)
        wheel[..., SLIDE_WORK:, TURN : VALUE + 1] -= elastic.of_wheel
        if self.friction is not None:
            wheel[..., SLIDE_WORK:, TURN : VALUE + 1] -= friction_of_wheel(self.friction, posture.pose)

        # Rows, then columns, from slide and turn of the carriers to the coordinates a and b.
        by_a, by_b, by_slide = geometry.turn_by_a, geometry.turn_by_b, geometry.slide_by_a
        slide *= by_slide[..., None]
        slide += by_a[..., None] * turn
        turn *= by_b[..., None]
        by_turn = wheel[..., TURN].copy(order="F")
        wheel[..., TURN] *= by_a[..., None]
        wheel[..., TURN] += by_slide[..., None] * wheel[..., SLIDE]
        np.multiply(by_turn, by_b[..., None], out=wheel[..., SLIDE])

        blocks = wheel[:, :, 0] + wheel[:, :, 1]
        for axle in range(2):
            own = slice(2 * axle, 2 * axle + 2)
            blocks[:, axle, SLIDE_WORK:, VALUE] -= elastic.bar_force[:, own]
        return blocks, elastic.bar_stiffness

    def _assemble(self, state: Array, posture: Posture, blocks: Array, bar_stiffness: Array) -> Array:
        """The scaled equations (-J, F, dF/ds) from the blocks of the axles."""
        masses = self.masses
        sine, cosine = posture.pitch_sine, posture.pitch_cosine
        out = np.zeros((self.lanes, UNKNOWNS, UNKNOWNS + 2), order="F")
        body = out[:, :FRONT_A]
        front, rear = blocks[:, 0], blocks[:, 1]
        both = front[:, :SLIDE_WORK] + rear[:, :SLIDE_WORK]
        body[..., :TWIST] = both[..., Z : ROLL + 1]
        body[..., UNKNOWNS:] = both[..., VALUE : X + 1]
        np.subtract(front[:, :SLIDE_WORK, ROLL], rear[:, :SLIDE_WORK, ROLL], out=body[..., TWIST])
        body[..., TWIST] *= 0.5
        for axle, own in enumerate(AXLE_COORDINATES):
            block, rows = blocks[:, axle], out[:, own]
            body[..., own] = block[:, :SLIDE_WORK, TURN : SLIDE + 1]
            work = block[:, SLIDE_WORK:]
            rows[..., :TWIST] = work[..., Z : ROLL + 1]
            np.multiply(work[..., ROLL], TWIST_SHARE[axle], out=rows[..., TWIST])
            rows[..., own] = work[..., TURN : SLIDE + 1]
            rows[..., UNKNOWNS:] = work[..., VALUE : X + 1]
        out[:, FRONT_A:, FRONT_A:UNKNOWNS] -= bar_stiffness

        # The body's own weight, and the torsion of the frame.
        roll_sine, roll_cosine = np.sin(state[:, BODY_ROLL]), np.cos(state[:, BODY_ROLL])
        weight = masses.sprung_weight
        moment_y = weight * (masses.sprung_y * roll_cosine - masses.sprung_z * roll_sine)
        moment_zeta = weight * (masses.sprung_y * roll_sine + masses.sprung_z * roll_cosine)
        moment_x = weight * masses.sprung_x
        residual = out[:, :, UNKNOWNS]
        residual[:, HEIGHT] -= weight
        residual[:, BODY_ROLL] -= moment_y
        residual[:, BODY_PITCH] += moment_x * cosine + moment_zeta * sine
        residual[:, TWIST] -= state[:, TWIST]
        out[:, BODY_PITCH, BODY_PITCH] += moment_zeta * cosine - moment_x * sine
        out[:, BODY_PITCH, BODY_ROLL] += moment_y * sine
        out[:, BODY_ROLL, BODY_ROLL] += moment_zeta
        out[:, TWIST, TWIST] -= 1.0

        # The body's x depends on the unknowns through the left front hub; chain it in. Scale.
        by_x = out[:, :, UNKNOWNS + 1]
        chained = slice(HEIGHT, FRONT_B + 1)
        out[:, :, chained] += by_x[:, :, None] * posture.origin_x_by[:, None, :]
        by_x /= self.ground.cosine[:, 0, LEFT_RAMP, None]
        out[:, :, UNKNOWNS:] *= self.inverse_scale[:, :, None]
        out[:, :, :UNKNOWNS] *= -self.inverse_scale[:, :, None]
        return out

    def _origin_x_derivative(self, hub: HubMotion, beta_sine: Array, beta_cosine: Array) -> Array:
        """Derivative of the body origin's x by height, pitch, roll, twist, front a, front b at fixed climb."""
        geometry, ground = self.geometry, self.ground
        derivative = np.empty((self.lanes, FRONT_B + 1), order="F")
        derivative[:, HEIGHT] = ground.sine[:, 0, LEFT_RAMP]
        np.multiply(hub.zeta[:, 0, 0], beta_cosine[:, 0, LEFT_RAMP], out=derivative[:, BODY_PITCH])
        by_roll, by_turn, by_slide = (hub.up[:, 0, 0] * beta_sine[:, 0, LEFT_RAMP, None]).T
        derivative[:, BODY_ROLL] = by_roll
        np.multiply(by_roll, TWIST_SHARE[0], out=derivative[:, TWIST])
        derivative[:, FRONT_A] = geometry.slide_by_a[:, 0, 0] * by_slide + geometry.turn_by_a[:, 0, 0] * by_turn
        np.multiply(geometry.turn_by_b[:, 0, 0], by_turn, out=derivative[:, FRONT_B])
        derivative /= -ground.cosine[:, 0, LEFT_RAMP, None]
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

    def margin_rate(self, at: Balance, direction: Array, climb_rate: Array | float) -> Array:
        """Rate of the signed wheel loads (lanes, 4) [N], where the unknowns go by (lanes, 8), the climb by a rate."""
        geometry, posture = self.geometry, at.posture
        x_rate = (posture.origin_x_by * direction[:, : FRONT_B + 1]).sum(axis=1)
        x_rate += climb_rate / self.ground.cosine[:, 0, LEFT_RAMP]
        rate_a, rate_b = direction[:, FRONT_A::2, None], direction[:, FRONT_B::2, None]
        half_twist = 0.5 * direction[:, TWIST]
        roll_rate = np.empty((self.lanes, 2, 1), order="F")
        np.add(direction[:, BODY_ROLL], half_twist, out=roll_rate[:, 0, 0])
        np.subtract(direction[:, BODY_ROLL], half_twist, out=roll_rate[:, 1, 0])
        turn_rate = np.empty((self.lanes, 2, 3), order="F")
        np.multiply(geometry.turn_by_a, rate_a, out=turn_rate[:, :, :LEFT_RAMP])
        turn_rate[:, :, :LEFT_RAMP] += geometry.turn_by_b * rate_b
        turn_rate[:, :, LEFT_RAMP] = turn_rate[:, :, 0]
        by = posture.derivatives.penetration
        rate = by[..., TURN] * turn_rate
        rate += by[..., SLIDE] * (geometry.slide_by_a * rate_a)
        rate += by[..., ROLL] * roll_rate
        rate += by[..., PITCH] * direction[:, BODY_PITCH, None, None]
        rate += by[..., Z] * direction[:, HEIGHT, None, None]
        rate += by[..., X] * x_rate[:, None, None]
        rate *= self.ground.stiffness

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


@dataclass(frozen=True, eq=False, repr=False)
class SomeLanes(Brief):
    """Lanes of a system whose equations are compiled: they are worked out from its own arrays, of which none is copied.

    What it answers is what `RampSystem` does. It remembers nothing: what the whole is told counts, unless it was given
    anchors.
    """

    whole: RampSystem
    rows: NDArray[np.intp]
    own_anchor: Array | None = None
    compiled: bool = True

    @property
    def lanes(self) -> int:
        """Number of lanes."""
        return self.rows.size

    @property
    def anchor(self) -> Array:
        """As of `RampSystem`."""
        return self.whole.anchors_of(self.rows) if self.own_anchor is None else self.own_anchor

    def _asked(self, watch: Watch = PLAIN) -> Asked:
        return Asked(self.rows, self.whole.packed, self.anchor, watch)

    def moves(self, state: Array, climb: Array) -> tuple[Array, ...]:
        """As `RampSystem.moves`."""
        return self.whole.without_guards(compiled_moves(self._asked(), state, climb))

    def loads(self, state: Array, climb: Array) -> Array:
        """As `RampSystem.loads`."""
        return compiled_loads(self._asked(), state, climb)

    def solve(
        self, guess: Array, climb: Array, close: Array, iterations: int, goal: Any, watch: Watch = PLAIN
    ) -> tuple[Array, ...]:
        """As `RampSystem.solve`."""
        return self.whole.without_guards(compiled_solve(self._asked(watch), guess, climb, close, iterations, goal))

    def settle(self, start: Array, climb: Array, iterations: int, watch: Watch = PLAIN) -> Array:
        """As `RampSystem.settle`."""
        return compiled_settle(self._asked(watch), start, climb, iterations)

    def strides(self, *_: Any, **__: Any) -> None:
        """None: that is asked of the whole."""

    def part(self, lanes: NDArray[np.intp]) -> SomeLanes:
        """Some of the lanes."""
        return SomeLanes(self.whole, self.rows[lanes], None if self.own_anchor is None else self.own_anchor[lanes])

    def take(self, lanes: NDArray[np.intp]) -> RampSystem:
        """The system of some of the lanes, which remembers for itself."""
        system = self.whole.take(self.rows[lanes])
        system.set_anchor(self.anchor[lanes])
        return system

    @cached_property
    def _own(self) -> RampSystem:
        return self.whole.take(self.rows)

    def evaluate(self, state: Array, climb: Array) -> Balance:
        """As `RampSystem.evaluate`."""
        return self._as_it_is().evaluate(state, climb)

    def margin_rate(self, at: Balance, direction: Array, climb_rate: Array | float) -> Array:
        """As `RampSystem.margin_rate`."""
        return self._own.margin_rate(at, direction, climb_rate)

    def carry(self, lanes: NDArray[np.intp], state: Array) -> None:
        """Nothing: the whole remembers."""

    def loss(self, start: Array, start_tangent: Array, end: Array, end_tangent: Array, step: Array) -> Array | None:
        """As `RampSystem.loss`."""
        return self._as_it_is().loss(start, start_tangent, end, end_tangent, step)

    def edge(self, start: Array, end: Array) -> Array | None:
        """As `RampSystem.edge`."""
        return self._own.edge(start, end)

    def _as_it_is(self) -> RampSystem:
        """The lanes as a system of their own, with the anchors there are now."""
        self._own.set_anchor(self.anchor)
        return self._own
