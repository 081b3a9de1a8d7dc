"""Bars by their rate at the wheels, and bars linked across the vehicle of which no rate is known."""

import json

import numpy as np
import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.spec import build, template, with_setting
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.studies.population.sampling import quantile, unit_points

BAR = "anti_roll_bar = true"
NO_BAR = "anti_roll_bar = false"
FRONT = "[front]\n"
PER_DEGREE = np.degrees(1.0)


def roll_stiffness(spec: VehicleSpec, axle: int) -> float:
    """Of the bar alone [N m/deg]."""
    v = build(spec)
    return float(v.bar_rate[0, axle] * v.track[0, axle] ** 2 / PER_DEGREE)


@pytest.mark.parametrize(("before", "axle"), [(BAR, 0), (NO_BAR, 1)])
def test_rate_at_the_wheels_is_force_over_left_minus_right_travel(edited, before, axle):
    # One wheel 100 mm up, the other held: 12 N/mm x 100 mm at each wheel. The body rolled by a against its axle moves
    # the wheels by t a apart: couple k_b (t a) t, so k_b t^2; derived, MODEL section 3.
    spec = edited((before, 'anti_roll_bar.wheel_rate = "12 N/mm"'))
    assert build(spec).bar_rate[0, axle] == pytest.approx(12e3)
    assert roll_stiffness(spec, axle) == pytest.approx(12e3 * 1.58**2 * np.radians(1.0), rel=1e-12)
    by_couple = edited((before, f'anti_roll_bar.roll_stiffness = "{12e3 * 1.58**2!r} N m/rad"'))
    assert build(by_couple).bar_rate[0, axle] == pytest.approx(12e3, rel=1e-12)


def test_a_setting_of_the_rate_at_the_wheels_sends_the_other_forms_away(edited):
    spec = edited((BAR, 'anti_roll_bar.end_rate = "30 N/mm"\nanti_roll_bar.end_travel_over_wheel_travel = 0.6'))
    other = with_setting(spec, "front.anti_roll_bar.wheel_rate", "12 N/mm")
    assert build(other).bar_rate[0, 0] == pytest.approx(12e3)
    for gone in ("end_rate", "end_travel_over_wheel_travel"):
        assert any(remark.startswith(f"front.anti_roll_bar.{gone} ") for remark in other.remarks)
    back = with_setting(other, "front.anti_roll_bar.roll_stiffness", "400 N m/deg")
    assert "front.anti_roll_bar.wheel_rate" not in back.inputs


@pytest.mark.parametrize("link", ["cross_link = true\n[front]\n", "[cross_link]\n[front]\n"])
def test_a_cross_link_without_a_rate_is_assumed_from_the_springs(edited, link):
    spec = edited((FRONT, link), (BAR, NO_BAR))
    estimate = spec.inputs["cross_link.over_spring_roll_stiffness"]
    assert estimate.source == "assumed"
    assert estimate.high / estimate.low > 5.0  # nobody has published one
    assert "no source" in estimate.basis
    v = build(spec)
    base = np.where(v.solid, 2.0 * v.spring_half_base, v.track)
    springs = (0.5 * v.spring_rate * base**2).sum()
    assert v.cross_link_rate[0] * v.track.sum() ** 2 == pytest.approx(estimate.value * springs, rel=1e-12)


def test_an_assumed_cross_link_holds_the_body_as_vehicles_do(edited):
    # 3 to 8 deg/g, a class "very soft" to "extremely firm" of cars (Milliken and Milliken 1995,
    # ch. 16, value from memory).
    # Roll axis: line of the two roll centres at half wheelbase; tyres rigid.
    v = build(edited((FRONT, f"cross_link = true\n{FRONT}"), (BAR, NO_BAR)))
    base = np.where(v.solid, 2 * v.spring_half_base, v.track)
    stiffness = (0.5 * v.spring_rate * base**2).sum() + v.cross_link_rate[0] * v.track.sum() ** 2
    pivot = v.reference_hub_height() + v.pivot_height
    centre = np.where(v.solid, pivot, 0.5 * v.track * pivot / v.swing_arm)
    couple = v.sprung_mass[0] * 9.80665 * (v.sprung_centre[0, 2] - centre.mean())
    assert 3.0 < np.degrees(couple / (stiffness - couple)) < 8.5


