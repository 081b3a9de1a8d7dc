"""The commands as a person types them: answers, exit codes, nothing written on a fault."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from articulate.cli import app

WAGON = "vehicle_specs_demo/wagon.toml"
DEMO = Path("vehicle_specs_demo").resolve()


@pytest.fixture
def run():
    runner = CliRunner()
    return lambda *words, text=None: runner.invoke(app, [str(word) for word in words], input=text)


def test_prediction_fits_80_columns_and_answers_first(run):
    result = run("predict", WAGON)
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert max(map(len, lines)) <= 80
    assert any(line.startswith("score") for line in lines[:6])
    assert "nobody beside, behind or under it" in " ".join(result.stdout.split())


def test_json_agrees_with_the_table_and_with_its_own_geometry(run):
    data = json.loads(run("predict", WAGON, "--json").stdout)
    assert data["schema_version"] == 2
    connected = data["connected"]
    assert connected["score"] == pytest.approx(1000.0 * connected["climb_m"] / data["wheelbase_m"])
    assert connected["lifting_wheel"] == "rear_left"
    assert connected["wheel_load_N"]["rear_left"] == pytest.approx(0.0, abs=1e-2)
    assert data["gain"] == pytest.approx(data["released"]["score"] - connected["score"])
    assert f"{connected['score']:.0f}" in run("predict", WAGON).stdout


def test_trace_holds_the_whole_climb_and_is_never_overwritten_unasked(run, tmp_path):
    path = tmp_path / "climb.csv"
    assert run("predict", WAGON, "--trace", path).exit_code == 0
    rows = list(csv.DictReader(io.StringIO(path.read_text())))
    connected = [row for row in rows if row["bars"] == "connected"]
    assert float(connected[-1]["load_rear_left_N"]) == pytest.approx(0.0, abs=1e-2)
    assert float(connected[0]["load_rear_left_N"]) > 1000.0
    before = path.read_bytes()
    again = run("predict", WAGON, "--trace", path)
    assert again.exit_code == 2
    assert path.read_bytes() == before
    assert run("predict", WAGON, "--trace", path, "--replace").exit_code == 0


def test_the_right_side_mirrors_a_symmetric_vehicle(run):
    centred = ("--set", "mass.left_of_centre=0 mm")
    plain = "vehicle_specs_demo/crossover_minimal.toml"
    left = json.loads(run("predict", plain, *centred, "--json").stdout)["connected"]
    right = json.loads(run("predict", plain, *centred, "--json", "--side", "right").stdout)["connected"]
    assert right["score"] == pytest.approx(left["score"], rel=1e-9)
    assert right["lifting_wheel"] == "rear_right"
    assert right["roll_rad"] == pytest.approx(-left["roll_rad"])
    assert right["wheel_load_N"]["front_right"] == pytest.approx(left["wheel_load_N"]["front_left"])


def test_a_short_ramp_ends_first(run):
    result = run("predict", WAGON, "--ramp-length", "3 ft", "--json")
    assert result.exit_code == 0
    data = json.loads(result.stdout)["connected"]
    assert data["outcome"] == "ramp_ends"
    assert data["score"] is None
    assert data["climb_m"] == pytest.approx(0.9144)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--ramp-angle", "0 deg"), "outside 5 to 35 deg"),
        (("--ramp-angle", "90 deg"), "outside 5 to 35 deg"),
        (("--ramp-angle", "20"), "unit"),
        (("--side", "middle"), "left or right"),
        (("--holding-share", "2"), "outside 0 to 1"),
        (("--holding-share", "nan"), "outside 0 to 1"),
        (("--touch-load", "-3 N"), "negative"),
        (("--touch-load", "1e9 N"), "outside 0 to 2000 N"),
        (("--set", "front.travel.bmup=80 mm"), "front.travel.bump"),
        (("--set", "wheelbase"), "equals sign"),
    ],
)
def test_nonsense_gets_a_clear_error_and_exit_code_2(run, words, said):
    result = run("predict", WAGON, *words)
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stdout == ""


def test_a_file_with_faults_is_refused_with_file_and_line(run, tmp_path):
    path = tmp_path / "bad.toml"
    path.write_text('name = "Bad"\nwheelbase = "-3 m"\n')
    result = run("check", path)
    assert result.exit_code == 2
    assert f"{path}:2" in result.stderr


@pytest.mark.parametrize("extra", [(), ("--minimal",)])
def test_the_template_runs_as_it_is(run, extra, tmp_path):
    path = tmp_path / "new.toml"
    assert run("template", "--output", path, *extra).exit_code == 0
    assert run("check", path).exit_code == 0
    data = json.loads(run("predict", path, "--json").stdout)
    assert 200.0 < data["connected"]["score"] < 1500.0
    assert run("template", "--output", path, *extra).exit_code == 2


def test_the_schema_is_json(run):
    assert "properties" in json.loads(run("schema").stdout)


def test_a_derivation_is_listed_proved_and_worked_out(run):
    names = run("derive").stdout.split()
    assert "mark-height" in names
    result = run("derive", "mark-height", "--vehicle", WAGON)
    assert result.exit_code == 0
    score = json.loads(run("predict", WAGON, "--json").stdout)["connected"]["score"]
    assert f"{score:.1f}"[:4] in result.stdout.partition("With numbers")[2]
    assert max(map(len, result.stdout.splitlines())) <= 80
    wrong = run("derive", "mark-hight")
    assert wrong.exit_code == 2
    assert "mark-height" in wrong.stderr


@pytest.mark.parametrize(
    "name", ["hub-path", "roll-stiffness-lift", "roll-gradient", "three-wheels", "side-slope", "spring-base"]
)
def test_every_whole_vehicle_derivation_takes_a_vehicle(run, name):
    result = run("derive", name, "--vehicle", WAGON)
    assert result.exit_code == 0, result.stderr
    assert "With numbers" in result.stdout


def test_check_says_why_each_number_is_assumed_and_what_a_file_left_open(run):
    minimal = "vehicle_specs_demo/crossover_minimal.toml"
    plain, told = run("check", minimal).stdout, run("check", minimal, "--assumed").stdout
    data = json.loads(run("check", minimal, "--json").stdout)
    assert max(map(len, told.splitlines())) <= 80
    for key, estimate in data["assumptions"].items():
        assert f"{key}: " in told
        assert f"{key}: " not in plain
        assert " ".join(estimate["basis"].split()) in " ".join(told.split())
    assert data["assumed"] == len(data["assumptions"]) > 20


def test_check_says_how_an_old_files_travel_is_counted_now(run, tmp_path):
    text = Path("vehicle_specs_demo/crossover_minimal.toml").read_text(encoding="utf-8")
    old = tmp_path / "old.toml"
    old.write_text(text.replace('travel.counted = "to full bump"\n', ""), encoding="utf-8")
    said = " ".join(run("check", old).stdout.split())
    assert 'write front.travel.counted = "to first touch" if it was taped to the stop' in said


def test_the_version_is_said_once():
    import articulate

    said = CliRunner().invoke(app, ["--version"])
    assert said.exit_code == 0
    assert said.stdout.strip() == f"articulate {articulate.__version__}"


@pytest.mark.parametrize("words", [["-h"], ["predict", "-h"], ["logbook", "-h"], ["logbook", "show", "-h"]])
def test_help_has_a_short_name_everywhere(words):
    assert CliRunner().invoke(app, words).stdout == CliRunner().invoke(app, [*words[:-1], "--help"]).stdout


def test_the_demo_vehicles_are_laid_out_and_never_over_others(tmp_path):
    folder = tmp_path / "here"
    assert CliRunner().invoke(app, ["demo", str(folder)]).exit_code == 0
    laid = {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    assert laid == {path.relative_to(DEMO): path.read_bytes() for path in DEMO.rglob("*.toml")}
    (folder / "wagon.toml").write_text("mine", encoding="utf-8")
    again = CliRunner().invoke(app, ["demo", str(folder)])
    assert again.exit_code == 2
    assert "already" in again.stderr
    assert (folder / "wagon.toml").read_text(encoding="utf-8") == "mine"


def test_the_wheel_carries_every_demo_file():
    import tomllib

    with (DEMO.parent / "pyproject.toml").open("rb") as file:
        carried = tomllib.load(file)["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    assert set(carried) == {f"vehicle_specs_demo/{path.name}" for path in [*DEMO.glob("*.toml"), DEMO / "run_sheets"]}
    assert carried == {name: f"articulate/{name}" for name in carried}


@pytest.mark.parametrize(
    "words",
    [
        ["predict", "nowhere.toml", "--json"],
        ["predict", WAGON, "--json", "--ramp-angle", "50 deg", "--side", "top"],
        ["band", WAGON, "--json", "--points", "many"],
        ["compare", WAGON, "--json", "--figure", "x.gif"],
    ],
)
def test_a_refusal_is_data_where_data_was_asked_for(run, words):
    said = run(*words)
    assert said.exit_code == 2
    data = json.loads(said.stdout)
    assert data["exit_code"] == 2
    assert [one["text"] for one in data["errors"]] == said.stderr.rstrip("\n").split("\n")
    plain = run(*[word for word in words if word != "--json"])
    assert plain.stdout == ""
    assert plain.stderr == said.stderr
