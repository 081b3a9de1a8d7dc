"""From the answers of the library to plain charts of their numbers."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from articulate.climb import Outcome
from articulate.measure.propagation import Uncertain
from articulate.measure.scoring import SheetScores
from articulate.output.figures.charts import counts_picture, curves_picture, ranges_picture
from articulate.output.figures.rows import change_words, score_words
from articulate.output.figures.tallies import Bar, Mark, ScoreLine
from articulate.output.figures.theme import Medium, Picture
from articulate.output.text.clearance import hub_travels
from articulate.output.text.measurement import percent, plus_minus, side_words
from articulate.output.text.target import headline
from articulate.output.text.timeline import decided_words
from articulate.output.units import SIZES
from articulate.studies.compare.carry import Carried, CarriedScore
from articulate.studies.design.bodywork import ClearanceReport
from articulate.studies.design.target import TargetAnswer
from articulate.studies.explain.timeline import RunTimeline, Timeline
from articulate.studies.explain.worth import VehicleWorth
from articulate.studies.learn.learning import SURPRISING, UNEXPLAINED, Learned
from articulate.studies.predict.blocks import BlockTest
from articulate.types import WHEELS, each_state

MOST_STEPS = 14  # of a chart of what steps are worth
NAN = math.nan


def _told(label: str, value: float, low: float = NAN, high: float = NAN) -> Bar:
    """A score with its range in words beside it."""
    return Bar(label, value, low, high, score_words(Bar("", value, low, high)))


def timeline_figure(story: Timeline, name: str, medium: Medium, transparent: bool = False) -> Picture:
    """What is met at which score, and what the score would be without it."""
    runs = each_state(story)
    marks = [mark for k, run in enumerate(runs) for mark in _moments(run, k, medium)]
    under = [f"bars {run.bars}: {decided_words(run)}" for run in runs]
    under.append("filled: met on the way up; hollow: climbed again without that limit; nominal vehicle, no ranges")
    return ranges_picture(marks, f"{name}: the climb and what decides it", under, "score", medium, transparent)


def _moments(run: RunTimeline, state: int, medium: Medium) -> list[Mark]:
    def at(label: str, score: float, climb: float) -> Mark:
        return Mark(Bar(f"{run.bars}: {label}", score, note=f"{score:.0f}, mark at {medium.lengths.one(climb)}"), state)

    marks = [at(moment.what, moment.score, moment.climb) for moment in run.moments]
    if not math.isfinite(run.score):
        return [*marks, Mark(Bar(f"{run.bars}: the end", NAN, note=run.outcome.meaning), state)]
    last = f"{WHEELS[run.wheel]} lifts" if run.outcome == Outcome.WHEEL_LIFTS else run.outcome.meaning
    marks.append(at(last, run.score, run.climb))
    for one in run.removals:
        said = f"{one.score:.0f}, {one.gain:+.1f} points" if math.isfinite(one.score) else one.outcome.meaning
        marks.append(Mark(Bar(f"{run.bars}: without {one.what}", one.score, note=said), state, hollow=True))
    return marks


def worth_figure(worth: VehicleWorth, bars: str, medium: Medium, transparent: bool = False) -> Picture:
    """What one step of each input is worth, the inputs that are worth most.

    Raises:
        ValueError: no bar can be released and `bars` is "released".
    """
    table = worth.connected if bars == "connected" else worth.released
    if table is None:
        raise ValueError("no bar of this vehicle can be released; bars='connected'")
    shown = [row for row in table.rows if not row.nothing][:MOST_STEPS]
    marks = []
    for row in shown:
        ends = [value for value in (row.up, row.down) if math.isfinite(value)]
        low, high = (min(ends), max(ends)) if len(ends) == 2 else (NAN, NAN)
        said = "; ".join(
            f"{way} {change_words(Bar('', value)) if math.isfinite(value) else 'no score'}"
            for way, value in (("more", row.up), ("less", row.down))
        )
        marks.append(Mark(Bar(f"{row.step.name}, {row.step.words}", row.up, low, high, said), int(bars == "released")))
    present = f"a score of {table.score:.1f}" if math.isfinite(table.score) else f"no score ({table.outcome.meaning})"
    under = [
        f"points over {present}, bars {bars}; the {len(shown)} inputs of {len(table.rows)} worth most",
        "marker: one step more; other end of the line: one step less (nominal vehicle, no interval)",
    ]
    title = f"{worth.name}: what one step of each input is worth"
    return ranges_picture(marks, title, under, "points of score", medium, transparent, zero=True)


def blocks_figure(test: BlockTest, name: str, medium: Medium, transparent: bool = False) -> Picture:
    """Heights of the blocks at which a wheel lifts."""
    unit = medium.lengths.first
    marks = []
    for k, run in enumerate(each_state(test)):
        spread, size = run.heights, SIZES[unit]
        said = medium.lengths.one(run.height) if math.isfinite(run.height) else run.outcome.meaning
        if math.isfinite(spread.low):
            said += f" ({medium.lengths.between(spread.low, spread.high)})"
        marks.append(Mark(Bar(f"bars {run.bars}", run.height / size, spread.low / size, spread.high / size, said), k))
    title = f"{name}: blocks under two opposite corners that lift a wheel"
    under = [f"lines: central 90 % of {test.points} vehicles that the file allows"]
    return ranges_picture(marks, title, under, f"height of both blocks, {unit}", medium, transparent)


def sweep_figure(
    name: str,
    key: str,
    values: Sequence[str],
    places: Sequence[float],
    scores: Mapping[str, NDArray[np.float64]],
    medium: Medium,
    transparent: bool = False,
) -> Picture:
    """Scores over the values of one key; `places` are where they stand on the scale."""
    order = sorted(range(len(values)), key=lambda k: places[k])
    along = tuple(float(places[k]) for k in order)
    curves = [
        ScoreLine(f"bars {bars}", along, tuple(float(found[k]) for k in order))
        for bars, found in scores.items()
        if np.isfinite(found).any() or bars == "connected"
    ]
    ticks = {float(places[k]): values[k] for k in order}
    under = ["nominal vehicle with each value, no ranges"]
    return curves_picture(curves, f"{name}: score over {key}", under, key, ticks, None, medium, transparent)


def sample_figure(
    name: str, scores: Mapping[str, NDArray[np.float64]], medium: Medium, transparent: bool = False
) -> Picture:
    """How the scores of possible vehicles are spread."""
    points = max((values.size for values in scores.values()), default=0)
    under = [
        f"{points} vehicles that the file allows; above: median and central 90 % of those with a score",
        "by the inputs alone, without what the model leaves out",
    ]
    named = {f"bars {bars}": values for bars, values in scores.items()}
    return counts_picture(named, f"{name}: scores of possible vehicles", under, medium, transparent)


def score_figure(scores: SheetScores, medium: Medium, transparent: bool = False) -> Picture:
    """Measured scores with their intervals: every run, and the means that answer."""

    def mark(label: str, found: Uncertain, bars: str, hollow: bool) -> Mark:
        return Mark(Bar(label, found.value, found.low, found.high, plus_minus(found)), int(bars == "released"), hollow)

    marks = [mark(f"{side_words(one.side)}, bars {one.bars}", one.score, one.bars, False) for one in scores.cases]
    marks += [
        mark(f"run {run.entry.number}: {run.entry.side}, {run.entry.bars}", run.score, run.entry.bars, True)
        for run in scores.runs
    ]
    under = [
        f"lines: {percent(scores.cases[0].score.coverage)} interval; filled: by side and bars; hollow: single runs"
    ]
    return ranges_picture(marks, f"{scores.sheet.vehicle}: measured scores", under, "score", medium, transparent)


def learn_figure(learned: Learned, medium: Medium, transparent: bool = False) -> Picture:
    """What a test would read before and after what was learned, and what was measured."""
    marks = []
    for case in learned.cases:
        label, state = f"{case.case.side}, bars {case.case.bars}", int(case.case.bars == "released")
        before, after = case.before, case.after
        marks.append(Mark(_told(f"{label}: before", before.median, before.low, before.high), state, hollow=True))
        if case.measured is not None:
            marks.append(Mark(_told(f"{label}: measured", case.measured), state))
        if after is None:
            marks.append(Mark(Bar(f"{label}: after", NAN, note="not known: the readings are not explained"), state))
        else:
            marks.append(Mark(_told(f"{label}: after", after.median, after.low, after.high), state))
    title = f"{learned.runs.population.spec.name}: the next run, before and after what was read"
    under = ["lines: 90 % of tests lie in; marker: median, or what was measured; hollow: before"]
    if learned.chance < UNEXPLAINED:
        under.append("! what the file allows does not explain the readings: do not rely on the band after")
    elif learned.chance < SURPRISING:
        under.append("! readings this far from the prediction are rare: check them and the file first")
    return ranges_picture(marks, title, under, "score", medium, transparent)


def target_figure(answer: TargetAnswer, medium: Medium, transparent: bool = False) -> Picture:
    """The score over each lever alone, with the score to reach."""
    single = len(answer.alone) == 1
    curves = []
    for one in answer.alone:
        lever = one.lever
        _, size = medium.lengths.unit_of(lever.unit, lever.unit_size)
        wide = (lever.high - lever.low) or 1.0
        places = tuple(
            value / size if single else 100.0 * (value - lever.low) / wide for value in map(float, one.curve.value)
        )
        limits = " to ".join(
            medium.lengths.quantity(end, lever.unit, lever.unit_size) for end in (lever.low, lever.high)
        )
        curves.append(
            ScoreLine("the lever alone" if single else f"{lever.key}, {limits}", places, tuple(one.curve.score))
        )
    if single:
        lever = answer.alone[0].lever
        unit, _ = medium.lengths.unit_of(lever.unit, lever.unit_size)
        along = f"{lever.key}, {unit}" if unit else lever.key
    else:
        along = "way from the lower to the upper limit of each lever alone, %"
    under = [headline(answer, medium.lengths), f"nominal vehicle, bars {answer.bars}, no ranges"]
    level = (answer.target, f"to reach: {answer.target:g}")
    title = f"{answer.name}: a score of {answer.target:g}"
    return curves_picture(curves, title, under, along, None, level, medium, transparent)


def clearance_figure(report: ClearanceReport, medium: Medium, transparent: bool = False) -> Picture:
    """Hub travel until the tyre touches, beside the travel that is used."""
    unit = medium.lengths.first
    size = SIZES[unit]
    marks = []
    for axle, what, found in hub_travels(report):
        shown = f"{medium.lengths.ranged(found)} {unit}" if math.isfinite(found.value) else "never"
        bar = Bar(f"{axle}: {what}", found.value / size, found.low / size, found.high / size, shown)
        marks.append(Mark(bar, int(axle == "rear"), hollow="touches" not in what))
    under = [
        f"filled: where the tyre touches; hollow: travel used; lines: central 90 % of {report.points} vehicles",
        *[
            f"{axle.axle}: the file says nothing of the arches; whether the tyre rubs is not known"
            for axle in report.axles
            if not axle.described
        ],
    ]
    title = f"{report.spec.name}: where tyres and bodywork touch"
    scale = f"hub travel from ride height, {unit}"
    return ranges_picture(marks, title, under, scale, medium, transparent)


def carry_figure(found: CarriedScore, medium: Medium, transparent: bool = False) -> Picture:
    """Scores on one ramp and on the other."""
    runs = each_state(found)
    first, second = (f"{math.degrees(angle):g}°" for angle in found.angles)
    marks = [mark for k, one in enumerate(runs) for mark in _carried(one, first, second, k)]
    ratios = "; ".join(
        f"bars {one.bars} {one.ratio:.4f} ({one.ratio_range[0]:.4f} to {one.ratio_range[1]:.4f})" for one in runs
    )
    under = [
        "lines: 90 % band, of what was measured as given; hollow: predicted; filled: measured, carried by the ratio",
        f"ratio of scores, with its 90 % band: {ratios}",
    ]
    return ranges_picture(
        marks, f"{found.name}: from a ramp of {first} to one of {second}", under, "score", medium, transparent
    )


def _carried(one: Carried, first: str, second: str, state: int) -> list[Mark]:
    marks = [
        Mark(_told(f"{one.bars}: predicted, {first}", one.first, *one.first_range), state, hollow=True),
        Mark(_told(f"{one.bars}: predicted, {second}", one.second, *one.second_range), state, hollow=True),
    ]
    if math.isfinite(one.measured):
        marks += [
            Mark(_told(f"{one.bars}: measured, {first}", one.measured, *one.measured_range), state),
            Mark(_told(f"{one.bars}: carried, {second}", one.carried, *one.carried_range), state),
        ]
    return marks
