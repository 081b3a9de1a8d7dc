"""Numbers from outside the project; the source stands beside each, with how the number is known."""

import numpy as np
import pytest

from articulate.closed_forms import (
    diagonal_lift,
    hub_path,
    mark,
    rates,
    roll_stiffness,
    side_slope,
    spring_base,
    weighing,
)

INCH = 0.0254
POUND_FORCE = 4.4482216152605
PSI = POUND_FORCE / INCH**2
POUND_PER_INCH = POUND_FORCE / INCH


# Mark and score


@pytest.mark.parametrize(("height", "climb", "points"), [(17 + 15 / 16, 52.45, 522), (22.25, 65.05, 648)])
def test_mark_on_a_20_degree_ramp(height, climb, points):
    # Common practice, no source; wheelbase 100.4 in.
    angle = np.radians(20.0)
    assert mark.climb_from_mark(height * INCH, angle) / INCH == pytest.approx(climb, abs=0.005)
    assert round(float(mark.score_from_mark(height * INCH, 100.4 * INCH, angle))) == points


def test_score_of_62_inches_up_on_94_inches_of_wheelbase():
    # Derived: 659.57 with u 0.46 where both are read to 1/8 in; pages that print 659 truncate. Along the slope,
    # so the mark's height is its climb on a vertical ramp.
    value = mark.score(62.0 * INCH, 94.0 * INCH)
    assert value == pytest.approx(659.57, abs=0.005)
    slopes = mark.score_sensitivities(62.0 * INCH, 94.0 * INCH, np.pi / 2)
    # Standard uncertainty of a resolution is 0.289 of it: JCGM 100:2008, F.2.2.1, value from memory.
    resolution = 0.289 * INCH / 8.0
    assert np.hypot(slopes.mark_height, slopes.wheelbase) * resolution == pytest.approx(0.46, abs=0.005)


@pytest.mark.parametrize(("climb", "wheelbase", "points"), [(30.0, 88.0, 341), (72.0, 93.0, 774)])
def test_club_page_quotients(climb, wheelbase, points):
    # Derived: 1000 x climb / wheelbase, to the contact point; two pages on the ramp test print the same (seen, names
    # not kept).
    assert round(float(mark.score(climb, wheelbase))) == points


@pytest.mark.parametrize(("degrees", "ratio"), [(23.0, 0.8753), (30.0, 0.6840)])
def test_equal_lift_on_another_ramp(degrees, ratio):
    # Derived: sin 20 / sin g.
    found = mark.equal_lift_ratio(np.radians(degrees), np.radians(20.0))
    assert found == pytest.approx(ratio, abs=5e-5)


def test_hub_of_a_16_5_inch_tyre_on_20_degrees():
    # Derived: rise 0.995 in less than s sin g, first touch 2.909 in before the toe.
    angle = np.radians(20.0)
    assert 50.0 * np.sin(angle) - hub_path.hub_rise(50.0, 16.5, angle) == pytest.approx(0.995, abs=5e-4)
    assert hub_path.first_touch_before_toe(16.5, angle) == pytest.approx(2.909, abs=5e-4)


# Bars, springs, rates


@pytest.mark.parametrize(
    ("diameter", "arm", "centre", "side", "rate"),
    [(1.0, 10.0, 40.0, 11.0, 250.13), (0.75, 8.0, 36.0, 9.0, 138.43)],
)
def test_anti_roll_bar(diameter, arm, centre, side, rate):
    # Puhn, How to Make Your Car Handle, 500000 D^4 / (0.4244 A^2 B + 0.2264 C^3) in lb and in, seen in a copy;
    # identity with G = 12e6 and E = 30e6 psi derived. Its printed constants are rounded to four digits.
    found = rates.anti_roll_bar_rate(
        shear_modulus=12e6 * PSI,
        youngs_modulus=30e6 * PSI,
        diameter=diameter * INCH,
        arm=arm * INCH,
        centre_length=centre * INCH,
        arm_length=side * INCH,
    )
    assert found / POUND_PER_INCH == pytest.approx(rate, rel=1e-4)
    quoted = 500000.0 * diameter**4 / (0.4244 * arm**2 * centre + 0.2264 * side**3)
    assert quoted == pytest.approx(rate, abs=0.005)


