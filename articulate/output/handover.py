"""A test handed over as one file: vehicle, run sheet and report with their hashes, and all that makes the report again.

A bundle is a zip of files stored as they are, with fixed times and rights, so that the same content gives the same
bytes. What is read back comes from anywhere: names that lead out of a folder, links, files without end and options
that are not a report's are refused before anything is written.
"""

from __future__ import annotations

import io
import json
import os
import platform
import re
import shlex
import stat
import zipfile
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from articulate.errors import ArticulateError
from articulate.fingerprint import content_hash
from articulate.output.layout import SCHEMA_VERSION
from articulate.output.stamp import program
from articulate.output.visible import visible

if TYPE_CHECKING:
    from articulate.output.command_data import ReceivedData

FOLDER = "handover/"  # in the zip, so that unpacking puts all in one place
MANIFEST, GUIDE, REPORT = "manifest.json", "READ_ME.txt", "report.html"
FORM = 1  # of the manifest
LARGEST = 32_000_000  # [bytes], of a bundle and of all that is in it; a report has some 1.5 million
MOST_FILES = 16
OPTIONS = ("ramp-angle", "side", "touch-load", "friction", "samples", "model-error", "set", "units", "title")
LIBRARIES = ("jinja2", "matplotlib", "numpy", "pydantic", "scipy")  # on which the bytes of a report hang
_LONGEST_NAME, _LONGEST_OPTION, _DEEPEST = 200, 500, 6
_PART = re.compile(r"[^-. \\/:*?\"<>|][^\\/:*?\"<>|]*(?<![. ])")  # of a name that every system takes


class BundleError(ArticulateError, ValueError):
    """A bundle that cannot be made, or is not taken; the text says why and what would work."""


@dataclass(frozen=True)
class Bundle:
    """What is handed over; names are those in the bundle, `run_sheet` is empty where there is none.

    `options` are those of `report`, without their dashes, each with its values as typed.
    """

    vehicle: str
    run_sheet: str
    options: Mapping[str, Sequence[str]]
    program: str
    versions: Mapping[str, str]
    files: Mapping[str, bytes]  # with the report, without manifest and guide


def versions_here() -> dict[str, str]:
    """Of the language, the libraries and the machine that a report made here hangs on."""
    found = {name: metadata.version(name) for name in LIBRARIES}
    return {"python": platform.python_version(), **found, "machine": f"{platform.system()} {platform.machine()}"}


def report_words(bundle: Bundle, output: str = REPORT) -> list[str]:
    """The words after `articulate` that make the report again, in the folder of the bundle's files."""
    sheet = [f"--run-sheet={bundle.run_sheet}"] if bundle.run_sheet else []
    options = [f"--{name}={value}" for name, values in bundle.options.items() for value in values]
    return ["report", bundle.vehicle, *sheet, *options, f"--output={output}"]


def names_in_bundle(vehicle: Path, sheet: Path | None, vehicle_file: str) -> tuple[str, str]:
    """Names of vehicle file and run sheet in a bundle, such that the sheet finds the vehicle where it did.

    Args:
        vehicle: place of the vehicle file.
        sheet: place of the run sheet, None without one.
        vehicle_file: as the sheet names it.

    Raises:
        BundleError: a name that not every system takes, or is not that of a TOML file.
    """
    names = [vehicle.name, sheet.name if sheet is not None else ""]
    if sheet is not None:
        at = Path(os.path.abspath(sheet))
        seen = Path(os.path.normpath(at.parent / vehicle_file)) if vehicle_file else at
        if not os.path.isabs(vehicle_file) and seen == Path(os.path.abspath(vehicle)):
            top = os.path.commonpath([seen.parent, at.parent])
            names = [Path(os.path.relpath(one, top)).as_posix() for one in (seen, at)]
        elif names[0].casefold() == names[1].casefold():
            names[1] = f"run_sheet/{names[1]}"
    for name in filter(None, names):
        if fault := _input_fault(name):
            raise BundleError(f"{name}: {fault}; give it another name first")
    return names[0], names[1]


