"""Kinds of entries a vehicle file can hold beside plain texts: quantities, size codes, a rate or a word.

Each is an annotation for a pydantic field. It reads one entry, judges its plausible range, and describes
itself to the JSON Schema.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal, cast, get_args

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from articulate.constants import DEGREE, NORMAL_90
from articulate.spec.defaults import Default
from articulate.spec.errors import QuantityError, nearest
from articulate.spec.quantities import (
    LENGTH,
    NO_UNIT,
    Dimension,
    Estimate,
    Source,
    read_number,
    read_quantity,
    read_tolerance,
)
from articulate.spec.tyres import TyreSize, read_tyre_size

SOURCES = get_args(Source)
TABLE_KEYS = ("value", "plus_minus", "standard_uncertainty", "range", "source", "basis")

_ENTRY: dict[str, Any] = {"type": ["string", "number"]}
QUANTITY_TABLE: dict[str, Any] = {
    "type": "object",
    "description": "a quantity with how well it is known",
    "additionalProperties": False,
    "properties": {
        "value": _ENTRY,
        "plus_minus": _ENTRY,
        "standard_uncertainty": _ENTRY,
        "range": {"anyOf": [_ENTRY, {"type": "array", "items": _ENTRY, "minItems": 2, "maxItems": 2}]},
        "source": {"enum": list(SOURCES)},
        "basis": {"type": "string"},
    },
    "anyOf": [{"required": ["value"]}, {"required": ["range"]}],
}


class _Entry:
    """An annotation whose key is read in one step by its `read`."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, entry: object) -> object:
        """The value an entry of the file stands for.

        Raises:
            PydanticCustomError: it stands for none.
        """
        raise NotImplementedError


@dataclass(frozen=True)
class Quantity(_Entry):
    """Annotation of a key that holds one quantity: all that is true of it.

    Attributes:
        dimension: kind of quantity.
        low, high: plausible range [SI]. What may not be negative, or not zero, is said by `low`.
        example: what would work in the file.
        text: one line about it, for the template and the JSON Schema.
        words: what people call it where they read of it without the file; if none, its table's words and its key.
        assumed: what is assumed where the file gives nothing, or one default for each word it hangs on.
        tie: correlation of front and rear where both are assumed, by one relation that may be wrong on both.
        array: the array of the model that it is, for an input of an axle that goes there as it is.
    """

    dimension: Dimension
    low: float
    high: float
    example: str
    text: str = ""
    words: str = ""
    assumed: Default | Mapping[Any, Default] | None = None
    tie: float = 0.0
    array: str = ""

    def read(self, entry: object) -> Estimate:
        """Read a string, a bare number (ratios only) or an inline table, and check its range."""
        try:
            reading = self._read(entry)
            self.check(reading)
        except QuantityError as error:
            general = self.dimension == LENGTH and error.works.startswith("write, for instance, ")
            works = self._works() if general else error.works  # lengths differ too much for one example
            if error.why == NO_UNIT and not getattr(error, "under", ""):
                works = self._with_unit(entry) or works
            raise _error(error.why, works, getattr(error, "under", "")) from error
        return reading

    def _with_unit(self, entry: object) -> str:
        """A bare number with the unit that is probably meant: inches of a fraction, else the nearest to the example."""
        text = str(entry).strip()
        usual = read_quantity(self.example, self.dimension).value
        fitting = []
        for unit in self.dimension.units:
            try:
                value = read_quantity(f"{text} {unit}", self.dimension).value
            except QuantityError:
                continue
            if "/" in text and unit == "in":
                return f'write "{text} {unit}" if that is meant'
            if self.low <= value <= self.high:
                apart = abs(math.log(abs(value) / abs(usual))) if value and usual else math.inf
                fitting.append((apart, unit))
        return f'write "{text} {min(fitting)[1]}" if that is meant' if fitting else ""

    def _read(self, entry: object) -> Estimate:
        if isinstance(entry, str):
            return read_quantity(entry, self.dimension)
        if isinstance(entry, bool):
            raise QuantityError(f"a {self.dimension.name} is needed", self._works())
        if isinstance(entry, int | float):
            return read_number(entry, self.dimension)
        if isinstance(entry, Mapping):
            return _read_table(entry, self.dimension, self._works())
        raise QuantityError(f"a {self.dimension.name} is needed", self._works())

    def check(self, reading: Estimate) -> None:
        """Refuse what is outside the plausible range.

        Raises:
            QuantityError: the value or one of its limits is.
        """
        for value in (reading.value, reading.low, reading.high):
            if not self.low <= value <= self.high:
                example = read_quantity(self.example, self.dimension)
                unit = example.unit
                size = reading.unit_size if unit == reading.unit else example.unit_size
                limits = f"{self.low / size:.6g} to {self.high / size:.6g} {unit}".strip()
                raise QuantityError(f"that is outside {limits}", self._works())

    def _works(self) -> str:
        return f'write, for instance, "{self.example}"'

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """A text with a number and a unit, an inline table, and for a ratio a number."""
        forms: list[dict[str, Any]] = [{"type": "string", "pattern": _pattern(self.dimension)}, QUANTITY_TABLE]
        if self.dimension.bare_number:
            forms.insert(0, {"type": "number", "minimum": self.low, "maximum": self.high})
        return self._described({"anyOf": forms, "examples": [self.example]})

    def _described(self, schema: dict[str, Any]) -> dict[str, Any]:
        return {**schema, "description": self.text} if self.text else schema


