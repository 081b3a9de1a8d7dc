"""The logbook as text, JSON data and CSV rows: where results stand, and what predictions were worth."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from articulate.measure.day_record import NotedCase
from articulate.output.layout import HASH_SHOWN, SCHEMA_VERSION, finite, two_digits, wrapped
from articulate.output.wheels_and_ranges import interval
from articulate.studies.logbook.kept import Kept
from articulate.studies.logbook.standing import Ranking, Standing, Terms, beats_probability
from articulate.studies.logbook.track_record import TrackRecord

if TYPE_CHECKING:
    from articulate.output.command_data import KeptSheetData, LogbookData, MedianInterval, StandingData

FIRST, BESIDE = 10, 2  # places shown at once: the first ones, and those either side of the newest result
MOST = 16  # shown whole
NAME = 22
ALL_RAMPS = "all ramps"


@dataclass(frozen=True)
class Library:
    """Everything an answer about a logbook is made of; `results` come in the order of their days."""

    results: tuple[Kept, ...]
    ranking: Ranking
    records: tuple[TrackRecord, ...]
    chosen: str  # which results were picked, in words; empty for all


def half_width(case: NotedCase) -> float:
    """Half the interval of a measured score."""
    return 0.5 * (case.high - case.low)


def value_and_half(value: float, half: float) -> str:
    """A value with half its interval, both to the second digit of the latter."""
    told = two_digits(half)
    return f"{value:.{len(told.partition('.')[2])}f} ± {told}"


def measured_words(one: Standing) -> str:
    """The measured score with half its interval."""
    return value_and_half(one.case.score, half_width(one.case))


def carried_half(one: Standing) -> float:
    """Half the interval of a score on equal terms, at the coverage of the measured one."""
    factor = half_width(one.case) / one.case.score_u if one.case.score_u > 0.0 else 2.0
    return factor * one.u


def carried_words(one: Standing) -> str:
    """A score on equal terms with half its interval."""
    return value_and_half(one.score, carried_half(one))


def chance_words(chance: float) -> str:
    """A probability in words; never told as sure."""
    if not math.isfinite(chance):
        return "-"
    told = 100.0 * chance
    return "> 99 %" if told > 99.0 else "< 1 %" if told < 1.0 else f"{told:.0f} %"


def ordinal(place: int) -> str:
    """A place: 1st, 2nd, 11th."""
    end = "th" if place % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(place % 10, "th")
    return f"{place}{end}"


def places_words(one: Standing) -> str:
    """Where a result may stand."""
    low, high = one.ranks
    return str(low) if low == high else f"{low} to {high}"


def terms_words(terms: Terms) -> str:
    """What is on equal terms."""
    side = "mean of both sides where both were driven" if terms.side == "both" else f"{terms.side} side"
    return f"bars {terms.bars}, {side}, on a {math.degrees(terms.angle):g} deg ramp"


def neighbour_lines(ranking: Ranking) -> list[str]:
    """Where the newest result stands and how surely, a sentence a neighbour."""
    if ranking.latest < 0:
        return []
    found = ranking.standings
    one = found[ranking.latest]
    lines = [
        f"newest: {one.kept.date} {one.name}: {carried_words(one)}, {ordinal(one.rank)} of {len(found)} "
        f"(place {places_words(one)} in 90 %)"
    ]
    for step, word in ((-1, "above"), (1, "below")):
        k = ranking.latest + step
        if 0 <= k < len(found):
            other = found[k]
            chance = chance_words(beats_probability(one, other))
            lines.append(f"  {word} it {other.name} ({other.kept.date}), {other.score:.1f}: beats it with {chance}")
    return lines


def logbook_table(library: Library, *, full: bool = False, order: str = "rank") -> str:
    """The answer: where the newest result stands, the ranking, the tool's own record; all of it if `full`."""
    ranking = library.ranking
    lines = [wrapped(line, "    ", whole_words=True) for line in neighbour_lines(ranking)]
    shown = shown_places(ranking, full)
    if ranking.standings:
        terms = "; ".join(filter(None, (terms_words(ranking.terms), library.chosen)))
        lines += [
            wrapped(f"{terms}; ± is 95 %; beats: chance to be higher than the next below"),
            "",
        ]
        lines += _table(ranking, shown, order)
    if ranking.left_out:
        names = ", ".join(dict.fromkeys(f"{one.record.vehicle} ({one.date})" for one in ranking.left_out[:5]))
        more = f" and {len(ranking.left_out) - 5} more" if len(ranking.left_out) > 5 else ""
        lines += ["", wrapped(f"without a run on these terms: {names}{more}")]
    lines += _history(library)
    lines += ["", *record_lines(library.records, full)]
    lines += _noticed(library.results, full)
    if full:
        lines += ["", *_sheets(library.results)]
    elif library.results:
        lines += ["", "--full shows every place and sheet; --csv all numbers"]
    return "\n".join(lines)


