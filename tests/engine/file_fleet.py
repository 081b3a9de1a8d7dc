"""Vehicles described by files, in forms the fleet of arrays cannot have, each on a ramp of its own.

The files are read and built by the code under test; the engine settles what was built.
"""

from __future__ import annotations

from math import radians
from pathlib import Path

from articulate.model.ramp_test import RampTest, ramp_test
from articulate.spec import build, load_vehicle
from tests.engine.fleet import Run

FOLDER = Path(__file__).with_name("vehicle_files")

_TESTS: dict[str, tuple[str, RampTest]] = {
    "torsion_bars": ("right", ramp_test(1, angle=radians(23.0), holding_share=0.0)),
    "air_springs": ("left", ramp_test(1)),
    "taller_tyres": ("right", ramp_test(1, holding_share=1.0)),
    "crew_and_cargo": ("left", ramp_test(1, touch_load=40.0)),
    "long_travel": ("left", ramp_test(1)),
    "cross_link": ("right", ramp_test(1)),
    "soft_frame": ("left", ramp_test(1, angle=radians(12.0))),
    "loose_coils": ("left", ramp_test(1, angle=radians(28.0))),
    "tail_heavy": ("left", ramp_test(1)),
    "solid_front_independent_rear": ("right", ramp_test(1, angle=radians(33.0), holding_share=0.24, touch_load=20.0)),
    "twist_beam": ("right", ramp_test(1, touch_load=20.0)),
    "binding_bushings": ("left", ramp_test(1, angle=radians(24.0), holding_share=0.1)),
    "rubbing_wagon": ("left", ramp_test(1)),
    "rubbing_leaves": ("right", ramp_test(1, angle=radians(23.0))),
}


def _runs(with_friction: bool) -> tuple[Run, ...]:
    runs = []
    for name, (side, test) in _TESTS.items():
        vehicle = build(load_vehicle(FOLDER / f"{name}.toml"))
        if bool(vehicle.friction_force.any()) != with_friction:
            continue
        seen = vehicle.climbing(side)
        runs.append(Run(f"{name}, {side}, bars connected", seen, test))
        if vehicle.releasable.any():
            runs.append(Run(f"{name}, {side}, bars released", seen.released(), test))
    return tuple(runs)


def file_runs() -> tuple[Run, ...]:
    """Every file without friction, bars connected and, where they can be, released."""
    return _runs(with_friction=False)


def rubbing_runs() -> tuple[Run, ...]:
    """Those with suspension friction."""
    return _runs(with_friction=True)
