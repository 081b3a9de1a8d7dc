"""A canvas that keeps lines, faces, numbers and words and paints all of them at once, for many frames in little time.

The functions that draw a scene on axes draw it here as well. What they draw is kept as outlines in pixels and
painted by one collection of paths, in the order of their heights: a tenth of the work of an artist each.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, NamedTuple

import numpy as np
from matplotlib.colors import to_rgba
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path
from matplotlib.transforms import IdentityTransform
from numpy.typing import NDArray

from articulate.output.figures import theme
from articulate.output.figures.canvas import Outlines

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Colour = tuple[float, float, float, float]
_Letters = tuple[Array, NDArray[np.uint8], float]  # points at 100 pt, codes of a path through them, width

CLEAR: Colour = (0.0, 0.0, 0.0, 0.0)
WHITE: Colour = (1.0, 1.0, 1.0, 1.0)
DRAWN_AT = text_to_path.FONT_SCALE  # [pt], the size at which letters are kept
LINE_BELOW = {"center": 0.36, "top": 0.76, "bottom": -0.24}  # type sizes, where letters stand
HALO = 0.28  # of the type size, the white edge of numbers; lines have 0.12, as in pictures without a background
LINE_HALO = 0.12
OVER_ALL = 6.0  # height from which lines stand before vehicle and background: ground, square and marks
ROUND = np.stack([np.cos(np.linspace(0.0, 2.0 * np.pi, 25)), np.sin(np.linspace(0.0, 2.0 * np.pi, 25))], axis=-1)
DOWN = np.array([[-1.0, 1.0], [1.0, 1.0], [0.0, -1.0], [-1.0, 1.0]])


@dataclass
class KeptLine:
    """A line or a row of markers, with those of a line's own setters that the drawing uses."""

    points: Array  # (k, 2) [px]
    colour: Colour
    width: float  # [pt]
    dashes: Any
    height: float  # in the pile of what is drawn
    marker: str
    marker_size: float  # [pt]
    face: Colour
    edge: Colour

    def set_gid(self, _name: str) -> None:
        """Names serve tests of pictures alone."""

    def set_linestyle(self, style: Any) -> None:
        """As a line's."""
        self.dashes = style

    def get_markersize(self) -> float:
        """As a line's [pt]."""
        return self.marker_size

    def set_markersize(self, size: float) -> None:
        """As a line's [pt]."""
        self.marker_size = size

    def set_markerfacecolor(self, colour: str) -> None:
        """As a line's."""
        self.face = rgba(colour)


class Outline(NamedTuple):
    """One path as it is painted."""

    height: float
    points: Array  # (k, 2) [px]
    face: Colour
    edge: Colour
    width: float = 0.0  # [pt]
    dashes: Any = "-"
    line: bool = False
    codes: NDArray[np.uint8] | None = None  # of a letter's curves; None for straight lines


class _Way(NamedTuple):
    """What a renderer reads of a path. A `Path` looks its points over, which takes longer than to paint some."""

    vertices: Array
    codes: NDArray[np.uint8] | None
    should_simplify: bool = False
    simplify_threshold: float = 0.0


