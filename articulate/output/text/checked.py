"""What `check` says of a vehicle file, as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from articulate.output.plain_data import Doubts, FileData, Inputs, doubt_data, file_data, inputs_data
from articulate.output.text.arch import arch_first
from articulate.output.text.roll import RollGradientData, gradient_data
from articulate.output.wheels_and_ranges import Remarks
from articulate.spec import VehicleSpec
from articulate.spec.plausibility import Doubt
from articulate.studies.predict.roll_range import RollRange


class CheckedData(FileData):
    """A vehicle file that can be used, and what to look at again."""

    inputs: Annotated[int, "inputs of the vehicle"]
    assumed: Annotated[int, "those that are assumed"]
    roll_gradient: RollGradientData
    arch_first: Annotated[list[str], "where the tyre's arch comes before the stop, in sentences"]
    asked_about: Doubts
    remarks: Remarks
    assumptions: Inputs


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
