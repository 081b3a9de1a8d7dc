"""Cross-checks of a resolved vehicle: values that can be typed and cannot well be meant.

The schema refuses what no vehicle has. Here a value is held against what vehicles usually have, alone or together with
others (a track against the wheelbase, a spring against the mass it carries), and asked about where it lies outside,
with what was probably meant. Nothing is refused: an odd vehicle stays a vehicle.

Each judge is a function of the facts of the nominal vehicle that yields judgements; what is in range, or rests on no
value of the file, is dropped. Ranges hold stock and modified off-road vehicles and vans; each says how it is known.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from articulate.constants import DEGREE, INCH, STANDARD_GRAVITY
from articulate.model.vehicles import Vehicles
from articulate.spec.build import build, nominal_axle_masses
from articulate.spec.defaults import TORSIONAL_RATE
from articulate.spec.key_lookup import dimension_of, entry_of
from articulate.spec.load import as_read
from articulate.spec.quantities import LENGTH, RATIO, Estimate, shown, unit_size
from articulate.spec.source_lines import Path
from articulate.spec.tyres import TyreSize, read_tyre_size
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.types import AXLES

PRACTICE = "common practice, no source"
MEMORY = "not checked against a source"
ROLLOVER = "28 SUVs and pickups in NHTSA's rollover ratings of 2004 have 1.07 to 1.33, seen; the rest common practice"

MM, KG, HZ, PERCENT = 1e-3, 1.0, 1.0, 1e-2
PER_MM, KPA = 1e3, 1e3
PER_DEGREE = 1.0 / DEGREE

USUAL_TRACK = 0.56  # over the wheelbase; of two tracks the one further off is asked about
NEAR_AXLE = 0.1  # [m], within which a place along the vehicle is hardly told to a tenth of an inch or millimetre
NO_SLIP = 1000  # place in the list of slips of what none explains
Effect = Callable[[float], float]


@dataclass(frozen=True)
class Doubt:
    """One thing asked about: where it stands, what it makes, what is usual, and what was probably meant."""

    place: str
    line: int | None
    key: str
    read: str
    what: str
    value: str
    usual: str
    known: str
    meant: str

    @property
    def question(self) -> str:
        """What is asked, without the place."""
        told = "" if self.what == "it is" else f": {self.what} {self.value}"
        lead = f"{self.key}: {self.read}" if self.key else self.read
        text = f"{lead}{told}, usual {self.usual} ({self.known})"
        return f"{text}; {self.meant}" if self.meant else text

    def __str__(self) -> str:
        where = self.place if self.line is None else f"{self.place}:{self.line}"
        return f"{where}: {self.question}"


@dataclass(frozen=True)
class Slip:
    """Keys that are one slip together, and what the judged value becomes when they are multiplied."""

    keys: tuple[str, ...]
    effect: Effect


@dataclass(frozen=True)
class Judgement:
    """A value with its usual range, all in SI, shown in a unit, and the keys it rests on, likeliest first."""

    what: str
    value: float
    low: float
    high: float
    unit: str
    size: float
    known: str
    levers: tuple[Slip, ...]

    @property
    def usual(self) -> bool:
        """Whether it lies in its range."""
        slack = 1e-9 * abs(self.value)
        return self.low - slack <= self.value <= self.high + slack


class Facts:
    """The nominal vehicle, as its file and as the model has it."""

    def __init__(self, spec: VehicleSpec) -> None:
        self.spec = spec

    @cached_property
    def built(self) -> Vehicles:
        """The arrays of the model, one lane."""
        return build(self.spec)

    @cached_property
    def axle_mass(self) -> tuple[float, float]:
        """Mass on the front and on the rear wheels [kg]."""
        return nominal_axle_masses(self.spec)

    @property
    def total(self) -> float:
        """Mass of the vehicle [kg]."""
        return sum(self.axle_mass)

    def sprung_corner(self, axle: int) -> float:
        """Sprung mass over one wheel [kg]."""
        unsprung = self.x(f"{AXLES[axle]}.unsprung_mass")
        if math.isnan(unsprung):
            unsprung = self.x(f"{AXLES[axle]}.unsprung_share") * self.total
        return 0.5 * (self.axle_mass[axle] - unsprung)

    def solid(self, axle: int) -> bool:
        """Whether an axle is solid."""
        return self.spec.axles[axle].suspension == "solid"

    def x(self, key: str) -> float:
        """An input [SI]; NaN where there is none."""
        found = self.spec.inputs.get(key)
        return found.value if found is not None else math.nan

    def path(self, key: str) -> Path:
        """Where in the document an input stands; a load, point or wheelhouse mark goes by its name."""
        for table, names in self.lists.items():
            for index, name in enumerate(names):
                if key.startswith(f"{table}.{name}."):
                    return (*table.split("."), index, key.removeprefix(f"{table}.{name}."))
        return tuple(key.split("."))

    @cached_property
    def lists(self) -> Mapping[str, tuple[str, ...]]:
        """Names in the lists of the file."""
        houses = {
            f"{name}.wheelhouse": tuple(mark.name for mark in choices.wheelhouse)
            for name, choices in zip(AXLES, self.spec.axles, strict=True)
        }
        return {"load": self.spec.loads, "body_point": self.spec.body_points, **houses}

    def given(self, key: str) -> bool:
        """Whether the file says it."""
        return self.spec.document.at(self.path(key)) is not None

    def tyre_part(self, axle: int) -> str:
        """The table that says the tyre of an axle."""
        own = f"{AXLES[axle]}.tyre"
        return own if f"{own}.diameter" in self.spec.inputs else "tyre"

    def size(self, part: str) -> TyreSize | None:
        """The size code of a tyre table."""
        text = self.spec.document.at((*part.split("."), "size"))
        return read_tyre_size(text) if isinstance(text, str) else None


def _power(value: float, *keys: str, power: float = 1.0) -> Slip:
    """A lever whose effect is a power of the factor."""
    whole = power == int(power)
    return Slip(keys, lambda factor: value * factor**power if whole or factor > 0.0 else math.nan)


def _alone(
    facts: Facts, key: str, what: str, limits: tuple[float, float], unit: str, size: float, known: str = PRACTICE
) -> Iterator[Judgement]:
    """A single value; limits in the unit."""
    value = facts.x(key)
    if not math.isnan(value):
        yield Judgement(what, value, limits[0] * size, limits[1] * size, unit, size, known, (_power(value, key),))


def _ratio(
    what: str, value: float, low: float, high: float, levers: Sequence[Slip], known: str = PRACTICE, unit: str = ""
) -> Iterator[Judgement]:
    """A ratio, shown as a number or in percent."""
    if not math.isnan(value):
        yield Judgement(what, value, low, high, unit, PERCENT if unit == "%" else 1.0, known, tuple(levers))


def _mass_levers(facts: Facts, value: float, power: float = 1.0) -> list[Slip]:
    """What the total mass rests on; both axle loads are one slip."""
    keys = tuple(key for key in ("mass.front_axle", "mass.rear_axle", "mass.total") if key in facts.spec.inputs)
    return [_power(value, *keys, power=power)] if keys else []


def layout(facts: Facts) -> Iterator[Judgement]:
    """Wheelbase, tracks, and what they make together."""
    base, front, rear = (facts.x(key) for key in ("wheelbase", "front.track", "rear.track"))
    yield from _alone(facts, "wheelbase", "it is", (1900, 4400), "mm", MM)
    for axle, track in zip(AXLES, (front, rear), strict=True):
        key = f"{axle}.track"
        yield from _alone(facts, key, "it is", (1200, 1900), "mm", MM)
        levers = (_power(track / base, "wheelbase", power=-1.0), _power(track / base, key))
        yield from _ratio("track over wheelbase is", track / base, 0.42, 0.72, levers)
    either = [Slip(("front.track",), lambda c: c * front - rear), Slip(("rear.track",), lambda c: front - c * rear)]
    if abs(rear / base - USUAL_TRACK) > abs(front / base - USUAL_TRACK):
        either.reverse()
    yield Judgement("front less rear track is", front - rear, -75e-3, 75e-3, "mm", MM, PRACTICE, tuple(either))


def masses(facts: Facts) -> Iterator[Judgement]:
    """Masses against the size of the vehicle, the axles against each other, and the centre of gravity."""
    base, total = facts.x("wheelbase"), facts.total
    front, rear = facts.axle_mass
    area = 0.5 * (facts.x("front.track") + facts.x("rear.track")) * base
    levers = [*_mass_levers(facts, total / area), _power(total / area, "wheelbase", power=-1.0)]
    yield Judgement(
        "mass over wheelbase and track is", total / area, 310.0, 640.0, "kg/m^2", KG, PRACTICE, tuple(levers)
    )
    levers = [Slip((key,), effect) for key, effect in _share_effects(facts, front, rear)]
    yield from _ratio("share of the mass on the front wheels is", front / total, 0.42, 0.66, levers, PRACTICE, "%")
    track = 0.5 * (facts.x("front.track") + facts.x("rear.track"))
    for key, power in (("mass.centre_of_gravity_height", -1.0), ("mass.static_stability_factor", 1.0)):
        value = facts.x(key)
        if not math.isnan(value):
            factor = track / (2.0 * value) if power < 0.0 else value
            what = "static stability factor, mean track over twice the height, is"
            yield from _ratio(what, factor, 0.9, 1.5, (_power(factor, key, power=power),), ROLLOVER)
    yield from _alone(facts, "mass.centre_of_gravity_height", "it is", (480, 1050), "mm", MM)
    yield from _alone(facts, "mass.left_of_centre", "it is", (-60, 60), "mm", MM)
    for axle, name in enumerate(AXLES):
        solid = facts.solid(axle)
        key = f"{name}.unsprung_mass" if f"{name}.unsprung_mass" in facts.spec.inputs else f"{name}.unsprung_share"
        unsprung = facts.axle_mass[axle] - 2.0 * facts.sprung_corner(axle)
        value = unsprung / facts.axle_mass[axle]
        low, high = (0.1, 0.36) if solid else (0.065, 0.22)
        what = f"unsprung mass of {'a solid' if solid else 'an independent'} axle over its load is"
        yield from _ratio(what, value, low, high, (_power(value, key),), PRACTICE, "%")


def _share_effects(facts: Facts, front: float, rear: float) -> Iterator[tuple[str, Effect]]:
    inputs, total = facts.spec.inputs, front + rear
    if "mass.front_share" in inputs:
        yield "mass.front_share", lambda c: c * front / total
    if {"mass.front_axle", "mass.rear_axle"} <= set(inputs):
        yield "mass.front_axle", lambda c: c * front / (c * front + rear)
        yield "mass.rear_axle", lambda c: front / (front + c * rear)
    elif "mass.front_axle" in inputs and "mass.total" in inputs:
        yield "mass.front_axle", lambda c: c * front / total
        yield "mass.total", lambda c: front / (c * total)
    elif "mass.rear_axle" in inputs and "mass.total" in inputs:
        yield "mass.rear_axle", lambda c: 1.0 - c * rear / total
        yield "mass.total", lambda c: 1.0 - rear / (c * total)


def loads(facts: Facts) -> Iterator[Judgement]:
    """Added loads: people weigh what people weigh, and lie inside the vehicle."""
    base, half = facts.x("wheelbase"), 0.25 * (facts.x("front.track") + facts.x("rear.track"))
    for name in facts.spec.loads:
        part, mass = f"load.{name}", facts.x(f"load.{name}.mass")
        person = any(word in name.lower().split() for word in ("driver", "passenger", "person", "co-driver"))
        if person:
            yield from _alone(facts, f"{part}.mass", "a person weighs", (45, 150), "kg", KG)
            yield from _alone(facts, f"{part}.height", "a seated person's centre is at", (550, 1800), "mm", MM)
        else:
            share = mass / facts.total
            yield from _ratio("the load over the vehicle's mass is", share, 0.0, 0.6, (_power(share, f"{part}.mass"),))
            yield from _alone(facts, f"{part}.height", "its centre is at", (200, 2500), "mm", MM)
        yield from _inside(facts, part, -1.1, base + 1.6, half + 0.2)
        yield from _as_named(facts, part, name)


def _inside(facts: Facts, part: str, ahead: float, behind: float, across: float) -> Iterator[Judgement]:
    """A place within the vehicle's outline."""
    along, aside = f"{part}.behind_front_axle", f"{part}.left_of_centre"
    yield Judgement(
        "along the vehicle it lies at", facts.x(along), ahead, behind, "mm", MM, PRACTICE,
        (_power(facts.x(along), along),),
    )  # fmt: skip
    yield Judgement(
        "across the vehicle it lies at", facts.x(aside), -across, across, "mm", MM, PRACTICE,
        (_power(facts.x(aside), aside),),
    )  # fmt: skip
    place = facts.spec.inputs[along]
    number = place.value / place.unit_size
    if place.unit != "m" and not math.isclose(number, round(number)):  # as 1.3 in and 1.2 mm are, typed for metres
        yield Judgement(
            "to a fraction of its unit it lies off the front axle by", abs(place.value), NEAR_AXLE, math.inf,
            "mm", MM, PRACTICE, (_power(abs(place.value), along),),
        )  # fmt: skip


