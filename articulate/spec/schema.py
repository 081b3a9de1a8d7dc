"""The vehicle file as pydantic models: every key, its kind, its plausible range and one line about it.

The models refuse what can be judged key by key. What takes several keys (alternatives, consistency, defaults)
is judged in `resolve`.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

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
    Reading,
)
from articulate.spec.tyres import TyreSize


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


class Table(BaseModel):
    """A table of the file: no key that is not named here, no guessing of types."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, arbitrary_types_allowed=True)


_SPACING = Quantity(LENGTH, 0.2, 2.2, "960 mm")
_SPACING_SHARE = Quantity(RATIO, 0.15, 1.1, "62 %")
_PLACE_ALONG = Quantity(LENGTH, -3.0, 9.0, "1.9 m")
_PLACE_ACROSS = Quantity(LENGTH, -2.0, 2.0, "-350 mm")
_HEIGHT = Quantity(LENGTH, 0.0, 4.0, "0.9 m")
_GAP = Quantity(LENGTH, 0.0, 0.8, "130 mm")
_WHEEL_RATE = Quantity(LINEAR_RATE, 3e3, 5e5, "30 N/mm")
_DIAMETER = Quantity(LENGTH, 0.45, 1.5, "803 mm")
_MOTION_RATIO = Quantity(RATIO, 0.15, 2.0, "0.62")
_INVERSE_RATIO = Quantity(RATIO, 0.5, 7.0, "1.61")

Optional = Reading | None


class Mass(Table):
    """Masses as weighed, without the added loads; any two of total, front_axle, rear_axle, front_share."""

    total: Annotated[Optional, Quantity(MASS, 300.0, 9000.0, "2150 kg")] = Field(
        default=None, description="mass of the whole vehicle as tested, without the [[load]] entries"
    )
    front_axle: Annotated[Optional, Quantity(MASS, 50.0, 6000.0, "1110 kg")] = Field(
        default=None, description="what a scale reads under the two front wheels"
    )
    rear_axle: Annotated[Optional, Quantity(MASS, 50.0, 6000.0, "1040 kg")] = Field(
        default=None, description="what a scale reads under the two rear wheels"
    )
    front_share: Annotated[Optional, Quantity(RATIO, 0.2, 0.8, "52 %")] = Field(
        default=None, description="share of the total mass on the front wheels, instead of an axle load"
    )
    centre_of_gravity_height: Annotated[Optional, Quantity(LENGTH, 0.2, 2.0, "710 mm")] = Field(
        default=None, description="height of the whole vehicle's centre of gravity above the ground"
    )
    static_stability_factor: Annotated[Optional, Quantity(RATIO, 0.5, 2.0, "1.12")] = Field(
        default=None,
        description="mean track over twice the centre of gravity height, instead of that height",
    )
    left_of_centre: Annotated[Optional, Quantity(LENGTH, -0.3, 0.3, "12 mm")] = Field(
        default=None,
        description="how far the centre of gravity sits left of the middle; negative to the right",
    )


class Load(Table):
    """Someone or something added to the weighed vehicle."""

    name: str = Field(description="what it is; every load has its own name", min_length=1, max_length=60)
    mass: Annotated[Reading, Quantity(MASS, 0.0, 3000.0, "85 kg")] = Field(description="its mass")
    behind_front_axle: Annotated[Reading, _PLACE_ALONG] = Field(
        description="distance of its centre of gravity behind the front axle"
    )
    left_of_centre: Annotated[Reading, _PLACE_ACROSS] = Field(
        description="distance of its centre of gravity left of the middle; negative to the right"
    )
    height: Annotated[Reading, _HEIGHT] = Field(
        description="height of its centre of gravity above the ground, vehicle at ride height"
    )


