"""The block test: closed forms, what has been seen of it, its relation to the ramp, and the command."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.climb import Outcome
from articulate.closed_forms import diagonal_lift, hub_path, rates, roll_stiffness
from articulate.constants import STANDARD_GRAVITY
from articulate.roll_gradient import axle_numbers
from articulate.spec import load_vehicle
from articulate.studies.population.runs import Population
from articulate.studies.predict.blocks import ONE_WHEEL, OPPOSITE, block_test, raise_on_blocks
from tests.gradient_vehicles import as_the_gradient_takes_them
from tests.random_vehicles import random_vehicles

WAGON = "vehicle_specs_demo/wagon.toml"
INCH = 0.0254


def on_wheels(lanes, wheels):
    return np.tile(wheels, (lanes, 1))


def stiff(seed, lanes, factor=100.0):
    """Vehicles so stiff that all angles are small, clear of stops, their weight centred sideways."""
    vehicles = as_the_gradient_takes_them(random_vehicles(seed, lanes))
    far = np.full((lanes, 2), 5.0)
    names = ("tyre_stiffness", "spring_rate", "bar_rate", "auxiliary_rate")
    return replace(
        vehicles,
        **{name: factor * getattr(vehicles, name) for name in names},
        auxiliary_rate_cubic=np.zeros((lanes, 2)),
        cross_link_rate=np.zeros(lanes),
        bump_gap=far,
        droop_gap=far,
        spring_loose=np.zeros((lanes, 2), dtype=bool),
    )


def test_a_plate_on_four_equal_springs():
    # Two opposite corners raised by z: each diagonal changes by k z/4 for each of them, so it unloads at z = W/(2 k),
    # half the lift of one wheel, W/k; the other diagonal goes by the opposite.
    lanes = 6
    drawn = stiff(61, lanes)
    track, half = np.full((lanes, 2), 1.5), np.full((lanes, 2), 0.75)
    plate = replace(
        drawn, track=track, solid=np.zeros((lanes, 2), dtype=bool), swing_arm=np.full((lanes, 2), 1e5),
        pivot_height=np.zeros((lanes, 2)), spring_half_base=half, unsprung_mass=np.full((lanes, 2), 1e-3),
        tyre_radius=np.full((lanes, 2), 0.4), tyre_section_radius=np.full((lanes, 2), 0.1),
        tyre_stiffness=np.full((lanes, 2), 4e7), spring_rate=np.full((lanes, 2), 4e6),
        bar_rate=np.zeros((lanes, 2)), auxiliary_rate=np.zeros((lanes, 2)),
        spring_linked=np.zeros((lanes, 2), dtype=bool),
        sprung_centre=np.stack([drawn.wheelbase / 2, np.full(lanes, 2e-4), np.full(lanes, 0.7)], axis=1),
    )  # fmt: skip
    # A hair to the left: were both wheels to lift at once, the vehicle would be about to rock on its two blocks.
    rate = rates.series_rate(4e6, 4e7)
    weight = plate.sprung_mass * STANDARD_GRAVITY
    found = raise_on_blocks(plate, on_wheels(lanes, OPPOSITE), np.zeros(lanes))
    np.testing.assert_allclose(found.height, diagonal_lift.unloading_lift(weight, rate) / 2.0, rtol=2e-3)
    np.testing.assert_allclose(found.wheel_load[:, [0, 3]], np.tile(weight[:, None] / 2.0, (1, 2)), rtol=2e-3)
    one = raise_on_blocks(plate, on_wheels(lanes, ONE_WHEEL), np.zeros(lanes))
    np.testing.assert_allclose(one.height, 2.0 * found.height, rtol=2e-3)


def test_two_axles_in_roll_unload_as_their_closed_form_says():
    # Front ground rolled by z/t_f and rear ground by -z/t_r, roll couples of closed_forms.roll_stiffness (derived in
    # sympy there): both kinds of axle, bars and auxiliary roll stiffness in it.
    lanes = 60
    vehicles = stiff(62, lanes, factor=400.0)
    t, load = vehicles.track, vehicles.reference_axle_load()
    roll = roll_stiffness.axle_roll(centre_height=vehicles.sprung_centre[:, 2:3], **axle_numbers(vehicles))
    body = roll.coupling[:, 0] / t[:, 0] - roll.coupling[:, 1] / t[:, 1]  # roll couple per height
    body /= roll.coupling.sum(axis=1) - roll.overturning.sum(axis=1)
    front = (roll.own[:, 0] / t[:, 0] - roll.coupling[:, 0] * body) / t[:, 0]  # taken off the front right
    rear = (roll.own[:, 1] / t[:, 1] + roll.coupling[:, 1] * body) / t[:, 1]  # taken off the rear left
    lifts = load / 2.0 / np.stack([front, rear], axis=1)
    expected = np.where(lifts > 0.0, lifts, np.inf).min(axis=1)
    found = raise_on_blocks(vehicles, on_wheels(lanes, OPPOSITE), np.zeros(lanes))
    # Pitch moves axle load at the order that is left out (closed_forms.small_angle), so about equal lifts may swap.
    assert (found.outcome == Outcome.WHEEL_LIFTS).all()
    clear = np.abs(np.log(np.abs(lifts[:, 0] / lifts[:, 1]))) > 0.05
    assert clear.sum() > 30
    np.testing.assert_allclose(found.height[clear], expected[clear], rtol=0.01)
    first = np.where(lifts[:, 0] > 0.0, lifts[:, 0], np.inf) < np.where(lifts[:, 1] > 0.0, lifts[:, 1], np.inf)
    np.testing.assert_array_equal(found.wheel[clear], np.where(first, 1, 2)[clear])


@pytest.fixture(scope="module")
def wagon():
    return block_test(Population.of(load_vehicle(WAGON)), points=64)


@pytest.mark.parametrize("name", ["wagon", "forward_control_van", "ladder_frame_pickup", "crossover_minimal"])
def test_two_corners_on_blocks_twist_as_twice_the_lift_under_one_wheel(name):
    # Seen (an owner's page): 10 in under two opposite corners twist the vehicle as 20 in under one wheel. Pitch, roll
    # of the whole vehicle and tyres make the difference.
    found = block_test(Population.of(load_vehicle(f"vehicle_specs_demo/{name}.toml")), points=32)
    for run in filter(None, (found.connected, found.released)):
        assert run.outcome == Outcome.WHEEL_LIFTS
        assert run.one_wheel_lift == pytest.approx(2.0 * run.height, rel=0.12)
        assert run.one_wheel == run.wheel


def test_the_height_equated_with_a_score():
    # Seen (an owner's page): 10 in blocks and a score of 570 on a 103.3 in wheelbase, 14 in and about 800. An order of
    # magnitude: the page takes the height alone; the hub of a 0.37 m wheel on 20 deg rises a little less.
    for blocks, score in ((10.0, 570.0), (14.0, 800.0)):
        climb = hub_path.climb_from_hub_rise(2.0 * blocks * INCH, 0.37, np.radians(20.0))
        assert 1000.0 * climb / (103.3 * INCH) == pytest.approx(score, rel=0.05)


def test_the_ramp_score_goes_with_the_height(wagon):
    for run in (wagon.connected, wagon.released):
        by_height = 1000.0 / wagon.wheelbase * hub_path.climb_from_hub_rise(2.0 * run.height, wagon.tyre_radius, 0.349)
        assert run.score == pytest.approx(by_height, rel=0.12)
        ratio = run.score_per_height
        assert ratio.low < run.score / run.height < ratio.high
        # Far closer than either by itself: that is what makes blocks a stand-in for the ramp.
        assert ratio.width / ratio.median < 0.6 * run.heights.width / run.heights.median
    assert wagon.released.height > wagon.connected.height


def test_statics_of_the_lifted_vehicle(wagon):
    run = wagon.connected
    assert run.wheel == 2
    assert run.wheel_load[2] == pytest.approx(0.0, abs=0.01)
    assert run.height_shaken > run.height
    assert 0.0 < run.rocking_margin < 0.2
    assert (run.hub_travel[[0, 3]] > 0.0).all()
    assert (run.hub_travel[[1, 2]] < 0.0).all()


def test_the_right_side_is_the_mirrored_vehicle():
    lanes = 20
    vehicles = random_vehicles(63, lanes)
    zero = np.zeros(lanes)
    left = raise_on_blocks(vehicles, on_wheels(lanes, OPPOSITE), zero)
    right = raise_on_blocks(vehicles.mirrored(), on_wheels(lanes, ~OPPOSITE), zero)
    np.testing.assert_allclose(left.height, right.height, rtol=1e-6)
    np.testing.assert_allclose(left.wheel_load, right.wheel_load[:, [1, 0, 3, 2]], rtol=1e-5, atol=0.1)
    spec = load_vehicle(WAGON)
    one, other = block_test(Population.of(spec), points=32), block_test(Population.of(spec), side="right", points=32)
    assert other.connected.wheel == one.connected.wheel + 1
    assert other.connected.height == pytest.approx(one.connected.height, rel=0.1)
    assert other.connected.roll < 0.0 < one.connected.roll


def test_a_touch_load_comes_first():
    vehicles = random_vehicles(64, 20)
    heights = [
        raise_on_blocks(vehicles, on_wheels(20, OPPOSITE), np.full(20, load)).height for load in (0.0, 50.0, 300.0)
    ]
    good = np.isfinite(heights).all(axis=0)
    assert good.sum() > 10
    assert (heights[2][good] < heights[1][good]).all()
    assert (heights[1][good] < heights[0][good]).all()


@pytest.fixture
def run():
    runner = CliRunner()
    return lambda *words: runner.invoke(app, [str(word) for word in words])


def test_the_command(run):
    result = run("blocks", WAGON, "--points", "32")
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert max(map(len, lines)) <= 80
    text = " ".join(result.stdout.split())
    assert "three wheels carry it" in text
    assert "nobody beside, behind or under it" in text
    assert "Local rules" in text
    data = json.loads(run("blocks", WAGON, "--points", "32", "--json").stdout)
    height = data["connected"]["block_height_m"]
    assert f"{height * 1000.0:.0f} mm" in next(line for line in lines if line.startswith("height of the blocks"))
    assert data["connected"]["lifting_wheel"] == "rear_left"
    assert data["released"]["block_height_m"] > height
    assert run("blocks", WAGON, "--side", "up").exit_code == 2
    assert run("blocks", WAGON, "--points", "3").exit_code == 2