def _input_fault(name: str) -> str:
    return _name_fault(name) or ("" if name.endswith(".toml") else "a vehicle file and a run sheet end in .toml")


def _name_fault(name: str) -> str:
    """Why a name is not one of a file within a folder; empty where nothing is against it."""
    parts = name.split("/")
    if len(name) > _LONGEST_NAME or len(parts) > _DEEPEST:
        return "the name is too long"
    if visible(name) != name or "\n" in name or "\t" in name:
        return "the name has letters that cannot be seen"
    if not all(map(_PART.fullmatch, parts)):
        return "the name leads elsewhere, or not every system takes it"
    return ""


def bundle_bytes(bundle: Bundle) -> bytes:
    """The bundle as a zip; the same content gives the same bytes."""
    files = dict(bundle.files)
    files[GUIDE] = _guide(bundle).encode("utf-8")
    listed = {name: {"sha256": content_hash(content), "bytes": len(content)} for name, content in sorted(files.items())}
    manifest = {
        "form": FORM,
        "program": bundle.program,
        "versions": dict(bundle.versions),
        "vehicle": bundle.vehicle,
        "run_sheet": bundle.run_sheet,
        "options": {name: list(values) for name, values in bundle.options.items()},
        "files": listed,
    }
    files[MANIFEST] = (json.dumps(manifest, indent=2, ensure_ascii=False) + "\n").encode("utf-8")
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:  # packers differ in how they press
        for name in (GUIDE, MANIFEST, *sorted(files.keys() - {GUIDE, MANIFEST})):
            entry = zipfile.ZipInfo(FOLDER + name, (1980, 1, 1, 0, 0, 0))
            entry.create_system, entry.external_attr = 3, (stat.S_IFREG | 0o644) << 16
            archive.writestr(entry, files[name])
    return out.getvalue()


def _guide(bundle: Bundle) -> str:
    sheet = [f"{bundle.run_sheet}: the run sheet, with the readings"] if bundle.run_sheet else []
    rows = [
        "A ramp test, handed over",
        "",
        f"{REPORT}: the report, to be opened in a browser",
        f"{bundle.vehicle}: the vehicle file",
        *sheet,
        f"{MANIFEST}: SHA-256 of every file, and the versions of all that made the report",
        "",
        "Checking it, and making the report again, from the zip as it came:",
        "  articulate receive NAME.zip --again",
        "",
        "or in this folder, unpacked:",
        f"  articulate {shlex.join(report_words(bundle, 'again.html'))}",
        "",
        f"With {bundle.program} and the versions of the manifest again.html has the bytes of {REPORT}:",
        f"  sha256 {content_hash(bundle.files[REPORT])}",
        "With others last digits may differ.",
    ]
    return "\n".join(rows) + "\n"


def read_bundle(data: bytes) -> tuple[Bundle, list[str]]:
    """A bundle as it came, and what in it is not as its manifest says.

    Raises:
        BundleError: it is none, or one that could do harm.
    """
    files = _unpacked(data)
    try:
        told = json.loads(files[MANIFEST])
        if told["form"] != FORM:
            raise BundleError(f"it is of form {told['form']!r}, and this program reads form {FORM}; ask for another")
        named = [told["vehicle"], told["run_sheet"]]
        texts = [*named, told["program"], *told["versions"].values(), *told["versions"]]
        listed = {str(name): str(one["sha256"]) for name, one in told["files"].items()}
        options = {str(name): [str(value) for value in values] for name, values in told["options"].items()}
        if not all(isinstance(text, str) for text in texts):
            raise TypeError("a text is needed")
    except BundleError:
        raise
    except (KeyError, TypeError, AttributeError, ValueError, RecursionError):
        raise BundleError(
            f"it has no {MANIFEST} that can be read; ask for a file made by articulate handover"
        ) from None
    check_options(options)
    if fault := next(filter(None, map(_input_fault, filter(None, named))), "" if named[0] else "no vehicle is named"):
        raise BundleError(f"its {MANIFEST} names what is no file of it ({fault}); ask for it to be made again")
    faults = [
        f"{name}: is missing" for name in sorted(listed.keys() | {*filter(None, named), REPORT}) if name not in files
    ]
    faults += [f"{name}: is not in its {MANIFEST}" for name in sorted(files.keys() - listed.keys() - {MANIFEST})]
    faults += [
        f"{name}: changed since it was handed over (sha256 {content_hash(files[name])[:12]}, was {listed[name][:12]})"
        for name in sorted(files.keys() & listed.keys())
        if content_hash(files[name]) != listed[name]
    ]
    return Bundle(named[0], named[1], options, told["program"], told["versions"], files), faults