def shown_places(ranking: Ranking, full: bool = False) -> list[int]:
    """Which places are shown, counted from 0: the first, those about the newest result, the last; all if `full`."""
    count = len(ranking.standings)
    if full or count <= MOST:
        return list(range(count))
    near = range(max(ranking.latest - BESIDE, 0), min(ranking.latest + BESIDE + 1, count))
    return sorted({*range(FIRST), *near, count - 1})


def _short(name: str, width: int = NAME) -> str:
    return name if len(name) <= width else f"{name[: width - 1]}…"


def _table(ranking: Ranking, shown: Sequence[int], order: str) -> list[str]:
    found = ranking.standings
    keys = {
        "rank": lambda k: (k,),
        "date": lambda k: (found[k].kept.date, k),
        "vehicle": lambda k: (found[k].name.casefold(), found[k].kept.date, k),
    }
    at = f"at {math.degrees(ranking.terms.angle):g} deg"
    lines = [f"place date       {'vehicle':<{NAME}} {'measured':<13} {'ramp':>4} {at:<13} beats"]
    before = -1
    for k in sorted(shown, key=keys[order]):
        one = found[k]
        if order == "rank" and k != before + 1:
            lines.append(f"   … {k - before - 1} more")
        before = k
        ramp = f"{math.degrees(one.kept.record.ramp_angle):.1f}"
        mark = ">" if k == ranking.latest else " "
        lines.append(
            f"{mark}{one.rank:>4} {one.kept.date} {_short(one.name):<{NAME}} {measured_words(one):<13} {ramp:>4} "
            f"{carried_words(one):<13} {chance_words(one.beats_next)}".rstrip()
        )
        if one.remarks:
            lines.append(wrapped("; ".join(one.remarks), "        ", "      ", whole_words=True))
    return lines


def _history(library: Library) -> list[str]:
    """One vehicle over the years, where the results are one vehicle's."""
    found = library.ranking.standings
    if len({one.kept.record.vehicle for one in found}) != 1 or len(found) < 2:
        return []
    return ["", *history_lines(found)]


def history_lines(standings: Sequence[Standing]) -> list[str]:
    """What became of one vehicle: each result against the one before, and what was changed between them."""
    found = sorted(standings, key=lambda one: (one.kept.date, one.name))
    lines = [f"history of {found[0].kept.record.vehicle}, each against the time before"]
    for old, new in pairwise(found):
        change = f"{new.score - old.score:+.1f} ± {two_digits(math.hypot(carried_half(old), carried_half(new)))}"
        chance = chance_words(beats_probability(new, old))
        lines.append(wrapped(f"  {new.kept.date} {change}, higher with {chance}{_what_changed(old, new)}", "    "))
    return lines


def _what_changed(old: Standing, new: Standing) -> str:
    a, b = old.kept.record.snapshot, new.kept.record.snapshot
    if a is None or b is None:
        return "; vehicle file not known both times"
    said = [f"tyres {a.tyres} to {b.tyres}"] if a.tyres != b.tyres else []
    said += [f"drive: {b.drive}"] if a.drive != b.drive else []
    if not said and a.sha256 != b.sha256:
        said = ["its file changed"]
    return f"; {', '.join(said)}" if said else "; the same vehicle file"


