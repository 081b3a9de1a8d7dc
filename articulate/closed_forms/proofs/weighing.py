"""Level axle loads, the angle of a lifted axle and the height of the centre of gravity from it."""

from __future__ import annotations

import sympy
from sympy import Eq, cos, sin, sqrt, symbols

from articulate.closed_forms.derivation import Derivation, Line, Proved, named, only, solve_linear


def derive() -> Derivation:
    """Axle loads from the moment about a contact; centre height from the load gained when one is lifted."""
    weight, length, behind, lift, hub, gain = symbols("W L a z R dF", positive=True)
    front, rear = symbols("F_f F_r", real=True)
    angle, height = symbols("theta h", positive=True)
    level = solve_linear([front + rear - weight, rear * length - weight * behind], (front, rear))

    # Front axle lifted: the contacts stay under the hubs, the centre of gravity turns with the hub line.
    ahead = (length - behind) * cos(angle) - (height - hub) * sin(angle)
    lifted_front = only(sympy.solve(front * length * cos(angle) - weight * ahead, front))
    gained = sympy.simplify(level[front] - lifted_front)
    found = only(sympy.solve(gained - gain, height))
    sine = only(sympy.solve(length * sin(angle) - lift, sin(angle)))
    tangent = sine / sqrt(1 - sine**2)
    return Derivation(
        title="Axle loads, lift angle and height of the centre of gravity",
        premises=(
            "Vertical force and the moment about a line of contacts balance.",
            "With one axle lifted by z the hub line, of length L, turns by theta: L sin(theta) = z.",
            "Suspension blocked and wheels free to roll, so that contacts stay vertically under hubs at R.",
        ),
        steps=(
            Line("Level, moment about the front contacts:", Eq(rear * length, weight * behind)),
            Line("Front axle lifted: distance of the weight ahead of the rear contacts:", ahead),
            Line("Load left on the front axle:", Eq(front, sympy.simplify(lifted_front))),
            Line("Load gained by the rear axle:", Eq(gain, gained)),
            Line("Sine of the angle:", Eq(sin(angle), sine)),
        ),
        results=(
            Proved("rear axle load, level", Eq(rear, weight * behind / length), level[rear], "N"),
            Proved("front axle load, level", Eq(front, weight * (length - behind) / length),
                   level[front], "N"),
            Proved("tangent of the lift angle", Eq(sympy.Symbol("tan_theta"), lift / sqrt(length**2 - lift**2)),
                   tangent, "-"),
            Proved("height of the centre of gravity",
                   Eq(height, hub + length * gain * sqrt(length**2 - lift**2) / (weight * lift)),
                   found.subs(sympy.tan(angle), tangent).subs(
                       {sin(angle): sine, cos(angle): sqrt(1 - sine**2)}), "m"),
        ),
        symbols=named(
            """
            W: weight of the vehicle [N]
            L: wheelbase [m]
            a: centre of gravity behind the front axle [m]
            z: lift of one axle's hubs over the other's [m]
            R: hub height over its ground [m]
            dF: load gained by the axle that stays down [N]
            F_f: front axle load [N]
            F_r: rear axle load [N]
            theta: lift angle [rad]
            h: height of the centre of gravity over the ground [m]
            """,
            weight, length, behind, lift, hub, gain, front, rear, angle, height,
        ),
        validity="Statics; for the height, suspension blocked, wheels free to roll, equal hub heights, z < L.",
        source="Statics of a beam on two supports; ISO 10392 for the lifted axle (not checked against a source).",
    )  # fmt: skip
