"""The audit as a person types it, on sheets of one page: verdicts, causes, checks, answers, faults."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest
import tomlkit
from typer.testing import CliRunner

from articulate.cli import app
from articulate.measure.sheet_load import load_sheet, read_sheet
from articulate.model.ramp_test import ramp_test
from articulate.output.text.audit import percent_words
from articulate.prediction import predict
from articulate.spec import build, load_vehicle, with_setting
from articulate.studies.audit import observed_of, remarks_on, scene_from
from articulate.studies.audit.answers import read_answers
from articulate.studies.audit.channels import observable_channels

WAGON = "vehicle_specs_demo/wagon.toml"
PICKUP = "vehicle_specs_demo/ladder_frame_pickup.toml"
DEMO = "vehicle_specs_demo/run_sheets/wagon_run_sheet.toml"
SINE = float(np.sin(np.radians(20.0)))

HEAD = """
vehicle = "Kestrow Bellwether"
date = 2026-05-14
wheelbase = "{wheelbase} mm ± 3 mm"
ramp.angle = "20 deg ± 0.2 deg"
"""
RUN = """
[[run]]
side = "left"
bars = "{bars}"
mark_height = "{height:.4f} m"
lifted = "rear left"
"""


@pytest.fixture
def run_afresh():
    runner = CliRunner()
    return lambda *words: runner.invoke(app, [str(word) for word in words])


@pytest.fixture
def run(run_afresh, climbed_once):
    return run_afresh


@pytest.fixture(scope="module")
def nominal():
    """Climbs the wagon makes, connected and released."""
    result = predict(build(load_vehicle(WAGON)))
    return result.connected, result.released


@pytest.fixture
def sheet(tmp_path):
    def write(connected, released, wheelbase=2850, more=""):
        path = tmp_path / "sheet.toml"
        text = HEAD.format(wheelbase=wheelbase)
        text += RUN.format(bars="connected", height=connected * SINE) + more
        text += RUN.format(bars="released", height=released * SINE)
        path.write_text(text)
        return path

    return write


def test_a_good_sheet_is_consistent_on_one_screen(run):
    result = run("audit", WAGON, DEMO)
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert len(lines) <= 28
    assert max(map(len, lines)) <= 80
    assert lines[1].startswith("Consistent with the vehicle file")
    assert "nothing is wrong" in result.stdout
    assert "nobody beside, behind or under it" in " ".join(result.stdout.split())
    assert "`" not in result.stdout
    whole = run("audit", WAGON, DEMO, "--full").stdout
    assert max(map(len, whole.splitlines())) <= 80
    assert "`" not in whole
    assert "-0.00 bit" not in whole
    assert "value from memory" not in whole
    assert "the vehicle has left it" in " ".join(whole.split())


def test_a_plumbed_mark_is_found_and_confirmed_by_taking_it_again(run, sheet, nominal):
    connected, released = nominal
    radius = 0.355  # hub to ramp at the mark, near enough
    path = sheet(*(one.climb - radius * np.tan(np.radians(20.0)) for one in (connected, released)))
    words = ("audit", WAGON, path, "--json", "--model-error", "2 %, 0.5 %")
    data = json.loads(run(*words).stdout)
    causes = {cause["cause"]: cause for cause in data["causes"]}
    assert causes["mark plumbed instead of squared"]["rank"] <= 3
    retaken = [check["name"].startswith("take the mark again") for check in data["checks"]]
    assert retaken == sorted(retaken), "the vehicle has left its mark"
    key = next(check for check in data["checks"] if check["name"].startswith("take the mark again"))["answers"][0]
    there = json.loads(run(*words, "--still-at-mark").stdout)
    assert there["checks"][0]["name"].startswith("take the mark again"), "while it stands there, that is asked first"
    again = run(*words, "--answer", f"{key}={connected.climb * 1e3:.0f} mm")
    after = json.loads(again.stdout)
    assert again.exit_code == 1
    assert after["causes"][0]["cause"] == "mark plumbed instead of squared"
    assert after["causes"][0]["probability"] > 0.8
    assert after["p_value"] == data["p_value"], "what is checked later does not change what was read"
    assert sum(cause["probability"] for cause in after["causes"]) == pytest.approx(1.0)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize(
    ("bars", "name"), [("connected", "bar released when called connected"), ("released", "bar not really released")]
)
def test_a_bar_that_was_not_as_written_on_one_side_is_named_with_its_side(run, tmp_path, side, bars, name):
    """The demo sheet with the reading of the other bar state written twice: a run whose bar was forgotten."""
    document = tomlkit.parse(Path(DEMO).read_text())
    document["vehicle_file"] = str(Path(WAGON).resolve())
    runs = {(one["side"], one["bars"]): one for one in document["run"]}
    other = runs[side, "released" if bars == "connected" else "connected"]
    for found in (runs[side, bars], other):
        for seen in ("roll_angle", "wheel_load", "hub_travel"):
            found.pop(seen, None)
    for kind in ("mark_height", "slope_distance"):
        runs[side, bars].pop(kind, None)
        if kind in other:
            runs[side, bars][kind] = other[kind]
    path = tmp_path / "runs.toml"
    path.write_text(tomlkit.dumps(document))
    first = json.loads(run("audit", WAGON, path, "--json").stdout)["causes"][0]
    assert (first["cause"], first["place"]) == (name, f"{side} runs")
    assert first["probability"] > 0.6


def test_height_and_slope_exchanged_is_plain_at_once(run, sheet, nominal):
    connected, released = nominal
    result = run("audit", WAGON, sheet(connected.climb / SINE, released.climb / SINE), "--json")
    data = json.loads(result.stdout)
    assert result.exit_code == 1
    assert data["verdict"] == "inconsistent"
    assert data["causes"][0]["cause"] == "slope distance entered as height"
    assert data["causes"][0]["probability"] > 0.95


def test_a_bar_that_was_never_released_is_found_with_its_share(run, sheet, nominal):
    """Of a vehicle known well: the model's error left at 5 % lets other causes of a low score come near."""
    connected, _ = nominal
    words = ("audit", WAGON, sheet(connected.climb, connected.climb), "--json", "--model-error", "1 %, 0.3 %")
    data = json.loads(run(*words).stdout)
    first = data["causes"][0]
    assert first["cause"] == "bar not really released"
    assert first["size_needed"]["low"] < 1.0
    assert first["size_needed"]["median"] > 0.6
    assert first["found_by_look"] == ["bar links"]
    moves = {(one["side"], one["bars"]): one["score"] for one in first["moves_scores_by"]}
    assert abs(moves["left", "connected"]) < 3.0
    assert moves["left", "released"] < -30.0


