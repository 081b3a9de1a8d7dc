"""The parts of the to-scale drawing: ground and ramp, mark and square, body, centre of gravity, bodywork points."""

from __future__ import annotations

import math
import textwrap
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.output.figures import theme
from articulate.output.figures.body import draw_body
from articulate.output.figures.canvas import Canvas, draw_line, draw_polygon
from articulate.output.figures.projection import Projection
from articulate.output.figures.scene import Scene
from articulate.output.figures.theme import Medium
from articulate.output.figures.wheels import (
    ARROW_PER_NEWTON,
    arrow,
    draw_bar,
    draw_film,
    draw_load,
    draw_spring,
    draw_wheel,
    silhouette,
)
from articulate.output.units import Lengths
from articulate.trace import RAMP_WIDTH
from articulate.types import lateral_sign

Array = NDArray[np.float64]

BEYOND = 1.35  # [m] of ramp drawn beyond the mark, where its length is not known
MARK_ROOM = 0.9  # [m] up the slope from the mark, for its words
RAMP_HALF_WIDTH = 0.5 * RAMP_WIDTH
POINT_MARGIN = 0.12  # [m] beside a bodywork point for its number
ARROW_SPACE = 0.85  # [m] below the floor for the arrows, unless one is longer
SOLID_VIEWS = ("top", "three-quarter")  # in which floor and ramp are seen from above
MOST_POINTS = 6  # bodywork points told in words
KEPT = "\N{NO-BREAK SPACE}"  # between what a line must not part


@dataclass(frozen=True)
class Manner:
    """How a scene is drawn; plainly it is ground, vehicle, film and mark alone."""

    medium: Medium
    em: float  # [m], the type size
    most: int = MOST_POINTS  # of the bodywork points, the nearest, that are numbered
    plain: bool = False


def slope_of(scene: Scene) -> Array:
    """Unit vector up the ramp, (3,)."""
    return np.array([math.cos(scene.angle), 0.0, math.sin(scene.angle)])


def ramp_end(scene: Scene) -> float:
    """How far along the slope the ramp is drawn [m]."""
    drawn = max(scene.climb, 0.0) + BEYOND
    return scene.ramp_length if math.isfinite(scene.ramp_length) else drawn


def arrow_space(scene: Scene) -> float:
    """How far below the floor the arrows of the wheel loads may reach [m]."""
    tails = scene.contact[:, 2] - scene.load * ARROW_PER_NEWTON * scene.load_direction[:, 2]
    return max(ARROW_SPACE, 0.1 - float(tails.min()))


def ramp_cuts(scene: Scene) -> Array:
    """Where the ramp is cut across at the front and the rear wheel of its lane, (2, 2): middle (y) and height [m]."""
    contact = scene.contact[[scene.ramp_wheel, scene.ramp_wheel + 2]]
    return np.stack([contact[:, 1], np.maximum(contact[:, 0] * math.tan(scene.angle), 0.0)], axis=-1)


def ramp_solid(scene: Scene) -> tuple[Array, Array]:
    """The ramp's surface (4, 3) and its outer side (3, 3), in the lane of the climbing wheel."""
    middle = float(scene.contact[scene.ramp_wheel, 1])
    end, outward = ramp_end(scene) * slope_of(scene), lateral_sign(scene.side)
    outer, inner = middle + outward * RAMP_HALF_WIDTH, middle - outward * RAMP_HALF_WIDTH
    surface = np.array([[0.0, outer, 0.0], [end[0], outer, end[2]], [end[0], inner, end[2]], [0.0, inner, 0.0]])
    return surface, np.array([[0.0, outer, 0.0], [end[0], outer, end[2]], [end[0], outer, 0.0]])


def extent(scene: Scene, view: str) -> tuple[float, float, float, float]:
    """Left, right, bottom and top of what is to be seen [m]."""
    project = Projection(scene, view)
    body = np.concatenate([project(scene.placed(face.points)) for face in scene.outline.faces])
    marked = project(scene.point).reshape(-1, 2)
    beside = np.array([POINT_MARGIN, 0.0])
    points = [body, marked - beside, marked + beside, *(silhouette(scene, w, project) for w in range(4))]
    if view == "side":
        s = max(ramp_end(scene), scene.climb + MARK_ROOM)  # room for the mark's words where the ramp ends soon
        points.append(project(np.array([[s * math.cos(scene.angle), 0.0, 0.0], ramp_end(scene) * slope_of(scene)])))
    elif view in SOLID_VIEWS:
        points += [project(corners) for corners in ramp_solid(scene)]
        if view == "three-quarter":
            points.append(project(scene.contact - scene.load_direction * scene.load[:, None] * ARROW_PER_NEWTON))
    else:
        edge = float(project(scene.contact[scene.ramp_wheel])[0])
        points.append(np.array([[edge - RAMP_HALF_WIDTH, 0.0], [edge + RAMP_HALF_WIDTH, 0.0]]))
    both = np.concatenate(points)
    bottom = float(both[:, 1].min()) - 0.1 if view in SOLID_VIEWS else -arrow_space(scene)
    return float(both[:, 0].min()), float(both[:, 0].max()), bottom, float(both[:, 1].max())


