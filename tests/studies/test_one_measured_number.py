"""One run sheet through every output: the measured score is one number, at the sheet's touch load."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.measure.conversions import ReadingKind
from articulate.measure.scatter import STRAY, climb_scatter, run_deviation
from articulate.measure.scoring import score_sheet
from articulate.measure.sheet_load import load_sheet, read_sheet
from articulate.model.ramp_test import ramp_test
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.studies.audit.sheet import observed_of, readings_of, scene_from
from articulate.studies.compare.comparison import Measured
from articulate.studies.day.run_hints import run_hints

VEHICLE = "vehicle_specs_demo/wagon.toml"
SHEET = "vehicle_specs_demo/run_sheets/wagon_run_sheet.toml"
CASES = [(side, bars) for side in ("left", "right") for bars in ("connected", "released")]

# By hand from the sheet, the mean reading of each run over sin atan(600/1648) and 2850 mm; touch load left as it is.
SINE = math.sin(math.atan2(600.0, 1648.0))
BY_HAND = {
    ("left", "connected"): 1000.0 * 21.6875 * 25.4 / SINE / 2850.0,
    ("left", "released"): 1000.0 * 24.3125 * 25.4 / SINE / 2850.0,
    ("right", "connected"): 1000.0 * 22.4375 * 25.4 / SINE / 2850.0,
    ("right", "released"): 1000.0 * 1839.0 / 2850.0,
}


@pytest.fixture(scope="module")
def run():
    runner = CliRunner()

    def invoke(*words):
        result = runner.invoke(app, [str(word) for word in words])
        assert result.exit_code == 0, result.stderr
        return result.stdout

    return invoke


def test_score_says_what_the_tape_says_and_the_touch_load_is_one_line_beside_it(run):
    data = json.loads(run("score", SHEET, "--json"))
    found = {(case["side"], case["bars"]): case for case in data["cases"]}
    for case, score in BY_HAND.items():
        assert found[case]["score"]["value"] == pytest.approx(score, rel=1e-9)
        assert found[case]["score_at_zero_touch_load"]["value"] > score + 1.0
    both = 0.5 * (BY_HAND["left", "released"] + BY_HAND["right", "released"])
    assert f"score {both:.1f} ± " in run("score", SHEET)


def test_the_logbook_says_the_same(run, tmp_path):
    run("logbook", "save", SHEET, "--folder", tmp_path)
    rows = csv.DictReader(io.StringIO(run("logbook", "show", tmp_path, "--csv", "-")))
    found = {(row["side"], row["bars"]): float(row["score"]) for row in rows}
    table = run("logbook", "show", tmp_path, "--full")
    for case, score in BY_HAND.items():
        assert found[case] == pytest.approx(score, rel=1e-9)
        assert f"{score:.1f} ± " in table


def test_the_audit_judges_the_same(run):
    data = json.loads(run("audit", VEHICLE, SHEET, "--json"))
    for side, bars in CASES:
        climbs = [one["score"] for one in data["scores"] if f"{side}, bars {bars}" in one["run"]]
        assert np.mean(climbs) == pytest.approx(BY_HAND[side, bars], abs=0.01)


def test_learning_takes_the_same(run):
    data = json.loads(run("learn", VEHICLE, "--sheet", SHEET, "--points", 1024, "--json"))
    scores = [one["value"] for one in data["readings"] if one["what"].startswith("score")]
    assert scores == pytest.approx([BY_HAND[case] for case in CASES], rel=1e-6)
    assert data["conditions"]["touch_load_N"]["value"] == pytest.approx(30.0)
    table = run("learn", VEHICLE, "--sheet", SHEET, "--points", 1024)
    for side, bars in CASES:  # sides told apart
        assert re.search(rf"score, bars {bars}, {side}\s+{BY_HAND[side, bars]:.0f} ±", table)


@pytest.mark.parametrize("bars", ["connected", "released"])
def test_a_comparison_ranks_the_same_and_predicts_at_the_sheets_touch_load(run, bars):
    words = ("compare", VEHICLE, "--sheet", SHEET, "--bars", bars, "--samples", 64)
    data = json.loads(run(*words, "--json"))
    found = {one["measured"]: one["score"]["value"] for one in data["vehicles"]}
    assert found[True] == pytest.approx(BY_HAND["left", bars], rel=1e-9)
    assert data["touch_load_N"] == pytest.approx(30.0)
    at_film = getattr(predict(build(load_vehicle(VEHICLE)), ramp_test(1, touch_load=30.0)), bars)
    assert found[False] == pytest.approx(at_film.score, abs=1e-3)
    text = run(*words)
    assert re.search(rf"measured\s+{BY_HAND['left', bars]:.0f} \(", text)
    assert "touch load 30 N" in text


def test_two_sheets_of_two_touch_loads_are_carried_to_one_and_said_so(run, tmp_path):
    other = tmp_path / "other.toml"
    text = Path(SHEET).read_text(encoding="utf-8")
    text = text.replace('touch_load = "10 to 50 N"', 'touch_load = "100 N ± 10 N"')
    other.write_text(
        text.replace('"Kestrow Bellwether"', '"Another"').replace("../wagon.toml", str(Path(VEHICLE).resolve()))
    )
    words = ("compare", "--sheet", SHEET, "--sheet", other, "--bars", "released")
    data = json.loads(run(*words, "--json"))
    found = {one["name"]: one for one in data["vehicles"]}
    first, second = found["Kestrow Bellwether"], found["Another"]
    as_read = BY_HAND["left", "released"]
    assert first["score"]["value"] == pytest.approx(as_read, rel=1e-9)
    assert second["score_as_it_is"] == pytest.approx(as_read, rel=1e-9)
    # By the solved vehicle itself: what its score changes by between both loads.
    vehicle = build(load_vehicle(VEHICLE))
    at = {load: predict(vehicle, ramp_test(1, touch_load=load)).released.score for load in (30.0, 100.0)}
    assert second["score"]["value"] - as_read == pytest.approx(at[30.0] - at[100.0], abs=0.5)
    assert f"measured {as_read:.1f} at 100 N, carried to 30 N" in run(*words)
    # At a load of one's own choice both are carried.
    chosen = run(*words, "--touch-load", "0 N")
    assert chosen.count(f"measured {as_read:.1f} at") == 2
    assert "carried to 0 N" in chosen


def test_scores_carried_elsewhere_are_not_taken_for_others():
    scores = score_sheet(load_sheet(SHEET), draws=2000)
    assert Measured.of_sheet(scores, "left", "released").score.value == pytest.approx(BY_HAND["left", "released"])
    with pytest.raises(ValueError, match="carried to 0 N, not to 10 N"):
        Measured.of_sheet(scores, "left", "released", 10.0)


def test_the_report_leads_with_the_same(run, tmp_path):
    page, words = tmp_path / "page.html", tmp_path / "words.md"
    told = run(
        "report", VEHICLE, "--run-sheet", SHEET, "--output", page, "--markdown", words, "--samples", 64, "--json"
    )
    html, text = page.read_text(encoding="utf-8"), words.read_text(encoding="utf-8")
    large = re.findall(r'class="score">([^<]+)<', html)[:2]
    both = [0.5 * (BY_HAND["left", bars] + BY_HAND["right", bars]) for bars in ("connected", "released")]
    assert large == [f"{score:.1f}" for score in both]
    first = next(line for line in text.splitlines() if line.startswith("| score"))
    assert all(f"**{score:.1f}**" in first for score in both)
    for (side, _), score in BY_HAND.items():
        assert f"{side} {score:.1f} ± " in html
        assert f"{side} {score:.1f} ± " in text
    vehicle = json.loads(told)["vehicles"][0]
    cases = vehicle["measured"]["held_against_predictions"]
    held = {(one["side"], one["bars"]): one["measured"]["value"] for one in cases}
    assert all(held[case] == pytest.approx(score, rel=1e-9) for case, score in BY_HAND.items())
    gain = f"{both[1] - both[0]:+.1f} ± "
    assert gain in html
    assert gain in text
    verdict = vehicle["audit"]["sentence"]
    assert vehicle["measured"]["verdict"] == verdict
    assert verdict in text
    assert verdict in html
    assert vehicle["conditions"]["touch_load_N"]["value"] == pytest.approx(30.0)


@pytest.mark.parametrize("command", [("report", VEHICLE, "--output", "-"), ("learn", VEHICLE)])
def test_what_the_sheet_says_is_not_typed_beside_it(command):
    sheet = ("--run-sheet" if command[0] == "report" else "--sheet", SHEET)
    for option in (("--touch-load", "0 N"), ("--ramp-angle", "20 deg")):
        result = CliRunner().invoke(app, [*command, *sheet, *option])
        assert result.exit_code == 2
        assert f"{option[0]}: the run sheet says it" in result.stderr


# How well one run is known: `score` and `audit` by one model.

SHARED = ("touch load", "ramp angle", "wheelbase", "climb per touch load", "radius", "error of radius")


def _by_itself(scores, case) -> float:
    """Standard uncertainty of a case's climb by the budget of `score`, without ramp, wheelbase, film and radii [m]."""
    found = next(one for one in scores.cases if (one.side, one.bars) == case)
    parts = [r.contribution for r in found.climb.budget if not r.quantity.name.startswith(SHARED)]
    return math.hypot(*parts)