class BodyPoint(Table):
    """A point of the bodywork that may meet the ramp."""

    name: str = Field(description="what it is; every point has its own name", min_length=1, max_length=60)
    behind_front_axle: Annotated[Reading, _PLACE_ALONG] = Field(
        description="distance behind the front axle; negative ahead of it"
    )
    left_of_centre: Annotated[Reading, _PLACE_ACROSS] = Field(
        description="distance left of the middle; negative to the right"
    )
    height: Annotated[Reading, _HEIGHT] = Field(description="height above the ground, vehicle at ride height")


class WheelhousePoint(Table):
    """A point of arch, liner or bodywork that the tyre may meet, measured at the wheel at ride height."""

    name: str = Field(description="what it is; every point of an axle has its own name", min_length=1, max_length=60)
    clock: Annotated[Reading, Clock()] = Field(
        description="clock position at the wheel: 12 at the top, 3 forward, 9 rearward, on either side"
    )
    distance: Annotated[Reading, Quantity(LENGTH, 0.1, 1.2, "470 mm")] = Field(
        description="distance from the hub centre to the bodywork, square to the axle"
    )
    inboard: Annotated[Reading, Quantity(LENGTH, -0.5, 0.8, "110 mm")] = Field(
        description="depth inboard of the tyre's centre plane, along the axle; negative outboard"
    )
    wheel: Literal["straight", "turned in", "turned out"] = Field(
        default="straight",
        description="how the wheel stood when it was measured; turned in: at full lock, front edge inwards",
    )


class Tyre(Table):
    """The tyres; [front.tyre] and [rear.tyre] take the same keys for one axle."""

    size: Annotated[TyreSize | None, SizeCode()] = Field(
        default=None, description="size code from the sidewall, 265/70R17, 35x12.50R17 or 7.50-16"
    )
    diameter: Annotated[Optional, _DIAMETER] = Field(
        default=None,
        description="unloaded diameter as measured; goes before the nominal one of the size",
    )
    width: Annotated[Optional, Quantity(LENGTH, 0.1, 0.6, "272 mm")] = Field(
        default=None, description="section width as measured; goes before the nominal one of the size"
    )
    rim_diameter: Annotated[Optional, Quantity(LENGTH, 0.25, 0.7, "17 in")] = Field(
        default=None, description="nominal rim diameter, if there is no size code to say it"
    )
    section_radius: Annotated[Optional, Quantity(LENGTH, 0.01, 0.3, "136 mm")] = Field(
        default=None, description="radius of the tread across the tyre; half the width if not given"
    )
    pressure: Annotated[Optional, Quantity(PRESSURE, 3e4, 8e5, "36 psi")] = Field(
        default=None, description="inflation pressure at the test"
    )
    vertical_stiffness: Annotated[Optional, Quantity(LINEAR_RATE, 4e4, 1.5e6, "270 N/mm")] = Field(
        default=None, description="load over deflection of one tyre at the test pressure"
    )
    stiffness_factor: Annotated[Optional, Quantity(RATIO, 0.3, 3.0, "1.0")] = Field(
        default=None, description="factor on the stiffness estimated from size and pressure"
    )
    heights_measured_on: Annotated[TyreSize | Reading | None, SizeOrDiameter(_DIAMETER)] = Field(
        default=None,
        description="size or diameter of the tyres on which heights and arch gaps were measured, if others",
    )
    heights_measured_at: Annotated[Optional, Quantity(PRESSURE, 3e4, 8e5, "36 psi")] = Field(
        default=None, description="tyre pressure at which heights were measured, if another than at the test"
    )
    mass_change: Annotated[Optional, Quantity(MASS, -60.0, 100.0, "5 kg")] = Field(
        default=None, description="how much heavier one tyre is than those the vehicle was weighed on"
    )
    shoulder_over_width: Annotated[Optional, Quantity(RATIO, 0.02, 0.5, "0.2")] = Field(
        default=None, description="radius of the shoulder between tread and sidewall over the width"
    )