class Strokes:
    """What is drawn of one scene: metres are put on pixels, right and up from the lower left corner of the picture."""

    def __init__(self, left: float, bottom: float, per_metre: float, dots_per_inch: float) -> None:
        self.corner, self.per_metre = np.array([left, bottom]), per_metre
        self.dots_per_point = dots_per_inch / 72.0
        self._kept: list[KeptLine | list[Outline]] = []

    def pixels(self, points: Any) -> Array:
        """Places (..., 2) [m] on the picture [px]."""
        scaled: Array = np.asarray(points, dtype=np.float64) * self.per_metre + self.corner
        return scaled

    def metres(self, pixels: Any) -> Array:
        """Places (..., 2) [px] in the units of the drawing [m]."""
        placed: Array = (np.asarray(pixels, dtype=np.float64) - self.corner) / self.per_metre
        return placed

    def plot(self, across: Any, up: Any, **style: Any) -> list[KeptLine]:
        """A line or markers, as `Axes.plot`."""
        points = self.pixels(np.array([across, up], dtype=np.float64).reshape(2, -1).T)
        colour = rgba(style["color"]) if "color" in style else CLEAR
        marker = style.get("marker", "")
        width = style.get("linewidth", style.get("markeredgewidth", theme.thick()))
        edge = rgba(style["markeredgecolor"]) if "markeredgecolor" in style else colour
        size = style.get("markersize", theme.marker())
        dashes = style.get("linestyle", "-")
        made = KeptLine(points, colour, width, dashes, style.get("zorder", 2.0), marker, size, colour, edge)
        self._kept.append(made)
        return [made]

    def add_polygon(
        self, points: Array, face: str | None, edge: str, zorder: float, width: float, dashes: Any = "-"
    ) -> None:
        """One face, or its edge alone where it has no colour."""
        ring = self.pixels(np.concatenate([points, points[:1]]) if (points[0] != points[-1]).any() else points)
        self._kept.append([Outline(zorder, ring, CLEAR if face is None else rgba(face), rgba(edge), width, dashes)])

    def add_outlines(self, shapes: Outlines, faces: Any, edges: Any, width: float, zorder: float) -> None:
        """Faces, or lines where they have no colour."""
        if not len(shapes):
            return
        order, places = _one_after_the_other(tuple(map(len, shapes)), faces is not None)
        joined = self.pixels(np.concatenate([*shapes]))[order]
        filled = [CLEAR] * len(shapes) if faces is None else _colours(faces, len(shapes))
        self._kept.append(
            [
                Outline(zorder, joined[place], face, edge, width, line=faces is None)
                for place, face, edge in zip(places, filled, _colours(edges, len(shapes)), strict=True)
            ]
        )

    def text(self, across: float, up: float, words: str, **style: Any) -> None:
        """A number or plain letters with a white edge, in metres, as `Axes.text`."""
        u, v = self.pixels([across, up])
        self.letters(float(u), float(v), words, float(style["fontsize"]), style)

    def letters(self, u: float, v: float, words: str, size: float, style: dict[str, Any]) -> None:
        """A number or plain letters from the pixel u, v in a type size [pt], each as wide as it is alone.

        style: `ha` ("left", "center", "right"), `va` ("center", "top", "bottom", or the line they stand on), `weight`,
        `color`, `zorder`, and whether they have a `halo`.
        """
        self._set(u, v, _outlined(words, style.get("weight") == "bold"), size, style)

    def words(self, u: float, v: float, words: str, size: float, style: dict[str, Any]) -> None:
        """Words as they are set in running text; arguments as of `letters`."""
        points, codes = _path(words, style.get("weight") == "bold")
        self._set(u, v, (points, codes, _right(points)), size, style)

    def _set(self, u: float, v: float, letters: _Letters, size: float, style: dict[str, Any]) -> None:
        points, codes, wide = letters
        scale = size * self.dots_per_point / DRAWN_AT
        u -= {"left": 0.0, "center": 0.5, "right": 1.0}[style.get("ha", "left")] * wide * scale
        v -= LINE_BELOW.get(style.get("va", ""), 0.0) * DRAWN_AT * scale
        placed = points * scale + (u, v)
        colour, height = rgba(style.get("color", theme.INK)), style.get("zorder", 10.0)
        made = [Outline(height, placed, colour, CLEAR, codes=codes)]
        if style.get("halo"):
            made.insert(0, Outline(height, placed, CLEAR, WHITE, HALO * theme.type_size(), codes=codes))
        self._kept.append(made)

    def outlines(self, halo: bool) -> list[Outline]:
        """All that was drawn, the lowest first; `halo` gives lines a white edge, as what is behind may be dark."""
        found = [one for kept in self._kept for one in self._of(kept)]
        found.sort(key=lambda one: one.height)
        if not halo:
            return found
        wider = LINE_HALO * theme.type_size()
        return [
            part
            for one in found
            for part in (
                [one._replace(face=CLEAR, edge=WHITE, width=one.width + wider, dashes="-", line=False), one]
                if one.line and one.edge != CLEAR and one.height >= OVER_ALL
                else [one]
            )
        ]

    def _of(self, kept: KeptLine | list[Outline]) -> Iterator[Outline]:
        if isinstance(kept, list):
            yield from kept
            return
        if kept.dashes != "none" and len(kept.points) > 1:
            yield Outline(kept.height, kept.points, CLEAR, kept.colour, kept.width, kept.dashes, line=True)
        if kept.marker in ("o", "v"):
            shape = (ROUND if kept.marker == "o" else DOWN) * 0.5 * kept.marker_size * self.dots_per_point
            for point in kept.points:
                yield Outline(kept.height, point + shape, kept.face, kept.edge, theme.thin())


