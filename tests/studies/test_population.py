"""The samples of a vehicle's inputs follow their distributions, and the climbs come back to their cases."""

import numpy as np
import pytest
from scipy import stats

from articulate.climb import climb_to_unload
from articulate.spec import load_vehicle
from articulate.studies.population.conditions import Conditions, climbs_of, draw, lanes_of, uncertain
from articulate.studies.population.sampling import from_unit, quantile, uncertain_inputs, unit_points
from articulate.types import Case

WAGON = "vehicle_specs_demo/wagon.toml"


def test_samples_follow_the_distribution_of_their_estimate():
    spec = load_vehicle(WAGON)
    keys = uncertain_inputs(spec)
    for key, sample in from_unit(spec.inputs, keys, unit_points(1024, len(keys))).items():
        estimate = spec.inputs[key]
        assert sample.std() == pytest.approx(estimate.standard_uncertainty, rel=0.03), key
        if estimate.distribution != "normal":
            assert estimate.low <= sample.min() <= sample.max() <= estimate.high, key


def test_quantiles_against_scipy():
    spec = load_vehicle(WAGON)
    share = np.linspace(0.01, 0.99, 33)
    for estimate in spec.inputs.values():
        low, width = estimate.low, estimate.high - estimate.low
        if estimate.distribution == "triangular":
            expected = stats.triang((estimate.value - low) / width, low, width).ppf(share)
        elif estimate.distribution == "rectangular":
            expected = stats.uniform(low, width).ppf(share)
        elif estimate.distribution == "normal":
            expected = stats.norm(estimate.value, estimate.standard_uncertainty).ppf(share)
        else:
            continue
        np.testing.assert_allclose(quantile(estimate, share), expected, rtol=1e-9)


def test_each_case_of_a_population_is_that_climb_alone():
    spec, conditions = load_vehicle(WAGON), Conditions()
    vehicles, test = lanes_of(spec, conditions, draw(spec, conditions, 8))
    cases = [Case(side, bars) for side in ("left", "right") for bars in ("connected", "released")]
    found = climbs_of(vehicles, test, cases)
    alone = climb_to_unload(vehicles.mirrored().released(), test)
    np.testing.assert_allclose(found[cases[3]].score, alone.score, rtol=1e-9)
    np.testing.assert_allclose(found[cases[3]].wheel_load, alone.wheel_load, atol=1e-3)
    np.testing.assert_allclose(found[cases[3]].climb, alone.climb, rtol=1e-9)


def test_the_holding_share_is_uncertain_unless_it_is_said():
    spec = load_vehicle(WAGON)
    assert "test.holding_share" in uncertain(spec, Conditions())
    sample = draw(spec, Conditions(), 256)["test.holding_share"]
    assert sample.min() < 0.02
    assert sample.max() > 0.98
