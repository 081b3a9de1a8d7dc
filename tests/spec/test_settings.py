"""What-if settings go through the same reader as the file, and other forms of the same thing give way."""

from pathlib import Path

import numpy as np
import pytest

from articulate.spec import (
    SpecError,
    build,
    load_vehicle,
    read_vehicle,
    template,
    with_setting,
    with_settings,
)
from articulate.spec.key_lookup import all_keys, dimension_of
from articulate.spec.quantities import unit_size


@pytest.fixture
def wagon(demo_files):
    return load_vehicle(next(file for file in demo_files if file.name == "wagon.toml"))


@pytest.fixture
def small():
    return read_vehicle(template(minimal=True), "minimal.toml")


def fault_of(spec, key, value):
    with pytest.raises(SpecError) as caught:
        with_setting(spec, key, value)
    assert len(caught.value.faults) == 1, str(caught.value)
    return caught.value.faults[0]


def test_a_setting_replaces_a_value_and_says_where_it_comes_from(wagon):
    other = with_setting(wagon, "front.travel.bump", "60 mm")
    assert other.inputs["front.travel.bump"].value == pytest.approx(0.060)
    assert other.inputs["front.travel.bump"].basis == '"60 mm", --set front.travel.bump=60 mm'
    assert wagon.inputs["front.travel.bump"].value == pytest.approx(0.082)
    assert build(other).bump_gap[0, 0] == pytest.approx(0.060)
    assert build(other).droop_gap[0, 0] == build(wagon).droop_gap[0, 0]


@pytest.mark.parametrize(
    ("key", "value", "why", "works"),
    [
        ("front.travel.bmp", "80 mm", "no such key", "front.travel.bump"),
        ("front_track", "1.6 m", "no such key", "front.track"),
        ("sprung_mass", "1800 kg", "no such key", "masses are weighed whole"),
        ("front.sway_bar.rate", "20 N/mm", "no such key", "anti-roll bars stand under"),
        ("anti_roll_bar.wheel_rate", "20 N/mm", "no such key", "front.anti_roll_bar.wheel_rate or rear.anti_roll_bar."),
        ("bananas", "3", "no such key", "template"),
        ("front.travel.bump", "80", "no unit", "80 mm"),
        ("front.travel.bump", "80 kg", "unit of a mass", "mm"),
        ("front.travel.bump", "{ value =", "not an inline table", "plus_minus"),
        ("front.track", "5 m", "outside 700 to 2600 mm", "1580 mm"),
        ("front.suspension", "solit", "not one of the choices", '"solid"'),
        ("front.anti_roll_bar.releasable", "yes", "neither true nor false", "true"),
        ("load.passenger.mass", "80 kg", "no such load", "driver"),
        ("load[7].mass", "80 kg", "no such load", "driver"),
        ("load.driver.weight", "80 kg", "no such key", "load.height"),
        ("load", "80 kg", "is a list", "load[1]"),
    ],
)
def test_faults_of_a_setting_are_placed_at_the_setting(wagon, key, value, why, works):
    fault = fault_of(wagon, key, value)
    assert (fault.place, fault.line) == (f"--set {key}={value}", None)
    assert why in fault.why
    assert works in fault.works
    assert str(fault).startswith(f"--set {key}={value}: ")


def test_another_form_of_the_spring_gives_way_with_a_remark(wagon):
    other = with_setting(wagon, "rear.spring.ride_frequency", "1.2 Hz")
    assert "rear.spring.wheel_rate" not in other.inputs
    assert any("rear.spring.wheel_rate" in remark and "31 N/mm" in remark for remark in other.remarks)
    assert build(other).spring_rate[0, 1] != build(wagon).spring_rate[0, 1]
    assert other.inputs["rear.spring.spacing"] == wagon.inputs["rear.spring.spacing"]


def test_a_spring_rate_keeps_its_motion_ratio(wagon):
    other = with_setting(wagon, "front.spring.rate", "90 N/mm")
    assert build(other).spring_rate[0, 0] == pytest.approx(90e3 * 0.61**2)
    back = with_setting(other, "front.spring.wheel_travel_over_spring_travel", "2")
    assert build(back).spring_rate[0, 0] == pytest.approx(90e3 / 4)
    assert "front.spring.spring_travel_over_wheel_travel" not in back.inputs


