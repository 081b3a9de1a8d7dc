"""The page for the ramp as one self-contained HTML file."""

from __future__ import annotations

from typing import Any

from articulate.output.report.page import embedded_json, render_page

PACKAGE = "articulate.output.ramp_page"
SCRIPTS = (
    "qrcode.js",
    "measure.js",
    "outlook.js",
    "day.js",
    "run_sheet.js",
    "asking.js",
    "tilt.js",
    "screens.js",
    "start.js",
)


def ramp_page_html(data: Any) -> str:
    """The page.

    Args:
        data: as `content.page_data` makes it.

    Returns:
        HTML that needs nothing but itself; the same data give the same bytes.
    """
    return render_page(
        "ramp_page.html.jinja",
        ["ramp_page.css"],
        SCRIPTS,
        PACKAGE,
        title=data["sheet"]["vehicle"],
        data=embedded_json(data),
    )