def test_anti_roll_bar_on_its_axle():
    # Derived: the bar of 250.13 lb/in, ends 40 in apart: 400 212 lb in/rad = 582.1 lb ft/deg, K w^2.
    found = spring_base.bar_roll_stiffness_from_ends(250.1325, 40.0)
    assert found == pytest.approx(400212.0, abs=0.5)
    assert found / 12.0 * np.pi / 180.0 == pytest.approx(582.1, abs=0.05)


def test_bar_diameter_from_18_to_19_mm():
    # Fourth power, +24.1 %; seen.
    same = {"shear_modulus": 80e9, "youngs_modulus": 205e9, "arm": 0.25, "centre_length": 1.0, "arm_length": 0.28}
    stiffer = rates.anti_roll_bar_rate(diameter=0.019, **same) / rates.anti_roll_bar_rate(diameter=0.018, **same)
    assert stiffer - 1.0 == pytest.approx(0.241, abs=5e-4)


def test_roll_stiffness_at_the_track():
    # Gillespie, Fundamentals of Vehicle Dynamics, 1992, ch. 6, value from memory; arithmetic derived.
    per_degree = np.pi / 180.0
    assert rates.roll_stiffness_at_track(200.0, 60.0) / 12.0 * per_degree == pytest.approx(523.6, abs=0.05)
    assert rates.roll_stiffness_at_track(30e3, 1.5) * per_degree == pytest.approx(589.0, abs=0.05)


def test_solid_axle_springs_40_inches_apart():
    # Derived: 200 lb/in gives 160 000 lb in/rad, an 88.9 lb/in roll rate at a 60 in track.
    assert spring_base.solid_axle_roll_stiffness(200.0, 20.0) == pytest.approx(160e3)
    assert spring_base.roll_rate_at_wheel(200.0, 20.0, 60.0) == pytest.approx(88.9, abs=0.05)


def test_motion_ratio_squared():
    # Derived: (19 - 3)/19 = 0.8421, squared 0.7091, 600/0.7091 = 846 lb/in; a handbook has the same (seen, title not
    # kept).
    ratio = (19.0 - 3.0) / 19.0
    assert ratio == pytest.approx(0.8421, abs=5e-5)
    assert rates.wheel_rate(1.0, ratio) == pytest.approx(0.7091, abs=1e-4)
    assert 600.0 / rates.wheel_rate(1.0, ratio) == pytest.approx(846.0, abs=0.5)


def test_roll_gradient():
    # Barton & Fieldhouse, Automotive Chassis Engineering, p. 174, seen; it takes g = 9.81.
    found = rates.roll_gradient(1280.0, 0.365, 28650.0, 9.81)
    assert found == pytest.approx(0.0194, abs=5e-5)
    assert np.degrees(found) * 9.81 == pytest.approx(10.9, abs=0.05)


def test_coil_rate():
    # Shigley, Mechanical Engineering Design, Ex. 10-1, value from memory.
    assert rates.coil_rate(11.85e6, 0.037, 0.400, 10.5) == pytest.approx(4.13, abs=0.005)


@pytest.mark.parametrize(("rate", "mean", "turns"), [(19.3, 120.0, 7.73), (42.3, 100.0, 6.10)])
def test_coil_turns(rate, mean, turns):
    # Barton & Fieldhouse, Automotive Chassis Engineering, p. 213, seen: G 79.3 GPa, d 12.7 mm.
    assert rates.coil_turns(79.3e9, 12.7e-3, mean * 1e-3, rate * 1e3) == pytest.approx(turns, abs=0.005)


def test_leaf_pack():
    # A worked example 10.25 on leaf springs, seen, title not kept: 15 kN an eye deflect it by 69.677 mm.
    rate = rates.leaf_pack_rate(
        youngs_modulus=207e9, width=0.060, thickness=0.012, half_length=0.6, full_leaves=2, graduated_leaves=10
    )
    assert 15e3 / rate == pytest.approx(69.677e-3, abs=5e-7)


def test_ride_rate_in_series():
    # Gillespie, Fundamentals of Vehicle Dynamics, 1992, ch. 5, form from memory.
    assert rates.series_rate(200.0, 1200.0) == pytest.approx(171.43, abs=0.005)


@pytest.mark.parametrize(("inches", "hertz"), [(9.78, 1.00), (5.0, 1.40)])
def test_frequency_from_static_deflection(inches, hertz):
    # f = sqrt(g/d)/(2 pi), derived; rounded numbers from memory.
    assert rates.frequency_from_deflection(inches * INCH) == pytest.approx(hertz, abs=0.005)