def test_bar_by_its_dimensions_gives_way_to_a_roll_stiffness(wagon):
    other = with_setting(wagon, "front.anti_roll_bar.roll_stiffness", "300 N m/deg")
    assert build(other).bar_rate[0, 0] == pytest.approx(300 * np.degrees(1) / 1.585**2)
    assert other.axles[0].bar_releasable  # stays as it was
    assert not any(key.startswith("front.anti_roll_bar.") and "roll_stiffness" not in key for key in other.inputs)


def test_a_bar_can_be_taken_out_and_put_in(wagon, small):
    without = with_setting(wagon, "front.anti_roll_bar", "false")
    assert build(without).bar_rate[0, 0] == 0.0
    put_in = with_setting(small, "rear.anti_roll_bar.end_rate", "30 N/mm")
    assert put_in.axles[1].bar_fitted
    assert build(put_in).bar_rate[0, 1] > 0.0
    loose = with_setting(small, "front.anti_roll_bar.releasable", "true")
    assert build(loose).bar_releasable[0].tolist() == [True, False]
    assert build(loose).bar_rate[0, 0] == build(small).bar_rate[0, 0]


def test_total_mass_keeps_the_share(wagon):
    other = with_setting(wagon, "mass.total", "2500 kg")
    loads = build(other).reference_axle_load()[0] / 9.80665
    assert loads.sum() == pytest.approx(2500)
    assert loads[0] / loads.sum() == pytest.approx(1165 / 2290, abs=1e-6)


def test_an_axle_load_keeps_the_other_axle(small):
    before = build(small).reference_axle_load()[0]
    after = build(with_setting(small, "mass.front_axle", "1000 kg")).reference_axle_load()[0]
    assert after == pytest.approx([1000 * 9.80665, before[1]])


def test_bump_keeps_droop_where_only_the_total_was_given(small):
    taped = with_setting(small, "front.travel.counted", "to first touch")
    other = with_setting(taped, "front.travel.bump", "60 mm")
    v, w = build(taped), build(other)
    assert w.bump_gap[0, 0] == pytest.approx(0.060)
    assert w.droop_gap[0, 0] == pytest.approx(v.droop_gap[0, 0])
    assert any("front.travel.droop is kept at 110 mm" in remark for remark in other.remarks)
    longer = with_setting(small, "front.travel.total", "260 mm")
    assert longer.inputs["front.travel.bump_share"].source == "assumed"
    full = with_setting(small, "front.travel.bump", "95 mm")  # counts as the file says, to full bump
    assert full.axles[0].to_full_bump
    assert build(full).bump_gap[0, 0] < 0.06


def test_a_total_set_on_a_taped_file_still_counts_to_first_touch(wagon):
    other = with_setting(wagon, "front.travel.total", "200 mm")
    assert not other.axles[0].to_full_bump
    share = 82 / (82 + 92)
    assert build(other).bump_gap[0, 0] == pytest.approx(0.200 * share)
    assert any("still counts to first touch" in remark for remark in other.remarks)


def test_a_bump_set_where_nobody_said_how_travel_counts_is_a_gap(edited):
    silent = edited(('travel.counted = "to full bump"', ""))
    gap, droop = build(silent).bump_gap[0, 0], build(silent).droop_gap[0, 0]
    other = with_setting(silent, "front.travel.bump", "60 mm")
    assert build(other).bump_gap[0, 0] == pytest.approx(0.060)
    assert build(other).droop_gap[0, 0] == pytest.approx(droop)
    hung = build(with_setting(silent, "front.travel.droop", "120 mm"))
    assert hung.bump_gap[0, 0] == pytest.approx(gap)  # the bump of the brochure is kept, to full bump


def test_an_axle_becomes_a_twist_beam_and_back(wagon):
    beam = with_setting(wagon, "rear.suspension", "twist beam")
    assert beam.axles[1].suspension == "twist beam"
    assert not beam.axles[1].bar_fitted
    assert build(beam).bar_rate[0, 1] == 0.0
    assert any("rear.anti_roll_bar" in remark for remark in beam.remarks)
    placed = with_settings(
        beam,
        [
            ("rear.twist_beam.bush_spacing", "1.1 m"),
            ("rear.twist_beam.bush_to_hub", "430 mm"),
            ("rear.twist_beam.bush_to_beam", "430 mm"),
        ],
    )
    # A beam at the hubs turns as a solid axle does, about the middle of the track.
    assert build(placed).swing_arm[0, 1] == pytest.approx(0.5 * build(placed).track[0, 1])


