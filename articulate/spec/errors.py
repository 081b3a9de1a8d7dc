"""What can be wrong with a vehicle file, as data: every fault with its place and a way out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

import numpy as np
from numpy.typing import NDArray

from articulate.errors import ArticulateError

MOST_SAID = 50  # faults; nobody reads more at once
_LONGEST = 400  # letters of one part of a fault


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
        key, read, why, works = map(_shortened, (self.key, self.read, self.why, self.works))
        if self.read == "nothing":  # then there is nothing to quote
            return f"{where}: {f'{key}: {why}' if key else why}; {works}"
        return f"{where}: {f'{key}: {read}' if key else read}, but {why}; {works}"


class FaultText(str):
    """A fault as it is said, with its parts for whoever wants them."""

    fault: Fault

    @classmethod
    def of(cls, fault: Fault) -> FaultText:
        """The text of a fault."""
        text = cls(fault)
        text.fault = fault
        return text


class SpecError(ArticulateError, ValueError):
    """A vehicle file that cannot be used: its faults at once, in the order of the file.

    Args:
        faults: what is wrong; the text says the first `MOST_SAID`, and how many there are more.
        uncounted: how many there are beside them, which nobody looked at.
    """

    def __init__(self, faults: Iterable[Fault], uncounted: int = 0) -> None:
        self.faults = tuple(sorted(set(faults), key=lambda fault: (fault.line or 0, fault.key, fault.why)))
        self.uncounted = uncounted
        said: list[str] = [FaultText.of(fault) for fault in self.faults[:MOST_SAID]]
        if more := len(self.faults) - len(said) + uncounted:
            said.append(f"{self.faults[0].place}: and {more} more; mend these first")
        self.said = tuple(said)  # a line each
        super().__init__("\n".join(said))

    def __reduce__(self) -> tuple[type[SpecError], tuple[tuple[Fault, ...], int]]:
        """Survive the way between processes."""
        return type(self), (self.faults, self.uncounted)


class QuantityError(ArticulateError, ValueError):
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


class UnphysicalError(ArticulateError, ValueError):
    """Sampled inputs that make a vehicle which cannot stand.

    Args:
        violations: each with inputs and lanes.
        faults: the same as faults of the vehicle file, in their order.
    """

    def __init__(self, violations: Iterable[Violation], faults: Iterable[Fault] = ()) -> None:
        self.violations = tuple(violations)
        self.faults = tuple(faults)
        self.said: tuple[str, ...] = tuple(map(FaultText.of, self.faults))  # a line each
        super().__init__("\n".join(self.said))

    def __reduce__(self) -> tuple[type[UnphysicalError], tuple[tuple[Violation, ...], tuple[Fault, ...]]]:
        """Survive the way between processes."""
        return type(self), (self.violations, self.faults)


class InputError(ArticulateError, KeyError):
    """Samples for an input that the vehicle does not have, or of the wrong shape."""

    def __str__(self) -> str:
        return str(self.args[0])


def nearest(name: str, names: Iterable[str]) -> str | None:
    """The name closest in spelling to `name`, or None if nothing is close."""
    close = get_close_matches(name, list(names), n=1, cutoff=0.6)
    return close[0] if close else None


def _shortened(text: str) -> str:
    text = text.replace("\n", " ")  # a fault is one line, whatever it quotes
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"
