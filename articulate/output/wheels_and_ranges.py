"""What data of all commands share and needs no vehicle file: sides, bars, wheels, scores, and ranges of one form."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from articulate.output.layout import SCHEMA_VERSION, finite
from articulate.types import WHEELS

if TYPE_CHECKING:
    from articulate.output.command_data import ClimbsHead, IntervalData, Limits, RunHead, VehicleHead
    from articulate.studies.population.intervals import Interval

WHEEL_KEYS = tuple(wheel.replace(" ", "_") for wheel in WHEELS)  # of the four wheels in data


def vehicle_head(name: str) -> VehicleHead:
    """What data about one vehicle begin with."""
    return {"schema_version": SCHEMA_VERSION, "vehicle": name}


def climbs_head(vehicle: str, side: str, angle: float) -> ClimbsHead:
    """What data about climbs of one nominal vehicle begin with; the ramp's angle [rad]."""
    return {**vehicle_head(vehicle), "side": side, "ramp_angle_rad": angle}


def run_head(bars: str, side: str, angle: float) -> RunHead:
    """What data about one kind of run say of it; the ramp's angle [rad]."""
    return {"bars": bars, "side": side, "ramp_angle_rad": angle}


def wheel_key(wheel: int) -> str | None:
    """What a wheel is called in data, None for -1, none of them."""
    return WHEEL_KEYS[wheel] if wheel >= 0 else None


def by_wheel(values: Iterable[float]) -> dict[str, float | None]:
    """Four values by the wheels' names in data."""
    return dict(zip(WHEEL_KEYS, map(finite, values), strict=True))


def limits_data(limits: tuple[float, float]) -> Limits:
    """The two ends of a range as plain data."""
    return {"low": finite(limits[0]), "high": finite(limits[1])}


def interval(value: float, limits: tuple[float, float]) -> IntervalData:
    """A value and its range as plain data."""
    return {"value": finite(value), **limits_data(limits)}


def interval_data(found: Interval) -> IntervalData:
    """A value with its range as plain data; what is not finite is null."""
    return interval(found.value, (found.low, found.high))
