"""Frames of a film as pixels: for an audience the score, one sentence and the vehicle; on a page its loads beside it.

A frame has one pane, or two that share a scale. What stays from frame to frame, the words, is painted once and kept as
pixels; ground, vehicle and numbers are strokes, painted over it all at once. Only where there are strokes are pixels
touched and copied, for most of a picture is empty.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import RendererAgg
from numpy.typing import NDArray
from PIL import Image

from articulate.output.figures import theme
from articulate.output.figures.audience import frame as room_of
from articulate.output.figures.drawing import Manner, draw_scene
from articulate.output.figures.projection import Projection
from articulate.output.figures.theme import AUDIENCE, Medium, hand
from articulate.output.film.shots import Card, Pane, Shot
from articulate.output.film.strokes import Outline, Strokes, bounds, paint, width_of
from articulate.output.visible import visible
from articulate.types import WHEELS

Pixels = NDArray[np.uint8]
Corner = tuple[int, int]  # left and upper edge [px]
Progress = Callable[[int, int], None]

PAGE = Medium("page", 9.6, 100, 11.5, 5.4)  # 960 x 540
MEDIA = {PAGE.name: PAGE, **AUDIENCE}
NUMBER = {"page": 4.2, "video": 6.0, "square": 7.0, "upright": 9.0}  # type sizes of the score
TWO = 0.68  # of that where two share the picture
SENTENCE = {"page": 1.5, "video": 1.9, "square": 1.9, "upright": 1.9}
LOADS = 15.0  # type sizes, of the column with the loads
NOTE = 0.8  # type sizes, of the lines that say what the film holds for
LETTER = 0.56  # width of a letter in type sizes, no fewer in running text
TWO_LINES = 0.6
LINE = 1.2  # type sizes, from line to line of a sentence
FLAG = 1.1  # type sizes, of the words at a mark
WIDEST = "0000"  # a score has no more digits; its sentence stands beside or below this


@dataclass(frozen=True)
class _Box:
    """A part of the picture, in pixels from its lower left corner."""

    left: float
    bottom: float
    right: float
    top: float


@dataclass(frozen=True, eq=False)
class FilmFrame:
    """A picture in parts, RGB, or RGBA where the background is left out.

    Frames whose words are the same share one `below`.
    """

    below: Image.Image
    parts: tuple[tuple[Image.Image, Corner], ...] = ()  # that lie on it, and where

    def whole(self) -> Image.Image:
        """The picture."""
        return laid_on(self.below, self.parts)


def laid_on(below: Image.Image, parts: Iterable[tuple[Image.Image, Corner]]) -> Image.Image:
    """A copy of an image with parts laid on it, each with its upper left corner there."""
    seen = below.copy()
    for part, corner in parts:
        seen.paste(part, corner)
    return seen


def in_parts(
    pictured: Sequence[Shot | Card],
    medium: Medium = PAGE,
    progress: Progress | None = None,
    notes: Sequence[str] = (),
    transparent: bool = False,
    order: Sequence[int] | None = None,
) -> Iterator[FilmFrame]:
    """The frames of a film.

    Args:
        pictured: the shots and cards.
        medium: one of `MEDIA`.
        progress: is told how many of how many are done.
        notes: what the film holds for: on a page under every frame, else on the cards alone.
        transparent: no background.
        order: in which they are drawn, by their numbers; as they follow one another if None.
    """
    with hand(medium):
        sheet = _Sheet([shot for shot in pictured if isinstance(shot, Shot)], medium, notes, transparent)
        for done, number in enumerate(range(len(pictured)) if order is None else order, 1):
            shot = pictured[number]
            yield sheet.card(shot) if isinstance(shot, Card) else sheet.frame(shot)
            if progress is not None:
                progress(done, len(pictured))


def frames(
    pictured: Sequence[Shot | Card], medium: Medium = PAGE, notes: Sequence[str] = (), transparent: bool = False
) -> Iterator[Pixels]:
    """The frames as pixels, (height, width, 3), or 4 with how opaque they are; arguments as of `in_parts`."""
    return (np.asarray(frame.whole()) for frame in in_parts(pictured, medium, None, notes, transparent))


class _Sheet:
    """What all frames share: their places, one scale, and their words."""

    def __init__(self, pictured: Sequence[Shot], medium: Medium, notes: Sequence[str], transparent: bool) -> None:
        assert medium.height is not None
        self.medium, self.notes, self.transparent = medium, list(notes), transparent
        if medium.name != PAGE.name:  # on the cards, where there is room for all of them
            columns = int((medium.width_in_type - 2.0 * 0.9) / (NOTE * LETTER))
            self.notes = [line for note in notes for line in textwrap.wrap(note, columns, subsequent_indent="   ")]
        self.width, self.height = medium.width * medium.dots_per_inch, medium.height * medium.dots_per_inch
        self.em = medium.inches(1.0) * medium.dots_per_inch  # [px]
        make: Any = RendererAgg
        self.renderer = make(round(self.width), round(self.height), medium.dots_per_inch)
        self.written = self._nothing()
        self.panes = len(pictured[0].panes)
        self.loads = medium.name == PAGE.name and self.panes == 1
        self.landscape = self.width > self.height
        self.number = NUMBER[medium.name] * (1.0 if self.panes == 1 else TWO)
        self.foot = (1.25 * len(self.notes) + 0.8) * self.em if medium.name == PAGE.name else 0.5 * self.em
        self.boxes = self._boxes()
        rooms = np.array([room_of(pane.scene, "side") for shot in _few(pictured) for pane in shot.panes])
        low, high = rooms.min(axis=0), rooms.max(axis=0)
        self.room = (float(low[0]), float(high[1]), float(low[2]), float(high[3]))  # one for all: toes and floors align
        self.per_metre = min(self._scale(box) for box in self.boxes)
        first = pictured[0].panes[0].scene
        self.rest = first.load
        self.most = 1.02 * max(float(pane.scene.load.max()) for shot in pictured for pane in shot.panes)
        self._said: dict[tuple[Any, ...], tuple[Pixels, Image.Image]] = {}
        self._load_words: dict[int, Pixels] = {}  # by the wheel that lifts
        self._empty = self._clear().copy()
        self._noted = self._with_notes()

    def _boxes(self) -> list[_Box]:
        """One pane, two beside each other on a landscape picture, else one above the other."""
        edge, high = 0.9 * self.em, self.height - self.foot
        if self.panes == 1:
            right = self.width - (LOADS + 2.2) * self.em if self.loads else self.width - edge
            return [_Box(edge, self.foot, right, self.height - edge)]
        if self.landscape:
            middle = self.width / 2.0
            return [
                _Box(edge, self.foot, middle - edge / 2.0, self.height - edge),
                _Box(middle + edge / 2.0, self.foot, self.width - edge, self.height - edge),
            ]
        half = self.foot + high / 2.0
        return [
            _Box(edge, half + edge / 2.0, self.width - edge, self.height - edge),
            _Box(edge, self.foot, self.width - edge, half - edge / 2.0),
        ]

    def _beside(self) -> bool:
        """Whether the sentence stands beside the score, else below it."""
        return self.landscape and self.panes == 1

    def _words_high(self) -> float:
        """Height of score and sentences [px]."""
        below = 0.0 if self._beside() else 1.5 * SENTENCE[self.medium.name] + 1.7
        return (1.02 * self.number + below) * self.em

    def _scale(self, box: _Box) -> float:
        left, right, bottom, top = self.room
        high = box.top - box.bottom - self._words_high()
        return min((box.right - box.left) / (right - left), high / (top - bottom))

    def frame(self, shot: Shot) -> FilmFrame:
        """One shot."""
        said = tuple((pane.name, pane.state, pane.sentence, pane.lifting) for pane in shot.panes)
        if said not in self._said:
            words = self._words(shot)
            self._said[said] = words, self._taken(words)
        words, below = self._said[said]
        strokes = [one for pane, box in zip(shot.panes, self.boxes, strict=True) for one in self._moving(pane, box)]
        outlines = [one.outlines(self.transparent) for one in strokes]
        places = [self._place(one) for one in outlines]
        seen = np.asarray(self.renderer.buffer_rgba())
        for place in places:
            seen[place] = words[place]
        for one in outlines:
            paint(self.renderer, one)
        parts = [(self._taken(seen[rows, columns]), (columns.start, rows.start)) for rows, columns in places]
        return FilmFrame(below, tuple(parts))

    def _place(self, outlines: Sequence[Outline]) -> tuple[slice, slice]:
        """Rows and columns of the picture that outlines touch."""
        left, right, bottom, top = bounds(outlines, self.medium.dots_per_inch)
        rows = slice(max(math.floor(self.height - top), 0), math.ceil(self.height - bottom))
        return rows, slice(max(math.floor(left), 0), math.ceil(right))

    def _taken(self, seen: Pixels) -> Image.Image:
        high, wide, _ = seen.shape
        form, given = ("RGBA", "RGBA") if self.transparent else ("RGB", "RGBX")
        return Image.frombytes(form, (wide, high), np.ascontiguousarray(seen), "raw", given)

    def _clear(self) -> Pixels:
        """The empty picture of the renderer, to be drawn on."""
        seen = np.asarray(self.renderer.buffer_rgba())
        seen[:] = 255
        if self.transparent:
            seen[:, :, 3] = 0
        return seen

    def _nothing(self) -> Strokes:
        """Strokes in pixels, none yet."""
        return Strokes(0.0, 0.0, 1.0, self.medium.dots_per_inch)

    def _width(self, words: str, size: float, bold: bool) -> float:
        """Width of words [px] at a type size [pt]."""
        return width_of(words, size, bold=bold) * self.medium.dots_per_inch / 72.0

    def _fitted(self, words: str, size: float, wide: float, bold: bool, kept: str = "") -> tuple[str, float]:
        """Words and a size [pt] so that they are at most `wide` [px]: smaller, then cut; all of `kept` ends them."""
        return theme.fit(words, size, wide, lambda text, points: self._width(text, points, bold), kept)

    def _write(self, u: float, v: float, words: str, size: float, **style: Any) -> None:
        """Words from a pixel, in a type size [pt]."""
        self.written.words(u, v, words, size, {"halo": self.transparent, **style})

    def _write_lines(self, u: float, rows: Sequence[tuple[float, str]], wide: float, size: float, **style: Any) -> None:
        """Lines at their heights [px], all as small as the smallest, cut where still wider than `wide` [px]."""
        bold = style.get("weight") == "bold"
        fitted = [self._fitted(visible(words), size, wide, bold) for _, words in rows]
        for (v, _), (words, _) in zip(rows, fitted, strict=True):
            self._write(u, v, words, min(least for _, least in fitted), **style)

    def _sentence(self, u: float, v: float, words: str, wide: float, size: float, colour: str) -> None:
        """A sentence, whole whatever its length: made smaller, in two lines where one would be too small."""
        lines = [words]
        if self._width(words, size, bold=True) * theme.SMALLEST > wide:
            lines = textwrap.wrap(words, len(words) // 2 + 6)
            size *= TWO_LINES  # as high as one
        size *= min(1.0, 0.98 * wide / max(self._width(line, size, bold=True) for line in lines))
        for row, line in enumerate(lines):
            lower = LINE * (row - 0.5 * (len(lines) - 1)) * size / self.medium.type_size * self.em
            self._write(u, v - lower, line, size, va="center", color=colour, weight="bold")

    def _drawn(self, upon: Pixels) -> Pixels:
        """What is written, painted upon pixels; what is written next begins anew."""
        seen = np.asarray(self.renderer.buffer_rgba())
        seen[:] = upon
        paint(self.renderer, self.written.outlines(halo=False))
        self.written = self._nothing()
        return seen.copy()

    def _words(self, shot: Shot) -> Pixels:
        """Everything of a frame that stays while its sentences do."""
        medium, em = self.medium, self.em
        below = self._noted if medium.name == PAGE.name else self._empty
        if self.loads:
            below = self._with_loads(shot.panes[0].lifting)
        small = SENTENCE[medium.name] * (1.0 if self.panes == 1 else 0.85)
        for pane, box in zip(shot.panes, self.boxes, strict=True):
            colour = theme.LIFTS if pane.lifting >= 0 else theme.INK
            tall = 1.02 * self.number * em
            u, v, under = box.left, box.top - tall - 0.5 * small * em, box.top - tall - (1.45 * small + 0.2) * em
            if self._beside():
                u += (width_of(WIDEST, self.number, bold=True) + 1.2) * em
                v, under = box.top - 0.34 * tall, box.top - 0.74 * tall
            wide = (self.width - 0.9 * em if self._beside() else box.right) - u
            self._sentence(u, v, pane.sentence, wide, medium.points(small), colour)
            kept = f", {pane.state}, predicted"
            name, size = self._fitted(visible(pane.name), medium.type_size, wide, bold=False, kept=kept)
            self._write(u, under, name, size, va="center", color=theme.MUTED)
        return self._drawn(below)

    def _with_loads(self, lifting: int) -> Pixels:
        """The picture with the notes and the words beside the wheel loads, one of them emphasised."""
        if lifting not in self._load_words:
            u, top = self.width - (LOADS + 0.9) * self.em, self._loads_top()
            size, title = self.medium.type_size, top + 1.1 * self.em
            self._write(u, title, "wheel loads, | at rest", size, va="center", color=theme.MUTED)
            for wheel in range(4):
                lifts = wheel == lifting
                colour, weight = theme.LIFTS if lifts else theme.INK, "bold" if lifts else "normal"
                v = top - wheel * self._row() - 0.7 * self.em
                self._write(u, v, WHEELS[wheel], size, va="center", color=colour, weight=weight)
            self._load_words[lifting] = self._drawn(self._noted)
        return self._load_words[lifting]

    def _with_notes(self) -> Pixels:
        """The empty picture with the notes at its foot: most of the letters of a film, drawn once."""
        em, size = self.em, self.medium.points(NOTE)
        rows = [((0.45 + 1.25 * row) * em, line) for row, line in enumerate(reversed(self.notes))]
        self._write_lines(0.9 * em, rows, self.width - 1.8 * em, size, va="bottom", color=theme.MUTED)
        return self._drawn(self._empty)

    def _moving(self, pane: Pane, box: _Box) -> list[Strokes]:
        """What of a pane moves, in parts that lie apart: the vehicle on the ramp, the score, the loads."""
        left, right, bottom, top = self.room
        medium, per_metre = self.medium, self.per_metre
        spare_u = box.right - box.left - (right - left) * per_metre
        spare_v = box.top - self._words_high() - box.bottom - (top - bottom) * per_metre
        u, v = box.left + 0.5 * spare_u - left * per_metre, box.bottom + 0.45 * spare_v - bottom * per_metre
        scene, *others = (Strokes(u, v, per_metre, medium.dots_per_inch) for _ in range(3 if self.loads else 2))
        far = 0.5 * spare_u / per_metre
        metre_em = self.em / per_metre
        manner = Manner(medium, metre_em, plain=True)
        draw_scene(scene, pane.scene, "side", manner, pane.lifting, left - far, right + far)
        self._marks(scene, pane, metre_em)
        style = {"weight": "bold", "color": theme.INK, "halo": self.transparent}
        size = self.number * medium.type_size
        others[0].letters(box.left, box.top - 0.80 * self.number * self.em, pane.points, size, style)
        if self.loads:
            self._loads(others[1], pane)
        return [scene, *others]

    def _marks(self, strokes: Strokes, pane: Pane, em: float) -> None:
        """Marks made so far, as flags below the ramp's surface, the second apart from the first."""
        project = Projection(pane.scene, "side")
        downhill = -float(project.right[0])
        for number, (climb, words) in enumerate(pane.marks):
            slope = np.array([math.cos(pane.scene.angle), 0.0, math.sin(pane.scene.angle)])
            u, v = project(climb * slope)
            low = v - min(2.4 * em, 0.92 * max(v, 0.0))
            strokes.plot([u, u], [v, low], color=theme.INK, linewidth=theme.thin() * 1.5, zorder=11)
            beside = downhill if number == 0 or climb < pane.marks[0][0] else -downhill
            strokes.text(
                u + 0.4 * beside * em,
                low + 0.45 * em,
                words,
                ha="left" if beside > 0.0 else "right",
                va="center",
                weight="bold",
                fontsize=FLAG * self.medium.type_size,
                zorder=11,
                halo=True,
            )

    def _loads_top(self) -> float:
        return self.boxes[0].top - self._words_high() - 2.0 * self.em

    def _row(self) -> float:
        """Height of the rows of the wheel loads [px]."""
        return min(3.6 * self.em, (self._loads_top() - self.boxes[0].bottom) / 4.0)

    def _loads(self, strokes: Strokes, pane: Pane) -> None:
        """Bars of the four loads at the right, the tick where they were at rest."""
        em = self.em
        u, long = self.width - (LOADS + 0.9) * em, LOADS * em / self.most
        for wheel in range(4):
            load = float(pane.scene.load[wheel])
            v = self._loads_top() - wheel * self._row()
            lifts = wheel == pane.lifting
            style = {"color": theme.LIFTS if lifts else theme.INK, "weight": "bold" if lifts else "normal",
                "va": "center", "halo": self.transparent, "ha": "right"}  # fmt: skip
            strokes.letters(u + LOADS * em, v - 0.7 * em, f"{load:.0f} N", self.medium.type_size, style)
            low, high, end = v - 2.5 * em, v - 1.5 * em, u + load * long
            bar = strokes.metres([[u, low], [end, low], [end, high], [u, high]])
            colour = theme.LIFTS if lifts else theme.TYRE
            strokes.add_polygon(bar, colour, colour, 3, 0.0)
            at = u + self.rest[wheel] * long
            tick = strokes.metres([[at, low - 0.2 * em], [at, high + 0.2 * em]])
            strokes.plot(*tick.T, color=theme.INK, linewidth=theme.thin() * 2.0)

    def card(self, card: Card) -> FilmFrame:
        """A card: the vehicle's name, something large, lines below it, and what it holds for at the foot."""
        em, medium = self.em, self.medium
        u, wide = 1.8 * em, self.width - 3.6 * em
        v = self.height * (0.90 if self.landscape else 0.80)
        self._write_lines(u, [(v, card.name)], wide, medium.points(1.6), va="top", weight="bold")
        v -= 3.4 * em
        size = medium.points(self.number if self.panes == 1 else self.number / TWO)
        size = min(size, medium.points(5.5 if self.landscape else 7.0))
        size *= min(1.0, wide / self._width(card.large, size, bold=True))
        self._write(u, v, card.large, size, va="top", weight="bold")
        v -= 1.35 * size / medium.type_size * em
        rows = [(v - 2.1 * row * em, line) for row, line in enumerate(card.lines)]
        self._write_lines(u, rows, wide, medium.points(1.5), va="top")
        return FilmFrame(self._taken(self._drawn(self._noted)))


def _few(pictured: Sequence[Shot]) -> Sequence[Shot]:
    """Some of the shots, the first, the last and those that stay among them: what is seen lies within theirs."""
    held = [shot for shot in pictured if shot.seconds > 1.0]
    return [*pictured[:: max(len(pictured) // 4, 1)], *held, pictured[-1]]
