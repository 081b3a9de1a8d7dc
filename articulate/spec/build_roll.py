"""A published roll gradient as a fact: it sets the size of bars and auxiliary roll stiffness that are assumed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from articulate.constants import STANDARD_GRAVITY
from articulate.model.vehicles import Vehicles
from articulate.roll_gradient import roll_gradient
from articulate.spec.build_inputs import Inputs
from articulate.spec.quantities import Estimate
from articulate.types import AXLES

Array = NDArray[np.float64]

ROLL_GRADIENT = "roll_gradient"
_BAR, _AUXILIARY = "anti_roll_bar.over_spring_roll_stiffness", "auxiliary_roll.over_springs"
LARGEST_FACTOR = 30.0  # on what is assumed, up and down
HALVINGS = 40  # of the factor's logarithm, to 1e-11
FAR_OFF = 0.25  # of the gradient: what is assumed cannot bring the vehicle nearer


def assumed_in_roll(inputs: Mapping[str, Estimate], name: str) -> NDArray[np.bool_]:
    """Of which axles the bar or the auxiliary roll stiffness is assumed, (1, 2)."""
    keys = [f"{axle}.{name}" for axle in AXLES]
    return np.array([[key in inputs and inputs[key].source == "assumed" for key in keys]])


def anything_assumed(inputs: Mapping[str, Estimate]) -> bool:
    """Whether there is anything whose size a roll gradient can set."""
    return bool(assumed_in_roll(inputs, _BAR).any() or assumed_in_roll(inputs, _AUXILIARY).any())


def with_roll_gradient(x: Inputs, vehicles: Vehicles, inputs: Mapping[str, Estimate]) -> Vehicles:
    """The vehicles with what is assumed of bars and auxiliary roll stiffness in the size that gives their gradient.

    One factor a lane on all of it keeps the assumed proportions; the gradient falls as the factor grows, which is
    found by halving. Where no factor up to `LARGEST_FACTOR` gives the gradient the nearest one stands, and a lane that
    is still far off is recorded as one that no vehicle can be.
    """
    if ROLL_GRADIENT not in x:
        return vehicles
    wanted = x.spread(x[ROLL_GRADIENT]) * STANDARD_GRAVITY  # [rad/g]
    bars, auxiliary = assumed_in_roll(inputs, _BAR), assumed_in_roll(inputs, _AUXILIARY)

    def scaled(logarithm: Array) -> Vehicles:
        factor = np.exp(logarithm)[:, None]
        on_auxiliary = np.where(auxiliary, factor, 1.0)
        return replace(
            vehicles,
            bar_rate=vehicles.bar_rate * np.where(bars, factor, 1.0),
            auxiliary_rate=vehicles.auxiliary_rate * on_auxiliary,
            auxiliary_rate_cubic=vehicles.auxiliary_rate_cubic * on_auxiliary,
        )

    low = np.full(vehicles.lanes, -np.log(LARGEST_FACTOR))
    high = -low
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        soft = roll_gradient(scaled(middle)) > wanted
        low, high = np.where(soft, middle, low), np.where(soft, high, middle)
    found = scaled(0.5 * (low + high))
    x.require(
        np.abs(roll_gradient(found) - wanted) <= FAR_OFF * wanted,
        "no anti-roll bar and no auxiliary roll stiffness gives the vehicle that roll gradient",
        (ROLL_GRADIENT, "front.spring.wheel_rate", "rear.spring.wheel_rate", "mass.total"),
        "check the gradient, the spring rates and the height of the centre of gravity",
    )
    return found
