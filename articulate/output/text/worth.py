"""What one step of each input is worth, as text for an 80-column terminal, as JSON data and as rows."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from articulate.climb import Outcome
from articulate.output.layout import ended, finite, join, wrapped
from articulate.output.plain_data import same_names
from articulate.output.text.difference import quantity_unit
from articulate.output.text.wording import OUTCOMES, outcome_key
from articulate.output.units import Lengths
from articulate.output.wheels_and_ranges import climbs_head, wheel_key
from articulate.safety import THREE_WHEELS
from articulate.studies.explain.worth import (
    A_METRIC_INCH,
    NOTHING,
    ONE_INCH,
    QUARTERS,
    LengthStep,
    VehicleWorth,
    Worth,
    WorthTable,
)
from articulate.types import WHEELS, each_state

if TYPE_CHECKING:
    from articulate.output.command_data import StepData, WorthData, WorthTableData

MOST_STEPS = 9  # of the short answer


def step_in(lengths: Lengths) -> LengthStep:
    """The step of all lengths for people who measure in these units."""
    return ONE_INCH if lengths.first == "in" else A_METRIC_INCH


def _points(value: float) -> str:
    return "-" if not math.isfinite(value) else f"{value:+.1f}" if abs(value) >= NOTHING else "0.0"


def remark(row: Worth, table: WorthTable) -> str:
    """What is peculiar about a step: nothing, a kink and where it lies, another wheel, no score."""
    if row.nothing:
        return "worth nothing"
    said = []
    for way, value, outcome, wheel in (
        ("more", row.up, row.outcome_up, row.wheel_up),
        ("less", row.down, row.outcome_down, row.wheel_down),
    ):
        if outcome is None:
            said.append(f"{way}: there is not so much")
        elif not math.isfinite(value):
            said.append(f"{way}: {outcome.meaning}")
        elif wheel != table.wheel and wheel >= 0:
            said.append(f"{way}: {WHEELS[wheel]} lifts")
    said += _kink(row)
    return "; ".join(said)


def _kink(row: Worth) -> list[str]:
    """Where the worth of further quarters of the step changes by much."""
    if not row.kinked:
        return []
    middle = len(QUARTERS) // 2
    for way, curve, shares in (
        ("more", row.curve[middle:], QUARTERS[middle:]),
        ("less", row.curve[middle - 1 :: -1], [-q for q in QUARTERS[middle - 1 :: -1]]),
    ):
        whole = abs(curve[-1])
        if whole > NOTHING:
            for value, share in zip(curve[:-1], shares[:-1], strict=True):
                if math.isfinite(value) and abs(curve[-1] - value) < 0.02 * whole:
                    return [f"kink: {way} counts only up to {share:g} of the step"]
    if abs(row.up) < NOTHING:
        return ["kink: more not used"]
    if abs(row.down) < NOTHING:
        return ["kink: less is free"]
    return ["kink: sides differ"]


def _head(table: WorthTable) -> str:
    return (
        f"bars {table.bars}: "
        + (f"{table.score:.1f}" if math.isfinite(table.score) else f"no score, {OUTCOMES[table.outcome]}")
        + (f", the {WHEELS[table.wheel]} wheel lifts" if table.wheel >= 0 else "")
        + (", wheels spin before one lifts" if table.outcome == Outcome.WHEELS_SPIN else "")
    )


def _short_lines(worth: VehicleWorth) -> list[str]:
    """The steps that are worth most in either state of the bars, one line each; a star where there is more to say."""
    tables = each_state(worth)
    by_name = [{row.step.name: row for row in table.rows} for table in tables]
    largest: dict[str, float] = {}
    for rows in by_name:
        for name, row in rows.items():
            known = [abs(value) for value in (row.up, row.down) if math.isfinite(value)]
            largest[name] = max(largest.get(name, 0.0), *known, 0.0)
    first = sorted(largest, key=lambda name: -largest[name])[:MOST_STEPS]
    lines = [_head(table) for table in tables]
    lines += ["", f"{'':<42}" + "".join(f"{table.bars:<19}" for table in tables).rstrip()]
    lines.append(f"{'one step of':<30}{'is':<12}" + f"{'more':<9}{'less':<10}" * len(tables))
    told = False
    for name in first:
        cells, words = "", ""
        for table, rows in zip(tables, by_name, strict=True):
            found = rows.get(name)
            if found is None:
                cells += f"{'-':<9}{'-':<10}"
                continue
            words, more = found.step.words, "*" if remark(found, table) else ""
            told = told or bool(more)
            cells += f"{_points(found.up):<9}{_points(found.down) + more:<10}"
        lines.append(f"{name:<30}{words:<12}{cells}")
    rest = len(largest) - len(first)
    star = "*: a stop, or another wheel, within the step; " if told else ""
    return [*lines, "", wrapped(f"{star}--full: that, {rest} more inputs, what a step is; nominal vehicle, no ranges")]


def _table_lines(table: WorthTable) -> list[str]:
    lines = [
        _head(table),
        "",
        f"{'one step of':<30}{'is':<14}{'more':>7}{'less':>8}",
    ]
    for row in table.rows:
        said = remark(row, table)
        lines.append(
            f"{row.step.name:<30}{row.step.words:<14}{_points(row.up):>7}{_points(row.down):>8}"
            + ("" if not said else f"  {said}" if len(said) <= 21 else "")
        )
        if len(said) > 21:
            lines.append(wrapped("    " + said, "    "))
    return lines


def worth_table(worth: VehicleWorth, full: bool = True) -> str:
    """The answer for people: what is worth most, in full all of it."""
    lines = [
        wrapped(f"What one step of each input is worth: {worth.name}"),
        f"{worth.side} front wheel up a {math.degrees(worth.angle):g} degree ramp, in points of score",
    ]
    if not full:
        return join([*lines, "", *_short_lines(worth), "", THREE_WHEELS])
    for table in each_state(worth):
        lines += ["", *_table_lines(table)]
    paragraph = (
        "Each step is climbed in full, upwards (more) and downwards (less) by itself; where the two are not mirror "
        "images, a stop or a seat comes into play between them (kink). Mass is added where the sprung mass has its "
        "centre; wheelbase keeps the axle shares; a larger tyre lifts the body and keeps its stiffness and the "
        "stops (whether it then rubs is not asked here); ride height moves both gaps and the body. "
        "Nominal vehicle: what the file leaves uncertain is not in these numbers."
    )
    return ended(lines, paragraph, THREE_WHEELS)


def _table_data(table: WorthTable) -> WorthTableData:
    found: WorthTableData = same_names(
        table,
        "bars",
        "score",
        lifting_wheel=wheel_key(table.wheel),
        steps_without_score=table.unscored,
        quarters_of_step=list(QUARTERS),
        inputs=[_step_data(row, table) for row in table.rows],
    )
    return found


def _step_data(row: Worth, table: WorthTable) -> StepData:
    return {
        "name": row.step.name,
        "quantity": row.step.quantity,
        "unit": quantity_unit(row.step.quantity, row.couple),
        "step_size": row.step.size,
        "step_relative": row.step.relative,
        "step": row.step.words,
        "present": finite(row.present),
        "points_more": finite(row.up),
        "points_less": finite(row.down),
        "points_at_quarters": [finite(value) for value in row.curve],
        "kinked": row.kinked,
        "worth_nothing": row.nothing,
        "outcome_more": outcome_key(row.outcome_up) if row.outcome_up else None,
        "outcome_less": outcome_key(row.outcome_down) if row.outcome_down else None,
        "remark": remark(row, table),
    }


def worth_data(worth: VehicleWorth) -> WorthData:
    """The worth of each step as plain data with SI keys, for JSON."""
    return {
        **climbs_head(worth.name, worth.side, worth.angle),
        "connected": _table_data(worth.connected),
        "released": _table_data(worth.released) if worth.released else None,
    }


def worth_rows(worth: VehicleWorth) -> Sequence[Mapping[str, str | float]]:
    """One row an input and state of the bars, for CSV."""
    return [
        {
            "bars": table.bars,
            "input": row.step.name,
            "step": row.step.words,
            "present_SI": row.present,
            "points_more": row.up,
            "points_less": row.down,
            "remark": remark(row, table),
        }
        for table in each_state(worth)
        for row in table.rows
    ]
