"""Cross-checks of a vehicle file: slips are asked about with what was meant, good files are not asked about."""

from __future__ import annotations

import json
import runpy
from pathlib import Path

import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.spec import SpecError, load_vehicle, read_vehicle, template, with_settings
from articulate.spec.plausibility import doubts

DEMO = sorted(Path("vehicle_specs_demo").glob("*.toml"))
PUBLISHED = sorted(Path("tests/published_scores").glob("P*.toml"))
NAMES = ("wagon", "short_two_door", "forward_control_van", "ladder_frame_pickup", "crossover_minimal")
WAGON, PIKE, VAN, PICKUP, BROCHURE = (Path(f"vehicle_specs_demo/{name}.toml") for name in NAMES)


@pytest.mark.parametrize("path", [*DEMO, *PUBLISHED], ids=lambda path: path.stem)
def test_good_files_are_not_asked_about(path):
    assert [str(one) for one in doubts(load_vehicle(path))] == []


@pytest.mark.parametrize("minimal", [True, False])
def test_the_templates_are_not_asked_about(minimal):
    assert doubts(read_vehicle(template(minimal=minimal), "template.toml")) == ()


# File, what is typed in place of what, the key that is asked about, and what is said to be meant.
SLIPS = [
    # masses of a brochure in pounds, typed as kilograms; and the other way round
    (BROCHURE, '"1640 kg"', '"3616 kg"', "mass.total", "3616 lb"),
    (PIKE, '"4020 lb ± 20 lb"', '"1823 lb ± 20 lb"', "mass.total", "1823 kg"),
    # a track that differs by a metre, or is half of one
    (VAN, 'track = "1590 mm ± 3 mm"', 'track = "1090 mm ± 3 mm"', "rear.track", ""),
    (BROCHURE, 'track = "1575 mm"', 'track = "1275 mm"', "rear.track", ""),
    # spring spacing wider than the track, unsprung more than is likely
    (PIKE, 'wheel_rate = "155 lb/in ± 4 %"\nspacing = "36 in"', 'wheel_rate = "155 lb/in"\nspacing = "63 in"', "rear.spring.spacing", "31.5 in"),  # noqa: E501
    (PIKE, '"530 lb ± 40 lb"', '"530 kg ± 40 kg"', "front.unsprung_mass", "530 lb"),
    (WAGON, '"135 kg ± 15 kg"', '"620 kg ± 15 kg"', "front.unsprung_mass", ""),
    # a motion ratio the other way round
    (WAGON, '"0.61 ± 0.02"', '"1.64 ± 0.02"', "front.spring.spring_travel_over_wheel_travel", "0.61, the other way round"),  # noqa: E501
    # pounds an inch typed as newtons a millimetre, and back
    (PIKE, '"160 lb/in ± 4 %"', '"160 N/mm ± 4 %"', "front.spring.wheel_rate", "160 lb/in"),
    (WAGON, '"31 N/mm ± 4 %"', '"31 lb/in ± 4 %"', "rear.spring.wheel_rate", "31 N/mm"),
    # inches typed as millimetres
    (PIKE, '"4 in ± 1/8 in"', '"4 mm ± 1/8 mm"', "front.travel.bump", "4 in"),
    (PIKE, 'arch_gap = "8 1/2 in"', 'arch_gap = "8.5 mm"', "front.arch_gap", "8.5 in"),
    # tyres: a slip in the code, a diameter that is not the size's
    (WAGON, 'size = "265/70R17"', 'size = "265/07R17"', "tyre.size", ""),
    (PIKE, '"34 3/8 in ± 1/8 in"', '"32 3/8 in ± 1/8 in"', "tyre.diameter", ""),
    (WAGON, 'pressure = "33 psi ± 1 psi"', 'pressure = "33 kPa ± 1 kPa"', "tyre.pressure", "33 psi"),
    (WAGON, 'pressure = "33 psi ± 1 psi"', 'pressure = "2.3 bar"\nvertical_stiffness = "45 N/mm"', "tyre.vertical_stiffness", "450 N/mm"),  # noqa: E501
    # springs too stiff for what they carry
    (VAN, '"1.3 to 1.5 Hz"', '"3.9 Hz"', "front.spring.ride_frequency", ""),
    # a place along the vehicle in metres, typed in a smaller unit
    (WAGON, 'behind_front_axle = "1.2 m"', 'behind_front_axle = "1.2 in"', "body_point.left step.behind_front_axle", "1.2 m"),  # noqa: E501
    (PICKUP, 'behind_front_axle = "2.75 m', 'behind_front_axle = "2.75 mm', "load.rope, winch and generator.behind_front_axle", "2.75 m"),  # noqa: E501
    # centre of gravity, its side, its stability factor
    (VAN, '"830 mm ± 30 mm"', '"1.9 m ± 30 mm"', "mass.centre_of_gravity_height", ""),
    (WAGON, 'value = "735 mm", plus_minus', 'value = "73.5 cm", plus_minus', "", ""),
    (WAGON, 'value = "735 mm", plus_minus', 'value = "375 mm", plus_minus', "mass.centre_of_gravity_height", ""),
    (WAGON, '"-4 mm ± 10 mm"', '"-0.14 m ± 10 mm"', "mass.left_of_centre", ""),
    (PICKUP, "value = 1.13, range = [1.08, 1.18]", "value = 1.73, range = [1.68, 1.78]", "mass.static_stability_factor", ""),  # noqa: E501
    # a tolerance as large as the value
    (PICKUP, '"1135 kg ± 10 kg"', '"1135 kg ± 1000 kg"', "mass.front_axle", ""),
    (WAGON, '"2850 mm ± 3 mm"', '"2850 mm ± 300 mm"', "wheelbase", ""),
    # places of the point
    (WAGON, '"34 deg ± 1 deg"', '"3.4 deg ± 1 deg"', "front.lock_angle", "34 deg"),
    (WAGON, '"88 kg ± 3 kg"', '"880 kg ± 3 kg"', "load.driver.mass", "88 kg"),
    (WAGON, 'diameter = "27 mm"', 'diameter = "12 mm"', "front.anti_roll_bar.diameter", "24 mm"),
    (WAGON, '"22 N/mm ± 10 %"', '"220 N/mm ± 10 %"', "rear.anti_roll_bar.end_rate", "220 lb/in"),
    (PICKUP, '"390 N m/deg ± 10 %"', '"390 N m/rad ± 10 %"', "front.anti_roll_bar.roll_stiffness", "390 N m/deg"),
    (WAGON, 'range = ["6 kN m/deg", "12 kN m/deg"]', 'range = ["60 kN m/deg", "120 kN m/deg"]', "frame.torsional_rate", "9 kN m/deg"),  # noqa: E501
    (WAGON, '"35 to 80 N/mm"', '"350 to 800 N/mm"', "rear.bump_stop.rate", ""),
    (VAN, '"900 N m/deg ± 15 %"', '"90 N m/deg ± 15 %"', "cross_link.roll_stiffness", "900 N m/deg"),
    # wheelbase and front share
    (WAGON, 'wheelbase = "2850 mm ± 3 mm"', 'wheelbase = "3850 mm ± 3 mm"', "wheelbase", ""),
    (VAN, '"54 % ± 1 %"', '"34 % ± 1 %"', "mass.front_share", ""),
    (PICKUP, '"1135 kg ± 10 kg"', '"1135 lb ± 10 lb"', "mass.front_axle", "1135 kg"),
    # bodywork and loads against their names
    (WAGON, 'behind_front_axle = "3.79 m"', 'behind_front_axle = "0.379 m"', "body_point.rear bumper, lower left corner.behind_front_axle", "3.79 m"),  # noqa: E501
    (WAGON, 'left_of_centre = "790 mm"', 'left_of_centre = "-790 mm"', "body_point.left step.left_of_centre", "790 mm"),
    (WAGON, 'distance = "545 mm ± 3 mm"', 'distance = "245 mm ± 3 mm"', "front.wheelhouse.arch lip, top.distance", ""),
    (PICKUP, '"2.75 m"', '"2.75 ft"', "", ""),
]  # fmt: skip


