"""`test-day` and `report`: pages for the test day and for readers."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from articulate import fingerprint
from articulate.cli.app import Answer, app, print_json, save
from articulate.cli.groups import grouped
from articulate.cli.options import AsJson, Replace, VehicleFile, WhatIf
from articulate.cli.places import GatheringCommand
from articulate.cli.population_options import USUAL_ERROR, ModelErrorOption, read_model_error
from articulate.cli.ramp_options import FilmRamp, ReleasedOn, read_release_on, sheet_says
from articulate.cli.reading import build_or_stop, lengths_for, read_sheet, read_spec, stop, told_apart

if TYPE_CHECKING:
    from articulate.measure.run_sheet import RunSheet
    from articulate.measure.scoring import SheetScores
    from articulate.output.report.content import SavedFile, Section, VehicleReport
    from articulate.output.report.measured_part import Expectations
    from articulate.output.text.conditions import Stated
    from articulate.output.units import Lengths
    from articulate.spec import VehicleSpec
    from articulate.studies.day.moving_climb import ReleaseOn
    from articulate.studies.day.plan import DayPlan
    from articulate.studies.population.conditions import Conditions
    from articulate.studies.population.model_error import ModelError

LEAST_SAMPLES, MOST_SAMPLES = 64, 65536


@dataclass(frozen=True)
class BandsOfDay:
    """How the bands of a plan or report are made."""

    samples: Annotated[int, typer.Option("--samples", "--points", help="Possible vehicles tried for the bands.")] = 1024
    model_error: ModelErrorOption = USUAL_ERROR

    def read(self, faults: list[str]) -> ModelError:
        """The model's error; faults are added for it and for a number of vehicles that nobody tries."""
        if not LEAST_SAMPLES <= self.samples <= MOST_SAMPLES:
            faults.append(f"--samples {self.samples}: outside {LEAST_SAMPLES} to {MOST_SAMPLES}; 1024 is the default")
        return read_model_error(self.model_error, faults)


@dataclass(frozen=True)
class PagesOrData(WhatIf):
    """How pages are made, and whether their data are printed."""

    as_json: AsJson = False
    replace: Replace = False


@app.command("test-day", cls=GatheringCommand)
@grouped
def plan_day(
    *,
    vehicle: VehicleFile,
    output: Annotated[Path | None, typer.Option(help="File to write, .html or .pdf; - prints the HTML page.")] = None,
    typed: FilmRamp,
    release_on: ReleasedOn = "floor",
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
    bands: BandsOfDay,
    ramp_page: Annotated[
        Path | None,
        typer.Option(
            help="Page for a phone beside the ramp (.html): takes readings, scores them, makes the run sheet."
        ),
    ] = None,
    made: PagesOrData,
) -> None:
    """Make the test-day sheet: where the marks are expected, the ramp needed, what to bring, boxes for the readings.

    With --ramp-page also the page that takes the readings on a phone, without a network.

    Example: articulate test-day vehicle_specs_demo/wagon.toml --output wagon_test_day.pdf
    """
    from articulate.output.sheet.content import plan_data, sheet_content
    from articulate.output.sheet.page import PAPERS, sheet_html
    from articulate.output.text.conditions import condition_data, condition_short, stated
    from articulate.spec import UnphysicalError
    from articulate.studies.day.plan import plan_test
    from articulate.studies.population.runs import Population

    faults: list[str] = []
    error = bands.read(faults)
    place = read_release_on(release_on, faults)
    sheet_paper = next((one for one in PAPERS if one == paper), None)
    if sheet_paper is None:
        faults.append(f"--paper {paper}: not a size; a4 or letter")
    if output is None and ramp_page is None and not made.as_json:
        faults.append("--output is missing: name a file ending in .html or .pdf, or - for HTML on standard output")
    elif output is not None and str(output) != "-" and output.suffix.lower() not in (".html", ".pdf"):
        faults.append(f"--output {output}: neither .html nor .pdf")
    if ramp_page is not None and str(ramp_page) != "-" and ramp_page.suffix.lower() != ".html":
        faults.append(f"--ramp-page {ramp_page}: not .html")
    (ramp, spec), side = typed.read_with(vehicle, made.settings, faults), typed.side
    assert place is not None
    assert sheet_paper is not None
    try:
        plan = plan_test(Population.of(spec, ramp.chosen()), side, bands.samples, model=error)
    except UnphysicalError as fault:
        stop(fault.said)
    lengths = lengths_for(made.units, [spec])
    also = [f"bars released on the {place}"] if plan.bars else []
    held = stated(ramp.chosen(), side, [spec], also, lengths)
    pages = []
    if output is not None:
        sheet = sheet_content(plan, spec, place, condition_short(held), lengths)
        if output.suffix.lower() == ".pdf":
            from articulate.output.sheet.pdf import sheet_pdf

            page: str | bytes = sheet_pdf(sheet, plan, sheet_paper)
        else:
            page = sheet_html(sheet, plan, sheet_paper)
        pages.append(Answer("--output", output, page))
    if ramp_page is not None:
        text = _page_for_the_ramp(vehicle, ramp_page, spec, plan, held, place, error)
        pages.append(Answer("--ramp-page", ramp_page, text))
    save(pages, made.replace)
    for written in pages:
        if str(written.path) != "-":
            typer.echo(f"wrote {written.path}", err=True)
    if made.as_json:
        print_json({**plan_data(plan, spec), **condition_data(held)})
    if all(run.unscored and not run.lifts for run in plan.runs):
        raise typer.Exit(1)


