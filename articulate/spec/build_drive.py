"""What a vehicle file says of its drive, as the model has it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.spec.build_inputs import Inputs
from articulate.spec.vehicle_spec import DriveChoices
from articulate.types import AXLES

Array = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, eq=False, repr=False)
class DriveArrays(Brief):
    """The arrays of `Vehicles` that say how it is driven."""

    known: BoolArray  # (lanes,)
    front_share: Array  # (lanes,)
    centre_locked: BoolArray  # (lanes,)
    torque_ratio: Array  # (lanes, 2)


def drive_arrays(x: Inputs, drive: DriveChoices | None) -> DriveArrays:
    """The drive of every lane; what is not known or not driven is as an open differential."""
    ratios = []
    for axle, kind in zip(AXLES, drive.differentials if drive else (None, None), strict=True):
        held = kind in ("locked", "held by brakes")
        bias = x[f"drive.{axle}_bias_ratio"] if kind == "limited slip" else np.ones(1)
        ratios.append(x.spread(np.zeros(1) if held else 1.0 / bias))
    fixed = {"front": 1.0, "rear": 0.0}.get(drive.driven_wheels if drive else "all", 0.5)
    return DriveArrays(
        known=np.full(x.lanes, drive is not None),
        front_share=x.spread(x.get("drive.centre_front_share", fixed)),
        centre_locked=np.full(x.lanes, drive is not None and drive.centre == "locked"),
        torque_ratio=np.stack(ratios, axis=1),
    )
