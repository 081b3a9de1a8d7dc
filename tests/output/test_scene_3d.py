"""The scene in three dimensions: its library is the one that was fetched, and what a browser draws is the solver's."""

from __future__ import annotations

import base64
import gzip
import hashlib
import re
from pathlib import Path

import numpy as np
import pytest

from articulate.output.figures.scene import outline_of, scenes
from articulate.output.figures.wheels import bar_lines
from articulate.output.report.scene_part import library, mesh_data, ring
from articulate.prediction import predict
from articulate.spec import load_vehicle
from articulate.studies.day.moments import at_climbs
from articulate.studies.population.conditions import Conditions, lanes_of
from articulate.studies.population.watched import watched_of
from tests.output.pages import DEMO, Watched

MILLIMETRE = 1e-3
LOOKS = ("side", "behind", "axle", "lifts", "above")


class Looked(Watched):
    """A report whose scene has begun."""

    def __init__(self, browser, path, **options):
        super().__init__(browser, path, **options)
        self.block = self.page.locator(".space").first
        self.page.locator(".climb").first.scroll_into_view_if_needed()
        self.page.wait_for_selector(".space:not([hidden]) canvas")
        self.slider = self.page.get_by_role("slider", name="Climb along the ramp").first

    def drawn(self):
        return self.block.evaluate("one => one.drawn()")

    def draw(self):
        """The picture at once, where else it waits for the next frame."""
        self.block.evaluate("one => one.draw()")

    def view(self):
        """Where the words of the wheels stand: they go round as the view does."""
        self.draw()
        where = "all => all.map(one => one.hidden ? '' : one.style.transform).join()"
        return self.page.locator(".tag.of-wheel").evaluate_all(where)


@pytest.fixture(scope="module")
def looked(solid_browser, made):
    """One page for what leaves it as it was."""
    found = Looked(solid_browser, made["report"].path, reduced_motion="reduce")
    yield found
    found.context.close()


def test_the_library_is_what_its_script_fetched_and_brings_its_licence():
    script = Path("scripts/scene_library").read_text(encoding="utf-8")
    (wanted,) = re.findall(r'^SHA256 = "([0-9a-f]{64})"', script, re.MULTILINE)
    assert hashlib.sha256(library().script.encode("utf-8")).hexdigest() == wanted
    assert gzip.decompress(base64.b64decode(library().packed)).decode("utf-8") == library().script
    assert "The MIT License" in library().script[:300]
    assert "://" not in library().script.replace("http://www.w3.org/1999/xhtml", "")  # the name of HTML, not a place


def test_a_page_carries_the_library_once_and_its_policy_names_it(made):
    for name in ("report", "comparison"):
        text = made[name].text
        assert text.count(library().packed) == 1
        digest = base64.b64encode(hashlib.sha256(library().script.encode("utf-8")).digest()).decode("ascii")
        assert digest in text
        assert len(text.encode("utf-8")) < 3_000_000


def test_faces_turn_their_outward_side_to_the_viewer():
    spec = load_vehicle(DEMO / "forward_control_van.toml")
    vehicle, _ = lanes_of(spec, Conditions(), {})
    body = watched_of(spec)
    outline = outline_of(vehicle, body.points, body.arch_gap, spec)
    for face in outline.faces:
        corners = ring(face)
        area = np.cross(corners, np.roll(corners, -1, axis=0)).sum(axis=0)
        assert area @ face.normal >= 0.0
        assert sorted(map(tuple, corners)) == sorted(map(tuple, face.points))


@pytest.fixture(scope="module")
def wagon():
    spec = load_vehicle(DEMO / "wagon.toml")
    vehicle, test = lanes_of(spec, Conditions(), {})
    body = watched_of(spec)
    outline = outline_of(vehicle, body.points, body.arch_gap, spec)
    return spec, vehicle, test, body.points, outline, predict(vehicle, test, "left", body)


