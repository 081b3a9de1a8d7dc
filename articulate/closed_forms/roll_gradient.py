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
from typing import Unpack

import numpy as np
from numpy.typing import ArrayLike, NDArray

from articulate.closed_forms.roll_stiffness import AxleNumbers, half_track_over_arm, spring_roll_stiffness

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class AxleTerms:
    """What each axle adds to the equations of the module's text, each of shape (..., 2)."""

    own: Array  # S [N m/rad]
    mixed: Array  # X [N m/rad]
    body: Array  # D [N m/rad]
    moment: Array  # m [N m], at 1 g
    at_axle: Array  # b [N m], at 1 g


def axle_terms(*, centre_height: ArrayLike, **axle: Unpack[AxleNumbers]) -> AxleTerms:
    """S, X, D, m and b of front and rear axle, by the formulas of the module's text.

    Arguments broadcast together; those of axles have front and rear on their last axis, shape (..., 2).

    Args:
        centre_height: h, of the sprung centre of gravity at ride height, over the ground, shape (...) [m].
        **axle: each axle's numbers, shapes (..., 2).

    Returns:
        The terms; validity as for `roll_gradient`.
    """
    t, load, unsprung, radius, section, tyre, p, h = (
        np.asarray(value, dtype=np.float64)
        for value in (
            axle["track"], axle["axle_load"], axle["unsprung_weight"], axle["tyre_radius"],
            axle["tyre_section_radius"], axle["tyre_stiffness"], axle["pivot_height"],
            np.asarray(centre_height)[..., None],
        )
    )  # fmt: skip
    sigma = half_track_over_arm(axle)
    sprung, z = load - unsprung, radius - load / (2.0 * tyre)
    rolling, tyres = load * (radius - section), tyre * t**2 / 2.0  # G, K_t
    springs = spring_roll_stiffness(axle)
    terms = (
        springs + tyres - sigma**2 * rolling,
        tyres - sigma * (rolling + sprung * p),
        tyres - rolling - sprung * (h - z),
        sprung * h + unsprung * z,
        sigma * (sprung * (z + p) + unsprung * z),
    )
    return AxleTerms(*np.broadcast_arrays(*terms))


def roll_gradient(*, centre_height: ArrayLike, cross_link_rate: ArrayLike = 0.0, **axle: Unpack[AxleNumbers]) -> Array:
    """Body roll to the ground per lateral acceleration, by the formulas of the module's text.

    Args:
        centre_height: h, as for `axle_terms`.
        cross_link_rate: k_x, shape (...) [N/m].
        **axle: each axle's numbers, shapes (..., 2).

    Returns:
        The gradient, shape (...) [rad/g]; inf where the weight overturns the roll stiffness, so that the vehicle does
        not stand upright. Valid at ride height without added load or lateral offset, clear of stops, springs on their
        seats, rigid frame, no suspension friction.
    """
    terms, t = axle_terms(centre_height=centre_height, **axle), np.asarray(axle["track"], dtype=np.float64)
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
