"""The table of keys: each key of the vehicle file stands here once, with all that is true of it.

Validation, JSON Schema, template, defaults, ties, signs of samples, the forms that give way to each other and the words
of outputs are made from these entries. The models refuse what can be judged key by key; what takes several keys
(consistency, which form stands) is judged in `resolve`.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from articulate.shape.kinds import KindName
from articulate.spec import defaults
from articulate.spec.entries import Clock, Quantity, RateOrRigid, SizeCode, SizeOrDiameter, YesNoUnknown
from articulate.spec.quantities import (
    ANGLE,
    CUBIC_RATE,
    FORCE,
    FREQUENCY,
    LENGTH,
    LINEAR_RATE,
    MASS,
    MODULUS,
    PRESSURE,
    RATIO,
    ROLL_GRADIENT,
    ROLL_RATE,
    Estimate,
)
from articulate.spec.tyres import TyreSize

Forms = tuple[tuple[str, ...], ...]  # of one thing, alternatives; each by the keys that say it, its own first
Maybe = Estimate | None


class Table(BaseModel):
    """A table of the file: no key that is not named here, no guessing of types."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, arbitrary_types_allowed=True, defer_build=True)

    words: ClassVar[str] = ""
    forms: ClassVar[tuple[Forms, ...]] = ()

    @classmethod
    def empty(cls) -> Self:
        """A table that is not in the file: nothing to check, and a check of its own takes long to make."""
        return cls.model_construct()


def no_tables() -> list[Any]:
    """None of the tables of which there may be several (pydantic would read the signature of `list` with a parser)."""
    return []


@dataclass(frozen=True)
class Only:
    """Annotation of a key that stands on axles of some suspensions only."""

    suspensions: tuple[str, ...]


SOLID, TWIST_BEAM, NO_BEAM = Only(("solid",)), Only(("twist beam",)), Only(("independent", "solid"))
ARM, INDEPENDENT = Only(("independent", "twist beam")), Only(("independent",))


def _or_table(short: dict[str, Any]) -> Callable[[dict[str, Any]], None]:
    """Let the JSON Schema allow a short form beside the table."""

    def allow(schema: dict[str, Any]) -> None:
        inner = {key: schema.pop(key) for key in list(schema) if key in ("type", "properties", "additionalProperties")}
        schema["anyOf"] = [short, inner]

    return allow


def long_form(key: str, entry: object) -> object:
    """The table that a short form stands for: a bar that is there, or not, or perhaps; a cross link and no more."""
    if key == "anti_roll_bar" and (isinstance(entry, bool) or entry == "unknown"):
        return {"fitted": entry}
    if key == "cross_link" and isinstance(entry, bool):
        return {} if entry else None
    return entry


def _name(example: str) -> Any:
    return Field(min_length=1, max_length=60, description="what it is; each its own", examples=[example])


_ALONG = Quantity(LENGTH, -3.0, 9.0, "1.9 m", "of its centre of gravity, or of the point; negative: ahead")
_ACROSS = Quantity(LENGTH, -2.0, 2.0, "-350 mm", "left of the middle; negative: right")
_HEIGHT = Quantity(LENGTH, 0.0, 4.0, "0.9 m", "above the ground, vehicle at ride height")
_SPACING: Forms = (("spacing",), ("spacing_over_track",))


def _spacing(example: str, what: str) -> Quantity:
    return Quantity(LENGTH, 0.2, 2.2, example, f"distance between the left and the right {what}")


def _spacing_share(example: str, assumed: Any) -> Quantity:
    return Quantity(RATIO, 0.15, 1.1, example, "the same as a share of the track", assumed=assumed)


def _motion_ratio(text: str, assumed: Any) -> Quantity:
    return Quantity(RATIO, 0.15, 2.0, "0.62", text, assumed=assumed)


# fmt: off
# A table, laid out by hand: a key, its kind, range [SI] and example, then text, words and what is assumed.


