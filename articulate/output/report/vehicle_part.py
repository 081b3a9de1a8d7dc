"""The part of a report that is about one vehicle: its result, why, and what it rests on."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from articulate.output.report.content import CHAPTERS, MeasuredScore, PageTable, Section, TableRow, VehicleReport
from articulate.output.sheet.content import in_words, lifting_words, plan_warnings
from articulate.output.text.band import range_text
from articulate.output.text.input_names import input_name
from articulate.output.text.model_error import LEFT_OUT, parts_text, sentence
from articulate.output.text.prediction import limited_by
from articulate.output.text.wording import spin_words
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.prediction import Run
from articulate.spec import Estimate
from articulate.spec.plausibility import doubts
from articulate.studies.day.plan import DayPlan, ExpectedRun
from articulate.types import AXLES, WHEELS

if TYPE_CHECKING:
    pass

SOURCES = {
    "measured": "measured",
    "published": "published",
    "assumed": "assumed",
    "given": "given",
}
# How a file's estimate says where it was written: what, its line, and what was said of it.
_WRITTEN = re.compile(r"(?P<said>.*?), line (?P<line>\d+)(?:: (?P<more>.*))?", re.DOTALL)
_PARTS = ("Body and masses", "Tyres", "Front axle", "Rear axle", "Wheel arches", "Loads", "Body points")


@dataclass(frozen=True)
class Headline:
    """The result of one run in large type."""

    bars: str
    score: str
    band: str
    lines: tuple[str, ...]


def _percent(share: float) -> str:
    return f"{share * 100.0:.0f} %"


def headline(run: ExpectedRun, lengths: Lengths) -> Headline:
    """The result of one run."""
    nominal = run.nominal
    if not math.isfinite(nominal.score):
        return Headline(run.bars, "no score", "", (nominal.outcome.meaning,))
    mark = nominal.mark_height
    band = run.mark_height
    return Headline(
        run.bars,
        f"{nominal.score:.0f}",
        f"{in_words(run.score)} (90 % band)",
        (
            f"climb {lengths.one(nominal.climb)}; mark {lengths.tape(mark)} above the floor "
            f"({lengths.between(band.low, band.high, 1)})",
            f"lifts: {lifting_words(run)}",
        ),
    )


def measured_headline(one: MeasuredScore, run: ExpectedRun | None) -> Headline:
    """The measured result of one state of the bars; what was predicted for it comes after."""
    lines = [one.sides, f"predicted {one.predicted}, 90 % band", f"measured climb {one.climb}"]
    if run is not None:
        lines.append(f"lifts, predicted: {lifting_words(run)}")
    return Headline(
        one.bars, one.score, f"{one.uncertainty}, measured, {one.side}", tuple(line for line in lines if line)
    )


def headlines(report: VehicleReport) -> list[Headline]:
    """What the page leads with: measured scores where the test is finished, else the predicted ones."""
    runs = {run.bars: run for run in report.plan.runs}
    if report.finished is None:
        return [headline(run, report.lengths) for run in report.plan.runs]
    shown = [measured_headline(one, runs.get(one.bars)) for one in report.finished.scores]
    measured = {one.bars for one in report.finished.scores}
    for run in report.plan.runs:
        if run.bars not in measured:
            one = headline(run, report.lengths)
            shown.append(Headline(run.bars, one.score, f"predicted, not run; {one.band}".strip("; "), one.lines))
    return shown


def closing(report: VehicleReport) -> str:
    """One or two sentences after the scores: the gain as measured and the audit's verdict, or the predicted gain."""
    if report.finished is None:
        return verdict(report.plan)
    return f"{report.finished.gain} {report.finished.verdict}".strip()


def verdict(plan: DayPlan) -> str:
    """One sentence after predicted scores."""
    runs = [run.nominal for run in plan.runs]
    if len(runs) == 1:
        return "No anti-roll bar of this vehicle can be released."
    if plan.gain is None or not math.isfinite(plan.gain.value):
        return "There is no gain to state: one of the runs has no score."
    gain = round(runs[1].score) - round(runs[0].score)  # of the scores as they are shown, as `predict` has it
    band = f"(90 % band {range_text(plan.gain.low, plan.gain.high, True)})"
    if gain == 0:
        return f"Releasing the bars changes the score by less than a point {band}."
    share = abs(gain) / runs[0].score
    return f"Releasing the bars {'gains' if gain > 0 else 'costs'} {abs(gain)} points, {share * 100.0:.0f} % {band}."


