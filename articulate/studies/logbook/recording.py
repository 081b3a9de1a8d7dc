"""What is noted beside a sheet when it is kept: its answer, and what was predicted of the vehicle as it then was.

All that needs solving is done here, once, so that looking through years of results needs none: the band of every case
at the day's ramp and touch load, and how its score would change on ramps of other angles.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from articulate.constants import DEGREE
from articulate.lanes import join
from articulate.measure.day_record import DayRecord, NotedCase, VehicleSnapshot, noted
from articulate.measure.run_sheet import RunSheet
from articulate.measure.scoring import CaseHints, SheetScores, score_sheet
from articulate.model.vehicles import stack
from articulate.spec import SpecError, UnphysicalError, VehicleSpec, read_vehicle
from articulate.studies.day.run_hints import hints_and_remarks
from articulate.studies.learn.sheet_readings import conditions_of_day
from articulate.studies.population.conditions import Conditions, climbs_of, lanes_of
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR
from articulate.studies.population.runs import Population, cases_of, simulate_at
from articulate.studies.population.sampling import SEED, normal_scores
from articulate.studies.predict.band import POINTS, spread_of_runs
from articulate.types import SIDES, Case

Array = NDArray[np.float64]

CARRIED = 8  # possible vehicles whose scores are followed over the angles
ANGLES = tuple(DEGREE * angle for angle in (12.0, 15.0, 18.0, 20.0, 22.0, 25.0, 28.0))


def scored(
    sheet: RunSheet, spec: VehicleSpec | None, why_not: str = ""
) -> tuple[SheetScores, dict[tuple[str, str], CaseHints]]:
    """A sheet's answer by today's rules, and what its vehicle's model gave to it.

    Args:
        sheet: the sheet.
        spec: its vehicle, None where there is none that can be used.
        why_not: why there is none, where the sheet names one.

    Raises:
        MissingRadiusError: a reading lacks a radius that nothing gives.
    """
    hints: dict[tuple[str, str], CaseHints] = {}
    remarks = [why_not] if why_not else []
    if spec is not None:
        try:
            hints, remarks = hints_and_remarks(spec, sheet)
        except UnphysicalError:
            remarks = [f"{spec.path} cannot be used, so nothing is taken from it"]
    return score_sheet(sheet, hints, remarks=remarks), hints


def as_it_was(snapshot: VehicleSnapshot | None) -> VehicleSpec | None:
    """The vehicle of a record, from its own text; None where it has none that today's program can read."""
    if snapshot is None:
        return None
    try:
        return read_vehicle(snapshot.text, f"{snapshot.file}, as noted")
    except SpecError:
        return None


def day_record(
    sheet: RunSheet,
    data: Mapping[str, object],
    spec: VehicleSpec | None = None,
    snapshot: VehicleSnapshot | None = None,
    why_not: str = "",
) -> DayRecord:
    """The record of a sheet: scored, and predicted where its vehicle is known.

    Args:
        sheet: the sheet.
        data: its values as the file has them.
        spec: its vehicle, None where there is none that can be used.
        snapshot: of the vehicle's file.
        why_not: why there is none, where the sheet names one.

    Raises:
        MissingRadiusError: a reading lacks a radius that nothing gives.
    """
    scores, hints = scored(sheet, spec, why_not)
    record = noted(sheet, data, scores, hints, snapshot)
    if spec is None or not hints:
        return record
    try:
        return _predicted(record, sheet, spec)
    except UnphysicalError:
        return record


def over_angles(record: DayRecord, sheet: RunSheet, spec: VehicleSpec | None) -> DayRecord:
    """The record of a sheet that was kept without one, with the scores on other ramps over those on the day's.

    Nothing is predicted: the vehicle file may have been written, or changed, since the day.
    """
    if spec is None or not record.hints:
        return record
    try:
        return _predicted(record, sheet, spec, bands=False)
    except UnphysicalError:
        return record


def _predicted(record: DayRecord, sheet: RunSheet, spec: VehicleSpec, *, bands: bool = True) -> DayRecord:
    """The record with bands, if wanted, and with the scores on other ramps over those on the day's.

    Raises:
        UnphysicalError: the vehicle cannot exist.
    """
    conditions = conditions_of_day(sheet, Conditions())
    bars = {case.bars for case in cases_of(spec)}
    cases = [Case(side, state) for side, state in sheet.cases if state in bars]
    if not cases:
        return record
    people = Population.of(spec, conditions)
    normal = normal_scores(POINTS, len(people.keys), SEED)
    runs = simulate_at(people, cases, normal) if bands else None
    angles = (*ANGLES, sheet.ramp_angle.value)
    by_angle = _over_angles(spec, conditions, people.samples(normal[:CARRIED]), angles, cases)

    def of(case: NotedCase) -> NotedCase:
        own = [Case(side, case.bars) for side in (SIDES if case.side == "both" else (case.side,))]
        if not set(own) <= set(cases):
            return case
        predicted = None
        if runs is not None:
            band = spread_of_runs([runs.ends[one].ranking / len(own) for one in own], ASSUMED_MODEL_ERROR)
            predicted = (band.median, band.low, band.high)
        scores = np.mean([by_angle[one] for one in own], axis=0)  # (angles, vehicles), the nominal one first
        logs = np.log(scores / scores[-1])
        spread = np.array([np.nanstd(row) if np.isfinite(row).any() else np.nan for row in logs])
        return replace(
            case,
            predicted=predicted,
            ratios=tuple(float(f"{ratio:.7g}") for ratio in np.exp(logs[:, 0])),
            ratio_u=tuple(float(f"{u:.3g}") for u in spread),
        )

    return replace(record, angles=angles, cases=tuple(map(of, record.cases)))


def _over_angles(
    spec: VehicleSpec, conditions: Conditions, samples: Mapping[str, Array], angles: Sequence[float], cases: list[Case]
) -> dict[Case, Array]:
    """Scores of the nominal vehicle and some possible ones on ramps of several angles, (angles, vehicles)."""
    vehicles, test = lanes_of(spec, conditions, {})
    batches, tests = [vehicles], [test]
    if samples:
        try:
            some, theirs = lanes_of(spec, conditions, samples)
            batches.append(some)
            tests.append(theirs)
        except UnphysicalError:
            pass  # the nominal one alone then says how scores change
    every, over = stack(batches), join(tests)
    count = len(angles)
    lanes = np.tile(np.arange(every.lanes), count)
    test = replace(over.take(lanes), angle=np.repeat(np.asarray(angles), every.lanes))
    climbs = climbs_of(every.take(lanes), test, cases)
    return {case: climb.score.reshape(count, every.lanes) for case, climb in climbs.items()}
