"""A day file is enough by itself: read back unscored, scored again from its own vehicle, changes seen and told."""

from __future__ import annotations

import hashlib
import math
import shutil
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from articulate.measure.day_record import RecordError, record_data, record_of, record_text, values_hash
from articulate.measure.kept_sheets import sheets_as_noted
from articulate.measure.logbook import LogbookError, kept_sheets, with_sheet
from articulate.measure.scoring import score_sheet
from articulate.measure.sheet_load import load_sheet, read_sheet
from articulate.spec import UnphysicalError, load_vehicle
from articulate.studies.compare.carry import carry
from articulate.studies.day.run_hints import hints_and_remarks
from articulate.studies.learn.sheet_readings import conditions_of_day
from articulate.studies.logbook import recording
from articulate.studies.logbook.keeping import kept_result, snapshot_of, vehicle_beside
from articulate.studies.logbook.kept import as_noted, vehicle_file_hash
from articulate.studies.logbook.recording import as_it_was, day_record, over_angles
from articulate.studies.logbook.standing import SINE_EXPONENT_U, carried
from articulate.studies.population.conditions import Conditions
from articulate.studies.population.runs import Population
from articulate.studies.predict.band import band
from tests.measure.filled import filled

DEMO = Path("vehicle_specs_demo").resolve()


@pytest.fixture(scope="module")
def pickup(tmp_path_factory):
    """The pickup's sheet beside its vehicle file, in a folder of their own, and its record."""
    folder = tmp_path_factory.mktemp("kept")
    text = (DEMO / "run_sheets" / "pickup_run_sheet.toml").read_text().replace("../", "")
    shutil.copy(DEMO / "ladder_frame_pickup.toml", folder)
    place = folder / "sheet.toml"
    place.write_text(text)
    sheet = load_sheet(place)
    spec, vehicle_text, why = vehicle_beside(sheet)
    assert why == ""
    snapshot = snapshot_of(sheet, spec, vehicle_text, "rear wheels drive: rear open", sheet.vehicle_file)
    record = day_record(sheet, sheet.document.data, spec, snapshot)
    day = folder / "log" / f"{sheet.date}.toml"
    day.parent.mkdir()
    day.write_text(with_sheet(None, day, sheet, text, replace=False, record=record).text)
    return sheet, spec, record, day


def test_a_record_reads_back_as_it_was_and_keeps_the_vehicle_word_for_word(pickup):
    sheet, _, record, day = pickup
    (kept,) = kept_sheets(day)
    assert not kept.changed
    assert replace(kept.record, text_sha256="", vehicle_file="") == record
    assert kept.record.snapshot.text == (DEMO / "ladder_frame_pickup.toml").read_text()
    assert kept.record.snapshot.sha256 == hashlib.sha256((DEMO / "ladder_frame_pickup.toml").read_bytes()).hexdigest()
    assert kept.record.touch_load == sheet.nominal_touch_load
    assert as_noted(kept).file_changed is False


@pytest.mark.parametrize("odd", ["quotes ''' inside", 'back\\slash "x"', "bell \x07 and \x7f", "ends with '", "a\r\nb"])
def test_odd_texts_survive_in_a_record(pickup, odd):
    text = odd + "\n"
    snapshot = replace(pickup[2].snapshot, text=text, sha256=hashlib.sha256(text.encode()).hexdigest(), drive=odd)
    record = replace(pickup[2], vehicle=odd, notes=odd, snapshot=snapshot)
    written = record_text(record)
    assert record_of(tomllib.loads(written)["record"][0]) == record
    assert record_data(written) == tomllib.loads(written)["record"][0]


def test_what_is_noted_is_what_scoring_and_the_band_say(pickup):
    sheet, spec, record, _ = pickup
    hints, _ = hints_and_remarks(spec, sheet)
    for case, noted in zip(score_sheet(sheet, hints).cases, record.cases, strict=True):
        assert (noted.side, noted.bars, noted.score, noted.score_u) == (
            case.side,
            case.bars,
            case.score.value,
            case.score.u,
        )
    at_the_sheets = band(Population.of(spec, conditions_of_day(sheet, Conditions())))
    for found, noted in zip(at_the_sheets.cases, record.cases, strict=True):
        assert noted.predicted == pytest.approx((found.score.median, found.score.low, found.score.high))


def test_it_is_scored_again_from_itself_alone(pickup, tmp_path):
    """Only the day file is there, and it gives the answer to the digit, with the model climbing the vehicle anew."""
    alone = tmp_path / pickup[3].name
    shutil.copy(pickup[3], alone)
    (kept,) = kept_sheets(alone)
    found = kept_result(kept, again=True)
    assert found.changes == ()
    assert found.file_changed is None
    assert [case.score_u for case in found.record.cases] == [case.score_u for case in pickup[2].cases]
    assert found.record.cases[0].predicted == pickup[2].cases[0].predicted


