"""The test-day sheet as a PDF of two pages, plan and readings, laid out by hand without a browser; same bytes."""

from __future__ import annotations

import functools
import io
import re
from collections.abc import Callable, Sequence
from typing import Any

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont
from matplotlib.ft2font import FT2Font
from matplotlib.patches import Circle, Polygon, Rectangle
from matplotlib.textpath import TextToPath

from articulate.output.sheet.content import Sheet
from articulate.output.sheet.ramp_sketch import Label, Ring, Sketch, Stroke, ramp_sketch
from articulate.output.visible import visible
from articulate.studies.day.plan import DayPlan

PAPER_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
MARGIN, GUTTER = 9.0, 4.0  # [mm]
INK, SOFT, LINE, ACCENT, TINT = "#16181a", "#565d63", "#9aa1a6", "#0b5c7a", "#eef3f5"
MM_PER_POINT = 25.4 / 72.0
BODY = 7.0  # [pt]
LARGEST, SMALLEST = 1.3, 0.6  # of the body size, so that the content fills the page or fits it
SMALL = 0.86  # of the body size, for what is looked up rather than read
SETTINGS: Any = {"pdf.fonttype": 42, "text.parse_math": False, "font.family": "DejaVu Sans"}
WRITERS_ROOM = (9.0, 22.0)  # [mm], least and largest height of a line to write on, with gloves
READINGS_SCALE = 1.3  # of letters beside the ramp, to be read at arm's length


@functools.cache
def _font(bold: bool) -> FontProperties:
    return FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")


@functools.cache
def _glyphs(bold: bool) -> frozenset[int]:
    return frozenset(FT2Font(findfont(_font(bold))).get_charmap())


@functools.cache
def _width_per_point(text: str, bold: bool) -> float:
    """Width of a text [mm] at a size of one point."""
    width, _, _ = TextToPath().get_text_width_height_descent(text, _sized(bold, 100.0), ismath=False)
    return float(width) / 100.0 * MM_PER_POINT


def _sized(bold: bool, size: float) -> FontProperties:
    font = _font(bold).copy()
    font.set_size(size)
    return font


def _printable(text: str, bold: bool) -> str:
    """The text with characters that the font does not have written out as their code points."""
    glyphs = _glyphs(bold)
    return "".join(c if ord(c) in glyphs or c == "\n" else f"‹U+{ord(c):04X}›" for c in visible(text))


def _wrapped(text: str, width: float, size: float, bold: bool) -> list[str]:
    """The text in lines of at most this width [mm]; words too long for a line are cut."""

    def fits(line: str) -> bool:
        return _width_per_point(line, bold) * size <= width

    lines, line = [], ""
    for word in re.split(r"[ \n]+", _printable(text, bold).strip()):  # a no-break space holds
        rest = word
        if line and fits(f"{line} {rest}"):
            line = f"{line} {rest}"
            continue
        if line:
            lines.append(line)
        while not fits(rest) and len(rest) > 1:
            low, high = 1, len(rest) - 1  # the most letters that fit, one at least
            while low < high:
                middle = (low + high + 1) // 2
                low, high = (middle, high) if fits(rest[:middle]) else (low, middle - 1)
            cut = low
            lines.append(rest[:cut])
            rest = rest[cut:]
        line = rest
    return [*lines, line] if line or not lines else lines