_SAYS_WHERE = (  # words in a name, and from where to where what is so called lies, in wheelbases behind the front axle
    (("front", "nose"), -math.inf, 0.5),
    (("rear", "tail", "boot", "bed"), 0.5, math.inf),
    (("step", "sill", "rocker"), 0.0, 1.0),
    (("driver",), 0.1, 0.75),
)


def _as_named(facts: Facts, part: str, name: str) -> Iterator[Judgement]:
    """A place against what its name says of it."""
    words, base = set(re.findall(r"[a-z]+", name.lower())), facts.x("wheelbase")
    along, aside = f"{part}.behind_front_axle", f"{part}.left_of_centre"
    for said, ahead, behind in _SAYS_WHERE:
        for word in sorted(words & set(said)):
            x = facts.x(along)
            what = f'for a name with "{word}" it lies behind the front axle by'
            yield Judgement(what, x, ahead * base, behind * base, "mm", MM, PRACTICE, (_power(x, along),))
    y = facts.x(aside)
    if ("left" in words) != ("right" in words):
        low, high = (0.0, math.inf) if "left" in words else (-math.inf, 0.0)
        what = f'for a name with "{"left" if "left" in words else "right"}" it lies left of the middle by'
        yield Judgement(what, y, low, high, "mm", MM, PRACTICE, (_power(y, aside),))
    if "driver" in words:
        yield Judgement(
            "a driver sits aside of the middle by", abs(y), 0.15, 0.65, "mm", MM, PRACTICE, (_power(abs(y), aside),)
        )


