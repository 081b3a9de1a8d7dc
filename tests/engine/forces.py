"""The forces on the tree of `mechanism`, from their definitions, in plain floats (one vehicle, every step).

Suspension elements work on the joints by virtual work; tyres push on their carrier at a torus's crown point.
Wheel order is front-left, front-right, rear-left, rear-right; only the left wheels can meet the ramp.
"""

from __future__ import annotations

from collections.abc import Callable
from math import cos, sin, sqrt, tan
from typing import Any

import numpy as np
from numpy.typing import NDArray

from articulate.constants import STANDARD_GRAVITY
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles
from tests.engine.mechanism import PITCH, Mechanism, X, Z

# displacement and derivatives along the axle's two coordinates, of its left and of its right point
Travel = tuple[tuple[float, float, float], tuple[float, float, float]]
Vector = tuple[float, float, float]


def axle_loads(vehicle: Vehicles) -> tuple[float, float]:
    """Load under the front and the rear axle at ride height, by moments about an axle [N]."""
    behind_front = float(vehicle.sprung_centre[0, 0])
    sprung = float(vehicle.sprung_mass[0]) * STANDARD_GRAVITY
    wheelbase = float(vehicle.wheelbase[0])
    front, rear = (float(m) * STANDARD_GRAVITY for m in vehicle.unsprung_mass[0])
    return front + sprung * (wheelbase - behind_front) / wheelbase, rear + sprung * behind_front / wheelbase


def hub_heights(vehicle: Vehicles) -> tuple[float, float]:
    """Hub height at ride height, front and rear: the tyre gives way under half the axle's load [m]."""
    radius, stiffness = vehicle.tyre_radius[0], vehicle.tyre_stiffness[0]
    front, rear = axle_loads(vehicle)
    return float(radius[0] - 0.5 * front / stiffness[0]), float(radius[1] - 0.5 * rear / stiffness[1])


class Suspension:
    """Springs, stops and kinematics of one axle."""

    def __init__(self, vehicle: Vehicles, axle: int) -> None:
        """Take the numbers of one axle of a vehicle of one lane."""

        def number(name: str) -> float:
            return float(getattr(vehicle, name)[0, axle])

        self.solid = bool(vehicle.solid[0, axle])
        self.arm, self.height = number("swing_arm"), number("pivot_height")
        self.half_track = 0.5 * number("track")
        self.preload = 0.5 * (axle_loads(vehicle)[axle] - number("unsprung_mass") * STANDARD_GRAVITY)
        self.rate, self.loose = number("spring_rate"), bool(vehicle.spring_loose[0, axle])
        self.rise_at, self.factor = number("spring_rise_at"), number("spring_rate_factor")
        self.linked = bool(vehicle.spring_linked[0, axle])
        self.bump_gap, self.bump, self.bump_cubic = (
            number("bump_gap"),
            number("bump_rate"),
            number("bump_rate_cubic"),
        )
        self.droop_gap, self.droop = number("droop_gap"), number("droop_rate")
        bases = [number(f"{what}_half_base") for what in ("spring", "bump", "droop")]
        self.bases: list[tuple[float, Callable[[float], float]]] = [
            (base, force)
            for base, force in zip(bases, (self.spring_force, self.bump_force, self.droop_force), strict=True)
        ]

    def travel(self, first: float, second: float, half_base: float) -> Travel:
        """Body-z displacement of the left and the right point, with derivatives along both coordinates [m].

        A solid axle's points lie `half_base` from mid hub line, an independent carrier's is its hub.
        """
        if self.solid:
            sine, cosine = sin(second), cos(second)
            lift = first + self.height * (1.0 - cosine)
            slope = self.height * sine
            return (
                (lift + half_base * sine, 1.0, slope + half_base * cosine),
                (lift - half_base * sine, 1.0, slope - half_base * cosine),
            )
        arm, height = self.arm, self.height
        left_sine, left_cosine, right_sine, right_cosine = sin(first), cos(first), sin(second), cos(second)
        return (
            (arm * left_sine + height * (1.0 - left_cosine), arm * left_cosine + height * left_sine, 0.0),
            (arm * right_sine + height * (1.0 - right_cosine), 0.0, arm * right_cosine + height * right_sine),
        )

    def spring_force(self, u: float) -> float:
        """Force of one spring that presses its wheel down [N]."""
        force = self.preload + self.rate * u
        if u > self.rise_at:
            force += (self.factor - 1.0) * self.rate * (u - self.rise_at)
        return 0.0 if self.loose and force < 0.0 else force

    def bump_force(self, u: float) -> float:
        """Force of one bump stop that presses its wheel down [N]."""
        depth = u - self.bump_gap
        return self.bump * depth + self.bump_cubic * depth**3 if depth > 0.0 else 0.0

    def droop_force(self, u: float) -> float:
        """Force of one droop stop, down like the others, so never positive [N]."""
        depth = -u - self.droop_gap
        return -self.droop * depth if depth > 0.0 else 0.0

    def generalised(self, first: float, second: float) -> tuple[float, float]:
        """Generalised force of springs and stops on the two coordinates [N or N m]."""
        on_first = on_second = 0.0
        for half_base, force in self.bases:
            left, right = self.travel(first, second, half_base)
            # air that is common to both has one pressure, and its volume goes with the mean travel
            common = 0.5 * (left[0] + right[0]) if self.linked and force == self.spring_force else None
            for u, along_first, along_second in (left, right):
                pressed = force(u if common is None else common)
                if pressed:
                    on_first -= pressed * along_first
                    on_second -= pressed * along_second
        return on_first, on_second


