"""Reads one quantity as a person writes it: number, unit, and how well it is known.

Numbers may be decimal, fractional or mixed (`17 3/8 in`, `17-3/8in`, `17⅜ in`), compound in feet and inches
(`5 ft 3 1/2 in`, `5'-3 1/2"`), with a tolerance (`2150 kg ± 20 kg`, `2150 ± 20 kg`, `2150 kg ± 2 %`, `+-` and `+/-`
too), or a range (`5 to 12 kN m/deg`). Everything leaves here in SI and radians.

A tolerance or a range without further word is a pair of limits between which any value is as likely
as another (JCGM 100:2008, 4.3.7, value from memory).
"""

from __future__ import annotations

import math
import re
import sys
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from articulate.constants import DEGREE, INCH, NORMAL_90, STANDARD_GRAVITY
from articulate.spec.errors import QuantityError, nearest

Source = Literal["measured", "published", "assumed", "given"]
Distribution = Literal["exact", "normal", "rectangular", "triangular"]
Powers = tuple[int, int, int, int]  # of kilogram, metre, second, radian

NO_UNIT = "a bare number has no unit"
_LONGEST = 120  # characters of one quantity
_LARGEST = sys.float_info.max

_POUND = 0.45359237
_POUND_FORCE = _POUND * STANDARD_GRAVITY

_NONE: Powers = (0, 0, 0, 0)
_MASS: Powers = (1, 0, 0, 0)
_LENGTH: Powers = (0, 1, 0, 0)
_ANGLE: Powers = (0, 0, 0, 1)
_FORCE: Powers = (1, 1, -2, 0)
_PRESSURE: Powers = (1, -1, -2, 0)
_FREQUENCY: Powers = (0, 0, -1, 0)


@dataclass(frozen=True)
class Dimension:
    """A kind of quantity: its powers of (kg, m, s, rad), the SI unit, usual units, and what would work, as typed."""

    name: str
    powers: Powers
    si_unit: str
    units: tuple[str, ...]
    example: str
    bare_number: bool = False
    g_is_gravity: bool = False  # "g" is standard gravity, not a gram


LENGTH = Dimension("length", _LENGTH, "m", ("mm", "cm", "m", "in", "ft"), '"17 3/8 in" or "441 mm"')
MASS = Dimension("mass", _MASS, "kg", ("kg", "t", "lb"), '"2150 kg" or "4740 lb"')
ANGLE = Dimension("angle", _ANGLE, "rad", ("deg", "rad"), '"20 deg"')
FORCE = Dimension("force", _FORCE, "N", ("N", "kN", "lbf", "kgf"), '"300 N" or "67 lbf"')
PRESSURE = Dimension("pressure", _PRESSURE, "Pa", ("kPa", "bar", "psi"), '"36 psi" or "250 kPa"')
MODULUS = Dimension("modulus of elasticity", _PRESSURE, "Pa", ("GPa", "MPa", "psi"), '"80 GPa"')
FREQUENCY = Dimension("frequency", _FREQUENCY, "Hz", ("Hz",), '"1.3 Hz"')
LINEAR_RATE = Dimension("rate", (1, 0, -2, 0), "N/m", ("N/mm", "kN/m", "lb/in", "kgf/mm"), '"30 N/mm" or "171 lb/in"')
CUBIC_RATE = Dimension("cubic rate", (1, -2, -2, 0), "N/m^3", ("N/mm^3", "lb/in^3"), '"0.1 N/mm^3"')
ROLL_RATE = Dimension(
    "roll stiffness",
    (1, 2, -2, -1),
    "N m/rad",
    ("N m/deg", "kN m/rad", "lb ft/deg"),
    '"1200 N m/deg" or "885 lb ft/deg"',
)
ROLL_GRADIENT = Dimension(
    "roll gradient", (0, -1, 2, 1), "rad/(m/s^2)", ("deg/g", "rad/g"), '"5.4 deg/g"', g_is_gravity=True
)
RATIO = Dimension("ratio", _NONE, "", ("%", ""), '"52 %" or 0.52', bare_number=True)
DIMENSIONS = (
    LENGTH,
    MASS,
    ANGLE,
    FORCE,
    PRESSURE,
    MODULUS,
    FREQUENCY,
    LINEAR_RATE,
    CUBIC_RATE,
    ROLL_RATE,
    ROLL_GRADIENT,
    RATIO,
)

