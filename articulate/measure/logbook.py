"""The logbook: a folder with one plain file a test day, which holds that day's run sheets as they were written.

A day file is TOML. Each sheet stands under its own `[[sheet]]`, word for word but for the names of its tables and the
way to its vehicle file, with its comments, and after it a `[[record]]` with what was noted when it was kept
(`day_record`; a file without records is as good). Here texts are made and read; writing them is for whoever calls.
"""

from __future__ import annotations

import json
import os
import re
import tomllib
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from dataclasses import replace as replace_fields
from pathlib import Path
from typing import Any

from articulate.errors import ArticulateError
from articulate.fingerprint import text_hash
from articulate.measure.day_record import DayRecord, RecordError, record_of, record_text, snapshot_in, values_hash
from articulate.measure.kept_sheets import KeptSheet, sheets_as_noted
from articulate.measure.run_sheet import RunSheet
from articulate.measure.sheet_load import resolve_day
from articulate.spec.errors import Fault, SpecError
from articulate.spec.load import LARGEST_FILE, Document, parse, read_text

_VEHICLE_FILE = re.compile(r"""^(\s*vehicle_file\s*=\s*)("[^"]*"|'[^']*')""")
_HEADER = re.compile(r"^(\s*\[\[?)(\s*)")
_INTRODUCTION = """\
# Run sheets of {date}, kept by articulate logbook save. Each [[sheet]] is one of them.
"""


class LogbookError(ArticulateError, ValueError):
    """Something about a logbook that a person has to decide."""


@dataclass(frozen=True)
class Saved:
    """A day file's new text, and what became of the sheet: `added`, `replaced`, `unchanged` or `noted`.

    A sheet that was kept without a record is `noted` when it is saved again with one.
    """

    text: str
    how: str


def day_name(sheet: RunSheet) -> str:
    """Name of the day file a sheet belongs to."""
    return f"{sheet.date}.toml"


def read_day(path: Path) -> tuple[RunSheet, ...]:
    """The sheets of a day file.

    Raises:
        SpecError: every fault of the file, each with its line; a sheet of another day counts as one.
    """
    document = parse(read_text(path, "day"), str(path))
    sheets = resolve_day(document)
    faults = []
    for index, sheet in enumerate(sheets):
        if day_name(sheet) != path.name:
            place, line = document.place(("sheet", index, "date"))
            works = f"move the sheet to {day_name(sheet)}, or correct its date"
            faults.append(
                Fault(place, line, f"sheet[{index + 1}].date", sheet.date, "the file is another day's", works)
            )
    if faults:
        raise SpecError(faults)
    return sheets


def kept_sheets(path: Path) -> tuple[KeptSheet, ...]:
    """The sheets of a day file with their records, looked at only as far as it takes to tell whether they changed.

    A sheet whose text is the noted one, letter for letter, is not read; any other is compared by its values.

    Raises:
        SpecError: the file cannot be read, is not TOML, or a sheet in it is not one.
        LogbookError: something beside the sheets is not ours.
    """
    text = read_text(path, "day")
    return sheets_as_noted(path, text) or _compared(path, text)


def _compared(path: Path, text: str) -> tuple[KeptSheet, ...]:
    resolved = read_day(path)
    data = parse(text, str(path)).data
    by_name = {(str(one.get("vehicle")), str(one.get("title"))): one for one in data.get("record", [])}
    found = []
    for index, (sheet, values) in enumerate(zip(resolved, data["sheet"], strict=True)):
        record, wrong, vehicle = None, "", None
        if (told := by_name.get((sheet.vehicle, sheet.title))) is not None:
            try:
                record = record_of(told)
            except RecordError as error:
                wrong = str(error)
                with suppress(RecordError):
                    vehicle = snapshot_in(told)
        changed = record is not None and record.sheet_sha256 != values_hash(values)
        found.append(KeptSheet(path, index, path.stem, record, changed, wrong, vehicle))
    return tuple(found)


