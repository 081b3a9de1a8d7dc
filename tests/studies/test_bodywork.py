"""Clearance reports of the demo pair that differs by tyres and stops, and of small cases worked by hand."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from articulate.model.ramp_test import ramp_test
from articulate.prediction import predict
from articulate.spec import build, build_whole, load_vehicle, read_vehicle, template, with_setting, with_settings
from articulate.studies.design.bodywork import ClearanceReport, clearance_report
from articulate.studies.design.tyre_change import change_tyres
from articulate.trace import BodyPoint, Watched
from articulate.wheelhouse import clearance_at

DEMO = "vehicle_specs_demo"
LARGER = "285/75R17"


@cache
def wagon():
    # Without auxiliary stiffness, with which the axle turns less and the inner wing is just reached or not.
    free = [(f"{axle}.auxiliary_roll.over_springs", "0 %") for axle in ("front", "rear")]
    return with_settings(load_vehicle(f"{DEMO}/wagon.toml"), free)


@cache
def report(larger: bool, spacers: bool | None = None) -> ClearanceReport:
    return clearance_report(change_tyres(wagon(), LARGER, spacers=spacers) if larger else wagon(), points=64)


def test_nothing_of_the_wagon_rubs_and_its_stops_need_no_spacer():
    for axle in report(larger=False).axles:
        assert axle.rub_on_ramp.value == axle.rub_on_trail.value == axle.spacer.value == 0.0
        assert axle.limit == "bump stop"


def test_the_larger_tyre_on_the_same_stops_rubs_the_liner_at_full_lock_and_the_inner_wing_on_the_ramp():
    front, rear = report(larger=True).axles
    assert front.rub_on_ramp.value == 0.0
    assert front.touches_first_at_lock == "liner, forward"
    assert 0.008 < front.rub_on_trail.value < 0.02
    assert rear.touches_first == "inner wing"
    assert 0.005 < rear.rub_on_ramp.value < 0.015
    assert rear.rub_on_ramp_share > 0.5
    assert 0.012 < rear.rub_on_trail.value < 0.026


def test_the_spacers_it_needs_are_those_the_sibling_has():
    """The sibling's stops are longer by 27 mm in front and 25 mm behind; the policy asks for as much within 3 mm."""
    front, rear = report(larger=True).axles
    assert front.spacer.value == pytest.approx(0.027, abs=0.003)
    assert rear.spacer.value == pytest.approx(0.025, abs=0.003)
    sibling = clearance_report(load_vehicle(f"{DEMO}/wagon_larger_tyres.toml"), points=64)
    for axle in sibling.axles:
        assert axle.rub_on_ramp.value == axle.rub_on_trail.value == axle.spacer.value == 0.0


def test_with_spacers_the_larger_tyre_scores_less_and_without_them_it_rubs():
    spaced, careless = (predict(build(change_tyres(wagon(), LARGER, spacers=policy))) for policy in (True, False))
    stock = predict(build(wagon()))
    assert spaced.released is not None
    assert stock.released is not None
    assert stock.connected.score - spaced.connected.score > 10.0
    assert stock.released.score - spaced.released.score > 20.0
    assert careless.connected.score > spaced.connected.score


def test_first_touch_is_where_the_tyre_stands_on_the_point():
    """At the arch gap and the steering angle reported, the tyre's surface goes through the point that it names."""
    _, body = build_whole(change_tyres(wagon(), LARGER))
    front = report(larger=True).axles[0]
    sweep = body.sweeps[0]
    assert sweep is not None
    for k, point in enumerate(front.points):
        if not np.isfinite(point.over_lock.value):
            continue
        at = np.array([[point.over_lock.value]]), np.array([[point.lock_steer]])
        left = clearance_at(sweep.points[:, k : k + 1], sweep.motion, sweep.shape, *at)[0, 0]
        assert left == pytest.approx(0.0, abs=2e-5)
        assert (point.nearest < 0.0) == (point.over_lock.value < front.full_bump_travel.value)