def bodywork(facts: Facts) -> Iterator[Judgement]:
    """Points of the body and of the arches."""
    base, half = facts.x("wheelbase"), 0.25 * (facts.x("front.track") + facts.x("rear.track"))
    for name in facts.spec.body_points:
        part = f"body_point.{name}"
        yield from _inside(facts, part, -1.4, base + 1.9, half + 0.25)
        yield from _as_named(facts, part, name)
        yield from _alone(facts, f"{part}.height", "it stands over the ground by", (120, 1200), "mm", MM)
    for axle, name in enumerate(AXLES):
        yield from _alone(facts, f"{name}.arch_gap", "it is", (40, 350), "mm", MM)
        yield from _alone(facts, f"{name}.arch_gap_at_full_lock", "it is", (25, 350), "mm", MM)
        yield from _alone(facts, f"{name}.clearance_kept", "it is", (0, 45), "mm", MM)
        yield from _alone(facts, f"{name}.lock_angle", "it is", (24, 48), "deg", DEGREE, MEMORY)
        yield from _alone(facts, f"{name}.steering_offset", "it is", (-30, 140), "mm", MM)
        radius = 0.5 * facts.x(f"{facts.tyre_part(axle)}.diameter")
        for mark in facts.spec.axles[axle].wheelhouse:
            key = f"{name}.wheelhouse.{mark.name}.distance"
            value = facts.x(key) / radius
            what = "its distance from the hub over the tyre's radius is"
            yield from _ratio(what, value, 0.98, 1.9, (_power(value, key),))
            yield from _alone(
                facts, f"{name}.wheelhouse.{mark.name}.inboard", "it lies inboard by", (-250, 350), "mm", MM
            )


