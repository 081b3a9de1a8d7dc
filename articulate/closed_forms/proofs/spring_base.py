"""Roll stiffness of springs and bars on a solid axle."""

from __future__ import annotations

import sympy
from sympy import Eq, Rational, cos, sin, symbols

from articulate.closed_forms.derivation import Derivation, Line, Proved, named, only


def derive() -> Derivation:
    """Roll stiffness from the second derivative of the springs' energy."""
    rate, half_base, track, centre, wheel_rate = symbols("k b t e k_w", positive=True)
    bar, end_rate, spacing = symbols("k_b k_end w", positive=True)
    turn, slide = symbols("q z", real=True)
    rise = centre * (1 - cos(turn))

    def stiffness(energy: sympy.Expr) -> sympy.Expr:
        return sympy.diff(energy, turn, 2).subs({turn: 0, slide: 0})

    travel = {side: slide + side * half_base * sin(turn) + rise for side in (1, -1)}
    springs = Rational(1, 2) * rate * (travel[1] ** 2 + travel[-1] ** 2)
    wheels = {side: slide + side * track / 2 * sin(turn) + rise for side in (1, -1)}
    at_wheels = Rational(1, 2) * wheel_rate * (wheels[1] ** 2 + wheels[-1] ** 2)
    at_track = Rational(1, 2) * bar * (wheels[1] - wheels[-1]) ** 2
    ends = {side: slide + side * spacing / 2 * sin(turn) + rise for side in (1, -1)}
    at_ends = Rational(1, 2) * end_rate * (ends[1] - ends[-1]) ** 2
    equal = only(sympy.solve(stiffness(at_wheels) - stiffness(springs), wheel_rate))
    k_roll, k_bar, k_ends = symbols("K K_bar K_end")
    energy = sympy.Symbol("V")
    return Derivation(
        title="Roll stiffness of a solid axle: springs and bars act through their own base",
        premises=(
            "The axle slides by z and turns by q about its roll centre, e above the hub line.",
            "A point of the axle y from its middle then moves by z + y sin q + e (1 - cos q) along body z.",
            "Springs k at y = +-b; an anti-roll bar stores energy by the difference of its two ends' travel.",
            "Roll stiffness is the second derivative of the energy by q at the level position.",
        ),
        steps=(
            Line("Travel of the left spring:", travel[1]),
            Line("Energy of both springs:", Eq(energy, sympy.factor(springs))),
            Line("Its second derivative by q at q = 0, z = 0:", Eq(k_roll, stiffness(springs))),
            Line("The same for springs k_w at the wheels, y = +-t/2:", Eq(k_roll, stiffness(at_wheels))),
            Line("Energy of a bar rated at the wheels:", Eq(energy, sympy.simplify(at_track))),
            Line("Energy of a bar rated at its ends, w apart:", Eq(energy, sympy.simplify(at_ends))),
        ),
        results=(
            Proved("roll stiffness of the springs", Eq(k_roll, rate * (2 * half_base) ** 2 / 2),
                   stiffness(springs), "N m/rad"),
            Proved("spring at each wheel with the same roll stiffness",
                   Eq(wheel_rate, rate * (2 * half_base / track) ** 2), equal, "N/m"),
            Proved("roll stiffness of a bar rated at the wheels", Eq(k_bar, bar * track**2),
                   stiffness(at_track), "N m/rad"),
            Proved("roll stiffness of a bar rated at its own ends", Eq(k_ends, end_rate * spacing**2),
                   stiffness(at_ends), "N m/rad"),
        ),
        symbols=named(
            """
            k: rate of each spring, at the spring [N/m]
            b: half the distance between the springs [m]
            t: track [m]
            e: height of the roll centre above the hub line [m]
            k_w: rate of a spring at each wheel with the same roll stiffness [N/m]
            k_b: anti-roll bar at the wheels, one side relative to the other [N/m]
            k_end: anti-roll bar at its own ends, one relative to the other [N/m]
            w: distance between the bar's ends [m]
            """,
            rate, half_base, track, centre, wheel_rate, bar, end_rate, spacing,
        ),
        validity="Small turns from the level axle; the static load's own share is left to the roll derivation.",
        source="Energy of two springs; form of Gillespie, Fundamentals of Vehicle Dynamics, 1992, ch. 6 "
        "(not checked against a source).",
    )  # fmt: skip
