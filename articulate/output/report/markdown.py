"""The result in a short form to paste into an article, as Markdown."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence

from articulate.measure.scoring import SheetScores
from articulate.output.model_error_text import sentence
from articulate.output.prediction_text import limited_by
from articulate.output.report.content import VehicleReport
from articulate.output.report.vehicle_part import verdict
from articulate.output.stamp import program
from articulate.output.test_day import in_words, mark_words
from articulate.output.visible import visible
from articulate.safety import THREE_WHEELS
from articulate.studies.plan import DayPlan, ExpectedRun

_SPECIAL = re.compile(r"([\\`*_{}\[\]()#+!|~$^=-])")


def plain(text: str) -> str:
    """Foreign text so that no Markdown, no HTML and no link comes of it."""
    flat = " ".join(visible(text).split())
    flat = flat.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    flat = _SPECIAL.sub(r"\\\1", flat)
    return flat.replace("://", "&#58;//").replace("www.", "www&#46;").replace("@", "&#64;")


def _row(label: str, cells: Sequence[str]) -> str:
    return f"| {label} | " + " | ".join(cells) + " |"


def _score(run: ExpectedRun) -> str:
    if not math.isfinite(run.nominal.score):
        return f"none: {run.nominal.outcome.meaning}"
    return f"**{run.nominal.score:.0f}** ({in_words(run.score)})"


def _measured(scores: SheetScores, plan: DayPlan, bars: str) -> str:
    cases = (case for case in scores.cases if (case.side, case.bars) == (plan.side, bars))
    found = next((case.score for case in cases), None)
    return "not run" if found is None else f"**{found.value:.0f}** ({found.low:.0f} to {found.high:.0f})"


def article_text(reports: Sequence[VehicleReport], measured: Mapping[int, SheetScores] | None = None) -> str:
    """A heading, a table and two sentences for each vehicle.

    Args:
        reports: as for the page.
        measured: scores of a run sheet, by the place of its vehicle.
    """
    parts = []
    for place, report in enumerate(reports):
        plan, spec = report.plan, report.spec
        runs = plan.runs
        lines = [
            f"## {plain(spec.name)}",
            "",
            _row("", [f"bars {run.bars}" for run in runs]),
            "|---" * (len(runs) + 1) + "|",
            _row("score, predicted", [_score(run) for run in runs]),
        ]
        scores = (measured or {}).get(place)
        if scores is not None:
            lines.append(_row("score, measured", [_measured(scores, plan, run.bars) for run in runs]))
        lines += [
            _row("mark above the floor", [mark_words(run) for run in runs]),
            _row("wheel that lifts", [run.lifts[0][0] if run.lifts else "-" for run in runs]),
            _row("what limits it", [limited_by(run.nominal) for run in runs]),
            "",
            verdict(plan),
            "",
            f"*{plan.side.capitalize()} front wheel up a {math.degrees(plan.angle):g} degree ramp; score = 1000 × "
            f"climb along the ramp ÷ wheelbase. Ranges of predictions hold 90 % of what the inputs leave open. "
            f"{sentence(plan.model, 'the ranges')} {len(spec.assumed())} of {len(spec.inputs)} inputs are assumed. "
            f"{program()}, vehicle file {spec.text_hash[:16]}.*",
            "",
            f"*{THREE_WHEELS}*",
        ]
        parts.append("\n".join(lines))
    return "\n\n".join(parts) + "\n"
