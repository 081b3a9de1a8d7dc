"""The small-angle forms against the finite-angle reference: orders of convergence, not only closeness."""

import numpy as np
import pytest

from articulate.closed_forms import hub_path, roll_stiffness, small_angle
from tests.closed_forms.finite_angle import Vehicle, climb_to_unload, settle
from tests.closed_forms.reference_cases import PAIRS, load_rates_of, of_axles, roll_of

CLIMB = 0.5


def gap(vehicle, share, degrees, rates):
    """Largest difference [N] of the wheel loads from their tangent at ride height, at one climb."""
    angle = np.radians(degrees)
    state, _ = settle(vehicle, angle, share, CLIMB)
    lift = hub_path.hub_rise(CLIMB, vehicle.axles[0].radius, angle)
    tangent = np.repeat(vehicle.loads / 2, 2) + rates.lift * lift + rates.ramp_angle * angle
    return np.abs(state.loads - tangent).max()


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_wheel_loads_leave_their_tangent_with_the_square_of_the_angle(pair, share):
    vehicle = Vehicle(axles=PAIRS[pair])
    rates = load_rates_of(vehicle, share)
    gaps = [gap(vehicle, share, degrees, rates) for degrees in (0.5, 0.25, 0.125)]
    np.testing.assert_allclose([gaps[0] / gaps[1], gaps[1] / gaps[2]], 4.0, rtol=0.01)
    assert gaps[-1] < 0.02  # of load changes of about 10 N


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("wrong", ["own", "coupling", "overturning"])
def test_a_term_left_out_spoils_the_order(pair, wrong):
    # Negative control: one roll rate off by 2 % (its weight terms alone are larger) leaves a first-order error.
    vehicle = Vehicle(axles=PAIRS[pair])
    roll = roll_of(vehicle)
    changed = {field: getattr(roll, field) * (1.02 if field == wrong else 1.0) for field in vars(roll)}
    rates = load_rates_of(vehicle, 1.0, roll_stiffness.AxleRoll(**changed))
    ratio = gap(vehicle, 1.0, 0.125, rates) / gap(vehicle, 1.0, 0.0625, rates)
    assert abs(ratio - 4.0) > 0.1


def lifts_at(vehicle, degrees):
    """Unloading lift of the reference, of the roll form and of the form with pitch and ramp [m]."""
    angle = np.radians(degrees)
    simple = roll_stiffness.unloading_lifts(of_axles(vehicle, "track"), vehicle.loads, roll_of(vehicle))
    wheel = 2 if simple.rear_left < simple.front_right else 1
    full = small_angle.unloading_lifts(vehicle.loads, load_rates_of(vehicle, 0.5), angle)
    radius = vehicle.axles[0].radius
    guess = float(hub_path.climb_from_hub_rise(simple.first, radius, angle))
    climb, state, _ = climb_to_unload(vehicle, angle, 0.5, wheel, guess)
    assert (np.delete(state.loads, wheel) > 0.0).all()
    return float(hub_path.hub_rise(climb, radius, angle)), float(simple.first), float(full.first)


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("behind", [1.25, 1.75])
def test_unloading_lift_of_a_stiffened_vehicle_on_a_shallow_ramp(pair, behind):
    # A hundredfold stiffness on one degree, then both halved: the rear-left wheel lifts, with the weight to the
    # front, or the front-right one, with the weight to the rear.
    vehicle = Vehicle(axles=PAIRS[pair], behind=behind)
    errors = []
    for factor, degrees in ((50, 2.0), (100, 1.0), (200, 0.5)):
        found, simple, full = lifts_at(vehicle.stiffened(factor), degrees)
        errors.append((abs(simple / found - 1.0), abs(full / found - 1.0)))
    errors = np.array(errors)
    assert errors[1, 0] < 0.006
    assert errors[1, 1] < 1e-4
    np.testing.assert_allclose(errors[:-1, 0] / errors[1:, 0], 2.0, rtol=0.05)
    np.testing.assert_allclose(errors[:-1, 1] / errors[1:, 1], 4.0, rtol=0.3)
