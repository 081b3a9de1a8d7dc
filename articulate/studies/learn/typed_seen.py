"""What was seen, as a person types it: `roll='12 deg ± 0.5 deg'`, `released.lifts='rear left'`, a key of the file."""

from __future__ import annotations

from collections.abc import Mapping

from articulate.spec import quantities
from articulate.spec.errors import QuantityError, nearest
from articulate.spec.quantities import ANGLE, FORCE, RATIO, ROLL_RATE, Dimension, Estimate
from articulate.studies.learn.observation_names import whole_name
from articulate.studies.learn.readings import Evidence, InputReading, LiftSeen, LoadReading, RollReading
from articulate.types import BAR_STATES, SIDES, WHEELS, Case

OPTION = "--seen"
_KINDS = ("LENGTH", "MASS", "ANGLE", "PRESSURE", "MODULUS", "FREQUENCY", "LINEAR_RATE", "CUBIC_RATE")


def grammar_fault(entry: str, named: str = OPTION) -> str:
    """Why a text says nothing that was seen, whatever the vehicle; empty where it may. `named`: as in `read_seen`."""
    said = entry.partition("=")[2].strip()
    return "" if said else f"{named} {entry}: an equals sign is missing; write {named} roll='12 deg ± 0.5 deg'"


def read_seen(
    entry: str,
    side: str,
    inputs: Mapping[str, Estimate],
    keys: tuple[str, ...],
    faults: list[str],
    named: str = OPTION,
) -> Evidence | LiftSeen | None:
    """One observation as typed; None, and what is wrong goes to the faults, where it cannot be used.

    Args:
        entry: `WHAT=VALUE`.
        side: of the front wheel on the ramp, where the entry does not say it.
        inputs: all of the vehicle and the test.
        keys: those of them that are uncertain.
        faults: sentences of what was read, why it is wrong and what would work.
        named: what such entries are called where they were typed.
    """
    if fault := grammar_fault(entry, named):
        faults.append(fault)
        return None
    typed = f"{named} {entry}"
    what, _, value = (part.strip() for part in entry.partition("="))
    where, _, name = whole_name(what, side).partition(".")
    at_rest = where == "rest"
    bars, _, name = ("connected", "", name) if at_rest else name.partition(".")
    kind, _, wheel = name.partition(".")
    if not (at_rest or (where in SIDES and bars in BAR_STATES)):
        return _input_seen(typed, what, value, inputs, keys, faults)
    case = Case(side if at_rest else where, bars)
    if name == "lifts" and not at_rest:
        place = _wheel(typed, value, faults)
        return LiftSeen(case, place) if place >= 0 else None
    if name == "roll" and not at_rest:
        read, deviation = _quantity(typed, value, ANGLE, faults)
        return RollReading(case, read, deviation) if deviation > 0.0 else None
    if kind == "load":
        place = _wheel(typed, wheel, faults)
        read, deviation = _quantity(typed, value, FORCE, faults)
        return LoadReading(case, place, at_rest, read, deviation) if place >= 0 and deviation > 0.0 else None
    return _input_seen(typed, what, value, inputs, keys, faults)


def _input_seen(
    typed: str, key: str, value: str, inputs: Mapping[str, Estimate], keys: tuple[str, ...], faults: list[str]
) -> InputReading | None:
    """An input of the vehicle measured after all."""
    if key in keys:
        estimate = inputs[key]
        read, deviation = _quantity(typed, value, _dimension(estimate), faults)
        return InputReading(key, read, deviation, estimate.unit, estimate.unit_size) if deviation > 0.0 else None
    if key in inputs:
        faults.append(f"{typed}: the file gives {key} exactly; change it there, or with --set")
    else:
        close = nearest(key, [*keys, "roll", "lifts", "load.rear_right", "flat_load.front_left"])
        works = f"is it {close}?" if close else "write roll, lifts, load.rear_right or a key of the file"
        faults.append(f"{typed}: there is nothing called {key}; {works}")
    return None


def _wheel(typed: str, text: str, faults: list[str]) -> int:
    """Index of a wheel, or -1 with a fault."""
    name = text.strip().replace("_", " ").replace("-", " ").lower()
    if name in WHEELS:
        return WHEELS.index(name)
    faults.append(f"{typed}: {text or 'nothing'} is not a wheel; one of {', '.join(WHEELS)}")
    return -1


def _quantity(typed: str, text: str, dimension: Dimension, faults: list[str]) -> tuple[float, float]:
    """Value and standard uncertainty [SI], any value within the limits as likely as another; 0 with a fault."""
    try:
        reading = quantities.read_quantity(text, dimension)
    except QuantityError as error:
        faults.append(f"{typed}: {text}: {error}")
        return 0.0, 0.0
    deviation = float((reading.high - reading.low) / 12.0**0.5)
    if deviation == 0.0:
        faults.append(f"{typed}: how well was it read? Write '{text} ± …' (limits)")
    return reading.value, deviation


def _dimension(estimate: Estimate) -> Dimension:
    """The kind of quantity that an input is, by the unit it is shown in."""
    if not estimate.unit:
        return RATIO
    for name in _KINDS:
        found: Dimension = getattr(quantities, name)
        try:
            quantities.unit_size(estimate.unit, found)
        except QuantityError:
            continue
        return found
    return RATIO if estimate.unit == "%" else FORCE if estimate.unit in ("N", "kN") else ROLL_RATE
