"""The files that an answer rests on, by name and fingerprint: vehicle files, with their drive, and run sheets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from articulate.output.layout import HASH_SHOWN, wrapped
from articulate.spec.vehicle_spec import DriveChoices, VehicleSpec

if TYPE_CHECKING:
    from articulate.measure.run_sheet import RunSheet
    from articulate.output.command_data import SourcesData


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
