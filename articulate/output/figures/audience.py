"""The vehicle for an audience: the score, one sentence, the vehicle; landscape, square or upright."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from articulate.output.figures import theme
from articulate.output.figures.drawing import Manner, draw_scene, extent
from articulate.output.figures.projection import Projection
from articulate.output.figures.scene import Scene
from articulate.output.figures.theme import Medium, Picture, hand
from articulate.output.figures.wheels import silhouette
from articulate.output.units import Lengths
from articulate.types import WHEELS

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

NOTHING = 0.5  # [N], shown as nothing
SCORE = {"video": 6.0, "square": 8.0, "upright": 11.0}  # type sizes
SENTENCE = 1.9
LANDSCAPE = 1.3  # width over height, from which there is room beside the score: a square loses some to its notes


def message(scene: Scene, lifting: int, lengths: Lengths) -> tuple[str, str]:
    """What the picture says: the score, or the way up where no wheel has lifted yet, and one sentence."""
    if lifting < 0:
        climb = max(scene.climb, 0.0)
        return lengths.one(climb), f"up the ramp, bars {scene.bars}"
    load = float(scene.load[lifting])
    carries = "nothing" if load < NOTHING else f"only {load:.0f} N"
    return f"{1000.0 * scene.climb / scene.wheelbase:.0f}", f"{WHEELS[lifting]} carries {carries}"


def caption(scene: Scene, name: str, lifting: int, lengths: Lengths, lies_in: str = "") -> str:
    """A finished sentence for under the picture; the predicted is called so, with what 90 % lie in if it is known."""
    bars = f"bars {scene.bars}"
    degrees = f"{np.degrees(scene.angle):g}° ramp"
    where = f"its {scene.side} front wheel {lengths.one(max(scene.climb, 0.0))} up a {degrees}"
    if lifting < 0:
        return f"{name}, {bars}, with {where} (predicted)."
    score, sentence = message(scene, lifting, lengths)
    predicted = f"{score} (90 % lie in {lies_in})" if lies_in else score
    return f"{name}, {bars}: with {where}, {sentence}. Predicted score {predicted}."


def below_the_message(scene: Scene, name: str, lies_in: str) -> str:
    """Whose run it is and, where it is known, what 90 % of its predicted scores lie in."""
    return f"{name}, bars {scene.bars}{f'; predicted, 90 % lie in {lies_in}' if lies_in else ''}"


def frame(scene: Scene, view: str) -> tuple[float, float, float, float]:
    """Left, right, bottom and top of vehicle and ramp alone [m]."""
    left, right, bottom, top = extent(scene, view)
    project = Projection(scene, view)
    if view != "top":
        low = min(float(silhouette(scene, w, project)[:, 1].min()) for w in range(4))
        bottom = min(low, 0.0 if view in ("side", "rear", "front") else low) - 0.10
    return left, right, bottom, top + 0.05


def headline(
    figure: Figure, medium: Medium, score: str, sentence: str, under: str, lifting: int
) -> tuple[float, float]:
    """Score, sentence and a small line; returns the lower edge of them and how high they are, as shares of the height.

    On a landscape picture the sentence stands beside the score, else below it.
    """
    width, height = figure.get_size_inches()
    left, wide = medium.inches(1.0) / width, width - medium.inches(2.0)
    top = 1.0 - medium.inches(0.8) / height
    colour = theme.LIFTS if lifting >= 0 else theme.INK
    landscape = width > LANDSCAPE * height
    size = SCORE.get(medium.name, 6.0)
    number = figure.text(left, top, score, va="top", fontsize=medium.points(size), weight="bold", color=theme.INK)
    room = wide if not landscape else 0.45 * wide
    number.set_fontsize(medium.points(size) * min(1.0, room / theme.drawn_width(number)))
    tall = medium.inches(size * 1.05) / height
    if landscape:
        beside = left + (theme.drawn_width(number) + medium.inches(1.4)) / width
        room = width * (1.0 - beside) - medium.inches(1.0)
        line = figure.text(beside, top - 0.30 * tall, sentence, va="center", fontsize=medium.points(SENTENCE))
        small = figure.text(beside, top - 0.72 * tall, under, va="center", color=theme.MUTED)
        bottom = top - tall
    else:
        room = wide
        line = figure.text(left, top - tall, sentence, va="top", fontsize=medium.points(SENTENCE))
        down = tall + medium.inches(SENTENCE * 1.6) / height
        small = figure.text(left, top - down, under, va="top", color=theme.MUTED)
        bottom = top - down - medium.inches(1.8) / height
    line.set_color(colour)
    line.set_fontweight("bold")
    theme.fitted(line, room)
    theme.fitted(small, room)
    return bottom, tall


def draw_plain(axes: Axes, scene: Scene, view: str, medium: Medium, lifting: int, room: tuple[float, ...]) -> None:
    """Ground, vehicle, film and mark, nothing else, into axes that are fitted to `room` (left, right, bottom, top) [m].

    The vehicle stands as low in the axes as it may.
    """
    left, right, bottom, top = room
    w, h = theme.size(axes)
    metre = min(w / (right - left), h / (top - bottom))
    spare = w / metre - (right - left)
    axes.set_xlim(left - spare / 2.0, right + spare / 2.0)
    middle = 0.5 * max(h / metre - (top - bottom), 0.0)
    axes.set_ylim(bottom - 0.7 * middle, bottom - 0.7 * middle + h / metre)
    axes.set_axis_off()
    manner = Manner(medium, medium.inches(1.0) / metre, plain=True)
    draw_scene(axes, scene, view, manner, lifting, left - spare / 2.0, right + spare / 2.0)


def audience_picture(
    scene: Scene, name: str, view: str, medium: Medium, lifting: int = -1, transparent: bool = False, lies_in: str = ""
) -> Picture:
    """One message: the score, what carries nothing, and the vehicle, to scale.

    Args:
        scene: the moment.
        name: of the vehicle.
        view: one of the views of `vehicle_picture`.
        medium: of a fixed height.
        lifting: index of the wheel that unloads at this moment, -1 if none.
        transparent: no background.
        lies_in: what 90 % of predicted scores lie in, in words; empty where it is not known or no score is shown.
    """
    score, sentence = message(scene, lifting, medium.lengths)
    with hand(medium):
        figure = theme.sheet(medium, 0.0, transparent)
        bottom, _ = headline(figure, medium, score, sentence, below_the_message(scene, name, lies_in), lifting)
        axes = theme.place(figure, medium, 0.4, 0.4, 0.4, bottom)
        draw_plain(axes, scene, view, medium, lifting, frame(scene, view))
    said = caption(scene, name, lifting, medium.lengths, lies_in)
    wheels = "; ".join(f"{WHEELS[w]} {scene.load[w]:.0f} N" for w in range(4))
    seen = f"The vehicle on the ramp, to scale. {said} Wheel loads: {wheels}."
    return Picture(figure, medium, f"{name}: {score}, {sentence}", seen, transparent, said)