class Spring(Table):
    """The springs of one axle; one of wheel_rate, rate with a motion ratio, ride_frequency."""

    kind: Literal["coil", "leaf", "torsion bar", "air"] | None = Field(
        default=None, description="coil, leaf, torsion bar or air"
    )
    seat: Literal["loose", "held"] | None = Field(
        default=None,
        description="loose if the spring can leave its seat and cannot pull, otherwise held",
    )
    raised_by: Annotated[Optional, Quantity(LENGTH, 0.0, 0.3, "50 mm")] = Field(
        default=None, description="air springs: how much higher the body stands here at the raised setting"
    )
    lowered_by: Annotated[Optional, Quantity(LENGTH, 0.0, 0.3, "40 mm")] = Field(
        default=None, description="air springs: how much lower the body stands here at the lowered setting"
    )
    setting_rate_factor: Annotated[Optional, Quantity(RATIO, 0.3, 3.0, "0.85")] = Field(
        default=None, description="air springs: rate at the raised or lowered setting over that at the normal one"
    )
    linked: bool = Field(
        default=False,
        description="air springs: whether left and right share their air, so that they hold nothing against roll",
    )
    wheel_rate: Annotated[Optional, _WHEEL_RATE] = Field(
        default=None,
        description="load over travel at one wheel, both wheels moving together, bar disconnected",
    )
    rate: Annotated[Optional, Quantity(LINEAR_RATE, 3e3, 2e6, "78 N/mm")] = Field(
        default=None, description="rate of one spring on its own, together with a motion ratio"
    )
    spring_travel_over_wheel_travel: Annotated[Optional, _MOTION_RATIO] = Field(
        default=None, description="motion ratio as spring travel divided by wheel travel"
    )
    wheel_travel_over_spring_travel: Annotated[Optional, _INVERSE_RATIO] = Field(
        default=None, description="motion ratio as wheel travel divided by spring travel"
    )
    ride_frequency: Annotated[Optional, Quantity(FREQUENCY, 0.5, 4.0, "1.3 Hz")] = Field(
        default=None,
        description="bounce frequency over this axle on the springs alone; with tyres some 5 % lower",
    )
    spacing: Annotated[Optional, _SPACING] = Field(
        default=None, description="solid axle: distance between the left and the right spring"
    )
    spacing_over_track: Annotated[Optional, _SPACING_SHARE] = Field(
        default=None, description="solid axle: the same as a share of the track"
    )


class Travel(Table):
    """Wheel travel from ride height, straight up and down; two of bump, droop and total, or a bump share.

    Nothing at all where it is not known: it is then assumed by the kind of axle.
    """

    counted: Literal["to full bump", "to first touch"] | None = Field(
        default=None,
        description="what bump and total end at: a brochure's to full bump, the stop pressed together (so is a total "
        "if nothing is said); a tape's to first touch of the stop (so is a bump)",
    )
    bump: Annotated[Optional, Quantity(LENGTH, 0.0, 0.6, "90 mm")] = Field(
        default=None, description="travel up from ride height, until the bump stop is touched unless counted otherwise"
    )
    droop: Annotated[Optional, Quantity(LENGTH, 0.0, 0.6, "110 mm")] = Field(
        default=None, description="travel down from ride height until the damper or strap ends it"
    )
    total: Annotated[Optional, Quantity(LENGTH, 0.01, 1.0, "200 mm")] = Field(
        default=None, description="bump and droop together"
    )
    bump_share: Annotated[Optional, Quantity(RATIO, 0.05, 0.95, "45 %")] = Field(
        default=None, description="share of the total that is bump"
    )


