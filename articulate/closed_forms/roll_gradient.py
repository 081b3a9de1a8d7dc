"""Roll gradient of a steady turn: body roll over lateral acceleration, where the turn begins.

Small angles about the level vehicle at ride height; symbols of an axle as in `roll_stiffness`, with W = W_s + W_u its
load (sprung and unsprung part), z the height of its hubs, h that of the sprung centre of gravity, sigma = 1 and p = e
(solid) or sigma = t/(2 swing arm) and p = pivot above the hub (independent), K_s = springs + bar + auxiliary,
K_t = k_t t^2/2, G = W (R - r):

    S = K_s + K_t - sigma^2 G,   X = K_t - sigma (G + W_s p),   b = sigma (W_s (z + p) + W_u z),
    D = K_t - G - W_s (h - z),   m = W_s h + W_u z

and, with k_x of a cross link, body roll and the roll c of the hub lines against the body solve

    [ D_f + D_r   -X_f             -X_r           ] [roll]   [m_f + m_r]
    [ -X_f        S_f + k_x t_f^2  k_x t_f t_r    ] [c_f ] = [-b_f     ]
    [ -X_r        k_x t_f t_r      S_r + k_x t_r^2] [c_r ]   [-b_r     ]

Without a cross link that is roll = sum(m - X b/S) / sum(D - X^2/S), both sums over the axles.

Source: second derivatives of the potential energy and the virtual work of inertia and ground, derived in
`proofs.roll_gradient`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from articulate.closed_forms.roll_stiffness import spring_roll_stiffness

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class AxleTerms:
    """What each axle adds to the equations of the module's text, each of shape (..., 2)."""

    own: Array  # S [N m/rad]
    mixed: Array  # X [N m/rad]
    body: Array  # D [N m/rad]
    moment: Array  # m [N m], at 1 g
    at_axle: Array  # b [N m], at 1 g


def axle_terms(
    *,
    track: ArrayLike,
    axle_load: ArrayLike,
    unsprung_weight: ArrayLike,
    centre_height: ArrayLike,
    tyre_radius: ArrayLike,
    tyre_section_radius: ArrayLike,
    tyre_stiffness: ArrayLike,
    solid: ArrayLike,
    swing_arm: ArrayLike,
    pivot_height: ArrayLike,
    spring_rate: ArrayLike,
    spring_half_base: ArrayLike,
    bar_rate: ArrayLike,
    auxiliary_rate: ArrayLike = 0.0,
) -> AxleTerms:
    """S, X, D, m and b of front and rear axle, by the formulas of the module's text.

    Arguments broadcast together; those of axles have front and rear on their last axis, shape (..., 2).

    Args:
        track: t, shape (..., 2) [m].
        axle_load: W, both wheels on the ground at ride height, shape (..., 2) [N].
        unsprung_weight: W_u, of the whole axle, shape (..., 2) [N].
        centre_height: h, of the sprung centre of gravity at ride height, over the ground, shape (...) [m].
        tyre_radius: R, unloaded, shape (..., 2) [m].
        tyre_section_radius: r, of the torus section, shape (..., 2) [m].
        tyre_stiffness: k_t, of one tyre, shape (..., 2) [N/m].
        solid: True for a solid axle, shape (..., 2).
        swing_arm: hub to pivot (independent; not read on a solid axle), shape (..., 2) [m].
        pivot_height: p, of pivot or roll centre above the hub, shape (..., 2) [m].
        spring_rate: k, at the wheel (independent) or at the spring (solid), shape (..., 2) [N/m].
        spring_half_base: b, of a solid axle's springs (not read on an independent one), shape (..., 2) [m].
        bar_rate: k_b, at the wheels, shape (..., 2) [N/m].
        auxiliary_rate: k_a, at the wheels, which a released bar leaves, shape (..., 2) [N/m].

    Returns:
        The terms; validity as for `roll_gradient`.
    """
    t, load, unsprung, radius, section, tyre, arm, p, h = (
        np.asarray(value, dtype=np.float64)
        for value in (
            track, axle_load, unsprung_weight, tyre_radius, tyre_section_radius, tyre_stiffness, swing_arm,
            pivot_height, np.asarray(centre_height)[..., None],
        )
    )  # fmt: skip
    is_solid = np.asarray(solid, dtype=np.bool_)
    sigma = np.where(is_solid, 1.0, t / (2.0 * np.where(is_solid, 1.0, arm)))
    sprung, z = load - unsprung, radius - load / (2.0 * tyre)
    rolling, tyres = load * (radius - section), tyre * t**2 / 2.0  # G, K_t
    springs = spring_roll_stiffness(
        track=t, solid=is_solid, spring_rate=spring_rate, spring_half_base=spring_half_base,
        bar_rate=bar_rate, auxiliary_rate=auxiliary_rate,
    )  # fmt: skip
    terms = (
        springs + tyres - sigma**2 * rolling,
        tyres - sigma * (rolling + sprung * p),
        tyres - rolling - sprung * (h - z),
        sprung * h + unsprung * z,
        sigma * (sprung * (z + p) + unsprung * z),
    )
    return AxleTerms(*np.broadcast_arrays(*terms))


def roll_gradient(*, track: ArrayLike, cross_link_rate: ArrayLike = 0.0, **axles: ArrayLike) -> Array:
    """Body roll to the ground per lateral acceleration, by the formulas of the module's text.

    Args:
        track: t, shape (..., 2) [m].
        cross_link_rate: k_x, shape (...) [N/m].
        axles: the other arguments of `axle_terms`.

    Returns:
        The gradient, shape (...) [rad/g]; inf where the weight overturns the roll stiffness, so that the vehicle does
        not stand upright. Valid at ride height without added load or lateral offset, clear of stops, springs on their
        seats, rigid frame, no suspension friction.
    """
    terms, t = axle_terms(track=track, **axles), np.asarray(track, dtype=np.float64)
    k_x = np.asarray(cross_link_rate, dtype=np.float64)
    linked = k_x[..., None] * t
    s_f, s_r = np.moveaxis(terms.own + linked * t, -1, 0)
    between = (linked * t[..., ::-1])[..., 0]
    x_f, x_r = np.moveaxis(terms.mixed, -1, 0)
    b_f, b_r = np.moveaxis(terms.at_axle, -1, 0)
    # The hub lines by Cramer's rule, put into the equation of the body.
    area = s_f * s_r - between**2
    taken = (x_f * (s_r * x_f - between * x_r) + x_r * (s_f * x_r - between * x_f)) / area
    carried = (x_f * (s_r * b_f - between * b_r) + x_r * (s_f * b_r - between * b_f)) / area
    stiffness = terms.body.sum(axis=-1) - taken
    upright = (s_f > 0.0) & (area > 0.0) & (stiffness > 0.0)
    return np.asarray(
        np.where(upright, (terms.moment.sum(axis=-1) - carried) / np.where(upright, stiffness, 1.0), np.inf)
    )
