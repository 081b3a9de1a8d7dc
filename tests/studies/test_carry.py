"""A score on another ramp, by climbing both; its parts against the hub's path."""

import numpy as np
import pytest

from articulate.closed_forms import hub_path
from articulate.model.ramp_test import ramp_test
from articulate.output.text.carry import carry_data, carry_table, why
from articulate.prediction import predict
from articulate.spec import Estimate, build, load_vehicle
from articulate.studies.compare.carry import CarryError, carry
from articulate.studies.population.conditions import Conditions, exactly
from tests.studies.nominal import without_uncertainty

WAGON = "vehicle_specs_demo/wagon.toml"
MEASURED = Estimate(587.0, 583.0, 591.0, "rectangular", "measured", "", "", 1.0)


@pytest.fixture(scope="module")
def carried():
    return carry(load_vehicle(WAGON), np.radians(23.0), measured={"connected": MEASURED}, samples=256)


def test_the_ratio_is_that_of_two_predictions(carried):
    vehicle = build(load_vehicle(WAGON))
    low, high = (predict(vehicle, ramp_test(1, np.radians(angle))) for angle in (20.0, 23.0))
    for one, bars in ((carried.connected, "connected"), (carried.released, "released")):
        scores = [getattr(run, bars).score for run in (low, high)]
        assert (one.first, one.second) == pytest.approx(tuple(scores), abs=1e-6)
        assert one.ratio == pytest.approx(scores[1] / scores[0], rel=1e-9)


def test_the_sine_ratio_is_the_one_published_rule():
    # sin 20 / sin g of the 20 degree score: 0.8753 at 23 degrees, 0.6840 at 30 (derived).
    for angle, ratio in ((23.0, 0.8753), (30.0, 0.6840)):
        one = carry(load_vehicle(WAGON), np.radians(angle), samples=64).connected
        assert one.sine_ratio == pytest.approx(ratio, abs=5e-5)
        assert one.ratio > one.sine_ratio
        assert one.same_mark == pytest.approx(one.first * ratio, rel=1e-4)


def test_the_parts_are_the_hub_path(carried):
    vehicle = build(load_vehicle(WAGON))
    radius, wheelbase = vehicle.tyre_radius[0, 0], vehicle.wheelbase[0]
    one = carried.connected
    rise = hub_path.hub_rise(one.first * wheelbase / 1000.0, radius, np.radians(20.0))
    assert one.rise[0] == pytest.approx(float(rise), abs=1e-9)
    same = hub_path.climb_from_hub_rise(rise, radius, np.radians(23.0))
    assert one.same_rise == pytest.approx(1000.0 * float(same) / wheelbase, abs=1e-6)
    again = hub_path.climb_from_hub_rise(one.rise[1], radius, np.radians(23.0))
    assert one.second == pytest.approx(1000.0 * float(again) / wheelbase, abs=1e-6)
    held = [
        predict(vehicle, ramp_test(1, np.radians(angle), holding_share=0.0)).connected.climb for angle in (20.0, 23.0)
    ]
    for climb, angle, mine in zip(held, (20.0, 23.0), one.rise_without_holding, strict=True):
        assert mine == pytest.approx(float(hub_path.hub_rise(climb, radius, np.radians(angle))), abs=1e-6)


def test_a_measured_score_is_carried_by_the_ratio_and_its_range_holds_both(carried):
    one = carried.connected
    assert one.carried == pytest.approx(587.0 * one.ratio)
    low, high = one.carried_range
    assert low < one.carried < high
    # 90 % of a rectangle of half-width 4 is 3.6 either side; the ratio widens it.
    assert high - low > 2.0 * 3.6 * one.ratio * 0.99
    assert np.isnan(carried.released.measured)
    # The ratio is far better known than the score itself.
    width = (one.ratio_range[1] - one.ratio_range[0]) / one.ratio
    assert width < 0.02
    # Of a score known exactly the ratio's range alone is left.
    sure = carry(load_vehicle(WAGON), np.radians(23.0), measured={"connected": exactly(587.0)}, samples=256).connected
    assert sure.carried_range == pytest.approx([587.0 * ratio for ratio in sure.ratio_range], rel=1e-6)
    assert sure.carried_range[1] - sure.carried_range[0] > 1.0


def test_nothing_uncertain_gives_no_range():
    exact = without_uncertainty(load_vehicle(WAGON))
    one = carry(exact, np.radians(23.0), Conditions(holding_share=exactly(0.5)), samples=64).connected
    assert one.ratio_range == (one.ratio, one.ratio)


def test_carried_there_and_back_is_the_same(carried):
    spec = load_vehicle(WAGON)
    back = carry(spec, np.radians(20.0), Conditions(ramp_angle=exactly(np.radians(23.0))), samples=64)
    assert back.connected.ratio * carried.connected.ratio == pytest.approx(1.0, abs=1e-9)


def test_no_score_is_not_carried():
    conditions = Conditions(length=1.0)
    with pytest.raises(CarryError, match="the ramp ends"):
        carry(load_vehicle(WAGON), np.radians(23.0), conditions, samples=64)


def test_text_says_why(carried):
    text = carry_table(carried)
    assert max(map(len, text.splitlines())) <= 80
    assert "The sines alone" in why(carried.connected)
    data = carry_data(carried)
    assert [data["connected"][ramp]["rise_m"] for ramp in ("first", "second")] == list(carried.connected.rise)
    assert data["released"]["measured"] == {"value": None, "low": None, "high": None}
