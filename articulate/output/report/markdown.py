"""The result in a short form to paste into an article, as Markdown."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from articulate.output.report.content import FinishedTest, VehicleReport
from articulate.output.report.vehicle_part import closing
from articulate.output.sheet.content import in_words, lifting_words, mark_words
from articulate.output.stamp import program
from articulate.output.text.model_error import sentence
from articulate.output.text.prediction import limited_by
from articulate.output.visible import visible
from articulate.safety import THREE_WHEELS
from articulate.studies.day.plan import ExpectedRun

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


def _measured(finished: FinishedTest, bars: Sequence[str]) -> list[str]:
    """Rows of what was measured, and then of what was predicted for it."""
    by_bars = {one.bars: one for one in finished.scores}
    found = [by_bars.get(one) for one in bars]
    told = [f"**{one.score}** {one.uncertainty}, {one.side}" if one else "not run" for one in found]
    lines = [_row("score, measured", told)]
    if any(one.sides for one in finished.scores):
        lines.append(_row("side by side, measured", [(one.sides if one else "") or "-" for one in found]))
    return [*lines, _row("score, predicted for it (90 %)", [one.predicted if one else "-" for one in found])]


def _test(report: VehicleReport) -> str:
    plan = report.plan
    usual = f"{plan.side} front wheel, ramp {math.degrees(plan.angle):.4g} degrees"
    words = plain(report.conditions or usual)
    return words[:1].upper() + words[1:]


def article_text(reports: Sequence[VehicleReport]) -> str:
    """A heading, a table and two sentences for each vehicle; a finished test leads with what was measured."""
    parts = []
    for report in reports:
        plan, spec, finished = report.plan, report.spec, report.finished
        runs = plan.runs
        bars = [run.bars for run in runs]
        also = [one.bars for one in finished.scores if one.bars not in bars] if finished else []
        lines = [
            f"## {plain(spec.name)}",
            "",
            _row("", [f"bars {one}" for one in [*bars, *also]]),
            "|---" * (len(bars) + len(also) + 1) + "|",
            *(_measured(finished, [*bars, *also]) if finished else []),
        ]
        what = f", predicted, {plan.side}" if finished else ""
        none = ["-"] * len(also)
        if not finished:
            lines.append(_row("score, predicted", [_score(run) for run in runs]))
        lines += [
            _row(f"mark above the floor{what}", [mark_words(run, report.lengths) for run in runs] + none),
            _row(f"wheel that lifts{what}", list(map(lifting_words, runs)) + none),
            _row(f"what limits it{what}", [limited_by(run.nominal) for run in runs] + none),
            "",
            closing(report),
            "",
            f"*{_test(report)}; score = 1000 × "
            f"climb along the ramp ÷ wheelbase. Ranges of predictions hold 90 % of what the inputs leave open. "
            f"{sentence(plan.model, 'the ranges')} {len(spec.assumed())} of {len(spec.inputs)} inputs are assumed. "
            f"{program()}.*",
            "",
            f"*{THREE_WHEELS}*",
        ]
        parts.append("\n".join(lines))
    return "\n\n".join(parts) + "\n"
