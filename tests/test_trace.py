"""A climb in detail: several at once are those of each alone, and events are where a limit is met, to a micrometre."""

from __future__ import annotations

import numpy as np
import pytest

from articulate.climb import climb_to_unload, settle
from articulate.constants import STANDARD_GRAVITY
from articulate.model.balance import RampSystem
from articulate.model.measures import beyond_limits, measures
from articulate.model.ramp_test import ramp_test
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.studies.day.moments import at_climbs
from articulate.trace import CLIMB_TOLERANCE, BodyPoint, Watched, traces
from tests.random_vehicles import random_tests, random_vehicles

LIMITS = ("bump stop", "droop stop", "coil")  # in the order of `beyond_limits`


def test_climbs_in_detail_at_once_are_those_of_each_alone():
    vehicles, test = random_vehicles(3, 12), random_tests(3, 12)
    climbed = climb_to_unload(vehicles, test)
    lanes = [7, 0, 4, 11]
    together = traces(vehicles, test, climbed, lanes, points=21)
    assert len({path.climb[-1] for path in together}) == len(lanes)
    for lane, path in zip(lanes, together, strict=True):
        (alone,) = traces(vehicles, test, climbed, [lane], points=21)
        assert path.climb[-1] == climbed.nodes.parameter[climbed.nodes.lane == lane][-1]
        assert path.events == alone.events
        np.testing.assert_array_equal(path.state[-1], climbed.state[lane])
        for name in ("climb", "state", "anchor"):
            np.testing.assert_array_equal(getattr(path, name), getattr(alone, name))
        np.testing.assert_array_equal(path.measures.wheel_load, alone.measures.wheel_load)


@pytest.mark.parametrize("file", ["wagon", "ladder_frame_pickup", "short_two_door"])
def test_a_limit_is_met_within_a_micrometre_of_its_event(file):
    """Against states solved afresh on both sides of it, whatever way it was closed in on."""
    vehicle, test = build(load_vehicle(f"vehicle_specs_demo/{file}.toml")), ramp_test(1)
    run = predict(vehicle, test).connected
    events = [event for event in run.events if event.kind in LIMITS and event.climb > run.trace.climb[0]]
    assert events
    for event in events:
        beside = at_climbs(vehicle, test, "left", run, event.climb + CLIMB_TOLERANCE * np.array([-1.0, 1.0]))
        found = measures(RampSystem.of(beside.vehicles, beside.test), beside.state, beside.climb)
        before, after = beyond_limits(found, beside.vehicles)[:, LIMITS.index(event.kind), event.corner]
        assert (before > 0.0) != (after > 0.0)
        assert (after > 0.0) == event.begins


def test_an_arch_ends_the_travel_of_an_independent_wheel_and_not_that_of_an_axle():
    """Arches 20 mm before the stops: of the independent front they alone are met, the solid rear comes to both."""
    van = build(load_vehicle("vehicle_specs_demo/forward_control_van.toml"))
    assert van.solid.tolist() == [[False, True]]
    events = predict(van, watched=Watched(arch_gap=van.bump_gap - 0.02)).connected.events
    met = {kind: {event.corner for event in events if event.kind == kind} for kind in ("arch", "bump stop")}
    assert met == {"arch": {0, 3}, "bump stop": {3}}


def test_what_hangs_beside_the_ramps_lane_is_over_the_floor():
    """Points in one line across the body, on a lane 0.7 m wide: each is told by the plane that lies below it."""
    vehicle, test = build(load_vehicle("vehicle_specs_demo/wagon.toml")), ramp_test(1)
    track = 0.5 * vehicle.track[0, 0]
    on_ramp, also, beside, across = lefts = (track, track - 0.15, track - 0.6, -track)
    points = tuple(BodyPoint(f"{left}", -0.35, left, 0.6) for left in lefts)
    path = predict(vehicle, test, watched=Watched(points=points, ramp_width=0.7)).connected.trace
    clear, roll, pitch = path.clearance[-1], path.measures.roll[-1], path.measures.pitch[-1]
    # Across the body heights go by roll: upwards by its part cos(pitch), square to the ramp by cos(pitch + ramp).
    assert clear[2] - clear[3] == pytest.approx((beside - across) * np.sin(roll) * np.cos(pitch), abs=1e-9)
    square = np.cos(pitch + test.angle[0])
    assert clear[0] - clear[1] == pytest.approx((on_ramp - also) * np.sin(roll) * square, abs=1e-9)
    assert clear[1] < clear[2] - 0.3  # the ramp stands between


def test_springs_carry_what_stands_on_them():
    """By statics: the load of a solid axle less its own weight; how far a coil is from its seat is what it carries."""
    vehicle, test = build(load_vehicle("vehicle_specs_demo/wagon.toml")).frictionless(), ramp_test(1)
    assert vehicle.solid[0, 1]
    rest = settle(vehicle, test)
    standing = measures(RampSystem.of(vehicle, test), rest.state, rest.parameter)
    carried = rest.margins[0, 2:].sum() - vehicle.unsprung_mass[0, 1] * STANDARD_GRAVITY
    assert -standing.spring_tension[0, 2:].sum() == pytest.approx(carried, rel=1e-3)
