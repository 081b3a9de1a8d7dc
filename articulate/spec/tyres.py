"""Tyre sizes and the vertical stiffness estimated from them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from articulate.model.constants import STANDARD_GRAVITY
from articulate.spec.errors import QuantityError

_INCH = 0.0254
_FULL_PROFILE = 80.0  # aspect of a size that names none, such as 205R16; value from memory

_METRIC = re.compile(
    r"(?:P|LT|C)?\s*(\d{3})(?:\s*/\s*(\d{2,3}))?\s*(?:ZR|R|D|B|-)\s*(\d{2}(?:\.\d)?)"
    r"\s*(?:LT|C)?(?:\s+\d{2,3}(?:/\d{2,3})?[A-Z]\d?)?"
)
_FLOTATION = re.compile(
    r"(?:LT)?\s*(\d{2}(?:\.\d+)?)\s*[X×]\s*(\d{1,2}(?:\.\d+)?)\s*(?:ZR|R|D|B|-)\s*(\d{2}(?:\.\d)?)"
    r"\s*(?:LT|C)?(?:\s+\d{2,3}(?:/\d{2,3})?[A-Z]\d?)?"
)


@dataclass(frozen=True)
class TyreSize:
    """What a size code says: nominal unloaded diameter, section width and rim diameter [m]."""

    code: str
    form: Literal["metric", "flotation"]
    diameter: float
    width: float
    rim_diameter: float


def read_tyre_size(code: str) -> TyreSize:
    """Read a size code from a sidewall.

    Metric (`265/70R17`, `LT265/70R17`, `P205/60R15`, `205R16`): diameter = rim + 2 width aspect/100.
    Flotation (`35x12.50R17`): the first number is the nominal diameter in inches. A load index behind
    the code is passed over.

    Source: ISO 4000-1 / ETRTO form, value from memory.

    Raises:
        QuantityError: not a size code, or a tyre that is wider than tall or smaller than its rim.
    """
    text = " ".join(code.upper().split())
    metric, flotation = _METRIC.fullmatch(text), _FLOTATION.fullmatch(text)
    size: TyreSize
    if metric:
        width, rim = float(metric.group(1)) * 1e-3, float(metric.group(3)) * _INCH
        aspect = float(metric.group(2) or _FULL_PROFILE)
        size = TyreSize(code.strip(), "metric", rim + 2.0 * width * aspect / 100.0, width, rim)
    elif flotation:
        diameter, width, rim = (float(number) * _INCH for number in flotation.groups())
        size = TyreSize(code.strip(), "flotation", diameter, width, rim)
    else:
        raise QuantityError(
            "that is not a tyre size code",
            'write "265/70R17" or "35x12.50R17", or give diameter and width',
        )
    if size.width >= size.diameter:
        raise QuantityError("that tyre is wider than tall", "check the order, as in 35x12.50R17")
    if size.rim_diameter >= size.diameter:
        raise QuantityError("that tyre is smaller than its rim", "check the order, as in 35x12.50R17")
    if not (0.45 <= size.diameter <= 1.5 and 0.1 <= size.width <= 0.6):
        raise QuantityError(
            f"that tyre would be {size.diameter * 1e3:.0f} mm tall and {size.width * 1e3:.0f} mm wide",
            'write, for instance, "265/70R17"',
        )
    return size


def vertical_stiffness(
    pressure: ArrayLike, width: ArrayLike, diameter: ArrayLike, rim_diameter: ArrayLike
) -> NDArray[np.float64]:
    """Vertical stiffness of a radial tyre from its size and pressure.

        K = 0.00028 P sqrt((1.03 - 0.004 AR) S D_o) + 3.45  [kgf/mm]

    with P in kPa, section width S and unloaded diameter D_o = S AR/50 + D in mm (D the rim diameter, AR the
    aspect ratio in per cent, taken here from the three lengths so that a measured diameter counts).

    Args:
        pressure: inflation pressure [Pa], any shape.
        width: section width S [m], broadcast with the others.
        diameter: unloaded diameter D_o [m].
        rim_diameter: nominal rim diameter D [m].

    Returns:
        Vertical stiffness [N/m]; NaN where the aspect ratio is beyond the equation (above 257).

    Source: T. B. Rhyne, Development of a vertical stiffness relationship for belted radial tires, Tire
    Science and Technology 33(3), 2005, doi 10.2346/1.2174340; equation from memory. Taken here as good to
    about 25 % (value from memory).
    """
    s, d_o = np.asarray(width) * 1e3, np.asarray(diameter) * 1e3
    aspect = 50.0 * (d_o - np.asarray(rim_diameter) * 1e3) / s
    inside = (1.03 - 0.004 * aspect) * s * d_o
    root = np.sqrt(np.where(inside > 0.0, inside, np.nan))
    stiffness = 0.00028 * np.asarray(pressure) * 1e-3 * root + 3.45  # [kgf/mm]
    return np.asarray(stiffness * STANDARD_GRAVITY * 1e3, dtype=np.float64)
