"""The parts of the to-scale drawing: ground and ramp, mark and square, body, centre of gravity, bodywork points."""

from __future__ import annotations

import math
import textwrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon
from numpy.typing import NDArray

from articulate.output.figures import theme
from articulate.output.figures.projection import Projection
from articulate.output.figures.scene import Scene
from articulate.output.figures.theme import Medium
from articulate.output.figures.wheels import ARROW_PER_NEWTON, arrow, draw_load, draw_spring, draw_wheel, outline
from articulate.trace import RAMP_WIDTH

Array = NDArray[np.float64]

BEYOND = 1.35  # [m] of ramp drawn beyond the mark, where its length is not known
RAMP_HALF_WIDTH = 0.5 * RAMP_WIDTH
ARROW_SPACE = 0.85  # [m] below the floor for the arrows
MOST_POINTS = 6  # bodywork points told in words


def ramp_end(scene: Scene) -> float:
    """How far along the slope the ramp is drawn [m]."""
    drawn = max(scene.climb, 0.0) + BEYOND
    return scene.ramp_length if math.isfinite(scene.ramp_length) else drawn


def extent(scene: Scene, view: str) -> tuple[float, float, float, float]:
    """Left, right, bottom and top of what is to be seen [m]."""
    project = Projection(scene, view)
    wheels = np.concatenate(
        [outline(scene.hub[w], scene.axle_direction[w], scene.tyre_radius[w], 0.0, project) for w in range(4)]
    )
    body = project(scene.body_profile if view == "side" else scene.body_section.reshape(-1, 3))
    points = [wheels, body, project(scene.point).reshape(-1, 2)]
    if view == "side":
        s = ramp_end(scene)
        points.append(project(np.array([[s * math.cos(scene.angle), 0.0, s * math.sin(scene.angle)]])))
    else:
        edge = float(project(scene.contact[scene.ramp_wheel])[0])
        points.append(np.array([[edge - RAMP_HALF_WIDTH, 0.0], [edge + RAMP_HALF_WIDTH, 0.0]]))
    both = np.concatenate(points)
    return float(both[:, 0].min()), float(both[:, 0].max()), -ARROW_SPACE, float(both[:, 1].max())


def _ground(axes: Axes, scene: Scene, project: Projection, left: float, right: float) -> None:
    slope = np.array([math.cos(scene.angle), 0.0, math.sin(scene.angle)])
    if project.view == "side":
        end = ramp_end(scene) * slope
        corners = project(np.array([np.zeros(3), end, [end[0], 0.0, 0.0]]))
        axes.add_patch(Polygon(corners, facecolor=theme.RAMP, edgecolor="none", zorder=1))
        surface = axes.plot(*project(np.array([np.zeros(3), end])).T, color=theme.INK, zorder=6)[0]
        surface.set_gid("ramp-surface")
    else:
        for wheel in (scene.ramp_wheel, scene.ramp_wheel + 2):
            height = scene.contact[wheel, 0] * math.tan(scene.angle)
            if height > 0.0:
                _cut(axes, scene, project, wheel, height)
    axes.plot([left, right], [0.0, 0.0], color=theme.INK, zorder=6, solid_capstyle="butt")[0].set_gid("floor")


def _cut(axes: Axes, scene: Scene, project: Projection, wheel: int, height: float) -> None:
    """The ramp cut across at a wheel."""
    middle = float(project(scene.contact[wheel])[0])
    across = np.array([-RAMP_HALF_WIDTH, RAMP_HALF_WIDTH, RAMP_HALF_WIDTH, -RAMP_HALF_WIDTH]) + middle
    corners = np.stack([across, np.array([height, height, 0.0, 0.0])], axis=-1)
    near = wheel in project.near(scene)
    axes.add_patch(
        Polygon(corners, facecolor=theme.RAMP, edgecolor=theme.MUTED, linestyle="-" if near else "--", zorder=1)
    )
    axes.plot(across[:2], [height, height], color=theme.INK, zorder=6)


def _mark(axes: Axes, scene: Scene, project: Projection, em: float) -> None:
    """Mark, square from the ramp to the hub, and the little corner that says so."""
    if scene.climb < 0.0:  # not on the ramp yet
        return
    hub, mark = scene.hub[scene.ramp_wheel], scene.mark
    line = axes.plot(*project(np.stack([mark, hub])).T, color=theme.INK, linestyle=(0, (4, 2)), zorder=8)[0]
    line.set_gid("square")
    if project.view == "side":
        along = np.array([math.cos(scene.angle), 0.0, math.sin(scene.angle)])
        up = np.array([-math.sin(scene.angle), 0.0, math.cos(scene.angle)])
        box = mark + 0.55 * em * np.array([-along, -along + up, up])
        axes.plot(*project(box).T, color=theme.INK, zorder=8, linewidth=theme.thin())
    foot = axes.plot(*project(mark), marker="v", color=theme.PAPER_WHITE, markeredgecolor=theme.INK, zorder=9)[0]
    foot.set_linestyle("none")
    foot.set_markersize(1.3 * foot.get_markersize())
    foot.set_gid("mark")