def check_options(options: Mapping[str, Sequence[str]]) -> None:
    """Refuse options that no report is made with, for a bundle to be made or taken.

    Raises:
        BundleError: there is one.
    """
    for name, values in options.items():
        for value in values:
            if name not in OPTIONS or len(value) > _LONGEST_OPTION or visible(value) != value:
                shown = f"--{visible(name)[:40]} {visible(value)[:40]}"
                raise BundleError(f"{shown}: no option of a report, or too long or with letters that cannot be seen")


def _unpacked(data: bytes) -> dict[str, bytes]:
    """Every file of a zip by its name within the bundle's folder.

    Raises:
        BundleError: it is no zip, or one with something else in it than plain files of a bearable size.
    """
    broken = BundleError("it is no zip, or a damaged one; ask for it to be sent again")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = [entry for entry in archive.infolist() if not entry.is_dir()]
            _check_entries(entries)
            return {
                PurePosixPath(entry.filename).as_posix().removeprefix(FOLDER): archive.read(entry) for entry in entries
            }
    except BundleError:
        raise
    except (zipfile.BadZipFile, zlib.error, OSError, EOFError, ValueError, RuntimeError, NotImplementedError):
        raise broken from None


def _check_entries(entries: Sequence[zipfile.ZipInfo]) -> None:
    if len(entries) > MOST_FILES or sum(entry.file_size for entry in entries) > LARGEST:
        raise BundleError(
            f"it holds more than {MOST_FILES} files or {LARGEST // 1_000_000} MB, as none does; it is not unpacked"
        )
    for entry in entries:
        shown = visible(entry.filename)[:80]
        kind = stat.S_IFMT(entry.external_attr >> 16)
        if fault := _name_fault(entry.filename):
            raise BundleError(f"{shown}: {fault}; it is not unpacked")
        if entry.flag_bits & 1:
            raise BundleError(f"{shown}: locked with a password; ask for it without")
        if kind not in (0, stat.S_IFREG):
            raise BundleError(f"{shown}: a link or no plain file; it is not unpacked")
    names = [entry.filename.casefold() for entry in entries]
    if len(set(names)) < len(names):
        raise BundleError("it holds two files of one name; it is not unpacked")


def differing_versions(bundle: Bundle) -> list[str]:
    """What made the bundle's report and is another version here."""
    here = {"program": program(), **versions_here()}
    then = {"program": bundle.program, **bundle.versions}
    return [f"{name} {then[name]} then, {here[name]} here" for name in then if then[name] != here.get(name, then[name])]


def received_data(found: Bundle, faults: Sequence[str], others: Sequence[str], same: bool | None) -> ReceivedData:
    """What was received as plain data."""
    return {
        "schema_version": SCHEMA_VERSION,
        "program": found.program,
        "versions": dict(found.versions),
        "other_versions_here": list(others),
        "vehicle": found.vehicle,
        "run_sheet": found.run_sheet or None,
        "options": {name: list(values) for name, values in found.options.items()},
        "files": [
            {"file": name, "file_sha256": content_hash(content), "bytes": len(content)}
            for name, content in sorted(found.files.items())
        ],
        "as_handed_over": not faults,
        "report_again_the_same": same,
        "faults": list(faults),
    }
