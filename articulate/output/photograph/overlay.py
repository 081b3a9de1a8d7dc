"""The picture: the photograph, the predicted vehicle over it in lines, and in words how the two differ."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patheffects import withStroke
from matplotlib.transforms import Affine2D, Transform
from numpy.typing import NDArray
from PIL import Image

from articulate.output.figures import theme
from articulate.output.figures.audience import below_the_message, caption, message
from articulate.output.figures.drawing import ramp_end, slope_of
from articulate.output.figures.projection import Projection
from articulate.output.figures.scene import Scene
from articulate.output.figures.theme import Medium, Picture, hand
from articulate.output.figures.wheels import silhouette
from articulate.output.photograph.fit import ASKS, CONDITIONS, PhotographFit
from articulate.output.units import Lengths

Array = NDArray[np.float64]

LONGEST = 2000  # [px], longer side of the photograph as it is shown
EMS = (64.0, 44.0)  # type sizes across a landscape and an upright picture
PREDICTED, SEEN = theme.SKY, theme.ORANGE
FACING = 0.5  # cosine of the angle up to which a part of the body faces the viewer
WORDS = 7.6  # type sizes under the photograph


def differences(found: PhotographFit, lengths: Lengths) -> list[str]:
    """By how much each photographed point is off the predicted, in lines; empty where no point is spare."""
    if found.spare < 1:
        return []
    lines = [
        f"{name}: {_off(float(off[0]), float(off[1]), lengths)}"
        for name, off in zip(found.names, found.off, strict=True)
    ]
    whole = f"root mean square {lengths.one(found.rms)}"
    if math.isfinite(found.hub_angle):
        degrees = math.degrees(found.hub_angle)
        whole += f"; line of the hubs {abs(degrees):.1f} deg more nose {'up' if degrees >= 0.0 else 'down'}"
    return [*lines, whole]


def _off(ahead: float, above: float, lengths: Lengths) -> str:
    along = f"{lengths.one(abs(ahead))} {'ahead' if ahead >= 0.0 else 'behind'}"
    return f"{along} and {lengths.one(abs(above))} {'above' if above >= 0.0 else 'below'}"


def laid_words(found: PhotographFit, wheelbase: float, lengths: Lengths) -> list[str]:
    """What the fit says, a paragraph each: scale and turn, the differences, and what to make of them."""
    degrees = math.degrees(found.turn)
    way = "anticlockwise" if degrees >= 0.0 else "clockwise"
    said = [
        f"laid over by {', '.join(found.names)}: one pixel is {lengths.one(found.scale, digits=3)}"
        if lengths.first == "in"
        else f"laid over by {', '.join(found.names)}: one pixel is {1000.0 * found.scale:.2f} mm",
        f"the picture is turned {abs(degrees):.1f} deg {way} to stand level",
    ]
    if found.spare < 1:
        said.append("two points meet any prediction; give a third to see how far photograph and prediction differ")
    else:
        said.append("photographed against predicted, at the least squares of all points:")
        said += [f"  {line}" for line in differences(found, lengths)]
    if found.rms > ASKS * wheelbase:
        said.append(
            f"? {lengths.one(found.rms)} is much: is a point misplaced, the moment another (--at), the camera not "
            "square on, or does the vehicle stand otherwise than predicted?"
        )
    return [*said, CONDITIONS]


def laid_data(found: PhotographFit) -> dict[str, object]:
    """The fit as plain data, SI."""
    return {
        "metres_per_pixel": found.scale,
        "turn_rad": found.turn,
        "rms_m": found.rms if found.spare > 0 else None,
        "hub_angle_rad": found.hub_angle if found.spare > 0 and math.isfinite(found.hub_angle) else None,
        "points": [
            {"name": name, "ahead_m": float(off[0]), "above_m": float(off[1])}
            for name, off in zip(found.names, found.off, strict=True)
        ],
    }


def laid_over(
    scene: Scene,
    name: str,
    photograph: Image.Image,
    found: PhotographFit,
    lengths: Lengths,
    lifting: int = -1,
    lies_in: str = "",
) -> Picture:
    """The predicted vehicle in lines over the photographed one, to scale, with score, sentence and differences below.

    Args:
        scene: the predicted moment.
        name: of the vehicle.
        photograph: in red, green and blue.
        found: how it lies on the side view.
        lengths: the units in which lengths are told.
        lifting: index of the wheel that unloads at this moment, -1 if none.
        lies_in: what 90 % of predicted scores lie in, in words; empty where it is not known or no score is shown.
    """
    shown = photograph.copy()
    shown.thumbnail((LONGEST, LONGEST), Image.Resampling.LANCZOS)
    wide, high = shown.size
    per_pixel = photograph.width / wide
    ems = EMS[0] if wide >= high else EMS[1]
    medium = Medium("photograph", wide / 100.0, 100, 72.0 * wide / 100.0 / ems, lengths=lengths)
    score, sentence = message(scene, lifting, lengths)
    with hand(medium):
        photo_high = ems * high / wide
        figure = theme.sheet(medium, photo_high + WORDS, transparent=False)
        whole = photo_high + WORDS
        axes = figure.add_axes((0.0, WORDS / whole, 1.0, photo_high / whole))
        axes.imshow(np.asarray(shown), extent=(0.0, wide, high, 0.0), aspect="auto", interpolation="nearest")
        axes.set_xlim(0.0, wide)
        axes.set_ylim(high, 0.0)
        axes.set_axis_off()
        inverse = np.linalg.inv(found.matrix) / per_pixel
        place = Affine2D(np.block([[inverse, (-inverse @ found.shift)[:, None]], [np.zeros((1, 2)), np.ones((1, 1))]]))
        _lines(axes, scene, place + axes.transData, medium, lifting)
        points = found.photographed / per_pixel
        axes.plot(*points.T, marker="x", linestyle="none", color=SEEN, markersize=medium.points(0.7), zorder=9,
            markeredgewidth=medium.points(0.12), path_effects=_edge(medium, 0.24, theme.INK))  # fmt: skip

        def line(u: float, down: float, words: str, size: float, colour: str, weight: str = "normal") -> float:
            """Words below the photograph; returns how far they reach [type sizes]."""
            text = figure.text(u / ems, (WORDS - down) / whole, words, va="center", fontsize=medium.points(size),
                color=colour, weight=weight)  # fmt: skip
            theme.fitted(text, medium.inches(ems - 1.0 - u))
            return u + theme.drawn_width(text) / medium.inches(1.0)

        beside = line(1.0, 2.2, score, 3.4, theme.INK, "bold") + 1.2
        line(beside, 1.5, sentence, 1.5, theme.LIFTS if lifting >= 0 else theme.INK, "bold")
        line(
            beside,
            3.2,
            f"{below_the_message(scene, name, lies_in)}; blue: predicted, ×: photographed points",
            0.95,
            theme.MUTED,
        )
        told = differences(found, lengths)
        line(
            1.0, 4.9, "; ".join(told[:-1]) if told else "laid over by two points, no third to compare", 0.95, theme.INK
        )
        line(1.0, 6.3, told[-1] if told else "the body is drawn as its kind is, not as this vehicle", 0.95, theme.INK)
    said = caption(scene, name, lifting, lengths, lies_in)
    also = "Photograph with the predicted vehicle in lines over it, to scale. "
    words = " ".join(f"{one.strip()}." if not one.endswith((".", "?", ":")) else one for one in
                     laid_words(found, scene.wheelbase, lengths))  # fmt: skip
    return Picture(figure, medium, f"{name}: {score}, {sentence}", f"{also}{said} {words}", caption=said)


def _edge(medium: Medium, width: float, colour: str = theme.PAPER_WHITE) -> list[withStroke]:
    return [withStroke(linewidth=medium.points(width), foreground=colour)]


def _lines(axes: Axes, scene: Scene, place: Transform, medium: Medium, lifting: int) -> None:
    """The prediction in lines that are seen on light and dark: ground, mark, tyres and hubs heavy, the body thin."""
    project = Projection(scene, "side")

    def draw(points: Array, width: float, colour: str = PREDICTED, gid: str = "", **style: Any) -> None:
        halo = _edge(medium, width + 0.14, theme.INK if colour == PREDICTED else theme.PAPER_WHITE)
        drawn = axes.plot(*np.atleast_2d(points).T, color=colour, linewidth=medium.points(width), transform=place,
            path_effects=halo, **style)[0]  # fmt: skip
        drawn.set_gid(gid)

    toward = scene.body_axes @ project.toward
    for face in scene.outline.seen(toward):
        if face.part in ("lower", "upper") and face.normal @ toward > FACING:
            ring = project(scene.placed(face.points))
            draw(np.vstack([ring, ring[:1]]), 0.06, zorder=4)
    end = ramp_end(scene) * slope_of(scene)
    back = np.array([float(project.right[0]) * (scene.hub[:, 0].min() - 1.0), 0.0])
    draw(np.vstack([back, project(np.zeros(3))]), 0.14, zorder=5, gid="floor")
    draw(project(np.array([np.zeros(3), end])), 0.14, zorder=5, gid="ramp-surface")
    near = project.near(scene)
    for wheel in [w for w in range(4) if w not in near] + near:
        shape = silhouette(scene, wheel, project)
        lifts = wheel == lifting
        if wheel not in near and not lifts:
            continue
        draw(np.vstack([shape, shape[:1]]), 0.28 if lifts else 0.20, theme.LIFTS if lifts else PREDICTED, zorder=6)
    if scene.climb >= 0.0:
        draw(project(np.stack([scene.mark, scene.hub[scene.ramp_wheel]])), 0.14, zorder=7, linestyle=(0, (3, 2)))
        draw(project(scene.mark), 0.14, zorder=8, gid="mark", marker="v", markersize=medium.points(0.8),
            linestyle="none", markeredgecolor=theme.INK)  # fmt: skip
    hollow: dict[str, Any] = {"marker": "o", "markersize": medium.points(1.1), "linestyle": "none",
        "markerfacecolor": "none", "markeredgecolor": PREDICTED, "markeredgewidth": medium.points(0.16)}  # fmt: skip
    for wheel, gid in zip(near, ("hub-front", "hub-rear"), strict=True):
        draw(project(scene.hub[wheel]), 0.14, zorder=8, gid=gid, **hollow)
