"""The commands as a person types them: answers, exit codes, nothing written on a fault, quick."""

from __future__ import annotations

import csv
import io
import json
import math
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from typer.testing import CliRunner

from articulate.cli import app
from tests.measure.filled import filled

SHEETS = "vehicle_specs_demo/run_sheets"
WAGON = f"{SHEETS}/wagon_run_sheet.toml"
READING = ("--mark-height", "22 7/16 in", "--wheelbase", "2850 mm")


@pytest.fixture
def run():
    runner = CliRunner()
    return lambda *words, text=None: runner.invoke(app, [str(word) for word in words], input=text)


def test_a_single_reading_answers_first(run):
    result = run("score", *READING)
    assert result.exit_code == 0, result.stderr
    # By hand: 22.4375 x 25.4 / sin 20 = 1666.3 mm, 65.60 in, over 2850 mm.
    assert result.stdout.startswith("score 584.7 ± ")
    assert "65.60 in" in result.stdout.splitlines()[0]
    assert "taken as --side left --bars connected" in result.stdout
    assert "assumed, not given" in result.stdout


# The wagon's sheet by hand: the mean of both sides' mean marks, 21 11/16 in and 22 7/16 in, over sin atan(600/1648).
WAGON_SCORE = 1000.0 * 0.5 * (21.6875 + 22.4375) * 25.4 / math.sin(math.atan2(600.0, 1648.0)) / 2850.0

PLUMBED = ("--plumbed-mark-height", "500 mm", "--wheelbase", "2.6 m", "--radius-on-ramp", "355 mm", "--side", "right")


@pytest.mark.parametrize("words", [READING, (WAGON,), (f"{SHEETS}/pickup_run_sheet.toml",), PLUMBED])
def test_tables_fit_80_columns(run, words):
    for more in ((), ("--full",)):
        result = run("score", *words, *more)
        assert result.exit_code == 0, result.stderr
        assert max(map(len, result.stdout.splitlines())) <= 80
        assert "nobody beside, behind or under it" in " ".join(result.stdout.split())


def test_the_answer_is_a_screenful_with_its_conditions_and_reasons(run):
    text = run("score", WAGON).stdout
    lines = text.splitlines()
    assert len(lines) <= 26
    flat = " ".join(text.split())
    assert "test: left and right front wheel, ramp 20.005 deg" in flat
    assert "touch load 30 N (10 to 50)" in flat
    sheet = json.loads(run("score", WAGON, "--json").stdout)["sheet"]
    assert f"sha256 {sheet['file_sha256'][:12]}" in text
    assert "lifted: rear left (left runs), rear right (right runs)" in text
    assert any(line.startswith("the ± comes most from touch load") for line in lines)
    assert set(lines[:20]) <= set(run("score", WAGON, "--full").stdout.splitlines())
    assert " inf" not in run("score", WAGON, "--full").stdout


def test_a_sheet_shows_gain_sides_repeatability_and_what_cancels(run):
    text = run("score", WAGON, "--full").stdout
    lines = text.splitlines()
    assert [line.split()[0] for line in lines[:3]] == ["score", "score", "gain"]
    assert "left and right differ by more than the uncertainty" in text
    assert "repeatability: climbs made anew scatter by" in text
    assert any(line.endswith("cancels") and "wheelbase" in line for line in lines)
    assert "Monte Carlo" in text


def test_json_holds_what_the_table_shows(run):
    data = json.loads(run("score", WAGON, "--json").stdout)
    assert data["schema_version"] == 2
    cases = {(case["side"], case["bars"]): case for case in data["cases"]}
    both = cases["both", "connected"]["score"]
    assert f"score {both['value']:.1f} " in run("score", WAGON).stdout
    assert both["low"] < both["value"] < both["high"]
    assert sum(row["share"] for row in both["budget"]) == pytest.approx(1.0)
    gain = next(item for item in data["gains"] if item["side"] == "both")["gain"]
    assert gain["value"] == pytest.approx(cases["both", "released"]["score"]["value"] - both["value"])
    assert data["sheet"]["wheelbase_m"]["value"] == 2.85
    assert len(data["left_less_right"]) == 2
    assert run("score", WAGON, "--json").stdout == run("score", WAGON, "--json").stdout


