"""What an answer holds for: the test's conditions, the vehicle files and what was set in them. One renderer for all."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from articulate.output.layout import finite, wrapped
from articulate.output.plain_data import estimate_data
from articulate.output.text.source_files import file_words, marked, of_drive, sheet_lines, sources_data
from articulate.output.units import MILLIMETRES_FIRST, Lengths, lengths_of
from articulate.spec.quantities import Estimate
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.studies.population.conditions import Conditions
from articulate.types import SIDES

if TYPE_CHECKING:
    from articulate.measure.run_sheet import RunSheet
    from articulate.output.command_data import ConditionData

MOST_SETTINGS, LONGEST_NAMED = 4, 60  # of the short form; [letters] of one setting or file name


@dataclass(frozen=True)
class Stated:
    """The test, the vehicle files and the run sheets of one answer; `also` is what the command alone can be told."""

    conditions: Conditions
    side: str
    specs: tuple[VehicleSpec, ...]
    also: tuple[str, ...] = ()
    lengths: Lengths = MILLIMETRES_FIRST
    sheets: tuple[RunSheet, ...] = ()


def stated(
    conditions: Conditions,
    side: str,
    specs: Sequence[VehicleSpec],
    also: Sequence[str] = (),
    lengths: Lengths | None = None,
    sheets: Sequence[RunSheet] = (),
) -> Stated:
    """The record of an answer; a vehicle that stands twice is named once, and lengths go by the files."""
    once = tuple({id(spec): spec for spec in specs}.values())
    return Stated(conditions, side, once, tuple(also), lengths or lengths_of(specs), tuple(sheets))


def _share(held: Stated) -> str:
    known = [spec.drive is not None for spec in held.specs]
    share = held.conditions.holding_share
    if held.conditions.share_by_drive and known and all(known):
        return "holding share by the drive"
    also = " or by the drive" if held.conditions.share_by_drive and any(known) else ""
    return f"holding share {as_typed(share)}{also}"


def as_typed(estimate: Estimate) -> str:
    """A quantity as it was typed; a tolerance is told to be one."""
    return f"{estimate.text} (limits)" if "±" in estimate.text or "+-" in estimate.text else estimate.text


def condition_words(held: Stated) -> str:
    """The test in one sentence: side, ramp, touch load, holding share, friction, and what else was chosen."""
    test = held.conditions
    parts = [
        f"{held.side} front wheel, ramp {as_typed(test.ramp_angle)}",
        f"touch load {as_typed(test.touch_load)}",
        _share(held),
    ]
    if math.isfinite(test.length):
        parts.append(f"ramp {held.lengths.far(test.length).partition(',')[0]} long")
    if any(spec.drive is not None for spec in held.specs):
        parts.append(f"friction {as_typed(test.friction)}")
    return ", ".join([*parts, *held.also])


def condition_lines(held: Stated) -> list[str]:
    """The conditions in a line or two, a line for each vehicle file, for what was set in it, for each run sheet."""
    lines = [wrapped(f"test: {condition_words(held)}")]
    for spec in held.specs:
        lines.append(wrapped(f"file: {file_words(spec)}", whole_words=True))
        if spec.settings:
            lines.append(wrapped(f"  set: {'; '.join(spec.settings)}", "    "))
    return [*lines, *sheet_lines(held.sheets)]


def condition_short(held: Stated, settings: int = MOST_SETTINGS) -> str:
    """The same in a line or two for a page with little room; of many settings the first, and how many more."""
    parts = [condition_words(held)]
    for spec in held.specs:
        parts.append(file_words(spec, _shortened(Path(spec.path).name)))
        named = [_shortened(one) for one in spec.settings[:settings]]
        more = len(spec.settings) - len(named)
        also = [f"and {more} more"] if more else []
        parts += [f"set: {', '.join([*named, *also])}"] if named else []
    for sheet in held.sheets:
        parts.append(f"run sheet {marked(_shortened(Path(sheet.path).name), sheet.document.text_hash)}")
    return "; ".join(parts)


def _shortened(text: str) -> str:
    return text if len(text) <= LONGEST_NAMED else text[: LONGEST_NAMED - 1] + "…"


def condition_notes(held: Stated) -> list[str]:
    """The same in rows for the foot of a figure: the test, with the drive that all have, then two files a row."""
    drives = list(dict.fromkeys(map(of_drive, held.specs)))
    shared = f"; {drives[0]}" if len(drives) == 1 else ""
    files = []
    for spec in held.specs:
        own = f", {of_drive(spec)}" if len(drives) > 1 else ""
        changed = f", set: {'; '.join(spec.settings)}" if spec.settings else ""
        files.append(f"{marked(spec.path, spec.text_hash)}{own}{changed}")
    files += [marked(sheet.path, sheet.document.text_hash) for sheet in held.sheets]
    return [f"{condition_words(held)}{shared}", *("; ".join(files[k : k + 2]) for k in range(0, len(files), 2))]


def with_conditions(table: str, held: Stated) -> str:
    """A table with what it holds for before its last paragraph, the caution."""
    return before_caution(table, condition_lines(held))


def before_caution(table: str, lines: Sequence[str]) -> str:
    """A table with a paragraph more before its last one; as it is where there is nothing to say."""
    head, _, caution = table.rpartition("\n\n")
    return "\n".join([head, "", *lines, "", caution]) if lines else table


def condition_data(held: Stated) -> ConditionData:
    """Conditions and files as plain data [SI], for JSON."""
    test = held.conditions
    return {
        "conditions": {
            "side": held.side if held.side in SIDES else "both",
            "ramp_angle_rad": estimate_data(test.ramp_angle),
            "holding_share": estimate_data(test.holding_share),
            "touch_load_N": estimate_data(test.touch_load),
            "friction": estimate_data(test.friction),
            "holding_share_by_drive": test.share_by_drive,
            "ramp_length_m": finite(test.length),
            "also": list(held.also),
        },
        **sources_data(held.specs, held.sheets),
    }