def test_another_tyre_raises_the_body(wagon):
    other = with_setting(wagon, "tyre.size", "285/75R17")
    v, w = build(wagon), build(other)
    assert (w.sprung_centre - v.sprung_centre)[0, 2] == pytest.approx((w.tyre_radius - v.tyre_radius)[0, 0], abs=2e-3)
    assert any('measured on "265/70R17"' in remark for remark in other.remarks)
    again = with_setting(other, "tyre.size", "265/70R17")
    assert build(again).sprung_centre == pytest.approx(v.sprung_centre)
    front = with_setting(wagon, "front.tyre.diameter", "860 mm")
    assert build(front).tyre_radius[0] == pytest.approx([0.430, 0.4014])


def test_an_axle_can_change_its_kind(wagon):
    other = with_setting(wagon, "rear.suspension", "independent")
    assert not build(other).solid[0, 1]
    assert any("rear.spring.spacing" in remark for remark in other.remarks)


def test_a_load_by_name_or_number(wagon):
    for key in ("load.driver.mass", "load[1].mass"):
        assert build(with_setting(wagon, key, "0 kg")).load_mass[0] == 0.0
    moved = with_setting(wagon, "body_point.left step.height", "450 mm")
    assert moved.inputs["body_point.left step.height"].value == pytest.approx(0.45)


def test_a_value_may_be_an_inline_table(small):
    other = with_setting(small, "tyre.pressure", '{ value = "1.2 bar", plus_minus = "0.1 bar", source = "measured" }')
    estimate = other.inputs["tyre.pressure"]
    assert (estimate.value, estimate.low, estimate.source) == (
        pytest.approx(1.2e5),
        pytest.approx(1.1e5),
        "measured",
    )
    assert build(other).spring_rate == pytest.approx(build(small).spring_rate)  # a tyre does not change the springs


def test_several_settings_are_resolved_together(small):
    other = with_settings(
        small,
        [("front.spring.rate", "100 N/mm"), ("front.spring.spring_travel_over_wheel_travel", "0.6")],
    )
    assert build(other).spring_rate[0, 0] == pytest.approx(36e3)
    with pytest.raises(SpecError) as caught:
        with_settings(small, [("bananas", "3"), ("apples", "4")])
    assert len(caught.value.faults) == 2


def test_a_nominal_value_set_to_itself_changes_nothing(demo_files):
    for file in demo_files:
        spec = load_vehicle(file)
        reference = build(spec)
        for key, estimate in spec.inputs.items():
            if estimate.source != "assumed":
                continue
            number = estimate.value / estimate.unit_size
            same = build(with_setting(spec, key, f"{number!r} {estimate.unit}"))
            assert same.spring_rate == pytest.approx(reference.spring_rate, rel=1e-9), key
            assert same.sprung_centre == pytest.approx(reference.sprung_centre, rel=1e-9), key
            assert same.bar_rate == pytest.approx(reference.bar_rate, rel=1e-9), key
            assert same.bump_gap == pytest.approx(reference.bump_gap, rel=1e-9), key


def test_every_key_can_be_set_or_is_refused_with_a_way_out(small):
    without = []
    for key in all_keys():
        for value in ("5 mm", "true", "0.5"):
            try:
                with_setting(small, key, value)
            except SpecError as error:
                without += [fault for fault in error.faults if not fault.works]
    assert without == []


def test_every_input_of_a_file_has_a_dimension_that_fits_its_unit():
    for path in sorted(Path("vehicle_specs_demo").glob("*.toml")):
        for key, estimate in load_vehicle(path).inputs.items():
            dimension = dimension_of(key)
            if key.endswith(("heights_measured_on", ".clock")):  # a size code or a diameter; a time of the clock
                continue
            assert dimension is not None, key
            if estimate.unit:
                assert unit_size(estimate.unit, dimension) == pytest.approx(estimate.unit_size), key
    assert dimension_of("name") is None
    assert dimension_of("rear.travel.bmp") is None