def _error(why: str, works: str, under: str = "") -> PydanticCustomError:
    return PydanticCustomError("quantity", "{why}; {works}", {"why": why, "works": works, "under": under})


class _UnderError(QuantityError):
    """A fault under one key of an inline table."""

    def __init__(self, under: str, why: str, works: str) -> None:
        super().__init__(why, works)
        self.under = under


def _read_table(table: Mapping[str, object], dimension: Dimension, works: str) -> Estimate:
    for key in table:
        if key not in TABLE_KEYS:
            close = nearest(key, TABLE_KEYS)
            raise _UnderError(
                key,
                "there is no such key in a quantity",
                f"write {close}" if close else f"use {', '.join(TABLE_KEYS)}",
            )
    source = table.get("source", "given")
    if source not in SOURCES:
        raise _UnderError("source", "that is not a source", f"write one of {', '.join(SOURCES)}")
    basis = table.get("basis", "")
    if not isinstance(basis, str):
        raise _UnderError("basis", "a text is needed", 'write basis = "weighbridge, full tank"')
    spreads = [key for key in ("plus_minus", "standard_uncertainty", "range") if key in table]
    if len(spreads) > 1:
        raise _UnderError(spreads[1], f"{spreads[0]} says it already", "keep one of the two")
    if "value" not in table and "range" not in table:
        raise QuantityError("neither value nor range is in the table", works)
    reading = _table_value(table, dimension)
    if spreads and "value" in table and reading.distribution != "exact":
        raise _UnderError(spreads[0], "value has its own tolerance already", "keep one of the two")
    if "plus_minus" in table:
        half = _under("plus_minus", table["plus_minus"], reading.value, dimension)
        reading = _spread(reading, half, half, "rectangular")
    elif "standard_uncertainty" in table:
        half = NORMAL_90 * _under("standard_uncertainty", table["standard_uncertainty"], reading.value, dimension)
        reading = _spread(reading, half, half, "normal")
    elif "range" in table and "value" in table:
        limits = _table_range(table["range"], dimension)
        if not limits.low <= reading.value <= limits.high:
            raise _UnderError("range", "the value lies outside it", "widen the range or correct the value")
        reading = replace(reading, low=limits.low, high=limits.high, distribution="triangular")
    return replace(reading, source=cast(Source, source), basis=basis)


def _table_value(table: Mapping[str, object], dimension: Dimension) -> Estimate:
    if "value" not in table:
        return _table_range(table["range"], dimension)
    value = table["value"]
    try:
        if isinstance(value, str):
            return read_quantity(value, dimension)
        if isinstance(value, int | float) and not isinstance(value, bool):
            return read_number(value, dimension)
    except QuantityError as error:
        raise _UnderError("value", error.why, error.works) from error
    raise _UnderError("value", "a text is needed", f'write value = "… {dimension.units[0]}"')


def _table_range(entry: object, dimension: Dimension) -> Estimate:
    ends = [entry] if isinstance(entry, str) else entry
    texts = [str(end) for end in ends] if isinstance(ends, list) else []
    if len(texts) not in (1, 2):
        raise _UnderError("range", "a range has two ends", f'write range = "5 to 12 {dimension.units[0]}"')
    try:
        reading = read_quantity(" to ".join(texts), dimension)
    except QuantityError as error:
        raise _UnderError("range", error.why, error.works) from error
    if reading.low == reading.high:
        raise _UnderError("range", "a range has two ends", f'write range = "5 to 12 {dimension.units[0]}"')
    return reading


