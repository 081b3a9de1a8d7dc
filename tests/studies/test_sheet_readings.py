"""What a run sheet tells about the next run: scores, what lifted, rolls and loads, each as well as it was read."""

from __future__ import annotations

from pathlib import Path

import pytest

from articulate.measure.scoring import score_sheet
from articulate.measure.sheet_load import read_sheet
from articulate.studies.learn.readings import LiftSeen, LoadReading, RollReading, ScoreReading
from articulate.studies.learn.sheet_readings import sheet_readings
from articulate.studies.population.conditions import Conditions
from articulate.types import Case

SHEET = Path("vehicle_specs_demo/run_sheets/wagon_run_sheet.toml")
LEFT = Case("left", "connected")


def readings_of(text):
    scores = score_sheet(read_sheet(text, str(SHEET)))
    return sheet_readings(scores, Conditions())


def test_each_kind_of_reading_is_taken_with_its_own_uncertainty():
    found = readings_of(SHEET.read_text(encoding="utf-8"))
    (roll,) = [one for one in found.readings if isinstance(one, RollReading)]
    assert roll.case == LEFT
    assert roll.value == pytest.approx(13.8 * 0.0174532925, rel=1e-7)
    loads = [one for one in found.readings if isinstance(one, LoadReading)]
    assert {(one.case.bars, one.wheel, one.value) for one in loads} == {
        ("connected", 1, 1045.0),
        ("released", 1, 955.0),
    }
    assert sum(isinstance(one, ScoreReading) for one in found.readings) == 4
    assert LiftSeen(LEFT, 2) in found.seen
    assert found.left_out == ()


def test_what_was_read_no_one_says_how_well_is_left_out_and_told():
    text = SHEET.read_text(encoding="utf-8").replace('"13.8 deg ± 0.3 deg"', '"13.8 deg"')
    found = readings_of(text)
    assert not any(isinstance(one, RollReading) for one in found.readings)
    assert found.left_out == ("run 1, roll angle: the sheet does not say how well it was read",)
