"""Vehicles as arrays: one lane per vehicle, SI units throughout.

Axes follow ISO 8855 (x forward, y left, z up). Axle arrays have shape (lanes, 2) in the order front,
rear; wheel arrays elsewhere have the order front-left, front-right, rear-left, rear-right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import MISSING, dataclass, field, fields, replace

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.constants import STANDARD_GRAVITY
from articulate.lanes import join, take
from articulate.types import mirrored

Array = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

# Where none is known [N/m]: 100 N a millimetre until friction slides; ten times as much moves no demo score by 0.01 %.
FRICTION_STIFFNESS = 100e3


@dataclass(frozen=True, eq=False, repr=False)
class Vehicles(Brief):
    """A batch of vehicles at their ride height; one vehicle is a batch of one.

    Ride height is the reference: body level, no lateral offset, no added load. `lanes` is the
    leading axis of every array. An independent wheel carrier turns about a fixed pivot inboard of the
    hub, a solid axle about its roll centre, which slides along body z; both are the same rigid carrier,
    so `pivot_height` is the pivot's height above the hub or the roll centre's above the hub line.

    Stops, springs and dampers act at the wheel on an independent axle and at their own half base (half
    the distance between left and right) on a solid axle; the `*_half_base` of an independent axle are
    not read. Travel is measured from ride height, bump and droop both positive as gaps.
    """

    wheelbase: Array  # (lanes,) [m]
    track: Array  # (lanes, 2) [m]
    unsprung_mass: Array  # (lanes, 2) [kg], whole axle, both wheels
    sprung_mass: Array  # (lanes,) [kg], without the added load
    sprung_centre: Array  # (lanes, 3) [m]: behind the front axle, left of centre, above ground
    load_mass: Array  # (lanes,) [kg], added passengers and cargo
    load_centre: Array  # (lanes, 3) [m], as sprung_centre
    tyre_radius: Array  # (lanes, 2) [m], unloaded
    tyre_stiffness: Array  # (lanes, 2) [N/m], vertical, one tyre
    tyre_section_radius: Array  # (lanes, 2) [m], of the torus section
    solid: BoolArray  # (lanes, 2), True for a solid axle
    swing_arm: Array  # (lanes, 2) [m], lateral distance hub to pivot (independent only)
    pivot_height: Array  # (lanes, 2) [m], pivot or roll centre above the hub line
    spring_rate: Array  # (lanes, 2) [N/m], wheel rate (independent) or rate at the spring (solid)
    spring_half_base: Array  # (lanes, 2) [m]
    spring_loose: BoolArray  # (lanes, 2), True where a coil can leave its seat and cannot pull
    bump_gap: Array  # (lanes, 2) [m], free travel to the bump stop
    bump_rate: Array  # (lanes, 2) [N/m], linear part of the stop
    bump_rate_cubic: Array  # (lanes, 2) [N/m^3]
    bump_half_base: Array  # (lanes, 2) [m]
    droop_gap: Array  # (lanes, 2) [m], free travel to the droop stop
    droop_rate: Array  # (lanes, 2) [N/m]
    droop_half_base: Array  # (lanes, 2) [m]
    bar_rate: Array  # (lanes, 2) [N/m], k_b at the wheels: energy k_b (u_left - u_right)^2 / 2
    bar_releasable: BoolArray  # (lanes, 2)
    cross_link_rate: Array  # (lanes,) [N/m]: energy k_x ((u_FL - u_FR) + (u_RL - u_RR))^2 / 2
    frame_compliance: Array  # (lanes,) [rad/(N m)], 1/K_c; 0 for a rigid frame
    friction_force: Array  # (lanes, 2) [N], dry friction of one corner along wheel travel; 0 for none
    friction_stiffness: Array  # (lanes, 2) [N/m], of one corner while its friction holds
    auxiliary_rate: Array = field(default_factory=lambda: np.zeros((1, 2)))
    """(lanes, 2) [N/m], k_a: what resists opposite travel of an axle's wheels besides springs and bar (bushings,
    radius arms, leaf twist, a twist beam), energy k_a d^2 / 2 + k_a3 d^4 / 4, d = u_left - u_right; never released."""
    auxiliary_rate_cubic: Array = field(default_factory=lambda: np.zeros((1, 2)))  # (lanes, 2) [N/m^3], k_a3
    spring_linked: BoolArray = field(default_factory=lambda: np.zeros((1, 2), dtype=np.bool_))
    """(lanes, 2), True where the two springs of an axle share their air: each presses with P + k times their mean
    travel, so they hold the axle up but not against roll."""
    spring_drop: Array = field(default_factory=lambda: np.zeros((1, 2, 2)))
    """(lanes, 2, 2) [m], axle by left and right: how much shorter a spring stands than the rest of its axle's; its
    preload is less by rate x drop. A coil out of its seat, a sagged corner."""
    spring_rise_at: Array = field(default_factory=lambda: np.zeros((1, 2)))
    """(lanes, 2) [m], u_c: compression from ride height beyond which a progressive spring is stiffer, 0 or more."""
    spring_rate_factor: Array = field(default_factory=lambda: np.ones((1, 2)))
    """(lanes, 2), c: its rate beyond over its rate at ride height; 1 for a spring of one rate."""
    tyre_share: Array = field(default_factory=lambda: np.ones((1, 2, 2)))
    """(lanes, 2, 2), axle by left and right: stiffness of each tyre over its axle's. One that is low on pressure."""
    drive_known: BoolArray = field(default_factory=lambda: np.zeros(1, dtype=bool))
    """(lanes,), False where nothing is known of the drive; the three arrays below are then not read."""
    front_drive_share: Array = field(default_factory=lambda: np.full(1, 0.5))
    """(lanes,), p, share of the drive force at the front: 1 front drive, 0 rear drive, else an open centre's."""
    centre_locked: BoolArray = field(default_factory=lambda: np.zeros(1, dtype=bool))  # (lanes,), then p is not read
    torque_ratio: Array = field(default_factory=lambda: np.ones((1, 2)))
    """(lanes, 2), r, force of the lighter wheel of an axle over the heavier one's while the lighter spins: 1 open
    differential, 1/bias ratio limited slip, 0 locked or the spinning wheel braked."""

    def __post_init__(self) -> None:
        for name in _WITH_DEFAULT:
            value = getattr(self, name)
            if value.shape[0] != self.lanes:
                object.__setattr__(self, name, np.broadcast_to(value, (self.lanes, *value.shape[1:])).copy())

    @property
    def lanes(self) -> int:
        """Number of vehicles in the batch."""
        return int(self.wheelbase.shape[0])

    def take(self, lanes: NDArray[np.intp] | BoolArray | slice) -> Vehicles:
        """The vehicles of the chosen lanes, as a batch of their own."""
        return take(self, lanes)

    def released(self) -> Vehicles:
        """The same vehicles with every releasable anti-roll bar released (its rate zero)."""
        return replace(self, bar_rate=np.where(self.bar_releasable, 0.0, self.bar_rate))

    def frictionless(self) -> Vehicles:
        """The same vehicles without suspension friction."""
        return replace(self, friction_force=np.zeros_like(self.friction_force))

    def mirrored(self) -> Vehicles:
        """The same vehicles, left and right exchanged."""
        flip = np.array([1.0, -1.0, 1.0])
        return replace(
            self,
            sprung_centre=self.sprung_centre * flip,
            load_centre=self.load_centre * flip,
            spring_drop=self.spring_drop[:, :, ::-1],
            tyre_share=self.tyre_share[:, :, ::-1],
        )

    def climbing(self, side: str) -> Vehicles:
        """The same vehicles as their climb on a side is computed: mirrored for the right."""
        return self.mirrored() if mirrored(side) else self

    @property
    def releasable_axles(self) -> BoolArray:
        """Axles whose bar does something and can be released, (lanes, 2)."""
        return np.asarray(self.bar_releasable & (self.bar_rate > 0.0))

    @property
    def releasable(self) -> BoolArray:
        """Whether a bar that does something can be released, (lanes,)."""
        return np.asarray(self.releasable_axles.any(axis=1))

    def roll_spring_rate(self) -> Array:
        """Spring rate that acts in roll, (lanes, 2) [N/m]: none where the springs of an axle share their air."""
        return np.where(self.spring_linked, 0.0, self.spring_rate)

    def reference_axle_load(self) -> Array:
        """Load under each axle at ride height, (lanes, 2) [N], without the added load.

        Statics of a level beam: W_rear = W_s x / L + unsprung, W_front the rest.
        """
        sprung_weight = self.sprung_mass * STANDARD_GRAVITY
        rear = sprung_weight * self.sprung_centre[:, 0] / self.wheelbase
        sprung = np.stack([sprung_weight - rear, rear], axis=1)
        return sprung + self.unsprung_mass * STANDARD_GRAVITY

    def reference_hub_height(self) -> Array:
        """Hub height over flat ground at ride height, R - N/k_t, (lanes, 2) [m]."""
        return self.tyre_radius - self.reference_axle_load() / (2.0 * self.tyre_stiffness)


_WITH_DEFAULT = tuple(f.name for f in fields(Vehicles) if f.default_factory is not MISSING)


def stack(batches: Sequence[Vehicles]) -> Vehicles:
    """Join batches of vehicles end to end into one batch."""
    return join(batches)
