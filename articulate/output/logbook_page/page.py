"""The page of a logbook as one self-contained HTML file."""

from __future__ import annotations

from articulate.output.logbook_page.content import bare_rows, page_data
from articulate.output.report.page import embedded_json, render_page
from articulate.output.text.logbook import Library

PACKAGE = "articulate.output.logbook_page"


def logbook_html(library: Library) -> str:
    """The page; the same results give the same bytes, and it needs nothing but itself."""
    data = page_data(library)
    return render_page(
        "logbook_page.html.jinja",
        ["hand.css", "logbook_page.css"],
        ["logbook_page.js"],
        PACKAGE,
        data=embedded_json(data),
        facts=data,
        bare=bare_rows(library),
        places=len(library.ranking.standings),
    )
