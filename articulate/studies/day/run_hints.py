"""What a vehicle's model says of the runs of a sheet: how the climb hangs on the touch load, and the wheel's radii."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from articulate.climb import Outcome, climb_to_unload
from articulate.ends import in_case
from articulate.measure.option_sheet import UNNAMED
from articulate.measure.run_sheet import RunSheet
from articulate.measure.scoring import CaseHints
from articulate.model.balance import RampSystem
from articulate.model.measures import measures
from articulate.model.ramp_test import ramp_test
from articulate.model.vehicles import Vehicles, stack
from articulate.spec import Estimate, VehicleSpec, build
from articulate.types import Case

TOUCH_LOAD = 30.0  # [N], over which the climb's change is taken, and at which a film lets go: there a hub is read
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
    return case_hints(vehicle, sheet.cases, sheet.ramp_angle.value, name)


def case_hints(
    vehicle: Vehicles, cases: Sequence[tuple[str, str]], angle: float, name: str
) -> dict[tuple[str, str], CaseHints]:
    """Hints for every case, a side and a state of the bars, that the model brings to a lift; the others are left out.

    Args:
        vehicle: a batch of one.
        cases: sides and states of the bars.
        angle: of the ramp [rad].
        name: of the vehicle file, for the basis of the estimates.
    """
    lanes = [in_case(vehicle, Case(side, bars)) for side, bars in cases]
    both = stack([*lanes, *lanes])
    touch = np.repeat([0.0, TOUCH_LOAD], len(cases))
    test = ramp_test(both.lanes, angle, touch_load=touch)
    climbed = climb_to_unload(both, test)
    system = RampSystem.of(both, climbed.as_held(test))
    lifts = climbed.outcome == Outcome.WHEEL_LIFTS
    start = climbed.start
    state = np.where(lifts[:, None], climbed.state, start.state)
    hub = measures(system, state, np.where(lifts, climbed.climb, start.parameter)).hub[:, 0]
    flat = measures(system, start.state, start.parameter).hub[:, 0, 2]
    on_ramp = hub[:, 2] * np.cos(angle) - hub[:, 0] * np.sin(angle)
    found = {}
    for k, case in enumerate(cases):
        touched = k + len(cases)
        if not (lifts[k] and lifts[touched]):
            continue
        per_load = float(climbed.climb[touched] - climbed.climb[k]) / TOUCH_LOAD
        basis = f"from the model of {name}"
        found[case] = CaseHints(
            climb_per_touch_load=_either_side(per_load, RELATIVE_DOUBT * abs(per_load), basis, "mm/N", 1e-3),
            radius_on_flat=_either_side(float(flat[k]), RADIUS_DOUBT, basis, "mm", 1e-3),
            radius_loss=_either_side(float(flat[touched] - on_ramp[touched]), RADIUS_DOUBT, basis, "mm", 1e-3),
        )
    return found


def hints_and_remarks(spec: VehicleSpec, sheet: RunSheet) -> tuple[dict[tuple[str, str], CaseHints], list[str]]:
    """What a vehicle file adds to a sheet, and where the two disagree."""
    hints = run_hints(build(spec), sheet, spec.name)
    return hints, disagreements(spec, sheet, hints)


def disagreements(spec: VehicleSpec, sheet: RunSheet, hints: Mapping[tuple[str, str], CaseHints]) -> list[str]:
    """Where a sheet and its vehicle file do not say the same, and the cases the model has no hints for."""
    said = []
    if sheet.vehicle not in (spec.filed_name, UNNAMED):
        said.append(f'the sheet is about "{sheet.vehicle}", the vehicle file about "{spec.filed_name}"')
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
