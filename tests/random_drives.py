"""Random drives for random vehicles: every differential and centre, friction of wet to dry ground."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles

OPEN, LOCKED = 1.0, 0.0


def driven(
    vehicles: Vehicles, front_share: float, *, centre_locked: bool = False, front: float = OPEN, rear: float = OPEN
) -> Vehicles:
    """All vehicles of a batch with one drive; front, rear: force ratio of each differential, 1 open, 0 locked."""
    lanes = vehicles.lanes
    return replace(
        vehicles,
        drive_known=np.ones(lanes, dtype=bool),
        front_drive_share=np.full(lanes, front_share),
        centre_locked=np.full(lanes, centre_locked),
        torque_ratio=np.tile([front, rear], (lanes, 1)),
    )


def randomly_driven(seed: int, vehicles: Vehicles, test: RampTest) -> tuple[Vehicles, RampTest]:
    """Each vehicle with a drive of its own, each test with a friction of its own and the share of that drive."""
    rng = np.random.default_rng([seed, 7])
    lanes = vehicles.lanes
    share = rng.choice([0.0, 1.0, 0.5, -1.0], lanes)
    ratio = rng.choice([1.0, 0.0, -1.0], (lanes, 2), p=[0.5, 0.3, 0.2])
    with_drive = replace(
        vehicles,
        drive_known=np.ones(lanes, dtype=bool),
        front_drive_share=np.where(share < 0.0, rng.uniform(0.2, 0.6, lanes), share),
        centre_locked=rng.random(lanes) < 0.3,
        torque_ratio=np.where(ratio < 0.0, 1.0 / rng.uniform(1.3, 5.0, (lanes, 2)), ratio),
    )
    grip = replace(test, friction=rng.uniform(0.3, 1.0, lanes), share_by_drive=np.ones(lanes, dtype=bool))
    return with_drive, grip
