"""The solver against the closed forms, each in the limit in which it is exact and with its order of convergence.

The closed forms know nothing of the solver. A limit is approached in steps, and the error has to fall in the
proportion that the form's own derivation gives; a closed form off by one percent spoils that (negative controls).
"""

from dataclasses import replace

import numpy as np
import pytest

from articulate.climb import Outcome, climb_to_unload, first_touch, settle
from articulate.closed_forms import (
    diagonal_lift,
    hub_path,
    rates,
    roll_stiffness,
    side_slope,
    small_angle,
    spring_base,
    three_wheels,
)
from articulate.model.balance import RampSystem
from articulate.model.measures import measures
from articulate.model.ramp_test import ramp_test
from articulate.model.vehicles import stack
from articulate.solve.newton import Goal, solve_at
from tests.closed_forms import finite_angle
from tests.closed_forms.finite_angle import Axle, Vehicle, carrier
from tests.closed_forms.reference_cases import PAIRS, load_rates_of, of_axles, rigid_limit_of, roll_of
from tests.closed_forms.rigid_supports import KINDS, carrier_coordinates, held_by_its_stops
from tests.closed_forms.solved import HALVINGS, assert_order, batch, modelled, plate, wheel_lifts

FRONT_RIGHT, REAR_LEFT = 1, 2


def at_climb(vehicles, degrees, share, climb):
    """Measures of a batch at a climb, from the vehicle at rest."""
    system = RampSystem.of(vehicles, ramp_test(vehicles.lanes, np.radians(degrees), share))
    guess = np.zeros((vehicles.lanes, 8))
    for part in np.linspace(0.0, climb, 6)[1:]:
        found = solve_at(system, guess, np.full(vehicles.lanes, part))
        guess = found.state
    assert (found.converged & found.stable).all()
    return measures(system, found.state, found.parameter)


# Wheel loads on the ramp and unloading lifts.


def load_gaps(vehicle, share, scale=1.0):
    degrees = 0.5 * HALVINGS
    found = at_climb(batch([vehicle] * 3), degrees, share, 0.5).wheel_load
    slopes = load_rates_of(vehicle, share)
    lift = hub_path.hub_rise(0.5, vehicle.axles[0].radius, np.radians(degrees))[:, None]
    tangent = scale * slopes.lift * lift + slopes.ramp_angle * np.radians(degrees)[:, None]
    return np.abs(found - np.repeat(vehicle.loads / 2.0, 2) - tangent).max(axis=1)


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_wheel_loads_leave_their_tangent_with_the_square_of_the_angle(pair, share):
    gaps = load_gaps(Vehicle(axles=PAIRS[pair]), share)
    assert_order(gaps, 2, 0.01)
    assert gaps[-1] < 0.02  # [N]


@pytest.mark.parametrize("pair", PAIRS)
def test_load_rates_one_percent_off_are_seen(pair):
    with pytest.raises(AssertionError):
        assert_order(load_gaps(Vehicle(axles=PAIRS[pair]), 0.5, scale=1.01), 2, 0.01)


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize(("behind", "wheel"), [(1.25, REAR_LEFT), (1.75, FRONT_RIGHT)])
def test_unloading_lift_of_a_stiffened_vehicle_on_a_shallow_ramp(pair, behind, wheel):
    degrees = 2.0 * HALVINGS
    vehicles = [Vehicle(axles=PAIRS[pair], behind=behind).stiffened(100.0 / angle) for angle in degrees]
    run = wheel_lifts(vehicles, degrees)
    assert (run.wheel == wheel).all()
    found = hub_path.hub_rise(run.climb, vehicles[0].axles[0].radius, np.radians(degrees))
    simple = [roll_stiffness.unloading_lifts(of_axles(v, "track"), v.loads, roll_of(v)).first for v in vehicles]
    full = [
        small_angle.unloading_lifts(v.loads, load_rates_of(v, 0.5), np.radians(angle)).first
        for v, angle in zip(vehicles, degrees, strict=True)
    ]
    first, second = np.array(simple) / found - 1.0, np.array(full) / found - 1.0
    assert_order(first, 1, 0.05)
    assert_order(second, 2, 0.3)
    assert abs(first[1]) < 0.006
    assert abs(second[1]) < 1e-4
    with pytest.raises(AssertionError):
        assert_order(1.01 * np.array(full) / found - 1.0, 2, 0.3)


