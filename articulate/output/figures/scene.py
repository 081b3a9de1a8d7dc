"""What there is to see of a vehicle on the ramp: plain arrays in metres and newtons, from the solved posture.

Drawings, the moving climb and anything interactive take their geometry from here. Coordinates are those of the ground:
x forward from the toe of the ramp, y to the left of the vehicle's centre plane, z up; left and right are the vehicle's
own, for a ramp on either side. The body's outline is that of its kind (`articulate.shape`), placed as the body is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.model.balance import BODY_ROLL, TWIST, RampSystem
from articulate.model.carriers import HUB
from articulate.model.measures import Measures, beyond_limits, body_points, measures
from articulate.model.posture import Posture
from articulate.model.tyre_contact import LEFT_RAMP
from articulate.model.vehicles import Vehicles
from articulate.shape.kinds import ShapeChoices, kind_of
from articulate.shape.outline import BodyOutline, Known, body_outline
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.studies.day.moments import Moments
from articulate.trace import RAMP_WIDTH, BodyPoint, body_clearance
from articulate.types import ACROSS, lateral_sign, ramp_wheel, wheel_order

Array = NDArray[np.float64]

SEAT_ABOVE_HUB = 0.42  # [m], where a spring's upper seat is drawn; a schematic place
ARM_DRAWN = 0.58  # of the half track, from the hub inboard; the pivot itself may lie beyond the other wheel


@dataclass(frozen=True, eq=False, repr=False)
class Scene(Brief):
    """One moment, wheels in the order front-left, front-right, rear-left, rear-right; lengths [m], loads [N]."""

    side: str  # of the ramp
    bars: str
    angle: float  # [rad]
    climb: float  # of the ramp wheel's hub: the mark is there, square below the hub
    ramp_length: float  # along the slope, inf if not known
    wheelbase: float
    converged: bool
    hub: Array  # (4, 3)
    axle_direction: Array  # (4, 3), unit vectors along the wheels' axles
    tyre_radius: Array  # (4,)
    section_radius: Array  # (4,)
    contact: Array  # (4, 3), crown point of each tyre: where its load acts, or the point next to the ground
    load: Array  # (4,), normal to the ground
    load_direction: Array  # (4, 3), unit vectors
    on_ramp: NDArray[np.bool_]  # (4,), the load is carried by the ramp
    carrier: Array  # (4, 2, 3), from the hub to the inner end that is drawn (a solid axle's middle)
    solid: NDArray[np.bool_]  # (4,)
    spring: Array  # (4, 2, 3), lower and upper end
    hub_travel: Array  # (4,), bump positive
    travel: Array  # (4,), at the stop that is nearer in turn: bump positive, droop negative
    bump_gap: Array  # (4,), at the stop
    droop_gap: Array  # (4,)
    unseated: NDArray[np.bool_]  # (4,), a loose coil out of its seat
    body_up: Array  # (3,), unit vector along body z
    outline: BodyOutline  # in body coordinates: behind the front axle, left, above the ground at ride height
    body_origin: Array  # (3,), where their origin is
    body_axes: Array  # (3, 3), their unit vectors, a row each
    bar_fitted: NDArray[np.bool_]  # (2,), front and rear axle
    bar_free: NDArray[np.bool_]  # (2,), released
    mass_centre: Array  # (3,)
    points: tuple[str, ...]  # bodywork
    point: Array  # (points, 3)
    point_clearance: Array  # (points,), square to ramp or ground
    pitch: float  # [rad], nose down positive
    roll: float  # [rad], left side up positive
    twist: float  # [rad]
    tipping_margin: float  # [m]
    tipping_angle: float  # [rad]

    @property
    def mark(self) -> Array:
        """The foot of the square on the ramp, under the ramp wheel's hub, (3,) [m]."""
        slope = np.array([self.climb * np.cos(self.angle), 0.0, self.climb * np.sin(self.angle)])
        slope[1] = self.hub[self.ramp_wheel, 1]
        return slope

    def placed(self, points: Array) -> Array:
        """Points of the body, (..., 3) in its coordinates, on the ground's [m]."""
        return np.asarray(self.body_origin + points @ self.body_axes)

    @property
    def ramp_wheel(self) -> int:
        """Index of the climbing wheel."""
        return ramp_wheel(self.side)

    @property
    def bump_met(self) -> NDArray[np.bool_]:
        """Corners on their bump stop, (4,)."""
        return self.travel >= self.bump_gap

    @property
    def droop_met(self) -> NDArray[np.bool_]:
        """Corners at full droop, (4,)."""
        return -self.travel >= self.droop_gap


