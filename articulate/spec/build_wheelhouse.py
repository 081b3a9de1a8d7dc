"""The wheelhouse of one axle from a vehicle file's inputs: arch gaps, and the bump gap that is left of the stops'."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.spec.build_inputs import Inputs
from articulate.spec.vehicle_spec import AxleChoices
from articulate.wheelhouse import (
    CornerMotion,
    StopLayout,
    TyreShape,
    bump_gap_for,
    clock_points,
    full_bump_travel,
    least_arch_gap,
    steer_angles,
    stop_compression,
)

Array = NDArray[np.float64]

# The simple form's gap at full lock: the tyre then meets the arch with its shoulder, some 35 degrees round from the
# top, so that growth along the radius costs more travel, and about a quarter of what it is wider; the points of the
# demo wagon, swept, give the same within 3 mm.
LOCK_CONTACT = float(np.radians(35.0))
BEYOND_STOP = 1e-3  # [m] of hub travel: who meets the arch there meets the bump stop first
STEERED = {"straight": 0.0, "turned in": -1.0, "turned out": 1.0}


@dataclass(frozen=True)
class Swept:
    """How far the tyre is swept past measured points; a gap that lies beyond counts as infinite."""

    over_lock: bool = False  # or straight ahead alone, unless spacers are to keep the tyre clear over the lock
    beyond_stops: bool = False  # or up to the stops; over the lock up to full bump and the clearance kept


FOR_CLIMBS = Swept()  # what the bump gap depends on
FULLY = Swept(over_lock=True, beyond_stops=True)


@dataclass(frozen=True, eq=False, repr=False)
class NewTyre(Brief):
    """The tyre fitted, and how it differs from the one on which gaps were measured; arrays (1,) or (lanes,)."""

    radius: Array  # [m], unloaded
    width: Array  # [m]
    shoulder_radius: Array  # [m]
    growth: Array  # [m], of the unloaded radius
    widening: Array  # [m], of the width


@dataclass(frozen=True, eq=False, repr=False)
class WheelhouseSweep(Brief):
    """Measured points, tyre and motion of one corner, to sweep further; lanes 1 or as many as the vehicles."""

    points: Array  # (lanes, points, 3) [m], in the corner's frame
    motion: CornerMotion
    shape: TyreShape
    steer: Array  # (lanes, angles) [rad], over the lock; one angle, zero, where the axle does not steer

    @property
    def straight_ahead(self) -> int:
        """Which of the angles that is."""
        return int(self.steer.shape[1]) // 2

    @property
    def both_up(self) -> WheelhouseSweep:
        """With both wheels of a solid axle up together; the same where each moves on its own."""
        crossed = self.motion.posture == "crossed"
        return replace(self, motion=replace(self.motion, posture="parallel")) if crossed else self


@dataclass(frozen=True, eq=False, repr=False)
class AxleWheelhouse(Brief):
    """What the wheelhouse of one axle allows; arrays (1,) or (lanes,), hub travel from ride height [m].

    A gap is infinite where the file says nothing of it. Those of a solid axle are for the axle crossed, this wheel up
    and the other hanging, as on the ramp; with both wheels up together the tyre leans less and may meet other points
    first, which the bump gaps take in. `clear_bump_gap` is negative where a tyre would rub at ride height already.
    """

    arch_gap: Array  # straight ahead, until the tyre meets the bodywork
    arch_gap_at_full_lock: Array  # anywhere between lock and lock
    stop_gap: Array  # the bump stop's own
    stop_compression: Array  # under the static load of its spring: full bump
    full_bump_travel: Array  # hub travel then, with the stop's own gap
    clear_straight: Array  # bump gap with which nothing rubs at full bump straight ahead, the clearance kept
    clear_at_full_lock: Array  # the same over the lock
    clear_bump_gap: Array  # the lesser of the two
    bump_gap: Array  # what the vehicle is built with
    sweep: WheelhouseSweep | None  # None without measured points


def axle_wheelhouse(
    x: Inputs,
    axle: str,
    choices: AxleChoices,
    parts: Mapping[str, Array],
    tyre: NewTyre,
    spring_load: Array,
    change: Array,
    swept: Swept = FULLY,
) -> AxleWheelhouse:
    """Arch gaps and usable bump gap of one axle.

    Args:
        x: inputs of the vehicle.
        axle: front or rear.
        choices: what was chosen about the axle.
        parts: arrays of the axle by the names of the model's.
        tyre: the tyre fitted.
        spring_load: static load of one spring [N], whose weight presses the stop at full bump.
        change: how much higher the body stands than when the bodywork was measured [m].
        swept: how far the tyre is swept past measured points.

    Returns:
        With stops as fitted the bump gap is the stop's, or the arch's straight ahead where the tyre would meet that
        first: the arch then is the stop. With spacers it is `clear_bump_gap`, if that is less than the stop's.
    """
    straight = x.get(f"{axle}.arch_gap", np.inf) + change - tyre.growth
    at_lock = tyre.growth / np.cos(LOCK_CONTACT) + 0.25 * tyre.widening
    locked = x.get(f"{axle}.arch_gap_at_full_lock", np.inf) + change - at_lock
    solid = choices.suspension == "solid"
    together, together_locked = straight, locked  # both wheels of a solid axle up
    sweep = None
    layout = StopLayout(
        solid, 0.5 * x[f"{axle}.track"], parts["bump_half_base"], parts["droop_half_base"], parts["droop_gap"]
    )
    stop = parts["bump_gap"]
    compression = stop_compression(spring_load, parts["bump_rate"], parts["bump_rate_cubic"])
    kept = x.get(f"{axle}.clearance_kept", 0.0)
    if choices.wheelhouse:
        sweep = _sweep(x, axle, choices, parts, tyre, change, "crossed" if solid else "independent")
        over_lock = swept.over_lock or choices.stops_spaced
        first_touch, full_bump = (full_bump_travel(stop, pressed, layout) for pressed in (np.zeros(1), compression))
        far = full_bump + kept if over_lock else first_touch
        reach = None if swept.beyond_stops else far + BEYOND_STOP
        alone = _least_gaps(sweep, over_lock, reach)
        level = _least_gaps(sweep.both_up, over_lock, reach) if solid else alone
        straight, locked = np.minimum(straight, alone[0]), np.minimum(locked, alone[1])
        together, together_locked = np.minimum(together, level[0]), np.minimum(together_locked, level[1])

    clear_straight = bump_gap_for(straight - kept, compression, layout, together - kept)
    clear_locked = bump_gap_for(locked - kept, compression, layout, together_locked - kept)
    clear = np.minimum(clear_straight, clear_locked)
    arch = clear if choices.stops_spaced else bump_gap_for(straight, np.zeros(1), layout, together)
    return AxleWheelhouse(
        arch_gap=straight,
        arch_gap_at_full_lock=np.minimum(straight, locked),
        stop_gap=stop,
        stop_compression=compression,
        full_bump_travel=full_bump_travel(stop, compression, layout),
        clear_straight=clear_straight,
        clear_at_full_lock=clear_locked,
        clear_bump_gap=clear,
        bump_gap=np.minimum(stop, np.maximum(arch, 0.0)),
        sweep=sweep,
    )


def _sweep(
    x: Inputs, axle: str, choices: AxleChoices, parts: Mapping[str, Array], tyre: NewTyre, change: Array, posture: str
) -> WheelhouseSweep:
    """The measured points in the corner's frame, at the ride height of the build."""
    prefix = f"{axle}.wheelhouse"
    keys = [
        [f"{prefix}.{mark.name}.{name}" for name in ("clock", "distance", "inboard")] for mark in choices.wheelhouse
    ]
    steers = f"{axle}.lock_angle" in x
    lock, offset = x.get(f"{axle}.lock_angle", 0.0), x.get(f"{axle}.steering_offset", 0.0)
    lever = 0.5 * x[f"{axle}.track"] if choices.suspension == "solid" else parts["swing_arm"]
    flat = [x[key] for point in keys for key in point]
    arrays = np.broadcast_arrays(
        lock,
        offset,
        change,
        lever,
        parts["pivot_height"],
        lever + parts["droop_half_base"],
        parts["droop_gap"],
        tyre.radius,
        tyre.width,
        tyre.shoulder_radius,
        *flat,
    )
    lock, offset, change, lever, pivot, base, droop, radius, width, shoulder = arrays[:10]
    place = np.array(arrays[10:]).reshape(len(keys), 3, -1).transpose(2, 0, 1)  # (lanes, points, 3)
    turned = np.array([STEERED[mark.wheel] for mark in choices.wheelhouse]) * lock[:, None]
    points = clock_points(place[:, :, 0], place[:, :, 1], place[:, :, 2], turned, offset)
    points[:, :, 2] += change[:, None]
    motion = CornerMotion(lever, pivot, offset, base, droop, posture)
    shape = TyreShape(radius, width, shoulder)
    return WheelhouseSweep(points, motion, shape, steer_angles(lock) if steers else np.zeros((radius.size, 1)))


def _least_gaps(sweep: WheelhouseSweep, over_lock: bool, reach: Array | None) -> tuple[Array, Array]:
    """Hub travel until the tyre meets the first point, straight and over the lock, (lanes,) each [m].

    over_lock: False gives the gap straight ahead for both.
    reach: travel beyond which nobody asks [m], (1,) or (lanes,) whatever the lanes of the sweep.
    """
    lanes, middle = sweep.steer.shape[0], sweep.straight_ahead
    if reach is not None:  # one corner whose stops alone are sampled serves all of them
        reach = np.broadcast_to(np.fmax.reduce(reach) if lanes == 1 else reach, (lanes,))

    def least(steer: Array, within: Array | None) -> Array:
        return least_arch_gap(sweep.points, sweep.motion, sweep.shape, steer, within)

    straight = least(sweep.steer[:, middle : middle + 1], reach)
    turned = np.delete(sweep.steer, middle, axis=1)
    if not (over_lock and turned.size):
        return straight, straight
    return straight, np.minimum(straight, least(turned, straight if reach is None else np.minimum(straight, reach)))