@cache
def rgba(colour: str) -> Colour:
    """A named colour."""
    return to_rgba(colour)


@lru_cache(maxsize=64)  # a film draws the same shapes again and again
def _one_after_the_other(lengths: tuple[int, ...], closed: bool) -> tuple[Places, tuple[slice, ...]]:
    """In which order points of shapes stand, the first of a closed one at its end too, and the places of each."""
    order: list[int] = []
    places, begin = [], 0
    for length in lengths:
        own = [*range(begin, begin + length), *([begin] if closed else [])]
        places.append(slice(len(order), len(order) + len(own)))
        order += own
        begin += length
    return np.array(order), tuple(places)


def _colours(found: Any, count: int) -> list[Colour]:
    """A colour for each path, from (count, 3) of them or one for all."""
    if isinstance(found, str):
        return [rgba(found)] * count
    return [(red, green, blue, 1.0) for red, green, blue in found.tolist()]


def bounds(outlines: Sequence[Outline], dots_per_inch: float) -> tuple[float, float, float, float]:
    """Left, right, bottom and top [px] of what outlines touch as they are painted."""
    u, v = np.concatenate([one.points for one in outlines]).T
    half = 0.5 * max(one.width for one in outlines) * dots_per_inch / 72.0
    beyond = half + 1.0  # edges are blurred
    return u.min() - beyond, u.max() + beyond, v.min() - beyond, v.max() + beyond


def paint(renderer: Any, outlines: list[Outline]) -> None:
    """Paint outlines in their order, all at once."""
    graphics = renderer.new_gc()
    still = IdentityTransform().frozen()
    renderer.draw_path_collection(
        graphics,
        still,
        [_Way(one.points, one.codes) for one in outlines],
        np.empty((0, 3, 3)),
        np.zeros((1, 2)),
        still,
        np.array([one.face for one in outlines]).reshape(-1, 4),
        np.array([one.edge for one in outlines]).reshape(-1, 4),
        [one.width if one.edge[3] > 0.0 else 0.0 for one in outlines],
        [_dashes(one) for one in outlines],
        [True],
        [None],
        "screen",
    )
    graphics.restore()


def _dashes(one: Outline) -> tuple[float, list[float] | None]:
    """Dashes as a collection has them, by the width of the line [pt]."""
    if isinstance(one.dashes, str):
        return 0.0, None
    start, lengths = one.dashes
    return start * one.width, [length * one.width for length in lengths]


@lru_cache(maxsize=512)
def _path(words: str, bold: bool) -> tuple[Array, NDArray[np.uint8]]:
    """Outlines of words at 100 pt, points and codes; of blanks none, of which a `TextPath` cannot be made."""
    outline: Any = text_to_path.get_text_path
    points, codes = outline(FontProperties(weight="bold" if bold else "normal"), words)
    return np.asarray(points).reshape(-1, 2), np.asarray(codes, dtype=np.uint8)


def _right(points: Array) -> float:
    """The right edge of words at 100 pt."""
    return float(points[:, 0].max(initial=0.0))


@cache
def _letter(letter: str, bold: bool) -> _Letters:
    """Outline of a letter at 100 pt, and how far the next one stands from it."""
    return *_path(letter, bold), _right(_path(f"|{letter}|", bold)[0]) - _right(_path("||", bold)[0])


def _outlined(words: str, bold: bool) -> _Letters:
    """Letters one after the other without kerning, as numbers have it, and their width, at 100 pt."""
    at, points, codes = 0.0, [np.empty((0, 2))], [np.empty(0, dtype=np.uint8)]
    for letter in words:
        outline, how, wide = _letter(letter, bold)
        points.append(outline + np.array([at, 0.0]))
        codes.append(how)
        at += wide
    return np.concatenate(points), np.concatenate(codes), at


def width_of(words: str, size: float, *, bold: bool = False) -> float:
    """Width of words as `Strokes.words` sets them [pt], at a type size [pt]."""
    return _right(_path(words, bold)[0]) * size / DRAWN_AT