class BumpStop(Table):
    """The bump stops: force = rate x d + cubic_rate x d^3."""

    rate: Annotated[Optional, Quantity(LINEAR_RATE, 1e3, 5e6, "60 N/mm")] = Field(
        default=None,
        description="rate at first touch, at the wheel (independent) or at the stop (solid)",
    )
    cubic_rate: Annotated[Optional, Quantity(CUBIC_RATE, 0.0, 1e11, "0.1 N/mm^3")] = Field(
        default=None, description="how the stop hardens with the third power of its compression"
    )
    full_bump_load: Annotated[Optional, Quantity(RATIO, 1.0, 6.0, "2.5")] = Field(
        default=None,
        description="load on each stop in full bump over the sprung load of its side at rest; it says how much of a "
        "travel counted to full bump is the stop's compression",
    )
    spacer: Literal["as fitted", "to keep clear"] = Field(
        default="as fitted",
        description="as fitted: travel.bump stands; to keep clear: spacers keep the tyre off the bodywork",
    )
    spacing: Annotated[Optional, _SPACING] = Field(
        default=None, description="solid axle: distance between the left and the right bump stop"
    )
    spacing_over_track: Annotated[Optional, _SPACING_SHARE] = Field(
        default=None, description="solid axle: the same as a share of the track"
    )


class DroopStop(Table):
    """What ends the droop, normally the dampers."""

    rate: Annotated[Optional, Quantity(LINEAR_RATE, 1e3, 5e6, "250 N/mm")] = Field(
        default=None,
        description="rate of the droop stop, at the wheel (independent) or at the stop (solid)",
    )
    spacing: Annotated[Optional, _SPACING] = Field(
        default=None, description="solid axle: distance between the left and the right damper"
    )
    spacing_over_track: Annotated[Optional, _SPACING_SHARE] = Field(
        default=None, description="solid axle: the same as a share of the track"
    )


class AntiRollBar(Table):
    """One anti-roll bar: roll_stiffness, wheel_rate, end_rate, or its dimensions; nothing if only fitted is known."""

    model_config = ConfigDict(json_schema_extra=_or_table({"enum": [True, False, "unknown"]}))

    fitted: Annotated[Literal[True, False, "unknown"], YesNoUnknown()] = Field(
        default=True,
        description='whether there is a bar: true, false or "unknown"; anti_roll_bar = false is short for it',
    )
    chance: Annotated[Optional, Quantity(RATIO, 0.01, 0.99, "70 %")] = Field(
        default=None, description='chance that there is a bar, where fitted = "unknown"'
    )
    releasable: bool = Field(default=False, description="whether the bar can be released for the ramp")
    roll_stiffness: Annotated[Optional, Quantity(ROLL_RATE, 10.0, 1e6, "420 N m/deg")] = Field(
        default=None, description="couple over the roll angle between body and axle, bar alone"
    )
    wheel_rate: Annotated[Optional, Quantity(LINEAR_RATE, 100.0, 1e6, "12 N/mm")] = Field(
        default=None, description="force at each wheel over the left minus the right wheel travel"
    )
    end_rate: Annotated[Optional, Quantity(LINEAR_RATE, 100.0, 1e6, "43 N/mm")] = Field(
        default=None, description="force at the ends over the travel of one end relative to the other"
    )
    diameter: Annotated[Optional, Quantity(LENGTH, 0.008, 0.08, "27 mm")] = Field(
        default=None, description="diameter of a steel bar, with arm_length, arm_reach and centre_length"
    )
    inner_diameter: Annotated[Optional, Quantity(LENGTH, 0.0, 0.075, "18 mm")] = Field(
        default=None, description="bore of a hollow bar"
    )
    arm_length: Annotated[Optional, Quantity(LENGTH, 0.04, 0.8, "290 mm")] = Field(
        default=None, description="length of an arm along itself"
    )
    arm_reach: Annotated[Optional, Quantity(LENGTH, 0.04, 0.8, "270 mm")] = Field(
        default=None, description="length of an arm square to the bar's centre part"
    )
    centre_length: Annotated[Optional, Quantity(LENGTH, 0.2, 2.0, "960 mm")] = Field(
        default=None, description="length of the straight centre part"
    )
    shear_modulus: Annotated[Optional, Quantity(MODULUS, 2e10, 1.2e11, "80 GPa")] = Field(
        default=None, description="shear modulus of the bar; steel if not given"
    )
    elastic_modulus: Annotated[Optional, Quantity(MODULUS, 5e10, 3e11, "207 GPa")] = Field(
        default=None, description="modulus of elasticity of the bar; steel if not given"
    )
    end_spacing: Annotated[Optional, _SPACING] = Field(
        default=None, description="solid axle: distance between the two bar ends"
    )
    end_spacing_over_track: Annotated[Optional, _SPACING_SHARE] = Field(
        default=None, description="solid axle: the same as a share of the track"
    )
    end_travel_over_wheel_travel: Annotated[Optional, _MOTION_RATIO] = Field(
        default=None, description="independent: travel of a bar end divided by wheel travel"
    )
    wheel_travel_over_end_travel: Annotated[Optional, _INVERSE_RATIO] = Field(
        default=None, description="independent: wheel travel divided by travel of a bar end"
    )
    over_spring_roll_stiffness: Annotated[Optional, Quantity(RATIO, 0.01, 10.0, "60 %")] = Field(
        default=None, description="roll stiffness of the bar divided by that of the axle's springs"
    )


