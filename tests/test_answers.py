"""The answer comes first: on one screen, with its band, and the same band as `band` has."""

from __future__ import annotations

import ast
import csv
import io
import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from articulate.cli import app

DEMO = sorted(Path("vehicle_specs_demo").glob("*.toml"))
WAGON = "vehicle_specs_demo/wagon.toml"
SCREEN = 28  # lines; a terminal of 80 columns has 24 to 50


@pytest.fixture(scope="module")
def run():
    runner = CliRunner()
    return lambda *words: runner.invoke(app, [str(word) for word in words])


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_predict_is_a_screen_with_score_and_band(run, path):
    result = run("predict", path)
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert len(lines) <= SCREEN
    assert max(map(len, lines)) <= 80
    data = json.loads(run("predict", path, "--json").stdout)
    for k, case in enumerate(data["band"]["runs"]):
        score = next(line for line in lines if line.startswith("score")).split()[1 + k]
        assert float(score) == pytest.approx(data[case["bars"]]["score"], abs=0.5)
        low, high = case["score"]["low"], case["score"]["high"]
        assert f"{low:.0f} to {high:.0f}" in result.stdout
        assert low < float(score) < high
    assert f"{data['inputs_assumed']} of {data['inputs_in_all']} inputs are assumed" in result.stdout
    assert "width comes most from" in result.stdout
    assert "wheel" in result.stdout.splitlines()[-1]  # the caution


def test_what_is_left_out_of_the_screen_is_behind_full(run):
    short, full = run("predict", WAGON).stdout, run("predict", WAGON, "--full").stdout
    assert full.startswith(short)
    for words in ("load, normal to the ground", "on the way up", "wheelspin:", "assumed, not given", "frame twist"):
        assert words in full
        assert words not in short


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_a_vehicle_has_one_band_in_every_command(run, path):
    """Who quotes a range from the screen meets the same one on the sheet of the day."""
    found = [
        json.loads(run(*words, "--json").stdout) for words in (("predict", path), ("band", path), ("test-day", path))
    ]
    for predicted, banded, planned in zip(found[0]["band"]["runs"], *(one["runs"] for one in found[1:]), strict=True):
        assert predicted["score"] == banded["score"]
        for quantity in ("score", "mark_height_m"):
            assert [planned[quantity][end] for end in ("low", "high")] == pytest.approx(
                [predicted[quantity][end] for end in ("low", "high")], rel=1e-12
            )
    if found[0]["band"]["gain"] is not None:
        assert found[0]["band"]["gain"] == found[1]["gain"]


def test_the_gain_of_a_report_is_that_of_the_prediction_with_its_band(run, tmp_path):
    screen = next(line for line in run("predict", WAGON).stdout.splitlines() if line.startswith("gain")).split()
    gain, band = screen[3], " ".join(screen[4:])
    short = tmp_path / "short.md"
    page = run("report", WAGON, "--output", tmp_path / "page.html", "--markdown", short)
    assert page.exit_code == 0
    assert f"gains {gain.lstrip('+')} points, 12 % (90 % band {band.strip('()')})." in short.read_text(encoding="utf-8")


def test_where_no_bar_can_be_released_it_is_said_what_a_file_says_of_one_that_can(run):
    crossover = "vehicle_specs_demo/crossover_minimal.toml"  # two bars of which no more is said
    for command in ("predict", "band"):
        said = " ".join(run(command, crossover).stdout.split())
        assert "where one can, write releasable = true under [front.anti_roll_bar] or [rear.anti_roll_bar]" in said
    releasable = run("predict", crossover, "--set", "front.anti_roll_bar.releasable=true")
    assert "gain from releasing" in releasable.stdout


def test_the_width_of_the_prediction_is_laid_to_what_makes_it(run):
    # With one input left uncertain in a file, and a far wider range than the model's own error, it is the reason.
    result = run("predict", WAGON, "--set", "rear.travel.bump=85 mm ± 60 mm", "--json")
    case = json.loads(result.stdout)["band"]["runs"][0]
    assert case["width_by_input"][0]["keys"] == ["rear.travel.bump"]
    assert not case["width_by_input"][0]["assumed"]
    assert "rear bump travel" in run("predict", WAGON, "--set", "rear.travel.bump=85 mm ± 60 mm").stdout


def test_the_mark_moves_with_the_score(run):
    data = json.loads(run("predict", WAGON, "--json").stdout)
    for case in data["band"]["runs"]:
        mark, score = case["mark_height_m"], case["score"]
        # The wheelbase's range is small beside the score's, and the ramp's angle is as chosen: s sin 20 deg.
        for name in ("low", "median", "high"):
            assert mark[name] == pytest.approx(score[name] * data["wheelbase_m"] * 0.3420201 / 1000.0, rel=2e-3)


LARGER = "vehicle_specs_demo/wagon_larger_tyres.toml"


@pytest.mark.parametrize(
    ("words", "most"),
    [
        (("explain", WAGON, LARGER), 36),  # two vehicles, two states of the bars
        (("worth", WAGON), 36),
        (("timeline", WAGON), SCREEN),
        (("band", WAGON, "--points", "64"), 32),
    ],
    ids=lambda words: words[0] if isinstance(words, tuple) else "",
)
def test_the_others_answer_briefly_and_keep_the_rest_behind_full(run, words, most):
    short, full = run(*words), run(*words, "--full")
    assert short.exit_code == full.exit_code == 0
    assert len(short.stdout.splitlines()) <= most < len(full.stdout.splitlines())
    assert max(map(len, short.stdout.splitlines())) <= 80
    assert "--full" in short.stdout
    data = [run(*words, *extra, "--json").stdout for extra in ((), ("--full",))]
    assert data[0] == data[1]  # data is whole in any case


