"""`tyre`, `clearance`, `ladder` as a person types them."""

from __future__ import annotations

import csv
import io
import json

import pytest
from typer.testing import CliRunner

from articulate.cli import app

WAGON = "vehicle_specs_demo/wagon.toml"
MINIMAL = "vehicle_specs_demo/crossover_minimal.toml"
QUICK = ("--points", "32")


@pytest.fixture
def run():
    runner = CliRunner()
    return lambda *words: runner.invoke(app, [str(word) for word in words])


@pytest.mark.parametrize(
    "words",
    [
        ("tyre", "LT285/70R17 121/118S E", "--pressure", "36 psi"),
        ("tyre", "35x12.50R17", "--load", "600 kgf", "--diameter", "872 mm ± 3 mm"),
        ("tyre", "265/70R17", "--load", "20000 N"),
        ("tyre", "7.50-16 LT 8PR", "--pressure", "300 kPa"),
        ("ladder", WAGON, *QUICK, "--sizes", "7.50-16,7.50R16C"),
        ("clearance", WAGON),
        ("clearance", WAGON, "--tyre", "285/75R17"),
        ("clearance", WAGON, "--tyre", "315/75R17", "--spacers"),
        ("clearance", MINIMAL, "--side", "right"),
        ("clearance", "vehicle_specs_demo/short_two_door.toml"),
        ("ladder", WAGON, *QUICK),
        ("ladder", MINIMAL, *QUICK),
        ("ladder", WAGON, *QUICK, "--sizes", "35x12.50R17,LT285/70R17 121/118S E"),
    ],
)
def test_tables_fit_80_columns_and_show_the_caution(run, words):
    result = run(*words)
    assert result.exit_code in (0, 1), result.stderr
    assert max(map(len, result.stdout.splitlines())) <= 80
    assert "local rules and licensed practice" in " ".join(result.stdout.split()).lower()
    assert "nan" not in result.stdout.split()
    assert "inf" not in result.stdout.split()


def test_a_size_is_explained_with_its_stiffness_and_what_airing_down_costs(run):
    """285/70R17 at 240 kPa: 311.5 N/mm, 830.8 mm nominal (Rhyne 2005, equation from memory)."""
    data = json.loads(run("tyre", "285/70R17", "--pressure", "240 kPa", "--load", "6000 N", "--json").stdout)
    assert data["nominal_diameter_m"] == pytest.approx(0.8308)
    first = data["pressures"][0]
    assert first["stiffness_N_per_m"]["value"] == pytest.approx(311.5e3, abs=60)
    assert first["loaded_radius_m"]["value"] == pytest.approx(0.4154 - 6000 / 311.5e3, abs=1e-5)
    assert first["stiffness_N_per_m"]["low"] < 0.85 * 311.5e3
    radii = [row["loaded_radius_m"]["value"] for row in data["pressures"]]
    assert radii == sorted(radii, reverse=True)


def test_a_full_section_code_says_what_is_taken_for_it_and_how_known(run):
    result = run("tyre", "7.50-16 LT 8PR", "--pressure", "300 kPa")
    text = " ".join(result.stdout.split())
    assert "full-section size, light-truck tyre, cross-ply or belted, load range D" in text
    assert "section height of 1.06 and a width of 1.08 times its number" in text
    assert "1.15 (0.75 to 1.6) times as stiff (not checked against a source)" in text
    data = json.loads(run("tyre", "7.50-16", "--json").stdout)
    assert (data["form"], data["radial"]) == ("full section", False)
    # 31.7 in, makers' tables; value from memory.
    assert data["diameter_m"]["low"] < 31.7 * 0.0254 < data["diameter_m"]["high"]
    radial = run("tyre", "7.50R16").stdout
    assert "cross-ply" not in radial


def test_a_measured_diameter_stands_apart_from_the_nominal_one(run):
    data = json.loads(run("tyre", "265/70R17", "--diameter", "796 mm ± 2 mm", "--json").stdout)
    assert data["nominal_diameter_m"] == pytest.approx(0.8028)
    assert data["diameter_m"]["value"] == pytest.approx(0.796)
    assert data["diameter_m"]["measured"]
    assert "diameter, as measured" in run("tyre", "265/70R17", "--diameter", "796 mm").stdout


def test_clearance_answers_first_and_says_by_its_exit_code_that_something_rubs(run):
    fine, rubbing = run("clearance", WAGON), run("clearance", WAGON, "--tyre", "285/75R17")
    assert fine.exit_code == 0
    assert "nothing rubs" in fine.stdout
    assert rubbing.exit_code == 1
    head = " ".join(rubbing.stdout.partition("front wheelhouse")[0].split())
    assert "would rub on the trail" in head
    assert "liner, forward" in head
    assert "rubs on the ramp" in head
    spaced = run("clearance", WAGON, "--tyre", "285/75R17", "--spacers")
    assert spaced.exit_code == 0
    assert "spacers of 25" in spaced.stdout


