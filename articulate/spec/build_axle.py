"""From the inputs of one axle to what stands between its hubs and the body in the model."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields
from functools import cache

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.constants import STANDARD_GRAVITY
from articulate.model.vehicles import Vehicles
from articulate.spec import rates
from articulate.spec.build_inputs import Inputs
from articulate.spec.key_lookup import all_keys, entry_of
from articulate.spec.keys import Axle
from articulate.spec.vehicle_spec import AxleChoices
from articulate.wheelhouse import stop_compression

Array = NDArray[np.float64]

ROUNDING = 1e-12  # [m]
MOST_OF_BUMP = 0.7  # of a bump counted to full bump can be the stop's compression; foam stops give some 80 % of theirs


def ride_height_change(x: Inputs, axle: str, choices: AxleChoices, sprung_mass: Array) -> Array:
    """How much higher the body stands here than when travel and heights were measured, its air setting in it [m].

    Lowered, it comes down no further than to the first touch of its bump stops.
    """
    change = x.get(f"{axle}.ride_height_change", 0.0)
    if choices.air_setting == "raised":
        return change + x[f"{axle}.spring.raised_by"]
    if choices.air_setting == "lowered":
        free = np.maximum(travel_gaps(x, axle, choices, sprung_mass).bump + change, 0.0)
        return change - np.minimum(x[f"{axle}.spring.lowered_by"], free)
    return change


def axle_parts(
    x: Inputs, axle: str, choices: AxleChoices, sprung_mass: Array, ride_height_change: Array
) -> dict[str, Array]:
    """Everything of one axle between the hubs and the body, by the names of the model's arrays."""
    track, solid = x[f"{axle}.track"], choices.suspension == "solid"
    change = ride_height_change
    height_keys = (f"{axle}.ride_height_change", f"{axle}.spring.raised_by")
    half_track = 0.5 * track
    spring_half_base = _half_base(x, f"{axle}.spring") if solid else half_track
    spring_rate = normal_spring_rate(x, axle, sprung_mass)
    gaps = travel_gaps(x, axle, choices, sprung_mass)
    bump, droop = gaps.bump + change, gaps.droop - change
    bump = np.where(np.abs(bump) < ROUNDING, 0.0, bump)  # lowered onto its stops
    gap_keys = [f"{axle}.travel.{name}" for name in ("bump", "droop", "total", "bump_share")]
    for name, gap in (("bump", bump), ("droop", droop)):
        x.require(
            gap >= 0.0,
            f"no {name} travel is left on the {axle} axle",
            (*gap_keys, *height_keys),
            "correct the travel or the ride height change",
        )
    if solid:
        swing_arm, pivot = track, x[f"{axle}.roll_centre_above_hub"]
    else:
        swing_arm, arm_key = _swing_arm(x, axle)
        pivot = x[f"{axle}.pivot_above_hub"] + change
        reach = np.hypot(swing_arm, pivot)
        x.require(
            (bump < reach + pivot) & (droop < reach - pivot),
            f"the {axle} wheel cannot swing that far about its arm",
            (*gap_keys, arm_key, f"{axle}.pivot_above_hub", *height_keys),
            "lengthen the swing arm or shorten the travel",
        )
    auxiliary, auxiliary_cubic = _auxiliary_rates(x, axle, spring_rate, spring_half_base)
    return {
        "swing_arm": swing_arm,
        "pivot_height": pivot,
        "spring_rate": spring_rate * x.get(f"{axle}.spring.setting_rate_factor", 1.0),
        "spring_half_base": spring_half_base,
        "bump_gap": bump,
        "bump_rate": gaps.bump_rate,
        "bump_rate_cubic": gaps.bump_rate_cubic,
        "bump_half_base": _half_base(x, f"{axle}.bump_stop") if solid else half_track,
        "droop_gap": droop,
        "droop_half_base": _half_base(x, f"{axle}.droop_stop") if solid else half_track,
        "bar_rate": _bar_rate(x, axle, choices, spring_rate, spring_half_base),
        "auxiliary_rate": auxiliary,
        "auxiliary_rate_cubic": auxiliary_cubic,
        **{array: x.get(f"{axle}.{key}", otherwise) for key, (array, otherwise) in direct_inputs().items()},
    }


