"""The clearance report as text for an 80-column terminal and as JSON data."""

from __future__ import annotations

import math
from typing import Any

from articulate.output.layout import SCHEMA_VERSION, finite, row, wrapped
from articulate.output.text.tyre import interval_data, ranged
from articulate.output.units import inches_and_mm
from articulate.safety import CAUTION
from articulate.studies.design.bodywork import AxleClearance, ClearanceReport, PointClearance, StaticAngles
from articulate.studies.design.tyre_change import fitted_size, tyre_tables
from articulate.studies.population.intervals import Interval


def tyre_words(report: ClearanceReport) -> str:
    """The tyres in the words of the file."""
    said = []
    for table in tyre_tables(report.spec):
        size = fitted_size(report.spec, table)
        diameter = report.spec.inputs.get(f"{table}.diameter")
        if size is not None or diameter is not None:
            said.append(size.code if size else f"{diameter.value * 1e3:.0f} mm" if diameter else "")
    pressures = [report.spec.inputs.get(f"{table}.pressure") for table in tyre_tables(report.spec)]
    shown = {f"{pressure.value / 1e3:.0f} kPa" for pressure in pressures if pressure is not None}
    return " and ".join(said) + (f" at {shown.pop()}" if len(shown) == 1 else "")


def clearance_table(report: ClearanceReport) -> str:
    """What touches what, for people: answer first."""
    lines = [
        report.spec.name,
        f"tyres {tyre_words(report)}, {report.side} front wheel up a {math.degrees(report.ramp_angle):g} degree ramp",
        "",
        *(wrapped(text) for text in answers(report)),
    ]
    for axle in report.axles:
        lines += ["", *_axle_lines(axle)]
    lines += ["", *_angle_lines(report.angles)]
    lines += ["", *_body_lines(report)]
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