class _Column:
    """A column of the page that is filled from the top; lengths in mm, y downwards."""

    def __init__(self, axes: Axes | None, x: float, y: float, width: float, scale: float) -> None:
        self.axes, self.x, self.y, self.width, self.scale = axes, x, y, width, scale

    def lines(self, text: str, size: float = BODY, bold: bool = False, colour: str = INK, indent: float = 0.0) -> None:
        """Flowing text."""
        points = size * self.scale
        step = points * MM_PER_POINT * 1.24
        for line in _wrapped(text, self.width - indent, points, bold):
            self.y += step
            if self.axes is not None:
                self.axes.text(
                    self.x + indent,
                    self.y - 0.26 * step,
                    line,
                    size=points,
                    color=colour,
                    weight="bold" if bold else "normal",
                    va="baseline",
                )

    def heading(self, text: str) -> None:
        self.gap(1.0)
        self.lines(text, BODY * 1.06, bold=True, colour=ACCENT)
        self.gap(0.3)

    def gap(self, room: float) -> None:
        self.y += room * self.scale

    def items(self, texts: Sequence[str], numbered: bool = False, bold: bool = False) -> None:
        """A list."""
        indent = 3.4 * self.scale
        for number, text in enumerate(texts, 1):
            top = self.y
            _Column(self.axes, self.x, top, indent, self.scale).lines(f"{number}." if numbered else "•")
            self.lines(text, indent=indent, bold=bold)
            self.gap(0.2)

    def row(self, cells: Sequence[str], widths: Sequence[float], bold: bool = False) -> None:
        """A row of a table with a rule below it; the first cell is its label."""
        bottom, x = self.y, self.x
        for number, (cell, width) in enumerate(zip(cells, widths, strict=True)):
            part = _Column(self.axes, x, self.y, width - 1.5, self.scale)
            part.lines(cell, bold=bold and number > 0, colour=SOFT if number == 0 else INK)
            bottom, x = max(bottom, part.y), x + width
        self.y = bottom + 0.7 * self.scale
        self.rule()
        self.gap(0.1)

    def rule(self, width: float = 0.35, colour: str = LINE) -> None:
        if self.axes is not None:
            self.axes.plot([self.x, self.x + self.width], [self.y, self.y], color=colour, linewidth=width)

    def boxes(self, labels: Sequence[str], columns: int, height: float) -> None:
        """Boxes to write in, their labels small at the top left."""
        for first in range(0, len(labels), columns):
            for place, label in enumerate(labels[first : first + columns]):
                width = self.width / columns
                x = self.x + place * width
                if self.axes is not None:
                    self.axes.add_patch(Rectangle((x, self.y), width, height, fill=False, ec=LINE, lw=0.5))
                part = _Column(self.axes, x + 0.8, self.y + 0.2, width - 1.6, self.scale)
                part.lines(label, BODY * 0.86, colour=SOFT)
            self.y += height

    def sketch(self, sketch: Sketch) -> None:
        """The sketch across the column."""
        scale = self.width / (sketch.right - sketch.left)
        left, top = self.x - sketch.left * scale, self.y + sketch.top * scale
        self.y += (sketch.top - sketch.bottom) * scale
        if self.axes is None:
            return
        for shape in sketch.shapes:
            if isinstance(shape, Stroke):
                points = [(left + x * scale, top - z * scale) for x, z in shape.points]
                if shape.pen == "ramp":
                    self.axes.add_patch(Polygon(points, fc=TINT, ec=INK, lw=0.7))
                else:
                    colour, width, dash = _PENS[shape.pen]
                    x, y = zip(*points, strict=True)
                    self.axes.plot(x, y, color=colour, linewidth=width, linestyle=dash, solid_capstyle="butt")
            elif isinstance(shape, Ring):
                filled = shape.pen == "mark"
                place = (left + shape.centre[0] * scale, top - shape.centre[1] * scale)
                self.axes.add_patch(
                    Circle(
                        place,
                        shape.radius * scale,
                        fill=filled,
                        fc=ACCENT,
                        ec="white" if filled else SOFT,
                        lw=0.8,
                        zorder=4,
                    )
                )
            elif isinstance(shape, Label):
                self.axes.text(
                    left + shape.at[0] * scale,
                    top - shape.at[1] * scale,
                    _printable(shape.text, False),
                    size=4.9,
                    color=INK,
                    ha={"start": "left", "middle": "center", "end": "right"}[shape.anchor],
                )


