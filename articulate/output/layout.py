"""What all texts share: the width, wrapping, and plain data without what JSON cannot hold."""

from __future__ import annotations

import csv
import io
import math
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from articulate.climb import Outcome

SCHEMA_VERSION = 1
WIDTH = 80
OUTCOMES = {
    Outcome.WHEEL_LIFTS: "a wheel lifts",
    Outcome.RAMP_ENDS: "the ramp ends first",
    Outcome.EQUILIBRIUM_JUMPS: "jumps",
    Outcome.TIPS: "would TIP",
    Outcome.NOT_CONVERGED: "no answer found",
    Outcome.UNSTABLE_AT_REST: "does not stand upright",
}


def wrapped(text: str, indent: str = "  ") -> str:
    """A paragraph of at most 80 columns, its further lines indented."""
    return textwrap.fill(text, WIDTH, subsequent_indent=indent, break_on_hyphens=False)


def join(lines: Iterable[str]) -> str:
    """Lines without blanks at their ends."""
    return "\n".join(line.rstrip() for line in lines)


def finite(value: float) -> float | None:
    """A number JSON can hold, or None."""
    return float(value) if math.isfinite(value) else None


def plain(data: Mapping[str, Any]) -> dict[str, Any]:
    """A record with its numbers made finite or None."""
    return {key: finite(value) if isinstance(value, float) else value for key, value in data.items()}


def csv_text(rows: Sequence[Mapping[str, str | float]]) -> str:
    """Rows as CSV with a header; numbers in full."""
    text = io.StringIO()
    if rows:
        writer = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    return text.getvalue()
