"""Learning from a run: against brute force, in its limits, and where nothing can be learned."""

import numpy as np
import pytest
from scipy import stats

from articulate.spec import load_vehicle
from articulate.studies.learn.learning import input_posteriors, learn
from articulate.studies.learn.readings import (
    InputReading,
    LiftSeen,
    LoadReading,
    RollReading,
    ScoreReading,
)
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, NO_MODEL_ERROR, ModelError
from articulate.studies.population.runs import Population, cases_of, cases_to_learn, simulate
from articulate.types import Case

PICKUP = "vehicle_specs_demo/ladder_frame_pickup.toml"
CONNECTED, RELEASED = Case(bars="connected"), Case(bars="released")


@pytest.fixture(scope="module")
def people():
    return Population.of(load_vehicle(PICKUP))


@pytest.fixture(scope="module")
def prior(people):
    return simulate(people, (CONNECTED, RELEASED), 2048)


@pytest.fixture(scope="module")
def large(people):
    return simulate(people, (CONNECTED, RELEASED), 2**13, seed=99)


def posterior(learned):
    return {one.key: one for one in input_posteriors(learned)}


def test_further_points_agree_with_brute_force(prior, large):
    """A few points with adapted ones against four times as many of the prior weighted plainly."""
    readings = [
        ScoreReading(CONNECTED, float(np.quantile(large.ends[CONNECTED].score, 0.8)), 2.0),
        RollReading(CONNECTED, float(np.quantile(large.ends[CONNECTED].roll, 0.4)), np.radians(0.4)),
    ]
    few = learn(prior, readings, model=NO_MODEL_ERROR)
    assert few.rounds > 0
    away = np.stack([(r.value - r.simulated(large)) / r.standard_uncertainty for r in readings])
    weights = np.exp(-0.5 * (away**2).sum(axis=0))
    weights /= weights.sum()
    effective = 1.0 / (weights**2).sum()
    assert effective > 200.0
    for key, found in posterior(few).items():
        x = large.samples[key]
        mean = weights @ x
        deviation = np.sqrt(weights @ (x - mean) ** 2)
        error = deviation * np.sqrt(1.0 / effective + 1.0 / few.effective)
        assert abs(found.mean - mean) < 4.5 * error, key
        assert found.deviation == pytest.approx(deviation, rel=0.25), key
    released = large.ends[RELEASED].score
    mean = weights @ released
    deviation = np.sqrt(weights @ (released - mean) ** 2 + 2.0**2)  # with the next reading's error
    after = few.cases[1].after
    assert after is not None
    assert after.median == pytest.approx(mean, abs=0.25 * deviation)
    assert after.width == pytest.approx(2 * 1.645 * deviation, rel=0.1)


def test_weights_are_bayes_rule_with_the_error_of_each_point(prior):
    """The model's error goes with the score of a point, so a high score is told less surely than a low one."""
    scores, error = prior.ends[CONNECTED].score, ModelError(0.2, 0.1)
    learned = learn(prior, [ScoreReading(CONNECTED, float(np.quantile(scores, 0.9)), 5.0)], model=error)
    assert learned.rounds == 0
    expected = stats.norm.pdf(learned.readings[0].value, scores, np.hypot(error.total * scores, 5.0))
    np.testing.assert_allclose(learned.weights, expected / expected.sum(), rtol=1e-9)


def test_what_is_told_after_a_reading_are_moments_of_the_weighted_points(prior):
    """Gain, and of an input how far it moved, how much narrower it is and how much of the next score goes with it."""
    value = float(np.quantile(prior.ends[CONNECTED].score, 0.8))
    learned = learn(prior, [ScoreReading(CONNECTED, value, 30.0)], model=NO_MODEL_ERROR, next_uncertainty=1e-3)
    assert learned.rounds == 0
    weights, after = learned.weights, learned.gain[1]
    gain, released = prior.ends[RELEASED].score - prior.ends[CONNECTED].score, prior.ends[RELEASED].score
    order = np.argsort(gain)
    median = gain[order][np.searchsorted(np.cumsum(weights[order]), 0.5)]
    assert after.median == pytest.approx(median, abs=0.5)
    for key, found in posterior(learned).items():
        x = prior.samples[key]
        mean, spread = np.average(x, weights=weights), np.sqrt(np.cov(x, aweights=weights, ddof=0))
        assert found.shift == pytest.approx((mean - x.mean()) / x.std(), abs=1e-9), key
        assert found.narrowing == pytest.approx(spread / x.std()), key
        both = np.cov(x, released, aweights=weights)
        assert found.remaining == pytest.approx(both[0, 1] ** 2 / (both[0, 0] * both[1, 1]), abs=1e-3), key


