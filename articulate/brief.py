"""Records shown in brief."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from enum import Enum
from typing import Any

LONGEST_VALUE = 60  # characters of a value in a record's repr


class Brief:
    """A dataclass of arrays and records whose repr fits a screen: arrays by shape, records by name."""

    def __repr__(self) -> str:
        """The class with its fields in brief."""
        mine: Any = self
        return f"{type(self).__name__}({', '.join(f'{f.name}={_brief(getattr(self, f.name))}' for f in fields(mine))})"


def _brief(value: Any) -> str:
    if hasattr(value, "ndim"):
        few = value.ndim == 1 and value.size <= 4
        return f"[{', '.join(_brief(one) for one in value.tolist())}]" if few else f"array {value.shape}"
    if isinstance(value, Enum):
        return value.name
    if isinstance(value, Brief):
        return type(value).__name__
    if isinstance(value, float):
        return f"{value:.6g}"
    whole = repr(value) if not isinstance(value, (tuple, list, Mapping)) else _inside(value)
    return whole if len(whole) <= LONGEST_VALUE else f"{type(value).__name__}"


def _inside(values: Any) -> str:
    """A tuple, list or mapping: by its number if it is long."""
    if len(values) > 4 or isinstance(values, Mapping):
        return f"{type(values).__name__} of {len(values)}"
    whole = f"({', '.join(_brief(value) for value in values)})"
    return whole if len(whole) <= LONGEST_VALUE else f"{type(values).__name__} of {len(values)}"
