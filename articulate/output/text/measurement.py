"""Measured scores as text for an 80-column terminal, and as JSON data."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from articulate.output.layout import SCHEMA_VERSION, doubt_lines, finite, two_digits, wrapped
from articulate.output.plain_data import doubt_data, estimate_data, si_unit
from articulate.output.text.source_files import marked, sheet_lines, sources_data
from articulate.output.units import MILLIMETRES_FIRST, SIZES, Lengths
from articulate.safety import CAUTION, THREE_WHEELS
from articulate.spec.quantities import Estimate, shown

if TYPE_CHECKING:
    from articulate.measure.propagation import BudgetRow, InputQuantity, Uncertain
    from articulate.measure.run_sheet import RunSheet
    from articulate.measure.scoring import CaseScore, Gain, SheetScores
    from articulate.output.command_data import BudgetRowData, EstimateData, ScoresData, SheetData, UncertainData
    from articulate.spec.vehicle_spec import VehicleSpec

REASONS = 3  # of the uncertainty, told at once
CANCELS = 0.3  # a shared term counts as cancelled where no more than this share of it is left in the gain


def plus_minus(found: Uncertain, sign: str = "") -> str:
    """A value with half its interval, both to the second digit of the latter: `522.4 ± 5.6`."""
    half = two_digits(found.half_width)
    places = len(half.partition(".")[2])
    return f"{found.value:{sign}.{places}f} ± {half}"


def percent(coverage: float) -> str:
    """A coverage in words: 95 %."""
    return f"{100.0 * coverage:g} %"


def main_cases(scores: SheetScores) -> list[CaseScore]:
    """The cases that answer first: both sides' mean where there is one, otherwise every case."""
    both = [case for case in scores.cases if case.side == "both"]
    covered = {case.bars for case in both}
    return both + [case for case in scores.cases if case.side != "both" and case.bars not in covered]


def side_words(side: str) -> str:
    """A side in words; both are the mean of theirs."""
    return "both sides" if side == "both" else f"{side} side"


def score_table(
    scores: SheetScores,
    *,
    full: bool = False,
    lengths: Lengths = MILLIMETRES_FIRST,
    beside: Sequence[VehicleSpec] = (),
) -> str:
    """The result for people: answer first, 80 columns at most; a screenful unless `full`.

    beside: the vehicle files that the tape was helped out with.
    """
    main = main_cases(scores)
    lines = [*_answer(scores, main, lengths), "", *_conditions(scores.sheet, lengths, beside)]
    if len(scores.cases) > len(main):
        lines += ["", *_sides(scores)]
    lines += ["", *_lifted(scores), *_reasons(scores, main), *_zero_load(scores, main)]
    if not full:
        assumed = _assumed(scores)
        if assumed:
            names = list(dict.fromkeys(re.split("[,:]", name)[0] for name in assumed))
            lines.append(wrapped(f"assumed, not given: {', '.join(names)}"))
        lines.append("--full shows every run, the budgets, what cancels in the gain, all assumed")
        lines += [wrapped(f"note: {remark}", whole_words=True) for remark in scores.remarks]
        if scores.doubts:
            lines += ["", "asked about in the readings", *doubt_lines(scores.doubts)]
        return "\n".join([*lines, "", THREE_WHEELS])
    return "\n".join([*lines, *_everything(scores, main, lengths), "", wrapped(CAUTION, "")])


def _answer(scores: SheetScores, main: Sequence[CaseScore], lengths: Lengths) -> list[str]:
    coverage = percent(main[0].score.coverage)
    lines = [
        f"score {plus_minus(case.score)} ({coverage}), bars {case.bars}, {side_words(case.side)}; "
        f"climb {lengths.both(case.climb.value)}"
        for case in main
    ]
    lines += [
        f"gain {plus_minus(gain.gain, sign='+')} ({coverage}) from releasing, {side_words(gain.side)}"
        for gain in scores.gains
        if gain.side == "both" or all(other.side != "both" for other in scores.gains)
    ]
    return lines