def with_sheet(
    day_text: str | None,
    day_path: Path,
    sheet: RunSheet,
    sheet_text: str,
    *,
    replace: bool,
    record: DayRecord | None = None,
) -> Saved:
    """The text of a day file with a sheet put in.

    The path of the sheet's vehicle file is written anew, as seen from the day file; all else stays as it is.

    Args:
        day_text: of the day file as it is, None if there is none.
        day_path: where the day file lies or will lie.
        sheet: the sheet.
        sheet_text: its text.
        replace: whether a sheet of the same vehicle and title may give way.
        record: what is noted beside it, None for nothing.

    Raises:
        LogbookError: such a sheet is there with other content and may not be replaced, or this one cannot be taken
            over word for word.
        SpecError: the day file has faults.
    """
    document = parse(_moved(sheet_text, sheet, day_path.parent), sheet.path)
    block = _as_block(document, _moved(sheet_text, sheet, day_path.parent))
    added: list[Mapping[str, Any]] = []
    if record is not None:
        seen = str(document.data.get("vehicle_file", ""))
        noted = record_text(replace_fields(record, text_sha256=text_hash(block.rstrip()), vehicle_file=seen))
        block += f"\n{noted}"
        added = tomllib.loads(noted)["record"]
    if day_text is None:
        text = f"{_INTRODUCTION.format(date=sheet.date)}\n{block}"
        return Saved(_checked(text, [document.data], added), "added")
    day = parse(day_text, str(day_path))
    sheets = resolve_day(day)
    kept = [dict(item) for item in day.data["sheet"]]
    name = (sheet.vehicle, sheet.title)
    records = list(day.data.get("record", []))
    others = [one for one in records if (one.get("vehicle"), one.get("title")) != name]
    same = [i for i, other in enumerate(sheets) if (other.vehicle, other.title) == name]
    if not same:
        return Saved(_checked(f"{day_text.rstrip()}\n\n{block}", [*kept, document.data], [*others, *added]), "added")
    index = same[0]
    unchanged = kept[index] == document.data
    if unchanged and (len(others) < len(records) or not added):
        return Saved(day_text, "unchanged")
    if not replace and not unchanged:
        named = f"{sheet.vehicle}{f', {sheet.title}' if sheet.title else ''}"
        raise LogbookError(
            f"{day_path}: a sheet of {named} is there already and says something else; give this one another title, "
            "or --replace that one (the other sheets of the day stay)"
        )
    # Not splitlines, here and below: that also splits at separators that TOML takes for letters.
    rows = [f"{row}\n" for row in day_text.removesuffix("\n").split("\n")]
    first = _line(day, index) - 1
    last = _line(day, index + 1) - 1 if index + 1 < len(kept) else len(rows)
    text = "".join([*rows[:first], block, *(["\n"] if last < len(rows) else []), *rows[last:]])
    kept[index] = dict(document.data)
    return Saved(_checked(text, kept, [*others, *added]), "noted" if unchanged else "replaced")


def _moved(text: str, sheet: RunSheet, folder: Path) -> str:
    """The sheet's text with the path of its vehicle file as seen from another folder."""
    place = sheet.vehicle_path
    if place is None or Path(sheet.vehicle_file).is_absolute():
        return text
    rows = text.replace("\r\n", "\n").split("\n")
    line = sheet.document.lines.of(("vehicle_file",))
    assert line is not None
    seen = Path(os.path.relpath(place, folder)).as_posix()
    rows[line - 1] = _VEHICLE_FILE.sub(lambda match: f"{match.group(1)}{_basic_string(seen)}", rows[line - 1])
    return "\n".join(rows)


def _basic_string(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)  # a TOML basic string takes the same escapes


def _line(document: Document, index: int) -> int:
    line = document.lines.of(("sheet", index))
    assert line is not None
    return line


def _as_block(document: Document, text: str) -> str:
    """A sheet's text as a `[[sheet]]` of a day file: `[ramp]` becomes `[sheet.ramp]`."""
    headers = {line for path, line in document.lines.lines.items() if isinstance(_at(document.data, path), dict)}
    rows = text.replace("\r\n", "\n").split("\n")
    changed = [
        _HEADER.sub(r"\1\2sheet.", row) if number in headers and _HEADER.match(row) else row
        for number, row in enumerate(rows, start=1)
    ]
    return "\n".join(["[[sheet]]", *changed]).rstrip() + "\n"


def _at(data: Mapping[str, object], path: tuple[str | int, ...]) -> object:
    value: object = data
    for part in path:
        value = value[part]  # type: ignore[index]
    return value


def _checked(text: str, sheets: Sequence[Mapping[str, object]], records: Sequence[Mapping[str, Any]]) -> str:
    """The text, if it reads back as exactly these sheets and records, whatever the order of the latter.

    Raises:
        LogbookError: it does not.
    """

    def by_name(found: Sequence[Mapping[str, Any]]) -> list[str]:
        return sorted(repr(sorted(one.items())) for one in found)  # repr, since a missing number equals nothing

    try:
        read = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        read = {}
    if len(text.encode("utf-8", "surrogatepass")) > LARGEST_FILE:
        raise LogbookError("the day file would grow too large to be read again; begin another folder for this day")
    whole = read.get("sheet") == [dict(sheet) for sheet in sheets] and not read.keys() - {"sheet", "record"}
    if not whole or by_name(read.get("record", [])) != by_name(records):
        raise LogbookError(
            "the sheet cannot be taken over word for word; write its tables as [name] on lines of their own"
        )
    return text
