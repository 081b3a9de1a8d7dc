"""What `check` says of a vehicle file, as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from articulate.output.plain_data import doubt_data, file_data, inputs_data
from articulate.output.text.arch import arch_first
from articulate.output.text.roll import gradient_data
from articulate.spec import VehicleSpec
from articulate.spec.plausibility import Doubt
from articulate.studies.predict.roll_range import RollRange

if TYPE_CHECKING:
    from articulate.output.command_data import CheckedData


def checked_data(spec: VehicleSpec, turn: RollRange, asked: Sequence[Doubt]) -> CheckedData:
    """What is to be said of a file that can be used."""
    return {
        **file_data(spec),
        "inputs": len(spec.inputs),
        "assumed": len(spec.assumed()),
        "roll_gradient": gradient_data(turn),
        "arch_first": arch_first(spec),
        "asked_about": doubt_data(asked),
        "remarks": list(spec.remarks),
        "assumptions": inputs_data(spec.assumed()),
    }
