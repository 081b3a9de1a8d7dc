"""Readings against what they were taken of: a mark against wheelbase, tyre and ramp, one climb against the next.

A reading that no vehicle reaches is refused where the sheet is read. Here is asked about what a vehicle could reach
and hardly did, with what was probably meant; nothing is refused.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from statistics import median, median_high, median_low

from articulate.constants import DEGREE
from articulate.measure.conversions import Radii, ReadingKind, climb_of
from articulate.measure.run_sheet import RunEntry, RunSheet
from articulate.spec.plausibility import MEMORY, PRACTICE, Doubt
from articulate.spec.quantities import LENGTH, Estimate, shown, unit_size
from articulate.spec.source_lines import Path
from articulate.types import BAR_STATES, SIDES, lateral_sign, mirrored, other_side

USUAL_SCORE = (180.0, 1150.0)
SCORES = "published stock vehicles 257 to 594, seen; modified solid axles pass 1000, not checked against a source"
APART = 0.04  # of a climb, between climbs made anew of one run
SIDES_APART = 0.2  # of a score, between left and right
GAIN = (0.95, 1.9)  # climb with the bars released over that with them connected
NO_GAIN = 0.02  # of a climb: what releasing gains at most on a side whose bar is asked about
CLEAR_GAIN = 0.05  # and at least on the other side
ALIKE = 0.06  # of a climb, within which one side may be taken for the other where a slip is looked for
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
    read = []
    for index, entry in enumerate(sheet.runs):
        odd = list(_of_readings(sheet, index, entry))
        found += [*odd, *_of_run(sheet, index, entry)]
        if not odd:
            read.append(index)
    return tuple(found + list(_between_runs(sheet, read)))


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


def _of_readings(sheet: RunSheet, index: int, entry: RunEntry) -> Iterator[Doubt]:
    """The readings of a run that no vehicle makes, else those that its others do not bear out."""
    where: Path = ("run", index, entry.kind.value)
    climbs = _climbs(sheet, entry)
    likely = _other_side(sheet, index)
    odd = [not math.isnan(climb) and not _usual(sheet, climb) for climb in climbs]
    for number, climb in enumerate(climbs):
        if odd[number]:
            score = 1000.0 * climb / sheet.wheelbase.value
            usual = f"{USUAL_SCORE[0]:.0f} to {USUAL_SCORE[1]:.0f}"
            meant = _meant(sheet, index, number, likely, ALIKE) or _meant(sheet, index, number)
            yield _asked(
                sheet, where, _typed(sheet, index, number), "it makes a score of", f"{score:.0f}", usual, SCORES, meant
            )
    middle = _middle(climbs, _median(_others(sheet, index)) if math.isnan(likely) else likely)
    if any(odd) or math.isnan(middle):
        return
    for number, climb in enumerate(climbs):
        if abs(climb / middle - 1.0) > APART:
            yield _asked(
                sheet, where, _typed(sheet, index, number), "it differs from the others of this run by",
                f"{100.0 * (climb / middle - 1.0):+.1f} %", f"within {100.0 * APART:.0f} %", PRACTICE,
                _meant(sheet, index, number, middle, APART),
            )  # fmt: skip


def _of_run(sheet: RunSheet, index: int, entry: RunEntry) -> Iterator[Doubt]:
    """What else a run says: which wheel lifted, angles, loads, travels."""
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


def _between_runs(sheet: RunSheet, read: Sequence[int]) -> Iterator[Doubt]:
    """Runs against each other: a released bar climbs further, and both sides about as far.

    Asked about is the run that is further from all others, as nothing else says which of two is wrong; one whose
    readings are asked about already is left out.
    """
    first: dict[tuple[str, str], int] = {}
    for index in read:
        first.setdefault(sheet.runs[index].case, index)
    every = _median([climb for entry in sheet.runs for climb in _climbs(sheet, entry)])
    climbed = {index: _median(_climbs(sheet, sheet.runs[index])) for index in first.values()}
    asked: set[int] = set()

    def off(one: int, other: int) -> bool:
        """Whether one run is at least as far from all as the other is."""
        return abs(climbed[one] - every) >= abs(climbed[other] - every) - 1e-9

    for (side, bars), index in first.items():
        left = first.get(("left", bars), index)
        if mirrored(side) and left != index and not abs(climbed[index] / climbed[left] - 1.0) <= SIDES_APART:
            one, base = (index, left) if off(index, left) else (left, index)
            ratio = climbed[one] / climbed[base]
            if not math.isnan(ratio):
                asked.add(one)
                low, high = 1.0 - SIDES_APART, 1.0 + SIDES_APART
                yield _of_two(
                    sheet, one, f"over the climb on the {sheet.runs[base].side} it is", ratio, f"{low:g} to {high:g}",
                    _meant(sheet, one, 0, climbed[base], ALIKE),
                )  # fmt: skip
    if not asked:
        yield from _of_bars(sheet, first, climbed)
    for (side, bars), index in first.items():
        bound = first.get((side, "connected"), index)
        if bars == "released" and bound != index and not asked & {index, bound}:
            ratio = climbed[index] / climbed[bound]
            if not (math.isnan(ratio) or GAIN[0] <= ratio <= GAIN[1]):
                turned = "perhaps the two are exchanged" if ratio < 1.0 and 1.0 / ratio <= GAIN[1] else ""
                yield _of_two(
                    sheet, index, "over the climb with the bars connected it is", ratio, f"{GAIN[0]:g} to {GAIN[1]:g}",
                    turned,
                )  # fmt: skip


def _of_bars(sheet: RunSheet, first: Mapping[tuple[str, str], int], climbed: Mapping[int, float]) -> Iterator[Doubt]:
    """A run whose bars were hardly as written: releasing gains nothing on its side and much on the other.

    Connected or released, the run that is further from its like on the other side is asked about.
    """
    cases = [(side, bars) for side in SIDES for bars in BAR_STATES]
    if not all(case in first for case in cases):
        return
    climb = {case: climbed[first[case]] for case in cases}
    for side in SIDES:
        other = other_side(side)
        gain, usual = (climb[one, "released"] / climb[one, "connected"] - 1.0 for one in (side, other))
        if abs(gain) > NO_GAIN or usual < CLEAR_GAIN:
            continue
        apart = [abs(climb[side, bars] / climb[other, bars] - 1.0) for bars in BAR_STATES]
        bars, meant = ("connected", "released") if apart[0] > apart[1] else ("released", "still connected")
        index = first[side, bars]
        yield _asked(
            sheet, ("run", index, sheet.runs[index].kind.value), _typed(sheet, index, 0),
            f"releasing the bars changes the climb on the {side} by", f"{100.0 * gain:+.1f} %",
            f"{100.0 * usual:+.1f} % as on the {other}", PRACTICE, f"perhaps its bars were {meant}",
        )  # fmt: skip


def _of_two(sheet: RunSheet, index: int, what: str, ratio: float, usual: str, meant: str) -> Doubt:
    path: Path = ("run", index, sheet.runs[index].kind.value)
    return _asked(sheet, path, _typed(sheet, index, 0), what, f"{ratio:.3g}", usual, PRACTICE, meant)


def _typed(sheet: RunSheet, index: int, number: int) -> str:
    """A reading as it was typed, fractions and all."""
    entry = sheet.runs[index]
    value = sheet.document.at(("run", index, entry.kind.value))
    typed = value[number] if isinstance(value, list) and number < len(value) else value
    return typed if isinstance(typed, str) else entry.readings[number].text


def _climbs(sheet: RunSheet, entry: RunEntry) -> list[float]:
    return [_climb(sheet, entry.kind, reading.value) for reading in entry.readings]


def _others(sheet: RunSheet, index: int) -> list[float]:
    """The climbs of all other runs."""
    return [climb for place, entry in enumerate(sheet.runs) if place != index for climb in _climbs(sheet, entry)]


def _other_side(sheet: RunSheet, index: int) -> float:
    """The climb on the other side with the bars as in a run [m]; NaN where there is none."""
    mine = sheet.runs[index]
    cases = [entry for entry in sheet.runs if entry.bars == mine.bars and entry.side != mine.side]
    return _median([climb for entry in cases for climb in _climbs(sheet, entry)])


def _median(climbs: Sequence[float]) -> float:
    known = [climb for climb in climbs if not math.isnan(climb)]
    return median(known) if known else math.nan


def _middle(climbs: Sequence[float], others: float) -> float:
    """What the climbs of a run are held against: the middle one; of two that nearer the others."""
    if any(map(math.isnan, climbs)):
        return math.nan
    low, high = median_low(climbs), median_high(climbs)
    return low if abs(low - others) < abs(high - others) else high


def _climb(sheet: RunSheet, kind: ReadingKind, value: float) -> float:
    """Climb [m] that a reading makes with what the sheet knows; NaN where a radius is missing."""
    flat = sheet.radius_on_flat.value if sheet.radius_on_flat is not None else None
    on_ramp = sheet.radius_on_ramp.value if sheet.radius_on_ramp is not None else None
    if on_ramp is None and flat is not None:
        on_ramp = flat - sheet.radius_loss.value
    radii = Radii(flat, on_ramp)
    return float(climb_of(kind, value, sheet.ramp_angle.value, radii)) if radii.suffice(kind) else math.nan


def _usual(sheet: RunSheet, climb: float) -> bool:
    return USUAL_SCORE[0] <= 1000.0 * climb / sheet.wheelbase.value <= USUAL_SCORE[1]


def _meant(sheet: RunSheet, index: int, number: int, likely: float = math.nan, apart: float = 0.0) -> str:
    """Another unit, another way of reading or another place of the point that makes a usual score; empty if none.

    Where a climb [m] is likely, what makes one within so much of it; there two digits may be exchanged too.
    """
    entry = sheet.runs[index]
    reading, kind = entry.readings[number], entry.kind
    value = reading.value / reading.unit_size

    def fits(other: ReadingKind, length: float) -> bool:
        climb = _climb(sheet, other, length)
        return _usual(sheet, climb) and (apart == 0.0 or abs(climb / likely - 1.0) <= apart)

    for unit in UNITS:
        if unit != reading.unit and fits(kind, value * unit_size(unit, LENGTH)):
            return f"perhaps {value:.6g} {unit}"
    for other in (ReadingKind.SLOPE_DISTANCE, ReadingKind.MARK_HEIGHT, ReadingKind.HUB_HEIGHT):
        if other is not kind and fits(other, reading.value):
            return f"perhaps it is the {other.words}"
    for factor in (10.0, 0.1):
        if fits(kind, factor * reading.value):
            return f"perhaps {value * factor:.6g} {reading.unit}"
    whole = int(value)
    for exchanged in _digits_exchanged(whole) if apart else ():
        length = value - whole + exchanged
        if fits(kind, length * reading.unit_size):
            typed = _typed(sheet, index, number)
            begins = typed.startswith(f"{whole}")  # else it was typed as a bare fraction or a power of ten
            read = typed.replace(f"{whole}", f"{exchanged}", 1) if begins else f"{length:.6g} {reading.unit}"
            return f"perhaps {read}, two digits exchanged"
    return ""


def _digits_exchanged(whole: int) -> Iterator[int]:
    """A whole number with two neighbouring digits exchanged, each way."""
    for place in range(len(f"{whole}") - 1):
        digits = [*f"{whole}"]
        digits[place], digits[place + 1] = digits[place + 1], digits[place]
        yield int("".join(digits))