# Weight, height, tipping


def test_axle_loads():
    # Derived by the moment balance, and the same in a lecture handout (seen, title not kept): 890 kg,
    # a 0.78 m, L 2.35 m; 2916.5 and 1449 N a wheel, with g = 9.81.
    front, rear = weighing.axle_loads(890.0 * 9.81, 0.78, 2.35) / 2.0
    assert front == pytest.approx(2916.5, abs=0.1)
    assert rear == pytest.approx(1449.0, abs=0.05)


def test_lift_angle_is_a_tangent():
    # 110 in wheelbase lifted 18 in: tan 0.1659, not sin 0.1636; seen. ISO 10392 uses the tangent.
    assert weighing.lift_angle_tangent(110.0, 18.0) == pytest.approx(0.1659, abs=5e-5)


def test_centre_height_from_a_lifted_axle_by_moments():
    # Derived: the load gained by the rear axle is worked out from the turned geometry and given back.
    weight, wheelbase, behind, height, hub, lift = 18e3, 2.8, 1.3, 0.7, 0.38, 0.5
    angle = np.arcsin(lift / wheelbase)
    ahead = (wheelbase - behind) * np.cos(angle) - (height - hub) * np.sin(angle)
    gain = weight * behind / wheelbase - weight * (1.0 - ahead / (wheelbase * np.cos(angle)))
    found = weighing.centre_height_from_lift(weight, wheelbase, lift, -gain, hub)
    assert found == pytest.approx(height)


@pytest.mark.parametrize(
    ("track", "height", "factor"),
    [(59.1, 26.33, 1.123), (62.2, 27.05, 1.150), (60.0, 26.10, 1.149), (65.5, 28.66, 1.143)],
)
def test_static_stability_factor(track, height, factor):
    # NHTSA rollover ratings, model year 2004, rows 1, 2, 8 and 41; seen.
    found = side_slope.static_stability_factor(track * INCH, height * INCH)
    assert found == pytest.approx(factor, abs=1e-3)
    assert np.tan(side_slope.tipping_angle(track, height)) == pytest.approx(factor, abs=1e-3)


def test_plate_on_four_equal_springs():
    # Statics, derived: P/4 (1 +- x/a +- y/b) with 4000, 0.2, 0.1.
    assert diagonal_lift.plate_loads(4000.0, 0.2, 0.1) == pytest.approx([1300.0, 1100.0, 900.0, 700.0])


def test_equal_springs_with_one_wheel_lifted():
    # Derived; also met by a general rigid-body engine: k 100, W 4000, z 10, unloads at z = 40.
    found = diagonal_lift.lifted_wheel_loads(4000.0, 100.0, 10.0)
    assert found == pytest.approx([1250.0, 750.0, 750.0, 1250.0])
    assert diagonal_lift.unloading_lift(4000.0, 100.0) == pytest.approx(40.0)
    assert diagonal_lift.lifted_wheel_loads(4000.0, 100.0, 40.0)[2] == pytest.approx(0.0, abs=1e-12)


def test_unequal_axles():
    # Derived: dF = T/t with T = (z/t) Kf Kr/(Kf + Kr); kf 120, kr 180 a wheel, z 10 -> +-360.
    track = 60.0
    stiffness = rates.roll_stiffness_at_track([120.0, 180.0], track)
    assert 10.0 / track * rates.series_rate(*stiffness) / track == pytest.approx(360.0)
    # The lift that takes a wheel of 360 to zero is 10, on both axles where the weight does not overturn.
    lifts = roll_stiffness.unloading_lifts_in_series_form([track, track], [720.0, 720.0], stiffness, 0.0)
    assert lifts.rear_left == pytest.approx(10.0)
    assert lifts.front_right == pytest.approx(10.0)


def test_equal_springs_by_roll_stiffness():
    # Derived: the two-axle form must meet the plate on four springs, z = W/k, with half of W on each axle.
    stiffness = rates.roll_stiffness_at_track([100.0, 100.0], 1.5)
    lifts = roll_stiffness.unloading_lifts_in_series_form([1.5, 1.5], [2000.0, 2000.0], stiffness, 0.0)
    assert lifts.first == pytest.approx(40.0)
