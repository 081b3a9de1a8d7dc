"""The balance of a vehicle on level ground with some of its wheels on blocks.

The equations are those of the ramp, far before its toe; the parameter is the height of the blocks instead of the
climb. A block is level ground so much higher under its tyre, and wide enough for it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.model.balance import RampSystem, ramp_parts
from articulate.model.carriers import lane_fastest
from articulate.model.posture import Posture
from articulate.model.ramp_test import FAR_BEFORE_TOE, ramp_test
from articulate.model.tyre_contact import LEFT_RAMP, X
from articulate.model.vehicles import Vehicles

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, repr=False)
class BlockSystem(RampSystem):
    """The equilibrium equations of a batch of vehicles with chosen wheels on blocks; the parameter is their height [m].

    Friction, states and margins are as in `RampSystem`; what the solver knows as the derivative by the climb is that
    by the height of the blocks.
    """

    raised: Array  # (lanes, 2, 3), 1 at the contacts that stand on a block

    @staticmethod
    def on_blocks(vehicles: Vehicles, raised: NDArray[np.bool_]) -> BlockSystem:
        """The equations of vehicles on level ground; raised: (lanes, 4), which wheels are on blocks."""
        contacts = np.zeros((vehicles.lanes, 2, 3))
        contacts[:, :, :LEFT_RAMP] = raised.reshape(vehicles.lanes, 2, 2)
        level = ramp_test(vehicles.lanes, angle=0.0)
        return BlockSystem(**ramp_parts(vehicles, level), raised=lane_fastest(contacts))

    def posture(self, state: Array, climb: Array, rise: Array | None = None) -> Posture:
        """Geometry and tyre forces for unknowns (lanes, 8) and the height of the blocks (lanes,) [m]."""
        far = np.full(self.lanes, FAR_BEFORE_TOE)
        posture = super().posture(state, far, self.raised * climb[:, None, None])
        # On level ground nothing depends on where along x the vehicle stands; the column is the height's.
        posture.derivatives.penetration[..., X] = self.raised
        posture.origin_x_by[:] = 0.0
        return posture