# Three wheels.


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("degrees", [20.0, 23.0, 30.0])
def test_three_wheels_carry_what_the_centre_of_gravity_gives_them(pair, degrees):
    share = np.array([0.0, 0.24, 0.5, 1.0])
    vehicle = modelled(Vehicle(axles=PAIRS[pair], behind=1.25))
    lanes = stack([vehicle] * share.size)
    test = ramp_test(share.size, np.radians(degrees), share)
    run = climb_to_unload(lanes, test)
    assert (run.outcome == Outcome.WHEEL_LIFTS).all()
    state = measures(RampSystem.of(lanes, test), run.state, run.climb)
    for lane in range(share.size):
        standing = np.delete(np.arange(4), run.wheel[lane])
        assert (state.ramp_gap[lane, 1] > 0.0) or run.wheel[lane] == REAR_LEFT  # the ramp carries one wheel
        loads = three_wheels.three_wheel_loads(
            vehicle.reference_axle_load().sum(),
            state.mass_centre[lane, :2],
            state.contact[lane, standing],
            np.where(standing == 0, np.radians(degrees), 0.0),
            share[lane],
        )
        np.testing.assert_allclose(state.wheel_load[lane, standing], loads.normal, rtol=0.0, atol=1e-3)
        np.testing.assert_allclose(state.vertical_load[lane, standing], loads.vertical, rtol=0.0, atol=1e-3)
        assert np.abs(state.wheel_load[lane, standing] - 1.01 * loads.normal).max() > 1.0


# A centred plate on four equal springs.


@pytest.mark.parametrize("solid", [False, True])
def test_plate_on_four_springs_unloads_at_weight_over_rate(solid):
    degrees = 1.0 * HALVINGS
    vehicles = [plate(solid, 100.0 / angle) for angle in degrees]
    np.testing.assert_allclose([roll_of(v).overturning.sum() for v in vehicles], 0.0, atol=1e-6)
    run = wheel_lifts(vehicles, degrees)
    found = hub_path.hub_rise(run.climb, vehicles[0].axles[0].radius, np.radians(degrees))
    rate = [rates.series_rate(v.axles[0].rate, v.axles[0].tyre_rate) for v in vehicles]
    form = diagonal_lift.unloading_lift([v.loads.sum() for v in vehicles], rate)
    assert_order(form / found - 1.0, 1, 0.05)
    assert abs(form[-1] / found[-1] - 1.0) < 0.005
    with pytest.raises(AssertionError):
        assert_order(1.01 * form / found - 1.0, 1, 0.05)


# Travel alone.


@pytest.mark.parametrize("solid", [False, True])
def test_a_spring_that_stands_shorter_takes_load_from_its_diagonal(solid):
    """A drop d of one seat is a lift of -d under that wheel: W/4 -+ k d/4, k the series rate of spring and tyre."""
    vehicle, drop = plate(solid, 100.0), 1e-4
    one = modelled(vehicle)
    where = np.zeros((1, 2, 2))
    where[0, 0, 0] = drop  # front left
    shorter = replace(one, spring_drop=where)
    test = ramp_test(1)
    loads = [
        measures(RampSystem.of(lanes, test), rest.state, rest.parameter).wheel_load[0]
        for lanes in (one, shorter, shorter.mirrored())
        for rest in [settle(lanes, test)]
    ]
    rate = rates.series_rate(vehicle.axles[0].rate, vehicle.axles[0].tyre_rate)
    form = diagonal_lift.lifted_wheel_loads(vehicle.loads.sum(), rate, -drop)
    change = form - diagonal_lift.lifted_wheel_loads(vehicle.loads.sum(), rate, 0.0)
    np.testing.assert_allclose(loads[1] - loads[0], change, rtol=1e-3)
    np.testing.assert_allclose(loads[2], loads[1][[1, 0, 3, 2]], rtol=1e-9)


