"""The report as one self-contained page."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from markupsafe import Markup

from articulate.output.report.charts import load_chart, score_chart
from articulate.output.report.climb_data import climb_data
from articulate.output.report.content import PageTable, Section, TableRow, VehicleReport
from articulate.output.report.explorer_data import explorer_data
from articulate.output.report.page import embedded_json, render_page
from articulate.output.report.scene_part import library
from articulate.output.report.vehicle_part import closing, headlines, inputs, spread, why
from articulate.output.sheet.content import in_words
from articulate.output.stamp import program
from articulate.safety import CAUTIONS, THREE_WHEELS
from articulate.studies.design.grid import STEPS


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


def _vehicle(number: int, report: VehicleReport) -> dict[str, Any]:
    """What the template shows of one vehicle."""
    plan, grid = report.plan, report.grid
    explorer = None
    if grid is not None:
        shown = {**explorer_data(grid, plan.angle, plan.wheelbase), "units": list(report.lengths.shown)}
        explorer = {"json": embedded_json(shown), "data": shown, "steps": STEPS}
    return {
        "anchor": f"v{number}",
        "spec": report.spec,
        "subtitle": f"{_test(report)}; wheelbase {report.lengths.both(plan.wheelbase)}",
        "headlines": headlines(report),
        "verdict": closing(report),
        "finished": report.finished,
        "after_result": report.after_result,
        "why": why(plan, report.lengths),
        "pictures": report.pictures,
        "climb": _climb(report),
        "charts": [(run.bars, load_chart(run.nominal, plan.side, report.lengths)) for run in plan.runs]
        if report.scenes
        else [],
        "runs": [run.bars for run in plan.runs],
        "events": [
            (run.bars, [(report.lengths.one(event.climb), event.what) for event in run.nominal.events])
            for run in plan.runs
        ],
        "explorer": explorer,
        "sections": [spread(plan), *report.further, inputs(report)],
        "files": report.files,
        "stamp": _stamp(report),
    }


def _comparison(reports: Sequence[VehicleReport]) -> Section:
    rows, bars = [], []
    for report in reports:
        for one in report.finished.scores if report.finished else ():
            name = f"{report.spec.name}, {one.bars}, measured"
            rows.append(TableRow((name, one.score, one.uncertainty, "-", "-", "-")))
        for run in report.plan.runs:
            nominal = run.nominal
            scored = math.isfinite(nominal.score)
            rows.append(
                TableRow(
                    (
                        f"{report.spec.name}, {run.bars}",
                        f"{nominal.score:.0f}" if scored else "no score",
                        in_words(run.score) if scored else nominal.outcome.meaning,
                        ", ".join(wheel for wheel, _ in run.lifts[:1]) or "-",
                        f"{math.degrees(nominal.tipping_angle):.0f} deg"
                        if math.isfinite(nominal.tipping_angle)
                        else "none",
                        f"{len(report.spec.assumed())} of {len(report.spec.inputs)}",
                    )
                )
            )
            bars.append(((report.spec.name, f"bars {run.bars}"), nominal.score, run.score.low, run.score.high))
    table = PageTable(
        "The vehicles side by side",
        ("vehicle, bars", "score", "90 % band", "lifts", "sideways angle in hand", "inputs assumed"),
        tuple(rows),
        frozenset({1}),
    )
    return Section("side", "Side by side", tables=(table,), chart=score_chart(bars, "Scores with their 90 % bands"))


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
    return render_page(
        "report.html.jinja",
        ["report.css", "scene_3d.css"],
        ["common.js", "scene_parts.js", "scene_3d.js", "climb.js", "explorer.js"],
        unpacked=[library().script] if moving else [],
        library=Markup(library().packed) if moving else None,  # noqa: S704 letters and digits
        title=title,
        vehicles=[_vehicle(number, report) for number, report in enumerate(reports, 1)],
        comparison=_comparison(reports) if len(reports) > 1 else None,
        further=list(comparison),
        cautions=CAUTIONS,
        three_wheels=THREE_WHEELS,
    )
