"""Rigid vehicle on a side slope."""

from __future__ import annotations

import sympy
from sympy import Eq, atan, cos, sin, symbols

from articulate.closed_forms.derivation import Derivation, Line, Proved, named, only, solve_linear


def derive() -> Derivation:
    """Tipping angle from the moment about the lower contact line."""
    track, height, weight = symbols("t h W", positive=True)
    slope = sympy.Symbol("beta", real=True)
    upper, lower, slide = symbols("N_u N_l F", real=True)
    across = upper + lower - weight * cos(slope)
    along = slide - weight * sin(slope)
    moment = weight * cos(slope) * track / 2 - weight * sin(slope) * height - upper * track
    loads = solve_linear([across, along, moment], (upper, lower, slide))
    tangent = sympy.Symbol("tan_beta", positive=True)
    at_tipping = only(sympy.solve(loads[upper].subs(sin(slope), tangent * cos(slope)), tangent))
    beta_t, ssf = symbols("beta_t SSF")
    return Derivation(
        title="Tipping of a rigid vehicle on a side slope",
        premises=(
            "A rigid vehicle of weight W, its centre of gravity h over the ground and half a track from "
            "either line of contacts, stands across a slope of angle beta.",
            "Forces square to and along the slope, and the moment about the lower contacts, balance.",
            "It tips where the upper wheels carry nothing.",
        ),
        steps=(
            Line("Square to the slope:", Eq(upper + lower, weight * cos(slope))),
            Line("Moment about the lower contacts:", Eq(sympy.expand(moment), 0)),
            Line("Solve for the load of the upper wheels:", Eq(upper, sympy.expand(loads[upper]))),
            Line("It is zero at this tangent of the slope:", Eq(sympy.tan(slope), at_tipping)),
        ),
        results=(
            Proved("tipping angle", Eq(beta_t, atan(track / (2 * height))), atan(at_tipping), "rad"),
            Proved("static stability factor", Eq(ssf, track / (2 * height)), at_tipping, "-"),
        ),
        symbols=named(
            """
            t: track [m]
            h: height of the centre of gravity over the ground [m]
            W: weight of the vehicle [N]
            beta: angle of the side slope [rad]
            """,
            track, height, weight, slope,
        ),
        validity="Rigid vehicle, weight centred, equal tracks, friction coefficient above t/(2 h).",
        source="Moment balance; static stability factor T/2h of the US rollover rating (not checked against a source).",
    )  # fmt: skip
