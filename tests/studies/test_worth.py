"""What a step is worth, against the file with that line changed."""

import numpy as np
import pytest

from articulate.climb import Outcome
from articulate.output.text.worth import remark, worth_data, worth_table
from articulate.prediction import predict
from articulate.spec import build, load_vehicle, with_settings
from articulate.studies.explain.vehicle_parts import StudiedVehicle
from articulate.studies.explain.worth import QUARTERS, VehicleWorth, what_steps_are_worth

# The wagon without auxiliary stiffness: assumed, it would be a share of the springs and change with their line.
FREE = [(f"{axle}.auxiliary_roll.over_springs", "0 %") for axle in ("front", "rear")]


def wagon_file():
    return with_settings(load_vehicle("vehicle_specs_demo/wagon.toml"), FREE)


@pytest.fixture(scope="module")
def wagon():
    return what_steps_are_worth(StudiedVehicle.of(wagon_file()))


def row(table, name):
    return next(row for row in table.rows if row.step.name == name)


@pytest.mark.parametrize(
    ("name", "up", "down"),
    [
        ("rear bump travel", ("rear.travel.bump", "110.4 mm"), ("rear.travel.bump", "59.6 mm")),
        ("rear springs", ("rear.spring.wheel_rate", "34.1 N/mm"), ("rear.spring.wheel_rate", "27.9 N/mm")),
        ("wheelbase", ("wheelbase", "2875.4 mm"), ("wheelbase", "2824.6 mm")),
        ("rear spring spacing", ("rear.spring.spacing", "1010.4 mm"), ("rear.spring.spacing", "959.6 mm")),
        (
            "rear anti-roll bar",
            ("rear.anti_roll_bar.end_rate", "24.2 N/mm"),
            ("rear.anti_roll_bar.end_rate", "19.8 N/mm"),
        ),
        ("frame stiffness", ("frame.torsional_rate", "9.9 kN m/deg"), ("frame.torsional_rate", "8.1 kN m/deg")),
        ("tyre diameter", ("tyre.diameter", "828.2 mm"), ("tyre.diameter", "777.4 mm")),
    ],
)  # fmt: skip
def test_a_step_is_the_file_with_that_line_changed(wagon, name, up, down):
    spec = wagon_file()
    kept = [] if name != "tyre diameter" else [("tyre.vertical_stiffness", "283389.43916433107 N/m")]
    for table, bars in ((wagon.connected, "connected"), (wagon.released, "released")):
        for setting, value in ((up, row(table, name).up), (down, row(table, name).down)):
            run = getattr(predict(build(with_settings(spec, [setting, *kept]))), bars)
            assert value == pytest.approx(run.score - table.score, abs=2e-3)


def test_travel_that_is_not_used_is_worth_nothing_one_way(wagon):
    droop = row(wagon.connected, "front droop travel")
    assert droop.up == pytest.approx(0.0, abs=1e-6)
    assert droop.down < -0.2
    assert droop.kinked
    assert "not used" in remark(droop, wagon.connected)
    assert row(wagon.connected, "front bump travel").nothing
    assert not row(wagon.released, "front bump travel").nothing


def test_a_kink_is_placed_within_the_step():
    # A front bump stop that is met 4 mm before the travel the climb would use: a quarter of an inch frees it.
    spec = wagon_file()
    used = predict(build(with_settings(spec, [("front.travel.bump", "200 mm")]))).connected.hub_travel[0] * 1e3
    tight = with_settings(spec, [("front.travel.bump", f"{used - 4.0} mm")])
    table = what_steps_are_worth(StudiedVehicle.of(tight)).connected
    bump = row(table, "front bump travel")
    more = np.array(bump.curve[4:])
    assert np.ptp(more) < 1e-6  # nothing beyond the first quarter
    assert more[0] > 0.05
    assert bump.down < -3.0 * bump.up
    assert "up to 0.25" in remark(bump, table)
    freed = predict(build(with_settings(spec, [("front.travel.bump", f"{used + 2.35} mm")]))).connected
    assert "front left meets its bump stop" not in {event.what for event in freed.events}


def test_a_released_bar_has_no_row_and_a_step_below_nothing_is_said(wagon):
    assert "front anti-roll bar" not in {one.step.name for one in wagon.released.rows}
    short = with_settings(wagon_file(), [("front.travel.droop", "10 mm")])
    table = what_steps_are_worth(StudiedVehicle.of(short)).connected
    droop = row(table, "front droop travel")
    assert droop.outcome_down is None
    assert np.isnan(droop.down)
    assert droop.outcome_up == Outcome.WHEEL_LIFTS
    assert droop.up > 0.0
    assert "there is not so much" in remark(droop, table)
    assert table.unscored > 0


def test_a_step_on_the_right_is_that_of_the_mirrored_vehicle(wagon):
    subject = StudiedVehicle.of(wagon_file())
    mirrored = StudiedVehicle(subject.name, subject.vehicle.mirrored(), subject.ride_height_change)
    right = what_steps_are_worth(mirrored, side="right")
    assert right.connected.score == pytest.approx(wagon.connected.score, abs=1e-6)
    assert row(right.connected, "rear springs").up == pytest.approx(row(wagon.connected, "rear springs").up, abs=1e-6)
    assert right.connected.wheel == 3


def test_bars_and_rubber_of_a_solid_axle_are_couples_with_their_unit():
    whole = what_steps_are_worth(StudiedVehicle.of(load_vehicle("vehicle_specs_demo/wagon.toml"))).connected
    units = {one["name"]: one for one in worth_data(VehicleWorth("", "left", 0.0, whole, None))["connected"]["inputs"]}
    # K w^2 of a bar of 22 N/mm, ends 1010 mm apart; 40 % of k s^2 / 2, springs of 31 N/mm 985 mm apart (derived).
    for name, couple in (("anti-roll bar", 22e3 * 1.01**2), ("auxiliary stiffness", 0.4 * 31e3 * 0.985**2 / 2.0)):
        rear, front = units[f"rear {name}"], units[f"front {name}"]
        assert rear["unit"] == "N m/rad"
        assert rear["present"] == pytest.approx(couple)
        assert front["unit"] == "N/m"
    # 10 % of k/2 at the wheel, springs of 104 N/mm at a motion ratio of 0.61 (derived).
    assert units["front auxiliary stiffness"]["present"] == pytest.approx(0.1 * 104e3 * 0.61**2 / 2.0)
    assert units["ramp angle"]["unit"] == "rad"


def test_every_line_keeps_its_columns_apart():
    whole = what_steps_are_worth(StudiedVehicle.of(load_vehicle("vehicle_specs_demo/wagon.toml")))
    for full in (False, True):
        text = worth_table(whole, full)
        for one in whole.connected.rows:
            lines = [line for line in text.splitlines() if line.startswith(one.step.name)]
            assert all(f"{one.step.name} " in line and f" {one.step.words} " in line for line in lines)


def test_table_and_data(wagon):
    text = worth_table(wagon)
    assert max(map(len, text.splitlines())) <= 80
    data = worth_data(wagon)
    assert data["connected"]["quarters_of_step"] == list(QUARTERS)
    first = data["connected"]["inputs"][0]
    assert f"{first['points_more']:+.1f}" in text
    sizes = [max(abs(one["points_more"]), abs(one["points_less"])) for one in data["connected"]["inputs"]]
    assert sizes == sorted(sizes, reverse=True)
