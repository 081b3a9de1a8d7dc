"""Loads on three wheels as barycentric coordinates of the centre of gravity."""

from __future__ import annotations

import sympy
from sympy import Eq, Matrix, cos, sin, symbols, tan

from articulate.closed_forms.derivation import Derivation, Line, Proved, named, solve_linear


def derive() -> Derivation:
    """Load of a ramp wheel and of a flat wheel, from force and moments about the toe."""
    weight = sympy.Symbol("W", positive=True)
    angle = sympy.Symbol("g", positive=True)
    share = sympy.Symbol("lambda", nonnegative=True)
    x_g, y_g = symbols("x_g y_g", real=True)
    x = symbols("x_1:4", real=True)
    y = symbols("y_1:4", real=True)
    z = sympy.Symbol("z_1", real=True)
    loads = symbols("N_1:4", real=True)

    normal = Matrix([-sin(angle), 0, cos(angle)])
    up_slope = Matrix([cos(angle), 0, sin(angle)])
    reaction = loads[0] * normal + share * loads[0] * tan(angle) * up_slope
    vertical = sympy.simplify(reaction[2] / loads[0])
    shift = sympy.simplify(-reaction[0] / reaction[2])

    # From here on by its vertical part V_1 and its slope kappa; the rest is held on the flat, z = 0, where it
    # has no moment about either horizontal axis.
    v_1 = sympy.Symbol("V_1", real=True)
    kappa = sympy.Symbol("kappa", real=True)
    unknowns = (v_1, loads[1], loads[2])
    forces = [Matrix([-kappa * v_1, 0, v_1]), Matrix([0, 0, loads[1]]), Matrix([0, 0, loads[2]])]
    points = [Matrix([x[0], y[0], z]), Matrix([x[1], y[1], 0]), Matrix([x[2], y[2], 0])]
    remainder = Matrix([kappa * v_1, 0, 0])
    gravity = Matrix([0, 0, -weight])
    total = sum(forces, sympy.zeros(3, 1)) + remainder + gravity
    moment = Matrix([x_g, y_g, sympy.Symbol("z_g", real=True)]).cross(gravity)
    for point, force in zip(points, forces, strict=True):
        moment += point.cross(force)
    solved = solve_linear([total[2], moment[0], moment[1]], unknowns)
    kappa_value = (1 - share) * tan(angle) / (1 + share * tan(angle) ** 2)
    x_shifted = x[0] + kappa * z

    def twice_area(p: tuple[sympy.Expr, ...], q: tuple[sympy.Expr, ...], r: tuple[sympy.Expr, ...]) -> sympy.Expr:
        return (q[0] - p[0]) * (r[1] - p[1]) - (r[0] - p[0]) * (q[1] - p[1])

    corners = [(x_shifted, y[0]), (x[1], y[1]), (x[2], y[2])]
    centre = (x_g, y_g)
    whole = twice_area(*corners)
    shares = [
        twice_area(centre, corners[1], corners[2]) / whole,
        twice_area(corners[0], centre, corners[2]) / whole,
        twice_area(corners[0], corners[1], centre) / whole,
    ]
    a_1, a_2, a_3, a_0 = symbols("A_1 A_2 A_3 A_0")
    return Derivation(
        title="Loads on three wheels from the place of the centre of gravity",
        premises=(
            "A body of weight W stands on wheel 1 on the ramp, z_1 above the flat, and on wheels 2 and 3 on the "
            "flat.",
            "The ramp contact carries N_1 square to the ramp and lambda N_1 tan g up the slope; what is left "
            "over horizontally is held by the wheels on the flat, at ground level.",
            "Vertical force and the moments about the two horizontal axes through the toe balance.",
        ),
        steps=(
            Line("Vertical part of wheel 1's reaction, per N_1:", Eq(v_1 / loads[0], vertical)),
            Line("Horizontal part over vertical part, sign reversed:",
                 Eq(kappa, shift)),
            Line("Moment about the longitudinal axis:", Eq(moment[0], 0)),
            Line("Moment about the lateral axis; V_1 acts as if at x_1 + kappa z_1, where its line of action meets "
                 "ground level:",
                 Eq(sympy.collect(-moment[1], v_1), 0)),
            Line("Solve: each load is the weight times the triangle of the centre of gravity and the two "
                 "other corners, over the whole triangle:",
                 sympy.Tuple(Eq(v_1, weight * a_1 / a_0), Eq(loads[1], weight * a_2 / a_0),
                             Eq(loads[2], weight * a_3 / a_0))),
        ),
        results=(
            Proved("vertical load of the ramp wheel", Eq(v_1, weight * shares[0]), solved[v_1], "N"),
            Proved("load of wheel 2", Eq(loads[1], weight * shares[1]), solved[loads[1]], "N"),
            Proved("load of wheel 3", Eq(loads[2], weight * shares[2]), solved[loads[2]], "N"),
            Proved("shift of the ramp contact per its height", Eq(kappa, kappa_value), shift, "-"),
            Proved("normal load of the ramp wheel",
                   Eq(loads[0], v_1 / (cos(angle) * (1 + share * tan(angle) ** 2))), v_1 / vertical, "N"),
        ),
        symbols=named(
            """
            W: weight of the whole vehicle [N]
            g: ramp angle [rad]
            lambda: share of the slope force held by the ramp wheel itself [-]
            x_g: centre of gravity ahead of the toe [m]
            y_g: centre of gravity to the left [m]
            x_1: ramp contact ahead of the toe [m]
            y_1: ramp contact to the left [m]
            z_1: ramp contact over the flat [m]
            x_2: second contact ahead of the toe [m]
            y_2: second contact to the left [m]
            x_3: third contact ahead of the toe [m]
            y_3: third contact to the left [m]
            kappa: shift of the ramp contact's line of action per its height [-]
            N_1: normal load of the ramp wheel [N]
            N_2: load of wheel 2 [N]
            N_3: load of wheel 3 [N]
            V_1: vertical part of the ramp wheel's reaction [N]
            """,
            weight, angle, share, x_g, y_g, x[0], y[0], z, x[1], y[1], x[2], y[2], kappa, loads[0],
            loads[1], loads[2], v_1,
        ),
        validity="Any positions of contacts not in one vertical plane; no load negative; yaw moments are left to "
        "friction.",
        source="Statics of a rigid body on three supports.",
    )  # fmt: skip