def test_a_sheet_with_another_wheelbase_than_the_file_is_seen(run, sheet, nominal):
    connected, released = nominal
    data = json.loads(run("audit", WAGON, sheet(connected.climb, released.climb, wheelbase=2700), "--json").stdout)
    assert data["causes"][0]["cause"] == "wrong wheelbase"
    assert data["causes"][0]["size_needed"]["median"] == pytest.approx(2850 / 2700, rel=0.005)
    assert any("2700 mm on the sheet, 2850 mm in the file" in remark for remark in data["remarks"])


def test_one_run_of_four_that_was_plumbed_is_named_and_not_a_slipped_inch(run, tmp_path):
    """Every climb as predicted but one, which was read with a plumb line."""
    spec = load_vehicle(WAGON)
    text = HEAD.format(wheelbase=2850)
    lowered = 0.355 * np.tan(np.radians(20.0))
    for side in ("left", "right"):
        found = predict(build(spec), side=side)
        for bars, end in (("connected", found.connected), ("released", found.released)):
            climb = end.climb - lowered * ((side, bars) == ("right", "connected"))
            run_text = RUN.format(bars=bars, height=climb * SINE).replace('"left"', f'"{side}"')
            text += run_text.replace("rear left", f"rear {side}")
    path = tmp_path / "one_plumbed.toml"
    path.write_text(text)
    result = json.loads(run("audit", WAGON, path, "--json").stdout)
    assert result["verdict"] == "inconsistent"
    assert "left minus right, bars connected" in [one["what"] for one in result["contrasts"][:2]]
    causes = {cause["cause"]: cause for cause in result["causes"]}
    plumbed = causes["mark plumbed instead of squared"]
    assert plumbed["rank"] <= 3
    assert plumbed["place"] == "run 3"
    assert "slipped whole inch" not in causes, "the sheet is in metres"
    assert all(cause["probability"] < 0.8 for cause in result["causes"][1:])