def test_the_nearest_distance_is_least_on_a_grid_of_its_own():
    _, body = build_whole(wagon())
    sweep = body.sweeps[0]
    assert sweep is not None
    rng = np.random.default_rng(8)
    points = report(larger=False).axles[0].points
    travel = rng.uniform(-0.092, body.full_bump_travel[0, 0], (1, 4000))
    steer = rng.uniform(sweep.steer.min(), sweep.steer.max(), (1, 4000))
    for k, point in enumerate(points):
        every = np.broadcast_to(sweep.points[:, k, None, :], (1, 4000, 3))
        least = clearance_at(every, sweep.motion, sweep.shape, travel, steer).min()
        assert point.nearest <= least + 5e-4
        assert least - point.nearest < 6e-3


def test_a_low_point_inboard_of_the_lane_never_meets_the_ramp():
    """A bumper 900 mm ahead at 250 mm meets a 20 degree ramp before the wheel does; 350 mm further in it never does."""
    vehicle = build(read_vehicle(template(minimal=True), "minimal.toml"))
    half = 0.5 * float(vehicle.track[0, 0])
    spots = (BodyPoint("over the lane", -0.9, half, 0.25), BodyPoint("inboard", -0.9, half - 0.35, 0.25))

    def touched(**width: float) -> set[str]:
        run = predict(vehicle, ramp_test(1), watched=Watched(points=spots, **width)).connected
        return {event.what for event in run.events if event.kind == "bodywork" and event.begins}

    assert touched() == {"over the lane touches"}
    assert touched(ramp_width=0.8) == {"over the lane touches", "inboard touches"}


def test_clearance_over_the_ramp_is_square_to_it():
    """Two points 50 mm apart across the body differ by that step's part along the ramp's normal, at any attitude."""
    vehicle = build(wagon())
    spots = (BodyPoint("one", -0.5, 0.75, 0.4), BodyPoint("other", -0.5, 0.70, 0.4))
    run = predict(vehicle, ramp_test(1), watched=Watched(points=spots)).connected
    pitch, roll = run.trace.measures.pitch, run.trace.measures.roll
    across = 0.05 * np.stack([np.sin(roll) * np.sin(pitch), np.cos(roll), np.sin(roll) * np.cos(pitch)], axis=1)
    normal = np.array([-np.sin(np.radians(20)), 0.0, np.cos(np.radians(20))])
    np.testing.assert_allclose(run.trace.clearance[:, 0] - run.trace.clearance[:, 1], across @ normal, atol=1e-12)


def test_angles_grow_with_the_tyre_and_are_those_of_the_points():
    small, large = report(larger=False).angles, report(larger=True).angles
    assert large.approach.value > small.approach.value
    assert large.breakover.value > small.breakover.value
    assert large.departure.value > small.departure.value
    rise = large.loaded_radius[0].value - small.loaded_radius[0].value
    assert large.running_clearance.value - small.running_clearance.value == pytest.approx(rise, abs=1e-3)
    assert small.lowest_point == small.breakover_point == "gearbox crossmember"
    for found in (small.approach, small.breakover, small.departure, small.running_clearance):
        assert found.low <= found.value <= found.high


def test_airing_down_lowers_everything():
    low = clearance_report(with_setting(wagon(), "tyre.pressure", "15 psi"), points=16).angles
    now = report(larger=False).angles
    sink = now.running_clearance.value - low.running_clearance.value
    assert 0.012 < sink < 0.03
    assert low.approach.value < now.approach.value


def test_the_right_side_mirrors_the_left_for_a_symmetric_vehicle():
    spec = read_vehicle(template(minimal=True), "minimal.toml")
    left, right = (clearance_report(spec, side=side, points=8) for side in ("left", "right"))
    for one, two in zip(left.axles, right.axles, strict=True):
        assert one.ramp_travel == pytest.approx(two.ramp_travel, abs=1e-7)


def test_a_sample_of_one_vehicle_many_times_has_no_range():
    """Where nothing is uncertain the range closes on the value."""
    spec = read_vehicle(template(minimal=True), "minimal.toml")
    sure = {key: replace(one, low=one.value, high=one.value, distribution="exact") for key, one in spec.inputs.items()}
    found = clearance_report(replace(spec, inputs=sure), points=8)
    assert found.angles.loaded_radius[0].low == pytest.approx(found.angles.loaded_radius[0].high)
    assert found.axles[0].stop_gap.low == found.axles[0].stop_gap.value
