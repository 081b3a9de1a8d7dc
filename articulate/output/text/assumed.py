"""What a vehicle file leaves to be assumed, each with its range and what that rests on."""

from __future__ import annotations

from articulate.output.layout import wrapped
from articulate.output.text.input_names import input_name
from articulate.output.units import lengths_of
from articulate.spec import VehicleSpec

HEADING = "assumed, not given: value, 90 % range, and what it rests on; written into the file under its key it is given"


def assumed_lines(spec: VehicleSpec) -> list[str]:
    """A paragraph for every assumed input: its key, value and range, and the evidence in words."""
    lines, lengths = [wrapped(HEADING, "")], lengths_of([spec])
    for key, estimate in spec.assumed().items():
        lines += ["", wrapped(f"{key}: {input_name(key)}, {lengths.limits(estimate)}", "  ")]
        lines.append(wrapped(estimate.basis, "    ", "    "))
    return lines