_UNITS: dict[str, tuple[float, Powers]] = {
    "m": (1.0, _LENGTH),
    "mm": (1e-3, _LENGTH),
    "cm": (1e-2, _LENGTH),
    "km": (1e3, _LENGTH),
    "in": (INCH, _LENGTH),
    "ft": (12.0 * INCH, _LENGTH),
    "kg": (1.0, _MASS),
    "g": (1e-3, _MASS),
    "t": (1e3, _MASS),
    "lbm": (_POUND, _MASS),
    "N": (1.0, _FORCE),
    "daN": (10.0, _FORCE),
    "kN": (1e3, _FORCE),
    "lbf": (_POUND_FORCE, _FORCE),
    "kgf": (STANDARD_GRAVITY, _FORCE),
    "Pa": (1.0, _PRESSURE),
    "hPa": (1e2, _PRESSURE),
    "kPa": (1e3, _PRESSURE),
    "MPa": (1e6, _PRESSURE),
    "GPa": (1e9, _PRESSURE),
    "bar": (1e5, _PRESSURE),
    "psi": (_POUND_FORCE / INCH**2, _PRESSURE),
    "Hz": (1.0, _FREQUENCY),
    "s": (1.0, (0, 0, 1, 0)),
    "deg": (DEGREE, _ANGLE),
    "rad": (1.0, _ANGLE),
    "%": (1e-2, _NONE),
}
_ALIASES = {
    "inch": "in",
    "inches": "in",
    '"': "in",
    "″": "in",
    "”": "in",
    "foot": "ft",
    "feet": "ft",
    "'": "ft",
    "′": "ft",
    "’": "ft",
    "metre": "m",
    "metres": "m",
    "meter": "m",
    "meters": "m",
    "lbs": "lb",
    "kgs": "kg",
    "tonne": "t",
    "tonnes": "t",
    "kp": "kgf",
    "°": "deg",
    "degree": "deg",
    "degrees": "deg",
    "percent": "%",
    "hz": "Hz",
    "kpa": "kPa",
    "Mpa": "MPa",
    "Gpa": "GPa",
    "PSI": "psi",
    "Bar": "bar",
    "Nm": "N m",
    "kNm": "kN m",
    "ftlb": "ft lb",
    "lbft": "lb ft",
    "inlb": "in lb",
    "lbin": "lb in",
    "KG": "kg",
    "Kg": "kg",
    "MM": "mm",
}

_DECIMAL = r"(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_NUMBER = re.compile(rf"[+-]?(?:(?:(\d+)(?:\s+|\s*-\s*))?(\d+)\s*/\s*(\d+)|{_DECIMAL})")
_TOLERANCE = re.compile(r"±|\+/-|\+-")
_RANGE = re.compile(r"\s+to\s+|\s*–\s*")
_COMMA = re.compile(r"(\d+),(\d+)")
_FRACTION = re.compile(  # ¾ or ⁷⁄₁₆, behind a whole number or alone
    r"(\d?)\s*([\u00bc-\u00be\u2150-\u215e]|[\u2070\u00b9\u00b2\u00b3\u2074-\u2079]+[\u2044/][\u2080-\u2089]+)"
)
_FEET_DASH = re.compile(r"((?:'|′|’|ft|feet|foot)\s*)-\s*(?=\d)")  # 1'-5 15/16"
_UNIT_WORD = re.compile(r"([^\W\d_]+|%)(?:\^?(-?[1-9]))?")