def outline_of(
    vehicles: Vehicles, points: Sequence[BodyPoint] = (), arch_gap: Array | None = None, spec: VehicleSpec | None = None
) -> BodyOutline:
    """The outline of a vehicle's body, fitted to what is known of it.

    Args:
        vehicles: a batch whose first lane is the vehicle, in its own left and right.
        points: given points of the bodywork.
        arch_gap: (2,) or (lanes, 2) [m], infinite where it is not known.
        spec: the vehicle as described; without it the kind of body is guessed.
    """
    said = spec.shape if spec is not None else ShapeChoices()
    construction = spec.construction if spec is not None else "body on frame"
    wheelbase = float(vehicles.wheelbase[0])
    gap = np.full(2, np.inf) if arch_gap is None else np.asarray(arch_gap).reshape(-1, 2)[0]

    def pair(values: Array) -> tuple[float, float]:
        return float(values[0]), float(values[1])

    return body_outline(
        Known(
            kind=said.kind or kind_of(construction, wheelbase),
            wheelbase=wheelbase,
            track=pair(vehicles.track[0]),
            hub_height=pair(vehicles.reference_hub_height()[0]),
            tyre_radius=pair(vehicles.tyre_radius[0]),
            section_radius=pair(vehicles.tyre_section_radius[0]),
            arch_gap=pair(gap),
            points=np.array([[p.behind_front_axle, p.left_of_centre, p.height] for p in points]).reshape(-1, 3),
            said=said,
        )
    )


def scenes(moments: Moments, bodywork: Sequence[BodyPoint] = (), outline: BodyOutline | None = None) -> list[Scene]:
    """What there is to see at each moment, as one batch; without an outline one is fitted to the vehicle's arrays."""
    vehicles, test, lanes = moments.vehicles, moments.test, moments.climb.size
    system = RampSystem.of(vehicles, test)
    posture = system.posture(moments.state, moments.climb)
    found = measures(system, moments.state, moments.climb)
    sign, swap = lateral_sign(moments.side), wheel_order(moments.side)
    flip = np.array([1.0, sign, 1.0])
    lane_points = [BodyPoint(p.name, p.behind_front_axle, sign * p.left_of_centre, p.height) for p in bodywork]
    local = np.array([[p.behind_front_axle, p.left_of_centre, p.height] for p in lane_points]).reshape(-1, 3)
    placed = body_points(system, posture, moments.state, np.broadcast_to(local, (lanes, *local.shape)))
    lane_centre = 0.5 * float(vehicles.track[0, 0])
    clearance = body_clearance(system, test, moments.state, moments.climb, lane_points, lane_centre, RAMP_WIDTH)
    carrier, spring = _carriers(moments, system, posture, found)
    shape = outline if outline is not None else outline_of(vehicles, bodywork)
    origin, axes = _body_pose(moments, system, posture, sign)
    bars = (vehicles.bar_rate > 0.0) | vehicles.bar_releasable
    normal, on_ramp = _load_direction(posture, test.angle)
    axle = _axle_direction(posture)
    travel = np.where(found.hub_travel >= 0.0, found.bump_displacement, -found.droop_displacement)

    def corners(axle_values: NDArray[Any]) -> NDArray[Any]:
        return np.repeat(axle_values, 2, axis=1)

    unseated = beyond_limits(found, vehicles)[:, 2] > 0.0
    up = _body_up(moments, posture)
    return [
        Scene(
            side=moments.side,
            bars=moments.bars[k],
            angle=float(test.angle[k]),
            climb=float(moments.climb[k]),
            ramp_length=float(test.length[k]),
            wheelbase=float(vehicles.wheelbase[k]),
            converged=bool(moments.converged[k]),
            hub=found.hub[k, swap] * flip,
            axle_direction=axle[k, swap] * flip,
            tyre_radius=corners(vehicles.tyre_radius)[k],
            section_radius=corners(vehicles.tyre_section_radius)[k],
            contact=found.contact[k, swap] * flip,
            load=found.wheel_load[k, swap],
            load_direction=normal[k, swap] * flip,
            on_ramp=on_ramp[k, swap],
            carrier=carrier[k, swap] * flip,
            solid=corners(vehicles.solid)[k],
            spring=spring[k, swap] * flip,
            hub_travel=found.hub_travel[k, swap],
            travel=travel[k, swap],
            bump_gap=corners(vehicles.bump_gap)[k],
            droop_gap=corners(vehicles.droop_gap)[k],
            unseated=unseated[k, swap],
            body_up=up[k] * flip,
            outline=shape,
            body_origin=origin[k] * flip,
            body_axes=axes[k] * flip,
            bar_fitted=bars[k],
            bar_free=bars[k] & (vehicles.bar_rate[k] <= 0.0),
            mass_centre=found.mass_centre[k] * flip,
            points=tuple(p.name for p in bodywork),
            point=placed[k] * flip,
            point_clearance=clearance[k],
            pitch=float(found.pitch[k]),
            roll=sign * float(found.roll[k]),
            twist=sign * float(found.twist[k]),
            tipping_margin=float(found.tipping_margin[k]),
            tipping_angle=float(found.tipping_angle[k]),
        )
        for k in range(lanes)
    ]


