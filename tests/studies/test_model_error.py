"""The model's own error in the bands: against drawn errors, sharp in differences, and nothing where it is none."""

import numpy as np
import pytest
from scipy import stats

from articulate.model.ramp_test import ramp_test
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.studies.compare.carry import carry
from articulate.studies.compare.comparison import compare
from articulate.studies.day.plan import plan_test
from articulate.studies.design.levers import Trials, Wish
from articulate.studies.design.target import reach_target
from articulate.studies.design.tyre_ladder import tyre_ladder
from articulate.studies.population.allowance import quantile_error, quantiles, reach
from articulate.studies.population.conditions import Conditions, climbs_of, draw, lanes_of
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, NO_MODEL_ERROR, ModelError
from articulate.studies.population.runs import Population
from articulate.studies.predict.band import band, gains, spread, spread_of_runs
from articulate.types import Case

PICKUP = "vehicle_specs_demo/ladder_frame_pickup.toml"
WAGON = "vehicle_specs_demo/wagon.toml"
POINTS = 256
ERROR = ModelError(0.06, 0.03)
CONNECTED, RELEASED = Case(bars="connected"), Case(bars="released")


@pytest.fixture(scope="module")
def spec():
    return load_vehicle(PICKUP)


@pytest.fixture(scope="module")
def alone(spec):
    return band(Population.of(spec), points=POINTS, model=NO_MODEL_ERROR)


@pytest.fixture(scope="module")
def wide(spec):
    return band(Population.of(spec), points=POINTS, model=ERROR)


def drawn(runs, model, times=400):
    """Scores with errors drawn: f (1 + c + e), c common to both runs of a vehicle."""
    rng = np.random.default_rng(8)
    connected, released = (np.tile(runs.ends[case].score, times) for case in (CONNECTED, RELEASED))
    c, e, e_released = rng.standard_normal((3, connected.size))
    return (
        connected * (1.0 + model.common * c + model.run * e),
        released * (1.0 + model.common * c + model.run * e_released),
    )


def limits(found):
    return found.low, found.median, found.high


def test_bands_are_those_of_drawn_errors(wide):
    connected, released = drawn(wide.runs, ERROR)
    for found, values in (
        (wide.cases[0].score, connected),
        (wide.cases[1].score, released),
        (wide.gain, released - connected),
    ):
        expected = np.quantile(values, (0.05, 0.5, 0.95))
        np.testing.assert_allclose(limits(found), expected, atol=0.01 * (expected[2] - expected[0]))


def test_the_shares_are_those_of_drawn_errors_and_add_up(wide, alone):
    connected, released = drawn(wide.runs, ERROR)
    for shares, without, values in (
        (wide.cases[0].shares, alone.cases[0].shares, connected),
        (wide.gain_shares, alone.gain_shares, released - connected),
    ):
        assert shares.variance == pytest.approx(values.var(), rel=0.02)
        assert sum(shares.left_out) == pytest.approx(1.0 - without.variance / values.var(), abs=0.01)
        np.testing.assert_allclose(shares.first, without.first * without.variance / shares.variance)
        assert shares.first.sum() + shares.unresolved + sum(shares.left_out) < 1.03
    # Each part drawn without the other: of a level the common one makes more, of a gain the runs' own.
    both = [wide.runs.ends[case].score for case in (CONNECTED, RELEASED)]
    for shares, values in ((wide.cases[0].shares, both[0]), (wide.gain_shares, both[1] - both[0])):
        of_runs = both[0] ** 2 if shares is wide.cases[0].shares else both[0] ** 2 + both[1] ** 2
        parts = np.array([(ERROR.common * values) ** 2, ERROR.run**2 * of_runs]).mean(axis=1)
        np.testing.assert_allclose(shares.left_out, parts / shares.variance)


def test_the_common_part_widens_levels_and_leaves_the_gain_sharp(spec, alone):
    common = band(Population.of(spec), points=POINTS, model=ModelError(0.05, 0.0))
    for one, other in zip(common.cases, alone.cases, strict=True):
        assert one.score.width > 2.0 * 1.6 * 0.05 * other.score.median
    # It scales the gain, by 5 % of a gain that is itself a few dozen points, and adds nothing of the score's level.
    before, after = alone.gain, common.gain
    u = np.hypot(before.width / (2.0 * 1.645), 0.05 * before.median)
    assert after.width == pytest.approx(2.0 * 1.645 * u, rel=0.05)
    assert after.width < 1.1 * before.width


