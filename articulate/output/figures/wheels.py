"""Wheels, springs at their stops and load arrows of the to-scale drawing."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from matplotlib.patches import FancyArrow
from numpy.typing import NDArray

from articulate.output.figures import theme
from articulate.output.figures.canvas import Canvas, draw_line, draw_polygon, on_axes
from articulate.output.figures.projection import Projection
from articulate.output.figures.scene import SEAT_ABOVE_HUB, Scene
from articulate.types import WHEELS

Array = NDArray[np.float64]

ARROW_PER_NEWTON = 0.06 / 1000.0  # [m/N]: 10 kN are 0.6 m
COILS = 5
_ROUND = np.linspace(0.0, 2.0 * np.pi, 145)
COSINE, SINE = np.cos(_ROUND), np.sin(_ROUND)


def outline(hub: Array, axle: Array, radius: float, section: float, project: Callable[[Array], Array]) -> Array:
    """Outline of a torus seen from far away, (k, 2) [m]: its crown circle's ellipse, moved outward by the section.

    By the support function of the ellipse with half axes A = R - r and B = A |a.v| (v to the viewer, a the axle):
    p(phi) = (A^2 cos phi, B^2 sin phi) / sqrt(A^2 cos^2 phi + B^2 sin^2 phi) + r (cos phi, sin phi).
    """
    centre, along = project(hub), project(axle)
    seen = float(np.hypot(*along))
    minor_direction = along / seen if seen > 1e-9 else np.array([1.0, 0.0])
    major_direction = np.array([-minor_direction[1], minor_direction[0]])
    major = radius - section
    minor = max(major * np.sqrt(max(1.0 - seen**2, 0.0)), 1e-6 * major)
    root = np.sqrt((major * COSINE) ** 2 + (minor * SINE) ** 2)
    a = major**2 * COSINE / root + section * COSINE
    b = minor**2 * SINE / root + section * SINE
    return np.asarray(centre + a[:, None] * major_direction + b[:, None] * minor_direction)


def flattened(shape: Array, scene: Scene, wheel: int, project: Projection) -> Array:
    """An outline pressed flat on the ground below it: on the ramp where a wheel of its lane stands past the toe."""
    u, v = shape.T
    sine, cosine = np.sin(scene.angle), np.cos(scene.angle)
    if wheel % 2 != scene.ramp_wheel:
        return np.stack([u, np.maximum(v, 0.0)], axis=-1)
    if project.view != "side":
        level = max(scene.contact[wheel, 0] * np.tan(scene.angle), 0.0) if scene.on_ramp[wheel] else 0.0
        return np.stack([u, np.maximum(v, level)], axis=-1)
    x = u * project.right[0]
    under = np.where(x > 0.0, np.minimum(v * cosine - x * sine, 0.0), 0.0)
    x, v = x + under * sine, v - under * cosine
    return np.stack([x * project.right[0], np.maximum(v, 0.0)], axis=-1)


def spokes(axle: Array) -> tuple[Array, Array]:
    """Two unit vectors square to an axle (3,) and to one another, the first level."""
    x, y, z = axle.tolist()
    first = np.array([y, -x, 0.0])
    first /= np.linalg.norm(first)
    across, along, _ = first.tolist()
    return first, np.array([-z * along, z * across, x * along - y * across])  # the axle cross the first


def pressed(scene: Scene, wheel: int, project: Projection) -> Array:
    """A tyre's silhouette from any direction, pressed flat on what it stands on: the hull of its torus, (k, 2) [m]."""
    axle, hub = scene.axle_direction[wheel], scene.hub[wheel]
    first, second = spokes(axle)
    turn = np.linspace(0.0, 2.0 * np.pi, 73)[:-1, None, None]
    round_ = np.linspace(-0.5 * np.pi, 0.5 * np.pi, 13)[None, :, None]
    section = float(scene.section_radius[wheel])
    spoke = np.cos(turn) * first + np.sin(turn) * second
    points = (
        hub + (scene.tyre_radius[wheel] - section + section * np.cos(round_)) * spoke + section * np.sin(round_) * axle
    )
    points = points.reshape(-1, 3).copy()
    if wheel % 2 == scene.ramp_wheel:
        up = np.array([-np.sin(scene.angle), 0.0, np.cos(scene.angle)])
        under = np.minimum(points @ up, 0.0) * (points[:, 0] > 0.0)
        points -= under[:, None] * up
    points[:, 2] = np.maximum(points[:, 2], 0.0)
    return hull(project(points))


