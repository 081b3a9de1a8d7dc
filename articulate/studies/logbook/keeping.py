"""Sheets of a logbook scored again: without a record, changed since they were noted, or by other rules of scoring."""

from __future__ import annotations

from dataclasses import replace

from articulate.measure.day_record import RULES, DayRecord, Triple, VehicleSnapshot, noted
from articulate.measure.kept_sheets import KeptSheet
from articulate.measure.logbook import read_day
from articulate.measure.run_sheet import RunSheet
from articulate.measure.scoring import CaseHints, score_sheet
from articulate.spec import SpecError, VehicleSpec, load_vehicle
from articulate.spec.load import read_text
from articulate.spec.quantities import Estimate
from articulate.studies.logbook.kept import FileHash, Kept, as_noted, file_changed, vehicle_file_hash
from articulate.studies.logbook.recording import as_it_was, over_angles, scored

SAME = 1e-6  # of a score and its uncertainty: rounding


def snapshot_of(sheet: RunSheet, spec: VehicleSpec, text: str, drive: str, seen_from: str) -> VehicleSnapshot:
    """The snapshot of a vehicle file.

    Args:
        sheet: whose vehicle it is.
        spec: the file, read.
        text: its text.
        drive: in words.
        seen_from: the file's name as the day file has it.
    """
    return VehicleSnapshot(seen_from or sheet.vehicle_file, spec.text_hash, text, drive, tyres_of(spec))


def tyres_of(spec: VehicleSpec) -> str:
    """Size codes of a vehicle's tyres as its file has them, front first; empty where it has none."""
    found = []
    for axle in ("front", "rear"):
        table = spec.document.data.get(axle, {}).get("tyre") or spec.document.data.get("tyre") or {}
        if size := table.get("size"):
            found.append(str(size))
    return ", ".join(dict.fromkeys(found))


def vehicle_beside(sheet: RunSheet) -> tuple[VehicleSpec | None, str, str]:
    """The vehicle file a sheet names, its text, and why it cannot be used; nothing of all where it names none."""
    place = sheet.vehicle_path
    if place is None:
        return None, "", ""
    try:
        text = read_text(place)
        return load_vehicle(place), text, ""
    except SpecError:
        return None, "", f"{place} cannot be used, so nothing is taken from it"


def kept_result(sheet: KeptSheet, again: bool = False, file_hash: FileHash = vehicle_file_hash) -> Kept:
    """The result of a kept sheet.

    What was noted holds as long as the sheet's values and the rules of scoring are those it was noted by. Otherwise
    the sheet is scored again by today's rules: with what its vehicle's model said then, or, if asked to, with the
    model of today on the vehicle as it was. A sheet without a record is scored with the vehicle file it names.

    Args:
        sheet: of a day file.
        again: score every sheet again, solving.
        file_hash: SHA-256 of a vehicle file's text, "" where there is none.

    Raises:
        SpecError: a sheet that has to be scored has faults.
        MissingRadiusError: a reading lacks a radius that nothing gives.
    """
    then = sheet.record
    reasons = []
    if then is not None:
        reasons += ["the sheet is not the one that was noted (its hash has changed)"] if sheet.changed else []
        reasons += [f"other rules of scoring ({then.program}, rules {then.rules})"] if then.rules != RULES else []
        reasons += ["scored again as asked, with the model of now"] if again and not reasons else []
    if not reasons and (as_it_stands := as_noted(sheet, file_hash)) is not None:
        return as_it_stands
    resolved = read_day(sheet.path)[sheet.index]
    data = resolved.document.data["sheet"][sheet.index]
    if then is None:
        snapshot = sheet.vehicle
        if snapshot is None:
            spec, text, why_not = vehicle_beside(resolved)
            snapshot = None if spec is None else snapshot_of(resolved, spec, text, "", resolved.vehicle_file)
        else:
            spec, why_not = as_it_was(snapshot), ""
        scores, hints = scored(resolved, spec, why_not)
        why = sheet.wrong and f"its record cannot be used: {sheet.wrong}"
        found = over_angles(noted(resolved, data, scores, hints, snapshot), resolved, spec)
        return Kept(sheet.path, sheet.date, found, False, why)
    if again:
        scores, hints = scored(resolved, as_it_was(then.snapshot))
    else:
        hints = _hints(then)
        scores = score_sheet(resolved, hints)
    now = replace(noted(resolved, data, scores, hints, then.snapshot), vehicle_file=resolved.vehicle_file)
    why = "; ".join(reasons)
    return Kept(
        sheet.path,
        sheet.date,
        _with_predictions(now, then),
        True,
        why,
        _changes(then, now, why),
        file_changed(sheet.path, now, file_hash),
    )


def _hints(record: DayRecord) -> dict[tuple[str, str], CaseHints]:
    """What the vehicle's model said then, as scoring takes it."""
    basis = f"from the model of {record.vehicle}, as noted"

    def estimate(found: Triple, unit: str) -> Estimate:
        return Estimate(*found, "rectangular", "assumed", basis, unit, 1e-3)

    return {
        (one.side, one.bars): CaseHints(
            climb_per_touch_load=estimate(one.climb_per_touch_load, "mm/N"),
            radius_on_flat=estimate(one.radius_on_flat, "mm"),
            radius_loss=estimate(one.radius_loss, "mm"),
        )
        for one in record.hints
    }


def _with_predictions(now: DayRecord, then: DayRecord) -> DayRecord:
    """Predictions stay those of the day, where ramp and touch load are the ones they were made for."""
    if abs(now.ramp_angle - then.ramp_angle) > SAME or abs(now.touch_load - then.touch_load) > SAME:
        return now
    before = {(case.side, case.bars): case for case in then.cases}
    cases = [
        replace(case, predicted=old.predicted, ratios=old.ratios, ratio_u=old.ratio_u)
        if (old := before.get((case.side, case.bars)))
        else case
        for case in now.cases
    ]
    return replace(now, angles=then.angles, cases=tuple(cases))


def _changes(then: DayRecord, now: DayRecord, why: str) -> tuple[str, ...]:
    before = {(case.side, case.bars): case for case in then.cases}
    found = []
    for case in now.cases:
        old = before.pop((case.side, case.bars), None)
        named = f"{'both sides' if case.side == 'both' else f'{case.side} side'}, bars {case.bars}"
        if old is None:
            found.append(f"{named}: {case.score:.1f}, not there when it was noted; {why}")
        elif abs(case.score - old.score) > SAME * old.score or abs(case.score_u - old.score_u) > SAME * old.score_u:
            found.append(
                f"{named}: {old.score:.1f} (u {old.score_u:.2f}) when it was noted, {case.score:.1f} "
                f"(u {case.score_u:.2f}) now; {why}"
            )
    found += [f"{side}, bars {bars}: {old.score:.1f} noted, gone now; {why}" for (side, bars), old in before.items()]
    return tuple(found)
