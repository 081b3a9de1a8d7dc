"""Climbs that end in wheelspin: the place, the share that goes with it, and nothing of it where no drive is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from articulate.climb import Outcome, climb_to_unload
from articulate.model.balance import RampSystem
from articulate.model.drive import traction
from articulate.model.ramp_test import ramp_test
from articulate.model.vehicles import stack
from articulate.solve.newton import solve_at
from articulate.spec import build, load_vehicle
from tests.engine.settling import settle as settle_in_time
from tests.random_drives import LOCKED, OPEN, driven, randomly_driven
from tests.random_vehicles import random_tests, random_vehicles

WAGON = "vehicle_specs_demo/wagon.toml"
LANES = 60


def wagon():
    """The demo wagon without auxiliary stiffness, as the figures of the physics contract have it."""
    return replace(build(load_vehicle(WAGON)), auxiliary_rate=np.zeros((1, 2)), auxiliary_rate_cubic=np.zeros((1, 2)))


def random_climbs(seed, lanes=LANES):
    vehicles, test = randomly_driven(seed, random_vehicles(seed, lanes), random_tests(seed, lanes))
    return vehicles, test, climb_to_unload(vehicles, test)


def traction_of(vehicles, test, state, climb):
    system = RampSystem.of(vehicles, test)
    return traction(vehicles, system.posture(state, climb).contacts.normal_force, test.angle)


# --- figures of the physics contract, section 9 ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("front_share", "centre_locked", "spins_at", "would_lift_at", "within"),
    [(0.0, False, 453, 603, 4), (1.0, False, 535, 586, 8), (0.5, False, 535, 594, 8), (0.5, True, 560, 586, 8)],
)
def test_the_wagon_on_open_axles_spins_where_the_contract_says(
    front_share, centre_locked, spins_at, would_lift_at, within
):
    climbed = climb_to_unload(driven(wagon(), front_share, centre_locked=centre_locked), ramp_test(1))
    assert climbed.outcome[0] == Outcome.WHEELS_SPIN
    assert climbed.outcome_without_spin[0] == Outcome.WHEEL_LIFTS
    assert climbed.wheel_without_spin[0] == 2
    assert climbed.score_without_spin[0] == pytest.approx(would_lift_at, abs=1)
    assert climbed.score[0] == pytest.approx(spins_at, abs=within)


def test_the_wagon_at_its_mark_asks_what_the_contract_says():
    vehicle, test = wagon(), ramp_test(1, holding_share=0.48)  # open axles, locked centre
    mark = climb_to_unload(vehicle, test)

    def at_mark(**drive):
        return traction_of(driven(vehicle, 0.5, **drive), test, mark.state, mark.climb)

    open_axles, locked = at_mark(centre_locked=True), at_mark(centre_locked=True, rear=LOCKED)
    assert open_axles.demand[0] == pytest.approx(3400.0, abs=50.0)
    assert 0.8 * open_axles.grip[0] == pytest.approx(1600.0, abs=50.0)
    assert open_axles.friction[0] == pytest.approx(1.7, abs=0.05)
    assert locked.friction[0] == pytest.approx(0.23, abs=0.005)
    assert at_mark().friction[0] > 1e6  # a lifted wheel on an open axle behind an open centre: nothing helps


# --- what holds for every vehicle --------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(3))
def test_a_climb_ends_where_the_friction_is_used_up_and_not_before(seed):
    vehicles, test, climbed = random_climbs(seed)
    assert (climbed.outcome != Outcome.NOT_CONVERGED).all()
    spins = np.flatnonzero(climbed.outcome == Outcome.WHEELS_SPIN)
    assert spins.size > LANES // 4
    for lane in spins[:12]:
        one, here = vehicles.take(np.array([lane])), climbed.as_held(test).take(np.array([lane]))
        end = traction_of(one, here, climbed.state[[lane]], climbed.climb[[lane]])
        after_jump = climbed.nodes.after_jump[climbed.nodes.lane == lane]
        if not after_jump.any():
            assert end.friction[0] == pytest.approx(test.friction[lane], rel=2e-4)
        np.testing.assert_array_equal(end.limiting[0], climbed.spinning[lane])
        # A climb with this share, looked at every few millimetres, is below the friction at hand all the way.
        again = climb_to_unload(replace(one, drive_known=np.array([False])), here)
        mine = again.nodes.parameter < climbed.climb[lane]
        start, state = again.nodes.parameter[mine][-1], again.nodes.state[mine][-1:]
        places = np.linspace(again.nodes.parameter[0], climbed.climb[lane] - 1e-4, 400)
        guess = np.array([np.interp(places, again.nodes.parameter, column) for column in again.nodes.state.T]).T
        many = np.zeros(places.size, dtype=np.intp)
        system = RampSystem.of(one.take(many), here.take(many))
        found = solve_at(system, guess, places)
        needed = traction(one.take(many), system.posture(found.state, places).contacts.normal_force, here.angle[many])
        assert (needed.friction[found.converged & found.stable] <= test.friction[lane] * (1.0 + 1e-3)).all()
        assert start <= climbed.climb[lane]
        assert np.isfinite(state).all()


@pytest.mark.parametrize("seed", range(3))
def test_the_holding_share_is_that_of_the_last_state(seed):
    vehicles, test, climbed = random_climbs(seed)
    ended = np.isfinite(climbed.climb)
    made = traction_of(vehicles, climbed.as_held(test), climbed.state, np.nan_to_num(climbed.climb)).holding_share
    off = np.abs(made - climbed.holding_share)[ended]
    # Where the share jumps with the wheel that lifts it has no value of its own.
    assert (off <= 1e-4).mean() > 0.93  # some 0.006 points of score


def test_a_given_holding_share_stands_whatever_the_drive():
    vehicle = driven(wagon(), 0.0)
    given = climb_to_unload(vehicle, ramp_test(1, holding_share=0.7))
    plain = climb_to_unload(wagon(), ramp_test(1, holding_share=0.7))
    assert given.holding_share[0] == 0.7
    assert given.outcome[0] == Outcome.WHEELS_SPIN
    np.testing.assert_allclose(given.score_without_spin, plain.score, rtol=1e-12)


def test_without_a_known_drive_nothing_spins():
    vehicles, test = random_vehicles(5, LANES), random_tests(5, LANES)
    climbed = climb_to_unload(vehicles, replace(test, friction=np.full(LANES, 0.05)))
    assert (climbed.outcome != Outcome.WHEELS_SPIN).all()
    assert np.isnan(climbed.friction_needed).all()
    np.testing.assert_array_equal(climbed.holding_share, test.holding_share)


@pytest.mark.parametrize("seed", range(2))
def test_scaling_every_force_moves_no_spin(seed):
    from tests.exactness import scaled_forces

    vehicles, test, one = random_climbs(seed, 30)
    other = climb_to_unload(*scaled_forces(vehicles, test, 2.7))
    np.testing.assert_array_equal(one.outcome, other.outcome)
    np.testing.assert_array_equal(one.spinning, other.spinning)
    np.testing.assert_allclose(other.score, one.score, rtol=1e-4)
    np.testing.assert_allclose(other.holding_share, one.holding_share, atol=1e-3)


def test_a_symmetric_vehicle_spins_alike_on_either_side():
    vehicles, test, _ = random_climbs(4, 30)
    centred = {"sprung_centre": vehicles.sprung_centre * [1, 0, 1], "load_centre": vehicles.load_centre * [1, 0, 1]}
    vehicles = replace(vehicles, **centred)
    here, there = climb_to_unload(vehicles, test), climb_to_unload(vehicles.mirrored(), test)
    np.testing.assert_array_equal(here.outcome, there.outcome)
    np.testing.assert_allclose(here.score, there.score, rtol=1e-12)


def test_lanes_with_and_without_a_drive_do_not_disturb_each_other():
    vehicles, test, together = random_climbs(6, 20)
    plain = replace(vehicles, drive_known=np.zeros(20, dtype=bool))
    both = climb_to_unload(stack([plain, vehicles]), test.take(np.r_[np.arange(20), np.arange(20)]))
    alone = climb_to_unload(plain, test)
    np.testing.assert_allclose(both.score[:20], alone.score, rtol=1e-9)
    np.testing.assert_allclose(both.score[20:], together.score, rtol=1e-9)
    np.testing.assert_array_equal(both.outcome[20:], together.outcome)


def test_more_friction_never_ends_a_climb_sooner_and_locks_help():
    grips = np.array([0.3, 0.45, 0.6, 0.8, 1.0])
    vehicle = wagon().take(np.zeros(5, dtype=np.intp))
    scores = climb_to_unload(driven(vehicle, 0.0), ramp_test(5, friction=grips)).score
    assert (np.diff(scores) > 0.0).all()
    kinds = [OPEN, 0.5, 0.25, LOCKED]
    drives = stack([driven(wagon(), 0.0, rear=ratio) for ratio in kinds])
    ends = climb_to_unload(drives, ramp_test(4, friction=0.4))
    assert (np.diff(ends.score) > 0.0).all()
    assert ends.outcome[-1] == Outcome.WHEEL_LIFTS


def test_the_mark_is_reached_with_just_the_friction_it_takes():
    vehicle = driven(wagon(), 0.5, centre_locked=True, rear=LOCKED)
    needed = climb_to_unload(vehicle, ramp_test(1)).friction_needed[0]
    grips = needed * np.array([0.98, 1.02])
    either = climb_to_unload(vehicle.take(np.zeros(2, dtype=np.intp)), ramp_test(2, friction=grips))
    assert either.outcome.tolist() == [Outcome.WHEELS_SPIN, Outcome.WHEEL_LIFTS]


def test_who_spins_before_the_toe_line_has_no_climb_to_score():
    """On a gentle ramp a soft tyre touches it before its mark is on it."""
    climbed = climb_to_unload(driven(wagon(), 0.0), ramp_test(1, angle=np.radians(6.0), friction=1e-7))
    assert climbed.outcome[0] == Outcome.WHEELS_SPIN
    assert climbed.climb[0] < 0.0
    assert climbed.score[0] == 0.0


def test_a_jump_beyond_the_place_where_wheels_spin_is_not_counted():
    vehicles, test = random_vehicles(0, 400).take(np.array([158])), random_tests(0, 400).take(np.array([158]))
    vehicles = driven(vehicles, 0.5)
    little, more = (climb_to_unload(vehicles, replace(test, friction=np.array([grip]))) for grip in (0.1, 0.3))
    assert (little.outcome[0], little.jumps[0]) == (Outcome.WHEELS_SPIN, 0)
    assert more.jumps[0] == more.nodes.after_jump.sum() == 2
    first_jump = more.nodes.parameter[more.nodes.after_jump].min()
    assert little.climb[0] < first_jump < more.climb[0]


def test_friction_of_the_suspension_goes_with_the_way_to_the_spin():
    # The state at the spin is on the climb's own way: driven there again in short strides it is met.
    vehicle, test = driven(wagon(), 0.0), ramp_test(1)
    coarse = climb_to_unload(vehicle, test)
    fine = climb_to_unload(vehicle, test, longest_step=0.05)
    assert vehicle.friction_force.min() > 0.0
    assert fine.score[0] == pytest.approx(coarse.score[0], abs=0.1)
    np.testing.assert_allclose(fine.anchor, coarse.anchor, atol=1e-4)


def test_wheel_loads_where_it_spins_are_those_of_the_settling_engine():
    vehicle = driven(wagon().frictionless(), 0.5, centre_locked=True)
    climbed = climb_to_unload(vehicle, ramp_test(1))
    theirs = settle_in_time(vehicle, climbed.as_held(ramp_test(1)), float(climbed.climb[0]))
    np.testing.assert_allclose(theirs.loads, climbed.wheel_load[0], atol=2.0)
    force = np.zeros((1, 2, 3))
    force[0, 0, 2], force[0, 0, 1], force[0, 1, 0], force[0, 1, 1] = theirs.loads
    assert traction(vehicle, force, ramp_test(1).angle).friction[0] == pytest.approx(0.8, rel=2e-3)