def _load_direction(posture: Posture, angle: Array) -> tuple[Array, NDArray[np.bool_]]:
    force = posture.contacts.normal_force
    ramp = np.stack([-np.sin(angle), np.zeros_like(angle), np.cos(angle)], axis=-1)
    flat = np.array([0.0, 0.0, 1.0])
    direction = np.tile(flat, (angle.size, 4, 1))
    on_ramp = np.zeros((angle.size, 4), dtype=bool)
    both = force[:, :, 0, None] * flat + force[:, :, LEFT_RAMP, None] * ramp[:, None]
    size = np.linalg.norm(both, axis=-1, keepdims=True)
    direction[:, 0::2] = np.where(size > 0.0, both / np.where(size > 0.0, size, 1.0), flat)
    on_ramp[:, 0::2] = force[:, :, LEFT_RAMP] > force[:, :, 0]
    return direction, on_ramp


def _axle_direction(posture: Posture) -> Array:
    """Unit vectors along the wheels' axles, a = (sin psi sin p, cos psi, sin psi cos p), (lanes, 4, 3)."""
    lean_sine, lean_cosine = posture.hub.lean_sine[:, :, :LEFT_RAMP], posture.hub.lean_cosine[:, :, :LEFT_RAMP]
    pitch_sine, pitch_cosine = posture.pitch_sine[:, None, None], posture.pitch_cosine[:, None, None]
    axle = np.stack([lean_sine * pitch_sine, lean_cosine, lean_sine * pitch_cosine], axis=-1)
    return np.asarray(axle.reshape(axle.shape[0], 4, 3))


def _body_up(moments: Moments, posture: Posture) -> Array:
    roll = moments.state[:, BODY_ROLL]
    return np.stack([np.cos(roll) * posture.pitch_sine, -np.sin(roll), np.cos(roll) * posture.pitch_cosine], axis=-1)


def _carriers(moments: Moments, system: RampSystem, posture: Posture, found: Measures) -> tuple[Array, Array]:
    """Carriers and springs as drawn, (lanes, 4, 2, 3) each.

    A point of a carrier keeps its place on the line from hub to pivot (independent) or from hub to hub (solid), so it
    moves as the carrier does. Springs of a solid axle stand at their own base; those of an independent one at the
    inner end of the arm that is drawn, for the wheel rate says nothing of their place.
    """
    vehicles, geometry = moments.vehicles, system.geometry
    lanes = moments.climb.size
    half_track = np.repeat(vehicles.track / 2.0, 2, axis=1)
    solid = np.repeat(vehicles.solid, 2, axis=1)
    hub = found.hub
    pivot = np.stack([posture.pivot_y, posture.pivot_zeta], axis=-1).reshape(lanes, -1, 2)
    pivot = pivot if pivot.shape[1] == 4 else np.repeat(pivot, 2, axis=1)
    x = np.repeat(geometry.axle_x, 2, axis=1)
    pivot_ground = np.stack(
        [
            posture.origin_x[:, None] + x * posture.pitch_cosine[:, None] + pivot[..., 1] * posture.pitch_sine[:, None],
            pivot[..., 0],
            posture.origin_z[:, None] - x * posture.pitch_sine[:, None] + pivot[..., 1] * posture.pitch_cosine[:, None],
        ],
        axis=-1,
    )
    arm = np.abs(np.repeat(geometry.lateral[:, :, 0, HUB], 2, axis=1))
    other = hub[:, ACROSS]
    share = np.where(solid, 0.5, ARM_DRAWN * half_track / arm)[..., None]
    inner = hub + share * (np.where(solid[..., None], other, pivot_ground) - hub)

    base = np.where(solid, np.repeat(vehicles.spring_half_base, 2, axis=1), (1.0 - ARM_DRAWN) * half_track)
    on_axle = np.where(solid, (half_track - base) / (2.0 * half_track), share[..., 0])[..., None]
    lower = hub + on_axle * (np.where(solid[..., None], other, pivot_ground) - hub)
    # Upper seats are fixed in their part of the body, which the frame's twist rolls.
    half_twist = moments.state[:, TWIST, None] * np.array([0.5, 0.5, -0.5, -0.5])
    roll = moments.state[:, BODY_ROLL, None] + half_twist
    y = base * np.array([1.0, -1.0, 1.0, -1.0])
    height = np.repeat(vehicles.reference_hub_height(), 2, axis=1) - geometry.origin_height[:, None] + SEAT_ABOVE_HUB
    seat_zeta = y * np.sin(roll) + height * np.cos(roll)
    upper = np.stack(
        [
            posture.origin_x[:, None] + x * posture.pitch_cosine[:, None] + seat_zeta * posture.pitch_sine[:, None],
            y * np.cos(roll) - height * np.sin(roll),
            posture.origin_z[:, None] - x * posture.pitch_sine[:, None] + seat_zeta * posture.pitch_cosine[:, None],
        ],
        axis=-1,
    )
    return np.stack([hub, inner], axis=2), np.stack([lower, upper], axis=2)


def _body_pose(moments: Moments, system: RampSystem, posture: Posture, sign: float) -> tuple[Array, Array]:
    """Origin of the body's coordinates (lanes, 3), their unit vectors (lanes, 3, 3), a row each, in its frame."""
    ends = np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, sign, 0.0], [0.0, 0.0, 1.0]])
    placed = body_points(system, posture, moments.state, np.broadcast_to(ends, (moments.climb.size, 4, 3)))
    return placed[:, 0], placed[:, 1:] - placed[:, :1]
