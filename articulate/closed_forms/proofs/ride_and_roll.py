"""Frequency from static deflection, roll stiffness at the track, roll gradient."""

from __future__ import annotations

import sympy
from sympy import Eq, Rational, pi, sqrt, symbols

from articulate.closed_forms.derivation import Derivation, Line, Proved, named, only


def derive() -> Derivation:
    """Natural frequency, k t^2/2 and roll gradient from energy and equilibrium."""
    mass, rate, gravity, deflection = symbols("m k g_n delta", positive=True)
    track, arm, stiffness, lateral = symbols("t H K a_y", positive=True)
    roll = sympy.Symbol("phi", real=True)
    frequency = sympy.Symbol("f", positive=True)

    time = sympy.Symbol("tau", real=True)
    motion = sympy.cos(2 * pi * frequency * time)
    balance = sympy.simplify((mass * sympy.diff(motion, time, 2) + rate * motion) / motion)
    natural = only(sympy.solve(balance, frequency))
    static = only(sympy.solve(rate * deflection - mass * gravity, rate))
    from_deflection = sympy.simplify(natural.subs(rate, static))

    energy = Rational(1, 2) * rate * 2 * (track / 2 * sympy.sin(roll)) ** 2
    at_track = sympy.diff(energy, roll, 2).subs(roll, 0)

    height = arm * sympy.cos(roll)
    potential = Rational(1, 2) * stiffness * roll**2 + mass * gravity * height - mass * lateral * arm * sympy.sin(roll)
    moment = sympy.series(sympy.diff(potential, roll), roll, 0, 2).removeO()
    moment = moment.coeff(roll, 0) + moment.coeff(roll, 1).subs(lateral, 0) * roll  # a_y phi is of second order
    angle = only(sympy.solve(moment, roll))
    gradient = sympy.simplify(sympy.diff(angle, lateral))
    return Derivation(
        title="Frequency from static deflection, roll stiffness, roll gradient",
        premises=(
            "A mass m on a spring of rate k moves harmonically, undamped; at rest the spring carries it.",
            "Two springs k stand at y = +-t/2 and deflect by +-(t/2) sin(phi).",
            "A sprung mass leans by phi about an axis its centre is H above, on the roll stiffness K, under a "
            "lateral acceleration a_y; angles and a_y are small, their product is dropped.",
        ),
        steps=(
            Line("Motion cos(2 pi f tau) satisfies m x'' + k x = 0 if this vanishes:", balance),
            Line("At rest:", Eq(rate, static)),
            Line("Energy of the two springs in roll:", energy),
            Line("Energy of the leaning mass:", potential),
            Line("Its moment, to first order:", Eq(sympy.collect(sympy.expand(moment), roll), 0)),
            Line("Solve for the roll angle:", Eq(roll, angle)),
        ),
        results=(
            Proved("natural frequency", Eq(frequency, sqrt(gravity / deflection) / (2 * pi)),
                   from_deflection, "Hz"),
            Proved("roll stiffness of springs at the wheels", Eq(sympy.Symbol("K_t"), rate * track**2 / 2),
                   at_track, "N m/rad"),
            Proved("roll gradient", Eq(sympy.Symbol("dphi/da_y"), mass * arm / (stiffness - mass * gravity * arm)),
                   gradient, "rad/(m/s^2)"),
        ),
        symbols=named(
            """
            m: sprung mass [kg]
            k: rate of a spring at the wheel [N/m]
            g_n: acceleration of gravity [m/s^2]
            delta: static deflection, weight over rate [m]
            t: track [m]
            H: height of the sprung centre over the roll axis [m]
            K: roll stiffness of both axles [N m/rad]
            a_y: lateral acceleration [m/s^2]
            phi: roll angle of the body [rad]
            f: natural frequency [Hz]
            """,
            mass, rate, gravity, deflection, track, arm, stiffness, lateral, roll, frequency,
        ),
        validity="Small angles, linear springs; the roll gradient needs K > m g_n H, else the body falls over.",
        source="Gillespie, Fundamentals of Vehicle Dynamics, 1992, ch. 5-6 (form from memory); Barton & "
        "Fieldhouse, Automotive Chassis Engineering, p. 174.",
    )  # fmt: skip
