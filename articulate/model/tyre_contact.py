"""Torus tyres on the flat and on the ramp: penetration, contact point, forces, and their derivatives.

A tyre is a torus: crown circle of radius rho = R - r about the axle direction, section radius r. On a plane
through the toe line with unit normal n (tilted by g; t up the slope), hub c and axle direction a:

    e = (n - (n.a) a) / |n - (n.a) a|,  p = c - rho e - r n,  d = -(n.p),  N = k_t d while d > 0.

With pitch p and the carrier's total lean psi (body roll + frame twist + carrier turn) a = (sin psi sin p,
cos psi, sin psi cos p), so with beta = p + g:

    n.a = sin psi cos beta,            E = |n - (n.a) a| = sqrt(1 - sin^2 psi cos^2 beta),
    d = r + rho E - n.c,
    s_p = t.c + rho sin^2 psi sin beta cos beta / E       (slope coordinate of p; x_p on the flat),
    y_p = y_c + rho sin psi cos psi cos beta / E.

On the ramp a contact carries N n + lambda N tan(g) t at p. Three contacts an axle: left on the flat while
x_p < 0, right on the flat, left on the ramp while s_p > 0.

With (z, P, R, T, C, x) for height of the body origin, pitch, roll of the axle's part of the body about the
origin, turn and slide of the wheel's own carrier, and x of the origin, every derivative follows from the motion of
the hub in the cross plane (y, zeta) and from

    dE/dpsi = -cos beta * Y,    dE/dbeta = S,    Y = (y_p - y_c) / rho,    S = (s_p - t.c) / rho.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief

Array = NDArray[np.float64]

LEFT_FLAT, RIGHT_FLAT, LEFT_RAMP = 0, 1, 2
Z, PITCH, ROLL, TURN, SLIDE, VALUE, X = range(7)  # directions of derivatives, and the place of the value itself


@dataclass(frozen=True, eq=False, repr=False)
class TyreContacts(Brief):
    """Contacts of the four tyres, shape (lanes, 2, 3): axle, then left flat, right flat, left ramp."""

    penetration: Array  # [m], d, negative when clear of the plane
    in_reach: NDArray[np.bool_]  # the contact point lies on its own part of the ground
    slope_point: Array  # [m], s_p (x_p on the flat)
    lateral_point: Array  # [m], y_p
    normal_force: Array  # [N], N


@dataclass(frozen=True, eq=False, repr=False)
class HubMotion(Brief):
    """Hubs in the cross plane at the three contacts of an axle, arrays (lanes, 2, 3, ...), lanes fastest.

    A roll about the body origin moves a hub by (dy, dzeta) = (-zeta, y), a turn of its carrier the same about the
    pivot, a slide by (-sin, cos) of the roll: `across` is minus dy, `up` dzeta, along roll, turn, slide.
    """

    up: Array  # (lanes, 2, 3, 3)
    across: Array  # (lanes, 2, 3, 3)
    lean_sine: Array  # (lanes, 2, 3), sin(psi)
    lean_cosine: Array

    @property
    def y(self) -> Array:
        """Hub's y [m]."""
        return np.asarray(self.up[..., 0])

    @property
    def zeta(self) -> Array:
        """Hub's zeta [m]."""
        return np.asarray(self.across[..., 0])


@dataclass(frozen=True, eq=False, repr=False)
class ContactDerivatives(Brief):
    """Derivatives of d, s_p, y_p, shape (lanes, 2, 3, 7); the place VALUE has d itself, and 0 for s_p and y_p."""

    penetration: Array
    slope_point: Array
    lateral_point: Array


def tyre_contacts(
    hub: HubMotion,
    origin_normal: Array,
    origin_along: Array,
    axle_x: Array,
    beta_sine: Array,
    beta_cosine: Array,
    plane_sine: Array,
    plane_cosine: Array,
    crown_radius: Array,
    section_radius: Array,
    stiffness: Array,
) -> tuple[TyreContacts, ContactDerivatives]:
    """Contacts and their derivatives (formulas in the module docstring).

    hub: the hubs; origin_normal, origin_along: n.o and t.o of the body origin o, (lanes, 1, 3) [m]; axle_x:
    (lanes, 2, 1) [m]; beta_*, plane_*: (lanes, 1, 3), sine and cosine of beta and of the plane's angle;
    crown_radius (rho), section_radius (r): (lanes, 2, 1) [m]; stiffness: (lanes, 2, 1) [N/m].

    Valid while the wheel does not lie on its side, |n.a| < 1.
    """
    hub_along = axle_x * beta_cosine + hub.zeta * beta_sine  # t.(c - o)
    hub_normal = hub.zeta * beta_cosine - axle_x * beta_sine  # n.(c - o)
    sine, cosine = hub.lean_sine, hub.lean_cosine
    tilt = sine * beta_cosine
    root = np.sqrt(1.0 - tilt * tilt)  # E
    inverse = 1.0 / root
    along = sine * inverse
    cosine_along = cosine * along
    sine_along = sine * along
    beta_product = beta_sine * beta_cosine
    shift_y = cosine_along * beta_cosine  # Y
    shift_s = sine_along * beta_product  # S
    e_psi = -beta_cosine * shift_y

    shape = (*tilt.shape, 7)
    d, s, y = np.empty(shape, order="F"), np.empty(shape, order="F"), np.zeros(shape, order="F")
    penetration = d[..., VALUE]
    np.subtract(section_radius + crown_radius * root, origin_normal + hub_normal, out=penetration)
    slope_point = origin_along + hub_along + crown_radius * shift_s
    lateral_point = hub.y + crown_radius * shift_y

    in_reach = np.ones(tilt.shape, dtype=bool, order="F")
    in_reach[:, :, LEFT_FLAT] = slope_point[:, :, LEFT_FLAT] < 0.0
    in_reach[:, :, LEFT_RAMP] = slope_point[:, :, LEFT_RAMP] > 0.0
    normal_force = stiffness * np.maximum(penetration, 0.0) * in_reach

    d[..., X] = plane_sine
    d[..., Z] = -plane_cosine
    d[..., PITCH] = crown_radius * shift_s + hub_along
    np.multiply(hub.up, -beta_cosine[..., None], out=d[..., ROLL : SLIDE + 1])
    d[..., ROLL : TURN + 1] += (crown_radius * e_psi)[..., None]

    # The quotient rule on the shifts.
    e_psi *= inverse
    over_s = crown_radius * shift_s * inverse
    slope_psi = (2.0 * crown_radius) * (cosine_along * beta_product) - crown_radius * shift_s * e_psi
    s[..., X] = plane_cosine
    s[..., Z] = plane_sine
    s[..., VALUE] = 0.0
    s[..., PITCH] = crown_radius * sine_along * (beta_cosine**2 - beta_sine**2) - over_s * shift_s + hub_normal
    np.multiply(hub.up, beta_sine[..., None], out=s[..., ROLL : SLIDE + 1])
    s[..., ROLL : TURN + 1] += slope_psi[..., None]

    lateral_psi = crown_radius * ((cosine**2 - sine**2) * beta_cosine * inverse - shift_y * e_psi)
    y[..., PITCH] = -crown_radius * cosine_along * beta_sine - over_s * shift_y
    np.negative(hub.across, out=y[..., ROLL : SLIDE + 1])
    y[..., ROLL : TURN + 1] += lateral_psi[..., None]
    return (
        TyreContacts(penetration, in_reach, slope_point, lateral_point, normal_force),
        ContactDerivatives(d, s, y),
    )