def tyres(facts: Facts) -> Iterator[Judgement]:
    """Tyres against their own size, the vehicle and their load."""
    for part in dict.fromkeys(facts.tyre_part(axle) for axle in range(2)):
        size, diameter = facts.size(part), facts.x(f"{part}.diameter")
        source = f"{part}.size" if not facts.given(f"{part}.diameter") else f"{part}.diameter"
        value = diameter / facts.x("wheelbase")
        levers = (_power(value, source), _power(value, "wheelbase", power=-1.0))
        yield from _ratio("tyre diameter over wheelbase is", value, 0.19, 0.42, levers)
        yield Judgement("its diameter is", diameter, 0.56, 1.08, "mm", MM, PRACTICE, (_power(diameter, source),))
        rim = size.rim_diameter if size is not None else facts.x(f"{part}.rim_diameter")
        if not math.isnan(rim):
            wall = 0.5 * (diameter - rim)
            levers = (_power(wall, source), _power(wall, f"{part}.rim_diameter"))
            yield Judgement("height of the sidewall is", wall, 0.085, 0.29, "mm", MM, PRACTICE, levers)
        if size is not None:
            low, high = (0.965, 1.035) if size.form == "metric" else (0.95, 1.02)
            value = diameter / size.diameter
            yield from _ratio(
                f"diameter over that of {size.code} is", value, low, high,
                (_power(value, f"{part}.diameter"), _power(value, f"{part}.size")),
                "makers' tables stay within 1 % of a metric size, seen; flotation sizes run 1-2 % under, not checked",
            )  # fmt: skip
            value = facts.x(f"{part}.width") / size.width
            yield from _ratio(f"width over that of {size.code} is", value, 0.9, 1.1, (_power(value, f"{part}.width"),))
            wide = size.width
            yield Judgement("its width is", wide, 0.16, 0.40, "mm", MM, PRACTICE, (_power(wide, f"{part}.size"),))
        yield from _alone(facts, f"{part}.width", "it is", (155, 400), "mm", MM)
        yield from _alone(facts, f"{part}.rim_diameter", "it is", (13, 23), "in", INCH)
        value = facts.x(f"{part}.section_radius") / facts.x(f"{part}.width")
        yield from _ratio("section radius over width is", value, 0.25, 0.8, (_power(value, f"{part}.section_radius"),))
        value = facts.x(f"{part}.heights_measured_on") / diameter
        levers = (_power(value, f"{part}.heights_measured_on"), _power(value, source, power=-1.0))
        yield from _ratio("diameter heights were measured on over that fitted is", value, 0.85, 1.15, levers)
    for part in ("tyre", "front.tyre", "rear.tyre"):
        for name in ("pressure", "heights_measured_at"):
            yield from _alone(facts, f"{part}.{name}", "it is", (80, 480), "kPa", KPA)
        yield from _alone(facts, f"{part}.stiffness_factor", "it is", (0.6, 1.6), "", 1.0)
        yield from _alone(facts, f"{part}.vertical_stiffness", "it is", (110, 600), "N/mm", PER_MM)
        yield from _alone(facts, f"{part}.mass_change", "it is", (-20, 35), "kg", KG)
        yield from _alone(facts, f"{part}.shoulder_over_width", "it is", (0.05, 0.45), "", 1.0)
    for axle, name in enumerate(AXLES):
        part = facts.tyre_part(axle)
        stiffness = float(facts.built.tyre_stiffness[0, axle])
        sunk = 0.5 * facts.axle_mass[axle] * STANDARD_GRAVITY / stiffness
        keys = [f"{name}.tyre.vertical_stiffness", "tyre.vertical_stiffness", f"{name}.tyre.pressure", "tyre.pressure"]
        under = [_power(sunk, key, power=-1.0) for key in keys if key in facts.spec.inputs]
        what = f"under its load the {name} tyre sinks by"
        yield Judgement(what, sunk, 0.009, 0.07, "mm", MM, PRACTICE, (*under, *_mass_levers(facts, sunk)))


