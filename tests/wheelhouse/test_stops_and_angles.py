"""Stop compression, travel at full bump, and the angles of 49 CFR 523.2, each against another way to the number."""

from __future__ import annotations

import numpy as np
import pytest

from articulate.wheelhouse import StopLayout, bump_gap_for, full_bump_travel, ramp_angles, stop_compression
from articulate.wheelhouse.angles import tangent_angle


def one(*values: float) -> list[np.ndarray]:
    return [np.array([value]) for value in values]


@pytest.mark.parametrize(
    ("force", "rate", "cubic"), [(5e3, 60e3, 1e8), (800.0, 60e3, 1e8), (9e3, 30e3, 4e8), (2e3, 5e4, 0.0)]
)
def test_the_compression_carries_the_force(force, rate, cubic):
    d = float(stop_compression(np.array([force]), np.array([rate]), np.array([cubic]))[0])
    assert rate * d + cubic * d**3 == pytest.approx(force, rel=1e-12)


def layout(solid: bool) -> StopLayout:
    return StopLayout(solid, *one(0.79, 0.465, 0.545, 0.105))


def test_a_crossed_axle_carries_its_hub_further_than_its_stop():
    """By the axle's kinematics solved apart: stop on one side at its gap, damper of the other side out."""
    from scipy.optimize import fsolve

    gap, compression, e = 0.085, 0.03, 0.04

    def axle(unknown):
        slide, turn = unknown
        rise = slide + e * (1 - np.cos(turn))
        return [rise + 0.465 * np.sin(turn) - gap - compression, rise - 0.545 * np.sin(turn) + 0.105]

    slide, turn = fsolve(axle, [0.0, 0.1], xtol=1e-13)
    hub = slide + 0.79 * np.sin(turn) + e * (1 - np.cos(turn))
    assert full_bump_travel(*one(gap, compression), layout(True))[0] == pytest.approx(hub, abs=1e-10)
    assert hub > gap + compression + 0.05
    assert full_bump_travel(*one(gap, compression), layout(False))[0] == gap + compression


@pytest.mark.parametrize("solid", [False, True])
def test_the_gap_for_a_travel_undoes_the_travel_of_a_gap(solid):
    travel = full_bump_travel(*one(0.071, 0.028), layout(solid))
    assert bump_gap_for(travel, np.array([0.028]), layout(solid))[0] == pytest.approx(0.071, abs=1e-12)


def test_both_wheels_up_together_can_be_the_tighter():
    crossed, together = one(0.2, 0.1)
    assert bump_gap_for(crossed, np.array([0.03]), layout(True), together)[0] == pytest.approx(0.07)


def touches(angle: float, distance: float, height: float, radius: float) -> float:
    """How far the arc stays above the line through the point, by sampling the arc."""
    around = np.linspace(-np.pi, 0.0, 200_001)
    x, z = radius * np.cos(around), radius + radius * np.sin(around)
    return float(((z - height) * np.cos(angle) - (x - distance) * np.sin(angle)).min())


@pytest.mark.parametrize(("distance", "height"), [(0.69, 0.455), (0.9, 0.3), (1.4, 0.22), (0.5, 0.5)])
def test_the_line_touches_the_arc_and_does_not_cut_it(distance, height):
    angle = float(tangent_angle(np.array(distance), np.array(height), np.array(0.38)))
    assert touches(angle, distance, height, 0.38) == pytest.approx(0.0, abs=1e-9)
    assert 0.0 < angle < np.pi / 2


def test_a_point_on_the_ground_leaves_no_angle_and_one_inside_the_arc_no_line():
    assert tangent_angle(np.array(0.7), np.array(0.0), np.array(0.4)) == pytest.approx(0.0, abs=1e-8)
    assert np.isnan(tangent_angle(np.array(0.1), np.array(0.4), np.array(0.4)))


def test_a_vehicle_just_at_the_off_highway_limits():
    """49 CFR 523.5(b)(2), seen: approach 28, breakover 14, departure 20 degrees, running clearance 20 cm.

    The points are set by drawing the limiting lines: a line tangent to the arc at angle A about the hub runs, at a
    distance a from it, at height a tan A - r (1 - cos A)/cos A (derived).
    """
    r, base = 0.36, 2.6

    def on_line(a: float, degrees: float) -> float:
        angle = np.radians(degrees)
        return a * np.tan(angle) - r * (1.0 - np.cos(angle)) / np.cos(angle)

    points = np.array(
        [
            [
                [-0.8, 0.3, on_line(0.8, 28.0)],
                [base + 1.0, -0.2, on_line(1.0, 20.0)],
                [base / 2, 0.0, on_line(base / 2, 7.0)],
            ]
        ]
    )
    found = ramp_angles(points, np.array([base]), np.array([[r, r]]))
    assert np.degrees(found.approach[0]) == pytest.approx(28.0, abs=1e-9)
    assert np.degrees(found.departure[0]) == pytest.approx(20.0, abs=1e-9)
    assert np.degrees(found.breakover[0]) == pytest.approx(14.0, abs=1e-9)
    assert found.running_clearance[0] == pytest.approx(points[0, :, 2].min())
    assert (found.approach_point[0], found.departure_point[0], found.breakover_point[0]) == (0, 1, 2)


def test_without_points_there_is_no_angle():
    found = ramp_angles(np.empty((2, 0, 3)), np.full(2, 2.6), np.full((2, 2), 0.36))
    assert np.isnan(found.approach).all()
    assert (found.lowest_point == -1).all()