@cache
def direct_inputs() -> Mapping[str, tuple[str, float]]:
    """The keys of an axle that are arrays of the model as they are: the array, and its value where nothing is given."""
    absent = {field.name: field.default_factory for field in fields(Vehicles) if field.default_factory is not MISSING}
    entries = {key: entry_of(f"front.{key}") for key in all_keys(Axle)}
    return {
        key: (entry.array, float(absent[entry.array]()[0, 0]) if entry.array in absent else math.nan)
        for key, entry in entries.items()
        if entry is not None and entry.array
    }


def _half_base(x: Inputs, part: str, name: str = "spacing") -> Array:
    """Half the distance between left and right, from the distance or its share of the track [m]."""
    key = f"{part}.{name}"
    if key in x:
        return 0.5 * x[key]
    axle = part.partition(".")[0]
    return 0.5 * x[f"{key}_over_track"] * x[f"{axle}.track"]


def _ratio(x: Inputs, part: str, inner: str) -> Array:
    """Inner travel over wheel travel, whichever way round it is given."""
    key = f"{part}.{inner}_travel_over_wheel_travel"
    return x[key] if key in x else 1.0 / x[f"{part}.wheel_travel_over_{inner}_travel"]


def normal_spring_rate(x: Inputs, axle: str, sprung_mass: Array) -> Array:
    """Rate in the model's sense, at the normal setting of air springs: at the wheel, both moving together [N/m]."""
    part = f"{axle}.spring"
    if f"{part}.wheel_rate" in x:
        return x[f"{part}.wheel_rate"]
    if f"{part}.rate" in x:
        return rates.wheel_rate_from_spring(x[f"{part}.rate"], _ratio(x, part, "spring"))
    return rates.wheel_rate_from_frequency(x[f"{part}.ride_frequency"], 0.5 * sprung_mass)


@dataclass(frozen=True, eq=False, repr=False)
class TravelGaps(Brief):
    """Free travel from ride height to the stops, and the bump stop that belongs to it; arrays (1,) or (lanes,)."""

    bump: Array  # [m], to first touch
    droop: Array  # [m]
    bump_rate: Array  # k1 [N/m]
    bump_rate_cubic: Array  # k3 [N/m^3]


def travel_gaps(x: Inputs, axle: str, choices: AxleChoices, sprung_mass: Array) -> TravelGaps:
    """Bump and droop gap at the ride height of the measurement.

    A bump B counted to full bump holds the compression c of the stop under m P, with P the sprung load of its side
    and m `bump_stop.full_bump_load`: k1 c + k3 c^3 = m P. The free gap is B - c. Where c > 0.7 B it is 0.3 B and the
    stop's curve is shortened to fit, k1 c/(0.7 B) and k3 (c/(0.7 B))^3, so that full bump stays at B.
    """
    bump, droop = counted_travel(x, axle)
    rate, cubic = x[f"{axle}.bump_stop.rate"], x[f"{axle}.bump_stop.cubic_rate"]
    if not choices.to_full_bump:
        return TravelGaps(bump, droop, rate, cubic)
    load = x[f"{axle}.bump_stop.full_bump_load"] * (0.5 * STANDARD_GRAVITY * sprung_mass)
    compression = stop_compression(np.maximum(load, 0.0), rate, cubic)
    most = MOST_OF_BUMP * np.maximum(bump, 0.0)
    shorten = np.where(compression > most, compression / np.where(most > 0.0, most, 1.0), 1.0)
    return TravelGaps(bump - np.minimum(compression, most), droop, rate * shorten, cubic * shorten**3)


def counted_travel(x: Inputs, axle: str) -> tuple[Array, Array]:
    """Bump and droop as they are given or assumed, bump counted as the file counts it [m]."""
    part = f"{axle}.travel"
    if f"{part}.total" not in x:
        return x[f"{part}.bump"], x[f"{part}.droop"]
    total = x[f"{part}.total"]
    if f"{part}.bump" in x:
        return x[f"{part}.bump"], total - x[f"{part}.bump"]
    if f"{part}.droop" in x:
        return total - x[f"{part}.droop"], x[f"{part}.droop"]
    bump = total * x[f"{part}.bump_share"]
    return bump, total - bump


