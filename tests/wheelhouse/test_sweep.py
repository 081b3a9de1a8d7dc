"""The sweep against brute force: a dense cloud of points on the tyre's surface, moved by rotation matrices."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import cKDTree

from articulate.wheelhouse import (
    CornerMotion,
    TyreShape,
    arch_gaps,
    clearance_at,
    clock_points,
    least_arch_gap,
    steer_angles,
)
from articulate.wheelhouse.tyre_shape import tyre_distance

LOCK = np.radians(34.0)


def shape(radius=0.4014, width=0.265, shoulder=0.053) -> TyreShape:
    return TyreShape(np.array([radius]), np.array([width]), np.array([shoulder]))


def motion(posture: str) -> CornerMotion:
    lever = {"independent": 0.9, "parallel": 0.79, "crossed": 0.79}[posture]
    pivot = {"independent": -0.06, "parallel": 0.04, "crossed": 0.04}[posture]
    return CornerMotion(*(np.array([v]) for v in (lever, pivot, 0.06, 0.79 + 0.545, 0.105)), posture)


def cloud(tyre: TyreShape, around: int = 1440, across: int = 320) -> np.ndarray:
    """Points of the tyre's surface, built from its section: sidewall, shoulder arc, tread, and mirrored."""
    radius, half, r = float(tyre.radius[0]), 0.5 * float(tyre.width[0]), float(tyre.shoulder_radius[0])
    part = across // 4
    arc = np.linspace(0.0, np.pi / 2, part)
    y = np.concatenate([np.linspace(0.0, half - r, part), half - r + r * np.sin(arc), np.full(3 * part, half)])
    rho = np.concatenate([np.full(part, radius), radius - r + r * np.cos(arc), np.linspace(radius - r, 0.0, 3 * part)])
    y, rho = np.concatenate([y, -y]), np.concatenate([rho, rho])
    turn = np.linspace(0.0, 2.0 * np.pi, around, endpoint=False)
    x, z = np.sin(turn)[:, None] * rho, np.cos(turn)[:, None] * rho
    return np.stack([x, np.broadcast_to(y, x.shape), z], axis=-1).reshape(-1, 3)


def moved(points: np.ndarray, corner: CornerMotion, travel: float, steer: float) -> np.ndarray:
    """The wheel's points in the body, by matrices and a root search of its own for the lean."""
    from scipy.optimize import brentq

    lever, e, offset = float(corner.lever[0]), float(corner.pivot_height[0]), float(corner.steering_offset[0])
    pivot, hub = np.array([0.0, -lever, e]), np.zeros(3)

    def rolled(at: np.ndarray, turn: float) -> np.ndarray:
        c, s = np.cos(turn), np.sin(turn)
        return pivot + (at - pivot) @ np.array([[1, 0, 0], [0, c, -s], [0, s, c]]).T

    slide = 0.0
    if corner.posture == "independent":
        turn = brentq(lambda t: rolled(hub, t)[2] - travel, -1.0, 1.0, xtol=1e-14)
    elif corner.posture == "parallel":
        turn, slide = 0.0, travel
    else:  # the damper of the other side, a point of the axle below its roll centre by e, hangs at its droop gap
        far = np.array([0.0, -lever - (float(corner.crossed_base[0]) - lever), 0.0])
        droop = float(corner.droop_gap[0])

        def hangs(t: float) -> float:
            shift = travel - rolled(hub, t)[2]
            return float(rolled(far, t)[2] + shift + droop)

        turn = brentq(hangs, -0.5, 1.0, xtol=1e-14)
        slide = travel - rolled(hub, turn)[2]
    c, s = np.cos(steer), np.sin(steer)
    axis = np.array([0.0, -offset, 0.0])
    steered = axis + (points - axis) @ np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]).T
    return rolled(steered, turn) + np.array([0.0, 0.0, slide])