def hull(points: Array) -> Array:
    """Convex hull of points (k, 2), counter-clockwise (Andrew's monotone chain)."""
    ordered = points[np.lexsort((points[:, 1], points[:, 0]))].tolist()

    def chain(row: list[list[float]]) -> list[list[float]]:
        kept: list[list[float]] = []
        for p in row:
            while len(kept) > 1 and (kept[-1][0] - kept[-2][0]) * (p[1] - kept[-2][1]) <= (
                kept[-1][1] - kept[-2][1]
            ) * (p[0] - kept[-2][0]):
                kept.pop()
            kept.append(p)
        return kept[:-1]

    return np.array(chain(ordered) + chain(ordered[::-1]))


def _ring(scene: Scene, wheel: int, radius: float, out: float, project: Projection) -> Array:
    """A circle about the axle, `out` [m] outboard of the tyre's centre plane, as it is seen, (k, 2)."""
    axle = scene.axle_direction[wheel] * (1.0 if wheel % 2 == 0 else -1.0)
    first, second = spokes(axle)
    spoke = COSINE[::2, None] * first + SINE[::2, None] * second
    return project(scene.hub[wheel] + out * axle + radius * spoke)


def _name(prefix: str, wheel: int) -> str:
    return f"{prefix}-{WHEELS[wheel].replace(' ', '-')}"


def silhouette(scene: Scene, wheel: int, project: Projection) -> Array:
    """A tyre as it is seen, flat where it presses, (k, 2) [m]."""
    if project.view in ("top", "three-quarter"):
        return pressed(scene, wheel, project)
    hub, axle = scene.hub[wheel], scene.axle_direction[wheel]
    shape = outline(hub, axle, float(scene.tyre_radius[wheel]), float(scene.section_radius[wheel]), project)
    return flattened(shape, scene, wheel, project)


def draw_wheel(
    axes: Canvas, scene: Scene, wheel: int, project: Projection, near: bool, lifting: bool, plain: bool = False
) -> None:
    """A tyre, flat where it presses; its hidden edge in dashes; of a near wheel tread edge, rim and carrier."""
    hub = scene.hub[wheel]
    radius, section = float(scene.tyre_radius[wheel]), float(scene.section_radius[wheel])
    colour = theme.LIFTS if plain and lifting else theme.WHEEL_COLOURS[wheel]
    shape = silhouette(scene, wheel, project)
    facing = abs(float(scene.axle_direction[wheel] @ project.toward)) > 0.3
    if near:
        edge = colour if lifting else theme.INK
        draw_polygon(axes, shape, theme.TYRE, edge, 4, theme.thick() * 0.8)
        # Over the body: the part that stuffs into the arch, and the ring of the wheel that lifts.
        line = (theme.thick() * 1.8, "-") if lifting else (theme.thin(), (0, (3, 2)))
        draw_polygon(axes, shape, None, edge, 4.6, *line)
        if facing:
            tread = _ring(scene, wheel, radius - 0.45 * section, 0.75 * section, project)
            draw_line(axes, tread, color=theme.INK, linewidth=theme.thin() * 0.7, zorder=4.1)
            rim = _ring(scene, wheel, max(radius - 1.75 * section, 0.4 * radius), 0.8 * section, project)
            draw_polygon(axes, rim, theme.PAPER_WHITE, theme.INK, 4.2)
        elif project.view in ("rear", "front"):
            _tread_lines(axes, scene, wheel, project)
        if plain:
            return
        if project.view != "three-quarter":
            draw_line(axes, project(scene.carrier[wheel]), color=theme.INK, zorder=5, solid_capstyle="round")
        if project.view == "side":
            draw_travel(axes, scene, wheel, hub, project)
    else:
        draw_polygon(axes, shape, "#c6cacf", theme.MUTED, 0.4)
        if plain and not lifting:
            return
        width = theme.thick() * 1.2 if lifting else theme.thin()
        draw_polygon(axes, shape, None, colour if lifting else theme.MUTED, 4.7, width, (0, (3, 2)))
    dot = draw_line(
        axes,
        project(hub),
        marker="o",
        color=colour if near else theme.PAPER_WHITE,
        markeredgecolor=colour,
        zorder=9 if near else 4.8,
    )
    dot.set_linestyle("none")
    dot.set_gid(_name("hub", wheel))


