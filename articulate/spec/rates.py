"""Conversions of spring and bar rates to what acts at the wheel."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def wheel_rate_from_spring(rate: Array, motion_ratio: Array) -> Array:
    """Wheel rate k_w = k m^2 [N/m] of a spring of `rate` k [N/m].

    `motion_ratio` m is spring travel over wheel travel [-]; any shapes that broadcast. Valid where the
    ratio is steady over the travel. Source: virtual work.
    """
    return rate * motion_ratio**2


def wheel_rate_from_frequency(frequency: Array, corner_mass: Array) -> Array:
    """Wheel rate k_w = (2 pi f)^2 m [N/m] that lets a mass bounce at a frequency.

    `frequency` f [Hz] is undamped and on the springs alone, so that a change of tyre or pressure leaves
    the springs as they are; `corner_mass` m [kg] is the sprung mass over one wheel; any shapes that
    broadcast. Source: Gillespie, Fundamentals of Vehicle Dynamics, 1992, ch. 5, form from memory.
    """
    return (2.0 * np.pi * frequency) ** 2 * corner_mass


def bar_end_rate(
    *,
    diameter: Array,
    inner_diameter: Array,
    arm_length: Array,
    arm_reach: Array,
    centre_length: Array,
    shear_modulus: Array,
    elastic_modulus: Array,
) -> Array:
    """Rate of a U-shaped bar, force at the ends over the travel of one end relative to the other [N/m].

        1/K = A^2 B/(G J) + 2 C^3/(3 E I),  J = pi (D^4 - d^4)/32,  I = J/2

    Args:
        diameter: D [m], shape (lanes,), as all the others.
        inner_diameter: d [m], 0 for a solid bar.
        arm_length: C [m], along the arm.
        arm_reach: A [m], square to the centre part.
        centre_length: B [m].
        shear_modulus: G [Pa].
        elastic_modulus: E [Pa].

    Valid for stiff mounts and links and an arm of the same section as the centre part.

    Source: F. Puhn, How to Make Your Car Handle; there with G 12e6 and E 30e6 psi in numbers.
    """
    polar = np.pi * (diameter**4 - inner_diameter**4) / 32.0
    twist = arm_reach**2 * centre_length / (shear_modulus * polar)
    bending = 2.0 * arm_length**3 / (3.0 * elastic_modulus * 0.5 * polar)
    return np.asarray(1.0 / (twist + bending), dtype=np.float64)


def bar_rate_from_roll_stiffness(roll_stiffness: Array, track: Array) -> Array:
    """Bar rate at the wheels k_b = K/t^2 [N/m] of a roll stiffness K [N m/rad].

    The bar's energy is k_b (u_left - u_right)^2/2; any shapes that broadcast.
    """
    return roll_stiffness / track**2


def twist_beam_arm(track: Array, bush_spacing: Array, bush_to_hub: Array, bush_to_beam: Array) -> Array:
    """Swing arm of a twist beam's wheel in opposite travel, t/2 + y_b (l/x_b - 1) [m].

    Each wheel turns about the line from its bush through the middle of the beam.

    Args:
        track: t [m]; any shapes that broadcast.
        bush_spacing: 2 y_b, between left and right bush [m].
        bush_to_hub: l, along the vehicle [m].
        bush_to_beam: x_b, along the vehicle to the beam's shear centre, above 0 [m].

    Valid for x_b <= l: x_b = l turns as a solid axle does, t/2; x_b -> 0 as a trailing arm, endless.
    """
    return 0.5 * track + 0.5 * bush_spacing * (bush_to_hub / bush_to_beam - 1.0)


def spring_roll_stiffness(rate: Array, spacing: Array) -> Array:
    """Roll stiffness k b^2/2 [N m/rad] of two springs of `rate` k [N/m], `spacing` b [m] apart."""
    return 0.5 * rate * spacing**2
