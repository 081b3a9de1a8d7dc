"""What the table of keys says of one key: its table, entry, description, and a line that would work."""

from __future__ import annotations

import json
from functools import cache
from typing import Any, TypeVar

from articulate.spec.entries import Clock, Quantity, SizeOrDiameter
from articulate.spec.keys import Forms, Only, Table, VehicleFile
from articulate.spec.quantities import Dimension, Estimate

Rule = TypeVar("Rule")


def quantities_in(table: Table, prefix: tuple[str | int, ...] = ()) -> dict[tuple[str | int, ...], Estimate]:
    """Every quantity of a table by its key path, in the order of the schema."""
    found: dict[tuple[str | int, ...], Estimate] = {}
    for key in type(table).model_fields:
        value = getattr(table, key)
        path = (*prefix, key)
        if isinstance(value, Estimate):
            found[path] = value
        elif isinstance(value, Table):
            found |= quantities_in(value, path)
        elif isinstance(value, list):
            for index, item in enumerate(value):
                found |= quantities_in(item, (*path, index))
    return found


def model_at(path: tuple[str | int, ...], whole: type[Table] = VehicleFile) -> type[Table] | None:
    """The model of the table at a key path, or None if there is no table."""
    model = whole
    for part in path:
        if isinstance(part, int):
            continue
        inner = table_at(model, part)
        if inner is None:
            return None
        model = inner
    return model


def all_keys(model: type[Table] = VehicleFile, prefix: str = "") -> dict[str, str]:
    """Every dotted key of the file with its one-line description; tables included."""
    keys: dict[str, str] = {}
    for key in model.model_fields:
        keys[prefix + key] = text_of(model, key)
        inner = table_at(model, key)
        if inner is not None:
            keys |= all_keys(inner, f"{prefix}{key}.")
    return keys


def text_of(model: type[Table], key: str) -> str:
    """The one line about a key of a table."""
    rule = _rule(model, key, Quantity)
    return rule.text if rule else model.model_fields[key].description or ""


def only_of(model: type[Table], key: str) -> tuple[str, ...]:
    """The suspensions with which a key of an axle's tables goes; empty for all."""
    rule = _rule(model, key, Only)
    return rule.suspensions if rule else ()


def place_of(key: str) -> tuple[type[Table], str] | None:
    """The table and the last part of a dotted key, items of a list by their names; None for no key of the file."""
    parts = key.split(".")
    for place, part in enumerate(parts[:-1]):
        if part in ("load", "body_point", "wheelhouse"):  # a list, whose items go by their names
            parts = [*parts[: place + 1], parts[-1]]
            break
    model = model_at(tuple(parts[:-1]))
    return (model, parts[-1]) if model is not None and parts[-1] in model.model_fields else None


@cache
def entry_of(key: str) -> Quantity | None:
    """What the table says of a dotted key that holds a quantity; None for any other."""
    place = place_of(key)
    return _rule(*place, Quantity) if place else None


def dimension_of(key: str) -> Dimension | None:
    """The dimension of a dotted key of the file; None if it holds no quantity, or a clock or a size code as well."""
    entry = entry_of(key)
    return None if entry is None or isinstance(entry, Clock | SizeOrDiameter) else entry.dimension


def forms_of(key: str) -> Forms:
    """The alternatives among which a dotted key stands, each by the keys that say it."""
    place = place_of(key)
    groups = place[0].forms if place else ()
    return next(forms for forms in groups if any(form[0] == key.rpartition(".")[2] for form in forms))


def example_of(path: tuple[str | int, ...], whole: type[Table] = VehicleFile) -> str:
    """A line that would work for a missing key."""
    model, key = model_at(path[:-1], whole), path[-1]
    rule = _rule(model, str(key), Quantity) if model else None
    if rule is not None:
        return f'{key} = "{rule.example}"'
    field = model.model_fields.get(str(key)) if model else None
    if field is not None and field.examples:
        return f"{key} = {json.dumps(field.examples[0])}"
    return _EXAMPLES.get(str(key), f"{key} = …")


_EXAMPLES = {
    "name": 'name = "Test wagon"',
    "construction": 'construction = "body on frame"',
    "suspension": 'suspension = "solid"',
    "anti_roll_bar": "anti_roll_bar = true (or false if there is none)",
    "driven_wheels": 'driven_wheels = "all"',
    "travel": 'travel.total = "200 mm"',
    "mass": 'mass.total = "2150 kg"',
    "front": "a table [front]",
    "rear": "a table [rear]",
    "vehicle": 'vehicle = "Test wagon"',
    "date": "date = 2026-05-14",
    "run": "a table [[run]] for every run",
    "side": 'side = "left"',
    "bars": 'bars = "connected"',
}


def table_at(model: type[Table], key: str) -> type[Table] | None:
    """The table that a key of a table holds, one or a list of it; None for any other key."""
    field = model.model_fields.get(key)
    return _table_of(field.annotation) if field else None


def _rule(model: type[Table], key: str, kind: type[Rule]) -> Rule | None:
    field = model.model_fields.get(key)
    return next((rule for rule in field.metadata if isinstance(rule, kind)), None) if field else None


def _table_of(annotation: Any) -> type[Table] | None:
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        found = _table_of(inner)
        if found is not None:
            return found
    return None
