"""Every answer of a command: on a screen, with the answer first, in the units asked for, each ± told what it is."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

import pytest
from matplotlib.text import Text
from typer.testing import CliRunner

from articulate.cli import app

FOLDER = Path("vehicle_specs_demo")
METRIC, INCHES, OTHER = FOLDER / "wagon.toml", FOLDER / "short_two_door.toml", FOLDER / "wagon_larger_tyres.toml"
SHEET = FOLDER / "run_sheets" / "wagon_run_sheet.toml"
CHANGE = "rear.travel.bump=80 mm to 120 mm"
FEW = ("--points", "32")
SCREEN = 30  # lines, cautions and conditions included; those without a file of much to say have 20 to 25
LONGER = {"timeline": 32}  # where many limits are met
MAIN = {"predict": 28, "score": 27, "audit": 27, "explain": 28}  # some 25 where a file is plain

# The words of a command for a vehicle file, and what a line of its answer begins with, above all that explains it.
ANSWERS = {
    "predict": (lambda file: ("predict", file), "score"),
    "explain": (lambda file: ("explain", file, OTHER), "difference"),
    "worth": (lambda file: ("worth", file), "bars connected"),
    "timeline": (lambda file: ("timeline", file), "bars connected"),
    "compare": (lambda file: ("compare", file, OTHER, "--samples", "64"), " 1. "),
    "carry": (lambda file: ("carry", file, "--to", "23 deg"), "  predicted"),
    "clearance": (lambda file: ("clearance", file), "front: "),
    "ladder": (lambda file: ("ladder", file, "--points", "16"), "best for the score"),
    "blocks": (lambda file: ("blocks", file, *FEW), "height of the blocks"),
    "target": (lambda file: ("target", file, "--score", "590", "--change", CHANGE), "590 is reached"),
    "band": (lambda file: ("band", file, *FEW), "score, median"),
    "learn": (lambda file: ("learn", file, "--connected", "575 ± 3", "--points", "1024"), "bars connected"),
    "audit": (lambda file: ("audit", file, SHEET), "Consistent"),
    "score": (lambda file: ("score", SHEET, "--vehicle", file), "score"),
}
LENGTHLESS = {"audit", "band", "carry", "ladder", "learn"}  # what they say at once has no length in it
OF_ONE_FILE = {"audit", "score", "learn"}  # their readings are of the metric file


@cache
def said(*words: str) -> str:
    result = CliRunner().invoke(app, list(words))
    assert result.exit_code in (0, 1), result.stderr
    assert isinstance(result.exception, SystemExit | None)
    return str(result.stdout)


def answer(name: str, file: Path, *more: str) -> str:
    return said(*(str(word) for word in ANSWERS[name][0](file)), *more)


@pytest.mark.parametrize("name", ANSWERS)
@pytest.mark.parametrize("file", [METRIC, INCHES], ids=["metric", "inches"])
def test_an_answer_is_a_screen_and_comes_first(name, file):
    if file == INCHES and name in OF_ONE_FILE:
        pytest.skip("its readings are of the other file")
    lines = answer(name, file).splitlines()
    assert len(lines) <= {**LONGER, **MAIN}.get(name, SCREEN)
    assert max(map(len, lines)) <= 80
    place = next(k for k, line in enumerate(lines) if line.startswith(ANSWERS[name][1]))
    assert place <= 11
    assert any("--full" in line for line in lines)


def first_lengths(text: str) -> tuple[int, int]:
    """How many lengths stand first in a line in millimetres or metres, and how many in inches or feet.

    What was typed is no matter of units: tyre sizes, ranges asked for, the files and what was set in them.
    """
    metric = imperial = 0
    for line in text.splitlines():
        if line.startswith(("file:", "sheet:", "  set:")):
            continue
        named = re.findall(r"(?:\d |per |, (?=mm  |in  |mm$|in$|mm \(|in \())(mm|m|inch|in|ft)(?=[\s,;:).]|$)", line)
        metric += bool(named) and named[0] in ("mm", "m")
        imperial += bool(named) and named[0] in ("in", "inch", "ft")
    return metric, imperial


@pytest.mark.parametrize("name", [name for name in ANSWERS if name not in LENGTHLESS])
def test_lengths_come_first_as_asked_for_and_else_as_the_file_has_them(name):
    metric, imperial = first_lengths(answer(name, METRIC, "--units", "metric"))
    assert metric
    assert not imperial
    metric, imperial = first_lengths(answer(name, METRIC, "--units", "imperial"))
    assert imperial
    assert not metric
    if name == "score":  # a metric file, and a tape in inches
        assert first_lengths(answer(name, METRIC))[1]
        return
    metric, imperial = first_lengths(answer(name, METRIC))
    assert metric
    assert not imperial
    if name not in {*OF_ONE_FILE, "target", "explain", "compare"}:  # whose range, or other file, is metric
        metric, imperial = first_lengths(answer(name, INCHES))
        assert imperial
        assert not metric


@pytest.mark.parametrize("name", ANSWERS)
def test_units_are_one_option_and_other_kinds_are_refused(name):
    words = [str(word) for word in ANSWERS[name][0](METRIC)]
    result = CliRunner().invoke(app, [*words, "--units", "cubits"])
    assert result.exit_code == 2
    assert "--units cubits: not a kind of units; metric, imperial or both" in result.stderr
    assert result.stdout == ""


TOLD = r"\(\d+ %|90 %|95 %|1 sd|\(limits\)|standard (?:deviation|uncertainty)"


@pytest.mark.parametrize("name", ANSWERS)
def test_every_uncertainty_says_what_it_is(name):
    # In its line, or in the head of its table: a paragraph ends with an empty line.
    for text in (answer(name, METRIC), answer(name, METRIC, "--full") if name not in ("learn", "audit") else ""):
        for paragraph in re.split(r"\n\s*\n", text):
            if "±" in paragraph:
                assert re.search(TOLD, paragraph), paragraph


@pytest.mark.parametrize("name", ANSWERS)
def test_no_answer_quotes_code_or_shows_what_is_no_number(name):
    text = answer(name, METRIC)
    for odd in ("`", "value from memory", "-0.00 bit", "no such file"):
        assert odd not in text
    assert not re.search(r"\b(nan|inf|None)\b", text)
    assert not re.search(r"(?<![\d.])-0(\.0+)?(?![\d.])", text)


def test_a_step_of_a_metric_file_is_25_mm_and_of_one_in_inches_an_inch():
    assert " 25 mm " in answer("worth", METRIC)
    assert " 1 in " in answer("worth", INCHES)
    sizes = [
        {
            one["step"]: one["step_size"]
            for one in json.loads(answer("worth", METRIC, *more, "--json"))["connected"]["inputs"]
        }
        for more in ((), ("--units", "imperial"))
    ]
    assert sizes[0]["25 mm"] in (0.025, 0.0125)
    assert sizes[1]["1 in"] in (0.0254, 0.0127)


def page_text(text: str) -> str:
    return " ".join(re.sub(r"<script.*?</script>|<style.*?</style>|<[^>]*>", " ", text, flags=re.S).split())


def test_pages_lead_with_the_units_of_the_file_or_those_asked_for(tmp_path):
    samples = ("--samples", "64")
    sheet = page_text(said("test-day", str(METRIC), "--output", "-", *samples)).replace("\u00a0", " ")
    assert "wheelbase 2850 mm, 112.20 in" in sheet
    assert "score = mark in mm" in sheet
    inches = page_text(said("test-day", str(METRIC), "--output", "-", *samples, "--units", "imperial"))
    assert "wheelbase 112.20 in" in inches
    assert not re.search(r"\d mm\b", inches.replace("\u00a0", " "))
    report = page_text(said("report", str(METRIC), "--output", "-", *samples))
    assert "wheelbase 2850 mm, 112.20 in" in report
    assert "mark 553 mm, 21 3/4 in above the floor" in report
    two_door = page_text(said("report", str(INCHES), "--output", "-", *samples))
    assert "wheelbase 93.74 in" in two_door or re.search(r"wheelbase [\d.]+ in, \d+ mm", two_door)


def test_a_report_says_what_it_holds_for_once():
    page = page_text(said("report", str(METRIC), "--output", "-", "--samples", "64"))
    page, _, to_save = page.partition("Save the vehicle file")
    assert "6f29ea84e512" in to_save  # whoever saves it can tell it from another
    for part in ("ramp 20 deg", "6f29ea84e512"[:8], "holding share 0.5"):
        assert page.count(part) == 1, part


def test_a_report_refuses_a_side_that_the_sheet_has_not(tmp_path):
    text = SHEET.read_text(encoding="utf-8").replace("../wagon.toml", str(METRIC.resolve()))
    head, *runs = text.split("[[run]]")
    right = tmp_path / "right.toml"
    right.write_text("[[run]]".join([head, *(run for run in runs if 'side = "right"' in run)]), encoding="utf-8")
    result = CliRunner().invoke(
        app, ["report", str(METRIC), "--run-sheet", str(right), "--side", "left", "--output", "-", "--samples", "64"]
    )
    assert result.exit_code == 2
    assert f"--side left: {right} has runs on the right only" in result.stderr


def test_learning_from_both_sides_says_so():
    text = said("learn", str(METRIC), "--sheet", str(SHEET), "--points", "1024")
    assert text.splitlines()[1].startswith("left and right front wheel")


@pytest.mark.parametrize("what", ["vehicle", "loads", "travel", "support"])
def test_figures_think_in_the_units_of_the_file_or_those_asked_for(what, tmp_path, monkeypatch):
    from articulate.output.figures.theme import Picture

    drawn: list[Picture] = []
    monkeypatch.setattr(Picture, "svg", lambda picture: drawn.append(picture) or "")
    words = ("draw", str(INCHES), "--what", what, "--output", str(tmp_path / "figure.svg"), "--replace")
    for units, there, not_there in (((), "in", "mm"), (("--units", "metric"), "mm", "in")):
        said(*words, *units)
        picture = drawn.pop()
        texts = [picture.description, *(text.get_text() for text in picture.figure.findobj(Text))]
        lengths = " ".join(texts)
        assert re.search(rf"\d {there}\b", lengths)
        assert not re.search(rf"\d {not_there}\b|, {not_there}$", lengths)
    if what == "loads":  # the axis as well: the mark of the last frame stands on it
        (axis,) = {text for text in texts if text.startswith("mark up the ramp")}
        assert axis == "mark up the ramp, mm"
