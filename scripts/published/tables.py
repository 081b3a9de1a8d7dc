"""The published results beside their predictions as text and as data."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from articulate.output.layout import wrapped

from .allowance import COMMON, PUBLICATION, RUN, TOTAL, Allowance, Estimated
from .clean import Audited, Relearned
from .holding import Holding, Summary


def holding_text(holding: Holding, found: Sequence[Summary]) -> str:
    """Tables of at most 80 columns."""
    model = holding.model
    lines = [
        f"{holding.points} possible vehicles a file; allowance for what the model leaves out",
        f"{100.0 * model.total:.1f} % of the score (one standard deviation), {model.correlation:.2f} of its variance",
        "common to the runs of one vehicle",
        "",
        f"{'result':15s}{'grade':>6s}{'published':>10s}{'median':>8s}{'90 % band':>13s}{'ratio':>7s}{'in':>4s}",
    ]
    for one in holding.held:
        band = f"{one.band.low:.0f} to {one.band.high:.0f}"
        lines.append(
            f"{one.result.name:15s}{one.result.grade:>6s}{one.result.score:10.0f}{one.band.median:8.0f}{band:>13s}"
            f"{one.ratio:7.2f}{'yes' if one.inside else 'NO':>4s}"
        )
        lines.append(wrapped(f"{one.kind}. {one.limit}", indent="    ", first="    "))
    lines += ["", "gain of a released bar"]
    for gain in holding.gains:
        band = f"{gain.band.low:.0f} to {gain.band.high:.0f}"
        lines.append(
            f"{gain.vehicle:21s}{gain.published:10.0f}{gain.band.median:8.0f}{band:>13s}"
            f"{gain.published / gain.band.median:7.2f}{'yes' if gain.inside else 'NO':>4s}"
        )
    lines += ["", f"{'':30s}{'in band':>9s}{'median':>8s}{'scatter':>9s}{'beyond':>9s}{'rank':>7s}{'width':>8s}"]
    lines.append(f"{'':30s}{'':>9s}{'ratio':>8s}{'(log)':>9s}{'inputs':>9s}{'corr.':>7s}{'':>8s}")
    for whole in found:
        lines.append(
            f"{whole.name:30s}{f'{whole.inside}/{whole.results}':>9s}{_number(whole.median_ratio):>8s}"
            f"{_percent(whole.scatter):>9s}{_percent(whole.beyond_inputs):>9s}{_number(whole.rank_correlation):>7s}"
            f"{_percent(whole.median_width):>8s}"
        )
    lines += ["", *_notes()]
    return "\n".join(line.rstrip() for line in lines)


def _notes() -> list[str]:
    return [
        "ratio: published over predicted median. scatter: standard deviation of its",
        "logarithm; beyond inputs: without the mean variance that the inputs predict.",
        "width: of the band over its median, median of the set. A single published",
        "score is not finer than 5 to 8 %; two publications of one vehicle differ by",
        "11 and 20 %. No well-measured vehicle has been ramped yet.",
    ]


def holding_data(holding: Holding, found: Sequence[Summary]) -> dict[str, Any]:
    """The same as plain data; angles [rad]."""
    return {
        "points": holding.points,
        "allowance": {"share": holding.model.total, "common": holding.model.correlation},
        "results": [
            {
                "vehicle": one.result.vehicle,
                "bars": one.result.bars,
                "ramp_angle": one.result.ramp_angle,
                "kind": one.kind,
                "grade": one.result.grade,
                "source": one.result.source,
                "known": one.result.known,
                "published": one.result.score,
                "median": one.band.median,
                "low": one.band.low,
                "high": one.band.high,
                "ratio": one.ratio,
                "inside": one.inside,
                "input_spread": one.input_spread,
                "limit": one.limit,
            }
            for one in holding.held
        ],
        "gains": [
            {
                "vehicle": gain.vehicle,
                "published": gain.published,
                "median": gain.band.median,
                "low": gain.band.low,
                "high": gain.band.high,
                "inside": gain.inside,
            }
            for gain in holding.gains
        ],
        "summaries": [
            {
                "name": one.name,
                "results": one.results,
                "inside": one.inside,
                **{
                    name: None if math.isnan(value := getattr(one, name)) else value
                    for name in ("median_ratio", "scatter", "beyond_inputs", "rank_correlation", "median_width")
                },
            }
            for one in found
        ],
    }


def allowance_text(found: Allowance) -> str:
    """The model's error by the published scores, and what it is worth on results that had no part in it."""
    lines = [
        "",
        "what the scores say of the model's own error, standard deviations over the",
        "score (90 % range): common to the runs of a vehicle, of each run, both together",
        f"{'publications good to':32s}{'common':>16s}{'run':>16s}{'total':>16s}",
    ]
    for factor, one in found.by_publication:
        good = f"A {100.0 * factor * PUBLICATION['A']:.1f} %, B, C {100.0 * factor * PUBLICATION['B']:.0f} %"
        lines.append(_estimate_row(good + (", assumed" if factor == 1.0 else ""), one))
    levels = (0.0, 0.02, 0.04, 0.06, 0.08, 0.10, 0.14)
    whole = ", ".join(f"{100.0 * total:.0f} % {found.whole.likelihood_at(total):.2f}" for total in levels)
    lines += ["", wrapped(f"likelihood of a total over the largest: {whole}")]
    lines += ["", "each family left out, and predicted by what the others say"]
    for left in found.left_out:
        lines.append(_estimate_row(left.estimated.left_out, left.estimated))
    inside = sum(one.inside for one in found.held)
    gains = sum(one.inside for one in found.gains)
    widths = sorted(one.width for one in found.held)
    lines += [
        "",
        f"in the bands so made: {inside} of {len(found.held)} results, {gains} of {len(found.gains)} gains; "
        f"median width {100.0 * widths[len(widths) // 2]:.0f} %",
        f"outside: {', '.join(one.result.name for one in found.held if not one.inside) or 'none'}",
    ]
    return "\n".join(line.rstrip() for line in lines)


