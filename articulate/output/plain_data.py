"""What data about vehicle files share: their head, their inputs, units, and what looks unlike what is meant."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from enum import Enum
from typing import TYPE_CHECKING, Any

from articulate.output.layout import finite
from articulate.output.wheels_and_ranges import vehicle_head
from articulate.spec.key_lookup import entry_of
from articulate.spec.plausibility import Doubt
from articulate.spec.quantities import DIMENSIONS, Estimate
from articulate.spec.vehicle_spec import VehicleSpec

if TYPE_CHECKING:
    from articulate.output.command_data import DoubtData, EstimateData, FileData, InputData

_UNIT = re.compile("_(m|rad|N|Pa|kg)$")
NO_UNIT = "1"  # the SI unit of what has no dimension
_OF_THE_TEST = {
    "test.ramp_angle": "rad",
    "test.touch_load": "N",
    "test.holding_share": NO_UNIT,
    "test.friction": NO_UNIT,
}


def same_names(record: object, *names: str, **others: object) -> Any:
    """Data whose keys are names that the record has too, then what has another name or is made of several.

    The unit at the end of a key is no part of the name: `climb_m` is the record's `climb`. What is not finite is null,
    and an outcome has its name. It is meant for keys declared as a `TypedDict`; that they are those, no more and no
    fewer, the JSON Schemas made of the declarations say.
    """
    return {name: _plain(getattr(record, _UNIT.sub("", name))) for name in names} | others


def _plain(value: Any) -> Any:
    """A value of a record as data."""
    if isinstance(value, float):
        return finite(value)
    return value.name.lower() if isinstance(value, Enum) else value


def file_data(spec: VehicleSpec) -> FileData:
    """What data about one vehicle file begin with."""
    return {
        **vehicle_head(spec.name),
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


def estimate_data(estimate: Estimate) -> EstimateData:
    """An estimate as plain data [SI]."""
    found: EstimateData = same_names(estimate, "value", "low", "high", "distribution", "source", "basis", "chance")
    return found


def inputs_data(inputs: Mapping[str, Estimate]) -> dict[str, InputData]:
    """Inputs of a vehicle file by their keys, each with its SI unit."""
    return {key: {"unit": key_unit(key), **estimate_data(estimate)} for key, estimate in inputs.items()}


def doubt_data(asked: Sequence[Doubt]) -> list[DoubtData]:
    """What of a file or a reading should be asked about, as plain data."""
    return [
        same_names(one, "place", "line", "key", "read", "what", "value", "usual", "known", "meant") for one in asked
    ]
