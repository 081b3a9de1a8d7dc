"""Safety: one source of the words, in every place that speaks of a mark, and what the sheet says of ramp and film."""

from __future__ import annotations

import ast
import math
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from articulate import safety
from articulate.cli import app
from articulate.measure.sheet_load import load_sheet
from articulate.model.ramp_test import ramp_test
from articulate.output.figures import theme
from articulate.output.sheet.content import plan_data, sheet_content
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.studies.audit.checks import checks
from articulate.studies.audit.sheet import scene_from
from articulate.studies.day.plan import plan_test
from articulate.studies.population.runs import Population

WAGON = "vehicle_specs_demo/wagon.toml"
LARGER = "vehicle_specs_demo/wagon_larger_tyres.toml"
SHEET = "vehicle_specs_demo/run_sheets/wagon_run_sheet.toml"


@pytest.fixture(scope="module")
def plan():
    return plan_test(Population.of(load_vehicle(WAGON)), samples=64)


@pytest.fixture(scope="module")
def sheet(plan):
    return sheet_content(plan, load_vehicle(WAGON))


@pytest.mark.parametrize(
    "words",
    [
        ("predict", WAGON),
        ("band", WAGON, "--points", "32"),
        ("timeline", WAGON),
        ("worth", WAGON),
        ("explain", WAGON, LARGER),
        ("compare", WAGON, LARGER),
        ("carry", WAGON, "--to", "23 deg"),
        ("target", WAGON, "--score", "580", "--change", "rear.travel.bump=85 mm to 140 mm"),
        ("score", SHEET),
    ],
    ids=lambda words: words[0],
)
def test_the_three_wheel_caution_is_one_line_wherever_a_mark_is(words):
    result = CliRunner().invoke(app, list(words))
    assert result.exit_code == 0, result.output
    assert result.stdout.splitlines().count(safety.THREE_WHEELS) == 1
    assert len(safety.THREE_WHEELS) <= 80


def test_no_other_module_words_a_caution_of_its_own():
    # What stands in `safety` stands nowhere else: sheet, checks and cautions cannot come to disagree.
    for path in Path("articulate").rglob("*.py"):
        if path.name == "safety.py":
            continue
        texts = [node.value for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Constant)]
        for text in filter(lambda one: isinstance(one, str), texts):
            assert text not in safety.CAUTIONS, path
            assert not re.search(r"[Nn]obody (beside|under|behind)|three wheels carry|stand behind", text), path


def test_the_sheet_lays_film_where_the_tyres_will_stand(plan, sheet):
    # From the climb itself: hub of the rear wheels a wheelbase behind that of the front right one, both on the floor.
    run = predict(build(load_vehicle(WAGON)), ramp_test(1)).connected
    where = dict(plan.runs[0].standing)
    assert where["front right"].value - where["rear right"].value == pytest.approx(2.850, abs=0.02)
    assert where["front right"].value == pytest.approx(run.climb * math.cos(math.radians(20.0)), abs=0.2)
    assert f"front right {where['front right'].value:.2f}" in sheet.order[0]
    assert "not where they start" in sheet.order[0]
    assert not any("under each of the other three" in line for line in (*sheet.order, *sheet.bring))
    for wheel, place in where.items():
        assert place.low < place.value < place.high, wheel


def test_the_ramp_is_held_and_rated(plan, sheet):
    # Level push of a wheel load square to the ramp: its sine. 3.4 kN at the wagon's nominal mark (derived).
    nominal = plan.runs[0].ramp_wheel_load.value * math.sin(math.radians(20.0))
    assert nominal == pytest.approx(3.35e3, abs=50.0)
    assert plan.ramp.push == pytest.approx(plan.ramp.load * math.sin(math.radians(20.0)))
    assert plan.ramp.push > nominal
    assert plan.ramp.rating >= 1.5 * plan.ramp.load
    rows = {row.label: row.cells[0].replace("\u00a0", " ") for row in sheet.ramp}
    assert f"{plan.ramp.push / 1e3:.1f} kN" in rows["Held against sliding"]
    assert f"{plan.ramp.rating / 1e3:.1f} kN" in rows["Rated for, each wheel"]
    data = plan_data(plan, load_vehicle(WAGON))
    assert data["ramp"]["push_N"] == plan.ramp.push
    assert data["runs"][0]["heaviest_wheel"] == "rear_right"


def test_the_heaviest_wheel_is_on_the_sheet(plan, sheet):
    run = plan.runs[0]
    assert run.heaviest_load.value == run.nominal.wheel_load.max()
    (row,) = [row for row in sheet.expected if row.label == "Heaviest wheel"]
    assert row.cells[0].startswith("rear right")
    assert run.heaviest_load.high > run.heaviest_load.value


def test_checks_at_the_mark_say_who_may_come_near_and_what_holds():
    scene = scene_from(load_vehicle(WAGON), load_sheet(SHEET))
    near = [one for one in checks(scene) if "at the mark" in one.name or "take the mark" in one.name]
    assert len(near) >= 4
    for check in near:
        assert safety.APPROACH in check.caution, check.name
        assert "open differential" in check.caution
        assert "behind" not in check.instruction
    assert all("Stand in front and behind" not in one.caution for one in checks(scene))


def test_colours_said_to_be_of_the_palette_are():
    # Okabe and Ito, Color Universal Design, 2008; codes from memory.
    theirs = {"#0072b2", "#d55e00", "#009e73", "#e69f00", "#56b4e9", "#cc79a7", "#f0e442", "#000000"}
    assert {theme.BLUE, theme.VERMILION, theme.GREEN, theme.ORANGE, theme.SKY} <= theirs
    # Ours, for words on white: contrast 4.5 at least (WCAG 2.1, 1.4.3, value from memory); theirs has 3.
    assert theme.PURPLE not in theirs
    assert contrast(theme.PURPLE) >= 4.5 > contrast("#cc79a7")
    assert "but for the purple" in " ".join((theme.__doc__ or "").split())


def contrast(colour: str) -> float:
    """Contrast to white by WCAG 2.1 (formula from memory)."""
    parts = [int(colour[k : k + 2], 16) / 255.0 for k in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 1.05 / (0.05 + 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2])


VAGUE = re.compile(r"(?i)\b(?:textbook|club pages?|agency data|lecture handout|some page|a website)\b")
CHECK_FIGURES = re.compile(r"17[ -]15/16|22[ -]1/4 in|\b100\.4\b|17 \+ 15 / 16")


def own_files():
    roots = ("articulate", "tests", "scripts", "vehicle_specs_demo")
    files = [path for root in roots for path in Path(root).rglob("*") if path.suffix in (".py", ".toml", ".jinja")]
    return [*files, Path("README.md"), Path("DEVELOPERS.md")]


def test_figures_of_others_stand_only_as_check_values():
    for path in own_files():
        if path.name == "test_safety_words.py":
            continue
        rows = path.read_text(encoding="utf-8").split("\n")
        for number, row in enumerate(rows):
            if CHECK_FIGURES.search(row):
                near = "\n".join(rows[max(number - 6, 0) : number + 5])
                assert path.parts[0] == "tests", f"{path}:{number + 1}"
                assert "ommon practice, no source" in near, f"{path}:{number + 1}"


def test_sources_are_named_or_said_to_be_from_memory():
    for path in own_files():
        if path.name == "test_safety_words.py":
            continue
        for number, row in enumerate(path.read_text(encoding="utf-8").split("\n"), 1):
            if VAGUE.search(row):
                assert "title not kept" in row, f"{path}:{number}: {row.strip()}"
