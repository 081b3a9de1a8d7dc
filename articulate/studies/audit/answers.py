"""Answers to checks as a person writes them: `ramp.angle=19.2 deg`, `bar links=fine`, `coil seats=found`."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from articulate.constants import NORMAL_90
from articulate.errors import ArticulateError
from articulate.spec.entries import Quantity
from articulate.spec.errors import QuantityError
from articulate.spec.quantities import ANGLE, FORCE, LENGTH, LINEAR_RATE, PRESSURE, Estimate, read_quantity
from articulate.studies.audit.channels import Channel
from articulate.studies.audit.checks import LOOKS
from articulate.studies.learn.observation_names import whole_name
from articulate.types import Case

FOUND, FINE = "found", "fine"
_GAP = Quantity(LENGTH, 0.0, 0.8, "90 mm")
_BODY_ANGLE = Quantity(ANGLE, -math.pi / 3.0, math.pi / 3.0, "14.5 deg")
_CLIMB = Quantity(LENGTH, 0.01, 9.0, "1250 mm")
PLAUSIBLE = {  # by the key, or the part of it that says what is read
    "ramp.angle": Quantity(ANGLE, math.radians(5.0), math.radians(35.0), "19.6 deg"),
    "vehicle.heading": Quantity(ANGLE, math.radians(-45.0), math.radians(45.0), "6 deg"),
    "ramp.sinks": Quantity(LENGTH, -0.05, 0.5, "12 mm"),
    "floor.sinks": Quantity(LENGTH, -0.05, 0.5, "12 mm"),
    "wheel.radius": Quantity(LENGTH, 0.15, 0.75, "381 mm"),
    "wheelbase": Quantity(LENGTH, 1.2, 6.5, "2850 mm"),
    "tyre.diameter": Quantity(LENGTH, 0.45, 1.5, "803 mm"),
    "tyre.pressure": Quantity(PRESSURE, 3e4, 8e5, "36 psi"),
    "spring_rate": Quantity(LINEAR_RATE, 3e3, 5e5, "30 N/mm"),
    "friction_band": Quantity(LENGTH, 0.0, 0.3, "8 mm"),
    "hub_height": Quantity(LENGTH, 0.1, 0.8, "381 mm"),
    "stop_gap": _GAP,
    "arch_gap": _GAP,
    "droop": _GAP,
    "hub_travel": Quantity(LENGTH, -0.8, 0.8, "-160 mm"),
    "load": Quantity(FORCE, 0.0, 1e5, "5200 N"),
    "roll": _BODY_ANGLE,
    "roll_front": _BODY_ANGLE,
    "roll_rear": _BODY_ANGLE,
    "pitch": _BODY_ANGLE,
    "mark_again": _CLIMB,
    "run_again": _CLIMB,
}


class AnswerError(ArticulateError, ValueError):
    """Answers that cannot be read; one line each."""


@dataclass(frozen=True)
class Answers:
    """What checks have found: values with their scatter [SI], looks, and the answers as given."""

    values: Mapping[str, tuple[float, float]]
    looks: Mapping[str, bool]
    given: tuple[str, ...] = ()


def grammar_fault(text: str) -> str:
    """Why a text is no answer whatever was asked; empty where it may be one."""
    key, separator, _ = text.partition("=")
    why = "not a key, an equals sign and a value"
    fault = f"{text or 'nothing'}: {why}; write, for instance, ramp.angle='19.6 deg'"
    return "" if separator and key.strip() else fault


def read_answers(answers: Sequence[str], channels: Sequence[Channel], cases: Sequence[Case] = ()) -> Answers:
    """Read answers on these channels; a `±` narrows or widens the usual scatter of that reading.

    A name that leaves out side or bars (`released.roll`) is that of the first side of these cases.

    Raises:
        AnswerError: with a line for every answer that cannot be read and what would work.
    """
    values: dict[str, tuple[float, float]] = {}
    looks: dict[str, bool] = {}
    faults = []
    offered = {channel.key: channel for channel in channels}
    side = cases[0].side if cases else "left"
    for text in answers:
        key, _, value = (part.strip() for part in text.partition("="))
        key = key if key in offered else whole_name(key, side)
        if fault := grammar_fault(text):
            faults.append(fault)
        elif key in values or key in looks:
            faults.append(f"{text}: {key} is answered above already; keep one of the two")
        elif key in LOOKS:
            if value in (FOUND, FINE):
                looks[key] = value == FOUND
            else:
                faults.append(f"{text}: answer {key}={FINE}, or {key}={FOUND} where something is not as it should be")
        elif key in offered:
            channel = offered[key]
            try:
                reading = _plausible(key, read_quantity(value, channel.dimension))
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


def _plausible(key: str, reading: Estimate) -> Estimate:
    """The reading, where its value is one a vehicle can have; its tolerance may reach beyond, as around a gap of zero.

    Raises:
        QuantityError: it is not.
    """
    parts = key.split(".")
    limits = next(PLAUSIBLE[name] for name in (key, ".".join(parts[:2]), *parts) if name in PLAUSIBLE)
    limits.check(replace(reading, low=reading.value, high=reading.value))
    return reading
