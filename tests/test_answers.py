"""The answer comes first: on one screen, with its band, and the same band as `band` has."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.spec import load_vehicle
from articulate.studies.band import band, quick_band

DEMO = sorted(Path("vehicle_specs_demo").glob("*.toml"))
WAGON = "vehicle_specs_demo/wagon.toml"
SCREEN = 28  # lines; a terminal of 80 columns has 24 to 50


@pytest.fixture(scope="module")
def run():
    runner = CliRunner()
    return lambda *words: runner.invoke(app, [str(word) for word in words])


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_predict_is_a_screen_with_score_and_band(run, path):
    result = run("predict", path)
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert len(lines) <= SCREEN
    assert max(map(len, lines)) <= 80
    data = json.loads(run("predict", path, "--json").stdout)
    for k, case in enumerate(data["band"]["runs"]):
        score = next(line for line in lines if line.startswith("score")).split()[1 + k]
        assert float(score) == pytest.approx(data[case["bars"]]["score"], abs=0.5)
        low, high = case["score"]["low_5_percent"], case["score"]["high_95_percent"]
        assert f"{low:.0f} to {high:.0f}" in result.stdout
        assert low < float(score) < high
    assert f"{data['inputs_assumed']} of {data['inputs_in_all']} inputs are assumed" in result.stdout
    assert "width comes most from" in result.stdout
    assert "wheel" in result.stdout.splitlines()[-1]  # the caution


def test_what_is_left_out_of_the_screen_is_behind_full(run):
    short, full = run("predict", WAGON).stdout, run("predict", WAGON, "--full").stdout
    assert full.startswith(short)
    for words in ("load, normal to the ground", "on the way up", "wheelspin:", "assumed, not given", "frame twist"):
        assert words in full
        assert words not in short


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_the_quick_band_is_that_of_the_band_command(path):
    # 128 points of a Latin hypercube against 1024 of Sobol, through the same climbs: within 3 % of the score.
    spec = load_vehicle(path)
    quick, whole = quick_band(spec), band(spec)
    for one, other in zip(quick.cases, whole.cases, strict=True):
        for name in ("low", "median", "high"):
            assert getattr(one.score, name) == pytest.approx(getattr(other.score, name), abs=0.03 * other.score.median)
    if quick.gain is not None:
        assert quick.gain.low == pytest.approx(whole.gain.low, abs=0.01 * whole.cases[0].score.median)
        assert quick.gain.high == pytest.approx(whole.gain.high, abs=0.01 * whole.cases[0].score.median)


def test_the_width_of_the_prediction_is_laid_to_what_makes_it(run):
    # With one input left uncertain in a file, and a far wider range than the model's own error, it is the reason.
    result = run("predict", WAGON, "--set", "rear.travel.bump=85 mm ± 60 mm", "--json")
    case = json.loads(result.stdout)["band"]["runs"][0]
    assert case["width_by_input"][0]["keys"] == ["rear.travel.bump"]
    assert not case["width_by_input"][0]["assumed"]
    assert "rear bump travel" in run("predict", WAGON, "--set", "rear.travel.bump=85 mm ± 60 mm").stdout


def test_the_mark_moves_with_the_score(run):
    data = json.loads(run("predict", WAGON, "--json").stdout)
    for case in data["band"]["runs"]:
        mark, score = case["mark_height_m"], case["score"]
        # The wheelbase's range is small beside the score's, and the ramp's angle is as chosen: s sin 20 deg.
        for name in ("low_5_percent", "median", "high_95_percent"):
            assert mark[name] == pytest.approx(score[name] * data["wheelbase_m"] * 0.3420201 / 1000.0, rel=2e-3)
