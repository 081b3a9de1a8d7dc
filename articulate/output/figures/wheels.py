"""Wheels, springs at their stops and load arrows of the to-scale drawing."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import FancyArrow, Polygon
from numpy.typing import NDArray

from articulate.output.figures import theme
from articulate.output.figures.projection import Projection
from articulate.output.figures.scene import Scene
from articulate.types import WHEELS

Array = NDArray[np.float64]

ARROW_PER_NEWTON = 0.06 / 1000.0  # [m/N]: 10 kN are 0.6 m
COILS = 5


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
    phi = np.linspace(0.0, 2.0 * np.pi, 145)
    root = np.sqrt((major * np.cos(phi)) ** 2 + (minor * np.sin(phi)) ** 2)
    a = major**2 * np.cos(phi) / root + section * np.cos(phi)
    b = minor**2 * np.sin(phi) / root + section * np.sin(phi)
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


def _name(prefix: str, wheel: int) -> str:
    return f"{prefix}-{WHEELS[wheel].replace(' ', '-')}"


def draw_wheel(axes: Axes, scene: Scene, wheel: int, project: Projection, near: bool, lifting: bool) -> None:
    """A tyre's silhouette; for a near wheel its rim, carrier and the travel left at its hub."""
    hub, axle = scene.hub[wheel], scene.axle_direction[wheel]
    radius, section = float(scene.tyre_radius[wheel]), float(scene.section_radius[wheel])
    colour = theme.WHEEL_COLOURS[wheel]
    shape = outline(hub, axle, radius, section, project)
    shape = flattened(shape, scene, wheel, project)
    if near:
        axes.add_patch(
            Polygon(
                shape,
                facecolor=theme.TYRE,
                edgecolor=colour if lifting else theme.INK,
                linewidth=theme.thick() * (1.6 if lifting else 0.8),
                zorder=4,
            )
        )
        axes.plot(*project(scene.carrier[wheel]).T, color=theme.INK, zorder=5, solid_capstyle="round")
        if project.view == "side":
            rim = outline(hub, axle, radius - 2.0 * section, 0.0, project)
            axes.add_patch(Polygon(rim, facecolor=theme.PAPER_WHITE, edgecolor=theme.INK, zorder=4))
            draw_travel(axes, scene, wheel, hub, project)
    else:
        axes.add_patch(Polygon(shape, fill=False, edgecolor=theme.MUTED, linestyle=(0, (3, 2)), zorder=3))
    dot = axes.plot(
        *project(hub),
        marker="o",
        color=colour if near else theme.PAPER_WHITE,
        markeredgecolor=colour,
        zorder=9 if near else 3,
    )[0]
    dot.set_linestyle("none")
    dot.set_gid(_name("hub", wheel))


def draw_travel(axes: Axes, scene: Scene, wheel: int, at: Array, project: Projection) -> None:
    """Travel left at the stops, to scale along the body's vertical: bump stop above, full droop below.

    The marked point stands in the slot where it is; a stop that is met is drawn heavy.
    """
    bump = at + (scene.bump_gap[wheel] - scene.travel[wheel]) * scene.body_up
    droop = at - (scene.droop_gap[wheel] + scene.travel[wheel]) * scene.body_up
    across = 0.055 * project.right
    thin, thick = theme.thin(), theme.thick() * 2.2
    axes.plot(*project(np.stack([bump, droop])).T, color=theme.INK, linewidth=thin * 1.5, zorder=6)
    for end, met in ((bump, scene.bump_met[wheel]), (droop, scene.droop_met[wheel])):
        axes.plot(
            *project(np.stack([end - across, end + across])).T,
            color=theme.INK,
            linewidth=thick if met else thin * 1.5,
            solid_capstyle="butt",
            zorder=6,
        )


def draw_spring(axes: Axes, scene: Scene, wheel: int, project: Projection) -> None:
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
    axes.plot(*zigzag.T, color=theme.MUTED, zorder=5, solid_joinstyle="round")
    axes.plot(
        *np.stack([upper - 2.2 * across, upper + 2.2 * across]).T,
        color=theme.INK,
        zorder=5,
        linewidth=theme.thick() * 1.5,
    )
    hub = scene.hub[wheel]
    to_hub = (hub - scene.spring[wheel, 0]) / np.linalg.norm(hub - scene.spring[wheel, 0])
    draw_travel(axes, scene, wheel, scene.spring[wheel, 0] + (-0.15 if scene.solid[wheel] else 0.15) * to_hub, project)


def draw_load(axes: Axes, scene: Scene, wheel: int, project: Projection, near: bool, em: float) -> None:
    """The ground's push on a tyre: an arrow square to the ground, to scale, that ends at the contact point.

    That of a far wheel is wider and hollow, so that the two of an axle are told apart where they lie on one another.
    """
    contact, load = project(scene.contact[wheel]), float(scene.load[wheel])
    colour = theme.WHEEL_COLOURS[wheel]
    dot = axes.plot(*contact, marker="o", color=colour, markeredgecolor=theme.PAPER_WHITE, zorder=10)[0]
    dot.set_linestyle("none")
    dot.set_markersize(0.7 * dot.get_markersize())
    dot.set_gid(_name("contact", wheel))
    reach = project(scene.load_direction[wheel]) * load * ARROW_PER_NEWTON
    if np.hypot(*reach) < 0.25 * em:
        return
    arrow(axes, contact - reach, reach, colour, em, hollow=not near).set_gid(_name("load", wheel))


def arrow(axes: Axes, tail: Array, reach: Array, colour: str, em: float, hollow: bool = False) -> FancyArrow:
    """An arrow from its tail by `reach`, (2,) [m] each."""
    drawn = FancyArrow(
        *tail,
        *reach,
        width=(0.62 if hollow else 0.26) * em,
        head_width=(1.25 if hollow else 0.80) * em,
        head_length=min(1.0 * em, 0.7 * float(np.hypot(*reach))),
        length_includes_head=True,
        facecolor=theme.PAPER_WHITE if hollow else colour,
        edgecolor=colour if hollow else theme.PAPER_WHITE,
        linewidth=theme.thin() * (1.4 if hollow else 0.6),
        zorder=6.5 if hollow else 7,
    )
    axes.add_patch(drawn)
    return drawn
