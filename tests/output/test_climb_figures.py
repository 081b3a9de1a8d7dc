"""Wheel loads, travel and support: what is drawn is what was solved."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from articulate.model.ramp_test import ramp_test
from articulate.output.figures.loads import event_rows, loads_picture
from articulate.output.figures.scene import scenes
from articulate.output.figures.support import support_edge, support_picture
from articulate.output.figures.theme import MEDIA, PAGE
from articulate.output.figures.travel import travel_picture
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.studies.day.moments import at_climbs
from articulate.types import WHEELS
from tests.output import figure_checks as checks

DEMO = sorted(Path("vehicle_specs_demo").glob("*.toml"))


@cache
def ends(path, side="left"):
    """Prediction and the last moment of each run."""
    vehicle, test = build(load_vehicle(path)), ramp_test(1)
    prediction = predict(vehicle, test, side)
    runs = [run for run in (prediction.connected, prediction.released) if run is not None]
    last = [scenes(at_climbs(vehicle, test, side, run, run.trace.climb[-1:]))[0] for run in runs]
    return prediction, last


@pytest.mark.parametrize("path", DEMO, ids=lambda p: p.stem)
def test_no_words_overlap_or_are_cut_off(path):
    prediction, last = ends(path)
    name = load_vehicle(path).name
    for medium in MEDIA.values():
        pictures = [loads_picture(prediction, name, medium), travel_picture(last, name, medium)]
        pictures += [support_picture(scene, name, medium) for scene in last]
        for picture in pictures:
            assert not checks.objections(picture), (medium.name, picture.title)


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_curves_are_the_loads_of_the_named_wheels(side):
    prediction, _ = ends(DEMO[3], side)
    picture = loads_picture(prediction, "x")
    lines = {line.get_gid(): line for line in picture.figure.findobj(lambda item: bool(item.get_gid()))}
    for run in (prediction.connected, prediction.released):
        for wheel, name in enumerate(WHEELS):
            line = lines[f"{run.bars}-{name.replace(' ', '-')}"]
            assert line.get_xdata()[-1] == pytest.approx(run.climb * 1000.0, rel=1e-9)
            assert line.get_ydata()[-1] == pytest.approx(run.wheel_load[wheel], abs=0.1)
        assert run.wheel == (2 if side == "left" else 3)


def test_labels_of_events_meet_neither_each_other_nor_lines():
    rng = np.random.default_rng(3)
    for _ in range(300):
        places = np.sort(rng.uniform(0.0, 100.0, rng.integers(1, 9)))
        widths = rng.uniform(5.0, 40.0, places.size)
        found = event_rows(list(places), list(widths), -30.0, 130.0)
        boxes = [
            (place - width, place, row) if on_left else (place, place + width, row)
            for place, width, (row, on_left) in zip(places, widths, found, strict=True)
        ]
        for i, (low, high, row) in enumerate(boxes):
            for j, (other_low, other_high, other_row) in enumerate(boxes):
                if i == j:
                    continue
                assert row != other_row or high <= other_low + 1e-9 or other_high <= low + 1e-9
                # The line of j rises through all rows below its own and through its own.
                if other_row >= row:
                    assert not low + 1e-9 < places[j] < high - 1e-9


@pytest.mark.parametrize("path", DEMO, ids=lambda p: p.stem)
def test_the_margin_drawn_is_the_model_s(path):
    _, last = ends(path)
    for scene in last:
        wheels, start, end, distance = support_edge(scene)
        assert distance == pytest.approx(scene.tipping_margin, abs=1e-9)
        picture = support_picture(scene, "x")
        (line,) = picture.figure.findobj(lambda item: item.get_gid() == "margin")
        drawn = np.stack([line.get_xdata(), line.get_ydata()], axis=-1)
        assert np.hypot(*(drawn[1] - drawn[0])) == pytest.approx(distance)
        assert (drawn[1] - drawn[0]) @ (end - start) == pytest.approx(0.0, abs=1e-9)
        assert len(wheels) == 4  # one is down to the touch load, and still touches


def test_travel_bars_reach_the_share_that_predict_reports():
    prediction, last = ends(DEMO[4])
    picture = travel_picture(last, "x")
    bars = [patch.get_width() for patch in picture.figure.axes[0].patches if abs(patch.get_height() - 1.152) < 1e-6]
    runs = (prediction.connected, prediction.released)
    expected = [100.0 * run.travel_used[wheel] for wheel in range(4) for run in runs]
    np.testing.assert_allclose(bars, expected, atol=0.05)


def test_same_input_same_bytes():
    prediction, last = ends(DEMO[4])
    for make in (
        lambda: loads_picture(prediction, "x", PAGE),
        lambda: travel_picture(last, "x", PAGE),
        lambda: support_picture(last[0], "x", PAGE),
    ):
        assert make().svg() == make().svg()
        assert make().png() == make().png()


def test_a_transparent_picture_has_no_background():
    from io import BytesIO

    from PIL import Image

    prediction, _ = ends(DEMO[4])
    clear = Image.open(BytesIO(loads_picture(prediction, "x", MEDIA["video"], transparent=True).png()))
    solid = Image.open(BytesIO(loads_picture(prediction, "x", MEDIA["video"]).png()))
    assert clear.size == solid.size == (1920, 1080)
    assert clear.getpixel((5, 1075))[3] == 0
    assert solid.getpixel((5, 1075)) == (255, 255, 255, 255)


def test_many_events_leave_room_for_the_curves_in_a_video():
    prediction, _ = ends(DEMO[3])
    picture = loads_picture(prediction, "x", MEDIA["video"])
    for axes in picture.figure.axes[:2]:
        names = [text for text in axes.texts if text.get_text().endswith(" N")]
        events = [text for text in axes.texts if text not in names]
        assert len(names) == 4
        assert events
        lowest = min(text.get_window_extent().y0 for text in events)
        assert max(text.get_window_extent().y1 for text in names) < lowest


def test_words_without_background_can_be_read_on_dark_ground():
    """Round the title, on black: white next to the letters, so that dark letters stand out."""
    from io import BytesIO

    from PIL import Image

    prediction, _ = ends(DEMO[4])
    clear = Image.open(BytesIO(loads_picture(prediction, "HHHH", MEDIA["video"], transparent=True).png()))
    black = Image.new("RGBA", clear.size, (0, 0, 0, 255))
    black.alpha_composite(clear)
    title = np.asarray(black.convert("L"))[20:60, 20:120]
    assert title.max() == 255
    assert (title < 60).any()
