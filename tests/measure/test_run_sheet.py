"""Run sheets: what they give, what is assumed, and every fault with its line."""

from __future__ import annotations

import math
import os
from pathlib import Path

import pytest

from articulate.measure.conversions import ReadingKind
from articulate.measure.defaults import tape_limit
from articulate.measure.sheet_load import load_sheet, read_sheet
from articulate.measure.sheet_schema import SheetFile
from articulate.measure.sheet_template import sheet_template
from articulate.spec import SpecError
from articulate.spec.key_lookup import all_keys

DEGREE = math.pi / 180.0
SHORT = """\
vehicle = "Test wagon"
date = 2026-05-14
wheelbase = "2850 mm"

[[run]]
side = "left"
bars = "connected"
mark_height = "22 7/16 in"
"""


def faults(text: str) -> list[str]:
    with pytest.raises(SpecError) as caught:
        read_sheet(text, "s.toml")
    return [str(fault) for fault in caught.value.faults]


def edited(*changes: tuple[str, str]) -> str:
    text = SHORT
    for before, after in changes:
        assert before in text
        text = text.replace(before, after, 1)
    return text


def test_the_shortest_sheet_and_what_is_assumed():
    sheet = read_sheet(SHORT, "s.toml")
    assert sheet.runs[0].kind is ReadingKind.MARK_HEIGHT
    assert sheet.runs[0].readings[0].value == pytest.approx(22.4375 * 0.0254)
    assert sheet.runs[0].line == 5
    assert sheet.cases == (("left", "connected"),)
    assert sheet.ramp_angle.value == pytest.approx(20.0 * DEGREE)
    assert set(sheet.assumed()) == {
        "ramp angle",
        "wheelbase",
        "largest error of the tape",
        "touch load",
        "roll-back",
        "marking",
        "repeatability",
    }
    assert all(estimate.basis for estimate in sheet.assumed().values())


def test_what_is_given_is_not_assumed():
    sheet = load_sheet("vehicle_specs_demo/run_sheets/wagon_run_sheet.toml")
    assert set(sheet.assumed()) == {"repeatability"}
    assert sheet.touch_load.low == 10.0


def test_observations_for_later_are_kept():
    sheet = load_sheet("vehicle_specs_demo/run_sheets/wagon_run_sheet.toml")
    first = sheet.runs[0]
    assert first.roll_angle.value == pytest.approx(13.8 * DEGREE)
    assert first.lifted == "rear left"
    assert first.wheel_load["front right"].value == 1045.0
    assert first.hub_travel["rear right"].value == pytest.approx(0.167)
    assert first.time == "10:20:00"
    assert len(first.readings) == 3
    assert sheet.date == "2026-05-14"
    assert str(sheet.vehicle_path) == os.path.join("vehicle_specs_demo", "wagon.toml")
    assert len(sheet.cases) == 4


def test_the_vehicle_beside_a_sheet_in_a_linked_folder_is_that_beside_the_folder_itself(tmp_path):
    sheet = Path("vehicle_specs_demo/run_sheets/wagon_run_sheet.toml").read_text()
    (tmp_path / "kept" / "sheets").mkdir(parents=True)
    (tmp_path / "kept" / "sheets" / "sheet.toml").write_text(sheet)
    (tmp_path / "sheets").symlink_to(tmp_path / "kept" / "sheets")
    for name in ("wagon.toml", "kept/wagon.toml"):  # the first is not what the sheet means
        (tmp_path / name).write_text(name)
    assert load_sheet(tmp_path / "sheets" / "sheet.toml").vehicle_path.read_text() == "kept/wagon.toml"


@pytest.mark.parametrize(
    ("lengths", "angle", "u"),
    [
        # tan g = 600/1648; u from 1 mm and 2 mm limits, by hand: hypot(1648 x 0.5774, 600 x 1.1547)/(600^2 + 1648^2)
        ('rise = "600 mm ± 1 mm"\nrun = "1648 mm ± 2 mm"', math.atan2(600, 1648), 3.827e-4),
        # sin g = 1/2, exactly known lengths
        ('rise = "500 mm ± 0 mm"\nslope_length = "1000 mm ± 0 mm"', 30.0 * DEGREE, 0.0),
    ],
)
def test_the_ramp_angle_from_two_lengths(lengths, angle, u):
    sheet = read_sheet(edited(("[[run]]", f"[ramp]\n{lengths}\n[[run]]")), "s.toml")
    assert sheet.ramp_angle.value == pytest.approx(angle)
    assert sheet.ramp_angle.standard_uncertainty == pytest.approx(u, rel=1e-3)
    assert sheet.ramp_angle.source == "measured"


