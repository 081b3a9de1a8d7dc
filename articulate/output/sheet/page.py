"""The test-day sheet as one printable HTML page: the plan, and the readings for its back."""

from __future__ import annotations

from typing import Literal

from articulate.output.report.drawing import sketch_svg
from articulate.output.report.page import render_page
from articulate.output.sheet.content import Sheet
from articulate.output.sheet.ramp_sketch import ramp_sketch
from articulate.studies.day.plan import DayPlan

Paper = Literal["a4", "letter"]
PAPERS: tuple[Paper, ...] = ("a4", "letter")


def sheet_html(sheet: Sheet, plan: DayPlan, paper: Paper = "a4") -> str:
    """The sheet as a page that prints on both sides of one paper."""
    return render_page(
        "test_day.html.jinja",
        ["sheet.css", f"paper_{paper}.css"],
        [],
        sheet=sheet,
        picture=sketch_svg(ramp_sketch(plan, sheet.lengths)),
    )