def test_clearance_data_is_whole_and_plain(run):
    result = run("clearance", WAGON, "--tyre", "285/75R17", "--json")
    data = json.loads(result.stdout)
    assert data["schema_version"] == 2
    front = data["axles"]["front"]
    assert front["spacer_m"]["value"] == pytest.approx(
        front["stop_gap_m"]["value"] - front["clear_bump_gap_m"]["value"]
    )
    assert front["points"][3]["straight_m"]["value"] is None  # never met
    assert {point["name"] for point in data["body_points"] if not point["in_ramp_lane"]} == {
        "front skid plate, middle",
        "gearbox crossmember",
    }


def test_what_is_not_known_is_said(run):
    text = " ".join(run("clearance", MINIMAL).stdout.split())
    assert "says nothing of the arches" in text
    assert "names no [[body_point]]" in text
    assert "full lock; whether the tyre rubs there is not known" in " ".join(
        run("clearance", "vehicle_specs_demo/short_two_door.toml").stdout.split()
    )


def test_what_the_tyre_meets_in_droop_is_found(run, tmp_path):
    """A point 450 mm straight below the hub: a 401 mm tyre reaches it after 49 mm of droop, and has 110 mm."""
    path = tmp_path / "low.toml"
    text = run("template", "--minimal").stdout
    point = '[[front.wheelhouse]]\nname = "axle stand"\nclock = "6"\ndistance = "450 mm"\ninboard = "0 mm"\n\n[rear]\n'
    path.write_text(text.replace("[rear]\n", point))
    result = run("clearance", path)
    assert result.exit_code == 1
    said = " ".join(result.stdout.split())
    overlap = int(said.partition("into droop the tyre overlaps axle stand by ")[2].partition(" mm")[0])
    assert 60 <= overlap <= 63  # a little more than 61 mm, since the wheel leans on its arm
    assert "inf" not in said.split()


def test_where_no_spacer_is_long_enough_it_says_so(run):
    """A gap of 45 mm at full lock, less 12 mm kept and the press of a full stop, is less than none."""
    words = ("--set", "front.arch_gap_at_full_lock=45 mm", "--spacers", "--units", "metric")
    result = run("clearance", "vehicle_specs_demo/short_two_door.toml", *words)
    assert result.exit_code == 1
    said = " ".join(result.stdout.split())
    assert "! front: no spacer keeps 12 mm clear; the stops would have to be pressed by 34 mm" in said
    assert "front: spacers of" not in said
    assert "bump gap of -" not in said
    spaced = run("clearance", WAGON, "--tyre", "285/75R17", "--spacers", "--full").stdout
    assert spaced.count("on the stops as they are without spacers") == 2
    assert "without spacers" not in run("clearance", WAGON, "--full").stdout


def test_the_ladder_as_csv_is_the_ladder_as_json(run, tmp_path):
    path = tmp_path / "ladder.csv"
    words = ("ladder", WAGON, *QUICK, "--sizes", "265/70R17", "--sizes", "285/75R17")
    data = json.loads(run(*words, "--json").stdout)
    assert run(*words, "--csv", path).exit_code == 0
    rows = list(csv.DictReader(io.StringIO(path.read_text())))
    assert len(rows) == len(data["sizes"]) == 4
    for row, size in zip(rows, data["sizes"], strict=True):
        assert row["size"] == size["size"]
        assert float(row["score_connected"]) == pytest.approx(size["scores"]["connected"]["score"]["value"])
        assert float(row["spacer_front_m"]) == pytest.approx(size["spacer_m"]["front"])
    before = path.read_bytes()
    assert run(*words, "--csv", path).exit_code == 2
    assert path.read_bytes() == before
    assert run(*words, "--csv", "-").stdout.startswith("size,")


def test_the_same_input_gives_the_same_bytes(run):
    words = ("ladder", WAGON, *QUICK, "--sizes", "285/75R17", "--json")
    assert run(*words).stdout == run(*words).stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("tyre", "banana"), "not a tyre size code"),
        (("tyre", "265/70R17", "--pressure", "36"), "unit"),
        (("tyre", "265/70R17", "--pressure", "36 bar"), "outside 30 to 800 kPa"),
        (("tyre", "265/70R17", "--load", "-3 N"), "outside 0 to 30 kN"),
        (("tyre", "265/70R17", "--load", "500 kg"), "unit of a mass"),
        (("tyre", "265/70R17", "--diameter", "30 in ± 400 mm"), "outside 450 to 1500 mm"),
        (("clearance", WAGON, "--tyre", "banana"), "not a tyre size code"),
        (("clearance", WAGON, "--ramp-angle", "50 deg"), "outside 5 to 35 deg"),
        (("clearance", WAGON, "--ramp-width", "3 mm"), "outside 100 to 3000 mm"),
        (("clearance", WAGON, "--side", "up"), "left or right"),
        (("clearance", MINIMAL, "--set", "front.bump_stop.spacer=to keep clear"), "nothing is said of the arches"),
        (("ladder", WAGON, "--sizes", "banana,265/70R17,apple"), "--sizes apple"),
        (("ladder", WAGON, "--sizes", ","), "no size is given"),
        (("ladder", WAGON, "--points", "3"), "outside 16 to 4096"),
    ],
)
def test_nonsense_gets_a_clear_error_and_exit_code_2(run, words, said):
    result = run(*words)
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stdout == ""