def test_a_changed_sheet_is_noticed_scored_and_explained(pickup, tmp_path):
    day = tmp_path / pickup[3].name
    text = pickup[3].read_text()
    reading = tomllib.loads(text)["sheet"][0]["run"][0]
    kind = next(key for key in reading if key in ("mark_height", "slope_distance", "hub_height", "hub_rise"))
    first = reading[kind][0]
    day.write_text(text.replace(f'"{first}"', '"590 mm"', 1))
    (kept,) = kept_sheets(day)
    assert kept.changed
    assert as_noted(kept) is None
    found = kept_result(kept)
    assert any("its hash has changed" in change and "when it was noted" in change for change in found.changes)
    day.write_text(text.replace("[[sheet]]", "[[sheet]]  # a comment is no reading", 1))
    (kept,) = kept_sheets(day)
    assert not kept.changed
    assert as_noted(kept) is not None


def test_a_changed_vehicle_file_is_noticed_and_a_lost_one_is_not(pickup):
    day, record = pickup[3], kept_sheets(pickup[3])[0]
    place = day.parent / record.record.vehicle_file
    before = place.read_text()
    place.write_text(before + "# heavier by now\n")
    assert as_noted(record).file_changed is True
    place.unlink()
    assert as_noted(record).file_changed is None
    place.write_text(before)
    assert vehicle_file_hash(place) == load_vehicle(place).text_hash


def edited(text, old, new):
    """A day file changed in its record, as one of another program would be: without the hash of what was noted."""
    assert text.count(old) == 1
    rows = text.replace(old, new).split("\n")
    return "\n".join(row for row in rows if not row.startswith("noted_sha256"))


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [('"score": ', '"score": 1', "what was noted was changed"), ("wheelbase", "wheelbose", "copy of the vehicle file")],
)
def test_a_record_changed_by_hand_is_noticed_and_its_sheet_scored_again(pickup, tmp_path, old, new, why):
    day = tmp_path / pickup[3].name
    text, mark, record = pickup[3].read_text().partition("[[record]]")
    place = record.rindex(old) if "vehicle" in why else record.index(old)
    day.write_text(text + mark + record[:place] + new + record[place + len(old) :])
    assert sheets_as_noted(day) == ()
    (kept,) = kept_sheets(day)
    assert why in kept.wrong
    again = kept_result(kept).record
    if "vehicle" in why:
        assert again.snapshot is None
    else:  # with the vehicle as it was
        assert [one.score for one in again.cases] == [one.score for one in pickup[2].cases]


def test_other_rules_are_a_reason_to_score_again(pickup, tmp_path):
    day = tmp_path / pickup[3].name
    day.write_text(edited(pickup[3].read_text(), '"rules": 1', '"rules": 0'))
    (kept,) = kept_sheets(day)
    assert as_noted(kept) is None
    found = kept_result(kept)
    assert "other rules of scoring" in found.why_again
    assert found.changes == ()


def test_rules_number_one_makes_these_scores():
    """Whoever changes what a sheet scores raises RULES and puts the new numbers here, once they are understood."""
    scores = score_sheet(read_sheet(filled(), "a.toml"), draws=1000)
    found = [(round(case.score.value, 6), round(case.score.u, 6)) for case in scores.cases]
    assert found == RULES_ONE


RULES_ONE = [
    (584.671114, 3.573566),
    (652.258443, 3.953201),
    (604.214438, 3.813783),
    (670.987462, 4.145721),
    (594.442776, 3.570801),
    (661.622953, 3.928709),
]


def test_an_old_day_file_is_read_as_it_is_and_noted_when_saved_again(tmp_path):
    text, day = filled(), tmp_path / "2026-05-14.toml"
    sheet = read_sheet(text, str(tmp_path / "a.toml"))
    day.write_text(with_sheet(None, day, sheet, text, replace=False).text)
    (kept,) = kept_sheets(day)
    assert kept.record is None
    found = kept_result(kept)
    assert not found.was_noted
    record = day_record(sheet, sheet.document.data)
    assert found.record == record
    saved = with_sheet(day.read_text(), day, sheet, text, replace=False, record=record)
    assert saved.how == "noted"
    assert with_sheet(saved.text, day, sheet, text, replace=False, record=record).how == "unchanged"
    day.write_text(saved.text)
    assert as_noted(kept_sheets(day)[0]).record.cases == record.cases


