"""The plan of a test day held to counts, to other seeds, to the path of the released run and to hand calculation."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from articulate.climb import Outcome, climb_to_unload
from articulate.model.ramp_test import ramp_test
from articulate.prediction import predict
from articulate.spec import build, load_vehicle, read_vehicle
from articulate.studies.day.plan import expected_scores, influences_on, plan_test, possible_vehicles
from articulate.studies.population.conditions import BOTH_BAR_STATES, Conditions, all_inputs, climbs_of, lanes_of
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, ModelError
from articulate.studies.population.runs import Population
from articulate.studies.population.sampling import normal_scores
from articulate.studies.predict.band import band

DEMO = Path("vehicle_specs_demo")
WAGON = DEMO / "wagon.toml"


@pytest.fixture(scope="module")
def wagon():
    return load_vehicle(WAGON)


@pytest.fixture(scope="module")
def plan(wagon):
    return plan_test(Population.of(wagon))


def others(spec, seed):
    """Other possible vehicles of the same file."""
    people = Population.of(spec)
    return lanes_of(spec, Conditions(), people.samples(normal_scores(2048, len(people.keys), seed)))


def errors(vehicles):
    """Factors of the model's own error, drawn: a part common to both runs of a vehicle, a part of each."""
    rng = np.random.default_rng(79)
    common = ASSUMED_MODEL_ERROR.common * rng.standard_normal(vehicles)
    return [1.0 + common + ASSUMED_MODEL_ERROR.run * rng.standard_normal(vehicles) for _ in BOTH_BAR_STATES]


def test_bands_hold_nine_in_ten_of_other_possible_vehicles(wagon, plan):
    vehicles, test = others(wagon, 77)
    factors = errors(vehicles.lanes)
    for case, run, factor in zip(BOTH_BAR_STATES, plan.runs, factors, strict=True):
        climbed = climbs_of(vehicles, test, [case])[case]
        score = factor * climbed.score
        inside = (score >= run.score.low) & (score <= run.score.high)
        assert inside.mean() == pytest.approx(0.90, abs=0.03)
        marks = factor * climbed.climb * np.sin(test.angle)
        assert ((marks >= run.mark_height.low) & (marks <= run.mark_height.high)).mean() == pytest.approx(0.9, abs=0.03)


def test_the_ramp_is_long_enough_for_nineteen_in_twenty(wagon, plan):
    vehicles, test = others(wagon, 78)
    climbed = climbs_of(vehicles, test, BOTH_BAR_STATES)
    factors = errors(vehicles.lanes)
    furthest = np.max([f * climbed[case].climb for case, f in zip(BOTH_BAR_STATES, factors, strict=True)], axis=0)
    assert (furthest <= plan.ramp.reached).mean() == pytest.approx(0.95, abs=0.02)
    # On a ramp of that length the nominal vehicle reaches both marks; on one that ends at the first, it does not.
    vehicle = build(wagon)
    assert climb_to_unload(vehicle.released(), ramp_test(1, length=plan.ramp.length)).outcome[0] == 1
    short = plan.runs[0].nominal.climb - 0.01
    assert climb_to_unload(vehicle, ramp_test(1, length=short)).outcome[0] == 2
    # Rise of a 20 degree slope, 0.34202 of its length: value from memory, sine tables.
    assert plan.ramp.height == pytest.approx(0.34202 * plan.ramp.length, rel=1e-5)


@pytest.mark.parametrize(("vehicle", "wheels"), [("wagon", 1), ("short_two_door", 2)])
def test_the_ramp_is_wide_enough_and_held_against_what_rolls_up_it(vehicle, wheels):
    """By statics a wheel of load N square to a 20 degree slope pushes it away with 0.34202 N; 0.1 m on either side."""
    spec = load_vehicle(DEMO / f"{vehicle}.toml")
    plan, section = plan_test(Population.of(spec), samples=64), 2.0 * build(spec).tyre_section_radius.max()
    assert plan.ramp.push == pytest.approx(0.34202 * wheels * plan.ramp.load, rel=1e-5)
    contact = np.concatenate([run.nominal.trace.measures.contact for run in plan.runs])
    across = contact[:, [0, 2][:wheels], 1]
    assert plan.ramp.width == pytest.approx(section + across.max() - across.min() + 0.2)
    assert plan.ramp.rating > plan.ramp.load >= max(run.nominal.wheel_load[0] for run in plan.runs)


