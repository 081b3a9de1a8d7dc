"""Lift under the front-left wheel at which the rear-left or the front-right unloads, for two axles in roll.

Small angles about the level vehicle at ride height. Every axle is a body, two wheel carriers that turn about
their pivots, and tyres whose torus rolls on the ground. With sigma = t/(2 S) of an independent axle (S the
swing arm) and sigma = 1 of a solid one, p the height of pivot or roll centre above the hub, N the load and
P = N - w the spring load of one wheel (w: half the axle's unsprung weight), R and r the tyre's outer and
section radius, h_w = R - N/k_t the hub's height and h the height of the sprung centre of gravity:

    K_s = k t^2/2 + (k_b + k_a) t^2 (independent), 2 k b^2 + (k_b + k_a) t^2 (solid)
    K_t = k_t t^2/2,   G = 2 N (R - r)
    M = K_s + K_t - sigma^2 G,   Q = K_s + 2 sigma p P + sigma (1 - sigma) G
    K = K_t Q / M,   A = K_t (K_s - sigma^2 G) / M
    C = sum over axles of 2 P H,   H = h - (h_w + sigma p) + (1 - sigma) G/(2 P) + sigma (p + G/(2 P)) Q/M

so each axle has a roll couple A gamma - K phi for its ground rolled by gamma and the body by phi. K and A are
both K_s and K_t in series but for the weight's terms. With disc tyres (r = 0), light wheels (N = P) and rigid
tyres, H is the height above the geometric roll centre (h_w + p) sigma of an independent axle; on a solid
axle with rigid tyres it is the height above its roll centre h_w + p.

Source: second derivatives of the potential energy at ride height, derived in `proofs.roll_stiffness`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NotRequired, TypedDict, Unpack

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


class AxleNumbers(TypedDict):
    """What the closed forms ask of axles in roll; all broadcast together."""

    track: ArrayLike  # t [m]
    axle_load: ArrayLike  # 2 N, both wheels on the ground at ride height [N]
    unsprung_weight: ArrayLike  # 2 w, of the whole axle [N]; below the axle load
    tyre_radius: ArrayLike  # R, unloaded [m]
    tyre_section_radius: ArrayLike  # r, of the torus section [m]
    tyre_stiffness: ArrayLike  # k_t, of one tyre [N/m]
    solid: ArrayLike  # True for a solid axle
    swing_arm: ArrayLike  # S, hub to pivot (independent; not read on a solid axle) [m]
    pivot_height: ArrayLike  # p, of pivot or roll centre above the hub [m]
    spring_rate: ArrayLike  # k, at the wheel (independent) or at the spring (solid) [N/m]
    spring_half_base: ArrayLike  # b, of a solid axle's springs (not read on an independent one) [m]
    bar_rate: ArrayLike  # k_b, at the wheels [N/m]
    auxiliary_rate: NotRequired[ArrayLike]  # k_a, at the wheels, which a released bar leaves; 0 if not given [N/m]


@dataclass(frozen=True, eq=False)
class AxleRoll:
    """Roll of one axle or of several: couple on the ground own gamma - coupling phi."""

    coupling: Array  # K [N m/rad], couple on the ground per body roll, sign reversed
    own: Array  # A [N m/rad], couple on the ground per roll of the ground
    overturning: Array  # 2 P H [N m/rad], the axle's share of the overturning rate C
    arm: Array  # H [m], sprung weight's lever arm over the point its shift is measured from


@dataclass(frozen=True, eq=False)
class UnloadingLifts:
    """Lift of the front-left wheel that unloads another one, [m], by small angles."""

    rear_left: Array
    front_right: Array

    @property
    def first(self) -> Array:
        """The smaller of the two positive lifts, inf where neither wheel unloads [m]."""
        both = np.stack([self.rear_left, self.front_right])
        return np.asarray(np.where(both > 0.0, both, np.inf).min(axis=0))


def half_track_over_arm(axle: AxleNumbers) -> Array:
    """sigma, t/(2 S) of independent axles, 1 of solid ones [-]."""
    solid = np.asarray(axle["solid"], dtype=np.bool_)
    track, arm = (np.asarray(axle[name], dtype=np.float64) for name in ("track", "swing_arm"))
    return np.asarray(np.where(solid, 1.0, track / (2.0 * np.where(solid, 1.0, arm))))


def spring_roll_stiffness(axle: AxleNumbers) -> Array:
    """K_s of axles: springs, bar and auxiliary.

    Returns:
        k t^2/2 + (k_b + k_a) t^2 (independent) or 2 k b^2 + (k_b + k_a) t^2 (solid), small angles [N m/rad].
    """
    names = ("track", "spring_rate", "spring_half_base", "bar_rate", "auxiliary_rate")
    t, k, b, bar, auxiliary = (np.asarray(axle.get(name, 0.0), dtype=np.float64) for name in names)
    return np.asarray(np.where(axle["solid"], 2.0 * k * b**2, k * t**2 / 2.0) + (bar + auxiliary) * t**2)


def axle_roll(*, centre_height: ArrayLike, **axle: Unpack[AxleNumbers]) -> AxleRoll:
    """K, A and C of axles by the formulas of the module's text; all arguments broadcast together.

    Args:
        centre_height: h, of the sprung centre of gravity at ride height, over the ground [m].
        **axle: each axle's numbers; a tyre stiffness of inf for a rigid tyre.

    Returns:
        One value an axle, of the broadcast shape. Valid at ride height without added load or lateral offset,
        clear of stops, springs on their seats, rigid frame, no cross link between axles.
    """
    t, load, unsprung, h, radius, section, tyre, p = (
        np.asarray(value, dtype=np.float64)
        for value in (
            axle["track"], axle["axle_load"], axle["unsprung_weight"], centre_height, axle["tyre_radius"],
            axle["tyre_section_radius"], axle["tyre_stiffness"], axle["pivot_height"],
        )
    )  # fmt: skip
    sigma = half_track_over_arm(axle)
    sprung = load - unsprung  # 2 P
    rolling = load * (radius - section)  # G
    springs = spring_roll_stiffness(axle)
    numerator = springs + sigma * p * sprung + sigma * (1.0 - sigma) * rolling  # Q
    elastic = springs - sigma**2 * rolling
    softness = 1.0 / (tyre * t**2 / 2.0)  # 1/K_t, zero for a rigid tyre
    yielding = 1.0 + elastic * softness  # M / K_t
    overturning = (
        sprung * (h - (radius - load / (2.0 * tyre)) - sigma * p)
        + (1.0 - sigma) * rolling
        + sigma * (p * sprung + rolling) * numerator * softness / yielding
    )
    return AxleRoll(
        coupling=numerator / yielding,
        own=elastic / yielding,
        overturning=overturning,
        arm=overturning / sprung,
    )


def unloading_lifts(track: ArrayLike, axle_load: ArrayLike, roll: AxleRoll) -> UnloadingLifts:
    """Lifts z_RL = t_f t_r F_r (K_f + K_r - C) / (2 K_f K_r) and z_FR, exact for small angles in roll.

    z_FR = t_f^2 F_f (K_f + K_r - C) / (2 (A_f (K_f + K_r - C) - K_f^2)), which is
    t_f^2 F_f (K_f + K_r - C) / (2 K_f (K_r - C)) where A_f = K_f: the two differ by terms of the weight
    against the springs. F is the load of a whole axle, twice that of a wheel.

    Args:
        track: t, front and rear, shape (..., 2) [m].
        axle_load: F, front and rear, of a whole axle, shape (..., 2) [N].
        roll: of the two axles, each field of shape (..., 2).

    Returns:
        Both lifts, shape (...); a negative one never unloads its wheel. Valid for small angles with the load
        of each axle unchanged; its change by pitch is the matter of `small_angle.load_rates`.

    Raises:
        ValueError: K_f + K_r <= C, so the level vehicle is unstable and has no such state.
    """
    t, load = (np.asarray(value, dtype=np.float64) for value in (track, axle_load))
    margin = roll.coupling.sum(axis=-1) - roll.overturning.sum(axis=-1)
    if np.any(margin <= 0.0):
        raise ValueError("the roll stiffness does not exceed the weight's overturning rate")
    front, rear = roll.coupling[..., 0], roll.coupling[..., 1]
    rear_left = t[..., 0] * t[..., 1] * load[..., 1] * margin / (2.0 * front * rear)
    front_right = t[..., 0] ** 2 * load[..., 0] * margin / (2.0 * (roll.own[..., 0] * margin - front**2))
    return UnloadingLifts(rear_left=rear_left, front_right=front_right)


def unloading_lifts_in_series_form(
    track: ArrayLike, axle_load: ArrayLike, roll_stiffness: ArrayLike, overturning: ArrayLike
) -> UnloadingLifts:
    """Both lifts from K_f, K_r and C alone, taking A_f for K_f.

    Args:
        track: t, front and rear, shape (..., 2) [m].
        axle_load: F, front and rear, of a whole axle, shape (..., 2) [N].
        roll_stiffness: K, springs and bar in series with the tyres, shape (..., 2) [N m/rad].
        overturning: C = W H, shape (...) [N m/rad].

    Returns:
        Both lifts, shape (...). Negative where C > K_r: the front axle then gains on its right wheel.

    Raises:
        ValueError: K_f + K_r <= C.
    """
    stiffness = np.asarray(roll_stiffness, dtype=np.float64)
    half = np.asarray(overturning, dtype=np.float64)[..., None] / 2.0
    shares = np.broadcast_to(half, stiffness.shape)
    roll = AxleRoll(coupling=stiffness, own=stiffness, overturning=shares, arm=np.full_like(stiffness, np.nan))
    return unloading_lifts(track, axle_load, roll)
