"""Readings against what they were taken of: a mark against wheelbase, tyre and ramp, one climb against the next.

A reading that no vehicle reaches is refused where the sheet is read. Here is asked about what a vehicle could reach
and hardly did, with what was probably meant; nothing is refused.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from articulate.measure.conversions import Radii, ReadingKind, climb_of
from articulate.measure.run_sheet import RunEntry, RunSheet
from articulate.spec.plausibility import MEMORY, PRACTICE, Doubt
from articulate.spec.quantities import LENGTH, Estimate, shown, unit_size
from articulate.spec.source_lines import Path
from articulate.types import lateral_sign, mirrored, other_side

DEGREE = math.pi / 180.0
USUAL_SCORE = (180.0, 1150.0)
SCORES = "published stock vehicles 257 to 594, seen; modified solid axles pass 1000, not checked against a source"
APART = 0.04  # of a climb, between climbs made anew of one run
SIDES_APART = 0.2  # of a score, between left and right
UNITS = ("in", "mm", "cm", "m")

_SHEET_LIMITS: tuple[tuple[str, Path, float, float, str, float], ...] = (
    ("wheelbase", ("wheelbase",), 1.9, 4.4, "mm", 1e-3),
    ("ramp_angle", ("ramp", "angle"), 10.0 * DEGREE, 31.0 * DEGREE, "deg", DEGREE),
    ("radius_on_flat", ("wheel", "radius_on_flat"), 0.26, 0.56, "mm", 1e-3),
    ("radius_on_ramp", ("wheel", "radius_on_ramp"), 0.22, 0.56, "mm", 1e-3),
    ("touch_load", ("method", "touch_load"), 0.0, 150.0, "N", 1.0),
    ("roll_back", ("method", "roll_back"), -0.03, 0.03, "mm", 1e-3),
    ("marking", ("method", "marking"), 0.0, 0.012, "mm", 1e-3),
    ("repeatability", ("method", "repeatability"), 0.0, 0.02, "mm", 1e-3),
    ("resolution", ("tape", "resolution"), 0.0, 0.011, "mm", 1e-3),
)


def reading_doubts(sheet: RunSheet, radius: float | None = None) -> tuple[Doubt, ...]:
    """What of a run sheet should be asked about, in the order of the sheet; nothing for a usual one.

    Args:
        sheet: the sheet.
        radius: hub over the floor as a vehicle file has it [m]; None where there is none.
    """
    found = [*_of_sheet(sheet, radius)]
    for index, entry in enumerate(sheet.runs):
        found += _of_run(sheet, index, entry)
    return tuple(found + list(_between_runs(sheet)))


def _asked(
    sheet: RunSheet, path: Path, read: str, what: str, value: str, usual: str, known: str = PRACTICE, meant: str = ""
) -> Doubt:
    place, line = sheet.document.place(path)
    key = ".".join(f"[{part + 1}]" if isinstance(part, int) else part for part in path).replace(".[", "[")
    return Doubt(place, line, "" if place.startswith("--") else key, read, what, value, usual, known, meant)


def _of_sheet(sheet: RunSheet, radius: float | None) -> Iterator[Doubt]:
    """What the sheet says once."""
    for name, path, low, high, unit, size in _SHEET_LIMITS:
        estimate: Estimate | None = getattr(sheet, name)
        if estimate is None or (estimate.source == "assumed" and sheet.document.at(path) is None):
            continue
        if not low - 1e-9 <= estimate.value <= high + 1e-9:
            usual = f"{low / size:.4g} to {shown(high, unit, size, 4)}"
            yield _asked(sheet, path, estimate.text, "it is", shown(estimate.value, unit, size, 4), usual)
    flat = sheet.radius_on_flat
    if flat is not None and radius is not None and abs(flat.value / radius - 1.0) > 0.06:
        yield _asked(
            sheet, ("wheel", "radius_on_flat"), flat.text, "over that of the vehicle file it is",
            f"{flat.value / radius:.3g}", "0.94 to 1.06",
        )  # fmt: skip


def _of_run(sheet: RunSheet, index: int, entry: RunEntry) -> Iterator[Doubt]:
    """What a run says: its readings, which wheel lifted, angles, loads, travels."""
    where: Path = ("run", index, entry.kind.value)
    climbs = [_climb(sheet, entry.kind, reading.value) for reading in entry.readings]
    asked = False
    for reading, climb in zip(entry.readings, climbs, strict=True):
        score = 1000.0 * climb / sheet.wheelbase.value
        if not math.isnan(score) and not USUAL_SCORE[0] <= score <= USUAL_SCORE[1]:
            asked = True
            usual = f"{USUAL_SCORE[0]:.0f} to {USUAL_SCORE[1]:.0f}"
            meant = _meant(sheet, entry.kind, reading)
            yield _asked(sheet, where, reading.text, "it makes a score of", f"{score:.0f}", usual, SCORES, meant)
    middle = sorted(climbs)[len(climbs) // 2]
    if not asked and not math.isnan(middle):
        for reading, climb in zip(entry.readings, climbs, strict=True):
            if abs(climb / middle - 1.0) > APART:
                yield _asked(
                    sheet, where, reading.text, "it differs from the others of this run by",
                    f"{100.0 * (climb / middle - 1.0):+.1f} %", f"within {100.0 * APART:.0f} %",
                )  # fmt: skip
    other = other_side(entry.side)
    if entry.lifted == f"rear {other}":
        yield _asked(
            sheet, ("run", index, "lifted"), f'"{entry.lifted}"', f"with the {entry.side} front wheel up lifts",
            f"the {entry.lifted} wheel", f"the rear {entry.side} or the front {other}", "statics of three wheels",
        )  # fmt: skip
    yield from _observations(sheet, index, entry)


def _observations(sheet: RunSheet, index: int, entry: RunEntry) -> Iterator[Doubt]:
    sign = lateral_sign(entry.side)
    limits = (("roll_angle", entry.roll_angle, sign, 1.0, 32.0), ("pitch_angle", entry.pitch_angle, -1.0, 0.5, 16.0))
    for name, angle, way, low, high in limits:
        if angle is not None and not low <= way * angle.value / DEGREE <= high:
            usual = sorted((way * low, way * high))
            turned = f"perhaps {shown(-angle.value, 'deg', DEGREE, 4)}"
            meant = turned if low <= -way * angle.value / DEGREE <= high else ""
            yield _asked(
                sheet, ("run", index, name), angle.text, f"with the {entry.side} front wheel up it is",
                shown(angle.value, "deg", DEGREE, 4), f"{usual[0]:g} to {usual[1]:g} deg", PRACTICE, meant,
            )  # fmt: skip
    for table, values, low, high, unit, size in (
        ("wheel_load", entry.wheel_load, 0.0, 22e3, "N", 1.0),
        ("hub_travel", entry.hub_travel, 0.0, 0.4, "mm", 1e-3),
        ("arch_gap", entry.arch_gap, 0.0, 0.45, "mm", 1e-3),
    ):
        for wheel, estimate in values.items():
            value = abs(estimate.value) if table == "hub_travel" else estimate.value
            if not low <= value <= high:
                path: Path = ("run", index, table, wheel.replace(" ", "_"))
                told = shown(estimate.value, unit, size, 4)
                yield _asked(sheet, path, estimate.text, "it is", told, f"up to {shown(high, unit, size, 4)}", MEMORY)


def _between_runs(sheet: RunSheet) -> Iterator[Doubt]:
    """Runs against each other: a released bar climbs further, and both sides about as far."""
    mean: dict[tuple[str, str], float] = {}
    place: dict[tuple[str, str], tuple[int, RunEntry]] = {}
    for index, entry in enumerate(sheet.runs):
        climbs = [_climb(sheet, entry.kind, reading.value) for reading in entry.readings]
        mean.setdefault(entry.case, sum(climbs) / len(climbs))
        place.setdefault(entry.case, (index, entry))
    for (side, bars), climb in mean.items():
        index, entry = place[side, bars]
        path: Path = ("run", index, entry.kind.value)
        read = entry.readings[0].text
        bound = mean.get((side, "connected"), math.nan)
        if bars == "released" and not 0.95 <= climb / bound <= 1.9 and not math.isnan(climb / bound):
            yield _asked(
                sheet, path, read, "over the climb with the bars connected it is", f"{climb / bound:.3g}",
                "0.95 to 1.9", PRACTICE, "perhaps the two are exchanged" if climb < bound else "",
            )  # fmt: skip
        across = mean.get(("left", bars), math.nan)
        if mirrored(side) and not abs(climb / across - 1.0) <= SIDES_APART and not math.isnan(climb / across):
            low, high = 1.0 - SIDES_APART, 1.0 + SIDES_APART
            yield _asked(
                sheet, path, read, "over the climb on the left it is", f"{climb / across:.3g}", f"{low:g} to {high:g}"
            )


def _climb(sheet: RunSheet, kind: ReadingKind, value: float) -> float:
    """Climb [m] that a reading makes with what the sheet knows; NaN where a radius is missing."""
    flat = sheet.radius_on_flat.value if sheet.radius_on_flat is not None else None
    on_ramp = sheet.radius_on_ramp.value if sheet.radius_on_ramp is not None else None
    if on_ramp is None and flat is not None:
        on_ramp = flat - sheet.radius_loss.value
    radii = Radii(flat, on_ramp)
    return float(climb_of(kind, value, sheet.ramp_angle.value, radii)) if radii.suffice(kind) else math.nan


def _meant(sheet: RunSheet, kind: ReadingKind, reading: Estimate) -> str:
    """Another unit, another way of reading or another place of the point that makes a usual score; empty if none."""
    number = reading.value / reading.unit_size

    def usual(other: ReadingKind, value: float) -> bool:
        score = 1000.0 * _climb(sheet, other, value) / sheet.wheelbase.value
        return USUAL_SCORE[0] <= score <= USUAL_SCORE[1]

    for unit in UNITS:
        if unit != reading.unit and usual(kind, number * unit_size(unit, LENGTH)):
            return f"perhaps {number:.6g} {unit}"
    for other in (ReadingKind.SLOPE_DISTANCE, ReadingKind.MARK_HEIGHT, ReadingKind.HUB_HEIGHT):
        if other is not kind and usual(other, reading.value):
            return f"perhaps it is the {other.words}"
    for factor in (10.0, 0.1):
        if usual(kind, factor * reading.value):
            return f"perhaps {number * factor:.6g} {reading.unit}"
    return ""