def test_lengths_of_the_ramp_without_tolerance_have_that_of_the_tape():
    sheet = read_sheet(edited(("[[run]]", '[ramp]\nrise = "600 mm"\nrun = "1648 mm"\n[[run]]')), "s.toml")
    # 0.5 mm of class II and half a millimetre of reading, rectangular.
    limit = 1e-3 / math.sqrt(3.0)
    expected = limit * math.hypot(1.648, 0.6) / (0.6**2 + 1.648**2)
    assert sheet.ramp_angle.standard_uncertainty == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "length", "limit"),
    [("I", 0.4, 0.2), ("I", 1.5, 0.3), ("II", 1.0, 0.5), ("II", 1.001, 0.7), ("III", 2.5, 1.8)],
)
def test_tape_classes(name, length, limit):
    # Directive 2014/32/EU, material measures: a + b L mm, L in whole metres rounded up; values from memory.
    assert tape_limit(name, length) == pytest.approx(limit * 1e-3)


@pytest.mark.parametrize(
    ("changes", "line", "said"),
    [
        ([("wheelbase", "wheelbas")], 3, "write wheelbase"),
        ([("mark_height", "mark_hight")], 8, "write mark_height"),
        ([('"left"', '"lefft"')], 6, 'write "left"'),
        ([("2026-05-14", '"the 14th"')], 2, "write date = 2026-05-14"),
        ([("22 7/16 in", "22,5 in")], 8, "write 22.5"),
        ([("22 7/16 in", "22 7/16")], 8, "unit"),
        ([("22 7/16 in", "22 7/16 kg")], 8, "length"),
        ([("22 7/16 in", "-3 in")], 8, "outside"),
        ([("22 7/16 in", "230 in")], 8, "score of"),
        ([('mark_height = "22 7/16 in"', "")], 5, "no reading"),
        ([('mark_height = "22 7/16 in"', "mark_height = []")], 8, "nothing is read yet"),
        ([('mark_height = "22 7/16 in"', 'mark_height = "1 m"\nhub_rise = "1 m"')], 9, "a [[run]] of its own"),
        ([("mark_height", "hub_rise")], 8, "wheel.radius_on_flat"),
        ([("mark_height", "plumbed_mark_height")], 8, "wheel.radius_on_ramp"),
        ([("[[run]]", 'lifted = "rear left"\n[[run]]')], 5, "write it as run.lifted"),
        ([("mark_height", 'lifted = "front left"\nmark_height')], 8, "stands on the ramp"),
        ([("[[run]]", '[ramp]\nangle = "20"\n[[run]]')], 6, "unit"),
        ([("[[run]]", '[ramp]\nangle = "50 deg"\n[[run]]')], 6, "outside 5 to 35 deg"),
        ([("[[run]]", '[ramp]\nrun = "1 m"\n[[run]]')], 6, "the angle needs the rise"),
        ([("[[run]]", '[ramp]\nangle = "20 deg"\nrise = "1 m"\n[[run]]')], 7, "angle says it already"),
        ([("[[run]]", '[ramp]\nrise = "2 m"\nslope_length = "1 m"\n[[run]]')], 6, "exchange the two"),
        ([("[[run]]", '[ramp]\nrise = "1 m"\nrun = "1 m"\n[[run]]')], 6, "45.0 deg"),
        ([("[[run]]", '[tape]\naccuracy_class = "II"\nlimit = "1 mm"\n[[run]]')], 7, "accuracy_class says it already"),
        ([("[[run]]", '[wheel]\nradius_on_flat = "0.3 m"\nradius_on_ramp = "0.4 m"\n[[run]]')], 7, "exchange the two"),
        ([("date", f'title = "{"T" * 130}"\ndate')], 2, "it has 130 letters, and 120 are the most; shorten it"),
        ([("[[run]]", "[[run]]\n" * 500 + "[[run]]")], 5, "it has 501 entries, and 500 are the most; leave some out"),
        *(
            ([("[[run]]", f"[method]\nclimb_per_touch_load = {typed}\n[[run]]")], 6, '"-0.18 mm/N"')
            for typed in ('"-0.18 mm"', '"-0.18"', -0.18, '"0.18 mm/N"', '"steep"', '"-0.18 mm/N/s"', "true")
        ),
    ],
)
def test_faults_name_their_line_and_what_would_work(changes, line, said):
    found = faults(edited(*changes))
    assert any(fault.startswith(f"s.toml:{line}: ") and said in fault for fault in found), found


def test_all_faults_come_at_once():
    found = faults(edited(('"2850 mm"', '"-1 mm"'), ('"left"', '"up"'), ("22 7/16 in", "22")))
    assert len(found) == 3


def test_a_sheet_without_runs_is_refused():
    assert any("run" in fault for fault in faults(SHORT.partition("[[run]]")[0]))


def test_files_that_are_no_sheets(tmp_path):
    for name, content, said in (
        ("no.toml", None, "no such file"),
        ("b.toml", b"\0\1", "binary"),
        ("c.toml", b"a=", "TOML"),
    ):
        path = tmp_path / name
        if content is not None:
            path.write_bytes(content)
        with pytest.raises(SpecError, match=said):
            load_sheet(path)


def test_the_template_names_every_key():
    text = sheet_template()
    for key in all_keys(SheetFile):
        last = key.rpartition(".")[2]
        if last.startswith(("front_", "rear_")):
            continue  # one wheel stands for all
        assert last in text, key
