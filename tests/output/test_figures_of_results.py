"""The figures beside the answers of `band`, `explain`, `compare` and `audit` show those answers."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.output.figures.adapters import (
    band_figure,
    band_tally,
    bridge_figure,
    bridge_of,
    ranked,
    ranking_figure,
)
from articulate.output.figures.theme import MEDIA
from articulate.output.text.input_names import input_words
from articulate.spec import load_vehicle
from articulate.studies.compare.comparison import compare
from articulate.studies.explain.difference import explain_difference
from articulate.studies.explain.vehicle_parts import StudiedVehicle
from articulate.studies.population.runs import Population
from articulate.studies.predict.band import band
from tests.output import figure_checks as checks

WAGON, LARGER = "vehicle_specs_demo/wagon.toml", "vehicle_specs_demo/wagon_larger_tyres.toml"
PICKUP = "vehicle_specs_demo/ladder_frame_pickup.toml"
SHEET = "vehicle_specs_demo/run_sheets/wagon_run_sheet.toml"
DESCRIPTION = "{http://www.w3.org/2000/svg}desc"


@pytest.fixture
def run():
    runner = CliRunner()
    return lambda *words: runner.invoke(app, [str(word) for word in words])


def test_a_band_is_drawn_with_its_contributors():
    found = band(Population.of(load_vehicle(WAGON)), points=64)
    tally = band_tally(found)
    for bar, case in zip(tally.bands, found.cases, strict=True):
        assert (bar.value, bar.low, bar.high) == (case.score.median, case.score.low, case.score.high)
    shares = found.cases[0].shares
    largest = max(float(case.shares.total.max()) for case in found.cases)
    left_out, first = tally.contributors[:2]
    assert left_out.label == "what the model leaves out"
    assert left_out.shares == pytest.approx([sum(case.shares.left_out) for case in found.cases])
    assert max(first.shares) == pytest.approx(largest)
    assert all(max(c.shares) >= shares.floor or len(found.cases) > 1 for c in tally.contributors)
    for medium in MEDIA.values():
        assert not checks.objections(band_figure(found, medium))


def test_a_difference_is_drawn_as_a_bridge_that_ends_at_the_second_score():
    first, second = (StudiedVehicle.of(load_vehicle(path)) for path in (WAGON, LARGER))
    found = explain_difference(first, second)
    for split in (found.connected, found.released):
        bridge = bridge_of(split, found.first, found.second)
        assert bridge.start.value + sum(step.value for step in bridge.steps) == pytest.approx(bridge.end.value)
    for medium in MEDIA.values():
        for bars in ("connected", "released"):
            assert not checks.objections(bridge_figure(found, bars, medium))


def test_a_comparison_is_drawn_in_its_order():
    found = compare([load_vehicle(path) for path in (WAGON, PICKUP)], samples=64)
    assert [one.score.label for one in ranked(found)] == [entry.name for entry in found.entries]
    for medium in MEDIA.values():
        assert not checks.objections(ranking_figure(found, medium))


def test_the_audit_s_causes_are_drawn_with_their_probabilities(run, tmp_path):
    path = tmp_path / "causes.svg"
    result = run("audit", WAGON, SHEET, "--json", "--figure", path, "--medium", "paper")
    data = json.loads(result.stdout)
    told = ElementTree.parse(path).getroot().find(DESCRIPTION).text
    likeliest = max(data["causes"], key=lambda one: one["probability"])
    assert f"{likeliest['probability'] * 100.0:.0f} %" in told
    assert told.startswith("Consistent with the vehicle file: ")


def test_the_figure_of_a_command_shows_its_answer(run, tmp_path):
    path = tmp_path / "bridge.svg"
    result = run("explain", WAGON, LARGER, "--json", "--figure", path)
    assert result.exit_code == 0
    told = ElementTree.parse(path).getroot().find(DESCRIPTION).text
    data = json.loads(result.stdout)["connected"]
    assert f"{data['scores'][0]:.0f} to" in told
    assert f"{data['scores'][1]:.0f}:" in told


def test_a_figure_that_cannot_be_written_stops_the_command_before_it_climbs(run, tmp_path):
    taken = tmp_path / "there.svg"
    taken.write_text("mine", encoding="utf-8")
    for words in (("band", WAGON), ("compare", WAGON), ("explain", WAGON, LARGER), ("audit", WAGON, SHEET)):
        for path, complaint in ((tmp_path / "x.pdf", ".svg or .png"), (taken, "is there already")):
            result = run(*words, "--figure", path, "--medium", "radio")
            assert result.exit_code == 2
            assert complaint in result.output
            assert "--medium radio" in result.output
            assert not result.stdout
    assert taken.read_text(encoding="utf-8") == "mine"


def test_a_figure_of_an_answer_can_do_without_background(run, tmp_path):
    from PIL import Image

    for words in (
        ("band", WAGON, "--points", 64),
        ("explain", WAGON, LARGER),
        ("compare", WAGON, LARGER, "--samples", 64),
    ):
        clear, solid = tmp_path / f"{words[0]}_clear.png", tmp_path / f"{words[0]}.png"
        assert run(*words, "--figure", clear, "--transparent").exit_code == 0
        assert run(*words, "--figure", solid).exit_code == 0
        assert Image.open(clear).convert("RGBA").getpixel((0, 0))[3] == 0
        assert Image.open(solid).convert("RGBA").getpixel((0, 0)) == (255, 255, 255, 255)


def test_a_drawing_takes_the_places_it_shows(run, tmp_path):
    """The climb of first touch as it is shown in the refusal is taken, and so are toe and lift."""
    path = tmp_path / "toe.svg"
    crossover = "vehicle_specs_demo/crossover_minimal.toml"
    refused = run("draw", crossover, "--at", "-50 mm", "--output", path)
    assert refused.exit_code == 2
    first = refused.output.partition("touches the ramp at ")[2].partition(";")[0]
    last = refused.output.partition("from there to ")[2].partition(",")[0]
    for at in (first, last, "toe", "lift"):
        assert run("draw", crossover, "--at", at, "--output", path, "--replace").exit_code == 0, at


def test_a_letter_without_a_font_is_noted_and_no_warning_leaks(run, tmp_path):
    text = Path(WAGON).read_text(encoding="utf-8").replace("Kestrow Bellwether", "\N{EGYPTIAN HIEROGLYPH A001}")
    file = tmp_path / "odd.toml"
    file.write_text(text, encoding="utf-8")
    result = run("draw", file, "--output", tmp_path / "odd.png")
    assert result.exit_code == 0
    assert "no font on this machine has \N{EGYPTIAN HIEROGLYPH A001}" in result.stderr
    assert "Glyph" not in result.stderr


def test_inputs_are_named_in_words():
    assert input_words(["mass.left_of_centre"]) == "centre of gravity to the left of the middle"
    assert input_words(["test.holding_share"]) == "share of the slope force the ramp wheel holds"
    assert input_words(["front.spring.spring_travel_over_wheel_travel"]) == "front spring travel over wheel travel"
    assert input_words(["front.droop_stop.rate", "rear.droop_stop.rate"]) == "front, rear droop stop rate (tied)"
    assert input_words(["load.driver.mass", "mass.total"]) == "driver: mass + total mass"
