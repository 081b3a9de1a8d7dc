"""Why two vehicles score differently, as text for an 80-column terminal, as JSON data and as rows."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from articulate.output.layout import SCHEMA_VERSION, finite, join, row, wrapped
from articulate.output.plain_data import NO_UNIT, si_unit
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.output.wheels_and_ranges import limits_data, wheel_key
from articulate.safety import THREE_WHEELS
from articulate.studies.explain.vehicle_parts import NEWTON_METRE_PER_DEGREE, QUANTITIES
from articulate.types import AXLES, WHEELS, each_state

if TYPE_CHECKING:
    from articulate.output.command_data import DifferenceData, EventChangeData, ShareData, SplitData
    from articulate.studies.explain.difference import Change, Difference, EventChange, Share, Split

_KNOWN = {quantity.name: quantity for quantity in QUANTITIES}
_FLAGS = ("spring_loose", "spring_linked", "bar_releasable", "solid", "drive_known", "centre_locked", "torque_ratio")
_DIFFERENTIALS = {0.0: "locked", 1.0: "open"}  # by the torque of the light over that of the heavy wheel
_OTHER_UNITS = {"frame_compliance": "rad/(N m)", "ramp_angle": "rad"}
_OF_COUPLES = {"N/m": "N m/rad", "N/m^3": "N m/rad^3"}
_SMALL = 0.05  # points, shown as nothing
MOST_EVENTS = 4
MOST_GROUPS = 6  # of the short answer
_GROUP, _STATE = 40, 20  # columns


def _value(change: Change, value: float, couple: bool, lengths: Lengths) -> tuple[str, str]:
    """A value and its unit as a person reads them."""
    if change.quantity in _FLAGS:
        told = "yes" if value > 0.5 else "no"
        if change.quantity == "torque_ratio":
            told = _DIFFERENTIALS.get(value, f"{value:.2f} light over heavy wheel")
        return told, ""
    quantity = _KNOWN.get(change.quantity)
    if quantity is None:
        return f"{value:.5g}", "SI"
    if couple:
        return f"{value / NEWTON_METRE_PER_DEGREE:.0f}", "N m/deg"
    if change.quantity == "frame_compliance":
        return ("rigid", "") if value == 0.0 else (f"{quantity.unit_size / value:.1f}", quantity.unit)
    if quantity.unit == "mm" and lengths.first == "in":  # half a spacing is read as the spacing
        return lengths.number(value / quantity.unit_size * 1e-3), lengths.first
    return f"{value / quantity.unit_size:.{quantity.digits}f}", quantity.unit


def _from_to(change: Change, lengths: Lengths) -> str:
    quantity = _KNOWN.get(change.quantity)
    words = quantity.words if quantity else change.quantity.replace("_", " ")
    axle = {2: AXLES, 4: WHEELS}[quantity.columns][change.column] if quantity and quantity.columns > 1 else ""
    (before, unit), (after, other) = (
        _value(change, value, couple, lengths)
        for value, couple in zip((change.before, change.after), change.couples, strict=True)
    )
    if (before, unit) == (after, other):
        return ""
    lead = " ".join(word for word in (axle, words) if word)
    first = f"{before} {unit}".strip() if unit != other else before
    return f"{lead} {first} -> {after} {other}".strip()


def _event(change: EventChange, lengths: Lengths) -> str:
    if math.isnan(change.before):
        return f"{change.what}, which it did not before, at {lengths.one(change.after)}"
    if math.isnan(change.after):
        return f"before, {change.what} at {lengths.one(change.before)}; now that does not happen"
    word = "earlier" if change.after < change.before else "later"
    return f"{change.what} {lengths.one(abs(change.after - change.before))} {word}, at {lengths.one(change.after)}"


def _wheel(index: int) -> str:
    return f"the {WHEELS[index]} wheel" if index >= 0 else "no wheel"


def _told(share: Share, lengths: Lengths) -> str:
    """What changed, from what to what; empty where it reads the same."""
    return ", ".join(text for change in share.changes if (text := _from_to(change, lengths)))


def sentence(share: Share, split: Split, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """What changed, and what that does on its own, in words."""
    text = (_told(share, lengths) or "less than a person reads off") + "."
    millimetres = share.climb_alone * 1e3
    if abs(share.alone) < _SMALL and abs(millimetres) < 1.0:
        text += " On its own this changes nothing."
    else:
        does = "adds" if millimetres > 0.0 else "takes"
        where = "to" if millimetres > 0.0 else "off"
        text += (
            f" On its own it {does} {lengths.one(abs(share.climb_alone))} {where} the climb ({share.alone:+.1f} points)"
        )
        length = [change for change in share.changes if change.quantity == "wheelbase"]
        if length:
            divided = 1e3 * split.climb[0] * (1.0 / length[0].after - 1.0 / length[0].before)
            text += f", of which dividing by the new wheelbase is {divided:+.1f}"
        text += "."
    if share.wheels[0] != share.wheels[1]:
        text += " " + f"{_wheel(share.wheels[1])} lifts instead of {_wheel(share.wheels[0])}.".capitalize()
    if share.events:
        moved = sorted(share.events, key=lambda event: -_size(event))[:MOST_EVENTS]
        text += " On the way up, " + "; ".join(_event(event, lengths) for event in moved) + "."
    return text


def _size(event: EventChange) -> float:
    both = math.isfinite(event.before) and math.isfinite(event.after)
    return abs(event.after - event.before) if both else math.inf


def _points(value: float) -> str:
    if not math.isfinite(value):
        return "-"
    return "0.0" if abs(value) < _SMALL else f"{value:+.1f}"


def _felt(share: Share) -> bool:
    """Whether a group does anything that shows."""
    return max(abs(share.points), abs(share.alone), abs(share.at_last)) >= _SMALL


def _short_lines(difference: Difference, lengths: Lengths) -> list[str]:
    """Both states of the bars side by side: scores, wheels, and the shares of what differs."""
    splits = each_state(difference)

    def line(label: str, cells: Sequence[str]) -> str:
        return row(label, cells, _GROUP, _STATE)

    wheels = [[WHEELS[one] if one >= 0 else "none" for one in dict.fromkeys(split.wheels)] for split in splits]
    climbs = [f"{lengths.number(split.climb[0])} -> {lengths.one(split.climb[1])}" for split in splits]
    lines = [
        line("bars", [split.bars for split in splits]),
        line("score", [f"{split.first:.1f} -> {split.second:.1f}" for split in splits]),
        line("difference", [_points(split.second - split.first) for split in splits]),
        line("climb", climbs),
        line("wheel that lifts", [" -> ".join(one) for one in wheels]),
    ]
    shares = [{share.group: share.points for share in split.shares} for split in splits]
    if not any(shares):
        return [*lines, "", "The two do not differ in anything the model reads."]
    largest = {
        share.group: max(abs(one.get(share.group, 0.0)) for one in shares)
        for split in splits
        for share in split.shares
        if _felt(share)
    }
    groups = sorted(largest, key=lambda group: -largest[group])
    shown, rest = groups[:MOST_GROUPS], groups[MOST_GROUPS:]
    lines.append("of the difference")
    for group in shown:
        cells = [_points(one.get(group, 0.0)) for one in shares]
        name = f"  {group}"
        lines += [line(name, cells)] if len(name) < _GROUP else [wrapped(name, "    "), line("", cells)]
    if rest:
        cells = [_points(sum(one.get(group, 0.0) for group in rest)) for one in shares]
        lines.append(line(f"  {len(rest)} others", cells))
    lines += list(dict.fromkeys(text for split in splits for text in _odd_mixtures(split)))
    return [*lines, "", "nominal vehicles, no ranges; --full: each change alone, last, by holding share"]


def _table(split: Split) -> list[str]:
    ranged = any(math.isfinite(share.points_over_holding[0]) for share in split.shares)
    head = f"{'points by group':<42}{'share':>8}{'alone':>9}{'at last':>9}"
    lines = [head + ("  hold 0..1" if ranged else "")]
    felt = list(filter(_felt, split.shares))
    for share in felt:
        name = share.group
        while len(name) > 41:
            cut = name.rfind(" + ", 0, 39)
            head_part, name = (name[: cut + 2], "  " + name[cut + 3 :]) if cut > 0 else (name[:41], name[41:])
            lines.append(head_part)
        line = f"{name:<42}{_points(share.points):>8}{_points(share.alone):>9}{_points(share.at_last):>9}"
        if ranged:
            low, high = share.points_over_holding
            digits = 0 if max(abs(low), abs(high)) >= 9.5 else 1
            line += f"  {low:.{digits}f}..{high:.{digits}f}"
        lines.append(line)
    lines.append(f"{'sum':<42}{_points(sum(share.points for share in split.shares)):>8}")
    return lines


def _split_lines(split: Split, lengths: Lengths) -> list[str]:
    change = split.second - split.first
    lines = [
        f"bars {split.bars}: {split.first:.1f} -> {split.second:.1f}, {change:+.1f} points "
        f"(climb {lengths.number(split.climb[0])} -> {lengths.one(split.climb[1])})",
        wrapped(
            f"{_wheel(split.wheels[0])} lifts in the first, {_wheel(split.wheels[1])} in the second"
            if split.wheels[0] != split.wheels[1]
            else f"{_wheel(split.wheels[0])} lifts in both"
        ),
        "",
    ]
    if not split.shares:
        return [*lines, "The two do not differ in anything the model reads."]
    lines += _table(split)
    lines.append("")
    for share in filter(_felt, split.shares):
        lines.append(wrapped(f"{share.group}, {_points(share.points)}: {sentence(share, split, lengths)}"))
    silent = [
        f"{share.group} ({told})" if (told := _told(share, lengths)) else share.group
        for share in split.shares
        if not _felt(share)
    ]
    if silent:
        lines.append(wrapped("differ too, but are not felt: " + "; ".join(silent)))
    if split.events:
        lines.append(
            wrapped("from the first to the second: " + "; ".join(_event(event, lengths) for event in split.events))
        )
    return lines + _odd_mixtures(split)


def _odd_mixtures(split: Split) -> list[str]:
    return [
        wrapped(
            f"! {count} of {split.mixtures} mixtures ended otherwise than by a lift ({outcome.replace('_', ' ')}); "
            "they count with the climb they reached"
        )
        for outcome, count in split.no_lift.items()
    ]


def difference_table(difference: Difference, full: bool = True, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """The answer for people: the difference first, then its parts; in full also what each change does on its own."""
    degrees = math.degrees(difference.angle)
    change = difference.connected.second - difference.connected.first
    verb = "less than" if change < -_SMALL else "more than" if change > _SMALL else "the same as"
    lines = [wrapped(f"Why {difference.second} scores {verb} {difference.first}")]
    if not full:
        return join([*lines, "", *_short_lines(difference, lengths), "", THREE_WHEELS])
    lines.append(f"{difference.side} front wheel up a {degrees:g} degree ramp")
    for split in each_state(difference):
        lines += ["", *_split_lines(split, lengths)]
    if not difference.connected.shares:
        return "\n".join([*lines, "", THREE_WHEELS])
    lines += [
        "",
        wrapped(
            "share: exact Shapley value, the mean of what a group adds over every order in which the groups can be "
            f"changed; {difference.connected.mixtures} mixtures of the two vehicles climbed in full for each state of "
            "the bars, and the shares add up exactly. alone: changed first, on the first vehicle. at last: changed "
            "when all else is. The more these two differ, the more the group works together with others. Nominal "
            "values: what the files leave uncertain is not in these numbers.",
            "",
        ),
    ]
    if any(math.isfinite(s.points_over_holding[0]) for s in difference.connected.shares):
        lines.append(
            wrapped(
                "hold 0..1: the share's range while the ramp wheel holds none to all of the slope force, which "
                "nobody knows on the day.",
                "",
            )
        )
    return join([*lines, "", THREE_WHEELS])


def quantity_unit(quantity: str, couple: bool = False) -> str:
    """The SI unit of a quantity of the vehicle's arrays or of the test; `couple`: of a rate against opposite travel."""
    if quantity in _OTHER_UNITS:
        return _OTHER_UNITS[quantity]
    unit = si_unit(_KNOWN[quantity].unit) if quantity in _KNOWN else NO_UNIT
    return _OF_COUPLES[unit] if couple else unit