class Mass(Table):
    """Masses as weighed, without the added loads; any two of total, front_axle, rear_axle, front_share."""

    forms = ((("centre_of_gravity_height",), ("static_stability_factor",)),)

    front_axle: Annotated[Maybe, Quantity(MASS, 50.0, 6000.0, "1110 kg", "what a scale reads under the front wheels",
        "mass on the front axle")] = None
    rear_axle: Annotated[Maybe, Quantity(MASS, 50.0, 6000.0, "1040 kg", "what a scale reads under the rear wheels",
        "mass on the rear axle")] = None
    total: Annotated[Maybe, Quantity(MASS, 300.0, 9000.0, "2150 kg",
        "the whole vehicle; beside both axle loads it is checked against them", "total mass")] = None
    front_share: Annotated[Maybe, Quantity(RATIO, 0.2, 0.8, "52 %",
        "share of the total mass on the front wheels, instead of an axle load", "share of the mass on the front axle",
        defaults.FRONT_SHARE)] = None
    centre_of_gravity_height: Annotated[Maybe, Quantity(LENGTH, 0.2, 2.0, "710 mm",
        "of the whole vehicle, above the ground", "height of the centre of gravity")] = None
    static_stability_factor: Annotated[Maybe, Quantity(RATIO, 0.5, 2.0, "1.12",
        "mean track over twice the centre of gravity height, instead of that height",
        assumed=defaults.STATIC_STABILITY_FACTOR)] = None
    left_of_centre: Annotated[Maybe, Quantity(LENGTH, -0.3, 0.3, "12 mm",
        "how far the centre of gravity sits left of the middle; negative: right",
        "centre of gravity to the left of the middle", defaults.LEFT_OF_CENTRE)] = None


class Load(Table):
    """Someone or something added to the weighed vehicle."""

    name: str = _name("driver")
    mass: Annotated[Estimate, Quantity(MASS, 0.0, 3000.0, "85 kg", "its mass")]
    behind_front_axle: Annotated[Estimate, _ALONG]
    left_of_centre: Annotated[Estimate, _ACROSS]
    height: Annotated[Estimate, _HEIGHT]


class BodyPointTable(Table):
    """A point of the bodywork that may meet the ramp."""

    name: str = _name("front bumper, lower left corner")
    behind_front_axle: Annotated[Estimate, _ALONG]
    left_of_centre: Annotated[Estimate, _ACROSS]
    height: Annotated[Estimate, _HEIGHT]


class WheelhousePointTable(Table):
    """A point of arch, liner or bodywork that the tyre may meet, measured at the wheel at ride height."""

    name: str = _name("liner, rear seam")
    clock: Annotated[Estimate, Clock(ANGLE, -math.pi, math.pi, "10:30",
        "at the wheel, on either side: 12 at the top, 3 forward, 9 rearward")]
    distance: Annotated[Estimate, Quantity(LENGTH, 0.1, 1.2, "470 mm",
        "from the hub centre to the bodywork, square to the axle")]
    inboard: Annotated[Estimate, Quantity(LENGTH, -0.5, 0.8, "110 mm",
        "depth inboard of the tyre's centre plane; negative: outboard")]
    wheel: Literal["straight", "turned in", "turned out"] = Field(default="straight", examples=["straight"],
        description='how it stood: "straight", or at full lock "turned in" (front edge in), "turned out"')