def guidance(facts: Facts) -> Iterator[Judgement]:
    """Swing arms, roll centres, ride height, frame."""
    for axle, name in enumerate(AXLES):
        track = facts.x(f"{name}.track")
        if not facts.solid(axle):
            key = f"{name}.swing_arm_length"
            value = facts.x(key) / track if key in facts.spec.inputs else facts.x(f"{name}.swing_arm_over_track")
            levers = (_power(value, key), _power(value, f"{name}.swing_arm_over_track"))
            yield from _ratio("swing arm over track is", value, 0.55, 4.5, levers)
        yield from _alone(facts, f"{name}.pivot_above_hub", "it is", (-200, 200), "mm", MM, MEMORY)
        yield from _alone(facts, f"{name}.roll_centre_above_hub", "it is", (-150, 300), "mm", MM, MEMORY)
        yield from _alone(facts, f"{name}.ride_height_change", "it is", (-120, 150), "mm", MM)
    key = "frame.torsional_rate"
    if key in facts.spec.inputs:
        usual = TORSIONAL_RATE[facts.spec.construction]
        value, size = facts.x(key), usual.unit_size
        yield Judgement(
            f"of a {facts.spec.construction} it is", value, 0.4 * usual.low * size, 2.0 * usual.high * size,
            usual.unit, size, f"order of magnitude, {MEMORY}", (_power(value, key),),
        )  # fmt: skip


def travel(facts: Facts) -> Iterator[Judgement]:
    """Bump and droop, and the axles against each other."""
    totals = []
    for axle, name in enumerate(AXLES):
        part = f"{name}.travel"
        yield from _alone(facts, f"{part}.bump", "it is", (35, 200), "mm", MM)
        yield from _alone(facts, f"{part}.droop", "it is", (40, 260), "mm", MM)
        yield from _alone(facts, f"{part}.total", "it is", (115, 420), "mm", MM)
        yield from _alone(facts, f"{part}.bump_share", "it is", (28, 70), "%", PERCENT)
        change = facts.x(f"{name}.ride_height_change")
        change = 0.0 if math.isnan(change) else change
        bump = float(facts.built.bump_gap[0, axle]) - change
        droop = float(facts.built.droop_gap[0, axle]) + change
        given = facts.x(f"{part}.bump")
        bump = bump if math.isnan(given) else given
        if {f"{part}.bump", f"{part}.droop"} <= set(facts.spec.inputs):
            levers = (_power(bump / droop, f"{part}.bump"), _power(bump / droop, f"{part}.droop", power=-1.0))
            yield from _ratio("bump over droop travel is", bump / droop, 0.35, 2.2, levers)
        total = facts.x(f"{part}.total")
        totals.append(bump + droop if math.isnan(total) else total)
    front, rear = totals
    either = [
        _power(front / rear, f"{name}.travel.{key}", power=power)
        for name, power in zip(AXLES, (1.0, -1.0), strict=True)
        for key in ("total", "bump", "droop")
    ]
    yield from _ratio("front over rear travel is", front / rear, 0.55, 1.6, either)


