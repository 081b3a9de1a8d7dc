"""Bands as text for an 80-column terminal and as JSON data."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from articulate.climb import Outcome
from articulate.ends import LIMITS, NOT_BUILT
from articulate.output.layout import WIDTH, finite, row, wrapped
from articulate.output.plain_data import file_data, same_names
from articulate.output.text.model_error import LEFT_OUT, ONE_SD, model_error_data, sentence, short_text
from articulate.output.wheels_and_ranges import by_wheel
from articulate.safety import THREE_WHEELS
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.studies.population.conditions import RAMP_ANGLE
from articulate.studies.population.runs import Population
from articulate.studies.population.sensitivity import Shares
from articulate.studies.predict.band import Band, CaseBand, Spread
from articulate.types import AXLES, WHEELS

if TYPE_CHECKING:
    from articulate.output.command_data import (
        BandData,
        CaseBandData,
        InputShareData,
        LeftOutShareData,
        PopulationData,
        SpreadData,
        VarianceSharesData,
    )

_SHARES = (
    "shares of the variance: that goes when the input alone is known (first order)",
    "/ that stays when all but it is known (total), in %; * assumed, not given",
)
_SHARES_SHORT = ("share of the variance in %, alone / with others; * assumed, not given",)
MOST_SHARES = 4  # of the short answer
INPUT_LABEL, SHARE_COLUMN = 50, 10
NO_SPIN = (
    "The file does not say which wheels drive, so no climb ends by wheelspin here; many tests do (articulate predict "
    "--full)."
)


def score_text(value: float, signed: bool = False) -> str:
    """A score, or that the ramp ends first."""
    if math.isnan(value):
        return "none"
    if math.isinf(value):
        return "beyond the ramp"
    return f"{value:+.0f}" if signed else f"{value:.0f}"


def no_release(spec: VehicleSpec) -> str:
    """That no bar can be released, and what a file says of one that can."""
    fitted = [axle for axle in AXLES if any(key.startswith(f"{axle}.anti_roll_bar.") for key in spec.inputs)]
    bars = [f"[{axle}.anti_roll_bar]" for axle in fitted]
    where = f"; where one can, write releasable = true under {' or '.join(bars)}" if bars else ""
    return wrapped(f"no bar of this vehicle can be released{where}")


def range_text(low: float, high: float, signed: bool = False) -> str:
    """A range of scores."""
    if math.isnan(low) and math.isnan(high):
        return "not known"
    return f"{score_text(low, signed)} to {score_text(high, signed)}"


def band_range(score: Spread) -> str:
    """What 90 % of tests lie in; a ramp may end within it or before it."""
    if math.isinf(score.low):
        return score_text(score.low)
    return f"{score.low:.0f} to the ramp's end" if math.isinf(score.high) else range_text(score.low, score.high)


def lies_in(band: Band, bars: str) -> str:
    """What 90 % of tests with the bars connected or released lie in; empty where no such run is in the band."""
    return next((band_range(case.score) for case in band.cases if case.case.bars == bars), "")


def percent(share: float) -> str:
    """A share; what is there but small is not shown as nothing."""
    if math.isnan(share):
        return "-"
    if 0.0 < share < 0.005:
        return "< 1 %"
    if 0.995 < share < 1.0:
        return "> 99 %"
    return f"{100.0 * share:.0f} %"


def group_name(group: Sequence[str]) -> str:
    """An input, or inputs that are tied, in as few words as say it."""
    if len(group) == 1:
        return group[0]
    ends = {key.partition(".")[2] for key in group}
    if len(group) == 2 and len(ends) == 1:
        return f"front, rear {ends.pop()} (tied)"
    return " + ".join(group)


def heading(population: Population, side: str) -> list[str]:
    """The vehicle and its test."""
    angle = population.inputs[RAMP_ANGLE]
    value, low, high = (f"{math.degrees(x):.4g}" for x in (angle.value, angle.low, angle.high))
    known = "" if angle.distribution == "exact" else f" (between {low} and {high})"
    return [population.spec.name, f"{side} front wheel up a {value} degree ramp{known}"]


def outcome_name(kind: int) -> str:
    """Words for an outcome of a point."""
    return "no vehicle can be so" if kind == NOT_BUILT else Outcome(kind).name.lower().replace("_", " ")


def _spin_share(case: CaseBand, points: int) -> str:
    return percent(case.outcomes.get(int(Outcome.WHEELS_SPIN), 0) / points)


def _share_lines(band: Band, full: bool) -> list[str]:
    named: list[tuple[str, Shares]] = [(case.case.bars, case.shares) for case in band.cases]
    if band.gain_shares is not None:
        named.append(("gain", band.gain_shares))
    named = [(name, shares) for name, shares in named if shares.variance > 0.0]
    if not named:
        return ["", "no share: the scores do not vary"]
    shown = [place for place in named[0][1].ranked() if any(shares.total[place] >= shares.floor for _, shares in named)]
    best = {place: max(shares.total[place] for _, shares in named) for place in shown}
    shown.sort(key=lambda place: -best[place])
    shown = shown if full else shown[:MOST_SHARES]
    groups = named[0][1].groups
    lines = [
        "",
        *(_SHARES if full else _SHARES_SHORT),
        row("", [name for name, _ in named], INPUT_LABEL, SHARE_COLUMN),
    ]
    for place in shown:
        cells = [_pair(shares.first[place], shares.total[place], shares.floor) for _, shares in named]
        name = f"  {group_name(groups[place])}{_assumed_mark(band.population, groups[place])}"
        if len(name) >= INPUT_LABEL:
            lines += [f"{name[:WIDTH]}", row("", cells, INPUT_LABEL, SHARE_COLUMN)]
        else:
            lines.append(row(name, cells, INPUT_LABEL, SHARE_COLUMN))
    if band.model.total > 0.0:
        lines.append(f"  {LEFT_OUT}")
        for k, part in enumerate(("common to all runs of a vehicle", "each run")):
            cells = [f"{100.0 * shares.left_out[k]:.0f}" for _, shares in named]
            lines.append(row(f"    {part}{_model_mark(band)}", cells, INPUT_LABEL, SHARE_COLUMN))
    rest = [place for place in range(len(groups)) if place not in shown]
    if rest:
        cells = [f"{100.0 * max(float(shares.first[rest].sum()), 0.0):.0f}" for _, shares in named]
        lines.append(row(f"  the rest, {len(rest)} inputs or ties", cells, INPUT_LABEL, SHARE_COLUMN))
    if not full:
        return lines
    together = [_together(shares) for _, shares in named]
    lines.append(row("  inputs together", [f"{100.0 * share:.0f}" for share in together], INPUT_LABEL, SHARE_COLUMN))
    unresolved = [f"{100.0 * shares.unresolved:.1f}" for _, shares in named]
    lines.append(row("  not resolved", unresolved, INPUT_LABEL, SHARE_COLUMN))
    errors = [f"{100.0 * max(float(np.max(s.first_error)), float(np.max(s.total_error))):.1f}" for _, s in named]
    lines.append(row("  largest standard error of a share", errors, INPUT_LABEL, SHARE_COLUMN))
    lines.append(f"  method: {named[0][1].method}, {named[0][1].runs} runs each")
    return lines


def _together(shares: Shares) -> float:
    """Share that goes with inputs in concert."""
    return max(1.0 - float(shares.first.sum()) - shares.unresolved - sum(shares.left_out), 0.0)


def _model_mark(band: Band) -> str:
    return "*" if band.model.source == "assumed" else ""


def _assumed_mark(population: Population, group: Sequence[str]) -> str:
    return "*" if any(population.inputs[key].source == "assumed" for key in group) else ""


def _pair(first: float, total: float, floor: float) -> str:
    if total < floor:
        return "-"
    return f"{100.0 * max(first, 0.0):.0f} / {100.0 * total:.0f}"


def _count_lines(band: Band) -> list[str]:
    lines = ["", "how the climbs end"]
    kinds = sorted({kind for case in band.cases for kind in case.outcomes})
    lines += [
        row(f"  {outcome_name(kind)}", [f"{case.outcomes.get(kind, 0)} of {band.points}" for case in band.cases])
        for kind in kinds
    ]
    lines += ["", "which wheel lifts first"]
    lines += [
        row(f"  {wheel}", [percent(float(case.lifts_first[i])) for case in band.cases])
        for i, wheel in enumerate(WHEELS)
        if any(case.lifts_first[i] > 0.0 for case in band.cases)
    ]
    if any(np.isfinite(case.spin_first).all() for case in band.cases):
        lines += ["", "which wheel spins, of those that end so"]
        lines += [
            row(f"  {wheel}", [percent(float(case.spin_first[i])) for case in band.cases])
            for i, wheel in enumerate(WHEELS)
            if any(case.spin_first[i] > 0.0 for case in band.cases)
        ]
    lines += ["", "limits met at the end"]
    met = [
        (f"  {limit} {wheel}", [percent(float(case.limits[k, i])) for case in band.cases])
        for k, limit in enumerate(LIMITS)
        for i, wheel in enumerate(WHEELS)
        if any(case.limits[k, i] > 0.0 for case in band.cases)
    ]
    lines += [row(label, cells, 36, 22) for label, cells in met] or ["  none: springs and bars alone"]
    return lines


def band_table(band: Band, full: bool = True) -> str:
    """The bands for people: answer first, 80 columns at most; in full every share, how climbs end, limits and ties."""
    population = band.population
    cases = band.cases
    lines = [
        *heading(population, cases[0].case.side),
        f"{band.points} possible vehicles by the uncertainty of {len(population.keys)} inputs, seed {band.seed}",
        "",
        row("bars", [case.case.bars for case in cases]),
        row("score, median", [score_text(case.score.median) for case in cases]),
        row("90 % lie in", [range_text(case.score.low, case.score.high) for case in cases]),
    ]
    if any(case.without_spin is not None for case in cases):
        unspun = [case.without_spin or case.score for case in cases]
        lines += [
            row("ends by wheelspin", [_spin_share(case, band.points) for case in cases]),
            row("with grip, median", [score_text(one.median) for one in unspun]),
            row("  90 % lie in", [range_text(one.low, one.high) for one in unspun]),
        ]
    if band.gain is not None:
        gain = band.gain
        known = f"{score_text(gain.median, True)} ({range_text(gain.low, gain.high, True)})"
        lines.append(row("gain from releasing", ["not known" if math.isnan(gain.median) else known]))
    else:
        lines.append(no_release(band.population.spec))
    if full:
        lines += [
            row(f"  median good to, {ONE_SD}", [_error(case.score.median_error) for case in cases]),
            row(f"  limits good to, {ONE_SD}", [_error(case.score.limit_error) for case in cases]),
        ]
    lines += _share_lines(band, full) + (_count_lines(band) if full or any(case.failed for case in cases) else [])
    failed = max(case.failed for case in cases)
    if failed:
        lines += [
            "",
            wrapped(f"! {failed} of {band.points} points have no score in a bar state and are left out above"),
        ]
    lines += [wrapped(f"! {count} points: {what}", "  ") for what, count in band.faults.items()]
    if not full:
        more = [short_text(band.model), "--full: every share, how the climbs end, limits met, ties, how sure it is"]
        return "\n".join([*lines, *more, "", THREE_WHEELS])
    if population.ties:
        tied = "; ".join(f"{one} and {other} {tie:+.2g}" for (one, other), tie in population.ties.items())
        lines += ["", wrapped(f"tied (correlation): {tied}")]
    lines += [
        "",
        wrapped(
            "The bands hold what the inputs leave open, assumed ranges included; a reading's own error comes on top. "
            f"{sentence(band.model)}",
            "",
        ),
        *([] if population.spec.drive else [wrapped(NO_SPIN, "")]),
        "",
        THREE_WHEELS,
    ]
    return "\n".join(lines)


def _error(error: float) -> str:
    return f"±{max(error, 0.1):.1f}" if math.isfinite(error) else "not known"


def spread_data(found: Spread) -> SpreadData:
    """A spread as plain data."""
    return {
        "median": finite(found.median),
        "low": finite(found.low),
        "high": finite(found.high),
        "high_is_beyond_the_ramp": math.isinf(found.high),
        "median_is_beyond_the_ramp": math.isinf(found.median),
        "median_standard_error": finite(found.median_error),
        "limit_standard_error": finite(found.limit_error),
        "points": found.points,
    }


def shares_data(shares: Shares) -> VarianceSharesData:
    """Shares of a variance as plain data."""
    inputs: list[InputShareData] = [
        {
            "keys": list(shares.groups[place]),
            "first_order": finite(shares.first[place]),
            "first_order_standard_error": finite(shares.first_error[place]),
            "total": finite(shares.total[place]),
            "total_standard_error": finite(shares.total_error[place]),
        }
        for place in shares.ranked()
    ]
    left_out: LeftOutShareData = {"common": shares.left_out[0], "run": shares.left_out[1]}
    found: VarianceSharesData = same_names(
        shares,
        *("method", "runs", "points", "variance", "unresolved"),
        model_error=left_out,
        floor=finite(shares.floor),
        inputs=inputs,
    )
    return found


def population_data(population: Population) -> PopulationData:
    """Vehicle, conditions and ties as plain data."""
    return {
        **file_data(population.spec),
        "uncertain_inputs": list(population.keys),
        "ties": [{"keys": list(pair), "correlation": tie} for pair, tie in population.ties.items()],
    }


def _case_data(case: CaseBand) -> CaseBandData:
    return {
        "side": case.case.side,
        "bars": case.case.bars,
        "score": spread_data(case.score),
        "outcomes": {outcome_name(kind).replace(" ", "_"): int(count) for kind, count in case.outcomes.items()},
        "failed": case.failed,
        "score_without_spin": spread_data(case.without_spin) if case.without_spin is not None else None,
        "spin_first": by_wheel(case.spin_first),
        "lifts_first": by_wheel(case.lifts_first),
        "limits_met": {limit.replace(" ", "_"): by_wheel(case.limits[k]) for k, limit in enumerate(LIMITS)},
        "variance_shares": shares_data(case.shares),
    }


def band_data(band: Band) -> BandData:
    """The bands as plain data with SI keys, for JSON."""
    return {
        **population_data(band.population),
        "points": band.points,
        "seed": band.seed,
        "model_error": model_error_data(band.model),
        "runs": [_case_data(case) for case in band.cases],
        "gain": spread_data(band.gain) if band.gain is not None else None,
        "gain_variance_shares": shares_data(band.gain_shares) if band.gain_shares is not None else None,
        "not_built": dict(band.faults),
    }


def band_rows(band: Band) -> Sequence[Mapping[str, str | float]]:
    """One row a state of the bars, and one for the gain from releasing: medians and central 90 %."""
    found = [("score", case.case.bars, case.score) for case in band.cases]
    found += [("gain from releasing", "", band.gain)] if band.gain is not None else []
    return [
        {"what": what, "bars": bars, "median": spread.median, "low": spread.low, "high": spread.high}
        for what, bars, spread in found
    ]