_PENS = {
    "floor": (INK, 0.8, "-"),
    "guide": (SOFT, 0.5, (0, (4, 3))),
    "band": ("#85adbc", 3.2, "-"),
    "mark": (ACCENT, 0.8, "-"),
    "wheel": (SOFT, 0.8, "-"),
}


def _head(page: _Column, sheet: Sheet, kind: str, kind_size: float, title_size: float) -> None:
    """What stands over either side: its kind, the vehicle, what its numbers hold for; sizes in those of the body."""
    page.lines(kind, BODY * kind_size, colour=SOFT)
    page.lines(sheet.title, BODY * title_size, bold=True)
    page.lines(sheet.subtitle, colour=SOFT)
    if sheet.conditions:
        page.lines(sheet.conditions, BODY * SMALL, colour=SOFT)
    page.gap(0.6)
    page.rule(1.2, INK)


def _top(page: _Column, sheet: Sheet) -> None:
    _head(page, sheet, "TEST-DAY SHEET", 0.9, 1.9)
    page.gap(1.2)
    start = page.y
    letters = [sum(map(len, sheet.cautions[:k])) for k in range(len(sheet.cautions) + 1)]
    middle = min(range(len(letters)), key=lambda k: abs(letters[k] - 0.5 * letters[-1]))
    inner = (page.width - 3 * GUTTER / 2) / 2
    ends = []
    for place, part in enumerate((sheet.cautions[:middle], sheet.cautions[middle:])):
        column = _Column(page.axes, page.x + 1.5 + place * (inner + GUTTER / 2), start + 0.8, inner, page.scale)
        column.lines("First" if place == 0 else " ", bold=True)
        column.items(part)
        ends.append(column.y)
    page.y = max(ends) + 0.8
    if page.axes is not None:
        page.axes.add_patch(Rectangle((page.x, start), page.width, page.y - start, fill=False, ec=INK, lw=1.0))
    if sheet.warnings:
        page.heading("Mind, with this vehicle")
        page.items(sheet.warnings, bold=True)
    page.heading("Where the marks are expected")
    label = page.width * 0.22
    widths = [label, *([(page.width - label) / len(sheet.columns)] * len(sheet.columns))]
    page.row(["", *sheet.columns], widths, bold=True)
    for number, row in enumerate(sheet.expected):
        page.row([row.label.strip(), *row.cells], widths, bold=number < 2)


def _middle(page: _Column, sheet: Sheet, sketch: Sketch) -> None:
    room = page.width - 2 * GUTTER
    widths = [room * 4 / 13, room * 4 / 13, room * 5 / 13]

    def ramp(column: _Column) -> None:
        column.heading("Ramp needed")
        column.sketch(sketch)
        for row in sheet.ramp:
            column.row([row.label, *row.cells], [column.width * 0.55, column.width * 0.45])
        column.heading("Clearance to watch")
        column.items(sheet.clearance)

    def order(column: _Column) -> None:
        column.heading("Order of the runs")
        column.items(sheet.order, numbered=True)

    def bring(column: _Column) -> None:
        column.heading("Bring")
        column.items(sheet.bring)
        column.heading("Measure")
        column.items(sheet.measure)

    parts: list[Callable[[_Column], None]] = [ramp, order, bring]
    x, ends = page.x, []
    for fill, width in zip(parts, widths, strict=True):
        column = _Column(page.axes, x, page.y, width, page.scale)
        fill(column)
        ends.append(column.y)
        x += width + GUTTER
    page.y = max(ends)


RUNG = (0.37, 0.40, 0.23)  # of a column of the ladder: a mark by either tape, sixteenths on one line, and its score


