"""Vehicle files: from what a person writes to the arrays of the model."""

from __future__ import annotations

from pathlib import Path

from articulate.spec.build import Bodywork, build, build_bodywork, build_many, build_whole
from articulate.spec.build_wheelhouse import Swept, WheelhouseSweep
from articulate.spec.errors import Fault, InputError, SpecError, UnphysicalError, Violation
from articulate.spec.json_schema import vehicle_schema
from articulate.spec.load import parse, read_text
from articulate.spec.quantities import Estimate
from articulate.spec.resolve import resolve
from articulate.spec.settings import with_setting, with_settings
from articulate.spec.template import template
from articulate.spec.vehicle_spec import AxleChoices, DriveChoices, VehicleSpec

__all__ = [
    "AxleChoices",
    "Bodywork",
    "DriveChoices",
    "Estimate",
    "Fault",
    "InputError",
    "SpecError",
    "Swept",
    "UnphysicalError",
    "VehicleSpec",
    "Violation",
    "WheelhouseSweep",
    "build",
    "build_bodywork",
    "build_many",
    "build_whole",
    "load_vehicle",
    "read_vehicle",
    "template",
    "vehicle_schema",
    "with_setting",
    "with_settings",
]


def load_vehicle(path: str | Path) -> VehicleSpec:
    """Load a vehicle file.

    Raises:
        SpecError: every fault of the file, each with its line and what would work.
    """
    return read_vehicle(read_text(path), str(path))


def read_vehicle(text: str, name: str) -> VehicleSpec:
    """Read the text of a vehicle file; `name` is what its faults are reported under.

    Raises:
        SpecError: every fault of the text, each with its line and what would work.
    """
    return resolve(parse(text, name))
