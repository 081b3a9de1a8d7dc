"""Orthographic views of a scene."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from articulate.output.figures.scene import Scene
from articulate.types import lateral_sign

Array = NDArray[np.float64]

ROUND_BEHIND = float(np.radians(38.0))  # of the three-quarter view, from the ramp's side towards the tail
ABOVE = float(np.radians(17.0))


@cache
def _directions(side: str, view: str) -> tuple[Array, Array, Array]:
    """To the viewer, right and up of the picture, with the ramp on that side."""
    outward = lateral_sign(side)
    level, high = np.cos(ABOVE), np.sin(ABOVE)
    toward = {
        "side": np.array([0.0, outward, 0.0]),
        "rear": np.array([-1.0, 0.0, 0.0]),
        "front": np.array([1.0, 0.0, 0.0]),
        "top": np.array([0.0, 0.0, 1.0]),
        "three-quarter": np.array([-np.sin(ROUND_BEHIND) * level, outward * np.cos(ROUND_BEHIND) * level, high]),
    }[view]
    ahead = np.array([0.0, outward, 0.0]) if view == "top" else toward
    right = np.cross([0.0, 0.0, 1.0], ahead)
    right = right / np.linalg.norm(right)
    return toward, right, np.cross(toward, right)


class Projection:
    """Orthographic view: `right` and `up` of the picture and direction to the viewer, in ground coordinates."""

    def __init__(self, scene: Scene, view: str) -> None:
        self.view = view
        self.toward, self.right, self.up = _directions(scene.side, view)

    def __call__(self, points: Array) -> Array:
        """Points (..., 3) [m] on the picture, (..., 2) [m]."""
        seen = np.empty((*np.shape(points)[:-1], 2))
        seen[..., 0], seen[..., 1] = points @ self.right, points @ self.up
        return seen

    def near(self, scene: Scene) -> list[int]:
        """Wheels nearer to the viewer."""
        if self.view in ("side", "three-quarter"):
            return [scene.ramp_wheel, scene.ramp_wheel + 2]
        if self.view == "top":
            return []
        return [2, 3] if self.view == "rear" else [0, 1]