@dataclass(frozen=True)
class Estimate:
    """A quantity as it is known: its value [SI], how far it may be off, and where it comes from.

    It is what a text of a file or of an option is read as, an input of a vehicle, and a value of a run sheet.

    `low` and `high` are limits where the distribution is rectangular or triangular (then `value` is the
    mode), and the central 90 % where it is normal; both equal `value` where it is exact. `source` says
    how it is known: `given` in the file without further word, or `assumed` here. `basis` is the
    text as written and its line, or the relation assumed. `unit` is for display; one of it is
    `unit_size` in SI. `chance` is that of there being any: with the rest the input is 0, and all else holds if
    there is some (a bar of which nobody knows whether it is fitted).
    """

    value: float
    low: float
    high: float
    distribution: Distribution
    source: Source
    basis: str
    unit: str
    unit_size: float
    chance: float = 1.0
    written: str = ""

    def placed(self, where: str) -> Estimate:
        """As read from a file; `where` says where it was written, such as `line 12`."""
        return replace(self, basis=f'"{self.written}", {where}' + (f": {self.basis}" if self.basis else ""))

    @property
    def nominal(self) -> float:
        """What the nominal vehicle has [SI]: the value, or 0 where there is more likely none."""
        return self.value if self.chance >= 0.5 else 0.0

    @property
    def standard_uncertainty(self) -> float:
        """Standard deviation of the distribution [SI].

        Rectangular: (high - low)/sqrt(12). Triangular with mode m: sqrt((a^2 + b^2 + m^2 - ab - am - bm)/18).
        Normal: half the 90 % range over 1.645. With a chance p of there being any, mean M and deviation u if there is
        some: sqrt(p u^2 + p (1 - p) M^2).
        """
        if self.chance < 1.0:
            return math.sqrt(self.chance * (self._if_any**2 + (1.0 - self.chance) * self._mean_if_any**2))
        return self._if_any

    @property
    def mean(self) -> float:
        """Mean of the distribution [SI], if there is any: not the value where a triangle is not even."""
        return self.value if self.distribution in ("exact", "normal") else self._mean_if_any

    @property
    def _mean_if_any(self) -> float:
        if self.distribution == "triangular":
            return (self.low + self.value + self.high) / 3.0
        return 0.5 * (self.low + self.high)

    @property
    def _if_any(self) -> float:
        width = self.high - self.low
        if self.distribution == "exact":
            return 0.0
        if self.distribution == "normal":
            return width / (2.0 * NORMAL_90)
        if self.distribution == "rectangular":
            return width / math.sqrt(12.0)
        below, above = self.value - self.low, self.high - self.value
        return math.sqrt((below**2 + above**2 + below * above) / 18.0)

    @property
    def text(self) -> str:
        """The value with its limits in the display unit, for instance `1.3 Hz (1.1 to 1.6)`."""
        value = shown(self.value, self.unit, self.unit_size)
        none = ", or none" if self.chance < 1.0 else ""
        if self.low == self.high:
            return value + none
        low = shown(self.low, "", self.unit_size, 4)
        return f"{value} ({low} to {shown(self.high, '', self.unit_size, 4)}){none}"


@dataclass(frozen=True)
class _Part:
    """A number or sum of feet and inches with its unit, which may be missing."""

    value: float  # in SI if a unit was read, otherwise the bare number
    unit: str
    unit_size: float  # 0 where no unit was read


def read_quantity(text: str, dimension: Dimension) -> Estimate:
    """Read one quantity of a given dimension.

    Args:
        text: for instance `17 3/8 in`, `2150 ± 20 kg`, `5 to 12 kN m/deg`.
        dimension: the kind of quantity wanted; `lb` is a mass or a force accordingly.

    Returns:
        The reading in SI. Without tolerance it is `exact`, with one or as a range `rectangular`.

    Raises:
        QuantityError: no number, no unit, a unit of another dimension, a decimal comma, not finite.
    """
    cleaned = _FRACTION.sub(_plain_fraction, text.strip())
    cleaned = cleaned.replace("\u2044", "/").replace("\u2212", "-").replace("\u00a0", " ").replace("\u202f", " ")
    if dimension.powers == _LENGTH:
        cleaned = _FEET_DASH.sub(r"\1 ", cleaned)
    if not cleaned:
        raise QuantityError("there is nothing in it", _example(dimension))
    if len(cleaned) > _LONGEST:
        raise QuantityError("it is too long for a quantity", _example(dimension))
    _refuse_comma(cleaned, dimension)
    pieces = _TOLERANCE.split(cleaned)
    if len(pieces) > 2:
        raise QuantityError("it has more than one tolerance", _example(dimension))
    if len(pieces) == 2:
        return _read_tolerance(text, pieces[0], pieces[1], dimension)
    ends = _RANGE.split(cleaned)
    if len(ends) > 2:
        raise QuantityError("a range has two ends", f'write "5 to 12 {dimension.units[0]}"')
    if len(ends) == 2:
        return _read_range(text, ends[0], ends[1], dimension)
    part = _read_part(cleaned, dimension)
    value = _settled(part, dimension)
    return _read(text, value, value, value, part)


