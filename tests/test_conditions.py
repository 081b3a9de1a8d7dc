"""Every answer says what it holds for: test, file, fingerprint, what was set; a changed vehicle is named so."""

from __future__ import annotations

import hashlib
import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.spec import load_vehicle, with_settings

CROSSOVER = "vehicle_specs_demo/crossover_minimal.toml"
WAGON = "vehicle_specs_demo/wagon.toml"
NAME = load_vehicle(CROSSOVER).name
SET = "rear.travel.bump=70 mm"
HASH = hashlib.sha256(Path(CROSSOVER).read_bytes()).hexdigest()
TEST = ("--ramp-angle", "19 deg", "--side", "right")
LOADED = (*TEST, "--touch-load", "30 N")
HELD = (*LOADED, "--holding-share", "0.3")

# A command, its options, and what of the test it can be told.
ANSWERS = {
    "predict": (("predict", CROSSOVER), HELD),
    "predict in full": (("predict", CROSSOVER, "--full"), HELD),
    "band": (("band", CROSSOVER, "--points", "32"), HELD),
    "learn": (("learn", CROSSOVER, "--connected", "340", "--points", "1024"), HELD),
    "explain": (("explain", CROSSOVER), HELD),
    "worth": (("worth", CROSSOVER), HELD),
    "timeline": (("timeline", CROSSOVER), HELD),
    "target": (("target", CROSSOVER, "--score", "340", "--change", "front.travel.bump=60 mm to 100 mm"), HELD),
    "compare": (("compare", CROSSOVER, "--samples", "64"), HELD),
    "carry": (("carry", CROSSOVER, "--to", "23 deg"), HELD),
    "blocks": (("blocks", CROSSOVER, "--points", "32"), LOADED),
    "clearance": (("clearance", CROSSOVER), TEST),
    "ladder": (("ladder", CROSSOVER, "--sizes", "225/65R17", "--points", "16"), TEST[:2]),
}


@pytest.fixture(scope="module")
def run():
    runner = CliRunner()
    return lambda *words: runner.invoke(app, [str(word) for word in words])


def in_one_line(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("name", ANSWERS)
def test_text_and_data_state_their_conditions_and_what_was_set(run, name):
    words, options = ANSWERS[name]
    result = run(*words, *options, "--set", SET)
    assert result.exit_code in (0, 1), result.stderr
    said = in_one_line(result.stdout)
    expected = [
        "ramp 19 deg",
        f"{'right' if '--side' in options else 'left'} front wheel",
        CROSSOVER,
        f"sha256 {HASH[:8]}",
        "drive not given",
        f"set: {SET}",
        f"touch load {'30' if '--touch-load' in options else '0'} N",
        "holding share 0.3" if "--holding-share" in options else "holding share 0.5 (0 to 1)",
    ]
    for words_said in expected:
        assert words_said in said
    assert f"{NAME}, changed" in said
    assert not [found for found in re.findall(f"{NAME}(.{{9}})", said) if found != ", changed"] or name == "explain"
    assert max(map(len, result.stdout.splitlines())) <= 80


@pytest.mark.parametrize("name", [name for name in ANSWERS if name != "predict in full"])
def test_json_holds_conditions_and_files(run, name):
    words, options = ANSWERS[name]
    data = json.loads(run(*words, *options, "--set", SET, "--json").stdout)
    test, file = data["conditions"], data["files"][-1]
    assert test["side"] == ("right" if "--side" in options else "left")
    assert test["ramp_angle_rad"]["value"] == pytest.approx(0.3316126)  # 19 deg
    assert test["touch_load_N"]["value"] == pytest.approx(30.0 if "--touch-load" in options else 0.0)
    assert test["holding_share"]["value"] == pytest.approx(0.3 if "--holding-share" in options else 0.5)
    assert file["file"] == CROSSOVER
    assert file["file_sha256"] == HASH
    assert file["settings"] == [SET]
    assert file["vehicle"] == f"{NAME}, changed"


@pytest.mark.parametrize(
    "words",
    [
        ("draw", CROSSOVER, "--output"),
        ("draw", CROSSOVER, "--what", "loads", "--output"),
        ("draw", CROSSOVER, "--what", "travel", "--medium", "video", "--output"),
        ("draw", CROSSOVER, "--what", "support", "--medium", "paper", "--output"),
        ("band", CROSSOVER, "--points", "64", "--figure"),
        ("explain", CROSSOVER, "--figure"),
        ("compare", CROSSOVER, "--samples", "64", "--figure"),
    ],
    ids=" ".join,
)
def test_a_figure_states_them_at_its_foot_and_to_those_who_cannot_see_it(run, words, tmp_path, monkeypatch):
    from articulate.output.figures.theme import Picture

    drawn: list[Picture] = []
    monkeypatch.setattr(Picture, "svg", lambda picture: drawn.append(picture) or "")
    result = run(*words, tmp_path / "new.svg", *HELD, "--set", SET)
    assert result.exit_code == 0, result.stderr
    (picture,) = drawn
    shown = [text.get_text() for text in picture.figure.texts]
    for part in ("right front wheel, ramp 19 deg, touch load 30 N, holding share 0.3", f"set: {SET}", HASH[:8]):
        assert any(part in line for line in shown)
        assert part in picture.description
    if words[0] != "compare":  # whose title names no vehicle
        assert f"{NAME}, changed" in picture.title
    if "video" in words:
        assert tuple(picture.figure.get_size_inches()) == pytest.approx((19.2, 10.8))


def test_room_for_the_foot_moves_nothing_else():
    # Every word keeps its distance from the top, to a hundredth of an inch.
    from articulate.output.figures.comparisons import ranking_picture
    from articulate.output.figures.tallies import Bar, Ranked
    from articulate.output.figures.theme import PAGE

    entries = [Ranked(Bar("one", 500.0, 450.0, 550.0), False), Ranked(Bar("other", 600.0, 590.0, 610.0), True)]

    def places(picture):
        figure = picture.figure
        figure.canvas.draw()
        height = figure.get_size_inches()[1]
        boxes = [text.get_window_extent() for text in [*figure.texts, *figure.axes[0].texts]]
        return {
            text.get_text(): height - box.y0 / figure.dpi
            for text, box in zip([*figure.texts, *figure.axes[0].texts], boxes, strict=True)
        }

    plain, noted = (
        places(ranking_picture(entries, medium=PAGE)),
        places(ranking_picture(entries, medium=PAGE).noted(["right front wheel", "a file"])),
    )
    assert set(noted) - set(plain) == {"right front wheel", "a file"}
    for words, place in plain.items():
        assert noted[words] == pytest.approx(place, abs=0.01)


def test_a_name_of_its_own_stands_and_a_file_as_it_is_keeps_its_name():
    spec = load_vehicle(CROSSOVER)
    assert spec.name == NAME
    changed = with_settings(spec, [("wheelbase", "2700 mm")])
    assert changed.name == f"{NAME}, changed"
    assert changed.filed_name == NAME
    assert changed.settings == ("wheelbase=2700 mm",)
    assert with_settings(spec, [("name", "Longer"), ("wheelbase", "2700 mm")]).name == "Longer"


def test_a_known_drive_says_the_share_and_needs_friction(run):
    said = in_one_line(run("timeline", "vehicle_specs_demo/short_two_door.toml").stdout)
    assert "holding share by the drive, friction 0.8 (0.6 to 1)" in said
    assert "all wheels drive: front locked, rear locked, centre locked" in said
