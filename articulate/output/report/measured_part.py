"""A finished test in the report: predicted against measured, and the uncertainty budget of each score."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path

from articulate.measure.propagation import Uncertain
from articulate.measure.scoring import CaseScore, SheetScores
from articulate.output.report.charts import score_chart
from articulate.output.report.content import Section, Table, TableRow
from articulate.output.test_day import in_words
from articulate.spec.quantities import NORMAL_90, shown
from articulate.studies.plan import DayPlan, ExpectedRun

LEAST_SHARE = 0.005  # of a budget's variance, for a row of its own
_WHERE = {"left": "On the left", "right": "On the right", "both": "In the mean of both sides"}
FAR = 2.0  # standard uncertainties of the difference


def _expected(plans: Mapping[str, DayPlan], case: CaseScore) -> ExpectedRun | None:
    plan = plans.get(case.side)
    return next((run for run in plan.runs if run.bars == case.bars), None) if plan else None


def _verdict(run: ExpectedRun, measured: Uncertain) -> tuple[str, str]:
    """Difference in words, and whether both uncertainties cover it."""
    off = measured.value - run.nominal.score
    if not math.isfinite(off):
        return "-", "nothing was predicted to hold it against"
    known = math.hypot(measured.u, (run.score.high - run.score.low) / (2.0 * NORMAL_90))
    inside = abs(off) <= FAR * known
    return signed(off), "both uncertainties cover it" if inside else "further apart than both uncertainties explain"


def measured_section(scores: SheetScores, plans: Mapping[str, DayPlan]) -> Section:
    """Predicted against measured.

    Args:
        scores: of the run sheet.
        plans: predictions by the side of the ramp, on the sheet's ramp and at its touch load.
    """
    rows, bars, far = [], [], []
    for case in scores.cases:
        run = _expected(plans, case)
        name = f"{case.side}, {case.bars}"
        measured = case.score
        if run is None:
            rows.append(TableRow((name, _interval(measured), "-", "-", f"mean of {case.climbs} climbs")))
            bars.append((("measured", name), measured.value, measured.low, measured.high))
            continue
        off, words = _verdict(run, measured)
        nominal = run.nominal.score
        predicted = f"{nominal:.0f} ({in_words(run.score)})" if math.isfinite(nominal) else "-"
        rows.append(TableRow((name, _interval(measured), predicted, off, words)))
        bars.append((("measured", name), measured.value, measured.low, measured.high))
        bars.append((("predicted", name), nominal, run.score.low, run.score.high))
        if words.startswith("further"):
            far.append(name)
    climbs = sum(len(entry.readings) for entry in scores.sheet.runs)
    text = [
        f"Run sheet {Path(scores.sheet.path).name}, {scores.sheet.date}: {climbs} climbs. "
        f"Measured with {scores.cases[0].score.coverage * 100.0:.0f} % intervals, predicted with 90 % bands."
    ]
    text.append(
        f"Both stand at the touch load of the run sheet, {scores.sheet.nominal_touch_load:g} N under the lifting wheel."
    )
    text += [
        f"{_WHERE[gain.side]}, releasing the bars changed the score by {signed(gain.gain.value)} points "
        f"({signed(gain.gain.low)} to {signed(gain.gain.high)})."
        for gain in scores.gains
    ]
    if far:
        text.append(f"Measured and predicted part by more than they should: {'; '.join(far)}. An audit says why.")
    table = Table(
        "Measured and predicted scores",
        ("side, bars", "measured", "predicted", "difference", "in words"),
        tuple(rows),
        frozenset({3}),
    )
    chart = score_chart(bars, "Measured and predicted scores with their ranges")
    return Section("measured", "Predicted against measured", tuple(text), scores.remarks, (table,), chart=chart)


def measured_lines(scores: SheetScores) -> dict[str, str]:
    """The measured scores in a line for each state of the bars, as `score` has them."""
    found: dict[str, list[str]] = {}
    for case in scores.cases:
        if case.side != "both":
            found.setdefault(case.bars, []).append(f"{case.side} {_interval(case.score)}")
    coverage = f"{scores.cases[0].score.coverage * 100.0:.0f} % intervals"
    return {bars: f"measured: {', '.join(sides)}; {coverage}" for bars, sides in found.items()}


def signed(value: float) -> str:
    """A number of points with its sign; none has no sign."""
    words = f"{value:+.0f}".replace("-", "−")
    return "0" if words[1:] == "0" else words


def _interval(found: Uncertain) -> str:
    return f"{found.value:.0f} ({found.low:.0f} to {found.high:.0f})"


def budget_section(scores: SheetScores) -> Section:
    """The uncertainty budget of each measured score."""
    tables = []
    for case in scores.cases:
        if case.side == "both":
            continue
        found = case.score
        rows = [
            TableRow(
                (
                    row.quantity.name,
                    shown(row.quantity.estimate, row.quantity.unit, row.quantity.unit_size),
                    shown(row.quantity.u, row.quantity.unit, row.quantity.unit_size, 2),
                    f"{abs(row.contribution):.2f}",
                    f"{row.share * 100.0:.0f} %",
                    row.quantity.source,
                ),
                row.quantity.source == "assumed",
            )
            for row in sorted(found.budget, key=lambda row: -row.share)
            if abs(row.share) >= LEAST_SHARE
        ]
        left = len(found.budget) - len(rows)
        small = f"; {left} smaller left out" if left else ""
        tables.append(
            Table(
                f"Score {case.side}, bars {case.bars}: {found.value:.1f}, u = {found.u:.2g} points{small}",
                ("quantity", "value", "standard uncertainty", "points", "share of variance", "source"),
                tuple(rows),
                frozenset({1, 2, 3, 4}),
            )
        )
    notes = tuple(f"{case.side}, {case.bars}: {case.score.note}" for case in scores.cases if not case.score.validated)
    return Section(
        "budget",
        "Uncertainty budget of the measurement",
        ("By JCGM 100:2008, checked by Monte Carlo as in JCGM 101:2008.",),
        notes,
        tuple(tables),
    )
