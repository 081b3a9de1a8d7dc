"""Answers to checks as a person writes them: `ramp.angle=19.2 deg`, `bar links=fine`, `coil seats=found`."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from articulate.spec.errors import QuantityError
from articulate.spec.quantities import NORMAL_90, read_quantity
from articulate.studies.audit.channels import LOOKS, Channel

FOUND, FINE = "found", "fine"


class AnswerError(ValueError):
    """Answers that cannot be read; one line each."""


@dataclass(frozen=True)
class Answers:
    """What checks have found: values with their scatter [SI], looks, and the answers as given."""

    values: Mapping[str, tuple[float, float]]
    looks: Mapping[str, bool]
    given: tuple[str, ...] = ()


def read_answers(answers: Sequence[str], channels: Sequence[Channel]) -> Answers:
    """Read answers on these channels; a `±` narrows or widens the usual scatter of that reading.

    Raises:
        AnswerError: with a line for every answer that cannot be read and what would work.
    """
    values: dict[str, tuple[float, float]] = {}
    looks: dict[str, bool] = {}
    faults = []
    offered = {channel.key: channel for channel in channels}
    for text in answers:
        key, separator, value = (part.strip() for part in text.partition("="))
        if not separator:
            faults.append(f"{text}: an equals sign is missing; write, for instance, ramp.angle='19.6 deg'")
        elif key in LOOKS:
            if value in (FOUND, FINE):
                looks[key] = value == FOUND
            else:
                faults.append(f"{text}: answer {key}={FINE}, or {key}={FOUND} where something is not as it should be")
        elif key in offered:
            channel = offered[key]
            try:
                reading = read_quantity(value, channel.dimension)
            except QuantityError as error:
                faults.append(f"{text}: {error}")
                continue
            scatter = channel.scatter
            if reading.distribution != "exact":
                width = reading.high - reading.low
                scatter = width / (math.sqrt(12.0) if reading.distribution == "rectangular" else 2.0 * NORMAL_90)
            values[key] = (reading.value, max(scatter, 1e-9))
        else:
            near = difflib.get_close_matches(key, [*offered, *LOOKS], 1, 0.5)
            hint = f"did you mean {near[0]}?" if near else "the keys stand under each check"
            faults.append(f"{text}: {key} is nothing this audit can take; {hint}")
    if faults:
        raise AnswerError("\n".join(f"--answer {fault}" for fault in faults))
    return Answers(values, looks, tuple(answers))
