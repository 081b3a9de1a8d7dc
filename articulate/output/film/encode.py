"""The files that frames become: GIF, MP4 and MOV, and with what is clear of the background animated PNG and WebP.

The same input gives the same bytes: ffmpeg is asked for one thread and bit-exact files.
"""

from __future__ import annotations

import io
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.colors import to_rgb
from PIL import Image

from articulate.errors import ArticulateError
from articulate.output.figures import theme
from articulate.output.figures.theme import Medium
from articulate.output.film.sheet import PAGE, FilmFrame, Progress, in_parts, laid_on
from articulate.output.film.shots import RATE, Card, Shot

COLOURS = 64  # of a GIF's palette
SPARED = 3  # of so many pixels each way one is asked for its colour
KEPT = (
    theme.PAPER_WHITE,
    theme.INK,
    theme.LIFTS,
    "#eaae80",
    theme.ORANGE,
)  # always in it, however little of them is seen
WEBP_QUALITY, WEBP_EFFORT = 85, 2
INSTALL = (
    "install ffmpeg (Debian, Ubuntu: apt install ffmpeg; Fedora: dnf install ffmpeg-free; "
    "macOS with Homebrew: brew install ffmpeg; Windows: winget install ffmpeg)"
)
H264 = ("-c:v", "libx264", "-preset", "faster", "-pix_fmt", "yuv420p", "-crf", "20", "-movflags", "+faststart")
PRORES = ("-c:v", "prores_ks", "-profile:v", "4444", "-pix_fmt", "yuva444p10le", "-alpha_bits", "8", "-qscale:v", "9",
    "-vendor", "apl0")  # fmt: skip


class NoEncoderError(ArticulateError, RuntimeError):
    """No program on this machine makes such a film."""


@dataclass(frozen=True)
class Film:
    """What is to be encoded: shots and cards, where they are shown, and what they hold for."""

    pictured: Sequence[Shot | Card]
    medium: Medium = PAGE
    notes: Sequence[str] = ()
    transparent: bool = False
    rate: int = RATE  # frames a second
    progress: Progress | None = None

    def frames(self, order: Sequence[int] | None = None) -> Iterator[FilmFrame]:
        """The frames in parts, as they follow one another or in another order."""
        return in_parts(self.pictured, self.medium, self.progress, self.notes, self.transparent, order)

    def images(self) -> Iterator[Image.Image]:
        """The frames, as they follow one another."""
        return (frame.whole() for frame in self.frames())

    def milliseconds(self, whole: int) -> list[int]:
        """How long each frame stays, in whole steps of so many [ms]."""
        return [max(round(1000.0 * shot.seconds / whole), 1) * whole for shot in self.pictured]


