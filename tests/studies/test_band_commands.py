"""`band` and `learn` as a person types them: answers, 80 columns, exit codes, nothing written on a fault."""

import json

import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.spec import load_vehicle

WAGON = "vehicle_specs_demo/wagon.toml"
PICKUP = "vehicle_specs_demo/ladder_frame_pickup.toml"
CROSSOVER = "vehicle_specs_demo/crossover_minimal.toml"


@pytest.fixture
def run():
    runner = CliRunner()
    return lambda *words: runner.invoke(app, [str(word) for word in words])


@pytest.mark.parametrize("path", [WAGON, CROSSOVER])
def test_a_band_fits_80_columns_and_answers_first(run, path):
    result = run("band", path, "--points", 128)
    assert result.exit_code == 0, result.stderr
    lines = result.stdout.splitlines()
    assert max(map(len, lines)) <= 80
    assert any(line.startswith("score, median") for line in lines[:6])
    assert any(line.startswith("90 % lie in") for line in lines[:7])
    assert "seed 20" in result.stdout
    assert "the rest" in result.stdout


def test_the_data_of_a_band_add_up(run):
    data = json.loads(run("band", PICKUP, "--points", 256, "--json").stdout)
    assert data["schema_version"] == 2
    assert [entry["bars"] for entry in data["runs"]] == ["connected", "released"]
    for entry in data["runs"]:
        assert sum(entry["outcomes"].values()) == 256
        assert sum(entry["lifts_first"].values()) == pytest.approx(1.0)
        assert entry["score"]["low"] < entry["score"]["median"] < entry["score"]["high"]
        shares = entry["variance_shares"]
        left_out = shares["model_error"]["common"] + shares["model_error"]["run"]
        assert left_out > 0.1
        assert 0.9 < sum(one["first_order"] for one in shares["inputs"]) + shares["unresolved"] + left_out < 1.1
    gain = data["runs"][1]["score"]["median"] - data["runs"][0]["score"]["median"]
    assert data["gain"]["median"] == pytest.approx(gain, abs=6.0)


def test_a_known_holding_share_narrows_the_band(run):
    def width(*words):
        command = ("band", WAGON, "--points", 256, "--model-error", "0", "--json")
        score = json.loads(run(*command, *words).stdout)["runs"][0]["score"]
        return score["high"] - score["low"]

    assert width("--holding-share", "0.5") < 0.95 * width()
    assert width("--touch-load", "0 to 400 N") > width()


def test_a_band_with_failed_points_says_so_and_exits_1(run):
    result = run("band", PICKUP, "--points", 128, "--set", "front.ride_height_change=-60 mm ± 20 mm")
    assert result.exit_code == 1, result.stderr
    assert "no vehicle can be so" in result.stdout
    assert "left out above" in result.stdout
    assert "no bump travel is left on the front axle" in result.stdout


def test_ties_are_shown_and_can_be_left_out(run):
    words = ("band", PICKUP, "--points", 64, "--full")
    assert "tied (correlation)" in run(*words).stdout
    assert "tied" not in run(*words, "--untied").stdout.replace("or ties", "")
    own = run(*words, "--untied", "--tie", "front.travel.bump,rear.travel.bump=0.8", "--json")
    ties = json.loads(own.stdout)["ties"]
    assert ties == [{"keys": ["front.travel.bump", "rear.travel.bump"], "correlation": 0.8}]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--points", "1"), "--points 1: outside"),
        (("--seed", "-1"), "--seed -1: outside"),
        (("--ramp-angle", "50 deg"), "5 to 35 deg"),
        (("--ramp-angle", "20"), "unit"),
        (("--holding-share", "0.5 to 1.5"), "0 to 1"),
        (("--side", "middle"), "left or right"),
        (("--touch-load", "-5 N"), "0 to 2000 N"),
        (("--ramp-length", "-1 m"), "outside 0.1 to 100 m"),
        (("--tie", "front.travel.bump=0.8"), "--tie front.travel.bump=0.8"),
        (("--tie", "front.travel.bmup,rear.travel.bump=0.8"), "front.travel.bmup: not an uncertain input"),
        (("--set", "front.travel.bmup=80 mm"), "front.travel.bump"),
    ],
)
def test_nonsense_gets_a_clear_error_and_exit_code_2(run, words, said):
    for command in (("band", PICKUP), ("learn", PICKUP, "--connected", "560")):
        if words[0] == "--points" and command[0] == "learn":
            continue
        result = run(*command, *words)
        assert result.exit_code == 2
        assert said in result.stderr
        assert result.stdout == ""


