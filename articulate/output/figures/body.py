"""The body of the to-scale drawing: the fitted outline's faces as a viewer sees them, those behind first."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from matplotlib.colors import to_rgb
from numpy.typing import NDArray

from articulate.output.figures import theme
from articulate.output.figures.canvas import Canvas, draw_edges, draw_faces, draw_lines
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


@dataclass(frozen=True, eq=False)
class _Laid:
    """Faces one after the other, with what of their drawing does not move."""

    points: Array  # (all corners, 3), in body coordinates
    places: tuple[slice, ...]  # of each face among them
    colours: Array  # (faces, 3), by their materials
    normals: Array  # (faces, 3)
    shaded: NDArray[np.bool_]  # (faces,)
    edged: NDArray[np.bool_]  # (faces,), with a crease for an edge

    def seen(self, scene: Scene, project: Projection) -> list[Array]:
        """Each face on the picture, (k, 2)."""
        points = project(scene.placed(self.points))
        return [points[place] for place in self.places]


@lru_cache(maxsize=64)  # a film shows the same faces again and again
def _laid(faces: tuple[Face, ...]) -> _Laid:
    ends = np.cumsum([len(face.points) for face in faces]).tolist()
    return _Laid(
        np.concatenate([face.points for face in faces]),
        tuple(slice(begin, end) for begin, end in pairwise([0, *ends])),
        np.array([to_rgb(COLOURS[face.material]) for face in faces]),
        np.array([face.normal for face in faces]),
        np.array([face.material in SHADED and bool(face.normal.any()) for face in faces]),
        np.array([face.material in ("glass", "lamp", "tail lamp") for face in faces]),
    )


@lru_cache(maxsize=64)
def _layers(faces: tuple[Face, ...], toward_ramp: float, least: float) -> tuple[tuple[Face, ...], tuple[Face, ...]]:
    """Faces behind the wheels, and those of the shell.

    What of bumpers and bonnet lies beyond the ramp's lane, less than `least` towards the ramp, is hidden by the ramp.
    """
    behind = [face for face in faces if face.part in ("inside", "under")]
    shell = [face for face in faces if face.part in ("lower", "upper")]
    beyond = [f for f in shell if f.part == "lower" and toward_ramp * f.points[:, 1].mean() < least]
    return (*behind, *beyond), tuple(face for face in shell if face not in beyond)


def draw_body(axes: Canvas, scene: Scene, project: Projection, seen_through: bool) -> None:
    """The body; `seen_through` puts all of it behind wheels and axles, which otherwise stuff into its arches."""
    faces = tuple(scene.outline.seen(scene.body_axes @ project.toward))
    least = 0.4 * scene.outline.half_width if project.view == "side" else -np.inf
    behind, shell = _layers(faces, lateral_sign(scene.side), least)
    order, pale = (SHELL_SEEN_THROUGH, PALE) if seen_through else (SHELL, 0.0)
    _faces(axes, scene, project, behind, BEHIND, "body-under", pale)
    _faces(axes, scene, project, shell, order, "body-outline", pale)
    shown = {face.name for face in shell}
    lines = [project(scene.placed(line)) for name, line in scene.outline.seams if name in shown]
    draw_lines(axes, lines, CREASE, theme.thin() * 1.2, order + 0.04)


def _faces(
    axes: Canvas, scene: Scene, project: Projection, faces: tuple[Face, ...], order: float, name: str, pale: float
) -> None:
    """Faces in their order, over their own dark edge, of which what lies outside of all of them stays to be seen."""
    if not faces:
        return
    laid = _laid(faces)
    shapes = laid.seen(scene, project)
    draw_edges(axes, shapes, EDGE, theme.thin() * 3.2, order, name)
    colours = _shades(scene, laid, pale)
    edges = np.where(laid.edged[:, None], to_rgb(CREASE), colours)
    draw_faces(axes, shapes, colours, edges, theme.thin() * 0.6, order + 0.02)


def _shades(scene: Scene, laid: _Laid, pale: float) -> Array:
    """The colour of each face by its material and how it stands to the light, (faces, 3)."""
    light = laid.normals @ scene.body_axes @ LIGHT
    colours = laid.colours * np.where(laid.shaded, 0.93 + 0.07 * light, 1.0)[:, None]
    colours += pale * (1.0 - colours)
    return np.asarray(np.round(np.clip(colours, 0.0, 1.0), 4))