def _ground(axes: Canvas, scene: Scene, project: Projection, left: float, right: float) -> None:
    if project.view in SOLID_VIEWS:
        _solid_ground(axes, scene, project)
        return
    if project.view == "side":
        end = ramp_end(scene) * slope_of(scene)
        corners = project(np.array([np.zeros(3), end, [end[0], 0.0, 0.0]]))
        draw_polygon(axes, corners, theme.RAMP, "none", 1)
        surface = draw_line(axes, project(np.array([np.zeros(3), end])), color=theme.INK, zorder=6)
        surface.set_gid("ramp-surface")
    else:
        for wheel, (_, height) in zip((scene.ramp_wheel, scene.ramp_wheel + 2), ramp_cuts(scene), strict=True):
            if height > 0.0:
                _cut(axes, scene, project, wheel, height)
    floor = np.array([[left, 0.0], [right, 0.0]])
    draw_line(axes, floor, color=theme.INK, zorder=6, solid_capstyle="butt").set_gid("floor")


def _solid_ground(axes: Canvas, scene: Scene, project: Projection) -> None:
    """Floor and ramp as they are seen from above."""
    surface, side = ramp_solid(scene)
    if project.view == "three-quarter":
        tail = float(scene.placed(scene.outline.face("back").points)[:, 0].min()) - 0.3
        half = float(np.abs(scene.contact[:, 1]).max()) + 0.55
        ahead = float(surface[:, 0].max())
        floor = np.array([[tail, -half, 0.0], [ahead, -half, 0.0], [ahead, half, 0.0], [tail, half, 0.0]])
        draw_polygon(axes, project(floor), theme.FLOOR, "none", 0.1)
        draw_polygon(axes, project(side), theme.RAMP_SIDE, theme.MUTED, 1)
    draw_polygon(axes, project(surface), theme.RAMP, theme.MUTED, 1, name="ramp-surface")


def _cut(axes: Canvas, scene: Scene, project: Projection, wheel: int, height: float) -> None:
    """The ramp cut across at a wheel."""
    middle = float(project(scene.contact[wheel])[0])
    across = np.array([-RAMP_HALF_WIDTH, RAMP_HALF_WIDTH, RAMP_HALF_WIDTH, -RAMP_HALF_WIDTH]) + middle
    corners = np.stack([across, np.array([height, height, 0.0, 0.0])], axis=-1)
    near = wheel in project.near(scene)
    draw_polygon(axes, corners, theme.RAMP, theme.MUTED, 1, dashes="-" if near else "--")
    draw_line(axes, corners[:2], color=theme.INK, zorder=6)


def _mark(axes: Canvas, scene: Scene, project: Projection, em: float) -> None:
    """Mark, square from the ramp to the hub, and the little corner that says so."""
    if scene.climb < 0.0:  # not on the ramp yet
        return
    hub, mark = scene.hub[scene.ramp_wheel], scene.mark
    line = draw_line(axes, project(np.stack([mark, hub])), color=theme.INK, linestyle=(0, (4, 2)), zorder=8)
    line.set_gid("square")
    if project.view == "side":
        along = slope_of(scene)
        up = np.array([-math.sin(scene.angle), 0.0, math.cos(scene.angle)])
        box = mark + 0.55 * em * np.array([-along, -along + up, up])
        draw_line(axes, project(box), color=theme.INK, zorder=8, linewidth=theme.thin())
    foot = draw_line(axes, project(mark), marker="v", color=theme.PAPER_WHITE, markeredgecolor=theme.INK, zorder=9)
    foot.set_linestyle("none")
    foot.set_markersize(1.3 * foot.get_markersize())
    foot.set_gid("mark")


def _centre(axes: Canvas, scene: Scene, project: Projection, manner: Manner) -> None:
    centre = project(scene.mass_centre)
    draw_line(axes, centre, marker="o", color=theme.PAPER_WHITE, markeredgecolor=theme.INK, linestyle="none", zorder=7)
    draw_line(axes, centre, marker="+", color=theme.INK, linestyle="none", zorder=8).set_gid("mass-centre")
    u, v = centre
    axes.text(u, v + 0.5 * manner.em, "CG", ha="center", va="bottom", zorder=9, path_effects=theme.halo(manner.medium))