class AuxiliaryRoll(Table):
    """Auxiliary roll stiffness: what resists roll besides springs and bar, and stays when the bar is released.

    Bushings, radius arms, twisted leaves, a twist beam; one of stiffness, wheel_rate, over_springs.
    """

    stiffness: Annotated[Optional, Quantity(ROLL_RATE, 1.0, 1e6, "150 N m/deg")] = Field(
        default=None, description="couple over the roll angle between body and axle, without springs and bar"
    )
    wheel_rate: Annotated[Optional, Quantity(LINEAR_RATE, 10.0, 1e6, "4 N/mm")] = Field(
        default=None, description="force at each wheel over left minus right travel, without springs and bar"
    )
    over_springs: Annotated[Optional, Quantity(RATIO, 0.0, 10.0, "40 %")] = Field(
        default=None, description="the couple divided by that of the axle's springs"
    )
    doubles_at: Annotated[Optional, Quantity(LENGTH, 0.02, 5.0, "250 mm")] = Field(
        default=None,
        description="left minus right travel at which rubber that binds has doubled it: the cubic part is as large "
        "as the linear; linear if not given",
    )


class TwistBeam(Table):
    """Where a twist beam stands between its bushes and its wheels; all three, instead of the swing arm."""

    bush_spacing: Annotated[Optional, _SPACING] = Field(
        default=None, description="distance between the left and the right bush"
    )
    bush_to_hub: Annotated[Optional, Quantity(LENGTH, 0.1, 1.2, "430 mm")] = Field(
        default=None, description="distance along the vehicle from bush to hub"
    )
    bush_to_beam: Annotated[Optional, Quantity(LENGTH, 0.01, 1.2, "150 mm")] = Field(
        default=None, description="distance along the vehicle from bush to the beam's shear centre"
    )