def _tread_lines(axes: Canvas, scene: Scene, wheel: int, project: Projection) -> None:
    """Edges of the tread, seen along the vehicle."""
    radius, section = float(scene.tyre_radius[wheel]), float(scene.section_radius[wheel])
    axle = scene.axle_direction[wheel]
    up = np.cross(np.cross(axle, [0.0, 0.0, 1.0]), axle)
    up /= np.linalg.norm(up)
    for share in (-0.62, 0.62):
        reach = radius - 0.30 * section
        ends = scene.hub[wheel] + share * section * axle + np.array([[-0.93], [1.0]]) * reach * up
        draw_line(axes, project(ends), color=theme.INK, linewidth=theme.thin() * 0.7, zorder=4.1)


def draw_film(axes: Canvas, scene: Scene, wheel: int, project: Projection) -> None:
    """The film under the wheel that lifts: pulled out sideways, a little of it standing up."""
    contact, half = scene.contact[wheel], 0.9 * float(scene.section_radius[wheel])
    if project.view in ("top", "three-quarter"):
        outward = 1.0 if wheel % 2 == 0 else -1.0
        long, wide = 0.34, 0.10
        corners = np.array([[-wide, -half], [wide, -half], [wide, long], [-wide, long]])
        sheet = np.stack([contact[0] + corners[:, 0], contact[1] + outward * corners[:, 1], np.zeros(4)], axis=-1)
        draw_polygon(axes, project(sheet), "#fff3c4", theme.ORANGE, 1.5, theme.thin() * 1.2)
        return
    level = contact.copy()
    level[2] = max(level[2], 0.0)
    u, v = project(level)
    away = 1.0 if project.right @ (level - scene.mass_centre) > 0.0 else -1.0
    film = np.array([[-0.5 * half, 0.0], [0.24, 0.0], [0.31, 0.012], [0.36, 0.045]]) * np.array([away, 1.0])
    draw_line(axes, np.array([u, v]) + film, color=theme.ORANGE, linewidth=theme.thick() * 1.4, zorder=6.2)


def bar_lines(scenes: Sequence[Scene], axle: int) -> tuple[Array, Array]:
    """An axle's anti-roll bar as drawn in scenes of one run, and the ends of its links.

    The centre part is held by the body, the ends follow the carriers and so twist it; a released bar lies where it
    does at ride height and its links hang free.

    Args:
        scenes: of a vehicle that has the bar, in one state of it.
        axle: 0 front, 1 rear.

    Returns:
        (its line from end to end (scenes, 4, 3), the links (scenes, 2, 2, 3)) [m].
    """
    up, across = np.array([scene.body_up for scene in scenes]), np.array([scene.body_axes[1] for scene in scenes])
    ends, links, held = [], [], []
    for wheel, sign in ((2 * axle, 1.0), (2 * axle + 1, -1.0)):
        outer, inner = np.array([scene.carrier[wheel] for scene in scenes]).swapaxes(0, 1)
        rest = np.array([scene.spring[wheel, 1] for scene in scenes]) - SEAT_ABOVE_HUB * up
        if scenes[0].bar_free[axle]:
            end = rest + 0.12 * up + sign * 0.10 * across
            foot = end - np.array([0.0, 0.0, 0.11])
        else:
            foot = outer + 0.30 * (inner - outer)
            end = foot + 0.11 * up
        ends.append(end)
        held.append(rest + 0.12 * up - sign * 0.06 * across)
        links.append(np.stack([end, foot], axis=1))
    return np.stack([ends[0], *held, ends[1]], axis=1), np.stack(links, axis=1)


