"""`logbook`: keeping what was measured, and where a result stands among all that was kept."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.app import Answer, app, print_json, save
from articulate.cli.figure_options import FigureOptions, picture_answer, read_medium
from articulate.cli.groups import grouped
from articulate.cli.options import AsJson, Full, Replace
from articulate.cli.places import GatheringCommand, PlacedCommand
from articulate.cli.ramp_options import check_bars
from articulate.cli.reading import stop, stop_at

if TYPE_CHECKING:
    from articulate.measure.day_record import DayRecord
    from articulate.measure.kept_sheets import KeptSheet
    from articulate.measure.run_sheet import RunSheet
    from articulate.output.text.logbook import Library
    from articulate.studies.logbook.kept import FileHash, Kept
    from articulate.studies.logbook.standing import Terms

logbook = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Keep run sheets, one plain file a test day, and see where each stands among them.\n\n"
    "Example: articulate logbook save my_sheet.toml --folder logbook",
)
app.add_typer(logbook, name="logbook")

Folder = Annotated[Path, typer.Option(help="Folder of the logbook.")]
ORDERS = ("rank", "date", "vehicle")
USUAL_RAMP = "20 deg"
_YEARS = re.compile(r"(\d{4})(?:\s*(?:-|to)\s*(\d{4}))?")


@logbook.command("save", cls=PlacedCommand)
def logbook_save(
    sheet: Annotated[Path, typer.Argument(metavar="SHEET", help="Run sheet (TOML).")],
    folder: Folder = Path("logbook"),
    replace: Annotated[
        bool, typer.Option("--replace", help="Let the saved sheet of this vehicle, title and day give way.")
    ] = False,
) -> None:
    """Save a run sheet in the file of its test day, with its answer and its vehicle as it is, whole or not at all.

    Example: articulate logbook save my_sheet.toml --folder logbook
    """
    from contextlib import ExitStack

    from articulate.measure import sheet_load
    from articulate.measure.logbook import LogbookError, day_name, with_sheet
    from articulate.measure.plausible_readings import reading_doubts
    from articulate.output.files import folder_for_files, write_whole
    from articulate.output.folder_lock import one_writer
    from articulate.spec import SpecError
    from articulate.spec.load import read_text

    try:
        text = read_text(sheet, "run sheet")
        found = sheet_load.read_sheet(text, str(sheet))
        record = _record(found)
        path = folder / day_name(found)
        with ExitStack() as held:
            try:
                held.enter_context(folder_for_files(folder))
            except FileExistsError:
                stop(f"--folder {folder}: is a file, not a folder; name another")
            except OSError as error:
                stop(f"--folder {folder}: the folder cannot be made ({error.strerror}); name another")
            held.enter_context(one_writer(folder))
            before = read_text(path, "day") if path.exists() else None
            saved = with_sheet(before, path, found, text, replace=replace, record=record)
            if saved.how != "unchanged":
                write_whole(path, saved.text, replace=before is not None)
    except (SpecError, LogbookError) as error:
        stop(str(error))
    except OSError as error:
        stop(f"--folder {folder}: {error.strerror or error}")
    typer.echo(f"{path}: {saved.how}, {len(found.runs)} run{'s' if len(found.runs) != 1 else ''}")
    for one in reading_doubts(found):
        typer.echo(f"? {one}", err=True)


def _record(sheet: RunSheet) -> DayRecord | None:
    """What is noted beside a sheet; None, said, where it cannot be scored, which is no reason not to keep it."""
    from articulate.measure.conversions import MissingRadiusError
    from articulate.output.text.source_files import drive_words
    from articulate.studies.logbook.keeping import snapshot_of, vehicle_beside
    from articulate.studies.logbook.recording import day_record

    spec, text, why_not = vehicle_beside(sheet)
    if why_not:
        typer.echo(f"{sheet.path}: {sheet.vehicle}: {why_not}", err=True)
    snapshot = None
    if spec is not None:
        snapshot = snapshot_of(sheet, spec, text, drive_words(spec.drive) if spec.drive else "", sheet.vehicle_file)
    try:
        return day_record(sheet, sheet.document.data, spec, snapshot, why_not)
    except MissingRadiusError as error:
        typer.echo(f"{sheet.path}: {sheet.vehicle}: kept without its answer, {error}", err=True)
        return None


@logbook.command("show", cls=GatheringCommand)
@grouped
def logbook_show(
    *,
    folder: Annotated[Path, typer.Argument(metavar="[FOLDER]", help="Folder of the logbook.")] = Path("logbook"),
    vehicle: Annotated[str | None, typer.Option(help="Only vehicles with this in their name.")] = None,
    tyres: Annotated[str | None, typer.Option(help="Only vehicles on tyres with this in their size.")] = None,
    years: Annotated[str | None, typer.Option(help="Only these years, e.g. 2026 or 2019-2026.")] = None,
    side: Annotated[str, typer.Option(help="left, right, or both: their mean where both were driven.")] = "both",
    bars: Annotated[str, typer.Option(help="connected or released.")] = "connected",
    ramp_angle: Annotated[str, typer.Option(help="Ramp that all scores are carried to.")] = USUAL_RAMP,
    sort: Annotated[str, typer.Option(help="rank, date or vehicle.")] = "rank",
    again: Annotated[
        bool, typer.Option("--again", help="Score every sheet again from its own day file, by the rules of now; slow.")
    ] = False,
    full: Full = False,
    csv: Annotated[Path | None, typer.Option(help="Write the table to this CSV file, SI columns; - to print.")] = None,
    page: Annotated[
        Path | None, typer.Option(help="Page (.html) to search, sort and filter in, on a phone too; - prints it.")
    ] = None,
    figure: FigureOptions,
    replace: Replace = False,
    as_json: AsJson = False,
) -> None:
    """Rank all results of a folder on equal terms, and say where the newest stands and what predictions were worth.

    Example: articulate logbook show logbook --bars released --csv scores.csv
    """
    from articulate.output.text.logbook import Library, logbook_data, logbook_rows, logbook_table
    from articulate.studies.logbook.standing import ranking
    from articulate.studies.logbook.track_record import track_records

    faults: list[str] = []
    terms = _terms(side, bars, ramp_angle, faults)
    wanted = _years(years, faults)
    if sort not in ORDERS:
        faults.append(f"--sort {sort}: not an order; {', '.join(ORDERS[:-1])} or {ORDERS[-1]}")
    figure.check(faults)
    if page is not None and str(page) != "-" and page.suffix.lower() not in (".html", ".htm"):
        faults.append(f"--page {page}: must end in .html, or be -")
    if not folder.is_dir():
        faults.append(f"{folder}: there is no such folder; articulate logbook save SHEET --folder {folder} makes it")
    stop_at(faults)
    assert terms is not None
    results, faults = _results(folder, again)
    chosen = [
        one
        for one in results
        if (vehicle is None or vehicle.casefold() in one.record.vehicle.casefold())
        and (
            tyres is None
            or (one.record.snapshot is not None and tyres.casefold() in one.record.snapshot.tyres.casefold())
        )
        and wanted[0] <= int(one.date[:4]) <= wanted[1]
    ]
    if results and not chosen:
        stop_at([*faults, f"no result is left of {len(results)}; choose another --vehicle, other --tyres or --years"])
    words = [f"vehicles with {vehicle}"] if vehicle is not None else []
    words += [f"tyres {tyres}"] if tyres is not None else []
    words += [f"years {years}"] if years is not None else []
    library = Library(tuple(chosen), ranking(chosen, terms), track_records(chosen), ", ".join(words))
    if figure.figure is not None and not library.ranking.standings:
        works = "mend what is wrong above" if faults else "choose other --bars or another --side"
        stop_at([*faults, f"--figure {figure.figure}: there is no result on these terms; {works}"])
    answers = _drawn(library, page, figure)
    if csv is not None:
        from articulate.output.layout import csv_text

        answers.append(Answer("--csv", csv, csv_text(logbook_rows(library))))
    save(answers, replace)
    if as_json:
        print_json(logbook_data(library, faults))
    elif "-" not in (str(csv), str(page)):
        typer.echo(logbook_table(library, full=full, order=sort))
    if faults:
        stop("\n".join(faults), code=1)


def _drawn(library: Library, page: Path | None, figure: FigureOptions) -> list[Answer]:
    """The page and the figure, where they are wanted."""
    answers = []
    if page is not None:
        from articulate.output.logbook_page.page import logbook_html

        answers.append(Answer("--page", page, logbook_html(library)))
    if figure.figure is not None:
        from articulate.output.figures.logbook import standing_picture

        picture = standing_picture(library.ranking, read_medium(figure.medium, []), figure.transparent)
        answers.append(picture_answer("--figure", figure.figure, picture))
    return answers


def _terms(side: str, bars: str, ramp_angle: str, faults: list[str]) -> Terms | None:
    from articulate.studies.logbook.standing import Terms

    if side not in ("left", "right", "both"):
        faults.append(f"--side {side}: not a side; left, right or both")
    check_bars(bars, faults)
    if ramp_angle == USUAL_RAMP:  # what reads quantities takes as long to load as a thousand day files
        return Terms(bars, side)
    from articulate.studies.typed import read_ramp_angle

    angle = read_ramp_angle("--ramp-angle", ramp_angle, "the usual ramp is '20 deg'", faults)
    return None if angle is None else Terms(bars, side, angle.value)


def _years(years: str | None, faults: list[str]) -> tuple[int, int]:
    """First and last year that are wanted."""
    if years is None:
        return 0, 9999
    found = _YEARS.fullmatch(years.strip())
    if found is None:
        faults.append(f"--years {years}: not years; write 2026, or 2019-2026")
        return 0, 9999
    first = int(found.group(1))
    last = int(found.group(2) or first)
    if last < first:
        faults.append(f"--years {years}: they end before they begin; exchange the two")
    return first, last


def _results(folder: Path, again: bool) -> tuple[list[Kept], list[str]]:
    """Every result of a folder in the order of its days, and what could not be read; or stop where nothing is there."""
    from functools import cache

    from articulate.errors import ArticulateError
    from articulate.measure.kept_sheets import day_files, sheets_as_noted
    from articulate.studies.logbook.kept import as_noted, vehicle_file_hash

    days, others = day_files(folder)
    for path in others:
        seen = str(path).replace("\n", "‹U+000A›")
        typer.echo(f"{seen}: not read; a day file has the name of its day, such as 2026-05-14.toml", err=True)
    if not days:
        stop(f"{folder}: there is no day file in it; articulate logbook save SHEET --folder {folder} makes one")
    sheets: list[KeptSheet] = []
    faults: list[str] = []
    for path in days:
        try:
            sheets += sheets_as_noted(path) or _read(path)
        except ArticulateError as error:
            faults.append(str(error))
    results = []
    file_hash = cache(vehicle_file_hash)
    slow = sum(one.record is None or again for one in sheets)
    for number, sheet in enumerate(sheets, start=1):
        _progress(f"\rsheet {number} of {len(sheets)}", last=number == len(sheets), of=slow > 1)
        found = None if again else as_noted(sheet, file_hash)
        if found is None:
            found = _scored_again(sheet, again, file_hash, faults)
        if found is not None:
            results.append(found)
            _say_unusable(found)
    return results, faults


def _read(path: Path) -> tuple[KeptSheet, ...]:
    """The sheets of a day file that is not as it was noted: this takes what reads sheets."""
    from articulate.measure.logbook import kept_sheets

    return kept_sheets(path)


def _scored_again(sheet: KeptSheet, again: bool, file_hash: FileHash, faults: list[str]) -> Kept | None:
    """The result of a sheet whose noted answer does not hold: this takes the model."""
    from articulate.measure.conversions import MissingRadiusError
    from articulate.spec import SpecError
    from articulate.studies.logbook.keeping import kept_result

    try:
        return kept_result(sheet, again, file_hash)
    except SpecError as error:
        faults.append(str(error))
    except MissingRadiusError as error:
        faults.append(f"{sheet.path}: {error}")
    return None


def _say_unusable(found: Kept) -> None:
    for remark in found.record.remarks:
        if "cannot be used" in remark:
            typer.echo(f"{found.path}: {found.record.vehicle}: {remark}", err=True)


def _progress(text: str, *, last: bool, of: bool) -> None:
    """Progress on stderr, where a person watches."""
    import sys

    if of and sys.stderr.isatty():
        typer.echo(text + ("\n" if last else ""), err=True, nl=False)