class Tyre(Table):
    """The tyres; [front.tyre] and [rear.tyre] take the same keys for one axle."""

    words = "tyre"

    size: Annotated[TyreSize | None, SizeCode()] = Field(default=None,
        description='code from the sidewall, or "35x12.50R17", or "7.50-16" of full section')
    diameter: Annotated[Maybe, Quantity(LENGTH, 0.45, 1.5, "803 mm",
        "unloaded, as measured; goes before the nominal one of the size")] = None
    width: Annotated[Maybe, Quantity(LENGTH, 0.1, 0.6, "272 mm",
        "section width as measured; goes before the nominal one of the size")] = None
    rim_diameter: Annotated[Maybe, Quantity(LENGTH, 0.25, 0.7, "17 in", "if there is no size code to say it",
        assumed=defaults.RIM_DIAMETER)] = None
    section_radius: Annotated[Maybe, Quantity(LENGTH, 0.01, 0.3, "136 mm",
        "radius of the tread across the tyre; half the width if not given")] = None
    pressure: Annotated[Maybe, Quantity(PRESSURE, 3e4, 8e5, "36 psi", "inflation pressure at the test",
        assumed=defaults.PRESSURE)] = None
    vertical_stiffness: Annotated[Maybe, Quantity(LINEAR_RATE, 4e4, 1.5e6, "270 N/mm",
        "load over deflection of one tyre at the test, not an estimate")] = None
    stiffness_factor: Annotated[Maybe, Quantity(RATIO, 0.3, 3.0, "1.0",
        "factor on the stiffness estimated from size and pressure", assumed={True: defaults.STIFFNESS_FACTOR,
        False: defaults.STIFFNESS_FACTOR_CROSS_PLY}, tie=0.8)] = None
    heights_measured_on: Annotated[TyreSize | Estimate | None, SizeOrDiameter(LENGTH, 0.45, 1.5, "265/70R17",
        "tyres (or their diameter) on which heights and gaps were measured, if others")] = None
    heights_measured_at: Annotated[Maybe, Quantity(PRESSURE, 3e4, 8e5, "36 psi",
        "tyre pressure at which heights were measured, if another")] = None
    mass_change: Annotated[Maybe, Quantity(MASS, -60.0, 100.0, "5 kg",
        "how much heavier one tyre is than those the vehicle was weighed on")] = None
    shoulder_over_width: Annotated[Maybe, Quantity(RATIO, 0.02, 0.5, "0.2",
        "radius between tread and sidewall over the width; matters in the wheelhouse",
        assumed=defaults.SHOULDER_OVER_WIDTH)] = None


class Travel(Table):
    """Wheel travel from ride height, straight up and down; two of bump, droop and total, or a bump share.

    Nothing at all where it is not known: it is then assumed by the kind of axle.
    """

    counted: Literal["to full bump", "to first touch"] | None = Field(default=None,
        description='by tape "to first touch" (so is a bump), in a brochure "to full bump" (so is a total)')
    bump: Annotated[Maybe, Quantity(LENGTH, 0.0, 0.6, "90 mm",
        "up, until the stop is touched, or pressed together if counted to full bump", "bump travel")] = None
    droop: Annotated[Maybe, Quantity(LENGTH, 0.0, 0.6, "110 mm", "down, until the damper or a strap ends it",
        "droop travel")] = None
    total: Annotated[Maybe, Quantity(LENGTH, 0.01, 1.0, "200 mm", "bump and droop together", "wheel travel in all",
        defaults.TRAVEL_TOTAL)] = None
    bump_share: Annotated[Maybe, Quantity(RATIO, 0.05, 0.95, "45 %", "share of the total that is bump",
        "share of bump in the wheel travel", defaults.BUMP_SHARE)] = None


class Spring(Table):
    """The springs of one axle; one of wheel_rate, rate with a motion ratio, ride_frequency."""

    words = "spring"
    forms = (
        (
            ("wheel_rate",),
            ("rate", "spring_travel_over_wheel_travel"),
            ("rate", "wheel_travel_over_spring_travel"),
            ("ride_frequency",),
        ),
        (("wheel_travel_over_spring_travel",), ("spring_travel_over_wheel_travel",)),
        _SPACING,
    )

    kind: Literal["coil", "leaf", "torsion bar", "air"] | None = Field(default=None,
        description='"coil", "leaf", "torsion bar" or "air"')
    seat: Literal["loose", "held"] | None = Field(default=None,
        description='"loose" if it can leave its seat and cannot pull, otherwise "held"')
    raised_by: Annotated[Maybe, Quantity(LENGTH, 0.0, 0.3, "50 mm",
        "air: how much higher the body stands here at the raised setting", assumed=defaults.AIR_RAISED_BY)] = None
    lowered_by: Annotated[Maybe, Quantity(LENGTH, 0.0, 0.3, "40 mm",
        "air: how much lower the body stands here at the lowered setting", assumed=defaults.AIR_LOWERED_BY)] = None
    setting_rate_factor: Annotated[Maybe, Quantity(RATIO, 0.3, 3.0, "0.85",
        "air: rate at the raised or lowered setting over that at the normal one",
        assumed=defaults.AIR_RATE_FACTOR)] = None
    linked: bool = Field(default=False, examples=[True],
        description="air: left and right share their air, so that the springs hold nothing against roll")
    rate: Annotated[Maybe, Quantity(LINEAR_RATE, 3e3, 2e6, "78 N/mm",
        "of one spring on its own, together with a motion ratio")] = None
    spring_travel_over_wheel_travel: Annotated[Maybe, _motion_ratio("motion ratio, this way round",
        defaults.SPRING_RATIO)] = None
    wheel_travel_over_spring_travel: Annotated[Maybe, Quantity(RATIO, 0.5, 7.0, "1.61",
        "motion ratio, the other way round")] = None
    wheel_rate: Annotated[Maybe, Quantity(LINEAR_RATE, 3e3, 5e5, "30 N/mm",
        "load over travel at one wheel, both moving together, bar disconnected")] = None
    ride_frequency: Annotated[Maybe, Quantity(FREQUENCY, 0.5, 4.0, "1.3 Hz",
        "bounce over this axle on the springs alone; with its tyres some 5 % lower", assumed=defaults.RIDE_FREQUENCY,
        tie=0.5)] = None
    rises_at: Annotated[Maybe, Quantity(LENGTH, 0.0, 0.5, "40 mm",
        "progressive: compression from ride height where the rate rises, at the wheel or a solid axle's spring",
        array="spring_rise_at")] = None
    risen_over_rate: Annotated[Maybe, Quantity(RATIO, 1.0, 10.0, "1.5",
        "progressive: rate beyond that compression over the rate at ride height", array="spring_rate_factor")] = None
    spacing: Annotated[Maybe, _spacing("960 mm", "spring"), SOLID] = None
    spacing_over_track: Annotated[Maybe, _spacing_share("62 %", defaults.SPRING_SPACING), SOLID] = None


