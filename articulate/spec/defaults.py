"""What is assumed where a vehicle file says nothing.

Every default is a relation with a range, and the range is meant honestly wide: most of these numbers are
recalled from practice, and a spread that includes them says what measuring them would be worth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from articulate.spec.quantities import Distribution
from articulate.spec.vehicle_spec import Estimate, Source

_NEWTON_METRE_PER_DEGREE = 180.0 / math.pi  # [N m/rad]
_MEMORY = "value from memory"
_PRACTICE = "common practice, no source"

SpringKind = Literal["coil", "leaf", "torsion bar", "air"]


@dataclass(frozen=True)
class Default:
    """A value with limits in a display unit, the relation it enters and how the number is known."""

    value: float
    low: float
    high: float
    unit: str
    unit_size: float
    relation: str
    known: str
    source: Source = "assumed"
    distribution: Distribution = "triangular"

    def estimate(self) -> Estimate:
        """The default as an input [SI]."""
        size = self.unit_size
        return Estimate(
            self.value * size,
            self.low * size,
            self.high * size,
            self.distribution,
            self.source,
            f"{self.relation}; {self.known}",
            self.unit,
            size,
        )


def _share(value: float, low: float, high: float, relation: str, known: str) -> Default:
    return Default(value, low, high, "%", 0.01, relation, known)


def _length(value: float, low: float, high: float, relation: str, known: str) -> Default:
    return Default(value, low, high, "mm", 1e-3, relation, known)


def _ratio(value: float, low: float, high: float, relation: str, known: str) -> Default:
    return Default(value, low, high, "", 1.0, relation, known)


def _rate(value: float, low: float, high: float, relation: str, known: str) -> Default:
    return Default(value, low, high, "N/mm", 1e3, relation, known)


# The whole vehicle. The 28 rows have a mean height of 26.7 in; with a 62 in track that is 1.16.
FRONT_SHARE = _share(53, 46, 60, "share of the mass on the front wheels", _MEMORY)
STATIC_STABILITY_FACTOR = _ratio(
    1.16,
    1.067,
    1.333,
    "height of the centre of gravity from T/2h, range of 28 SUV and pickup rows",
    "US agency rollover data, model year 2004",
)
LEFT_OF_CENTRE = _length(0, -20, 20, "centre of gravity in the middle", _PRACTICE)

TORSIONAL_RATE = {
    construction: Default(
        value,
        low,
        high,
        "kN m/deg",
        1e3 * _NEWTON_METRE_PER_DEGREE,
        f"torsional rate of a {construction}",
        f"order of magnitude, {_MEMORY}",
    )
    for construction, (value, low, high) in {
        "closed body": (20.0, 15.0, 30.0),
        "body on frame": (8.0, 5.0, 12.0),
        "open pickup on ladder frame": (4.0, 2.5, 6.0),
    }.items()
}

# Tyres.
PRESSURE = Default(220, 180, 260, "kPa", 1e3, "road pressure of the trade", _PRACTICE)
STIFFNESS_FACTOR = _ratio(
    1.0,
    0.75,
    1.25,
    "vertical stiffness from size and pressure, Rhyne, Tire Sci. Technol. 33(3) 2005",
    f"equation and its 25 % {_MEMORY}",
)
RIM_DIAMETER = Default(16, 15, 18, "in", 0.0254, "rim of the trade", _PRACTICE)

# Tread, carcass and beads over the area of tread and sidewalls: 13 kg/m^2 fits road tyres of 10 to 19 kg, 17 kg/m^2
# light-truck tyres of 25 to 35 kg.
TYRE_AREAL_MASS = {
    False: Default(13.5, 11, 16.5, "kg/m^2", 1.0, "mass of a tyre over the area of tread and sidewalls", _MEMORY),
    True: Default(
        17, 14, 20, "kg/m^2", 1.0, "mass of a light-truck tyre over the area of tread and sidewalls", _MEMORY
    ),
}
SHOULDER_OVER_WIDTH = _ratio(0.2, 0.1, 0.35, "radius of the shoulder over the tyre's width", _MEMORY)

# Wheelhouse.
CLEARANCE_KEPT = _length(12, 8, 20, "hub travel left at full bump before the tyre rubs", _PRACTICE)
LOCK_ANGLE = Default(34, 30, 38, "deg", math.pi / 180.0, "full lock of the wheel that turns further", _MEMORY)
STEERING_OFFSET = _length(60, 20, 110, "tyre's centre plane outboard of the steering axis at hub height", _MEMORY)

# Axles, by suspension.
UNSPRUNG_SHARE = {
    "independent": _share(6, 4.5, 8, "unsprung mass of an independent axle over the total mass", _MEMORY),
    "solid": _share(9.5, 7, 13, "unsprung mass of a solid axle over the total mass", _MEMORY),
}
SWING_ARM_OVER_TRACK = _ratio(1.5, 0.8, 3.0, "front-view swing arm over the track", _MEMORY)
PIVOT_ABOVE_HUB = _length(0, -120, 120, "swing arm level at ride height", _MEMORY)
ROLL_CENTRE_ABOVE_HUB = _length(50, -80, 180, "roll centre of a solid axle above the hub line", _MEMORY)

# Springs. A coil-over of an independent axle reaches its damper's end before its free length, a coil
# between a solid axle and the frame can leave its seat, and an air spring pushes but never pulls.
SPRING_KIND: dict[str, SpringKind] = {"independent": "coil", "solid": "coil"}
RIDE_FREQUENCY = {
    "front": Default(1.35, 1.15, 1.6, "Hz", 1.0, "ride frequency over the front axle, springs alone", _MEMORY),
    "rear": Default(1.5, 1.25, 1.9, "Hz", 1.0, "ride frequency over the rear axle, springs alone", _MEMORY),
}
SPRING_RATIO = {
    "independent": _ratio(0.6, 0.45, 0.85, "spring travel over wheel travel of an independent axle", _MEMORY),
    "solid": _ratio(1.0, 0.85, 1.0, "spring travel over wheel travel of a solid axle", _MEMORY),
}
SPRING_SPACING = {
    "coil": _share(62, 52, 72, "distance between coils over the track", _MEMORY),
    "air": _share(62, 52, 72, "distance between air springs over the track", _MEMORY),
    "leaf": _share(68, 60, 76, "distance between leaf springs over the track", _MEMORY),
    "torsion bar": _share(62, 52, 72, "distance between springs over the track", _MEMORY),
}

# Dry friction of one corner at the wheel; half the width of the hysteresis loop of load against wheel travel.
SUSPENSION_FRICTION = {
    kind: Default(value, low, high, "N", 1.0, f"dry friction of a corner with {what}", f"order of magnitude, {_MEMORY}")
    for kind, (value, low, high, what) in {
        "coil": (125, 50, 200, "a coil"),
        "air": (125, 50, 200, "an air spring"),
        "torsion bar": (125, 50, 200, "a torsion bar"),
        "leaf": (550, 300, 800, "a leaf pack"),
    }.items()
}

# Travel and stops.
BUMP_SHARE = _share(45, 35, 55, "bump over total travel", _PRACTICE)
BUMP_RATE = _rate(60, 30, 150, "rubber or foam stop at first touch", _MEMORY)
BUMP_RATE_CUBIC = Default(
    0.1, 0.03, 0.4, "N/mm^3", 1e9, "rubber or foam stop: 6.4 kN more at 40 mm of compression", _MEMORY
)
BUMP_SPACING = _share(58, 48, 70, "distance between bump stops over the track", _MEMORY)
DROOP_RATE = _rate(250, 120, 600, "end stop in the damper with its bushings", _MEMORY)
DROOP_SPACING = _share(63, 50, 76, "distance between dampers over the track", _MEMORY)

# Anti-roll bars.
BAR_OVER_SPRINGS = {
    "independent": _share(50, 20, 100, "bar over spring roll stiffness, for a roll gradient of 4 to 8 deg/g", _MEMORY),
    "solid": _share(80, 30, 150, "bar over spring roll stiffness, for a roll gradient of 4 to 8 deg/g", _MEMORY),
}
# Linked bars stand in for both bars. With springs of 900 N m/deg and a roll moment of 13 kN m/g, 4 deg/g leaves some
# 2,000 N m/deg for link and bushings, 6 deg/g some 1,000.
CROSS_LINK_OVER_SPRINGS = _share(
    150, 50, 350, "roll stiffness of the link over both axles' springs, for a roll gradient of 3 to 8 deg/g", _PRACTICE
)
BAR_RATIO = _ratio(0.6, 0.4, 0.9, "bar end travel over wheel travel of an independent axle", _MEMORY)
BAR_END_SPACING = _share(65, 50, 80, "distance between bar ends over the track", _MEMORY)
SHEAR_MODULUS = Default(80, 77, 83, "GPa", 1e9, "spring steel (Puhn's bar equation has 12e6 psi, 82.7 GPa)", _MEMORY)
ELASTIC_MODULUS = Default(
    206, 200, 210, "GPa", 1e9, "spring steel (Puhn's bar equation has 30e6 psi, 206.8 GPa)", _MEMORY
)

# Tyre sizes: a nominal metric diameter can be 1 % off, a flotation size runs 1-2 % under its first number.
_SIZE_SPREAD = {"metric": (1.0, 0.99, 1.01), "flotation": (0.985, 0.97, 1.0)}


def nominal_diameter(form: Literal["metric", "flotation"], nominal: float, code: str) -> Estimate:
    """Unloaded diameter [m] expected of a tyre with a size code."""
    value, low, high = (factor * nominal for factor in _SIZE_SPREAD[form])
    words = {
        "metric": "rim + 2 width x aspect, within 1 %",
        "flotation": f"first number of the code less 1.5 %, {_MEMORY}",
    }
    basis = f"{code}: {words[form]}"
    return Estimate(value, low, high, "triangular", "published", basis, "mm", 1e-3)


def nominal_width(nominal: float, code: str) -> Estimate:
    """Section width [m] expected of a tyre with a size code."""
    basis = f"{code}: nominal section width, within 4 % on the rim fitted, {_MEMORY}"
    return Estimate(nominal, 0.96 * nominal, 1.04 * nominal, "triangular", "published", basis, "mm", 1e-3)


def spring_seat(suspension: str, kind: SpringKind) -> Literal["loose", "held"]:
    """Whether the spring can pull: coils on a solid axle and air springs cannot, the others can."""
    if kind == "air":
        return "loose"
    return "loose" if kind == "coil" and suspension == "solid" else "held"
