"""Mark height, climb and score, with the score's partial derivatives."""

from __future__ import annotations

import sympy
from sympy import Eq, cos, cot, sin, symbols

from articulate.closed_forms.derivation import Derivation, Line, Proved, UnprovedError, named, only


def derive() -> Derivation:
    """Climb and score from the height of the mark, from the slope of the ramp."""
    h, length, climb, run = symbols("h L s x", positive=True)
    angle = sympy.Symbol("g", positive=True)
    height = climb * sin(angle)
    slope = sympy.diff(height, climb) / sympy.diff(climb * cos(angle), climb)
    if sympy.simplify(slope - sympy.tan(angle)) != 0:
        raise UnprovedError("the point does not follow the ramp")
    found = only(sympy.solve(Eq(height, h), climb))
    score = 1000 * found / length
    stated = 1000 * h / (length * sin(angle))
    return Derivation(
        title="Climb and score from the height of the mark",
        premises=(
            "The ramp is a plane that rises from the flat ground at its toe by the angle g.",
            "The mark is a point of the ramp's surface, s from the toe along the slope, h over the flat.",
            "The score is 1000 climbs per wheelbase: 1000 s / L.",
        ),
        steps=(
            Line("A point s up the slope is this far ahead of the toe, and this high:",
                 sympy.Tuple(Eq(run, climb * cos(angle)), Eq(h, height))),
            Line("Height over run, the slope of the ramp, as it must be:",
                 Eq(sympy.Symbol("dz/dx"), sympy.trigsimp(slope))),
            Line("Solve the height for s:", Eq(climb, found)),
            Line("Put it in the score:", Eq(sympy.Symbol("score"), score)),
        ),
        results=(
            Proved("score", Eq(sympy.Symbol("score"), stated), score, "-"),
            Proved("climb", Eq(climb, h / sin(angle)), found, "m"),
            Proved("score per mark height", Eq(sympy.Symbol("dscore/dh"), stated / h),
                   sympy.diff(score, h), "1/m"),
            Proved("score per wheelbase", Eq(sympy.Symbol("dscore/dL"), -stated / length),
                   sympy.diff(score, length), "1/m"),
            Proved("score per ramp angle", Eq(sympy.Symbol("dscore/dg"), -stated * cot(angle)),
                   sympy.diff(score, angle), "1/rad"),
        ),
        symbols=named(
            """
            h: height of the mark over the flat ground [m]
            L: wheelbase [m]
            g: ramp angle [rad]
            s: climb, along the slope from the toe to the mark [m]
            """,
            h, length, angle, climb,
        ),
        validity="Any plane ramp, 0 < g <= pi/2; the mark lies on the ramp.",
        source="Plane trigonometry; the score is a club rule (common practice, no source).",
    )  # fmt: skip