class BumpStop(Table):
    """The bump stops: force = rate x d + cubic_rate x d^3."""

    words = "bump stop"
    forms = (_SPACING,)

    rate: Annotated[Maybe, Quantity(LINEAR_RATE, 1e3, 5e6, "60 N/mm",
        "at first touch, at the wheel (independent) or at the stop (solid)", assumed=defaults.BUMP_RATE,
        tie=0.5)] = None
    cubic_rate: Annotated[Maybe, Quantity(CUBIC_RATE, 0.0, 1e11, "0.1 N/mm^3",
        "how it hardens with the third power of its compression", assumed=defaults.BUMP_RATE_CUBIC, tie=0.5)] = None
    full_bump_load: Annotated[Maybe, Quantity(RATIO, 1.0, 6.0, "2.5",
        "on each stop in full bump, over the sprung load of its side at rest", assumed=defaults.FULL_BUMP_LOAD)] = None
    spacer: Literal["as fitted", "to keep clear"] = Field(default="as fitted", examples=["to keep clear"],
        description='"as fitted": travel stands; or "to keep clear": spacers keep the tyre off the arch')
    spacing: Annotated[Maybe, _spacing("940 mm", "bump stop"), SOLID] = None
    spacing_over_track: Annotated[Maybe, _spacing_share("60 %", defaults.BUMP_SPACING), SOLID] = None


class DroopStop(Table):
    """What ends the droop, normally the dampers."""

    words = "droop stop"
    forms = (_SPACING,)

    rate: Annotated[Maybe, Quantity(LINEAR_RATE, 1e3, 5e6, "250 N/mm",
        "of the end stop, at the wheel (independent) or at the damper (solid)", assumed=defaults.DROOP_RATE, tie=0.5,
        array="droop_rate")] = None
    spacing: Annotated[Maybe, _spacing("1010 mm", "damper"), SOLID] = None
    spacing_over_track: Annotated[Maybe, _spacing_share("64 %", defaults.DROOP_SPACING), SOLID] = None


_BAR_ENDS = (
    "end_spacing",
    "end_spacing_over_track",
    "wheel_travel_over_end_travel",
    "end_travel_over_wheel_travel",
)
_BAR_SHAPE = ("inner_diameter", "arm_length", "arm_reach", "centre_length", "shear_modulus", "elastic_modulus")