def _test_words(sheet: RunSheet, lengths: Lengths) -> str:
    """The test of the sheet in one sentence."""
    sides = dict.fromkeys(side for side, _ in sheet.cases)
    return (
        f"{' and '.join(sides)} front wheel, ramp {sheet.ramp_angle.text}, touch load {sheet.touch_load.text}, "
        f"wheelbase {lengths.both(sheet.wheelbase.value)}"
    )


def _conditions(sheet: RunSheet, lengths: Lengths, beside: Sequence[VehicleSpec]) -> list[str]:
    """What the scores hold for: vehicle, day, sides, ramp, touch load, and the sheet with its fingerprint."""
    heading = ", ".join(part for part in (sheet.vehicle, sheet.date, sheet.title) if part)
    lines = [wrapped(heading, whole_words=True), wrapped(f"test: {_test_words(sheet, lengths)}")]
    lines += [wrapped(f"file: {marked(spec.path, spec.text_hash)}", whole_words=True) for spec in beside]
    return [*lines, *(sheet_lines([sheet]) if sheet.document.text_hash else [])]


def _lifted(scores: SheetScores) -> list[str]:
    """Which wheel came free, by side and bars where they differ."""
    by_wheel: dict[str, list[str]] = {}
    for run in scores.runs:
        if run.entry.lifted:
            by_wheel.setdefault(run.entry.lifted, []).append(f"{run.entry.side}, {run.entry.bars}")
    if not by_wheel:
        return ["which wheel lifted is not on the sheet"]
    every = [f"{run.entry.side}, {run.entry.bars}" for run in scores.runs]
    told = []
    for wheel, where in by_wheel.items():
        sides = dict.fromkeys(one.partition(",")[0] for one in where)
        whole = [side for side in sides if {one for one in every if one.startswith(side)} <= set(where)]
        rest = [one for one in dict.fromkeys(where) if one.partition(",")[0] not in whole]
        told.append(f"{wheel} ({'; '.join([f'{side} runs' for side in whole] + rest)})")
    return [wrapped(f"lifted: {', '.join(told)}")]


def _reasons(scores: SheetScores, main: Sequence[CaseScore]) -> list[str]:
    """What makes the uncertainty, the largest parts of the variance first."""

    def parts(found: Uncertain) -> str:
        rows = list(_grouped(found).items())[:REASONS]
        return ", ".join(f"{name} {100.0 * sum(row.share for row in group):.0f} %" for name, group in rows)

    lines = [f"the ± comes most from {parts(main[0].score)} of its variance (bars {main[0].bars})"]
    gain = max(scores.gains, key=lambda gain: gain.side == "both", default=None)
    if gain is not None:
        lines.append(f"that of the gain from {parts(gain.gain)}")
    return [wrapped(line) for line in lines]


def _everything(scores: SheetScores, main: Sequence[CaseScore], lengths: Lengths) -> list[str]:
    """All runs, budgets and assumptions."""
    lines = []
    if len(scores.runs) > 1:
        lines += ["", *_runs(scores, lengths), *_repeatability(scores, lengths)]
    for case in main[:1]:
        words = f"bars {case.bars}, {side_words(case.side)}"
        lines += ["", f"what the uncertainty of the score is made of ({words})", *_budget(case.score)]
        lines.append(wrapped(f"  {_sure(case.score)}", whole_words=True))
    for gain in [gain for gain in scores.gains if gain.side == scores.gains[-1].side]:
        lines += ["", f"what is left of it in the gain ({side_words(gain.side)})", *_gain_budget(gain)]
    assumed = _assumed(scores)
    if assumed:
        lines += ["", "assumed, not given (value and standard uncertainty)"]
        lines += [wrapped(f"  {text}", "    ", whole_words=True) for text in assumed]
    lines += [wrapped(f"note: {remark}", whole_words=True) for remark in scores.remarks]
    if scores.doubts:
        lines += ["", "asked about in the readings", *doubt_lines(scores.doubts)]
    return lines


