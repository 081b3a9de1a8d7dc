"""Results as a logbook keeps them, read back without scoring anything: this has to be quick for thousands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from articulate.fingerprint import content_hash
from articulate.measure.day_record import RULES, DayRecord
from articulate.measure.kept_sheets import KeptSheet

FileHash = Callable[[Path], str]  # SHA-256 of a vehicle file's text, "" where it cannot be read


@dataclass(frozen=True)
class Kept:
    """A result of the logbook: the answer that holds, and what became of the one that was noted.

    `why_again` is empty where the answer is the noted one; `changes` are sentences, one a score that came out
    different.
    """

    path: Path
    date: str
    record: DayRecord
    was_noted: bool
    why_again: str = ""
    changes: tuple[str, ...] = ()
    file_changed: bool | None = None  # the vehicle's file since; None where it is gone, or nothing was noted of it


def vehicle_file_hash(path: Path) -> str:
    """SHA-256 of a vehicle file's text as `VehicleSpec.text_hash` has it, "" where it cannot be read."""
    try:
        return content_hash(path.read_bytes().removeprefix(b"\xef\xbb\xbf"))
    except (OSError, ValueError):
        return ""


def file_changed(day: Path, record: DayRecord, file_hash: FileHash = vehicle_file_hash) -> bool | None:
    """Whether the file of a record's vehicle is another one by now; None where that cannot be told."""
    if record.snapshot is None or not record.vehicle_file:
        return None
    found = file_hash(day.parent / record.vehicle_file)
    return found != record.snapshot.sha256 if found else None


def as_noted(sheet: KeptSheet, file_hash: FileHash = vehicle_file_hash) -> Kept | None:
    """The answer that was noted with a sheet; None where there is none, or it no longer holds.

    It holds as long as the sheet's values and the rules of scoring are those it was noted by.
    """
    record = sheet.record
    if record is None or sheet.changed or record.rules != RULES:
        return None
    return Kept(sheet.path, sheet.date, record, True, file_changed=file_changed(sheet.path, record, file_hash))
