"""Travel limit and three-wheel statics against the finite-angle reference."""

from dataclasses import replace

import numpy as np
import pytest

from articulate.closed_forms import hub_path, three_wheels, travel_limit
from tests.closed_forms.finite_angle import Vehicle, carrier, climb_to_unload
from tests.closed_forms.reference_cases import PAIRS, rigid_limit_of
from tests.closed_forms.rigid_supports import KINDS, SOLID, carrier_coordinates, held_by_its_stops

RAMP = np.radians(20.0)


def reference(vehicle, wheel):
    limit = rigid_limit_of(vehicle, RAMP)
    front = carrier_coordinates(vehicle.axles[0], True)
    y, z, _ = carrier(vehicle.axles[0], -1, *front)
    radius = vehicle.axles[0].radius
    height = radius - y * np.sin(limit.body_roll) - (z + radius) * np.cos(limit.body_roll)
    start = [height, limit.body_pitch, limit.body_roll, *front, *carrier_coordinates(vehicle.axles[1], False)]
    climb, state, _ = climb_to_unload(vehicle, RAMP, 0.5, wheel, float(limit.climb), start, on_stops=True)
    assert (np.delete(state.loads, wheel) > 0.0).all()
    assert (state.stops > 0.0).all()
    return climb, limit


@pytest.mark.parametrize("front", KINDS)
@pytest.mark.parametrize("rear", KINDS)
@pytest.mark.parametrize(("behind", "wheel"), [(1.2, 2), (1.6, 1)])
def test_climb_on_the_stops_alone(front, rear, behind, wheel):
    # Rates a tenth and ten times as before: the gap to the rigid limit is a tenth.
    gaps = []
    for softness in (0.1, 0.01):
        climb, limit = reference(held_by_its_stops(front, rear, softness, behind), wheel)
        assert limit.rear_wheel_on_flat
        gaps.append(climb - limit.climb)
    assert gaps[0] / gaps[1] == pytest.approx(10.0, rel=0.02)
    assert 0.0 < gaps[1] < 3e-3


@pytest.mark.parametrize("front", ["solid", "independent"])
def test_round_sections_give_the_sum_of_the_angles(front):
    # Tyres of spherical section do not mind leaning, and a long swing arm moves its hub straight.
    far = 1e6
    axles = tuple(
        replace(KINDS[kind], track=track, section=0.4, radius=0.4, arm=far, pivot=0.0)
        for kind, track in ((front, 1.6), ("solid", 1.56))
    )
    limit = rigid_limit_of(Vehicle(axles=axles), RAMP)
    rear_angle = travel_limit.solid_axle_limit_angle(0.06, 0.08, 0.42, 0.5)
    front_angle = rear_angle if front == "solid" else travel_limit.independent_axle_limit_angle(0.07, 0.09, 1.6)
    rise = travel_limit.articulated_rise(1.6, front_angle, rear_angle, front == "solid", limit.body_pitch)
    assert limit.articulation == pytest.approx(front_angle + rear_angle, abs=1e-6)
    assert limit.body_roll == pytest.approx(rear_angle, abs=1e-12)
    assert limit.hub_rise == pytest.approx(rise, abs=1e-6)
    assert limit.climb == pytest.approx(travel_limit.travel_limited_climb(rise, 0.4, RAMP), abs=2e-6)
    assert limit.body_pitch < 0.0


def test_rear_wheel_in_the_ramp_is_told():
    long_travel = [replace(axle, bump_gap=0.3, droop_gap=0.3) for axle in (SOLID, SOLID)]
    limit = rigid_limit_of(Vehicle(axles=tuple(long_travel)), RAMP)
    assert limit.climb > 2.8
    assert not limit.rear_wheel_on_flat


def test_travel_limit_takes_batches():
    one = {
        "track": [1.6, 1.56], "tyre_radius": 0.4, "tyre_section_radius": 0.13, "solid": [True, False], "swing_arm": 0.6,
        "pivot_height": 0.05, "bump_gap": 0.07, "bump_half_base": 0.4, "droop_gap": 0.09, "droop_half_base": 0.45,
    }  # fmt: skip
    angles = np.radians([10.0, 20.0, 25.0])
    batch = travel_limit.rigid_limit(wheelbase=np.array([2.5, 2.8, 3.0]), ramp_angle=angles, **one)
    for lane, (wheelbase, angle) in enumerate(zip((2.5, 2.8, 3.0), angles, strict=True)):
        alone = travel_limit.rigid_limit(wheelbase=wheelbase, ramp_angle=angle, **one)
        for field in vars(alone):
            np.testing.assert_allclose(getattr(batch, field)[lane], getattr(alone, field), rtol=1e-14)


def test_stops_that_never_hold_are_refused():
    with pytest.raises(ValueError, match="never held"):
        travel_limit.solid_axle_limit_angle(0.6, 0.5, 0.5, 0.5)


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
@pytest.mark.parametrize(("behind", "wheel"), [(1.0, 2), (1.8, 1)])
def test_loads_on_three_wheels_are_a_matter_of_place(pair, share, behind, wheel):
    # A wheel just off the ground at finite angles: springs, tyres and bars must not matter for the rest.
    vehicle = Vehicle(axles=PAIRS[pair], behind=behind)
    guess = float(hub_path.climb_from_hub_rise(0.3, 0.4, RAMP))
    _, state, _ = climb_to_unload(vehicle, RAMP, share, wheel, guess)
    standing = [i for i in range(4) if i != wheel]
    found = three_wheels.three_wheel_loads(
        vehicle.sprung_weight + sum(axle.unsprung_weight for axle in vehicle.axles),
        state.centre[:2],
        state.contacts[standing],
        [RAMP if i == 0 else 0.0 for i in standing],
        share,
    )
    np.testing.assert_allclose(found.normal, state.loads[standing], rtol=1e-7)


def test_three_contacts_in_a_line_are_refused():
    with pytest.raises(ValueError, match="one vertical plane"):
        three_wheels.three_wheel_loads(1e4, [0.0, 0.0], [[0, 0, 0], [1, 1, 0], [2, 2, 0]])
