"""The steady turn's and the blocks' equations: exact derivatives, statics of the answer, and the ramp's own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from articulate.climb import settle
from articulate.constants import STANDARD_GRAVITY
from articulate.model.balance import BODY_ROLL, RampSystem
from articulate.model.blocks import BlockSystem
from articulate.model.measures import measures
from articulate.model.ramp_test import ramp_test
from articulate.model.steady_turn import TurnSystem
from articulate.roll_gradient import roll_gradient
from articulate.solve.newton import solve_at
from articulate.solve.path import End, follow
from tests.exactness import EXACT, derivative_error
from tests.gradient_vehicles import as_the_gradient_takes_them
from tests.random_vehicles import random_vehicles

LANES = 64


def frictional(vehicles):
    return replace(vehicles, friction_force=np.full((vehicles.lanes, 2), 200.0))


def some_posture(seed):
    """States near enough to rest that most wheels touch, and twisted, pitched and rolled all the same."""
    rng = np.random.default_rng(seed)
    return rng.normal(0.0, 1.0, (LANES, 8)) * [0.02, 0.02, 0.05, 0.02, 0.04, 0.04, 0.04, 0.04]


@pytest.mark.parametrize("rubs", [False, True])
def test_derivatives_of_the_turn_are_exact(rubs):
    vehicles = random_vehicles(41, LANES)
    system = TurnSystem.turning(frictional(vehicles) if rubs else vehicles)
    state, acceleration = some_posture(1), np.random.default_rng(2).uniform(0.0, 9.0, LANES)
    at = system.evaluate(state, acceleration)
    assert (at.margins < 0.0).any()
    assert derivative_error(system, state, acceleration, at.jacobian, at.climb_derivative).max() < EXACT


@pytest.mark.parametrize("rubs", [False, True])
def test_derivatives_of_the_blocks_are_exact(rubs):
    vehicles = random_vehicles(42, LANES)
    raised = np.random.default_rng(3).random((LANES, 4)) < 0.5
    system = BlockSystem.on_blocks(frictional(vehicles) if rubs else vehicles, raised)
    state, height = some_posture(4), np.random.default_rng(5).uniform(0.0, 0.3, LANES)
    at = system.evaluate(state, height)
    assert derivative_error(system, state, height, at.jacobian, at.climb_derivative).max() < EXACT


def test_straight_ahead_and_without_blocks_both_are_the_vehicle_at_rest():
    vehicles = random_vehicles(43, LANES)
    rest = settle(vehicles, ramp_test(LANES))
    good = np.flatnonzero(rest.converged & rest.stable)
    zero = np.zeros(LANES)
    for system in (TurnSystem.turning(vehicles), BlockSystem.on_blocks(vehicles, np.ones((LANES, 4), dtype=bool))):
        found = system.evaluate(rest.state, zero)
        np.testing.assert_allclose(found.residual[good], 0.0, atol=1e-8)
        np.testing.assert_allclose(found.margins[good], rest.margins[good], rtol=1e-8, atol=1e-5)


def test_all_four_wheels_on_blocks_stand_so_much_higher():
    vehicles = random_vehicles(44, LANES)
    rest = settle(vehicles, ramp_test(LANES))
    system = BlockSystem.on_blocks(vehicles, np.ones((LANES, 4), dtype=bool))
    raised = rest.state.copy()
    raised[:, 0] += 0.25
    good = rest.converged & rest.stable
    found = system.evaluate(raised, np.full(LANES, 0.25))
    np.testing.assert_allclose(found.residual[good], 0.0, atol=1e-8)


def test_a_small_lateral_force_rolls_by_the_gradient():
    vehicles = as_the_gradient_takes_them(random_vehicles(45, 300))
    vehicles = replace(vehicles, cross_link_rate=np.where(np.arange(300) % 3 == 0, 2e4, 0.0))
    system, zero = TurnSystem.turning(vehicles), np.zeros((300, 8))
    gradient = roll_gradient(vehicles)
    stands = np.isfinite(gradient)
    assert stands.sum() > 250
    # Even powers cancel between a left turn and a right one, and the third is out of reach at 1e-5 g.
    small = 1e-5
    roll = [
        solve_at(system, zero, np.full(300, sign * small * STANDARD_GRAVITY), tolerance=1e-14).state[:, BODY_ROLL]
        for sign in (1.0, -1.0)
    ]
    slope = (roll[0] - roll[1]) / (2.0 * small)
    np.testing.assert_allclose(slope[stands], gradient[stands], rtol=1e-8)


def test_forces_and_moments_of_a_turn_balance():
    vehicles = random_vehicles(46, LANES)
    acceleration = np.full(LANES, 2.0)
    rest = settle(vehicles, ramp_test(LANES))
    system = TurnSystem.turning(vehicles)
    found = solve_at(system, rest.state, acceleration)
    good = found.converged & found.stable & rest.stable
    assert good.sum() > 50
    # Statics of the whole vehicle, from where its parts stand: moment about a line along x on the ground.
    at = measures(system, found.state, acceleration)
    weight = system.masses.weight
    np.testing.assert_allclose(at.wheel_load.sum(axis=1)[good], weight[good], rtol=1e-8)
    by_ground = (at.wheel_load * at.contact[:, :, 1]).sum(axis=1)
    by_weight = weight * at.mass_centre[:, 1]
    by_inertia = weight * (2.0 / STANDARD_GRAVITY) * at.mass_centre[:, 2]
    np.testing.assert_allclose((by_ground + by_inertia)[good], by_weight[good], rtol=1e-8, atol=1e-4)


def test_a_rigid_vehicle_unloads_its_inner_wheels_at_its_static_stability_factor():
    # Closed form: a/g = t/(2 h), tests/closed_forms hold it.
    drawn = as_the_gradient_takes_them(random_vehicles(47, 8))
    track = np.full((8, 2), 1.5)
    stiff = replace(
        drawn, track=track, tyre_radius=np.full((8, 2), 0.4), tyre_section_radius=np.full((8, 2), 1e-6),
        tyre_stiffness=np.full((8, 2), 1e8), spring_rate=np.full((8, 2), 1e8), solid=np.ones((8, 2), dtype=bool),
        spring_half_base=track / 2.0, unsprung_mass=np.full((8, 2), 1e-3), pivot_height=np.zeros((8, 2)),
        spring_loose=np.zeros((8, 2), dtype=bool), spring_linked=np.zeros((8, 2), dtype=bool),
    )  # fmt: skip
    limit = STANDARD_GRAVITY * 1.5 / (2.0 * stiff.sprung_centre[:, 2])
    system = TurnSystem.turning(stiff)
    start = solve_at(system, np.zeros((8, 8)), np.zeros(8))
    path = follow(system, start, 0.999 * limit, np.full(8, -1e12), np.arange(4))
    assert (path.end == End.LIMIT).all()
    found = path.solution
    load = np.maximum(found.margins, 0.0)
    inner = load[:, [0, 2]].sum(axis=1) / load.sum(axis=1)
    np.testing.assert_allclose(inner, 0.0005, atol=1e-4)


def test_systems_give_the_same_for_lanes_taken_out():
    vehicles = random_vehicles(48, LANES)
    rows = np.array([5, 3, 40])
    state, parameter = some_posture(6), np.full(LANES, 0.1)
    raised = np.random.default_rng(7).random((LANES, 4)) < 0.5
    for system in (
        TurnSystem.turning(vehicles),
        BlockSystem.on_blocks(vehicles, raised),
        RampSystem.of(vehicles, ramp_test(LANES)),
    ):
        part = system.take(rows)
        assert type(part) is type(system)
        whole, some = system.evaluate(state, parameter), part.evaluate(state[rows], parameter[rows])
        np.testing.assert_array_equal(some.equations, whole.equations[rows])
