"""From masses as weighed to the masses and centres of gravity of the model."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.constants import STANDARD_GRAVITY
from articulate.spec.build_inputs import Inputs
from articulate.spec.build_tyres import FittedTyre
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.types import AXLES

Array = NDArray[np.float64]
Raise = Callable[[Array], Array]  # rise of the body [m] at a distance behind the front axle [m]


@dataclass(frozen=True, eq=False, repr=False)
class AxleMasses(Brief):
    """Mass on all wheels, on the front and on the rear ones [kg], and the inputs they came from."""

    total: Array
    front: Array
    rear: Array
    keys: tuple[str, ...]


def axle_masses(x: Inputs) -> AxleMasses:
    """Total and axle masses [kg] from the two that are given."""
    keys = tuple(key for key in ("mass.total", "mass.front_axle", "mass.rear_axle", "mass.front_share") if key in x)
    match tuple(key.removeprefix("mass.") for key in keys):
        case ("front_axle", "rear_axle"):
            front, rear = x["mass.front_axle"], x["mass.rear_axle"]
            total = front + rear
        case ("total", "front_share"):
            total = x["mass.total"]
            front = total * x["mass.front_share"]
            rear = total - front
        case ("total", "front_axle"):
            total, front = x["mass.total"], x["mass.front_axle"]
            rear = total - front
        case ("total", "rear_axle"):
            total, rear = x["mass.total"], x["mass.rear_axle"]
            front = total - rear
        case ("front_axle", "front_share"):
            front = x["mass.front_axle"]
            total = front / x["mass.front_share"]
            rear = total - front
        case _:  # ("rear_axle", "front_share"); resolve leaves no other
            rear = x["mass.rear_axle"]
            total = rear / (1.0 - x["mass.front_share"])
            front = total - rear
    return AxleMasses(total, front, rear, keys)


def unsprung_mass(x: Inputs, axle: str, masses: AxleMasses) -> Array:
    """Mass of one axle that goes with its wheels [kg]."""
    if f"{axle}.unsprung_mass" in x:
        return x[f"{axle}.unsprung_mass"]
    return x[f"{axle}.unsprung_share"] * masses.total


def sprung_centre(
    x: Inputs,
    masses: AxleMasses,
    tyres: Sequence[FittedTyre],
    unsprung: Sequence[Array],
    raised: Raise,
) -> tuple[Array, Array, Array]:
    """Centre of gravity of the sprung mass: behind the front axle, left of centre, above ground [m].

    Moments of the whole vehicle less those of the unsprung masses at their hubs, on the tyres and at
    the ride height on which its height was measured; then raised with the body.
    """
    sprung = masses.total - unsprung[0] - unsprung[1]
    behind = x["wheelbase"] * (masses.rear - unsprung[1]) / sprung
    left = x["mass.left_of_centre"] * masses.total / sprung
    height_key = "mass.centre_of_gravity_height"
    if height_key in x:
        height = x[height_key]
    else:
        height_key = "mass.static_stability_factor"
        height = 0.25 * (x["front.track"] + x["rear.track"]) / x[height_key]
    moment = masses.total * height
    for tyre, mass, axle_mass in zip(tyres, unsprung, (masses.front, masses.rear), strict=True):
        deflection = 0.5 * axle_mass * STANDARD_GRAVITY / tyre.measured_stiffness
        moment = moment - mass * (tyre.measured_radius - deflection)
    above = moment / sprung
    keys = (height_key, *masses.keys, "front.unsprung_mass", "rear.unsprung_mass")
    x.require(
        above > 0.0,
        "the centre of gravity of the sprung mass is below the ground",
        keys,
        "raise the centre of gravity height or lower the unsprung masses",
    )
    return behind, left, above + raised(behind)


def require_hubs(x: Inputs, masses: AxleMasses, tyres: Sequence[FittedTyre]) -> None:
    """Require tyres that carry their load before they are pressed flat."""
    for axle, tyre, mass in zip(AXLES, tyres, (masses.front, masses.rear), strict=True):
        deflection = (0.5 * mass + tyre.mass_change) * STANDARD_GRAVITY / tyre.stiffness
        x.require(
            (deflection < tyre.radius) & (deflection < 2.0 * tyre.section_radius),
            f"the {axle} tyres are pressed flat and the hubs sink to the ground",
            (*tyre.keys, *masses.keys),
            "raise the pressure or the stiffness, or lower the mass",
        )


def raised_place(x: Inputs, part: str, raised: Raise) -> tuple[Array, Array, Array]:
    """Place of a load or point: behind the front axle, left of centre, above ground [m], raised with the body."""
    behind = x[f"{part}.behind_front_axle"]
    return behind, x[f"{part}.left_of_centre"], x[f"{part}.height"] + raised(behind)


def added_loads(x: Inputs, spec: VehicleSpec, raised: Raise) -> tuple[Array, tuple[Array, Array, Array]]:
    """Added mass [kg] and its common centre of gravity [m]; the origin where there is none."""
    total, moments = np.zeros(1), [np.zeros(1)] * 3
    for name in spec.loads:
        mass = x[f"load.{name}.mass"]
        total = total + mass
        place = raised_place(x, f"load.{name}", raised)
        moments = [moment + mass * part for moment, part in zip(moments, place, strict=True)]
    divisor = np.where(total > 0.0, total, 1.0)
    return total, (moments[0] / divisor, moments[1] / divisor, moments[2] / divisor)
