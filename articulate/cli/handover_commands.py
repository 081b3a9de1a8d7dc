"""`handover` and `receive`: a test as one file for a colleague, who checks it and makes its report again."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path
from shutil import rmtree
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.app import Answer, app, print_json, save
from articulate.cli.groups import grouped
from articulate.cli.options import AsJson, Files, VehicleFile
from articulate.cli.places import GatheringCommand, PlacedCommand
from articulate.cli.ramp_options import FilmRamp, sheet_says
from articulate.cli.reading import read_sheet, read_spec, stop, stop_at
from articulate.cli.report_commands import BandsOfDay

if TYPE_CHECKING:
    from articulate.output.handover import Bundle


@app.command(cls=GatheringCommand)
@grouped
def handover(
    *,
    context: typer.Context,
    vehicle: VehicleFile,
    output: Annotated[Path, typer.Option(help="Bundle to write, .zip.")],
    run_sheet: Annotated[Path | None, typer.Option(help="Run sheet of a finished test of the vehicle.")] = None,
    title: Annotated[str, typer.Option(help="Of the report; the vehicle's name if not given.")] = "",
    ramp: FilmRamp,
    bands: BandsOfDay,
    files: Files,
) -> None:
    """Hand a test over: one file with vehicle, run sheet, report, their hashes, and how to make the report again.

    Options are those of the report.

    Example: articulate handover vehicle_specs_demo/wagon.toml --output wagon.zip
    """
    from articulate.output.handover import (
        REPORT,
        Bundle,
        BundleError,
        bundle_bytes,
        check_options,
        names_in_bundle,
        versions_here,
    )
    from articulate.output.stamp import program

    faults: list[str] = []
    if str(vehicle) == "-":
        faults.append("-: a handover takes the vehicle file along; name it")
    if output.suffix.lower() != ".zip":
        faults.append(f"--output {output}: must end in .zip")
    if str(vehicle) != "-":
        read_spec(vehicle, files.settings, faults)
    sheet = None if run_sheet is None else read_sheet(run_sheet, faults)
    bands.read(faults)
    sheet_says(context, run_sheet, ("ramp_angle", "touch_load"), faults)
    ramp.read(faults)
    stop_at(faults)
    contents: dict[str, bytes] = {}
    try:
        own, of_sheet = names_in_bundle(vehicle, run_sheet, sheet.vehicle_file if sheet is not None else "")
        contents[own] = vehicle.read_bytes()
        if run_sheet is not None:
            contents[of_sheet] = run_sheet.read_bytes()
    except (BundleError, OSError) as error:
        stop(str(error))
    typed = {
        name.replace("_", "-"): value
        for name, value in context.params.items()
        if name in ("title", "ramp_angle", "side", "touch_load", "friction", "samples", "model_error", "units")
        and (source := context.get_parameter_source(name)) is not None
        and source.name == "COMMANDLINE"
    }
    options = {name: [str(value)] for name, value in typed.items()}
    if files.settings:
        options["set"] = list(files.settings)
    try:
        check_options(options)
    except BundleError as error:
        stop(str(error))
    bundle = Bundle(own, of_sheet, options, program(), versions_here(), contents)
    made = Bundle(own, of_sheet, options, program(), versions_here(), {**contents, REPORT: report_of(bundle)})
    save([Answer("--output", output, bundle_bytes(made))], files.replace)
    typer.echo(f"wrote {output}: {', '.join(sorted(made.files))}", err=True)


def report_of(bundle: Bundle) -> bytes:
    """The report of a bundle's files, made by the very command that its guide names, in a folder of their own; or stop.

    The process that makes it finds the program where this one did, and nothing of that folder.
    """
    import subprocess
    import sys

    import articulate
    from articulate.output.handover import REPORT, report_words

    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        for name in filter(None, (bundle.vehicle, bundle.run_sheet)):
            _put(folder / name, bundle.files[name])
        found = [str(Path(articulate.__file__).resolve().parent.parent), os.environ.get("PYTHONPATH", "")]
        words = [sys.executable, "-P", "-m", "articulate", *report_words(bundle)]
        done = subprocess.run(  # noqa: S603 our own program; names and options are those of a report
            words,
            cwd=folder,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, found))},
            capture_output=True,
            text=True,
            encoding="utf-8",
            errors="replace",
            check=False,
        )
        if done.returncode not in (0, 1) or not (folder / REPORT).is_file():
            stop(done.stderr.strip() or "the report could not be made")
        return (folder / REPORT).read_bytes()


def _put(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


@app.command(cls=PlacedCommand)
def receive(
    bundle: Annotated[Path, typer.Argument(metavar="BUNDLE", help="What articulate handover wrote (.zip).")],
    again: Annotated[bool, typer.Option("--again", help="Make the report again and compare it byte for byte.")] = False,
    folder: Annotated[Path | None, typer.Option(help="Unpack into this new folder, if all hashes agree.")] = None,
    as_json: AsJson = False,
) -> None:
    """Check what a colleague handed over: every file against its hash and, with --again, the report made anew.

    Example: articulate receive wagon.zip --again
    """
    from articulate.output.handover import REPORT, BundleError, differing_versions, read_bundle, received_data

    try:
        found, faults = read_bundle(_bytes_of(bundle))
    except BundleError as error:
        stop(f"{bundle}: {error}")
    if folder is not None and os.path.lexists(folder):
        stop(f"--folder {folder}: is there already; name a new one")
    others = differing_versions(found)
    same = None
    if again and not faults:
        same = report_of(found) == found.files[REPORT]
        if not same:
            why = f" ({'; '.join(others)})" if others else ""
            faults.append(f"{REPORT}: comes out otherwise here{why}")
    if folder is not None and not faults:
        _unpack(found.files, folder)
    if as_json:
        print_json(received_data(found, faults, others, same))
    else:
        typer.echo(_received_text(bundle, found, faults, others, same, folder))
    if faults:
        stop("\n".join(f"{bundle}: {fault}" for fault in faults), code=1)


def _bytes_of(path: Path) -> bytes:
    from articulate.output.handover import LARGEST

    try:
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except OSError as error:
        stop(f"{path}: it cannot be opened ({error.strerror}); check the path")
    if len(data) > LARGEST:
        stop(f"{path}: larger than {LARGEST // 1_000_000} MB, which no handover is; check that it is the file you mean")
    return data


def _unpack(files: Mapping[str, bytes], folder: Path) -> None:
    try:
        folder.mkdir()
        try:
            for name, content in files.items():
                _put(folder / name, content)
        except BaseException:
            rmtree(folder, ignore_errors=True)  # whole or not at all
            raise
    except OSError as error:
        stop(f"--folder {folder}: it cannot be written ({error.strerror}); name another")


def _received_text(
    path: Path, found: Bundle, faults: list[str], others: list[str], same: bool | None, folder: Path | None
) -> str:
    from articulate.fingerprint import content_hash
    from articulate.output.layout import HASH_SHOWN, wrapped

    state = "not as it was handed over" if faults else f"{len(found.files)} files, all as they were handed over"
    lines = [f"{path}: {state}", ""]
    for name, content in sorted(found.files.items()):
        lines.append(wrapped(f"{name}, sha256 {content_hash(content)[:HASH_SHOWN]}", whole_words=True))
    if same:
        lines += ["", "The report made again here has the same bytes."]
    versions = ", ".join(f"{name} {version}" for name, version in found.versions.items())
    lines += ["", wrapped(f"made with {found.program}, {versions}", whole_words=True)]
    lines += [wrapped(f"other here: {'; '.join(others)}", whole_words=True)] if others else []
    lines.append("Hashes tell damage and slips, not who made a file.")
    lines += [f"unpacked into {folder}"] if folder is not None and not faults else []
    return "\n".join(lines)
