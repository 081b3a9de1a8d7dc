"""The bands hold what they say, and the count would show it if they did not."""

import numpy as np
import pytest
from scipy import stats

from articulate.spec import load_vehicle
from articulate.studies.calibration import calibrate
from articulate.studies.model_error import NO_MODEL_ERROR, ModelError
from articulate.studies.runs import cases_of, population, simulate

TESTS = 120
READING = 4.0  # points; the better the reading the more points the weighting needs


@pytest.fixture(scope="module")
def runs():
    people = population(load_vehicle("vehicle_specs_demo/ladder_frame_pickup.toml"))
    cases = cases_of(people.spec)
    return simulate(people, cases, 4096), simulate(people, cases, 128, seed=4711)


def plausible(held, tests):
    """Whether a count can come from a coverage of 90 %: within the central 99.9 % of a binomial distribution."""
    low, high = stats.binom(tests, 0.9).interval(0.999)
    return low <= held <= high


def test_bands_before_and_after_learning_hold_ninety_percent(runs):
    found = calibrate(*runs, NO_MODEL_ERROR, READING, tests=TESTS)
    assert found.tests == TESTS
    assert found.refused <= 2
    assert plausible(found.held_before, found.tests)
    assert plausible(found.held_after, found.told)
    assert found.width_share < 0.7


def test_they_do_with_the_model_error_simulated_too(runs):
    found = calibrate(*runs, ModelError(0.02, 0.5), READING, tests=TESTS)
    assert plausible(found.held_before, found.tests)
    assert plausible(found.held_after, found.told)


def test_overconfident_bands_are_found_out(runs):
    """The readings are worse than claimed by a factor of five."""
    found = calibrate(*runs, NO_MODEL_ERROR, uncertainty=20.0, claimed_uncertainty=4.0, tests=TESTS)
    assert not plausible(found.held_after, found.told)
    assert found.held_after < 0.8 * found.told


def test_timid_bands_are_found_out(runs):
    found = calibrate(*runs, NO_MODEL_ERROR, READING, claimed_model=ModelError(0.03, 0.0), tests=TESTS)
    assert not plausible(found.held_after, found.told)
    assert found.held_after > 0.95 * found.told


def test_vehicles_of_another_file_are_found_out(runs):
    """Bands of one vehicle held against tests of a heavier one with longer travel."""
    from articulate.spec import with_settings

    spec = with_settings(
        load_vehicle("vehicle_specs_demo/ladder_frame_pickup.toml"), [("rear.travel.droop", "130 mm ± 5 mm")]
    )
    people = population(spec)
    other = simulate(people, cases_of(spec), 64, seed=4711)
    found = calibrate(runs[0], other, NO_MODEL_ERROR, READING, tests=64)
    assert not plausible(found.held_before, found.tests)
    assert np.isfinite(found.width_share)