def _assumed(scores: SheetScores) -> list[str]:
    """The inputs that were assumed, each with its basis."""
    found: dict[str, InputQuantity] = {}
    for case in scores.cases:
        for row in (*case.score.budget, *case.score_carried.budget):
            if row.quantity.source == "assumed":
                found.setdefault(_stem(row), row.quantity)
    return [
        f"{name}: {shown(quantity.estimate, quantity.unit, quantity.unit_size, 4)}, "
        f"{two_digits(quantity.u / quantity.unit_size)} {quantity.unit} ({quantity.basis})"
        for name, quantity in found.items()
    ]


def _runs(scores: SheetScores, lengths: Lengths) -> list[str]:
    lines = [f"{'run':<4}{'side':<6}{'bars':<10}{'read':<22}{'n':>2}  {'climb':<20}score, 95 %"]
    for run in scores.runs:
        entry = run.entry
        lines.append(
            f"{entry.number:<4}{entry.side:<6}{entry.bars:<10}{entry.kind.words:<22}{len(entry.readings):>2}  "
            f"{lengths.both(run.climb.value):<20}{plus_minus(run.score)}"
        )
    return lines


def _sides(scores: SheetScores) -> list[str]:
    by_case = {(case.side, case.bars): case.score for case in scores.cases}
    gains = {gain.side: gain.gain for gain in scores.gains}
    differences = {found.bars: found for found in scores.side_differences}
    sides = [side for side in ("left", "right", "both") if any(case.side == side for case in scores.cases)]
    columns = [*sides, *(["left - right"] if differences else [])]
    lines = [f"{'score, 95 %':<14}" + "".join(f"{column:<16}" for column in columns).rstrip()]
    for bars in ("connected", "released"):
        cells = [plus_minus(by_case[side, bars]) if (side, bars) in by_case else "-" for side in sides]
        if bars in differences:
            cells.append(plus_minus(differences[bars].difference, sign="+"))
        lines.append(f"{bars:<14}" + "".join(f"{cell:<16}" for cell in cells).rstrip())
    if gains:
        cells = [plus_minus(gains[side], sign="+") if side in gains else "-" for side in sides]
        lines.append(f"{'gain':<14}" + "".join(f"{cell:<16}" for cell in cells).rstrip())
    for significant, words in ((True, "differ by more than the uncertainty"), (False, "agree within the uncertainty")):
        bars_so = [found.bars for found in scores.side_differences if found.significant is significant]
        if bars_so:
            lines.append(f"left and right {words}: bars {' and '.join(bars_so)}")
    return lines


def _repeatability(scores: SheetScores, lengths: Lengths) -> list[str]:
    repeat = scores.repeatability
    if repeat is None:
        return []
    unit = lengths.first
    return [
        wrapped(
            f"repeatability: climbs made anew scatter by {two_digits(repeat.climb / SIZES[unit])} {unit}, "
            f"{two_digits(repeat.score)} points (standard deviation, {repeat.dof} degrees of freedom)"
        )
    ]


def _stem(row: BudgetRow) -> str:
    return row.quantity.name.partition(", run ")[0]


def _grouped(found: Uncertain) -> dict[str, list[BudgetRow]]:
    """Rows by quantity; those of several runs under one name, the largest share first."""
    groups: dict[str, list[BudgetRow]] = {}
    for row in found.budget:
        groups.setdefault(_stem(row), []).append(row)
    return dict(sorted(groups.items(), key=lambda item: -sum(abs(row.share) for row in item[1])))


def _contribution(rows: Sequence[BudgetRow]) -> float:
    """Contribution of one quantity with its sign, or of several independent ones together."""
    return rows[0].contribution if len(rows) == 1 else math.sqrt(sum(row.contribution**2 for row in rows))