def test_an_old_sheet_of_a_known_vehicle_is_carried_by_its_model_and_predicts_nothing(pickup, tmp_path):
    sheet, _, record, _ = pickup
    day = tmp_path / pickup[3].name
    shutil.copy(DEMO / "ladder_frame_pickup.toml", tmp_path)
    text = Path(sheet.path).read_text()
    moved = read_sheet(text, str(tmp_path / "sheet.toml"))
    day.write_text(with_sheet(None, day, moved, text, replace=False).text)
    found = kept_result(kept_sheets(day)[0]).record
    assert [(one.ratios, one.ratio_u) for one in found.cases] == [(one.ratios, one.ratio_u) for one in record.cases]
    assert all(one.predicted is None for one in found.cases)
    assert found.snapshot.tyres == "LT245/75R16"
    assert carried(found.cases[0], found.angles, found.ramp_angle, math.radians(22.0))[2] == "model"


def test_a_day_of_several_keeps_each_sheet_with_its_record(tmp_path):
    day = tmp_path / "2026-05-14.toml"
    text = None
    for name in ("A", "B", "C"):
        own = filled(name)
        sheet = read_sheet(own, "s.toml")
        text = with_sheet(text, day, sheet, own, replace=False, record=day_record(sheet, sheet.document.data)).text
    other = filled("B").replace("22 7/16 in", "23 in")
    sheet = read_sheet(other, "s.toml")
    record = day_record(sheet, sheet.document.data)
    day.write_text(with_sheet(text, day, sheet, other, replace=True, record=record).text)
    found = kept_sheets(day)
    assert [(one.record.vehicle, one.changed) for one in found] == [("A", False), ("B", False), ("C", False)]
    assert found[1].record.cases == record.cases
    assert found[1].record.sheet_sha256 == values_hash(tomllib.loads(other))


def test_a_record_that_is_none_is_said_and_not_believed(pickup, tmp_path):
    with pytest.raises(RecordError):
        record_of({"noted": "{}"})
    day = tmp_path / pickup[3].name
    day.write_text(edited(pickup[3].read_text(), '"cases": [', '"cases": [7, '))
    (kept,) = kept_sheets(day)
    assert kept.record is None
    assert kept.wrong
    assert "cannot be used" in kept_result(kept).why_again


def test_a_day_file_that_could_not_be_read_again_is_not_written(pickup):
    sheet, _, record, day = pickup
    large = replace(record, notes="x" * 1_000_000)
    with pytest.raises(LogbookError, match="too large"):
        with_sheet(None, day, sheet, (day.parent.parent / "sheet.toml").read_text(), replace=False, record=large)


def test_the_noted_ratios_carry_a_score_as_climbing_does(pickup):
    sheet, spec, record, _ = pickup
    for to in (16.0, 19.0, 23.5):
        own = carry(spec, math.radians(to), conditions_of_day(sheet, Conditions()), samples=16)
        for case, solved in zip(record.cases, (own.connected, own.released), strict=True):
            ratio, u, by = carried(case, record.angles, record.ramp_angle, math.radians(to))
            assert by == "model"
            assert ratio == pytest.approx(solved.ratio, rel=2e-3)
            assert 0.0 < u < 0.05


@pytest.mark.parametrize("name", ["wagon", "short_two_door"])
def test_what_the_sines_leave_open_covers_the_demo_vehicles(name):
    spec = load_vehicle(DEMO / f"{name}.toml")
    exponents = []
    for to in (15.0, 25.0):
        own = carry(spec, math.radians(to), samples=1)
        sines = math.log(math.sin(math.radians(20.0)) / math.sin(math.radians(to)))
        exponents += [math.log(one.ratio) / sines for one in (own.connected, own.released) if one is not None]
    assert np.abs(np.array(exponents) - 1.0).max() < 2.0 * SINE_EXPONENT_U


def test_a_vehicle_that_cannot_be_leaves_a_record_without_what_needs_it(monkeypatch):
    sheet = load_sheet(DEMO / "run_sheets" / "wagon_run_sheet.toml")
    spec = load_vehicle(DEMO / "wagon.toml")

    def cannot_be(*_words, **_more):
        raise UnphysicalError(())

    whole = day_record(sheet, sheet.document.data, spec)
    assert all(case.predicted is not None for case in whole.cases)
    monkeypatch.setattr(recording, "_predicted", cannot_be)
    scored = day_record(sheet, sheet.document.data, spec)
    assert [case.score for case in scored.cases] == [case.score for case in whole.cases]
    assert all(case.predicted is None for case in scored.cases)
    assert over_angles(scored, sheet, spec) == scored
    assert over_angles(scored, sheet, None) == scored
    monkeypatch.setattr(recording, "hints_and_remarks", cannot_be)
    alone = day_record(sheet, sheet.document.data, spec)
    assert alone.hints == ()
    assert any("cannot be used, so nothing is taken from it" in remark for remark in alone.remarks)
    assert as_it_was(None) is None


def test_a_vehicle_text_that_no_program_reads_is_no_vehicle():
    class Snapshot:
        file, text = "old.toml", "this is = not [a vehicle"

    assert as_it_was(Snapshot()) is None
