"""All four wheel loads of a vehicle just on the ramp, to first order in the lift and in the ramp's angle.

Roll and warp are those of `roll_stiffness`; pitch moves load between the axles. Lifting the front-left wheel
by z lifts the front axle by z/2, the vehicle pitches nose up, and the sprung weight moves rearward by its
height over the hubs; the contact point on a ramp is R g ahead of its hub. That point is the undeformed crown
of the tyre, d = N_f/k_t below the ground at which the horizontal remainder (1 - lambda) N_f g is held, which
takes (1 - lambda) d from R. With k_i the ride rate of a whole
axle (2 (k - N (R - r)/S^2) or 2 k in series with both tyres), 1/k = 1/k_f + 1/k_r, and the couple
m = 2 P_f (h - h_wf) + 2 P_r (h - h_wr) of the sprung weight in pitch, the front axle's load changes by

    dF_f = - (m z/2 + N_f (R_f - (1 - lambda) d) g L) / (L^2 - m/k)

and the rear's by the opposite.

Source: second derivatives of the potential energy at ride height, derived in `proofs.pitch_transfer`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from articulate.closed_forms.roll_stiffness import AxleRoll, UnloadingLifts

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LoadRates:
    """First derivatives of the loads front-left, front-right, rear-left, rear-right, shape (..., 4)."""

    lift: Array  # [N/m], per vertical lift of the front-left hub's ground
    ramp_angle: Array  # [N/rad], per angle of the ramp under the front-left wheel


def axle_ride_rate(
    *,
    axle_load: ArrayLike,
    tyre_radius: ArrayLike,
    tyre_section_radius: ArrayLike,
    tyre_stiffness: ArrayLike,
    solid: ArrayLike,
    swing_arm: ArrayLike,
    spring_rate: ArrayLike,
) -> Array:
    """Ride rate of a whole axle in parallel bump; all arguments broadcast together.

    Two springs k in series with two tyres k_t; on an independent axle the tyre rolls as its carrier leans, so
    that N (R - r)/S^2 is lost from k.

    Args:
        axle_load: 2 N, at ride height [N].
        tyre_radius: R, unloaded [m].
        tyre_section_radius: r [m].
        tyre_stiffness: k_t, of one tyre [N/m]; inf for a rigid tyre.
        solid: True for a solid axle.
        swing_arm: S (not read on a solid axle) [m].
        spring_rate: k, at the wheel (independent) or at the spring (solid) [N/m].

    Returns:
        The rate of both wheels together [N/m], at ride height, clear of stops.
    """
    load, radius, section, tyre, arm, k = (
        np.asarray(value, dtype=np.float64)
        for value in (axle_load, tyre_radius, tyre_section_radius, tyre_stiffness, swing_arm, spring_rate)
    )
    is_solid = np.asarray(solid, dtype=np.bool_)
    lean = np.where(is_solid, 0.0, load / 2.0 * (radius - section) / np.where(is_solid, 1.0, arm) ** 2)
    wheel = k - lean
    return 2.0 * wheel / (1.0 + wheel / tyre)


def load_rates(
    *,
    wheelbase: ArrayLike,
    track: ArrayLike,
    axle_load: ArrayLike,
    unsprung_weight: ArrayLike,
    centre_height: ArrayLike,
    tyre_radius: ArrayLike,
    tyre_stiffness: ArrayLike,
    ride_rate: ArrayLike,
    holding_share: ArrayLike,
    roll: AxleRoll,
) -> LoadRates:
    """First derivatives of the four wheel loads by the lift and by the ramp angle, at ride height.

    Args:
        wheelbase: L, shape (...) [m].
        track: t, front and rear, shape (..., 2) [m].
        axle_load: F, of whole axles at ride height, shape (..., 2) [N].
        unsprung_weight: of whole axles, shape (..., 2) [N].
        centre_height: h, of the sprung centre of gravity over the ground, shape (...) [m].
        tyre_radius: R, unloaded, shape (..., 2) [m].
        tyre_stiffness: k_t, shape (..., 2) [N/m].
        ride_rate: of whole axles, from `axle_ride_rate`, shape (..., 2) [N/m].
        holding_share: lambda, shape (...) [-]: share of the slope force held by the ramp wheel itself.
        roll: from `roll_stiffness.axle_roll`, fields of shape (..., 2).

    Returns:
        Both derivatives. A load is N + lift z + ramp_angle g up to second order in z and g; z is the hub's
        rise s sin g - R (1 - cos g). Validity as for `axle_roll`, and L^2 > m/k.
    """
    length, t, load, unsprung, h, radius, tyre, ride, share = (
        np.asarray(value, dtype=np.float64)
        for value in (
            wheelbase, track, axle_load, unsprung_weight, centre_height, tyre_radius, tyre_stiffness,
            ride_rate, holding_share,
        )
    )  # fmt: skip
    hub_height = radius - load / (2.0 * tyre)
    couple = ((load - unsprung) * (h[..., None] - hub_height)).sum(axis=-1)
    stiffness = length**2 - couple * (1.0 / ride).sum(axis=-1)
    per_lift = -couple / 2.0 / stiffness
    sunk = (1.0 - share) * load[..., 0] / (2.0 * tyre[..., 0])
    per_angle = -load[..., 0] / 2.0 * (radius[..., 0] - sunk) * length / stiffness
    margin = roll.coupling.sum(axis=-1) - roll.overturning.sum(axis=-1)
    body_roll = roll.coupling[..., 0] / margin / t[..., 0]  # per lift
    front_couple = roll.own[..., 0] / t[..., 0] - roll.coupling[..., 0] * body_roll
    rear_couple = -roll.coupling[..., 1] * body_roll
    front, rear = front_couple / t[..., 0], rear_couple / t[..., 1]
    pitch = np.array([0.5, 0.5, -0.5, -0.5])
    return LoadRates(
        lift=np.stack([front, -front, rear, -rear], axis=-1) + per_lift[..., None] * pitch,
        ramp_angle=per_angle[..., None] * pitch,
    )


def unloading_lifts(axle_load: ArrayLike, rates: LoadRates, ramp_angle: ArrayLike) -> UnloadingLifts:
    """Lifts that unload the rear-left and the front-right wheel, with pitch and ramp taken in.

    The couple of the contact ahead of its hub grows with the load of the climbing wheel, so that
    N + N_z z + N_g g (1 + N_FL,z z / N_FL) = 0, with N_z and N_g the rates by lift and by angle.

    Args:
        axle_load: F, of whole axles at ride height, shape (..., 2) [N].
        rates: from `load_rates`, for the same vehicles.
        ramp_angle: g, shape (...) [rad].

    Returns:
        Both lifts [m], shape (...); a negative one never unloads its wheel. As all rates grow and the angle
        falls together, the error falls with their square; that of `roll_stiffness.unloading_lifts`, which
        leaves pitch and ramp out, falls in proportion.
    """
    wheel_load = np.repeat(np.asarray(axle_load, dtype=np.float64) / 2.0, 2, axis=-1)
    tilt = rates.ramp_angle * np.asarray(ramp_angle, dtype=np.float64)[..., None]
    gain = (rates.lift[..., 0] / wheel_load[..., 0])[..., None]
    lifts = -(wheel_load + tilt) / (rates.lift + tilt * gain)
    return UnloadingLifts(rear_left=lifts[..., 2], front_right=lifts[..., 1])
