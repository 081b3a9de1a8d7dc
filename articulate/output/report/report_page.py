"""The report as one self-contained page."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from articulate.output.report.charts import ScoreRow, load_chart, score_chart
from articulate.output.report.climb_data import climb_data
from articulate.output.report.content import CHAPTERS, PageTable, Section, TableRow, VehicleReport
from articulate.output.report.drawn import Drawings
from articulate.output.report.explorer_data import explorer_data
from articulate.output.report.measured_part import signed
from articulate.output.report.page import embedded_json, render_page
from articulate.output.report.scene_part import library
from articulate.output.report.vehicle_part import closing, headlines, inputs, spread, why
from articulate.output.sheet.content import in_words
from articulate.output.stamp import program
from articulate.output.text.band import range_text
from articulate.safety import CAUTIONS, THREE_WHEELS
from articulate.studies.day.plan import DayPlan, ExpectedRun
from articulate.studies.design.grid import STEPS
from articulate.studies.population.intervals import Interval
from articulate.types import BAR_STATES

LONG_TITLE = 80  # letters, of a title that is no heading any more


def _test(report: VehicleReport) -> str:
    """What the page holds for, said once at its head."""
    plan = report.plan
    usual = f"{plan.side} front wheel, ramp {math.degrees(plan.angle):.4g} deg, touch load {plan.touch_load:g} N"
    return report.conditions or usual


def _stamp(report: VehicleReport) -> tuple[tuple[str, str], ...]:
    plan = report.plan
    return (
        ("program", program()),
        ("possible vehicles", f"{plan.samples}, seed {plan.seed}"),
    )


def _climb(report: VehicleReport) -> Markup | None:
    """What the moving picture shows, where there is one."""
    if not report.scenes:
        return None
    shown = climb_data(report.plan.prediction, report.scenes)
    return embedded_json({**shown, "units": list(report.lengths.shown)})


def _explorer(report: VehicleReport) -> dict[str, Any] | None:
    """What the sliders show, where there are any."""
    plan, grid = report.plan, report.grid
    if grid is None:
        return None
    scores = [run.nominal.score for run in plan.runs]
    shown = {**explorer_data(grid, plan.angle, plan.wheelbase, scores), "units": list(report.lengths.shown)}
    return {"json": embedded_json(shown), "data": shown, "steps": STEPS}


def _pictures(report: VehicleReport, drawings: Drawings) -> dict[str, list[tuple[str, Markup]]]:
    """Still pictures with their captions: those that the moving one stands for on a screen, and the others."""
    of_scene = [one for one in report.pictures if one.view]
    others = [one for one in report.pictures if not one.view]
    return {
        kind: [(one.name, drawings.put(one)) for one in some]
        for kind, some in (("scene", of_scene), ("others", others))
    }


def _vehicle(number: int, report: VehicleReport, drawings: Drawings) -> dict[str, Any]:
    """What the template shows of one vehicle."""
    plan = report.plan
    because = why(plan, report.lengths)
    sections = [because, *report.further, spread(report), inputs(report)]
    return {
        "anchor": f"v{number}",
        "spec": report.spec,
        "subtitle": f"{_test(report)}; wheelbase {report.lengths.both(plan.wheelbase)}",
        "headlines": headlines(report),
        "verdict": closing(report),
        "finished": report.finished,
        "touch_load": report.finished.touch_load if report.finished else plan.touch_load,
        "why": because,
        "pictures": _pictures(report, drawings),
        "climb": _climb(report),
        "charts": [(run.bars, load_chart(run.nominal, plan.side, report.lengths)) for run in plan.runs]
        if report.scenes
        else [],
        "runs": [run.bars for run in plan.runs],
        "events": [
            (run.bars, [(report.lengths.one(event.climb), event.what) for event in run.nominal.events])
            for run in plan.runs
        ],
        "explorer": _explorer(report),
        "sections": {key: [one for one in sections if one.chapter == key and one is not because] for key in CHAPTERS},
        "files": report.files,
        "stamp": _stamp(report),
    }


@dataclass(frozen=True)
class ContentsEntry:
    """A line of the contents: where it leads, what stands there, and what is under it."""

    anchor: str
    heading: str
    under: tuple[ContentsEntry, ...] = ()


def _chapters(vehicle: Mapping[str, Any]) -> tuple[ContentsEntry, ...]:
    """The chapters of a vehicle and what stands in them, in the page's order."""
    anchor = vehicle["anchor"]
    own = {
        "why": [("climb", "The climb"), ("mark", "At the mark")],
        "change": [("explorer", "What if")] if vehicle["explorer"] else [],
    }
    after = {"stands": [("files", "Files")] if vehicle["files"] else []}
    found = []
    for key, heading in CHAPTERS.items():
        told = [(one.key, one.heading) for one in vehicle["sections"][key]]
        places = [*own.get(key, []), *told, *after.get(key, [])]
        if key == "change" and not places:
            continue
        under = tuple(ContentsEntry(f"{anchor}-{place}", words) for place, words in places)
        found.append(ContentsEntry(f"{anchor}-{key}", heading, under))
    return tuple(found)


