"""Keys of tyres and wheelhouse: what they mean to the build, and what is said of nonsense."""

import numpy as np
import pytest

from articulate.spec import Swept, build, build_bodywork, build_whole, load_vehicle, with_setting, with_settings
from articulate.spec.errors import QuantityError
from articulate.spec.tyres import loaded_radius, read_tyre_size, tyre_mass

POINT = """
[[front.wheelhouse]]
name = "liner"
clock = "12"
distance = "520 mm"
inboard = "30 mm"

"""


@pytest.fixture
def wagon(demo_files):
    return load_vehicle(next(file for file in demo_files if file.name == "wagon.toml"))


@pytest.mark.parametrize(
    ("code", "kind", "load_range", "service"),
    [
        ("LT285/70R17 121/118S E", "light truck", "E", "121/118S"),
        ("LT285/70R17/E", "light truck", "E", ""),
        ("35X12.50R17LT/E", "light truck", "E", ""),
        ("35x12.50R17 E 121Q", "", "E", "121Q"),
        ("285/70R17 10PR", "", "E", ""),
        ("265/70R17 load range D", "", "D", ""),
        ("265/70R17 115T XL", "", "XL", "115T"),
        ("P265/70R17 113S", "passenger", "", "113S"),
        ("205R16C", "commercial", "", ""),
        ("LT235/75R15 C", "light truck", "C", ""),
        ("265/70R17", "", "", ""),
    ],
)
def test_load_range_and_service_are_read_and_change_no_measure(code, kind, load_range, service):
    size = read_tyre_size(code)
    assert (size.kind, size.load_range, size.service) == (kind, load_range, service)
    bare = read_tyre_size(size.name)
    assert (bare.diameter, bare.width) == pytest.approx((size.diameter, size.width))


@pytest.mark.parametrize("code", ["265/70R17 Z", "265/70R17 banana", "265/70R17 115", "35x12.50R17 E F5 G9 ??"])
def test_words_behind_a_size_that_mean_nothing_are_refused(code):
    with pytest.raises(QuantityError, match="behind the size"):
        read_tyre_size(code)


def test_section_height_is_what_the_aspect_says():
    size = read_tyre_size("265/70R17")
    assert size.section_height == pytest.approx(0.7 * 0.265)
    assert read_tyre_size("35x12.50R17").section_height == pytest.approx(9 * 0.0254)


def test_mass_of_tyres_in_the_range_of_the_trade():
    """Road tyres of 205/60R15 about 9 kg, light-truck 35x12.50R17 about 31 kg; values from memory."""
    for code, areal, low, high in (("205/60R15", 13.5, 8.0, 12.0), ("35x12.50R17LT/E", 17.0, 26.0, 36.0)):
        size = read_tyre_size(code)
        assert low < tyre_mass(size.diameter, size.width, size.rim_diameter, areal) < high


def test_loaded_radius_and_a_tyre_pressed_flat():
    assert loaded_radius(0.8, 6e3, 3e5) == pytest.approx(0.38)
    assert np.isnan(loaded_radius(0.8, 6e3, 1e4))


@pytest.mark.parametrize(("text", "degrees"), [("12", 0), ("3", 90), ("10:30", -45), ("1 o'clock", 30), ("6", 180)])
def test_clock_positions_are_angles_forward_of_the_top(edited, text, degrees):
    spec = edited(("[rear]\n", POINT.replace('"12"', f'"{text}"') + "[rear]\n"))
    assert spec.inputs["front.wheelhouse.liner.clock"].value == pytest.approx(np.radians(degrees))


@pytest.mark.parametrize("text", ["13", "0", "12:60", "noon", "45 deg", ""])
def test_what_is_no_clock_position_is_refused_with_its_line(faults_of, text):
    (fault,) = faults_of(("[rear]\n", POINT.replace('"12"', f'"{text}"') + "[rear]\n"))
    assert fault.key == "front.wheelhouse[1].clock"
    assert "clock position" in fault.why
    assert fault.line is not None


def test_two_points_of_one_name_and_an_unknown_key_are_faults(faults_of):
    (fault,) = faults_of(("[rear]\n", POINT + POINT + "[rear]\n"))
    assert (fault.key, fault.why) == ("front.wheelhouse[2].name", "the name is taken")
    faults = faults_of(("[rear]\n", POINT.replace("inboard", "inbord") + "[rear]\n"))
    assert {fault.key for fault in faults} == {"front.wheelhouse[1].inbord", "front.wheelhouse[1].inboard"}
    assert all("inboard" in fault.works for fault in faults)


