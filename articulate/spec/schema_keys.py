"""What the schema says of a key: its table, dimension, description, and a line that would work."""

from __future__ import annotations

from typing import Any

from articulate.spec.entries import Clock, Quantity, RateOrRigid
from articulate.spec.quantities import Dimension, Reading
from articulate.spec.schema import Table, VehicleFile


def readings(table: Table, prefix: tuple[str | int, ...] = ()) -> dict[tuple[str | int, ...], Reading]:
    """Every quantity of a table by its key path, in the order of the schema."""
    found: dict[tuple[str | int, ...], Reading] = {}
    for key in type(table).model_fields:
        value = getattr(table, key)
        path = (*prefix, key)
        if isinstance(value, Reading):
            found[path] = value
        elif isinstance(value, Table):
            found |= readings(value, path)
        elif isinstance(value, list):
            for index, item in enumerate(value):
                found |= readings(item, (*path, index))
    return found


def model_at(path: tuple[str | int, ...], whole: type[Table] = VehicleFile) -> type[Table] | None:
    """The model of the table at a key path, or None if there is no table."""
    model = whole
    for part in path:
        if isinstance(part, int):
            continue
        field = model.model_fields.get(part)
        inner = _table_of(field.annotation) if field else None
        if inner is None:
            return None
        model = inner
    return model


def all_keys(model: type[Table] = VehicleFile, prefix: str = "") -> dict[str, str]:
    """Every dotted key of the file with its one-line description; tables included."""
    keys: dict[str, str] = {}
    for key, field in model.model_fields.items():
        keys[prefix + key] = field.description or ""
        inner = _table_of(field.annotation)
        if inner is not None:
            keys |= all_keys(inner, f"{prefix}{key}.")
    return keys


def dimension_of(key: str) -> Dimension | None:
    """The dimension of a dotted key of the file, items of a list by their names; None if it holds no quantity."""
    parts = key.split(".")
    for place, part in enumerate(parts[:-1]):
        if part in ("load", "body_point", "wheelhouse"):  # a list, whose items go by their names
            parts = [*parts[: place + 1], parts[-1]]
            break
    model = model_at(tuple(parts[:-1]))
    field = model.model_fields.get(parts[-1]) if model else None
    rules = field.metadata if field is not None else []
    found = [rule.rate if isinstance(rule, RateOrRigid) else rule for rule in rules]
    return next((rule.dimension for rule in found if isinstance(rule, Quantity)), None)


def example_of(path: tuple[str | int, ...], whole: type[Table] = VehicleFile) -> str:
    """A line that would work for a missing key."""
    model, key = model_at(path[:-1], whole), path[-1]
    field = model.model_fields.get(str(key)) if model else None
    if field is not None:
        for rule in field.metadata:
            if isinstance(rule, Quantity | Clock):
                return f'{key} = "{rule.example}"'
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


def _table_of(annotation: Any) -> type[Table] | None:
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        found = _table_of(inner)
        if found is not None:
            return found
    return None
