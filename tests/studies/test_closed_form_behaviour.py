"""Bars, wheelbase, spring base and cross-linked bars in a split, held to the closed forms in sign and in limit.

The limit: a vehicle stiffened as the ramp becomes shallow, so that all angles are small. Each mixture then climbs as
`roll_stiffness` says, so the Shapley values over full climbs have to close on those over the closed form, their
error in proportion to the angle.
"""

from dataclasses import replace

import numpy as np
import pytest

from articulate.climb import settle
from articulate.closed_forms import hub_path, rates, roll_stiffness, spring_base
from articulate.model.balance import RampSystem
from articulate.model.measures import measures
from articulate.model.ramp_test import ramp_test
from articulate.model.vehicles import stack
from articulate.studies.explain.difference import explain_difference
from articulate.studies.explain.shapley import attribute, coalitions
from articulate.studies.explain.vehicle_parts import StudiedVehicle
from tests.closed_forms.finite_angle import Vehicle
from tests.closed_forms.reference_cases import PAIRS, of_axles, roll_of
from tests.closed_forms.solved import HALVINGS, assert_order, modelled, plate, wheel_lifts

DEGREES = 2.0 * HALVINGS


def subject(arrays):
    return StudiedVehicle("reference", arrays, np.zeros((1, 2)))


def score_of(vehicle, degrees):
    """Score of the closed form: the lift that unloads the first wheel, along the ramp."""
    lift = roll_stiffness.unloading_lifts(of_axles(vehicle, "track"), vehicle.loads, roll_of(vehicle)).first
    climb = hub_path.climb_from_hub_rise(lift, vehicle.axles[0].radius, np.radians(degrees))
    return 1000.0 * float(climb) / vehicle.wheelbase


def with_changes(vehicle, chosen):
    """The reference with a wheelbase, a front spring base, a front and a rear bar changed, as chosen."""
    wheelbase, base, front_bar, rear_bar = chosen
    front, rear = vehicle.axles
    front = replace(
        front, bar=0.0 if front_bar else front.bar, spring_half_base=0.6 if base else front.spring_half_base
    )
    rear = replace(rear, bar=2.0 * rear.bar if rear_bar else rear.bar)
    length = vehicle.wheelbase * 1.2 if wheelbase else vehicle.wheelbase
    # The shares of the axles stay: the weight moves with the wheelbase.
    return replace(vehicle, axles=(front, rear), wheelbase=length, behind=vehicle.behind * length / vehicle.wheelbase)


NAMES = ["wheelbase", "front spring base", "front anti-roll bar", "rear anti-roll bar"]


def base_vehicle(degrees):
    axles = tuple(replace(axle, bar=12e3) for axle in PAIRS["solid-solid"])
    return Vehicle(axles=axles, behind=1.25).stiffened(100.0 / degrees)


def shares(first, second, degrees):
    found = explain_difference(
        subject(modelled(first)), subject(modelled(second)), ramp_test(1, np.radians(degrees)), by_axle=True
    )
    return {share.group: share.points for share in found.connected.shares}


@pytest.fixture(scope="module")
def split_and_closed_form():
    """Shapley values of the four changes over full climbs and over the closed form, by angle."""
    by_climbs, by_form = [], []
    for degrees in DEGREES:
        vehicle = base_vehicle(degrees)
        found = shares(vehicle, with_changes(vehicle, [True] * 4), degrees)
        assert set(found) == set(NAMES)
        by_climbs.append([found[name] for name in NAMES])
        worth = np.array([score_of(with_changes(vehicle, chosen), degrees) for chosen in coalitions(4)])
        by_form.append(attribute(worth).value)
    return np.array(by_climbs), np.array(by_form)


def test_shares_close_on_those_of_the_closed_form(split_and_closed_form):
    by_climbs, by_form = split_and_closed_form
    for column in range(4):
        error = by_climbs[:, column] / by_form[:, column] - 1.0
        assert_order(error, 1, 0.2)
        assert abs(error[-1]) < 0.02, NAMES[column]


def test_signs_are_those_of_the_closed_form(split_and_closed_form):
    # With weight that overturns less than the rear axle holds, dz/dK_f has the sign of C - K_r: any roll stiffness
    # costs lift. A longer wheelbase divides the same climb.
    by_climbs, by_form = split_and_closed_form
    assert (np.sign(by_climbs) == np.sign(by_form)).all()
    assert (by_climbs[:, 2] > 0.0).all()  # a bar released
    assert (by_climbs[:, 0] < 0.0).all()  # a longer wheelbase
    assert (by_climbs[:, [1, 3]] < 0.0).all()  # a wider spring base, a stiffer bar


def test_a_closed_form_one_percent_off_is_seen(split_and_closed_form):
    by_climbs, by_form = split_and_closed_form
    with pytest.raises(AssertionError):
        assert_order(by_climbs[:, 2] / (1.05 * by_form[:, 2]) - 1.0, 1, 0.2)


