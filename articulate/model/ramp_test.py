"""The conditions of a ramp test, one lane per test."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from articulate.brief import Brief
from articulate.errors import ArgumentError
from articulate.lanes import take

Array = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

FAR_BEFORE_TOE = -50.0  # [m] of climb: no wheel meets the ramp
UNKNOWN_HOLDING_SHARE = 0.5
DRY_FRICTION = 0.8  # of a tyre on a dry ramp and floor; value from memory, 0.6 to 1.0
STANDARD_ANGLE = float(np.radians(20.0))  # [rad], the usual ramp
STEEPEST = float(np.radians(80.0))  # [rad]; beyond it an angle is one in degrees


@dataclass(frozen=True, eq=False, repr=False)
class RampTest(Brief):
    """Ramp and conditions, arrays of shape (lanes,) that match the vehicles tested.

    The ramp is the plane z = x tan(angle) from its toe line x = 0; only the left wheels can meet it
    (mirror the vehicle for a run on the right).
    """

    angle: Array  # (lanes,) [rad]
    holding_share: Array  # (lanes,) [-], lambda: share of the slope force the ramp wheel holds (see share_by_drive)
    touch_load: Array  # (lanes,) [N], load at which a wheel counts as unloaded
    length: Array  # (lanes,) [m], along the slope; inf if not known
    friction: Array = field(default_factory=lambda: np.full(1, DRY_FRICTION))  # (lanes,) [-], of tyre on ramp and floor
    share_by_drive: BoolArray = field(default_factory=lambda: np.ones(1, dtype=bool))
    """(lanes,), True: where a vehicle's drive is known, `holding_share` gives way to the share that the drive makes."""

    def __post_init__(self) -> None:
        for name in ("friction", "share_by_drive"):
            value = getattr(self, name)
            if value.shape != self.angle.shape:
                object.__setattr__(self, name, np.broadcast_to(value, self.angle.shape).copy())

    def take(self, lanes: NDArray[np.intp] | NDArray[np.bool_] | slice) -> RampTest:
        """The tests of the chosen lanes."""
        return take(self, lanes)

    def held(self, holding_share: Array) -> RampTest:
        """The tests with holding shares (lanes,) that stand, whatever the drive."""
        return replace(self, holding_share=holding_share, share_by_drive=np.zeros_like(self.share_by_drive))


def ramp_test(
    lanes: int,
    angle: ArrayLike = STANDARD_ANGLE,
    holding_share: ArrayLike | None = None,
    touch_load: ArrayLike = 0.0,
    length: ArrayLike = np.inf,
    friction: ArrayLike = DRY_FRICTION,
) -> RampTest:
    """Test conditions for `lanes` vehicles; scalars are spread over all lanes.

    angle [rad], touch_load [N], length [m], friction [-]: each a scalar or shape (lanes,). holding_share [-]: likewise,
    and then it stands; None for that of the drive where it is known, else 0.5.

    Raises:
        ArgumentError: an angle that is none of a ramp, as one in degrees.
    """
    angles = np.asarray(angle, dtype=np.float64)
    if not np.all((angles >= 0.0) & (angles < STEEPEST)):
        odd = float(angles[~((angles >= 0.0) & (angles < STEEPEST))].flat[0])
        raise ArgumentError(f"angle {odd:g} rad: no ramp has it; the usual one is {STANDARD_ANGLE:.4f}, 20 deg")
    share = UNKNOWN_HOLDING_SHARE if holding_share is None else holding_share

    def spread(value: ArrayLike) -> Array:
        return np.broadcast_to(np.asarray(value, dtype=np.float64), (lanes,)).copy()

    return RampTest(
        angle=spread(angle),
        holding_share=spread(share),
        touch_load=spread(touch_load),
        length=spread(length),
        friction=spread(friction),
        share_by_drive=np.full(lanes, holding_share is None),
    )
