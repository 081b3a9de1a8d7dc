"""What is assumed where a vehicle file says nothing.

Every default is a relation with a range, and the range is meant honestly wide: most of these numbers are
recalled from practice, and a spread that includes them says what measuring them would be worth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, get_args

from articulate.constants import DEGREE, INCH
from articulate.spec.quantities import Distribution, Estimate, Source
from articulate.spec.tyres import Form

_NEWTON_METRE_PER_DEGREE = 180.0 / math.pi  # [N m/rad]
_MEMORY = "not checked against a source"
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
_TRANSVERSE = (57, 52, 61, "with the engine across the front")
_FRONT_SHARES = {
    "front transverse": _TRANSVERSE,
    "front longitudinal": (53, 47, 59, "with the engine along the front"),
    "mid": (45, 40, 50, "with the engine between the axles"),
    "rear": (39, 34, 44, "with the engine behind the rear axle"),
    # Where nothing is said of the engine, by construction.
    "closed body": (56, 48, 61, "of a closed body, its engine mostly across the front"),
    "body on frame": (53, 46, 59, "of a body on frame, its engine along the front"),
    "open pickup on ladder frame": (57, 52, 61, "of an unladen pickup"),
}
FRONT_SHARE = {
    name: _share(value, low, high, f"share of the mass on the front wheels {what}", _PRACTICE)
    for name, (value, low, high, what) in _FRONT_SHARES.items()
}
STATIC_STABILITY_FACTOR = _ratio(
    1.16,
    1.067,
    1.333,
    "height of the centre of gravity from T/2h, range of 28 SUV and pickup rows",
    "NHTSA rollover ratings, model year 2004; sales means of 2003: SUV 1.17, pickup 1.18, van 1.12, HS-809 868, seen",
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
# Without a belt the crown is softer and the sidewalls are stiffer; a cross-ply tyre is some 10 to 25 % stiffer in all.
STIFFNESS_FACTOR_CROSS_PLY = _ratio(
    1.15,
    0.75,
    1.6,
    "cross-ply tyre over a radial's vertical stiffness from size and pressure, Rhyne, Tire Sci. Technol. 33(3) 2005",
    _MEMORY,
)
RIM_DIAMETER = Default(16, 15, 18, "in", INCH, "rim of the trade", _PRACTICE)

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
LOCK_ANGLE = Default(34, 30, 38, "deg", DEGREE, "full lock of the wheel that turns further", _MEMORY)
STEERING_OFFSET = _length(60, 20, 110, "tyre's centre plane outboard of the steering axis at hub height", _MEMORY)

# Axles, by suspension.
UNSPRUNG_SHARE = {
    "independent": _share(6, 4.5, 8, "unsprung mass of an independent axle over the total mass", _MEMORY),
    "solid": _share(9.5, 7, 13, "unsprung mass of a solid axle over the total mass", _MEMORY),
    "twist beam": _share(6, 4.5, 8, "unsprung mass of a twist beam axle over the total mass", _MEMORY),
}
SWING_ARM_OVER_TRACK = _ratio(1.5, 0.8, 3.0, "front-view swing arm over the track", _MEMORY)
TWIST_BEAM_ARM = Default(
    2.0,
    1.2,
    6.0,
    "m",
    1.0,
    "swing arm of a twist beam in roll, t/2 + y (l/x - 1); 1.2 to 6 m is 1 % of a score",
    _PRACTICE,
)
TWIST_BEAM_PIVOT = _length(0, -60, 60, "a twist beam's wheel turns about a line at hub height", _PRACTICE)
PIVOT_ABOVE_HUB = _length(0, -120, 120, "swing arm level at ride height", _MEMORY)
ROLL_CENTRE_ABOVE_HUB = _length(50, -80, 180, "roll centre of a solid axle above the hub line", _MEMORY)

# Springs. A coil-over of an independent axle reaches its damper's end before its free length, a coil
# between a solid axle and the frame can leave its seat, and an air spring pushes but never pulls.
SPRING_KIND: dict[str, SpringKind] = {"independent": "coil", "solid": "coil", "twist beam": "coil"}
_LEAF = (1.7, 1.25, 2.4, "on leaf packs, which are stiff unladen")
_LEAF_KNOWN = "1.28 Hz (compact SUV), 1.55 (large van), 2.0-2.1 (4x4 bus): derived from second-hand data"
RIDE_FREQUENCY = {
    (axle, kind): Default(
        value, low, high, "Hz", 1.0, f"ride frequency over the {axle} axle, springs alone, {what}", known
    )
    for axle, soft in (
        ("front", (1.35, 1.15, 1.6, "as cars are sprung")),
        ("rear", (1.5, 1.25, 1.9, "a little above the front")),
    )
    for kind, (value, low, high, what), known in (
        ("coil", soft, _MEMORY),
        ("torsion bar", soft, _MEMORY),
        ("air", soft, _MEMORY),
        ("leaf", _LEAF, _LEAF_KNOWN),
    )
}
SPRING_RATIO = {
    "independent": _ratio(0.6, 0.45, 0.85, "spring travel over wheel travel of an independent axle", _MEMORY),
    "solid": _ratio(1.0, 0.85, 1.0, "spring travel over wheel travel of a solid axle", _MEMORY),
    "twist beam": _ratio(0.9, 0.7, 1.1, "spring travel over wheel travel of a twist beam", _MEMORY),
}
_BASES_SEEN = "62 % front, 70-75 % leaf rear in second-hand data"
SPRING_SPACING = {
    "coil": _share(62, 52, 72, "distance between coils over the track", _BASES_SEEN),
    "air": _share(62, 52, 72, "distance between air springs over the track", _MEMORY),
    "leaf": _share(71, 62, 78, "distance between leaf springs over the track", _BASES_SEEN),
    "torsion bar": _share(62, 52, 72, "distance between springs over the track", _MEMORY),
}

# Height settings of air springs. At one load the pressure stays and the air column gets longer: k = n p A^2/V gives
# 1/(1 + z/h) with h = n (p/(p - p_0)) g/(2 pi f)^2, some 0.2 to 0.3 m; a piston that tapers adds or takes some.
AIR_RAISED_BY = _length(50, 25, 80, "body over its normal height at the raised setting", _MEMORY)
AIR_LOWERED_BY = _length(45, 20, 75, "body under its normal height at the lowered setting", _MEMORY)
AIR_RATE_FACTOR = {
    "raised": _ratio(0.83, 0.65, 1.0, "rate of a raised air spring over its normal one, k = n p A^2/V", _PRACTICE),
    "lowered": _ratio(1.22, 1.0, 1.6, "rate of a lowered air spring over its normal one, k = n p A^2/V", _PRACTICE),
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

# Travel and stops. Travel nobody has said anything about, bump and droop together, counted to full bump.
TRAVEL_TOTAL = {
    "independent": _length(195, 140, 260, "wheel travel of independent suspension", _MEMORY),
    "solid": _length(220, 160, 300, "wheel travel of a solid axle", _MEMORY),
    "twist beam": _length(190, 140, 240, "wheel travel of a twist beam", _MEMORY),
}
BUMP_SHARE = _share(45, 35, 55, "bump over total travel", _PRACTICE)
FULL_BUMP_LOAD = _ratio(
    2.5,
    2.0,
    3.0,
    "load on each stop in full bump over the sprung load at rest, two to three static corner loads",
    f"{_PRACTICE}; travel counts to full jounce, foam stops give up to 80 % of their length (BASF Cellasto brochure)",
)
BUMP_RATE = _rate(60, 30, 150, "rubber or foam stop at first touch", _MEMORY)
BUMP_RATE_CUBIC = Default(
    0.1, 0.03, 0.4, "N/mm^3", 1e9, "rubber or foam stop: 6.4 kN more at 40 mm of compression", _MEMORY
)
BUMP_SPACING = _share(58, 48, 70, "distance between bump stops over the track", _MEMORY)
DROOP_RATE = _rate(250, 120, 600, "end stop in the damper with its bushings", _MEMORY)
DROOP_SPACING = _share(63, 50, 76, "distance between dampers over the track", _MEMORY)

# Anti-roll bars, as couples over those of the axle's springs. What bars of common diameters give by the bar equation
# (Puhn; arms 220-330 mm, centre parts 850-1,000 mm, practice), before rubber mounts take 20-40 % off (practice):
#   solid front, 25-29 mm       220-550 %  (diameters from memory; 28.6-31.8 mm on a bar maker's page)
#   solid rear, 19-20 mm         70-130 %  (19 mm in a maker's workshop manual)
#   independent front, 33-35 mm 110-200 %  (owner's calliper, second-hand); sets of the 1980s 29-82 % with all else
#   independent rear, 18-21 mm   14-80 %   (from memory); sets of the 1980s 0-17 % with all else (Allen and others 1992)
# The values are their middles less some 30 %, the solid front one nearer to what a measured vehicle with solid axles
# needs in a steady turn (Salaani and Heydinger, SAE 2000-01-0700, second-hand); the limits take in shorter and longer
# arms. Published ramp scores were known when they were chosen, and no value was fitted to them.
_BARS = "bars as built, by the bar equation less 20-40 % for rubber mounts:"
_BAR_SIZES = {
    ("solid", "front"): (
        300,
        100,
        650,
        "25-29 mm give 220-550 % before mounts, diameters not checked against a source",
    ),
    ("solid", "rear"): (80, 25, 200, "19-20 mm give 70-130 % before mounts, a maker's workshop manual"),
    ("independent", "front"): (110, 30, 280, "33-35 mm give 110-200 % before mounts, second-hand; 1980s 29-82 %"),
    ("independent", "rear"): (
        40,
        8,
        115,
        "18-21 mm give 14-80 % before mounts, diameters not checked against a source; 1980s 0-17 %",
    ),
}
BAR_OVER_SPRINGS = {
    (suspension, axle): _share(
        value, low, high, f"bar over spring roll stiffness, {suspension} {axle}", f"{_BARS} {known}"
    )
    for (suspension, axle), (value, low, high, known) in _BAR_SIZES.items()
}

# Of off-road vehicles and pickups of the last decades nearly all have a bar in front; behind, leaf springs mostly go
# without one, coils on a solid axle mostly with one, and independent wheels nearly always.
_BAR_CHANCE = {"front": (95, 95), "solid": (70, 30), "independent": (85, 60)}  # [%], on other springs and on leaves


BAR_CHANCE = {  # that an axle has an anti-roll bar where nobody has looked
    (axle, suspension, kind): Default(
        _BAR_CHANCE["front" if axle == "front" else suspension][kind == "leaf"], 1, 99, "%", 0.01,
        f"chance of a bar on {'a front axle' if axle == 'front' else f'a rear axle, {suspension}, on {kind} springs'}",
        _PRACTICE,
    )
    for axle in ("front", "rear") for suspension in ("independent", "solid") for kind in get_args(SpringKind)
}  # fmt: skip


# Auxiliary roll stiffness (SAE J670; measured on 61 suspensions by Fu and Cebon, Heavy Vehicle Systems 9(4), 2002).
Links = Literal["four or five links", "radius arms", "leaves"]
LINKS: dict[SpringKind, Links] = {
    "coil": "four or five links",
    "air": "four or five links",
    "torsion bar": "four or five links",
    "leaf": "leaves",
}
_AUXILIARY = {
    "four or five links": (40, 10, 120, "with four or five links", "bushing rates give 20-50 %"),
    "radius arms": (150, 60, 300, "with two radius arms", "arm pitch and bushes give 130-330 %"),
    "leaves": (40, 10, 120, "of leaf packs", "leaf twist and eye bushes give 20-60 %"),
    "independent": (10, 3, 25, "of independent wheels", "5-15 % of the wheel rate is rubber"),
    "twist beam": (100, 50, 200, "of a twist beam", "50-200 %"),
}
AUXILIARY_OVER_SPRINGS = {
    kind: _share(value, low, high, f"auxiliary over spring roll stiffness {what}", f"{known}; {_PRACTICE}")
    for kind, (value, low, high, what, known) in _AUXILIARY.items()
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

# Drive. A planetary centre differential sends a third to a half of the torque to the front, a bevel one half.
CENTRE_FRONT_SHARE = _share(50, 33, 50, "share of the torque that an open centre sends to the front axle", _MEMORY)
BIAS_RATIO = _ratio(2.5, 1.5, 4.0, "limited slip: torque of the wheel that grips over the one that spins", _MEMORY)

# Tyre sizes: a nominal metric diameter can be 1 % off, a flotation size runs 1-2 % under its first number.
# A full-section code leaves its diameter to the maker and the tread: road and mud tyres of one code differ by 2 or 3 %.
_SIZE_SPREAD: dict[Form, tuple[float, float, float]] = {
    "metric": (1.0, 0.99, 1.01),
    "flotation": (0.985, 0.97, 1.0),
    "full section": (1.0, 0.965, 1.03),
}
_WIDTH_SPREAD: dict[Form, float] = {"metric": 0.04, "flotation": 0.04, "full section": 0.07}


def nominal_diameter(form: Form, nominal: float, code: str) -> Estimate:
    """Unloaded diameter [m] expected of a tyre with a size code."""
    value, low, high = (factor * nominal for factor in _SIZE_SPREAD[form])
    words = {
        "metric": "rim + 2 width x aspect, within 1 %",
        "flotation": f"first number of the code less 1.5 %, {_MEMORY}",
        "full section": f"rim + 2 x 1.06 of the code's section, 3.5 % less to 3 % more, {_MEMORY}",
    }
    basis = f"{code}: {words[form]}"
    return Estimate(value, low, high, "triangular", "published", basis, "mm", 1e-3)


def nominal_width(form: Form, nominal: float, code: str) -> Estimate:
    """Section width [m] expected of a tyre with a size code."""
    share = _WIDTH_SPREAD[form]
    what = "1.08 of the code's section" if form == "full section" else "nominal section width"
    basis = f"{code}: {what}, within {100.0 * share:.0f} % on the rim fitted, {_MEMORY}"
    low, high = (1.0 - share) * nominal, (1.0 + share) * nominal
    return Estimate(nominal, low, high, "triangular", "published", basis, "mm", 1e-3)


def spring_seat(suspension: str, kind: SpringKind) -> Literal["loose", "held"]:
    """Whether the spring can pull: coils on a solid axle and air springs cannot, the others can."""
    if kind == "air":
        return "loose"
    return "loose" if kind == "coil" and suspension == "solid" else "held"
