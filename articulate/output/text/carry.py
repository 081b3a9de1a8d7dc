"""A score carried to another ramp, as text for an 80-column terminal, as JSON data and as rows."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from articulate.output.layout import ended, finite, join, wrapped
from articulate.output.text.model_error import model_error_data, sentence
from articulate.output.text.wording import SPIN_REMARK
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.output.wheels_and_ranges import interval, vehicle_head
from articulate.safety import THREE_WHEELS
from articulate.studies.compare.carry import Carried, CarriedScore
from articulate.types import each_state

if TYPE_CHECKING:
    from articulate.output.command_data import CarriedData, CarryData, RampEndData


def why(one: Carried, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """Why the ratio of scores is not the ratio of sines, with the numbers."""
    radius = one.same_rise - one.same_mark
    rest = one.second - one.same_rise
    change = one.rise[1] - one.rise[0]
    without = one.rise_without_holding[1] - one.rise_without_holding[0]
    pitch = [math.degrees(angle) for angle in one.pitch]
    text = (
        f"The sines alone (the mark at the same height) would give {one.same_mark:.1f}. The hub rises by R (1 - cos g) "
        f"less than its mark, which makes {radius:+.1f} points. The hub has to rise {lengths.one(abs(change))} "
        f"{'more' if change > 0.0 else 'less'} until the wheel is off the ground ({lengths.number(one.rise[0])} -> "
        f"{lengths.one(one.rise[1])}), which makes {rest:+.1f}: the body ends at {-pitch[1]:.1f} instead of "
        f"{-pitch[0]:.1f} deg nose up, and the force that holds it on the slope has changed"
    )
    if math.isfinite(without):
        rise = lengths.one(without, signed=True)
        text += f" (with no slope force on the ramp wheel the hub's rise would change by {rise})"
    return text + "."


def _lines(one: Carried, lengths: Lengths, full: bool) -> list[str]:
    low, high = one.ratio_range
    levels = [f"{low:.0f} to {high:.0f}" for low, high in (one.first_range, one.second_range)]
    lines = [f"bars {one.bars}"]
    if math.isfinite(one.measured):
        ends = one.carried_range
        lines.append(
            f"  {'measured, carried':<34}{one.measured:10.1f} -> {one.carried:.1f} "
            f"(90 %: {ends[0]:.1f} to {ends[1]:.1f})"
        )
    lines += [
        f"  {'predicted':<34}{one.first:10.1f} -> {one.second:.1f}",
        f"  {'  90 % of vehicles as filed':<34}{levels[0]:>10} -> {levels[1]}",
        f"  {'ratio of scores, climbed':<34}{one.ratio:10.4f}    (90 %: {low:.4f} to {high:.4f})",
        f"  {'ratio of sines':<34}{one.sine_ratio:10.4f}    {one.first * one.sine_ratio - one.second:+.1f} points off",
    ]
    if one.spins:
        lines.append(wrapped(f"  On one of the ramps it {SPIN_REMARK}.", "  "))
    elif full:
        lines.append(wrapped(f"  {why(one, lengths)}", "  "))
    if one.no_score:
        lines.append(
            wrapped(f"! {one.no_score} of {one.samples} possible vehicles had no score on one of the ramps", "  ")
        )
    return lines


def carry_table(found: CarriedScore, full: bool = True, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """The answer for people: the carried score; in full also why it is not the ratio of sines."""
    first, second = (math.degrees(angle) for angle in found.angles)
    lines = [found.name, f"a score from a {first:g} degree ramp on a {second:g} degree ramp, {found.side} front wheel"]
    for one in each_state(found):
        lines += ["", *_lines(one, lengths, full)]
    if not full:
        said = [
            "a measured score is carried by the ratio; most of what a file has wrong cancels",
            "--full: why it is not the ratio of sines, and what the ranges hold",
        ]
        return join([*lines, "", *said, "", THREE_WHEELS])
    paragraph = (
        "The ratio's range covers what the file leaves uncertain and the holding share, taken the same on both "
        "ramps; a measured score is carried by the ratio, so most of what the file has wrong cancels. "
        f"{sentence(found.model, 'the predicted ranges')}"
        + (" Taken as the same on both ramps, it is not in the ratio." if found.model.total else "")
    )
    return ended(lines, paragraph, THREE_WHEELS)


def _data(one: Carried, angles: tuple[float, float]) -> CarriedData:
    def end(place: int, score: float, limits: tuple[float, float]) -> RampEndData:
        return {
            "ramp_angle_rad": angles[place],
            "score": interval(score, limits),
            "rise_m": finite(one.rise[place]),
            "rise_without_holding_m": finite(one.rise_without_holding[place]),
            "pitch_rad": finite(one.pitch[place]),
        }

    return {
        "bars": one.bars,
        "first": end(0, one.first, one.first_range),
        "second": end(1, one.second, one.second_range),
        "ratio": interval(one.ratio, one.ratio_range),
        "sine_ratio": finite(one.sine_ratio),
        "score_at_same_mark": finite(one.same_mark),
        "score_at_same_rise": finite(one.same_rise),
        "measured": interval(one.measured, one.measured_range),
        "carried": interval(one.carried, one.carried_range),
        "samples": one.samples,
        "samples_without_score": one.no_score,
        "wheels_spin": one.spins,
        "why": why(one),
    }


def carry_data(found: CarriedScore) -> CarryData:
    """The carried score as plain data with SI keys, for JSON."""
    return {
        **vehicle_head(found.name),
        "side": found.side,
        "model_error": model_error_data(found.model),
        "connected": _data(found.connected, found.angles),
        "released": _data(found.released, found.angles) if found.released else None,
    }


def carry_rows(found: CarriedScore) -> Sequence[Mapping[str, str | float]]:
    """One row a state of the bars, for CSV."""
    return [
        {
            "bars": one.bars,
            "from_rad": found.angles[0],
            "to_rad": found.angles[1],
            "predicted_from": one.first,
            "predicted_to": one.second,
            "ratio": one.ratio,
            "ratio_low": one.ratio_range[0],
            "ratio_high": one.ratio_range[1],
            "sine_ratio": one.sine_ratio,
            "measured": one.measured,
            "carried": one.carried,
        }
        for one in each_state(found)
    ]
