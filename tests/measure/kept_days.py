"""Day files without a solve: sheets of our own kept with an answer that is scaled as a test wants it."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

from articulate.measure.day_record import DayRecord, noted, values_hash
from articulate.measure.logbook import with_sheet
from articulate.measure.scoring import score_sheet
from articulate.measure.sheet_load import read_sheet
from tests.measure.filled import filled


@cache
def _answer() -> DayRecord:
    sheet = read_sheet(filled(), "s.toml")
    return noted(sheet, sheet.document.data, score_sheet(sheet, draws=1000))


def keep(
    folder: Path, vehicle: str, date: str, times: float = 1.0, predicted: float | None = None, ramp: str = "20 deg"
) -> None:
    """Keep a sheet whose scores are those of `filled` times a factor, the prediction with a band of 6 % beside it."""
    text = filled(vehicle, date).replace('# angle = "20.0 deg ± 0.1 deg"', f'angle = "{ramp} ± 0.1 deg"', 1)
    sheet = read_sheet(text, "s.toml")
    cases = []
    for case in _answer().cases:
        low, score, high = (times * value for value in (case.low, case.score, case.high))
        band = None
        if predicted is not None:
            middle = case.score * predicted
            band = (middle, middle * math.exp(-1.645 * 0.06), middle * math.exp(1.645 * 0.06))
        cases.append(replace(case, low=low, score=score, high=high, climb=times * case.climb, predicted=band))
    record = replace(
        _answer(),
        vehicle=sheet.vehicle,
        sheet_sha256=values_hash(sheet.document.data),
        ramp_angle=sheet.ramp_angle.value,
        ramp_angle_text=sheet.ramp_angle.text,
        cases=tuple(cases),
    )
    path = folder / f"{date}.toml"
    folder.mkdir(exist_ok=True)
    before = path.read_text(encoding="utf-8") if path.exists() else None
    path.write_text(with_sheet(before, path, sheet, text, replace=False, record=record).text, encoding="utf-8")
