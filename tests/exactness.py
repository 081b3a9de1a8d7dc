"""Derivatives by differences, and climbs that must tell the same."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from articulate.model.balance import UNKNOWNS, RampSystem
from articulate.model.suspension import SPRING, element_displacement, spring_force_without_seat
from tests.random_vehicles import random_tests, random_vehicles

HALF_STEP = 1e-6  # of central differences
EXACT = 2e-6  # of the largest entry of an equation's row, what differences of this step resolve


def random_postures(seed, lanes):
    """Systems at states and climbs far from balance, wheels in the corner and on both planes among them."""
    rng = np.random.default_rng([seed, 3])
    system = RampSystem.of(random_vehicles(seed, lanes), random_tests(seed, lanes))
    state = rng.normal(0.0, 1.0, (lanes, UNKNOWNS)) * [0.03, 0.05, 0.1, 0.05, 0.07, 0.07, 0.07, 0.07]
    return system, state, rng.uniform(-0.3, 4.5, lanes)


def switches(system, state, climb):
    """Everything that turns on and off, (lanes, n): differences across a switch are no derivatives."""
    posture = system.posture(state, climb)
    contacts, elements = posture.contacts, system.elements
    displacement = element_displacement(elements, system.geometry, posture.pose)
    engaged = elements.offset + elements.slope * displacement > 0.0
    engaged[..., SPRING] = spring_force_without_seat(elements, displacement) > 0.0
    reach = np.where(contacts.in_reach, contacts.penetration, -np.inf)
    lanes = state.shape[0]
    kinds = [contacts.penetration > 0.0, contacts.in_reach, engaged, reach[:, :, 0] > reach[:, :, 2]]
    if system.friction is not None:
        kinds.append(np.abs(posture.pose.hub_travel - system.friction.anchor) > system.friction.reach)
    return np.concatenate([kind.reshape(lanes, -1) for kind in kinds], axis=1)


def difference(system, state, climb, move, climb_move):
    """Central differences of residual and margins along a move, and in which lanes they hold."""
    step = HALF_STEP * move
    ahead, behind = (state + step, climb + HALF_STEP * climb_move), (state - step, climb - HALF_STEP * climb_move)
    same = (switches(system, *ahead) == switches(system, *behind)).all(axis=1)
    high, low = system.evaluate(*ahead), system.evaluate(*behind)
    return (high.residual - low.residual) / (2 * HALF_STEP), (high.margins - low.margins) / (2 * HALF_STEP), same


def derivative_error(system, state, climb, jacobian, climb_derivative):
    """Largest departure of each entry of (J, dF/ds) from central differences, relative to its row, (8, 9)."""
    stated = np.concatenate([jacobian, climb_derivative[:, :, None]], axis=2)
    scale = np.maximum(np.abs(stated).max(axis=2), 1.0)
    error = np.zeros((UNKNOWNS, UNKNOWNS + 1))
    for column in range(UNKNOWNS + 1):
        move, climb_move = np.zeros(UNKNOWNS), 1.0
        if column < UNKNOWNS:
            move[column], climb_move = 1.0, 0.0
        measured, _, same = difference(system, state, climb, move, climb_move)
        assert same.mean() > 0.9
        error[:, column] = (np.abs(measured - stated[:, :, column]) / scale)[same].max(axis=0)
    return error


def same_climbs(one, other, relative=1e-6):
    """Two batches of climbs tell the same: outcome, wheel, score."""
    np.testing.assert_array_equal(one.outcome, other.outcome)
    np.testing.assert_array_equal(one.wheel, other.wheel)
    np.testing.assert_allclose(one.score, other.score, rtol=relative, atol=0.0)


def scaled_forces(vehicles, test, factor):
    """Every mass, rate and threshold times a factor."""
    grown = {
        name: getattr(vehicles, name) * factor
        for name in (
            "unsprung_mass", "sprung_mass", "load_mass", "tyre_stiffness", "spring_rate", "bump_rate",
            "bump_rate_cubic", "droop_rate", "bar_rate", "auxiliary_rate", "auxiliary_rate_cubic", "cross_link_rate",
            "friction_force", "friction_stiffness",
        )
    }  # fmt: skip
    grown["frame_compliance"] = vehicles.frame_compliance / factor
    return replace(vehicles, **grown), replace(test, touch_load=test.touch_load * factor)
