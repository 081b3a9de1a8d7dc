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

Derivatives are taken in six directions of a wheel, from which every coordinate's follow: x and z of the body
origin, pitch, roll of the axle's part of the body about the origin, and the hub's own displacement along
zeta (the pitched vertical) and y.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LEFT_FLAT, RIGHT_FLAT, LEFT_RAMP = 0, 1, 2
X, Z, PITCH, ROLL, ZETA, Y = range(6)


@dataclass(frozen=True, eq=False)
class TyreContacts:
    """Contacts of the four tyres, shape (lanes, 2, 3): axle, then left flat, right flat, left ramp."""

    penetration: Array  # [m], d, negative when clear of the plane
    in_reach: NDArray[np.bool_]  # the contact point lies on its own part of the ground
    slope_point: Array  # [m], s_p (x_p on the flat)
    lateral_point: Array  # [m], y_p
    normal_force: Array  # [N], N


@dataclass(frozen=True, eq=False)
class ContactDerivatives:
    """Derivatives of d, s_p, y_p along the six directions, shape (lanes, 2, 3, 6)."""

    penetration: Array
    slope_point: Array
    lateral_point: Array


def spread_over_contacts(wheel_values: Array) -> Array:
    """Wheel values (lanes, 2, 2) at the three contacts (lanes, 2, 3)."""
    spread = np.empty((*wheel_values.shape[:2], 3), order="F")
    spread[:, :, :2] = wheel_values
    spread[:, :, 2] = wheel_values[:, :, 0]
    return spread


def tyre_contacts(
    normal_distance: Array,
    slope_distance: Array,
    hub_y: Array,
    hub_zeta: Array,
    lean_sine: Array,
    lean_cosine: Array,
    beta_sine: Array,
    beta_cosine: Array,
    plane_sine: Array,
    plane_cosine: Array,
    axle_x: Array,
    crown_radius: Array,
    section_radius: Array,
    stiffness: Array,
) -> tuple[TyreContacts, ContactDerivatives]:
    """Contacts and their derivatives (formulas in the module docstring).

    normal_distance, slope_distance: n.c and t.c, (lanes, 2, 3) [m]; hub_y, hub_zeta, lean_sine, lean_cosine:
    (lanes, 2, 3); beta_*, plane_*: (lanes, 1, 3), sine and cosine of beta and of the plane's angle;
    axle_x: (lanes, 2, 1) [m]; crown_radius (rho), section_radius (r): (lanes, 2, 1) [m]; stiffness:
    (lanes, 2, 1) [N/m].

    Valid while the wheel does not lie on its side, |n.a| < 1.
    """
    tilt = lean_sine * beta_cosine
    inverse = 1.0 / np.sqrt(1.0 - tilt * tilt)  # 1 / E
    along = lean_sine * inverse
    shift_y = lean_cosine * along * beta_cosine  # sin psi cos psi cos beta / E
    shift_s = along * lean_sine * (beta_sine * beta_cosine)  # sin^2 psi sin beta cos beta / E
    penetration = section_radius + crown_radius / inverse - normal_distance
    slope_point = slope_distance + crown_radius * shift_s
    lateral_point = hub_y + crown_radius * shift_y

    in_reach = np.ones(penetration.shape, dtype=bool, order="F")
    in_reach[:, :, LEFT_FLAT] = slope_point[:, :, LEFT_FLAT] < 0.0
    in_reach[:, :, LEFT_RAMP] = slope_point[:, :, LEFT_RAMP] > 0.0
    normal_force = stiffness * np.maximum(penetration, 0.0) * in_reach

    # dE/dpsi = -cos beta * shift_y, dE/dbeta = shift_s; then the quotient rule on the shifts.
    e_psi = -beta_cosine * shift_y
    e_beta = shift_s
    slope_psi = (2.0 * lean_cosine * beta_sine * beta_cosine * along) - shift_s * e_psi * inverse
    slope_beta = along * lean_sine * (beta_cosine**2 - beta_sine**2) - shift_s * e_beta * inverse
    lateral_psi = (lean_cosine**2 - lean_sine**2) * beta_cosine * inverse - shift_y * e_psi * inverse
    lateral_beta = -along * lean_cosine * beta_sine - shift_y * e_beta * inverse

    shape = (*penetration.shape, 6)
    d = np.empty(shape, order="F")
    d[..., X] = plane_sine
    d[..., Z] = -plane_cosine
    d[..., PITCH] = crown_radius * e_beta + axle_x * beta_cosine + hub_zeta * beta_sine
    d[..., ROLL] = crown_radius * e_psi - hub_y * beta_cosine
    d[..., ZETA] = -beta_cosine
    d[..., Y] = 0.0
    s = np.empty(shape, order="F")
    s[..., X] = plane_cosine
    s[..., Z] = plane_sine
    s[..., PITCH] = crown_radius * slope_beta - axle_x * beta_sine + hub_zeta * beta_cosine
    s[..., ROLL] = crown_radius * slope_psi + hub_y * beta_sine
    s[..., ZETA] = beta_sine
    s[..., Y] = 0.0
    y = np.zeros(shape, order="F")
    y[..., PITCH] = crown_radius * lateral_beta
    y[..., ROLL] = crown_radius * lateral_psi - hub_zeta
    y[..., Y] = 1.0
    return (
        TyreContacts(penetration, in_reach, slope_point, lateral_point, normal_force),
        ContactDerivatives(d, s, y),
    )
