"""The drive in a vehicle file: what it becomes in the model, what is assumed, and what does not go together."""

from __future__ import annotations

import numpy as np
import pytest

from articulate.spec import SpecError, build, load_vehicle, with_settings

WAGON = load_vehicle("vehicle_specs_demo/wagon.toml")


def driven(**keys):
    return with_settings(WAGON, [(f"drive.{key}", value) for key, value in keys.items()])


def test_nothing_is_known_of_a_drive_that_is_not_given():
    assert WAGON.drive is None
    assert not build(WAGON).drive_known[0]


@pytest.mark.parametrize(
    ("keys", "front_share", "centre_locked", "ratio"),
    [
        ({"driven_wheels": "rear"}, 0.0, False, (1.0, 1.0)),
        ({"driven_wheels": "front", "front_differential": "locked"}, 1.0, False, (0.0, 1.0)),
        ({"driven_wheels": "all", "centre": "open", "centre_front_share": "40 %"}, 0.4, False, (1.0, 1.0)),
        ({"driven_wheels": "all", "centre": "locked", "rear_differential": "held by brakes"}, 0.5, True, (1.0, 0.0)),
        (
            {"driven_wheels": "rear", "rear_differential": "limited slip", "rear_bias_ratio": "4"},
            0.0,
            False,
            (1.0, 0.25),
        ),
    ],
)
def test_a_drive_in_trade_words_becomes_that_of_the_model(keys, front_share, centre_locked, ratio):
    vehicle = build(driven(**keys))
    assert vehicle.drive_known[0]
    assert vehicle.front_drive_share[0] == pytest.approx(front_share)
    assert vehicle.centre_locked[0] == centre_locked
    np.testing.assert_allclose(vehicle.torque_ratio[0], ratio)


def test_what_is_not_said_of_a_drive_is_assumed_and_said():
    spec = driven(driven_wheels="all", centre="open", rear_differential="limited slip")
    assert "drive.front_differential is taken as open" in spec.remarks
    assumed = spec.assumed()
    assert (assumed["drive.centre_front_share"].low, assumed["drive.centre_front_share"].high) == (0.33, 0.5)
    assert assumed["drive.rear_bias_ratio"].value == 2.5
    # and is sampled as it is assumed
    many = build(spec, {"drive.rear_bias_ratio": np.array([2.0, 4.0])})
    np.testing.assert_allclose(many.torque_ratio[:, 1], [0.5, 0.25])


@pytest.mark.parametrize(
    ("keys", "key", "words"),
    [
        ({"driven_wheels": "all"}, "drive.centre", 'write centre = "open"'),
        ({"driven_wheels": "all", "centre": "none"}, "drive.centre", "coupled"),
        ({"driven_wheels": "rear", "centre": "locked"}, "drive.centre", "only the rear wheels drive"),
        ({"driven_wheels": "rear", "front_differential": "open"}, "drive.front_differential", "do not drive"),
        ({"driven_wheels": "rear", "rear_bias_ratio": "3"}, "drive.rear_bias_ratio", "limited slip"),
        (
            {"driven_wheels": "all", "centre": "locked", "centre_front_share": "40 %"},
            "drive.centre_front_share",
            "load",
        ),
        ({"driven_wheels": "four"}, "drive.driven_wheels", "all"),
        ({"rear_differential": "locked"}, "drive.driven_wheels", 'driven_wheels = "all"'),
        ({"driven_wheels": "rear", "rear_differential": "limited slip", "rear_bias_ratio": "0.4"}, "bias", "outside"),
    ],
)
def test_what_does_not_go_together_is_said_with_what_would(keys, key, words):
    with pytest.raises(SpecError) as fault:
        driven(**keys)
    assert key in str(fault.value)
    assert words in str(fault.value)


def test_a_what_if_takes_away_what_no_longer_goes_with_it():
    start = driven(
        driven_wheels="all", centre="open", centre_front_share="40 %", front_differential="limited slip",
        front_bias_ratio="3",
    )  # fmt: skip
    locked = with_settings(start, [("drive.centre", "locked"), ("drive.front_differential", "locked")])
    assert locked.drive.centre == "locked"
    assert "drive.centre_front_share" not in locked.inputs
    assert "drive.front_bias_ratio" not in locked.inputs
    rear = with_settings(start, [("drive.driven_wheels", "rear")])
    assert rear.drive.differentials == (None, "open")
    assert rear.drive.centre == "none"
