"""Sections that say what makes a score: what a step of each input is worth, and why two vehicles differ."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from articulate.output.report.content import PageTable, Section, TableRow
from articulate.output.text.difference import sentence
from articulate.output.text.worth import remark
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.types import WHEELS, each_state

if TYPE_CHECKING:
    from articulate.studies.explain.difference import Difference, Split
    from articulate.studies.explain.worth import VehicleWorth, WorthTable

MOST_STEPS = 10


def _points(value: float) -> str:
    return f"{value:+.1f}".replace("-", "−") if math.isfinite(value) else "-"


def _steps(table: WorthTable, folded: bool) -> PageTable:
    rows = [
        TableRow((row.step.name, row.step.words, _points(row.up), _points(row.down), remark(row, table)))
        for row in table.rows
        if not row.nothing
    ]
    left = len(rows) - MOST_STEPS
    more = f"; {left} smaller left out" if left > 0 else ""
    return PageTable(
        f"Bars {table.bars}, points of score{more}",
        ("input", "one step", "more", "less", "remark"),
        tuple(rows[:MOST_STEPS]),
        frozenset({2, 3}),
        folded,
    )


def worth_section(worth: VehicleWorth) -> Section:
    """What one step of each input is worth."""
    found = each_state(worth)
    tables = [_steps(table, folded=place > 0) for place, table in enumerate(found)]
    text = (
        "Each step is climbed in full by the model, upwards and downwards by itself; where the two do not mirror each "
        "other, a stop or a coil's seat comes into play between them."
    )
    heading = "What a step of each input is worth"
    return Section("worth", heading, (text,), tables=tuple(tables), chapter="change")


def _split(split: Split, lengths: Lengths, folded: bool) -> PageTable:
    rows = [
        TableRow((share.group, _points(share.points), _points(share.alone), sentence(share, split, lengths)))
        for share in split.shares
    ]
    change = split.second - split.first
    rows.append(TableRow(("sum", _points(sum(share.points for share in split.shares)), "", "")))
    return PageTable(
        f"Bars {split.bars}: {split.first:.0f} to {split.second:.0f}, {_points(change)} points",
        ("what differs", "share", "alone", "in words"),
        tuple(rows),
        frozenset({1, 2}),
        folded,
    )


def difference_section(found: Difference, lengths: Lengths = MILLIMETRES_FIRST) -> Section:
    """Why the second vehicle's score is not the first's."""
    splits = each_state(found)
    text = [
        f"From {found.first} to {found.second}: the difference in score, split over what differs so that the shares "
        "add up exactly (each group's share is its mean over all orders of change).",
    ]
    for split in splits:
        before, after = (WHEELS[wheel] if wheel >= 0 else "no wheel" for wheel in split.wheels)
        if before != after:
            text.append(f"Bars {split.bars}: {after} lifts instead of {before}.")
    tables = tuple(_split(split, lengths, folded=place > 0) for place, split in enumerate(splits))
    return Section("difference", "Why they differ", tuple(text), tables=tables, chapter="why")