@pytest.mark.parametrize("place", [350, 900, 1312, 10_000])  # the last beyond the slider's end
def test_everything_is_drawn_within_a_millimetre_of_the_solver(looked, wagon, place):
    _, vehicle, test, points, outline, both = wagon
    looked.set(looked.slider, place)
    drawn = looked.drawn()
    assert set(drawn) == {"connected", "released"}
    for run in (both.connected, both.released):
        found = drawn[run.bars]
        at = min(place * MILLIMETRE, both.connected.climb)  # the slider is that of the connected run
        moments = at_climbs(vehicle, test, "left", run, np.array([at]))
        assert moments.converged.all()
        (scene,) = scenes(moments, points, outline)
        near = {"abs": MILLIMETRE}
        assert np.array(found["hub"]) == pytest.approx(scene.hub, **near)
        assert np.array(found["contact"]) == pytest.approx(scene.contact, **near)
        assert np.array(found["mark"]) == pytest.approx(scene.mark, **near)
        assert np.array(found["point"]) == pytest.approx(scene.point, **near)
        assert np.array(found["axle"]) == pytest.approx(scene.axle_direction, abs=1e-3)  # a millimetre in a metre
        assert found["load"] == pytest.approx(scene.load, abs=0.003 * scene.load.sum())
        # The body is where the solver has its points: the matrix the mesh is drawn with, on the points as given.
        matrix = np.array(found["body"]).reshape(4, 4).T
        local = np.array([[p.behind_front_axle, p.left_of_centre, p.height, 1.0] for p in points])
        assert (local @ matrix.T)[:, :3] == pytest.approx(scene.point, **near)
        for axle, spots in enumerate(np.array(found["bar"])):
            (line,), (links,) = bar_lines([scene], axle)
            assert spots == pytest.approx(np.concatenate([line, links[:, 1]]), **near)
        # A tyre reaches its contact point and nothing of it is in floor or ramp.
        tyre = np.array(found["tyre"]).reshape(4, -1, 3)
        up = np.array([-np.sin(scene.angle), 0.0, np.cos(scene.angle)])
        for wheel in range(4):
            assert tyre[wheel][:, 2].min() >= -1e-6
            if scene.on_ramp[wheel]:
                assert (tyre[wheel] @ up).min() == pytest.approx(0.0, abs=MILLIMETRE)
            elif scene.load[wheel] > 1.0:
                assert tyre[wheel][:, 2].min() == pytest.approx(0.0, abs=MILLIMETRE)
        assert found["lifting"] == (run.wheel if at >= run.climb - 1e-9 else -1)


def test_looks_keys_and_fingers_change_the_view(looked):
    page = looked.page
    looked.set(looked.slider, 900)
    seen = {}
    for look in LOOKS:
        page.locator(f'[data-look="{look}"]').click()
        seen[look] = looked.view()
        pressed = page.locator('[data-look][aria-pressed="true"]')
        assert pressed.evaluate_all("all => all.map(one => one.dataset.look)") == [look]
    assert len(set(seen.values())) == len(LOOKS)
    canvas = page.locator(".space canvas").first
    canvas.focus()
    for number, look in enumerate(LOOKS, 1):
        page.keyboard.press(str(number))
        assert looked.view() == seen[look]
    page.keyboard.press("1")
    for there, back in (("ArrowLeft", "ArrowRight"), ("ArrowUp", "ArrowDown"), ("+", "-")):
        page.keyboard.press(there)
        assert looked.view() != seen["side"]
        assert page.locator('[data-look][aria-pressed="true"]').count() == 0
        page.keyboard.press(back)
        assert looked.view() == seen["side"]
    box = canvas.bounding_box()
    middle = (box["x"] + box["width"] / 2.0, box["y"] + box["height"] / 2.0)
    page.mouse.move(*middle)
    page.mouse.down()
    page.mouse.move(middle[0] + 60.0, middle[1])
    page.mouse.up()
    assert looked.view() != seen["side"]
    page.locator('[data-look="side"]').click()
    assert looked.view() == seen["side"]
    assert looked.said == []
    assert [url for url in looked.asked if not url.startswith(("data:", "file:", "blob:"))] == []


def test_chapters_are_gone_to_one_after_the_other(looked, wagon):
    run, page = wagon[-1].connected, looked.page
    climbs = [run.trace.climb[0], *(event.climb for event in run.events), run.climb]
    looked.set(looked.slider, 0)
    for k, climb in enumerate(climbs):
        assert page.locator(".chapter").first.inner_text().startswith(f"{k + 1} of {len(climbs)}: ")
        assert float(looked.slider.input_value()) == pytest.approx(1000.0 * climb, abs=1.0)
        if k + 1 < len(climbs):
            page.get_by_role("button", name="Next chapter").click()
    assert page.locator(".chapter").first.inner_text().endswith("rear left lifts")
    page.locator(".space canvas").first.focus()
    page.keyboard.press("PageUp")
    assert float(looked.slider.input_value()) == pytest.approx(1000.0 * climbs[-2], abs=1.0)


def test_both_bar_states_are_seen_side_by_side_and_said(looked):
    page = looked.page
    page.get_by_role("radio", name="released").check()
    looked.set(looked.slider, 10_000)
    looked.draw()
    assert page.locator(".tag.head:visible").count() == 1
    page.get_by_label("both bar states side by side").check()
    looked.draw()
    assert page.locator(".tag.head:visible").count() == 2
    heads = page.locator(".tag.head:visible").all_inner_texts()
    assert [words.partition(": ")[2] for words in heads] == [
        "rear left lifts at 567 points",
        "rear left lifts at 635 points",
    ]
    page.locator(".shown").get_by_text("Bars released: rear left lifts at 635 points.").wait_for()
    nothing = [text for text in page.locator(".tag.of-wheel:visible").all_inner_texts() if "carries nothing" in text]
    assert len(nothing) == 2
    page.get_by_label("both bar states side by side").uncheck()
    page.get_by_role("radio", name="connected").check()


