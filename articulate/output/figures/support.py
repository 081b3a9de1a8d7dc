"""The support polygon from above, with the tipping margin."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon, Rectangle
from numpy.typing import NDArray

from articulate.output.figures import theme
from articulate.output.figures.canvas import draw_line
from articulate.output.figures.drawing import RAMP_HALF_WIDTH, ramp_end
from articulate.output.figures.scene import Scene
from articulate.output.figures.theme import Medium, Picture, hand
from articulate.output.figures.vehicle import fit
from articulate.output.figures.wheels import outline
from articulate.types import WHEELS

Array = NDArray[np.float64]

AROUND = (0, 2, 3, 1)  # counter-clockwise from above
TOUCHING = 1e-6  # [N], as in the model's tipping margin: a wheel down to the touch load still stands on the ground
CARRIES = 1.0  # [N]


def support_edge(scene: Scene, least: float = TOUCHING) -> tuple[list[int], Array, Array, float]:
    """Wheels on the ground, and the edge of what they span that is nearest to the centre of gravity's vertical.

    Args:
        scene: the moment.
        least: load from which a wheel counts [N].

    Returns:
        (wheels counter-clockwise, start (2,), end (2,), distance inside): x forward, y left, seen from above [m].
    """
    wheels = [w for w in AROUND if scene.load[w] > least]
    centre = scene.mass_centre[:2]
    found = []
    for first, second in zip(wheels, [*wheels[1:], wheels[0]], strict=True):
        start, end = scene.contact[first, :2], scene.contact[second, :2]
        along, to_centre = end - start, centre - start
        inside = float((along[0] * to_centre[1] - along[1] * to_centre[0]) / np.hypot(*along))
        found.append((inside, start, end))
    distance, start, end = min(found, key=lambda item: item[0])
    return wheels, start, end, distance


def _wheel(axes: Axes, scene: Scene, wheel: int, em: float) -> None:
    """A tyre from above, its contact point and its load."""
    carries = scene.load[wheel] > CARRIES
    colour = theme.WHEEL_COLOURS[wheel]
    shape = outline(
        scene.hub[wheel],
        scene.axle_direction[wheel],
        float(scene.tyre_radius[wheel]),
        float(scene.section_radius[wheel]),
        lambda points: np.asarray(points)[..., :2],
    )
    axes.add_artist(Polygon(shape, fill=False, edgecolor=colour, linestyle="-" if carries else "--", zorder=4))
    dot = draw_line(
        axes,
        scene.contact[wheel, :2],
        marker="o",
        color=colour if carries else theme.PAPER_WHITE,
        markeredgecolor=colour,
        zorder=6,
    )
    dot.set_linestyle("none")
    dot.set_gid(f"contact-{WHEELS[wheel].replace(' ', '-')}")
    outward = 1.0 if wheel % 2 == 0 else -1.0
    edge = float((shape[:, 1] * outward).max()) * outward
    words = f"{WHEELS[wheel]} {scene.load[wheel]:.0f} N"
    axes.text(
        float(shape[:, 0].mean()),
        edge + outward * 0.5 * em,
        words if carries else f"{words}, carries nothing",
        ha="center",
        va="bottom" if outward > 0.0 else "top",
        color=colour,
        weight="normal" if carries else "bold",
    )


def support_picture(scene: Scene, name: str, medium: Medium = theme.PAGE, transparent: bool = False) -> Picture:
    """What the vehicle stands on, seen from above, front to the right, and how far it is from tipping.

    Args:
        scene: the moment.
        name: of the vehicle.
        medium: paper, page or video.
        transparent: no background.
    """
    wheels, start, end, distance = support_edge(scene)
    centre = scene.mass_centre[:2]
    along = (end - start) / np.hypot(*(end - start))
    foot = start + along * float(along @ (centre - start))
    contact = scene.contact[:, :2]
    carrying, rock_start, rock_end, rocks = support_edge(scene, CARRIES)
    lengths = medium.lengths
    slope = ramp_end(scene) * math.cos(scene.angle)
    low, high = contact.min(axis=0) - np.array([0.85, 0.55]), contact.max(axis=0) + np.array([1.1, 0.55])
    with hand(medium):
        metre = (medium.width_in_type - 2.0) / (high[0] - low[0])
        figure = theme.sheet(medium, (high[1] - low[1]) * metre + 10.6, transparent)
        title = f"{name}: what it stands on, from above, front to the right, bars {scene.bars}"
        above = lengths.one(float(scene.mass_centre[2]))
        under = [
            f"centre of gravity {lengths.one(distance)} inside the nearest edge, "
            f"{above} high: {math.degrees(scene.tipping_angle):.1f}° of tilt in hand",
        ]
        if len(carrying) == 3 and len(wheels) == 4:
            (light,) = set(wheels) - set(carrying)
            under.append(f"{lengths.one(rocks)} inside the three that carry; beyond that it rocks onto {WHEELS[light]}")
        under.append("a rigid body at rest; motion, people and soft ground come on top")
        upper = theme.heading(figure, medium, title, under)
        axes = theme.place(figure, medium, 1.0, 1.0, 1.0, upper)
        em, _, _, bottom, _ = fit(axes, medium, low[0], high[0], low[1], high[1])
        middle = contact[scene.ramp_wheel, 1]
        axes.add_artist(
            Rectangle((0.0, middle - RAMP_HALF_WIDTH), slope, 2.0 * RAMP_HALF_WIDTH, facecolor=theme.RAMP, zorder=1)
        )
        outward = 1.0 if middle > 0.0 else -1.0
        edge, beside = min(slope, float(high[0])), middle + outward * (RAMP_HALF_WIDTH + 0.9 * em)
        axes.text(edge, beside, "ramp, up →", ha="right", va="center", color=theme.INK, zorder=4)
        axes.add_artist(Polygon(contact[carrying], facecolor=theme.SKY, alpha=0.25, edgecolor="none", zorder=2))
        closed = contact[[*wheels, wheels[0]]]
        draw_line(axes, closed, color=theme.BLUE, zorder=3).set_gid("support")
        if rocks < distance:
            draw_line(axes, np.stack([rock_start, rock_end]), color=theme.BLUE, linestyle=(0, (4, 3)), zorder=3)
        draw_line(axes, np.stack([start, end]), color=theme.BLUE, linewidth=2.2 * theme.thick(), zorder=3)
        draw_line(axes, np.stack([centre, foot]), color=theme.VERMILION, zorder=5).set_gid("margin")
        beyond = np.sign(foot[1] - centre[1]) * 1.0 * em
        place = (centre + foot) / 2.0 if distance > 2.5 * em else foot + np.array([0.0, beyond])
        axes.text(
            place[0] + 0.7 * em,
            place[1],
            f"margin {lengths.one(distance)}",
            va="center",
            color=theme.VERMILION,
            weight="bold",
            zorder=8,
            path_effects=theme.halo(medium),
        )
        draw_line(axes, centre, marker="o", color=theme.PAPER_WHITE, markeredgecolor=theme.INK, zorder=6)
        draw_line(axes, centre, marker="+", color=theme.INK, zorder=7).set_gid("mass-centre")
        axes.text(
            centre[0] - 0.8 * em,
            centre[1],
            "CG",
            ha="right",
            va="center",
            zorder=8,
            path_effects=theme.halo(medium),
        )
        for wheel in range(4):
            _wheel(axes, scene, wheel, em)
        scale = (low[0] + high[0]) / 2.0 - 0.5
        long, beside_it = lengths.bar
        bar = np.array([[scale, bottom + 0.8 * em], [scale + long, bottom + 0.8 * em]])
        draw_line(axes, bar, color=theme.INK, marker="|").set_gid("metre")
        axes.text(scale + long + 0.5 * em, bottom + 0.8 * em, beside_it, va="center")
        words = ", ".join(f"{WHEELS[w]} {scene.load[w]:.0f} N" for w in range(4))
        return Picture(figure, medium, title, f"{under[0]}. {words}.", transparent)