def _budget(found: Uncertain) -> list[str]:
    lines = [f"  {'quantity':<21}{'value':<10}{'u':<10}{'points per':<11}{'points':>6}{'share':>6}{'dof':>4} from"]
    for name, rows in _grouped(found).items():
        row = rows[0]
        quantity = row.quantity
        several = len(rows) > 1
        value = f"{len(rows)} runs" if several else shown(quantity.estimate, quantity.unit, quantity.unit_size, 4)
        per = "" if several else f"{row.sensitivity * quantity.unit_size:+.3g}/{quantity.unit or '1'}"
        dof = f"{quantity.dof:.0f}" if math.isfinite(quantity.dof) else "-"
        spread = two_digits(quantity.u / quantity.unit_size)
        points = two_digits(abs(_contribution(rows)))
        share = f"{100.0 * sum(item.share for item in rows):.0f} %"
        lines.append(
            f"  {name:<21}{value:<10}{f'{spread} {quantity.unit}':<10}{per:<11}{points:>6}{share:>6}{dof:>4} "
            f"{quantity.source}"
        )
    dof = f"{found.dof:.0f}" if found.dof < 1e3 else "-"
    lines.append(f"  {'together':<21}{found.value:<10.1f}{'':<21}{two_digits(found.u):>6}{'100 %':>6}{dof:>4}")
    lines.append("  u: standard uncertainty; dof: degrees of freedom (-: limits taken as known)")
    return lines


def _sure(found: Uncertain) -> str:
    carlo = found.monte_carlo
    return (
        f"{percent(found.coverage)}: {found.low:.1f} to {found.high:.1f}. By JCGM 100, u {two_digits(found.u)} times "
        f"{found.coverage_factor:.2f}: {found.value - found.expanded:.1f} to {found.value + found.expanded:.1f}; by "
        f"JCGM 101, {carlo.draws} draws, seed {carlo.seed}: {carlo.low:.1f} to {carlo.high:.1f}. {found.note}."
    )


def _gain_budget(gain: Gain) -> list[str]:
    lines = [f"  {'points':<28}{'connected':>10}{'released':>10}{'gain':>10}"]
    connected, released, left = (_grouped(item) for item in (gain.connected, gain.released, gain.gain))
    names = sorted(
        dict.fromkeys([*connected, *released]),
        key=lambda name: -abs(_contribution(left[name])) if name in left else 0.0,
    )
    for name in names:
        cells = [_contribution(group[name]) if name in group else 0.0 for group in (connected, released, left)]
        shared = len(connected.get(name, [])) == len(released.get(name, [])) == 1 and ", run" not in (
            connected[name][0].quantity.name
        )
        cancels = shared and abs(cells[2]) <= CANCELS * max(abs(cells[0]), abs(cells[1]))
        signed = "".join(f"{cell if shared else abs(cell):>{'+' if shared else ''}10.2f}" for cell in cells)
        lines.append(f"  {name:<28}{signed}{'   cancels' if cancels else ''}")
    together = "".join(f"{item.u:>10.2f}" for item in (gain.connected, gain.released, gain.gain))
    lines.append(f"  {'together':<28}{together}")
    return lines


def _zero_load(scores: SheetScores, main: Sequence[CaseScore]) -> list[str]:
    touch = scores.sheet.touch_load
    told = shown(touch.value, touch.unit, touch.unit_size)
    cells = ", ".join(f"{case.bars} {plus_minus(case.score_carried)}" for case in main)
    sure = percent(main[0].score_carried.coverage)
    return [wrapped(f"at the touch load of {told}; with no load left under the tyre it would be: {cells} ({sure})")]


def uncertain_data(found: Uncertain) -> UncertainData:
    """A measured value as plain data."""
    carlo = found.monte_carlo
    return {
        "value": found.value,
        "standard_uncertainty": found.u,
        "coverage": found.coverage,
        "low": found.low,
        "high": found.high,
        "interval_from": "JCGM 100" if found.validated else "JCGM 101",
        "degrees_of_freedom": finite(found.dof),
        "coverage_factor": found.coverage_factor,
        "expanded_uncertainty": found.expanded,
        "monte_carlo": {
            "mean": finite(carlo.mean),
            "standard_uncertainty": finite(carlo.u),
            "low": carlo.low,
            "high": carlo.high,
            "standard_error_of_ends": carlo.noise,
            "draws": carlo.draws,
            "seed": carlo.seed,
        },
        "tolerance": found.tolerance,
        "monte_carlo_validates": found.validated,
        "budget": [_row_data(row) for row in found.budget],
    }