def gif(film: Film) -> bytes:
    """A GIF that goes round and round.

    Args:
        film: what is to be seen; a GIF has no half-clear edges, so it has a background.
    """
    # One palette for all, from some of the frames, so that nothing flickers; the others need not be kept in full.
    count = len(film.pictured)
    chosen = [k for k in sorted({0, count // 3, count // 2, count - 2, count - 1}) if k >= 0]
    drawn = film.frames([*chosen, *(k for k in range(count) if k not in chosen)])
    first = {k: next(drawn) for k in chosen}
    ordered = (first[k] if k in first else next(drawn) for k in range(count))
    return _saved(
        _in_colours(ordered, _palette([one.whole() for one in first.values()])),
        "GIF",
        film.milliseconds(10),
        optimize=False,
    )  # whole hundredths, as the format has it


def _palette(some: Sequence[Image.Image]) -> Image.Image:
    """An image with the colours for a film of which some frames are given."""
    wide, high = some[0].size
    wide, high = wide // SPARED, high // SPARED
    together = Image.new("RGB", (wide, len(some) * high))
    for k, one in enumerate(some):
        together.paste(one.resize((wide, high), Image.Resampling.NEAREST), (0, k * high))
    found = together.quantize(COLOURS - len(KEPT), method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    shades = np.array((found.getpalette() or [])[: 3 * (COLOURS - len(KEPT))]).reshape(-1, 3)
    shades[shades.min(axis=1) >= 248] = 255  # averaging has made the background less than white
    palette = Image.new("P", (1, 1))
    palette.putpalette([*(round(255.0 * one) for colour in KEPT for one in to_rgb(colour)), *shades.ravel().tolist()])
    return palette


def _in_colours(frames: Iterable[FilmFrame], palette: Image.Image) -> Iterator[Image.Image]:
    """Frames in the colours of a palette; what stays from frame to frame is turned into them once."""

    def found(one: Image.Image) -> Image.Image:
        return one.quantize(palette=palette, dither=Image.Dither.NONE)

    last = staying = None
    for frame in frames:
        if staying is None or frame.below is not last:
            last, staying = frame.below, found(frame.below)
        yield laid_on(staying, ((found(part), corner) for part, corner in frame.parts))


def animated_png(film: Film) -> bytes:
    """An animated PNG, which browsers and picture programs show, with its background left out where asked."""
    return _saved(film.images(), "PNG", film.milliseconds(1))


def webp(film: Film) -> bytes:
    """An animated WebP, smaller than a PNG, with its background left out where asked."""
    how = {"quality": WEBP_QUALITY, "method": WEBP_EFFORT, "exact": False}
    return _saved(film.images(), "WEBP", film.milliseconds(1), **how)


def _saved(drawn: Iterator[Image.Image], form: str, stays: list[int], **how: Any) -> bytes:
    """Images as a file that goes round and round; the writer of GIFs takes them one by one, the others ask for all."""
    data, first = io.BytesIO(), next(drawn)
    others = drawn if form == "GIF" else list(drawn)
    first.save(data, format=form, save_all=True, append_images=others, duration=stays, loop=0, **how)
    return data.getvalue()


def mp4(film: Film) -> bytes:
    """A film in H.264, as every player and network takes it, made by ffmpeg where it is installed.

    Raises:
        NoEncoderError: there is no ffmpeg on this machine, or it failed.
    """
    return _by_ffmpeg(film, ".mp4", H264)


def mov(film: Film) -> bytes:
    """A film in ProRes 4444, as programs for cutting take it, its background left out where asked, made by ffmpeg.

    Raises:
        NoEncoderError: there is no ffmpeg on this machine, or it failed.
    """
    return _by_ffmpeg(film, ".mov", PRORES)


def _by_ffmpeg(film: Film, ending: str, how: Sequence[str]) -> bytes:
    program = shutil.which("ffmpeg")
    if program is None:
        raise NoEncoderError(no_encoder(ending))
    medium = film.medium
    assert medium.height is not None
    size = f"{round(medium.width * medium.dots_per_inch)}x{round(medium.height * medium.dots_per_inch)}"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"climb{ending}"
        words = [program, "-loglevel", "error", "-f", "rawvideo", "-pix_fmt", "rgba" if film.transparent else "rgb24"]
        words += ["-s", size, "-r", str(film.rate), "-i", "-", "-an", *how, "-threads", "1"]
        words += ["-map_metadata", "-1", "-fflags", "+bitexact", "-flags:v", "+bitexact"]
        with (Path(folder) / "said").open("w+b") as said:
            encoder = subprocess.Popen([*words, str(path)], stdin=subprocess.PIPE, stderr=said)  # noqa: S603 - our words
            assert encoder.stdin is not None
            try:
                with suppress(BrokenPipeError):  # what it said is told below
                    for shot, image in zip(film.pictured, film.images(), strict=True):
                        for _ in range(max(round(shot.seconds * film.rate), 1)):
                            encoder.stdin.write(image.tobytes())
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
            raise NoEncoderError(
                f"ffmpeg failed ({code}): {told or 'it said nothing'}; install one with {how[1]}, or write a .gif"
            )
        return path.read_bytes()


def no_encoder(ending: str) -> str:
    """What is missing for a film with that ending, and what works."""
    instead = ".png or .webp" if ending == ".mov" else ".gif"
    return f"a {ending} film needs ffmpeg, which is not on this machine; {INSTALL}, or write a {instead}"


FORMS: dict[str, Callable[[Film], bytes]] = {"gif": gif, "mp4": mp4, "mov": mov, "png": animated_png, "webp": webp}
BY_FFMPEG = ("mp4", "mov")
CLEAR_BEHIND = ("png", "webp", "mov")  # forms that can leave the background out


def rate_of(form: str) -> int:
    """Frames a second of a film of that form: twice as many where a program for films encodes them."""
    return 2 * RATE if form in BY_FFMPEG else RATE
