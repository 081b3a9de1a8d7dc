"""Vehicles that have no climb: those that do not stand, fall over at rest, or stand on three wheels before the ramp."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from articulate.climb import CANNOT_STAND, Outcome, climb_to_unload, settle
from articulate.model.ramp_test import ramp_test
from articulate.output.text.prediction import prediction_data, prediction_table
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from tests.random_vehicles import random_tests, random_vehicles

WAGON = "vehicle_specs_demo/wagon.toml"


@pytest.fixture(scope="module")
def wagon():
    return build(load_vehicle(WAGON))


def loaded(vehicle, mass, behind, left, height):
    """The vehicle with one load more than its own."""
    return replace(vehicle, load_mass=np.array([mass]), load_centre=np.array([[behind, left, height]]))


def badly_loaded(seed, lanes=200):
    """Loads of up to 1.5 t anywhere on, over and beside a vehicle, some of which stand up to 6 m too high."""
    rng = np.random.default_rng([seed, 77])
    vehicles = random_vehicles(seed, lanes)
    raised = np.where(rng.random((lanes, 1)) < 0.4, 0.0, rng.uniform(0.0, 6.0, (lanes, 1)))
    mass = rng.uniform(0.0, 1500.0, lanes)
    place = [vehicles.wheelbase * rng.uniform(-0.6, 1.8, lanes), rng.uniform(-1.6, 1.6, lanes)]
    return replace(
        vehicles,
        sprung_centre=vehicles.sprung_centre + raised * [0.0, 0.0, 1.0],
        load_mass=mass,
        load_centre=np.stack([*place, rng.uniform(0.3, 2.5, lanes)], axis=1),
    )


@pytest.mark.parametrize("left", [0.0, 0.15, -0.5])
def test_a_vehicle_that_does_not_stand_is_named_wherever_its_load_lies(wagon, left):
    centre = wagon.sprung_centre * [1.0, 1.0, 0.0] + [0.0, 0.0, 20.0]
    run = predict(loaded(replace(wagon, sprung_centre=centre), 300.0, 1.5, left, 1.0)).connected
    assert run.outcome == Outcome.UNSTABLE_AT_REST
    assert np.isnan([run.score, run.climb, run.tipping_margin, run.tipping_angle, run.rocking_margin]).all()
    assert run.events == ()


def test_it_falls_where_its_weight_lies_outside_its_wheels(wagon):
    """Statics: on stiff wheels it falls as soon as its weight's line leaves the track; until then both sides share."""
    stiff = replace(
        wagon,
        solid=np.zeros((1, 2), dtype=bool),
        pivot_height=np.zeros((1, 2)),
        swing_arm=np.full((1, 2), 0.8),
        spring_rate=np.full((1, 2), 4e6),
        spring_loose=np.zeros((1, 2), dtype=bool),
        tyre_stiffness=wagon.tyre_stiffness * 100.0,
        sprung_centre=np.array([[0.5 * wagon.wheelbase[0], 0.0, 0.6]]),
        load_mass=np.zeros(1),
        frame_compliance=np.zeros(1),
    )
    whole = stiff.sprung_mass[0] + stiff.unsprung_mass.sum()
    edge = 0.5 * stiff.track[0, 0] * whole / stiff.sprung_mass[0]  # the wheels' own masses stay in the middle
    for share in (0.5, 0.9, 0.99, -0.99, 1.01, 1.2, -1.01):
        off = replace(stiff, sprung_centre=stiff.sprung_centre + np.array([0.0, share * edge, 0.0]))
        outcome = climb_to_unload(off, ramp_test(1)).outcome[0]
        assert (outcome == Outcome.FALLS_AT_REST) == (abs(share) > 1.0)
        if abs(share) < 1.0:
            load = np.maximum(settle(off, ramp_test(1)).margins[0], 0.0)
            assert load[[0, 2]].sum() / load.sum() == pytest.approx(0.5 * (1.0 + share), abs=1e-3)


