"""The logbook: a folder with one plain file a test day, which holds that day's run sheets as they were written.

A day file is TOML. Each sheet stands under its own `[[sheet]]`, word for word but for the names of its tables and the
way to its vehicle file, with its comments. Here texts are made and read; writing them is for whoever calls.
"""

from __future__ import annotations

import json
import os
import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from articulate.errors import ArticulateError
from articulate.measure.run_sheet import RunSheet
from articulate.measure.sheet_load import resolve_day
from articulate.spec.errors import Fault, SpecError
from articulate.spec.load import Document, parse, read_text

_DAY = re.compile(r"\d{4}-\d\d-\d\d\.toml")
_VEHICLE_FILE = re.compile(r"""^(\s*vehicle_file\s*=\s*)("[^"]*"|'[^']*')""")
_HEADER = re.compile(r"^(\s*\[\[?)(\s*)")
_INTRODUCTION = """\
# Run sheets of {date}, kept by articulate logbook save. Each [[sheet]] is one of them.
"""


class LogbookError(ArticulateError, ValueError):
    """Something about a logbook that a person has to decide."""


@dataclass(frozen=True)
class Saved:
    """A day file's new text, and what became of the sheet: `added`, `replaced` or `unchanged`."""

    text: str
    how: str


def day_name(sheet: RunSheet) -> str:
    """Name of the day file a sheet belongs to."""
    return f"{sheet.date}.toml"


def day_files(folder: Path) -> tuple[list[Path], list[Path]]:
    """The day files of a folder in the order of their days, and the other TOML files, which are not read."""
    found = sorted(folder.glob("*.toml"))
    return [path for path in found if _DAY.fullmatch(path.name)], [
        path for path in found if not _DAY.fullmatch(path.name)
    ]


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


def with_sheet(day_text: str | None, day_path: Path, sheet: RunSheet, sheet_text: str, *, replace: bool) -> Saved:
    """The text of a day file with a sheet put in.

    The path of the sheet's vehicle file is written anew, as seen from the day file; all else stays as it is.

    Args:
        day_text: of the day file as it is, None if there is none.
        day_path: where the day file lies or will lie.
        sheet: the sheet.
        sheet_text: its text.
        replace: whether a sheet of the same vehicle and title may give way.

    Raises:
        LogbookError: such a sheet is there with other content and may not be replaced, or this one cannot be taken
            over word for word.
        SpecError: the day file has faults.
    """
    document = parse(_moved(sheet_text, sheet, day_path.parent), sheet.path)
    block = _as_block(document, _moved(sheet_text, sheet, day_path.parent))
    if day_text is None:
        return Saved(_checked(f"{_INTRODUCTION.format(date=sheet.date)}\n{block}", [document.data]), "added")
    day = parse(day_text, str(day_path))
    sheets = resolve_day(day)
    kept = [dict(item) for item in day.data["sheet"]]
    same = [i for i, other in enumerate(sheets) if (other.vehicle, other.title) == (sheet.vehicle, sheet.title)]
    if not same:
        return Saved(_checked(f"{day_text.rstrip()}\n\n{block}", [*kept, document.data]), "added")
    index = same[0]
    if kept[index] == document.data:
        return Saved(day_text, "unchanged")
    if not replace:
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
    return Saved(_checked(text, kept), "replaced")


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


def _checked(text: str, sheets: Sequence[Mapping[str, object]]) -> str:
    """The text, if it reads back as exactly these sheets.

    Raises:
        LogbookError: it does not.
    """
    try:
        good = tomllib.loads(text) == {"sheet": [dict(sheet) for sheet in sheets]}
    except tomllib.TOMLDecodeError:
        good = False
    if not good:
        raise LogbookError(
            "the sheet cannot be taken over word for word; write its tables as [name] on lines of their own"
        )
    return text