def _row_data(row: BudgetRow) -> BudgetRowData:
    quantity = row.quantity
    return {
        "quantity": quantity.name,
        "unit": si_unit(quantity.unit),
        "value": quantity.estimate,
        "standard_uncertainty": quantity.u,
        "distribution": quantity.shape,
        "degrees_of_freedom": finite(quantity.dof),
        "sensitivity": row.sensitivity,
        "contribution": row.contribution,
        "share": row.share,
        "source": quantity.source,
        "basis": quantity.basis,
    }


def sheet_data(sheet: RunSheet) -> SheetData:
    """What a sheet gives and assumes, as plain data with SI keys."""

    def one(estimate: Estimate | None) -> EstimateData | None:
        return None if estimate is None else estimate_data(estimate)

    return {
        "vehicle": sheet.vehicle,
        "title": sheet.title,
        "date": sheet.date,
        "file": sheet.path,
        "file_sha256": sheet.document.text_hash,
        "wheelbase_m": one(sheet.wheelbase),
        "ramp_angle_rad": one(sheet.ramp_angle),
        "tape_limit_m": one(sheet.tape_limit),
        "touch_load_N": one(sheet.touch_load),
        "roll_back_m": one(sheet.roll_back),
        "marking_m": one(sheet.marking),
        "repeatability_m": one(sheet.repeatability),
        "radius_on_flat_m": one(sheet.radius_on_flat),
        "radius_on_ramp_m": one(sheet.radius_on_ramp),
        "assumed": sorted(sheet.assumed()),
    }


def score_data(scores: SheetScores, beside: Sequence[VehicleSpec] = ()) -> ScoresData:
    """The result as plain data with SI keys, for JSON."""
    repeat = scores.repeatability
    return {
        "schema_version": SCHEMA_VERSION,
        "sheet": sheet_data(scores.sheet),
        "seed": scores.seed,
        "runs": [
            {
                "run": run.entry.number,
                "side": run.entry.side,
                "bars": run.entry.bars,
                "reading": run.entry.kind.value,
                "readings_m": [reading.value for reading in run.entry.readings],
                "lifted": run.entry.lifted,
                "climb_m": uncertain_data(run.climb),
                "score": uncertain_data(run.score),
            }
            for run in scores.runs
        ],
        "cases": [
            {
                "side": case.side,
                "bars": case.bars,
                "runs": list(case.runs),
                "climbs": case.climbs,
                "climb_m": uncertain_data(case.climb),
                "score": uncertain_data(case.score),
                "score_at_zero_touch_load": uncertain_data(case.score_carried),
            }
            for case in scores.cases
        ],
        "gains": [{"side": gain.side, "gain": uncertain_data(gain.gain)} for gain in scores.gains],
        "left_less_right": [
            {"bars": found.bars, "significant": found.significant, "difference": uncertain_data(found.difference)}
            for found in scores.side_differences
        ],
        "repeatability": {"climb_m": repeat.climb, "score": repeat.score, "degrees_of_freedom": repeat.dof}
        if repeat
        else None,
        "remarks": list(scores.remarks),
        "asked_about": doubt_data(scores.doubts),
        **sources_data(beside, [scores.sheet]),
    }


def score_rows(scores: SheetScores) -> Sequence[Mapping[str, str | float]]:
    """One row a mean by side and bars, then one a run; limits are of the interval at `coverage`."""
    named = [("mean", one.side, one.bars, one.score, one.climb) for one in scores.cases]
    named += [(f"run {run.entry.number}", run.entry.side, run.entry.bars, run.score, run.climb) for run in scores.runs]
    return [
        {
            "what": what,
            "side": side,
            "bars": bars,
            "score": score.value,
            "low": score.low,
            "high": score.high,
            "coverage": score.coverage,
            "climb_m": climb.value,
        }
        for what, side, bars, score, climb in named
    ]


def score_notes(scores: SheetScores, lengths: Lengths, beside: Sequence[VehicleSpec]) -> list[str]:
    """What the scores hold for, in rows for the foot of a figure."""
    sheet = scores.sheet
    files = [marked(spec.path, spec.text_hash) for spec in beside]
    files += [marked(sheet.path, sheet.document.text_hash)] if sheet.document.text_hash else []
    return [_test_words(sheet, lengths), *(["; ".join(files)] if files else [])]
