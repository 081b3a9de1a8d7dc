"""What commands print with --json, held to the JSON Schemas that the program itself prints."""

from __future__ import annotations

import copy
import dataclasses
import json
import math
import re
import sys
from functools import cache
from pathlib import Path
from typing import get_type_hints, is_typeddict

import jsonschema
import pytest
import typer
from typer.testing import CliRunner

from articulate.cli import app
from articulate.output.command_data import PARTS, REFUSAL, DoubtData, EstimateData, command_schema
from articulate.output.plain_data import doubt_data, estimate_data, same_names
from articulate.spec.defaults import PRESSURE
from articulate.spec.plausibility import Doubt
from articulate.studies.design.bodywork import PointClearance

FOLDER = Path("vehicle_specs_demo")
WAGON, PICKUP, TWO_DOOR = FOLDER / "wagon.toml", FOLDER / "ladder_frame_pickup.toml", FOLDER / "short_two_door.toml"
MINIMAL = FOLDER / "crossover_minimal.toml"
SHEET = FOLDER / "run_sheets" / "wagon_run_sheet.toml"
OPEN = ("--set", "drive.driven_wheels=all", "--set", "drive.centre=open", "--friction", "0.5")
FEW = ("--samples", "64")
RUNS = {  # several of a command where its answer has several forms; samples as small as they may be
    "predict": [
        (WAGON, *OPEN),
        (PICKUP, "--ramp-angle", "30 deg"),
        (MINIMAL, "--side", "right"),
    ],
    "band": [(WAGON, "--points", "32", *OPEN), (TWO_DOOR, "--points", "32", "--ramp-length", "1200 mm")],
    "score": [(SHEET,), ("--mark-height", "22 7/16 in", "--wheelbase", "2850 mm")],
    "logbook show": [("{folder}",)],
    "learn": [(WAGON, "--connected", "575 ± 3", "--seen", "left.released.roll=12 deg ± 3 deg", "--points", "1024")],
    "audit": [(WAGON, SHEET)],
    "explain": [(WAGON, "--set", "rear.travel.bump=80 mm")],
    "worth": [(WAGON,)],
    "timeline": [(WAGON,), (TWO_DOOR,)],
    "target": [
        (WAGON, "--score", "590", "--change", "rear.travel.bump=80 mm to 120 mm"),
        (WAGON, "--score", "900", "--change", "rear.travel.bump=80 mm to 90 mm"),
    ],
    "blocks": [(WAGON, "--points", "32")],
    "compare": [(WAGON, "--measured", "Old one=587 ± 4", *FEW)],
    "carry": [(WAGON, "--to", "23 deg"), (PICKUP, "--to", "17 deg", "--measured", "587 ± 4")],
    "tyre": [("LT285/70R17 E",), ("35x12.5R15",)],
    "clearance": [(WAGON, "--tyre", "285/75R17"), (TWO_DOOR,)],
    "ladder": [(WAGON, "--points", "16", "--sizes", "255/70R17,285/70R17")],
    "test-day": [(WAGON, *FEW)],
    "report": [(WAGON, "--run-sheet", SHEET, *FEW, "--output", "{page}")],
    "receive": [("{bundle}",)],
    "check": [(WAGON,), (MINIMAL,)],
}
UNIT = re.compile(r".*_(m|rad|N|Pa|kg|s|bit|N_per_m|rad_per_g|bit_per_minute)$")


@pytest.fixture(scope="module")
def places(tmp_path_factory):
    """Where a logbook is kept and a page may be written."""
    folder = tmp_path_factory.mktemp("data")
    said = CliRunner().invoke(app, ["logbook", "save", str(SHEET), "--folder", str(folder / "logbook")])
    assert said.exit_code == 0, said.stderr
    bundle = folder / "bundle.zip"
    said = CliRunner().invoke(app, ["handover", str(WAGON), *FEW, "--output", str(bundle)])
    assert said.exit_code == 0, said.stderr
    return {"folder": folder / "logbook", "page": folder / "page.html", "bundle": bundle}


@cache
def printed(command: str, words: tuple[str, ...]) -> str:
    result = CliRunner().invoke(app, [*command.split(), *words, "--json"])
    assert result.exit_code in (0, 1), result.stderr
    return str(result.stdout)


def validator(command: str) -> jsonschema.Draft202012Validator:
    said = CliRunner().invoke(app, ["schema", "--of", command])
    assert said.exit_code == 0, said.stderr
    schema = json.loads(said.stdout)
    assert schema == command_schema(command)
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def test_every_command_that_prints_data_has_a_schema_and_is_run_here():
    found = set()
    for name, command in typer.main.get_command(app).commands.items():
        for inner, one in getattr(command, "commands", {"": command}).items():
            if any("--json" in option.opts for option in one.params):
                found.add(f"{name} {inner}".strip())
    assert found == set(PARTS) == set(RUNS)


