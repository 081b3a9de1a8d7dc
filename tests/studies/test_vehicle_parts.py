"""Vehicles taken apart and put together again; what hangs together moves together, as it does in a vehicle file."""

from dataclasses import fields, replace

import numpy as np
import pytest

from articulate.model.vehicles import Vehicles
from articulate.spec import build, load_vehicle, with_settings
from articulate.studies.explain.groups import GroupError, differing_groups
from articulate.studies.explain.vehicle_parts import QUANTITIES, StudiedVehicle, impossible, put_together, take_apart
from tests.random_vehicles import random_vehicles

WAGON = "vehicle_specs_demo/wagon.toml"


def parts_of(*settings):
    subject = StudiedVehicle.of(with_settings(load_vehicle(WAGON), settings))
    return take_apart(subject.vehicle, subject.ride_height_change)


# Assumed, it would be a share of the springs and go with them.
GIVEN = [("front.auxiliary_roll.stiffness", "60 N m/deg"), ("rear.auxiliary_roll.stiffness", "90 N m/deg")]


def groups_of(*settings):
    return {group.name for group in differing_groups(parts_of(*GIVEN), parts_of(*GIVEN, *settings))}


def test_put_together_undoes_take_apart():
    vehicles = random_vehicles(3, 200)
    change = np.random.default_rng(1).uniform(-0.02, 0.02, (200, 2))
    again = put_together(take_apart(vehicles, change), vehicles)
    for field in fields(Vehicles):
        before, after = getattr(vehicles, field.name), getattr(again, field.name)
        assert before.dtype == after.dtype, field.name
        np.testing.assert_allclose(after, before, rtol=1e-12, atol=1e-12, err_msg=field.name)


def test_every_array_of_the_model_has_a_name_and_a_group():
    derived = {"sprung_centre", "load_centre", "bar_rate", "auxiliary_rate", "auxiliary_rate_cubic"}
    named = {quantity.name for quantity in QUANTITIES}
    # An array added to the model is mixed as it is, under its own name; it should be given a proper one.
    missing = {field.name for field in fields(Vehicles)} - named - derived
    assert not missing


@pytest.mark.parametrize(
    ("settings", "groups"),
    [
        ([("wheelbase", "3000 mm")], {"wheelbase"}),
        ([("front.ride_height_change", "40 mm")], {"ride height"}),
        ([("mass.centre_of_gravity_height", "800 mm")], {"mass and its place"}),
        ([("front.travel.bump", "60 mm")], {"bump travel"}),
        ([("rear.travel.droop", "60 mm")], {"droop travel"}),
        ([("rear.spring.spacing", "900 mm")], {"spring base"}),
        ([("rear.spring.wheel_rate", "25 N/mm")], {"springs"}),
        ([("front.anti_roll_bar.diameter", "29 mm")], {"anti-roll bar"}),
        ([("rear.auxiliary_roll.stiffness", "150 N m/deg")], {"auxiliary roll stiffness"}),
        ([("frame.torsional_rate", "rigid")], {"frame"}),
        ([("cross_link.wheel_rate", "20 N/mm")], {"cross-linked bars"}),
        ([("load.driver.mass", "120 kg")], {"passengers and cargo"}),
        ([("rear.droop_stop.spacing", "1 m")], {"stop stiffness"}),
        (
            [("rear.suspension", "independent"), ("rear.anti_roll_bar", "false")],
            {"suspension geometry", "anti-roll bar", "auxiliary roll stiffness"},  # a couple, then a rate at the wheel
        ),
        ([], set()),
    ],
)  # fmt: skip
def test_one_line_of_the_file_is_one_group(settings, groups):
    assert groups_of(*settings) == groups


@pytest.mark.parametrize(
    ("settings", "name", "change"),
    [
        ([("rear.ride_height_change", "30 mm")], "ride_height_change", [0.0, 0.030]),
        ([("wheelbase", "3000 mm")], "wheelbase", [0.150]),
        ([("mass.centre_of_gravity_height", "735 mm")], "wheelbase", [0.0]),
    ],
)
def test_a_changed_quantity_is_the_changed_file(settings, name, change):
    # The same vehicle by two ways: the quantity changed here, and the line of the file changed and built anew.
    subject = StudiedVehicle.of(load_vehicle(WAGON))
    parts = take_apart(subject.vehicle, subject.ride_height_change)
    parts[name] = parts[name] + change
    mine, built = put_together(parts, subject.vehicle), build(with_settings(load_vehicle(WAGON), settings))
    for field in fields(Vehicles):
        # A load stays over a wheel line that slopes by the axles' different loads: hundredths of a millimetre.
        atol = 5e-5 if field.name == "load_centre" else 0.0
        np.testing.assert_allclose(
            getattr(mine, field.name), getattr(built, field.name), rtol=1e-9, atol=atol, err_msg=field.name
        )


