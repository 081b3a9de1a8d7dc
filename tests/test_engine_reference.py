"""The settling-in-time reference checked by itself: statics, symmetry, and what must not change its answer.

Tolerances are those of a state that still moves at 1e-8 m/s; they are far below the newton at which two
implementations of the same vehicle are compared.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from articulate.constants import STANDARD_GRAVITY
from articulate.model.ramp_test import RampTest, ramp_test
from articulate.model.vehicles import Vehicles
from tests.engine import settling
from tests.engine.fleet import RUNS, Run
from tests.engine.forces import axle_loads, hub_heights
from tests.engine.settling import Settled, find_unloading, settle

SWAP_SIDES = [1, 0, 3, 2]


def run_named(label: str) -> Run:
    return next(run for run in RUNS if run.label.startswith(label))


def weight(vehicle: Vehicles) -> float:
    mass = vehicle.sprung_mass[0] + vehicle.load_mass[0] + vehicle.unsprung_mass[0].sum()
    return float(mass) * STANDARD_GRAVITY


def square_plate(share_ahead: float, share_left: float) -> Vehicles:
    """A nearly rigid vehicle of 4000 N on light wheels; the shares are of half wheelbase and half track."""
    like = run_named("independent front and rear").vehicle
    wheelbase, track = 2.4, 1.5
    alike = {
        "track": track,
        "unsprung_mass": 1e-3,
        "tyre_radius": 0.4,
        "tyre_stiffness": 3e6,
        "tyre_section_radius": 0.1,
        "spring_rate": 1e6,
        "swing_arm": 0.7,
        "pivot_height": 0.0,
        "bar_rate": 0.0,
    }
    centre = [0.5 * wheelbase * (1.0 - share_ahead), 0.5 * track * share_left, 0.4]
    return replace(
        like,
        wheelbase=np.array([wheelbase]),
        sprung_mass=np.array([4000.0 / STANDARD_GRAVITY]),
        sprung_centre=np.array([centre]),
        **{name: np.full((1, 2), value) for name, value in alike.items()},
    )


CENTRED = [run for run in RUNS if run.vehicle.sprung_centre[0, 1] == 0.0 and run.vehicle.load_mass[0] == 0.0]
SIDE_LOADED = [
    run_named("centre of gravity left"),
    run_named("centre of gravity right"),
    run_named("twisting frame, offset"),
    run_named("cross-linked bars"),
]


def names(runs: list[Run]) -> list[str]:
    return [run.label for run in runs]


@pytest.mark.parametrize("run", CENTRED, ids=names(CENTRED))
def test_a_centred_vehicle_stands_at_ride_height_with_its_axle_loads(run: Run) -> None:
    state = settle(run.vehicle, run.test, None)
    front, rear = axle_loads(run.vehicle)
    assert state.came_to_rest
    np.testing.assert_allclose(state.loads, [front / 2, front / 2, rear / 2, rear / 2], atol=0.01)
    np.testing.assert_allclose(state.travel, 0.0, atol=1e-7)
    np.testing.assert_allclose(state.hubs[[0, 2], 2], hub_heights(run.vehicle), atol=1e-7)
    assert front + rear == pytest.approx(weight(run.vehicle))


def test_axle_loads_and_hub_heights_agree_with_those_the_vehicle_states() -> None:
    for run in RUNS:
        np.testing.assert_allclose(run.vehicle.reference_axle_load()[0], axle_loads(run.vehicle), rtol=1e-12)
        np.testing.assert_allclose(run.vehicle.reference_hub_height()[0], hub_heights(run.vehicle), rtol=1e-12)


def test_a_plate_on_four_equal_springs_shares_its_weight_by_the_lever_rule() -> None:
    # P/4 (1 +- x/a +- y/b) with 4000 N, 0.2, 0.1: statics, derived. The fraction of a newton that is
    # left is the lean of springs that are not quite rigid
    state = settle(square_plate(0.2, 0.1), ramp_test(1), None)
    assert state.came_to_rest
    np.testing.assert_allclose(state.loads, [1300.0, 1100.0, 900.0, 700.0], atol=0.5)


@pytest.mark.parametrize("run", SIDE_LOADED, ids=names(SIDE_LOADED))
def test_the_mirrored_vehicle_stands_mirrored_on_the_flat(run: Run) -> None:
    one, other = (settle(v, run.test, None) for v in (run.vehicle, run.vehicle.mirrored()))
    assert one.came_to_rest
    assert other.came_to_rest
    assert abs(one.roll) > 1e-4
    assert other.roll == pytest.approx(-one.roll, abs=1e-8)
    assert other.pitch == pytest.approx(one.pitch, abs=1e-8)
    np.testing.assert_allclose(other.loads, one.loads[SWAP_SIDES], atol=0.01)
    np.testing.assert_allclose(other.travel, one.travel[SWAP_SIDES], atol=1e-7)


def assert_balanced(vehicle: Vehicles, test: RampTest, state: Settled) -> None:
    """Whole-vehicle balance about the toe line; what holds on the flat is at ground level, without an arm."""
    vertical = along_x = along_y = 0.0
    for _, _, (x, y, z), (fx, _, fz) in state.contacts:
        vertical += fz
        along_x += y * fz
        along_y += z * fx - x * fz
    x, y, _ = state.centre_of_mass
    total = weight(vehicle)
    assert vertical == pytest.approx(total, abs=0.01)
    assert along_x == pytest.approx(y * total, abs=0.02)
    assert along_y == pytest.approx(-x * total, abs=0.02)
    assert state.holding_error == pytest.approx(0.0, abs=0.01)
    share = 1.0 - float(test.holding_share[0])
    pushed = sum(force[0] for _, _, _, force in state.contacts)
    normal = sum(force for _, force, _, f in state.contacts if f[0] or share == 0.0)
    if share == 0.0:
        assert pushed == pytest.approx(0.0, abs=1e-6)
    else:
        assert pushed == pytest.approx(-share * normal * np.sin(test.angle[0]), rel=1e-9)


RAMP = [
    run_named("torsion-bar front"),
    run_named("solid coil front and rear, ramp wheel holds"),
    run_named("solid front, independent rear, 30"),
    run_named("centre of gravity left"),
    run_named("cross-linked bars"),
    run_named("twisting frame, offset"),
]


@pytest.mark.parametrize("run", RAMP, ids=names(RAMP))
def test_the_whole_vehicle_is_in_balance_on_the_ramp(run: Run) -> None:
    climb = 0.3 * float(run.vehicle.wheelbase[0])
    state = settle(run.vehicle, run.test, climb)
    assert state.came_to_rest
    assert state.climb == pytest.approx(climb, abs=1e-9)
    assert_balanced(run.vehicle, run.test, state)


def test_both_lane_wheels_on_the_ramp_are_in_balance() -> None:
    run = run_named("long travel: the rear wheel is on the ramp too")
    state = settle(run.vehicle, run.test, 1.25 * float(run.vehicle.wheelbase[0]))
    assert state.came_to_rest
    assert [force[0] < 0.0 for _, _, _, force in state.contacts] == [True, False, True, False]
    assert_balanced(run.vehicle, run.test, state)


def test_the_way_there_and_the_time_step_do_not_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    run = run_named("twisting frame, offset")
    climb = 0.9
    plain = settle(run.vehicle, run.test, climb)
    from_above = settle(run.vehicle, run.test, climb, settle(run.vehicle, run.test, climb + 0.3))
    monkeypatch.setattr(settling, "TIME_STEP", 0.001)
    monkeypatch.setattr(settling, "FASTEST", 14.0)
    finer = settle(run.vehicle, run.test, climb)
    for other in (from_above, finer):
        assert other.came_to_rest
        np.testing.assert_allclose(other.loads, plain.loads, atol=0.01)
        assert other.twist == pytest.approx(plain.twist, abs=1e-7)


def test_a_very_stiff_frame_is_a_rigid_one() -> None:
    run = run_named("centre of gravity left")
    rigid = settle(run.vehicle, run.test, 0.8)
    stiff = settle(replace(run.vehicle, frame_compliance=np.array([1e-8])), run.test, 0.8)
    soft = settle(replace(run.vehicle, frame_compliance=np.array([5e-7])), run.test, 0.8)
    np.testing.assert_allclose(stiff.loads, rigid.loads, atol=2.0)
    # small deviations from the rigid frame go with the compliance
    ratio = (soft.loads - rigid.loads) / (stiff.loads - rigid.loads)
    np.testing.assert_allclose(ratio, 50.0, rtol=0.02)


def test_the_unloading_climb_does_not_depend_on_the_guess() -> None:
    run = run_named("independent front and rear, bars connected")
    one, other = (find_unloading(run.vehicle, run.test, near) for near in (1.1, 1.35))
    assert one.found
    assert other.found
    assert one.wheel == other.wheel
    assert one.loads[one.wheel] < 0.1
    assert other.score == pytest.approx(one.score, abs=0.01)
    assert_balanced(run.vehicle, run.test, one.state)


def test_the_touch_load_is_what_the_wheel_still_carries() -> None:
    run = run_named("touch load")
    touch = float(run.test.touch_load[0])
    found = find_unloading(run.vehicle, run.test, 1.07)
    assert found.found
    assert found.loads[found.wheel] == pytest.approx(touch, abs=0.1)
    assert min(np.delete(found.loads, [0, found.wheel])) > touch


def test_more_than_one_lane_is_refused() -> None:
    run = RUNS[0]
    with pytest.raises(ValueError, match="one lane"):
        settle(run.vehicle, ramp_test(2), None)