def _under(key: str, entry: object, nominal: float, dimension: Dimension) -> float:
    try:
        if isinstance(entry, str):
            return read_tolerance(entry, nominal, dimension)
        if isinstance(entry, int | float) and not isinstance(entry, bool) and dimension.bare_number:
            return abs(read_number(entry, dimension).value)
    except QuantityError as error:
        raise _UnderError(key, error.why, error.works) from error
    raise _UnderError(key, "a text is needed", f'write {key} = "… {dimension.units[0]}"')


def _spread(reading: Estimate, below: float, above: float, distribution: Literal["normal", "rectangular"]) -> Estimate:
    if below == above == 0.0:
        return reading
    return replace(reading, low=reading.value - below, high=reading.value + above, distribution=distribution)


def _pattern(dimension: Dimension) -> str:
    """A pattern good enough for an editor: it starts with a number; a bare number only for a ratio."""
    unit = "" if dimension.bare_number else "[A-Za-z%°'\"″′”’][^,]*"
    return rf"^\s*[+−-]?(\d|\.\d)[^,]*{unit}$"


_CLOCK = re.compile(r"(\d{1,2})(?::(\d{2}))?(?:\s*o'?clock)?")


class Clock(Quantity):
    """Annotation of a key that holds a clock position, read as an angle forward of straight up."""

    def read(self, entry: object) -> Estimate:
        """Read `10:30`, `12` or `1 o'clock`; the angle is between -180 and 180 degrees."""
        match = _CLOCK.fullmatch(entry.strip().lower()) if isinstance(entry, str) else None
        hour, minute = (int(match.group(1)), int(match.group(2) or 0)) if match else (0, 0)
        if match is None or not (1 <= hour <= 12 and minute < 60):
            raise _error("that is not a clock position", self._works())
        degrees = (hour % 12) * 30.0 + 0.5 * minute
        angle = math.radians(degrees - 360.0 if degrees > 180.0 else degrees)
        size = DEGREE
        return Estimate(angle, angle, angle, "exact", "given", "", "deg", size, written=str(entry).strip())

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        pattern = r"^\s*(0?[1-9]|1[0-2])(:[0-5]\d)?(\s*[oO]'?[cC][lL][oO][cC][kK])?\s*$"
        return self._described({"type": "string", "pattern": pattern, "examples": [self.example, "12"]})


class SizeOrDiameter(Quantity):
    """Annotation of a key that holds a size code or a measured diameter."""

    def read(self, entry: object) -> TyreSize | Estimate:  # type: ignore[override]
        """Read a size code, or what is not one as a diameter."""
        if isinstance(entry, str):
            try:
                return read_tyre_size(entry)
            except QuantityError:
                pass
        return super().read(entry)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        return self._described(
            {"anyOf": [{"type": "string"}, {"type": "object"}], "examples": [self.example, "803 mm"]}
        )


class RateOrRigid(Quantity):
    """Annotation of the torsional rate, which may be the word rigid."""

    def read(self, entry: object) -> Literal["rigid"] | Estimate:  # type: ignore[override]
        """Read the word rigid, or a rate."""
        if entry == "rigid":
            return "rigid"
        try:
            return super().read(entry)
        except PydanticCustomError as error:
            context = dict(error.context or {})
            context["works"] = f'{context["works"]}; "rigid" for a frame that does not twist'
            raise PydanticCustomError("quantity", "{why}; {works}", context) from error

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        forms = super().__get_pydantic_json_schema__(schema, handler)
        return {**forms, "anyOf": [{"const": "rigid"}, *forms["anyOf"]], "examples": ["rigid", self.example]}


class SizeCode(_Entry):
    """Annotation of a key that holds a tyre size code."""

    def read(self, entry: object) -> TyreSize:
        """Read a size code such as `265/70R17`."""
        if not isinstance(entry, str):
            raise _error("a size code is needed", 'write "265/70R17"')
        try:
            return read_tyre_size(entry)
        except QuantityError as error:
            raise _error(error.why, error.works) from error

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        examples = ["265/70R17", "35x12.50R17", "7.50-16"]
        return {"type": "string", "pattern": r"^\s*(P|LT)?\s*\d", "examples": examples}


class YesNoUnknown(_Entry):
    """Annotation of a key that says whether something is there, which may not be known."""

    def read(self, entry: object) -> Literal[True, False, "unknown"]:
        """Read true, false or the word unknown."""
        if entry is True or entry is False or entry == "unknown":
            return entry
        raise _error('that is neither true nor false nor "unknown"', "write true, without quotes")

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        return {"enum": [True, False, "unknown"]}
