"""Vehicles side by side, as text for an 80-column terminal, as JSON data and as rows."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from articulate.climb import Outcome
from articulate.output.layout import SCHEMA_VERSION, finite, join, wrapped
from articulate.output.text.model_error import model_error_data, sentence, short_text
from articulate.output.text.wording import OUTCOMES, outcome_key
from articulate.output.units import MILLIMETRES_FIRST, SIZES, Lengths
from articulate.output.wheels_and_ranges import interval_data, run_head, wheel_key
from articulate.safety import THREE_WHEELS
from articulate.studies.compare.comparison import Comparison, Entry
from articulate.studies.population.intervals import Interval

if TYPE_CHECKING:
    from articulate.output.command_data import ComparisonData

_NAME, _LIFT = 30, 18
_MOST_COLUMNS = 8  # of the table of probabilities
_NO_SCORE = {Outcome.UNSTABLE_AT_REST: "does not stand"}  # in a column
_SURE, _LIKELY = 0.95, 0.8


def _band(band: Interval, size: float = 1.0, digits: int = 0) -> str:
    if not math.isfinite(band.value):
        return "-"
    value = f"{band.value / size:.{digits}f}"
    if band.high == math.inf:
        return f"{value} ({band.low / size:.{digits}f} up)"
    if not math.isfinite(band.low) or band.high - band.low < 0.5 * size * 10.0**-digits:
        return value
    return f"{value} ({band.low / size:.{digits}f}-{band.high / size:.{digits}f})"


def _short(entry: Entry) -> str:
    """The name, cut to its column in the middle, as names that begin alike often end apart."""
    end = ", measured" if entry.measured else ""
    room = _NAME - 1 - len(end)
    if len(entry.name) <= room:
        return entry.name + end
    tail = room // 2
    return entry.name[: room - 1 - tail] + "…" + entry.name[-tail:] + end


def _place(number: int) -> str:
    return f"{number}." if number else "-"


def _score(entry: Entry) -> str:
    if math.isfinite(entry.reached):
        return f"over {entry.reached:.0f}"
    if math.isfinite(entry.score.value) or entry.outcome is None:
        return _band(entry.score)
    return _NO_SCORE.get(entry.outcome, OUTCOMES[entry.outcome])


def status(entry: Entry) -> str:
    """What stands behind a score, or why there is none."""
    if entry.measured:
        return "measured"
    return entry.outcome.name.lower() if entry.outcome else "predicted"


def _places(entry: Entry) -> str:
    low, high = entry.rank
    return f"{low}." if low == high else f"{low}.-{high}."


def verdict(chance: float) -> str:
    """How sure one is to beat the other, in a word."""
    likely = max(chance, 1.0 - chance)
    if likely >= _SURE:
        return "sure"
    return "likely" if likely >= _LIKELY else "too close"


def _remarks(found: Comparison, entry: Entry) -> list[str]:
    """What is to be said of one score."""
    remarks = []
    if found.terms and not entry.measured and math.isfinite(entry.as_it_is):
        remarks.append(f"as it is {entry.as_it_is:.0f}")
    if entry.measured and entry.as_it_is != entry.score.value:
        remarks.append(
            f"measured {entry.as_it_is:.1f} at {entry.touch_load:.0f} N, carried to {found.touch_load:.0f} N"
        )
    if found.bars == "released" and not entry.measured and not entry.can_release:
        remarks.append("no bar can be released: as it is")
    if entry.outcome == Outcome.WHEELS_SPIN:
        remarks.append("ends by wheelspin, not by a lift")
    if math.isfinite(entry.reached):
        remarks.append(f"{OUTCOMES[Outcome.RAMP_ENDS]}: it scores more than there is ramp for")
    elif entry.outlast:
        remarks.append(f"{entry.outlast} of {found.samples} possible vehicles outlast the ramp")
    if entry.no_score:
        remarks.append(f"{entry.no_score} of {found.samples} possible vehicles had no score")
    return remarks


def comparison_table(found: Comparison, full: bool = True, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """The comparison for people: the ranking first; in full what each range and chance holds, and who beats whom."""
    degrees, count = math.degrees(found.angle), len(found.entries)
    lines = [
        f"{count} vehicle{'s' if count != 1 else ''}, {found.side} front wheel up a {degrees:g} degree ramp, "
        f"bars {found.bars}",
        f"touch load {found.touch_load:g} N",
    ]
    if found.terms:
        lines.append(wrapped("on equal terms: " + ", ".join(found.terms)))
    lines += ["", f"{'':<4}{'by score':<{_NAME}}{'score (90 %)':<18}{'place':<9}{'beats the next'}"]
    for number, entry in enumerate(found.entries):
        following = ""
        if number + 1 < len(found.entries):
            chance = found.beats[number][number + 1]
            following = f"{100.0 * chance:.0f} %, {verdict(chance)}"
        lines.append(f"{number + 1:>2}. {_short(entry):<{_NAME}}{_score(entry):<18}{_places(entry):<9}" + following)
        remarks = _remarks(found, entry)
        if remarks:
            lines.append("    " + "; ".join(remarks))
    lines += ["", *(_chances(found) if full else []), *_articulation(found, full, lengths)]
    if not full:
        beside = ", who beats whom" if 2 < count <= _MOST_COLUMNS else ""
        said = [short_text(found.model, "ranges"), f"--full: what ranges and chances hold{beside}"]
        return join([*lines, "", *said, "", THREE_WHEELS])
    lines += [
        "",
        wrapped(
            "Ranges are the central 90 % of what the files leave uncertain, taken independently for each file; what is "
            "unknown about the test is the same for all. place: 90 % range of the place. A chance of 50 % is a "
            "toss-up; the order is that of nominal scores, chances weigh all possible vehicles, so the next may be the "
            "likelier one."
            f" {sentence(found.model, 'ranges and chances')}"
            + (" Taken independently for each file." if found.model.total else ""),
            "",
        ),
    ]
    if found.terms:
        lines.append(
            wrapped(
                "A common tyre brings its loaded radius, stiffness and mass (by rule of thumb) along. Whether it rubs "
                "is the matter of articulate clearance; --spacers fits stops that keep it clear where a file says "
                "where the arches are.",
                "",
            )
        )
    return join([*lines, "", THREE_WHEELS])


def _chances(found: Comparison) -> list[str]:
    """The table of who beats whom, where it fits."""
    count = len(found.entries)
    if not 2 < count <= _MOST_COLUMNS:
        return []
    lines = ["chance in % that the row beats the column"]
    lines.append(f"{'':<{_NAME + 4}}" + "".join(f"{number + 1:>5}" for number in range(count)))
    for i, entry in enumerate(found.entries):
        cells = "".join(f"{'-':>5}" if i == j else f"{100.0 * found.beats[i][j]:>5.0f}" for j in range(count))
        lines.append(f"{i + 1:>2}. {_short(entry):<{_NAME}}{cells}")
    return [*lines, ""]


def _articulation(found: Comparison, full: bool, lengths: Lengths) -> list[str]:
    """What wheelbase does not divide away."""
    if not any(math.isfinite(entry.lift.value) for entry in found.entries):
        return []
    unit = lengths.first
    lines = [
        wrapped("articulation, which wheelbase does not divide away"),
        f"{'':<4}{'by lift height':<{_NAME}}{f'lift, {unit}':<{_LIFT}}{'axle twist, deg':<18}{'travel':>6}",
    ]
    known = [entry for entry in found.entries if entry.lift_place]
    for entry in sorted(known, key=lambda one: one.lift_place):
        twist = _band(entry.twist, math.radians(1.0), 1)
        if entry.twist_place:
            twist += "" if entry.twist_place == entry.lift_place else f" {_place(entry.twist_place)}"
        travel = lengths.number(entry.travel.value, digits=1)
        lift = _band(entry.lift, SIZES[unit], 0 if unit == "mm" else 1)
        lines.append(f"{entry.lift_place:>2}. {_short(entry):<{_NAME}}{lift:<{_LIFT}}{twist:<18}{travel:>6}")
    unknown = [entry.name for entry in found.entries if not entry.lift_place]
    if unknown:
        lines.append(wrapped("not known for " + ", ".join(unknown)))
    if full:
        lines.append(
            wrapped(
                "lift: height of the mark, s sin g. twist: angle between the front and the rear hub line (a place "
                f"beside it where it differs). travel: sum of the four wheels' travel from ride height, {unit}.",
                "",
            )
        )
    return lines


def comparison_data(found: Comparison) -> ComparisonData:
    """The comparison as plain data with SI keys, for JSON."""
    return {
        "schema_version": SCHEMA_VERSION,
        **run_head(found.bars, found.side, found.angle),
        "touch_load_N": found.touch_load,
        "equal_terms": list(found.terms),
        "samples": found.samples,
        "model_error": model_error_data(found.model),
        "vehicles": [
            {
                "place": number + 1,
                "name": entry.name,
                "measured": entry.measured,
                "measured_at_touch_load_N": finite(entry.touch_load),
                "wheelbase_m": finite(entry.wheelbase),
                "score": interval_data(entry.score),
                "score_reached_at_ramp_end": finite(entry.reached),
                "score_as_it_is": finite(entry.as_it_is),
                "outcome": outcome_key(entry.outcome) if entry.outcome else None,
                "lifting_wheel": wheel_key(entry.wheel),
                "can_release": entry.can_release,
                "samples_that_outlast_the_ramp": entry.outlast,
                "samples_without_score": entry.no_score,
                "place_range": {"low": entry.rank[0], "high": entry.rank[1]},
                "lift_height_m": interval_data(entry.lift),
                "axle_twist_rad": interval_data(entry.twist),
                "travel_sum_m": interval_data(entry.travel),
                "place_by_lift_height": entry.lift_place or None,
                "place_by_axle_twist": entry.twist_place or None,
            }
            for number, entry in enumerate(found.entries)
        ],
        "beats": [[finite(chance) for chance in row] for row in found.beats],
    }


def _known(value: float) -> float:
    return value if math.isfinite(value) else math.nan


def comparison_rows(found: Comparison) -> Sequence[Mapping[str, str | float]]:
    """One row a vehicle, for CSV."""
    return [
        {
            "place": number + 1,
            "name": entry.name,
            "measured": str(entry.measured).lower(),
            "status": status(entry),
            "measured_at_touch_load_N": entry.touch_load,
            "wheelbase_m": entry.wheelbase,
            "score": _known(entry.score.value),
            "score_low": _known(entry.score.low),
            "score_high": _known(entry.score.high),
            "score_reached_at_ramp_end": entry.reached,
            "score_as_it_is": entry.as_it_is,
            "beats_next": found.beats[number][number + 1] if number + 1 < len(found.entries) else float("nan"),
            "lift_height_m": entry.lift.value,
            "axle_twist_rad": entry.twist.value,
            "travel_sum_m": entry.travel.value,
            "place_by_lift_height": entry.lift_place,
        }
        for number, entry in enumerate(found.entries)
    ]