def _travel(run: Run, corner: int, lengths: Lengths) -> str:
    travel, used = run.hub_travel[corner], abs(run.travel_used[corner])
    if not math.isfinite(travel):
        return "-"
    kind = "bump" if travel >= 0.0 else "droop"
    if not math.isfinite(used):
        return f"{lengths.one(travel, signed=True)} at the hub; no free {kind} at the stop"
    return f"{lengths.one(travel, signed=True)} at the hub; {_percent(used)} of the free {kind} at the stop"


def _at_mark(plan: DayPlan, lengths: Lengths) -> PageTable:
    runs = [run.nominal for run in plan.runs]
    rows = [
        TableRow(
            (
                f"{wheel} wheel",
                *(
                    cell
                    for run in runs
                    for cell in (
                        f"{run.wheel_load[i]:.0f} N" if math.isfinite(run.wheel_load[i]) else "-",
                        _travel(run, i, lengths),
                    )
                ),
            )
        )
        for i, wheel in enumerate(WHEELS)
    ]
    columns = ("at the mark", *(f"{what}, bars {run.bars}" for run in runs for what in ("load", "travel")))
    note = (
        "Travel is counted twice: of the hub, from ride height, and at the stop, as a share of its free gap (over 100 "
        "%: the stop is pressed). The stops of a solid axle stand inboard of its hubs and move less than they do."
    )
    numbers = frozenset({1, 3} if len(runs) > 1 else {1})
    return PageTable("Loads and travel at the mark", columns, tuple(rows), numbers, note=note)


def _friction(run: Run) -> str:
    """What suspension friction leaves open."""
    scores = {
        "climbing up": run.score,
        "creeping back onto the lift": run.score_back,
        "with all friction shaken out": run.score_shaken,
        "with it turned over": run.score_turned_over,
    }
    told = ", ".join(f"{way} {score:.0f}" for way, score in scores.items() if math.isfinite(score))
    return f"Bars {run.bars}, suspension friction: {told}."


def why(plan: DayPlan, lengths: Lengths = MILLIMETRES_FIRST) -> Section:
    """What ends each climb, and how the vehicle stands there."""
    said = []
    load = plan.touch_load
    at_the_end = f"is down to the touch load of {load:g} N" if load > 0.0 else "carries no load any more"
    for run in plan.runs:
        nominal = run.nominal
        end = limited_by(nominal)
        if math.isfinite(nominal.score):
            after = f"after a predicted climb of {lengths.one(nominal.climb)}"
            if nominal.wheel >= 0:
                event = f"the {WHEELS[nominal.wheel]} wheel {at_the_end} {after}. The end rests on: {end}."
            else:
                event = f"{spin_words(nominal.spinning)} {after}, before a wheel lifts: a limit of drive and grip."
                if nominal.wheel_without_spin >= 0:
                    lifting, unspun = WHEELS[nominal.wheel_without_spin], f"{nominal.score_without_spin:.0f}"
                    event += f" With grip enough the {lifting} would lift at a score of {unspun}."
            rocks = nominal.rocking_margin
            then = f", and {lengths.one(rocks)} until it rocks onto the lifted wheel" if math.isfinite(rocks) else ""
            said.append(
                f"Bars {run.bars}: {event} The body rolls "
                f"{math.degrees(nominal.roll):+.1f} deg, the frame twists {math.degrees(nominal.twist):+.2f} deg; "
                f"{math.degrees(nominal.tipping_angle):.0f} deg of sideways angle are still in hand{then}."
            )
            if math.isfinite(nominal.score_shaken):
                said.append(_friction(nominal))
        else:
            said.append(f"Bars {run.bars}: {end}.")
    stands = any(math.isfinite(load) for run in plan.runs for load in run.nominal.wheel_load)
    tables = (_at_mark(plan, lengths),) if stands else ()
    return Section("why", CHAPTERS["why"], tuple(said), plan_warnings(plan), tables, chapter="why")


