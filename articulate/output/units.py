"""How lengths are shown to a person with a tape."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from articulate.spec.vehicle_spec import VehicleSpec

Unit = Literal["mm", "in"]

INCH = 0.0254  # [m], exact


def fractional_inches(length: float, parts: int = 16) -> str:
    """A length [m] in inches to the nearest 1/parts, such as `22 7/16 in`."""
    if not math.isfinite(length):
        return "-"
    sixteenths = round(abs(length) / INCH * parts)
    whole, rest = divmod(sixteenths, parts)
    sign = "-" if length < 0.0 and sixteenths else ""
    if not rest:
        return f"{sign}{whole} in"
    fraction = Fraction(rest, parts)
    lead = f"{whole} " if whole else ""
    return f"{sign}{lead}{fraction.numerator}/{fraction.denominator} in"


def inches_and_mm(length: float) -> str:
    """A length [m] in decimal inches and in millimetres."""
    if not math.isfinite(length):
        return "-"
    return f"{length / INCH:.2f} in, {length * 1000.0:.0f} mm"


@dataclass(frozen=True)
class Lengths:
    """Which units lengths are shown in, the first for whoever reads them."""

    shown: tuple[Unit, ...]

    @property
    def first(self) -> Unit:
        """The unit of a length that is shown in one alone."""
        return self.shown[0]

    def both(self, length: float, digits: int = 2) -> str:
        """A length [m] such as `1616 mm, 63.64 in`."""
        if not math.isfinite(length):
            return "-"
        return ", ".join(_in(unit, length, "", digits) for unit in self.shown)

    def one(self, length: float, *, signed: bool = False, digits: int = 2) -> str:
        """A length [m] in the first unit alone, whole millimetres or decimal inches."""
        return _in(self.first, length, "+" if signed else "", digits) if math.isfinite(length) else "-"

    def between(self, low: float, high: float, digits: int = 2) -> str:
        """A range [m] in the first unit: `490 to 598 mm`."""
        if not (math.isfinite(low) and math.isfinite(high)):
            return f"{self.one(low)} or more" if math.isfinite(low) else "-"
        return f"{self.one(low, digits=digits).rpartition(' ')[0]} to {self.one(high, digits=digits)}"

    def tape(self, length: float) -> str:
        """A length [m] as a tape shows it: millimetres, and inches with sixteenths."""
        if not math.isfinite(length):
            return "-"
        return ", ".join(fractional_inches(length) if unit == "in" else _in(unit, length, "", 0) for unit in self.shown)


MILLIMETRES_FIRST, INCHES_FIRST = Lengths(("mm", "in")), Lengths(("in", "mm"))
METRIC, IMPERIAL = Lengths(("mm",)), Lengths(("in",))


def _in(unit: Unit, length: float, sign: str, digits: int) -> str:
    return f"{length * 1000.0:{sign}.0f} mm" if unit == "mm" else f"{length / INCH:{sign}.{digits}f} in"


def lengths_of(specs: Sequence[VehicleSpec]) -> Lengths:
    """Both units, first the one in which most lengths of the files are given; millimetres where none are."""
    units = [estimate.unit for spec in specs for estimate in spec.inputs.values() if estimate.source != "assumed"]
    imperial, metric = (sum(unit in kind for unit in units) for kind in (("in", "ft"), ("mm", "cm", "m")))
    return INCHES_FIRST if imperial > metric else MILLIMETRES_FIRST