def record_lines(records: Sequence[TrackRecord], full: bool = False) -> list[str]:
    """Predicted against measured, over all and by ramp."""
    whole = records[0]
    if not whole.cases:
        return ["predicted against measured: nothing was predicted when these sheets were kept"]
    lines = []
    for one in records if full else records[:1]:
        where = ALL_RAMPS if math.isnan(one.ramp) else f"ramp {one.ramp:g} deg"
        lines.append(
            wrapped(
                f"predicted against measured ({where}): {one.inside} of {len(one.cases)} scores in their 90 % bands, "
                f"{one.vehicles} vehicle{'s' if one.vehicles != 1 else ''}; {bias_words(one)}"
            )
        )
    lines += [
        wrapped(f"  {one.ramp:g} deg ramp: its own bias is {100 * one.bias:+.1f} ± {200 * one.bias_u:.1f} % (95 %)")
        for one in records[1:]
        if one.biased and not full
    ]
    return lines


def bias_words(one: TrackRecord) -> str:
    """Bias, scatter and whether the allowance fits, in words."""
    if not math.isfinite(one.bias):
        return one.verdict
    shows = "shown" if one.biased else "none shown"
    return (
        f"bias {100 * one.bias:+.1f} ± {200 * one.bias_u:.1f} % (95 %; {shows}); scatter {100 * one.scatter:.1f} %, by "
        f"the bands {100 * one.expected_scatter:.1f} %: {one.verdict}"
    )


def _noticed(results: Sequence[Kept], full: bool) -> list[str]:
    """Answers that have changed since they were noted, and files that have."""
    lines: list[str] = []
    changed = [one for one in results if one.changes]
    again = [one for one in results if one.why_again and one.was_noted and not one.changes]
    moved = [one for one in results if one.file_changed]
    unnoted = [one for one in results if not one.was_noted and not one.why_again]
    spoiled = [one for one in results if not one.was_noted and one.why_again]
    for one in changed if full else changed[:3]:
        lines += [wrapped(f"! {one.date} {one.record.vehicle}, {change}", whole_words=True) for change in one.changes]
    if len(changed) > 3 and not full:
        lines.append(f"! {len(changed) - 3} more sheets have changed; --full names them")
    for one in again if full else again[:3]:
        lines.append(wrapped(f"{one.date} {one.record.vehicle}: {one.why_again}; same scores", whole_words=True))
    for one in spoiled if full else spoiled[:3]:
        lines.append(wrapped(f"! {one.date} {one.record.vehicle}: {one.why_again}; scored now", whole_words=True))
    if len(spoiled) > 3 and not full:
        lines.append(f"! {len(spoiled) - 3} more records cannot be used; --full names them")
    if moved:
        names = ", ".join(dict.fromkeys(f"{one.record.vehicle} ({one.date})" for one in (moved if full else moved[:3])))
        more = "" if full or len(moved) <= 3 else f" and {len(moved) - 3} more"
        lines.append(
            wrapped(f"vehicle files changed since their day, which keeps its own copy: {names}{more}", whole_words=True)
        )
    if unnoted:
        lines.append(
            wrapped(
                f"{len(unnoted)} sheet{'s' if len(unnoted) != 1 else ''} without a record: scored now, nothing "
                "predicted; articulate logbook save notes one for a sheet that is saved again"
            )
        )
    return ["", *lines] if lines else []