def test_a_cross_link_can_be_set_and_taken_away(edited):
    plain = edited()
    linked = with_setting(plain, "cross_link", "true")
    assert build(linked).cross_link_rate[0] > 0.0
    rated = with_setting(linked, "cross_link.wheel_rate", "3 N/mm")
    assert build(rated).cross_link_rate[0] == pytest.approx(3e3)
    assert "cross_link.over_spring_roll_stiffness" not in rated.inputs
    assert build(with_setting(rated, "cross_link", "false")).cross_link_rate[0] == 0.0


def test_a_cross_link_said_not_to_be_there_is_not_there(edited):
    spec = edited((FRONT, f"cross_link = false\n{FRONT}"))
    assert build(spec).cross_link_rate[0] == 0.0
    assert not any(key.startswith("cross_link") for key in spec.inputs)


# --- a bar nobody has looked for ---------------------------------------------------------------------------------


def test_an_unknown_bar_is_drawn_both_ways_with_its_chance(edited):
    spec = edited((NO_BAR, 'anti_roll_bar = { fitted = "unknown", chance = "40 %" }'))
    key = "rear.anti_roll_bar.over_spring_roll_stiffness"
    fitted = edited((NO_BAR, BAR)).inputs[key]
    drawn = quantile(spec.inputs[key], unit_points(4096, 1)[:, 0])
    assert (drawn == 0.0).mean() == pytest.approx(0.6, abs=1e-3)
    some = drawn[drawn > 0.0]
    assert some.min() >= fitted.low
    assert some.mean() == pytest.approx((fitted.low + fitted.value + fitted.high) / 3.0, rel=5e-3)
    # The deviation stated is that of what is drawn, also with a nominal value of nothing.
    assert spec.inputs[key].standard_uncertainty == pytest.approx(drawn.std(), rel=5e-3)
    rates = build(spec, {key: drawn}).bar_rate[:, 1]
    assert ((rates == 0.0) == (drawn == 0.0)).all()
    share = np.linspace(1e-6, 1.0 - 1e-6, 999)
    assert (np.diff(quantile(spec.inputs[key], share)) >= 0.0).all()  # one direction, so that ties and learning work


@pytest.mark.parametrize(("chance", "there"), [("40 %", False), ("50 %", True), ("80 %", True)])
def test_the_nominal_vehicle_is_the_likelier_one(edited, chance, there):
    spec = edited((NO_BAR, f'anti_roll_bar = {{ fitted = "unknown", chance = "{chance}" }}'))
    same = edited((NO_BAR, BAR if there else NO_BAR))
    assert build(spec).bar_rate == pytest.approx(build(same).bar_rate)
    said = next(remark for remark in spec.remarks if remark.startswith("rear.anti_roll_bar: "))
    assert chance in said
    assert ("nominal vehicle is with one" in said) == there