def clean_text(found: Sequence[Audited], again: Sequence[Relearned]) -> str:
    """What audit and learn make of good tests."""
    lines = ["", "each result audited against its brochure file, as a careful test"]
    for one in found:
        cause = f"  {one.likeliest} {100.0 * one.probability:.0f} %" if one.likeliest else ""
        lines.append(f"{one.result.name:15s} p = {one.chance:6.4f} {'ALARM' if one.alarm else '     '}{cause}")
    lines += [f"alarms: {sum(one.alarm for one in found)} of {len(found)}", ""]
    lines.append("the released run, learned from the connected one")
    lines.append(
        f"{'':9s}{'score good to':>14s}{'chance':>8s}{'before':>13s}{'after':>13s}{'published':>11s}{'in':>4s}"
    )
    for other in again:
        after = "nothing said" if other.after is None else f"{other.after.low:.0f} to {other.after.high:.0f}"
        lines.append(
            f"{other.vehicle:9s}{other.uncertainty:14.0f}{other.chance:8.3f}"
            f"{f'{other.before.low:.0f} to {other.before.high:.0f}':>13s}{after:>13s}{other.published:11.0f}"
            f"{'yes' if other.inside else 'NO':>4s}{'' if other.explained else '  not explained'}"
        )
    return "\n".join(line.rstrip() for line in lines)


def _estimate_row(name: str, found: Estimated) -> str:
    common, run = found.parts
    cells = []
    for size, what in ((common, COMMON), (run, RUN), (math.hypot(common, run), TOTAL)):
        low, _, high = found.limits(what)
        cells.append(f"{100.0 * size:.1f} ({100.0 * low:.0f}-{100.0 * high:.0f}) %")
    return f"{name:32s}" + "".join(f"{cell:>16s}" for cell in cells)


def allowance_data(found: Allowance) -> dict[str, Any]:
    """The same as plain data, shares of the score."""

    def estimated(one: Estimated) -> dict[str, Any]:
        names = {"common": COMMON, "run": RUN, "total": TOTAL}
        return {
            "common": one.parts[0],
            "run": one.parts[1],
            "limits": {name: list(one.limits(what)) for name, what in names.items()},  # 5, 50 and 95 %
        }

    return {
        "all": estimated(found.whole),
        "left_out": [
            {
                "vehicles": left.estimated.left_out.split(),
                **estimated(left.estimated),
                "inside": {one.result.name: one.inside for one in left.held},
                "gains_inside": {gain.vehicle: gain.inside for gain in left.gains},
            }
            for left in found.left_out
        ],
    }


def clean_data(found: Sequence[Audited], again: Sequence[Relearned]) -> dict[str, Any]:
    """What audit and learn make of good tests, as plain data."""
    return {
        "audited": [{"result": one.result.name, "chance": one.chance, "alarm": one.alarm} for one in found],
        "learned": [
            {
                "vehicle": one.vehicle,
                "uncertainty": one.uncertainty,
                "chance": one.chance,
                "explained": one.explained,
                "before": [one.before.low, one.before.high],
                "after": None if one.after is None else [one.after.low, one.after.high],
                "published": one.published,
                "inside": one.inside,
            }
            for one in again
        ],
    }


def _number(value: float) -> str:
    return "-" if math.isnan(value) else f"{value:.2f}"


def _percent(value: float) -> str:
    return "-" if math.isnan(value) else f"{100.0 * value:.0f} %"