def _sheets(results: Sequence[Kept]) -> list[str]:
    """Every sheet with all its cases, as measured, and what it holds for."""
    lines = [f"{'date':<11}{'vehicle':<22}{'side':<6}{'bars':<10}{'n':>2}  {'score, 95 %':<14}gain, 95 %"]
    for item in results:
        gains = {gain.side: gain for gain in item.record.gains}
        record = item.record
        name = record.vehicle + (f", {record.title}" if record.title else "")
        for index, case in enumerate(record.cases):
            gain = gains.get(case.side) if case.bars == "released" else None
            told = ""
            if gain:
                told = value_and_half(gain.value, 0.5 * (gain.high - gain.low))
                told = told if gain.value < 0.0 else f"+{told}"
            date, vehicle = (item.date, _short(name, 21)) if index == 0 else ("", "")
            lines.append(
                f"{date:<11}{vehicle:<22}{case.side:<6}{case.bars:<10}{case.climbs:>2}  "
                f"{value_and_half(case.score, half_width(case)):<14}{told}".rstrip()
            )
    lines.append("")
    for item in results:
        record, kept = item.record, item.record.snapshot
        said = [f"ramp {record.ramp_angle_text}, touch load {record.touch_load_text}"]
        said += [f"drive: {kept.drive}" if kept.drive else "drive not given"] if kept else []
        said += [f"tyres {kept.tyres}"] if kept and kept.tyres else []
        said += [f"assumed: {', '.join(record.assumed)}"] if record.assumed else []
        said += [f"asked about: {one}" for one in record.asked_about]
        said += [f"notes: {item.record.notes}"] if item.record.notes else []
        said += [f"vehicle file {kept.file}, sha256 {kept.sha256[:HASH_SHOWN]}"] if kept else []
        said += [f"{item.path.name}, sheet sha256 {record.sheet_sha256[:HASH_SHOWN]}, {record.program}"]
        lines.append(wrapped(f"{item.date} {record.vehicle}: {'; '.join(said)}", whole_words=True))
    return lines


def logbook_rows(library: Library) -> list[Mapping[str, str | float]]:
    """One row a case of every sheet, SI columns; a cell without a value is empty."""
    placed = {(id(one.kept), one.case.side, one.case.bars): one for one in library.ranking.standings}
    rows: list[Mapping[str, str | float]] = []
    for item in library.results:
        record = item.record
        gains = {gain.side: gain for gain in record.gains}
        vehicle = record.snapshot
        for case in record.cases:
            gain = gains.get(case.side) if case.bars == "released" else None
            one = placed.get((id(item), case.side, case.bars))
            median, low, high = case.predicted or (math.nan,) * 3
            rows.append(
                {
                    "date": item.date,
                    "vehicle": record.vehicle,
                    "title": record.title,
                    "side": case.side,
                    "bars": case.bars,
                    "climbs": case.climbs,
                    "lifted": "; ".join(case.lifted),
                    "ramp_angle_rad": record.ramp_angle,
                    "ramp_angle_standard_uncertainty_rad": record.ramp_angle_u,
                    "touch_load_N": record.touch_load,
                    "wheelbase_m": record.wheelbase,
                    "climb_m": case.climb,
                    "climb_standard_uncertainty_m": case.climb_u,
                    "score": case.score,
                    "score_standard_uncertainty": case.score_u,
                    "coverage": case.coverage,
                    "score_low": case.low,
                    "score_high": case.high,
                    "gain": gain.value if gain else "",
                    "gain_low": gain.low if gain else "",
                    "gain_high": gain.high if gain else "",
                    "predicted_median": median,
                    "predicted_low": low,
                    "predicted_high": high,
                    "terms_ramp_angle_rad": library.ranking.terms.angle if one else "",
                    "terms_score": one.score if one else "",
                    "terms_score_standard_uncertainty": one.u if one else "",
                    "carried_by": one.by if one else "",
                    "place": one.rank if one else "",
                    "place_low": one.ranks[0] if one else "",
                    "place_high": one.ranks[1] if one else "",
                    "probability_of_beating_next": one.beats_next if one else "",
                    "not_comparable": "; ".join(one.remarks) if one else "",
                    "assumed": "; ".join(record.assumed),
                    "asked_about": "; ".join(record.asked_about),
                    "remarks": "; ".join(record.remarks),
                    "notes": item.record.notes,
                    "drive": vehicle.drive if vehicle else "",
                    "tyres": vehicle.tyres if vehicle else "",
                    "vehicle_file": vehicle.file if vehicle else "",
                    "vehicle_sha256": vehicle.sha256 if vehicle else "",
                    "sheet_sha256": record.sheet_sha256,
                    "noted_by": record.program if item.was_noted else "",
                    "scored_again": item.why_again,
                    "changes": "; ".join(item.changes),
                    "vehicle_file_changed": "" if item.file_changed is None else str(item.file_changed).lower(),
                    "file": str(item.path),
                }
            )
    return rows


