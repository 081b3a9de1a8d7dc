"""What a vehicle's model says of the runs of a sheet: how the climb hangs on the touch load, and the wheel's radii."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from articulate.climb import Outcome
from articulate.measure.run_sheet import RunSheet
from articulate.measure.scoring import CaseHints
from articulate.model.ramp_test import ramp_test
from articulate.model.vehicles import Vehicles
from articulate.prediction import Run, predict
from articulate.spec import Estimate, VehicleSpec

TOUCH_LOAD = 30.0  # [N], over which the climb's change is taken
RELATIVE_DOUBT = 0.3  # of the change of climb with load: springs, stops and bars of the file
RADIUS_DOUBT = 6e-3  # [m], mostly the tyre's stiffness


def _either_side(value: float, half: float, basis: str, unit: str, unit_size: float) -> Estimate:
    return Estimate(value, value - half, value + half, "rectangular", "assumed", basis, unit, unit_size)


def run_hints(vehicle: Vehicles, sheet: RunSheet, name: str) -> dict[tuple[str, str], CaseHints]:
    """Hints for every case of a sheet that the model brings to a lift; the others are left out.

    Args:
        vehicle: a batch of one.
        sheet: its run sheet.
        name: of the vehicle file, for the basis of the estimates.
    """
    found = {}
    for side in {case[0] for case in sheet.cases}:
        free, touched = (
            predict(vehicle, ramp_test(1, sheet.ramp_angle.value, touch_load=load), side) for load in (0.0, TOUCH_LOAD)
        )
        for bars in ("connected", "released"):
            at_zero, at_touch = getattr(free, bars), getattr(touched, bars)
            if (side, bars) not in sheet.cases or at_zero is None or at_touch is None:
                continue
            if {at_zero.outcome, at_touch.outcome} == {Outcome.WHEEL_LIFTS}:
                found[side, bars] = _hints(at_zero, at_touch, sheet.ramp_angle.value, f"from the model of {name}")
    return found


def disagreements(spec: VehicleSpec, sheet: RunSheet, hints: Mapping[tuple[str, str], CaseHints]) -> list[str]:
    """Where a sheet and its vehicle file do not say the same, and the cases the model has no hints for."""
    said = []
    if spec.name != sheet.vehicle:
        said.append(f'the sheet is about "{sheet.vehicle}", the vehicle file about "{spec.name}"')
    theirs, ours = spec.inputs["wheelbase"], sheet.wheelbase
    if min(theirs.high, ours.high) < max(theirs.low, ours.low):
        said.append(
            f"the wheelbase is {ours.value * 1e3:.0f} mm in the sheet, {theirs.value * 1e3:.0f} mm in the vehicle file"
        )
    said += [
        f"the model of the vehicle does not come to a lift on the {side} with the bars {bars}: nothing is taken from it"
        for side, bars in sheet.cases
        if (side, bars) not in hints
    ]
    return said


def _hints(at_zero: Run, at_touch: Run, angle: float, basis: str) -> CaseHints:
    per_load = (at_touch.climb - at_zero.climb) / TOUCH_LOAD
    hub = at_zero.trace.measures.hub[:, 0]
    flat = float(hub[0, 2])
    ramp = float(hub[-1, 2] * np.cos(angle) - hub[-1, 0] * np.sin(angle))
    return CaseHints(
        climb_per_touch_load=_either_side(per_load, RELATIVE_DOUBT * abs(per_load), basis, "mm/N", 1e-3),
        radius_on_flat=_either_side(flat, RADIUS_DOUBT, basis, "mm", 1e-3),
        radius_loss=_either_side(flat - ramp, RADIUS_DOUBT, basis, "mm", 1e-3),
    )
