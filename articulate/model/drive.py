"""The drive: what friction a state needs so that the vehicle creeps on, and which wheels spin where it lacks.

At steady creep wheel k pushes with F_k along its surface, |F_k| <= mu N_k, an undriven wheel with nothing. With the
part c_k of it that is horizontal (1 on the flat, cos g on the ramp, by load on both) the balance along x is

    sum(c_k F_k) = D = sin g (N of the contacts on the ramp).

A driven axle gives A = F_left + F_right <= mu B. Its differential passes the heavier wheel at most 1/r of the force of
the lighter one when that spins: r = 1 open, 1/b limited slip of bias ratio b, 0 locked or spinning wheel braked. So

    H = min(N_heavy, N_light / r),  B = N_light + H,  q = max(r, N_light / N_heavy),
    forces light to heavy as q to 1, c of the axle their mean by force.

The centre shares the force out: open, A_f = p S and A_r = (1 - p) S (p = 1 or 0: one driven axle); locked, A by B. The
grip K is the horizontal force per unit of friction, so the state needs mu = D / K:

    open centre    K = (p c_f + (1 - p) c_r) min(B_f / p, B_r / (1 - p)),
    locked centre  K = c_f B_f + c_r B_r.

The holding share while it creeps is lambda = (parts of F on the ramp) / (tan g N of the contacts on the ramp).

Valid for one friction on ground and ramp. Left out: rolling resistance f (mu + f for mu, D + f sum(c_k N_k) for D: at
0.015 about a tenth more) and the reaction of these forces through the links. Other admissible forces need no less, but
for an open centre with a locked or limited-slip axle (some 3 %; never more than 1 / cos g - 1).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.model.tyre_contact import LEFT_FLAT, LEFT_RAMP, RIGHT_FLAT
from articulate.model.vehicles import Vehicles

Array = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

NO_FRICTION_IS_ENOUGH = 5.0  # a state that needs more stands on a wheel that carries next to nothing
AT_LIMIT = 1e-9  # relative difference up to which two axles reach their limits together


def friction_that_helps(needed: float) -> float:
    """Friction that a way needs, as people are told it: infinite where none would do."""
    return np.inf if needed > NO_FRICTION_IS_ENOUGH else needed


@dataclass(frozen=True, eq=False, repr=False)
class Traction(Brief):
    """What a batch of states asks of the drive and what it can give; meaningless where no drive is known."""

    demand: Array  # (lanes,) [N], D
    grip: Array  # (lanes,) [N], K: horizontal force per unit of friction
    holding_share: Array  # (lanes,), lambda while it creeps; NaN where nothing stands on the ramp
    limiting: BoolArray  # (lanes, 4), wheels that spin first if friction lacks

    @property
    def friction(self) -> Array:
        """Least friction the state needs, (lanes,); infinite where an open axle has a wheel without load."""
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(self.demand > 0.0, self.demand / self.grip, 0.0)


def _axle(left: Array, right: Array, ratio: Array) -> tuple[Array, Array, BoolArray]:
    """B, share of the left wheel in the axle's force, and whether the heavier wheel is at its limit too; (lanes, 2)."""
    light, heavy = np.minimum(left, right), np.maximum(left, right)
    with np.errstate(divide="ignore", invalid="ignore"):
        passed = np.where(ratio > 0.0, light / ratio, np.inf)
        apart = np.where(heavy > 0.0, light / heavy, 1.0)
    most = np.minimum(heavy, passed)
    lighter = np.maximum(ratio, apart)
    lighter = lighter / (1.0 + lighter)
    return light + most, np.where(left <= right, lighter, 1.0 - lighter), passed >= heavy


@dataclass(frozen=True, eq=False, repr=False)
class WheelDrive(Brief):
    """How each vehicle drives its wheels."""

    torque_ratio: Array  # (lanes, 2), r of the axles
    front_drive_share: Array  # (lanes,), p
    centre_locked: BoolArray  # (lanes,)

    @staticmethod
    def of(vehicles: Vehicles) -> WheelDrive:
        """The drives of a batch of vehicles."""
        return WheelDrive(vehicles.torque_ratio, vehicles.front_drive_share, vehicles.centre_locked)


def traction(drive: WheelDrive | Vehicles, contact_force: Array, angle: Array) -> Traction:
    """Demand, grip and holding share of states given by their contact forces (formulas in the module docstring).

    Args:
        drive: of the lanes.
        contact_force: (lanes, 2, 3) [N], normal, by axle: left on the flat, right on the flat, left on the ramp.
        angle: (lanes,) [rad], of the ramp.
    """
    flat, right = contact_force[:, :, LEFT_FLAT], contact_force[:, :, RIGHT_FLAT]
    ramp = contact_force[:, :, LEFT_RAMP]
    left = flat + ramp
    cosine = np.cos(angle)
    on_ramp = np.where(left > 0.0, ramp / np.where(left > 0.0, left, 1.0), 0.0)
    capacity, left_share, heavy_too = _axle(left, right, drive.torque_ratio)
    horizontal = 1.0 - left_share * on_ramp * (1.0 - cosine)[:, None]  # c of each axle

    p = drive.front_drive_share
    split = np.stack([p, 1.0 - p]).T  # lane fastest, as the forces are
    both = capacity.sum(axis=1)
    by_capacity = capacity / np.where(both > 0.0, both, 1.0)[:, None]
    locked = drive.centre_locked
    part = np.where(locked[:, None], by_capacity, split)
    mean = (part * horizontal).sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        room = np.where(split > 0.0, capacity / split, np.inf)
    least = room.min(axis=1)
    grip = np.where(locked, (horizontal * capacity).sum(axis=1), mean * least)

    weight = ramp.sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = cosine * (part * left_share * on_ramp).sum(axis=1) / mean
    axle = np.where(locked[:, None], True, room <= least[:, None] * (1.0 + AT_LIMIT))
    limiting = np.zeros((weight.size, 4), dtype=bool)
    limiting[:, 0::2] = axle & ((left <= right) | heavy_too)
    limiting[:, 1::2] = axle & ((right <= left) | heavy_too)
    return Traction(
        demand=np.sin(angle) * weight,
        grip=grip,
        holding_share=np.where((weight > 0.0) & np.isfinite(share), share, np.nan),
        limiting=limiting,
    )


def level_holding_share(vehicles: Vehicles, angle: Array) -> Array:
    """Holding share as if the loads at ride height stood with the left front wheel on the ramp, (lanes,).

    Exact where the drive has open differentials and no locked centre, else a first guess.
    """
    half = 0.5 * vehicles.reference_axle_load()
    force = np.zeros((vehicles.lanes, 2, 3))
    force[:, 0, LEFT_RAMP] = half[:, 0]
    force[:, 1, LEFT_FLAT] = half[:, 1]
    force[:, :, RIGHT_FLAT] = half
    return traction(vehicles, force, angle).holding_share
