"""The roll gradient of vehicles: the closed form of `closed_forms.roll_gradient` with a batch's own numbers."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from articulate.closed_forms import roll_gradient as closed_form
from articulate.closed_forms.roll_stiffness import AxleNumbers
from articulate.constants import STANDARD_GRAVITY
from articulate.model.vehicles import Vehicles

Array = NDArray[np.float64]


def axle_numbers(vehicles: Vehicles) -> AxleNumbers:
    """What the closed forms of an axle in roll ask for, but the centre height: arrays (lanes, 2) by argument name."""
    return {
        "track": vehicles.track,
        "axle_load": vehicles.reference_axle_load(),
        "unsprung_weight": vehicles.unsprung_mass * STANDARD_GRAVITY,
        "tyre_radius": vehicles.tyre_radius,
        "tyre_section_radius": vehicles.tyre_section_radius,
        "tyre_stiffness": vehicles.tyre_stiffness,
        "solid": vehicles.solid,
        "swing_arm": vehicles.swing_arm,
        "pivot_height": vehicles.pivot_height,
        "spring_rate": vehicles.roll_spring_rate(),
        "spring_half_base": vehicles.spring_half_base,
        "bar_rate": vehicles.bar_rate,
        "auxiliary_rate": vehicles.auxiliary_rate,
    }


def roll_gradient(vehicles: Vehicles) -> Array:
    """Roll gradient of each vehicle as it stands, bars as they are: slope of body roll over lateral acceleration.

    Args:
        vehicles: the batch; its added load, lateral offsets, stops, frame twist and suspension friction do not enter.

    Returns:
        The gradient, (lanes,) [rad/g]; inf where the vehicle does not stand upright. Formula, validity and source in
        `closed_forms.roll_gradient`.
    """
    return closed_form.roll_gradient(
        centre_height=vehicles.sprung_centre[:, 2],
        cross_link_rate=vehicles.cross_link_rate,
        **axle_numbers(vehicles),
    )
