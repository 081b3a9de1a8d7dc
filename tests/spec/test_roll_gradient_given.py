"""A published roll gradient narrows what is assumed in roll, and only that."""

import numpy as np
import pytest

from articulate.constants import STANDARD_GRAVITY
from articulate.roll_gradient import roll_gradient
from articulate.spec import build, with_setting
from articulate.spec.quantities import ROLL_GRADIENT, read_quantity
from articulate.studies.population.runs import Population
from articulate.studies.population.sampling import normal_scores

GIVEN = ("wheelbase", 'roll_gradient = "5.4 deg/g ± 0.2 deg/g"\nwheelbase')


def degrees_per_g(vehicles):
    return np.degrees(roll_gradient(vehicles))


def test_degrees_a_g_are_read_as_such():
    # Barton and Fieldhouse, Automotive Chassis Engineering, p. 174: 0.0194 rad/(m/s2) is 10.9 deg/g.
    assert read_quantity("10.9 deg/g", ROLL_GRADIENT).value == pytest.approx(0.0194, rel=3e-3)
    assert read_quantity("0.095 rad/g", ROLL_GRADIENT).value == pytest.approx(0.095 / STANDARD_GRAVITY)


def test_the_vehicle_rolls_as_published(edited):
    spec = edited(GIVEN)
    assert degrees_per_g(build(spec)) == pytest.approx(5.4)
    assert degrees_per_g(build(edited())) != pytest.approx(5.4, abs=0.05)
    assert any("sets the size of the bars" in remark for remark in spec.remarks)


def test_the_assumed_proportions_are_kept(edited):
    given, free = build(edited(GIVEN)), build(edited())
    factor = given.bar_rate[0, 0] / free.bar_rate[0, 0]
    np.testing.assert_allclose(given.auxiliary_rate, factor * free.auxiliary_rate)
    np.testing.assert_array_equal(given.spring_rate, free.spring_rate)


def possible(spec):
    """The roll gradients of 128 possible vehicles [deg/g]."""
    people = Population.of(spec)
    samples = people.samples(normal_scores(128, len(people.keys), 1))
    return degrees_per_g(build(spec, {key: x for key, x in samples.items() if not key.startswith("test.")}))


def test_every_possible_vehicle_rolls_within_the_published_range(edited):
    found, free = possible(edited(GIVEN)), possible(edited())
    assert (np.abs(found - 5.4) < 0.2001).mean() > 0.97
    assert np.ptp(free) > 4.0 * np.ptp(found)


def test_what_is_measured_stands(edited):
    spec = edited(GIVEN, ("anti_roll_bar = true", 'anti_roll_bar.roll_stiffness = "300 N m/deg"'))
    couple = build(spec).bar_rate[0, 0] * build(spec).track[0, 0] ** 2
    assert couple == pytest.approx(300 * 180 / np.pi)
    assert degrees_per_g(build(spec)) == pytest.approx(5.4)


def test_where_nothing_is_assumed_it_is_only_compared(edited):
    spec = edited(
        GIVEN,
        ("anti_roll_bar = true", 'anti_roll_bar.roll_stiffness = "300 N m/deg"\nauxiliary_roll.over_springs = "10 %"'),
        ("anti_roll_bar = false", 'anti_roll_bar = false\nauxiliary_roll.over_springs = "40 %"'),
    )
    assert "roll_gradient" not in spec.inputs
    assert any(remark.startswith("roll_gradient is not used") for remark in spec.remarks)


def test_a_gradient_no_bar_can_give_is_refused_with_what_to_check(faults_of):
    fault = faults_of(("wheelbase", 'roll_gradient = "14 deg/g"\nwheelbase'))[0]
    assert "that roll gradient" in fault.why
    assert "spring rates" in fault.works


def test_it_can_be_set_as_a_what_if(edited):
    firm, soft = (build(with_setting(edited(), "roll_gradient", f"{value} deg/g")) for value in (4.0, 6.0))
    assert firm.bar_rate[0, 0] > soft.bar_rate[0, 0]
    assert firm.auxiliary_rate[0, 1] > soft.auxiliary_rate[0, 1]
