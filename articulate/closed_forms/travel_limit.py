"""Climb of a vehicle whose springs give way and whose stops do not: travel alone decides.

With very soft springs a diagonal couple finds no resistance until all four stops of the warp are reached:
front-left on its bump stop, front-right on its droop stop, rear-left droop, rear-right bump. The next
millimetre lifts a wheel, whichever the balance chooses. How the body shares the warp between the axles on the
way there does not matter.

A solid axle held by an inboard bump stop (half base b_b) keeps turning about it until the other side's
damper (half base b_d) is out, so that its angle against the body is sin(alpha) = (B + D)/(b_b + b_d) for bump
and droop gaps B and D. An independent axle's hubs stand at +B and -D: tan(alpha) = (B + D)/t for straight travel.

Source: rigid-body geometry, derived in `proofs.travel_limit`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from articulate.closed_forms.hub_path import climb_from_hub_rise, first_touch_before_toe

Array = NDArray[np.float64]

_ITERATIONS = 60


@dataclass(frozen=True, eq=False)
class TravelLimit:
    """The rigid vehicle with all four stops of its warp taken up, each of shape (...)."""

    climb: Array  # [m]
    hub_rise: Array  # [m], of the climbing hub over its height on the flat
    articulation: Array  # [rad], front axle against rear axle, hub line against hub line
    body_roll: Array  # [rad], left side up
    body_pitch: Array  # [rad], nose down positive
    rear_wheel_on_flat: NDArray[np.bool_]  # False where the rear-left wheel would stand in the ramp


def solid_axle_limit_angle(
    bump_gap: ArrayLike, droop_gap: ArrayLike, bump_half_base: ArrayLike, droop_half_base: ArrayLike
) -> Array:
    """Largest angle of a solid axle against the body, asin((B + D)/(b_b + b_d)).

    Args:
        bump_gap: B, free travel at the bump stop, any shape [m].
        droop_gap: D, free travel at the damper, broadcast [m].
        bump_half_base: b_b, broadcast [m].
        droop_half_base: b_d, broadcast [m].

    Returns:
        alpha [rad]; the height of the roll centre does not enter.

    Raises:
        ValueError: B + D > b_b + b_d, the axle turns right over before it is held.
    """
    bump, droop, inner, outer = (
        np.asarray(value, dtype=np.float64) for value in (bump_gap, droop_gap, bump_half_base, droop_half_base)
    )
    sine = (bump + droop) / (inner + outer)
    if np.any(sine > 1.0):
        raise ValueError("the gaps exceed the half bases: the axle is never held by its stops")
    return np.asarray(np.arcsin(sine))


def independent_axle_limit_angle(bump_gap: ArrayLike, droop_gap: ArrayLike, track: ArrayLike) -> Array:
    """Angle of the line through the hubs of an independent axle against the body, atan((B + D)/t).

    Args:
        bump_gap: B, free travel at the wheel, any shape [m].
        droop_gap: D, broadcast [m].
        track: t, broadcast [m].

    Returns:
        alpha [rad], for hubs that travel straight along the body's vertical (a long swing arm).
    """
    bump, droop, t = (np.asarray(value, dtype=np.float64) for value in (bump_gap, droop_gap, track))
    return np.arctan2(bump + droop, t)


def articulated_rise(
    front_track: ArrayLike,
    front_angle: ArrayLike,
    rear_angle: ArrayLike,
    front_solid: ArrayLike,
    body_pitch: ArrayLike = 0.0,
) -> Array:
    """Rise of the front-left hub over the front-right, t_f sin(alpha_f + alpha_r) for a solid front axle.

    An independent one is longer by its travel, so 1/cos(alpha_f) times that. Both times cos(pitch).

    Args:
        front_track: t_f, any shape [m].
        front_angle: alpha_f, front axle against the body, broadcast [rad].
        rear_angle: alpha_r, body against a rear axle that is flat on the ground, broadcast [rad].
        front_solid: True for a solid front axle, broadcast.
        body_pitch: broadcast [rad].

    Returns:
        The rise [m]; exact for tyres of spherical section on the flat and straight hub travel.
    """
    t, front, rear, pitch = (
        np.asarray(value, dtype=np.float64) for value in (front_track, front_angle, rear_angle, body_pitch)
    )
    hub_line = t / np.where(np.asarray(front_solid, dtype=np.bool_), 1.0, np.cos(front))
    return np.asarray(hub_line * np.sin(front + rear) * np.cos(pitch))


def travel_limited_climb(rise: ArrayLike, tyre_radius: ArrayLike, ramp_angle: ArrayLike) -> Array:
    """Climb from the rise of `articulated_rise`, (rise + R (1 - cos g)) / sin g.

    Args:
        rise: any shape [m].
        tyre_radius: R, broadcast [m].
        ramp_angle: g, broadcast [rad].

    Returns:
        s [m]; valid while the rear-left wheel is still on the flat and the ramp is long enough.
    """
    return climb_from_hub_rise(rise, tyre_radius, ramp_angle)


def _independent_hub(travel: Array, track: Array, swing_arm: Array, pivot_height: Array) -> tuple[Array, Array]:
    """Outward position [m] and lean [rad] of a carrier at a given hub travel along body z."""
    reach = np.hypot(swing_arm, pivot_height)
    lean = np.arctan2(pivot_height, swing_arm) + np.arcsin((travel - pivot_height) / reach)
    outward = track / 2.0 + pivot_height * np.sin(lean) + swing_arm * (np.cos(lean) - 1.0)
    return outward, lean


def rigid_limit(
    *,
    wheelbase: ArrayLike,
    track: ArrayLike,
    tyre_radius: ArrayLike,
    tyre_section_radius: ArrayLike,
    solid: ArrayLike,
    swing_arm: ArrayLike,
    pivot_height: ArrayLike,
    bump_gap: ArrayLike,
    bump_half_base: ArrayLike,
    droop_gap: ArrayLike,
    droop_half_base: ArrayLike,
    ramp_angle: ArrayLike,
) -> TravelLimit:
    """The travel-limited vehicle in full: finite angles, swing-arm paths, leaning tyres, pitch and ramp.

    Three rigid tyres stand on the flat, which fixes height, roll and pitch of the body; the front-left hub
    follows, and with it the climb. The tyre's lean couples roll and pitch weakly; a fixed-point
    iteration resolves that to rounding.

    Args:
        wheelbase: L, shape (...) [m].
        track: t, front and rear, shape (..., 2) [m]; so are all the axle arguments below.
        tyre_radius: R [m].
        tyre_section_radius: r [m].
        solid: True for a solid axle.
        swing_arm: S, independent axle (not read on a solid one) [m].
        pivot_height: p, pivot or roll centre above the hub [m].
        bump_gap: B [m].
        bump_half_base: b_b of a solid axle (not read on an independent one) [m].
        droop_gap: D [m].
        droop_half_base: b_d of a solid axle (not read on an independent one) [m].
        ramp_angle: g, shape (...) [rad].

    Returns:
        Climb and attitude. Exact in the limit of rigid tyres and stops, vanishing spring and bar rates
        (the springs still carry their static load) and a weight that does not overturn the body first.

    Raises:
        ValueError: A solid axle's stops never hold it (see `solid_axle_limit_angle`).
    """
    length, g = (np.asarray(value, dtype=np.float64) for value in (wheelbase, ramp_angle))
    t, radius, section, arm, p, bump, bump_base, droop, droop_base = np.broadcast_arrays(
        *(
            np.asarray(value, dtype=np.float64)
            for value in (
                track, tyre_radius, tyre_section_radius, swing_arm, pivot_height, bump_gap, bump_half_base,
                droop_gap, droop_half_base,
            )
        )
    )  # fmt: skip
    is_solid = np.broadcast_to(np.asarray(solid, dtype=np.bool_), t.shape)

    # Raised (bump) and lowered (droop) end of each axle: outward position, travel and lean towards bump.
    turn = solid_axle_limit_angle(np.where(is_solid, bump, 0.0), np.where(is_solid, droop, 0.0), bump_base, droop_base)
    slide = bump - bump_base * np.sin(turn)  # of the axle's centre, roll centre's rise included
    safe_arm = np.where(is_solid, 1.0, arm)
    safe_p = np.where(is_solid, 0.0, p)
    up_out, up_lean = _independent_hub(np.where(is_solid, 0.0, bump), t, safe_arm, safe_p)
    down_out, down_lean = _independent_hub(np.where(is_solid, 0.0, -droop), t, safe_arm, safe_p)
    half = t / 2.0
    up_out = np.where(is_solid, half * np.cos(turn) + p * np.sin(turn), up_out)
    down_out = np.where(is_solid, half * np.cos(turn) - p * np.sin(turn), down_out)
    up_travel = np.where(is_solid, slide + half * np.sin(turn), bump)
    down_travel = np.where(is_solid, slide - half * np.sin(turn), -droop)
    up_lean = np.where(is_solid, turn, up_lean)
    down_lean = np.where(is_solid, -turn, down_lean)

    # Wheels in the body's frame; the front's left end is raised, the rear's right one.
    left_first = np.array([True, False])
    y = np.stack([np.where(left_first, up_out, down_out), -np.where(left_first, down_out, up_out)], axis=-1)
    z = np.stack([np.where(left_first, up_travel, down_travel), np.where(left_first, down_travel, up_travel)], axis=-1)
    z = z + radius[..., None]
    lean = np.stack([np.where(left_first, up_lean, down_lean), -np.where(left_first, down_lean, up_lean)], axis=-1)
    crown, flank = (radius - section)[..., None], section[..., None]

    dy, dz = y[..., 1, 0] - y[..., 1, 1], z[..., 1, 0] - z[..., 1, 1]
    pitch = np.zeros(np.broadcast_shapes(length.shape, dy.shape, g.shape))
    roll = np.arctan2(-dz, dy) + pitch
    for _ in range(_ITERATIONS):
        leaning = lean + roll[..., None, None]
        stand = crown * np.sqrt(1.0 - (np.cos(pitch)[..., None, None] * np.sin(leaning)) ** 2) + flank
        step = (stand[..., 1, 0] - stand[..., 1, 1]) / np.cos(pitch)
        roll = np.arcsin(step / np.hypot(dy, dz)) - np.arctan2(dz, dy)
        height = y * np.sin(roll)[..., None, None] + z * np.cos(roll)[..., None, None]
        ahead = height[..., 0, 1] - height[..., 1, 1]
        rise = stand[..., 0, 1] - stand[..., 1, 1]
        pitch = np.arctan2(ahead, length) - np.arcsin(rise / np.hypot(ahead, length))

    leaning = lean + roll[..., None, None]
    stand = crown * np.sqrt(1.0 - (np.cos(pitch)[..., None, None] * np.sin(leaning)) ** 2) + flank
    height = y * np.sin(roll)[..., None, None] + z * np.cos(roll)[..., None, None]
    hub = stand[..., 0, 1] + np.cos(pitch) * (height[..., 0, 0] - height[..., 0, 1])
    on_ramp = crown[..., 0, 0] * np.sqrt(1.0 - (np.cos(pitch + g) * np.sin(leaning[..., 0, 0])) ** 2) + flank[..., 0, 0]
    climb = (hub - on_ramp * np.cos(g)) / np.sin(g)
    front_x = climb * np.cos(g) - on_ramp * np.sin(g)
    rear_x = front_x - length * np.cos(pitch) + (height[..., 1, 0] - height[..., 0, 0]) * np.sin(pitch)
    axle_line = np.arctan2(z[..., 0] - z[..., 1], y[..., 0] - y[..., 1])
    return TravelLimit(
        climb=climb,
        hub_rise=hub - stand[..., 0, 1],
        articulation=np.broadcast_to(axle_line[..., 0] - axle_line[..., 1], climb.shape).copy(),
        body_roll=roll,
        body_pitch=pitch,
        rear_wheel_on_flat=np.asarray(rear_x < -first_touch_before_toe(radius[..., 1], g)),
    )
