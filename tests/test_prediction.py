"""The prediction's detail against the model: events lie where the signals cross, the trace is in balance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from articulate.climb import Outcome, climb_to_unload
from articulate.ends import ends_of, in_case
from articulate.model.balance import RampSystem
from articulate.model.measures import tipping
from articulate.model.ramp_test import ramp_test
from articulate.output.text.prediction import warnings
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.types import ACROSS, Case


@pytest.fixture(scope="module")
def wagon():
    return build(load_vehicle("vehicle_specs_demo/wagon.toml"))


def test_every_point_of_the_trace_is_in_balance(wagon):
    path = predict(wagon).connected.trace
    lanes = path.climb.size
    system = RampSystem.of(wagon.take(np.zeros(lanes, dtype=int)), ramp_test(lanes))
    assert np.abs(system.evaluate(path.state, path.climb).residual).max() > 1e-4  # without its friction
    system.set_anchor(path.anchor)
    assert np.abs(system.evaluate(path.state, path.climb).residual).max() < 1e-8
    assert np.ptp(path.climb) > 1.0


def test_a_climb_on_a_ramp_of_unknown_length_says_why_it_ends(wagon):
    # On a gentle ramp four times the travel keeps every wheel down.
    soft = replace(wagon, droop_gap=wagon.droop_gap * 4.0, bump_gap=wagon.bump_gap * 4.0)
    length = 3.0 * float(soft.wheelbase[0])
    endless = predict(soft, ramp_test(1, angle=np.radians(5.0)))
    assert endless.connected.outcome == Outcome.RAMP_ENDS
    assert endless.connected.climb == pytest.approx(length)
    assert any("the ramp's length is not given" in said for said in warnings(endless))
    short = predict(soft, ramp_test(1, angle=np.radians(5.0), length=1.0))
    assert short.connected.outcome == Outcome.RAMP_ENDS
    assert not any("length" in said for said in warnings(short))


def test_events_stand_where_the_displacement_crosses_the_gap(wagon):
    run = predict(wagon).connected
    events = [event for event in run.events if event.kind == "bump stop"]
    assert events
    for event in events:
        gap = wagon.bump_gap[0, event.corner // 2]
        displacement = np.interp(event.climb, run.trace.climb, run.trace.measures.bump_displacement[:, event.corner])
        assert displacement == pytest.approx(gap, abs=2e-4)  # linear between points of the trace
        assert event.climb < run.climb


def test_where_a_climb_ends_is_told_of_the_wheels_of_its_own_vehicle(wagon):
    """What a left climb finds of each wheel, the mirrored vehicle's right climb finds of the wheel across."""
    test, left, right = ramp_test(1), Case("left", "connected"), Case("right", "connected")
    here = ends_of(wagon, test, left, climb_to_unload(wagon, test))
    flipped = wagon.mirrored()
    there = ends_of(flipped, test, right, climb_to_unload(in_case(flipped, right), test))
    for name in ("wheel_load", "rest_load", "beyond", "spinning", "limited"):
        np.testing.assert_allclose(getattr(there, name)[..., ACROSS], getattr(here, name), rtol=1e-9, err_msg=name)
    assert (there.wheel[0], here.wheel[0]) == (3, 2)
    assert here.limited.any()


def test_tipping_margin_of_a_square_is_its_half_side():
    contact = np.array([[[1.0, 1.0, 0.0], [1.0, -1.0, 0.0], [-1.0, 1.0, 0.0], [-1.0, -1.0, 0.0]]])
    load = np.full((1, 4), 100.0)
    margin, angle = tipping(contact, load, np.array([[0.2, 0.1, 0.5]]))
    assert margin[0] == pytest.approx(0.8)
    assert angle[0] == pytest.approx(np.arctan2(0.8, 0.5))
    # Without its rear left wheel the edge is the diagonal.
    load[0, 2] = 0.0
    margin, _ = tipping(contact, load, np.array([[0.2, 0.0, 0.5]]))
    assert margin[0] == pytest.approx(0.2 / np.sqrt(2.0))


def test_a_vehicle_whose_weight_overturns_it_has_no_upright_state(wagon):
    centre = wagon.sprung_centre.copy()
    centre[:, 2] = 20.0
    run = predict(replace(wagon, sprung_centre=centre)).connected
    assert run.outcome == Outcome.UNSTABLE_AT_REST
    assert np.isnan(run.score)
    assert np.isnan(run.climb)
