"""Articulation of axles at their stops and the climb it allows."""

from __future__ import annotations

import sympy
from sympy import Eq, Matrix, asin, atan, cos, sin, symbols

from articulate.closed_forms.derivation import Derivation, Line, Proved, UnprovedError, named, only, solve_linear


def derive() -> Derivation:
    """Angles of axles at their stops, rise of the climbing hub by rotations, climb by tangency."""
    bump, droop, inner, outer = symbols("B D b_b b_d", positive=True)
    track, half_roll, radius, angle = symbols("t_f alpha_r R g", positive=True)
    front_angle = sympy.Symbol("alpha_f", positive=True)
    pitch, slide, climb = symbols("theta z s", real=True)
    sine, centre = sympy.Symbol("sine", real=True), sympy.Symbol("e", real=True)

    # Solid axle: bump stop on the raised side, damper on the other; e (1 - cos q) is common to both.
    common = centre * (1 - sympy.sqrt(1 - sine**2))
    on_bump = slide + inner * sine + common - bump
    on_droop = slide - outer * sine + common + droop
    turn = only(sympy.solve(on_bump - on_droop, sine))
    across = only(sympy.solve(sympy.tan(front_angle) * track - (bump + droop), sympy.tan(front_angle)))

    # Rotations: roll about x, then pitch about y; only heights count.
    def height(vector: Matrix) -> sympy.Expr:
        rolled = sympy.rot_axis1(-half_roll) * vector
        return (sympy.rot_axis2(-pitch) * rolled)[2]

    solid_line = track * Matrix([0, cos(front_angle), sin(front_angle)])
    straight_line = Matrix([0, track, track * sympy.tan(front_angle)])
    solid_rise = height(solid_line)
    straight_rise = height(straight_line)
    level_rear = sympy.simplify(height(Matrix([0, cos(half_roll), -sin(half_roll)])))
    if level_rear != 0:
        raise UnprovedError("the rear axle is not flat on the ground")

    x, hub_height, rise = symbols("x z_h rise", real=True)
    hub = solve_linear(
        [
            x * cos(angle) + hub_height * sin(angle) - climb,
            -x * sin(angle) + hub_height * cos(angle) - radius,
        ],
        (x, hub_height),
    )
    reached = only(sympy.solve(sympy.expand(sympy.simplify(hub[hub_height])) - radius - rise, climb))
    alpha, alpha_i, rise_s, rise_i, s_max = symbols("alpha_solid alpha_ind rise_solid rise_ind s_max")
    return Derivation(
        title="Climb of a vehicle held by its stops alone",
        premises=(
            "Springs give way and stops do not: a diagonal couple finds no resistance before front-left "
            "bump, front-right droop, rear-left droop and rear-right bump stops are all reached.",
            "A solid axle meets its bump stop at half base b_b and its damper's end at b_d on the other side; a "
            "point y from its middle has moved by z + y sin(q) + e (1 - cos q).",
            "The hubs of an independent axle have moved straight along body z, one by +B, one by -D.",
            "The rear axle is flat on the ground, so that the body rolls by the rear axle's angle alpha_r; the "
            "front axle stands at alpha_f to the body; the body may pitch by theta.",
            "Tyres are rigid, of one radius however they lean; the climbing one is tangent to the ramp.",
        ),
        steps=(
            Line("Solid axle on its bump stop and at the end of the other damper:",
                 sympy.Tuple(Eq(on_bump, 0), Eq(on_droop, 0))),
            Line("Their difference, the slide and e gone:", Eq(sympy.expand(on_bump - on_droop), 0)),
            Line("Height along a flat rear axle, which vanishes as it must:",
                 level_rear),
            Line("Rise along a solid front axle, rolled and pitched with the body:",
                 Eq(rise_s, sympy.trigsimp(sympy.expand(solid_rise)))),
            Line("Rise along the hubs of an independent front axle:",
                 Eq(rise_i, sympy.trigsimp(sympy.expand(straight_rise)))),
            Line("Hub of a disc tangent to the ramp:", Eq(hub_height, sympy.simplify(hub[hub_height]))),
            Line("Solve its rise over R for the climb:", Eq(climb, reached)),
        ),
        results=(
            Proved("climb", Eq(s_max, (rise + radius * (1 - cos(angle))) / sin(angle)), reached, "m"),
            Proved("rise of the climbing hub, solid front axle",
                   Eq(rise_s, track * sin(front_angle + half_roll) * cos(pitch)), solid_rise, "m"),
            Proved("rise of the climbing hub, independent front axle",
                   Eq(rise_i, track * sin(front_angle + half_roll) * cos(pitch) / cos(front_angle)),
                   straight_rise, "m"),
            Proved("angle of a solid axle at its stops", Eq(alpha, asin((bump + droop) / (inner + outer))),
                   asin(turn), "rad"),
            Proved("angle of an independent axle at its stops", Eq(alpha_i, atan((bump + droop) / track)),
                   atan(across), "rad"),
        ),
        symbols=named(
            """
            rise: rise of the climbing hub over its height on the flat [m]
            R: tyre radius [m]
            g: ramp angle [rad]
            t_f: track (the front one, for the rise) [m]
            alpha_f: front axle against the body at its stops [rad]
            alpha_r: rear axle against the body at its stops [rad]
            theta: pitch of the body [rad]
            B: bump gap [m]
            D: droop gap [m]
            b_b: half base of the bump stops [m]
            b_d: half base of the dampers [m]
            e: roll centre above the hub line [m]
            z: slide of the axle [m]
            sine: sine of the solid axle's turn [-]
            s: climb [m]
            """,
            rise, radius, angle, track, front_angle, half_roll, pitch, bump, droop, inner, outer, centre,
            slide, sine, climb,
        ),
        validity="Rigid tyres and stops, vanishing spring and bar rates, a weight that does not overturn the "
        "body first; rear-left wheel on the flat, ramp long enough. Tyre lean and swing-arm paths left out.",
        source="Rigid-body geometry; derived here.",
    )  # fmt: skip
