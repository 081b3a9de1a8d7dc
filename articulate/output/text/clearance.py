"""The clearance report as text for an 80-column terminal and as JSON data."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from articulate.output.layout import finite, row, wrapped
from articulate.output.plain_data import file_data, same_names
from articulate.output.text.tyre import ranged
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.output.wheels_and_ranges import interval_data
from articulate.safety import CAUTION
from articulate.studies.design.bodywork import AxleClearance, ClearanceReport, PointClearance, StaticAngles
from articulate.studies.design.tyre_change import fitted_size, tyre_tables
from articulate.studies.population.intervals import Interval

if TYPE_CHECKING:
    from articulate.output.command_data import AxleClearanceData, BodyPointData, ClearanceData

GAP = 20  # columns of a gap with its range


def tyre_words(report: ClearanceReport, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """The tyres in the words of the file."""
    said = []
    for table in tyre_tables(report.spec):
        size = fitted_size(report.spec, table)
        diameter = report.spec.inputs.get(f"{table}.diameter")
        if size is not None or diameter is not None:
            said.append(size.code if size else lengths.one(diameter.value) if diameter else "")
    pressures = [report.spec.inputs.get(f"{table}.pressure") for table in tyre_tables(report.spec)]
    shown = {f"{pressure.value / 1e3:.0f} kPa" for pressure in pressures if pressure is not None}
    return " and ".join(said) + (f" at {shown.pop()}" if len(shown) == 1 else "")


def clearance_table(report: ClearanceReport, full: bool = True, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """What touches what, for people: answer first; in full every point of bodywork, and how it is counted."""
    tyres = tyre_words(report, lengths)
    lines = [
        report.spec.name,
        f"tyres {tyres}, {report.side} front wheel up a {math.degrees(report.ramp_angle):g} degree ramp",
        "",
        *(wrapped(text) for text in answers(report, lengths)),
    ]
    if not full:
        return "\n".join([*lines, "", *_summary(report, lengths), "", wrapped(CAUTION, "")])
    for axle in report.axles:
        lines += ["", *_axle_lines(axle, lengths)]
    lines += ["", *_angle_lines(report.angles, lengths)]
    lines += ["", *_body_lines(report, lengths)]
    lines += [
        "",
        wrapped(
            f"Value (90 % range of {report.points} possible vehicles). Gaps are hub travel from ride height. Nearest: "
            "least distance from the tyre between full droop and full bump, over the lock, negative where they would "
            "overlap. Full bump: the stop pressed with the static load of its spring. Angles by 49 CFR 523.2, level "
            "and unloaded.",
            "",
        ),
    ]
    if report.lost:
        lines.append(wrapped(f"! {report.lost} climbs of possible vehicles had no end and count in no range"))
    lines += [wrapped(f"note: {remark}") for remark in report.spec.remarks]
    return "\n".join([*lines, "", wrapped(CAUTION, "")])


def _summary(report: ClearanceReport, lengths: Lengths) -> list[str]:
    """Both axles in a few rows, and the angles."""
    axles = report.axles

    def gaps(label: str, cells: list[str]) -> str:
        return row(f"  {label}", cells, 28)

    angles = report.angles
    at = [("approach", angles.approach), ("breakover", angles.breakover), ("departure", angles.departure)]
    known = [f"{name} {ranged(one, math.radians(1.0), '.1f')}" for name, one in at if math.isfinite(one.value)]
    under = angles.running_clearance
    most = [[travel for travel in axle.ramp_travel.values() if math.isfinite(travel)] for axle in axles]
    lines = [
        row(f"hub travel, {lengths.first} (90 % range)", [axle.axle for axle in axles], 28),
        gaps("until the tyre touches", [_first_touch(axle, lengths) for axle in axles]),
        gaps("at full bump", [_gap(axle.full_bump_travel, lengths) for axle in axles]),
        gaps("most on the ramp", [lengths.number(max(one)) if one else "-" for one in most]),
        gaps("usable bump gap, at stop", [_usable(axle, lengths).rpartition(" ")[0] or "none" for axle in axles]),
    ]
    if known:
        lines.append(wrapped(f"angles, deg: {', '.join(known)}"))
    if math.isfinite(under.value):
        lines.append(wrapped(f"running clearance {_with_unit(under, lengths)}, {angles.lowest_point}"))
    if not report.body:
        lines.append(wrapped("the file names no [[body_point]]: angles and what is under the body are not known"))
    if report.lost:
        lines.append(wrapped(f"! {report.lost} climbs of possible vehicles had no end and count in no range"))
    return [*lines, "--full: every point of wheelhouse and body, both bar states, how it is counted"]


def _first_touch(axle: AxleClearance, lengths: Lengths) -> str:
    """Least hub travel until the tyre touches, whatever the lock."""
    if not axle.described:
        return "not known"
    ahead, locked = axle.arch_gap, axle.arch_gap_at_full_lock
    return _gap(locked if locked.value < ahead.value else ahead, lengths)


def answers(report: ClearanceReport, lengths: Lengths = MILLIMETRES_FIRST) -> list[str]:
    """The findings in sentences."""
    said = []

    def about(found: Interval) -> str:
        return f"{lengths.ranged(found)} {lengths.first}"

    for axle in report.axles:
        if not axle.described:
            said.append(f"{axle.axle}: the file says nothing of the arches; whether the tyre rubs is not known")
            continue
        ramp, trail = axle.rub_on_ramp, axle.rub_on_trail
        if axle.arch_gap_at_full_lock.value <= 0.0:
            said.append(f"! {axle.axle}: the tyre does not fit; at ride height it touches {axle.touches_first_at_lock}")
            continue
        if not axle.lock_described:
            said.append(f"{axle.axle}: the file says nothing of full lock; whether the tyre rubs there is not known")
        if axle.spaced and axle.spacer.value > 0.0 and axle.clear_bump_gap.value > 0.0:
            said.append(
                f"{axle.axle}: spacers of {about(axle.spacer)} keep the tyre clear; usable bump gap "
                f"{about(axle.usable_bump_gap)}"
            )
            continue
        if ramp.value > 0.0:
            share = f", in {axle.rub_on_ramp_share * 100.0:.0f} % of the possible vehicles"
            where = f"{axle.touches_first}{share}"
            ahead = "" if axle.axle == "rear" else ", wheels straight,"
            said.append(f"! {axle.axle}: rubs on the ramp{ahead} by {about(ramp)} at {where}")
        if trail.value > 0.0:
            posture = "full bump" if axle.axle == "rear" else "full bump and full lock"
            said.append(
                f"! {axle.axle}: would rub on the trail, at {posture}, by {about(trail)} at "
                f"{axle.touches_first_at_lock}"
            )
        if axle.spacer.value > 0.0 and axle.clear_bump_gap.value <= 0.0:
            said.append(
                f"! {axle.axle}: no spacer keeps {lengths.one(axle.clearance_kept)} clear; the stops would have to be "
                f"pressed by {lengths.one(-axle.clear_bump_gap.value)} at ride height already"
            )
        elif axle.spacer.value > 0.0:
            said.append(
                f"{axle.axle}: the stops need {about(axle.spacer)} of spacer to keep "
                f"{lengths.one(axle.clearance_kept)} clear; that leaves a bump gap of "
                f"{about(axle.clear_bump_gap)}"
            )
        elif ramp.value <= 0.0 and trail.value <= 0.0:
            said.append(f"{axle.axle}: nothing rubs, and the stops need no spacer")
    for axle in report.axles:
        said += [
            f"! {axle.axle}: on its way into droop the tyre overlaps {point.name} by {lengths.one(-point.nearest)}"
            for point in axle.points
            if point.nearest < 0.0 and point.nearest_travel < 0.0
        ]
    touching = {point.name for point in report.body if math.isfinite(point.first_contact)}
    said += [f"! {name} touches during the climb" for name in sorted(touching)]
    if report.body and not touching:
        said.append("bodywork: no named point touches ramp or ground during the climb")
    return said


def _row(label: str, value: str) -> str:
    return row(f"  {label}", [value], 46)


def _gap(found: Interval, lengths: Lengths) -> str:
    """A gap without its unit, or that it is never closed."""
    if not math.isfinite(found.value):
        return "not met"
    if math.isfinite(found.low) and not math.isfinite(found.high):
        return f"{lengths.number(found.value)} (from {lengths.number(found.low)})"
    return lengths.ranged(found)


def _with_unit(found: Interval, lengths: Lengths, never: str = "not met") -> str:
    return f"{_gap(found, lengths)} {lengths.first}" if math.isfinite(found.value) else never


def _turned(steer: list[float]) -> str:
    """How the wheel stands where it touches first over the lock."""
    if not steer or not math.isfinite(steer[0]):
        return "over the lock"
    return f"turned {'out' if steer[0] > 0.0 else 'in'} {abs(math.degrees(steer[0])):.0f} deg"


def _axle_lines(axle: AxleClearance, lengths: Lengths) -> list[str]:
    unit = lengths.first
    lines = [f"{axle.axle} wheelhouse"]
    if axle.spaced and axle.spacer.value > 0.0:
        lines.append("  full bump, ramp travel and nearest: on the stops as they are without spacers")
    second = "both wheels up" if axle.solid else "over the lock"
    if axle.points:
        first = "one wheel up" if axle.solid else "straight ahead"
        lines.append(f"  {f'hub travel until met, {unit}':<27}{first:<{GAP}}{second:<{GAP}}nearest, {unit}")
        for point in axle.points:
            other = point.together if axle.solid else point.over_lock
            gaps = f"{_gap(point.straight, lengths):<{GAP}}{_gap(other, lengths):<{GAP}}"
            lines.append(f"    {point.name[:24]:<25}{gaps}{lengths.number(point.nearest)}")
    if axle.described:
        posture = "one wheel up" if axle.solid else "straight ahead"
        lines.append(_row(f"arch gap, {posture}", _with_unit(axle.arch_gap, lengths)))
        if axle.arch_gap_at_full_lock.value < axle.arch_gap.value:
            turned = [point.lock_steer for point in axle.points if point.name == axle.touches_first_at_lock]
            lines.append(_row(f"arch gap, {_turned(turned)}", _with_unit(axle.arch_gap_at_full_lock, lengths)))
    lines.append(_row("bump gap of the stops", _with_unit(axle.stop_gap, lengths)))
    crossed = ", axle crossed" if axle.solid else ""
    lines.append(_row(f"hub travel at full bump{crossed}", _with_unit(axle.full_bump_travel, lengths)))
    for bars, travel in axle.ramp_travel.items():
        lines.append(_row(f"most hub travel on the ramp, bars {bars}", lengths.one(travel)))
    if axle.described:
        kept = lengths.one(axle.clearance_kept)
        lines.append(_row(f"bump gap that keeps {kept} clear", _with_unit(axle.clear_bump_gap, lengths, "any")))
        lines.append(_row("usable bump gap", _usable(axle, lengths)))
        lines.append(_row("decided by", axle.limit))
    return lines


def _usable(axle: AxleClearance, lengths: Lengths) -> str:
    return _with_unit(axle.usable_bump_gap, lengths) if axle.usable_bump_gap.value > 0.0 else "none"


def _angle_lines(angles: StaticAngles, lengths: Lengths) -> list[str]:
    def line(label: str, found: Interval, text: str, point: str = "") -> str:
        if not math.isfinite(found.value):
            return _row(label, "no point given")
        return f"  {label:<20}{text:<26}{point}".rstrip()

    def angle(label: str, found: Interval, point: str) -> str:
        return line(label, found, f"{ranged(found, math.radians(1.0), '.1f')} deg", point)

    def length(label: str, found: Interval, point: str = "") -> str:
        return line(label, found, _with_unit(found, lengths), point)

    return [
        "static angles and what decides them",
        angle("approach angle", angles.approach, angles.approach_point),
        angle("breakover angle", angles.breakover, angles.breakover_point),
        angle("departure angle", angles.departure, angles.departure_point),
        length("running clearance", angles.running_clearance, angles.lowest_point),
        length("loaded radius front", angles.loaded_radius[0]),
        length("loaded radius rear", angles.loaded_radius[1]),
    ]


def _body_lines(report: ClearanceReport, lengths: Lengths) -> list[str]:
    width = lengths.one(report.ramp_width)
    if not report.body:
        return ["bodywork along the climb: the file names no [[body_point]]"]
    lines = [
        f"bodywork along the climb, ramp {width} wide",
        f"  {'least clearance':<24}{'at a climb of':<24}first contact",
    ]
    shown = ""
    for point in report.body:
        if point.name != shown:
            lines.append(f"  {point.name[:70]}{'' if point.in_ramp_lane else ' +'}")
            shown = point.name
        at = lengths.both(point.least_at_climb)
        contact = lengths.both(point.first_contact) if math.isfinite(point.first_contact) else "none"
        lines.append(f"    {point.bars:<11}{lengths.one(point.least_clearance):>8}{'':<6}{at:<24}{contact}")
    if any(not point.in_ramp_lane for point in report.body):
        lines.append("  + beside the ramp's lane: measured to the flat, and never over the ramp")
    return lines


def clearance_data(report: ClearanceReport) -> ClearanceData:
    """The clearance report as plain data with SI keys; a gap that is never met is null."""
    angles = report.angles
    return {
        **file_data(report.spec),
        "tyres": tyre_words(report),
        "side": report.side,
        "ramp_angle_rad": report.ramp_angle,
        "ramp_width_m": report.ramp_width,
        "vehicles_in_sample": report.points,
        "climbs_lost": report.lost,
        "findings": answers(report),
        "axles": {axle.axle: _axle_data(axle) for axle in report.axles},
        "static_angles": {
            "approach_rad": {**interval_data(angles.approach), "point": angles.approach_point},
            "breakover_rad": {**interval_data(angles.breakover), "point": angles.breakover_point},
            "departure_rad": {**interval_data(angles.departure), "point": angles.departure_point},
            "running_clearance_m": {**interval_data(angles.running_clearance), "point": angles.lowest_point},
            "loaded_radius_front_m": interval_data(angles.loaded_radius[0]),
            "loaded_radius_rear_m": interval_data(angles.loaded_radius[1]),
        },
        "body_points": [_point_data(point) for point in report.body],
        "remarks": list(report.spec.remarks),
    }


def _axle_data(axle: AxleClearance) -> AxleClearanceData:
    return {
        "solid": axle.solid,
        "described": axle.described,
        "spaced": axle.spaced,
        "points": [
            {
                "name": point.name,
                "straight_m": interval_data(point.straight),
                "over_lock_m": interval_data(point.over_lock),
                "together_m": interval_data(point.together),
                "nearest_m": point.nearest,
                "nearest_at_travel_m": point.nearest_travel,
                "nearest_at_steer_rad": point.nearest_steer,
                "met_first_at_steer_rad": finite(point.lock_steer),
            }
            for point in axle.points
        ],
        "arch_gap_m": interval_data(axle.arch_gap),
        "arch_gap_at_full_lock_m": interval_data(axle.arch_gap_at_full_lock),
        "touches_first": axle.touches_first or None,
        "touches_first_at_lock": axle.touches_first_at_lock or None,
        "stop_gap_m": interval_data(axle.stop_gap),
        "stop_compression_m": interval_data(axle.stop_compression),
        "full_bump_travel_m": interval_data(axle.full_bump_travel),
        "clearance_kept_m": axle.clearance_kept,
        "clear_bump_gap_m": interval_data(axle.clear_bump_gap),
        "usable_bump_gap_m": interval_data(axle.usable_bump_gap),
        "limit": axle.limit,
        "spacer_m": interval_data(axle.spacer),
        "ramp_travel_m": {bars: finite(travel) for bars, travel in axle.ramp_travel.items()},
        "rub_on_ramp_m": interval_data(axle.rub_on_ramp),
        "rub_on_ramp_share": finite(axle.rub_on_ramp_share),
        "rub_on_trail_m": interval_data(axle.rub_on_trail),
    }


def _point_data(point: PointClearance) -> BodyPointData:
    found: BodyPointData = same_names(
        point, "name", "bars", "in_ramp_lane", "least_clearance_m", "least_at_climb_m", "first_contact_m"
    )
    return found


def hub_travels(report: ClearanceReport) -> list[tuple[str, str, Interval]]:
    """Axle, what is said, hub travel from ride height [m]: where the tyre touches, and what travel is used."""
    found = []
    for axle in report.axles:
        if axle.described:
            found.append((axle.axle, "touches, wheels straight", axle.arch_gap))
        if axle.described and axle.lock_described and axle.axle == "front":
            found.append((axle.axle, "touches, full lock", axle.arch_gap_at_full_lock))
        found.append((axle.axle, "full bump", axle.full_bump_travel))
        found += [
            (axle.axle, f"on the ramp, {bars}", Interval(travel, math.nan, math.nan))
            for bars, travel in axle.ramp_travel.items()
        ]
    return found


def clearance_rows(report: ClearanceReport) -> Sequence[Mapping[str, str | float]]:
    """One row a hub travel of each axle, then one a body point and state of the bars; NaN where none is known."""
    rows: list[Mapping[str, str | float]] = [
        {"where": axle, "what": what, "value_m": found.value, "low_m": found.low, "high_m": found.high}
        for axle, what, found in hub_travels(report)
    ]
    rows += [
        {
            "where": point.name,
            "what": f"least clearance, {point.bars}",
            "value_m": point.least_clearance,
            "low_m": math.nan,
            "high_m": math.nan,
        }
        for point in report.body
    ]
    return rows