def contents(vehicles: Sequence[Mapping[str, Any]], comparison: Sequence[Section]) -> list[ContentsEntry]:
    """The table of contents of a report, or of a comparison, which has the chapters under each vehicle."""
    last = ContentsEntry("cautions", "Cautions")
    if not comparison:
        return [*_chapters(vehicles[0]), last]
    said = [ContentsEntry(f"all-{one.key}", one.heading) for one in comparison]
    return [*said, *(ContentsEntry(one["anchor"], one["spec"].name, _chapters(one)) for one in vehicles), last]


def _beside(report: VehicleReport) -> tuple[str, ...]:
    """Scores in each state of the bars, measured first, and the gain, in a line of the comparison."""
    measured = {one.bars: one for one in report.finished.scores} if report.finished else {}
    runs = {run.bars: run for run in report.plan.runs}
    told = []
    for bars in BAR_STATES:
        run, one = runs.get(bars), measured.get(bars)
        predicted = "-"
        if run is not None:
            nominal = run.nominal
            scored = math.isfinite(nominal.score)
            predicted = f"{nominal.score:.0f} ({in_words(run.score)})" if scored else nominal.outcome.meaning
        told.append(f"{one.score} {one.uncertainty}, measured; predicted {one.predicted}" if one else predicted)
    return (*told, _gain(report.plan))


def _gain(plan: DayPlan) -> str:
    """The predicted gain with its band."""
    if plan.gain is None or not math.isfinite(plan.gain.value):
        return "-"
    return f"{signed(plan.gain.value)} ({range_text(plan.gain.low, plan.gain.high, True)})"


def _first_end(run: ExpectedRun) -> str:
    """The likeliest wheel to lift, or that wheels spin before one does."""
    return "none, wheels spin" if run.spins > 0.5 else run.lifts[0][0] if run.lifts else "-"


def _comparison(reports: Sequence[VehicleReport]) -> Section:
    """Vehicles side by side: their scores as a chart, and what else tells them apart."""
    rows: list[TableRow] = []
    bars: list[ScoreRow] = []
    for report in reports:
        runs = report.plan.runs
        measured = {one.bars: one for one in report.finished.scores} if report.finished else {}
        for run in runs:
            ranged = Interval(run.nominal.score, run.score.low, run.score.high)
            one = measured.get(run.bars)
            if one is None:
                bars.append(ScoreRow((report.spec.name, f"bars {run.bars}"), ranged))
            else:
                bars.append(
                    ScoreRow((report.spec.name, f"bars {run.bars}, measured"), one.points, one.expected or ranged)
                )
        angles = [run.nominal.tipping_angle for run in runs]
        least = min((angle for angle in angles if math.isfinite(angle)), default=math.nan)
        rows.append(
            TableRow(
                (
                    report.spec.name,
                    *_beside(report),
                    ", ".join(dict.fromkeys(map(_first_end, runs))),
                    f"{math.degrees(least):.0f} deg" if math.isfinite(least) else "none",
                    f"{len(report.spec.assumed())} of {len(report.spec.inputs)}",
                )
            )
        )
    table = PageTable(
        "The vehicles side by side; predicted scores with the range that 90 % lie in",
        ("vehicle", "bars connected", "bars released", "gain", "lifts", "sideways angle in hand", "inputs assumed"),
        tuple(rows),
    )
    chart = score_chart(bars, "Scores with their 90 % bands")
    return Section("side", "Side by side", tables=(table,), chart=chart, chapter="result")


def report_html(reports: Sequence[VehicleReport], title: str, comparison: Sequence[Section] = ()) -> str:
    """The report of one vehicle, or of several side by side.

    Args:
        reports: one for each vehicle.
        title: of the page.
        comparison: further sections about several vehicles together.

    Returns:
        HTML that needs nothing but itself; the same reports give the same bytes.
    """
    moving = any(report.scenes for report in reports)
    many = len(reports) > 1
    drawings = Drawings()
    vehicles = [_vehicle(number, report, drawings) for number, report in enumerate(reports, 1)]
    together = [_comparison(reports), *comparison] if many else []
    return render_page(
        "report.html.jinja",
        ["hand.css", "report.css", "scene_3d.css"],
        ["common.js", "contents.js", "scene_parts.js", "scene_3d.js", "climb.js", "explorer.js"],
        unpacked=[library().script] if moving else [],
        library=Markup(library().packed) if moving else None,  # noqa: S704 letters and digits
        title=title,
        heading=title if len(title) <= LONG_TITLE else f"{len(reports)} vehicles side by side",
        vehicles=vehicles,
        together=together,
        contents=contents(vehicles, together),
        chapters=CHAPTERS,
        shared=drawings.shared,
        cautions=CAUTIONS,
        three_wheels=THREE_WHEELS,
    )