class Tyre:
    """A torus pressed on the flat ground and, in the ramp lane, on the ramp."""

    def __init__(self, vehicle: Vehicles, test: RampTest, wheel: int, at_surface: bool) -> None:
        """Take the numbers of one wheel; `at_surface` moves the force from crown to ground."""
        axle = wheel // 2
        self.section = float(vehicle.tyre_section_radius[0, axle])
        self.crown = float(vehicle.tyre_radius[0, axle]) - self.section
        self.stiffness = float(vehicle.tyre_stiffness[0, axle])
        self.in_lane = wheel % 2 == 0
        angle = float(test.angle[0])
        self.sine, self.cosine = sin(angle), cos(angle)
        self.hold = float(test.holding_share[0]) * tan(angle)
        self.at_surface = at_surface

    def _press(self, hub: Vector, axis: Vector, normal: Vector) -> tuple[float, Vector]:
        """Penetration [m] and crown point on the plane through the origin with this normal."""
        (cx, cy, cz), (ax, ay, az), (nx, ny, nz) = hub, axis, normal
        along = ax * nx + ay * ny + az * nz
        ex, ey, ez = nx - along * ax, ny - along * ay, nz - along * az
        reach, r = self.crown / sqrt(ex * ex + ey * ey + ez * ez), self.section
        px, py, pz = cx - reach * ex - r * nx, cy - reach * ey - r * ny, cz - reach * ez - r * nz
        depth = -(px * nx + py * ny + pz * nz)
        if self.at_surface:
            px, py, pz = px + depth * nx, py + depth * ny, pz + depth * nz
        return depth, (px, py, pz)

    def contacts(self, hub: Vector, axis: Vector) -> tuple[list[tuple[float, Vector, Vector]], float]:
        """Every contact as (normal force, point, force), and the least-apart plane's k_t x penetration [N].

        The latter continues the wheel load below zero when the tyre is off the ground.
        """
        found: list[tuple[float, Vector, Vector]] = []
        depth, point = self._press(hub, axis, (0.0, 0.0, 1.0))
        nearest = -float("inf")
        if not self.in_lane or point[0] < 0.0:
            nearest = self.stiffness * depth
            if depth > 0.0:
                found.append((nearest, point, (0.0, 0.0, nearest)))
        if self.in_lane:
            sine, cosine = self.sine, self.cosine
            depth, point = self._press(hub, axis, (-sine, 0.0, cosine))
            if point[0] * cosine + point[2] * sine > 0.0:
                force = self.stiffness * depth
                nearest = max(nearest, force)
                if depth > 0.0:
                    up = self.hold * force
                    push = (up * cosine - force * sine, 0.0, force * cosine + up * sine)
                    found.append((force, point, push))
        return found, nearest