def _read(text: str, value: float, low: float, high: float, part: _Part) -> Estimate:
    """A quantity of a file [SI], in the unit of a part of its text."""
    how: Distribution = "exact" if low == high else "rectangular"
    return Estimate(value, low, high, how, "given", "", part.unit, part.unit_size or 1.0, written=text.strip())


def read_number(value: float, dimension: Dimension) -> Estimate:
    """Read a bare number, which only a ratio may be.

    Raises:
        QuantityError: the dimension needs a unit, or the number is not finite.
    """
    if not -_LARGEST <= value <= _LARGEST:  # nor is NaN; a whole number may be larger than any float
        raise QuantityError("it is not a finite number", _example(dimension))
    if not dimension.bare_number:
        raise QuantityError(NO_UNIT, f'write "{value} {dimension.units[0]}"')
    return _read(str(value), float(value), float(value), float(value), _Part(value, "", 0.0))


def read_tolerance(text: str, nominal: float, dimension: Dimension) -> float:
    """Read a half-width such as `20 kg` or `2 %` (of the nominal value, unless that is a ratio) in SI.

    Raises:
        QuantityError: as `read_quantity`, or a half-width below zero.
    """
    cleaned = text.strip()
    _refuse_comma(cleaned, dimension)
    if dimension.powers != _NONE and cleaned.endswith("%"):
        half = abs(nominal) * _settled(_read_part(cleaned, RATIO), RATIO)
    else:
        half = _settled(_read_part(cleaned, dimension), dimension)
    if half < 0.0:
        raise QuantityError("a tolerance is not negative", "write it without the minus")
    return half


def unit_size(unit: str, dimension: Dimension) -> float:
    """Size of a unit in SI, for showing a value: divide it by this.

    Raises:
        QuantityError: not a unit, or one of another dimension.
    """
    return _unit(unit, dimension)


def shown(value: float, unit: str, size: float, digits: int = 5) -> str:
    """Show a value [SI] in a display unit whose size is given [SI], such as 0.44, mm and 1e-3."""
    return f"{value / size:.{digits}g} {unit}".strip()


def _plain_fraction(match: re.Match[str]) -> str:
    """`17¾` as `17 3/4`."""
    whole, fraction = match.groups()
    return f"{whole} {unicodedata.normalize('NFKC', fraction).replace(chr(0x2044), '/')}".strip()


def _read_tolerance(text: str, left: str, right: str, dimension: Dimension) -> Estimate:
    main, half = _read_part(left, dimension), None
    if main.unit_size == 0.0 and not right.strip().endswith("%"):
        tail = _read_part(right, dimension)
        if tail.unit_size:  # `2150 ± 20 kg`: the unit stands once, at the end
            main = _Part(main.value * tail.unit_size, tail.unit, tail.unit_size)
            half = tail.value
    elif main.unit_size == 0.0 and dimension.powers == _NONE:  # `52 ± 2 %`
        main = _Part(main.value * 0.01, "%", 0.01)
    value = _settled(main, dimension)
    if half is None:
        tail_text = right.strip()
        bare = _NUMBER.fullmatch(tail_text)
        if bare and main.unit_size:  # `2150 kg ± 20`
            half = _number(bare) * main.unit_size
        else:
            half = read_tolerance(tail_text, value, dimension)
    if half < 0.0:
        raise QuantityError("a tolerance is not negative", "write it without the minus")
    if half == 0.0:
        return _read(text, value, value, value, main)
    return _read(text, value, value - half, value + half, main)