def on_the_stops(vehicle, limit):
    """Unknowns and climb of the plain reference: its stops and tyres hold both ways, so it converges from afar."""
    front, rear = vehicle.axles
    susp = [*carrier_coordinates(front, True), *carrier_coordinates(rear, False)]
    y, z, _ = carrier(front, -1, *susp[:2])
    height = front.radius - y * np.sin(limit.body_roll) - (z + front.radius) * np.cos(limit.body_roll)
    guess = [height, limit.body_pitch, limit.body_roll, *susp]
    angle = np.radians(20.0)
    climb, found, unknowns = finite_angle.climb_to_unload(
        vehicle, angle, 0.5, REAR_LEFT, float(limit.climb), guess, on_stops=True
    )
    state = np.array([[0.0, *unknowns[1:3], 0.0, *unknowns[3:]]])
    system = RampSystem.of(modelled(vehicle), ramp_test(1, angle, 0.5))
    # The bodies' origins differ in height: set ours so that the front-right tyre is pressed as far.
    pressed = found.loads[FRONT_RIGHT] / front.tyre_rate
    state[:, 0] -= measures(system, state, np.array([climb])).contact[:, FRONT_RIGHT, 2] + pressed
    return state, climb


@pytest.mark.parametrize("front", KINDS)
@pytest.mark.parametrize("rear", KINDS)
def test_soft_springs_and_hard_stops_leave_the_climb_to_travel(front, rear):
    # Such springs do not hold the vehicle clear of its stops, so the solve starts beside the stops of the warp.
    vehicles = [held_by_its_stops(front, rear, softness) for softness in 0.02 * HALVINGS]
    limit = rigid_limit_of(vehicles[0], np.radians(20.0))
    assert limit.rear_wheel_on_flat
    lanes = batch(vehicles)
    system = RampSystem.of(lanes, ramp_test(lanes.lanes, np.radians(20.0), 0.5))
    states, climbs = zip(*(on_the_stops(vehicle, limit) for vehicle in vehicles), strict=True)
    unloaded = Goal(np.full(lanes.lanes, REAR_LEFT), np.zeros(lanes.lanes))
    run = solve_at(system, np.concatenate(states), np.array(climbs) + 1e-5, goal=unloaded)
    assert run.converged.all()
    assert (np.delete(run.margins, REAR_LEFT, axis=1) > 0.0).all()
    state = measures(system, run.state, run.parameter)
    assert (state.bump_displacement[:, [0, 3]] > lanes.bump_gap).all()
    assert (state.droop_displacement[:, [1, 2]] > lanes.droop_gap).all()
    assert_order(run.parameter - limit.climb, 1, 0.05)
    assert abs(run.parameter[-1] / limit.climb - 1.0) < 2e-3
    with pytest.raises(AssertionError):
        assert_order(run.parameter - 1.01 * limit.climb, 1, 0.05)


# Side slope.


@pytest.mark.parametrize("kind", KINDS)
def test_tipping_angle_of_a_stiff_level_vehicle(kind):
    axle = replace(KINDS[kind], rate=40e3)
    vehicles = [Vehicle(axles=(axle, axle)).stiffened(1.0 / part) for part in HALVINGS]
    lanes = batch(vehicles)
    test = ramp_test(lanes.lanes)
    rest = settle(lanes, test)
    assert (rest.converged & rest.stable).all()
    found = measures(RampSystem.of(lanes, test), rest.state, rest.parameter).tipping_angle
    vehicle = vehicles[0]
    unsprung = 2.0 * axle.unsprung_weight
    height = (vehicle.sprung_weight * vehicle.height + unsprung * axle.radius) / (vehicle.sprung_weight + unsprung)
    form = side_slope.tipping_angle(axle.track, height)
    assert_order(found - form, 1, 0.05)
    assert abs(found[-1] / form - 1.0) < 0.02
    with pytest.raises(AssertionError):
        assert_order(found - 1.01 * form, 1, 0.05)


# The hub's path.


@pytest.mark.parametrize("degrees", [10.0, 20.0, 30.0])
@pytest.mark.parametrize("climb", [0.2, 0.4])
def test_hub_of_a_hard_tyre_rises_as_that_of_a_rigid_disc(degrees, climb):
    # A section as round as the tyre is high does not mind leaning, which the disc of the form cannot do.
    radius = 0.4
    axle = Axle(solid=True, pivot=0.1, section=radius, bar=0.0, rate=20e3)
    vehicles = batch([Vehicle(axles=(replace(axle, tyre_rate=4e6 / part),) * 2) for part in HALVINGS])
    state = at_climb(vehicles, degrees, 0.5, climb)
    rise = state.hub[:, 0, 2] - vehicles.reference_hub_height()[:, 0]
    form = hub_path.hub_rise(climb, radius, np.radians(degrees))
    assert_order(rise - form, 1, 0.05)
    assert abs(rise[-1] - form) < 1e-3
    with pytest.raises(AssertionError):
        assert_order(rise - 1.01 * form, 1, 0.05)