def without_friction(text):
    """The vehicle file with suspension friction given as none."""
    for axle in ("front", "rear"):
        assert f"\n[{axle}]\n" in text
        text = text.replace(f"\n[{axle}]\n", f'\n[{axle}]\nsuspension_friction = "0 N"\n')
    return text


def test_release_on_the_ramp_lands_where_the_released_run_passes():
    # Without friction: the released vehicle's own climb, followed from the floor, passes that climb in one state only.
    spec = read_vehicle(without_friction(WAGON.read_text(encoding="utf-8")), "smooth.toml")
    plan, released = plan_test(Population.of(spec), samples=64), predict(build(spec)).released
    at = plan.runs[0].nominal.climb
    load = released.trace.measures.wheel_load
    there = [float(np.interp(at, released.trace.climb, load[:, wheel])) for wheel in range(4)]
    after = plan.release_on_ramp
    assert after.stands
    assert after.lightest_wheel == "rear left"
    assert after.lightest_load == pytest.approx(there[2], abs=5.0)
    roll = np.interp(at, released.trace.climb, released.trace.measures.roll) - plan.runs[0].nominal.roll
    assert after.roll == pytest.approx(roll, abs=1e-4)


def test_friction_holds_part_of_a_release_back(wagon, plan):
    # The elements resist the move, so the body rolls less far than it would without them.
    spec = read_vehicle(without_friction(WAGON.read_text(encoding="utf-8")), "smooth.toml")
    smooth = plan_test(Population.of(spec), samples=64).release_on_ramp
    assert plan.release_on_ramp.stands
    assert 0.0 < abs(plan.release_on_ramp.roll) < abs(smooth.roll)


def test_release_on_the_right_mirrors_the_left():
    text = WAGON.read_text(encoding="utf-8").replace('"-4 mm ± 10 mm"', '"0 mm"').replace('"-365 mm"', '"0 mm"')
    spec = read_vehicle(text, "centred.toml")
    left, right = (plan_test(Population.of(spec), side=side, samples=64) for side in ("left", "right"))
    assert right.release_on_ramp.roll == pytest.approx(-left.release_on_ramp.roll, rel=1e-6)
    assert right.release_on_ramp.lightest_wheel == "rear right"
    assert [wheel for wheel, _ in right.runs[0].lifts] == ["rear right"]
    assert right.runs[0].score.low == pytest.approx(left.runs[0].score.low, abs=1e-4)
    swapped = [what.translate(str.maketrans("", "")) for what, _ in right.runs[0].stops]
    assert sorted(swapped) == ["rear left on its bump stop", "rear right at full droop"]


def test_a_bar_holds_its_rate_times_the_difference_of_travel(wagon, plan):
    vehicle = build(wagon)
    travel = plan.runs[0].nominal.hub_travel
    front = plan.bars[0]
    assert front.axle == "front"
    assert front.at_mark == pytest.approx(float(vehicle.bar_rate[0, 0]) * abs(travel[0] - travel[1]), rel=1e-9)
    assert len(plan.bars) == 1  # the rear bar of this vehicle cannot be released


def test_the_tipping_band_lies_about_the_nominal_angle(plan):
    # Were the lifted wheel counted as gone in some possible vehicles and not in others, the band would fall apart.
    for run in plan.runs:
        assert run.tipping_angle.low < run.tipping_angle.value < run.tipping_angle.high
        assert run.tipping_angle.high - run.tipping_angle.low < np.radians(5.0)