@pytest.mark.parametrize(
    ("axle", "before", "suspension", "kind", "low", "high"),
    [
        # Whether off-road vehicles and pickups have bars; common practice, no source.
        ("front", BAR, "independent", "coil", 0.9, 1.0),
        ("front", BAR, "solid", "leaf", 0.9, 1.0),
        ("rear", NO_BAR, "solid", "leaf", 0.1, 0.45),
        ("rear", NO_BAR, "solid", "coil", 0.55, 0.85),
        ("rear", NO_BAR, "independent", "coil", 0.7, 0.95),
    ],
)
def test_the_chance_follows_axle_and_springs(edited, axle, before, suspension, kind, low, high):
    was = "independent" if axle == "front" else "solid"
    spec = edited(
        (f'suspension = "{was}"\ntrack', f'suspension = "{suspension}"\nspring.kind = "{kind}"\ntrack')
        if axle == "rear"
        else (f'suspension = "{was}"', f'suspension = "{suspension}"\nspring.kind = "{kind}"'),
        (before, 'anti_roll_bar = "unknown"'),
    )
    estimate = spec.inputs[f"{axle}.anti_roll_bar.over_spring_roll_stiffness"]
    assert low <= estimate.chance <= high
    assert "no source" in estimate.basis
    assert estimate.text.endswith(", or none")
    choices = spec.axles[("front", "rear").index(axle)]
    assert (choices.bar_fitted, choices.bar_unknown, choices.bar_releasable) == (True, True, False)


@pytest.mark.parametrize("form", ["roll_stiffness = '400 N m/deg'", "wheel_rate = '9 N/mm'"])
def test_an_unknown_bar_may_have_a_rate_if_it_is_there(edited, form):
    spec = edited((NO_BAR, f"anti_roll_bar = {{ fitted = 'unknown', chance = '70 %', {form} }}"))
    key = f"rear.anti_roll_bar.{form.split()[0]}"
    drawn = quantile(spec.inputs[key], unit_points(512, 1)[:, 0])
    assert np.unique(drawn).size == 2
    assert (drawn == 0.0).mean() == pytest.approx(0.3, abs=0.01)
    assert "rear.anti_roll_bar.over_spring_roll_stiffness" not in spec.inputs


def test_settings_of_an_unknown_bar(edited):
    known = edited((BAR, 'anti_roll_bar.end_rate = "30 N/mm"\nanti_roll_bar.releasable = true'))
    for key, value in (("", "unknown"), (".fitted", "unknown"), (".chance", "60 %")):
        unknown = with_setting(known, f"front.anti_roll_bar{key}", value)
        assert unknown.axles[0].bar_unknown, key
        assert any(remark.startswith("front.anti_roll_bar.end_rate ") for remark in unknown.remarks), key
        assert "front.anti_roll_bar.over_spring_roll_stiffness" in unknown.inputs
    assert unknown.inputs["front.anti_roll_bar.over_spring_roll_stiffness"].chance == pytest.approx(0.6)
    for key, value in (("", "true"), (".fitted", "true"), (".wheel_rate", "9 N/mm")):
        again = with_setting(unknown, f"front.anti_roll_bar{key}", value)
        assert not again.axles[0].bar_unknown, key
        assert build(again).bar_rate[0, 0] > 0.0
        assert all(estimate.chance == 1.0 for estimate in again.inputs.values()), key
    without = with_setting(unknown, "front.anti_roll_bar", "false")
    assert build(without).bar_rate[0, 0] == 0.0


def test_a_prediction_says_that_there_may_be_no_bar(tmp_path):
    path = tmp_path / "unknown.toml"
    path.write_text(template(minimal=True).replace("anti_roll_bar = false", 'anti_roll_bar = "unknown"'), "utf-8")
    run = CliRunner().invoke
    said = run(app, ["predict", str(path), "--full"]).stdout
    key = "rear.anti_roll_bar.over_spring_roll_stiffness"
    assert any(line.split()[0] == key and line.endswith(", or none") for line in said.splitlines() if key in line)
    assert "rear.anti_roll_bar: whether there is one is not known (chance 70 %, assumed)" in " ".join(said.split())
    assert max(len(line) for line in said.splitlines() if str(path) not in line) <= 80
    data = json.loads(run(app, ["predict", str(path), "--json"]).stdout)
    assert data["inputs"][key]["chance"] == pytest.approx(0.7)
    assert data["inputs"]["front.anti_roll_bar.over_spring_roll_stiffness"]["chance"] == 1.0
