"""The run sheet as pydantic models: every key, its kind, its plausible range and one line about it."""

from __future__ import annotations

import datetime
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticCustomError

from articulate.constants import DEGREE
from articulate.spec.entries import Quantity
from articulate.spec.keys import Maybe, Table, no_tables
from articulate.spec.quantities import ANGLE, FORCE, LENGTH, Dimension, Estimate
from articulate.types import Bars, Side

Wheel = Literal["front left", "front right", "rear left", "rear right"]

# A rate of climb against load has no unit of its own in vehicle files, so it is defined here.
CLIMB_PER_LOAD = Dimension("climb per load", (-1, 0, 2, 0), "m/N", ("mm/N", "in/lbf"), '"-0.18 mm/N"')


def _listed(entry: object) -> object:
    """One reading as a list of one, which the file need not write."""
    if not isinstance(entry, list):
        return (entry,)
    if not entry:
        raise PydanticCustomError(
            "quantity",
            "{why}; {works}",
            {
                "why": "nothing is read yet",
                "works": f'type what was read, such as ["{_CLIMB.example}"] or ["570 mm"], or take out this [[run]]',
                "under": "",
            },
        )
    return tuple(entry)


def _as_text(entry: object) -> object:
    """A TOML date or time as the text a person would write."""
    if isinstance(entry, datetime.datetime):
        return entry.isoformat(sep=" ")
    return entry.isoformat() if isinstance(entry, datetime.date | datetime.time) else entry


def _date(entry: object) -> object:
    text = str(_as_text(entry))
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError:
        raise PydanticCustomError(
            "quantity",
            "{why}; {works}",
            {
                "why": "that is not a day of the calendar" if text else "the day is not filled in yet",
                "works": "write date = 2026-05-14",
                "under": "",
            },
        ) from None


_CLIMB = Quantity(LENGTH, 0.01, 9.0, "22 7/16 in")
_RADIUS = Quantity(LENGTH, 0.1, 0.8, "381 mm")
_SMALL = Quantity(LENGTH, 0.0, 0.05, "2 mm")
_MOVED = Quantity(LENGTH, -0.1, 0.1, "0 to 4 mm")
_RISE = Quantity(LENGTH, 0.02, 5.0, "600 mm")
_TRAVEL = Quantity(LENGTH, -0.8, 0.8, "-160 mm")
_LOAD = Quantity(FORCE, 0.0, 1e5, "9800 N")
_BODY_ANGLE = Quantity(ANGLE, -60.0 * DEGREE, 60.0 * DEGREE, "14.5 deg")
_PER_LOAD = Quantity(CLIMB_PER_LOAD, -5e-3, 0.0, "-0.18 mm/N")


def _if_known(what: str) -> Any:
    """An entry that may be left out."""
    return Field(default=None, description=what)


Readings = Annotated[tuple[Annotated[Estimate, _CLIMB], ...], BeforeValidator(_listed)] | None


class RampTable(Table):
    """The ramp: its angle, or its rise with its run or its length along the slope."""

    angle: Annotated[Maybe, Quantity(ANGLE, 5.0 * DEGREE, 35.0 * DEGREE, "20 deg ± 0.1 deg")] = _if_known(
        "angle of the ramp to the flat, by inclinometer along the line of the wheel"
    )
    rise: Annotated[Maybe, _RISE] = _if_known("height of a point of the ramp over the flat, with run or slope_length")
    run: Annotated[Maybe, _RISE] = _if_known("level distance from the toe to below that point")
    slope_length: Annotated[Maybe, _RISE] = _if_known("distance from the toe to that point along the ramp")


class Tape(Table):
    """The tape."""

    accuracy_class: Literal["I", "II", "III"] | None = _if_known("class printed on the tape in an oval: I, II or III")
    limit: Annotated[Maybe, _SMALL] = _if_known("largest error of the tape over the lengths read, instead of its class")
    resolution: Annotated[Maybe, _SMALL] = _if_known("what the tape is read to, such as 1/16 in or 1 mm")


class ClimbingWheel(Table):
    """The climbing wheel, for readings at the hub or by plumb line."""

    radius_on_flat: Annotated[Maybe, _RADIUS] = _if_known(
        "height of the hub centre over flat ground before the climb (static loaded radius)"
    )
    radius_on_ramp: Annotated[Maybe, _RADIUS] = _if_known(
        "distance of the hub centre from the ramp, square to it, at the mark"
    )
    radius_loss: Annotated[Maybe, Quantity(LENGTH, -0.02, 0.2, "24 mm")] = _if_known(
        "radius_on_flat less radius_on_ramp, if only one of them was measured"
    )


