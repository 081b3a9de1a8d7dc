"""The pages as bytes: the same input gives the same ones, nothing foreign gets out of its place, Markdown and PDF."""

from __future__ import annotations

import hashlib
import json
import math
import os
import re
import subprocess
import sys
from dataclasses import replace
from fractions import Fraction
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.output.report.markdown import article_text, plain
from articulate.output.report.page import embedded_json, render_page, visible
from articulate.output.report.vehicle_part import headline, verdict
from articulate.output.sheet import pdf
from articulate.output.sheet.content import plan_data, sheet_content
from articulate.output.sheet.pdf import sheet_pdf
from articulate.output.text.conditions import condition_short, stated
from articulate.output.units import IMPERIAL, INCHES_FIRST, METRIC, MILLIMETRES_FIRST
from articulate.spec import load_vehicle, read_vehicle
from articulate.studies.day.plan import plan_test
from articulate.studies.population.conditions import Conditions
from articulate.studies.population.runs import Population
from tests.output.pages import DEMO, HOSTILE, SAMPLES, hostile_vehicle, wagon_plan

WAGON = DEMO / "wagon.toml"
EMPTY = {"meta", "img", "input", "link", "br", "hr"}


@pytest.fixture
def run():
    return lambda *words: CliRunner().invoke(app, [str(word) for word in words])


