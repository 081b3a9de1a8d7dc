"""Suspension friction: closed forms, limits, invariants, what a step may not change, and what people see of it."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from articulate.climb import Outcome, climb_to_unload, creep_back, friction_turned_over, settle
from articulate.closed_forms import hub_path, rates
from articulate.model.balance import RampSystem
from articulate.model.friction import Friction
from articulate.model.ramp_test import ramp_test
from articulate.model.vehicles import Vehicles, stack
from articulate.output.text.prediction import prediction_data, prediction_table
from articulate.prediction import predict
from articulate.solve.linear import eliminate_in_place
from articulate.solve.path import OVER_A_LEAP, Bounds, short_where_crowded
from articulate.spec import SpecError, build, load_vehicle, read_vehicle
from articulate.spec.template import template
from articulate.studies.population.conditions import Conditions, draw, lanes_of
from tests.closed_forms.solved import HALVINGS, assert_order, batch, plate
from tests.exactness import EXACT, derivative_error, random_postures, same_climbs, scaled_forces
from tests.random_vehicles import random_tests, random_vehicles

DEMO = sorted(Path("vehicle_specs_demo").glob("*.toml"))


def rubbing(vehicles: Vehicles, front: float, rear: float | None = None) -> Vehicles:
    """The same vehicles with so much friction a corner [N]."""
    force = np.tile([front, front if rear is None else rear], (vehicles.lanes, 1))
    return replace(vehicles, friction_force=force)


@cache
def demo_vehicles() -> Vehicles:
    """Every demo vehicle, bars connected and released, by pairs."""
    built = [build(load_vehicle(file)) for file in DEMO]
    return stack([state for vehicle in built for state in (vehicle, vehicle.released())])


def randomly_rubbing(seed: int, lanes: int) -> Vehicles:
    """Random vehicles, a fifth of the axles without friction."""
    rng = np.random.default_rng([seed, 9])
    force = np.where(rng.random((lanes, 2)) < 0.2, 0.0, rng.uniform(50.0, 800.0, (lanes, 2)))
    return replace(random_vehicles(seed, lanes), friction_force=force)


# --- the element alone -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("steps", [8, 64])
def test_a_cycle_of_travel_costs_four_times_force_times_sliding_travel(steps):
    """Work of a closed loop of amplitude U: 4 F (U - F/k) (area of the parallelogram, derived), U 30 mm, F/k 3 mm."""
    force, stiffness, amplitude = 300.0, 100e3, 0.030
    element = Friction.of(replace(rubbing(demo_vehicles(), force), friction_stiffness=np.full((12, 2), stiffness)))
    quarter = np.linspace(0.0, 1.0, steps + 1)
    way = amplitude * np.concatenate([quarter, quarter[-2::-1], -quarter[1:], -quarter[-2::-1], quarter[1:]])
    travel, drag = [], []
    for u in way:
        # Small steps inside the reach, so that the trapezoid below is exact for the straight sides of the loop.
        for part in np.linspace(travel[-1] if travel else 0.0, u, 41)[1:]:
            everywhere = np.full((12, 2, 2), part)
            stretch = element.stretch(everywhere)
            element.anchor[:] = everywhere - stretch
            travel.append(part)
            drag.append(float(element.stiffness[0, 0, 0] * stretch[0, 0, 0]))
    start = len(travel) - 4 * steps * 40  # the last full cycle, from one upper end to the next
    work = np.trapezoid(drag[start - 1 :], travel[start - 1 :])
    assert work == pytest.approx(4.0 * force * (amplitude - force / stiffness), rel=1e-3)
    assert max(drag) == pytest.approx(force)
    assert min(drag) == pytest.approx(-force)


def test_a_force_without_stiffness_is_refused():
    vehicle = rubbing(demo_vehicles(), 100.0)
    for wrong in (
        {"friction_stiffness": np.zeros((12, 2))},
        {"friction_stiffness": np.full((12, 2), np.inf)},
        {"friction_force": np.full((12, 2), -1.0)},
    ):
        with pytest.raises(ValueError, match="friction_force must be 0 N or more"):
            RampSystem.of(replace(vehicle, **wrong), ramp_test(12))
    assert RampSystem.of(demo_vehicles().frictionless(), ramp_test(12)).friction is None


# --- closed form -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("solid", [False, True])
def test_friction_of_a_plate_on_four_springs_shifts_its_unloading_lift_by_four_forces_over_rate(solid):
    """Each corner carries W/4 +- d with d = k u +- F (sliding) and gives way by u + d/k_t, together z = 4 (u + d/k_t).

    So d = k_ride z/4 + F k_ride/k, and d = W/4 at z = W/k_ride - 4 F/k going up, W/k_ride + 4 F/k turned over
    (k_ride: spring and tyre in series; derived). Small angles, a plate without overturning, stiff friction.
    """
    degrees = 1.0 * HALVINGS
    plain = [plate(solid, 100.0 / angle) for angle in degrees]
    weight, rate = plain[0].loads.sum(), np.array([v.axles[0].rate for v in plain])
    ride = np.array([rates.series_rate(v.axles[0].rate, v.axles[0].tyre_rate) for v in plain])
    force = 0.02 * weight
    vehicles = replace(
        rubbing(batch(plain), force), friction_stiffness=1e4 * np.broadcast_to(rate[:, None], (3, 2)).copy()
    )
    test = ramp_test(3, np.radians(degrees))
    up = climb_to_unload(vehicles, test)
    over = friction_turned_over(vehicles, test, up)
    assert (up.outcome == Outcome.WHEEL_LIFTS).all()
    free = climb_to_unload(vehicles.frictionless(), test)
    lift = [
        hub_path.hub_rise(climb, plain[0].axles[0].radius, np.radians(degrees))
        for climb in (up.climb, over.climb, free.climb)
    ]
    for found, sign in zip(lift, (-1.0, 1.0, 0.0), strict=True):
        form = weight / ride + sign * 4.0 * force / rate
        assert_order(form / found - 1.0, 1, 0.1)
        assert abs(form[-1] / found[-1] - 1.0) < 0.006
    # The shift by itself, which is 7 % of the lift, and its sign.
    shift = 4.0 * force / rate[-1]
    assert lift[2][-1] - lift[0][-1] == pytest.approx(shift, rel=0.03)
    assert lift[1][-1] - lift[2][-1] == pytest.approx(shift, rel=0.03)


# --- limits ----------------------------------------------------------------------------------------------------


def test_scores_approach_the_frictionless_one_in_proportion_to_the_force():
    vehicles = demo_vehicles().frictionless()
    test = ramp_test(vehicles.lanes)
    free = climb_to_unload(vehicles, test)
    up, over = [], []
    for force in (40.0, 20.0, 10.0):
        rub = rubbing(vehicles, force)
        climbed = climb_to_unload(rub, test)
        up.append(climbed.score - free.score)
        over.append(friction_turned_over(rub, test, climbed).score - free.score)
    assert_order(np.array(up), 1, 0.05)
    assert_order(np.array(over), 1, 0.05)
    assert (np.array(up) < 0.0).all()
    assert (np.array(over) > 0.0).all()


def test_without_friction_the_way_back_comes_to_the_same_score():
    vehicles = demo_vehicles().frictionless()
    test = ramp_test(vehicles.lanes)
    free = climb_to_unload(vehicles, test)
    for found in (creep_back(vehicles, test, free), friction_turned_over(vehicles, test, free)):
        np.testing.assert_allclose(found.score, free.score, rtol=0.0, atol=1e-4)
        np.testing.assert_allclose(found.wheel_load, free.wheel_load, rtol=0.0, atol=0.01)


def test_stiffness_of_the_element_hardly_matters():
    vehicles = rubbing(demo_vehicles(), 300.0)
    test = ramp_test(vehicles.lanes)
    scores = [
        climb_to_unload(replace(vehicles, friction_stiffness=np.full((12, 2), k)), test).score for k in (1e5, 3e5, 1e6)
    ]
    assert np.ptp(scores, axis=0).max() < 0.01


# --- up, back, shaken, turned over -----------------------------------------------------------------------------


def test_friction_costs_score_going_up_and_gives_it_when_turned_over():
    # 300 N a corner took 1.5 to 4.5 % from four other vehicles, all without auxiliary roll stiffness; so are these.
    vehicles = rubbing(demo_vehicles(), 300.0)
    vehicles = replace(vehicles, auxiliary_rate=np.zeros((vehicles.lanes, 2)))
    test = ramp_test(vehicles.lanes)
    up = climb_to_unload(vehicles, test)
    over = friction_turned_over(vehicles, test, up)
    free = climb_to_unload(vehicles.frictionless(), test)
    change = 100.0 * (up.score / free.score - 1.0)
    assert ((change < -1.0) & (change > -4.5)).all()  # [%]
    turned = 100.0 * (over.score / free.score - 1.0)
    assert ((turned > 1.0) & (turned < 5.5)).all()


def test_creeping_back_comes_to_the_climbing_score_whatever_the_overshoot():
    """On three wheels the loads follow from the centre of gravity alone; so friction does not turn over in the air."""
    vehicles = rubbing(demo_vehicles(), 125.0, 300.0)
    test = ramp_test(vehicles.lanes)
    up = climb_to_unload(vehicles, test)
    for overshoot in (0.001, 0.05, 0.1, 0.2):
        back = creep_back(vehicles, test, up, overshoot)
        np.testing.assert_allclose(back.score, up.score, rtol=0.0, atol=0.01)


def test_lanes_without_a_lift_have_no_way_back():
    vehicles = rubbing(demo_vehicles(), 125.0)
    test = ramp_test(vehicles.lanes, length=np.where(np.arange(12) % 2 == 0, 0.5, np.inf))
    up = climb_to_unload(vehicles, test)
    for found in (creep_back(vehicles, test, up), friction_turned_over(vehicles, test, up)):
        np.testing.assert_array_equal(np.isfinite(found.score), up.outcome == Outcome.WHEEL_LIFTS)
        assert (found.end[::2] == 0).all()
    none = ramp_test(vehicles.lanes, length=0.5)
    short = climb_to_unload(vehicles, none)
    assert np.isnan(creep_back(vehicles, none, short).score).all()
    assert np.isnan(friction_turned_over(vehicles, none, short).score).all()


# --- exactness and invariants ----------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(4))
def test_jacobian_with_friction_is_exact(seed):
    _, state, climb = random_postures(seed, 64)
    vehicles = replace(
        random_vehicles(seed, 64),
        friction_force=np.random.default_rng(seed).uniform(100.0, 4000.0, (64, 2)),
    )
    system = RampSystem.of(vehicles, random_tests(seed, 64))
    system.relax(state)
    system.set_anchor(system.anchor + np.random.default_rng([seed, 1]).normal(0.0, 0.02, (64, 2, 2)))
    travel = system.posture(state, climb).pose.hub_travel
    holds = np.abs(travel - system.anchor) < system.friction.reach
    assert 0.2 < holds.mean() < 0.9
    at = system.evaluate(state, climb)
    assert derivative_error(system, state, climb, at.jacobian, at.climb_derivative).max() < EXACT
    smooth = RampSystem.of(vehicles.frictionless(), random_tests(seed, 64)).evaluate(state, climb)
    assert derivative_error(system, state, climb, smooth.jacobian, smooth.climb_derivative).max() > 1e-3


def test_answers_with_friction_are_exact_and_stable():
    vehicles, test = randomly_rubbing(3, 200), random_tests(3, 200)
    up = climb_to_unload(vehicles, test)
    rows = np.flatnonzero(up.outcome == Outcome.WHEEL_LIFTS)
    assert rows.size > 150
    system = RampSystem.of(vehicles.take(rows), test.take(rows))
    system.set_anchor(up.anchor[rows])
    at = system.evaluate(up.state[rows], up.climb[rows])
    dropped = up.wheel_load[rows, up.wheel[rows]] < test.touch_load[rows] - 1e-3  # a small jump took it past
    assert np.abs(at.residual[~dropped]).max() < 1.001e-8
    assert np.abs(at.residual).max() < 1.001e-7
    assert dropped.mean() < 0.02
    _, negative = eliminate_in_place(at.equations.copy())
    np.testing.assert_array_equal(negative, 0)
    assert np.linalg.eigvals(-at.jacobian).real.min() > 0.0


def test_a_vehicle_at_rest_carries_no_friction():
    vehicles, test = randomly_rubbing(4, 60), random_tests(4, 60)
    up = climb_to_unload(vehicles, test)
    rest = settle(vehicles.frictionless(), test)
    np.testing.assert_allclose(up.start.state[:, 1:], rest.state[:, 1:], rtol=0.0, atol=1e-9)


def test_scaling_every_force_changes_no_score_with_friction():
    vehicles, test = randomly_rubbing(5, 60), random_tests(5, 60)
    one, other = climb_to_unload(vehicles, test), climb_to_unload(*scaled_forces(vehicles, test, 2.7))
    same_climbs(one, other)
    back, again = creep_back(vehicles, test, one), creep_back(*scaled_forces(vehicles, test, 2.7), other)
    np.testing.assert_allclose(again.score, back.score, rtol=1e-6)
    forgetful = replace(scaled_forces(vehicles, test, 2.7)[0], friction_force=vehicles.friction_force)
    with pytest.raises(AssertionError):
        same_climbs(one, climb_to_unload(forgetful, scaled_forces(vehicles, test, 2.7)[1]))


def test_batch_equals_loop_with_friction():
    vehicles, test = randomly_rubbing(6, 40), random_tests(6, 40)
    up = climb_to_unload(vehicles, test)
    back, over = creep_back(vehicles, test, up), friction_turned_over(vehicles, test, up)
    for lane in range(0, 40, 5):
        one, its = vehicles.take(slice(lane, lane + 1)), test.take(slice(lane, lane + 1))
        alone = climb_to_unload(one, its)
        assert alone.outcome[0] == up.outcome[lane]
        np.testing.assert_allclose(alone.score[0], up.score[lane], rtol=1e-12)
        np.testing.assert_allclose(creep_back(one, its, alone).score[0], back.score[lane], rtol=1e-9)
        np.testing.assert_allclose(friction_turned_over(one, its, alone).score[0], over.score[lane], rtol=1e-7)


def test_the_right_side_is_the_left_of_the_mirrored_vehicle():
    wagon = rubbing(build(load_vehicle("vehicle_specs_demo/wagon.toml")), 200.0)
    right, left = predict(wagon, side="right").connected, predict(wagon.mirrored()).connected
    for name in ("score", "score_back", "score_shaken", "score_turned_over"):
        assert getattr(right, name) == pytest.approx(getattr(left, name), rel=1e-12)
    assert right.score != pytest.approx(predict(wagon).connected.score, rel=1e-6)  # it is not symmetric


def test_half_the_step_changes_no_score():
    vehicles = rubbing(demo_vehicles(), 125.0, 550.0)
    test = ramp_test(vehicles.lanes)
    coarse, fine = climb_to_unload(vehicles, test), climb_to_unload(vehicles, test, longest_step=0.04)
    np.testing.assert_allclose(coarse.score, fine.score, rtol=0.0, atol=1e-4)
    np.testing.assert_allclose(
        creep_back(vehicles, test, coarse).score,
        creep_back(vehicles, test, fine, longest_step=0.04).score,
        rtol=0.0,
        atol=1e-3,
    )


def test_half_the_step_changes_hardly_any_score_of_wild_vehicles():
    """Where a corner turns back within a step something is lost; where the vehicle jumps, its way is not unique."""
    vehicles, test = randomly_rubbing(1, 300), random_tests(1, 300)
    coarse, fine = climb_to_unload(vehicles, test), climb_to_unload(vehicles, test, longest_step=0.1)
    np.testing.assert_array_equal(coarse.outcome, fine.outcome)
    np.testing.assert_array_equal(coarse.wheel, fine.wheel)
    steady = (coarse.outcome == Outcome.WHEEL_LIFTS) & (coarse.jumps == 0) & (fine.jumps == 0)
    error = np.abs(coarse.score - fine.score)[steady] / coarse.score[steady]
    assert steady.sum() > 200
    assert error.max() < 5e-4
    assert (error < 1e-5).mean() > 0.97


@pytest.mark.parametrize("lane", [47, 53])
def test_no_stride_goes_over_the_toe_line_where_a_loaded_tyre_lets_go_of_the_flat(lane):
    """Friction turns over in the leap of its load; strided over, 53 ended 6 points early and never jumped."""
    one = slice(lane, lane + 1)
    vehicles, test = randomly_rubbing(1, 300).take(one), random_tests(1, 300).take(one)
    coarse, fine = climb_to_unload(vehicles, test), climb_to_unload(vehicles, test, longest_step=0.03)
    assert coarse.score[0] == pytest.approx(fine.score[0], abs=0.02)
    assert coarse.jumps[0] == fine.jumps[0] > 0
    system = RampSystem.of(vehicles, test)
    states, places = coarse.nodes.state, coarse.nodes.parameter
    guards = [system.evaluate(states[k : k + 1], places[k : k + 1]).guards for k in range(places.size)]
    leaps = 0
    for k in range(1, len(guards)):
        share = system.edge(guards[k - 1], guards[k])[0]
        if not np.isnan(share):
            leaps += 1
            assert places[k] - places[k - 1] <= 1.02 * OVER_A_LEAP
    assert leaps > 0


def test_a_leap_is_where_a_loaded_contact_crosses_the_toe_line():
    """Guards by hand: places of flat and ramp contacts, front and rear, then their loads."""
    system = RampSystem.of(rubbing(demo_vehicles(), 100.0), ramp_test(12))
    here = np.tile([0.3, 1.0, -0.3, -1.0, 900.0, 900.0, 900.0, 900.0], (12, 1))
    there = here + np.array([-0.4, 0.0, 0.4, 0.0, 0.0, 0.0, 0.0, 0.0])
    np.testing.assert_allclose(system.edge(here, there), 0.75)  # the flat's is first
    there[:, 4] = -2700.0  # it has lifted before it gets there
    np.testing.assert_allclose(system.edge(here, there), 0.75)  # the ramp's
    there[:, 6] = -2700.0
    assert np.isnan(system.edge(here, there)).all()
    assert np.isnan(system.edge(here, here)).all()
    assert RampSystem.of(demo_vehicles().frictionless(), ramp_test(12)).edge(here, there) is None


def test_short_steps_where_the_rear_wheel_meets_the_ramp_keep_corners_from_turning_unseen():
    """Some corners of these turn back and on again within 0.1 m; unseen that cost up to 6 points."""
    spec = load_vehicle("vehicle_specs_demo/short_two_door.toml")
    vehicles, test = lanes_of(spec, Conditions(), draw(spec, Conditions(), 512, seed=20))
    error = np.abs(climb_to_unload(vehicles, test).score - climb_to_unload(vehicles, test, longest_step=0.02).score)
    assert error.max() < 1.5
    assert (error > 0.1).sum() <= 3


def test_steps_are_short_on_a_crowded_stretch_and_end_where_it_begins():
    begin, end = np.array([2.0, 2.0, 2.0, 2.0, 9.0]), np.array([3.0, 3.0, 3.0, 3.0, 9.5])
    bounds = Bounds(np.full(5, 10.0), np.zeros(5), begin, end)
    at = np.array([1.5, 1.9, 2.5, 3.0, 1.9])
    np.testing.assert_allclose(short_where_crowded(np.full(5, 0.3), at, bounds, 0.05), [0.3, 0.1, 0.05, 0.3, 0.3])
    just_before = np.array([1.99, 1.99, 1.99, 1.99, 8.99])
    assert short_where_crowded(np.full(5, 0.3), just_before, bounds, 0.05) == pytest.approx(0.05)  # not tiny ones


def test_a_small_drop_through_the_touch_load_ends_the_climb():
    """At a small turning point the margin drops from 0.3 N over the touch load to 8 N under it: nothing to aim at."""
    one = slice(38, 39)
    vehicles, test = rubbing(random_vehicles(7, 300).take(one), 500.0), random_tests(7, 300).take(one)
    vehicles = replace(vehicles, auxiliary_rate=np.zeros((1, 2)), auxiliary_rate_cubic=np.zeros((1, 2)))
    up = climb_to_unload(replace(vehicles, friction_stiffness=np.full((1, 2), 300e3)), test)
    assert up.outcome[0] == Outcome.WHEEL_LIFTS
    assert up.wheel[0] == 1
    assert test.touch_load[0] - 10.0 < up.wheel_load[0, 1] < test.touch_load[0]


# --- the vehicle file and what people see ----------------------------------------------------------------------


def minimal(axle: str, line: str):
    """The minimal vehicle with one more line on an axle."""
    return read_vehicle(template(minimal=True).replace(f"[{axle}]\n", f"[{axle}]\n{line}\n"), "car.toml")


def test_the_default_follows_the_spring_and_is_marked_assumed():
    spec = minimal("rear", 'spring.kind = "leaf"')
    front, rear = (spec.inputs[f"{axle}.suspension_friction"] for axle in ("front", "rear"))
    assert (front.low, front.value, front.high) == (50.0, 125.0, 200.0)
    assert (rear.low, rear.value, rear.high) == (300.0, 550.0, 800.0)
    assert {"front.suspension_friction", "rear.suspension_friction"} <= set(spec.assumed())
    assert "not checked against a source" in rear.basis
    np.testing.assert_array_equal(build(spec).friction_force, [[125.0, 550.0]])


def test_the_key_is_read_with_its_unit_and_may_be_zero():
    spec = minimal("front", 'suspension_friction = "40 lbf ± 10 lbf"')
    assert build(spec).friction_force[0, 0] == pytest.approx(40.0 * 4.4482216, rel=1e-6)
    assert spec.inputs["front.suspension_friction"].distribution == "rectangular"
    assert build(minimal("front", 'suspension_friction = "0 N"')).friction_force[0, 0] == 0.0
    sample = np.array([0.0, 100.0, 900.0])
    np.testing.assert_array_equal(build(spec, {"rear.suspension_friction": sample}).friction_force[:, 1], sample)


@pytest.mark.parametrize(
    ("entry", "said"),
    [('"-10 N"', "outside 0 to 5000 N"), ('"6 kN"', "outside 0 to 5"), ('"150 N/mm"', "force"), ("150", "no unit")],
)
def test_a_wrong_friction_is_one_fault_at_its_line(entry, said):
    with pytest.raises(SpecError) as caught:
        minimal("rear", f"suspension_friction = {entry}")
    (fault,) = caught.value.faults
    assert fault.key == "rear.suspension_friction"
    line = template(minimal=True).split("\n").index("[rear]") + 2
    assert fault.line == line
    assert said in str(fault)


def test_the_template_knows_the_key():
    text = template().replace("# suspension_friction", "suspension_friction")
    assert tomllib.loads(text)["front"]["suspension_friction"]
    assert "front.suspension_friction" not in read_vehicle(text, "car.toml").assumed()


def test_table_and_data_show_both_scores_and_what_friction_does_to_them():
    spec = load_vehicle("vehicle_specs_demo/ladder_frame_pickup.toml")
    result = predict(build(spec))
    run = result.connected
    assert run.score < run.score_shaken < run.score_turned_over
    assert run.score_back == pytest.approx(run.score, abs=0.01)
    table = prediction_table(result, spec)
    assert max(map(len, table.splitlines())) <= 80
    for label, score in (
        ("  creeping back onto it", run.score_back),
        ("  friction shaken out", run.score_shaken),
        ("  friction turned over", run.score_turned_over),
    ):
        (line,) = [line for line in table.splitlines() if line.startswith(label)]
        assert line.split()[-2] == f"{score:.0f}"
    data = json.loads(json.dumps(prediction_data(result, spec), allow_nan=False))["connected"]
    assert data["score_creeping_back"] == run.score_back
    assert data["score_friction_shaken_out"] == run.score_shaken
    assert data["score_friction_turned_over"] == run.score_turned_over


def test_a_frictionless_vehicle_has_one_score_and_says_nothing_of_friction():
    spec = load_vehicle("vehicle_specs_demo/wagon.toml")
    result = predict(build(spec).frictionless())
    assert np.isnan(result.connected.score_back)
    table = prediction_table(result, spec)
    assert "creeping back" not in table
    assert "Suspension friction" not in table
    assert prediction_data(result, spec)["connected"]["score_creeping_back"] is None