class AntiRollBar(Table):
    """One anti-roll bar: roll_stiffness, wheel_rate, end_rate, or its dimensions; nothing if only fitted is known."""

    model_config = ConfigDict(json_schema_extra=_or_table({"enum": [True, False, "unknown"]}))
    words = "anti-roll bar"
    forms = (
        (
            ("roll_stiffness",),
            ("wheel_rate",),
            ("end_rate", *_BAR_ENDS),
            ("diameter", *_BAR_SHAPE, *_BAR_ENDS),
            ("over_spring_roll_stiffness",),
        ),
        (("end_spacing",), ("end_spacing_over_track",)),
        (("wheel_travel_over_end_travel",), ("end_travel_over_wheel_travel",)),
    )

    fitted: Annotated[Literal[True, False, "unknown"], YesNoUnknown()] = Field(default=True,
        description='whether there is a bar; "unknown" where nobody has looked')
    chance: Annotated[Maybe, Quantity(RATIO, 0.01, 0.99, "70 %",
        'that there is a bar, with fitted = "unknown"; bands hold both vehicles', assumed=defaults.BAR_CHANCE)] = None
    releasable: bool = Field(default=False, description="whether it can be released for the ramp")
    diameter: Annotated[Maybe, Quantity(LENGTH, 0.008, 0.08, "27 mm",
        "of a steel bar, with arm_length, arm_reach and centre_length")] = None
    inner_diameter: Annotated[Maybe, Quantity(LENGTH, 0.0, 0.075, "18 mm", "bore of a hollow bar")] = None
    arm_length: Annotated[Maybe, Quantity(LENGTH, 0.04, 0.8, "290 mm", "along the arm")] = None
    arm_reach: Annotated[Maybe, Quantity(LENGTH, 0.04, 0.8, "270 mm", "of the arm, square to the centre part")] = None
    centre_length: Annotated[Maybe, Quantity(LENGTH, 0.2, 2.0, "960 mm", "of the straight centre part")] = None
    shear_modulus: Annotated[Maybe, Quantity(MODULUS, 2e10, 1.2e11, "80 GPa", "steel if not given",
        assumed=defaults.SHEAR_MODULUS)] = None
    elastic_modulus: Annotated[Maybe, Quantity(MODULUS, 5e10, 3e11, "207 GPa", "steel if not given",
        assumed=defaults.ELASTIC_MODULUS)] = None
    end_travel_over_wheel_travel: Annotated[Maybe, _motion_ratio("motion ratio of the bar's ends, this way round",
        defaults.BAR_RATIO), INDEPENDENT] = None
    wheel_travel_over_end_travel: Annotated[Maybe, Quantity(RATIO, 0.5, 7.0, "1.61",
        "motion ratio of the bar's ends, the other way round"), INDEPENDENT] = None
    end_spacing: Annotated[Maybe, Quantity(LENGTH, 0.2, 2.2, "960 mm",
        "distance between the two bar ends, on a solid axle"), SOLID] = None
    end_spacing_over_track: Annotated[Maybe, _spacing_share("62 %", defaults.BAR_END_SPACING), SOLID] = None
    end_rate: Annotated[Maybe, Quantity(LINEAR_RATE, 100.0, 1e6, "43 N/mm",
        "force at the ends over travel of one end relative to the other")] = None
    roll_stiffness: Annotated[Maybe, Quantity(ROLL_RATE, 10.0, 1e6, "420 N m/deg",
        "couple over the roll angle between body and axle, bar alone")] = None
    wheel_rate: Annotated[Maybe, Quantity(LINEAR_RATE, 100.0, 1e6, "12 N/mm",
        "force at each wheel over left minus right travel: one wheel lifted, the other held")] = None
    over_spring_roll_stiffness: Annotated[Maybe, Quantity(RATIO, 0.01, 10.0, "60 %",
        "bar over the axle's springs, both in roll", assumed=defaults.BAR_OVER_SPRINGS)] = None


class AuxiliaryRoll(Table):
    """Auxiliary roll stiffness: what resists roll besides springs and bar, and stays when the bar is released.

    Bushings, radius arms, twisted leaves, a twist beam; one of stiffness, wheel_rate, over_springs.
    """

    words = "auxiliary roll stiffness"
    forms = ((("stiffness",), ("wheel_rate",), ("over_springs",)),)

    stiffness: Annotated[Maybe, Quantity(ROLL_RATE, 1.0, 1e6, "150 N m/deg",
        "couple over the roll angle, without springs and bar")] = None
    wheel_rate: Annotated[Maybe, Quantity(LINEAR_RATE, 10.0, 1e6, "4 N/mm",
        "force at each wheel over left minus right travel")] = None
    over_springs: Annotated[Maybe, Quantity(RATIO, 0.0, 10.0, "40 %", "the couple over that of the axle's springs",
        assumed=defaults.AUXILIARY_OVER_SPRINGS)] = None
    doubles_at: Annotated[Maybe, Quantity(LENGTH, 0.02, 5.0, "250 mm",
        "left minus right travel at which rubber that binds has doubled it; else never")] = None


