"""What was seen, as typed: each kind of observation is read, and what cannot be used is told with what would work."""

from __future__ import annotations

import pytest

from articulate.spec import load_vehicle
from articulate.studies.learn.readings import InputReading, LiftSeen, LoadReading, RollReading
from articulate.studies.learn.typed_seen import read_seen
from articulate.types import Case

SPEC = load_vehicle("vehicle_specs_demo/wagon.toml")
UNCERTAIN = tuple(key for key, one in SPEC.inputs.items() if one.high > one.low)


def seen(entry, side="left"):
    faults = []
    return read_seen(entry, side, SPEC.inputs, UNCERTAIN, faults), faults


def test_a_roll_is_an_angle_with_limits():
    found, faults = seen("roll=12 deg ± 0.6 deg")
    assert not faults
    assert isinstance(found, RollReading)
    assert found.case == Case("left", "connected")
    assert found.value == pytest.approx(0.20943951, rel=1e-7)  # 12 pi/180
    # Limits of a rectangle over the root of three.
    assert found.standard_uncertainty == pytest.approx(0.0104719755 / 3.0**0.5, rel=1e-7)


def test_what_lifts_and_what_wheels_carry_are_of_a_run_or_at_rest():
    found, _ = seen("released.lifts=rear right", "right")
    assert found == LiftSeen(Case("right", "released"), 3)
    found, _ = seen("load.rear_right=12 kN ± 0.3 kN")
    assert isinstance(found, LoadReading)
    assert (found.wheel, found.at_rest, found.value) == (3, False, 12000.0)
    found, _ = seen("flat_load.front_left=6 kN ± 0.1 kN")
    assert isinstance(found, LoadReading)
    assert (found.wheel, found.at_rest) == (0, True)


def test_an_input_measured_after_all_is_read_in_its_own_kind_of_unit():
    found, faults = seen("front.spring.rate=190 lbf/in ± 4 lbf/in")
    assert not faults
    assert isinstance(found, InputReading)
    assert found.value == pytest.approx(190 * 175.126835, rel=1e-6)  # [N/m] in lbf/in, by the definitions of both


@pytest.mark.parametrize(
    ("entry", "told"),
    [
        ("roll", "an equals sign is missing"),
        ("roll=", "an equals sign is missing"),
        ("roll=12 deg", "how well was it read?"),
        ("roll=12 kg ± 1 kg", "12 kg ± 1 kg"),
        ("lifts=left rear", "left rear is not a wheel; one of front left"),
        ("load.middle=4 kN ± 1 kN", "middle is not a wheel"),
        ("rol=12 deg ± 1 deg", "there is nothing called rol; is it roll?"),
        ("colour=blue", "there is nothing called colour; write roll, lifts"),
    ],
)
def test_what_cannot_be_used_is_told_with_what_works(entry, told):
    found, faults = seen(entry)
    assert found is None
    assert len(faults) == 1
    assert faults[0].startswith(f"--seen {entry}:")
    assert told in faults[0]


def test_what_the_file_gives_exactly_is_not_learned():
    exact = next(key for key, one in SPEC.inputs.items() if one.high == one.low)
    found, faults = seen(f"{exact}=3")
    assert found is None
    assert faults == [f"--seen {exact}=3: the file gives {exact} exactly; change it there, or with --set"]