class Nesting(HTMLParser):
    """Every element that is opened is closed, in order."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.faults: list[str] = []

    def handle_starttag(self, tag, attrs):
        if tag not in EMPTY:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        pass

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}> at {self.getpos()}")


@pytest.mark.parametrize("name", ["report", "hostile", "sheet", "hostile_sheet"])
def test_elements_nest(made, name):
    nesting = Nesting()
    nesting.feed(made[name].text)
    assert nesting.faults == []
    assert nesting.open == []


@pytest.mark.parametrize("name", ["report", "comparison", "sheet"])
def test_headings_go_down_a_step_at_a_time(made, name):
    levels = [int(level) for level in re.findall(r"<h([1-6])[ >]", made[name].text)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


@pytest.mark.parametrize("name", ["sheet", "comparison"])
def test_same_input_same_bytes_in_another_process(made, tmp_path, name):
    page, short = tmp_path / "a.html", tmp_path / "a.md"
    more = ["--markdown", str(short)] if made[name].short else []
    command = [sys.executable, "-m", "articulate", *made[name].words, "--output", str(page), *more]
    seed = "1" if os.environ.get("PYTHONHASHSEED") != "1" else "2"
    subprocess.run(command, check=True, capture_output=True, env={"PYTHONHASHSEED": seed, "PATH": ""})
    assert page.read_bytes() == made[name].path.read_bytes()
    assert page.stat().st_size < 3_000_000
    assert not more or short.read_text(encoding="utf-8") == made[name].short


@pytest.mark.parametrize(
    ("lengths", "mark", "cells", "factor"),
    [
        (INCHES_FIRST, "22 in", ("559 mm", "573"), "score = mark in inches x 26.058 = mark in mm x 1.0259"),
        (
            None,
            "560 mm",
            ("22 1/16 in", "575"),
            "score = mark in mm x 1.0259 = mark in inches x 26.058",
        ),
    ],
)
def test_the_ladder_and_the_factor_give_the_score_of_a_mark(lengths, mark, cells, factor):
    """By hand: 22 in = 558.8 mm on 20 deg is a climb of 558.8 / sin 20 = 1633.8 mm, over 2850 mm a score of 573.3.

    560 mm make 1637.3 mm and 574.5.
    """
    spec = load_vehicle(str(WAGON))
    sheet = sheet_content(wagon_plan(), spec, lengths=lengths)
    rung = next(row for row in sheet.ladder if row.label.replace("\u00a0", " ") == mark)
    assert tuple(cell.replace("\u00a0", " ") for cell in rung.cells) == cells
    assert sheet.factor.startswith(factor)
    # Whichever tape is read: half a sixteenth of an inch is 0.8 mm and 0.8 points, half a point is rounding.
    for row in sheet.ladder:
        for text in (row.label, row.cells[0]):
            number, _, unit = text.replace("\u00a0", " ").rpartition(" ")
            read = float(sum(Fraction(part) for part in number.split())) * {"in": 25.4, "mm": 1.0}[unit]
            assert read / math.sin(math.radians(20.0)) / 2.850 == pytest.approx(float(row.cells[1]), abs=1.35)
    heights = [float(row.cells[1]) for row in sheet.ladder]
    assert heights == sorted(heights)
    assert len(heights) <= 25
    assert sheet.stop in sheet.cautions


@pytest.mark.parametrize("lengths", [None, INCHES_FIRST], ids=["millimetres first", "inches first"])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_mark_of_the_ladder_stands_on_one_line(monkeypatch, lengths, paper):
    """Sixteenths are the longest: `22 13/16 in` was broken within its unit."""
    told: list[list[str]] = []
    wrapped, drawn = pdf._wrapped, pdf._ladder

    def ladder(page, sheet):
        with monkeypatch.context() as inside:
            inside.setattr(pdf, "_wrapped", lambda *words: told.append(wrapped(*words)) or told[-1])
            drawn(page, sheet)

    monkeypatch.setattr(pdf, "_ladder", ladder)
    plan = wagon_plan()
    sheet = sheet_content(plan, load_vehicle(str(WAGON)), lengths=lengths)
    pdf.sheet_pdf(sheet, plan, paper)
    assert len(told) >= 3 * len(sheet.ladder)
    assert [lines for lines in told if len(lines) != 1] == []


def test_the_pdf_is_two_pages_and_the_same_bytes(run, tmp_path):
    path, letter = tmp_path / "a.pdf", tmp_path / "letter.pdf"
    assert run("test-day", WAGON, "--output", path, *SAMPLES).exit_code == 0
    data = path.read_bytes()
    spec, plan = load_vehicle(str(WAGON)), wagon_plan()
    held = condition_short(stated(Conditions(), "left", [spec], ["bars released on the floor"]))
    assert data == sheet_pdf(sheet_content(plan, spec, conditions=held), plan)
    assert data.startswith(b"%PDF")
    assert len(re.findall(rb"/Type /Page\b", data)) == 2
    assert b"CreationDate" not in data
    run("test-day", WAGON, "--output", letter, "--paper", "letter", *SAMPLES)
    assert re.search(rb"/MediaBox \[ ?0 0 612 792 ?\]", letter.read_bytes())
    assert re.search(rb"/MediaBox \[ ?0 0 595\.2\d* 841\.8\d* ?\]", data)


def test_the_pdf_takes_any_text():
    # Mathematics, missing glyphs and very long words would each raise or warn, and warnings are errors here.
    spec = read_vehicle(hostile_vehicle(), "hostile.toml")
    plan = plan_test(Population.of(spec), samples=64)
    sheet = sheet_content(plan, spec)
    strange = replace(sheet, title="$\\frac{1}{" + "\U0001f600 \u4e2d\u6587 " + HOSTILE["long"] * 3)
    assert sheet_pdf(strange, plan).startswith(b"%PDF")


def test_json_in_a_page_cannot_end_its_block():
    for text in HOSTILE.values():
        found = str(embedded_json({"a": [text, {text: 1.5}]}))
        assert not re.search(r"[<>&\u2028\u2029]", found)
        assert json.loads(found) == {"a": [visible(text), {visible(text): 1.5}]}
    with pytest.raises(ValueError, match="JSON compliant"):
        embedded_json([float("nan")])


def test_hidden_characters_are_shown_and_letters_are_left():
    assert visible("a\u202eb\u2066\u200f\x00\x7f\ud800") == "a‹U+202E›b‹U+2066›‹U+200F›‹U+0000›‹U+007F›‹U+D800›"
    kept = "Łada נסיון تجربة 试验 ½ é\n\t"
    assert visible(kept) == kept


def test_a_page_without_its_content_is_an_error_and_not_a_gap():
    with pytest.raises(Exception, match="undefined"):
        render_page("report.html.jinja", [], [])


# CommonMark (Spec 0.31.2): a backslash before ASCII punctuation makes it plain text; entities are text as well.
@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("*bold* _it_ `code`", r"\*bold\* \_it\_ \`code\`"),
        ("[a](b) ![c](d)", r"\[a\]\(b\) \!\[c\]\(d\)"),
        ("<b>&amp;", "&lt;b&gt;&amp;amp;"),
        ("a | b\n# c", r"a \| b \# c"),
        ("https://www.a.b me@c.d", "https&#58;//www&#46;a.b me&#64;c.d"),
    ],
)
def test_foreign_text_in_markdown_is_plain(text, found):
    assert plain(text) == found


def test_the_short_form_says_what_the_page_says(made):
    spec, plan = load_vehicle(WAGON), wagon_plan()
    words, shown = made["report"].short, made["report"].text
    for run_expected in plan.runs:
        one = headline(run_expected, MILLIMETRES_FIRST)
        assert f"**{one.score}** ({one.band.removesuffix(' (90 % band)')})" in words
        assert one.score in shown
        assert one.band in shown
    assert verdict(plan) in words
    assert verdict(plan) in shown
    assert all(line.count("|") == 4 for line in words.splitlines() if line.startswith("|"))
    assert spec.text_hash[:12] in shown
    assert spec.text_hash[:12] in words


def test_pictures_in_a_page_refer_to_what_is_there_once_and_hold_no_styles(made):
    shown = made["comparison"].text
    ids = re.findall(r' id="([^"]*)"', shown)
    assert len(ids) == len(set(ids))
    drawn = re.findall(r'<svg class="drawn".*?</svg>', shown)
    assert len(drawn) == 14  # two vehicles, in both states of the bars: side, rear, support; and travel
    for picture in drawn:
        referred = re.findall(r'href="#([^"]*)"|url\(#([^)]*)\)', picture)
        assert referred
        assert {one or other for one, other in referred} <= set(ids)
        assert " style=" not in picture
        assert "<!--" not in picture


def test_sources_name_the_line_where_an_input_stands(made):
    lines = (DEMO / "wagon.toml").read_text(encoding="utf-8").split("\n")
    cells = re.findall(r"<bdi>line (\d+): \u201c([^\u201d]*)\u201d", made["report"].text.partition('id="v1-inputs"')[2])
    assert len(cells) > 60
    for line, said in cells:
        assert all(part in lines[int(line) - 1] for part in said.replace("&#34;", '"').split(" to "))


def test_assumed_inputs_are_marked_and_all_inputs_are_there(made):
    spec = load_vehicle(DEMO / "crossover_minimal.toml")
    shown = made["right"].text
    row = (
        r'<tr role="row" class="assumed">\s*<th role="rowheader" scope="row"><bdi>[^<]*</bdi> <small><bdi>([^<]*)</bdi>'
    )
    rows = re.findall(row, shown.partition('id="v1-inputs"')[2])
    assert set(rows) == set(spec.assumed())
    assert all(f"<bdi>{key}</bdi>" in shown for key in spec.inputs)


def test_a_vehicle_without_a_score_still_has_its_report_and_sheet(run, tmp_path):
    # So high and so softly sprung that its weight overturns its springs: no run of it has a mark.
    changes = {
        "mass.centre_of_gravity_height": "1.9 m",
        "front.spring.rate": "20 N/mm",
        "rear.spring.wheel_rate": "10 N/mm",
        "front.anti_roll_bar.diameter": "8 mm",
        "rear.anti_roll_bar.end_rate": "1 N/mm",
    }
    words = [word for key, value in changes.items() for word in ("--set", f"{key}={value}")]
    page = run("report", WAGON, *words, "--output", "-", *SAMPLES)
    assert page.exit_code == 1
    assert page.stdout.count('<p class="score">no score</p>') == 2
    assert "does not stand upright" in page.stdout
    for form in ("html", "pdf"):
        done = run("test-day", WAGON, *words, "--output", tmp_path / f"a.{form}", *SAMPLES)
        assert done.exit_code == 1, done.output
        assert (tmp_path / f"a.{form}").exists()


def test_where_film_lies_is_told_in_the_units_of_the_tape():
    """An inch is 25.4 mm; a sheet for a tape in inches sends nobody to the floor with metres."""
    plan, numbers = wagon_plan(), {}
    for lengths in (METRIC, IMPERIAL):
        sheet = sheet_content(plan, load_vehicle(WAGON), lengths=lengths)
        said = f"{sheet.order[0]} {next(line for line in sheet.bring if 'strips of' in line).partition(', each')[0]}"
        assert sheet.run_columns[0] == f"mark up, {lengths.first}"
        found = re.findall(r"[+-]?\d+(?:\.\d+)?(?= (?:and|to) [+-]?\d| (?:m|in) | (?:m|in)$)", said)
        numbers[lengths.first] = [float(one) for one in found]
        assert not re.search(r"\d m\b" if lengths is IMPERIAL else r"\d in\b", said)
    assert len(numbers["mm"]) == len(numbers["in"]) >= 9
    for metres, inches in zip(numbers["mm"], numbers["in"], strict=True):
        assert inches == pytest.approx(metres / 0.0254, abs=0.5 + 0.005 / 0.0254 + 1e-9)


def test_a_report_of_wheels_that_spin_ends_as_the_prediction_does(run):
    """An end by wheelspin is a score; both say so, and neither calls it a problem found."""
    spins = ("--set", "drive.driven_wheels=rear")
    assert "WHEELS SPIN" in run("predict", WAGON, *spins).stdout
    for words in (("predict", WAGON), ("report", WAGON, "--output", "-", *SAMPLES)):
        assert run(*words, *spins).exit_code == 0


def test_bad_options_are_all_said_and_nothing_is_written(run, tmp_path):
    there = tmp_path / "there.html"
    there.write_text("mine")
    bad = run("report", WAGON, "--output", there, "--side", "up", "--samples", "3", "--ramp-angle", "50 deg")
    assert bad.exit_code == 2
    for word in ("there already", "--side up", "--samples 3", "--ramp-angle 50 deg"):
        assert word in bad.stderr
    assert there.read_text() == "mine"
    bad = run("test-day", WAGON, "--output", tmp_path / "a.doc", "--paper", "a3", "--release-on", "moon")
    assert bad.exit_code == 2
    for word in ("a.doc", "--paper a3", "--release-on moon"):
        assert word in bad.stderr
    assert run("test-day", WAGON).exit_code == 2
    assert run("report", WAGON, DEMO / "short_two_door.toml", "--set", "wheelbase=2 m", "--output", "-").exit_code == 2
    assert list(tmp_path.iterdir()) == [there]


def test_plan_as_data_agrees_with_the_sheet(run):
    data = json.loads(run("test-day", WAGON, "--json", *SAMPLES).stdout)
    assert data["schema_version"] == 2
    first = data["runs"][0]
    assert first["mark_height_m"]["value"] == pytest.approx(
        first["climb_m"]["value"] * np.sin(data["ramp_angle_rad"]), rel=1e-12
    )
    assert first["score"]["low"] < first["score"]["value"] < first["score"]["high"]
    spec = load_vehicle(WAGON)
    held, (file,) = data.pop("conditions"), data.pop("files")
    assert data.pop("sheets") == []
    assert plan_data(wagon_plan(), spec) == data
    assert (held["side"], held["also"]) == ("left", ["bars released on the floor"])
    assert held["ramp_angle_rad"]["value"] == data["ramp_angle_rad"]
    assert (file["file"], file["file_sha256"], file["settings"]) == (str(WAGON), spec.text_hash, [])
    assert sum(first["lifting_wheel_share"].values()) == pytest.approx(1.0)


def test_report_as_data_goes_beside_the_page(run, made):
    data = json.loads(made["report"].data)
    (vehicle,) = data["vehicles"]
    plan = plan_data(wagon_plan(), load_vehicle(WAGON))
    assert {key: vehicle[key] for key in plan} == plan
    assert set(vehicle) - set(plan) == {"conditions", "files", "sheets", "worth"}  # what the page shows beside the plan
    assert run("report", WAGON, "--output", "-", "--json", *SAMPLES).exit_code == 2


def test_a_report_of_a_finished_test_names_its_sheet_and_the_sides_that_were_driven(made):
    page = made["hostile"]
    (vehicle,) = json.loads(page.data)["vehicles"]
    sheet = hashlib.sha256(Path(page.words[3]).read_bytes()).hexdigest()
    assert vehicle["conditions"]["side"] == "both"
    assert vehicle["sheets"] == vehicle["audit"]["sheets"] == [{"file": page.words[3], "file_sha256": sheet}]
    article = re.sub(r"\\(.)", r"\1", page.short)
    for text in (page.text, article):
        assert "eft and right front wheel, ramp 20.005 deg, touch load 30 N" in text
        assert f"sha256 {sheet[:8]}" in text


def test_the_short_form_takes_several_vehicles():
    from articulate.output.report.content import VehicleReport

    crossover = load_vehicle(DEMO / "crossover_minimal.toml")
    reports = [
        VehicleReport(load_vehicle(WAGON), wagon_plan()),
        VehicleReport(crossover, plan_test(Population.of(crossover), samples=64)),
    ]
    words = article_text(reports)
    assert words.count("## ") == 2
    assert "No anti-roll bar of this vehicle can be released." in words


def test_a_sheet_says_what_it_holds_for_on_both_its_sides(run):
    page = run("test-day", WAGON, "--set", "front.travel.bump=80 mm", "--output", "-", *SAMPLES).stdout
    page = page.replace("\u00a0", " ")
    for part in ("touch load 0 N", "holding share 0.5 (0 to 1)", "drive not given", "front.travel.bump=80 mm"):
        assert page.count(part) == 2


def test_no_bar_is_said_to_be_released_where_there_is_none():
    done = CliRunner().invoke(app, ["test-day", "vehicle_specs_demo/forward_control_van.toml", "--json", *SAMPLES])
    assert done.exit_code == 0, done.output
    assert json.loads(done.stdout)["conditions"]["also"] == []
