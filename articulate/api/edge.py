"""What every function of the library refuses before it does anything: arguments of a kind that it cannot use."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import fields
from functools import wraps
from typing import ParamSpec, TypeVar

from articulate.api.ramp import Ramp
from articulate.errors import ArgumentError

P = ParamSpec("P")
T = TypeVar("T")

LIKE = {  # arguments that are a text, and one that would work
    "connected": "587 ± 3",
    "released": "655 ± 3",
    "measured_released": "655 ± 3",
    "to": "23 deg",
    "key": "rear.travel.bump",
    "bars": "released",
    "tyre": "265/70R17",
}
LISTS = {
    "sizes": ["255/70R17", "285/70R17"],
    "answers": ["bar links=fine"],
    "seen": ["roll=12 deg ± 0.5 deg"],
}  # and lists of texts
WHOLE = ("points", "samples", "seed")  # whole numbers, none below zero
OF_RAMP = {field.name for field in fields(Ramp)}
LARGEST = 2**32 - 1


def checked(function: Callable[P, T]) -> Callable[P, T]:
    """A function that refuses arguments of another kind than it takes, all of them at once.

    Raises:
        ArgumentError: what is wrong with each, and what would work.
    """
    signature = inspect.signature(function)

    @wraps(function)
    def called(*args: P.args, **kwargs: P.kwargs) -> T:
        faults = [
            f"{name}: the ramp says it; write ramp=articulate.Ramp({name}={value!r})"
            for name, value in kwargs.items()
            if name in OF_RAMP and name not in signature.parameters
        ]
        try:
            given = {} if faults else signature.bind(*args, **kwargs).arguments
        except TypeError:  # which the function itself says below, with its name
            given = {}
        faults += [fault for name, value in given.items() if (fault := _fault(name, value))]
        if faults:
            raise ArgumentError("; ".join(faults))
        return function(*args, **kwargs)

    return called


def _fault(name: str, value: object) -> str:
    """What is wrong with an argument, empty where nothing is."""
    said = f"{name} {value!r}"
    if name == "ramp" and not isinstance(value, Ramp):
        return f"{said}: not a Ramp; write articulate.Ramp(angle='23 deg')"
    if name in WHOLE and not (type(value) is int and 0 <= value <= LARGEST):
        return f"{said}: not a whole number from 0 to {LARGEST}"
    if name == "score" and type(value) not in (int, float):
        return f"{said}: not a number; 600 is usual"
    if name in LIKE and value is not None and not isinstance(value, str):
        return f"{said}: not a text; write {LIKE[name]!r}"
    if name in LISTS and isinstance(value, str):
        return f"{said}: one text; give a list such as {LISTS[name]!r}"
    return ""