def _triple(found: Sequence[float] | None) -> MedianInterval | None:
    if not found:
        return None
    median, low, high = map(finite, found)
    return {"median": median, "low": low, "high": high}


def _sheet_data(item: Kept) -> KeptSheetData:
    record, vehicle = item.record, item.record.snapshot
    return {
        "date": item.date,
        "vehicle": record.vehicle,
        "title": record.title,
        "file": str(item.path),
        "ramp_angle_rad": record.ramp_angle,
        "ramp_angle_standard_uncertainty_rad": record.ramp_angle_u,
        "touch_load_N": record.touch_load,
        "wheelbase_m": record.wheelbase,
        "assumed": list(record.assumed),
        "asked_about": list(record.asked_about),
        "remarks": list(record.remarks),
        "notes": item.record.notes,
        "noted_by": record.program if item.was_noted else None,
        "sheet_sha256": record.sheet_sha256,
        "scored_again": item.why_again,
        "changes": list(item.changes),
        "vehicle_file": None
        if vehicle is None
        else {
            "file": vehicle.file,
            "file_sha256": vehicle.sha256,
            "drive": vehicle.drive,
            "tyres": vehicle.tyres,
            "changed_since": item.file_changed,
        },
        "cases": [
            {
                "side": case.side,
                "bars": case.bars,
                "climbs": case.climbs,
                "lifted": [wheel.replace(" ", "_") for wheel in case.lifted],
                "climb_m": case.climb,
                "climb_standard_uncertainty_m": case.climb_u,
                "score": interval(case.score, (case.low, case.high)),
                "score_standard_uncertainty": case.score_u,
                "coverage": case.coverage,
                "predicted": _triple(case.predicted),
            }
            for case in record.cases
        ],
        "gains": [{"side": one.side, "gain": interval(one.value, (one.low, one.high))} for one in record.gains],
    }


def standing_data(one: Standing) -> StandingData:
    """One place as plain data."""
    return {
        "place": one.rank,
        "place_range": {"low": one.ranks[0], "high": one.ranks[1]},
        "date": one.kept.date,
        "vehicle": one.kept.record.vehicle,
        "title": one.kept.record.title,
        "side": one.case.side,
        "bars": one.case.bars,
        "measured": one.case.score,
        "score": one.score,
        "score_standard_uncertainty": one.u,
        "carried_by": one.by,
        "probability_of_beating_next": finite(one.beats_next),
        "not_comparable": list(one.remarks),
    }


def logbook_data(library: Library, faults: Sequence[str]) -> LogbookData:
    """The logbook as plain data with SI keys, for JSON."""
    terms = library.ranking.terms
    return {
        "schema_version": SCHEMA_VERSION,
        "terms": {"bars": terms.bars, "side": terms.side, "ramp_angle_rad": terms.angle, "chosen": library.chosen},
        "newest": library.ranking.latest if library.ranking.latest >= 0 else None,
        "ranking": [standing_data(one) for one in library.ranking.standings],
        "sheets": [_sheet_data(item) for item in library.results],
        "predicted_against_measured": [
            {
                "ramp_angle_rad": finite(math.radians(one.ramp)),
                "scores": len(one.cases),
                "inside_90_percent_band": one.inside,
                "vehicles": one.vehicles,
                "bias": finite(one.bias),
                "bias_standard_uncertainty": finite(one.bias_u),
                "scatter": finite(one.scatter),
                "scatter_by_the_bands": finite(one.expected_scatter),
                "probability_of_more_scatter": finite(one.chance),
                "verdict": one.verdict,
            }
            for one in library.records
        ],
        "faults": list(faults),
    }
