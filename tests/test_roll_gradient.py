"""The roll gradient's closed form against the model's own equations, and what it must do at its ends."""

from dataclasses import replace

import numpy as np
import pytest

from articulate.constants import STANDARD_GRAVITY
from articulate.model.balance import BODY_ROLL, FRONT_A, FRONT_B, REAR_A, REAR_B, UNKNOWNS, RampSystem
from articulate.model.ramp_test import FAR_BEFORE_TOE, ramp_test
from articulate.roll_gradient import roll_gradient
from tests.gradient_vehicles import as_the_gradient_takes_them
from tests.random_vehicles import random_vehicles

LANES = 400


def couples_of_one_g(vehicles):
    """Generalised forces at ride height of 1 g towards the right, (lanes, 8), worked out by hand from levers.

    A force Y at height z turns the body by z Y; on the carrier it turns about the pivot, at hub height plus pivot
    height. Inertia pulls to the right at the sprung centre of gravity (no part in the carriers' work, since their
    coordinates leave the body where it is) and at the hubs, the ground holds against it at height 0.
    """
    weight = vehicles.unsprung_mass * STANDARD_GRAVITY
    load, hub = vehicles.reference_axle_load(), vehicles.reference_hub_height()
    pivot = vehicles.pivot_height
    out = np.zeros((vehicles.lanes, UNKNOWNS))
    sprung = vehicles.sprung_mass * STANDARD_GRAVITY
    out[:, BODY_ROLL] = sprung * vehicles.sprung_centre[:, 2] + (weight * hub).sum(axis=1)
    turn = load * (hub + pivot) - weight * pivot  # on both wheels of an axle together
    for axle, (a, b) in enumerate(((FRONT_A, FRONT_B), (REAR_A, REAR_B))):
        solid = vehicles.solid[:, axle]
        out[:, a] = np.where(solid, 0.0, turn[:, axle] / 2.0)
        out[:, b] = np.where(solid, turn[:, axle], -turn[:, axle] / 2.0)
    return out


def roll_per_g(vehicles):
    """Slope of roll by the model's exact Jacobian at ride height, (lanes,) [rad/g]; NaN where it does not stand."""
    system = RampSystem.of(vehicles, ramp_test(vehicles.lanes))
    at = system.evaluate(np.zeros((vehicles.lanes, UNKNOWNS)), np.full(vehicles.lanes, FAR_BEFORE_TOE))
    np.testing.assert_allclose(at.residual, 0.0, atol=1e-12)
    slope = np.linalg.solve(at.jacobian, -(couples_of_one_g(vehicles) * system.inverse_scale)[..., None])[..., 0]
    stands = (np.linalg.eigvals(at.jacobian * (1.0 / system.inverse_scale)[:, :, None]).real < 0.0).all(axis=1)
    return np.where(stands, slope[:, BODY_ROLL], np.nan)


@pytest.mark.parametrize("linked", [False, True])
def test_the_closed_form_is_the_models_own_slope(linked):
    drawn = random_vehicles(31, LANES)
    vehicles = as_the_gradient_takes_them(drawn)
    link = np.linspace(1e3, 60e3, LANES) if linked else np.zeros(LANES)
    vehicles = replace(vehicles, cross_link_rate=link)
    slope, found = roll_per_g(vehicles), roll_gradient(vehicles)
    stands = np.isfinite(slope)
    assert stands.sum() > 0.9 * LANES
    kinds = {tuple(pair) for pair in vehicles.solid[stands]}
    assert len(kinds) == 4
    assert (vehicles.auxiliary_rate[stands] > 0.0).any()
    assert (vehicles.auxiliary_rate_cubic[stands] > 0.0).any()
    np.testing.assert_allclose(found[stands], slope[stands], rtol=1e-8)
    assert np.isinf(found[~stands]).all()


def test_what_the_gradient_leaves_out_does_not_move_it():
    vehicles = random_vehicles(32, 50)
    found = roll_gradient(vehicles)
    np.testing.assert_array_equal(roll_gradient(as_the_gradient_takes_them(vehicles)), found)
    np.testing.assert_array_equal(roll_gradient(vehicles.mirrored()), found)


def test_rigid_disc_tyres_and_light_wheels_give_the_handbooks_form():
    # W (h - h_rc) / (K_f + K_r - W (h - h_rc)) with the roll centre at the hubs, in rad/g: Gillespie, Fundamentals of
    # Vehicle Dynamics, 1992, eq. 6-36 (form from memory; there without the weight's own part in the denominator).
    vehicles = as_the_gradient_takes_them(random_vehicles(33, 60))
    solid = np.ones((vehicles.lanes, 2), dtype=bool)
    radius = np.full((vehicles.lanes, 2), 0.4)
    vehicles = replace(
        vehicles, solid=solid, pivot_height=np.zeros((vehicles.lanes, 2)), tyre_radius=radius,
        tyre_section_radius=radius * 1e-9, tyre_stiffness=np.full((vehicles.lanes, 2), 1e13),
        unsprung_mass=np.full((vehicles.lanes, 2), 1e-6), cross_link_rate=np.zeros(vehicles.lanes),
    )  # fmt: skip
    assert vehicles.spring_linked.any()  # common air holds nothing against roll
    stiffness = np.where(vehicles.spring_linked, 0.0, 2.0 * vehicles.spring_rate * vehicles.spring_half_base**2)
    stiffness += (vehicles.bar_rate + vehicles.auxiliary_rate) * vehicles.track**2
    couple = vehicles.sprung_mass * STANDARD_GRAVITY * (vehicles.sprung_centre[:, 2] - 0.4)
    expected = couple / (stiffness.sum(axis=1) - couple)
    good = expected > 0.0
    assert good.sum() > 50
    np.testing.assert_allclose(roll_gradient(vehicles)[good], expected[good], rtol=1e-6)


def test_more_stiffness_rolls_less_and_a_released_bar_more():
    drawn = random_vehicles(34, 200)
    # Roll centres at the hubs: where one lies above the centre of gravity, more stiffness can roll more.
    vehicles = replace(
        drawn,
        solid=np.ones_like(drawn.solid),
        pivot_height=np.zeros_like(drawn.pivot_height),
        cross_link_rate=np.zeros(drawn.lanes),
    )
    stiffer = replace(vehicles, auxiliary_rate=vehicles.auxiliary_rate + 5e3)
    softer = replace(vehicles, bar_rate=np.zeros_like(vehicles.bar_rate))
    stands = np.isfinite(roll_gradient(softer))
    assert stands.sum() > 150
    found = roll_gradient(vehicles)[stands]
    assert (found > 0.0).all()
    assert (roll_gradient(stiffer)[stands] < found).all()
    assert (roll_gradient(softer)[stands] >= found).all()