def _event_data(event: EventChange) -> EventChangeData:
    return {"what": event.what, "climb_before_m": finite(event.before), "climb_after_m": finite(event.after)}


def _share_data(share: Share, split: Split, lengths: Lengths) -> ShareData:
    return {
        "group": share.group,
        "points": share.points,
        "alone": share.alone,
        "at_last": share.at_last,
        "points_over_holding_share": limits_data(share.points_over_holding),
        "climb_change_alone_m": share.climb_alone,
        "lifting_wheels_alone": [wheel_key(wheel) for wheel in share.wheels],
        "changes": [
            {
                "quantity": change.quantity,
                "axle": AXLES[change.column]
                if change.quantity in _KNOWN and _KNOWN[change.quantity].columns == 2
                else None,
                "unit": quantity_unit(change.quantity, all(change.couples)),
                "before": finite(change.before),
                "after": finite(change.after),
                "bar_as_couple": list(change.couples),
            }
            for change in share.changes
        ],
        "events": [_event_data(event) for event in share.events],
        "sentence": sentence(share, split, lengths),
    }


def _split_data(split: Split, lengths: Lengths) -> SplitData:
    return {
        "bars": split.bars,
        "scores": [split.first, split.second],
        "climb_m": list(split.climb),
        "lifting_wheels": [wheel_key(wheel) for wheel in split.wheels],
        "difference": split.second - split.first,
        "remainder": split.remainder,
        "mixtures": split.mixtures,
        "mixtures_without_lift": dict(split.no_lift),
        "shares": [_share_data(share, split, lengths) for share in split.shares],
        "events": [_event_data(event) for event in split.events],
    }


def difference_data(difference: Difference, lengths: Lengths = MILLIMETRES_FIRST) -> DifferenceData:
    """The split as plain data with SI keys, for JSON; sentences in the lengths asked for."""
    return {
        "schema_version": SCHEMA_VERSION,
        "first": difference.first,
        "second": difference.second,
        "side": difference.side,
        "ramp_angle_rad": difference.angle,
        "connected": _split_data(difference.connected, lengths),
        "released": _split_data(difference.released, lengths) if difference.released else None,
    }


def difference_rows(
    difference: Difference, lengths: Lengths = MILLIMETRES_FIRST
) -> Sequence[Mapping[str, str | float]]:
    """One row a group and state of the bars, for CSV."""
    return [
        {
            "bars": split.bars,
            "group": share.group,
            "points": share.points,
            "alone": share.alone,
            "at_last": share.at_last,
            "climb_change_alone_m": share.climb_alone,
            "sentence": sentence(share, split, lengths),
        }
        for split in each_state(difference)
        for share in split.shares
    ]