def _page_for_the_ramp(
    vehicle: Path,
    output: Path,
    spec: VehicleSpec,
    plan: DayPlan,
    held: Stated,
    release_on: ReleaseOn,
    error: ModelError,
) -> str:
    """The page that goes along to the ramp."""
    import sys

    from articulate.cli.measure_commands import head_of
    from articulate.output.ramp_page.content import SheetFacts, page_data
    from articulate.output.ramp_page.page import ramp_page_html
    from articulate.output.text.conditions import condition_short
    from articulate.studies.at_ramp.along import take_along

    if sys.stderr.isatty():
        typer.echo("working out what is taken along to the ramp ...", err=True)
    head = head_of(spec, vehicle, output)
    lengths = held.lengths
    along = take_along(spec, held.conditions, plan.side, lengths.first, plan.samples, error, plan.seed)
    there = replace(held, conditions=replace(held.conditions, touch_load=along.touch_load))  # what its marks hold for
    facts = SheetFacts(head.vehicle, head.vehicle_file, head.wheelbase, lengths, condition_short(there))
    return ramp_page_html(page_data(plan, along, spec, facts, release_on))


def _vehicle_report(
    path: Path,
    spec: VehicleSpec,
    conditions: Conditions,
    side: str,
    samples: int,
    error: ModelError,
    lengths: Lengths,
    among: int,
    sheet: RunSheet | None = None,
) -> VehicleReport:
    """Everything a report shows of one vehicle among others, or stop; the finished test, on a sheet, is only named."""
    from articulate.output.figures.scene import outline_of
    from articulate.output.report.content import VehicleReport
    from articulate.output.report.gather import climb_scenes, still_pictures
    from articulate.output.report.why_part import worth_section
    from articulate.output.text.conditions import condition_data, condition_short, stated
    from articulate.output.text.worth import step_in, worth_data
    from articulate.spec import UnphysicalError
    from articulate.studies.day.moments import at_climbs
    from articulate.studies.day.plan import plan_test
    from articulate.studies.design.grid import explorer_grid
    from articulate.studies.explain.vehicle_parts import StudiedVehicle
    from articulate.studies.explain.worth import what_steps_are_worth
    from articulate.studies.population.conditions import lanes_of
    from articulate.studies.population.runs import Population
    from articulate.studies.population.watched import watched_of
    from articulate.types import Case

    try:
        plan = plan_test(Population.of(spec, conditions), side, samples, model=error)
        arrays, test = lanes_of(spec, conditions, {})
        grid = explorer_grid(spec, conditions, [Case(side, run.bars) for run in plan.runs])
    except UnphysicalError as fault:
        stop(fault.said)
    runs = [run.nominal for run in plan.runs]
    moving = all(run.trace.climb.size > 1 and run.trace.climb[-1] > run.trace.climb[0] for run in runs)
    along = {}
    if moving:
        moments = {run.bars: at_climbs(arrays, test, side, run, run.trace.climb) for run in runs}
        body = watched_of(spec)
        outline = outline_of(arrays, body.points, body.arch_gap, spec)
        along = climb_scenes(moments, body.points, outline)
    pictures = still_pictures(spec.name, runs, along, lengths, among) if moving else ()
    further: tuple[Section, ...] = ()
    data: dict[str, Any] = {}
    if all(math.isfinite(run.score) for run in runs):
        worth = what_steps_are_worth(StudiedVehicle.of(spec), test, side, step_in(lengths))
        further = (worth_section(worth),)
        data["worth"] = worth_data(worth)
    driven = " and ".join(dict.fromkeys(one for one, _ in sheet.cases)) if sheet else side
    held = stated(conditions, driven, [spec], lengths=lengths, sheets=[sheet] if sheet else [])
    data |= condition_data(held)
    return VehicleReport(
        spec,
        plan,
        along,
        grid,
        pictures,
        further=further,
        conditions=condition_short(held, len(spec.settings)),
        lengths=lengths,
        data=data,
        files=_files(path, spec, sheet),
    )