def _read_range(text: str, left: str, right: str, dimension: Dimension) -> Estimate:
    low, high = _read_part(left, dimension), _read_part(right, dimension)
    if low.unit_size == 0.0 and high.unit_size:
        low = _Part(low.value * high.unit_size, high.unit, high.unit_size)
    bottom, top = _settled(low, dimension), _settled(high, dimension)
    if bottom == top:
        raise QuantityError("both ends of the range are the same", "write the value alone, or two different ends")
    if bottom > top:
        raise QuantityError("a range goes from the lower value to the higher", "exchange the two")
    middle = 0.5 * (bottom + top)
    return _read(text, middle, bottom, top, high)


def _read_part(text: str, dimension: Dimension) -> _Part:
    """Read `number unit`, or feet and inches; the unit may be missing (size 0)."""
    rest = text.strip()
    if not rest:
        raise QuantityError("a number is missing", _example(dimension))
    starts = _LENGTH_START if dimension.powers == _LENGTH else _NUMBER_START
    total, unit, size, count, sign = 0.0, "", 0.0, 0, 1.0
    while rest:
        match = _NUMBER.match(rest)
        if match is None:
            raise QuantityError(_no_number(rest), _example(dimension))
        number = _number(match)
        following = starts.search(rest, match.end())
        end = following.start() if following else len(rest)
        unit = rest[match.end() : end].strip()
        rest = rest[end:].strip()
        if count == 0:
            sign = math.copysign(1.0, number)
        if not unit:
            if count or rest:
                raise QuantityError("two numbers stand without a unit between them", _example(dimension))
            return _Part(number, "", 0.0)
        previous, size = size, _unit(unit, dimension)
        if count and (dimension.powers != _LENGTH or size >= previous or number < 0.0):
            raise QuantityError("only feet and inches can follow each other", _example(dimension))
        total += number * size if count == 0 else sign * number * size
        count += 1
        if count > 2:
            raise QuantityError("it has too many parts", _example(dimension))
    return _Part(total, _plain_unit(unit), size)


# A number that starts a new part; elsewhere than in lengths not the exponent of a unit (`mm^3`, `mm3`).
_LENGTH_START = re.compile(r"(?<!\^)(?<!\^-)[+-]?(?:\d|\.\d)")
_NUMBER_START = re.compile(r"(?<![\w^.])(?<!\^-)[+-]?(?:\d|\.\d)")


def _number(match: re.Match[str]) -> float:
    text = match.group(0)
    if match.group(3) is None:
        return float(text.replace(" ", ""))
    whole, top, bottom = match.group(1) or "0", match.group(2), match.group(3)
    if int(bottom) == 0:
        raise QuantityError("a fraction is divided by zero", 'write, for instance, "17 3/8 in"')
    magnitude = int(whole) + int(top) / int(bottom)
    return -magnitude if text.startswith("-") else magnitude


def _settled(part: _Part, dimension: Dimension) -> float:
    if part.unit_size == 0.0 and not dimension.bare_number and math.isfinite(part.value):
        raise QuantityError(NO_UNIT, f'write "{part.value:g} {dimension.units[0]}" if that is meant')
    if not math.isfinite(part.value):
        raise QuantityError("it is not a finite number", _example(dimension))
    return part.value


def _unit(text: str, dimension: Dimension) -> float:
    """Size of a unit in SI, checked against the dimension; `lb` is tried as a mass and as a force."""
    sizes = []
    for pound in (_MASS, _FORCE):
        size, powers = _product(text, pound, dimension)
        if powers == dimension.powers:
            return size
        sizes.append(powers)
    raise QuantityError(_wrong_dimension(text, sizes[0], dimension), _example(dimension))


def _product(text: str, pound: Powers, dimension: Dimension) -> tuple[float, Powers]:
    numerator, *denominators = _plain_unit(text).split("/")
    size, powers = 1.0, list(_NONE)
    for place, group in enumerate((numerator, *denominators)):
        words = [word for word in re.split(r"[\s·*.⋅]+", group.strip()) if word]
        if not words and (place > 0 or not denominators):
            raise QuantityError(f'"{text}" is not a unit', _example(dimension))
        for word in words:
            if place == 0 and word == "1":
                continue
            one, exponents = _word(word, pound, dimension)
            sign = 1 if place == 0 else -1
            size *= one**sign
            powers = [power + sign * exponent for power, exponent in zip(powers, exponents, strict=True)]
    return size, (powers[0], powers[1], powers[2], powers[3])