def test_an_arch_that_comes_before_the_stop_is_told(run):
    narrow = ("--set", "rear.arch_gap=60 mm")
    bump = json.loads(run("predict", WAGON, *narrow, "--set", "rear.travel.bump=85 mm", "--json").stdout)
    more = json.loads(run("predict", WAGON, *narrow, "--set", "rear.travel.bump=120 mm", "--json").stdout)
    assert more["connected"]["score"] == pytest.approx(bump["connected"]["score"])  # so it has to be told
    told = "the tyre's arch comes first"
    for words in (("predict", WAGON), ("explain", WAGON)):
        assert told in " ".join(run(*words, *narrow).stdout.split())
        assert "rear.travel.bump does nothing" in " ".join(run(*words, *narrow).stdout.split())
    assert told not in run("predict", WAGON).stdout


def test_check_tells_it_of_a_file(run, tmp_path):
    path = tmp_path / "narrow.toml"
    text = Path("vehicle_specs_demo/crossover_minimal.toml").read_text(encoding="utf-8")
    path.write_text(text.replace("[rear]\n", '[rear]\narch_gap = "30 mm"\n', 1), encoding="utf-8")
    assert "rear: the tyre's arch comes first" in " ".join(run("check", path).stdout.split())
    assert json.loads(run("check", path, "--json").stdout)["arch_first"]
    assert "comes first" not in run("check", WAGON).stdout


@pytest.mark.parametrize(
    ("path", "units", "shown"),
    [
        (WAGON, (), "1616 mm, 63.64 in"),
        (WAGON, ("--units", "imperial"), "63.64 in"),
        (WAGON, ("--units", "metric"), "1616 mm"),
        ("vehicle_specs_demo/short_two_door.toml", (), "89.07 in, 2262 mm"),  # a file in inches
    ],
)
def test_lengths_are_in_the_units_of_the_file_or_those_asked_for(run, path, units, shown):
    for extra in ((), ("--full",)):
        said = run("predict", path, *units, *extra).stdout
        line = next(line for line in said.splitlines() if line.startswith("climb"))
        assert shown in line
        if "imperial" in units:
            assert " mm" not in line
        if "metric" in units:
            assert " in" not in line
    assert run("predict", path, "--units", "cubits").exit_code == 2


OVERTURNED = ("--set", "mass.centre_of_gravity_height=1.9 m")


def test_a_vehicle_without_a_score_has_no_number_in_its_place(run):
    soft = (*OVERTURNED, "--set", "front.anti_roll_bar=false", "--set", "rear.anti_roll_bar=false")
    tipping = (*soft, "--set", "front.spring.wheel_rate=5 N/mm")
    assert "nan" not in run("worth", WAGON, *tipping).stdout
    assert "no score" in run("worth", WAGON, *tipping).stdout
    rows = list(csv.DictReader(io.StringIO(run("compare", WAGON, *tipping, "--samples", "64", "--csv", "-").stdout)))
    assert rows[0]["score"] == ""
    assert rows[0]["status"] not in ("", "wheel_lifts")
    text = run("compare", WAGON, *tipping, "--samples", "64").stdout
    assert max(map(len, text.splitlines())) <= 80


def printed_texts():
    """Every text of the package that is no docstring, with its place."""
    for path in sorted(Path("articulate").rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        beside = {
            id(one.value) for one in ast.walk(tree) if isinstance(one, ast.Expr) and isinstance(one.value, ast.Constant)
        }
        for one in ast.walk(tree):
            if isinstance(one, ast.Constant) and isinstance(one.value, str) and id(one) not in beside:
                yield f"{path}:{one.lineno}", one.value


def test_no_text_offers_memory_as_a_source_or_quotes_code():
    escaped = "articulate/output/report/markdown.py"  # escapes what Markdown takes for code
    for place, text in printed_texts():
        assert "value from memory" not in text, place
        assert "`" not in text or place.startswith(escaped), place


def test_a_missing_file_is_said_without_a_riddle(run):
    said = run("predict", "vehicle_specs_demo/wagn.toml").stderr
    assert said.startswith("vehicle_specs_demo/wagn.toml: there is no such file; there is wagon.toml")


def test_assumed_lengths_are_in_the_units_of_the_file(run, tmp_path):
    """What a tape in inches would have to find stands in inches, everywhere it is listed; the same lengths."""
    crossover = Path("vehicle_specs_demo/crossover_minimal.toml")
    inches = tmp_path / "inches.toml"
    text = re.sub(
        r'"(\d+) mm"', lambda found: f'"{float(found[1]) / 25.4:.6f} in"', crossover.read_text(encoding="utf-8")
    )
    inches.write_text(text, encoding="utf-8")
    listed = r"pivot_above_hub\W.*?(-?[\d.]+) (mm|in) \((-?[\d.]+) to\s+(-?[\d.]+)\)"
    for words in (("predict", "--full"), ("check", "--assumed")):
        (mine, theirs) = (
            re.search(listed, " ".join(run(words[0], path, words[1]).stdout.split())) for path in (crossover, inches)
        )
        assert (mine[2], theirs[2]) == ("mm", "in")
        for place in (1, 3, 4):
            assert float(theirs[place]) == pytest.approx(float(mine[place]) / 25.4, abs=0.006)
    page = tmp_path / "page.html"
    assert run("report", inches, "--output", page, "--samples", "64").exit_code == 0
    shown = page.read_text(encoding="utf-8")
    assert f"{theirs[0].partition(' in ')[0].split()[-1]} in ({theirs[3]} to {theirs[4]})" in shown
    assert f"mm ({mine[3]} to {mine[4]})" not in shown