@pytest.mark.parametrize("degrees", [10.0, 20.0, 30.0])
def test_first_touch_of_a_hard_tyre_is_that_of_a_rigid_disc(degrees):
    vehicles = [Vehicle(axles=PAIRS["solid-solid"]).stiffened(10.0 / part) for part in HALVINGS]
    lanes, test = batch(vehicles), ramp_test(len(vehicles), np.radians(degrees))
    found = first_touch(RampSystem.of(lanes, test), settle(lanes, test))
    radius, angle = vehicles[0].axles[0].radius, np.radians(degrees)
    pressed = [v.loads[0] / (2.0 * v.axles[0].tyre_rate) for v in vehicles]
    np.testing.assert_allclose(found, hub_path.first_touch_climb(radius, pressed, angle), rtol=0.0, atol=1e-9)
    disc = hub_path.first_touch_before_toe(radius, angle)
    assert_order(found - disc, 1, 1e-6)
    with pytest.raises(AssertionError):
        assert_order(found - 1.01 * disc, 1, 1e-6)


# Roll stiffness of solid axles.


def lean(vehicles, offset):
    """Body roll [rad] on flat ground of vehicles whose sprung weight sits off centre."""
    lanes = stack([modelled(vehicle, offset) for vehicle in vehicles])
    test = ramp_test(lanes.lanes)
    rest = settle(lanes, test)
    assert (rest.converged & rest.stable).all()
    return -measures(RampSystem.of(lanes, test), rest.state, rest.parameter).roll


@pytest.mark.parametrize("bar", [0.0, 5e3])
@pytest.mark.parametrize("half_base", [0.35, 0.6])
def test_solid_axle_rolls_on_its_spring_base_and_its_bar(bar, half_base):
    offset = 0.02
    axle = replace(PAIRS["solid-solid"][0], bar=bar, spring_half_base=half_base)
    vehicles = [Vehicle(axles=(axle, axle)).stiffened(100.0 / part) for part in HALVINGS]
    found = []
    forms = []
    for vehicle, roll in zip(vehicles, lean(vehicles, offset), strict=True):
        stiff = vehicle.axles[0]
        body = spring_base.solid_axle_roll_stiffness(stiff.rate, half_base)
        body = body + spring_base.bar_roll_stiffness(stiff.bar, stiff.track)
        tyres = rates.roll_stiffness_at_track(stiff.tyre_rate, stiff.track)
        forms.append(2.0 * rates.series_rate(body, tyres))
        found.append(vehicle.sprung_weight * offset / roll)
    errors = np.array(forms) / np.array(found) - 1.0
    assert_order(errors, 1, 0.05)
    assert abs(errors[-1]) < 0.01
    with pytest.raises(AssertionError):
        assert_order(1.01 * np.array(forms) / np.array(found) - 1.0, 1, 0.05)


def test_bar_rated_at_its_ends_leans_and_climbs_as_the_same_bar_rated_at_the_wheels():
    # Stiffness k_end w^2 of the first form, k_b t^2 of the second: one bar, two ratings.
    end_rate, spacing = 22e3, 0.9
    axle = PAIRS["solid-solid"][0]
    at_wheels = float(spring_base.bar_rate_at_wheels(end_rate, spacing, axle.track))
    by_stiffness = float(spring_base.bar_roll_stiffness_from_ends(end_rate, spacing)) / axle.track**2
    vehicles = [
        Vehicle(axles=(replace(axle, bar=bar), PAIRS["solid-solid"][1]))
        for bar in (at_wheels, by_stiffness, 1.01 * at_wheels)
    ]
    rolls, climbs = lean(vehicles, 0.02), wheel_lifts(vehicles, 20.0).climb
    assert rolls[0] == pytest.approx(rolls[1], rel=1e-9)
    assert climbs[0] == pytest.approx(climbs[1], rel=1e-9)
    assert abs(rolls[2] / rolls[0] - 1.0) > 1e-5
    assert abs(climbs[2] / climbs[0] - 1.0) > 1e-5
