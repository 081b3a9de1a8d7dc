"""Rates of springs, bars and tyres, and what follows from them: frequency, roll stiffness, roll gradient.

Sources: Castigliano's theorem and elementary beam and shaft theory. The forms are those of Gillespie,
Fundamentals of Vehicle Dynamics, 1992, ch. 5-6; Shigley, Mechanical Engineering Design, ch. 10; Puhn, How to
Make Your Car Handle (anti-roll bar); Barton & Fieldhouse, Automotive Chassis Engineering.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def _float(*values: ArrayLike) -> tuple[Array, ...]:
    return tuple(np.asarray(value, dtype=np.float64) for value in values)


def series_rate(first_rate: ArrayLike, second_rate: ArrayLike) -> Array:
    """Rate of two springs in series, k_1 k_2 / (k_1 + k_2): wheel and tyre make the ride rate.

    Args:
        first_rate: k_1, any shape; [N/m] or [N m/rad].
        second_rate: k_2, broadcast, same unit.

    Returns:
        The series rate in the same unit.
    """
    first, second = _float(first_rate, second_rate)
    return first * second / (first + second)


def wheel_rate(spring_rate: ArrayLike, motion_ratio: ArrayLike) -> Array:
    """Wheel rate of a spring, k m^2.

    Args:
        spring_rate: k, along the spring, any shape [N/m].
        motion_ratio: m, spring travel over wheel travel, broadcast [-].

    Returns:
        The rate at the wheel [N/m]; m constant over the travel.
    """
    rate, ratio = _float(spring_rate, motion_ratio)
    return rate * ratio**2


def torsion_bar_wheel_rate(shear_modulus: ArrayLike, diameter: ArrayLike, length: ArrayLike, arm: ArrayLike) -> Array:
    """Wheel rate of a torsion bar, pi G d^4 / (32 l a^2).

    Args:
        shear_modulus: G, any shape [Pa].
        diameter: d, of the solid round bar, broadcast [m].
        length: l, active length of the bar, broadcast [m].
        arm: a, lateral distance from bar to hub, broadcast [m].

    Returns:
        The rate at the hub [N/m], with the arm level.
    """
    modulus, d, l_bar, a = _float(shear_modulus, diameter, length, arm)
    return np.pi * modulus * d**4 / (32.0 * l_bar * a**2)


def coil_rate(
    shear_modulus: ArrayLike, wire_diameter: ArrayLike, mean_diameter: ArrayLike, active_turns: ArrayLike
) -> Array:
    """Rate of a coil spring, G d^4 / (8 D^3 n).

    Args:
        shear_modulus: G, any shape [Pa].
        wire_diameter: d, broadcast [m].
        mean_diameter: D, of the coil, centre of wire to centre of wire, broadcast [m].
        active_turns: n, broadcast [-].

    Returns:
        The rate [N/m]. Torsion of the wire alone: close coils, D well above d.
    """
    modulus, wire, mean, turns = _float(shear_modulus, wire_diameter, mean_diameter, active_turns)
    return modulus * wire**4 / (8.0 * mean**3 * turns)


def coil_turns(shear_modulus: ArrayLike, wire_diameter: ArrayLike, mean_diameter: ArrayLike, rate: ArrayLike) -> Array:
    """Active turns of a coil spring of a given rate, G d^4 / (8 D^3 k).

    Args:
        shear_modulus: G, any shape [Pa].
        wire_diameter: d, broadcast [m].
        mean_diameter: D, broadcast [m].
        rate: k, broadcast [N/m].

    Returns:
        n [-]. Validity as for `coil_rate`.
    """
    return coil_rate(shear_modulus, wire_diameter, mean_diameter, rate)


def leaf_pack_rate(
    *,
    youngs_modulus: ArrayLike,
    width: ArrayLike,
    thickness: ArrayLike,
    half_length: ArrayLike,
    full_leaves: ArrayLike,
    graduated_leaves: ArrayLike,
) -> Array:
    """Rate at one eye of a leaf pack, E b t^3 (3 n_f + 2 n_g) / (12 L^3).

    Args:
        youngs_modulus: E, any shape [Pa].
        width: b, of the leaves, broadcast [m].
        thickness: t, of one leaf, broadcast [m].
        half_length: L, from the clamp to the eye, broadcast [m].
        full_leaves: n_f, leaves of full length, broadcast [-].
        graduated_leaves: n_g, leaves of graduated length, broadcast [-].

    Returns:
        Force at one eye over its deflection [N/m]; a spring clamped at mid length carries twice that at the
        axle. No friction between leaves, equal deflection, none of them nipped.
    """
    modulus, b, t, half, full, graduated = _float(
        youngs_modulus, width, thickness, half_length, full_leaves, graduated_leaves
    )
    return modulus * b * t**3 * (3.0 * full + 2.0 * graduated) / (12.0 * half**3)


def anti_roll_bar_rate(
    *,
    shear_modulus: ArrayLike,
    youngs_modulus: ArrayLike,
    diameter: ArrayLike,
    arm: ArrayLike,
    centre_length: ArrayLike,
    arm_length: ArrayLike,
) -> Array:
    """Rate of a U-shaped anti-roll bar at its ends, 1 / (A^2 B / (G J) + 2 C^3 / (3 E I)).

    Args:
        shear_modulus: G, any shape [Pa].
        youngs_modulus: E, broadcast [Pa].
        diameter: D, of the solid round bar, broadcast [m]; J = pi D^4 / 32, I = pi D^4 / 64.
        arm: A, lever arm square to the centre section, broadcast [m].
        centre_length: B, of the section in torsion, broadcast [m].
        arm_length: C, along the arm, broadcast [m].

    Returns:
        Force over the displacement of one end relative to the other [N/m]. Torsion of the centre and bending
        of the arms; bending of the centre, bushings and links are left out.
    """
    shear, young, d, a, b, c = _float(shear_modulus, youngs_modulus, diameter, arm, centre_length, arm_length)
    polar = np.pi * d**4 / 32.0
    area = polar / 2.0
    return 1.0 / (a**2 * b / (shear * polar) + 2.0 * c**3 / (3.0 * young * area))


def roll_stiffness_at_track(rate: ArrayLike, track: ArrayLike) -> Array:
    """Roll stiffness of two equal springs at the wheels, k t^2 / 2.

    Args:
        rate: k, of each, any shape [N/m].
        track: t, broadcast [m].

    Returns:
        The stiffness [N m/rad], for small angles.
    """
    k, t = _float(rate, track)
    return k * t**2 / 2.0


def frequency_from_deflection(static_deflection: ArrayLike, gravity: ArrayLike = 9.80665) -> Array:
    """Natural frequency of a mass on a linear spring, sqrt(g_n / delta) / (2 pi).

    Args:
        static_deflection: delta = W/k, any shape [m].
        gravity: g_n, broadcast [m/s^2].

    Returns:
        The frequency [Hz], undamped.
    """
    delta, g_n = _float(static_deflection, gravity)
    return np.sqrt(g_n / delta) / (2.0 * np.pi)


def roll_gradient(
    mass: ArrayLike, centre_arm: ArrayLike, roll_stiffness: ArrayLike, gravity: ArrayLike = 9.80665
) -> Array:
    """Roll angle per lateral acceleration, m H / (K - m g_n H).

    Args:
        mass: m, sprung, any shape [kg].
        centre_arm: H, centre of gravity over the roll axis, broadcast [m].
        roll_stiffness: K, of both axles, broadcast [N m/rad]; must exceed m g_n H, the weight's
            overturning rate, or the upright position is unstable.
        gravity: g_n, broadcast [m/s^2].

    Returns:
        The gradient [rad/(m/s^2)], for small angles.
    """
    m, arm, stiffness, g_n = _float(mass, centre_arm, roll_stiffness, gravity)
    return m * arm / (stiffness - m * g_n * arm)
