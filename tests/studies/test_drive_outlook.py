"""What is said of the drive by commands, bands and plans."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.climb import Outcome
from articulate.model.ramp_test import ramp_test
from articulate.output.sheet.content import plan_warnings
from articulate.output.text.drive import outlook_lines, reach_sentences
from articulate.prediction import predict
from articulate.spec import build, load_vehicle, with_settings
from articulate.studies.day.moments import at_climbs
from articulate.studies.day.plan import plan_test
from articulate.studies.explain.vehicle_parts import StudiedVehicle
from articulate.studies.explain.worth import what_steps_are_worth
from articulate.studies.population.conditions import Conditions, exactly, uncertain
from articulate.studies.population.runs import Population
from articulate.studies.predict.band import band
from articulate.studies.predict.drive_outlook import AS_FILED, drive_outlook

WAGON = "vehicle_specs_demo/wagon.toml"
REAR = ("drive.driven_wheels", "rear")
PART_TIME = [("drive.driven_wheels", "all"), ("drive.centre", "locked")]


def outlook(settings, **test):
    spec = with_settings(load_vehicle(WAGON), settings)
    return drive_outlook(build(spec), spec, ramp_test(1, **test))


def run(*words):
    return CliRunner().invoke(app, [str(word) for word in words])


def test_a_rear_driven_vehicle_gets_there_with_its_rear_axle_locked():
    found = outlook([REAR])
    filed, locked = found.ways
    assert filed.name == AS_FILED
    assert not filed.reaches
    assert all(end.spinning == (2,) and math.isinf(end.friction_needed) for end in filed.ends)
    assert locked.locked == ("rear axle",)
    assert locked.reaches
    assert found.least_locked == locked
    first, second = reach_sentences(found)
    assert "rear left" in first
    assert "With rear axle locked it gets to the mark" in second


def test_every_set_of_locks_is_tried_and_the_least_that_does_is_named():
    found = outlook([("drive.driven_wheels", "all"), ("drive.centre", "open")])
    assert len(found.ways) == 1 + 7
    # The rear axle alone does not: its share of an open centre is held by the front axle's light wheel.
    assert found.least_locked is not None
    assert len(found.least_locked.locked) == 2
    assert all(len(line) <= 80 for line in outlook_lines(found))


def test_locked_files_are_also_told_what_open_ones_would_do():
    found = outlook([*PART_TIME, ("drive.rear_differential", "locked")])
    filed, opened = found.ways[:2]
    assert filed.reaches
    assert not opened.reaches
    assert "it gets to the mark" in reach_sentences(found)[0]


def test_on_ice_nothing_takes_it_there():
    found = outlook(PART_TIME, friction=0.08)
    assert found.least_locked is None
    assert any("Nothing that could be locked" in line for line in reach_sentences(found))


def test_a_file_without_a_drive_is_told_the_usual_ones():
    found = outlook([])
    assert found.drive is None
    assert [way.reaches for way in found.ways] == [False] * 4 + [True]
    assert "does not say which wheels drive" in reach_sentences(found)[0]


def test_the_right_side_spins_the_right_wheel():
    spec = with_settings(load_vehicle(WAGON), [REAR])
    found = drive_outlook(build(spec), spec, side="right")
    assert found.ways[0].ends[0].spinning == (3,)


# --- commands ----------------------------------------------------------------------------------------------------


def test_predict_says_that_wheels_spin_and_how_far_it_would_get():
    result = run("predict", WAGON, "--set", "drive.driven_wheels=rear", "--full")
    assert result.exit_code == 0, result.stdout
    assert all(len(line) <= 80 for line in result.stdout.splitlines())
    for words in (
        "WHEELS SPIN",
        "rear left",
        "with grip lifts at",
        "no friction helps",
        "+ rear locked",
        "0.00 of the",
    ):
        assert words in result.stdout
    data = json.loads(run("predict", WAGON, "--set", "drive.driven_wheels=rear", "--json").stdout)
    connected = data["connected"]
    assert connected["outcome"] == "wheels_spin"
    assert connected["spinning_wheels"] == ["rear_left"]
    assert connected["lifting_wheel"] is None
    assert connected["lifting_wheel_without_spin"] == "rear_left"
    assert connected["score"] < connected["score_without_spin"]
    assert data["drive"]["reaches_the_mark_as_filed"] is False
    assert data["drive"]["reaches_the_mark_with"] == "rear locked"


def test_friction_is_an_option_and_is_checked():
    slippery = json.loads(
        run("predict", WAGON, "--set", "drive.driven_wheels=rear", "--friction", "0.5", "--json").stdout
    )
    dry = json.loads(run("predict", WAGON, "--set", "drive.driven_wheels=rear", "--json").stdout)
    assert slippery["connected"]["score"] < dry["connected"]["score"]
    wrong = run("predict", WAGON, "--friction", "3")
    assert wrong.exit_code == 2
    assert "0.05 to 1.5" in wrong.stderr


def test_a_holding_share_that_is_typed_goes_before_that_of_the_drive():
    typed = json.loads(
        run("predict", WAGON, "--set", "drive.driven_wheels=rear", "--holding-share", 0.7, "--json").stdout
    )
    assert typed["connected"]["holding_share"] == 0.7


def test_check_says_what_is_known_of_the_drive(tmp_path):
    assert "which wheels drive is not given" in run("check", WAGON).stdout
    assert (
        "all wheels drive: front locked, rear locked, centre locked"
        in run("check", "vehicle_specs_demo/short_two_door.toml").stdout
    )


# --- studies -----------------------------------------------------------------------------------------------------


def test_a_known_drive_takes_the_place_of_the_unknown_share_and_brings_its_friction():
    spec = with_settings(load_vehicle(WAGON), [REAR])
    keys = uncertain(spec, Conditions())
    assert "test.friction" in keys
    assert "test.holding_share" not in keys
    plain = uncertain(load_vehicle(WAGON), Conditions())
    assert "test.friction" not in plain
    assert "test.holding_share" in plain
    given = exactly(0.3)
    assert "test.holding_share" not in uncertain(spec, Conditions(holding_share=given))


def test_a_band_counts_the_spins_and_keeps_the_score_with_grip_apart():
    # At its own friction half the vehicles reach the lift: the way takes some 0.27.
    spec = with_settings(load_vehicle(WAGON), [*PART_TIME, ("drive.rear_differential", "locked")])
    need = predict(build(spec)).connected.friction_needed
    found = band(Population.of(spec, Conditions(friction=exactly(need))), points=64)
    for case in found.cases:
        ends = found.runs.ends[case.case]
        spins = ends.outcome == Outcome.WHEELS_SPIN
        assert 0.1 < spins.mean() < 0.9
        assert case.outcomes[int(Outcome.WHEELS_SPIN)] == spins.sum()
        assert (ends.wheel[spins] == -1).all()
        assert ends.spinning[spins].any(axis=1).all()
        assert not ends.spinning[~spins].any()
        assert (ends.score[spins] < ends.score_without_spin[spins] + 1.0).all()
        np.testing.assert_array_equal(ends.score[~spins], ends.score_without_spin[~spins])
        assert case.without_spin is not None
        assert case.failed == 0


def test_the_plan_of_the_day_says_what_to_lock():
    plan = plan_test(Population.of(with_settings(load_vehicle(WAGON), [REAR])), samples=32)
    said = " ".join(plan_warnings(plan))
    assert "wheels spin before a wheel lifts" in said
    assert "With rear axle locked it gets to the mark" in said
    assert plan.runs[0].spins > 0.9
    assert plan.runs[0].unscored == ()


def test_a_moment_of_a_driven_run_has_the_share_of_its_drive():
    vehicle = build(with_settings(load_vehicle(WAGON), [REAR]))
    run = predict(vehicle).connected
    end = at_climbs(vehicle, ramp_test(1), "left", run, np.array([run.climb]))
    assert end.converged.all()
    assert end.test.holding_share[0] == run.holding_share == 0.0
    np.testing.assert_allclose(run.trace.measures.wheel_load[-1], run.wheel_load, atol=0.5)


def test_friction_is_worth_something_only_where_the_drive_is_known():
    spec = with_settings(load_vehicle(WAGON), [REAR])
    names = [row.step.name for row in what_steps_are_worth(StudiedVehicle.of(spec)).connected.rows]
    assert "friction of the ground" in names
    assert "holding share" not in names
    row = next(
        row
        for row in what_steps_are_worth(StudiedVehicle.of(spec)).connected.rows
        if row.step.name == "friction of the ground"
    )
    assert row.up > 5.0
    assert row.down < -5.0


@pytest.mark.parametrize("name", ["short_two_door", "forward_control_van"])
def test_demo_vehicles_with_a_drive_get_to_their_mark(name):
    result = predict(build(load_vehicle(f"vehicle_specs_demo/{name}.toml")))
    assert result.connected.outcome == Outcome.WHEEL_LIFTS
    assert result.connected.friction_needed < 0.6


@pytest.mark.parametrize(("kind", "said"), [("open", "open"), ("limited slip", "0.40 light over heavy wheel")])
def test_what_another_differential_costs_is_told_in_its_own_words(tmp_path, kind, said):
    """Not as 0.00 -> 1.00 of something, nor `no wheel lifts` after a full stop."""
    paths = [tmp_path / "locked.toml", tmp_path / "other.toml"]
    for path, rear in zip(paths, ("locked", kind), strict=True):
        drive = f'[drive]\ndriven_wheels = "rear"\nrear_differential = "{rear}"\n'
        path.write_text(Path(WAGON).read_text(encoding="utf-8") + drive, encoding="utf-8")
    text = " ".join(run("explain", *paths, "--full").stdout.split())
    assert f"rear differential locked -> {said}" in text
    if kind == "open":
        assert ". No wheel lifts instead of the rear left wheel." in text