class Forces:
    """Everything but gravity that acts on one vehicle; `apply` after `mj_step1` (or `mj_forward`)."""

    def __init__(self, vehicle: Vehicles, test: RampTest, mechanism: Mechanism, at_surface: bool = False) -> None:
        """Take the numbers of one vehicle and one test."""
        self.mechanism = mechanism
        self.axles = (Suspension(vehicle, 0), Suspension(vehicle, 1))
        self.bars = tuple(float(rate) for rate in vehicle.bar_rate[0])
        self.auxiliary = tuple(
            (float(vehicle.auxiliary_rate[0, i]), float(vehicle.auxiliary_rate_cubic[0, i])) for i in (0, 1)
        )
        self.cross_link = float(vehicle.cross_link_rate[0])
        compliance = float(vehicle.frame_compliance[0])
        self.frame = 1.0 / compliance if compliance > 0.0 else 0.0
        self.friction = [(float(vehicle.friction_force[0, i]), float(vehicle.friction_stiffness[0, i])) for i in (0, 1)]
        self.anchors: list[list[float]] | None = None  # of the friction elements; none: they are slack
        self.tyres = tuple(Tyre(vehicle, test, wheel, at_surface) for wheel in range(4))
        self.slope = (cos(float(test.angle[0])), sin(float(test.angle[0])))
        model = mechanism.model
        self._external: NDArray[np.float64] = np.zeros((model.nbody, 6))
        self._joint: NDArray[np.float64] = np.zeros(model.nv)
        # holds the climbing hub at its slope coordinate, near-critically; at rest it carries nothing
        mass = float(np.sum(model.body_mass))
        self._servo = (mass * 15.0**2, 2.0 * mass * 15.0)

    def climb(self, data: Any) -> float:  # mujoco ships no types
        """Slope coordinate of the climbing (front-left) hub [m]."""
        x, _, z = data.site_xpos[self.mechanism.hubs[0]].tolist()
        return float(x * self.slope[0] + z * self.slope[1])

    def travels(self, data: Any) -> tuple[float, float, float, float]:
        """Wheel travel u of the four wheels [m]."""
        places = data.qpos.tolist()
        joints = self.mechanism.suspension
        out = []
        for axle, suspension in enumerate(self.axles):
            first, second = places[joints[2 * axle]], places[joints[2 * axle + 1]]
            left, right = suspension.travel(first, second, suspension.half_track)
            out += [left[0], right[0]]
        return out[0], out[1], out[2], out[3]

    def anchor_friction(self, data: Any) -> None:
        """From here on the suspension rubs; in the present state it carries nothing."""
        travels = self.travels(data)
        self.anchors = [list(travels[:2]), list(travels[2:])]

    def rub(self, axle: int, side: int, travel: float) -> float:
        """Force of one friction element that presses its wheel down [N]; it slips as soon as it cannot hold."""
        if self.anchors is None or self.friction[axle][0] <= 0.0:
            return 0.0
        limit, stiffness = self.friction[axle]
        force = stiffness * (travel - self.anchors[axle][side])
        if abs(force) > limit:
            force = limit if force > 0.0 else -limit
            self.anchors[axle][side] = travel - force / stiffness
        return force

    def contacts(self, data: Any) -> list[tuple[list[tuple[float, Vector, Vector]], float]]:
        """`Tyre.contacts` of the four wheels."""
        centres, frames = data.site_xpos.tolist(), data.xmat.tolist()
        out = []
        for tyre, site, body in zip(self.tyres, self.mechanism.hubs, self.mechanism.carriers, strict=True):
            turned = frames[body]
            x, y, z = centres[site]
            out.append(tyre.contacts((x, y, z), (turned[1], turned[4], turned[7])))
        return out

    def apply(self, data: Any, climb: float, climb_rate: float = 0.0) -> float:
        """Set the applied forces of `data` from its present state; returns the servo's force on x [N].

        `climb` is where the climbing hub is to be held [m], `climb_rate` how fast that place moves [m/s].
        """
        mechanism = self.mechanism
        places = data.qpos.tolist()
        joint = [0.0] * len(places)
        bars = []
        for axle, suspension in enumerate(self.axles):
            one, two = mechanism.suspension[2 * axle], mechanism.suspension[2 * axle + 1]
            first, second = places[one], places[two]
            joint[one], joint[two] = suspension.generalised(first, second)
            left, right = suspension.travel(first, second, suspension.half_track)
            for side, (u, along_first, along_second) in enumerate((left, right)):
                force = self.rub(axle, side, u)
                joint[one] -= force * along_first
                joint[two] -= force * along_second
            bars.append((one, two, left[0] - right[0], left[1] - right[1], left[2] - right[2]))
        warp = self.cross_link * (bars[0][2] + bars[1][2])
        for (one, two, apart, along_first, along_second), rate, (linear, cubic) in zip(
            bars, self.bars, self.auxiliary, strict=True
        ):
            pull = (rate + linear) * apart + cubic * apart**3 + warp
            joint[one] -= pull * along_first
            joint[two] -= pull * along_second
        if mechanism.twist is not None:
            fore, aft = mechanism.twist
            couple = self.frame * (places[fore] - places[aft])  # energy K_c w^2 / 2, w = fore - aft
            joint[fore] -= couple
            joint[aft] += couple

        external = self._external
        external.fill(0.0)
        centres = data.xipos.tolist()
        body = mechanism.body
        _, by, bz = centres[body]
        held_x = held_y_torque = held_z_torque = 0.0
        for (found, _), carrier in zip(self.contacts(data), mechanism.carriers, strict=True):
            for _, (px, py, pz), (fx, _, fz) in found:
                cx, cy, cz = centres[carrier]
                rx, ry, rz = px - cx, py - cy, pz - cz
                row = external[carrier]
                row[0] += fx
                row[2] += fz
                row[3] += ry * fz
                row[4] += rz * fx - rx * fz
                row[5] -= ry * fx
                # what the ramp wheel does not hold itself is held at ground level; at the same y, so that
                # no yaw moment is left over, as the driver keeps the vehicle straight
                held_x -= fx
                held_y_torque += bz * fx
                held_z_torque += (py - by) * fx
        stiff, damp = self._servo
        velocity = float(data.qvel[X]) * self.slope[0] + float(data.qvel[Z]) * self.slope[1]
        servo = stiff * (climb - self.climb(data)) + damp * (climb_rate - velocity)
        row = external[body]
        row[0] += held_x + servo
        row[4] += held_y_torque - bz * servo
        row[5] += held_z_torque
        data.xfrc_applied[:] = external
        data.qfrc_applied[:] = joint
        return servo


def pose_height(data: Any, mechanism: Mechanism) -> tuple[float, float, float]:
    """Height [m], pitch and roll [rad] of the body.

    The height is that of the body point which lies at ground level mid front axle at ride height.
    """
    turned = data.xmat[mechanism.body].reshape(3, 3)
    at = data.xpos[mechanism.body] - turned @ np.array(mechanism.origin)
    return float(at[2]), float(data.qpos[PITCH]), float(data.qpos[PITCH + 1])


def frame_twist(data: Any, mechanism: Mechanism) -> tuple[float, float]:
    """The twist w, and how far the halves' angles are from opposite by the engine's constraint [rad]."""
    if mechanism.twist is None:
        return 0.0, 0.0
    fore, aft = (float(data.qpos[joint]) for joint in mechanism.twist)
    return fore - aft, fore + aft