def _word(word: str, pound: Powers, dimension: Dimension) -> tuple[float, Powers]:
    match = _UNIT_WORD.fullmatch(word)
    if match is None:
        raise QuantityError(f'"{word}" is not a unit', _example(dimension))
    name = match.group(1)
    exponent = int(match.group(2) or 1)
    if name == "lb":
        size, powers = (_POUND, _MASS) if pound == _MASS else (_POUND_FORCE, _FORCE)
    elif name == "g" and dimension.g_is_gravity:
        size, powers = STANDARD_GRAVITY, (0, 1, -2, 0)
    elif name in _UNITS:
        size, powers = _UNITS[name]
    else:
        close = nearest(name, [*_UNITS, "lb"])
        raise QuantityError(f'"{name}" is not a unit' + (f", {close} is" if close else ""), _example(dimension))
    return size**exponent, tuple(power * exponent for power in powers)  # type: ignore[return-value]


def _plain_unit(text: str) -> str:
    """The unit with aliases replaced, so that it can be shown and read again."""
    text = re.sub(r"\s*\bper\b\s*", "/", text).replace("²", "^2").replace("³", "^3")
    text = re.sub(r"(?<=[^\W\d_])-(?=[^\W\d_])", " ", text)  # ft-lb
    pieces = re.split(r"([\s/·*.⋅^\d-]+)", text)
    return "".join(_ALIASES.get(piece, piece) for piece in pieces).strip()


def _refuse_comma(text: str, dimension: Dimension) -> None:
    match = _COMMA.search(text)
    if match:
        left, right = match.groups()
        if len(right) == 3:
            unit, also = _typed_unit(text[match.end() :], dimension)
            raise QuantityError(
                "a comma between digits can mean two things",
                f'write "{left}.{right} {unit}" or "{left}{right} {unit}"{also}',
            )
        raise QuantityError("decimals are written with a point", f"write {left}.{right} instead of {left},{right}")


def _typed_unit(rest: str, dimension: Dimension) -> tuple[str, str]:
    """The unit that stands after a number, else the usual one and that it is to be chosen."""
    unit = re.split(r"[±+(]|\bto\b", rest, maxsplit=1)[0].strip()
    try:
        _unit(unit, dimension)
    except QuantityError:
        return dimension.units[0], ", with the unit you mean"
    return unit, ""


def _no_number(text: str) -> str:
    if text.lower().startswith(("nan", "inf", "+inf", "-inf")):
        return "it is not a finite number"
    return f'"{text}" does not start with a number'


def _wrong_dimension(unit: str, powers: Powers, dimension: Dimension) -> str:
    what = _KINDS.get(powers)
    kind = f"{_article(what)} {what}" if what else "another kind of quantity"
    if powers == (1, -1, 0, 0) and dimension.powers == (1, 0, -2, 0):
        return f'"{unit}" is a mass over a length (for kilograms of force write kgf)'
    if dimension.powers == ROLL_RATE.powers and powers in ((1, 2, -2, 0), (1, 2, 0, 0)):
        return f'"{unit}" lacks the angle it is taken over'
    return f'"{unit}" is the unit of {kind}, and {_article(dimension.name)} {dimension.name} is needed'


_KINDS: Mapping[Powers, str] = {
    kind.powers: kind.name
    for kind in (
        LENGTH,
        MASS,
        ANGLE,
        FORCE,
        PRESSURE,
        FREQUENCY,
        LINEAR_RATE,
        CUBIC_RATE,
        ROLL_RATE,
        RATIO,
    )
} | {(0, 0, 1, 0): "time", (1, 2, -2, 0): "moment", (0, 2, 0, 0): "area"}


def _article(word: str) -> str:
    return "an" if word[0] in "aeiou" else "a"


def _example(dimension: Dimension) -> str:
    return f"write, for instance, {dimension.example}"
