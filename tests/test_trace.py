"""A climb in detail: several at once are those of each alone, and events are where a limit is met, to a micrometre."""

from __future__ import annotations

import numpy as np
import pytest

from articulate.climb import climb_to_unload
from articulate.model.balance import RampSystem
from articulate.model.measures import beyond_limits, measures
from articulate.model.ramp_test import ramp_test
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.studies.day.moments import at_climbs
from articulate.trace import CLIMB_TOLERANCE, traces
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
