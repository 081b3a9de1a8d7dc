"""The vehicle file to start from: every key with a line about it, and the shortest that works."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, get_origin

from articulate.spec.key_lookup import example_of, only_of, table_at, text_of
from articulate.spec.keys import Table, VehicleFile

_MINIMAL = Path(__file__).with_name("template_minimal.toml")
_HEAD = """\
# A vehicle file. It runs as it is; put your own numbers in.
#
# A quantity is a text with its unit: "17 3/8 in", "5 ft 3 1/2 in", "441 mm", "30 N/mm", "171 lb/in",
# "1.2 kN m/deg", "36 psi", "2150 kg", "52 %". How well it is known may follow: "2150 kg ± 20 kg" (or +-),
# "441 mm ± 1 %", or a range "5 to 12 kN m/deg". Both are limits, with every value between equally likely.
# The long form says more:
#   { value = "2150 kg", standard_uncertainty = "8 kg", source = "measured", basis = "weighbridge" }
#   { value = "8 kN m/deg", range = ["5 kN m/deg", "12 kN m/deg"], source = "published" }
#   { value = "441 mm", plus_minus = "2 mm" }
# with source = "measured", "published", "assumed" or "given". Keys after a # are optional: remove
# the # to use them. What is not given is assumed with a wide range, and the report says so.

"""

# The vehicle of the template; the lines about its keys, and the keys it has no use for, come from the table of keys.
_EXAMPLE = Path(__file__).with_name("template_example.toml")


def template(*, minimal: bool = False) -> str:
    """The text of a vehicle file that runs as it is: every key with its line, or the minimal one."""
    if minimal:
        return _MINIMAL.read_text(encoding="utf-8")
    example = tomllib.loads(_EXAMPLE.read_text(encoding="utf-8"))
    return _HEAD + "\n".join(_lines(VehicleFile, example, "", set())) + "\n"


def _lines(model: type[Table], given: Mapping[str, Any] | None, name: str, told: set[tuple[str, str]]) -> Iterator[str]:
    """The lines of a table: what the example gives, and behind a # each other key that no table before has told of."""

    def news(key: str) -> bool:
        """Whether a key is told of here: for the first time, and in front if it goes with the suspension there."""
        only = only_of(model, key)
        return (model.__name__, key) not in told and (not only or "independent" in only or name.startswith("rear"))

    def comment(key: str) -> str:
        text = f"  # {text_of(model, key)}" if news(key) else ""
        told.add((model.__name__, key))
        return text

    tables = [key for key in model.model_fields if table_at(model, key) is not None]
    for key in model.model_fields:
        if key not in tables and given is not None and key in given:
            yield f"{key} = {json.dumps(given[key], ensure_ascii=False)}{comment(key)}"
        elif key not in tables and news(key):
            yield f"# {example_of((key,), model)}{comment(key)}"
    for key in tables:
        inner, path, found = table_at(model, key), f"{name}.{key}".lstrip("."), (given or {}).get(key)
        several = get_origin(model.model_fields[key].annotation) is list
        for item in found if isinstance(found, list) else [found]:
            lines = list(_lines(inner, item, path, told)) if inner and (item is not None or news(key)) else []
            if item is not None or lines or news(key):
                yield ""
                yield f"{'# ' if item is None else ''}{f'[[{path}]]' if several else f'[{path}]'}{comment(key)}"
                yield from lines
