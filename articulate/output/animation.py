"""The moving climb: up the ramp, the release of the bars there or on the floor and the second mark, loads beside it."""

from __future__ import annotations

import io
import math
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from numpy.typing import NDArray
from PIL import Image

from articulate.brief import Brief
from articulate.errors import ArticulateError
from articulate.output.figures import theme
from articulate.output.figures.drawing import arrow_space, draw_scene, extent
from articulate.output.figures.projection import Projection
from articulate.output.figures.scene import Scene, scenes
from articulate.output.figures.theme import VIDEO, Medium, hand
from articulate.output.figures.vehicle import fit
from articulate.prediction import Run
from articulate.shape.outline import BodyOutline
from articulate.studies.day.moving_climb import Stage
from articulate.types import WHEELS

Pixels = NDArray[np.uint8]
Progress = Callable[[int, int], None]

RATE = 12  # frames a second
HOLD, LAST_HOLD = 1.5, 3.0  # [s] at a mark
TITLE, CLOSING = 2.0, 4.0  # [s], cards
SMALL = Medium("moving", 9.6, 100, 11.5, 5.4)  # 960 x 540
COLOURS = 64  # of a GIF's palette
LOADS = 16.0  # type sizes, of the column with the loads
BEYOND_THE_LAST = 0.9  # [m] of ramp drawn beyond the last mark, where it goes on


class NoEncoderError(ArticulateError, RuntimeError):
    """No program on this machine makes MP4 files."""


@dataclass(frozen=True, eq=False, repr=False)
class Shot(Brief):
    """One frame: what is seen, its caption, how long it stays, and the marks made so far."""

    scene: Scene
    caption: str
    seconds: float
    marks: tuple[tuple[float, str], ...]  # climb [m] and words
    lifting: int


@dataclass(frozen=True)
class Card:
    """A frame of words."""

    large: str
    lines: tuple[str, ...]
    seconds: float
    lifting: int = -1


def with_cards(pictured: Sequence[Shot], stages: Sequence[Stage]) -> list[Shot | Card]:
    """The shots between a title card and a closing card with the scores, and what releasing the bars gains."""
    scene = pictured[0].scene
    title = Card("How far up?", (f"{scene.side} front wheel up a {math.degrees(scene.angle):g}° ramp,",
        "until another wheel is about to leave the ground", "predicted, not measured"), TITLE)  # fmt: skip
    runs = [stage.mark for stage in stages if stage.mark is not None]
    scores = [run.score for run in runs if math.isfinite(run.score)]
    if not scores:
        return [title, *pictured]
    lines = [f"bars {run.bars}: {run.score:.0f}" for run in runs if math.isfinite(run.score)]
    large = f"{scores[0]:.0f}"
    if len(scores) == 2:
        gain = round(scores[1]) - round(scores[0])
        share = 100.0 * (scores[1] / scores[0] - 1.0)
        large = f"{scores[0]:.0f} → {scores[1]:.0f}"
        lines.append(f"{'+' if gain >= 0 else '−'}{abs(gain)} by releasing the bars ({share:+.0f} %)")
    lines.append("score: 1000 × climb / wheelbase, predicted")
    return [title, *pictured, Card(large, tuple(lines), CLOSING)]


def shots(stages: Sequence[Stage], rate: int = RATE, outline: BodyOutline | None = None) -> list[Shot]:
    """The frames of the stages in their order."""
    found: list[Shot] = []
    marks: tuple[tuple[float, str], ...] = ()
    for number, stage in enumerate(stages):
        seen = scenes(stage.moments, outline=outline)
        found += [Shot(scene, stage.caption, 1.0 / rate, marks, -1) for scene in seen]
        if stage.mark is not None:
            marks = (*marks, (float(seen[-1].climb), _mark_words(stage.mark)))
        if stage.ending:
            seconds = LAST_HOLD if number == len(stages) - 1 else HOLD
            lifting = stage.mark.wheel if stage.mark is not None else -1
            found.append(Shot(seen[-1], stage.ending, seconds, marks, lifting))
    # The same ramp in every frame.
    length = max(shot.scene.climb for shot in found) + BEYOND_THE_LAST
    length = min(length, found[0].scene.ramp_length)
    return [replace(shot, scene=replace(shot.scene, ramp_length=length)) for shot in found]