@pytest.mark.parametrize(("path", "right", "wrong", "key", "meant"), SLIPS, ids=lambda value: str(value)[:24])
def test_a_slip_is_asked_about_with_what_was_meant(path, right, wrong, key, meant):
    text = path.read_text(encoding="utf-8")
    assert right in text
    asked = doubts(read_vehicle(text.replace(right, wrong, 1), "slip.toml"))
    if not key:  # the same vehicle, or another good one
        assert asked == ()
        return
    found = {one.key: one for one in asked}
    assert key in found, [str(one) for one in asked]
    assert meant in found[key].meant
    line = text.replace(right, wrong, 1).split("\n")[found[key].line - 1]
    assert key.rpartition(".")[2] in line
    for one in asked:
        assert one.known
        assert one.usual
        assert str(one).startswith(f"slip.toml:{one.line}: {one.key}: ")


def test_a_load_heavier_than_its_axle_is_refused_still():
    text = WAGON.read_text(encoding="utf-8").replace('"135 kg ± 15 kg"', '"1350 kg ± 15 kg"')
    with pytest.raises(SpecError, match="no sprung mass"):
        read_vehicle(text, "slip.toml")


def test_what_is_assumed_is_never_asked_about():
    # With nothing but what a brochure says, only what it says can be a slip.
    text = BROCHURE.read_text(encoding="utf-8").replace('"1640 kg"', '"3616 kg"')
    assert {one.key for one in doubts(read_vehicle(text, "b.toml"))} == {"mass.total"}