def test_spacers_need_arches_to_keep_clear_of(faults_of):
    (fault,) = faults_of(("[front]\n", '[front]\nbump_stop.spacer = "to keep clear"\n'))
    assert fault.key == "front.bump_stop.spacer"
    assert "arch_gap" in fault.works


def test_points_bring_their_assumptions_and_are_set_by_name(edited):
    spec = edited(("[rear]\n", POINT + "[rear]\n"))
    for key in ("front.lock_angle", "front.steering_offset", "tyre.shoulder_over_width", "front.clearance_kept"):
        assert spec.inputs[key].source == "assumed"
    higher = with_setting(spec, "front.wheelhouse.liner.distance", "540 mm")
    for key in ("front.wheelhouse.liner.distance", "front.wheelhouse[1].distance"):
        assert with_setting(spec, key, "540 mm").inputs["front.wheelhouse.liner.distance"].value == 0.54
    gap, more = build_bodywork(spec).arch_gap[0, 0], build_bodywork(higher).arch_gap[0, 0]
    assert 0.018 < more - gap < 0.021  # nearly straight above
    assert gap == pytest.approx(0.520 - 0.4014, abs=2e-3)


def test_a_raised_body_has_its_arch_further_away(edited):
    spec = edited(("[rear]\n", POINT + "[rear]\n"))
    lifted = with_setting(spec, "front.ride_height_change", "40 mm")
    assert build_bodywork(lifted).arch_gap[0, 0] - build_bodywork(spec).arch_gap[0, 0] == pytest.approx(0.04, abs=1e-3)


def test_a_larger_tyre_closes_the_simple_gaps(edited):
    """Straight by the change in unloaded radius; at full lock by more, and with the width."""
    gaps = ("[front]\n", '[front]\narch_gap = "150 mm"\narch_gap_at_full_lock = "130 mm"\n')
    before = edited(gaps)
    after = with_setting(before, "tyre.size", "285/75R17")
    one, two = build_bodywork(before), build_bodywork(after)
    growth = 0.5 * (285 * 1.5 - 265 * 1.4) * 1e-3
    assert one.arch_gap[0, 0] - two.arch_gap[0, 0] == pytest.approx(growth)
    lock = one.arch_gap_at_full_lock[0, 0] - two.arch_gap_at_full_lock[0, 0]
    assert lock == pytest.approx(growth / np.cos(np.radians(35)) + 0.25 * 0.020)
    wider = with_setting(before, "tyre.width", "305 mm")
    wider = with_setting(wider, "tyre.heights_measured_on", "265/70R17")
    assert build_bodywork(wider).arch_gap_at_full_lock[0, 0] == pytest.approx(0.130 - 0.25 * 0.040)
    assert build_bodywork(wider).arch_gap[0, 0] == pytest.approx(0.150)


def test_the_simple_form_at_full_lock_agrees_with_the_swept_points(wagon):
    """What the demo wagon's points lose at full lock from 265/70R17 to 285/75R17, against the simple relation."""
    change = [build_bodywork(with_setting(wagon, "tyre.size", size)).arch_gap_at_full_lock[0, 0] for size in SIZES]
    growth = 0.5 * (285 * 1.5 - 265 * 1.4) * 1e-3
    assert change[0] - change[1] == pytest.approx(growth / np.cos(np.radians(35)) + 0.25 * 0.020, abs=4e-3)


SIZES = ("265/70R17", "285/75R17")


def test_stops_as_fitted_stand_until_the_arch_is_met_before_them(edited):
    def gap(millimetres: int) -> float:
        arch = ("[front]\n", f'[front]\narch_gap = "{millimetres} mm"\n')
        return float(build(edited(arch, ('"to full bump"', '"to first touch"'))).bump_gap[0, 0])

    assert gap(150) == pytest.approx(0.09)  # 45 % of 200 mm
    assert gap(60) == pytest.approx(0.06)