def _mark_words(run: Run) -> str:
    return f"{run.score:.0f}" if math.isfinite(run.score) else "end"


def _limits(pictured: Sequence[Shot]) -> tuple[float, float, float, float]:
    edges = np.array([extent(shot.scene, "side") for shot in (pictured[0], pictured[len(pictured) // 2], pictured[-1])])
    space = max(arrow_space(shot.scene) for shot in pictured)
    return float(edges[:, 0].min()), float(edges[:, 1].max()), -0.95 * space, float(edges[:, 3].max())


def _loads(axes: Axes, shot: Shot, rest: NDArray[np.float64], most: float) -> None:
    for wheel in range(4):
        load = float(shot.scene.load[wheel])
        colour = theme.WHEEL_COLOURS[wheel]
        bold = "bold" if wheel == shot.lifting else "normal"
        axes.text(0.0, wheel + 0.28, WHEELS[wheel], va="center", color=colour, weight=bold)
        axes.text(most, wheel + 0.28, f"{load:.0f} N", va="center", ha="right", color=colour, weight=bold)
        axes.add_artist(Rectangle((0.0, wheel + 0.51), load, 0.34, color=colour))
        axes.plot([rest[wheel]] * 2, [wheel + 0.47, wheel + 0.89], color=theme.MUTED, linewidth=theme.thin() * 1.5)


def frames(
    pictured: Sequence[Shot | Card],
    name: str,
    medium: Medium = SMALL,
    progress: Progress | None = None,
    notes: Sequence[str] = (),
) -> Iterator[Pixels]:
    """The frames as pixels, (height, width, 3), drawn one after the other on the same sheet; a card has its own.

    Args:
        pictured: the shots.
        name: of the vehicle.
        medium: with a height of its own.
        progress: is told how many of how many are done.
        notes: lines under the title, of what it holds for.
    """
    shown = [shot for shot in pictured if isinstance(shot, Shot)]
    with hand(medium):
        sheet = _Sheet(shown, name, medium, notes)
        for number, shot in enumerate(pictured):
            yield sheet.card(shot) if isinstance(shot, Card) else sheet.frame(shot)
            if progress is not None:
                progress(number + 1, len(pictured))


class _Sheet:
    """One sheet for all frames: title, axes and what never moves are made once, the rest is taken off again."""

    def __init__(self, pictured: Sequence[Shot], name: str, medium: Medium, notes: Sequence[str]) -> None:
        assert medium.height is not None
        self.medium, self.height, self.name, self.notes = medium, medium.height, name, notes
        self.rest = pictured[0].scene.load
        self.most = 1.02 * max(float(shot.scene.load.max()) for shot in pictured)
        self.figure, self.canvas = self._empty()
        scene = pictured[0].scene
        degrees = math.degrees(scene.angle)
        title = f"{name}: {scene.side} front wheel up a {degrees:g}° ramp"
        self.upper = theme.heading(self.figure, medium, title, [*notes, ""])
        self.axes = theme.place(self.figure, medium, 0.8, 0.6, LOADS + 1.6, self.upper)
        self.em, self.left, self.right, *_ = fit(self.axes, medium, *_limits(pictured))
        self.share = medium.inches(LOADS) / medium.width
        self.start = 1.0 - self.share - medium.inches(0.8) / medium.width
        bottom = medium.inches(7.0) / self.height
        column = (self.start, bottom, self.share, self.upper - bottom - medium.inches(1.6) / self.height)
        self.column = self.figure.add_axes(column)
        self.column.set_xlim(0.0, self.most)
        self.column.set_ylim(4.0, 0.0)
        self.column.set_axis_off()
        at_rest = self.upper - medium.inches(0.2) / self.height
        self.figure.text(self.start, at_rest, "wheel loads, | at rest", va="top", color=theme.MUTED)
        self.kept = {id(artist) for holder in self._holders() for artist in holder.get_children()}

    def _empty(self) -> tuple[Figure, Any]:
        figure = Figure(figsize=(self.medium.width, self.height), facecolor=theme.PAPER_WHITE)
        canvas: Any = FigureCanvasAgg(figure)
        return figure, canvas

    def _holders(self) -> tuple[Any, ...]:
        return self.figure, self.axes, self.column

    def frame(self, shot: Shot) -> Pixels:
        """The pixels of one shot."""
        self._caption(shot)
        draw_scene(self.axes, shot.scene, "side", self.medium, self.em, shot.lifting, self.left, self.right)
        _marks(self.axes, shot, self.medium, self.em)
        _loads(self.column, shot, self.rest, self.most)
        self._facts(shot.scene)
        drawn = self._pixels(self.canvas)
        for holder in self._holders():
            for artist in holder.get_children():
                if id(artist) not in self.kept:
                    artist.remove()
        return drawn

    def card(self, card: Card) -> Pixels:
        """The pixels of a card."""
        figure, canvas = self._empty()
        _card(figure, card, self.name, self.medium, self.notes)
        return self._pixels(canvas)

    def _pixels(self, canvas: Any) -> Pixels:
        canvas.draw()
        return np.asarray(canvas.buffer_rgba())[:, :, :3].copy()

    def _caption(self, shot: Shot) -> None:
        medium = self.medium
        caption = self.figure.text(
            medium.inches(0.8) / medium.width,
            self.upper + medium.inches(0.7) / self.height,
            shot.caption,
            va="center",
            fontsize=medium.points(1.15),
            weight="bold" if shot.lifting >= 0 else "normal",
        )
        theme.fitted(caption, medium.width - medium.inches(1.6))

    def _facts(self, scene: Scene) -> None:
        climb, high, lengths = max(scene.climb, 0.0), max(float(scene.mark[2]), 0.0), self.medium.lengths
        lines = [
            f"mark {lengths.one(climb)} up the ramp",
            f"{lengths.one(high)} above the floor",
            f"{1000.0 * climb / scene.wheelbase:.0f}/1000 of the wheelbase",
            f"tipping margin {lengths.one(scene.tipping_margin)}",
        ]
        for row, line in enumerate(lines):
            y = self.medium.inches(5.6 - 1.5 * row) / self.height
            theme.fitted(self.figure.text(self.start, y, line, va="center"), self.medium.inches(LOADS))


def _card(figure: Figure, card: Card, name: str, medium: Medium, notes: Sequence[str]) -> None:
    """A card: the vehicle's name, something large, lines below it, and what it holds for at the foot."""
    assert medium.height is not None
    left, wide = medium.inches(2.0) / medium.width, medium.width - medium.inches(4.0)
    theme.fitted(figure.text(left, 0.84, name, va="top", fontsize=medium.points(1.5), weight="bold"), wide)
    theme.fitted(figure.text(left, 0.70, card.large, va="top", fontsize=medium.points(4.5), weight="bold"), wide)
    for row, line in enumerate(card.lines):
        y = 0.70 - medium.inches(6.6 + 2.0 * row) / medium.height
        theme.fitted(figure.text(left, y, line, va="top", fontsize=medium.points(1.5)), wide)
    for row, line in enumerate(reversed(notes)):
        y = medium.inches(0.8 + 1.3 * row) / medium.height
        theme.fitted(figure.text(left, y, line, va="bottom", color=theme.MUTED), wide)


def _marks(axes: Axes, shot: Shot, medium: Medium, em: float) -> None:
    """Marks made so far, as flags below the ramp's surface."""
    project = Projection(shot.scene, "side")
    for number, (climb, words) in enumerate(shot.marks):
        place = np.array([climb * math.cos(shot.scene.angle), 0.0, climb * math.sin(shot.scene.angle)])
        u, v = project(place)
        axes.plot([u, u], [v, v - 2.4 * em], color=theme.INK, linewidth=theme.thin() * 1.5, zorder=11)
        downhill = -float(project.right[0])
        beside = downhill if number == 0 else -downhill
        if number == 1 and climb < shot.marks[0][0]:
            beside = downhill
        axes.text(
            u + 0.5 * beside * em,
            v - 2.1 * em,
            words,
            ha="left" if beside > 0.0 else "right",
            va="center",
            weight="bold",
            zorder=11,
            path_effects=theme.halo(medium),
        )


def gif(
    pictured: Sequence[Shot | Card],
    name: str,
    medium: Medium = SMALL,
    progress: Progress | None = None,
    notes: Sequence[str] = (),
) -> bytes:
    """The moving climb as a GIF that goes round and round; the same input gives the same bytes.

    Args:
        pictured: the shots.
        name: of the vehicle.
        medium: with a height of its own.
        progress: is told how many of how many frames are done.
        notes: lines under the title, of what it holds for.
    """
    drawn = [Image.fromarray(pixels, "RGB") for pixels in frames(pictured, name, medium, progress, notes)]
    # One palette for all, from the first, the middle and the last frame, so that nothing flickers.
    wide, high = drawn[0].size
    together = Image.new("RGB", (wide, 3 * high))
    for k, one in enumerate((drawn[0], drawn[len(drawn) // 2], drawn[-1])):
        together.paste(one, (0, k * high))
    found = together.quantize(COLOURS, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    shades = np.array((found.getpalette() or [])[: 3 * COLOURS]).reshape(-1, 3)
    shades[shades.min(axis=1) >= 248] = 255  # averaging has made the background less than white
    palette = Image.new("P", (1, 1))
    palette.putpalette(shades.ravel().tolist())
    small = [one.quantize(palette=palette, dither=Image.Dither.NONE) for one in drawn]
    data = io.BytesIO()
    small[0].save(
        data,
        format="GIF",
        save_all=True,
        append_images=small[1:],
        duration=[round(shot.seconds * 100.0) * 10 for shot in pictured],  # whole hundredths, as the format has it
        loop=0,
        optimize=False,
    )
    return data.getvalue()


def mp4(
    pictured: Sequence[Shot | Card],
    name: str,
    medium: Medium = VIDEO,
    rate: int = RATE,
    progress: Progress | None = None,
    notes: Sequence[str] = (),
) -> bytes:
    """The moving climb as an H.264 film, made by ffmpeg where it is installed.

    Args:
        pictured: the shots.
        name: of the vehicle.
        medium: with a height of its own.
        rate: frames a second.
        progress: is told how many of how many frames are drawn.
        notes: lines under the title, of what it holds for.

    Raises:
        NoEncoderError: there is no ffmpeg on this machine, or it failed.
    """
    program = shutil.which("ffmpeg")
    if program is None:
        raise NoEncoderError("an MP4 film needs ffmpeg, which is not on this machine; write a .gif, or install ffmpeg")
    assert medium.height is not None
    size = f"{round(medium.width * medium.dots_per_inch)}x{round(medium.height * medium.dots_per_inch)}"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "climb.mp4"
        words = [program, "-loglevel", "error", "-f", "rawvideo", "-pix_fmt", "rgb24", "-s", size, "-r", str(rate)]
        words += ["-i", "-", "-an", "-c:v", "libx264", "-pix_fmt", "yuv420p", "-crf", "20", "-threads", "1"]
        words += ["-map_metadata", "-1", "-fflags", "+bitexact", "-flags:v", "+bitexact", "-movflags", "+faststart"]
        with (Path(folder) / "said").open("w+b") as said:
            encoder = subprocess.Popen([*words, str(path)], stdin=subprocess.PIPE, stderr=said)  # noqa: S603 - our words
            assert encoder.stdin is not None
            try:
                with suppress(BrokenPipeError):  # what it said is told below
                    drawn = frames(pictured, name, medium, progress, notes)
                    for shot, pixels in zip(pictured, drawn, strict=True):
                        for _ in range(max(round(shot.seconds * rate), 1)):
                            encoder.stdin.write(pixels.tobytes())
                with suppress(BrokenPipeError):
                    encoder.stdin.close()
                code = encoder.wait()
            finally:
                if encoder.poll() is None:  # a frame could not be drawn
                    encoder.kill()
                    encoder.wait()
            said.seek(0)
            told = said.read().decode("utf-8", "replace").strip()
        if code != 0 or not path.exists():
            raise NoEncoderError(f"ffmpeg failed ({code}): {told or 'it said nothing'}; write a .gif instead")
        return path.read_bytes()
