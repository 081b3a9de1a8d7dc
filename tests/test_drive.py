"""What friction a state needs, which wheels spin and what the ramp wheel holds: against a linear programme over all
admissible forces, and against closed forms."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import linprog

from articulate.model.drive import level_holding_share, traction
from articulate.model.ramp_test import STANDARD_ANGLE
from tests.random_drives import LOCKED, OPEN, driven, randomly_driven
from tests.random_vehicles import random_tests, random_vehicles

COSINE = np.cos(STANDARD_ANGLE)
FRONT_LEFT, FRONT_RIGHT, REAR_LEFT, REAR_RIGHT = range(4)


def random_forces(seed, lanes):
    """Normal forces of the contacts: a front left wheel on the ramp or on both, light wheels and lifted ones."""
    rng = np.random.default_rng([seed, 8])
    force = np.zeros((lanes, 2, 3))
    load = rng.uniform(0.0, 9000.0, (lanes, 2, 2)) * np.where(rng.random((lanes, 2, 2)) < 0.15, 1e-3, 1.0)
    on_ramp = np.stack([rng.choice([1.0, 0.4], lanes), rng.choice([0.0, 0.0, 0.7, 1.0], lanes)], axis=1)
    force[:, :, 0] = load[:, :, 0] * (1.0 - on_ramp)
    force[:, :, 2] = load[:, :, 0] * on_ramp
    force[:, :, 1] = load[:, :, 1]
    return force


def least_friction(vehicle, force, angle):
    """The least friction with which some admissible forces balance, by linear programming; infinite if none do.

    Unknowns: F of the four wheels, S of the centre, mu. F_k <= mu N_k; an open differential has equal forces, a
    limited one F_i <= F_j / r both ways, a locked one any; an open centre A_f = p S and A_r = (1 - p) S.
    """
    normal = np.array([force[0, 0] + force[0, 2], force[0, 1], force[1, 0] + force[1, 2], force[1, 1]])
    ramp = np.array([force[0, 2], 0.0, force[1, 2], 0.0])
    part = np.divide(ramp, normal, out=np.zeros(4), where=normal > 0.0)
    horizontal = 1.0 - part * (1.0 - np.cos(angle))
    demand = np.sin(angle) * ramp.sum()
    equal, level = [np.r_[horizontal, 0.0, 0.0]], [demand]
    upper = [np.r_[np.eye(4)[k], 0.0, -normal[k]] for k in range(4)]
    for axle in range(2):
        left, right = np.eye(4)[2 * axle], np.eye(4)[2 * axle + 1]
        ratio = vehicle.torque_ratio[0, axle]
        if ratio > 0.0:
            upper += [np.r_[ratio * one - other, 0.0, 0.0] for one, other in ((left, right), (right, left))]
        if not vehicle.centre_locked[0]:
            p = vehicle.front_drive_share[0]
            equal.append(np.r_[left + right, -(1.0 - p if axle else p), 0.0])
            level.append(0.0)
    found = linprog(
        np.r_[np.zeros(5), 1.0],
        A_ub=np.array(upper) / 1e3,
        b_ub=np.zeros(len(upper)),
        A_eq=np.array(equal) / 1e3,
        b_eq=np.array(level) / 1e3,
        bounds=[(0.0, None)] * 6,
    )
    return found.fun if found.status == 0 else np.inf


@pytest.mark.parametrize("seed", range(3))
def test_no_admissible_forces_need_less_friction(seed):
    lanes = 120
    vehicles, _ = randomly_driven(seed, random_vehicles(seed, lanes), random_tests(seed, lanes))
    force = random_forces(seed, lanes)
    angle = np.full(lanes, STANDARD_ANGLE)
    ours = traction(vehicles, force, angle).friction
    least = np.array(
        [least_friction(vehicles.take(np.array([k])), force[k], STANDARD_ANGLE) for k in range(lanes)],
    )
    # An open centre whose axle shares by load could favour the wheel on the flat, whose push is all horizontal.
    mixed = ~vehicles.centre_locked & (vehicles.torque_ratio < 1.0).any(axis=1)
    both = (vehicles.front_drive_share > 0.0) & (vehicles.front_drive_share < 1.0)
    loose = mixed & both
    np.testing.assert_allclose(ours[~loose], least[~loose], rtol=1e-6)
    assert (ours[loose] >= least[loose] * (1.0 - 1e-6)).all()
    assert (ours[loose] <= least[loose] / COSINE).all()  # c of an axle lies between cos g and 1
    assert np.quantile(ours[loose] / least[loose], 0.9) < 1.03  # the contract's "up to 3 %", of plausible states
    assert loose.sum() > 10
    assert (~loose).sum() > 40


def loads(front_left, front_right, rear_left, rear_right):
    """Forces of one state, the front left wheel alone on the ramp."""
    force = np.zeros((1, 2, 3))
    force[0, 0, 2], force[0, 0, 1], force[0, 1, 0], force[0, 1, 1] = front_left, front_right, rear_left, rear_right
    return force


MARK = loads(9800.0, 1040.0, 0.0, 12500.0)
LEVEL = loads(6000.0, 6000.0, 6000.0, 6000.0)


@pytest.mark.parametrize(
    ("drive", "force", "share"),
    [
        ({"front_share": 0.0}, MARK, 0.0),
        ({"front_share": 0.0, "rear": LOCKED}, MARK, 0.0),
        ({"front_share": 1.0}, MARK, COSINE / (1.0 + COSINE)),
        ({"front_share": 0.5}, MARK, 0.25 * COSINE / (0.25 * (1.0 + COSINE) + 0.5)),
        ({"front_share": 0.3}, MARK, 0.15 * COSINE / (0.15 * (1.0 + COSINE) + 0.7)),
        ({"front_share": 0.5, "centre_locked": True}, LEVEL, 0.25 * COSINE / (0.25 * (1.0 + COSINE) + 0.5)),
        ({"front_share": 0.5, "centre_locked": True}, MARK, COSINE / (1.0 + COSINE)),
        ({"front_share": 0.5, "centre_locked": True}, loads(9800.0, 0.0, 1000.0, 12500.0), 0.0),
        ({"front_share": 1.0, "front": LOCKED}, MARK, 9800.0 * COSINE / (9800.0 * COSINE + 1040.0)),
    ],
)
def test_the_holding_share_is_that_of_the_closed_form(drive, force, share):
    one = driven(random_vehicles(1, 1), **drive)
    found = traction(one, force, np.array([STANDARD_ANGLE])).holding_share
    np.testing.assert_allclose(found, share, atol=1e-12)


def test_the_holding_shares_people_quote():
    # 0.48, 0.24 and "some 0.9" of the physics contract.
    one = random_vehicles(1, 1)
    shares = [
        level_holding_share(driven(one, 1.0), np.array([STANDARD_ANGLE]))[0],
        level_holding_share(driven(one, 0.5), np.array([STANDARD_ANGLE]))[0],
        traction(driven(one, 1.0, front=LOCKED), MARK, np.array([STANDARD_ANGLE])).holding_share[0],
    ]
    np.testing.assert_allclose(shares, [0.48, 0.24, 0.9], atol=0.005)


@pytest.mark.parametrize(
    ("drive", "spinning"),
    [
        ({"front_share": 0.0}, [REAR_LEFT]),
        ({"front_share": 0.0, "rear": LOCKED}, [REAR_LEFT, REAR_RIGHT]),
        ({"front_share": 1.0}, [FRONT_RIGHT]),
        ({"front_share": 0.5}, [REAR_LEFT]),
        ({"front_share": 0.5, "centre_locked": True}, [FRONT_RIGHT, REAR_LEFT]),
        ({"front_share": 0.5, "front": LOCKED, "rear": LOCKED}, [FRONT_LEFT, FRONT_RIGHT]),
        ({"front_share": 0.5, "centre_locked": True, "rear": LOCKED}, [FRONT_RIGHT, REAR_LEFT, REAR_RIGHT]),
    ],
)
def test_the_wheels_that_spin_are_those_at_their_limit(drive, spinning):
    found = traction(driven(random_vehicles(1, 1), **drive), MARK, np.array([STANDARD_ANGLE]))
    assert np.flatnonzero(found.limiting[0]).tolist() == spinning


def test_limited_slip_lies_between_open_and_locked():
    one, angle = random_vehicles(1, 1), np.array([STANDARD_ANGLE])
    force = loads(9800.0, 1040.0, 500.0, 12500.0)
    needed = [traction(driven(one, 0.0, rear=ratio), force, angle).friction[0] for ratio in (OPEN, 1 / 3, LOCKED)]
    demand = np.sin(STANDARD_ANGLE) * 9800.0
    # By hand: B is twice the lighter load, the lighter and three times it, both loads.
    np.testing.assert_allclose(needed, [demand / 1000.0, demand / 2000.0, demand / 13000.0])


def test_nothing_on_the_ramp_needs_nothing_and_says_no_share():
    force = LEVEL.copy()
    force[0, 0, 0], force[0, 0, 2] = force[0, 0, 2], 0.0
    found = traction(driven(random_vehicles(1, 1), 1.0), force, np.array([STANDARD_ANGLE]))
    assert found.friction[0] == 0.0
    assert np.isnan(found.holding_share[0])


def test_a_wrong_limit_is_seen_by_the_programme():
    # Were an open differential taken as locked, the programme would ask for more.
    one = driven(random_vehicles(1, 1), 1.0)
    taken = traction(driven(random_vehicles(1, 1), 1.0, front=LOCKED), MARK, np.array([STANDARD_ANGLE])).friction[0]
    assert least_friction(one, MARK[0], STANDARD_ANGLE) > 2.0 * taken
    assert least_friction(replace(one, torque_ratio=np.zeros((1, 2))), MARK[0], STANDARD_ANGLE) == pytest.approx(taken)
