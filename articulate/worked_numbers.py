"""Numbers of a vehicle for the closed forms: which of its values each symbol stands for.

The values come from the vehicle's arrays and, where a derivation needs a climb, from the predicted one. A derivation
that describes something else than a whole vehicle (a coil, a leaf pack) has no entry.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from articulate.closed_forms.rendering import Number
from articulate.closed_forms.roll_gradient import axle_terms
from articulate.closed_forms.roll_stiffness import AxleRoll, axle_roll
from articulate.constants import STANDARD_GRAVITY
from articulate.model.measures import Measures
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles
from articulate.prediction import Prediction
from articulate.roll_gradient import axle_numbers
from articulate.types import own_wheel

Numbers = dict[str, Number]


def _numbers(**values: tuple[float, str]) -> Numbers:
    """Numbers shown in the unit given as `value, unit`; lengths in mm, angles in deg."""
    size = {"mm": 1e3, "deg": 180.0 / np.pi, "kN": 1e-3, "kN m": 1e-3, "kN m/rad": 1e-3, "N/mm": 1e-3}
    return {
        name: Number(float(value), f"{float(value) * size.get(unit, 1.0):.5g} {unit}".strip())
        for name, (value, unit) in values.items()
    }


def _mark_height(vehicle: Vehicles, test: RampTest, prediction: Prediction) -> Numbers:
    return _numbers(
        h=(prediction.connected.mark_height, "mm"), L=(vehicle.wheelbase[0], "mm"), g=(test.angle[0], "deg")
    )


def _hub_path(vehicle: Vehicles, test: RampTest, prediction: Prediction) -> Numbers:
    deflection = vehicle.reference_axle_load()[0, 0] / (2.0 * vehicle.tyre_stiffness[0, 0])
    return _numbers(
        R=(vehicle.tyre_radius[0, 0], "mm"),
        s=(prediction.connected.climb, "mm"),
        g=(test.angle[0], "deg"),
        d=(deflection, "mm"),
    )


def _axle_rolls(vehicle: Vehicles) -> AxleRoll:
    return axle_roll(centre_height=vehicle.sprung_centre[:, 2:3], **axle_numbers(vehicle))


def _roll_stiffness(vehicle: Vehicles, _test: RampTest, _prediction: Prediction) -> Numbers:
    roll, load = _axle_rolls(vehicle), vehicle.reference_axle_load()[0]
    return _numbers(
        K_f=(roll.coupling[0, 0], "kN m/rad"),
        K_r=(roll.coupling[0, 1], "kN m/rad"),
        A_f=(roll.own[0, 0], "kN m/rad"),
        C=(roll.overturning[0].sum(), "kN m/rad"),
        t_f=(vehicle.track[0, 0], "mm"),
        t_r=(vehicle.track[0, 1], "mm"),
        F_f=(load[0], "N"),
        F_r=(load[1], "N"),
    )


def _roll_gradient(vehicle: Vehicles, _test: RampTest, _prediction: Prediction) -> Numbers:
    numbers: Numbers = {}
    terms = axle_terms(centre_height=vehicle.sprung_centre[:, 2], **axle_numbers(vehicle))
    for axle, at in enumerate(("f", "r")):
        values = {
            "S": (terms.own[0, axle], "kN m/rad"),
            "X": (terms.mixed[0, axle], "kN m/rad"),
            "D": (terms.body[0, axle], "kN m/rad"),
            "m": (terms.moment[0, axle], "kN m"),
            "b": (terms.at_axle[0, axle], "kN m"),
            "t": (vehicle.track[0, axle], "mm"),
        }
        numbers |= _numbers(**{f"{name}_{at}": value for name, value in values.items()})
    return numbers | _numbers(k_x=(vehicle.cross_link_rate[0], "N/mm"))


def _three_wheels(vehicle: Vehicles, test: RampTest, prediction: Prediction) -> Numbers:
    end: Measures = prediction.connected.trace.measures
    lifted = own_wheel(prediction.connected.wheel, prediction.side)
    second, third = [wheel for wheel in (1, 2, 3) if wheel != lifted][-2:]
    ramp, b, c = end.contact[-1, 0], end.contact[-1, second], end.contact[-1, third]
    centre = end.mass_centre[-1]
    weight = (vehicle.sprung_mass[0] + vehicle.load_mass[0] + vehicle.unsprung_mass[0].sum()) * STANDARD_GRAVITY
    share, slope = test.holding_share[0], np.tan(test.angle[0])
    return _numbers(
        **{"lambda": (share, "")},
        kappa=((1.0 - share) * slope / (1.0 + share * slope**2), ""),
        V_1=(end.vertical_load[-1, 0], "N"),
        W=(weight, "N"),
        g=(test.angle[0], "deg"),
        x_g=(centre[0], "mm"),
        y_g=(centre[1], "mm"),
        x_1=(ramp[0], "mm"),
        y_1=(ramp[1], "mm"),
        z_1=(ramp[2], "mm"),
        x_2=(b[0], "mm"),
        y_2=(b[1], "mm"),
        x_3=(c[0], "mm"),
        y_3=(c[1], "mm"),
    )


def _side_slope(vehicle: Vehicles, _test: RampTest, prediction: Prediction) -> Numbers:
    height = prediction.connected.trace.measures.mass_centre[0, 2]
    return _numbers(t=(vehicle.track[0].mean(), "mm"), h=(height, "mm"))


def _spring_base(vehicle: Vehicles, _test: RampTest, _prediction: Prediction) -> Numbers:
    axle = 1 if vehicle.solid[0, 1] else 0
    numbers = _numbers(
        t=(vehicle.track[0, axle], "mm"),
        k=(vehicle.spring_rate[0, axle], "N/mm"),
        k_b=(vehicle.bar_rate[0, axle], "N/mm"),
    )
    if vehicle.solid[0, axle]:
        numbers |= _numbers(b=(vehicle.spring_half_base[0, axle], "mm"))
    return numbers


_SOURCES: dict[str, Callable[[Vehicles, RampTest, Prediction], Numbers]] = {
    "mark-height": _mark_height,
    "hub-path": _hub_path,
    "roll-stiffness-lift": _roll_stiffness,
    "roll-gradient": _roll_gradient,
    "three-wheels": _three_wheels,
    "side-slope": _side_slope,
    "spring-base": _spring_base,
}


def takes_numbers(name: str) -> bool:
    """Whether the derivation of this name can be worked out for a vehicle."""
    return name in _SOURCES


def worked_numbers(name: str, vehicle: Vehicles, test: RampTest, prediction: Prediction) -> Numbers:
    """Numbers of one vehicle for a derivation, by symbol name.

    Args:
        name: of the derivation, one that `takes_numbers`.
        vehicle: a batch of one.
        test: its ramp test.
        prediction: of that vehicle on that test.
    """
    return _SOURCES[name](vehicle, test, prediction)