class Axle(Table):
    """One axle."""

    suspension: Literal["independent", "solid", "twist beam"] = Field(
        description="independent, solid or, behind, twist beam"
    )
    links: Literal["four or five links", "radius arms", "leaves"] | None = Field(
        default=None,
        description="solid axle: what guides it, four or five links, radius arms or leaves; sets the auxiliary roll "
        "stiffness assumed",
    )
    track: Annotated[Reading, Quantity(LENGTH, 0.7, 2.6, "1580 mm")] = Field(
        description="distance between the centres of the two tyres"
    )
    unsprung_mass: Annotated[Optional, Quantity(MASS, 15.0, 1500.0, "130 kg")] = Field(
        default=None, description="mass of the axle that goes with the wheels, both sides"
    )
    unsprung_share: Annotated[Optional, Quantity(RATIO, 0.01, 0.25, "6 %")] = Field(
        default=None, description="the same as a share of the vehicle's total mass"
    )
    swing_arm_length: Annotated[Optional, Quantity(LENGTH, 0.1, 20.0, "2.3 m")] = Field(
        default=None,
        description="independent or twist beam: lateral distance from the hub to the point it swings about",
    )
    swing_arm_over_track: Annotated[Optional, Quantity(RATIO, 0.1, 10.0, "1.5")] = Field(
        default=None, description="independent: the same divided by the track"
    )
    pivot_above_hub: Annotated[Optional, Quantity(LENGTH, -1.0, 1.0, "-20 mm")] = Field(
        default=None, description="independent: height of that point above the hub; negative below"
    )
    roll_centre_above_hub: Annotated[Optional, Quantity(LENGTH, -0.5, 0.7, "40 mm")] = Field(
        default=None, description="solid: height of the roll centre above the hub line; negative below"
    )
    ride_height_change: Annotated[Optional, Quantity(LENGTH, -0.3, 0.3, "+40 mm")] = Field(
        default=None,
        description="how much higher the body stands here than when travel and heights were measured",
    )
    arch_gap: Annotated[Optional, _GAP] = Field(
        default=None, description="hub travel from ride height until the tyre meets the arch, straight ahead"
    )
    arch_gap_at_full_lock: Annotated[Optional, _GAP] = Field(
        default=None, description="the same at full lock, the tighter way round"
    )
    clearance_kept: Annotated[Optional, Quantity(LENGTH, 0.0, 0.2, "12 mm")] = Field(
        default=None, description="hub travel that is to be left before the tyre rubs, at full bump"
    )
    lock_angle: Annotated[Optional, Quantity(ANGLE, 0.0, 0.9, "34 deg")] = Field(
        default=None, description="steering angle of the wheel that turns further, at full lock"
    )
    steering_offset: Annotated[Optional, Quantity(LENGTH, -0.2, 0.4, "60 mm")] = Field(
        default=None, description="tyre's centre plane outboard of the steering axis, at hub height"
    )
    wheelhouse: list[WheelhousePoint] = Field(
        default_factory=list, description="points of arch and liner, measured from the wheel", max_length=60
    )
    suspension_friction: Annotated[Optional, Quantity(FORCE, 0.0, 5000.0, "150 N")] = Field(
        default=None,
        description="dry friction of one corner along wheel travel: half of what pushing up and letting down differ",
    )
    travel: Travel = Field(default_factory=Travel, description="wheel travel")
    spring: Spring = Field(default_factory=Spring, description="springs")
    bump_stop: BumpStop = Field(default_factory=BumpStop, description="bump stops")
    droop_stop: DroopStop = Field(default_factory=DroopStop, description="droop stops")
    anti_roll_bar: Annotated[AntiRollBar | None, BeforeValidator(partial(long_form, "anti_roll_bar"))] = Field(
        default=None,
        description='anti-roll bar: true, false, "unknown" or a table; a twist beam needs none',
    )
    auxiliary_roll: AuxiliaryRoll = Field(
        default_factory=AuxiliaryRoll, description="roll stiffness besides springs and bar, never released"
    )
    twist_beam: TwistBeam = Field(default_factory=TwistBeam, description="geometry of a twist beam")
    tyre: Tyre = Field(default_factory=Tyre, description="tyres of this axle where they differ")


class CrossLink(Table):
    """Bars linked across the vehicle, stiff in body roll and free in warp; nothing if no more is known."""

    model_config = ConfigDict(json_schema_extra=_or_table({"type": "boolean"}))

    roll_stiffness: Annotated[Optional, Quantity(ROLL_RATE, 10.0, 1e6, "500 N m/deg")] = Field(
        default=None, description="couple over the roll angle of the body, both axles together"
    )
    wheel_rate: Annotated[Optional, Quantity(LINEAR_RATE, 100.0, 1e6, "3 N/mm")] = Field(
        default=None,
        description="force at each wheel over the sum of both axles' left minus right travel",
    )
    over_spring_roll_stiffness: Annotated[Optional, Quantity(RATIO, 0.01, 10.0, "150 %")] = Field(
        default=None, description="roll stiffness of the link divided by that of both axles' springs"
    )


