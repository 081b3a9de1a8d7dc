"""A canvas that keeps lines, faces and numbers and paints all of them at once, for many frames in little time.

The functions that draw a scene on axes draw it here as well. What they draw is kept as outlines in pixels and
painted by one collection of paths, in the order of their heights: a tenth of the work of an artist each.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from matplotlib.collections import Collection
from matplotlib.colors import to_rgba
from matplotlib.font_manager import FontProperties
from matplotlib.patches import Polygon
from matplotlib.path import Path
from matplotlib.textpath import TextPath
from matplotlib.transforms import IdentityTransform
from numpy.typing import NDArray

from articulate.output.figures import theme
from articulate.output.figures.canvas import Outlines

Array = NDArray[np.float64]
Colour = tuple[float, float, float, float]

CLEAR: Colour = (0.0, 0.0, 0.0, 0.0)
WHITE: Colour = (1.0, 1.0, 1.0, 1.0)
DRAWN_AT = 100.0  # [pt], the size at which letters are kept
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

    def set_linewidth(self, width: float) -> None:
        """As a line's [pt]."""
        self.width = width

    def get_markersize(self) -> float:
        """As a line's [pt]."""
        return self.marker_size

    def set_markersize(self, size: float) -> None:
        """As a line's [pt]."""
        self.marker_size = size

    def set_markerfacecolor(self, colour: str) -> None:
        """As a line's."""
        self.face = to_rgba(colour)


@dataclass(frozen=True)
class _Outline:
    """One path as it is painted."""

    height: float
    path: Path
    face: Colour
    edge: Colour
    width: float  # [pt]
    dashes: Any = "-"
    line: bool = False


class Strokes:
    """What is drawn of one scene: metres are put on pixels, right and up from the lower left corner of the picture."""

    def __init__(self, left: float, bottom: float, per_metre: float, dots_per_inch: float) -> None:
        self.left, self.bottom, self.per_metre = left, bottom, per_metre
        self.dots_per_point = dots_per_inch / 72.0
        self._kept: list[KeptLine | tuple[Polygon, Array] | list[_Outline]] = []

    def pixels(self, points: Any) -> Array:
        """Places (..., 2) [m] on the picture [px]."""
        scaled: Array = (np.asarray(points, dtype=np.float64) * self.per_metre) + (self.left, self.bottom)
        return scaled

    def metres(self, pixels: Any) -> Array:
        """Places (..., 2) [px] in the units of the drawing [m]."""
        placed: Array = (np.asarray(pixels, dtype=np.float64) - (self.left, self.bottom)) / self.per_metre
        return placed

    def plot(self, across: Any, up: Any, **style: Any) -> list[KeptLine]:
        """A line or markers, as `Axes.plot`."""
        points = self.pixels(np.stack([np.atleast_1d(across), np.atleast_1d(up)], axis=-1))
        colour = to_rgba(style["color"]) if "color" in style else CLEAR
        marker = style.get("marker", "")
        width = style.get("linewidth", style.get("markeredgewidth", theme.thick()))
        edge = to_rgba(style["markeredgecolor"]) if "markeredgecolor" in style else colour
        size = style.get("markersize", theme.marker())
        dashes = style.get("linestyle", "-")
        made = KeptLine(points, colour, width, dashes, style.get("zorder", 2.0), marker, size, colour, edge)
        self._kept.append(made)
        return [made]

    def add_artist(self, patch: Polygon) -> Polygon:
        """A polygon, as `Axes.add_artist`; it is read when the frame is painted."""
        self._kept.append((patch, self.pixels(patch.get_xy())))
        return patch

    def add_collection(self, many: Collection, **_how: Any) -> None:
        """Lines or faces, as `Axes.add_collection`."""
        faces = many.get_facecolor() if np.size(many.get_facecolor()) else None
        width = float(np.atleast_1d(many.get_linewidth())[0])
        paths: list[Array] = [np.asarray(path.vertices) for path in many.get_paths()]
        self.add_outlines(paths, faces, many.get_edgecolor(), width, many.get_zorder())

    def add_outlines(self, shapes: Outlines, faces: Any, edges: Any, width: float, zorder: float) -> None:
        """Faces, or lines where they have no colour."""
        if not len(shapes):
            return
        joined = self.pixels(np.concatenate([*shapes]))
        placed = np.split(joined, np.cumsum([len(shape) for shape in shapes])[:-1])
        filled = [CLEAR] * len(shapes) if faces is None else _colours(faces, len(shapes))
        self._kept.append(
            [
                _Outline(zorder, Path(np.concatenate([points, points[:1]]) if faces is not None else points), face,
                    edge, width, line=faces is None)
                for points, face, edge in zip(placed, filled, _colours(edges, len(shapes)), strict=True)
            ]
        )  # fmt: skip

    def text(self, across: float, up: float, words: str, **style: Any) -> None:
        """A number or plain letters with a white edge, in metres, as `Axes.text`."""
        u, v = self.pixels([across, up])
        self.letters(float(u), float(v), words, float(style["fontsize"]), style)

    def letters(self, u: float, v: float, words: str, size: float, style: dict[str, Any]) -> None:
        """A number or plain letters from the pixel u, v: `ha`, `va` ("center" or the line they stand on), halo."""
        path, wide = _outlined(words, style.get("weight", "normal") == "bold")
        scale = size * self.dots_per_point / DRAWN_AT
        u -= {"left": 0.0, "center": 0.5, "right": 1.0}[style.get("ha", "left")] * wide * scale
        v -= 0.36 * DRAWN_AT * scale if style.get("va") == "center" else 0.0
        placed = Path(np.asarray(path.vertices) * scale + (u, v), path.codes)
        colour, height = to_rgba(style.get("color", theme.INK)), style.get("zorder", 10.0)
        made = [_Outline(height, placed, colour, CLEAR, 0.0)]
        if style.get("halo"):
            made.insert(0, _Outline(height, placed, CLEAR, WHITE, HALO * theme.type_size()))
        self._kept.append(made)

    def outlines(self, halo: bool) -> list[_Outline]:
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
                [_Outline(one.height, one.path, CLEAR, WHITE, one.width + wider), one]
                if one.line and one.edge != CLEAR and one.height >= OVER_ALL
                else [one]
            )
        ]

    def _of(self, kept: KeptLine | tuple[Polygon, Array] | list[_Outline]) -> Iterator[_Outline]:
        if isinstance(kept, list):
            yield from kept
        elif isinstance(kept, KeptLine):
            yield from self._of_stroke(kept)
        else:
            patch, points = kept
            yield _Outline(
                patch.get_zorder(),
                Path(points),
                to_rgba(patch.get_facecolor()) if patch.get_fill() else CLEAR,
                to_rgba(patch.get_edgecolor()),
                patch.get_linewidth(),
                patch.get_linestyle(),
            )

    def _of_stroke(self, kept: KeptLine) -> Iterator[_Outline]:
        if kept.dashes != "none" and len(kept.points) > 1:
            yield _Outline(kept.height, Path(kept.points), CLEAR, kept.colour, kept.width, kept.dashes, line=True)
        if kept.marker in ("o", "v"):
            shape = (ROUND if kept.marker == "o" else DOWN) * 0.5 * kept.marker_size * self.dots_per_point
            for point in kept.points:
                yield _Outline(kept.height, Path(point + shape), kept.face, kept.edge, theme.thin())


