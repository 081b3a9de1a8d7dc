"""The roll gradient of a file: range, plausibility, what it rests on, and how `predict` and `check` say it."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.roll_gradient import roll_gradient
from articulate.spec import build, load_vehicle, read_vehicle, with_settings
from articulate.studies.population.conditions import Conditions, draw, lanes_of
from articulate.studies.predict.roll_range import PLAUSIBLE, roll_range
from tests.studies.measured_vehicle import MEASURED_VEHICLE

WAGON = "vehicle_specs_demo/wagon.toml"
DEGREE = math.pi / 180.0


def test_the_range_is_that_of_the_vehicles_a_band_is_made_of():
    spec = load_vehicle("vehicle_specs_demo/crossover_minimal.toml")
    found = roll_range(spec).connected
    vehicles, _ = lanes_of(spec, Conditions(), draw(spec, Conditions(), 1024))
    low, high = np.quantile(roll_gradient(vehicles), [0.05, 0.95])
    assert found.value == roll_gradient(build(spec))[0]
    assert (found.low, found.high) == pytest.approx((low, high), rel=0.04)
    # More points of the same kind say the same: what is left above is the draw.
    many = roll_range(spec, points=16384).connected
    assert (many.low, many.high) == pytest.approx((low, high), rel=0.02)


def test_a_file_that_is_measured_has_no_range():
    spec = with_settings(load_vehicle(WAGON), [])
    exact = {key: np.array([estimate.value]) for key, estimate in spec.inputs.items()}
    assert roll_range(spec).connected.value == pytest.approx(roll_gradient(build(spec, exact))[0])


def test_the_strongest_pull_is_the_one_that_moves_it_most():
    spec = read_vehicle(MEASURED_VEHICLE, "measured.toml")
    pulls = roll_range(spec).pulls
    assert pulls[0].key == "front.anti_roll_bar.over_spring_roll_stiffness"
    assert pulls[0].at_low > pulls[0].at_high
    assert all(spec.inputs[pull.key].source == "assumed" for pull in pulls)
    assert [pull.swing for pull in pulls] == sorted((pull.swing for pull in pulls), reverse=True)
    # The gradient at the ends of a range, worked out by hand for one of them.
    estimate = spec.inputs[pulls[0].key]
    mode = (estimate.value - estimate.low) / (estimate.high - estimate.low)
    five = estimate.low + math.sqrt(0.05 * mode) * (estimate.high - estimate.low)  # triangular distribution
    by_hand = roll_gradient(build(spec, {pulls[0].key: np.array([five])}))[0]
    assert pulls[0].at_low == pytest.approx(by_hand)


@pytest.fixture
def run():
    runner = CliRunner()
    return lambda *words, text=None: runner.invoke(app, [str(word) for word in words], input=text)


def test_predict_and_check_print_it_with_its_range(run):
    found = roll_range(load_vehicle(WAGON))
    shown = f"{found.connected.value / DEGREE:.1f} ({found.connected.low / DEGREE:.1f} to "
    for result in (run("predict", WAGON, "--full"), run("check", WAGON)):
        assert result.exit_code == 0
        line = next(line for line in result.stdout.splitlines() if line.startswith("roll gradient in a turn"))
        assert shown in line
        assert "deg/g" in line
        assert max(map(len, result.stdout.splitlines())) <= 80
        assert "road vehicles have" not in result.stdout
        assert "friction" in " ".join(result.stdout.split("roll gradient")[1:])
    data = json.loads(run("predict", WAGON, "--json").stdout)["roll_gradient"]
    assert data["connected_rad_per_g"]["value"] == pytest.approx(found.connected.value)
    assert data["plausible"] is True
    assert data["released_rad_per_g"]["value"] > data["connected_rad_per_g"]["value"]


def test_an_implausible_file_is_told_so_and_what_would_mend_it(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    soft = Path("soft.toml")
    soft.write_text(MEASURED_VEHICLE.replace("anti_roll_bar = true", "anti_roll_bar = false"))
    found = roll_range(load_vehicle(soft))
    assert found.connected.value > PLAUSIBLE[1]
    for result in (run("predict", soft), run("check", soft)):
        assert result.exit_code == 0
        text = " ".join(result.stdout.split())
        assert "road vehicles have 3 to 9" in text
        assert found.pulls[0].key in text
        assert max(map(len, result.stdout.splitlines())) <= 80
    warnings = json.loads(run("predict", soft, "--json").stdout)["warnings"]
    assert any("deg/g" in warning for warning in warnings)


@pytest.mark.filterwarnings("error")
def test_a_body_that_an_input_lets_lean_the_other_way_has_an_order_of_pulls():
    # A centre of gravity about as low as the roll axis: the gradient changes its sign within what is assumed.
    low = with_settings(load_vehicle(WAGON), [("mass.centre_of_gravity_height", "220.5 mm")])
    pulls = roll_range(low).pulls
    assert any(pull.at_low * pull.at_high < 0.0 for pull in pulls)
    swings = [pull.swing for pull in pulls]
    assert swings == sorted(swings, reverse=True)  # never so with NaN among them
