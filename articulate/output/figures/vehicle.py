"""The vehicle on the ramp, to scale, from the ramp's side, from the rear and the front, from above and at an angle.

The side view is seen from the ramp's side, so that the wheels in the ramp's lane are the near ones. In the rear and
front views the ramp is drawn as cut square across at the wheels that stand on it.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from articulate.output.figures import theme
from articulate.output.figures.audience import audience_picture, caption
from articulate.output.figures.canvas import draw_line
from articulate.output.figures.drawing import (
    RAMP_HALF_WIDTH,
    Manner,
    arrow_space,
    bodywork_words,
    draw_scene,
    extent,
    scale_bar,
)
from articulate.output.figures.projection import Projection
from articulate.output.figures.scene import Scene
from articulate.output.figures.theme import Medium, Picture, hand
from articulate.output.units import Lengths
from articulate.types import WHEELS

VIEWS = ("side", "rear", "front", "top", "three-quarter")
SEEN_FROM = {
    "side": "from the ramp's side",
    "rear": "from the rear",
    "front": "from the front",
    "top": "from above",
    "three-quarter": "from behind at an angle",
}
COLUMNS_PER_EM = 1.7  # characters of running text to a type size, no fewer
END_COLUMNS = 26  # characters to a line beside an end view


def wheel_words(scene: Scene, wheel: int, lengths: Lengths) -> str:
    """Load and travel of one wheel in a line."""
    kind = "bump" if scene.hub_travel[wheel] >= 0.0 else "droop"
    gap = scene.bump_gap[wheel] if kind == "bump" else scene.droop_gap[wheel]
    use = f"{abs(scene.travel[wheel]) / gap * 100.0:.0f} % used" if gap > 0.0 else "no free travel"
    use = "on the stop" if scene.bump_met[wheel] else "full" if scene.droop_met[wheel] else use
    use = "coil unseated" if scene.unseated[wheel] else use
    return f"{scene.load[wheel]:.0f} N, {kind} {lengths.one(abs(float(scene.hub_travel[wheel])))}, {use}"


def facts(scene: Scene, lifting: int, lengths: Lengths) -> list[str]:
    """The lines under the title."""
    pitch = f"pitch {abs(math.degrees(scene.pitch)):.1f}° nose {'down' if scene.pitch > 0.0 else 'up'}"
    roll = f"roll {abs(math.degrees(scene.roll)):.1f}° {'left' if scene.roll > 0.0 else 'right'} side up"
    share = scene.climb / scene.wheelbase
    reached = f"{WHEELS[lifting]} lifts, score {1000.0 * share:.0f}" if lifting >= 0 else f"{share:.2f} wheelbases"
    unsure = [] if scene.converged else ["the solver did not converge here: no statement about the vehicle"]
    return [
        *unsure,
        f"mark {lengths.one(scene.climb)} up the {math.degrees(scene.angle):g}° ramp, "
        f"{lengths.one(scene.climb * math.sin(scene.angle))} high; {reached}",
        f"{roll}, {pitch}; tipping margin {lengths.one(scene.tipping_margin)}, "
        f"{math.degrees(scene.tipping_angle):.1f}°",
    ]


def _emphasis(wheel: int, lifting: int) -> dict[str, Any]:
    return {"color": theme.WHEEL_COLOURS[wheel], "weight": "bold" if wheel == lifting else "normal"}


def _side_words(
    axes: Axes, scene: Scene, project: Projection, medium: Medium, em: float, lifting: int, bottom: float
) -> None:
    """Loads and travel below the drawing, an axle a column, and the mark's words inside the ramp."""
    left, right = axes.get_xlim()
    middle = (left + right) / 2.0
    near = project.near(scene)
    front_first = bool(project.right[0] < 0.0)
    for axle in (0, 1):
        pair = sorted((2 * axle, 2 * axle + 1), key=lambda w: w not in near)
        u = left + 0.4 * em if (axle == 0) == front_first else middle + 0.4 * em
        for row, wheel in enumerate(pair):
            v = bottom - (0.9 + 1.45 * row) * em
            words = f"{WHEELS[wheel]}: {wheel_words(scene, wheel, medium.lengths)}"
            axes.text(u, v, words, ha="left", va="top", zorder=10, **_emphasis(wheel, lifting))
    mark = project(scene.mark)
    up_the_ramp = float(np.sign(project.right[0]))
    low = 0.6 * em if project.view == "side" else -np.inf
    corner = np.array([mark[0] + up_the_ramp * 4.5 * em, max(mark[1] - 3.0 * em, low)])
    label = axes.text(
        corner[0],
        corner[1],
        f" mark, {medium.lengths.one(scene.climb)} ",
        ha="left" if up_the_ramp > 0.0 else "right",
        va="center",
        zorder=10,
        path_effects=theme.halo(medium),
    )
    wide = theme.drawn_width(label) / medium.inches(1.0) * em
    corner[0] = min(corner[0], right - wide) if up_the_ramp > 0.0 else max(corner[0], left + wide)
    label.set_x(float(corner[0]))
    draw_line(axes, np.stack([mark, corner]), color=theme.INK, linewidth=theme.thin(), zorder=8)


