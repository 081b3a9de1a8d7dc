"""One hand for every figure: sizes by medium, colours with line styles and markers, and how a figure becomes bytes.

Colours are those of Okabe and Ito ("Color Universal Design", 2008; codes from memory), but for the purple: theirs
(#cc79a7) is too light for words on white, so ours is darker. A line style or marker says the same again, and labels
stand at what they name. Text is drawn as outlines in SVG, so that it looks alike wherever it is opened and no
label moves; what the picture says is in its title and description instead.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from html import escape
from typing import TYPE_CHECKING, Any, Literal, cast

import matplotlib as mpl
import numpy as np
from matplotlib import font_manager
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D
from matplotlib.patheffects import withStroke
from matplotlib.spines import Spine
from matplotlib.text import Text
from matplotlib.textpath import text_to_path
from matplotlib.ticker import MaxNLocator

from articulate.brief import Brief
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.output.visible import visible

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK, MUTED, FAINT, PAPER_WHITE = "#1a1a1a", "#5c5c5c", "#c8c8c8", "#ffffff"
BLUE, VERMILION, GREEN, PURPLE, ORANGE, SKY = "#0072b2", "#d55e00", "#009e73", "#aa4499", "#e69f00", "#56b4e9"
RAMP, RAMP_SIDE, FLOOR, TYRE = "#dcd6c8", "#cbc4b3", "#f5f4f1", "#8a8f94"

WHEEL_COLOURS = (BLUE, GREEN, VERMILION, INK)  # front left, front right, rear left, rear right
LIFTS = VERMILION  # the wheel that lifts, where colours do not tell the wheels apart
WHEEL_DASHES: tuple[Any, ...] = ("-", (0, (5, 1.5)), "-", (0, (1.2, 1.2)))
WHEEL_MARKERS = ("o", "s", "D", "^")
WHEEL_SHORT = ("FL", "FR", "RL", "RR")


# The first comes with matplotlib; the others are asked for letters it lacks, where they are installed.
FONTS = ("DejaVu Sans", "Noto Sans CJK JP", "Noto Sans CJK SC", "WenQuanYi Zen Hei", "Droid Sans Fallback")

_NOTE_SIZE, _NOTE_LINE, _NOTE_EDGE = 0.8, 1.15, 0.4  # of lines at the foot, in type sizes
SMALLEST = 0.7  # of the type size, of words that must be fitted in


@dataclass(frozen=True)
class Medium:
    """Where a picture goes: its width [in], resolution of a PNG, base type size [pt], and a fixed height if any.

    `lengths` are the units in which whoever looks at it thinks.
    """

    name: str
    width: float
    dots_per_inch: int
    type_size: float
    height: float | None = None
    lengths: Lengths = MILLIMETRES_FIRST

    def points(self, share: float) -> float:
        """A length [pt] as a share of the type size."""
        return share * self.type_size

    def inches(self, share: float) -> float:
        """A length [in] as a share of the type size."""
        return share * self.type_size / 72.0

    @property
    def width_in_type(self) -> float:
        """Width of the picture in type sizes."""
        return self.width * 72.0 / self.type_size


PAPER = Medium("paper", 160.0 / 25.4, 300, 7.5)  # across a page of A4
PAGE = Medium("page", 12.0, 100, 13.5)  # 1200 pixels
VIDEO = Medium("video", 19.2, 100, 23.0, 10.8)  # 1920 x 1080
SQUARE = Medium("square", 10.8, 100, 21.0, 10.8)  # 1080 x 1080
UPRIGHT = Medium("upright", 10.8, 100, 25.0, 19.2)  # 1080 x 1920
MEDIA = {medium.name: medium for medium in (PAPER, PAGE, VIDEO)}
AUDIENCE = {medium.name: medium for medium in (VIDEO, SQUARE, UPRIGHT)}  # for pictures with one message


@cache
def _fonts() -> list[str]:
    """Families for text, those that are installed."""
    there = set(font_manager.get_font_names())
    return [name for name in FONTS if name in there]


def _changed() -> dict[Any, Any]:
    """What the user's configuration says otherwise than the library's defaults, as these have it.

    `rcdefaults` would first read all of the library's styles. The backend is none of a figure that brings its own
    canvas, and to ask for it would load all that windows take.
    """
    defaults = ((name, value) for name, value in mpl.rcParamsDefault.items() if name != "backend")
    return {name: value for name, value in defaults if mpl.rcParams[name] != value}


@contextmanager
def hand(medium: Medium) -> Iterator[None]:
    """Draw inside this: the library's own defaults plus ours, whatever the user's configuration says."""
    with mpl.rc_context(), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")  # `missing_letters` tells
        mpl.rcParams.update(_changed())
        line = medium.points(0.085)
        mpl.rcParams.update(
            {
                "font.family": _fonts(),
                "font.size": medium.type_size,
                "axes.titlesize": medium.type_size,
                "axes.labelsize": medium.type_size,
                "xtick.labelsize": medium.type_size * 0.92,
                "ytick.labelsize": medium.type_size * 0.92,
                "text.color": INK,
                "axes.labelcolor": INK,
                "axes.edgecolor": MUTED,
                "xtick.color": MUTED,
                "ytick.color": MUTED,
                "xtick.labelcolor": INK,
                "ytick.labelcolor": INK,
                "axes.linewidth": line,
                "lines.linewidth": medium.points(0.16),
                "lines.markersize": medium.points(0.5),
                "patch.linewidth": line,
                "hatch.linewidth": line,
                "xtick.major.width": line,
                "ytick.major.width": line,
                "xtick.major.size": medium.points(0.3),
                "ytick.major.size": medium.points(0.3),
                "axes.spines.top": False,
                "axes.spines.right": False,
                "axes.unicode_minus": True,
                "axes.facecolor": "none",
                "figure.dpi": medium.dots_per_inch,
                "text.parse_math": False,  # a name with two dollar signs is no formula
                "svg.hashsalt": "articulate",
                "svg.fonttype": "path",
                "path.simplify": False,
            }
        )
        yield


@dataclass(frozen=True, eq=False, repr=False)
class Picture(Brief):
    """A finished figure: the same input gives the same bytes."""

    figure: Figure
    medium: Medium
    title: str
    description: str  # what it shows, for people who cannot see it
    transparent: bool = False
    caption: str = ""  # a finished sentence to stand under it; the title where there is none

    def __post_init__(self) -> None:
        """Foreign text is made visible; without a background words and lines get an edge, as it may be dark behind."""
        for text in self.figure.findobj(Text):
            text.set_text(visible(text.get_text()))
        if not self.transparent:
            return
        for text in self.figure.findobj(Text):
            if not text.get_path_effects():
                text.set_path_effects(halo(self.medium))
        for line in self.figure.findobj(lambda one: isinstance(one, Line2D | Spine) and one.get_linestyle() != "None"):
            width = self.medium.points(0.12) + float(cast("Line2D", line).get_linewidth())
            line.set_path_effects([withStroke(linewidth=width, foreground=PAPER_WHITE)])

    def noted(self, under: Sequence[str]) -> Picture:
        """The picture with lines at its foot, in room added for them; they are whole in the description.

        A medium of a fixed height has to be drawn `with_room` for them first.
        """
        width, height = self.figure.get_size_inches()
        added = self.medium.inches(_NOTE_LINE * len(under) + _NOTE_EDGE)
        whole = height + added
        for axes in self.figure.axes:
            box = axes.get_position(original=True)
            axes.set_position((box.x0, (box.y0 * height + added) / whole, box.width, box.height * height / whole))
        for text in self.figure.texts:
            text.set_y((text.get_position()[1] * height + added) / whole)
        self.figure.set_size_inches(width, whole)
        left, wide = self.medium.inches(0.8) / width, width - self.medium.inches(1.6)
        with hand(self.medium):
            for k, line in enumerate(reversed(under)):
                y = self.medium.inches(_NOTE_LINE * k + _NOTE_EDGE) / whole
                size = self.medium.points(_NOTE_SIZE)
                fitted(self.figure.text(left, y, visible(line), va="bottom", color=MUTED, fontsize=size), wide)
        words = f"{self.description} {' '.join(f'{line}.' for line in under)}".strip()
        grown = None if self.medium.height is None else self.medium.height + added
        return replace(self, medium=replace(self.medium, height=grown), description=words)

    @property
    def missing_letters(self) -> str:
        """Letters that no font here has, which are drawn as boxes; they are whole in title and description."""
        paths = [font_manager.findfont(name) for name in _fonts()]
        there = {code for path in paths for code in font_manager.get_font(path).get_charmap()}
        said = "".join(text.get_text() for text in self.figure.findobj(Text))
        return "".join(sorted({letter for letter in said if letter.isprintable() and ord(letter) not in there}))

    def svg(self) -> str:
        """The picture as an SVG document with title and description."""
        text = io.StringIO()
        with hand(self.medium):
            FigureCanvasSVG(self.figure)
            self.figure.savefig(text, format="svg", metadata={"Date": None}, transparent=self.transparent)
        head, mark, rest = text.getvalue().partition("<svg ")
        opening, _, body = rest.partition(">")
        title, description = escape(visible(self.title)), escape(visible(self.description))
        words = f"<title>{title}</title>\n <desc>{description}</desc>"
        return f'{head}{mark}role="img" {opening}>\n {words}{body}'

    def png(self) -> bytes:
        """The picture as a PNG file."""
        data = io.BytesIO()
        with hand(self.medium):
            FigureCanvasAgg(self.figure)
            self.figure.savefig(
                data,
                format="png",
                dpi=self.medium.dots_per_inch,
                metadata={"Software": None, "Title": self.title, "Description": self.description},
                transparent=self.transparent,
            )
        return data.getvalue()

    def data(self, form: Literal["svg", "png"]) -> bytes:
        """The picture as the bytes of a file."""
        return self.svg().encode("utf-8") if form == "svg" else self.png()


def with_room(medium: Medium, under: Sequence[str]) -> Medium:
    """The medium less the room that `Picture.noted` adds, where its height is fixed."""
    if medium.height is None:
        return medium
    return replace(medium, height=medium.height - medium.inches(_NOTE_LINE * len(under) + _NOTE_EDGE))


def sheet(medium: Medium, height_in_type: float, transparent: bool) -> Figure:
    """An empty figure: as wide as the medium, and as high as asked unless the medium has a height of its own."""
    from matplotlib.figure import Figure  # noqa: PLC0415 films do without it and all that its axes load

    height = medium.height if medium.height is not None else medium.inches(height_in_type)
    figure = Figure(figsize=(medium.width, height), facecolor="none" if transparent else PAPER_WHITE)
    FigureCanvasAgg(figure)
    return figure


def drawn_width(text: Text) -> float:
    """Width of a text [in]."""
    figure = text.get_figure(root=True)
    assert figure is not None
    return float(text.get_window_extent().width / figure.dpi)


@cache
def _advance(letter: str, families: tuple[str, ...], weight: Any) -> float:
    """Width of a letter as its outline has it, in type sizes."""
    font = FontProperties(family=list(families), weight=weight, size=1.0)
    return float(text_to_path.get_text_width_height_descent(letter, font, ismath=False)[0])


def _surely_within(text: Text, width: float) -> bool:
    """Whether a text is narrower than that [in] though each letter were a pixel wider; quicker than to lay it out."""
    figure, families = text.get_figure(root=True), tuple(text.get_fontfamily())
    assert figure is not None
    words, weight = text.get_text(), text.get_fontweight()
    em = sum(_advance(letter, families, weight) for letter in words)
    return em * float(text.get_fontsize()) / 72.0 + len(words) / figure.dpi <= width


def halo(medium: Medium) -> list[Any]:
    """A white edge around text or lines that cross others."""
    return [withStroke(linewidth=medium.points(0.28), foreground=PAPER_WHITE)]


def fit(
    words: str, size: float, width: float, measured: Callable[[str, float], float], kept: str = ""
) -> tuple[str, float]:
    """Words and a type size no wider than `width`: made smaller, and cut where small type would not do.

    Args:
        words: without `kept`, which ends them and is not cut unless it is too long by itself.
        size: type size.
        width: what there is room for.
        measured: width of words at a type size.
        kept: the end.
    """
    text, least = words + kept, SMALLEST * size
    wide = measured(text, size)
    while wide > width and size > least:  # not in one step: hinting rounds widths
        size = max(size * min(width / wide, 0.99), least)
        wide = measured(text, size)
    while wide > width and words:
        words = words[:-1]
        text = words.rstrip() + "…" + kept
        wide = measured(text, size)
    return fit(text, size, width, measured) if kept and wide > width else (text, size)


def fitted(text: Text, width: float, kept: str = "") -> Text:
    """A text that is `fit` into a width [in], as it is last measured."""

    def measured(words: str, size: float) -> float:
        text.set_text(words)
        text.set_fontsize(size)
        return drawn_width(text)

    if not _surely_within(text, width):
        fit(text.get_text().removesuffix(kept), float(text.get_fontsize()), width, measured, kept)
    return text


def heading(figure: Figure, medium: Medium, title: str, under: Sequence[str] = ()) -> float:
    """Title and the lines under it at the upper left; returns the lower edge as a share of the height.

    In a title that is too long what stands before its last colon, a vehicle's name, is cut.
    """
    height = figure.get_size_inches()[1]
    top = 1.0 - medium.inches(0.7) / height
    left, wide = medium.inches(0.8) / medium.width, medium.width - medium.inches(1.6)
    said = "".join(title.rpartition(": ")[1:]) if ": " in title else ""
    fitted(figure.text(left, top, title, va="top", fontsize=medium.points(1.25), weight="bold"), wide, said)
    y = top - medium.inches(1.9) / height
    for line in under:
        fitted(figure.text(left, y, line, va="top", color=MUTED), wide)
        y -= medium.inches(1.45) / height
    return float(y)


def place(figure: Figure, medium: Medium, left: float, bottom: float, right: float, top: float) -> Axes:
    """Axes with margins in type sizes; `top` is a share of the height, as `heading` returns it."""
    width, height = figure.get_size_inches()
    x, y = medium.inches(left) / width, medium.inches(bottom) / height
    return figure.add_axes((x, y, 1.0 - x - medium.inches(right) / width, top - y))


def lines(axes: Axes, u: float, v: float, words: Sequence[str], em: float, right: bool = False, **style: Any) -> None:
    """Lines of text below one another, the first at height v, in axes whose units are `em` to the type size."""
    for row, line in enumerate(words):
        axes.text(u, v - 1.3 * row * em, line, ha="right" if right else "left", va="center", zorder=10, **style)


def size(axes: Axes) -> tuple[float, float]:
    """Width and height of axes [in]."""
    figure = axes.get_figure(root=True)
    assert figure is not None
    width, height = figure.get_size_inches()
    box = axes.get_position()
    return float(box.width * width), float(box.height * height)


def few_ticks(most: int = 6) -> MaxNLocator:
    """At most so many steps between round numbers on a scale."""
    return MaxNLocator(nbins=most, steps=[1, 2, 2.5, 5, 10])


def thin() -> float:
    """Width of a thin line in the figure that is being drawn [pt]."""
    return float(mpl.rcParams["axes.linewidth"])


def thick() -> float:
    """Width of an ordinary line in the figure that is being drawn [pt]."""
    return float(mpl.rcParams["lines.linewidth"])


def marker() -> float:
    """Size of a marker in the figure that is being drawn [pt]."""
    return float(mpl.rcParams["lines.markersize"])


def type_size() -> float:
    """Base type size of the figure that is being drawn [pt]."""
    return float(mpl.rcParams["font.size"])


def spread(wanted: Sequence[float], gap: float, low: float = -np.inf, high: float = np.inf) -> list[float]:
    """Places near the wanted ones, in their order, no two nearer than `gap`, within low and high where they fit.

    Least total squared displacement: neighbours that would overlap are pooled into blocks about their mean.
    """
    order = np.argsort(wanted, kind="stable")
    blocks: list[list[float]] = []  # [sum of (wanted - offset), count]
    for index, item in enumerate(order):
        blocks.append([float(wanted[item]) - index * gap, 1.0])
        while len(blocks) > 1 and blocks[-2][0] / blocks[-2][1] > blocks[-1][0] / blocks[-1][1]:
            last = blocks.pop()
            blocks[-1] = [blocks[-1][0] + last[0], blocks[-1][1] + last[1]]
    upper = high - (len(order) - 1) * gap
    level = [min(max(total / count, low), max(upper, low)) for total, count in blocks for _ in range(int(count))]
    found = [0.0] * len(order)
    for index, item in enumerate(order):
        found[int(item)] = level[index] + index * gap
    return found