def _files(path: Path, spec: VehicleSpec, sheet: RunSheet | None) -> tuple[SavedFile, ...]:
    """The files a report is made of, as they lie there; none that was sent in, or has become another one meanwhile."""
    from articulate.output.report.content import SavedFile

    found = [("vehicle file", path, spec.text_hash)]
    found += [("run sheet", Path(sheet.path), sheet.document.text_hash)] if sheet is not None else []
    files = []
    for what, place, text_hash in found:
        try:
            file = SavedFile(what, place.name, place.read_bytes())
        except OSError:
            continue
        if fingerprint.text_hash(file.text) == text_hash:
            files.append(file)
    return tuple(files)


def _why_they_differ(
    reports: list[VehicleReport], conditions: Conditions, side: str, lengths: Lengths
) -> tuple[Section, ...]:
    """The split of the difference of two vehicles; none where one of them has no score."""
    runs = [run.nominal for one in reports for run in one.plan.runs]
    if len(reports) != 2 or not all(math.isfinite(run.score) for run in runs):
        return ()
    from articulate.output.report.content import Section
    from articulate.output.report.why_part import difference_section
    from articulate.studies.explain.difference import MixtureError, explain_difference
    from articulate.studies.explain.groups import GroupError
    from articulate.studies.explain.vehicle_parts import StudiedVehicle
    from articulate.studies.population.conditions import lanes_of

    first, second = (StudiedVehicle.of(one.spec) for one in reports)
    _, test = lanes_of(reports[0].spec, conditions, {})
    try:
        return (difference_section(explain_difference(first, second, test, side), lengths),)
    except (GroupError, MixtureError) as error:
        return (Section("difference", "Why they differ", (f"The difference was not split: {error}.",), chapter="why"),)


def _side_driven(context: typer.Context, side: str, sheet: RunSheet) -> str:
    """The side a report leads with: as asked for, which the sheet has to have, else the first it has."""
    driven = list(dict.fromkeys(one for one, _ in sheet.cases))
    if side in driven:
        return side
    source = context.get_parameter_source("side")
    if source is not None and source.name == "COMMANDLINE":
        stop(f"--side {side}: {sheet.path} has runs on the {' and '.join(driven)} only; leave --side out")
    return driven[0]


def _scored(path: Path, sheet: RunSheet, spec: VehicleSpec) -> SheetScores:
    """The scores of a finished test of a vehicle, which an audit can take too, or stop."""
    from articulate.measure.conversions import MissingRadiusError
    from articulate.measure.scoring import score_sheet
    from articulate.spec import build
    from articulate.studies.audit import UnreadableSheetError, scene_from
    from articulate.studies.day.run_hints import disagreements, run_hints

    try:
        scene_from(spec, sheet)
        hints = run_hints(build(spec), sheet, spec.path)
        return score_sheet(sheet, hints, remarks=disagreements(spec, sheet, hints))
    except (MissingRadiusError, UnreadableSheetError) as error:
        stop(f"{path}: {error}")