def test_the_chance_of_two_readings_counts_how_well_each_is_read(prior):
    """A score two deviations off, read badly, and an input as expected: chi-squared of two, whatever the scatter."""
    scores, key = prior.ends[CONNECTED].score, "wheelbase"
    off = scores.mean() + 2.0 * np.hypot(scores.std(), 90.0)
    length = InputReading(key, float(prior.samples[key].mean()), 1e-3)
    found = learn(prior, [ScoreReading(CONNECTED, off, 90.0), length], model=NO_MODEL_ERROR)
    assert found.chance == pytest.approx(stats.chi2.sf(4.0, 2), abs=0.03)


def test_a_reading_worth_nothing_teaches_nothing(prior):
    learned = learn(prior, [ScoreReading(CONNECTED, 540.0, 1e6)])
    assert learned.rounds == 0
    assert learned.effective == pytest.approx(prior.points)
    for case in learned.cases:
        assert case.after is not None
        assert case.after.low == pytest.approx(case.before.low, abs=0.01)
        assert case.after.high == pytest.approx(case.before.high, abs=0.01)
    assert all(one.narrowing == pytest.approx(1.0) for one in input_posteriors(learned))


def test_a_good_reading_narrows_the_next_run_and_centres_the_first(prior):
    read = float(np.quantile(prior.ends[CONNECTED].score, 0.75))
    learned = learn(prior, [ScoreReading(CONNECTED, read, 1.0)], model=NO_MODEL_ERROR, next_uncertainty=1.0)
    connected, released = learned.cases
    assert connected.after is not None
    assert released.after is not None
    assert connected.after.median == pytest.approx(read, abs=1.0)
    assert connected.after.width < 2 * 1.645 * np.sqrt(2.0) * 1.05
    assert released.after.width < 0.6 * released.before.width
    assert released.after.median > released.before.median
    assert learned.explained
    assert learned.target == RELEASED


def test_a_measured_input_has_its_own_reading_as_posterior(prior, people):
    """A rectangular input read well within its limits: the posterior is the reading."""
    key = "front.spring.ride_frequency"
    estimate = people.inputs[key]
    u = 0.02 * (estimate.high - estimate.low)
    learned = learn(prior, [InputReading(key, estimate.value, u)])
    found = posterior(learned)[key]
    assert found.mean == pytest.approx(estimate.value, abs=0.2 * u)
    assert found.deviation == pytest.approx(u, rel=0.1)
    others = [one for one in input_posteriors(learned) if one.key != key]
    assert max(abs(one.shift) for one in others) < 0.2


def test_measuring_what_keeps_the_band_wide_narrows_it_as_said(prior, people):
    score = ScoreReading(CONNECTED, float(np.quantile(prior.ends[CONNECTED].score, 0.75)), 1.0)
    learned = learn(prior, [score], model=NO_MODEL_ERROR)
    best = max(input_posteriors(learned), key=lambda one: one.remaining)
    estimate = people.inputs[best.key]
    again = learn(
        prior,
        [score, InputReading(best.key, best.median, 0.01 * (estimate.high - estimate.low))],
        model=NO_MODEL_ERROR,
    )
    before, after = learned.cases[1].after, again.cases[1].after
    assert before is not None
    assert after is not None
    free = 1.0 - before.noise_share
    expected = np.sqrt(1.0 - free * best.remaining)
    assert after.width / before.width == pytest.approx(expected, abs=0.08)
    assert expected < 0.95


def test_a_score_far_off_is_said_to_be_unexplained(prior):
    learned = learn(prior, [ScoreReading(CONNECTED, 800.0)])
    assert learned.chance < 0.001
    assert not learned.explained


def test_chances_are_those_of_a_normal_prediction(prior):
    """The score's distribution is near normal here: a reading two deviations off has a chance near 4.6 %."""
    scores = prior.ends[CONNECTED].score
    deviation = np.hypot(scores.std(), 2.0)
    found = learn(prior, [ScoreReading(CONNECTED, scores.mean() + 2.0 * deviation)], model=NO_MODEL_ERROR)
    assert found.chance == pytest.approx(0.0455, abs=0.02)


