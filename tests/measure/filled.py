"""A run sheet filled in: the template of the tool with a day and readings of our own."""

from __future__ import annotations

from articulate.measure.sheet_template import SheetHead, sheet_template

READINGS = ('["22 7/16 in", "22 3/8 in", "22 1/2 in"]', '["23 3/16 in"]', '["25 in", "25 1/16 in"]', '["25 3/4 in"]')


def filled(vehicle: str = "Larkfell 5", date: str = "2026-05-14") -> str:
    """The template of a vehicle on a day, with readings."""
    text = sheet_template(SheetHead(vehicle)).replace('date = ""', f"date = {date}", 1)
    for reading in READINGS:
        text = text.replace("mark_height = []", f"mark_height = {reading}", 1)
    return text