@pytest.mark.parametrize(("command", "words"), [(name, words) for name, runs in RUNS.items() for words in runs])
def test_data_are_as_their_schema_says_and_no_key_can_change_unseen(command, words, places):
    data = json.loads(printed(command, tuple(str(word).format(**places) for word in words)))
    check = validator(command)
    assert [error.message for error in check.iter_errors(data)] == []
    for key in data:
        other = copy.deepcopy(data)
        other[f"{key}_"] = other.pop(key)
        assert not check.is_valid(other), key


def parts_of(schema, names, part, unit):
    """Every property below a part with its name and whether its unit is known: by itself, its words or its parents."""
    if "$ref" in part:
        part = {**schema["$defs"][part["$ref"].rpartition("/")[2]], **part}
    for one in part.get("anyOf", []):
        yield from parts_of(schema, names, one, unit)
    if "items" in part:
        yield from parts_of(schema, names, part["items"], unit)
    if isinstance(part.get("additionalProperties"), dict):
        yield from parts_of(schema, names, part["additionalProperties"], unit)
    held = part.get("properties", {})
    for key, one in held.items():
        known = (
            unit or bool(UNIT.match(key)) or "[" in one.get("description", "") or {"unit", "display_unit"} & set(held)
        )
        yield ".".join([*names, key]), one, known
        yield from parts_of(schema, [*names, key], one, known)


def words_of(command, place):
    schema = command_schema(command)
    return {name: one.get("description", "") for name, one, _ in parts_of(schema, [], schema, unit=False)}[place]


def test_where_no_friction_is_enough_none_is_named():
    # An open axle gives nothing where its wheel carries nothing, whatever the friction (MODEL.md, section 9).
    data = json.loads(printed("predict", tuple(map(str, (WAGON, *OPEN)))))
    for bars in ("connected", "released"):
        assert data[bars]["outcome"] == "wheels_spin"
        assert data[bars]["friction_needed"] is None
        assert data[bars]["no_friction_is_enough"] is True
    locked = ("--set", "drive.driven_wheels=all", "--set", "drive.centre=locked")
    grips = json.loads(printed("predict", (str(WAGON), *locked, "--set", "drive.rear_differential=locked")))
    assert 0.1 < grips["connected"]["friction_needed"] < 0.5
    assert grips["connected"]["no_friction_is_enough"] is False


def test_words_of_attitude_travel_and_ties_say_what_the_numbers_are():
    # ISO 8855: pitch is positive about the axis to the left, so nose down, as a run sheet takes it too; what climbs has
    # its nose up.
    text = CliRunner().invoke(app, ["predict", str(WAGON), "--full"]).stdout
    run = json.loads(printed("predict", (str(WAGON), "--side", "right")))["connected"]
    assert run["pitch_rad"] < -0.05
    assert run["roll_rad"] < -0.05  # the right side is up
    assert re.search(r"left side up, nose down\s+\+13\.9, -5\.4 deg", text)
    for command, place in (("predict", "connected.pitch_rad"), ("blocks", "connected.pitch_rad")):
        assert "negative with the nose up" in words_of(command, place)
    for command in ("predict", "blocks"):
        assert words_of(command, "connected.hub_travel_m").endswith("from ride height")
    assert "negative with the nose up" in words_of("carry", "connected.first.pitch_rad")
    # A tie of 0.5 is a rank correlation of 6/pi asin(0.25) = 0.483 only, so the words say which it is.
    assert "normal scores" in words_of("band", "ties.correlation")


def test_words_of_shares_say_of_what_they_are():
    # On that friction some of the possible vehicles spin and some lift: either share is of its own kind alone.
    rear = (
        "--set",
        "drive.driven_wheels=rear",
        "--set",
        "drive.rear_differential=locked",
        "--friction",
        "0.25 to 0.3",
    )
    run = json.loads(printed("band", (str(WAGON), "--points", "64", *rear)))["runs"][0]
    assert 0 < run["outcomes"]["wheel_lifts"] < 64
    assert sum(run["lifts_first"].values()) == pytest.approx(1.0)
    assert max(run["spin_first"].values()) == 1.0
    assert "in which one does" in words_of("band", "runs.lifts_first")
    assert "of those that end by wheelspin" in words_of("band", "runs.spin_first")
    # What stays off is held against what was learned, not against what was predicted before it.
    learned = json.loads(printed("learn", (str(WAGON), "--connected", "600 ± 3")))["readings"][0]
    before = (learned["value"] - learned["predicted"]) / learned["predicted_standard_deviation"]
    assert abs(learned["residual_standard_deviations"]) < 0.9 * before
    assert "after learning" in words_of("learn", "readings.residual_standard_deviations")
    # One wheel alone needs not twice the height of two blocks: it pitches the vehicle too.
    blocks = json.loads(printed("blocks", (str(WAGON), "--points", "32")))["connected"]
    assert abs(blocks["one_wheel_lift_m"] - 2.0 * blocks["block_height_m"]) > 0.005
    assert "unloads" in words_of("blocks", "connected.one_wheel_lift_m")


