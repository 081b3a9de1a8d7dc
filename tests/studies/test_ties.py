"""Tied inputs: the correlation they should have, with the distributions they had."""

import numpy as np
import pytest
from scipy import stats

from articulate.spec import load_vehicle
from articulate.studies.population.conditions import Conditions, all_inputs, draw, uncertain
from articulate.studies.population.ties import TieError, correlation_root, tied_groups, usual_ties

VAN = "vehicle_specs_demo/forward_control_van.toml"
PAIR = ("front.travel.bump", "rear.travel.bump")


@pytest.mark.parametrize("tie", [-0.9, -0.3, 0.5, 0.95])
def test_rank_correlation_of_a_gaussian_copula(tie):
    # 6/pi asin(r/2): Kruskal, J. Am. Stat. Assoc. 53, 1958, value from memory
    samples = draw(load_vehicle(VAN), Conditions(), 4096, ties={PAIR: tie})
    found = stats.spearmanr(samples[PAIR[0]], samples[PAIR[1]]).statistic
    assert found == pytest.approx(6.0 / np.pi * np.arcsin(tie / 2.0), abs=0.02)


def test_a_tie_leaves_each_input_its_distribution():
    spec = load_vehicle(VAN)
    samples = draw(spec, Conditions(), 4096, ties={PAIR: 0.8})
    for key in PAIR:
        estimate = spec.inputs[key]
        uniform = stats.uniform(estimate.low, estimate.high - estimate.low)
        assert stats.kstest(samples[key], uniform.cdf).statistic < 0.01


def test_only_what_is_assumed_on_both_axles_is_tied():
    inputs = all_inputs(load_vehicle(VAN), Conditions())
    ties = usual_ties(inputs)
    assert ("front.bump_stop.rate", "rear.bump_stop.rate") in ties
    assert ("front.spring.ride_frequency", "rear.spring.ride_frequency") not in ties  # the van's file gives both
    for pair in ties:
        assert all(inputs[key].source == "assumed" for key in pair)


def test_groups_are_what_ties_join():
    ties = {("a", "c"): 0.5, ("c", "d"): -0.2, ("b", "e"): 0.0}
    assert tied_groups("abcde", ties) == (("a", "c", "d"), ("b",), ("e",))


@pytest.mark.parametrize(
    ("ties", "said"),
    [
        ({("a", "z"): 0.5}, "z: not an uncertain input"),
        ({("a", "b"): 1.0}, "between -0.99 and 0.99"),
        ({("a", "b"): float("nan")}, "between -0.99 and 0.99"),
        ({("a", "a"): 0.5}, "joins two inputs"),
        ({("a", "b"): 0.9, ("b", "c"): 0.9, ("a", "c"): -0.9}, "contradict each other"),
    ],
)
def test_ties_that_cannot_be(ties, said):
    with pytest.raises(TieError, match=said):
        correlation_root("abc", ties)


def test_without_ties_the_sample_is_the_plain_one():
    spec = load_vehicle(VAN)
    keys = uncertain(spec, Conditions())
    samples = draw(spec, Conditions(), 4096, ties={})
    correlation = np.corrcoef([samples[key] for key in keys])
    assert np.abs(correlation - np.eye(len(keys))).max() < 0.03
