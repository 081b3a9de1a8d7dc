"""How lengths are shown to a person with a tape."""

from __future__ import annotations

import math
from fractions import Fraction

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
