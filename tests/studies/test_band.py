"""Bands: quantiles, failures in sight, the same points for both bar states."""

from dataclasses import replace

import numpy as np
import pytest

from articulate.climb import Outcome, climb_to_unload
from articulate.ends import NOT_BUILT
from articulate.output.text.band import band_table, range_text
from articulate.spec import load_vehicle, with_setting
from articulate.spec.quantities import Estimate
from articulate.studies.day.plan import plan_test
from articulate.studies.learn.learning import learn
from articulate.studies.learn.readings import ScoreReading
from articulate.studies.population.conditions import Conditions, exactly, lanes_of
from articulate.studies.population.model_error import NO_MODEL_ERROR
from articulate.studies.population.runs import Population, cases_of, simulate
from articulate.studies.predict.band import band, mark_heights, spread
from articulate.types import Case

PICKUP = "vehicle_specs_demo/ladder_frame_pickup.toml"


def test_quantiles_against_numpy_with_failures_and_long_climbs():
    values = np.random.default_rng(2).normal(500.0, 20.0, 1001)
    found = spread(values)
    low, median, high = np.percentile(values, [5, 50, 95])
    assert (found.low, found.median, found.high) == pytest.approx((low, median, high))
    assert found.median_error == pytest.approx(20.0 * np.sqrt(np.pi / 2.0 / 1001), rel=0.25)  # derived, large samples
    holes = np.concatenate([values, np.full(200, np.nan)])
    assert spread(holes) == found
    beyond = spread(np.concatenate([values, np.full(900, np.inf)]))
    assert beyond.low == pytest.approx(np.sort(values)[95])
    assert np.isinf(beyond.high)
    assert spread([np.nan]).points == 0


def test_both_bar_states_on_the_same_points():
    spec = load_vehicle(PICKUP)
    found = band(Population.of(spec), points=64, model=NO_MODEL_ERROR)
    runs = found.runs
    vehicles, test = lanes_of(spec, Conditions(), runs.samples)
    connected, released = climb_to_unload(vehicles, test).score, climb_to_unload(vehicles.released(), test).score
    assert found.cases[0].score.median == pytest.approx(np.median(connected))
    assert found.gain is not None
    assert found.gain.median == pytest.approx(np.median(released - connected))
    assert found.gain.high == pytest.approx(np.percentile(released - connected, 95))


def test_marks_stand_as_high_as_the_climbs_whatever_the_wheelbase_and_the_ramp():
    """Height s sin g of each possible climb, on its own ramp; the wheelbase enters by the climb alone."""
    spec = with_setting(load_vehicle(PICKUP), "wheelbase", "3120 mm ± 200 mm")
    angle = Estimate(*np.radians([20.0, 18.0, 22.0]), "rectangular", "given", "", "deg", np.radians(1.0))
    conditions = Conditions(ramp_angle=angle)
    found = band(Population.of(spec, conditions), points=64, model=NO_MODEL_ERROR)
    vehicles, test = lanes_of(spec, conditions, found.runs.samples)
    heights = climb_to_unload(vehicles, test).climb * np.sin(test.angle)
    marks = mark_heights(found, Case())
    np.testing.assert_allclose((marks.low, marks.median, marks.high), np.percentile(heights, [5, 50, 95]))


def test_more_points_move_the_limits_by_no_more_than_their_errors():
    spec = load_vehicle(PICKUP)
    few, many = band(Population.of(spec), points=256, seed=1), band(Population.of(spec), points=4096, seed=2)
    for one, other in zip(few.cases, many.cases, strict=True):
        assert abs(one.score.median - other.score.median) < 3.0 * one.score.median_error
        assert abs(one.score.low - other.score.low) < 3.0 * one.score.limit_error
        assert abs(one.score.high - other.score.high) < 3.0 * one.score.limit_error


def test_quick_and_thorough_shares_agree():
    spec = load_vehicle(PICKUP)
    quick, thorough = band(Population.of(spec), points=1024), band(Population.of(spec), points=128, thorough=True)
    for one, other in zip(quick.cases, thorough.cases, strict=True):
        error = np.hypot(one.shares.total_error, other.shares.total_error)
        assert (np.abs(one.shares.total - other.shares.total) < 4.0 * error + 0.005).all()
        assert one.shares.first.sum() + one.shares.unresolved < 1.05


