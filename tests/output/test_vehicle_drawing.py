"""The to-scale drawing: what is in the SVG is where the solver says, and the words stand clear of one another."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from articulate.model.ramp_test import ramp_test
from articulate.output.figures.drawing import bodywork_words
from articulate.output.figures.scene import scenes
from articulate.output.figures.theme import MEDIA, PAGE
from articulate.output.figures.vehicle import VIEWS, vehicle_picture
from articulate.output.figures.wheels import outline
from articulate.output.units import MILLIMETRES_FIRST
from articulate.prediction import predict
from articulate.spec import build, load_vehicle, with_settings
from articulate.studies.day.moments import at_climbs, release
from articulate.studies.population.watched import watched_of
from articulate.trace import BodyPoint
from articulate.types import WHEELS
from tests.output.figure_checks import objections

SVG = "{http://www.w3.org/2000/svg}"
DEMO = sorted(Path("vehicle_specs_demo").glob("*.toml"))


@cache
def predicted(path, side="left"):
    spec = load_vehicle(path)
    vehicle, body, test = build(spec), watched_of(spec), ramp_test(1)
    return vehicle, test, predict(vehicle, test, side, body), body.points


def scene_at(path, share, side="left", bars="connected"):
    vehicle, test, prediction, points = predicted(path, side)
    run = getattr(prediction, bars)
    moments = at_climbs(vehicle, test, side, run, np.array([run.climb * share]))
    return scenes(moments, points)[0], run


class Drawing:
    """Places in an SVG, brought back to metres by its own one-metre bar and its toe."""

    def __init__(self, text):
        self.groups = {g.get("id"): g for g in ElementTree.fromstring(text).iter(f"{SVG}g") if g.get("id")}
        (left, _), (right, _) = self.path("metre")[:2]
        self.metre = right - left
        self.floor = self.path("floor")[0][1] if "floor" in self.groups else None

    def path(self, name):
        drawn = next(self.groups[name].iter(f"{SVG}path")).get("d")
        return [(float(a), float(b)) for a, b in re.findall(r"[ML] (\S+) (\S+)", drawn)]

    def marker(self, name):
        use = next(self.groups[name].iter(f"{SVG}use"))
        return float(use.get("x")), float(use.get("y"))

    def between(self, first, second):
        """Vector in metres, right and up."""
        return np.array([second[0] - first[0], first[1] - second[1]]) / self.metre

    def height(self, place):
        return (self.floor - place[1]) / self.metre


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("view", ["side", "rear", "front"])
def test_hubs_contacts_and_mark_are_where_the_solver_says(view, side):
    scene, run = scene_at("vehicle_specs_demo/short_two_door.toml", 1.0, side, "released")
    drawing = Drawing(vehicle_picture(scene, "x", view).svg())
    ramp_wheel = 0 if side == "left" else 1
    # Straight from the trace's last state, which the drawing's own solve does not use.
    order = [0, 1, 2, 3] if side == "left" else [1, 0, 3, 2]
    sign = np.array([1.0, 1.0 if side == "left" else -1.0, 1.0])
    hub = run.trace.measures.hub[-1][order] * sign
    contact = run.trace.measures.contact[-1][order] * sign
    slope = run.climb * np.array([np.cos(np.radians(20.0)), 0.0, np.sin(np.radians(20.0))])
    across = {  # picture's right in x forward, y left
        "side": np.array([-1.0 if side == "left" else 1.0, 0.0, 0.0]),
        "rear": np.array([0.0, -1.0, 0.0]),
        "front": np.array([0.0, 1.0, 0.0]),
    }[view]
    origin = drawing.marker("hub-front-left")
    for wheel, name in enumerate(WHEELS):
        for kind, places in (("hub", hub), ("contact", contact)):
            place = drawing.marker(f"{kind}-{name.replace(' ', '-')}")
            assert drawing.height(place) == pytest.approx(places[wheel, 2], abs=1e-4)
            expected = (places[wheel] - hub[0]) @ across
            assert drawing.between(origin, place)[0] == pytest.approx(expected, abs=1e-4)
    mark = drawing.marker("mark")
    assert drawing.height(mark) == pytest.approx(run.mark_height, abs=1e-4)
    to_mark = drawing.between(drawing.marker(f"hub-{WHEELS[ramp_wheel].replace(' ', '-')}"), mark)
    if view == "side":
        foot, hub_end = drawing.path("square")
        toe, end = drawing.path("ramp-surface")
        ramp, square = drawing.between(toe, end), drawing.between(foot, hub_end)
        assert abs(ramp @ square) / np.linalg.norm(ramp) / np.linalg.norm(square) < 1e-4
        assert ramp[1] / abs(ramp[0]) == pytest.approx(np.tan(np.radians(20.0)), rel=1e-4)
        assert np.linalg.norm(drawing.between(toe, mark)) == pytest.approx(run.climb, abs=1e-4)
        assert to_mark[0] == pytest.approx((slope - hub[ramp_wheel]) @ across, abs=1e-4)
    else:
        assert to_mark[0] == pytest.approx(0.0, abs=1e-4)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("view", ["top", "three-quarter"])
def test_from_above_and_at_an_angle_everything_is_where_the_solver_says(view, side):
    """Directions of the picture written out here; hubs, contacts, mark and body points within a millimetre."""
    scene, run = scene_at("vehicle_specs_demo/wagon.toml", 1.0, side)
    drawing = Drawing(vehicle_picture(scene, "x", view).svg())
    out = 1.0 if side == "left" else -1.0
    right, up = np.array([-1.0, 0.0, 0.0]) * out, np.array([0.0, -1.0, 0.0]) * out
    if view == "three-quarter":
        a, e = np.radians(38.0), np.radians(17.0)
        right = np.array([-np.cos(a) * out, -np.sin(a), 0.0])
        up = np.array([np.sin(e) * np.sin(a), -out * np.sin(e) * np.cos(a), np.cos(e)])
    order = [0, 1, 2, 3] if side == "left" else [1, 0, 3, 2]
    flip = np.array([1.0, out, 1.0])
    hub = run.trace.measures.hub[-1][order] * flip
    contact = run.trace.measures.contact[-1][order] * flip
    origin = drawing.marker("hub-front-left")
    places = {f"hub-{n.replace(' ', '-')}": p for n, p in zip(WHEELS, hub, strict=True)}
    places |= {f"contact-{n.replace(' ', '-')}": p for n, p in zip(WHEELS, contact, strict=True)}
    slope = run.climb * np.array([np.cos(np.radians(20.0)), 0.0, np.sin(np.radians(20.0))])
    slope[1] = hub[0 if side == "left" else 1, 1]
    places["mark"] = slope
    places |= {f"bodywork-{k}": point for k, point in enumerate(scene.point)}
    for name, place in places.items():
        expected = [(place - hub[0]) @ right, (place - hub[0]) @ up]
        np.testing.assert_allclose(drawing.between(origin, drawing.marker(name)), expected, atol=1e-3)


def test_the_arrow_of_a_hidden_wheel_stands_clear_of_the_one_that_lifts():
    scene, run = scene_at("vehicle_specs_demo/wagon.toml", 1.0)
    assert run.wheel == 2
    for view, hidden in (("side", "rear-right"), ("rear", "front-left")):
        drawing = Drawing(vehicle_picture(scene, "x", view, PAGE, run.wheel).svg())
        arrow = np.array(drawing.path(f"load-{hidden}"))
        lifted = drawing.marker("contact-rear-left")
        assert np.abs(arrow[:, 0] - lifted[0]).min() / drawing.metre > 0.05, view


def test_load_arrows_are_to_one_scale():
    scene, _ = scene_at("vehicle_specs_demo/wagon.toml", 0.5)
    drawing = Drawing(vehicle_picture(scene, "x", "side").svg())
    for wheel, name in enumerate(WHEELS):
        corners = np.array(drawing.path(f"load-{name.replace(' ', '-')}"))
        spread = (corners[:, None] - corners[None]) / drawing.metre
        # The longest distance along the push is the arrow; its half head width makes the corner a little further.
        direction = scene.load_direction[wheel] @ np.array([-1.0, 0.0, 0.0]), -scene.load_direction[wheel][2]
        assert (spread @ direction).max() == pytest.approx(scene.load[wheel] * 0.6e-4, rel=1e-3)


@pytest.mark.parametrize("path", DEMO, ids=lambda p: p.stem)
def test_no_words_overlap_or_are_cut_off(path):
    for bars in ("connected", "released"):
        if bars == "released" and predicted(path)[2].released is None:
            continue
        for share in (0.05, 1.0):
            scene, run = scene_at(path, share, bars=bars)
            for view in VIEWS:
                for medium in [MEDIA["paper"], PAGE] if share == 1.0 and view in ("side", "rear") else [PAGE]:
                    picture = vehicle_picture(scene, load_vehicle(path).name, view, medium, run.wheel)
                    assert not objections(picture), (view, medium.name, share)


def test_overlapping_words_would_be_found():
    scene, run = scene_at("vehicle_specs_demo/wagon.toml", 1.0)
    picture = vehicle_picture(scene, "x", "side", PAGE, run.wheel)
    picture.figure.text(0.02, 0.5, "words that run out of the picture " * 9)
    picture.figure.text(0.03, 0.505, "words over words")
    found = objections(picture)
    assert any(text.startswith("cut off") for text in found)
    assert any("words over words" in text for text in found)


def test_same_input_same_bytes():
    for form in ("svg", "png"):
        first, second = (
            vehicle_picture(scene_at("vehicle_specs_demo/wagon.toml", 1.0)[0], "x", "side", PAGE).data(form)
            for _ in range(2)
        )
        assert first == second


def test_the_svg_says_in_words_what_it_shows():
    scene, run = scene_at("vehicle_specs_demo/wagon.toml", 1.0)
    text = vehicle_picture(scene, "Wagon & trailer", "side", PAGE, run.wheel).svg()
    root = ElementTree.fromstring(text)
    assert root.find(f"{SVG}title").text.startswith("Wagon & trailer")
    assert "rear left 0 N" in root.find(f"{SVG}desc").text


def test_the_outline_is_the_silhouette_of_the_torus():
    """Brute force: the outline is the edge of many points of the torus, seen along x."""
    rng = np.random.default_rng(7)
    axle = np.array([0.3, 0.9, 0.25])
    axle /= np.linalg.norm(axle)
    first = np.cross(axle, [1.0, 0.0, 0.0])
    first /= np.linalg.norm(first)
    second = np.cross(axle, first)
    u, w = rng.uniform(0.0, 2.0 * np.pi, (2, 400_000))
    spoke = np.cos(u)[:, None] * first + np.sin(u)[:, None] * second
    points = 0.3 * spoke + 0.1 * (np.cos(w)[:, None] * spoke + np.sin(w)[:, None] * axle)
    seen = points[:, 1:]

    def look(values):
        return np.asarray(values)[..., 1:]

    shape = outline(np.zeros(3), axle, 0.4, 0.1, look)
    for angle in np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False):
        direction = np.array([np.cos(angle), np.sin(angle)])
        assert (shape @ direction).max() == pytest.approx((seen @ direction).max(), abs=6e-4)


def test_a_run_on_the_right_is_the_mirror_image():
    left, _ = scene_at("vehicle_specs_demo/short_two_door.toml", 0.8)
    vehicle, test, _, points = predicted("vehicle_specs_demo/short_two_door.toml")
    flipped = predict(vehicle.mirrored(), test, "right")
    moments = at_climbs(vehicle.mirrored(), test, "right", flipped.connected, np.array([left.climb]))
    (right,) = scenes(moments, [BodyPoint(p.name, p.behind_front_axle, -p.left_of_centre, p.height) for p in points])
    swap, flip = [1, 0, 3, 2], np.array([1.0, -1.0, 1.0])
    for name in ("hub", "contact", "spring", "carrier"):
        np.testing.assert_allclose(getattr(right, name)[swap] * flip, getattr(left, name), atol=1e-9)
    np.testing.assert_allclose(right.load[swap], left.load, atol=1e-6)
    assert right.roll == pytest.approx(-left.roll)


def test_releasing_on_the_ramp_leads_to_the_released_run_where_the_way_does_not_matter():
    vehicle, test = build(load_vehicle("vehicle_specs_demo/wagon.toml")), ramp_test(1)
    lifts = []
    for one in (vehicle.frictionless(), vehicle):
        prediction = predict(one, test)
        at = np.array([prediction.connected.climb])
        settled = release(one, at_climbs(one, test, "left", prediction.connected, at))
        driven = at_climbs(one, test, "left", prediction.released, at)
        assert settled.converged.all()
        lifts.append(np.abs(settled.state - driven.state).max())
    assert lifts[0] < 1e-7
    assert 1e-4 < lifts[1] < 0.02  # suspension friction remembers on which way the vehicle came


def test_states_at_the_climbs_of_the_trace_are_those_of_the_trace():
    """With suspension friction too: the moments are solved with the anchors of the way."""
    vehicle, test, prediction, _ = predicted("vehicle_specs_demo/wagon.toml")
    run = prediction.released
    assert (vehicle.friction_force > 0.0).any()
    moments = at_climbs(vehicle, test, "left", run, run.trace.climb)
    assert moments.converged.all()
    np.testing.assert_allclose(moments.state, run.trace.state, atol=1e-6)
    between = at_climbs(vehicle, test, "left", run, (run.trace.climb[1:] + run.trace.climb[:-1]) / 2.0)
    assert between.converged.all()
    low = np.minimum(run.trace.state[1:], run.trace.state[:-1]) - 2e-3
    high = np.maximum(run.trace.state[1:], run.trace.state[:-1]) + 2e-3
    assert np.all((low < between.state) & (between.state < high))


def test_a_climb_beyond_the_run_is_refused():
    vehicle, test, prediction, _ = predicted("vehicle_specs_demo/wagon.toml")
    with pytest.raises(ValueError, match="ends at"):
        at_climbs(vehicle, test, "left", prediction.connected, np.array([prediction.connected.climb + 0.01]))


LONG = "An estate of the long wheelbase, Überland «Ωmega», with all its gear"  # 67 letters


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("medium", [MEDIA["paper"], PAGE], ids=lambda m: m.name)
def test_odd_vehicles_are_drawn_without_words_on_words(medium, side):
    """Heavy and long (long arrows), many bodywork points with long names, a ramp that ends soon, a long name."""
    settings = {"wheelbase": "4330 mm", "mass.front_axle": "1800 kg", "mass.rear_axle": "1900 kg"}
    spec = with_settings(load_vehicle("vehicle_specs_demo/wagon.toml"), [*settings.items(), ("mass.total", "3700 kg")])
    points = tuple(
        BodyPoint(f"under-run guard bracket number {k} of the long kind", 0.2 * k - 0.4, 0.1 * k - 0.5, 0.3 + 0.01 * k)
        for k in range(12)
    )
    for length in (np.inf, 1.2):
        vehicle, test = build(spec), ramp_test(1, length=length)
        run = predict(vehicle, test, side).connected
        (scene,) = scenes(at_climbs(vehicle, test, side, run, run.trace.climb[-1:]), points)
        for view in VIEWS:
            picture = vehicle_picture(scene, LONG, view, medium, run.wheel)
            assert not objections(picture), (view, length)
            assert picture.title.startswith(LONG)
            heading = picture.figure.texts[0].get_text()
            assert heading.endswith(f", bars {run.bars}")  # the name is cut, not what the picture says
            assert arrows_are_clear_of_words(picture)


def arrows_are_clear_of_words(picture):
    """Whether every load arrow's tail ends above the words below the floor."""
    axes = picture.figure.axes[0]
    picture.figure.canvas.draw()
    tails = [patch.get_window_extent().y0 for patch in axes.patches if (patch.get_gid() or "").startswith("load-")]
    words = [text.get_window_extent().y1 for text in axes.texts if text.get_text().startswith(tuple(WHEELS))]
    below = [y for y in words if y < axes.transData.transform((0.0, 0.0))[1]]
    return not below or not tails or min(tails) > max(below)


def test_a_point_that_hangs_beside_the_ramp_is_said_to():
    scene, _ = scene_at("vehicle_specs_demo/wagon.toml", 1.0)
    told = " ".join(bodywork_words(scene, 400, MILLIMETRES_FIRST))
    k = scene.points.index("front skid plate, middle")
    assert scene.point[k, 2] < scene.point[k, 0] * np.tan(scene.angle)
    assert f"{scene.point_clearance[k] * 1000.0:.0f} mm, beside the ramp" in told
    assert told.count("beside the ramp") == 1


def test_letters_that_no_font_has_are_told():
    scene, _ = scene_at("vehicle_specs_demo/wagon.toml", 1.0)
    assert vehicle_picture(scene, "Überland Ωmega Жук", "side", PAGE).missing_letters == ""
    private = "\N{EGYPTIAN HIEROGLYPH A001}"
    assert vehicle_picture(scene, f"x{private}", "side", PAGE).missing_letters == private
