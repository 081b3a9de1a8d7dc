"""What data about vehicle files share: their head, their inputs, units, and what looks unlike what is meant."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, TypedDict, get_args

from articulate.output.data_schema import OneOf
from articulate.output.layout import SCHEMA_VERSION, VERSION
from articulate.spec.key_lookup import entry_of
from articulate.spec.plausibility import Doubt
from articulate.spec.quantities import DIMENSIONS, Distribution, Estimate, Source
from articulate.spec.vehicle_spec import VehicleSpec

NO_UNIT = "1"  # the SI unit of what has no dimension
_OF_THE_TEST = {
    "test.ramp_angle": "rad",
    "test.touch_load": "N",
    "test.holding_share": NO_UNIT,
    "test.friction": NO_UNIT,
}


class FileData(TypedDict):
    """What data about one vehicle file begin with."""

    schema_version: Annotated[int, VERSION]
    vehicle: Annotated[str, "name of the vehicle"]
    file: Annotated[str, "vehicle file as it was named"]
    file_sha256: Annotated[str, "SHA-256 of the file's text, hexadecimal"]


class EstimateData(TypedDict):
    """A quantity as it is known."""

    value: Annotated[float, "value, the most likely one"]
    low: Annotated[float, "lower limit; of a normal distribution the 5 % quantile"]
    high: Annotated[float, "upper limit; of a normal distribution the 95 % quantile"]
    distribution: Annotated[str, OneOf(get_args(Distribution)), "how likely is what lies between"]
    source: Annotated[str, OneOf(get_args(Source)), "how it is known"]
    basis: Annotated[str, "the text as written and its line, or what it was assumed from"]
    chance: Annotated[float, "probability [1] that there is any of it at all"]


class InputData(EstimateData):
    """An input of a vehicle file."""

    unit: Annotated[str, "SI unit of value, low and high"]


Inputs = Annotated[dict[str, InputData], "inputs by their keys in the vehicle file"]


class DoubtData(TypedDict):
    """A value that looks unlike what is meant, as a question."""

    place: Annotated[str, "file it stands in"]
    line: Annotated[int | None, "line of the file, from 1"]
    key: Annotated[str, "key it stands at"]
    read: Annotated[str, "value as written"]
    what: Annotated[str, "quantity that it makes"]
    value: Annotated[str, "value of that quantity, with unit"]
    usual: Annotated[str, "usual range of it, with unit"]
    known: Annotated[str, "where the usual range is from"]
    meant: Annotated[str, "what was probably meant"]


Doubts = Annotated[list[DoubtData], "values to look at again"]


def file_data(spec: VehicleSpec) -> FileData:
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


def estimate_data(estimate: Estimate) -> EstimateData:
    """An estimate as plain data [SI]."""
    return {
        "value": estimate.value,
        "low": estimate.low,
        "high": estimate.high,
        "distribution": estimate.distribution,
        "source": estimate.source,
        "basis": estimate.basis,
        "chance": estimate.chance,
    }


def inputs_data(inputs: Mapping[str, Estimate]) -> dict[str, InputData]:
    """Inputs of a vehicle file by their keys, each with its SI unit."""
    return {key: {"unit": key_unit(key), **estimate_data(estimate)} for key, estimate in inputs.items()}


def doubt_data(asked: Sequence[Doubt]) -> list[DoubtData]:
    """What of a file or a reading should be asked about, as plain data."""
    return [
        {
            "place": one.place,
            "line": one.line,
            "key": one.key,
            "read": one.read,
            "what": one.what,
            "value": one.value,
            "usual": one.usual,
            "known": one.known,
            "meant": one.meant,
        }
        for one in asked
    ]