def test_were_the_errors_of_two_runs_not_shared_the_gain_would_be_wide(spec, wide):
    """Negative control: the same error in sum, all of it the run's own."""
    apart = band(Population.of(spec), points=POINTS, model=ModelError(0.0, ERROR.total))
    assert limits(apart.cases[0].score) == pytest.approx(limits(wide.cases[0].score))
    assert apart.gain.width > 1.8 * wide.gain.width
    connected, released = drawn(wide.runs, ERROR)
    expected = np.quantile(released - connected, (0.05, 0.95))
    assert apart.gain.width > 1.5 * (expected[1] - expected[0])


def test_without_an_error_the_bands_are_those_of_the_inputs_to_the_digit(alone):
    for case in alone.cases:
        assert case.score == spread(alone.runs.ends[case.case].score)
        assert case.shares.left_out == (0.0, 0.0)
    assert alone.gain == spread(gains(alone.runs))


def test_the_assumed_error_is_the_default_and_says_what_it_rests_on(spec):
    found = band(Population.of(spec), points=64)
    assert found.model is ASSUMED_MODEL_ERROR
    assert found.model.source == "assumed"
    assert "published scores" in found.model.basis
    assert "no evidence yet" in found.model.basis


def test_limits_errors_and_chances_against_a_normal_distribution():
    """A normal sample with a normal error is normal: closed form."""
    rng = np.random.default_rng(3)
    values, deviation = rng.normal(500.0, 30.0, 4096), np.full(4096, 40.0)
    low, high = quantiles(values, deviation, (0.05, 0.95))
    z = stats.norm.ppf(0.95)
    assert (low, high) == pytest.approx((500.0 - 50.0 * z, 500.0 + 50.0 * z), abs=2.5)
    again = [
        quantiles(np.random.default_rng(k).normal(500.0, 30.0, 400), deviation[:400], (0.95,))[0] for k in range(300)
    ]
    said = quantile_error(values[:400], deviation[:400], float(high))
    assert said == pytest.approx(np.std(again), rel=0.15)
    # Some that never end lie above every limit: the same share of fewer values, and an error of all of them.
    beyond = np.append(values[:320], np.full(80, np.inf)), np.full(400, 40.0)
    (median,) = quantiles(*beyond, (0.5,))
    assert median == pytest.approx(500.0 + 50.0 * stats.norm.ppf(0.5 / 0.8), abs=8.0)
    again = []
    for k in range(300):
        rng = np.random.default_rng([k, 1])
        mixed = np.where(rng.random(400) < 0.2, np.inf, rng.normal(500.0, 30.0, 400))
        again.append(quantiles(mixed, beyond[1], (0.5,))[0])
    assert quantile_error(*beyond, float(median)) == pytest.approx(np.std(again), rel=0.15)
    # Half of them known exactly: a step, which the others far above it do not smear.
    sharp = np.repeat([500.0, 700.0], 200), np.repeat([0.0, 40.0], 200)
    assert quantiles(*sharp, (0.05, 0.45)) == pytest.approx(500.0, abs=0.01)
    assert quantiles(*sharp, (0.75,))[0] == pytest.approx(700.0, abs=0.01)
    assert reach(values, deviation, 560.0) == pytest.approx(1.0 - stats.norm.cdf(60.0, scale=50.0), abs=0.01)
    assert reach(np.array([np.nan, np.inf, 480.0, 520.0]), np.zeros(4), 500.0) == 0.5


def test_climbs_beyond_the_ramp_stay_beyond_and_failures_stay_out():
    scores = np.concatenate([np.linspace(490.0, 510.0, 80), np.full(20, np.inf), np.full(40, np.nan)])
    found = spread_of_runs((scores,), ERROR)
    assert found.points == 100
    assert np.isinf(found.high)
    assert found.low < 470.0
    assert np.isnan(spread_of_runs((np.full(3, np.nan),), ERROR).median)


def test_a_test_days_marks_hold_it_and_their_influences_share_with_it(spec):
    sharp, wide = (plan_test(Population.of(spec), samples=128, model=model) for model in (NO_MODEL_ERROR, ERROR))
    for one, other in zip(sharp.runs, wide.runs, strict=True):
        assert other.nominal.score == one.nominal.score
        score, height = other.score, other.mark_height
        assert score.high - score.low > 1.5 * (one.score.high - one.score.low)
        # score = 1000 height / (wheelbase sin g): the same band twice, the wheelbase's own few mm aside
        assert height.low / height.high == pytest.approx(score.low / score.high, rel=0.005)
        assert (other.tipping_angle, other.ramp_wheel_load) == (one.tipping_angle, one.ramp_wheel_load)
    assert wide.ramp.length > sharp.ramp.length + 0.05
    assert wide.model_share > 0.5
    assert sharp.model_share == 0.0
    for one, other in zip(sharp.influences, wide.influences, strict=True):
        assert other.share < 0.5 * one.share