class TwistBeam(Table):
    """Where a twist beam stands between its bushes and its wheels; all three, instead of the swing arm."""

    words = "twist beam"

    bush_spacing: Annotated[Maybe, _spacing("1.1 m", "bush")] = None
    bush_to_hub: Annotated[Maybe, Quantity(LENGTH, 0.1, 1.2, "430 mm", "along the vehicle from bush to hub")] = None
    bush_to_beam: Annotated[Maybe, Quantity(LENGTH, 0.01, 1.2, "150 mm",
        "along the vehicle from bush to the beam's shear centre")] = None


class Axle(Table):
    """One axle."""

    forms = (
        (("unsprung_mass",), ("unsprung_share",)),
        (("swing_arm_length",), ("swing_arm_over_track",), ("twist_beam",)),
    )

    suspension: Literal["independent", "solid",
        "twist beam"] = Field(description='"independent" or "solid"; behind also "twist beam"')
    links: Annotated[Literal["four or five links", "radius arms", "leaves"] | None, SOLID] = Field(default=None,
        description='or "radius arms", "leaves"; of a solid axle, sets the auxiliary roll stiffness assumed')
    track: Annotated[Estimate, Quantity(LENGTH, 0.7, 2.6, "1580 mm", "between the centres of the two tyres")]
    unsprung_mass: Annotated[Maybe, Quantity(MASS, 15.0, 1500.0, "130 kg",
        "what goes with the wheels, both sides")] = (None)
    unsprung_share: Annotated[Maybe, Quantity(RATIO, 0.01, 0.25, "6 %", "the same as a share of the total mass",
        assumed=defaults.UNSPRUNG_SHARE, tie=0.3)] = None
    swing_arm_length: Annotated[Maybe, Quantity(LENGTH, 0.1, 20.0, "2.3 m",
        "from the hub sideways to the point it swings about", assumed={"twist beam": defaults.TWIST_BEAM_ARM}),
        ARM] = None
    swing_arm_over_track: Annotated[Maybe, Quantity(RATIO, 0.1, 10.0, "1.5", "the same divided by the track",
        assumed={"independent": defaults.SWING_ARM_OVER_TRACK}), ARM] = None
    pivot_above_hub: Annotated[Maybe, Quantity(LENGTH, -1.0, 1.0, "-20 mm",
        "height of that point above the hub; negative: below", assumed={"independent": defaults.PIVOT_ABOVE_HUB,
        "twist beam": defaults.TWIST_BEAM_PIVOT}), ARM] = None
    roll_centre_above_hub: Annotated[Maybe, Quantity(LENGTH, -0.5, 0.7, "40 mm",
        "height of the roll centre above the hub line; negative: below", assumed=defaults.ROLL_CENTRE_ABOVE_HUB),
        SOLID] = None
    ride_height_change: Annotated[Maybe, Quantity(LENGTH, -0.3, 0.3, "+40 mm",
        "body higher here than when travel and heights were measured")] = None
    arch_gap: Annotated[Maybe, Quantity(LENGTH, 0.0, 0.8, "130 mm",
        "hub travel until the tyre meets the arch, wheel straight ahead")] = None
    arch_gap_at_full_lock: Annotated[Maybe, Quantity(LENGTH, 0.0, 0.8, "130 mm",
        "the same at full lock, the tighter way round")] = None
    clearance_kept: Annotated[Maybe, Quantity(LENGTH, 0.0, 0.2, "12 mm",
        "hub travel to be left at full bump before the tyre rubs", assumed=defaults.CLEARANCE_KEPT)] = None
    lock_angle: Annotated[Maybe, Quantity(ANGLE, 0.0, 0.9, "34 deg",
        "of the wheel that turns further; for the points of [[front.wheelhouse]]", assumed=defaults.LOCK_ANGLE)] = None
    steering_offset: Annotated[Maybe, Quantity(LENGTH, -0.2, 0.4, "60 mm",
        "tyre's centre plane outboard of the steering axis, at hub height", assumed=defaults.STEERING_OFFSET)] = None
    suspension_friction: Annotated[Maybe, Quantity(FORCE, 0.0, 5000.0, "150 N",
        "dry, of one corner at the wheel: half of what up and down differ", assumed=defaults.SUSPENSION_FRICTION,
        array="friction_force")] = None
    travel: Travel = Field(default_factory=Travel.empty,
        description="from ride height, straight up and down; two of bump, droop, total, or a bump share, or nothing")
    spring: Spring = Field(default_factory=Spring.empty,
        description="one of wheel_rate, rate with a motion ratio, ride_frequency")
    bump_stop: BumpStop = Field(default_factory=BumpStop.empty,
        description="force = rate x d + cubic_rate x d^3, at the wheel or at a solid axle's stop")
    droop_stop: DroopStop = Field(default_factory=DroopStop.empty, description="what ends the droop")
    anti_roll_bar: Annotated[AntiRollBar | None, BeforeValidator(partial(long_form, "anti_roll_bar")),
        NO_BEAM] = Field(default=None,
        description='or = true, false, "unknown"; roll_stiffness, wheel_rate, end_rate, or dimensions')
    auxiliary_roll: AuxiliaryRoll = Field(default_factory=AuxiliaryRoll.empty,
        description="what resists roll besides springs and bar and stays when it is released: bushings, arms")
    twist_beam: Annotated[TwistBeam, TWIST_BEAM] = Field(default_factory=TwistBeam.empty,
        description='with suspension = "twist beam", instead of a swing arm; such an axle has no bar of its own')
    wheelhouse: list[WheelhousePointTable] = Field(default_factory=no_tables,
        description="points of arch and liner, measured at the wheel at ride height; as many as you like",
        max_length=60)
    tyre: Tyre = Field(default_factory=Tyre.empty, description="where the tyres of this axle differ; any key of [tyre]")