@pytest.mark.parametrize("posture", ["independent", "parallel", "crossed"])
def test_clearance_against_a_cloud_of_surface_points(posture):
    tyre, corner, rng = shape(), motion(posture), np.random.default_rng(3)
    surface = cKDTree(cloud(tyre))
    checked = 0
    for _ in range(60):
        point = np.array([rng.uniform(-0.5, 0.5), rng.uniform(-0.3, 0.25), rng.uniform(0.1, 0.62)])
        travel, steer = rng.uniform(-0.1, 0.15), rng.uniform(-LOCK, LOCK)
        exact = clearance_at(point[None, None], corner, tyre, np.array([[travel]]), np.array([[steer]]))[0, 0]
        if exact <= 0.0:
            continue
        # The cloud is rigid: where its frame's origin and axes come to brings the point back into it.
        origin, *axes = moved(np.vstack([np.zeros(3), np.eye(3)]), corner, travel, steer)
        brute = surface.query((np.array(axes) - origin) @ (point - origin))[0]
        # No point of the surface is more than 1.4 mm from one of the cloud, which so overstates a distance d by
        # less than that, and by less than about (1.4 mm)^2 / 2 d and what the surface curves.
        assert exact <= brute + 1e-12
        assert brute - exact < min(1.4e-3, 1.5e-6 / exact + 5e-6)
        checked += 1
    assert checked > 20


@pytest.mark.parametrize("posture", ["independent", "parallel", "crossed"])
def test_first_touch_against_a_fine_scan_of_the_travel(posture):
    tyre, corner, rng = shape(), motion(posture), np.random.default_rng(5)
    box = ((-0.45, 0.45), (-0.2, 0.15), (0.2, 0.62))
    points = np.stack([rng.uniform(low, high, 200) for low, high in box], axis=1)
    steer = np.array([[-LOCK, 0.0, 0.4 * LOCK]])
    found = arch_gaps(points[None], corner, tyre, steer)[0]
    scan = np.linspace(0.0, 0.4, 8001)
    for k in range(3):
        every = np.broadcast_to(points[None, :, None, :], (1, 200, scan.size, 3))
        travel = np.broadcast_to(scan, (1, 200, scan.size))
        inside = clearance_at(every, corner, tyre, travel, np.full_like(travel, steer[0, k]))[0] <= 0.0
        starts_clear = ~inside[:, 0]
        first = np.where(inside.any(axis=1), scan[inside.argmax(axis=1)], np.inf)
        touched = starts_clear & np.isfinite(first)
        assert touched.sum() > 20
        assert np.abs(found[touched, k] - first[touched]).max() < 6e-4  # the scan's step and the least step
        assert np.isinf(found[starts_clear & ~np.isfinite(first), k]).all()
        assert (found[~starts_clear, k] <= 0.0).all()


def test_a_tyre_that_overlaps_at_ride_height_is_backed_out_until_it_is_clear():
    tyre, corner = shape(), motion("parallel")
    point = np.array([[[0.0, 0.0, 0.38]]])  # 21.4 mm inside the tread's top
    gap = arch_gaps(point, corner, tyre, np.zeros((1, 1)))[0, 0, 0]
    assert gap == pytest.approx(-0.0214, abs=1e-6)


@pytest.mark.parametrize("posture", ["independent", "parallel", "crossed"])
def test_the_first_point_met_is_found_without_following_the_others(posture):
    """Some lanes clear, some met, some overlapping at ride height."""
    lanes = np.zeros(200, dtype=np.intp)
    tyre, corner, rng = shape().take(lanes), motion(posture).take(lanes), np.random.default_rng(7)
    box = ((-0.45, 0.45), (-0.3, 0.3), (0.36, 0.72))
    points = np.stack([rng.uniform(low, high, (200, 2)) for low, high in box], axis=-1)
    steer = steer_angles(np.full(200, LOCK), 2)
    least = arch_gaps(points, corner, tyre, steer).min(axis=(1, 2))
    np.testing.assert_array_equal(least_arch_gap(points, corner, tyre, steer), least)
    assert min((least < 0.0).sum(), (least > 0.0).sum(), np.isinf(least).sum()) >= 5
    reach = np.full(200, 0.05)
    within = least_arch_gap(points, corner, tyre, steer, reach)
    np.testing.assert_array_equal(np.minimum(within, reach), np.minimum(least, reach))


def test_above_the_wheel_the_gap_is_the_plain_difference():
    """Closed form: a point straight above the tread is met after distance - R of travel, whatever the width."""
    for distance in (0.45, 0.52, 0.6):
        gap = arch_gaps(np.array([[[0.0, 0.05, distance]]]), motion("parallel"), shape(), np.zeros((1, 1)))
        assert gap[0, 0, 0] == pytest.approx(distance - 0.4014, abs=1e-7)