def test_the_plain_drawing_can_be_had_instead_and_paper_has_neither(looked):
    page = looked.page
    assert page.locator(".views").first.is_hidden()
    page.get_by_role("button", name="plain drawing").click()
    assert page.locator(".views svg.side").first.is_visible()
    assert page.locator(".space canvas").first.is_hidden()
    page.get_by_role("button", name="plain drawing").click()
    assert page.locator(".space canvas").first.is_visible()
    page.emulate_media(media="print")
    assert page.locator(".space canvas").first.is_hidden()
    assert page.locator(".still svg").count() > 3
    page.emulate_media(media="screen")


def test_the_scene_rests_where_nothing_changes(looked):
    page = looked.page
    page.evaluate(
        """() => {
            const was = window.requestAnimationFrame;
            window.a_frame = () => new Promise(was);
            window.frames_asked = 0;
            window.requestAnimationFrame = (draw) => { window.frames_asked += 1; return was(draw); };
        }"""
    )

    def asked():  # for, within a fifth of a second; what came before may still have one to draw
        page.evaluate("() => window.a_frame()")
        page.evaluate("() => { window.frames_asked = 0; }")
        page.wait_for_timeout(200)
        page.evaluate("() => window.a_frame()")  # on a busy machine it may be drawn only now
        return page.evaluate("window.frames_asked")

    assert any(asked() == 0 for _ in range(10))
    looked.set(looked.slider, 700)
    assert page.evaluate("window.frames_asked") > 0
    assert any(asked() == 0 for _ in range(10))


def test_on_a_phone_a_finger_goes_round_and_both_states_stand_one_below_the_other(solid_browser, made):
    looked = Looked(solid_browser, made["report"].path, width=360, has_touch=True)
    page = looked.page
    assert looked.sideways() == 0
    canvas = page.locator(".space canvas").first
    canvas.scroll_into_view_if_needed()
    before, at = looked.view(), canvas.bounding_box()
    hand = looked.context.new_cdp_session(page)
    x, y = at["x"] + at["width"] / 2.0, at["y"] + at["height"] / 2.0
    for kind, along in (("Start", 0.0), ("Move", 25.0), ("Move", 60.0)):
        hand.send("Input.dispatchTouchEvent", {"type": f"touch{kind}", "touchPoints": [{"x": x + along, "y": y}]})
    hand.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    assert looked.view() != before  # gone round by a finger
    one = page.locator(".space canvas").first.bounding_box()
    page.get_by_label("both bar states side by side").check()
    looked.draw()
    assert page.locator(".tag.head:visible").count() == 2
    both = page.locator(".space canvas").first.bounding_box()
    assert one["width"] == both["width"] <= 360.0
    assert both["height"] == pytest.approx(2.0 * one["height"], abs=10.0)
    assert looked.sideways() == 0
    assert looked.said == []
    looked.context.close()


def test_without_webgl_the_plain_drawing_stays(browser, made):
    watched = Watched(browser, made["report"].path)
    page = watched.page
    page.locator(".climb").scroll_into_view_if_needed()
    page.wait_for_timeout(300)
    assert page.evaluate("document.createElement('canvas').getContext('webgl2')") is None
    assert page.locator(".space").is_hidden()
    assert page.locator(".views svg.side").is_visible()
    assert page.evaluate("window.three === undefined")
    assert watched.said == []
    watched.context.close()


def test_a_library_that_was_tampered_with_does_not_run(solid_browser, made, tmp_path):
    # The policy allows the packed script by its hash alone: a page whose library was exchanged keeps its plain drawing.
    other = base64.b64encode(gzip.compress(b"window.hit = 1; window.three = {};")).decode("ascii")
    changed = tmp_path / "changed.html"
    changed.write_text(made["report"].text.replace(library().packed, other), encoding="utf-8")
    watched = Watched(solid_browser, changed)
    page = watched.page
    page.locator(".climb").scroll_into_view_if_needed()
    page.wait_for_timeout(500)
    assert page.evaluate("window.hit") is None
    assert page.locator(".views svg.side").is_visible()
    watched.context.close()


def test_the_data_of_a_run_on_the_right_has_its_ramp_on_the_right():
    spec = load_vehicle(DEMO / "crossover_minimal.toml")
    vehicle, test = lanes_of(spec, Conditions(), {})
    run = predict(vehicle, test, "right").connected
    (scene,) = scenes(at_climbs(vehicle, test, "right", run, run.trace.climb[-1:]), ())
    data = mesh_data(scene, run.climb)
    assert data["outward"] == -1
    assert data["lane"] == pytest.approx(1000.0 * scene.contact[1, 1], abs=0.5)
    assert data["lane"] < 0