def test_influences_are_those_of_a_planted_line(wagon):
    # Independent inputs of equal spread, score 3 a + b: shares 9/10 and 1/10 of the variance.
    rng = np.random.default_rng(0)
    inputs = all_inputs(wagon, Conditions())
    keys = ["wheelbase", "front.track", "rear.track"]
    samples = {key: rng.normal(size=20_000) for key in keys}
    groups = [(key,) for key in keys]
    score = 100.0 + 3.0 * samples["wheelbase"] + samples["front.track"]
    found, left_out = influences_on(score, samples, groups, inputs)
    assert left_out == 0.0
    assert [one.keys for one in found] == [("wheelbase",), ("front.track",)]
    assert found[0].share == pytest.approx(0.9, abs=0.02)
    assert found[1].share == pytest.approx(0.1, abs=0.02)
    # Beside an error of variance 0.1^2 E[score^2] = 0.01 (100^2 + 10) = 100.1 the variance of 10 is a share of 9 %.
    found, left_out = influences_on(score, samples, groups, inputs, ModelError(0.08, 0.06))
    assert left_out == pytest.approx(100.1 / 110.1, rel=0.01)
    assert found[0].share == pytest.approx(0.9 * 10.0 / 110.1, rel=0.03)


def test_vehicles_that_cannot_exist_are_left_out_and_counted():
    # Within its range the front axle can weigh more than what stands on its wheels (1165 kg).
    text = WAGON.read_text(encoding="utf-8").replace('total = "2290 kg"', "")
    text = text.replace('unsprung_mass = "135 kg ± 15 kg"', 'unsprung_mass = "100 to 1300 kg"')
    spec = read_vehicle(text, "heavy.toml")
    _, vehicles, test = possible_vehicles(Population.of(spec), 256)
    assert 0 < vehicles.lanes < 256
    assert vehicles.lanes == test.angle.size
    assert plan_test(Population.of(spec), samples=256).left_out == 256 - vehicles.lanes


def test_bands_are_those_of_the_band_study(wagon, plan):
    found = band(Population.of(wagon), points=plan.samples, seed=plan.seed)
    for run, case in zip(plan.runs, found.cases, strict=True):
        assert (run.score.low, run.score.high) == pytest.approx((case.score.low, case.score.high), rel=1e-12)


def test_every_possible_vehicle_is_accounted_for():
    spec = load_vehicle(DEMO / "crossover_minimal.toml")
    plan = plan_test(Population.of(spec), samples=256)
    for run in plan.runs:
        assert sum(share for _, share in run.lifts) == pytest.approx(1.0)
        assert run.vehicles == 256
    short = plan_test(Population.of(spec, Conditions(length=plan.runs[0].nominal.climb)), samples=256)
    ends = dict(short.runs[0].unscored)
    scored = round(sum(share for _, share in short.runs[0].lifts) * (256 - sum(ends.values())))
    assert ends[Outcome.RAMP_ENDS.meaning] > 20
    assert scored + sum(ends.values()) == 256
    assert not short.ramp.bounded
    for range_ in (short.runs[0].score, short.runs[0].climb, short.runs[0].mark_height):
        assert np.isfinite(range_.low)
        assert np.isinf(range_.high)


@pytest.mark.parametrize("vehicle", ["wagon", "forward_control_van"])
def test_scores_alone_are_those_of_the_plan(vehicle):
    people = Population.of(load_vehicle(DEMO / f"{vehicle}.toml"))
    plan, alone = plan_test(people, "right", samples=64), expected_scores(people, "right", samples=64)
    assert [run.bars for run in alone] == [run.bars for run in plan.runs]
    for mine, theirs in zip(alone, plan.runs, strict=True):
        assert mine.outcome == theirs.nominal.outcome
        ends = [[one.value, one.low, one.high] for one in (mine.score, theirs.score)]
        assert ends[0] == pytest.approx(ends[1], abs=1e-6)
    drawn_for_the_left = possible_vehicles(people, 64)
    again = expected_scores(people, "right", samples=64, possible=drawn_for_the_left)
    assert [run.score for run in again] == [run.score for run in alone]
