"""Air springs of a vehicle file: linked left to right, and their height settings."""

from dataclasses import replace

import numpy as np
import pytest

from articulate.climb import Outcome, climb_to_unload, settle
from articulate.model.balance import BODY_ROLL, RampSystem
from articulate.model.measures import measures
from articulate.model.ramp_test import ramp_test
from articulate.roll_gradient import roll_gradient
from articulate.spec import SpecError, build, with_setting, with_settings
from articulate.studies.explain.groups import differing_groups
from articulate.studies.explain.vehicle_parts import StudiedVehicle, take_apart

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
    found = measures(RampSystem.of(v, ramp_test(1)), climbed.state, climbed.climb)
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


# --- height settings -----------------------------------------------------------------------------------------------

AIR = "spring = { kind = 'air', raised_by = '55 mm', lowered_by = '30 mm', wheel_rate = '30 N/mm' }"
TABLES = ("[front]\n", 'air_setting = "normal"\n[front]\n')
TRAVEL = ('travel.total = "200 mm"', 'travel.bump = "90 mm"\ntravel.droop = "110 mm"')


@pytest.fixture
def on_air(edited):
    return edited(TABLES, (FRONT, f"{FRONT}\n{AIR}"), TRAVEL)


@pytest.mark.parametrize(("setting", "change", "softer"), [("raised", 0.055, True), ("lowered", -0.030, False)])
def test_a_setting_moves_body_and_gaps_together(on_air, setting, change, softer):
    on_air = with_setting(on_air, "front.travel.counted", "to first touch")
    normal, other = build(on_air), build(with_setting(on_air, "air_setting", setting))
    assert (other.bump_gap - normal.bump_gap)[0] == pytest.approx([change, 0.0])
    assert (other.droop_gap - normal.droop_gap)[0] == pytest.approx([-change, 0.0])
    share = normal.sprung_centre[0, 0] / normal.wheelbase[0]
    assert (other.sprung_centre - normal.sprung_centre)[0, 2] == pytest.approx(change * (1.0 - share))
    assert (other.spring_rate[0, 0] < normal.spring_rate[0, 0]) == softer
    assert other.spring_rate[0, 1] == normal.spring_rate[0, 1]  # coils behind
    # The same by hand: a trim of the ride height, and the factor on the rate.
    factor = float(other.spring_rate[0, 0] / normal.spring_rate[0, 0])
    by_hand = with_settings(
        on_air, [("front.ride_height_change", f"{change!r} m"), ("front.spring.wheel_rate", f"{30.0 * factor!r} N/mm")]
    )
    for name in ("bump_gap", "droop_gap", "spring_rate", "sprung_centre", "pivot_height"):
        assert getattr(build(by_hand), name) == pytest.approx(getattr(other, name)), name


def test_bars_and_rubber_do_not_follow_the_setting(on_air):
    normal, raised = build(on_air), build(with_setting(on_air, "air_setting", "raised"))
    assert raised.bar_rate == pytest.approx(normal.bar_rate)
    assert raised.auxiliary_rate == pytest.approx(normal.auxiliary_rate)


@pytest.mark.parametrize(("setting", "change"), [("raised", 0.050), ("lowered", -0.045)])
@pytest.mark.parametrize("frequency", [1.15, 1.35, 1.6])
@pytest.mark.parametrize("exponent", [1.2, 1.4])
def test_the_assumed_factor_is_that_of_a_column_of_air(edited, setting, change, frequency, exponent):
    # k = n p A^2/V at one load and area: V/A grows by the change, n p A/(k) = n (p/(p - p_0)) m g/k is V/A before, with
    # p/(p - p_0) = 1.15 to 1.3 at 5 to 8 bar over the air around. Derived; pressures and n from memory.
    spec = edited(TABLES, (FRONT, f"{FRONT}\nspring.kind = 'air'"), TRAVEL)
    estimate = with_setting(spec, "air_setting", setting).inputs["front.spring.setting_rate_factor"]
    column = exponent * 1.2 * 9.80665 / (2.0 * np.pi * frequency) ** 2
    assert estimate.low < 1.0 / (1.0 + change / column) < estimate.high
    assert (estimate.value < 1.0) == (change > 0.0)


def test_what_is_assumed_of_a_setting_is_said(edited):
    spec = edited(("[front]\n", 'air_setting = "raised"\n[front]\n'), (FRONT, f"{FRONT}\nspring.kind = 'air'"))
    assert spec.inputs["front.spring.raised_by"].source == "assumed"
    assert "not checked" in spec.inputs["front.spring.raised_by"].basis
    assert any("front air springs are raised, by 50 mm (25 to 80) (assumed)" in remark for remark in spec.remarks)
    assert "rear.spring.raised_by" not in spec.inputs
    assert spec.axles[1].air_setting == "normal"


def test_what_belongs_to_another_setting_is_said_not_to_count(on_air):
    assert 'front.spring.raised_by is not used, since air_setting is "normal"' in on_air.remarks
    raised = with_setting(on_air, "air_setting", "raised")
    assert 'front.spring.lowered_by is not used, since air_setting is "raised"' in raised.remarks
    assert not any(remark.startswith("front.spring.raised_by ") for remark in raised.remarks)


def test_lowered_the_body_comes_down_onto_its_stops_at_most(on_air):
    # The bumper is reached before 90 mm when 90 mm is counted to full bump; then the body comes down no further.
    normal, spec = (
        build(on_air),
        with_settings(on_air, [("air_setting", "lowered"), ("front.spring.lowered_by", "80 mm")]),
    )
    free, low = float(normal.bump_gap[0, 0]), build(spec)
    assert 0.030 < free < 0.080
    assert low.bump_gap[0, 0] == 0.0
    assert low.droop_gap[0, 0] - normal.droop_gap[0, 0] == pytest.approx(free)
    assert StudiedVehicle.of(spec).ride_height_change[0, 0] == pytest.approx(-free)
    less = build(with_setting(on_air, "air_setting", "lowered"))
    assert less.bump_gap[0, 0] == pytest.approx(free - 0.030)


def test_a_setting_beyond_the_travel_is_refused(on_air):
    with pytest.raises(SpecError) as caught:
        with_settings(on_air, [("air_setting", "raised"), ("front.spring.raised_by", "150 mm")])
    (fault,) = caught.value.faults
    assert "no droop travel is left on the front axle" in fault.why
    assert "ride height change" in fault.works


def test_a_setting_is_ride_height_and_springs_to_those_who_compare(on_air):
    one, other = (StudiedVehicle.of(spec) for spec in (on_air, with_setting(on_air, "air_setting", "raised")))
    parts = [take_apart(subject.vehicle, subject.ride_height_change) for subject in (one, other)]
    assert {group.name for group in differing_groups(*parts)} == {"ride height", "springs"}
    assert other.ride_height_change[0] == pytest.approx([0.055, 0.0])
