"""Nothing of the outline contradicts what a file says: on random vehicles, by geometry written here."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from articulate.shape.kinds import KINDS, ShapeChoices, kind_of
from articulate.shape.outline import Known, body_outline

VEHICLES = 200


def triangles(face):
    """A face as a fan about its middle; good for quads, which is what bumpers and undersides are made of."""
    middle = face.points.mean(axis=0)
    return [(middle, a, b) for a, b in zip(face.points, np.roll(face.points, -1, axis=0), strict=True)]


def distance(point, corners):
    """From a point to a triangle [m], by barycentric coordinates and its three sides."""
    a, b, c = corners
    one, two, out = b - a, c - a, point - a
    grid = np.array([[one @ one, one @ two], [one @ two, two @ two]])
    if np.linalg.det(grid) > 1e-15:
        u, v = np.linalg.solve(grid, [one @ out, two @ out])
        if u >= 0.0 and v >= 0.0 and u + v <= 1.0:
            return np.linalg.norm(out - u * one - v * two)
    apart = []
    for p, q in ((a, b), (b, c), (c, a)):
        along = q - p
        share = np.clip((point - p) @ along / max(along @ along, 1e-18), 0.0, 1.0)
        apart.append(np.linalg.norm(point - p - share * along))
    return min(apart)


def below(point, face):
    """How far the face reaches under the point, straight down [m]; nothing if it does not lie under it."""
    deepest = 0.0
    for a, b, c in triangles(face):
        area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
        if abs(area) < 1e-9:
            continue
        u = ((point[0] - a[0]) * (c[1] - a[1]) - (point[1] - a[1]) * (c[0] - a[0])) / area
        v = ((b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0])) / area
        if u > 1e-6 and v > 1e-6 and u + v < 1.0 - 1e-6:
            deepest = max(deepest, point[2] - (a + u * (b - a) + v * (c - a))[2])
    return deepest


def random_vehicle(rng):
    """A vehicle of any kind and size with points where people measure them: bumpers, steps, what hangs under it."""
    wheelbase = rng.uniform(2.0, 3.8)
    track = tuple(rng.uniform(1.3, 1.8) + rng.uniform(-0.03, 0.03, 2))
    radius = tuple(rng.uniform(0.31, 0.48) + np.array([0.0, rng.uniform(-0.01, 0.01)]))
    hub = tuple(np.array(radius) - rng.uniform(0.01, 0.03, 2))
    section = tuple(rng.uniform(0.09, 0.16) * np.ones(2))
    inner = min(track) / 2.0 - section[0] - 0.05
    ground = hub[0] - 0.15
    points = []

    def point(b, y, h):
        points.append((b, y * rng.choice([-1.0, 1.0]), h))

    if rng.random() < 0.7:
        point(-rng.uniform(radius[0] + 0.12, 1.1), rng.uniform(0.3, 0.7), ground + rng.uniform(0.05, 0.35))
    if rng.random() < 0.5:
        point(-rng.uniform(0.15, 0.5), rng.uniform(0.0, 0.3), ground + rng.uniform(0.0, 0.15))
    if rng.random() < 0.6:
        b = rng.uniform(radius[0] + 0.25, wheelbase - radius[1] - 0.25)
        point(b, rng.uniform(inner + 0.03, inner + 0.15), ground + rng.uniform(0.0, 0.2))
    for _ in range(rng.integers(0, 3)):
        point(rng.uniform(0.1, wheelbase - 0.1), rng.uniform(0.0, inner - 0.05), ground + rng.uniform(-0.05, 0.2))
    if rng.random() < 0.7:
        b = wheelbase + rng.uniform(radius[1] + 0.12, 1.3)
        point(b, rng.uniform(0.0, 0.7), ground + rng.uniform(0.1, 0.45))
    lengths = {}
    if rng.random() < 0.3:
        lengths = {"front_overhang": rng.uniform(0.6, 1.1), "rear_overhang": rng.uniform(0.6, 1.3)}
    if rng.random() < 0.3:
        lengths |= {"roof_height": rng.uniform(1.5, 2.2), "bonnet_height": rng.uniform(0.95, 1.2)}
    gap = tuple(rng.uniform(0.05, 0.25, 2)) if rng.random() < 0.5 else (np.inf, np.inf)
    kind = list(KINDS)[rng.integers(len(KINDS))]
    places = np.array(points).reshape(-1, 3)
    return Known(kind, wheelbase, track, hub, radius, section, gap, places, ShapeChoices(**lengths))


def test_no_outline_contradicts_a_given_point():
    rng = np.random.default_rng(20)
    for number in range(VEHICLES):
        known = random_vehicle(rng)
        outline = body_outline(known)
        outer = [face for face in outline.faces if face.part != "inside"]
        every = np.concatenate([face.points for face in outer])
        assert np.isfinite(every).all()
        if len(known.points):
            assert every[:, 2].min() > known.points[:, 2].min() - 1e-3, number
        for place in known.points:
            near = [f for f in outer if f.part in ("under", "lower") and "flank" not in f.name]
            near = [
                f
                for f in near
                if (f.points.min(axis=0) < place + 2e-3)[:2].all() and (f.points.max(axis=0) > place - 2e-3)[:2].all()
            ]
            apart = min(distance(place, corners) for face in near for corners in triangles(face))
            assert apart < 1e-3, (number, known.kind, place)  # on the outline
            assert max(below(place, face) for face in near) < 1e-3, (number, known.kind, place)  # on its lower side


@pytest.mark.parametrize("degrees", [5.0, 20.0, 35.0])
def test_ahead_of_the_first_point_nothing_is_nearer_to_a_ramp(degrees):
    """The nearest of the front, square to a ramp that rises ahead, is a given point where the bumper has one."""
    rng = np.random.default_rng(21)
    slope = np.array([np.sin(np.radians(degrees)), 0.0, np.cos(np.radians(degrees))])  # ramp rises towards -b
    seen = 0
    for _ in range(60):
        known = random_vehicle(rng)
        front = known.points[known.points[:, 0] < -known.tyre_radius[0]]
        if not len(front):
            continue
        seen += 1
        every = np.concatenate([f.points for f in body_outline(known).faces if f.part != "inside"])
        ahead = every[every[:, 0] <= front[:, 0].min() + 1e-9]
        assert (ahead @ slope).min() > (front @ slope).min() - 1e-3
    assert seen > 20


@pytest.mark.parametrize("kind", KINDS)
def test_what_a_file_gives_is_met(kind):
    rng = np.random.default_rng(22)
    usual = random_vehicle(rng)
    said = dataclasses.replace(
        usual.said, length=4.9, width=1.95, front_overhang=0.95, rear_overhang=None, roof_height=1.9
    )
    known = dataclasses.replace(usual, kind=kind, points=np.empty((0, 3)), wheelbase=2.8, said=said)
    every = np.concatenate([face.points for face in body_outline(known).faces if not face.name.startswith("spare")])
    assert every[:, 0].max() - every[:, 0].min() == pytest.approx(4.9, abs=1e-3)
    assert every[:, 0].min() == pytest.approx(-0.95, abs=1e-3)
    assert np.abs(every[:, 1]).max() == pytest.approx(0.975, abs=1e-3)
    assert every[:, 2].max() == pytest.approx(1.9, abs=1e-3)


def test_the_arch_lip_stands_where_the_tyre_would_meet_it():
    known = dataclasses.replace(random_vehicle(np.random.default_rng(3)), arch_gap=(0.12, 0.10), kind="long wagon")
    for axle, lip in enumerate(body_outline(known).arch):
        top = known.hub_height[axle] + known.tyre_radius[axle] + known.arch_gap[axle]
        assert lip[:, 1].max() == pytest.approx(top, abs=1e-3)


def test_a_point_that_stands_out_gets_a_part_of_its_own():
    points = np.array([[1.2, 1.25, 0.4]])
    known = dataclasses.replace(random_vehicle(np.random.default_rng(4)), points=points)
    bracket = body_outline(known).face("bracket 0")
    assert np.abs(bracket.points - points[0]).max(axis=1).min() < 1e-9


def test_every_kind_is_drawn_whole():
    known = dataclasses.replace(random_vehicle(np.random.default_rng(5)), points=np.empty((0, 3)))
    for kind in KINDS:
        outline = body_outline(dataclasses.replace(known, kind=kind))
        names = {face.name for face in outline.faces}
        assert {"left flank", "right flank", "roof", "windscreen", "left window 0", "rear window"} <= names
        assert ("bed" in names) == ("pickup" in kind)
        assert len([n for n in names if n.startswith("left window")]) == len(KINDS[kind].panes)
        # Left and right mirror each other where no point stands on one side alone.
        left, right = outline.face("left flank").points, outline.face("right flank").points
        np.testing.assert_allclose(left * np.array([1.0, -1.0, 1.0]), right)


def test_the_kind_follows_construction_and_wheelbase():
    assert kind_of("open pickup on ladder frame", 3.1) == "double-cab pickup"
    assert kind_of("open pickup on ladder frame", 2.8) == "single-cab pickup"
    assert kind_of("closed body", 2.7) == "crossover"
    assert [kind_of("body on frame", w) for w in (2.4, 2.6, 2.8)] == ["two-door", "short wagon", "long wagon"]


def test_faces_turned_away_are_not_seen():
    outline = body_outline(dataclasses.replace(random_vehicle(np.random.default_rng(6)), points=np.empty((0, 3))))
    from_left = {face.name for face in outline.seen(np.array([0.0, 1.0, 0.0]))}
    assert "left flank" in from_left
    assert "right flank" not in from_left
    below = [face.part for face in outline.seen(np.array([0.0, 0.9, -0.4]))]
    above = [face.part for face in outline.seen(np.array([0.0, 0.9, 0.4]))]
    assert below.index("upper") < below.index("lower")
    assert above.index("lower") < above.index("upper")
    assert "under" in below
    assert "under" not in above