def test_a_change_of_tyres_keeps_the_error_of_its_vehicle():
    wagon, sizes = load_vehicle(WAGON), ["235/75R17", "265/70R17", "285/75R17"]
    sharp, wide = (tyre_ladder(wagon, sizes, points=64, model=model) for model in (NO_MODEL_ERROR, ERROR))
    for one, other in zip(sharp.rungs, wide.rungs, strict=True):
        before, after = one.scores["connected"], other.scores["connected"]
        assert after.score.high - after.score.low > 2.0 * (before.score.high - before.score.low)
        sure, change = before.against_fitted, after.against_fitted
        room = 2.0 * 1.645 * ERROR.total * max(abs(sure.low), abs(sure.high))
        assert change.high - change.low < sure.high - sure.low + room + 0.1
        assert change.high - change.low < 0.3 * (after.score.high - after.score.low)
    assert [best.rung.size for best in sharp.best] == [best.rung.size for best in wide.best]


def test_two_vehicles_have_errors_of_their_own_and_variants_of_one_have_not(tmp_path):
    from pathlib import Path

    from articulate.spec import with_settings

    shorter = tmp_path / "shorter.toml"
    text = Path(WAGON).read_text(encoding="utf-8")
    shorter.write_text(text.replace("2850 mm ± 3 mm", "2790 mm ± 3 mm"), encoding="utf-8")
    specs = [load_vehicle(WAGON), load_vehicle(shorter)]
    found = compare(specs, samples=256, model=ERROR)
    better, worse = found.entries
    u = [(entry.score.high - entry.score.low) / (2.0 * 1.645) for entry in (better, worse)]
    # P(A > B) = Phi((a - b) / sqrt(u_a^2 + u_b^2)), near normal and independent
    expected = stats.norm.cdf((better.score.value - worse.score.value) / np.hypot(*u))
    assert found.beats[0][1] == pytest.approx(expected, abs=0.03)
    assert found.beats[0][1] + found.beats[1][0] == pytest.approx(1.0)
    assert found.beats[0][1] < compare(specs, samples=256, model=NO_MODEL_ERROR).beats[0][1]
    assert better.rank == (1, 2)
    variant = with_settings(specs[0], [("wheelbase", "2840 mm ± 3 mm")])
    paired = compare([specs[0], variant], samples=128, model=ERROR)
    assert paired.beats[0][1] > 0.99
    assert paired.entries[0].rank == (1, 1)


def test_a_carried_ratio_is_free_of_it_and_the_levels_are_not():
    wagon = load_vehicle(WAGON)
    sharp, wide = (carry(wagon, np.radians(23.0), samples=64, model=m).connected for m in (NO_MODEL_ERROR, ERROR))
    assert (wide.ratio, wide.ratio_range) == (sharp.ratio, sharp.ratio_range)
    for one, other in ((sharp.first_range, wide.first_range), (sharp.second_range, wide.second_range)):
        assert other[1] - other[0] > 2.0 * (one[1] - one[0])


def test_the_chance_of_a_target_is_that_of_drawn_errors():
    wagon, wish, conditions = load_vehicle(WAGON), [Wish("rear.travel.bump", "60 mm to 120 mm")], Conditions()
    trials = Trials(wagon, wish, ramp_test(1), "left", "connected")
    chosen = trials.fresh(trials.present)[0]  # the lever's input is then known exactly
    vehicles, tests = lanes_of(chosen, conditions, draw(chosen, conditions, 128))
    scores = np.tile(climbs_of(vehicles, tests, [CONNECTED])[CONNECTED].score, 400)
    target = float(predict(build(wagon)).connected.score) - 5.0  # reached as it is, so nothing is changed
    rng = np.random.default_rng(6)
    read = scores * (
        1.0 + ERROR.common * rng.standard_normal(scores.size) + ERROR.run * rng.standard_normal(scores.size)
    )
    sharp, wide = (
        reach_target(wagon, wish, target, samples=128, model=model).chance for model in (NO_MODEL_ERROR, ERROR)
    )
    assert sharp == pytest.approx((scores >= target).mean())
    assert wide == pytest.approx((read >= target).mean(), abs=0.01)
    assert abs(wide - 0.5) < abs(sharp - 0.5)