def _ladder(page: _Column, sheet: Sheet) -> None:
    """The rungs in columns, read downwards."""
    columns = 3
    deep = -(-len(sheet.ladder) // columns)
    width = (page.width - (columns - 1) * GUTTER) / columns
    top, ends = page.y, [page.y]
    for place in range(columns):
        column = _Column(page.axes, page.x + place * (width + GUTTER), top, width, page.scale)
        for rung in sheet.ladder[place * deep : (place + 1) * deep]:
            column.row([rung.label, *rung.cells], [share * width for share in RUNG], bold=True)
        ends.append(column.y)
    page.y = max(ends)


def _readings(page: _Column, sheet: Sheet, bottom: float) -> None:
    """The side that is written on; its lines share what room the rest leaves."""
    _head(page, sheet, "READINGS", 0.8, 1.6)
    page.gap(0.8)
    page.lines(sheet.stop, BODY * 1.05, bold=True)
    page.gap(1.0)
    rest = _Column(None, page.x, 0.0, page.width, page.scale)
    _below_readings(rest, sheet)
    head = 6.5
    rows = -(-len(sheet.vehicle_boxes) // 4) + len(sheet.run_rows)
    height = min(max((bottom - rest.y - head - page.y) / rows, WRITERS_ROOM[0]), WRITERS_ROOM[1])
    page.boxes(sheet.vehicle_boxes, 4, height)
    page.gap(1.0)
    columns = len(sheet.run_columns) + 1
    page.boxes(["bars, run", *sheet.run_columns], columns, 4.6)
    for label in sheet.run_rows:
        page.boxes([label, *[""] * (columns - 1)], columns, height)
    _below_readings(page, sheet)


def _below_readings(page: _Column, sheet: Sheet) -> None:
    page.heading("From the mark to the score")
    page.lines(sheet.factor, bold=True)
    page.gap(0.5)
    _ladder(page, sheet)
    page.gap(0.8)
    page.lines(sheet.readings_go, BODY * 0.8)
    page.lines(sheet.stamp, BODY * 0.66, colour=SOFT)


def _plan(axes: Axes | None, sheet: Sheet, sketch: Sketch, paper: tuple[float, float], scale: float) -> float:
    """Fill the page of the plan; returns where its content ends [mm]."""
    page = _Column(axes, MARGIN, MARGIN, paper[0] - 2 * MARGIN, scale)
    _top(page, sheet)
    _middle(page, sheet, sketch)
    return page.y


def _blank(paper: tuple[float, float]) -> tuple[Figure, Axes]:
    """A page whose data coordinates are millimetres from its upper left corner."""
    figure = Figure(figsize=(paper[0] / 25.4, paper[1] / 25.4))
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(0.0, paper[0])
    axes.set_ylim(paper[1], 0.0)
    axes.set_axis_off()
    return figure, axes


def sheet_pdf(sheet: Sheet, plan: DayPlan, paper: str = "a4") -> bytes:
    """The sheet as a PDF of two pages: the plan, and the readings for its back.

    Args:
        sheet: its content.
        plan: for the sketch.
        paper: "a4" or "letter".

    Returns:
        The file's bytes; letters of the plan grow or shrink, to 60 % at the least, with the content.
    """
    size = PAPER_MM[paper]
    sketch = ramp_sketch(plan, sheet.lengths)
    file = io.BytesIO()
    about = {"Title": f"Test day: {visible(sheet.title)}", "Creator": "articulate", "CreationDate": None}
    with mpl.rc_context(SETTINGS), PdfPages(file, metadata=about) as pages:
        scale = LARGEST
        while scale > SMALLEST and _plan(None, sheet, sketch, size, scale) > size[1] - MARGIN:
            scale -= 0.02
        figure, axes = _blank(size)
        _plan(axes, sheet, sketch, size, scale)
        pages.savefig(figure)
        figure, axes = _blank(size)
        column = _Column(axes, MARGIN, MARGIN, size[0] - 2 * MARGIN, READINGS_SCALE)
        _readings(column, sheet, size[1] - MARGIN)
        pages.savefig(figure)
    return file.getvalue()
