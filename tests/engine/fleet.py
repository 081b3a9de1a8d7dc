"""Vehicles to settle: plausible, invented, each there for one thing that is easy to get wrong.

All numbers are literals in SI units, as described in `Vehicles`. `RUNS` holds every vehicle with its bars
connected and with its releasable bars released.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from math import degrees, radians

import numpy as np

from articulate.model.ramp_test import RampTest, ramp_test
from articulate.model.vehicles import Vehicles


@dataclass(frozen=True, eq=False)
class Run:
    """One vehicle in one test: a label, and both as batches of one lane."""

    label: str
    vehicle: Vehicles
    test: RampTest


@dataclass(frozen=True)
class Axle:
    """One axle in the words of `Vehicles`; of a solid axle `pivot_height` is its roll centre's."""

    solid: bool
    track: float
    unsprung_mass: float
    spring_rate: float
    bar_rate: float
    pivot_height: float
    tyre_radius: float = 0.39
    tyre_stiffness: float = 260e3
    tyre_section_radius: float = 0.13
    swing_arm: float = 1.0
    spring_half_base: float = 0.45
    spring_loose: bool = True
    bump_gap: float = 0.09
    bump_rate: float = 60e3
    bump_rate_cubic: float = 2e7
    bump_half_base: float = 0.42
    droop_gap: float = 0.11
    droop_rate: float = 300e3
    droop_half_base: float = 0.5
    bar_releasable: bool = False
    friction_force: float = 0.0
    friction_stiffness: float = 100e3
    spring_linked: bool = False
    spring_rise_at: float = 0.0
    spring_rate_factor: float = 1.0
    auxiliary_rate: float = 0.0
    auxiliary_rate_cubic: float = 0.0


Point = tuple[float, float, float]


def _vehicle(
    front: Axle,
    rear: Axle,
    *,
    wheelbase: float,
    sprung_mass: float,
    sprung_centre: Point,
    load_mass: float = 0.0,
    load_centre: Point = (0.0, 0.0, 0.0),
    cross_link_rate: float = 0.0,
    frame_rate: float = 0.0,
) -> Vehicles:
    """One lane; `frame_rate` is the torsional rate of the frame [N m/rad], 0 for a rigid one."""
    whole = {
        "wheelbase": wheelbase,
        "sprung_mass": sprung_mass,
        "sprung_centre": sprung_centre,
        "load_mass": load_mass,
        "load_centre": load_centre,
        "cross_link_rate": cross_link_rate,
        "frame_compliance": 1.0 / frame_rate if frame_rate else 0.0,
    }
    axles = {field.name: (getattr(front, field.name), getattr(rear, field.name)) for field in fields(Axle)}
    return Vehicles(**{name: np.array([value]) for name, value in (whole | axles).items()})


def _per_degree(rate: float) -> float:
    """A frame rate given in N m/deg, in N m/rad."""
    return degrees(rate)


_COIL_INDEPENDENT = Axle(
    solid=False,
    track=1.57,
    unsprung_mass=95.0,
    spring_rate=27e3,
    bar_rate=14e3,
    pivot_height=0.04,
    swing_arm=0.95,
    spring_loose=True,
    bump_gap=0.085,
    droop_gap=0.095,
    bar_releasable=True,
)
_TORSION_BAR_INDEPENDENT = replace(
    _COIL_INDEPENDENT,
    track=1.52,
    spring_rate=24e3,
    bar_rate=9e3,
    pivot_height=-0.03,
    swing_arm=0.7,
    spring_loose=False,
    bump_gap=0.07,
    droop_gap=0.08,
)
_REAR_INDEPENDENT = replace(
    _COIL_INDEPENDENT,
    track=1.60,
    unsprung_mass=110.0,
    spring_rate=31e3,
    bar_rate=7e3,
    pivot_height=0.06,
    swing_arm=0.8,
    bump_gap=0.10,
    droop_gap=0.12,
)
_COIL_SOLID_FRONT = Axle(
    solid=True,
    track=1.50,
    unsprung_mass=170.0,
    spring_rate=29e3,
    bar_rate=11e3,
    pivot_height=0.08,
    spring_half_base=0.42,
    bump_half_base=0.40,
    droop_half_base=0.48,
    bump_gap=0.10,
    droop_gap=0.13,
    bar_releasable=True,
)
_COIL_SOLID_REAR = replace(
    _COIL_SOLID_FRONT,
    track=1.52,
    unsprung_mass=160.0,
    spring_rate=33e3,
    bar_rate=6e3,
    pivot_height=0.14,
    spring_half_base=0.48,
    bump_half_base=0.45,
    droop_half_base=0.52,
)
_LEAF_SOLID_REAR = replace(
    _COIL_SOLID_REAR,
    unsprung_mass=175.0,
    spring_rate=38e3,
    bar_rate=0.0,
    pivot_height=0.05,
    spring_half_base=0.55,
    spring_loose=False,
    bump_half_base=0.55,
    droop_half_base=0.60,
    bump_gap=0.11,
    droop_gap=0.14,
    bar_releasable=False,
)
_LONG_TRAVEL_FRONT = replace(
    _COIL_SOLID_FRONT,
    track=1.66,
    unsprung_mass=230.0,
    tyre_radius=0.46,
    tyre_stiffness=230e3,
    tyre_section_radius=0.16,
    spring_rate=20e3,
    bar_rate=4e3,
    pivot_height=0.15,
    spring_half_base=0.46,
    spring_loose=False,
    bump_half_base=0.44,
    droop_half_base=0.46,
    bump_gap=0.09,
    droop_gap=0.12,
    bar_releasable=True,
)
_LONG_TRAVEL_REAR = replace(
    _LONG_TRAVEL_FRONT,
    track=1.68,
    unsprung_mass=220.0,
    spring_rate=19e3,
    bar_rate=1.5e3,
    pivot_height=0.20,
    spring_half_base=0.48,
)


