"""The conditions of a ramp test, one lane per test."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

FAR_BEFORE_TOE = -50.0  # [m] of climb: no wheel meets the ramp
STANDARD_ANGLE = float(np.radians(20.0))  # [rad], the usual ramp


@dataclass(frozen=True, eq=False)
class RampTest:
    """Ramp and conditions, arrays of shape (lanes,) that match the vehicles tested.

    The ramp is the plane z = x tan(angle) from its toe line x = 0; only the left wheels can meet it
    (mirror the vehicle for a run on the right).
    """

    angle: Array  # (lanes,) [rad]
    holding_share: Array  # (lanes,) [-], lambda: share of the slope force the ramp wheel holds
    touch_load: Array  # (lanes,) [N], load at which a wheel counts as unloaded
    length: Array  # (lanes,) [m], along the slope; inf if not known

    def take(self, lanes: NDArray[np.intp] | NDArray[np.bool_] | slice) -> RampTest:
        """The tests of the chosen lanes."""
        return RampTest(**{field.name: getattr(self, field.name)[lanes] for field in fields(self)})


def ramp_test(
    lanes: int,
    angle: ArrayLike = STANDARD_ANGLE,
    holding_share: ArrayLike = 0.5,
    touch_load: ArrayLike = 0.0,
    length: ArrayLike = np.inf,
) -> RampTest:
    """Test conditions for `lanes` vehicles; scalars are spread over all lanes.

    angle [rad], holding_share [-], touch_load [N], length [m]: each a scalar or shape (lanes,).
    """
    return RampTest(
        *(
            np.broadcast_to(np.asarray(value, dtype=np.float64), (lanes,)).copy()
            for value in (angle, holding_share, touch_load, length)
        )
    )