def test_a_cause_that_is_settled_says_what_to_correct_and_lets_a_second_one_appear(run, sheet, nominal):
    """A ramp of 18 deg under a sheet that says 20, and beside it an inch too much in one run."""
    steep = predict(build(load_vehicle(WAGON)), ramp_test(1, np.radians(18.0)))
    ratio = np.sin(np.radians(18.0)) / SINE
    answer = ("--answer", "ramp.angle=18 deg")
    climbs = (steep.connected.climb * ratio, steep.released.climb * ratio)
    one = json.loads(run("audit", WAGON, sheet(*climbs), "--json", *answer).stdout)
    assert (one["verdict"], one["causes"][0]["cause"]) == ("explained", "ramp of another angle")
    assert one["correct"] == "write the angle that was measured into the sheet"
    assert not one["second_cause"]
    two = run("audit", WAGON, sheet(climbs[0] * 1.25, climbs[1]), *answer, "--json")
    assert two.exit_code == 1
    found = json.loads(two.stdout)
    assert found["second_cause"] or found["verdict"] == "inconsistent", "one cause does not account for it"


def test_one_name_for_an_observation_here_and_in_learning():
    scene = scene_from(load_vehicle(WAGON), load_sheet(DEMO))
    channels = observable_channels(scene)
    same = {
        "left.released.roll=14 deg": "released.roll=14 deg",
        "left.connected.roll=13 deg": "roll=13 deg",
        "left.connected.load.front_right=900 N": "load.front_right=900 N",
        "rest.load.rear_left=6000 N": "flat_load.rear_left=6000 N",
    }
    for whole, short in same.items():
        assert read_answers([short], channels, scene.cases).values == read_answers([whole], channels).values


def test_what_was_seen_at_the_mark_tells_a_missing_spacer_from_a_reading(run, sheet, nominal):
    """The gap over a stop at rest and the droop: the sheet leaves several causes open, two measurements close them."""
    changed = predict(build(with_setting(load_vehicle(WAGON), "rear.travel.bump", "45 mm")))
    path = sheet(changed.connected.climb, changed.released.climb)
    answers = [f"rest.stop_gap.rear_{side}={gap} mm" for side, gap in (("left", 40), ("right", 36))]
    # A body that sits lower has as little gap, but its wheels fall further: the file's 105 mm and what its load takes.
    answers += [f"rest.droop.rear_{side}={fall} mm" for side, fall in (("left", 110), ("right", 114))]
    words = [word for answer in answers for word in ("--answer", answer)]
    data = json.loads(run("audit", WAGON, path, "--json", *words).stdout)
    first = data["causes"][0]
    assert (first["cause"], first["place"]) == ("stop spacers missing or added", "rear")
    assert first["size_needed"]["median"] == pytest.approx(0.040, abs=0.006)


def test_wrong_answers_are_refused_all_at_once(run):
    result = run("audit", WAGON, DEMO, "--answer", "ramp.angel=20 deg", "--answer", "bar links=loose", "--answer", "x")
    assert result.exit_code == 2
    assert result.stdout == ""
    faults = result.stderr.strip().splitlines()
    assert len(faults) == 3
    assert "did you mean ramp.angle" in faults[0]
    assert "fine" in faults[1]
    assert "equals sign" in faults[2]
    wrong_unit = run("audit", WAGON, DEMO, "--answer", "ramp.angle=20 mm")
    assert wrong_unit.exit_code == 2
    assert "ramp.angle=20 mm" in wrong_unit.stderr


def test_a_faulty_sheet_stops_with_its_line(run, tmp_path):
    path = tmp_path / "bad.toml"
    path.write_text(HEAD.format(wheelbase=2850) + '[[run]]\nside = "up"\nbars = "connected"\nmark_height = "0.5 m"\n')
    result = run("audit", WAGON, path)
    assert result.exit_code == 2
    assert f"{path}:7" in result.stderr