def _swing_arm(x: Inputs, axle: str) -> tuple[Array, str]:
    """Lateral distance from hub to pivot of an independent wheel or a twist beam's [m], and the key it came from."""
    track = x[f"{axle}.track"]
    for key, factor in ((f"{axle}.swing_arm_length", 1.0), (f"{axle}.swing_arm_over_track", track)):
        if key in x:
            return x[key] * factor, key
    part = f"{axle}.twist_beam"
    spacing, hub, beam = (x[f"{part}.{name}"] for name in ("bush_spacing", "bush_to_hub", "bush_to_beam"))
    x.require(
        beam <= hub,
        f"the beam of the {axle} axle lies beyond its hubs",
        (f"{part}.bush_to_beam", f"{part}.bush_to_hub"),
        "both are counted along the vehicle from the bush",
    )
    return rates.twist_beam_arm(track, spacing, hub, beam), f"{part}.bush_to_beam"


def _auxiliary_rates(x: Inputs, axle: str, spring_rate: Array, spring_half_base: Array) -> tuple[Array, Array]:
    """Auxiliary roll stiffness at the wheels: k_a [N/m], and k_a3 = k_a/d_2^2 [N/m^3] of rubber that binds."""
    part, track = f"{axle}.auxiliary_roll", x[f"{axle}.track"]
    if f"{part}.wheel_rate" in x:
        rate = x[f"{part}.wheel_rate"]
    elif f"{part}.stiffness" in x:
        rate = rates.bar_rate_from_roll_stiffness(x[f"{part}.stiffness"], track)
    else:
        springs = rates.spring_roll_stiffness(spring_rate, 2.0 * spring_half_base)
        rate = rates.bar_rate_from_roll_stiffness(x[f"{part}.over_springs"] * springs, track)
    doubles = x.get(f"{part}.doubles_at", np.inf)
    return rate, rate / doubles**2


def _bar_rate(x: Inputs, axle: str, choices: AxleChoices, spring_rate: Array, spring_half_base: Array) -> Array:
    """Rate k_b of the bar at the wheels, for an energy k_b (u_left - u_right)^2/2 [N/m]."""
    part, track = f"{axle}.anti_roll_bar", x[f"{axle}.track"]
    if not choices.bar_fitted:
        return np.zeros(1)
    if f"{part}.roll_stiffness" in x:
        return rates.bar_rate_from_roll_stiffness(x[f"{part}.roll_stiffness"], track)
    if f"{part}.wheel_rate" in x:
        return x[f"{part}.wheel_rate"]
    if f"{part}.over_spring_roll_stiffness" in x:
        springs = rates.spring_roll_stiffness(spring_rate, 2.0 * spring_half_base)
        share = x[f"{part}.over_spring_roll_stiffness"]
        return rates.bar_rate_from_roll_stiffness(share * springs, track)
    given = f"{part}.end_rate"
    end_rate = x[given] if given in x else _bar_end_rate(x, axle, part)
    if choices.suspension == "solid":
        stiffness = end_rate * (2.0 * _half_base(x, part, "end_spacing")) ** 2
        return rates.bar_rate_from_roll_stiffness(stiffness, track)
    return end_rate * _ratio(x, part, "end") ** 2


def _bar_end_rate(x: Inputs, axle: str, part: str) -> Array:
    bore = x.get(f"{part}.inner_diameter", 0.0)
    x.require(
        bore < x[f"{part}.diameter"],
        f"the bore of the {axle} anti-roll bar is wider than the bar",
        (f"{part}.inner_diameter", f"{part}.diameter"),
        "correct one of the diameters",
    )
    x.require(
        x[f"{part}.arm_reach"] <= x[f"{part}.arm_length"],
        f"the arm of the {axle} anti-roll bar reaches further than it is long",
        (f"{part}.arm_reach", f"{part}.arm_length"),
        "arm_length goes along the arm, arm_reach square to the centre part",
    )
    return rates.bar_end_rate(
        diameter=x[f"{part}.diameter"],
        inner_diameter=bore,
        arm_length=x[f"{part}.arm_length"],
        arm_reach=x[f"{part}.arm_reach"],
        centre_length=x[f"{part}.centre_length"],
        shear_modulus=x[f"{part}.shear_modulus"],
        elastic_modulus=x[f"{part}.elastic_modulus"],
    )
