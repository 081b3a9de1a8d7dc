"""Orthographic views of a scene."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from articulate.output.figures.scene import Scene
from articulate.types import lateral_sign

Array = NDArray[np.float64]

ROUND_BEHIND = float(np.radians(38.0))  # of the three-quarter view, from the ramp's side towards the tail
ABOVE = float(np.radians(17.0))


class Projection:
    """Orthographic view: `right` and `up` of the picture and direction to the viewer, in ground coordinates."""

    def __init__(self, scene: Scene, view: str) -> None:
        outward = lateral_sign(scene.side)
        self.view = view
        level, high = np.cos(ABOVE), np.sin(ABOVE)
        self.toward = {
            "side": np.array([0.0, outward, 0.0]),
            "rear": np.array([-1.0, 0.0, 0.0]),
            "front": np.array([1.0, 0.0, 0.0]),
            "top": np.array([0.0, 0.0, 1.0]),
            "three-quarter": np.array([-np.sin(ROUND_BEHIND) * level, outward * np.cos(ROUND_BEHIND) * level, high]),
        }[view]
        ahead = np.array([0.0, outward, 0.0]) if view == "top" else self.toward
        right = np.cross([0.0, 0.0, 1.0], ahead)
        self.right = right / np.linalg.norm(right)
        self.up = np.cross(self.toward, self.right)

    def __call__(self, points: Array) -> Array:
        """Points (..., 3) [m] on the picture, (..., 2) [m]."""
        return np.stack([points @ self.right, points @ self.up], axis=-1)

    def near(self, scene: Scene) -> list[int]:
        """Wheels nearer to the viewer."""
        if self.view in ("side", "three-quarter"):
            return [scene.ramp_wheel, scene.ramp_wheel + 2]
        if self.view == "top":
            return []
        return [2, 3] if self.view == "rear" else [0, 1]