def test_a_setting_is_asked_about_where_it_was_typed():
    spec = with_settings(load_vehicle(WAGON), [("front.lock_angle", "3.4 deg")])
    (one,) = doubts(spec)
    assert str(one).startswith("--set front.lock_angle=3.4 deg: ")


def test_four_in_five_single_slips_are_seen(monkeypatch):
    monkeypatch.syspath_prepend("scripts")
    sweep = runpy.run_path("scripts/slips", run_name="sweep")
    slips = sweep["slips_of"](BROCHURE) + sweep["slips_of"](PIKE)[::9]
    fates = [sweep["outcome"](text, "slip.toml")[0] for _, _, _, text in slips]
    assert len(fates) > 50
    assert fates.count("silent") <= 0.25 * len(fates)


@pytest.fixture
def slip(tmp_path):
    path = tmp_path / "slip.toml"
    path.write_text(WAGON.read_text(encoding="utf-8").replace('"34 deg ± 1 deg"', '"3.4 deg ± 1 deg"'))
    return path


def test_check_and_predict_ask_and_strict_stops(slip):
    run = CliRunner()
    for command in ("check", "predict"):
        asked = run.invoke(app, [command, str(slip)])
        assert asked.exit_code == 0, asked.output
        words = " ".join(asked.stdout.split())
        assert "front.lock_angle: 3.4 deg (2.4 to 4.4), usual 24 to 48 deg" in words
        assert "perhaps 34 deg" in words
        assert all(len(row) <= 80 or str(slip) in row for row in asked.stdout.splitlines())
        stopped = run.invoke(app, [command, str(slip), "--strict"])
        assert stopped.exit_code == 2
        assert "front.lock_angle" in stopped.stderr
        assert stopped.stdout == ""
        data = json.loads(run.invoke(app, [command, str(slip), "--json"]).stdout)
        (one,) = data["asked_about"]
        assert one["key"] == "front.lock_angle"
        assert one["meant"] == "perhaps 34 deg"
        assert run.invoke(app, [command, str(WAGON), "--strict"]).exit_code == 0
    assert "fine" in run.invoke(app, ["check", str(WAGON)]).stdout


def test_the_test_day_sheet_asks_too(slip):
    page = CliRunner().invoke(app, ["test-day", str(slip), "--output", "-", "--samples", "64"])
    assert page.exit_code == 0, page.output
    assert "Asked about: front.lock_angle" in page.stdout
