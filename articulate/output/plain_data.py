"""What data of all commands share: wheels, ranges, units and the head that names a vehicle file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from articulate.output.layout import SCHEMA_VERSION, estimate_data, finite
from articulate.spec.key_lookup import entry_of
from articulate.spec.quantities import DIMENSIONS, Estimate
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.types import WHEELS

WHEEL_KEYS = tuple(wheel.replace(" ", "_") for wheel in WHEELS)  # of the four wheels in data
NO_UNIT = "1"  # the SI unit of what has no dimension
_OF_THE_TEST = {
    "test.ramp_angle": "rad",
    "test.touch_load": "N",
    "test.holding_share": NO_UNIT,
    "test.friction": NO_UNIT,
}


def wheel_key(wheel: int) -> str | None:
    """What a wheel is called in data, None for -1, none of them."""
    return WHEEL_KEYS[wheel] if wheel >= 0 else None


def by_wheel(values: Iterable[float]) -> dict[str, float | None]:
    """Four values by the wheels' names in data."""
    return dict(zip(WHEEL_KEYS, map(finite, values), strict=True))


def limits_data(limits: tuple[float, float]) -> dict[str, float | None]:
    """The two ends of a range as plain data."""
    return {"low": finite(limits[0]), "high": finite(limits[1])}


def file_data(spec: VehicleSpec) -> dict[str, Any]:
    """What data about one vehicle file begin with."""
    return {
        "schema_version": SCHEMA_VERSION,
        "vehicle": spec.name,
        "file": spec.path,
        "file_sha256": spec.text_hash,
    }


def si_unit(shown: str) -> str:
    """The SI unit of what is shown in a unit, such as "m" for "mm"."""
    if shown in ("", "mm/N"):  # none, and that of a climb by load, which run sheets alone have
        return {"": NO_UNIT, "mm/N": "m/N"}[shown]
    return next(one.si_unit for one in DIMENSIONS if shown in one.units) or NO_UNIT


def key_unit(key: str) -> str:
    """The SI unit of a key of the vehicle file or of the test's conditions."""
    if key in _OF_THE_TEST:
        return _OF_THE_TEST[key]
    entry = entry_of(key)
    assert entry is not None
    return entry.dimension.si_unit or NO_UNIT


def inputs_data(inputs: Mapping[str, Estimate]) -> dict[str, Any]:
    """Inputs of a vehicle file by their keys, each with its SI unit."""
    return {key: {"unit": key_unit(key), **(estimate_data(estimate) or {})} for key, estimate in inputs.items()}