Differential = Literal["open", "limited slip", "locked", "held by brakes"]


class Drive(Table):
    """Which wheels drive, as it is driven up the ramp; left out where it is not known."""

    driven_wheels: Literal["front", "rear", "all"] = Field(description="the wheels that drive: front, rear or all")
    front_differential: Differential | None = Field(
        default=None,
        description="front axle: open, limited slip, locked, or held by brakes where these hold the wheel that spins",
    )
    front_bias_ratio: Annotated[Optional, Quantity(RATIO, 1.0, 10.0, "2.5")] = Field(
        default=None, description="limited slip: torque of the wheel that grips over that of the one that spins"
    )
    rear_differential: Differential | None = Field(default=None, description="the same of the rear axle")
    rear_bias_ratio: Annotated[Optional, Quantity(RATIO, 1.0, 10.0, "2.5")] = Field(
        default=None, description="the same of the rear axle"
    )
    centre: Literal["none", "open", "locked"] | None = Field(
        default=None,
        description="between the axles where all wheels drive: an open differential, or locked where both turn "
        "together; none where one axle drives",
    )
    centre_front_share: Annotated[Optional, Quantity(RATIO, 0.05, 0.95, "40 %")] = Field(
        default=None, description="share of the torque that an open centre differential sends to the front axle"
    )


class Frame(Table):
    """Body and frame."""

    torsional_rate: Annotated[
        Literal["rigid"] | Reading | None, RateOrRigid(Quantity(ROLL_RATE, 1e4, 1e8, "8 kN m/deg"))
    ] = Field(default=None, description='couple over twist between the axles, or "rigid"')


AirSetting = Literal["normal", "raised", "lowered"]
Construction = Literal["closed body", "body on frame", "open pickup on ladder frame"]
Engine = Literal["front longitudinal", "front transverse", "mid", "rear"]


class VehicleFile(Table):
    """A vehicle file."""

    model_config = ConfigDict(title="Vehicle file")

    name: str = Field(description="name of the vehicle", min_length=1, max_length=120)
    notes: str = Field(default="", description="anything worth knowing", max_length=20000)
    construction: Construction = Field(description="closed body, body on frame, or open pickup on ladder frame")
    engine: Engine | None = Field(
        default=None,
        description="where the engine sits: front longitudinal, front transverse, mid or rear; sets the share of the "
        "mass assumed on the front wheels",
    )
    wheelbase: Annotated[Reading, Quantity(LENGTH, 1.2, 6.5, "2850 mm")] = Field(
        description="distance between the hubs of front and rear axle, at ride height"
    )
    roll_gradient: Annotated[Optional, Quantity(ROLL_GRADIENT, 0.001, 0.05, "5.4 deg/g ± 0.3 deg/g")] = Field(
        default=None,
        description="published roll of the body in a steady turn over lateral acceleration, bars connected; sets the "
        "size of bars and auxiliary roll stiffness that are assumed",
    )
    air_setting: AirSetting = Field(
        default="normal", description="height setting of the air springs on the ramp: normal, raised or lowered"
    )
    mass: Mass = Field(description="masses as weighed")
    tyre: Tyre = Field(default_factory=Tyre, description="tyres")
    front: Axle = Field(description="front axle")
    rear: Axle = Field(description="rear axle")
    frame: Frame = Field(default_factory=Frame, description="body and frame")
    cross_link: Annotated[CrossLink | None, BeforeValidator(partial(long_form, "cross_link"))] = Field(
        default=None, description="bars linked across the vehicle: true or a table"
    )
    drive: Drive | None = Field(default=None, description="which wheels drive, through which differentials")
    load: list[Load] = Field(default_factory=list, description="added passengers and cargo", max_length=100)
    body_point: list[BodyPoint] = Field(default_factory=list, description="points of the bodywork", max_length=200)