def test_readings_that_contradict_each_other_are_refused(prior):
    low, high = np.quantile(prior.ends[CONNECTED].wheel_load[:, 1], [0.01, 0.99])
    readings = [LoadReading(CONNECTED, 1, False, float(load), 5.0) for load in (low, high)]
    learned = learn(prior, readings, model=NO_MODEL_ERROR)
    assert not learned.explained
    assert learned.chance < 0.01


def test_the_wheel_that_lifted_is_weighed_in():
    spec = load_vehicle("vehicle_specs_demo/crossover_minimal.toml")
    people = Population.of(spec)
    cases = cases_to_learn(spec)
    assert [case.side for case in cases] == ["left", "right"]
    prior = simulate(people, cases, 1024)
    wheel = prior.ends[cases[0]].wheel
    learned = learn(prior, [], [LiftSeen(cases[0], 1, doubt=0.02)])
    share = (wheel == 1).mean()
    after = learned.weights @ (wheel == 1)
    # Bayes: p (1 - d) / (p (1 - d) + (1 - p) d/2)
    assert after == pytest.approx(share * 0.98 / (share * 0.98 + (1 - share) * 0.01))
    assert learned.chances_seen[0] == pytest.approx(share)


def test_scales_under_the_wheels_tell_the_weight():
    spec = load_vehicle(PICKUP)
    prior = simulate(Population.of(spec), cases_of(spec), 2048)
    total = prior.samples["mass.total"] + prior.samples["load.rope, winch and generator.mass"]
    truth = 100
    loads = prior.ends[CONNECTED].rest_load[truth]
    readings = [LoadReading(CONNECTED, wheel, True, float(loads[wheel]), 15.0) for wheel in range(4)]
    learned = learn(prior, readings)
    mass = learned.runs.samples["mass.total"] + learned.runs.samples["load.rope, winch and generator.mass"]
    found = learned.weights @ mass
    assert found == pytest.approx(total[truth], abs=5.0)  # four scales of 15 N: 3 kg
    assert np.sqrt(learned.weights @ (mass - found) ** 2) < 0.5 * total.std()


def test_the_model_error_widens_the_band_after_learning(prior):
    score = [ScoreReading(CONNECTED, float(np.median(prior.ends[CONNECTED].score)), 1.0)]
    sharp, wide = (learn(prior, score, model=error).cases[1].after for error in (NO_MODEL_ERROR, ASSUMED_MODEL_ERROR))
    assert sharp is not None
    assert wide is not None
    assert wide.width > 1.1 * sharp.width
    assert wide.noise_share > sharp.noise_share


def test_the_model_error_of_a_repeated_run_is_known_from_the_first(people):
    """All of the spread is model error: a repeat follows the first reading, the other run half of the way."""
    from dataclasses import replace

    spec = people.spec
    tiny = {
        key: replace(e, low=e.value - 1e-6 * abs(e.value), high=e.value + 1e-6 * abs(e.value), distribution="normal")
        for key, e in spec.inputs.items()
        if key == "wheelbase"
    }
    exact = {key: replace(e, low=e.value, high=e.value, distribution="exact") for key, e in spec.inputs.items()}
    from articulate.studies.population.conditions import Conditions, exactly

    narrow = Population.of(replace(spec, inputs={**exact, **tiny}), Conditions(holding_share=exactly(0.5)))
    prior = simulate(narrow, (CONNECTED, RELEASED), 256)
    nominal = {case: np.median(ends.score) for case, ends in prior.ends.items()}
    read = nominal[CONNECTED] + 4.0
    half = ModelError(0.01 * np.sqrt(0.5), 0.01 * np.sqrt(0.5))
    learned = learn(prior, [ScoreReading(CONNECTED, read, 1e-3)], model=half, next_uncertainty=1e-3)
    connected, released = learned.cases
    assert connected.after is not None
    assert released.after is not None
    assert connected.after.median == pytest.approx(read, abs=0.1)
    shift = 0.5 * 4.0 * nominal[RELEASED] / read
    assert released.after.median - nominal[RELEASED] == pytest.approx(shift, rel=0.03)
    # conditional normal: sqrt(1 - r^2) of the prior's deviation
    assert released.after.width == pytest.approx(np.sqrt(0.75) * released.before.width, rel=0.02)


def test_nothing_read_and_runs_not_simulated_are_refused(prior):
    with pytest.raises(ValueError, match="nothing was measured"):
        learn(prior, [])
    with pytest.raises(ValueError, match="was not simulated"):
        learn(prior, [ScoreReading(Case("right"), 550.0)])
    with pytest.raises(ValueError, match="above zero"):
        learn(prior, [ScoreReading(CONNECTED, 550.0, 0.0)])