def springs(facts: Facts) -> Iterator[Judgement]:
    """Springs against the mass they carry, motion ratios, spacings, friction."""
    frequencies = []
    spring_keys: list[list[Slip]] = []
    for axle, name in enumerate(AXLES):
        part, track = f"{name}.spring", facts.x(f"{name}.track")
        rate, mass = float(facts.built.spring_rate[0, axle]), facts.sprung_corner(axle)
        frequency = math.sqrt(rate / mass) / (2.0 * math.pi)
        keys = {
            f"{part}.spring_travel_over_wheel_travel": 1.0,
            f"{part}.wheel_travel_over_spring_travel": -1.0,
            f"{part}.wheel_rate": 0.5,
            f"{part}.rate": 0.5,
            f"{part}.ride_frequency": 1.0,
        }
        levers = [_power(frequency, key, power=p) for key, p in keys.items() if key in facts.spec.inputs]
        ratio = [one for one in levers if "travel" in one.keys[0]]
        inverse = any(not 0.3 <= facts.x(one.keys[0]) <= 1.05 for one in ratio if "spring_travel" in one.keys[0])
        levers = levers if inverse or not ratio else [*levers[len(ratio) :], *ratio]
        spring_keys.append(levers)
        frequencies.append(frequency)
        known = f"leaf springs 1.28 to 2.1 Hz, derived from second-hand data; the rest {PRACTICE}"
        yield Judgement(
            f"ride frequency over the {name} axle is", frequency, 0.95, 2.4, "Hz", HZ, known,
            (*levers, *_mass_levers(facts, frequency, -0.5)),
        )  # fmt: skip
        low, high = (0.75, 1.15) if facts.solid(axle) else (0.35, 1.08)
        key = f"{part}.spring_travel_over_wheel_travel"
        yield from _ratio("it is", facts.x(key), low, high, (_power(facts.x(key), key),))
        key = f"{part}.wheel_travel_over_spring_travel"
        yield from _ratio("it is", facts.x(key), 1.0 / high, 1.0 / low, (_power(facts.x(key), key),))
        if facts.solid(axle):
            for what, stem, low, high in (
                ("springs", part, 0.42, 0.85),
                ("bump stops", f"{name}.bump_stop", 0.38, 0.9),
                ("dampers", f"{name}.droop_stop", 0.4, 0.95),
            ):
                yield from _spacing(facts, f"{stem}.spacing", track, f"distance between the {what}", low, high)
        leaf = facts.spec.axles[axle].spring_kind == "leaf"
        if facts.x(f"{name}.suspension_friction") > 0.0:  # none at all is a choice
            limits = (100, 1500) if leaf else (15, 500)
            yield from _alone(facts, f"{name}.suspension_friction", "it is", limits, "N", 1.0, MEMORY)
        yield from _alone(facts, f"{name}.bump_stop.rate", "it is", (14, 320), "N/mm", PER_MM, MEMORY)
        yield from _alone(facts, f"{name}.bump_stop.cubic_rate", "it is", (0, 1.0), "N/mm^3", 1e9, MEMORY)
        yield from _alone(facts, f"{name}.droop_stop.rate", "it is", (50, 2500), "N/mm", PER_MM, MEMORY)
    front, rear = frequencies
    levers = [Slip(one.keys, _over(one, rear)) for one in spring_keys[0]] + [
        Slip(one.keys, _inverse(one, front)) for one in spring_keys[1]
    ]
    yield from _ratio("front over rear ride frequency is", front / rear, 0.58, 1.4, levers)


def _over(lever: Slip, other: float) -> Effect:
    return lambda factor: lever.effect(factor) / other


def _inverse(lever: Slip, other: float) -> Effect:
    return lambda factor: other / lever.effect(factor)


def _spacing(facts: Facts, key: str, track: float, what: str, low: float, high: float) -> Iterator[Judgement]:
    """A distance across a solid axle, as a share of its track."""
    share = f"{key}_over_track"
    value = facts.x(key) / track if key in facts.spec.inputs else facts.x(share)
    levers = (_power(value, key), _power(value, share), _power(value, f"{key.partition('.')[0]}.track", power=-1.0))
    yield from _ratio(f"{what} over the track is", value, low, high, levers, f"springs {MEMORY}; {PRACTICE}", "%")


