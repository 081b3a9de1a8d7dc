"""The tyre as a solid of revolution, and how far a point is from it.

In a plane through the axle the section is a rectangle of the tyre's width with rounded shoulders:

    |y| <= w/2,  rho <= R,  shoulder radius r_s.

With r_s = w/2 it is the torus (crown circle R - w/2, section radius w/2) that the tyre's contact with the ground is
modelled by: a crown that is round all over is right for the one spot that carries the load, but it would let
bodywork stand where a real tyre has its shoulder. So the contact keeps the torus, and clearance uses the section with
its real shoulder. Inside the rim the solid is taken as full; bodywork is outside it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, repr=False)
class TyreShape(Brief):
    """Tyres of a batch, one a lane."""

    radius: Array  # (lanes,) [m], R, unloaded
    width: Array  # (lanes,) [m], w, of the section
    shoulder_radius: Array  # (lanes,) [m], r_s, at most w/2

    def take(self, lanes: NDArray[np.intp]) -> TyreShape:
        """The tyres of the chosen lanes."""
        return TyreShape(self.radius[lanes], self.width[lanes], self.shoulder_radius[lanes])


def tyre_distance(points: Array, shape: TyreShape) -> Array:
    """Distance of points from the tyre's surface, negative inside it.

        q = (rho - (R - r_s), |y| - (w/2 - r_s)),  distance = |max(q, 0)| + min(max(q), 0) - r_s

    Exact, for the nearest point of a solid of revolution lies in the plane through the axle and the point.

    Args:
        points: (lanes, ..., 3) [m], in the wheel's frame: x forward, y along the axle, z up, from the hub centre.
        shape: the tyres, as many lanes.

    Returns:
        Distance, (lanes, ...) [m].
    """
    return tyre_distance_at(points[..., 0], points[..., 1], points[..., 2], shape)


def tyre_distance_at(x: Array, y: Array, z: Array, shape: TyreShape) -> Array:
    """As `tyre_distance`, of points by their coordinates, (lanes, ...) each [m]."""
    spread = (-1,) + (1,) * (x.ndim - 1)
    shoulder = shape.shoulder_radius.reshape(spread)
    outward = np.hypot(x, z) - (shape.radius.reshape(spread) - shoulder)
    sideways = np.abs(y) - (0.5 * shape.width.reshape(spread) - shoulder)
    outside = np.hypot(np.maximum(outward, 0.0), np.maximum(sideways, 0.0))
    return np.asarray(outside + np.minimum(np.maximum(outward, sideways), 0.0) - shoulder)