def side_view(scene: Scene, name: str, medium: Medium, lifting: int, transparent: bool, view: str = "side") -> Picture:
    """The side view, from the ramp's side, or one from above, with the words below it."""
    left, right, bottom, top = extent(scene, view)
    project = Projection(scene, view)
    margin, head = 1.6, 6.2  # type sizes
    told = bodywork_words(scene, int((medium.width_in_type - 2.0 * margin) * COLUMNS_PER_EM), medium.lengths)
    bar = 0.0 if view == "side" else 3.2  # room for the scale
    words = 4.4 + bar + (0.5 + 1.45 * len(told) if told else 0.0)
    with hand(medium):
        metre = (medium.width_in_type - 2.0 * margin) / (right - left)  # [type sizes]
        figure = theme.sheet(medium, (top - bottom) * metre + head + words + 0.6, transparent)
        where = "" if view == "side" else f", {SEEN_FROM[view]}"
        title = f"{name}: {scene.side} front wheel on the ramp{where}, bars {scene.bars}"
        upper = theme.heading(figure, medium, title, facts(scene, lifting, medium.lengths))
        axes = theme.place(figure, medium, margin, 0.6, margin, upper)
        if medium.height is not None:
            metre = min(metre, (medium.height * 72.0 / medium.type_size - head - words - 0.6) / (top - bottom))
        em, far_left, far_right, *_ = fit(axes, medium, left, right, bottom - words / metre, top)
        draw_scene(axes, scene, view, Manner(medium, em), lifting, far_left, far_right)
        low = bottom - bar * em
        _side_words(axes, scene, project, medium, em, lifting, low)
        scale_bar(axes, (far_left + far_right) / 2.0 - 0.8, 1.8 * em + low, em, medium.lengths, arrows=view != "top")
        theme.lines(axes, far_left + 0.4 * em, low - 4.9 * em, told, em, False, color=theme.PURPLE)
        described = _described(scene, SEEN_FROM[view], lifting, medium.lengths)
        return Picture(figure, medium, title, described, transparent, caption(scene, name, lifting, medium.lengths))


def fit(
    axes: Axes, medium: Medium, left: float, right: float, bottom: float, top: float
) -> tuple[float, float, float, float, float]:
    """Limits with one scale both ways that fill the axes; returns the type size [m] and the limits."""
    w, h = theme.size(axes)
    metre = min(w / (right - left), h / (top - bottom))
    spare_u, spare_v = w / metre - (right - left), h / metre - (top - bottom)
    left, right, bottom, top = left - spare_u / 2.0, right + spare_u / 2.0, bottom - spare_v / 2.0, top + spare_v / 2.0
    axes.set_xlim(left, right)
    axes.set_ylim(bottom, top)
    axes.set_axis_off()
    axes.set(xticks=[], yticks=[])  # nobody sees them, and each would be an artist of its own
    return medium.inches(1.0) / metre, left, right, bottom, top


def _described(scene: Scene, seen_from: str, lifting: int, lengths: Lengths) -> str:
    wheels = "; ".join(f"{WHEELS[w]} {wheel_words(scene, w, lengths)}" for w in range(4))
    return (
        f"The vehicle on the ramp, to scale, seen {seen_from}. {'. '.join(facts(scene, lifting, lengths))}. {wheels}."
    )


