"""What there is to see of a vehicle on the ramp: plain arrays in metres and newtons, from the solved posture.

Drawings, the moving climb and anything interactive take their geometry from here. Coordinates are those of the ground:
x forward from the toe of the ramp, y to the left of the vehicle's centre plane, z up; left and right are the vehicle's
own, for a ramp on either side. The body's outline is a plain two-box shape drawn from wheelbase, track, tyre radius and
height of the centre of gravity: it shows attitude, no more.
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
    body_profile: Array  # (k, 3), outline in the centre plane
    body_section: Array  # (2, k, 3), outline across the body at the front and the rear axle
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


def scene_data(scene: Scene) -> dict[str, Any]:
    """A scene as plain lists, numbers and words, for JSON: SI, field names as in `Scene`, with the mark."""
    data: dict[str, Any] = {}
    for name in scene.__dataclass_fields__:
        value = getattr(scene, name)
        data[name] = value.tolist() if isinstance(value, np.ndarray) else value
    data["points"] = list(scene.points)
    data["ramp_length"] = scene.ramp_length if np.isfinite(scene.ramp_length) else None
    data["mark"] = scene.mark.tolist()
    return data


def scenes(moments: Moments, bodywork: Sequence[BodyPoint] = ()) -> list[Scene]:
    """What there is to see at each moment, as one batch."""
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
    profile, section = _outline(moments, system, posture, found)
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
            body_profile=profile[k] * flip,
            body_section=section[k] * flip,
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


def _outline(moments: Moments, system: RampSystem, posture: Posture, found: Measures) -> tuple[Array, Array]:
    """Outline in the centre plane (lanes, k, 3) and across the body at both axles (lanes, 2, k, 3)."""
    vehicles, lanes = moments.vehicles, moments.climb.size
    length = vehicles.wheelbase
    radius = vehicles.tyre_radius.mean(axis=1)
    floor = 1.15 * vehicles.reference_hub_height().mean(axis=1)
    roof = np.maximum(vehicles.sprung_centre[:, 2] / 0.42, floor + 0.8)
    bonnet = floor + 0.48 * (roof - floor)
    front, rear = -(radius + 0.10 * length), length + radius + 0.10 * length
    zero = np.zeros(lanes)

    def rows(pairs: list[tuple[Array, Array, Array]]) -> Array:
        points = np.array(pairs).transpose(2, 0, 1)
        return body_points(system, posture, moments.state, points)

    profile = rows(
        [
            (front, zero, floor),
            (front, zero, bonnet - 0.08),
            (front + 0.10, zero, bonnet),
            (0.20 * length, zero, bonnet),
            (0.40 * length, zero, roof),
            (rear - 0.06 * length, zero, roof),
            (rear, zero, bonnet),
            (rear, zero, floor),
        ]
    )
    half = vehicles.track.mean(axis=1) / 2.0 + vehicles.tyre_section_radius.mean(axis=1)
    sections = [
        rows(
            [
                (x, -half, floor),
                (x, -half, bonnet),
                (x, -0.80 * half, roof),
                (x, 0.80 * half, roof),
                (x, half, bonnet),
                (x, half, floor),
            ]
        )
        for x in (zero, length)
    ]
    return profile, np.stack(sections, axis=1)