def draw_bar(axes: Canvas, scene: Scene, axle: int, project: Projection) -> None:
    """An axle's anti-roll bar: twisted where it holds, hanging free where it is released."""
    if not scene.bar_fitted[axle]:
        return
    (line,), (links,) = bar_lines([scene], axle)
    free = bool(scene.bar_free[axle])
    bar = draw_line(axes, project(line), color=theme.PURPLE, linewidth=theme.thick() * 1.3, zorder=5.4)
    bar.set_gid(f"bar-{('front', 'rear')[axle]}{'-free' if free else ''}")
    bar.set_solid_joinstyle("round")
    for link in links:
        draw_line(axes, project(link), color=theme.PURPLE, linewidth=theme.thin() * 1.6, zorder=5.4)
        foot = draw_line(axes, project(link[1]), marker="o", color=theme.PURPLE, linestyle="none", zorder=5.5)
        foot.set_markersize(0.45 * foot.get_markersize())
        if free:
            foot.set_markerfacecolor(theme.PAPER_WHITE)


def draw_travel(axes: Canvas, scene: Scene, wheel: int, at: Array, project: Projection) -> None:
    """Travel left at the stops, to scale along the body's vertical: bump stop above, full droop below.

    The marked point stands in the slot where it is; a stop that is met is drawn heavy.
    """
    bump = at + (scene.bump_gap[wheel] - scene.travel[wheel]) * scene.body_up
    droop = at - (scene.droop_gap[wheel] + scene.travel[wheel]) * scene.body_up
    across = 0.055 * project.right
    thin, thick = theme.thin(), theme.thick() * 2.2
    draw_line(axes, project(np.stack([bump, droop])), color=theme.INK, linewidth=thin * 1.5, zorder=6)
    for end, met in ((bump, scene.bump_met[wheel]), (droop, scene.droop_met[wheel])):
        draw_line(
            axes,
            project(np.stack([end - across, end + across])),
            color=theme.INK,
            linewidth=thick if met else thin * 1.5,
            solid_capstyle="butt",
            zorder=6,
        )


def draw_spring(axes: Canvas, scene: Scene, wheel: int, project: Projection) -> None:
    """The spring as a zigzag from carrier to body, and the travel left at its stops beside it."""
    lower, upper = project(scene.spring[wheel])
    along = upper - lower
    length = float(np.hypot(*along))
    across = np.array([-along[1], along[0]]) / length * 0.055
    turns = np.linspace(0.14, 0.86, 2 * COILS + 1)
    swing = np.where(np.arange(turns.size) % 2 == 0, -1.0, 1.0)[:, None]
    zigzag = np.concatenate(
        [
            [lower],
            [lower + 0.1 * along],
            lower + turns[:, None] * along + swing * across,
            [lower + 0.9 * along],
            [upper],
        ]
    )
    draw_line(axes, zigzag, color=theme.MUTED, zorder=5, solid_joinstyle="round")
    draw_line(
        axes,
        np.stack([upper - 2.2 * across, upper + 2.2 * across]),
        color=theme.INK,
        zorder=5,
        linewidth=theme.thick() * 1.5,
    )
    hub = scene.hub[wheel]
    to_hub = (hub - scene.spring[wheel, 0]) / np.linalg.norm(hub - scene.spring[wheel, 0])
    draw_travel(axes, scene, wheel, scene.spring[wheel, 0] + (-0.15 if scene.solid[wheel] else 0.15) * to_hub, project)