def test_wheelbase_alone_only_divides():
    gaps = []
    for degrees in DEGREES:
        vehicle = base_vehicle(degrees)
        longer = with_changes(vehicle, [True, False, False, False])
        points = shares(vehicle, longer, degrees)["wheelbase"]
        gaps.append(points / (score_of(vehicle, degrees) * (1.0 / 1.2 - 1.0)) - 1.0)
    assert_order(gaps, 1, 0.2)
    assert abs(gaps[-1]) < 0.01


@pytest.mark.parametrize(
    ("rear_rate", "height", "sign"),
    [(50e3, 0.8, 1.0), (90e3, 2.2, 1.0), (50e3, 1.8, -1.0), (50e3, 2.2, -1.0), (90e3, 3.2, -1.0)],
)
def test_releasing_a_front_bar_costs_where_the_weight_overturns_more_than_the_rear_holds(rear_rate, height, sign):
    # dz_RL/dK_f = t_f t_r F_r (C - K_r) / (2 K_f^2 K_r): above zero where C > K_r, so there the bar helps.
    front, rear = PAIRS["solid-solid"]
    stiff, soft = replace(front, bar=80e3), replace(rear, rate=rear_rate, bar=0.0)
    vehicle = Vehicle(axles=(stiff, soft), behind=1.25, height=height)
    released = replace(vehicle, axles=(replace(stiff, bar=40e3), soft))
    roll = roll_of(vehicle)
    assert np.sign(roll.coupling[1] - roll.overturning.sum()) == sign
    form = score_of(released, 20.0) - score_of(vehicle, 20.0)
    found = shares(vehicle, released, 20.0)["front anti-roll bar"]
    assert np.sign(found) == np.sign(form) == sign


# Cross-linked bars.


def linked(vehicle, rate):
    return replace(modelled(vehicle), cross_link_rate=np.array([rate]))


@pytest.mark.parametrize("solid", [False, True])
def test_cross_linked_bars_are_free_in_warp(solid):
    # Two equal axles under weight that does not overturn warp without rolling against the ground's mean: the link
    # does nothing, while bars of the same roll stiffness take their share of the lift, z = W / k.
    links, bars = [], []
    for degrees in HALVINGS:
        vehicle = plate(solid, 100.0 / degrees)
        rate = 20.0 * vehicle.axles[0].rate
        test = ramp_test(1, np.radians(degrees))
        plain = subject(modelled(vehicle))
        with_link = explain_difference(plain, subject(linked(vehicle, rate)), test).connected
        with_bars = explain_difference(
            plain, subject(replace(modelled(vehicle), bar_rate=np.full((1, 2), 2.0 * rate))), test
        ).connected
        assert with_link.shares[0].group == "cross-linked bars"
        links.append(with_link.shares[0].points / with_link.first)
        bars.append(with_bars.shares[0].points / with_bars.first)
    assert np.abs(links).max() < 1e-6
    assert max(bars) < -0.5


def test_cross_linked_bars_are_stiff_in_body_roll():
    # Energy 1/2 k_x (2 t phi)^2 of a body rolled by phi on equal tracks: a roll stiffness k_x (t_f + t_r)^2.
    offset, errors = 0.02, []
    for part in HALVINGS:
        axle = replace(PAIRS["solid-solid"][0], bar=0.0, spring_half_base=0.5)
        vehicle = Vehicle(axles=(axle, axle)).stiffened(100.0 / part)
        stiff = vehicle.axles[0]
        rate = 0.7 * stiff.rate
        lanes = stack([replace(modelled(vehicle, offset), cross_link_rate=np.array([rate]))])
        test = ramp_test(1)
        rest = settle(lanes, test)
        assert (rest.converged & rest.stable).all()
        roll = -measures(RampSystem.of(lanes, test), rest.state, rest.parameter).roll[0]
        axle_couple = float(spring_base.solid_axle_roll_stiffness(stiff.rate, stiff.spring_half_base))
        axle_couple += rate * (2.0 * stiff.track) ** 2 / 2.0  # each axle's half of the link
        form = 2.0 * float(rates.series_rate(axle_couple, rates.roll_stiffness_at_track(stiff.tyre_rate, stiff.track)))
        errors.append(form * roll / (vehicle.sprung_weight * offset) - 1.0)
    assert abs(errors[-1]) < 0.01
    assert_order(errors, 1, 0.1)


def test_links_in_place_of_bars_keep_the_roll_stiffness_and_give_the_articulation_back():
    axles = tuple(replace(axle, bar=15e3) for axle in PAIRS["solid-solid"])
    vehicle = Vehicle(axles=axles, behind=1.25)
    free = replace(vehicle, axles=tuple(replace(axle, bar=0.0) for axle in axles))
    # Bars of k_b t^2 an axle hold the body as a link of k_x (2 t)^2 does where k_x = k_b / 2.
    by_link = linked(free, 7.5e3)
    found = explain_difference(subject(modelled(vehicle)), subject(by_link)).connected
    points = {share.group: share.points for share in found.shares}
    assert points["anti-roll bar"] > 0.0
    assert abs(points["cross-linked bars"]) < 0.35 * points["anti-roll bar"]
    assert found.second > found.first
    assert wheel_lifts([free], np.array([20.0])).score[0] > found.first