def test_it_is_named_where_it_stands_on_three_wheels_before_the_ramp(wagon):
    run = predict(loaded(wagon, 900.0, 4.2, 1.4, 1.4)).connected
    assert run.outcome == Outcome.LIFTS_BEFORE_RAMP
    assert np.isnan([run.score, run.climb]).all()
    assert run.wheel_load[1] == 0.0
    assert (run.wheel_load[[0, 2, 3]] > 0.0).all()
    assert run.tipping_margin > 0.0  # on the three
    # The wheel that is to climb counts as well.
    assert predict(loaded(wagon, 900.0, 4.2, -1.4, 1.4)).connected.outcome == Outcome.LIFTS_BEFORE_RAMP
    # A film as thick as the load it carries at rest never pulls out later.
    light = settle(wagon, ramp_test(1)).margins[0, 1:].min()
    assert climb_to_unload(wagon, ramp_test(1, touch_load=light + 1.0)).outcome[0] == Outcome.LIFTS_BEFORE_RAMP
    assert climb_to_unload(wagon, ramp_test(1, touch_load=light - 100.0)).outcome[0] == Outcome.WHEEL_LIFTS


def test_badly_loaded_vehicles_all_end_in_a_name_and_never_below_zero():
    seen, outside = set(), 0
    for seed in range(3):
        vehicles, test = badly_loaded(seed), random_tests(seed, 200)
        climb = climb_to_unload(vehicles, test)
        seen |= set(climb.outcome)
        scored = np.isin(climb.outcome, (Outcome.WHEEL_LIFTS, Outcome.EQUILIBRIUM_JUMPS))
        np.testing.assert_array_equal(np.isfinite(climb.score), scored)
        assert (climb.score[scored] >= 0.0).all()
        # One tips so slowly in the corner that what settles comes to no end.
        assert (climb.outcome == Outcome.NOT_CONVERGED).sum() <= 1
        # The weight's vertical line, all masses where they stand level, clearly outside the wheels: nothing stands.
        mass = vehicles.sprung_mass + vehicles.load_mass + vehicles.unsprung_mass.sum(axis=1)
        left = vehicles.sprung_mass * vehicles.sprung_centre[:, 1] + vehicles.load_mass * vehicles.load_centre[:, 1]
        beyond = np.abs(left / mass) > 0.5 * vehicles.track.max(axis=1) + 0.01
        outside += int(beyond.sum())
        assert np.isin(climb.outcome[beyond], CANNOT_STAND).all()
    assert outside > 3
    assert {Outcome.UNSTABLE_AT_REST, Outcome.FALLS_AT_REST, Outcome.LIFTS_BEFORE_RAMP} <= seen


def test_a_jump_before_the_toe_line_has_no_score():
    vehicles, test = badly_loaded(0).take(slice(102, 103)), random_tests(0, 200).take(slice(102, 103))
    climb = climb_to_unload(vehicles, test)
    assert climb.jumps[0] > 0
    assert climb.nodes.parameter[-1] < 0.0
    assert climb.outcome[0] == Outcome.LIFTS_BEFORE_RAMP
    assert np.isnan(climb.score[0])
    assert climb.wheel_load[0, 1] == 0.0


def test_people_read_what_it_does_and_no_margin(wagon):
    spec = load_vehicle(WAGON)
    falls = predict(loaded(wagon, 1500.0, 1.2, -1.5, 2.4))
    table, data = prediction_table(falls, spec), prediction_data(falls, spec)["connected"]
    assert "falls over on level ground" in table
    assert "tipping margin            none" in table
    assert "nan" not in table
    assert data["outcome"] == "falls_at_rest"
    assert data["tipping_margin_m"] is None
    lifts = predict(loaded(wagon, 900.0, 4.2, 1.4, 1.4), side="right")
    table = prediction_table(lifts, spec)
    assert "before the climbing wheel" in table
    assert "(front right)" in table
    assert max(map(len, table.splitlines())) <= 80
