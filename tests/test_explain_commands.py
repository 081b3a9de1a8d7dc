"""The explaining commands as a person types them: answers, 80 columns, data, exit codes, nothing written on a fault."""

from __future__ import annotations

import csv
import io
import json

import pytest
from typer.testing import CliRunner

from articulate.cli import app

WAGON, LARGER = "vehicle_specs_demo/wagon.toml", "vehicle_specs_demo/wagon_larger_tyres.toml"
SHEET = "vehicle_specs_demo/run_sheets/wagon_run_sheet.toml"
MINIMAL = "vehicle_specs_demo/crossover_minimal.toml"

TARGET = ("target", WAGON, "--score", "590", "--change")

ANSWERS = [
    ("explain", WAGON, LARGER),
    ("explain", WAGON, "--set", "front.anti_roll_bar=false", "--by-axle"),
    ("explain", WAGON, LARGER, "--together", "tyre radius, tyre stiffness", "--side", "right"),
    ("worth", MINIMAL),
    ("timeline", WAGON),
    ("timeline", WAGON, "--side", "right", "--ramp-angle", "25 deg"),
    ("target", WAGON, "--score", "590", "--change", "rear.travel.bump=70 mm to 120 mm"),
    ("compare", WAGON, LARGER, "--measured", "Old wagon=587 ± 4, 2850 mm", "--samples", "64"),
    ("compare", WAGON, "--sheet", SHEET, "--bars", "released", "--samples", "64"),
    ("carry", WAGON, "--to", "23 deg", "--measured", "587 ± 4"),
]


@pytest.fixture(scope="module")
def run():
    runner = CliRunner()
    return lambda *words, text=None: runner.invoke(app, [str(word) for word in words], input=text)


@pytest.mark.parametrize("words", ANSWERS, ids=" ".join)
def test_answers_fit_80_columns_and_come_as_data_and_rows(run, words, tmp_path):
    path = tmp_path / "table.csv"
    shown = run(*words, "--csv", path)
    assert shown.exit_code == 0, shown.output
    assert max(map(len, shown.stdout.splitlines())) <= 80
    rows = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))
    assert rows
    again = run(*words, "--json", "--csv", path)
    assert again.exit_code == 2  # the file is there already
    assert "is there already" in json.loads(again.stdout)["errors"][0]["text"]
    data = json.loads(run(*words, "--json").stdout)
    assert data["schema_version"] == 2


def test_explained_points_are_those_of_predict(run):
    data = json.loads(run("explain", WAGON, LARGER, "--json").stdout)
    for bars in ("connected", "released"):
        scores = [json.loads(run("predict", path, "--json").stdout)[bars]["score"] for path in (WAGON, LARGER)]
        points = sum(share["points"] for share in data[bars]["shares"])
        assert points == pytest.approx(scores[1] - scores[0], abs=1e-6)


def test_a_reached_target_is_reached_by_predict(run):
    words = ("--score", "590", "--change", "rear.travel.bump=70 mm to 120 mm")
    data = json.loads(run("target", WAGON, *words, "--json").stdout)
    (value,) = (one["value"] for one in data["answer"]["values"] if one["key"] == "rear.travel.bump")
    setting = f"rear.travel.bump={value * 1e3:.9g} mm"
    score = json.loads(run("predict", WAGON, "--set", setting, "--json").stdout)["connected"]["score"]
    assert score == pytest.approx(data["answer"]["score"], abs=1e-5)
    assert score >= 590.0


def test_a_target_out_of_reach_is_a_finding_not_a_fault(run):
    result = run("target", WAGON, "--score", "900", "--change", "rear.travel.bump=70 mm to 120 mm")
    assert result.exit_code == 1
    assert "900 cannot be reached within the limits" in result.stdout


def test_csv_to_standard_output_replaces_the_table(run):
    rows = list(csv.DictReader(io.StringIO(run("worth", MINIMAL, "--csv", "-").stdout)))
    assert {"input", "points_more", "points_less"} <= set(rows[0])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("explain", WAGON), "a second file, or --set"),
        (("explain", WAGON, LARGER, "--together", "bump travl, tyre radius"), "write bump travel"),
        (("explain", WAGON, "missing.toml"), "missing.toml"),
        (("explain", WAGON, "--set", "front.travel.bmp=3 mm"), "front.travel.bump"),
        (("worth", WAGON, "--ramp-angle", "60 deg"), "outside 5 to 35 deg"),
        (("timeline", WAGON, "--side", "both"), "left or right"),
        ((*TARGET, "rear.travel.bump"), "equals sign"),
        ((*TARGET, "rear.travel.bmp=1 mm to 2 mm"), "write rear.travel.bump"),
        ((*TARGET, "rear.travel.bump=90 mm"), "not a range"),
        ((*TARGET, "rear.travel.bump=90 mm to 80 mm"), "--change rear.travel.bump"),
        ((*TARGET, "rear.travel.bump=80 mm to 90 mm at 3 per kg"), "length"),
        ((*TARGET, "rear.travel.bump=80 mm to 90 mm at much per mm"), "no number"),
        (("target", WAGON, "--score", "-3", "--change", "rear.travel.bump=80 mm to 90 mm"), "not a score"),
        (("target", WAGON, "--score", "600", "--bars", "off", "--change", "wheelbase=2 m to 3 m"), "--bars off"),
        (("compare",), "--measured"),
        (("compare", WAGON, "--measured", "587"), "Old wagon=587"),
        (("compare", WAGON, "--measured", "Old=9000"), "a score has no unit and lies between 1 and 5000"),
        (("compare", WAGON, "--tyre", "large"), "--tyre large"),
        (("compare", "--sheet", SHEET, "--ramp-angle", "23 deg"), "carry it first"),
        (("compare", "--sheet", WAGON), "wagon.toml"),
        (("carry", WAGON, "--to", "50 deg"), "outside 5 to 35 deg"),
        (("carry", WAGON, "--to", "23"), "unit"),
    ],
)  # fmt: skip
def test_faults_say_what_would_work_and_write_nothing(run, words, said, tmp_path):
    path = tmp_path / "table.csv"
    result = run(*words, "--csv", path)
    assert result.exit_code == 2, result.output
    assert said in " ".join(result.output.split())
    assert not result.stdout
    assert not path.exists()


def test_a_vehicle_that_cannot_be_split_is_a_finding(run):
    result = run("explain", WAGON, LARGER, "--ramp-length", "1 m")
    assert result.exit_code == 1
    assert "the ramp ends" in result.stderr