def _body(axes: Axes, scene: Scene, project: Projection) -> None:
    if project.view == "side":
        shape = project(scene.body_profile)
    else:
        shape = project(scene.body_section[1 if project.view == "rear" else 0])
    patch = Polygon(shape, facecolor=theme.BODY, edgecolor=theme.MUTED, linestyle=(0, (6, 2)), zorder=0.5)
    patch.set_gid("body-outline")
    axes.add_patch(patch)


def _centre(axes: Axes, scene: Scene, project: Projection, medium: Medium, em: float) -> None:
    u, v = project(scene.mass_centre)
    axes.plot(u, v, marker="o", color=theme.PAPER_WHITE, markeredgecolor=theme.INK, linestyle="none", zorder=7)
    centre = axes.plot(u, v, marker="+", color=theme.INK, linestyle="none", zorder=8)[0]
    centre.set_gid("mass-centre")
    axes.text(u, v + 0.5 * em, "CG", ha="center", va="bottom", zorder=9, path_effects=theme.halo(medium))


def _bodywork(axes: Axes, scene: Scene, project: Projection, medium: Medium, em: float) -> None:
    """Bodywork points, numbered."""
    for k, (u, v) in enumerate(project(scene.point)):
        axes.plot(u, v, marker="x", color=theme.PURPLE, linestyle="none", zorder=10)[0].set_gid(f"bodywork-{k}")
        axes.text(
            u + 0.45 * em,
            v + 0.25 * em,
            str(k + 1),
            color=theme.PURPLE,
            weight="bold",
            zorder=10,
            path_effects=theme.halo(medium),
        )


def bodywork_words(axes: Axes, scene: Scene, u: float, top: float, em: float, right: bool, columns: int) -> None:
    """What the numbered points are and how far they are clear of what lies below, square to it."""
    lines: list[str] = []
    for k in np.argsort(scene.point_clearance, kind="stable")[:MOST_POINTS]:
        clearance = scene.point_clearance[k] * 1000.0
        words = f"{k + 1} {scene.points[k]}: " + ("touches" if clearance <= 0.0 else f"{clearance:.0f} mm clear")
        lines += textwrap.wrap(words, columns, subsequent_indent="   ")
    if len(scene.points) > MOST_POINTS:
        lines.append(f"and {len(scene.points) - MOST_POINTS} more, clear by more")
    theme.lines(axes, u, top - 0.6 * em, lines, em, right, color=theme.PURPLE)


def scale_bar(axes: Axes, u: float, v: float, em: float) -> None:
    """One metre, and below it the arrow of ten kilonewtons."""
    bar = axes.plot([u, u + 1.0], [v, v], color=theme.INK, marker="|", solid_capstyle="butt", zorder=6)[0]
    bar.set_gid("metre")
    axes.text(u + 1.0 + 0.5 * em, v, "1 m", va="center")
    length = 1e4 * ARROW_PER_NEWTON
    arrow(axes, np.array([u, v - 1.6 * em]), np.array([length, 0.0]), theme.MUTED, em)
    axes.text(u + length + 0.5 * em, v - 1.6 * em, "10 kN", va="center")


def draw_scene(
    axes: Axes, scene: Scene, view: str, medium: Medium, em: float, lifting: int, left: float, right: float
) -> None:
    """Everything but the wheels' words, into axes whose units are metres; `em` is the type size in them."""
    project = Projection(scene, view)
    near = project.near(scene)
    _ground(axes, scene, project, left, right)
    _body(axes, scene, project)
    for wheel in [w for w in range(4) if w not in near] + near:
        draw_wheel(axes, scene, wheel, project, near=wheel in near, lifting=wheel == lifting)
        if view != "side" and wheel in near:
            draw_spring(axes, scene, wheel, project)
    for wheel in range(4):
        draw_load(axes, scene, wheel, project, wheel in near, em)
    _mark(axes, scene, project, em)
    _centre(axes, scene, project, medium, em)
    _bodywork(axes, scene, project, medium, em)
    toe = axes.plot(*project(np.zeros(3)), marker="None", linestyle="none")[0]
    toe.set_gid("toe")
