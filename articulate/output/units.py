"""How lengths are shown to a person with a tape."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from articulate.constants import INCH
from articulate.spec.quantities import shown

if TYPE_CHECKING:
    from articulate.measure.run_sheet import RunSheet
    from articulate.spec.quantities import Estimate
    from articulate.spec.vehicle_spec import VehicleSpec
    from articulate.studies.population.intervals import Interval

Unit = Literal["mm", "in"]

FOOT = 0.3048  # [m], exact
IMPERIAL_UNITS, METRIC_UNITS = ("in", "ft"), ("mm", "cm", "m")
LENGTH_UNITS = (*IMPERIAL_UNITS, *METRIC_UNITS)
SIZES: dict[str, float] = {"mm": 1e-3, "in": INCH}  # [m]


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


@dataclass(frozen=True)
class Lengths:
    """Which units lengths are shown in, the first for whoever reads them."""

    shown: tuple[Unit, ...]

    @property
    def first(self) -> Unit:
        """The unit of a length that is shown in one alone."""
        return self.shown[0]

    @property
    def bar(self) -> tuple[float, str]:
        """The length of a scale bar [m], and what stands beside it."""
        return (1.0, "1 m") if self.first == "mm" else (3.0 * FOOT, "3 ft")

    def both(self, length: float, digits: int = 2) -> str:
        """A length [m] such as `1616 mm, 63.64 in`."""
        if not math.isfinite(length):
            return "-"
        return ", ".join(_in(unit, length, "", digits) for unit in self.shown)

    def number(self, length: float, *, signed: bool = False, digits: int = 2) -> str:
        """A length [m] in the first unit without its name, for a column that names it."""
        return self.one(length, signed=signed, digits=digits).partition(" ")[0]

    def one(self, length: float, *, signed: bool = False, digits: int = 2) -> str:
        """A length [m] in the first unit alone, whole millimetres or decimal inches."""
        return _in(self.first, length, "+" if signed else "", digits) if math.isfinite(length) else "-"

    def between(self, low: float, high: float, digits: int = 2) -> str:
        """A range [m] in the first unit: `490 to 598 mm`."""
        if not (math.isfinite(low) and math.isfinite(high)):
            return f"{self.one(low)} or more" if math.isfinite(low) else "-"
        return f"{self.number(low, digits=digits)} to {self.one(high, digits=digits)}"

    def ranged(self, found: Interval) -> str:
        """A length with its 90 % range, without its unit: `144 (140 to 148)`; a dash where it is not known."""
        value, low, high = (self.number(one) for one in (found.value, found.low, found.high))
        apart = math.isfinite(found.value) and not math.isnan(found.low) and not value == low == high
        return f"{value} ({low} to {high})" if apart else value

    def tape(self, length: float) -> str:
        """A length [m] as a tape shows it: millimetres, and inches with sixteenths."""
        if not math.isfinite(length):
            return "-"
        return ", ".join(self.taped(unit, length) for unit in self.shown)

    @staticmethod
    def taped(unit: Unit, length: float, parts: int = 16) -> str:
        """A length [m] as a tape of that unit shows it."""
        return fractional_inches(length, parts) if unit == "in" else _in(unit, length, "", 0)

    def far(self, length: float) -> str:
        """A length of some metres [m] such as `4.84 m, 15.9 ft`."""
        if not math.isfinite(length):
            return "-"
        words = {"mm": f"{length:.2f} m", "in": f"{length / FOOT:.1f} ft"}
        return ", ".join(words[unit] for unit in self.shown)

    def limits(self, estimate: Estimate) -> str:
        """A value with its limits; an assumed length in the first unit, what was given as the file has it."""
        if estimate.source != "assumed" or estimate.unit not in LENGTH_UNITS or self.first == estimate.unit:
            return estimate.text
        unit, size = self.unit_of(estimate.unit, estimate.unit_size)
        low, high = (shown(one, "", size, 3) for one in (estimate.low, estimate.high))
        return f"{shown(estimate.value, unit, size, 3)} ({low} to {high})"

    def near(self, several: Sequence[float], between: str = "", *, signed: bool = False) -> str:
        """Lengths [m] on the floor, in the first unit and to 10 mm or an inch: `1.13 and 1.32 m`, `44 and 52 in`."""
        sign, unit = "+" if signed else "", "m" if self.first == "mm" else self.first
        size, digits = (1.0, 2) if self.first == "mm" else (INCH, 0)
        return f"{between.join(f'{one / size:{sign}z.{digits}f}' for one in several)} {unit}"

    def unit_of(self, unit: str, size: float) -> tuple[str, float]:
        """The unit a quantity is shown in and its size [SI]: the first for a length, else its own."""
        return (self.first, SIZES[self.first]) if unit in LENGTH_UNITS else (unit, size)

    def quantity(self, value: float, unit: str, size: float, digits: int = 4) -> str:
        """A value [SI] in its display unit of that size [SI], or in the first unit where it is a length."""
        return shown(value, *self.unit_of(unit, size), digits)


MILLIMETRES_FIRST, INCHES_FIRST = Lengths(("mm", "in")), Lengths(("in", "mm"))
METRIC, IMPERIAL = Lengths(("mm",)), Lengths(("in",))


def _in(unit: Unit, length: float, sign: str, digits: int) -> str:
    return f"{length * 1000.0:{sign}z.0f} mm" if unit == "mm" else f"{length / INCH:{sign}z.{digits}f} in"


def lengths_of(specs: Sequence[VehicleSpec]) -> Lengths:
    """Both units, first the one in which most lengths of the files are given; millimetres where none are."""
    return _most(estimate.unit for spec in specs for estimate in spec.inputs.values() if estimate.source != "assumed")


def lengths_of_sheet(sheet: RunSheet) -> Lengths:
    """Both units, first the one of the tape that the marks were read with."""
    return _most(reading.unit for run in sheet.runs for reading in run.readings)


def _most(units: Iterable[str]) -> Lengths:
    counted = Counter(units)
    imperial, metric = (sum(counted[unit] for unit in kind) for kind in (IMPERIAL_UNITS, METRIC_UNITS))
    return INCHES_FIRST if imperial > metric else MILLIMETRES_FIRST
