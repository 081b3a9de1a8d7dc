"""A finished test in the report: what was measured, what was predicted, and the uncertainty budget of each score."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from articulate.constants import NORMAL_90
from articulate.output.layout import finite
from articulate.output.report.charts import ScoreRow, score_chart
from articulate.output.report.content import FinishedTest, MeasuredScore, PageTable, Section, TableRow
from articulate.output.sheet.content import in_words
from articulate.output.text.measurement import main_cases, percent, plus_minus, score_data, side_words, uncertain_data
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.output.wheels_and_ranges import interval_data
from articulate.spec.quantities import shown
from articulate.studies.day.plan import ExpectedScore
from articulate.studies.population.intervals import Interval
from articulate.types import BAR_STATES, SIDES

if TYPE_CHECKING:
    from articulate.measure.propagation import Uncertain
    from articulate.measure.scoring import CaseScore, Gain, SheetScores
    from articulate.output.command_data import HeldData, MeasuredData

Expectations = Mapping[str, Sequence[ExpectedScore]]  # by the side of the ramp

_WHERE = {"left": "On the left", "right": "On the right", "both": "In the mean of both sides"}
LEAST_SHARE = 0.005  # of a budget's variance, for a row of its own
FAR = 2.0  # standard uncertainties of the difference
NOTHING_PREDICTED = "nothing was predicted to hold it against"


@dataclass(frozen=True)
class Expected(Interval):
    """The predicted score of a case with its 90 % band; `end` says why there is none."""

    end: str

    @property
    def u(self) -> float:
        """Standard deviation, by the band as that of a normal distribution."""
        return (self.high - self.low) / (2.0 * NORMAL_90)


def expected_score(expectations: Expectations, side: str, bars: str) -> Expected | None:
    """What was predicted for a case; None where it was not.

    Of both sides the mean, and the mean of the ends of their bands: what a file leaves open moves both sides alike.
    """
    sides = SIDES if side == "both" else (side,)
    found = [run for one in sides for run in expectations.get(one, ()) if run.bars == bars]
    if len(found) < (2 if side == "both" else 1):
        return None
    count = len(found)
    ends = "; ".join(dict.fromkeys(run.outcome.meaning for run in found))
    return Expected(
        sum(run.score.value for run in found) / count,
        sum(run.score.low for run in found) / count,
        sum(run.score.high for run in found) / count,
        ends,
    )


def _interval(measured: Uncertain) -> Interval:
    return Interval(measured.value, measured.low, measured.high)


def _predicted_words(expected: Expected | None) -> str:
    if expected is None:
        return "-"
    if not math.isfinite(expected.value):
        return f"no score: {expected.end}"
    return f"{expected.value:.0f} ({in_words(expected)})"


def _difference(expected: Expected | None, measured: Uncertain) -> float:
    """Measured less predicted; NaN where nothing was predicted."""
    return measured.value - expected.value if expected is not None else math.nan


def _covered(expected: Expected | None, measured: Uncertain) -> bool | None:
    """Whether both uncertainties cover the difference; None where nothing was predicted."""
    off = _difference(expected, measured)
    if expected is None or not math.isfinite(off):
        return None
    return abs(off) <= FAR * math.hypot(measured.u, expected.u)


COVER_WORDS = {
    True: "both uncertainties cover it",
    False: "further apart than both uncertainties explain",
    None: NOTHING_PREDICTED,
}


def _sides_first_both(scores: SheetScores) -> list[CaseScore]:
    return sorted(scores.cases, key=lambda case: case.side != "both")


def finished_test(
    scores: SheetScores, expectations: Expectations, verdict: str, lengths: Lengths = MILLIMETRES_FIRST
) -> FinishedTest:
    """What the page and the article lead with.

    Args:
        scores: of the run sheet.
        expectations: predictions by the side of the ramp, on the sheet's ramp and at its touch load.
        verdict: of the audit, a sentence.
        lengths: what lengths are shown in.
    """
    by_case = {(case.side, case.bars): case.score for case in scores.cases}
    found = []
    for case in main_cases(scores):
        value, _, half = plus_minus(case.score).partition(" ± ")
        apart = [f"{side} {plus_minus(by_case[side, case.bars])}" for side in SIDES if (side, case.bars) in by_case]
        expected = expected_score(expectations, case.side, case.bars)
        found.append(
            MeasuredScore(
                case.bars,
                side_words(case.side),
                value,
                f"± {half} ({percent(case.score.coverage)})",
                f"{', '.join(apart)} ({percent(case.score.coverage)})" if case.side == "both" else "",
                lengths.one(case.climb.value),
                _predicted_words(expected),
                _interval(case.score),
                expected,
            )
        )
    return FinishedTest(tuple(found), _gain_sentence(scores, expectations), verdict, scores.sheet.nominal_touch_load)


def main_gain(scores: SheetScores) -> Gain | None:
    """The gain that is told first: that of both sides where there is one."""
    return max(scores.gains, key=lambda gain: gain.side == "both", default=None)


def _gain_sentence(scores: SheetScores, expectations: Expectations) -> str:
    gain = main_gain(scores)
    if gain is None:
        return ""
    both = [expected_score(expectations, gain.side, bars) for bars in BAR_STATES]
    predicted = both[1].value - both[0].value if both[0] is not None and both[1] is not None else math.nan
    told = f"; predicted {signed(predicted)}" if math.isfinite(predicted) else ""
    share = 100.0 * gain.gain.value / gain.connected.value
    return (
        f"Releasing the bars changed the score by {_points(gain)} ({percent(gain.gain.coverage)}), {signed(share)} %, "
        f"{side_words(gain.side)}{told}."
    )


def _points(gain: Gain) -> str:
    return f"{plus_minus(gain.gain, sign='+')} points".replace("-", "−")


def measured_section(scores: SheetScores, expectations: Expectations) -> Section:
    """Measured against predicted.

    Args:
        scores: of the run sheet.
        expectations: predictions by the side of the ramp, on the sheet's ramp and at its touch load.
    """
    rows: list[TableRow] = []
    bars: list[ScoreRow] = []
    far: list[str] = []
    for case in _sides_first_both(scores):
        name = f"{case.side}, {case.bars}"
        measured, expected = case.score, expected_score(expectations, case.side, case.bars)
        off, covered = _difference(expected, measured), _covered(expected, measured)
        cells = (name, plus_minus(measured), _predicted_words(expected), signed(off), COVER_WORDS[covered])
        rows.append(TableRow(cells))
        bars.append(ScoreRow((name, ""), _interval(measured), expected))
        if covered is False:
            far.append(name)
    climbs = sum(len(entry.readings) for entry in scores.sheet.runs)
    text = [
        f"Run sheet {Path(scores.sheet.path).name}, {scores.sheet.date}: {climbs} climbs. "
        f"Measured with {percent(scores.cases[0].score.coverage)} intervals, predicted with 90 % bands.",
        f"Both at the touch load of the run sheet, {scores.sheet.nominal_touch_load:g} N under the lifting wheel.",
    ]
    text += [f"{_WHERE[gain.side]}, releasing the bars changed the score by {_points(gain)}." for gain in scores.gains]
    if far:
        text.append(f"Measured and predicted part by more than they should: {'; '.join(far)}. An audit says why.")
    table = PageTable(
        "Measured and predicted scores",
        ("side, bars", "measured (95 %)", "predicted (90 %)", "difference", "in words"),
        tuple(rows),
        frozenset({3}),
    )
    chart = score_chart(bars, "Measured scores with their 95 % intervals over predicted ones with their 90 % bands")
    heading = "Measured against predicted"
    points = (*(f"Asked about: {one.question}." for one in scores.doubts), *scores.remarks)
    return Section("measured", heading, tuple(text), points, (table,), chart=chart, chapter="result")


def measured_data(scores: SheetScores, expectations: Expectations, verdict: str) -> MeasuredData:
    """A finished test as plain data with SI keys: what was measured, and what it was held against."""
    held: list[HeldData] = []
    for case in _sides_first_both(scores):
        expected = expected_score(expectations, case.side, case.bars)
        held.append(
            {
                "side": case.side,
                "bars": case.bars,
                "measured": interval_data(_interval(case.score)),
                "measured_coverage": case.score.coverage,
                "predicted": interval_data(expected) if expected else None,
                "difference": finite(_difference(expected, case.score)),
                "covered": _covered(expected, case.score),
            }
        )
    gain = main_gain(scores)
    return {
        "touch_load_N": scores.sheet.nominal_touch_load,
        "held_against_predictions": held,
        "gain": None if gain is None else {"side": gain.side, "gain": uncertain_data(gain.gain)},
        "gain_sentence": _gain_sentence(scores, expectations),
        "verdict": verdict,
        "score": score_data(scores),
    }


def signed(value: float) -> str:
    """A number of points with its sign; none has no sign, and what is not known is a dash."""
    if not math.isfinite(value):
        return "-"
    words = f"{value:+.0f}".replace("-", "−")
    return "0" if words[1:] == "0" else words


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
            PageTable(
                f"Score {case.side}, bars {case.bars}: {found.value:.1f}, u = {found.u:.2g} points{small}",
                ("quantity", "value", "standard uncertainty", "points", "share of variance", "source"),
                tuple(rows),
                frozenset({1, 2, 3, 4}),
                folded=True,
                note="" if found.validated else f"{found.note}.",
            )
        )
    told = [case for case in scores.cases if case.side == "both" and not case.score.validated]
    notes = tuple(f"{case.side}, {case.bars}: {case.score.note}" for case in told)
    return Section(
        "budget",
        "Uncertainty budget of the measurement",
        ("By JCGM 100:2008, checked by Monte Carlo as in JCGM 101:2008.",),
        notes,
        tuple(tables),
    )
