"""Readings are judged against wheelbase, tyre and ramp, and against each other; nothing is refused for being odd."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.measure.plausible_readings import reading_doubts
from articulate.measure.sheet_load import load_sheet, read_sheet
from tests.measure.filled import filled

WAGON = Path("vehicle_specs_demo/run_sheets/wagon_run_sheet.toml")
HEAD = 'vehicle = "T"\ndate = 2026-05-14\nwheelbase = "2850 mm"\n'


def sheet(*runs: str, head: str = HEAD):
    return read_sheet(head + "".join(runs), "s.toml")


def run(reading: str, side: str = "left", bars: str = "connected", more: str = "") -> str:
    return f'[[run]]\nside = "{side}"\nbars = "{bars}"\n{reading}\n{more}\n'


def test_good_sheets_are_not_asked_about():
    for path in Path("vehicle_specs_demo/run_sheets").glob("*.toml"):
        assert [str(one) for one in reading_doubts(load_sheet(path))] == []
    assert reading_doubts(read_sheet(filled(), "filled.toml")) == ()


@pytest.mark.parametrize(
    ("reading", "meant"),
    [
        ('mark_height = "22.4375 mm"', "22.4375 in"),  # inches typed as millimetres
        ('mark_height = "1670 mm"', "slope distance"),  # along the slope typed as a height
        ('mark_height = "57 mm"', "57 cm"),
        ('slope_distance = "4.5 m"', ""),
        ('mark_height = "100 mm"', ""),
        ('slope_distance = "166 mm"', "166 cm"),  # a digit lost
    ],
)
def test_a_mark_no_vehicle_makes_is_asked_about_with_what_was_meant(reading, meant):
    (one,) = reading_doubts(sheet(run(reading)))
    assert "makes a score of" in one.what
    assert meant in one.meant
    assert one.line == 7


@pytest.mark.parametrize(
    ("text", "key"),
    [
        (run('mark_height = ["570 mm", "569 mm", "539 mm"]'), "run[1].mark_height"),  # one of three is off
        (run('mark_height = "570 mm"', more='lifted = "rear right"'), "run[1].lifted"),
        (run('mark_height = "570 mm"', more='roll_angle = "-14 deg"'), "run[1].roll_angle"),
        (run('mark_height = "570 mm"', "right", more='roll_angle = "14 deg"'), "run[1].roll_angle"),
        (run('mark_height = "570 mm"', more='pitch_angle = "6 deg"'), "run[1].pitch_angle"),
        (run('mark_height = "570 mm"', more='wheel_load.front_right = "98000 N"'), "run[1].wheel_load.front_right"),
        (run('mark_height = "570 mm"', more='hub_travel.rear_right = "0.55 m"'), "run[1].hub_travel.rear_right"),
        (run('mark_height = "640 mm"') + run('mark_height = "570 mm"', bars="released"), "run[2].mark_height"),
        (run('mark_height = "400 mm"') + run('mark_height = "570 mm"', "right"), "run[2].mark_height"),
    ],
)
def test_what_does_not_go_together_is_asked_about(text, key):
    (one,) = reading_doubts(sheet(text))
    assert one.key == key
    assert one.usual
    assert one.known


def day(left: str, right: str, left_released: str, right_released: str) -> str:
    """A sheet of both sides and bar states on a wheelbase of 108 1/4 in, with these marks."""
    head = HEAD.replace("2850 mm", "108 1/4 in")
    marks = {("left", "connected"): left, ("right", "connected"): right}
    marks |= {("left", "released"): left_released, ("right", "released"): right_released}
    return head + "".join(run(f"mark_height = {mark}", *case) for case, mark in marks.items())


@pytest.mark.parametrize(
    ("marks", "key", "read", "meant"),
    [
        # what a tired hand does to marks of 21 13/16 in connected and 24 1/4 in released
        (('["21 13/16 in"]', '["21 3/4 in"]', '["42 1/4 in", "24 3/16 in"]', '["24 5/16 in"]'),
         "run[3].mark_height", "42 1/4 in", "perhaps 24 1/4 in, two digits exchanged"),
        (('["12 3/4 in"]', '["21 3/4 in"]', '["24 1/4 in"]', '["24 5/16 in"]'),
         "run[1].mark_height", "12 3/4 in", "perhaps 21 3/4 in, two digits exchanged"),
        (('["21 13/16 in"]', '["21 3/4 in"]', '["24 1/4 in"]', '["24.5 cm"]'),
         "run[4].mark_height", "24.5 cm", "perhaps 24.5 in"),
        (('["21 13/16 in"]', '["21 3/4 in"]', '["24 1/4 in"]', '["61.6 in"]'),
         "run[4].mark_height", "61.6 in", "perhaps 61.6 cm"),
        (('["63 7/8 in"]', '["21 3/4 in"]', '["24 1/4 in"]', '["24 5/16 in"]'),
         "run[1].mark_height", "63 7/8 in", "perhaps it is the slope distance"),
        (('["37 1/2 in"]', '["21 3/4 in"]', '["24 1/4 in"]', '["24 5/16 in"]'),
         "run[1].mark_height", "37 1/2 in", ""),
        # left run connected by the sheet, its bars released; right run released by the sheet, its bars connected
        (('["24 1/4 in"]', '["21 3/4 in"]', '["24 3/16 in"]', '["24 5/16 in"]'),
         "run[1].mark_height", "24 1/4 in", "perhaps its bars were released"),
        (('["21 13/16 in"]', '["21 3/4 in"]', '["24 1/4 in"]', '["21 7/8 in"]'),
         "run[4].mark_height", "21 7/8 in", "perhaps its bars were still connected"),
        (('["21 13/16 in", "23 5/8 in"]', '["21 3/4 in"]', '["24 1/4 in"]', '["24 5/16 in"]'),
         "run[1].mark_height", "23 5/8 in", ""),
    ],
)  # fmt: skip
def test_the_reading_that_is_wrong_is_asked_about_once_as_it_was_typed(marks, key, read, meant):
    """And not the right one beside it: nothing but the other runs says which of two is wrong."""
    (one,) = reading_doubts(read_sheet(day(*marks), "s.toml"))
    assert (one.key, one.read, one.meant) == (key, read, meant)


@pytest.mark.parametrize(
    ("head", "key"),
    [
        (HEAD.replace("2850 mm", "1285 mm"), "wheelbase"),
        (HEAD + 'ramp.angle = "34 deg"\n', "ramp.angle"),
        (HEAD + 'wheel.radius_on_flat = "760 mm"\nwheel.radius_on_ramp = "740 mm"\n', "wheel.radius_on_flat"),
        (HEAD + 'method.touch_load = "300 N"\n', "method.touch_load"),
    ],
)
def test_wheelbase_ramp_tyre_and_method_are_judged(head, key):
    assert key in {one.key for one in reading_doubts(sheet(run('mark_height = "450 mm"'), head=head))}


def test_a_wheel_that_is_not_the_vehicles_is_asked_about():
    known = sheet(run('mark_height = "570 mm"'), head=HEAD + 'wheel.radius_on_flat = "340 mm"\n')
    assert reading_doubts(known) == ()
    (one,) = reading_doubts(known, radius=0.381)
    assert one.key == "wheel.radius_on_flat"


def test_score_asks_strict_stops_and_json_tells():
    invoke = CliRunner().invoke
    words = ["score", "--mark-height", "1670 mm", "--wheelbase", "2850 mm"]
    asked = invoke(app, words)
    assert asked.exit_code == 0
    assert "perhaps it is the slope distance" in " ".join(asked.stdout.split())
    assert max(map(len, asked.stdout.splitlines())) <= 80
    (one,) = json.loads(invoke(app, [*words, "--json"]).stdout)["asked_about"]
    assert one["place"] == "--mark-height"
    stopped = invoke(app, [*words, "--strict"])
    assert stopped.exit_code == 2
    assert stopped.stdout == ""
    assert invoke(app, ["score", str(WAGON), "--strict"]).exit_code == 0


def test_the_logbook_asks_when_it_keeps(tmp_path):
    path = tmp_path / "s.toml"
    path.write_text(HEAD + run('mark_height = "1670 mm"'))
    saved = CliRunner().invoke(app, ["logbook", "save", str(path), "--folder", str(tmp_path / "log")])
    assert saved.exit_code == 0
    assert "slope distance" in saved.stderr
