"""Orthographic views of a scene."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from articulate.output.figures.scene import Scene
from articulate.types import lateral_sign

Array = NDArray[np.float64]


class Projection:
    """Orthographic view: `right` of the picture and direction to the viewer, in ground coordinates."""

    def __init__(self, scene: Scene, view: str) -> None:
        outward = lateral_sign(scene.side)
        self.view = view
        self.right = {
            "side": np.array([-outward, 0.0, 0.0]),
            "rear": np.array([0.0, -1.0, 0.0]),
            "front": np.array([0.0, 1.0, 0.0]),
        }[view]
        self.toward = {
            "side": np.array([0.0, outward, 0.0]),
            "rear": np.array([-1.0, 0.0, 0.0]),
            "front": np.array([1.0, 0.0, 0.0]),
        }[view]

    def __call__(self, points: Array) -> Array:
        """Points (..., 3) [m] on the picture, (..., 2) [m]."""
        return np.stack([points @ self.right, points[..., 2]], axis=-1)

    def near(self, scene: Scene) -> list[int]:
        """Wheels nearer to the viewer."""
        if self.view == "side":
            return [scene.ramp_wheel, scene.ramp_wheel + 2]
        return [2, 3] if self.view == "rear" else [0, 1]
