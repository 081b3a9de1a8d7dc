"""How a photograph lies on the predicted side view: scale, turn and shift from points that are known in both."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.errors import ArticulateError
from articulate.output.figures.projection import Projection
from articulate.output.figures.scene import Scene
from articulate.types import other_side

Array = NDArray[np.float64]

LEAST_APART = 0.10  # of the picture's longer side: points that are nearer to one another tell no scale
SAME_PLACE = 3.0  # [px]
STEEPEST = math.radians(20.0)  # a camera is not held more askew; vehicles seen from the other side are turned by more
ASKS = 0.015  # of the wheelbase, root mean square: beyond it points or prediction are asked about
REFUSES = 0.10  # of the wheelbase, largest: beyond it the points are not those of this vehicle at this moment
HUBS = ("front hub", "rear hub")
CONDITIONS = (
    "The camera has to stand square to the vehicle's side, at about hub height and far away; what lies nearer or "
    "farther than the near wheels, as the far wheels do, is off by perspective."
)


class UnfitError(ArticulateError, ValueError):
    """The points do not lay a picture over the prediction: why, and what would work."""


@dataclass(frozen=True, eq=False, repr=False)
class PhotographFit(Brief):
    """A similarity between a picture [px, right and down] and the side view [m, right and up]."""

    names: tuple[str, ...]
    photographed: Array  # (k, 2) [px]
    predicted: Array  # (k, 2) [m]
    scale: float  # [m/px]
    turn: float  # [rad], anticlockwise, by which the picture has to be turned to stand level
    shift: Array  # (2,) [m]
    forward: float  # 1 where the vehicle looks to the right, else -1

    @property
    def matrix(self) -> Array:
        """From a point of the picture, right and down, to metres: metres = matrix @ pixel + shift, (2, 2)."""
        cosine, sine = math.cos(self.turn), math.sin(self.turn)
        turned: Array = np.array([[cosine, sine], [sine, -cosine]])
        return turned * self.scale

    def metres(self, pixels: Array) -> Array:
        """Points of the picture (k, 2) [px] in the side view [m]."""
        return np.asarray(pixels @ self.matrix.T + self.shift)

    def pixels(self, metres: Array) -> Array:
        """Points of the side view (k, 2) [m] on the picture [px]."""
        return np.asarray((metres - self.shift) @ np.linalg.inv(self.matrix).T)

    @property
    def off(self) -> Array:
        """By how much the photographed points are off the predicted, (k, 2) [m]: ahead and above."""
        apart: Array = self.metres(self.photographed) - self.predicted
        return apart * (self.forward, 1.0)

    @property
    def spare(self) -> int:
        """Points beyond the two that every picture agrees with."""
        return len(self.names) - 2

    @property
    def rms(self) -> float:
        """Root mean square of how far photographed points are from the predicted [m]."""
        return float(np.sqrt((self.off**2).sum(axis=1).mean()))

    @property
    def hub_angle(self) -> float:
        """How much more nose up the photographed hubs stand than the predicted [rad]; NaN without both hubs."""
        if not set(HUBS) <= set(self.names):
            return math.nan
        front, rear = (self.names.index(name) for name in HUBS)
        seen, expected = (
            math.atan2(p[front, 1] - p[rear, 1], self.forward * (p[front, 0] - p[rear, 0]))
            for p in (self.metres(self.photographed), self.predicted)
        )
        return seen - expected


def known_points(scene: Scene) -> dict[str, Array]:
    """The points that can be named, (2,) [m] in the side view: near hubs, mark, toe, and those of the bodywork."""
    project = Projection(scene, "side")
    known = {
        "front hub": project(scene.hub[scene.ramp_wheel]),
        "rear hub": project(scene.hub[scene.ramp_wheel + 2]),
        "mark": project(scene.mark),
        "toe": project(np.zeros(3)),
    }
    return {name: project(point) for name, point in zip(scene.points, scene.point, strict=True)} | known


def fit(scene: Scene, points: Mapping[str, tuple[float, float]], size: tuple[int, int]) -> PhotographFit:
    """Lay a picture over the predicted side view, by least squares in metres.

    With z = x - i y of the picture (its y points down) and p = u + i v of the side view, a and b make
    sum |a z_k + b - p_k|^2 least: a = sum conj(z_k - z) (p_k - p) / sum |z_k - z|^2 and b = p - a z, where z and p
    are the means. |a| is the scale [m/px] and arg a the turn. Two points are met exactly.

    Args:
        scene: the predicted moment.
        points: places in the picture [px], right and down from its upper left corner, by the names of `known_points`.
        size: width and height of the picture [px].

    Raises:
        UnfitError: fewer than two points, an unknown name, a point outside the picture, two at the same place or all
            too near to one another, a picture that would stand askew, or points that fit no such vehicle.
    """
    known = known_points(scene)
    _check_places(points, known, size)
    names = tuple(points)
    photographed = np.array([points[name] for name in names])
    predicted = np.array([known[name] for name in names])
    z, p = photographed @ np.array([1.0, -1.0j]), predicted @ np.array([1.0, 1.0j])
    from_middle, target = z - z.mean(), p - p.mean()
    a = complex(np.vdot(from_middle, target) / np.vdot(from_middle, from_middle).real)
    b = complex(p.mean() - a * z.mean())
    forward = float(np.sign(Projection(scene, "side").right[0]))
    found = PhotographFit(
        names, photographed, predicted, abs(a), math.atan2(a.imag, a.real), np.array([b.real, b.imag]), forward
    )
    _check_fit(found, scene)
    return found


def _check_places(points: Mapping[str, tuple[float, float]], known: Mapping[str, Array], size: tuple[int, int]) -> None:
    for name, (x, y) in points.items():
        if name not in known:
            raise UnfitError(f"{name}: not a point of the prediction; {', '.join(map(repr, known))}")
        if not (0.0 <= x <= size[0] and 0.0 <= y <= size[1]):
            raise UnfitError(f"{name}: {x:g},{y:g} lies outside the picture; it has {size[0]} x {size[1]} pixels")
    if len(points) < 2:
        raise UnfitError(
            f"{', '.join(points)}: one point fixes no scale; give two, or a third to see how far off it is"
        )
    rows = list(points.items())
    for k, (name, place) in enumerate(rows):
        for other, elsewhere in rows[k + 1 :]:
            if math.dist(place, elsewhere) <= SAME_PLACE:
                raise UnfitError(f"{name} and {other}: at the same place of the picture; give each its own")
            if math.dist(known[name], known[other]) < 1e-3:
                raise UnfitError(f"{name} and {other}: one point of the prediction at this moment; leave one out")
    widest = max(math.dist(one, other) for one in points.values() for other in points.values())
    least = LEAST_APART * max(size)
    if widest < least:
        names = ", ".join(points)
        raise UnfitError(f"{names}: within {widest:.0f} pixels, which tells no scale; give some {least:.0f} apart")


def _check_fit(found: PhotographFit, scene: Scene) -> None:
    if abs(found.turn) > STEEPEST:
        side = other_side(scene.side)
        raise UnfitError(
            f"{', '.join(found.names)}: the picture would be turned by {abs(math.degrees(found.turn)):.0f} deg; "
            "look for points exchanged, "
            f"or where it is seen from the other side, for that ramp give --side {side}"
        )
    far = np.hypot(*found.off.T)
    worst = int(np.argmax(far))
    if far[worst] > REFUSES * scene.wheelbase:
        raise UnfitError(
            f"{found.names[worst]} is {1000.0 * far[worst]:.0f} mm off where the others put it; "
            "look for a point at a wrong place or under another's name, or give the moment with --at"
        )