def bars(facts: Facts) -> Iterator[Judgement]:
    """Anti-roll bars against the springs, and their own shape."""
    built = facts.built
    for axle, name in enumerate(AXLES):
        if not facts.spec.axles[axle].bar_fitted:
            continue
        part, track = f"{name}.anti_roll_bar", facts.x(f"{name}.track")
        half = float(built.spring_half_base[0, axle])
        of_springs = 2.0 * float(built.spring_rate[0, axle]) * half**2
        value = float(built.bar_rate[0, axle]) * track**2 / of_springs
        keys = {
            "roll_stiffness": 1.0,
            "wheel_rate": 1.0,
            "end_rate": 1.0,
            "over_spring_roll_stiffness": 1.0,
            "diameter": 4.0,
            "end_travel_over_wheel_travel": 2.0,
            "wheel_travel_over_end_travel": -2.0,
            "end_spacing": 2.0,
            "arm_reach": -2.0,
        }
        levers = [_power(value, f"{part}.{key}", power=p) for key, p in keys.items()]
        high = 7.0 if facts.solid(axle) else 3.6
        known = f"bars as built 14 to 550 % of their springs, sizes second-hand or not checked; {PRACTICE}"
        yield from _ratio("bar over springs in roll is", value, 0.07, high, levers, known, "%")
        yield from _alone(facts, f"{part}.diameter", "it is", (13, 46), "mm", MM)
        yield from _alone(facts, f"{part}.arm_length", "it is", (120, 480), "mm", MM)
        for key, longer, low, most in (
            ("arm_reach", "arm_length", 0.55, 1.0),
            ("inner_diameter", "diameter", 0.0, 0.88),
        ):
            value = facts.x(f"{part}.{key}") / facts.x(f"{part}.{longer}")
            levers = [_power(value, f"{part}.{key}"), _power(value, f"{part}.{longer}", power=-1.0)]
            yield from _ratio(f"{key} over {longer} is", value, low, most, levers)
        value = facts.x(f"{part}.centre_length") / track
        levers = [_power(value, f"{part}.centre_length")]
        yield from _ratio("centre_length over track is", value, 0.38, 0.85, levers)
        yield from _alone(facts, f"{part}.end_rate", "it is", (4, 160), "N/mm", PER_MM)
        key = f"{part}.end_travel_over_wheel_travel"
        yield from _ratio("it is", facts.x(key), 0.28, 1.05, (_power(facts.x(key), key),))
        key = f"{part}.wheel_travel_over_end_travel"
        yield from _ratio("it is", facts.x(key), 0.95, 3.6, (_power(facts.x(key), key),))
        yield from _alone(facts, f"{part}.shear_modulus", "steel has", (74, 86), "GPa", 1e9, MEMORY)
        yield from _alone(facts, f"{part}.elastic_modulus", "steel has", (190, 216), "GPa", 1e9, MEMORY)
        yield from _spacing(facts, f"{part}.end_spacing", track, "distance between the bar's ends", 0.42, 0.9)
    key = "cross_link.roll_stiffness"
    yield from _alone(facts, key, "it is", (150, 4000), "N m/deg", PER_DEGREE)
    yield from _alone(facts, "cross_link.wheel_rate", "it is", (0.8, 25), "N/mm", PER_MM)


def tolerances(facts: Facts) -> Iterator[Judgement]:
    """How well a value is said to be known: a length to a tenth, a rate to its half."""
    tight = {"wheelbase": 0.04, "track": 0.04, "diameter": 0.05}
    for key, estimate in facts.spec.inputs.items():
        if not facts.given(key) or estimate.distribution == "exact" or estimate.value == 0.0:
            continue
        half, last = 0.5 * (estimate.high - estimate.low), key.rpartition(".")[2]
        entry = entry_of(key)
        if entry is not None and entry.low < 0.0:
            if entry.dimension == LENGTH:
                fixed = Slip((key,), lambda _: math.nan)
                yield Judgement("it is known within ±", half, 0.0, 0.25, "mm", MM, PRACTICE, (fixed,))
            continue
        most = tight.get(last, 0.15 if key.startswith("mass.") else 0.7)
        share = half / abs(estimate.value)
        fixed = Slip((key,), lambda _: math.nan)
        yield from _ratio("it is known within ±", share, 0.0, most, (fixed,), PRACTICE, "%")


JUDGES: tuple[Callable[[Facts], Iterator[Judgement]], ...] = (
    layout,
    masses,
    loads,
    bodywork,
    tyres,
    guidance,
    travel,
    springs,
    bars,
    tolerances,
)