def test_spacers_leave_arch_gap_less_clearance_and_compression(edited):
    spec = edited(
        ("[front]\n", '[front]\narch_gap = "120 mm"\narch_gap_at_full_lock = "104 mm"\nclearance_kept = "10 mm"\n'),
        ('"to full bump"', '"to first touch"'),
    )
    spaced = with_setting(spec, "front.bump_stop.spacer", "to keep clear")
    vehicle, body = build_whole(spaced)
    compression = body.stop_compression[0, 0]
    load = 0.5 * 9.80665 * (2100 * 0.53 - 0.06 * 2100)
    assert 60e3 * compression + 1e8 * compression**3 == pytest.approx(load)
    assert vehicle.bump_gap[0, 0] == pytest.approx(0.104 - 0.010 - compression)
    assert build(spec).bump_gap[0, 0] == pytest.approx(0.09)
    roomy = with_settings(spaced, [("front.arch_gap", "300 mm"), ("front.arch_gap_at_full_lock", "290 mm")])
    assert build(roomy).bump_gap[0, 0] == pytest.approx(0.09)  # never more than the stops have


def test_a_tyre_that_does_not_fit_leaves_no_gap_and_says_so(edited):
    spec = edited(("[rear]\n", POINT.replace("520 mm", "390 mm") + "[rear]\n"))
    vehicle, body = build_whole(with_setting(spec, "front.bump_stop.spacer", "to keep clear"))
    assert body.arch_gap[0, 0] < 0.0
    assert vehicle.bump_gap[0, 0] == 0.0


@pytest.mark.parametrize("spacer", ["as fitted", "to keep clear"])
def test_a_build_without_the_bodywork_is_the_same_vehicle(wagon, spacer):
    larger = with_settings(wagon, [("tyre.size", "285/75R17"), ("front.bump_stop.spacer", spacer)])
    samples = {"front.wheelhouse.liner, forward.distance": np.linspace(0.50, 0.53, 5), "tyre.width": np.full(5, 0.29)}
    alone, whole = build(larger, samples), build_whole(larger, samples)[0]
    np.testing.assert_array_equal(alone.bump_gap, whole.bump_gap)
    assert (np.ptp(alone.bump_gap[:, 0]) > 0.0) == (spacer == "to keep clear")


def test_as_far_as_the_stops_let_the_wheel_go_the_arches_are_the_same(wagon):
    """Of every sampled vehicle: what the stops need to keep clear, or that they need nothing."""
    larger = with_settings(wagon, [("tyre.size", "285/75R17"), ("rear.clearance_kept", "20 mm")])
    samples = {
        "front.wheelhouse.liner, forward.distance": np.linspace(0.48, 0.56, 9),
        "front.travel.bump": np.array([0.05, 0.2, 0.1] * 3),
        "rear.travel.bump": np.linspace(0.05, 0.3, 9),
        "tyre.width": np.full(9, 0.29),
    }
    (vehicles, body), (others, near) = (
        build_whole(larger, samples),
        build_whole(larger, samples, Swept(over_lock=True)),
    )
    np.testing.assert_array_equal(vehicles.bump_gap, others.bump_gap)
    needed, same = (np.maximum(one.stop_gap - one.clear_bump_gap, 0.0) for one in (body, near))
    np.testing.assert_array_equal(needed, same)
    assert ((needed > 0.0).any(axis=0) & (needed == 0.0).any(axis=0)).all()
    ahead = build_whole(larger, samples, Swept(beyond_stops=True))[1]
    np.testing.assert_array_equal(ahead.arch_gap, body.arch_gap)
    assert (near.arch_gap != body.arch_gap).any()


@pytest.mark.parametrize("axle", [0, 1])
def test_the_arch_is_found_as_far_as_the_stops_let_the_wheel_go(wagon, axle):
    """Only the stops differ from lane to lane: some are met before the arch, on others the arch is."""
    key = f"{'front' if axle == 0 else 'rear'}.travel.bump"
    larger = with_settings(wagon, [("tyre.size", "285/75R17")])
    samples = {key: np.linspace(0.05, 0.4, 15)}
    alone, (whole, body) = build(larger, samples), build_whole(larger, samples)
    np.testing.assert_array_equal(alone.bump_gap, whole.bump_gap)
    first = whole.bump_gap[:, axle] < body.stop_gap[:, axle]
    assert first.any()
    assert not first.all()
