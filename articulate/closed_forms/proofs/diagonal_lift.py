"""Plate on four equal springs with one of them lifted."""

from __future__ import annotations

import sympy
from sympy import Eq, symbols

from articulate.closed_forms.derivation import Derivation, Line, Proved, named, only, solve_linear


def derive() -> Derivation:
    """Loads and unloading lift from the equilibrium of a rigid plate."""
    weight, rate, lift, half_length, half_track = symbols("W k z a b", positive=True)
    sink, nose, side = symbols("delta theta phi", real=True)
    forward, left = symbols("x y", real=True)
    corners = {"FL": (1, 1), "FR": (1, -1), "RL": (-1, 1), "RR": (-1, -1)}

    # Deflection of a spring: the plate sinks by delta, falls ahead by theta, rises to the left by phi.
    loads = {
        name: rate * (sink + i * half_length * nose - j * half_track * side + (lift if name == "FL" else 0))
        for name, (i, j) in corners.items()
    }
    force = sum(loads.values()) - weight
    pitch = sum(loads[name] * i * half_length for name, (i, _) in corners.items()) - weight * forward
    roll = sum(loads[name] * j * half_track for name, (_, j) in corners.items()) - weight * left
    motion = solve_linear([force, pitch, roll], (sink, nose, side))
    solved = {name: sympy.expand(load.subs(motion)) for name, load in loads.items()}
    centred = {name: load.subs({forward: 0, left: 0}) for name, load in solved.items()}
    unloading = only(sympy.solve(centred["RL"], lift))
    n_fl, n_rl, z_u = symbols("N_FL N_RL z_u")
    return Derivation(
        title="Lift under one wheel of a plate on four equal springs",
        premises=(
            "A rigid plate of weight W stands on four springs of equal rate k at x = +-a and y = +-b.",
            "The ground under the front-left spring is lifted by z; angles are small.",
            "Vertical force and the moments about both horizontal axes are in equilibrium.",
        ),
        steps=(
            Line("Load of the lifted spring in terms of the plate's sinking, pitch and roll:",
                 Eq(n_fl, loads["FL"])),
            Line("Vertical equilibrium:", Eq(sympy.simplify(force + weight), weight)),
            Line("Moment about the lateral axis, weight ahead by x:",
                 Eq(sympy.simplify(pitch + weight * forward), weight * forward)),
            Line("Moment about the longitudinal axis, weight to the left by y:",
                 Eq(sympy.simplify(roll + weight * left), weight * left)),
            Line("Solve for sinking, pitch and roll, and put them in the loads; the rear-left one is:",
                 Eq(n_rl, solved["RL"])),
        ),
        results=(
            Proved("lift that unloads the other diagonal, weight centred", Eq(z_u, weight / rate),
                   unloading, "m"),
            Proved("load of the lifted wheel (and of the one diagonally opposite)",
                   Eq(n_fl, weight / 4 + rate * lift / 4), centred["FL"], "N"),
            Proved("load of the wheel behind it (and of the other front wheel)",
                   Eq(n_rl, weight / 4 - rate * lift / 4), centred["RL"], "N"),
            Proved("load of the front-left wheel, weight off centre and nothing lifted",
                   Eq(symbols("N_0"), weight / 4 * (1 + forward / half_length + left / half_track)),
                   solved["FL"].subs(lift, 0), "N"),
        ),
        symbols=named(
            """
            W: weight on the four springs [N]
            k: rate of each spring [N/m]
            z: vertical lift under the front-left wheel [m]
            a: half the wheelbase [m]
            b: half the track [m]
            x: weight ahead of the middle [m]
            y: weight to the left of the middle [m]
            """,
            weight, rate, lift, half_length, half_track, forward, left,
        ),
        validity="Small angles, equal linear springs, no load below zero; the weight's overturning left out.",
        source="Statics of a rigid plate on four springs, derived here.",
    )  # fmt: skip
