"""The body of the to-scale drawing: the fitted outline's faces as a viewer sees them, those behind first."""

from __future__ import annotations

import numpy as np
from matplotlib.colors import to_rgb
from numpy.typing import NDArray

from articulate.output.figures import theme
from articulate.output.figures.canvas import Canvas, draw_faces, draw_lines
from articulate.output.figures.projection import Projection
from articulate.output.figures.scene import Scene
from articulate.shape.outline import Face
from articulate.types import lateral_sign

Array = NDArray[np.float64]

COLOURS = {
    "paint": "#dfe6ee",
    "roof": "#eaeff4",
    "glass": "#b9cad6",
    "trim": "#aab1b9",
    "lamp": "#f6efcf",
    "tail lamp": "#d99a8f",
    "under": "#b4b9bf",
    "inside": "#8f959c",
    "tyre": theme.TYRE,
}
SHADED = ("paint", "roof", "trim", "tyre")
EDGE, CREASE = "#4d545c", "#9aa4af"
LIGHT = np.array([-0.35, 0.35, 0.87])  # from above the tail's left; body axes turned to the ground
PALE = 0.5  # how far colours go to white where the axle is to be seen through the body
BEHIND, SHELL, SHELL_SEEN_THROUGH = 0.6, 4.4, 0.7  # heights in the pile of what is drawn


def draw_body(axes: Canvas, scene: Scene, project: Projection, seen_through: bool) -> None:
    """The body; `seen_through` puts all of it behind wheels and axles, which otherwise stuff into its arches."""
    toward = scene.body_axes @ project.toward
    faces = scene.outline.seen(toward)
    behind = [face for face in faces if face.part in ("inside", "under")]
    shell = [face for face in faces if face.part in ("lower", "upper")]
    order = SHELL_SEEN_THROUGH if seen_through else SHELL
    if project.view == "side":  # what of bumpers and bonnet lies beyond the ramp's lane is hidden by the ramp
        toward_ramp = lateral_sign(scene.side)
        least = 0.4 * scene.outline.half_width
        beyond = [f for f in shell if f.part == "lower" and toward_ramp * f.points[:, 1].mean() < least]
        behind, shell = [*behind, *beyond], [face for face in shell if face not in beyond]
    _faces(axes, scene, project, behind, BEHIND, "body-under", PALE if seen_through else 0.0)
    _faces(axes, scene, project, shell, order, "body-outline", PALE if seen_through else 0.0)
    shown = {face.name for face in shell}
    lines = [project(scene.placed(line)) for name, line in scene.outline.seams if name in shown]
    draw_lines(axes, lines, CREASE, theme.thin() * 1.2, order + 0.04)


def _faces(
    axes: Canvas, scene: Scene, project: Projection, faces: list[Face], order: float, name: str, pale: float
) -> None:
    """Faces in their order, over their own dark edge, of which what lies outside of all of them stays to be seen."""
    if not faces:
        return
    points = project(scene.placed(np.concatenate([face.points for face in faces])))
    shapes = np.split(points, np.cumsum([len(face.points) for face in faces])[:-1])
    draw_faces(axes, shapes, EDGE, EDGE, theme.thin() * 3.2, order, name)
    colours = _shades(scene, faces, pale)
    edges = [
        CREASE if face.material in ("glass", "lamp", "tail lamp") else c for face, c in zip(faces, colours, strict=True)
    ]
    draw_faces(axes, shapes, colours, edges, theme.thin() * 0.6, order + 0.02)


def _shades(scene: Scene, faces: list[Face], pale: float) -> list[tuple[float, float, float]]:
    """The colour of each face by its material and how it stands to the light."""
    colours = np.array([to_rgb(COLOURS[face.material]) for face in faces])
    light = np.array([face.normal for face in faces]) @ scene.body_axes @ LIGHT
    shaded = np.array([face.material in SHADED and bool(face.normal.any()) for face in faces])
    colours *= np.where(shaded, 0.93 + 0.07 * light, 1.0)[:, None]
    colours += pale * (1.0 - colours)
    rows: list[list[float]] = np.round(np.clip(colours, 0.0, 1.0), 4).tolist()
    return [(red, green, blue) for red, green, blue in rows]