def test_sheet_readings_and_observations():
    spec = load_vehicle(PICKUP)
    text = HEAD.format(wheelbase=3100) + (
        '[[run]]\nside = "right"\nbars = "released"\nslope_distance = ["1800 mm", "1810 mm"]\nlifted = "front left"\n'
        'roll_angle = "-10 deg ± 0.5 deg"\nwheel_load.front_left = "700 N ± 40 N"\n'
    )
    sheet = read_sheet(text, "a sheet")
    scene = scene_from(spec, sheet)
    assert [reading.score for reading in scene.readings] == pytest.approx([1000 * 1.8 / 3.1, 1000 * 1.81 / 3.1])
    assert (scene.wheelbase, scene.used_wheelbase) == (3.12, 3.1)
    observed = observed_of(sheet, scene)
    assert observed.rear_lifts == {"contest.right.released": False}
    assert observed.values["right.released.roll"][0] == pytest.approx(np.radians(-10.0))
    assert observed.values["right.released.load.front_left"][0] == 700.0
    assert observed.values["wheelbase"][0] == 3.12
    assert any("the sheet is of Kestrow" in remark for remark in remarks_on(sheet, spec))


def test_the_same_words_give_the_same_bytes(run_afresh, tmp_path):
    path = tmp_path / "sheet.toml"
    path.write_text(
        'vehicle = "Lynvarr Tern"\ndate = 2026-05-14\nwheelbase = "2690 mm"\n'
        '[[run]]\nside = "left"\nbars = "connected"\nslope_distance = "1190 mm"\n'
    )
    vehicle = "vehicle_specs_demo/crossover_minimal.toml"
    first = run_afresh("audit", vehicle, path, "--full").stdout
    assert "the ramp angle is assumed, not measured" in " ".join(first.split())
    assert run_afresh("audit", vehicle, path, "--full").stdout == first
    assert run_afresh("audit", vehicle, path, "--full", "--seed", 21).stdout != first


def test_an_inch_slipped_in_every_climb_of_a_run_is_found(run, nominal, tmp_path):
    connected, released = (one.climb * SINE / 0.0254 for one in nominal)  # [in]
    several = 'mark_height = ["{0:.3f} in", "{1:.3f} in"]\n'
    text = HEAD.format(wheelbase=2850)
    for bars, height in (("connected", connected + 1.0), ("released", released)):
        plain = RUN.format(bars=bars, height=0.0).replace('mark_height = "0.0000 m"\n', several)
        text += plain.format(height, height + 0.04)
    path = tmp_path / "hooked.toml"
    path.write_text(text)
    # An inch is 4 % of this score: much else would move it so far until the mark is taken again.
    again = f"left.connected.mark_again={nominal[0].climb * 1e3:.0f} mm"
    causes = json.loads(run("audit", WAGON, path, "--json", "--answer", again).stdout)["causes"]
    assert (causes[0]["cause"], causes[0]["place"]) == ("slipped whole inch", "run 1")
    assert causes[0]["size_needed"]["median"] == pytest.approx(0.0254)


def test_answers_no_vehicle_can_give_are_refused_all_at_once(run):
    """The limits are those of the vehicle file and the run sheet for the same quantities."""
    wrong = {
        "ramp.angle=200 deg": "outside 5 to 35 deg",
        "wheelbase=0 mm": "outside 1200 to 6500 mm",
        "rest.load.front_left=-300 N": "outside 0 to 100000 N",
        "tyre.pressure=nan kPa": "not a finite number",
        "spring_rate.front=1e9 N/mm": "outside 3 to 500 N/mm",
        "left.connected.roll=90 deg": "outside -60 to 60 deg",
        "tyre.diameter=2 m": "outside 450 to 1500 mm",
        "=3": "not a key, an equals sign and a value",
    }
    words = [word for text in ("bar links=fine", "bar links=found", *wrong) for word in ("--answer", text)]
    result = run("audit", WAGON, DEMO, *words)
    assert result.exit_code == 2
    assert result.stdout == ""
    for text, why in wrong.items():
        row = next(row for row in result.stderr.splitlines() if row.startswith(f"--answer {text}: "))
        assert why in row
        assert "; write, for instance, " in row
    assert "bar links is answered above already" in result.stderr


