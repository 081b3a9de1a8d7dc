"""Dry friction of the suspension: at each corner an elastic-perfectly-plastic element along wheel travel.

    f = k_c clip(u - a, -F_c/k_c, F_c/k_c)

u is the hub's travel along body z, f presses the wheel down like a spring's force. The anchor a is what the element
remembers: after each state on the way it is drawn along, a <- u - f/k_c (return mapping). While a corner moves one way
that is exact for steps of any length; where it turns back within a step, by how far it overshot is lost, and
`friction_loss` bounds what that is in force, so that the step can be shortened.

Source: J. C. Simo and T. J. R. Hughes, Computational Inelasticity, 1998, ch. 1 (one-dimensional friction device),
form from memory.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.model.carriers import HUB, CarrierGeometry, CarrierPose, carrier_pose, lane_fastest
from articulate.model.vehicles import Vehicles

Array = NDArray[np.float64]

ON_THE_LIMIT = 1e-9  # [m]: an element held within this of its limit counts as holding, not as sliding


@dataclass(frozen=True, eq=False, repr=False)
class Friction(Brief):
    """The elements of a batch; the anchors are overwritten as the path is followed."""

    stiffness: Array  # (lanes, 2, 1) [N/m], k_c; 0 where there is no friction
    reach: Array  # (lanes, 2, 1) [m], F_c/k_c, travel from the anchor at which it slides
    anchor: Array  # (lanes, 2, 2) [m], a

    @staticmethod
    def of(vehicles: Vehicles) -> Friction | None:
        """The elements, anchored at ride height; None where no vehicle has friction.

        Raises:
            ValueError: a negative force, or a force without a positive stiffness.
        """
        force, stiffness = vehicles.friction_force, vehicles.friction_stiffness
        rubs = force > 0.0
        if (force < 0.0).any() or (rubs & ~((stiffness > 0.0) & np.isfinite(stiffness))).any():
            raise ValueError("friction_force must be 0 N or more, and friction_stiffness positive where it is more")
        if not rubs.any():
            return None
        reach = np.where(rubs, force / np.where(rubs, stiffness, 1.0), 0.0)
        return Friction(
            lane_fastest(np.where(rubs, stiffness, 0.0)[:, :, None]),
            lane_fastest(reach[:, :, None]),
            np.zeros((vehicles.lanes, 2, 2), order="F"),
        )

    def stretch(self, travel: Array) -> Array:
        """Travel from the anchor, cut off at the limit, f/k_c, for hub travel (lanes, 2, 2) [m]."""
        return np.asarray(np.clip(travel - self.anchor, -self.reach, self.reach))


def friction_of_wheel(friction: Friction, pose: CarrierPose) -> Array:
    """What the elements do to the carriers, in the form of `ElasticForces.of_wheel`, (lanes, 2, 2, 2, 3)."""
    travel, lever = pose.hub_travel, pose.lever[..., HUB]
    force = friction.stiffness * friction.stretch(travel)
    holds = np.abs(travel - friction.anchor) <= friction.reach + ON_THE_LIMIT
    rate = friction.stiffness * holds
    out = np.empty((*travel.shape, 2, 3), order="F")
    out[..., 0, 0] = out[..., 1, 1] = rate * lever
    out[..., 0, 1] = rate
    out[..., 0, 2] = force
    out[..., 1, 0] = rate * lever * lever + force * pose.drop[..., HUB]
    out[..., 1, 2] = force * lever
    return out


def _pose_of_hubs(geometry: CarrierGeometry, state: Array) -> CarrierPose:
    """The pose at suspension coordinates (lanes, 4), with the hubs as its only points."""
    hubs = replace(geometry, lateral=geometry.lateral[..., HUB:])
    return carrier_pose(hubs, state[:, 0::2], state[:, 1::2])


def hub_travel(geometry: CarrierGeometry, state: Array) -> Array:
    """Hub travel u (lanes, 2, 2) [m] at suspension coordinates (lanes, 4)."""
    return np.asarray(_pose_of_hubs(geometry, state).displacement[..., 0])


def drawn_along(friction: Friction, geometry: CarrierGeometry, state: Array) -> Array:
    """Anchors (lanes, 2, 2) [m] after the way came through suspension coordinates (lanes, 4)."""
    travel = hub_travel(geometry, state)
    return np.asarray(travel - friction.stretch(travel))


def hub_travel_and_rate(geometry: CarrierGeometry, state: Array, tangent: Array) -> tuple[Array, Array]:
    """Hub travel u (lanes, 2, 2) [m] at suspension coordinates (lanes, 4), and its rate along a tangent (lanes, 4)."""
    pose = _pose_of_hubs(geometry, state)
    by_a, by_b = tangent[:, 0::2, None], tangent[:, 1::2, None]
    turning = geometry.turn_by_a * by_a + geometry.turn_by_b * by_b
    return pose.displacement[..., 0], geometry.slide_by_a * by_a + pose.lever[..., 0] * turning


def friction_loss(friction: Friction, start: tuple[Array, Array], end: tuple[Array, Array], step: Array) -> Array:
    """Bound of the force that a step loses because a corner turned back within it, (lanes,) [N].

    Where the rates of travel at the two ends have opposite signs the corner went no further than to where the tangents
    of the ends meet. What of that lies beyond the element's reach has drawn the anchor along unseen.

    start, end: travel and its rate at the ends of the step, each (lanes, 2, 2); step (lanes,), signed like the rates.
    """
    (u0, v0), (u1, v1) = start, end
    h = step[:, None, None]
    turns = v0 * v1 < 0.0
    where = np.clip((u1 - u0 - v1 * h) / np.where(turns, v0 - v1, 1.0), 0.0, h)
    peak = u0 + v0 * where

    def beyond(travel: Array) -> Array:
        return np.asarray(np.maximum(np.sign(v0) * (travel - friction.anchor) - friction.reach, 0.0))

    lost = np.where(turns, np.maximum(beyond(peak) - beyond(u1), 0.0), 0.0)
    lost = np.minimum(lost, 2.0 * friction.reach)
    return np.asarray((friction.stiffness * lost).max(axis=(1, 2)))
