"""A spring whose rate rises: two keys of the file, one law in the model."""

import numpy as np
import pytest

from articulate.model.balance import RampSystem
from articulate.model.carriers import SPRING
from articulate.model.ramp_test import ramp_test
from articulate.model.suspension import elastic_forces, spring_force_without_seat
from articulate.spec import SpecError, build, read_vehicle, template, with_settings

RISE = [("rear.spring.rises_at", "30 mm"), ("rear.spring.risen_over_rate", "1.8")]


@pytest.fixture
def wagon():
    return read_vehicle(template(), "template.toml")


def test_the_file_says_where_and_how_far_the_rate_rises(wagon):
    v = build(with_settings(wagon, RISE))
    assert v.spring_rise_at[0].tolist() == [0.0, 0.030]
    assert v.spring_rate_factor[0].tolist() == [1.0, 1.8]
    assert v.spring_rate[0, 1] == build(wagon).spring_rate[0, 1]


def test_the_force_of_a_rising_spring_by_hand(wagon):
    """34 N/mm, 1.8 times as much from 30 mm on: 50 mm of compression add 30 x 34 + 20 x 61.2 = 2244 N."""
    v = build(with_settings(wagon, RISE))
    elements = RampSystem.of(v, ramp_test(1)).elements
    u = np.zeros((1, 2, 2, 3))
    at_rest = spring_force_without_seat(elements, u)[0, 1, 0]
    u[0, 1, 0, SPRING], u[0, 1, 1, SPRING] = 0.050, 0.010
    force = spring_force_without_seat(elements, u)[0, 1]
    assert force[0] - at_rest == pytest.approx(2244.0)
    assert force[1] - at_rest == pytest.approx(340.0)


def test_the_stiffness_is_the_slope_of_the_force(wagon):
    """By differences, on both sides of the place where the rate rises."""
    v = build(with_settings(wagon, [*RISE, ("front.spring.rises_at", "20 mm"), ("front.spring.risen_over_rate", "2")]))
    system = RampSystem.of(v, ramp_test(1))
    state = np.zeros((1, 8))
    for turn in (0.03, 0.09):
        state[0, 6:] = 0.02, turn

        def work(step, at=state):
            moved = at + step * np.eye(8)[7]
            return elastic_forces(system.elements, system.geometry, system.posture(moved, np.zeros(1)).pose)

        h = 1e-6
        slope = (work(h).of_wheel[0, 1, :, 0, 2] - work(-h).of_wheel[0, 1, :, 0, 2]) / (2.0 * h)
        assert np.abs(work(0.0).of_wheel[0, 1, :, 0, 0]) == pytest.approx(np.abs(slope), rel=1e-5)


@pytest.mark.parametrize(
    ("settings", "works"),
    [
        (RISE[:1], "risen_over_rate"),
        (RISE[1:], "rises_at"),
        ([*RISE, ("rear.spring.kind", "air")], "leave it out"),
        ([RISE[0], ("rear.spring.risen_over_rate", "0.5")], "1.5"),
    ],
)
def test_half_a_description_is_refused_with_what_is_missing(wagon, settings, works):
    with pytest.raises(SpecError) as caught:
        with_settings(wagon, settings)
    assert all(works in fault.works for fault in caught.value.faults)
