"""Day files read back as they were kept, without reading a sheet: this has to be quick for thousands."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from articulate.fingerprint import text_hash
from articulate.measure.day_record import DayRecord, RecordError, VehicleSnapshot, record_data, record_of

_DAY = re.compile(r"\d{4}-\d\d-\d\d\.toml")
_SHEET, _RECORD = "[[sheet]]", "[[record]]"


def day_files(folder: Path) -> tuple[list[Path], list[Path]]:
    """The day files of a folder in the order of their days, and the other TOML files, which are not read."""
    found = sorted(folder.glob("*.toml"))
    return [path for path in found if _DAY.fullmatch(path.name)], [
        path for path in found if not _DAY.fullmatch(path.name)
    ]


@dataclass(frozen=True)
class KeptSheet:
    """A sheet of a day file with its record, None where there is none; `wrong` says why one cannot be used."""

    path: Path
    index: int
    date: str
    record: DayRecord | None
    changed: bool  # the sheet is not the one that was noted
    wrong: str = ""
    vehicle: VehicleSnapshot | None = None  # of a record that cannot be used otherwise


def sheets_as_noted(path: Path, text: str | None = None) -> tuple[KeptSheet, ...]:
    """The sheets of a day file, where each has a record that knows its text letter for letter; otherwise none.

    Args:
        path: of the day file.
        text: of it, None to read it here.
    """
    if text is None:
        try:
            text = path.read_bytes().removeprefix(b"\xef\xbb\xbf").decode("utf-8")
        except (OSError, ValueError):
            return ()
    found = []
    sheets = f"\n{text}".split(f"\n{_SHEET}")[1:]  # what looks so within a text is split too; then no hash fits
    for index, part in enumerate(sheets):
        sheet, mark, noted = part.partition(f"\n{_RECORD}")
        try:
            record = record_of(record_data(f"{_RECORD}{noted}")) if mark else None
        except RecordError:
            return ()
        if record is None or record.text_sha256 != text_hash(f"{_SHEET}{sheet}".rstrip()):
            return ()
        found.append(KeptSheet(path, index, path.stem, record, changed=False))
    return tuple(found)