def test_a_larger_tyre_carries_the_body():
    spec = load_vehicle(WAGON)
    larger = with_settings(spec, [("tyre.diameter", "840 mm"), ("tyre.vertical_stiffness", "280 N/mm")])
    before, after = build(with_settings(spec, [("tyre.vertical_stiffness", "280 N/mm")])), build(larger)
    parts = take_apart(before, np.zeros((1, 2)))
    parts["tyre_radius"] = after.tyre_radius
    np.testing.assert_allclose(put_together(parts, before).sprung_centre, after.sprung_centre, atol=1e-9)


@pytest.mark.parametrize(
    ("setting", "groups"),
    [
        (("tyre.pressure", "20 psi"), {"tyre stiffness"}),
        (("tyre.diameter", "830 mm"), {"tyre radius", "tyre stiffness"}),
    ],
)
def test_a_tyre_changes_the_place_of_the_mass_only_where_the_file_says_that_the_body_does_not_follow(setting, groups):
    spec = load_vehicle(WAGON)
    before, after = build(spec), build(with_settings(spec, [setting]))
    rear = before.sprung_centre[0, 0] / before.wheelbase[0]
    sinks = (after.reference_hub_height() - before.reference_hub_height())[0] @ [1.0 - rear, rear]
    follows = after.sprung_centre[0, 2] - before.sprung_centre[0, 2] == pytest.approx(sinks, abs=1e-7)
    assert groups_of(setting) == (groups if follows else groups | {"mass and its place", "passengers and cargo"})


def test_a_bar_on_a_solid_axle_keeps_its_couple_when_the_track_changes():
    subject = StudiedVehicle.of(load_vehicle(WAGON))
    parts = take_apart(subject.vehicle, subject.ride_height_change)
    parts["track"] = parts["track"] * 1.1
    wider = put_together(parts, subject.vehicle)
    before, after = subject.vehicle.bar_rate[0], wider.bar_rate[0]
    assert after[0] == pytest.approx(before[0])  # independent: a rate at the wheels
    assert after[1] * 1.1**2 == pytest.approx(before[1])  # solid: a couple


def test_a_gap_below_nothing_is_found():
    subject = StudiedVehicle.of(load_vehicle(WAGON))
    parts = take_apart(subject.vehicle, subject.ride_height_change)
    assert not impossible(put_together(parts, subject.vehicle)).any()
    parts["ride_height_change"] = np.array([[0.1, 0.0]])
    assert impossible(put_together(parts, subject.vehicle)).all()


def test_groups_by_axle_joined_and_limited():
    first, second = parts_of(), parts_of(("front.travel.bump", "60 mm"), ("rear.travel.bump", "60 mm"))
    names = [group.name for group in differing_groups(first, second, by_axle=True)]
    assert names == ["front bump travel", "rear bump travel"]
    joined = differing_groups(first, second, by_axle=True, together=[names])
    assert len(joined) == 1
    assert joined[0].columns == (("bump_gap", 0), ("bump_gap", 1))
    with pytest.raises(GroupError, match="front bump travel"):
        differing_groups(first, second, by_axle=True, together=[["front bump", "rear bump travel"]])
    with pytest.raises(GroupError, match="at most 1"):
        differing_groups(first, second, by_axle=True, most=1)


def test_what_nobody_reads_is_no_difference():
    vehicle = StudiedVehicle.of(load_vehicle(WAGON)).vehicle
    unread = replace(
        vehicle, swing_arm=vehicle.swing_arm * [1.0, 2.0], spring_half_base=vehicle.spring_half_base * [2.0, 1.0]
    )
    first, second = (take_apart(one, np.zeros((1, 2))) for one in (vehicle, unread))
    assert differing_groups(first, second) == ()
