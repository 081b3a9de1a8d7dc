"""From a run sheet to readings a population can be conditioned on."""

from __future__ import annotations

from dataclasses import dataclass, replace

from articulate.measure.run_sheet import RunSheet
from articulate.measure.scoring import SheetScores
from articulate.spec import Estimate
from articulate.studies.learn.readings import Evidence, LiftSeen, LoadReading, RollReading, ScoreReading
from articulate.studies.population.conditions import Conditions, exactly
from articulate.types import WHEELS, Case


@dataclass(frozen=True)
class SheetReadings:
    """What a sheet says that the model predicts too, and the conditions it was read in."""

    readings: tuple[Evidence, ...]
    seen: tuple[LiftSeen, ...]
    conditions: Conditions
    left_out: tuple[str, ...]  # what the sheet holds that was not used, and why


def conditions_of_day(sheet: RunSheet, conditions: Conditions) -> Conditions:
    """The ramp and the touch load at which predictions are held against a sheet's measured scores.

    What else is known of the test stays. Angle and load are exact: what is not known about them is in the uncertainty
    of the measured scores.
    """
    angle, load = sheet.ramp_angle, sheet.touch_load
    return replace(
        conditions,
        ramp_angle=exactly(angle.mean, angle.unit, angle.unit_size),
        touch_load=exactly(sheet.nominal_touch_load, load.unit, load.unit_size),
    )


def sheet_readings(scores: SheetScores, conditions: Conditions) -> SheetReadings:
    """Readings of a scored sheet.

    Scores are the measured ones, and the runs are simulated at the sheet's touch load, whose own uncertainty is in that
    of the scores; the ramp's angle is the sheet's with its uncertainty, since roll and loads hang on it too. Errors
    that runs of a sheet share are taken as independent. Roll angles and wheel loads are used where the sheet says how
    well they were read.
    """
    sheet = scores.sheet
    readings: list[Evidence] = []
    seen: list[LiftSeen] = []
    left_out: list[str] = []
    for case in scores.cases:
        if case.side == "both":
            continue
        score = case.score
        if score.u > 0.0:
            readings.append(ScoreReading(Case(case.side, case.bars), score.value, score.u))
        else:
            left_out.append(f"score {case.side}, {case.bars}: it has no uncertainty")
    for entry in sheet.runs:
        case_of_run = Case(entry.side, entry.bars)
        if entry.lifted is not None:
            lift = LiftSeen(case_of_run, WHEELS.index(entry.lifted))
            if lift not in seen:  # the same vehicle lifting the same wheel again says nothing new
                seen.append(lift)
        angles = [("roll angle", entry.roll_angle, -1)]
        angles += [(f"load {wheel}", load, WHEELS.index(wheel)) for wheel, load in entry.wheel_load.items()]
        for name, estimate, wheel in angles:
            if estimate is None:
                continue
            deviation = _deviation(estimate)
            if deviation <= 0.0:
                left_out.append(f"run {entry.number}, {name}: the sheet does not say how well it was read")
            elif wheel < 0:
                readings.append(RollReading(case_of_run, estimate.value, deviation))
            else:
                readings.append(LoadReading(case_of_run, wheel, False, estimate.value, deviation))
    return SheetReadings(
        tuple(readings),
        tuple(seen),
        replace(conditions_of_day(sheet, conditions), ramp_angle=sheet.ramp_angle),
        tuple(left_out),
    )


def _deviation(estimate: Estimate) -> float:
    return estimate.standard_uncertainty