def _with_measured(scores: SheetScores, report: VehicleReport, conditions: Conditions, samples: int) -> VehicleReport:
    """The report with the finished test of its vehicle: measured against predicted, audit and budget."""
    from articulate.output.report.audit_part import audit_section
    from articulate.output.report.measured_part import budget_section, finished_test, measured_data, measured_section
    from articulate.output.text.audit import audit_data, verdict_sentence
    from articulate.studies.audit import audit, conditions_of, observed_of, remarks_on, scene_from
    from articulate.studies.day.plan import expected_scores
    from articulate.studies.population.runs import Population

    sheet = scores.sheet
    scene = scene_from(report.spec, sheet)
    observed, remarks = observed_of(sheet, scene), remarks_on(sheet, report.spec)
    plan, error = report.plan, report.plan.model
    found = audit(scene, conditions_of(sheet), observed, remarks=remarks, model=error, sheet=sheet)
    people = Population.of(report.spec, conditions)
    expected: Expectations = {plan.side: plan.runs}
    for side in {entry.side for entry in scores.sheet.runs} - set(expected):
        expected = {**expected, side: expected_scores(people, side, samples, model=error, possible=plan.possible)}
    return replace(
        report,
        finished=finished_test(scores, expected, verdict_sentence(found), report.lengths),
        data={
            **report.data,
            "measured": measured_data(scores, expected, verdict_sentence(found)),
            "audit": audit_data(found, report.lengths),
        },
        further=(
            measured_section(scores, expected),
            audit_section(found, report.lengths),
            *report.further,
            budget_section(scores),
        ),
    )


@app.command(cls=GatheringCommand)
@grouped
def report(
    *,
    context: typer.Context,
    vehicles: Annotated[list[Path], typer.Argument(metavar="VEHICLE", help="Vehicle files (TOML), one or more.")],
    output: Annotated[Path, typer.Option(help="HTML file to write; - prints it.")],
    markdown: Annotated[Path | None, typer.Option(help="Also write a short form for an article, .md.")] = None,
    run_sheet: Annotated[
        Path | None, typer.Option(help="Run sheet of a finished test of the first vehicle: measured against predicted.")
    ] = None,
    title: Annotated[str, typer.Option(help="Of a comparison; the vehicles' names if not given.")] = "",
    typed: FilmRamp,
    bands: BandsOfDay,
    made: PagesOrData,
) -> None:
    """Make the report: one HTML file that needs no network, with the climb to drag through and what-ifs to try.

    Example: articulate report vehicle_specs_demo/wagon.toml --output wagon.html --markdown wagon.md
    """
    faults: list[str] = []
    error = bands.read(faults)
    if str(output) != "-" and output.suffix.lower() not in (".html", ".htm"):
        faults.append(f"--output {output}: must end in .html, or be -")
    if made.settings and len(vehicles) > 1:
        faults.append("--set: changes one vehicle; report one vehicle, or write the change into its file")
    sheet_says(context, run_sheet, ("ramp_angle", "touch_load"), faults)
    read = [read_spec(path, made.settings, faults) for path in vehicles]
    sheet = None if run_sheet is None else read_sheet(run_sheet, faults)
    ramp, side = typed.read(faults), typed.side
    specs = told_apart([spec for spec in read if spec is not None])
    for path, spec in zip(vehicles, specs, strict=True):
        build_or_stop(path, spec)
    conditions = ramp.chosen()
    measured = {}
    finished: dict[int, RunSheet] = {}
    if run_sheet is not None and sheet is not None:
        from articulate.studies.learn.sheet_readings import conditions_of_day

        measured[0] = _scored(run_sheet, sheet, specs[0])
        finished[0] = sheet
        conditions = conditions_of_day(sheet, conditions)
        side = _side_driven(context, side, sheet)
    from articulate.output.report.report_page import report_html

    reports = [
        _vehicle_report(
            path,
            spec,
            conditions,
            side,
            bands.samples,
            error,
            lengths_for(made.units, [spec]),
            len(specs),
            sheet if place in measured else None,
        )
        for place, (path, spec) in enumerate(zip(vehicles, specs, strict=True))
    ]
    for place, scores in measured.items():
        reports[place] = _with_measured(scores, reports[place], conditions, bands.samples)
    names = ", ".join(one.spec.name for one in reports)
    pages = [
        Answer(
            "--output",
            output,
            report_html(
                reports, title or names, _why_they_differ(reports, conditions, side, lengths_for(made.units, specs))
            ),
        )
    ]
    if markdown is not None:
        from articulate.output.report.markdown import article_text

        pages.append(Answer("--markdown", markdown, article_text(reports)))
    save(pages, made.replace)
    for written in pages:
        if str(written.path) != "-":
            typer.echo(f"wrote {written.path}", err=True)
    if made.as_json:
        from articulate.output.layout import SCHEMA_VERSION
        from articulate.output.sheet.content import plan_data

        vehicles_data = [{**plan_data(one.plan, one.spec), **one.data} for one in reports]
        print_json({"schema_version": SCHEMA_VERSION, "vehicles": vehicles_data})
    if any(not run.lifts and not run.spins for one in reports for run in one.plan.runs):
        raise typer.Exit(1)