def test_a_vehicle_file_fills_in_what_the_tape_cannot_tell(run):
    words = ("score", "--hub-rise", "528 mm", "--vehicle", "vehicle_specs_demo/wagon.toml", "--json")
    data = json.loads(run(*words).stdout)
    predicted = json.loads(run("predict", "vehicle_specs_demo/wagon.toml", "--touch-load", "30 N", "--json").stdout)
    rise = predicted["connected"]["hub_height_m"] - 0.3811  # the hub's height at rest, as that prediction has it
    score = data["cases"][0]["score"]
    assert score["value"] == pytest.approx(predicted["connected"]["score"] + (0.528 - rise) * 1026.0, abs=1.0)
    assert data["sheet"]["wheelbase_m"]["value"] == 2.85
    assert not any("the sheet is about" in remark for remark in data["remarks"])


def test_repeats_by_options_and_a_sheet_from_standard_input(run):
    twice = run("score", *READING, "--mark-height", "22 1/2 in", "--json")
    assert json.loads(twice.stdout)["repeatability"]["degrees_of_freedom"] == 1
    result = run("score", "-", text=Path(WAGON).read_text().replace('vehicle_file = "../wagon.toml"', ""))
    assert result.exit_code == 0
    assert result.stdout.startswith(f"score {WAGON_SCORE:.1f} ± ")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "nothing to score"),
        (("--mark-height", "456 mm"), "--wheelbase is missing"),
        (("--mark-height", "456", "--wheelbase", "2.5 m"), "--mark-height: "),
        (("--mark-height", "456 mm", "--wheelbase", "2.5"), "--wheelbase: "),
        (("--mark-height", "456 mm", "--wheelbase", "2.5 m", "--side", "port"), "--side: "),
        (("--mark-height", "456 mm", "--hub-rise", "456 mm", "--wheelbase", "2.5 m"), "--hub-rise: "),
        (("--hub-height", "456 mm", "--wheelbase", "2.5 m"), "write --radius-on-ramp"),
        (("--mark-height", "456 mm", "--wheelbase", "2.5 m", "--ramp-angle", "50 deg"), "--ramp-angle: "),
        ((WAGON, "--wheelbase", "2.5 m"), "--wheelbase was given too"),
        (("nowhere.toml",), "no such file"),
        ((WAGON, "--vehicle", "nowhere.toml"), "no such file"),
    ],
)
def test_nonsense_gets_a_clear_error_and_exit_code_2(run, words, said):
    result = run("score", *words)
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stdout == ""


def test_the_template_runs_as_it_is_and_takes_a_vehicle(run, tmp_path):
    path = tmp_path / "sheet.toml"
    assert run("run-sheet", "--output", path).exit_code == 0
    assert run("run-sheet", "--output", path).exit_code == 2
    refused = run("score", path)
    assert refused.exit_code == 2
    assert refused.stderr.count("nothing is read yet") == 4
    assert "the day is not filled in yet" in refused.stderr
    assert run("logbook", "save", path, "--folder", tmp_path / "log").exit_code == 2
    assert not (tmp_path / "log").exists()


