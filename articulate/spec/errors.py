"""What can be wrong with a vehicle file, as data: every fault with its place and a way out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class Fault:
    """One thing wrong in a vehicle file or a setting.

    `place` is the file name or the setting as typed; `line` counts from 1 and is None where a line
    means nothing (a directory, a setting). `key` is the dotted key, empty for the file as a whole.
    """

    place: str
    line: int | None
    key: str
    read: str
    why: str
    works: str

    def __str__(self) -> str:
        where = self.place if self.line is None else f"{self.place}:{self.line}"
        what = f"{self.key}: {self.read}" if self.key else self.read
        return f"{where}: {what}, but {self.why}; {self.works}"


class SpecError(ValueError):
    """A vehicle file that cannot be used: all its faults at once, in the order of the file."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(sorted(set(faults), key=lambda fault: (fault.line or 0, fault.key, fault.why)))
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def __reduce__(self) -> tuple[type[SpecError], tuple[tuple[Fault, ...]]]:
        """Survive the way between processes."""
        return type(self), (self.faults,)


class QuantityError(ValueError):
    """A text that is not the quantity asked for: `why` it is not, and what `works` instead."""

    def __init__(self, why: str, works: str) -> None:
        self.why = why
        self.works = works
        super().__init__(f"{why}; {works}")


@dataclass(frozen=True)
class Violation:
    """A derived value that no vehicle can have, with the inputs it was derived from."""

    what: str
    inputs: tuple[str, ...]
    works: str
    lanes: NDArray[np.intp]

    def __str__(self) -> str:
        return f"{self.what} (from {', '.join(self.inputs)}; lanes {_few(self.lanes)}); {self.works}"


class UnphysicalError(ValueError):
    """Sampled inputs that make a vehicle which cannot stand: every violation with inputs and lanes."""

    def __init__(self, violations: Iterable[Violation]) -> None:
        self.violations = tuple(violations)
        super().__init__("\n".join(str(violation) for violation in self.violations))

    def __reduce__(self) -> tuple[type[UnphysicalError], tuple[tuple[Violation, ...]]]:
        """Survive the way between processes."""
        return type(self), (self.violations,)


class InputError(KeyError):
    """Samples for an input that the vehicle does not have, or of the wrong shape."""

    def __str__(self) -> str:
        return str(self.args[0])


def nearest(name: str, names: Iterable[str]) -> str | None:
    """The name closest in spelling to `name`, or None if nothing is close."""
    close = get_close_matches(name, list(names), n=1, cutoff=0.6)
    return close[0] if close else None


def _few(lanes: NDArray[np.intp]) -> str:
    shown = ", ".join(str(lane) for lane in lanes[:5])
    return shown if lanes.size <= 5 else f"{shown} and {lanes.size - 5} more"