def test_all_faults_are_said_at_once(run):
    result = run("band", PICKUP, "--ramp-angle", "50 deg", "--side", "middle")
    assert "--ramp-angle" in result.stderr
    assert "--side" in result.stderr


def test_learning_fits_80_columns_and_narrows(run):
    words = ("learn", PICKUP, "--connected", "560 ± 3", "--points", 1024)
    result = run(
        *words,
        "--seen",
        "lifts=rear left",
        "--seen",
        "roll=14.6 deg ± 0.5 deg",
        "--seen",
        "load.front_right=4 kN ± 1.5 kN",
    )
    assert result.exit_code == 0, result.stderr
    assert max(map(len, result.stdout.splitlines())) <= 80
    assert "nobody beside, behind or under it" in " ".join(result.stdout.split())
    data = json.loads(run(*words, "--json").stdout)
    released = data["scores"][1]
    widths = [released[when]["high"] - released[when]["low"] for when in ("before", "after")]
    assert widths[1] < 0.75 * widths[0]
    assert data["readings"][0]["standard_uncertainty"] == pytest.approx(3.0 / 3.0**0.5)
    assert data["explained"]
    assert data["next_run"] == {"side": "left", "bars": "released"}


def test_a_score_without_a_tolerance_gets_an_assumed_one(run):
    result = run("learn", PICKUP, "--connected", "560", "--points", 1024)
    assert result.exit_code == 0
    assert "assumed" in result.stderr


def test_an_impossible_score_is_warned_of_and_nothing_is_saved(run, tmp_path):
    path = tmp_path / "learned.toml"
    result = run("learn", PICKUP, "--connected", "900 ± 3", "--points", 1024, "--save", path)
    assert result.exit_code == 1
    assert "no weighting of what the vehicle file allows explains them" in " ".join(result.stdout.split())
    assert "nothing was written" in result.stderr
    assert not path.exists()


def test_the_updated_vehicle_is_saved_once(run, tmp_path):
    path = tmp_path / "learned.toml"
    words = ("learn", PICKUP, "--connected", "560 ± 5", "--points", 1024, "--save", path)
    result = run(*words)
    assert result.exit_code == 0, result.stderr
    saved = load_vehicle(path)
    assert "learned from score, bars connected, left side 560" in path.read_text(encoding="utf-8")
    assert saved.name == load_vehicle(PICKUP).name
    assert run("check", path).exit_code == 0
    before = path.read_bytes()
    again = run(*words)
    assert again.exit_code == 2
    assert "--replace" in again.stderr
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "nothing was measured"),
        (("--connected", "560 mm"), "--connected"),
        (("--connected", "0"), "between 1 and 5000"),
        (("--connected", "560", "--seen", "lifts=left"), "left is not a wheel"),
        (("--connected", "560", "--seen", "roll=12 deg"), "how well was it read"),
        (("--connected", "560", "--seen", "front.travel.bmup=80 mm ± 1 mm"), "is it front.travel.bump?"),
        (("--connected", "560", "--seen", "roll"), "equals sign"),
        (("--connected", "560", "--model-error", "0.7 %"), "two parts are needed"),
        (("--connected", "560", "--model-error", "5 %, 50 %"), "outside 0 to 30 %"),
        (("--connected", "560", "--save", "-"), "name a file"),
        (("--connected", "560", "--save", "x.toml", "--set", "wheelbase=3 m"), "write what is --set into the file"),
        (("--sheet", "no_such_sheet.toml"), "no such file"),
    ],
)
def test_readings_that_cannot_be(run, words, said):
    result = run("learn", PICKUP, *words)
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stdout == ""