def _of_the_audit(scene, observed, case) -> float:
    """Standard deviation of the mean of a case's climbs, as the audit takes their scatter [m]."""
    at = [i for i, one in enumerate(scene.readings) if (one.case.side, one.case.bars) == case]
    keys = list(observed.values)
    rows = [keys.index(f"reading.{i}") for i in at]
    return math.sqrt(observed.noise[np.ix_(rows, rows)].mean()) * scene.used_wheelbase / 1000.0


def test_a_radius_that_the_sheet_leaves_open_is_one_radius_in_score_and_audit(run):
    """Read at the hub, and with no radius at the mark on the sheet: both take it from the model."""
    path = "vehicle_specs_demo/run_sheets/pickup_run_sheet.toml"
    sheet = load_sheet(path)
    assert sheet.radius_on_ramp is None
    vehicle = str(sheet.vehicle_path)
    scored = {one["run"]: one["score"]["value"] for one in json.loads(run("score", path, "--json"))["runs"]}
    judged: dict[int, list[float]] = {}
    for reading in scene_from(load_vehicle(vehicle), sheet).readings:
        judged.setdefault(reading.run, []).append(reading.score)
    for number, score in scored.items():
        assert np.mean(judged[number]) == pytest.approx(score, abs=1e-6)


def test_so_it_is_where_the_sheet_has_no_radius_at_all():
    path = Path("vehicle_specs_demo/run_sheets/pickup_run_sheet.toml")
    text = "\n".join(one for one in path.read_text().splitlines() if "radius_on_flat" not in one and one != "[wheel]")
    sheet = read_sheet(text, str(path))
    assert sheet.radius_on_flat is None
    spec = load_vehicle(sheet.vehicle_path)
    scores = score_sheet(sheet, run_hints(build(spec), sheet, spec.name), draws=2000)
    scene = scene_from(spec, sheet)
    for one in scores.runs:
        own = [reading.score for reading in scene.readings if reading.run == one.entry.number]
        assert np.mean(own) == pytest.approx(one.score.value, abs=1e-6)


