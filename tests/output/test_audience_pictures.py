"""Pictures for an audience: score, one sentence and vehicle, in three formats; captions and text for the blind."""

from __future__ import annotations

import json
from io import BytesIO

import pytest
from matplotlib.text import Text
from PIL import Image
from typer.testing import CliRunner

from articulate.cli import app
from articulate.model.ramp_test import ramp_test
from articulate.output.figures.conditions import figure_with_conditions
from articulate.output.figures.scene import scenes
from articulate.output.figures.theme import AUDIENCE
from articulate.output.figures.vehicle import VIEWS, vehicle_picture
from articulate.output.film.encode import FORMS
from articulate.output.text.conditions import stated
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.studies.day.moments import at_climbs
from articulate.studies.population.conditions import Conditions
from tests.output.figure_checks import objections

WAGON = "vehicle_specs_demo/wagon.toml"
PIXELS = {"video": (1920, 1080), "square": (1080, 1080), "upright": (1080, 1920)}


@pytest.fixture(scope="module")
def scene():
    vehicle, test = build(load_vehicle("vehicle_specs_demo/wagon.toml")), ramp_test(1)
    run = predict(vehicle, test).connected
    return scenes(at_climbs(vehicle, test, "left", run, run.trace.climb[[20, -1]]))[-1], run


@pytest.mark.parametrize("medium", AUDIENCE.values(), ids=lambda m: m.name)
def test_one_message_in_the_pixels_asked_for(scene, medium):
    scene, run = scene
    for view in VIEWS:
        for name in ("Kestrow", "An estate of the long wheelbase, Überland «Ωmega», with all its gear"):
            picture = vehicle_picture(scene, name, view, medium, run.wheel)
            assert not objections(picture), view
            said = [text.get_text() for text in picture.figure.findobj(Text) if text.get_text()]
            assert len(said) == 3
            assert said[:2] == [f"{run.score:.0f}", "rear left carries nothing"]
    assert Image.open(BytesIO(picture.png())).size == PIXELS[medium.name]


@pytest.mark.parametrize("medium", AUDIENCE.values(), ids=lambda m: m.name)
def test_the_message_is_whole_above_what_the_picture_holds_for(scene, medium):
    """Notes at the foot take room: a square that loses some is no landscape picture yet."""
    scene, run = scene
    held = stated(Conditions(), "left", [load_vehicle("vehicle_specs_demo/wagon.toml")])
    for lies_in in ("", "502 to 614", "502 to the ramp's end"):
        picture = figure_with_conditions(
            held,
            medium,
            lambda room, lies=lies_in: vehicle_picture(scene, "Kestrow", "side", room, run.wheel, lies_in=lies),
        )
        said = [text.get_text() for text in picture.figure.findobj(Text) if text.get_text()]
        assert said[1] == "rear left carries nothing"
        assert said[2].endswith(lies_in or "bars connected")


@pytest.mark.parametrize("bars", ["connected", "released"])
def test_a_still_and_a_film_say_the_range_that_predict_says(tmp_path, monkeypatch, bars):
    monkeypatch.setitem(FORMS, "png", lambda film: b"film")
    answered = CliRunner().invoke(app, ["predict", WAGON, "--json"])
    band = json.loads(answered.stdout)["band"]
    score = {one["bars"]: one["score"] for one in band["runs"]}[bars]
    range_said = f"{score['low']:.0f} to {score['high']:.0f}"
    words = tmp_path / "a.json"
    shown = ["--output", str(tmp_path / "a.png"), "--words", str(words), "--replace", "--medium", "square"]
    assert CliRunner().invoke(app, ["draw", WAGON, "--bars", bars, *shown]).exit_code == 0
    assert json.loads(words.read_text(encoding="utf-8"))["caption"].endswith(f" (90 % lie in {range_said}).")
    assert CliRunner().invoke(app, ["draw", WAGON, "--bars", bars, *shown[:-1], "page"]).exit_code == 0
    said = f"predicted; 90 % of scores lie in {range_said} with the bars {bars}."
    assert said in json.loads(words.read_text(encoding="utf-8"))["alt"]
    assert CliRunner().invoke(app, ["animate", WAGON, *shown]).exit_code == 0
    film = json.loads(words.read_text(encoding="utf-8"))
    assert f"90 % lie in {range_said})" in film["caption"]
    assert f"({range_said})" in film["parts"][-1]["says"]
    assert (
        f"({band['gain']['low']:+.0f} to {band['gain']['high']:+.0f}) by releasing the bars"
        in film["parts"][-1]["says"]
    )


def test_what_a_picture_says_in_words(tmp_path):
    picture, words = tmp_path / "a.svg", tmp_path / "a.json"
    asked = ["draw", "vehicle_specs_demo/wagon.toml", "--output", str(picture), "--words", str(words)]
    done = CliRunner().invoke(app, [*asked, "--at", "900 mm", "--medium", "square"])
    assert done.exit_code == 0, done.output
    said = json.loads(words.read_text(encoding="utf-8"))
    assert set(said) == {"title", "caption", "alt"}
    assert "900 mm up a 20° ramp" in said["caption"]
    assert said["caption"].endswith(".")
    assert "score" not in said["caption"]  # no wheel has lifted there
    assert "Wheel loads: front left" in said["alt"]


def test_another_name_for_the_words_is_refused(tmp_path):
    asked = ["draw", "vehicle_specs_demo/wagon.toml", "--output", str(tmp_path / "a.svg"), "--words", "a.txt"]
    done = CliRunner().invoke(app, asked)
    assert done.exit_code == 2
    assert "must end in .json" in done.output
    assert not list(tmp_path.iterdir())