def test_a_released_run_of_a_vehicle_without_a_releasable_bar_is_refused(run):
    result = run("learn", CROSSOVER, "--released", "450")
    assert result.exit_code == 2
    assert "no bar of this vehicle can be released" in result.stderr


def test_a_vehicle_without_a_releasable_bar_learns_about_its_other_side(run):
    data = json.loads(run("learn", CROSSOVER, "--connected", "450 ± 5", "--points", 1024, "--json").stdout)
    assert [(entry["side"], entry["bars"]) for entry in data["scores"]] == [
        ("left", "connected"),
        ("right", "connected"),
    ]
    assert data["gain"] is None


def test_a_run_sheet_says_what_was_measured(run):
    sheet = "vehicle_specs_demo/run_sheets/pickup_run_sheet.toml"
    result = run("learn", PICKUP, "--sheet", sheet, "--points", 1024, "--json")
    assert result.exit_code == 0, result.stderr
    data = json.loads(result.stdout)
    scored = json.loads(run("score", sheet, "--vehicle", PICKUP, "--json").stdout)
    assert [entry["what"] for entry in data["readings"]] == ["score, bars connected", "score, bars released"]
    assert [entry["what"] for entry in data["seen"]] == [
        "rear left lifts first, bars connected",
        "rear left lifts first, bars released",
    ]
    assert data["conditions"]["ramp_angle_rad"]["high"] > data["conditions"]["ramp_angle_rad"]["low"]
    for reading, case in zip(data["readings"], scored["cases"], strict=True):
        assert reading["value"] == pytest.approx(case["score"]["value"], rel=1e-9)
    both = run("learn", PICKUP, "--sheet", sheet, "--connected", "560")
    assert both.exit_code == 2
    assert "it holds the scores" in both.stderr


def test_the_models_own_error_is_printed_as_what_it_is_and_can_be_set(run):
    words = ("band", PICKUP, "--points", 64, "--full")
    text = " ".join(run(*words).stdout.split())
    assert (
        "What the model leaves out, in the bands: ±5 % (1 sd) common to all runs of a vehicle, ±1 % (1 sd) a run"
        in text
    )
    assert "published scores" in text
    assert "common to all runs of a vehicle*" in text  # a row of the shares, assumed
    chosen = json.loads(run(*words, "--model-error", "3 %, 1 %", "--json").stdout)["model_error"]
    assert (chosen["common"], chosen["run"], chosen["source"]) == (0.03, 0.01, "given")
    assert "What the model leaves out is not in the bands" in run(*words, "--model-error", "0").stdout


@pytest.mark.parametrize(
    "words",
    [
        ("band", PICKUP),
        ("learn", PICKUP, "--connected", "560 ± 3"),
        ("audit", WAGON, "vehicle_specs_demo/run_sheets/wagon_run_sheet.toml"),
        ("compare", PICKUP, WAGON),
        ("carry", PICKUP, "--to", "23 deg"),
        ("ladder", WAGON),
        ("target", PICKUP, "--score", "600", "--change", "rear.travel.bump=70 mm to 120 mm"),
        ("test-day", PICKUP),
        ("report", PICKUP, "--output", "-"),
    ],
)
def test_every_command_with_a_band_takes_the_models_error_and_refuses_nonsense(run, words):
    result = run(*words, "--model-error", "5 %; 2 %")
    assert result.exit_code == 2
    assert "--model-error 5 %; 2 %" in result.stderr
    assert result.stdout == ""
