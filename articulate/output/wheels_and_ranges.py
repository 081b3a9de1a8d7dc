"""What data of all commands share and needs no vehicle file: sides, bars, wheels, scores, and ranges of one form."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, TypedDict

from articulate.output.data_schema import Keys, OneOf
from articulate.output.layout import finite
from articulate.types import AXLES, BAR_STATES, SIDES, WHEELS

WHEEL_KEYS = tuple(wheel.replace(" ", "_") for wheel in WHEELS)  # of the four wheels in data
Score = Annotated[float | None, "1000 x climb / wheelbase [points]; null where there is none"]
SideKey = Annotated[str, OneOf(SIDES), "front wheel that climbs"]
SidesKey = Annotated[str, OneOf([*SIDES, "both"]), "front wheel that climbed; both: the mean of the two"]
BarsKey = Annotated[str, OneOf(BAR_STATES), "state of the anti-roll bars"]
AxleKey = Annotated[str, OneOf(AXLES), "axle"]
WheelKey = Annotated[str, OneOf(WHEEL_KEYS), "wheel of the vehicle"]
WheelOrNone = Annotated[str | None, OneOf(WHEEL_KEYS), "wheel of the vehicle; null for none"]
ByWheel = Annotated[dict[str, float | None], Keys(WHEEL_KEYS), "by wheel"]
Remarks = Annotated[list[str], "sentences on what is worth knowing of the file or the answer"]


class Limits(TypedDict):
    """The two ends of a range."""

    low: Annotated[float | None, "lower end; null where there is none"]
    high: Annotated[float | None, "upper end; null where there is none"]


class IntervalData(Limits):
    """A value and its range, the central 90 % where nothing else is said."""

    value: Annotated[float | None, "nominal value; null where there is none"]


class MedianInterval(Limits):
    """A median and the central 90 %."""

    median: Annotated[float | None, "median; null where there is none"]


class PlaceRange(TypedDict):
    """The places a vehicle may have."""

    low: Annotated[int, "best place"]
    high: Annotated[int, "last place"]


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
