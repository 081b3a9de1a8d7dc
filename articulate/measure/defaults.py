"""What is assumed about tape, ramp and method where a run sheet says nothing; each with how it is known."""

from __future__ import annotations

import math

from articulate.constants import DEGREE, INCH
from articulate.spec.defaults import Default
from articulate.spec.quantities import Estimate

RAMP_ANGLE_TOLERANCE = 0.2 * DEGREE  # of an inclinometer whose tolerance is not given; value from memory
WHEELBASE_TOLERANCE = 3e-3  # [m], hub to hub by tape; common practice, no source

# Maximum permissible error a + b L of a material measure of length, L in whole metres rounded up: Directive
# 2014/32/EU, annex on material measures, accuracy classes I, II and III; values from memory.
TAPE_CLASSES = {"I": (0.1e-3, 0.1e-3), "II": (0.3e-3, 0.2e-3), "III": (0.6e-3, 0.4e-3)}
ASSUMED_TAPE_CLASS = "II"

FINEST_METRIC, FINEST_INCH = 1e-3, INCH / 16.0  # [m], divisions of a usual tape

RAMP_ANGLE = Default(
    20.0,
    19.8,
    20.2,
    "deg",
    DEGREE,
    "the usual ramp, not measured",
    "common practice, no source",
    distribution="rectangular",
)
TOUCH_LOAD = Default(
    30.0,
    10.0,
    50.0,
    "N",
    1.0,
    "a film under the tyre just pulls out",
    "common practice, no source",
    distribution="rectangular",
)
CLIMB_PER_TOUCH_LOAD = Default(
    -0.18,
    -0.40,
    -0.08,
    "mm/N",
    1e-3,
    "between -0.11 and -0.39 mm/N on the demo vehicles",
    "from this program's own model",
)
ROLL_BACK = Default(
    0.0,
    -3.0,
    3.0,
    "mm",
    1e-3,
    "brakes held, wheel chocked, read at once",
    "common practice, no source",
    distribution="rectangular",
)
MARKING = Default(
    2.0, 2.0, 2.0, "mm", 1e-3, "square or pointer set by eye", "common practice, no source", distribution="exact"
)
# What one expects before any climb is repeated, and how many degrees of freedom that is worth: a standard deviation
# known to 35 % is worth 4 (JCGM 100:2008, G.4.2, value from memory).
REPEATABILITY = Default(
    3.0, 3.0, 3.0, "mm", 1e-3, "standard deviation of climbs made anew", "common practice, no source",
    distribution="exact",
)  # fmt: skip
REPEATABILITY_WORTH = 4

RADIUS_LOSS = Default(
    24.0,
    10.0,
    50.0,
    "mm",
    1e-3,
    "15 to 26 mm on most demo vehicles, up to 80 mm on the one of long travel",
    "from this program's own model",
)


def tape_limit(accuracy_class: str, length: float) -> float:
    """Largest error a + b L of a tape of a class at a length [m], L in whole metres rounded up [m]."""
    fixed, per_metre = TAPE_CLASSES[accuracy_class]
    return fixed + per_metre * max(math.ceil(length - 1e-9), 1)


def resolution_of(reading: Estimate) -> float:
    """Division of a usual tape in the reading's own units [m]: 1/16 in, or 1 mm."""
    return FINEST_INCH if reading.unit in ("in", "ft") else FINEST_METRIC


def assumed(value: float, half_width: float, basis: str, like: Estimate) -> Estimate:
    """A value with assumed limits either side, shown in the unit of another estimate [SI]."""
    return Estimate(
        value, value - half_width, value + half_width, "rectangular", "assumed", basis, like.unit, like.unit_size
    )