def doubts(spec: VehicleSpec) -> tuple[Doubt, ...]:
    """What of a vehicle file should be asked about, in the order of the file; nothing for a usual vehicle.

    Only what rests on a value of the file is asked about. Of the relations in which a value is unusual the one that
    explains it by the commonest slip is told.

    Args:
        spec: the resolved vehicle; only its nominal values and the tolerances are judged.
    """
    facts = Facts(spec)
    odd = [one for judge in JUDGES for one in judge(facts) if not one.usual]
    found: dict[str, tuple[int, Doubt]] = {}
    # What is odd by itself first: it explains what it makes together with others.
    for judgement in sorted(odd, key=lambda one: len(one.levers) > 1):
        several = len(judgement.levers) > 1
        if several and any(key in found for lever in judgement.levers for key in lever.keys):
            continue
        one = _doubt(facts, judgement)
        if one is not None and (one[1].key not in found or one[0] < found[one[1].key][0]):
            found[one[1].key] = one
    return tuple(sorted((one for _, one in found.values()), key=lambda one: (one.line or 0, one.key)))


def _doubt(facts: Facts, judgement: Judgement) -> tuple[int, Doubt] | None:
    """How far down the list of slips its explanation stands, and the question, at the key that explains it best.

    None where the file gives none of the judgement's keys.
    """
    levers = [lever for lever in judgement.levers if any(facts.given(key) for key in lever.keys)]
    if not levers:
        return None
    explained = [(*_meant(facts, judgement, lever), lever) for lever in levers]
    rank, meant, lever = next((one for one in explained if one[1]), explained[0])
    key = next(key for key in lever.keys if facts.given(key))
    path = facts.path(key)
    place, line = facts.spec.document.place(path)
    estimate = facts.spec.inputs.get(key)
    others = [one for other in levers for one in other.keys if one != key and facts.given(one)]
    what = judgement.what + (f" (with {', '.join(dict.fromkeys(others))})" if others else "")
    doubt = Doubt(
        place=place,
        line=line,
        key=key,
        read=as_read(facts.spec.document.at(path)) if estimate is None else estimate.text,
        what=what,
        value=shown(judgement.value, judgement.unit, judgement.size, 4),
        usual=_range(judgement),
        known=judgement.known,
        meant=meant,
    )
    return rank, doubt


def _range(judgement: Judgement) -> str:
    low = shown(judgement.low, judgement.unit, judgement.size, 4)
    high = shown(judgement.high, judgement.unit, judgement.size, 4)
    if math.isinf(judgement.low):
        return f"{high} or less"
    return f"{low} or more" if math.isinf(judgement.high) else f"{low.split(' ', maxsplit=1)[0]} to {high}"


def _meant(facts: Facts, judgement: Judgement, lever: Slip) -> tuple[int, str]:
    """What was probably meant, the first slip that makes the value a usual one, and its place; empty if none does."""
    estimates = [facts.spec.inputs.get(key) for key in lever.keys]
    known = [one for one in estimates if one is not None]
    if not known or len(known) < len(estimates):
        return NO_SLIP, ""
    slips = (_slips(key, one) for key, one in zip(lever.keys, known, strict=True))
    for rank, texts in enumerate(zip(*slips, strict=False)):
        factor = texts[0][1]
        try:
            value = lever.effect(factor)
        except (ZeroDivisionError, OverflowError):
            continue
        if judgement.low <= value <= judgement.high:
            said = " and ".join(text for text, _ in texts)
            return rank, f"perhaps {said}"
    return NO_SLIP, ""


def _slips(key: str, estimate: Estimate) -> list[tuple[str, float]]:
    """What might have been meant by a value and its ratio to it: another unit, the inverse, a place of the point."""
    number = estimate.value / estimate.unit_size
    dimension = dimension_of(key)
    found: list[tuple[str, float]] = []
    if dimension is None or number == 0.0:
        return found
    if dimension.powers == RATIO.powers:
        plain = estimate.value
        found += [(f"{1.0 / plain:.3g}, the other way round", 1.0 / plain**2)]
        found += [(f"{number:.5g} %", 0.01 / estimate.unit_size)] if estimate.unit != "%" else []
    else:
        for unit in _USUAL_UNITS.get(dimension.si_unit, dimension.units):
            if unit != estimate.unit:
                found.append((f"{number:.5g} {unit}", unit_size(unit, dimension) / estimate.unit_size))
    unit = f" {estimate.unit}" if estimate.unit else ""
    found += [(f"{number * factor:.5g}{unit}", factor) for factor in (10.0, 0.1, -1.0, 2.0, 0.5, 100.0, 0.01)]
    return found


_USUAL_UNITS = {  # that are taken for each other, by the SI unit
    "m": ("mm", "in", "m", "cm"),
    "N/m": ("N/mm", "lb/in"),
    "N m/rad": ("N m/deg", "kN m/deg", "lb ft/deg", "N m/rad"),
}
