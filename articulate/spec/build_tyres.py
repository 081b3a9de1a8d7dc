"""The tyres of an axle from a vehicle file's inputs, and what has changed since heights were measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.constants import STANDARD_GRAVITY
from articulate.spec.build_inputs import Inputs
from articulate.spec.build_wheelhouse import NewTyre
from articulate.spec.tyres import vertical_stiffness
from articulate.spec.vehicle_spec import AxleChoices

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, repr=False)
class FittedTyre(Brief):
    """The tyres of one axle, and those on which its heights were measured; arrays (1,) or (lanes,)."""

    radius: Array  # [m], unloaded
    width: Array  # [m]
    measured_radius: Array  # [m], unloaded, of the tyre on which heights were measured
    measured_width: Array  # [m]
    measured_stiffness: Array  # [N/m], at the pressure of that measurement
    section_radius: Array  # [m], of the contact's torus
    shoulder_radius: Array  # [m], of the section in the wheelhouse
    stiffness: Array  # [N/m]
    mass_change: Array  # [kg], of one tyre, since the vehicle was weighed
    keys: tuple[str, ...]  # of the inputs it came from

    def grown(self, axle_mass: Array) -> Array:
        """Change of the loaded radius since heights were measured, R - N/k now less then [m]."""
        load = 0.5 * axle_mass * STANDARD_GRAVITY
        then = self.measured_radius - load / self.measured_stiffness
        return self.radius - (load + self.mass_change * STANDARD_GRAVITY) / self.stiffness - then


def new_tyre(tyre: FittedTyre) -> NewTyre:
    """What the wheelhouse has to know of a tyre."""
    return NewTyre(
        tyre.radius,
        tyre.width,
        tyre.shoulder_radius,
        tyre.radius - tyre.measured_radius,
        tyre.width - tyre.measured_width,
    )


def fitted_tyre(x: Inputs, axle: str, choices: AxleChoices) -> FittedTyre:
    """The tyre of an axle: its own where the axle has one, otherwise the common one."""

    def key(name: str) -> str:
        own = f"{axle}.tyre.{name}"
        return own if own in x else f"tyre.{name}"

    own = f"{axle}.tyre.diameter" in x
    geometry = f"{axle}.tyre." if own else "tyre."
    diameter = x[f"{geometry}diameter"]
    # Resolve asks for a width wherever stiffness or section radius are to come from it.
    width = x.get(f"{geometry}width", np.nan)
    stiffness_key = f"{axle}.tyre.vertical_stiffness"
    if stiffness_key not in x and not own:
        stiffness_key = "tyre.vertical_stiffness"
    shape = [f"{geometry}{name}" for name in ("diameter", "width", "rim_diameter", "section_radius")]
    if stiffness_key in x:
        stiffness = x[stiffness_key]
        keys = [stiffness_key]
    else:
        keys = [key("pressure"), key("stiffness_factor")]
        stiffness = x[keys[1]] * vertical_stiffness(x[keys[0]], width, diameter, x[f"{geometry}rim_diameter"])
    section = x[shape[3]] if shape[3] in x else 0.5 * width
    radius = 0.5 * diameter
    width = np.where(np.isnan(width), 2.0 * section, width)
    measured = key("heights_measured_on")
    then, then_width, then_rim = diameter, width, x.get(shape[2], np.nan)
    if measured in x:
        then = x[measured]
        if choices.measured_on is not None:
            then_width = np.array([choices.measured_on.width])
            then_rim = np.array([choices.measured_on.rim_diameter])
    measured_stiffness = stiffness  # a stiffness that is given serves for both tyres
    if stiffness_key not in x:
        then_pressure = key("heights_measured_at") if key("heights_measured_at") in x else keys[0]
        measured_stiffness = x[keys[1]] * vertical_stiffness(x[then_pressure], then_width, then, then_rim)
    called = f"{axle} tyre" if own else "tyre"
    x.require(
        x.get(shape[2], 0.0) < diameter,
        f"the {called} is smaller than its rim",
        (shape[0], shape[2]),
        "correct the diameter or the rim",
    )
    x.require(
        section < radius,
        f"the section of the {called} is larger than the tyre",
        shape,
        "correct the diameter, the width or the section radius",
    )
    x.require(
        (stiffness > 0.0) & (measured_stiffness > 0.0),
        f"the {called} has no stiffness that can be estimated",
        (*shape, *keys),
        f"give {geometry}vertical_stiffness",
    )
    return FittedTyre(
        radius=radius,
        width=width,
        measured_radius=0.5 * then,
        measured_width=then_width,
        measured_stiffness=measured_stiffness,
        section_radius=section,
        shoulder_radius=x.get(key("shoulder_over_width"), 0.5) * width,
        stiffness=stiffness,
        mass_change=x.get(key("mass_change"), 0.0),
        keys=(*keys, *shape),
    )