def test_the_shoulder_of_half_the_width_is_the_torus_of_the_contact():
    """The contact's torus: crown circle R - r, section radius r; its distance has a closed form of its own."""
    rng = np.random.default_rng(1)
    points = rng.uniform(-0.7, 0.7, (1, 500, 3))
    radius, r = 0.4014, 0.1325
    torus = TyreShape(np.array([radius]), np.array([2 * r]), np.array([r]))
    rho = np.hypot(points[..., 0], points[..., 2])
    closed = np.hypot(rho - (radius - r), points[..., 1]) - r
    beyond = rho > radius - r  # inside the crown circle the solid is full
    np.testing.assert_allclose(tyre_distance(points, torus)[beyond], closed[beyond], atol=1e-12)


def in_body_frame(corner, points, travel, steer):
    """Points fixed to the wheel as the body sees them, step by step: steered about the king pin, turned, lifted."""
    spread = (-1,) + (1,) * (travel.ndim - 1)
    lever, height = corner.lever.reshape(spread), corner.pivot_height.reshape(spread)
    offset = corner.steering_offset.reshape(spread)
    sine, cosine = np.sin(steer), np.cos(steer)
    x = points[..., 0] * cosine - points[..., 1] * sine - offset * sine
    y = points[..., 0] * sine + points[..., 1] * cosine - offset * (1.0 - cosine)
    turn, slide = corner.turn_and_slide(travel)
    sine, cosine = np.sin(turn), np.cos(turn)
    y, z = y + lever, points[..., 2] - height
    return np.stack([x, y * cosine - z * sine - lever, y * sine + z * cosine + height + slide], axis=-1)


def test_points_measured_at_full_lock_stand_where_the_turned_wheel_saw_them():
    corner = motion("independent")
    clock, distance, inboard = np.array([[0.7]]), np.array([[0.5]]), np.array([[0.09]])
    for side in (-1.0, 0.0, 1.0):
        steer = np.array([[side * LOCK]])
        point = clock_points(clock, distance, inboard, steer, corner.steering_offset)
        seen = corner.in_wheel_frame(point, np.zeros((1, 1)), steer)[0, 0]
        np.testing.assert_allclose(seen, [0.5 * np.sin(0.7), -0.09, 0.5 * np.cos(0.7)], atol=1e-12)
        back = in_body_frame(corner, seen[None, None], np.zeros((1, 1)), steer)
        np.testing.assert_allclose(back, point, atol=1e-12)


def test_the_frames_undo_each_other_at_any_travel_and_lock():
    rng = np.random.default_rng(2)
    for posture in ("independent", "parallel", "crossed"):
        corner, points = motion(posture), rng.uniform(-0.5, 0.5, (1, 40, 3))
        travel, steer = rng.uniform(-0.1, 0.2, (1, 40)), rng.uniform(-LOCK, LOCK, (1, 40))
        there = corner.in_wheel_frame(points, travel, steer)
        np.testing.assert_allclose(in_body_frame(corner, there, travel, steer), points, atol=1e-12)


def test_no_point_moves_faster_in_the_wheels_frame_than_the_bound():
    rng = np.random.default_rng(4)
    for posture in ("independent", "parallel", "crossed"):
        corner, points = motion(posture), rng.uniform(-0.6, 0.6, (1, 300, 3))
        travel = rng.uniform(-0.1, 0.35, (1, 300))
        steer, step = np.zeros((1, 300)), 1e-6
        moved_by = corner.in_wheel_frame(points, travel + step, steer) - corner.in_wheel_frame(points, travel, steer)
        assert (np.linalg.norm(moved_by, axis=-1) / step <= corner.speed(points) + 1e-6).all()


def test_the_lock_between_its_ends_is_looked_at_finely_enough():
    tyre, corner, rng = shape(), motion("independent"), np.random.default_rng(6)
    box = ((-0.4, 0.4), (-0.15, 0.1), (0.42, 0.6))
    points = np.stack([rng.uniform(low, high, 60) for low, high in box], axis=1)[None]
    coarse = arch_gaps(points, corner, tyre, steer_angles(np.array([LOCK]))).min(axis=2)
    fine = arch_gaps(points, corner, tyre, steer_angles(np.array([LOCK]), 60)).min(axis=2)
    near = fine < 0.25
    assert near.sum() > 30
    assert (coarse[near] - fine[near]).max() < 4e-3
    assert np.median(coarse[near] - fine[near]) < 2e-4
