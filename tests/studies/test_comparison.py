"""Vehicles side by side: chances against closed forms, shared and independent uncertainties, and articulation."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats
from typer.testing import CliRunner

from articulate.cli import app
from articulate.cli.reading import told_apart
from articulate.climb import climb_to_unload
from articulate.closed_forms import mark, travel_limit
from articulate.measure.scoring import score_sheet
from articulate.measure.sheet_load import load_sheet
from articulate.output.text.comparison import comparison_data, comparison_rows, comparison_table, verdict
from articulate.prediction import predict
from articulate.spec import Estimate, SpecError, build, load_vehicle, with_settings
from articulate.studies.compare.comparison import ComparisonError, Measured, compare
from articulate.studies.learn.sheet_readings import conditions_of_day
from articulate.studies.population.conditions import Conditions, draw, exactly, lanes_of
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, NO_MODEL_ERROR
from tests.studies.nominal import without_uncertainty

WAGON, LARGER = "vehicle_specs_demo/wagon.toml", "vehicle_specs_demo/wagon_larger_tyres.toml"
PIKE = "vehicle_specs_demo/short_two_door.toml"
PICKUP = "vehicle_specs_demo/ladder_frame_pickup.toml"


def between(low, high):
    return Estimate(0.5 * (low + high), low, high, "rectangular", "measured", "", "", 1.0)


def normal(value, u):
    half = 1.6448536269514722 * u
    return Estimate(value, value - half, value + half, "normal", "measured", "", "", 1.0)


@pytest.fixture(scope="module")
def fleet():
    return compare([load_vehicle(path) for path in (PICKUP, WAGON, PIKE, LARGER)], samples=256)


def test_chances_of_measured_scores_against_their_closed_forms():
    # X uniform on (0, 20) over 580, Y uniform on (10, 30): P(X > Y) = 10 x 10 / (2 x 20 x 20) = 1/8.
    scores = [Measured("a", between(580.0, 600.0)), Measured("b", between(590.0, 610.0))]
    found = compare([], scores, samples=8192)
    assert [entry.name for entry in found.entries] == ["b", "a"]
    assert found.beats[1][0] == pytest.approx(1.0 / 8.0, abs=0.01)
    assert found.beats[0][1] == pytest.approx(7.0 / 8.0, abs=0.01)
    # Two normals: P(A > B) = Phi(d / sqrt(uA^2 + uB^2)); Phi(1) = 0.8413 (value from memory).
    scores = [Measured("a", normal(605.0, 3.0)), Measured("b", normal(600.0, 4.0))]
    assert compare([], scores, samples=8192).beats[0][1] == pytest.approx(0.8413, abs=0.01)


def test_order_bands_and_places(fleet):
    nominal = [entry.score.value for entry in fleet.entries]
    assert nominal == sorted(nominal, reverse=True)
    assert fleet.entries[0].name == "Ostrell Pike"
    assert fleet.entries[0].rank == (1, 1)
    wagon = next(entry for entry in fleet.entries if entry.name == "Kestrow Bellwether")
    spec, conditions = load_vehicle(WAGON), Conditions()
    vehicles, tests = lanes_of(spec, conditions, draw(spec, conditions, 1024, seed=4))
    scores = np.tile(climb_to_unload(vehicles, tests).score, 50)
    scores *= 1.0 + ASSUMED_MODEL_ERROR.total * np.random.default_rng(5).standard_normal(scores.size)
    low, high = np.nanquantile(scores, (0.05, 0.95))
    assert wagon.score.low == pytest.approx(low, abs=3.0)
    assert wagon.score.high == pytest.approx(high, abs=3.0)


def test_chances_of_two_add_up(fleet):
    chance = np.array(fleet.beats)
    off = ~np.eye(len(chance), dtype=bool)
    np.testing.assert_allclose((chance + chance.T)[off], 1.0, atol=1e-12)


def test_two_files_alike_are_a_toss_up_and_one_file_twice_is_itself(tmp_path):
    copy = tmp_path / "copy.toml"
    copy.write_text(Path(WAGON).read_text(encoding="utf-8"), encoding="utf-8")
    apart = compare([load_vehicle(WAGON), load_vehicle(copy)], samples=1024)
    assert apart.beats[0][1] == pytest.approx(0.5, abs=0.05)
    # A variant of one file shares what the file leaves open: a small sure gain is seen as sure.
    spec = load_vehicle(WAGON)
    variant = with_settings(spec, [("wheelbase", "2840 mm ± 3 mm")])
    paired = compare([spec, variant], samples=256)
    assert paired.entries[0].score.value > paired.entries[1].score.value
    assert paired.beats[0][1] > 0.99
    independent = paired.entries[0].score.high - paired.entries[0].score.low
    assert independent > 5.0 * (paired.entries[0].score.value - paired.entries[1].score.value)


def test_two_files_vary_independently(tmp_path):
    # P(A > B) = Phi((a - b) / sqrt(u_a^2 + u_b^2)) for independent, near normal scores; were they drawn alike, the
    # better one would always win.
    shorter = tmp_path / "shorter.toml"
    text = Path(WAGON).read_text(encoding="utf-8")
    shorter.write_text(text.replace("2850 mm ± 3 mm", "2790 mm ± 3 mm"), encoding="utf-8")
    known = Conditions(holding_share=exactly(0.5))
    found = compare([load_vehicle(WAGON), load_vehicle(shorter)], conditions=known, samples=2048)
    better, worse = found.entries
    u = [(entry.score.high - entry.score.low) / (2.0 * 1.645) for entry in (better, worse)]
    expected = stats.norm.cdf((better.score.value - worse.score.value) / np.hypot(*u))
    assert 0.6 < expected < 0.95
    assert found.beats[0][1] == pytest.approx(expected, abs=0.03)


def test_the_holding_share_is_common_to_all(tmp_path):
    # Two files with nothing uncertain but the holding share, one a little shorter: it wins on every test alike, though
    # the share alone moves both scores by more than the two differ.
    paths = []
    for length in (2850, 2845):
        known = with_settings(without_uncertainty(load_vehicle(WAGON)), [("wheelbase", f"{length} mm")])
        paths.append(replace(known, document=replace(known.document, name=str(tmp_path / f"{length}.toml"))))
    found = compare(paths, samples=256, model=NO_MODEL_ERROR)
    assert found.beats[0][1] == 1.0
    assert found.entries[0].score.high - found.entries[0].score.low > 5.0
    assert found.entries[0].score.value - found.entries[1].score.value < 3.0


def test_lift_height_is_the_mark_and_tells_a_long_vehicle_from_a_short_one(fleet):
    by_name = {entry.name: entry for entry in fleet.entries}
    for entry in fleet.entries:
        height = entry.lift.value
        assert float(mark.score_from_mark(height, entry.wheelbase, np.radians(20.0))) == pytest.approx(
            entry.score.value, rel=1e-9
        )
    # The long pickup scores less than the wagon and lifts its wheel higher.
    pickup, wagon = by_name["Dunfirth Packman"], by_name["Kestrow Bellwether"]
    assert pickup.score.value < wagon.score.value
    assert pickup.lift.value > wagon.lift.value
    assert pickup.lift_place < wagon.lift_place


def test_axle_twist_is_the_angle_between_the_hub_lines(fleet):
    path = predict(build(load_vehicle(WAGON))).connected.trace
    hub = path.measures.hub[-1]
    front, rear = (np.degrees(np.arctan2(*(hub[left] - hub[left + 1])[[2, 1]])) for left in (0, 2))
    wagon = next(entry for entry in fleet.entries if entry.name == "Kestrow Bellwether")
    assert np.degrees(wagon.twist.value) == pytest.approx(front - rear, abs=1e-6)
    assert wagon.travel.value == pytest.approx(np.abs(path.measures.hub_travel[-1]).sum(), abs=1e-7)
    # From the other end: the rear hub line leans only by what its tyres give way, and the front hubs stand apart by
    # the closed form's rise.
    load = path.measures.wheel_load[-1]
    stiffness = build(load_vehicle(WAGON)).tyre_stiffness[0, 1]
    tyres = np.arctan2((load[3] - load[2]) / stiffness, 1.585)
    rise = travel_limit.articulated_rise(1.585, wagon.twist.value, tyres, True)
    assert rise == pytest.approx(hub[0, 2] - hub[1, 2], rel=0.01)


def test_equal_terms_put_every_axle_on_the_tyre():
    found = compare([load_vehicle(WAGON), load_vehicle(PIKE)], tyre="285/75R17", samples=64)
    assert found.terms == ("all on 285/75R17",)
    for entry, path in zip(found.entries, (PIKE, WAGON), strict=True):
        assert entry.as_it_is == pytest.approx(predict(build(load_vehicle(path))).connected.score, abs=1e-6)
        assert entry.as_it_is != entry.score.value
    own = with_settings(load_vehicle(WAGON), [("rear.tyre.size", "245/70R17")])
    both = compare([own], tyre="285/75R17", samples=64).entries[0].score.value
    assert both == pytest.approx(next(e for e in found.entries if e.name == "Kestrow Bellwether").score.value, abs=3.0)
    # Stops that keep the larger tyre clear cost bump travel, and score.
    clear = compare([load_vehicle(WAGON)], tyre="285/75R17", spacers=True, samples=64)
    assert clear.terms == ("all on 285/75R17", "stops that keep the tyre clear")
    assert clear.entries[0].score.value < both - 5.0
    with pytest.raises(SpecError, match="size"):
        compare([own], tyre="large")


def test_released_bars_and_the_right_side():
    found = compare([load_vehicle(WAGON)], side="right", bars="released", samples=64)
    run = predict(build(load_vehicle(WAGON)), side="right").released
    assert found.entries[0].score.value == pytest.approx(run.score, abs=1e-6)
    assert found.entries[0].wheel == run.wheel
    assert found.entries[0].can_release
    van = compare([load_vehicle("vehicle_specs_demo/forward_control_van.toml")], bars="released", samples=64)
    assert "no bar can be released" in comparison_table(van)


def test_a_vehicle_without_a_score_comes_last_and_is_not_hidden():
    soft = [(f"{axle}.spring.wheel_rate", "9 N/mm") for axle in ("front", "rear")]
    tall = [*soft, ("mass.centre_of_gravity_height", "1.9 m")]
    bars = [(f"{axle}.anti_roll_bar", "false") for axle in ("front", "rear")]
    fallen = with_settings(load_vehicle(WAGON), [*tall, *bars])
    found = compare([fallen, load_vehicle(LARGER)], samples=64)
    assert found.entries[1].no_score > 32
    assert found.beats[0][1] > 0.9
    text = comparison_table(found)
    assert "does not stand" in text
    assert f"{found.entries[1].no_score} of 64 possible vehicles had no score" in text


def test_a_vehicle_that_outlasts_the_ramp_beats_what_scores_less_than_it_has_reached():
    # 1700 mm of ramp over a wheelbase of 2380 mm: at least 1000 x 1700 / 2380 (derived), more than the wagon's score.
    spec, wagon = load_vehicle(PIKE), load_vehicle(WAGON)
    reached = 1e3 * 1.7 / spec.inputs["wheelbase"].value
    high = Measured("high", normal(reached + 100.0, 2.0))
    found = compare([wagon, spec], [high], Conditions(length=1.7), samples=256)
    names = [entry.name for entry in found.entries]
    assert names == ["high", "Ostrell Pike", "Kestrow Bellwether"]
    pike, other = found.entries[1:]
    assert pike.reached == pytest.approx(reached)
    assert (pike.outlast, pike.no_score, pike.score.value, pike.score.high) == (256, 0, np.inf, np.inf)
    assert pike.rank == (1, 2)
    assert found.beats[1][2] > 0.99
    assert found.beats[0][1] == pytest.approx(0.5, abs=1e-6)  # who knows whether it would score 100 more
    text = comparison_table(found)
    assert f"over {reached:.0f}" in text
    assert "the ramp ends first" in text
    assert max(map(len, text.splitlines())) <= 80
    data = next(one for one in comparison_data(found)["vehicles"] if one["name"] == "Ostrell Pike")
    assert data["score"]["value"] is None
    assert data["score_reached_at_ramp_end"] == pytest.approx(reached)
    json.dumps(comparison_data(found), allow_nan=False)
    # Of the wagon a few possible vehicles outlast it too: its range is open above only if more than 5 % do.
    assert 0 < other.outlast < 26
    assert other.score.high < 1e3
    assert "possible vehicles outlast the ramp" in text


def test_vehicles_that_all_outlast_the_ramp_are_a_toss_up():
    found = compare([load_vehicle(path) for path in (WAGON, PIKE)], [], Conditions(length=1.0), samples=64)
    assert found.beats[0][1] == found.beats[1][0] == 0.5
    assert [entry.rank for entry in found.entries] == [(1, 2), (1, 2)]
    for entry in found.entries:  # the mark is at the ramp's end, whatever the model leaves out
        assert (entry.lift.low, entry.lift.high) == pytest.approx((np.sin(np.radians(20.0)),) * 2)


def test_a_run_sheet_joins_with_its_own_uncertainty():
    scores = score_sheet(load_sheet("vehicle_specs_demo/run_sheets/wagon_run_sheet.toml"))
    case = next(one for one in scores.cases if (one.side, one.bars) == ("left", "released"))
    joined = Measured.of_sheet(scores, "left", "released")
    assert joined.score.value == case.score.value
    assert joined.score.standard_uncertainty == pytest.approx(case.score.u)
    with pytest.raises(ComparisonError, match="touch load of 30 N, compared at one of 0 N"):
        compare([], [joined])
    at_the_sheets = conditions_of_day(scores.sheet, Conditions())
    found = compare([load_vehicle(WAGON)], [joined], at_the_sheets, bars="released", samples=256)
    entry = next(one for one in found.entries if one.measured)
    assert entry.wheelbase == pytest.approx(2.85)
    assert entry.score.high - entry.score.low == pytest.approx(2.0 * 1.645 * case.score.u, rel=0.05)
    with pytest.raises(ComparisonError, match="no run on the both side"):
        Measured.of_sheet(
            score_sheet(load_sheet("vehicle_specs_demo/run_sheets/pickup_run_sheet.toml")), "both", "released"
        )
    with pytest.raises(ComparisonError, match=r"carry it first: .* --ramp-angle '20\.0 deg' --to '23\.0 deg'"):
        compare([], [joined], Conditions(ramp_angle=exactly(np.radians(23.0))))
    with pytest.raises(ComparisonError, match="nothing to compare"):
        compare([])


def test_table_rows_and_data(fleet):
    text = comparison_table(fleet)
    assert max(map(len, text.splitlines())) <= 80
    data = comparison_data(fleet)
    assert [one["place"] for one in data["vehicles"]] == [1, 2, 3, 4]
    assert data["beats"][0][0] is None
    assert f"{data['vehicles'][0]['score']['value']:.0f}" in text
    assert len(comparison_rows(fleet)) == 4
    assert [verdict(chance) for chance in (0.5, 0.8, 0.2, 0.96, 0.01)] == [
        "too close",
        "likely",
        "likely",
        "sure",
        "sure",
    ]


def test_files_of_one_name_are_told_apart_by_their_files(tmp_path):
    """As where a vehicle is copied to try something and its name is left."""
    for folder, file in (("", "before"), ("", "after"), ("other/", "after")):
        path = tmp_path / f"{folder}{file}.toml"
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(Path(WAGON).read_bytes())
    paths = [tmp_path / one for one in ("before.toml", "after.toml", "other/after.toml")]
    done = CliRunner().invoke(app, ["compare", *map(str, paths), "--samples", "64", "--json"])
    names = [one["name"] for one in json.loads(done.stdout)["vehicles"]]
    assert "Kestrow Bellwether (before)" in names
    assert len(set(names)) == 3
    shown = CliRunner().invoke(app, ["compare", *map(str, paths), "--samples", "64"]).stdout
    rows = [line[4:34] for line in shown.splitlines() if line.startswith((" 1.", " 2.", " 3."))][:3]
    assert len(set(rows)) == 3
    assert told_apart([load_vehicle(WAGON)] * 2)[1].name == "Kestrow Bellwether"
    sheet = Path("vehicle_specs_demo/run_sheets/wagon_run_sheet.toml")
    days = [tmp_path / "monday.toml", tmp_path / "tuesday.toml"]
    for day in days:
        day.write_text(sheet.read_text(encoding="utf-8").replace("vehicle_file", "# vehicle_file"), encoding="utf-8")
    words = [word for day in days for word in ("--sheet", str(day))]
    done = CliRunner().invoke(app, ["compare", *words, "--samples", "64", "--json"])
    names = sorted(one["name"] for one in json.loads(done.stdout)["vehicles"])
    assert names == ["Kestrow Bellwether (monday)", "Kestrow Bellwether (tuesday)"]