@pytest.mark.parametrize("command", [*PARTS, REFUSAL])
def test_every_key_is_described_and_every_number_has_a_unit(command):
    schema = command_schema(command)
    for name, one, known in parts_of(schema, [], schema, unit=False):
        target = schema["$defs"][one["$ref"].rpartition("/")[2]] if "$ref" in one else one
        assert one.get("description") or target.get("description"), name
        kinds = target.get("type", [])
        if "number" in ([kinds] if isinstance(kinds, str) else kinds):
            assert known, name


def test_data_with_the_names_of_a_record_have_the_declared_keys_and_its_values():
    doubt = Doubt("a.toml", 3, "wheelbase", "28 m", "it is", "28 m", "2 to 4 m", "common practice", "2.8 m")
    estimate = PRESSURE.estimate()
    for record, data, kind in (
        (doubt, doubt_data([doubt])[0], DoubtData),
        (estimate, estimate_data(estimate), EstimateData),
    ):
        assert list(data) == list(get_type_hints(kind))
        assert data.items() <= dataclasses.asdict(record).items()


def test_a_unit_at_the_end_of_a_key_is_no_part_of_the_name_and_what_is_not_finite_is_null():
    point = PointClearance("hitch", "released", True, 0.12, 0.5, math.nan)
    data = same_names(point, "bars", "least_clearance_m", "first_contact_m", where="behind")
    assert data == {"bars": "released", "least_clearance_m": 0.12, "first_contact_m": None, "where": "behind"}
    with pytest.raises(AttributeError):
        same_names(point, "least")


def test_ranges_and_wheels_have_one_form():
    for command in PARTS:
        schema = command_schema(command)
        for name, one, _ in parts_of(schema, [], schema, unit=False):
            if "number" in one.get("type", []):
                assert not re.search(r"_low|_high|^low_|^high_", name.rpartition(".")[2]), name
            held = set(one.get("properties", {}))
            wheels = {key for key in held if key.startswith(("front_", "rear_")) and key.endswith(("left", "right"))}
            assert wheels in (set(), {"front_left", "front_right", "rear_left", "rear_right"}), name


REFUSALS = {
    ("predict", "nowhere.toml"): {"kind": "file", "file": "nowhere.toml", "line": None, "option": None},
    ("predict", "{bad}"): {"kind": "file", "file": "{bad}", "line": 3, "key": "wheelbase", "read": '"28 m"'},
    ("predict", str(WAGON), "--set", "rear.travel.bump=80 N"): {"kind": "option", "option": "--set", "line": None},
    ("band", str(WAGON), "--ramp-angle", "50 deg"): {"kind": "option", "option": "--ramp-angle", "read": "50 deg"},
    ("band", str(WAGON), "--points", "many"): {"kind": "option", "option": "--points", "read": "many"},
    ("predict", str(WAGON), "--no-such-option"): {"kind": "command", "file": None, "option": None},
    ("predict",): {"kind": "command", "file": None, "option": None},
}


@pytest.mark.parametrize("words", REFUSALS)
def test_a_refusal_says_where_what_was_read_why_and_what_works(words, tmp_path):
    bad = tmp_path / "bad.toml"
    bad.write_text('name = "Odd"\n\nwheelbase = "28 m"\n', encoding="utf-8")
    result = CliRunner().invoke(app, [*(word.format(bad=bad) for word in words), "--json"])
    assert result.exit_code == 2
    data = json.loads(result.stdout)
    validator(REFUSAL).validate(data)
    assert data["exit_code"] == 2
    expected = {key: str(bad) if value == "{bad}" else value for key, value in REFUSALS[words].items()}
    assert any(expected.items() <= one.items() for one in data["errors"]), data["errors"]
    for one in data["errors"]:
        assert one["why"] in one["text"]
        assert (one["works"] or "") in one["text"]


def test_names_of_shapes_are_one_thing_each():
    names = {}
    for module in [name for name in sys.modules if name.startswith("articulate.output")]:
        for name, kind in vars(sys.modules[module]).items():
            if is_typeddict(kind) and kind.__module__ == module:
                assert name not in names, (module, names[name])
                names[name] = module
    assert len(names) > 50
