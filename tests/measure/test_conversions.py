"""Readings and climbs: closed forms proved in sympy, check values, the hub of the full model."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from articulate.closed_forms.hub_path import climb_from_hub_rise, plumb_line_error
from articulate.measure.conversions import MissingRadiusError, Radii, ReadingKind, climb_of, reading_of, score_of
from articulate.model.ramp_test import ramp_test
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from tests.closed_forms.derived import derived

INCH = 0.0254
TWENTY = np.radians(20.0)
MARK = derived("mark-height")

lengths = st.floats(0.05, 3.0)
angles = st.floats(np.radians(5.0), np.radians(35.0))
radii = st.floats(0.25, 0.6)


@pytest.mark.parametrize(("inches", "climb", "score"), [(17 + 15 / 16, 52.45, 522), (22.25, 65.05, 648)])
def test_a_mark_on_the_usual_ramp(inches, climb, score):
    # Common practice, no source: marks on a 20 degree ramp, wheelbase 100.4 in.
    found = climb_of(ReadingKind.MARK_HEIGHT, inches * INCH, TWENTY)
    assert found / INCH == pytest.approx(climb, abs=0.005)
    assert round(float(score_of(found, 100.4 * INCH))) == score


@pytest.mark.parametrize(("climb", "wheelbase", "score"), [(30, 88, 341), (72, 93, 774)])
def test_scores_to_the_contact_point(climb, wheelbase, score):
    # Derived; two pages on the ramp test print the same (seen, names not kept).
    assert round(float(score_of(climb, wheelbase))) == score


def test_hub_rise_of_a_rolling_disc():
    # Derived: r 16.5 in on 20 degrees, the hub rises 0.995 in less than s sin g.
    radius, climb = 16.5 * INCH, 60.0 * INCH
    rise = reading_of(ReadingKind.HUB_RISE, climb, TWENTY, Radii(radius, radius))
    assert (climb * np.sin(TWENTY) - rise) / INCH == pytest.approx(0.995, abs=5e-4)


@settings(max_examples=20)  # sympy puts the numbers in
@given(lengths, angles, radii)
def test_a_rigid_disc_meets_the_proved_closed_forms(reading, angle, radius):
    proved = {result.label: result for result in MARK.results}
    numbers = {"h": reading, "g": angle, "L": 2.5}
    mark = climb_of(ReadingKind.MARK_HEIGHT, reading, angle)
    assert mark == pytest.approx(proved["climb"].value(numbers), rel=1e-12)
    assert score_of(mark, 2.5) == pytest.approx(proved["score"].value(numbers), rel=1e-12)
    rise = climb_of(ReadingKind.HUB_RISE, reading, angle, Radii(radius, radius))
    assert rise == pytest.approx(climb_from_hub_rise(reading, radius, angle), rel=1e-12)
    hub = climb_of(ReadingKind.HUB_HEIGHT, reading + radius, angle, Radii(None, radius))
    assert hub == pytest.approx(rise, rel=1e-9)
    plumbed = climb_of(ReadingKind.PLUMBED_MARK_DISTANCE, reading, angle, Radii(None, radius))
    assert plumbed - reading == pytest.approx(plumb_line_error(radius, angle), rel=1e-9)
    height = climb_of(ReadingKind.PLUMBED_MARK_HEIGHT, reading * np.sin(angle), angle, Radii(None, radius))
    assert height == pytest.approx(plumbed, rel=1e-12)


def test_the_hub_path_proved_in_sympy():
    proved = {result.label: result for result in derived("hub-path").results}
    numbers = {"R": 0.41, "s": 1.7, "g": 0.33, "d": 0.02}
    rise = reading_of(ReadingKind.HUB_RISE, 1.7, 0.33, Radii(0.41, 0.41))
    assert rise == pytest.approx(proved["hub rise"].value(numbers), rel=1e-12)
    short = 1.7 - reading_of(ReadingKind.PLUMBED_MARK_DISTANCE, 1.7, 0.33, Radii(None, 0.41))
    assert short == pytest.approx(proved["plumb-line error along the slope"].value(numbers), rel=1e-12)


@given(st.sampled_from(list(ReadingKind)), lengths, angles, radii, st.floats(0.0, 0.08))
def test_reading_and_climb_are_inverse(kind, climb, angle, radius, loss):
    both = (angle, Radii(radius, radius - loss))
    assert climb_of(kind, reading_of(kind, climb, *both), *both) == pytest.approx(climb, rel=1e-9)


@pytest.mark.parametrize("name", ["wagon", "short_two_door", "ladder_frame_pickup"])
def test_all_ways_of_reading_a_solved_vehicle_give_its_climb(name):
    """The hub's place in space is the solver's; every reading is taken from it by plain geometry."""
    run = predict(build(load_vehicle(f"vehicle_specs_demo/{name}.toml")), ramp_test(1)).connected
    hub, flat = run.trace.measures.hub[-1, 0], run.trace.measures.hub[0, 0, 2]
    normal, slope = (np.array([f(TWENTY), g(TWENTY)]) for f, g in ((lambda a: -np.sin(a), np.cos), (np.cos, np.sin)))
    place = hub[[0, 2]]
    radius = place @ normal
    foot = place - radius * normal
    plumb = np.array([place[0], place[0] * np.tan(TWENTY)])
    readings = {
        ReadingKind.MARK_HEIGHT: foot[1],
        ReadingKind.SLOPE_DISTANCE: foot @ slope,
        ReadingKind.HUB_HEIGHT: place[1],
        ReadingKind.HUB_RISE: place[1] - flat,
        ReadingKind.PLUMBED_MARK_HEIGHT: plumb[1],
        ReadingKind.PLUMBED_MARK_DISTANCE: plumb @ slope,
    }
    assert set(readings) == set(ReadingKind)
    for kind, reading in readings.items():
        assert climb_of(kind, reading, TWENTY, Radii(flat, radius)) == pytest.approx(run.climb, abs=1e-6), kind
    # The loaded radius matters: a rigid disc would be wrong by centimetres.
    rigid = climb_of(ReadingKind.HUB_RISE, readings[ReadingKind.HUB_RISE], TWENTY, Radii(flat, flat))
    assert abs(rigid - run.climb) > 0.02


def test_batches_broadcast():
    found = climb_of(ReadingKind.HUB_HEIGHT, np.array([[0.9], [1.0]]), np.array([0.3, 0.35, 0.4]), Radii(None, 0.35))
    assert found.shape == (2, 3)
    assert found[1, 2] == climb_of(ReadingKind.HUB_HEIGHT, 1.0, 0.4, Radii(None, 0.35))


def test_a_missing_radius_and_a_ramp_without_slope_are_refused():
    with pytest.raises(MissingRadiusError, match="square to it"):
        climb_of(ReadingKind.PLUMBED_MARK_HEIGHT, 0.5, TWENTY)
    with pytest.raises(MissingRadiusError, match="flat ground"):
        climb_of(ReadingKind.HUB_RISE, 0.5, TWENTY, Radii(None, 0.4))
    for angle in (0.0, -0.3, np.pi / 2.0, np.nan):
        with pytest.raises(ValueError, match="ramp angle"):
            climb_of(ReadingKind.MARK_HEIGHT, 0.5, angle)