class CrossLink(Table):
    """Bars linked across the vehicle, stiff in body roll and free in warp; nothing if no more is known."""

    model_config = ConfigDict(json_schema_extra=_or_table({"type": "boolean"}))
    words = "cross link"
    forms = ((("roll_stiffness",), ("wheel_rate",), ("over_spring_roll_stiffness",)),)

    roll_stiffness: Annotated[Maybe, Quantity(ROLL_RATE, 10.0, 1e6, "500 N m/deg",
        "couple over the roll angle of the body, both axles together")] = None
    wheel_rate: Annotated[Maybe, Quantity(LINEAR_RATE, 100.0, 1e6, "3 N/mm",
        "force at each wheel over the sum of both axles' left minus right travel")] = None
    over_spring_roll_stiffness: Annotated[Maybe, Quantity(RATIO, 0.01, 10.0, "150 %",
        "link over the springs of both axles, both in roll", assumed=defaults.CROSS_LINK_OVER_SPRINGS)] = None


Differential = Literal["open", "limited slip", "locked", "held by brakes"]


def _bias_ratio(axle: str) -> Quantity:
    text = "limited slip: torque of the wheel that grips over that of the one that spins"
    return Quantity(RATIO, 1.0, 10.0, "2.5", text, f"bias ratio of the {axle} differential", defaults.BIAS_RATIO)


class Drive(Table):
    """Which wheels drive, as it is driven up the ramp; left out where it is not known."""

    driven_wheels: Literal["front", "rear", "all"] = Field(description='"front", "rear" or "all"')
    front_differential: Differential | None = Field(default=None,
        description='"open", "limited slip", "locked", or "held by brakes" that hold the wheel that spins')
    front_bias_ratio: Annotated[Maybe, _bias_ratio("front")] = None
    rear_differential: Differential | None = Field(default=None, description="of the rear axle, in the same words")
    rear_bias_ratio: Annotated[Maybe, _bias_ratio("rear")] = None
    centre: Literal["none", "open", "locked"] | None = Field(default=None,
        description='"open", or "locked" where front and rear turn together; "none" where one axle drives')
    centre_front_share: Annotated[Maybe, Quantity(RATIO, 0.05, 0.95, "40 %", "of the torque, through an open centre",
        "share of the torque an open centre sends to the front", defaults.CENTRE_FRONT_SHARE)] = None


