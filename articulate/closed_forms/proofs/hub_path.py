"""Rise of a rolling disc's hub on a ramp, its first touch and the error of a plumb line."""

from __future__ import annotations

import sympy
from sympy import Eq, cos, sin, symbols, tan

from articulate.closed_forms.derivation import Derivation, Line, Proved, named, only, solve_linear


def derive() -> Derivation:
    """Hub path from the condition that a disc is tangent to the ramp."""
    radius, climb, angle, deflection = symbols("R s g d", positive=True)
    x, z = symbols("x z", real=True)
    along = x * cos(angle) + z * sin(angle)
    square = -x * sin(angle) + z * cos(angle)
    hub = solve_linear([along - climb, square - radius], (x, z))
    hub = {key: sympy.simplify(value) for key, value in hub.items()}
    rise = sympy.expand(hub[z] - radius)

    touch = only(sympy.solve(square.subs(z, radius) - radius, x))
    soft_touch = only(sympy.solve(square.subs(z, radius - deflection) - radius, x))
    soft_climb = sympy.simplify(along.subs({z: radius - deflection, x: soft_touch}))

    # A vertical line through the hub meets the ramp where z = x tan g at the hub's x.
    foot = hub[x] / cos(angle)
    rise_symbol, before, error, start = symbols("rise x_0 error s_0")
    return Derivation(
        title="Rise of the hub on the ramp, first touch, and the plumb-line error",
        premises=(
            "The wheel is a rigid disc of radius R in the plane of travel; the flat is z = 0, the ramp the "
            "line z = x tan g through the toe.",
            "On the ramp the disc is tangent to it: the hub is R from the ramp, measured square to it.",
            "The climb s is the slope coordinate of the hub: where the square from hub to ramp stands.",
        ),
        steps=(
            Line("Slope coordinate and distance of a hub at (x, z) from the ramp:",
                 sympy.Tuple(Eq(climb, along), Eq(radius, square))),
            Line("Solve for the hub:", sympy.Tuple(Eq(x, hub[x]), Eq(z, hub[z]))),
            Line("On the flat the hub is at height R; the rise is the difference:", Eq(rise_symbol, rise)),
            Line("First touch: still at height R, already R from the ramp:", Eq(x, touch)),
            Line("A tyre pressed flat by d touches at hub height R - d:", Eq(x, soft_touch)),
            Line("A vertical through the hub meets the ramp at this slope coordinate:",
                 Eq(climb - error, sympy.expand(foot))),
        ),
        results=(
            Proved("hub rise", Eq(rise_symbol, climb * sin(angle) - radius * (1 - cos(angle))), rise, "m"),
            Proved("first touch, before the toe", Eq(before, radius * tan(angle / 2)), -touch, "m"),
            Proved("first touch, slope coordinate of a hub whose tyre is pressed flat by d",
                   Eq(start, radius * tan(angle / 2) - deflection / sin(angle)), soft_climb, "m"),
            Proved("plumb-line error along the slope", Eq(error, radius * tan(angle)), climb - foot, "m"),
        ),
        symbols=named(
            """
            R: radius of the disc [m]
            s: climb: slope coordinate of the hub [m]
            g: ramp angle [rad]
            d: how far the tyre is pressed flat before it touches the ramp [m]
            """,
            radius, climb, angle, deflection,
        ),
        validity="0 < g < pi/2; the rise from first touch on, s >= R tan(g/2); rigid disc without camber.",
        source="Plane geometry of a circle tangent to a line.",
    )  # fmt: skip
