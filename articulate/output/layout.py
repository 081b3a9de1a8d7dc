"""What all texts share: the width, wrapping, rows, CSV, and plain data without what JSON cannot hold."""

from __future__ import annotations

import csv
import io
import math
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from articulate.output.visible import visible

if TYPE_CHECKING:  # texts that need no vehicle file are quick without
    from articulate.spec.plausibility import Doubt
    from articulate.spec.vehicle_spec import VehicleSpec

HASH_SHOWN = 12  # digits of a file's SHA-256 that are printed; data holds all
SCHEMA_VERSION = 2  # one more where a key goes, or holds something else; a new key leaves it
WIDTH, LABEL, COLUMN = 80, 26, 26
_FORMULA = tuple("=+-@＝＋－＠")  # signs a spreadsheet may take for the start of a formula, also in full width
RFC_4180 = "\r\n"  # line end of a CSV table by RFC 4180, October 2005, section 2


def wrapped(text: str, indent: str = "  ", first: str = "", *, whole_words: bool = False) -> str:
    """A paragraph of at most 80 columns.

    Args:
        text: what it says.
        indent: of its further lines.
        first: indent of its first line.
        whole_words: leave a word wider than the page whole, such as a path somebody copies.
    """
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=indent,
        break_on_hyphens=False,
        break_long_words=not whole_words,
    )


def row(label: str, cells: Sequence[str], label_width: int = LABEL, column: int = COLUMN) -> str:
    """One row of a table: a label and its cells, each as wide as its column."""
    return (f"{label:<{label_width}}" + "".join(f"{cell:<{column}}" for cell in cells)).rstrip()


def join(lines: Iterable[str]) -> str:
    """Lines without blanks at their ends."""
    return "\n".join(line.rstrip() for line in lines)


def ended(lines: Sequence[str], paragraph: str, caution: str) -> str:
    """A text with a paragraph on what it holds, and the caution that comes last."""
    return join([*lines, "", wrapped(paragraph, ""), "", caution])


def capitalised(text: str) -> str:
    """A text as a sentence begins; the other letters stay as they are."""
    return text[0].upper() + text[1:]


def finite(value: float) -> float | None:
    """A number JSON can hold, or None."""
    return float(value) if math.isfinite(value) else None


def meaningful(data: Any, digits: int) -> Any:
    """Plain data with its numbers cut to significant digits; libraries and machines round those beyond differently."""
    if isinstance(data, Mapping):
        return {key: meaningful(value, digits) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [meaningful(value, digits) for value in data]
    return float(f"{data:.{digits}g}") if isinstance(data, float) else data


def doubt_lines(asked: Sequence[Doubt]) -> list[str]:
    """What of a file should be asked about, a paragraph each, places as people click them."""
    return [wrapped(f"? {one}", whole_words=True) for one in asked]


def remark_lines(spec: VehicleSpec) -> list[str]:
    """What the reading of a file has to say of it, a paragraph each."""
    return [wrapped(f"note: {remark}") for remark in spec.remarks]


def two_digits(value: float) -> str:
    """An uncertainty to two significant digits, without an exponent."""
    if value == 0.0 or not math.isfinite(value):
        return "0" if value == 0.0 else "-"
    places = max(1 - math.floor(math.log10(abs(float(f"{value:.1e}")))), 0)
    return f"{value:.{places}f}"


def csv_text(rows: Sequence[Mapping[str, str | float]]) -> str:
    """Rows, all with the columns of the first, as CSV with a header, numbers in full; empty where there are none."""
    text = io.StringIO()
    if rows:
        writer = csv.DictWriter(text, list(rows[0]), lineterminator=RFC_4180)
        writer.writeheader()
        writer.writerows({key: _cell(value) for key, value in row.items()} for row in rows)
    return text.getvalue()


def _cell(value: str | float) -> str | float:
    """A cell: empty where there is no number, and a text that a spreadsheet shows and does not work out.

    What it would take for a formula gets an apostrophe.
    """
    if isinstance(value, float) and not math.isfinite(value):
        return ""
    shown = visible(value) if isinstance(value, str) else value
    return f"'{shown}" if isinstance(shown, str) and shown.lstrip().startswith(_FORMULA) else shown