class Frame(Table):
    """Body and frame."""

    torsional_rate: Annotated[Literal["rigid"] | Estimate | None, RateOrRigid(ROLL_RATE, 1e4, 1e8, "8 kN m/deg",
        'couple over twist between the axles, or "rigid"', "torsional rate of the frame",
        defaults.TORSIONAL_RATE)] = None


class Shape(Table):
    """What it looks like, for pictures alone; what is left out is drawn by the kind of body."""

    words = "body"

    kind: KindName | None = Field(default=None, examples=["long wagon"],
        description='"long wagon", "short wagon", "two-door", "single-cab pickup", "double-cab pickup", '
        '"forward-control van", "crossover"; else by construction and wheelbase')
    length: Annotated[Maybe, Quantity(LENGTH, 1.8, 9.0, "4850 mm", "overall, bumper to bumper")] = None
    width: Annotated[Maybe, Quantity(LENGTH, 0.9, 3.0, "1880 mm", "overall, without the mirrors")] = None
    roof_height: Annotated[Maybe, Quantity(LENGTH, 0.8, 3.5, "1850 mm", "above the ground")] = None
    front_overhang: Annotated[Maybe, Quantity(LENGTH, 0.2, 2.0, "850 mm",
        "from the front axle to the foremost point")] = None
    rear_overhang: Annotated[Maybe, Quantity(LENGTH, 0.2, 3.0, "1150 mm",
        "from the rear axle to the hindmost point")] = None
    bonnet_height: Annotated[Maybe, Quantity(LENGTH, 0.5, 2.0, "1130 mm",
        "of the bonnet at the windscreen above the ground")] = None


AirSetting = Literal["normal", "raised", "lowered"]
Construction = Literal["closed body", "body on frame", "open pickup on ladder frame"]
Engine = Literal["front longitudinal", "front transverse", "mid", "rear"]


class VehicleFile(Table):
    """A vehicle file."""

    model_config = ConfigDict(title="Vehicle file")

    name: str = Field(description="name of the vehicle", min_length=1, max_length=120)
    notes: str = Field(default="", description="anything worth knowing", max_length=20000)
    construction: Construction = Field(description='"closed body", "body on frame" or "open pickup on ladder frame"')
    engine: Engine | None = Field(default=None,
        description='or "front transverse", "mid", "rear"; matters where axle loads are not given')
    wheelbase: Annotated[Estimate, Quantity(LENGTH, 1.2, 6.5, "2850 mm", "hub to hub at ride height")]
    air_setting: AirSetting = Field(default="normal", examples=["raised"],
        description='of air springs on the ramp: "normal", "raised" or "lowered"; see [front.spring]')
    roll_gradient: Annotated[Maybe, Quantity(ROLL_GRADIENT, 0.001, 0.05, "5.4 deg/g ± 0.3 deg/g",
        "published, of a steady turn: sets bars and auxiliary stiffness if assumed")] = None
    mass: Mass = Field(
        description="as weighed, without the [[load]] entries; two of total, front_axle, rear_axle, front_share")
    tyre: Tyre = Field(default_factory=Tyre.empty,
        description="[front.tyre] and [rear.tyre] take the same keys where an axle differs")
    frame: Frame = Field(default_factory=Frame.empty, description="body and frame")
    front: Axle = Field(description="front axle")
    rear: Axle = Field(description="rear axle")
    cross_link: Annotated[CrossLink | None, BeforeValidator(partial(long_form, "cross_link"))] = Field(default=None,
        description="or cross_link = true: bars linked across the vehicle, stiff in roll and free in warp")
    drive: Drive | None = Field(default=None,
        description="which wheels drive on the ramp; left out, nothing is said of wheelspin")
    shape: Shape = Field(default_factory=Shape.empty,
        description="kind of body and its outer lengths, for pictures alone")
    load: list[Load] = Field(default_factory=no_tables, description="added to the weighed vehicle; as many as needed",
        max_length=100)
    body_point: list[BodyPointTable] = Field(default_factory=no_tables,
        description="a point of the bodywork that may meet the ramp; as many as needed", max_length=200)
# fmt: on