def end_view(scene: Scene, name: str, view: str, medium: Medium, lifting: int, transparent: bool) -> Picture:
    """The rear or front view, with the words on either side."""
    left, right, bottom, top = extent(scene, view)
    project = Projection(scene, view)
    with hand(medium):
        figure = theme.sheet(medium, 46.0, transparent)
        title = f"{name}: {scene.side} front wheel on the ramp, from the {view}, bars {scene.bars}"
        upper = theme.heading(figure, medium, title, facts(scene, lifting, medium.lengths))
        axes = theme.place(figure, medium, 1.0, 1.0, 1.0, upper)
        em, far_left, *_ = fit(axes, medium, left, right, bottom, top + 0.1)
        highest = _end_words(axes, scene, project, medium, em, lifting, left - 2.2 * em, right + 2.2 * em)
        room = int((top - 0.6 * em - highest - 0.6 * em) / (1.3 * em))  # lines
        most = next((n for n in (3, 2, 1) if len(bodywork_words(scene, END_COLUMNS, medium.lengths, n)) <= room), 0)
        draw_scene(axes, scene, view, Manner(medium, em, most), lifting, left - 4.0 * em, right + 4.0 * em)
        scale_bar(axes, far_left + 1.4 * em, 2.2 * em - arrow_space(scene), em, medium.lengths)
        told = bodywork_words(scene, END_COLUMNS, medium.lengths, most) if most else []
        theme.lines(axes, far_left, top - 0.6 * em, told, em, False, color=theme.PURPLE)
        described = _described(scene, SEEN_FROM[view], lifting, medium.lengths)
        return Picture(figure, medium, title, described, transparent, caption(scene, name, lifting, medium.lengths))


def _end_words(
    axes: Axes,
    scene: Scene,
    project: Projection,
    medium: Medium,
    em: float,
    lifting: int,
    left: float,
    right: float,
) -> float:
    """A wheel's words in the margin on its own side, and the height of the mark beside the ramp.

    Returns how high those on the left reach [m].
    """
    highest, lengths = 0.0, medium.lengths
    for on_left in (True, False):
        mine = [w for w in range(4) if (project(scene.hub[w])[0] < 0.0) == on_left]
        wanted = [float(project(scene.hub[w])[1]) + 1.2 * em for w in mine]
        for wheel, v in zip(mine, theme.spread(wanted, 5.6 * em, 3.0 * em), strict=True):
            said = wheel_words(scene, wheel, lengths).split(", ")
            words = [WHEELS[wheel] + (" lifts" if wheel == lifting else ""), *said]
            top = v + 0.65 * (len(words) - 1) * em
            theme.lines(axes, left if on_left else right, top, words, em, on_left, **_emphasis(wheel, lifting))
            highest = max(highest, top + 0.65 * em) if on_left else highest
    mark = project(scene.mark)
    if mark[1] > 0.0:
        outward = -1.0 if mark[0] < 0.0 else 1.0
        u = float(project(scene.contact[scene.ramp_wheel])[0]) + outward * (RAMP_HALF_WIDTH + 0.8 * em)
        post = np.array([[u, 0.0], [u, float(mark[1])]])
        draw_line(axes, post, marker="_", color=theme.INK, linewidth=theme.thin(), zorder=8)
        height = f"mark {lengths.one(float(mark[1]))} high"
        axes.text(u, -0.5 * em, height, ha="right" if outward < 0.0 else "left", va="top")
    return highest


def vehicle_picture(
    scene: Scene,
    name: str,
    view: str = "side",
    medium: Medium = theme.PAGE,
    lifting: int = -1,
    transparent: bool = False,
    lies_in: str = "",
) -> Picture:
    """The vehicle on the ramp, to scale.

    Args:
        scene: the moment.
        name: of the vehicle.
        view: "side" (from the ramp's side), "rear", "front", "top" or "three-quarter".
        medium: paper or page; video, square or upright for an audience, with one message and nothing else.
        lifting: index of the wheel that unloads at this moment, -1 if none; it is emphasised.
        transparent: no background.
        lies_in: what 90 % of predicted scores lie in, in words, for an audience.

    Raises:
        ValueError: for another view.
    """
    if view not in VIEWS:
        raise ValueError(f"{view}: not a view; {', '.join(VIEWS)}")
    if medium.name in theme.AUDIENCE:
        return audience_picture(scene, name, view, medium, lifting, transparent, lies_in)
    if view not in ("rear", "front"):
        return side_view(scene, name, medium, lifting, transparent, view)
    return end_view(scene, name, view, medium, lifting, transparent)
