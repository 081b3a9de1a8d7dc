"""The files that an answer rests on, by name and fingerprint: vehicle files, with their drive, and run sheets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, TypedDict

from articulate.output.layout import HASH_SHOWN, wrapped
from articulate.spec.vehicle_spec import DriveChoices, VehicleSpec

if TYPE_CHECKING:
    from articulate.measure.run_sheet import RunSheet


def drive_words(drive: DriveChoices) -> str:
    """A drive in a few words: `all wheels drive: front open, rear locked, centre locked`."""
    kinds = zip(("front", "rear"), drive.differentials, strict=True)
    parts = [f"{axle} {kind}" for axle, kind in kinds if kind is not None]
    centre = [] if drive.centre == "none" else [f"centre {drive.centre}"]
    return f"{drive.driven_wheels} wheels drive: {', '.join([*parts, *centre])}"


def file_words(spec: VehicleSpec, name: str = "") -> str:
    """A vehicle file, under another name where one is given, with its fingerprint and what is known of its drive."""
    return f"{marked(name or spec.path, spec.text_hash)}; {of_drive(spec)}"


def of_drive(spec: VehicleSpec) -> str:
    """What a file says of the drive, in a few words."""
    return drive_words(spec.drive) if spec.drive else "drive not given"


def marked(path: str, text_hash: str) -> str:
    """A file with its fingerprint, by which it is found again; readings typed as options have none."""
    return f"{path}, sha256 {text_hash[:HASH_SHOWN]}" if text_hash else path


def sheet_lines(sheets: Sequence[RunSheet]) -> list[str]:
    """A line for each run sheet."""
    return [wrapped(f"sheet: {marked(sheet.path, sheet.document.text_hash)}", whole_words=True) for sheet in sheets]


class FileHeld(TypedDict):
    """A vehicle file that the answer rests on."""

    vehicle: Annotated[str, "name of the vehicle"]
    file: Annotated[str, "vehicle file as it was named"]
    file_sha256: Annotated[str, "SHA-256 of the file's text, hexadecimal"]
    settings: Annotated[list[str], "what was set in it, KEY=VALUE"]
    drive: Annotated[str | None, "its drive in words; null where the file does not say"]


class SheetHeld(TypedDict):
    """A run sheet that the answer rests on."""

    file: Annotated[str, "run sheet as it was named"]
    file_sha256: Annotated[str | None, "SHA-256 of the sheet's text, hexadecimal; null for readings typed as options"]


class SourcesData(TypedDict):
    """The files that an answer rests on."""

    files: Annotated[list[FileHeld], "vehicle files"]
    sheets: Annotated[list[SheetHeld], "run sheets"]


def sources_data(specs: Sequence[VehicleSpec], sheets: Sequence[RunSheet]) -> SourcesData:
    """Vehicle files, with what was set in them, and run sheets as plain data."""
    return {
        "files": [
            {
                "vehicle": spec.name,
                "file": spec.path,
                "file_sha256": spec.text_hash,
                "settings": list(spec.settings),
                "drive": drive_words(spec.drive) if spec.drive else None,
            }
            for spec in specs
        ],
        "sheets": [{"file": sheet.path, "file_sha256": sheet.document.text_hash or None} for sheet in sheets],
    }
