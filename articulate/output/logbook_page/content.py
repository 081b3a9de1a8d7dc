"""What the page of a logbook holds: every result, and its place on each of the terms a reader can choose."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from articulate.output.layout import HASH_SHOWN, capitalised
from articulate.output.stamp import program
from articulate.output.text.logbook import (
    Library,
    carried_half,
    carried_words,
    history_lines,
    measured_words,
    record_lines,
    terms_words,
    value_and_half,
)
from articulate.studies.logbook.kept import Kept
from articulate.studies.logbook.standing import Ranking, Standing, Terms, ranking
from articulate.studies.logbook.track_record import Predicted
from articulate.types import BAR_STATES

SIDES_SHOWN = ("both", "left", "right")
MOST_BARE = 40  # rows that are there without script


def page_data(library: Library) -> dict[str, Any]:
    """Everything the page shows, as plain data.

    Args:
        library: the results that were picked, and their ranking on the terms that the page opens with.
    """
    first = library.ranking.terms
    every = [Terms(bars, side, first.angle) for bars in BAR_STATES for side in SIDES_SHOWN]
    rankings = [library.ranking if terms == first else ranking(library.results, terms) for terms in every]
    index = {id(kept): number for number, kept in enumerate(library.results)}
    predicted = {(id(one.kept), one.side, one.bars): one for record in library.records[:1] for one in record.cases}
    return {
        "program": program(),
        "chosen": library.chosen,
        "angle": f"{math.degrees(first.angle):g} deg",
        "open": every.index(first),
        "record": _paragraphs(record_lines(library.records)),
        "results": [_result(kept) for kept in library.results],
        "terms": [_terms(one, index, predicted) for one in rankings],
    }


def _paragraphs(lines: Sequence[str]) -> list[str]:
    """Lines that were wrapped for a terminal, as paragraphs."""
    return [capitalised(" ".join(line.split())) for line in lines]


def _result(kept: Kept) -> dict[str, Any]:
    record, vehicle = kept.record, kept.record.snapshot
    facts = [
        ("ramp", record.ramp_angle_text),
        ("touch load", record.touch_load_text),
        ("tyres", vehicle.tyres if vehicle else ""),
        ("drive", (vehicle.drive or "not given") if vehicle else ""),
        ("assumed", ", ".join(record.assumed)),
        ("asked about", "; ".join(record.asked_about)),
        ("remarks", "; ".join(record.remarks)),
        ("notes", record.notes),
        ("vehicle file", f"{vehicle.file}, sha256 {vehicle.sha256[:HASH_SHOWN]}" if vehicle else ""),
        ("vehicle file since", "changed" if kept.file_changed else ""),
        ("scored again", kept.why_again),
        ("changed since it was noted", "; ".join(kept.changes)),
        ("day file", f"{kept.path.name}, sheet sha256 {record.sheet_sha256[:HASH_SHOWN]}, {record.program}"),
    ]
    return {
        "date": kept.date,
        "vehicle": record.vehicle,
        "title": record.title,
        "facts": [list(fact) for fact in facts if fact[1]],
    }


def _terms(found: Ranking, index: dict[int, int], predicted: dict[tuple[int, str, str], Predicted]) -> dict[str, Any]:
    return {
        "bars": found.terms.bars,
        "side": found.terms.side,
        "words": terms_words(found.terms),
        "latest": index[id(found.standings[found.latest].kept)] if found.latest >= 0 else -1,
        "left_out": len(found.left_out),
        "rows": [_row(one, index[id(one.kept)], predicted) for one in found.standings],
        "history": {name: _paragraphs(lines) for name, lines in _histories(found).items()},
    }


def _histories(found: Ranking) -> dict[str, list[str]]:
    """What became of every vehicle that was tested more than once."""
    own: dict[str, list[Standing]] = {}
    for one in found.standings:
        own.setdefault(one.kept.record.vehicle, []).append(one)
    return {name: history_lines(rows) for name, rows in own.items() if len(rows) > 1}


def _row(one: Standing, result: int, predicted: dict[tuple[int, str, str], Predicted]) -> list[Any]:
    """A place, short since there are many: result, score, u, half its interval, words, places, remarks, prediction."""
    band = predicted.get((id(one.kept), one.case.side, one.case.bars))
    told = ""
    if band is not None:
        where = "inside" if band.inside else "outside"
        told = f"{band.median:.0f} (90 % {band.low:.0f} to {band.high:.0f}); measured {where} it"
    measured = f"{measured_words(one)} on {math.degrees(one.kept.record.ramp_angle):.1f} deg"
    return [
        result,
        round(one.score, 4),
        round(one.u, 5),
        round(carried_half(one), 3),
        carried_words(one),
        measured if one.by != "as measured" else "",
        one.rank,
        *one.ranks,
        [remark for remark in one.remarks if remark not in one.kept.record.remarks],
        told,
    ]


def bare_rows(library: Library) -> list[tuple[str, str, str, str]]:
    """Place, vehicle, day and score of the first places, for readers without script."""
    found = library.ranking.standings[:MOST_BARE]
    return [(str(one.rank), one.name, one.kept.date, value_and_half(one.score, carried_half(one))) for one in found]