def test_a_vehicle_known_exactly_has_no_band():
    spec = load_vehicle(PICKUP)
    exact = {key: replace(e, low=e.value, high=e.value, distribution="exact") for key, e in spec.inputs.items()}
    conditions = Conditions(holding_share=exactly(0.5))
    found = band(Population.of(replace(spec, inputs=exact), conditions), points=64, model=NO_MODEL_ERROR)
    assert found.population.keys == ()
    assert found.cases[0].score.width == 0.0
    assert found.cases[0].shares.variance == 0.0


def test_points_that_make_no_vehicle_are_counted_and_shown():
    spec = load_vehicle(PICKUP)
    bump = replace(spec.inputs["front.travel.bump"], value=0.01, low=-0.01, high=0.03, distribution="rectangular")
    found = band(Population.of(replace(spec, inputs={**spec.inputs, "front.travel.bump": bump})), points=256)
    case = found.cases[0]
    assert case.outcomes[NOT_BUILT] == pytest.approx(64, abs=3)
    assert sum(found.faults.values()) == case.outcomes[NOT_BUILT]
    assert case.failed == case.outcomes[NOT_BUILT]
    assert case.score.points + case.failed == 256
    assert np.isfinite(case.score.median)


def test_a_short_ramp_is_no_failure_and_no_score():
    spec = load_vehicle(PICKUP)
    plain = band(Population.of(spec), points=256, model=NO_MODEL_ERROR)
    median = plain.cases[0].score.median
    length = median / 1000.0 * spec.inputs["wheelbase"].value
    cut = band(Population.of(spec, Conditions(length=length)), points=256, model=NO_MODEL_ERROR)
    case = cut.cases[0]
    assert case.outcomes[int(Outcome.RAMP_ENDS)] == pytest.approx(128, abs=8)
    assert case.failed == 0
    assert np.isinf(case.score.high)
    assert case.score.low == pytest.approx(plain.cases[0].score.low, abs=0.5)
    assert np.isinf(cut.cases[1].score.median)


@pytest.mark.parametrize(("length", "told"), [(1.82, True), (1.7, False)])
def test_gains_on_a_short_ramp_are_those_of_a_longer_one_or_are_not_told(length, told):
    # The same vehicles on a long ramp know their gains; some, then most of them outlast the short one released.
    people = Population.of(load_vehicle("vehicle_specs_demo/wagon.toml"))
    cut = Population.of(people.spec, Conditions(length=length))
    long, short = band(people, points=256), band(cut, points=256)
    before = learn(short.runs, [ScoreReading(short.cases[0].case, 560.0, 1e6)]).gain[0]
    outlast = (short.runs.ends[short.cases[1].case].outcome == Outcome.RAMP_ENDS).mean()
    assert bool(outlast < 0.5) is told
    if not told:
        assert all(np.isnan(one.median) and np.isnan(one.low) for one in (short.gain, before))
        assert "not known" in band_table(short, full=False)
        assert "not known" in range_text(short.gain.low, short.gain.high, True)
        plan = plan_test(cut, samples=64)
        assert np.isnan(plan.gain.low)
        return
    assert outlast > 0.1
    for name in ("low", "median", "high"):
        known = getattr(long.gain, name)
        assert getattr(short.gain, name) == pytest.approx(known, abs=3.0)
        assert getattr(before, name) == pytest.approx(known, abs=3.0)


def test_the_right_side_of_a_vehicle_is_the_left_of_its_mirror():
    spec = load_vehicle(PICKUP)
    people = Population.of(spec)
    right = simulate(people, cases_of(spec, "right"), 32)
    vehicles, test = lanes_of(spec, Conditions(), right.samples)
    alone = climb_to_unload(vehicles.mirrored(), test)
    ends = right.ends[cases_of(spec, "right")[0]]
    np.testing.assert_allclose(ends.score, alone.score)
    np.testing.assert_allclose(ends.wheel_load, alone.wheel_load[:, [1, 0, 3, 2]], atol=1e-3)
    assert (ends.wheel == 3).mean() > 0.9  # rear right lifts
    assert (ends.roll < 0.0).all()


def test_the_same_seed_gives_the_same_band():
    spec = load_vehicle(PICKUP)
    people = Population.of(spec)
    one, same, other = band(people, points=64), band(people, points=64), band(people, points=64, seed=21)
    assert one.cases[0].score == same.cases[0].score
    assert one.cases[0].score != other.cases[0].score
