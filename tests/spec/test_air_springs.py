"""Air springs of a vehicle file: linked left to right."""

from dataclasses import replace

import numpy as np
import pytest

from articulate.climb import Outcome, climb_to_unload, settle
from articulate.model.balance import BODY_ROLL, RampSystem
from articulate.model.measures import measures
from articulate.model.ramp_test import ramp_test
from articulate.roll_gradient import roll_gradient
from articulate.spec import build, with_setting

REAR = 'suspension = "solid"'
FRONT = 'suspension = "independent"'
LINKED = "spring = { kind = 'air', linked = true }"


def test_linked_springs_are_a_choice_of_the_axle(edited):
    spec = edited((REAR, f"{REAR}\n{LINKED}"))
    assert (spec.axles[0].springs_linked, spec.axles[1].springs_linked) == (False, True)
    v = build(spec)
    assert v.spring_linked[0].tolist() == [False, True]
    apart = build(with_setting(spec, "rear.spring.linked", "false"))
    for name in ("spring_rate", "bar_rate", "auxiliary_rate", "bump_gap", "spring_loose"):
        assert getattr(v, name) == pytest.approx(getattr(apart, name)), name


def test_linked_springs_carry_the_axle_as_springs_apart_do(edited):
    # Upright and level both wheels of an axle move together, and common air presses like air of one's own.
    both = build(edited((FRONT, f"{FRONT}\n{LINKED}"), (REAR, f"{REAR}\n{LINKED}")))
    test = ramp_test(1)
    linked, apart = (settle(v, test) for v in (both, replace(both, spring_linked=np.zeros((1, 2), dtype=bool))))
    assert linked.state == pytest.approx(apart.state, abs=1e-9)
    assert linked.margins == pytest.approx(apart.margins, rel=1e-9)


def test_in_roll_only_bar_and_rubber_are_left(edited):
    # Couple over roll of an axle with common air: k_b t^2 + k_a t^2, without the 2 k b^2 of springs apart.
    spec = edited((REAR, f"{REAR}\n{LINKED}"), ("anti_roll_bar = false", "anti_roll_bar = true"))
    v = build(spec)
    springs = 2.0 * v.spring_rate[0, 1] * v.spring_half_base[0, 1] ** 2 / v.track[0, 1] ** 2
    apart = replace(v, spring_linked=np.zeros((1, 2), dtype=bool))
    rolls = roll_gradient(v)[0]
    assert rolls > 1.02 * roll_gradient(apart)[0]
    # The same vehicle with that much less auxiliary stiffness and springs of its own. A solid axle: t sin(q) both ways.
    less = replace(apart, auxiliary_rate=apart.auxiliary_rate - [[0.0, springs]])
    assert roll_gradient(less)[0] == pytest.approx(rolls, rel=1e-9)


def test_both_springs_of_a_linked_axle_press_alike_on_the_ramp(edited):
    v = build(edited((REAR, f"{REAR}\n{LINKED}")))
    climbed = climb_to_unload(v, ramp_test(1))
    assert climbed.outcome[0] == Outcome.WHEEL_LIFTS
    assert abs(climbed.state[0, BODY_ROLL]) > 0.02
    found = measures(RampSystem(v, ramp_test(1)), climbed.state, climbed.climb)
    front_left, front_right, rear_left, rear_right = found.spring_tension[0]
    assert rear_left == rear_right
    assert abs(front_left - front_right) > 500.0
    apart = climb_to_unload(replace(v, spring_linked=np.zeros((1, 2), dtype=bool)), ramp_test(1))
    assert climbed.score[0] > 1.03 * apart.score[0]  # an axle that gives in to the twist


def test_a_vehicle_held_upright_by_nothing_is_said_to_fall(edited):
    v = build(edited((FRONT, f"{FRONT}\n{LINKED}"), (REAR, f"{REAR}\n{LINKED}")))
    bare = replace(v, bar_rate=np.zeros((1, 2)), auxiliary_rate=np.zeros((1, 2)))
    assert climb_to_unload(bare, ramp_test(1)).outcome[0] == Outcome.UNSTABLE_AT_REST
    assert np.isinf(roll_gradient(bare)[0])
