"""Rates of springs and bars by energy and Castigliano's theorem."""

from __future__ import annotations

import sympy
from sympy import Eq, Rational, integrate, pi, symbols

from articulate.closed_forms.derivation import Derivation, Line, Proved, named, only, solve_linear


def derive() -> Derivation:
    """Series rate, motion ratio, torsion bar, coil, leaf pack and anti-roll bar."""
    force, first, second, rate, ratio = symbols("F k_1 k_2 k m", positive=True)
    shear, young, d, mean, turns = symbols("G E d D n", positive=True)
    bar_length, arm, position, travel = symbols("l a x u", positive=True)
    lever, centre, side = symbols("A B C", positive=True)
    width, thick, half, full, graduated = symbols("b t L n_f n_g", positive=True)

    def compliance(energy: sympy.Expr) -> sympy.Expr:
        """Castigliano: displacement under F is the derivative of the complementary energy by F."""
        return sympy.simplify(sympy.diff(energy, force) / force)

    radius = sympy.Symbol("rho", positive=True)
    polar = integrate(2 * pi * radius**3, (radius, 0, d / 2))
    angle = sympy.Symbol("psi", positive=True)
    area = integrate(integrate(radius**3 * sympy.sin(angle) ** 2, (radius, 0, d / 2)), (angle, 0, 2 * pi))

    in_series = force**2 / (2 * first) + force**2 / (2 * second)
    at_wheel = sympy.diff(Rational(1, 2) * rate * (ratio * travel) ** 2, travel, 2)
    torsion = (force * arm) ** 2 * bar_length / (2 * shear * polar)
    coil = (force * mean / 2) ** 2 * (pi * mean * turns) / (2 * shear * polar)
    bar_twist = (force * lever) ** 2 * centre / (2 * shear * polar)
    arm_bending = integrate((force * position) ** 2 / (2 * young * area), (position, 0, side))
    bar = bar_twist + 2 * arm_bending

    # Leaf pack as two cantilevers side by side: constant section, and width growing from the eye.
    share_full, share_graduated, deflection = symbols("F_full F_grad delta", positive=True)
    section = thick**3 / 12
    bend_full = integrate((share_full * position) * position / (young * full * width * section), (position, 0, half))
    bend_graduated = integrate(
        (share_graduated * position) * position / (young * graduated * width * (position / half) * section),
        (position, 0, half),
    )
    shares = solve_linear([bend_full - deflection, bend_graduated - deflection], (share_full, share_graduated))
    leaf = sympy.simplify((shares[share_full] + shares[share_graduated]) / deflection)

    k_wheel, k_bar, k_coil, k_leaf, k_arb, k_series = symbols("k_w k_tb k_coil k_leaf k_end k_s")
    polar_symbol, area_symbol, energy = symbols("J I U")
    turns_of = only(sympy.solve(1 / compliance(coil) - rate, turns))
    return Derivation(
        title="Rates of springs and bars",
        premises=(
            "The displacement under a force is the derivative of the stored energy by that force "
            "(Castigliano).",
            "A shaft of polar second moment J under the torque T stores T^2/(2 G J) a length, a beam under "
            "the bending moment M stores M^2/(2 E I) a length.",
            "Springs in series carry the same force; a coil's wire of length pi D n carries the torque F D/2; a "
            "torsion bar the torque F a.",
            "A U-shaped bar is pushed at its ends by +F and -F: torque F A in its centre B, bending in both "
            "arms C.",
            "Leaves deflect together: full ones as a cantilever of constant section, graduated ones as one "
            "whose width grows evenly from the eye.",
        ),
        steps=(
            Line("Polar second moment of a round bar:", Eq(polar_symbol, polar)),
            Line("Second moment of area of a round bar:", Eq(area_symbol, area)),
            Line("Energy of two springs in series:", Eq(energy, in_series)),
            Line("Energy of a torsion bar:", Eq(energy, torsion)),
            Line("Energy of a coil:", Eq(energy, coil)),
            Line("Energy of a U-shaped bar, centre in torsion and two arms in bending:", Eq(energy, bar)),
            Line("Deflection of the full leaves under their share:", Eq(deflection, bend_full)),
            Line("Deflection of the graduated leaves under theirs:", Eq(deflection, bend_graduated)),
        ),
        results=(
            Proved("two springs in series", Eq(k_series, first * second / (first + second)),
                   1 / compliance(in_series), "N/m"),
            Proved("wheel rate of a spring", Eq(k_wheel, rate * ratio**2), at_wheel, "N/m"),
            Proved("wheel rate of a torsion bar", Eq(k_bar, pi * shear * d**4 / (32 * bar_length * arm**2)),
                   1 / compliance(torsion), "N/m"),
            Proved("coil spring", Eq(k_coil, shear * d**4 / (8 * mean**3 * turns)),
                   1 / compliance(coil), "N/m"),
            Proved("turns of a coil spring", Eq(turns, shear * d**4 / (8 * mean**3 * rate)), turns_of, "-"),
            Proved("leaf pack, at one eye",
                   Eq(k_leaf, young * width * thick**3 * (3 * full + 2 * graduated) / (12 * half**3)),
                   leaf, "N/m"),
            Proved("anti-roll bar, one end relative to the other",
                   Eq(k_arb, 1 / (lever**2 * centre / (shear * pi * d**4 / 32)
                                  + 2 * side**3 / (3 * young * pi * d**4 / 64))),
                   1 / compliance(bar), "N/m"),
        ),
        symbols=named(
            """
            k_1: rate of the first spring [N/m]
            k_2: rate of the second spring [N/m]
            k: rate of a spring [N/m]
            m: motion ratio, spring travel over wheel travel [-]
            G: shear modulus [Pa]
            E: Young's modulus [Pa]
            d: diameter of the bar or wire [m]
            D: mean diameter of the coil [m]
            n: active turns [-]
            l: active length of the torsion bar [m]
            a: arm of the torsion bar, bar to hub [m]
            A: arm of the anti-roll bar, square to its centre section [m]
            B: centre section of the anti-roll bar [m]
            C: length along the arm of the anti-roll bar [m]
            b: width of the leaves [m]
            t: thickness of a leaf [m]
            L: leaf pack, clamp to eye [m]
            n_f: leaves of full length [-]
            n_g: leaves of graduated length [-]
            F: force on the spring [N]
            F_full: share of the full leaves [N]
            F_grad: share of the graduated leaves [N]
            delta: deflection at the eye [m]
            x: distance from the loaded end [m]
            """,
            first, second, rate, ratio, shear, young, d, mean, turns, bar_length, arm, lever, centre,
            side, width, thick, half, full, graduated, force, share_full, share_graduated, deflection,
            position,
        ),
        validity="Linear elasticity, small displacements, solid round bars; coils close-wound with D well above "
        "d; leaves without friction or nip; bushings and the centre section's bending left out.",
        source="Castigliano; Shigley, Mechanical Engineering Design (coil, from memory); Puhn, How to Make "
        "Your Car Handle (anti-roll bar); beams in parallel (leaf pack, derived here).",
    )  # fmt: skip