def test_everything_that_can_be_answered_has_a_plausible_range_that_the_vehicle_lies_in():
    spec = load_vehicle(WAGON)
    scene = scene_from(spec, load_sheet(DEMO))
    values = {
        "ramp.angle": "20 deg",
        "wheelbase": "2850 mm",
        "heading": "2 deg",
        "sinks": "5 mm",
        "pressure": "220 kPa",
        "tyre.diameter": "803 mm",
        "tyre.pressure": "220 kPa",
        "spring_rate": "40 N/mm",
        "friction_band": "0 mm ± 2 mm",
        "stop_gap": "0 mm ± 4 mm",
        "hub_height": "380 mm",
        "load": "5000 N",
        "roll": "12 deg",
        "pitch": "-7 deg",
        "climb": "1.2 m",
    }
    texts = []
    for channel in observable_channels(scene):
        parts = [channel.key, *channel.key.replace("_again", ".climb").replace("roll_", "roll.").split(".")]
        parts += ["stop_gap"] * any(word in parts for word in ("droop", "arch_gap", "hub_travel"))
        texts.append(f"{channel.key}={next(values[part] for part in parts if part in values)}")
    assert len(read_answers(texts, observable_channels(scene)).values) == len(texts) > 40


@pytest.mark.parametrize(
    ("share", "words"), [(0.0013, "0.13 %"), (0.024, "2.4 %"), (0.0996, "10 %"), (0.38, "38 %"), (1.0, "100 %")]
)
def test_a_share_is_never_said_with_an_exponent(share, words):
    assert percent_words(share) == words


def test_more_runs_than_can_be_judged_are_told(run, tmp_path):
    many = tmp_path / "many.toml"
    many.write_text(HEAD.format(wheelbase=2850) + 60 * RUN.format(bars="connected", height=0.55), encoding="utf-8")
    done = run("audit", WAGON, many)
    assert done.exit_code == 2
    assert "60 runs on one sheet; an audit takes at most" in done.stderr


@pytest.mark.filterwarnings("error")
def test_climbs_made_anew_seven_times_differ_by_a_known_amount(run, tmp_path):
    again = tmp_path / "again.toml"
    again.write_text(HEAD.format(wheelbase=2850) + 7 * RUN.format(bars="connected", height=0.55), encoding="utf-8")
    data = json.loads(run("audit", WAGON, again, "--json").stdout)
    beside = [one for one in data["contrasts"] if "beside the others" in one["what"]]
    assert len(beside) == 7
    table = run("audit", WAGON, again, "--full").stdout
    assert "nan" not in table
    assert " -0 ±" not in table


def test_what_the_sheet_makes_one_ask_comes_before_checks_and_causes_that_do_not_fit(run, sheet, nominal):
    """One of three marks lost a third of itself: no cause that is known fits so far off a reading."""
    connected, released = (one.climb for one in nominal)
    mark = 1e3 * connected * SINE  # 553 mm
    path = sheet(connected, released)
    odd = f'["{mark:.0f} mm", "355 mm", "{mark + 1:.0f} mm"]'
    path.write_text(path.read_text().replace(f'"{connected * SINE:.4f} m"', odd, 1))
    assert f"{mark:.0f}" == "553"
    text = run("audit", WAGON, path).stdout
    flat = " ".join(text.split())
    assert flat.index("read again first") < flat.index("check next" if "check next" in flat else "No check here")
    assert "355 mm: it differs from the others" in flat
    data = json.loads(run("audit", WAGON, path, "--json").stdout)
    assert [one["read"] for one in data["asked_about"]] == ["355 mm"]
    probability = {cause["cause"]: cause["probability"] for cause in data["causes"]}
    causes = [name for name in probability if name not in ("nothing is wrong", "none of these")]
    other = probability["none of these"] > max(probability[name] for name in causes)
    assert ("none of the causes that are known here" in data["likeliest"]) == other
    assert not re.search(r"Most likely \(0 %\)", flat)


def test_lengths_are_asked_for_in_the_units_of_the_file(run, sheet, nominal):
    """Tapes that are laid in inches are answered in inches; an answer is read in any unit."""
    path = sheet(nominal[0].climb + 0.2, nominal[1].climb)
    words = ("audit", WAGON, path, "--full")
    assert re.search(r"=\.\.\. mm\b", run(*words).stdout)
    imperial = run(*words, "--units", "imperial").stdout
    assert re.search(r"=\.\.\. in\b", imperial)
    assert "=... mm" not in imperial
    again = nominal[0].climb
    answers = [
        json.loads(run("audit", WAGON, path, "--json", "--answer", f"left.connected.run_again={text}").stdout)
        for text in (f"{again * 1e3:.3f} mm", f"{again / 0.0254:.5f} in")
    ]
    assert answers[0]["causes"][0]["probability"] == pytest.approx(answers[1]["causes"][0]["probability"], abs=1e-4)
