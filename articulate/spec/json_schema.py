"""The JSON Schema of the vehicle file, for editors that check while one types."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from articulate.spec.entries import QUANTITY_TABLE
from articulate.spec.keys import VehicleFile

SHIPPED = Path(__file__).with_name("vehicle.schema.json")


def vehicle_schema() -> dict[str, Any]:
    """The JSON Schema of a vehicle file, generated from its models."""
    schema = _shared(VehicleFile.model_json_schema())
    schema["$defs"]["QuantityTable"] = QUANTITY_TABLE
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def _shared(part: Any) -> Any:
    """The same schema with the table form of a quantity referred to instead of repeated.

    A reference that older pydantic wraps into an `allOf` of its own stands bare, as newer writes it.
    """
    if part == QUANTITY_TABLE:
        return {"$ref": "#/$defs/QuantityTable"}
    if isinstance(part, dict):
        if len(part.get("allOf", ())) == 1:
            part = {**part["allOf"][0], **{key: value for key, value in part.items() if key != "allOf"}}
        return {key: _shared(value) for key, value in part.items()}
    return [_shared(item) for item in part] if isinstance(part, list) else part


def schema_text() -> str:
    """The schema as the text of the file that is shipped."""
    return json.dumps(vehicle_schema(), indent=1, ensure_ascii=False) + "\n"


def write_vehicle_schema(path: Path = SHIPPED) -> None:
    """Write the schema to a file; the one beside this module is what is shipped."""
    path.write_text(schema_text(), encoding="utf-8")
