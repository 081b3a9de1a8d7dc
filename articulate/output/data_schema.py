"""The JSON Schema of data, made of the types that declare them: TypedDicts with words beside each type.

What goes beyond a type and its words, `OneOf` and `Keys`, stands beside the type as well.
"""

from __future__ import annotations

import types
from collections.abc import Sequence
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints, is_typeddict

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_PLAIN = {str: "string", float: "number", int: "integer", bool: "boolean", types.NoneType: "null"}


class OneOf(tuple[str, ...]):
    """The words that a text is one of."""


class Keys(tuple[str, ...]):
    """The keys that a dictionary always has, no other."""


def schema(title: str, description: str, *parts: Any) -> dict[str, Any]:
    """The JSON Schema, draft 2020-12, of data that has the keys of all parts, each a TypedDict."""
    named: dict[str, Any] = {}
    whole = _object(parts, named)
    return {
        "$schema": DIALECT,
        "title": title,
        "description": description,
        **whole,
        "$defs": dict(sorted(named.items())),
    }


def _object(parts: Sequence[Any], named: dict[str, Any]) -> dict[str, Any]:
    """An object with the keys of the parts, no others; what it names is put among the named."""
    hints = {key: hint for part in parts for key, hint in get_type_hints(part, include_extras=True).items()}
    optional = {key for part in parts for key in part.__optional_keys__}
    return {
        "type": "object",
        "properties": {key: _of(hint, named) for key, hint in hints.items()},
        "required": [key for key in hints if key not in optional],
        "additionalProperties": False,
    }


def _of(hint: Any, named: dict[str, Any]) -> dict[str, Any]:
    """The schema of one type; of words beside it the last say what is meant here."""
    kind, said = get_origin(hint), get_args(hint)
    if kind is Annotated:
        return _annotated(said[0], hint.__metadata__, named)
    if is_typeddict(hint):
        if hint.__name__ not in named:
            named[hint.__name__] = {}  # a place for those that hold themselves
            named[hint.__name__] = {"description": hint.__doc__, **_object([hint], named)}
        return {"$ref": f"#/$defs/{hint.__name__}"}
    if kind in (Union, types.UnionType):
        return _either([_of(one, named) for one in said])
    if kind in (list, dict):
        array, held = kind is list, _of(said[-1], named)
        return {"type": "array", "items": held} if array else {"type": "object", "additionalProperties": held}
    return {"type": _PLAIN[hint]}


def _annotated(hint: Any, beside: Sequence[Any], named: dict[str, Any]) -> dict[str, Any]:
    found = _of(hint, named)
    for one in beside:
        if isinstance(one, OneOf):
            found = {"enum": [*one, None] if "null" in found["type"] else list(one)}
        elif isinstance(one, Keys):
            held = found["additionalProperties"]
            held_by = {key: {**held, "description": key.replace("_", " ")} for key in one}
            found = {**found, "properties": held_by, "required": list(one)}
            found["additionalProperties"] = False
        else:
            found = {**found, "description": one}
    return found


def _either(kinds: list[dict[str, Any]]) -> dict[str, Any]:
    """One of several: types that say no more than their name as one list."""
    if all(set(one) == {"type"} for one in kinds):
        return {"type": [one["type"] for one in kinds]}
    return {"anyOf": kinds}