def answers(report: ClearanceReport) -> list[str]:
    """The findings in sentences."""
    said = []
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
                f"{axle.axle}: spacers of {ranged(axle.spacer, 1e-3)} mm keep the tyre clear; usable bump gap "
                f"{ranged(axle.usable_bump_gap, 1e-3)} mm"
            )
            continue
        if ramp.value > 0.0:
            share = f", in {axle.rub_on_ramp_share * 100.0:.0f} % of the possible vehicles"
            where = f"{axle.touches_first}{share}"
            ahead = "" if axle.axle == "rear" else ", wheels straight,"
            said.append(f"! {axle.axle}: rubs on the ramp{ahead} by {ranged(ramp, 1e-3)} mm at {where}")
        if trail.value > 0.0:
            posture = "full bump" if axle.axle == "rear" else "full bump and full lock"
            said.append(
                f"! {axle.axle}: would rub on the trail, at {posture}, by {ranged(trail, 1e-3)} mm at "
                f"{axle.touches_first_at_lock}"
            )
        if axle.spacer.value > 0.0 and axle.clear_bump_gap.value <= 0.0:
            said.append(
                f"! {axle.axle}: no spacer keeps {axle.clearance_kept * 1e3:.0f} mm clear; the stops would have to be "
                f"pressed by {-axle.clear_bump_gap.value * 1e3:.0f} mm at ride height already"
            )
        elif axle.spacer.value > 0.0:
            said.append(
                f"{axle.axle}: the stops need {ranged(axle.spacer, 1e-3)} mm of spacer to keep "
                f"{axle.clearance_kept * 1e3:.0f} mm clear; that leaves a bump gap of "
                f"{ranged(axle.clear_bump_gap, 1e-3)} mm"
            )
        elif ramp.value <= 0.0 and trail.value <= 0.0:
            said.append(f"{axle.axle}: nothing rubs, and the stops need no spacer")
    for axle in report.axles:
        said += [
            f"! {axle.axle}: on its way into droop the tyre overlaps {point.name} by {-point.nearest * 1e3:.0f} mm"
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


def _gap(found: Interval) -> str:
    """A gap in mm, or that it is never closed."""
    if not math.isfinite(found.value):
        return "not met"
    if math.isfinite(found.low) and not math.isfinite(found.high):
        return f"{found.value * 1e3:.0f} (from {found.low * 1e3:.0f})"
    return ranged(found, 1e-3)


def _gap_mm(found: Interval) -> str:
    return f"{_gap(found)} mm" if math.isfinite(found.value) else "not met"


def _turned(steer: list[float]) -> str:
    """How the wheel stands where it touches first over the lock."""
    if not steer or not math.isfinite(steer[0]):
        return "over the lock"
    return f"turned {'out' if steer[0] > 0.0 else 'in'} {abs(math.degrees(steer[0])):.0f} deg"


def _axle_lines(axle: AxleClearance) -> list[str]:
    lines = [f"{axle.axle} wheelhouse"]
    if axle.spaced and axle.spacer.value > 0.0:
        lines.append("  full bump, ramp travel and nearest: on the stops as they are without spacers")
    second = "both wheels up" if axle.solid else "over the lock"
    if axle.points:
        first = "one wheel up" if axle.solid else "straight ahead"
        lines.append(f"  {'hub travel until met, mm':<29}{first:<18}{second:<18}nearest, mm")
        for point in axle.points:
            other = point.together if axle.solid else point.over_lock
            gaps = f"{_gap(point.straight):<18}{_gap(other):<18}"
            lines.append(f"    {point.name[:26]:<27}{gaps}{point.nearest * 1e3:.0f}")
    if axle.described:
        posture = "one wheel up" if axle.solid else "straight ahead"
        lines.append(_row(f"arch gap, {posture}", _gap_mm(axle.arch_gap)))
        if axle.arch_gap_at_full_lock.value < axle.arch_gap.value:
            turned = [point.lock_steer for point in axle.points if point.name == axle.touches_first_at_lock]
            lines.append(_row(f"arch gap, {_turned(turned)}", _gap_mm(axle.arch_gap_at_full_lock)))
    lines.append(_row("bump gap of the stops", f"{ranged(axle.stop_gap, 1e-3)} mm"))
    crossed = ", axle crossed" if axle.solid else ""
    lines.append(_row(f"hub travel at full bump{crossed}", f"{ranged(axle.full_bump_travel, 1e-3)} mm"))
    for bars, travel in axle.ramp_travel.items():
        shown = f"{travel * 1e3:.0f} mm" if math.isfinite(travel) else "-"
        lines.append(_row(f"most hub travel on the ramp, bars {bars}", shown))
    if axle.described:
        kept = f"{axle.clearance_kept * 1e3:.0f} mm"
        clear = f"{_gap(axle.clear_bump_gap)} mm" if math.isfinite(axle.clear_bump_gap.value) else "any"
        lines.append(_row(f"bump gap that keeps {kept} clear", clear))
        usable = f"{ranged(axle.usable_bump_gap, 1e-3)} mm" if axle.usable_bump_gap.value > 0.0 else "none"
        lines.append(_row("usable bump gap", usable))
        lines.append(_row("decided by", axle.limit))
    return lines


def _angle_lines(angles: StaticAngles) -> list[str]:
    def line(label: str, found: Interval, size: float, form: str, unit: str, point: str) -> str:
        if not math.isfinite(found.value):
            return _row(label, "no point given")
        return f"  {label:<20}{ranged(found, size, form) + ' ' + unit:<26}{point}".rstrip()

    degree = math.pi / 180.0
    return [
        "static angles and what decides them",
        line("approach angle", angles.approach, degree, ".1f", "deg", angles.approach_point),
        line("breakover angle", angles.breakover, degree, ".1f", "deg", angles.breakover_point),
        line("departure angle", angles.departure, degree, ".1f", "deg", angles.departure_point),
        line("running clearance", angles.running_clearance, 1e-3, ".0f", "mm", angles.lowest_point),
        line("loaded radius front", angles.loaded_radius[0], 1e-3, ".0f", "mm", ""),
        line("loaded radius rear", angles.loaded_radius[1], 1e-3, ".0f", "mm", ""),
    ]


def _body_lines(report: ClearanceReport) -> list[str]:
    width = f"{report.ramp_width * 1e3:.0f} mm"
    if not report.body:
        return ["bodywork along the climb: the file names no [[body_point]]"]
    lines = [
        f"bodywork along the climb, ramp {width} wide",
        f"  {'least clearance':<24}{'at a climb of':<24}first contact",
    ]
    shown = ""
    for point in report.body:
        if point.name != shown:
            lines.append(f"  {point.name[:70]}{'' if point.in_lane else ' +'}")
            shown = point.name
        at = inches_and_mm(point.least_at)
        contact = inches_and_mm(point.first_contact) if math.isfinite(point.first_contact) else "none"
        lines.append(f"    {point.bars:<11}{point.least * 1e3:>5.0f} mm{'':<6}{at:<24}{contact}")
    if any(not point.in_lane for point in report.body):
        lines.append("  + beside the ramp's lane: measured to the flat, and never over the ramp")
    return lines


def clearance_data(report: ClearanceReport) -> dict[str, Any]:
    """The clearance report as plain data with SI keys; a gap that is never met is null."""
    angles = report.angles
    return {
        "schema_version": SCHEMA_VERSION,
        "vehicle": report.spec.name,
        "file": report.spec.path,
        "file_sha256": report.spec.text_hash,
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


def _axle_data(axle: AxleClearance) -> dict[str, Any]:
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


def _point_data(point: PointClearance) -> dict[str, Any]:
    return {
        "name": point.name,
        "bars": point.bars,
        "in_ramp_lane": point.in_lane,
        "least_clearance_m": point.least,
        "least_at_climb_m": point.least_at,
        "first_contact_m": finite(point.first_contact),
    }