def _colours(found: Any, count: int) -> list[Colour]:
    """A colour for each path; those of a collection go round."""
    if isinstance(found, str):
        return [to_rgba(found)] * count
    made: list[Colour] = [(float(one[0]), float(one[1]), float(one[2]), 1.0 if len(one) == 3 else float(one[3]))
        if not isinstance(one, str) else to_rgba(one) for one in found]  # fmt: skip
    return [made[k % len(made)] for k in range(count)]


def paint(renderer: Any, outlines: list[_Outline]) -> None:
    """Paint outlines in their order, all at once."""
    graphics = renderer.new_gc()
    still = IdentityTransform().frozen()
    renderer.draw_path_collection(
        graphics,
        still,
        [one.path for one in outlines],
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


def _dashes(one: _Outline) -> tuple[float, list[float] | None]:
    """Dashes as a collection has them, by the width of the line [pt]."""
    if isinstance(one.dashes, str):
        return 0.0, None
    start, lengths = one.dashes
    return start * one.width, [length * one.width for length in lengths]


@cache
def _letter(letter: str, bold: bool) -> tuple[Array, NDArray[np.uint8], float]:
    """Outline of a letter at 100 pt, and how far the next one stands from it."""
    font = FontProperties(family=theme.FONTS[0], weight="bold" if bold else "normal")

    def right(words: str) -> float:
        return float(TextPath((0.0, 0.0), words, size=DRAWN_AT, prop=font).get_extents().x1)

    wide = right(f"|{letter}|") - right("||")
    if letter.isspace():
        return np.empty((0, 2)), np.empty(0, dtype=np.uint8), wide
    path = TextPath((0.0, 0.0), letter, size=DRAWN_AT, prop=font)
    return np.asarray(path.vertices), np.asarray(path.codes), wide


def _outlined(words: str, bold: bool) -> tuple[Path, float]:
    """Letters one after the other without kerning, as numbers have it, and their width, at 100 pt."""
    at, points, codes = 0.0, [np.empty((0, 2))], [np.empty(0, dtype=np.uint8)]
    for letter in words:
        outline, how, wide = _letter(letter, bold)
        points.append(outline + np.array([at, 0.0]))
        codes.append(how)
        at += wide
    return Path(np.concatenate(points), np.concatenate(codes)), at


def width_of(words: str, size: float, *, bold: bool = False) -> float:
    """Width of letters as `Strokes.text` sets them [pt], at a type size [pt]."""
    return _outlined(words, bold)[1] * size / DRAWN_AT