def _bodywork(axes: Canvas, scene: Scene, project: Projection, manner: Manner) -> None:
    """Bodywork points; those that are told in words numbered, the numbers clear of one another and of the CG."""
    told, em = told_points(scene, manner.most), manner.em
    near = [[0.85, 0.7], [-0.85, 0.7], [0.85, -0.7], [-0.85, -0.7], [0.0, 1.5], [0.0, -1.5]]
    far = [[1.9, 0.0], [-1.9, 0.0], [1.5, 1.7], [-1.5, 1.7], [1.5, -1.7], [-1.5, -1.7], [0.0, 2.6], [0.0, -2.6]]
    corners = em * np.array(near + far)
    centre = project(scene.mass_centre)
    taken: list[Array] = [centre, centre + np.array([0.0, em])]
    for k, point in enumerate(project(scene.point)):
        draw_line(axes, point, marker="x", color=theme.PURPLE, linestyle="none", zorder=10).set_gid(f"bodywork-{k}")
        if k not in told:
            continue
        apart = [min((float(np.abs(point + c - other).max()) for other in taken), default=np.inf) for c in corners]
        place = point + corners[next((i for i, d in enumerate(apart) if d > 1.6 * em), int(np.argmax(apart)))]
        taken.append(place)
        axes.text(
            float(place[0]),
            float(place[1]),
            str(k + 1),
            ha="center",
            va="center",
            color=theme.PURPLE,
            weight="bold",
            zorder=10,
            path_effects=theme.halo(manner.medium),
        )


def told_points(scene: Scene, most: int = MOST_POINTS) -> list[int]:
    """Indices of the bodywork points that are told in words, the nearest first."""
    return [int(k) for k in np.argsort(scene.point_clearance, kind="stable")[:most]]


def beside_the_ramp(scene: Scene, point: int) -> bool:
    """Whether a point is lower than the ramp but hangs beside it, so that from the side it seems to be in it."""
    x, _, z = scene.point[point]
    return bool(0.0 < x < ramp_end(scene) * math.cos(scene.angle) and z < x * math.tan(scene.angle)) and (
        scene.point_clearance[point] > 0.0
    )


def bodywork_words(scene: Scene, columns: int, lengths: Lengths, most: int = MOST_POINTS) -> list[str]:
    """Lines that say what the numbered points are and how far they are clear of what lies below, square to it."""
    if not scene.points:
        return []
    told = []
    for k in told_points(scene, most):
        clearance = float(scene.point_clearance[k])
        words = "touches" if clearance <= 0.0 else lengths.one(clearance).replace(" ", KEPT)
        told.append(f"{k + 1}{KEPT}{scene.points[k]} {words}{', beside the ramp' if beside_the_ramp(scene, k) else ''}")
    if len(scene.points) > most:
        told.append(f"{len(scene.points) - most} more, each clear by more")
    lines = textwrap.wrap("clear by: " + "; ".join(told), columns, subsequent_indent="   ")
    return [line.replace(KEPT, " ") for line in lines]


def scale_bar(axes: Canvas, u: float, v: float, em: float, lengths: Lengths, arrows: bool = True) -> None:
    """One metre or three feet, and below it the arrow of ten kilonewtons where loads are drawn as arrows."""
    long, words = lengths.bar
    bar = np.array([[u, v], [u + long, v]])
    draw_line(axes, bar, color=theme.INK, marker="|", solid_capstyle="butt", zorder=6).set_gid("metre")
    axes.text(u + long + 0.5 * em, v, words, va="center")
    if not arrows:
        return
    length = 1e4 * ARROW_PER_NEWTON
    arrow(axes, np.array([u, v - 1.6 * em]), np.array([length, 0.0]), theme.MUTED, em)
    axes.text(u + length + 0.5 * em, v - 1.6 * em, "10 kN", va="center")


def draw_scene(axes: Canvas, scene: Scene, view: str, manner: Manner, lifting: int, left: float, right: float) -> None:
    """Everything but the words, into axes whose units are metres, the floor from left to right."""
    project, em, plain = Projection(scene, view), manner.em, manner.plain
    near = project.near(scene)
    _ground(axes, scene, project, left, right)
    ends = view in ("rear", "front")
    draw_body(axes, scene, project, seen_through=ends and not plain)
    if lifting >= 0:
        draw_film(axes, scene, lifting, project)
    for wheel in [w for w in range(4) if w not in near] + near:
        draw_wheel(axes, scene, wheel, project, near=wheel in near, lifting=wheel == lifting, plain=plain)
        if plain:
            continue
        if ends and wheel in near:
            draw_spring(axes, scene, wheel, project)
    if plain:
        _mark(axes, scene, project, em)
        return
    if ends:
        draw_bar(axes, scene, 1 if view == "rear" else 0, project)
    for wheel in range(4):
        draw_load(axes, scene, wheel, project, wheel in near, em)
    _mark(axes, scene, project, em)
    _centre(axes, scene, project, manner)
    _bodywork(axes, scene, project, manner)
    toe = draw_line(axes, project(np.zeros(3)), marker="None", linestyle="none")
    toe.set_gid("toe")
