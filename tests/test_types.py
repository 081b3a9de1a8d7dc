"""Left and right are known in one place, and what it says of them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from articulate.errors import ArgumentError
from articulate.model.vehicles import Vehicles
from articulate.spec import build, load_vehicle
from articulate.trace import Event
from articulate.types import (
    SIDES,
    WHEELS,
    Case,
    each_state,
    lateral_sign,
    mirrored,
    other_side,
    own_wheel,
    ramp_wheel,
    wheel_order,
)

SPELLED_OUT = re.compile(
    r"""[!=]=\s*["'](left|right)["']"""  # a side compared
    r"""|["'](left|right)["']\s*[!=]=[^=]"""
    r"""|1,\s*0,\s*3,\s*2"""  # wheels exchanged
    r"""|\.bar_releasable\s*&"""  # a bar that can be released
)
HOME = {"articulate/types.py": 2, "articulate/model/vehicles.py": 1}


def sources():
    for folder in ("articulate", "scripts"):
        for path in sorted(Path(folder).rglob("*")):
            if path.is_file() and path.suffix in {"", ".py"}:
                yield path


def test_nothing_else_tells_left_from_right_or_asks_what_can_be_released():
    found = {path.as_posix(): len(SPELLED_OUT.findall(path.read_text(encoding="utf-8"))) for path in sources()}
    assert {path: count for path, count in found.items() if count} == HOME


def test_the_other_side_of_each_word():
    assert [other_side(side) for side in SIDES] == ["right", "left"]
    for wheel, name in enumerate(WHEELS):
        axle, side = name.split()
        across = f"{axle} {other_side(side)}"
        assert WHEELS[own_wheel(wheel, "right")] == WHEELS[wheel_order("right")[wheel]] == across
        assert own_wheel(wheel, "left") == wheel_order("left")[wheel] == wheel
    assert [WHEELS[ramp_wheel(side)] for side in SIDES] == ["front left", "front right"]


def test_no_wheel_stays_none_and_the_mirror_undoes_itself():
    wheels = np.array([[-1, 0, 1], [2, 3, -1]])
    np.testing.assert_array_equal(own_wheel(wheels, "right"), [[-1, 1, 0], [3, 2, -1]])
    for side in SIDES:
        np.testing.assert_array_equal(own_wheel(own_wheel(wheels, side), side), wheels)
        np.testing.assert_array_equal(wheel_order(side)[wheel_order(side)], np.arange(4))
        assert own_wheel(-1, side) == -1
        assert (lateral_sign(side) < 0.0) == mirrored(side)


@pytest.mark.parametrize(("side", "bars"), [("Left", "connected"), ("left", "off")])
def test_a_case_that_there_is_not_is_refused(side, bars):
    with pytest.raises(ArgumentError):
        Case(side, bars)


def test_a_vehicle_climbs_on_the_right_as_its_mirror_image():
    vehicle: Vehicles = build(load_vehicle("vehicle_specs_demo/wagon.toml"))
    assert vehicle.climbing("left") is vehicle
    assert vehicle.climbing("right").sprung_centre[0, 1] == -vehicle.sprung_centre[0, 1] != 0.0
    assert vehicle.releasable.all()
    assert not vehicle.released().releasable.any()


def test_an_event_says_its_own_corner_or_point():
    assert Event(0.1, "droop stop", 3, begins=True).what == "rear right is at full droop"
    assert Event(0.1, "ramp", 2, begins=False).what == "rear left wheel leaves the ramp"
    assert Event(0.1, "bodywork", -1, begins=True, point="front left sill").what == "front left sill touches"
    moved = Event(0.1, "jump", -1, begins=True, settled=(0.031, np.pi / 90.0))
    assert moved.what == "the vehicle settles by 31 mm, 2.0 deg of roll"


@dataclass(frozen=True)
class Found:
    connected: str
    released: str | None


def test_a_state_of_the_bars_that_a_vehicle_has_not_is_left_out():
    assert each_state(Found("as driven", "released")) == ("as driven", "released")
    assert each_state(Found("as driven", None)) == ("as driven",)