def draw_load(axes: Canvas, scene: Scene, wheel: int, project: Projection, near: bool, em: float) -> None:
    """The ground's push on a tyre: an arrow square to the ground, to scale, that ends at the contact point.

    That of a far wheel is hollow and pale and says that it is one; where it would lie on a near wheel's it stands
    aside, a thin line leading from the contact point to it.
    """
    contact, load = project(scene.contact[wheel]), float(scene.load[wheel])
    colour = theme.WHEEL_COLOURS[wheel]
    dot = draw_line(axes, contact, marker="o", color=colour, markeredgecolor=theme.PAPER_WHITE, zorder=10)
    dot.set_linestyle("none")
    dot.set_markersize(0.7 * dot.get_markersize())
    dot.set_gid(_name("contact", wheel))
    reach = project(scene.load_direction[wheel]) * load * ARROW_PER_NEWTON
    if project.view == "top" or np.hypot(*reach) < 0.25 * em:
        return
    tip, hollow = contact, not near
    if hollow and project.view in WHERE_FAR:
        tip = beside_the_near(scene, wheel, project, em)
        if tip is not contact and abs(tip[0] - contact[0]) > 1e-9:
            draw_line(
                axes,
                np.stack([contact, tip]),
                color=colour,
                linestyle=(0, (1, 1.5)),
                linewidth=theme.thin() * 1.4,
                zorder=6.4,
            )
    drawn = arrow(axes, tip - reach, reach, colour, em, hollow=hollow)
    drawn.set_gid(_name("load", wheel))
    if hollow and project.view in WHERE_FAR and np.hypot(*reach) > 3.0 * em:
        inward = 1.0 if tip[0] <= contact[0] - 1e-9 else -1.0
        place = tip - (0.4 if project.view == "side" else 0.85) * reach - np.array([inward * 1.0 * em, 0.0])
        axes.text(
            float(place[0]),
            float(place[1]),
            WHERE_FAR[project.view],
            ha="right" if inward > 0.0 else "left",
            va="center",
            color=colour,
            alpha=0.75,
            zorder=7,
        )


WHERE_FAR = {"side": "far side", "rear": "front axle", "front": "rear axle"}
APART = 1.9  # type sizes between a near wheel's arrow and one that stands aside


def beside_the_near(scene: Scene, wheel: int, project: Projection, em: float) -> Array:
    """Where a far wheel's arrow ends: at its contact point, or aside of it, inward, clear of the near wheel's, (2,)."""
    contact = project(scene.contact[wheel])
    mate = wheel ^ 1 if project.view == "side" else (wheel + 2) % 4
    near = project(scene.contact[mate])
    if abs(contact[0] - near[0]) > APART * em:
        return contact
    inward = 1.0 if project(scene.mass_centre)[0] > near[0] else -1.0
    return np.array([near[0] + inward * APART * em, contact[1]])


def arrow(axes: Canvas, tail: Array, reach: Array, colour: str, em: float, hollow: bool = False) -> FancyArrow:
    """An arrow from its tail by `reach`, (2,) [m] each; a hollow one is pale."""
    drawn = FancyArrow(
        *tail,
        *reach,
        width=(0.42 if hollow else 0.26) * em,
        head_width=(1.05 if hollow else 0.80) * em,
        head_length=min(1.0 * em, 0.7 * float(np.hypot(*reach))),
        length_includes_head=True,
        facecolor=theme.PAPER_WHITE if hollow else colour,
        edgecolor=colour if hollow else theme.PAPER_WHITE,
        alpha=0.6 if hollow else None,
        linewidth=theme.thin() * (1.4 if hollow else 0.6),
        zorder=6.5 if hollow else 7,
    )
    on_axes(axes).add_artist(drawn)
    return drawn
