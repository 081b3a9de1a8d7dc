"""How a wheel moves in its wheelhouse: travel with the lean of its carrier, and steer.

Seen from behind, the carrier turns by tau about a pivot at (-B, e) from the hub (B inboard of it, e above it) and
slides by c, so that the hub has moved to

    y = B (cos tau - 1) + e sin tau,      u = c + B sin tau + e (1 - cos tau).

- Independent: c = 0, B the swing arm; tau = phi + asin((u - e)/A) with A = hypot(B, e), phi = atan2(e, B).
- Solid axle, both wheels together: tau = 0, c = u.
- Solid axle crossed, this wheel up while the other side hangs on its damper (half base b_d, droop gap d):
  sin tau = (u + d)/(H + b_d), H half the track; e is the roll centre above the hub line.

The wheel steers about an axis square to the axle, a distance o inboard of the tyre's centre plane at hub height,
before the carrier leans. Caster and the inclination of the steering axis are left out: caster leans the wheel by about
its sine times that of the lock, 2 degrees for 4 at 34 degrees of lock, which takes the crown of a 400 mm tyre 15 mm
sideways. A point measured at full lock has that in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief

Array = NDArray[np.float64]

STEPS_OF_LOCK = 8  # angles on each side between straight and full lock, at which the sweep looks


@dataclass(frozen=True, eq=False, repr=False)
class CornerMotion(Brief):
    """One corner of each vehicle of a batch; arrays (lanes,)."""

    lever: Array  # [m], B: swing arm, or half the track of a solid axle
    pivot_height: Array  # [m], e
    steering_offset: Array  # [m], o
    crossed_base: Array  # [m], H + b_d of a crossed solid axle; not read otherwise
    droop_gap: Array  # [m], d; read for a crossed solid axle
    posture: str  # "independent", "parallel" or "crossed"

    def take(self, lanes: NDArray[np.intp]) -> CornerMotion:
        """The corners of the chosen lanes (k,)."""
        arrays = (self.lever, self.pivot_height, self.steering_offset, self.crossed_base, self.droop_gap)
        lever, pivot_height, offset, base, droop = (array[lanes] for array in arrays)
        return CornerMotion(lever, pivot_height, offset, base, droop, self.posture)

    @cached_property
    def _at_hub_height(self) -> tuple[Array, Array]:
        """A swing arm's length A and its angle phi where the hub is as high as the pivot, (lanes,)."""
        return np.hypot(self.lever, self.pivot_height), np.arctan2(self.pivot_height, self.lever)

    def turn_and_slide(self, travel: Array) -> tuple[Array, Array]:
        """Carrier turn tau [rad] and slide c [m] at hub travel u, any shape (lanes, ...) [m].

        Travel beyond what the arm can reach gives the furthest turn there is.
        """
        spread = (-1,) + (1,) * (travel.ndim - 1)
        e = self.pivot_height.reshape(spread)
        lever = self.lever.reshape(spread)
        if self.posture == "parallel":
            return np.zeros_like(travel), travel
        if self.posture == "crossed":
            base, droop = self.crossed_base.reshape(spread), self.droop_gap.reshape(spread)
            turn = np.arcsin(np.clip((travel + droop) / base, -1.0, 1.0))
            return turn, travel - lever * np.sin(turn) - e * (1.0 - np.cos(turn))
        length, level = (part.reshape(spread) for part in self._at_hub_height)
        turn = level + np.arcsin(np.clip((travel - e) / length, -1.0, 1.0))
        return turn, np.zeros_like(travel)

    def in_wheel_frame(self, points: Array, travel: Array, steer: Array) -> Array:
        """Points of the body as the wheel sees them.

        Args:
            points: (lanes, ..., 3) [m], in the corner's frame.
            travel: (lanes, ...) [m], of the hub, bump positive.
            steer: (lanes, ...) [rad], positive with the wheel's front edge outwards.

        Returns:
            (lanes, ..., 3) [m], x forward and y along the axle of the turned wheel, from its hub centre.
        """
        return np.stack(self.coordinates_in_wheel_frame(points, travel, np.sin(steer), np.cos(steer)), axis=-1)

    def coordinates_in_wheel_frame(
        self, points: Array, travel: Array, sine: Array, cosine: Array
    ) -> tuple[Array, Array, Array]:
        """As `in_wheel_frame`, the coordinates apart, (lanes, ...) [m] each, from sine and cosine of the steer."""
        spread = (-1,) + (1,) * (travel.ndim - 1)
        lever, e = self.lever.reshape(spread), self.pivot_height.reshape(spread)
        offset = self.steering_offset.reshape(spread)
        turn, slide = self.turn_and_slide(travel)
        sine_of_turn, cosine_of_turn = np.sin(turn), np.cos(turn)
        y, z = points[..., 1] + lever, points[..., 2] - e - slide
        y, z = y * cosine_of_turn + z * sine_of_turn - lever, z * cosine_of_turn - y * sine_of_turn + e
        x = points[..., 0] + offset * sine
        y = y + offset * (1.0 - cosine)
        return x * cosine + y * sine, y * cosine - x * sine, z

    def speed(self, points: Array) -> Array:
        """A bound on how fast a point of the body moves in the wheel's frame, over travel, (lanes, ...) [-].

        The lean's part is the point's distance from the pivot over the hub's lever in travel, the lever taken at a
        lean of 30 degrees, beyond which the bound is not claimed.
        """
        spread = (-1,) + (1,) * (points.ndim - 2)
        if self.posture == "parallel":
            return np.ones(points.shape[:-1])
        lever, e = self.lever.reshape(spread), self.pivot_height.reshape(spread)
        from_pivot = np.hypot(points[..., 1] + lever, points[..., 2] - e)
        if self.posture == "crossed":  # the pivot itself slides, by less than half a metre
            base = self.crossed_base.reshape(spread)
            leaning = (from_pivot + 0.5) / (base * np.cos(np.pi / 6.0))
            return np.asarray(leaning + np.abs(1.0 - lever / base) + 0.6 * np.abs(e) / base)
        hub = lever * np.cos(np.pi / 6.0) - 0.5 * np.abs(e)
        return np.asarray(np.maximum(from_pivot / np.maximum(hub, 0.05), 0.2))


def steer_angles(lock: Array, steps: int = STEPS_OF_LOCK) -> Array:
    """Angles from full lock one way to full lock the other, straight ahead among them.

    lock: (lanes,) [rad]. Returns (lanes, 2 steps + 1) [rad]; the middle one is zero.
    """
    return np.asarray(lock[:, None] * np.linspace(-1.0, 1.0, 2 * steps + 1))