@pytest.mark.parametrize(
    ("vehicle", "wheelbase", "unit", "runs"),
    [("wagon", "2850 mm ± 3 mm", "570 mm", 4), ("short_two_door", "93.75 in ± 0.125 in", "22 7/16 in", 4),
     ("crossover_minimal", "2690 mm", "570 mm", 2)],
)  # fmt: skip
def test_a_sheet_for_a_vehicle_knows_it_and_invents_nothing(run, tmp_path, vehicle, wheelbase, unit, runs):
    path = tmp_path / "sheet.toml"
    file = Path(f"vehicle_specs_demo/{vehicle}.toml").resolve()
    assert run("run-sheet", "--vehicle", file, "--output", path).exit_code == 0
    text = path.read_text()
    data = tomllib.loads(text)
    assert data["vehicle"] == tomllib.loads(file.read_text())["name"]
    assert (tmp_path / data["vehicle_file"]).resolve() == file
    assert data["wheelbase"] == wheelbase
    assert f'["{unit}"' in text
    assert [one["mark_height"] for one in data["run"]] == [[]] * runs
    assert {(one["side"], one["bars"]) for one in data["run"]} == {
        (side, bars) for side in ("left", "right") for bars in ("connected", "released")[: runs // 2]
    }
    # Nothing in it that nobody measured: ramp, tape, wheel and method are empty.
    assert {key: value for key, value in data.items() if key in ("ramp", "tape", "wheel", "method") and value} == {}
    path.write_text(text.replace('date = ""', "date = 2026-05-14").replace("[]", '["570 mm"]', 2))
    told = run("score", path)
    assert told.exit_code == (2 if runs == 4 else 0)  # two runs are still to be read, or taken out


def test_the_logbook_keeps_collates_and_asks(run, tmp_path):
    folder = tmp_path / "log"
    assert run("logbook", "show", folder).exit_code == 2
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(filled())
    for name, said in ((WAGON, "added, 4 runs"), (sheet, "added, 4 runs"), (sheet, "unchanged")):
        result = run("logbook", "save", name, "--folder", folder)
        assert result.exit_code == 0, result.stderr
        assert said in result.stdout
    sheet.write_text(sheet.read_text().replace("22 7/16 in", "22 in"))
    before = (folder / "2026-05-14.toml").read_bytes()
    refused = run("logbook", "save", sheet, "--folder", folder)
    assert refused.exit_code == 2
    assert "--replace" in refused.stderr
    assert (folder / "2026-05-14.toml").read_bytes() == before
    assert run("logbook", "save", sheet, "--folder", folder, "--replace").exit_code == 0
    sheet.write_text(sheet.read_text().replace("2026-05-14", "2026-06-02"))
    assert run("logbook", "save", sheet, "--folder", folder).exit_code == 0
    shown = run("logbook", "show", folder)
    assert shown.exit_code == 0, shown.stderr
    assert max(map(len, shown.stdout.splitlines())) <= 80
    assert "2026-06-02 Larkfell 5" in shown.stdout
    assert max(map(len, run("logbook", "show", folder, "--full").stdout.splitlines())) <= 80
    table = tmp_path / "scores.csv"
    assert run("logbook", "show", folder, "--csv", table).exit_code == 0
    rows = list(csv.DictReader(io.StringIO(table.read_text())))
    assert len(rows) == 3 * 6
    both = next(row for row in rows if (row["side"], row["bars"]) == ("both", "connected"))
    scored = json.loads(run("score", WAGON, "--json").stdout)["cases"]
    expected = next(case for case in scored if (case["side"], case["bars"]) == ("both", "connected"))
    assert float(both["score"]) == pytest.approx(expected["score"]["value"])
    assert float(both["score_high"]) == pytest.approx(expected["score"]["high"])
    assert run("logbook", "show", folder, "--csv", table).exit_code == 2
    assert len(json.loads(run("logbook", "show", folder, "--json").stdout)["sheets"]) == 3


def test_one_bad_day_does_not_hide_the_others(run, tmp_path):
    run("logbook", "save", WAGON, "--folder", tmp_path)
    (tmp_path / "2026-05-13.toml").write_text("[[sheet]]\nvehicle = 3\n")
    (tmp_path / "shopping.toml").write_text("")
    result = run("logbook", "show", tmp_path)
    assert result.exit_code == 1
    assert "Kestrow" in result.stdout
    assert "2026-05-13.toml:2" in result.stderr
    assert "shopping.toml: not read" in result.stderr


def test_a_vehicle_file_that_is_gone_does_not_lose_a_saved_score(run, tmp_path):
    text = Path(WAGON).read_text().replace("../wagon.toml", "sold.toml")
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(text)
    run("logbook", "save", sheet, "--folder", tmp_path / "log")
    result = run("logbook", "show", tmp_path / "log")
    assert result.exit_code == 0
    assert "nothing is taken from it" in result.stderr
    assert f"{WAGON_SCORE:.1f} ± " in result.stdout


def test_readings_to_a_score_load_no_heavy_library():
    code = (
        "import sys; from articulate.cli import app\n"
        f"sys.argv = ['articulate', 'score', *{READING!r}]\n"
        "try: app()\nexcept SystemExit: pass\n"
        "print(sorted({'scipy', 'matplotlib', 'sympy'} & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"
    assert done.stdout.startswith("score 584.7 ± ")


@pytest.mark.parametrize(
    "words", [("score",), ("compare", "vehicle_specs_demo/wagon.toml", "--samples", "64", "--sheet")]
)
def test_a_vehicle_file_that_is_not_there_is_told_at_the_line_that_names_it(run, tmp_path, words):
    path = tmp_path / "s.toml"
    path.write_text(Path(WAGON).read_text().replace("../wagon.toml", "nowhere.toml"))
    line = Path(WAGON).read_text().splitlines().index('vehicle_file = "../wagon.toml"') + 1
    result = run(*words, str(path))
    assert result.exit_code == 2
    gone = f'vehicle_file: "nowhere.toml", but there is no file {tmp_path / "nowhere.toml"}'
    assert result.stderr == f"{path}:{line}: {gone}; correct it, or leave it out\n"