def spread(report: VehicleReport) -> Section:
    """Where the band comes from."""
    plan, known, lengths = report.plan, report.spec.inputs, report.lengths

    def limits(key: str, text: str) -> str:
        return lengths.limits(known[key]) if key in known else text  # else of the test

    rows = tuple(
        TableRow(
            (
                "; ".join(map(input_name, one.keys)),
                "; ".join(map(limits, one.keys, one.text)),
                _percent(one.share),
                "assumed" if one.assumed else "in the file",
            ),
            one.assumed,
        )
        for one in plan.influences
    )
    if plan.model.total > 0.0:
        assumed = plan.model.source == "assumed"
        mine = TableRow((LEFT_OUT, parts_text(plan.model), _percent(plan.model_share), plan.model.source), assumed)
        place = sum(one.share > plan.model_share for one in plan.influences)
        rows = (*rows[:place], mine, *rows[place:])
    lines = [
        f"The bands hold 90 % of what {plan.runs[0].vehicles} possible vehicles would score, drawn from what is known "
        f"of each input. {sentence(plan.model)}"
    ]
    for run in plan.runs:
        if run.unscored:
            ends = "; ".join(f"{count}: {meaning}" for meaning, count in run.unscored)
            lines.append(f"Bars {run.bars}: possible vehicles without a score: {ends}.")
    if plan.left_out:
        lines.append(f"{plan.left_out} sampled vehicles cannot exist and were left out.")
    table = PageTable(
        "Inputs whose uncertainty moves the score most (total index, with what they do together with others)",
        ("input", "value and limits", "share of the spread", "source"),
        rows,
        frozenset({2}),
    )
    return Section("spread", "Uncertainty of the prediction", tuple(lines), (), (table,) if rows else ())


def _where_from(estimate: Estimate) -> str:
    """Where an input comes from: the line of the file and what it says there, or what an assumed one rests on."""
    found = _WRITTEN.fullmatch(estimate.basis)
    if found is None:
        return estimate.basis
    said, line, more = found["said"].strip('"'), found["line"], found["more"]
    return f"line {line}: \u201c{said}\u201d" + (f"; {more}" if more else "")


def _group(key: str) -> str:
    """The table an input stands in."""
    first, _, rest = key.partition(".")
    if first in AXLES:
        return "Wheel arches" if rest.startswith("wheelhouse.") else f"{first.capitalize()} axle"
    return {"tyre": "Tyres", "load": "Loads", "body_point": "Body points"}.get(first, "Body and masses")


def inputs(report: VehicleReport) -> Section:
    """Every input with its source: first what is assumed, then what the file says, part by part."""
    groups: dict[str, list[TableRow]] = {}
    for key, estimate in report.spec.inputs.items():
        assumed = estimate.source == "assumed"
        cells = (input_name(key), report.lengths.limits(estimate), SOURCES[estimate.source], _where_from(estimate))
        groups.setdefault("Assumed" if assumed else _group(key), []).append(TableRow(cells, assumed, key))
    count, assumed_count = len(report.spec.inputs), len(report.spec.assumed())
    text = (
        f"{count} inputs; {assumed_count} of them are not given in the file but assumed, and marked so."
        if assumed_count
        else f"{count} inputs, all of them given in the file."
    )
    tables = tuple(
        PageTable(
            f"{name}, {len(groups[name])} input{'s' if len(groups[name]) > 1 else ''}",
            ("input", "value and limits", "source", "where it comes from"),
            tuple(groups[name]),
            folded=name != "Assumed",
        )
        for name in sorted(groups, key=lambda name: (name != "Assumed", _PARTS.index(name) if name in _PARTS else 0))
    )
    asked = tuple(f"Asked about: {one.question}." for one in doubts(report.spec))
    points = (*asked, *report.spec.remarks)
    return Section("inputs", "Inputs and their sources", (text,), points, tables, chapter="stands")