def _twist_beam(spring_rate: float, share: float, doubles_at: float | None = None) -> Axle:
    """A rear axle that swings about a far pivot at hub height, without a bar; k_a = share x k/2 is nobody's to release.

    share: of the beam's roll stiffness in that of the springs, k t^2 / 2; doubles_at [m]: left minus right travel at
    which the cubic part is as large as the linear.
    """
    rate = share * spring_rate / 2.0
    return replace(
        _REAR_INDEPENDENT,
        track=1.53,
        unsprung_mass=85.0,
        spring_rate=spring_rate,
        bar_rate=0.0,
        bar_releasable=False,
        pivot_height=0.0,
        swing_arm=2.0,
        tyre_radius=0.34,
        tyre_stiffness=230e3,
        tyre_section_radius=0.11,
        auxiliary_rate=rate,
        auxiliary_rate_cubic=rate / doubles_at**2 if doubles_at else 0.0,
    )


_SMALL_FRONT = replace(
    _COIL_INDEPENDENT, track=1.55, unsprung_mass=80.0, tyre_radius=0.34, tyre_stiffness=230e3, tyre_section_radius=0.11
)

_VEHICLES: dict[str, tuple[Vehicles, RampTest]] = {
    "independent front, solid coil rear": (
        _vehicle(
            _COIL_INDEPENDENT,
            _COIL_SOLID_REAR,
            wheelbase=2.74,
            sprung_mass=1780.0,
            sprung_centre=(1.30, 0.0, 0.74),
        ),
        ramp_test(1),
    ),
    "torsion-bar front, leaf rear, 23 degrees, wheels on the flat hold": (
        _vehicle(
            _TORSION_BAR_INDEPENDENT,
            _LEAF_SOLID_REAR,
            wheelbase=3.05,
            sprung_mass=1560.0,
            sprung_centre=(1.22, 0.0, 0.70),
        ),
        ramp_test(1, angle=radians(23.0), holding_share=0.0),
    ),
    "solid coil front and rear, ramp wheel holds": (
        _vehicle(
            _COIL_SOLID_FRONT,
            _COIL_SOLID_REAR,
            wheelbase=2.40,
            sprung_mass=1240.0,
            sprung_centre=(1.08, 0.0, 0.76),
        ),
        ramp_test(1, holding_share=1.0),
    ),
    "independent front and rear": (
        _vehicle(
            _COIL_INDEPENDENT,
            _REAR_INDEPENDENT,
            wheelbase=2.66,
            sprung_mass=1610.0,
            sprung_centre=(1.21, 0.0, 0.66),
        ),
        ramp_test(1),
    ),
    "solid front, independent rear, 30 degrees": (
        _vehicle(
            _COIL_SOLID_FRONT,
            _REAR_INDEPENDENT,
            wheelbase=2.55,
            sprung_mass=1500.0,
            sprung_centre=(1.20, 0.0, 0.69),
        ),
        ramp_test(1, angle=radians(30.0)),
    ),
    "centre of gravity left, cargo low on the right": (
        _vehicle(
            _COIL_INDEPENDENT,
            _COIL_SOLID_REAR,
            wheelbase=2.78,
            sprung_mass=1720.0,
            sprung_centre=(1.33, 0.035, 0.73),
            load_mass=180.0,
            load_centre=(2.30, -0.45, 0.80),
        ),
        ramp_test(1),
    ),
    "centre of gravity right, driver on the left, held on the flat": (
        _vehicle(
            _COIL_SOLID_FRONT,
            _LEAF_SOLID_REAR,
            wheelbase=2.85,
            sprung_mass=1450.0,
            sprung_centre=(1.18, -0.03, 0.75),
            load_mass=85.0,
            load_centre=(1.35, 0.40, 0.95),
        ),
        ramp_test(1, holding_share=0.0),
    ),
    "short loose coils leave their seats": (
        _vehicle(
            replace(_COIL_SOLID_FRONT, spring_rate=52e3, bar_rate=3e3, droop_gap=0.20, bump_gap=0.13),
            replace(_COIL_SOLID_REAR, spring_rate=60e3, bar_rate=0.0, droop_gap=0.22, bump_gap=0.13),
            wheelbase=2.36,
            sprung_mass=1150.0,
            sprung_centre=(1.02, 0.0, 0.72),
        ),
        ramp_test(1),
    ),
    "the same coils held": (
        _vehicle(
            replace(
                _COIL_SOLID_FRONT,
                spring_rate=52e3,
                bar_rate=3e3,
                droop_gap=0.20,
                bump_gap=0.13,
                spring_loose=False,
            ),
            replace(
                _COIL_SOLID_REAR,
                spring_rate=60e3,
                bar_rate=0.0,
                droop_gap=0.22,
                bump_gap=0.13,
                spring_loose=False,
            ),
            wheelbase=2.36,
            sprung_mass=1150.0,
            sprung_centre=(1.02, 0.0, 0.72),
        ),
        ramp_test(1),
    ),
    "cross-linked bars, independent front": (
        _vehicle(
            replace(_COIL_INDEPENDENT, bar_rate=2e3),
            replace(_COIL_SOLID_REAR, bar_rate=1e3, bump_gap=0.12, droop_gap=0.15),
            wheelbase=2.85,
            sprung_mass=2050.0,
            sprung_centre=(1.42, 0.01, 0.79),
            cross_link_rate=16e3,
        ),
        ramp_test(1),
    ),
    "body on a twisting frame": (
        _vehicle(
            _COIL_INDEPENDENT,
            _LEAF_SOLID_REAR,
            wheelbase=3.10,
            sprung_mass=1650.0,
            sprung_centre=(1.32, 0.0, 0.72),
            frame_rate=_per_degree(3000.0),
        ),
        ramp_test(1),
    ),
    "twisting frame, offset, cargo, 23 degrees": (
        _vehicle(
            _COIL_SOLID_FRONT,
            replace(_LEAF_SOLID_REAR, tyre_radius=0.41, tyre_stiffness=290e3),
            wheelbase=2.95,
            sprung_mass=1480.0,
            sprung_centre=(1.20, 0.02, 0.78),
            load_mass=250.0,
            load_centre=(2.75, -0.20, 0.95),
            frame_rate=_per_degree(1800.0),
        ),
        ramp_test(1, angle=radians(23.0), holding_share=0.24),
    ),
    "long travel: the rear wheel is on the ramp too": (
        _vehicle(
            _LONG_TRAVEL_FRONT,
            _LONG_TRAVEL_REAR,
            wheelbase=2.38,
            sprung_mass=1280.0,
            sprung_centre=(1.10, 0.0, 0.80),
        ),
        ramp_test(1),
    ),
    "long travel, ramp wheels hold, offset": (
        _vehicle(
            _LONG_TRAVEL_FRONT,
            replace(_LONG_TRAVEL_REAR, spring_rate=22e3, bar_rate=1e3),
            wheelbase=2.36,
            sprung_mass=1240.0,
            sprung_centre=(1.12, 0.01, 0.79),
        ),
        ramp_test(1, holding_share=1.0),
    ),
    "tail-heavy and soft behind: the other front wheel lifts": (
        _vehicle(
            replace(_TORSION_BAR_INDEPENDENT, spring_rate=34e3, bar_rate=22e3),
            replace(_COIL_SOLID_REAR, spring_rate=26e3, bar_rate=0.0, bump_gap=0.13, droop_gap=0.17),
            wheelbase=2.60,
            sprung_mass=1500.0,
            sprung_centre=(1.56, 0.0, 0.80),
        ),
        ramp_test(1),
    ),
    "progressive springs in front and behind": (
        _vehicle(
            replace(_COIL_INDEPENDENT, spring_rise_at=0.02, spring_rate_factor=1.6),
            replace(_COIL_SOLID_REAR, spring_rise_at=0.015, spring_rate_factor=2.2, bump_gap=0.12),
            wheelbase=2.74,
            sprung_mass=1780.0,
            sprung_centre=(1.30, 0.0, 0.74),
        ),
        ramp_test(1),
    ),
    "linked air springs behind, soft ones apart in front": (
        _vehicle(
            replace(_COIL_INDEPENDENT, spring_rate=24e3, bar_rate=16e3, spring_loose=True),
            replace(
                _COIL_SOLID_REAR, spring_rate=27e3, bar_rate=5e3, spring_linked=True, bump_gap=0.11, droop_gap=0.14
            ),
            wheelbase=2.88,
            sprung_mass=1950.0,
            sprung_centre=(1.40, 0.015, 0.74),
        ),
        ramp_test(1),
    ),
    "linked air springs at independent wheels, twisting frame": (
        _vehicle(
            replace(_COIL_INDEPENDENT, spring_linked=True, bar_rate=22e3, bar_releasable=False),
            replace(_REAR_INDEPENDENT, bar_rate=9e3),
            wheelbase=2.80,
            sprung_mass=1800.0,
            sprung_centre=(1.34, 0.0, 0.70),
            frame_rate=_per_degree(15000.0),
        ),
        ramp_test(1, holding_share=0.24),
    ),
    "touch load, worn stops, different tyres": (
        _vehicle(
            replace(_COIL_INDEPENDENT, bump_gap=0.06, bump_rate=0.0, bump_rate_cubic=9e7, tyre_radius=0.37),
            replace(_REAR_INDEPENDENT, bump_rate=140e3, bump_rate_cubic=0.0, tyre_section_radius=0.10),
            wheelbase=2.50,
            sprung_mass=1390.0,
            sprung_centre=(1.15, -0.02, 0.68),
        ),
        ramp_test(1, touch_load=40.0),
    ),
    "bushings that resist roll, linear, front and rear": (
        _vehicle(
            replace(_COIL_INDEPENDENT, auxiliary_rate=1.5e3),
            replace(_COIL_SOLID_REAR, auxiliary_rate=9e3),
            wheelbase=2.74,
            sprung_mass=1780.0,
            sprung_centre=(1.30, 0.0, 0.74),
        ),
        ramp_test(1),
    ),
    "radius arms and leaves that bind": (
        _vehicle(
            replace(_COIL_SOLID_FRONT, auxiliary_rate=12e3, auxiliary_rate_cubic=12e3 / 0.15**2),
            replace(_LEAF_SOLID_REAR, auxiliary_rate=5e3, auxiliary_rate_cubic=5e3 / 0.25**2),
            wheelbase=2.85,
            sprung_mass=1490.0,
            sprung_centre=(1.22, 0.015, 0.75),
            frame_rate=_per_degree(4000.0),
        ),
        ramp_test(1, holding_share=0.24),
    ),
    "twist beam of half its springs": (
        _vehicle(
            _SMALL_FRONT, _twist_beam(25e3, 0.5), wheelbase=2.60, sprung_mass=1250.0, sprung_centre=(1.04, 0.0, 0.6)
        ),
        ramp_test(1),
    ),
    "twist beam of twice its springs that binds, ramp wheel holds": (
        _vehicle(
            _SMALL_FRONT,
            _twist_beam(23e3, 2.0, doubles_at=0.2),
            wheelbase=2.55,
            sprung_mass=1180.0,
            sprung_centre=(1.00, 0.01, 0.58),
            load_mass=80.0,
            load_centre=(1.30, 0.35, 0.80),
        ),
        ramp_test(1, angle=radians(15.0), holding_share=1.0),
    ),
}

RUNS: tuple[Run, ...] = tuple(
    Run(f"{label}, bars {state}", vehicle if state == "connected" else vehicle.released(), test)
    for label, (vehicle, test) in _VEHICLES.items()
    for state in ("connected", "released")
)