@pytest.mark.parametrize("name", ["wagon", "pickup"])
def test_score_and_audit_know_a_run_equally_well(name):
    path = Path(f"vehicle_specs_demo/run_sheets/{name}_run_sheet.toml")
    # The pickup's radius on the ramp is measured here: without, score takes it from the model.
    text = path.read_text(encoding="utf-8").replace("[wheel]", '[wheel]\nradius_on_ramp = "345 mm ± 1 mm"')
    sheet = read_sheet(text, str(path))
    spec = load_vehicle(sheet.vehicle_path)
    scores = score_sheet(sheet, run_hints(build(spec), sheet, spec.name), draws=2000)
    scene = scene_from(spec, sheet)
    observed = observed_of(sheet, scene)
    for case in sheet.cases:
        assert _of_the_audit(scene, observed, case) == pytest.approx(_by_itself(scores, case), rel=1e-6)


def test_both_readings_of_a_hub_rise_count_in_both():
    # JCGM 100:2008, 4.3.9 (value from memory): two independent rectangular errors of one width make a triangle, whose
    # variance is the sum of theirs, 2 d^2/12.
    sheet = load_sheet(SHEET)
    entry = sheet.runs[0]
    once = run_deviation(sheet, entry)
    hub = replace(entry, kind=ReadingKind.HUB_RISE)
    division, slope = sheet.resolution.high, 1.0 / math.sin(sheet.ramp_angle.value)
    more = slope**2 * division**2 / 12.0 + (slope**2 - 1.0) * sheet.marking.high**2 / 3.0
    assert run_deviation(sheet, hub) ** 2 == pytest.approx(once**2 + more)


def test_a_slip_does_not_hide_in_the_scatter_it_makes():
    sheet = load_sheet(SHEET)
    clean = [[1.600, 1.602, 1.604], [1.700, 1.702]]
    slipped = [[1.600, 1.602, 1.604 + 0.074], [1.700, 1.702]]
    kept = climb_scatter(sheet, slipped, strays=False)
    assert climb_scatter(sheet, slipped).deviation > 3.0 * kept.deviation
    assert kept.deviation <= climb_scatter(sheet, clean).deviation * 1.2
    assert STRAY * sheet.repeatability.high < 0.074
    assert readings_of(sheet)[0].uncertainty < 3.0