class Method(Table):
    """How the run is stopped and read; whatever is not given is assumed."""

    touch_load: Annotated[Maybe, Quantity(FORCE, 0.0, 500.0, "10 to 50 N")] = _if_known(
        "load under the lifting tyre at which the film just pulls out"
    )
    climb_per_touch_load: Annotated[Maybe, _PER_LOAD] = _if_known(
        "how the climb at the lift changes with that load; a vehicle file gives it too"
    )
    roll_back: Annotated[Maybe, _MOVED] = _if_known(
        "how far the vehicle rolls back along the ramp between stopping and reading"
    )
    marking: Annotated[Maybe, _SMALL] = _if_known(
        "largest error of setting the mark below the hub, or of finding the hub centre"
    )
    repeatability: Annotated[Maybe, _SMALL] = _if_known(
        "standard deviation of climbs made anew, as earlier days showed it"
    )


class Corners(Table):
    """One quantity at each wheel, as far as it was taken."""


class WheelLoads(Corners):
    """Loads from scales, normal to the ground, at the stop."""

    front_left: Annotated[Maybe, _LOAD] = _if_known("front left wheel")
    front_right: Annotated[Maybe, _LOAD] = _if_known("front right wheel")
    rear_left: Annotated[Maybe, _LOAD] = _if_known("rear left wheel")
    rear_right: Annotated[Maybe, _LOAD] = _if_known("rear right wheel")


class WheelLengths(Corners):
    """Lengths measured at the wheels at the stop."""

    front_left: Annotated[Maybe, _TRAVEL] = _if_known("front left wheel")
    front_right: Annotated[Maybe, _TRAVEL] = _if_known("front right wheel")
    rear_left: Annotated[Maybe, _TRAVEL] = _if_known("rear left wheel")
    rear_right: Annotated[Maybe, _TRAVEL] = _if_known("rear right wheel")


class RunTable(Table):
    """One run: what was read, one way, as often as it was climbed."""

    side: Side = Field(description="front wheel on the ramp: left or right")
    bars: Bars = Field(description="anti-roll bars: connected or released")
    mark_height: Readings = _if_known("height over the flat of the mark squared from the ramp through the hub")
    slope_distance: Readings = _if_known("distance along the ramp from its toe to that mark")
    hub_height: Readings = _if_known("height of the hub centre over the flat; needs radius_on_ramp")
    hub_rise: Readings = _if_known("hub height less hub height before the climb; needs radius_on_flat")
    plumbed_mark_height: Readings = _if_known("height over the flat of the point a plumb line from the hub meets")
    plumbed_mark_distance: Readings = _if_known("distance along the ramp to the point a plumb line from the hub meets")
    lifted: Wheel | None = _if_known("the wheel that came free first")
    roll_angle: Annotated[Maybe, _BODY_ANGLE] = _if_known("roll of the body at the stop, left side up positive")
    pitch_angle: Annotated[Maybe, _BODY_ANGLE] = _if_known("pitch of the body at the stop, nose down positive")
    wheel_load: WheelLoads = Field(default_factory=WheelLoads.empty, description="loads from scales at the stop")
    hub_travel: WheelLengths = Field(
        default_factory=WheelLengths.empty, description="hub travel from ride height at the stop, bump positive"
    )
    arch_gap: WheelLengths = Field(
        default_factory=WheelLengths.empty, description="gap between tyre and arch at the stop"
    )
    time: Annotated[str, BeforeValidator(_as_text)] = Field(default="", description="time of day", max_length=40)
    notes: str = Field(default="", description="anything worth knowing", max_length=2000)


class SheetFile(Table):
    """A run sheet: one vehicle on one ramp on one day."""

    vehicle: str = Field(description="name of the vehicle", min_length=1, max_length=120)
    vehicle_file: str = Field(default="", description="its vehicle file, seen from this sheet", max_length=1000)
    title: str = Field(default="", description="tells two sheets of one vehicle and day apart", max_length=120)
    date: Annotated[str, BeforeValidator(_date)] = Field(description="day of the test")
    notes: str = Field(default="", description="anything worth knowing", max_length=20000)
    wheelbase: Annotated[Estimate, Quantity(LENGTH, 1.2, 6.5, "2850 mm ± 3 mm")] = Field(
        description="distance between the hubs of front and rear axle"
    )
    ramp: RampTable = Field(default_factory=RampTable.empty, description="the ramp")
    tape: Tape = Field(default_factory=Tape.empty, description="the tape")
    wheel: ClimbingWheel = Field(default_factory=ClimbingWheel.empty, description="the climbing wheel")
    method: Method = Field(default_factory=Method.empty, description="how the run is stopped and read")
    run: list[RunTable] = Field(description="the runs", min_length=1, max_length=500)


class DayFile(Table):
    """A file of the logbook: every sheet of one test day."""

    sheet: list[SheetFile] = Field(description="the run sheets", min_length=1, max_length=200)
    record: list[dict[str, Any]] = Field(
        default_factory=no_tables, description="what was noted when they were kept", max_length=200
    )
