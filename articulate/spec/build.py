"""From a resolved vehicle to the arrays of the model, all lanes at once.

This is the only place where what people measure becomes what the model needs: axle loads become a
sprung centre of gravity, spacings half bases, frequencies rates, a lift or larger tyres a new ride height.
Every input may be an array of samples, and every derived value is worked out anew in each lane.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.model.constants import STANDARD_GRAVITY
from articulate.model.vehicles import AXLES, FRICTION_STIFFNESS, Vehicles, stack
from articulate.spec import rates
from articulate.spec.build_inputs import Inputs
from articulate.spec.build_tyres import FittedTyre, fitted_tyre, new_tyre
from articulate.spec.build_wheelhouse import AxleWheelhouse, WheelhouseSweep, axle_wheelhouse
from articulate.spec.errors import UnphysicalError, Violation
from articulate.spec.vehicle_spec import AxleChoices, VehicleSpec

Array = NDArray[np.float64]
_Raise = Callable[[Array], Array]  # rise of the body [m] at a distance behind the front axle [m]


@dataclass(frozen=True, eq=False)
class Bodywork:
    """What of the body can meet tyre or ramp; one lane per vehicle, at the ride height of the build.

    Gaps are hub travel from ride height, (lanes, 2), infinite where the file gives none; what each means is said at
    `AxleWheelhouse`. `points` are in the order of `point_names`: behind the front axle, left of centre, above ground.
    """

    arch_gap: Array  # (lanes, 2) [m], straight ahead, until the tyre meets the arch
    arch_gap_at_full_lock: Array  # (lanes, 2) [m], over the whole lock
    stop_gap: Array  # (lanes, 2) [m], of the bump stops as fitted
    stop_compression: Array  # (lanes, 2) [m], at full bump
    full_bump_travel: Array  # (lanes, 2) [m], of the hub on the stops as fitted
    clear_straight: Array  # (lanes, 2) [m], bump gap with which nothing rubs straight ahead, the clearance kept
    clear_at_full_lock: Array  # (lanes, 2) [m], the same over the lock
    clear_bump_gap: Array  # (lanes, 2) [m], the lesser of the two
    sweeps: tuple[WheelhouseSweep | None, WheelhouseSweep | None]  # front, rear: the points and how the wheel moves
    wheelhouse_gaps: tuple[Array, Array]  # front, rear: (lanes, points, 3) [m], `AxleWheelhouse.point_gaps`
    point_names: tuple[str, ...]
    points: Array  # (lanes, points, 3) [m]


@dataclass(frozen=True, eq=False)
class _Built:
    vehicles: Vehicles
    bodywork: Bodywork
    violations: tuple[Violation, ...]


def build(spec: VehicleSpec, samples: Mapping[str, Array] | None = None) -> Vehicles:
    """Build the arrays of one vehicle, or of one lane per sample.

    Args:
        spec: the resolved vehicle.
        samples: arrays of shape (lanes,) in SI that replace inputs, by their dotted key.

    Returns:
        Vehicles of as many lanes as the samples have, or of one.

    Raises:
        InputError: a key that is not an input of this vehicle, or arrays of different lengths.
        UnphysicalError: a derived value no vehicle can have, with the inputs and lanes it came from.
    """
    built = _build(spec, samples, whole=False)
    if built.violations:
        raise UnphysicalError(built.violations)
    return built.vehicles


def build_many(specs: Sequence[VehicleSpec]) -> Vehicles:
    """Build several vehicles into one batch, a lane each, in their order.

    Raises:
        UnphysicalError: as `build`.
    """
    return stack([build(spec) for spec in specs])


def build_bodywork(spec: VehicleSpec, samples: Mapping[str, Array] | None = None) -> Bodywork:
    """Arch gaps and body points at the same ride height, lane by lane as `build`.

    Raises:
        InputError, UnphysicalError: as `build`.
    """
    return build_whole(spec, samples)[1]


def build_whole(spec: VehicleSpec, samples: Mapping[str, Array] | None = None) -> tuple[Vehicles, Bodywork]:
    """Vehicles and bodywork of the same lanes at once.

    Raises:
        InputError, UnphysicalError: as `build`.
    """
    built = _build(spec, samples)
    if built.violations:
        raise UnphysicalError(built.violations)
    return built.vehicles, built.bodywork


def violations(spec: VehicleSpec) -> tuple[Violation, ...]:
    """What is unphysical about the nominal vehicle; empty for a vehicle that can stand."""
    return _build(spec, None, whole=False).violations


def nominal_axle_masses(spec: VehicleSpec) -> tuple[float, float]:
    """Mass on the front and on the rear wheels [kg], without the added loads."""
    masses = _masses(Inputs(spec, None))
    return float(masses.front[0]), float(masses.rear[0])


def nominal_gaps(spec: VehicleSpec, axle: str) -> tuple[float, float]:
    """Bump and droop gap [m] as the file describes them, before any ride height change."""
    bump, droop = _gaps(Inputs(spec, None), axle)
    return float(bump[0]), float(droop[0])


@dataclass(frozen=True, eq=False)
class _Masses:
    total: Array
    front: Array
    rear: Array
    keys: tuple[str, ...]


def _build(spec: VehicleSpec, samples: Mapping[str, Array] | None, whole: bool = True) -> _Built:
    x = Inputs(spec, samples)
    with np.errstate(invalid="ignore", over="ignore"):
        wheelbase = x["wheelbase"]
        masses = _masses(x)
        tyres = tuple(fitted_tyre(x, axle, choices) for axle, choices in zip(AXLES, spec.axles, strict=True))
        unsprung = tuple(_unsprung(x, axle, masses) for axle in AXLES)
        sprung_load = (masses.front - unsprung[0], masses.rear - unsprung[1])
        for axle, mass in zip(AXLES, sprung_load, strict=True):
            keys = (*masses.keys, f"{axle}.unsprung_mass", f"{axle}.unsprung_share")
            x.require(
                mass > 0.0,
                f"no sprung mass is left over the {axle} axle",
                keys,
                f"lower the unsprung mass or raise the {axle} axle load",
            )
        rise = tuple(
            x.get(f"{axle}.ride_height_change", 0.0) + tyre.grown(mass)
            for axle, tyre, mass in zip(AXLES, tyres, (masses.front, masses.rear), strict=True)
        )

        def raised(behind_front_axle: Array) -> Array:
            share = behind_front_axle / wheelbase
            return rise[0] * (1.0 - share) + rise[1] * share

        _hubs(x, masses, tyres)
        centre = _sprung_centre(x, masses, tyres, unsprung, raised)
        axles = tuple(
            _axle(x, axle, choices, mass) for axle, choices, mass in zip(AXLES, spec.axles, sprung_load, strict=True)
        )
        houses = tuple(
            axle_wheelhouse(x, axle, choices, parts, new_tyre(tyre), 0.5 * mass * STANDARD_GRAVITY, whole)
            for axle, choices, parts, tyre, mass in zip(AXLES, spec.axles, axles, tyres, sprung_load, strict=True)
        )
        for parts, house in zip(axles, houses, strict=True):
            parts["bump_gap"] = house.bump_gap
        load_mass, load_centre = _loads(x, spec, raised)
        total_track = x["front.track"] + x["rear.track"]
        cross = x.get("cross_link.wheel_rate", 0.0)
        if "cross_link.roll_stiffness" in x:
            cross = x["cross_link.roll_stiffness"] / total_track**2
        compliance = np.zeros(1) if spec.frame_is_rigid else 1.0 / x["frame.torsional_rate"]

    def both(front: Array, rear: Array) -> Array:
        return np.stack([x.spread(front), x.spread(rear)], axis=1)

    def each(name: str) -> Array:
        return both(axles[0][name], axles[1][name])

    def chosen(front: bool, rear: bool) -> NDArray[np.bool_]:
        return np.tile(np.array([front, rear]), (x.lanes, 1))

    first, second = spec.axles
    vehicles = Vehicles(
        wheelbase=x.spread(wheelbase),
        track=both(x["front.track"], x["rear.track"]),
        unsprung_mass=both(*(mass + 2.0 * tyre.mass_change for mass, tyre in zip(unsprung, tyres, strict=True))),
        sprung_mass=x.spread(sprung_load[0] + sprung_load[1]),
        sprung_centre=np.stack([x.spread(part) for part in centre], axis=1),
        load_mass=x.spread(load_mass),
        load_centre=np.stack([x.spread(part) for part in load_centre], axis=1),
        tyre_radius=both(tyres[0].radius, tyres[1].radius),
        tyre_stiffness=both(tyres[0].stiffness, tyres[1].stiffness),
        tyre_section_radius=both(tyres[0].section_radius, tyres[1].section_radius),
        solid=chosen(first.suspension == "solid", second.suspension == "solid"),
        spring_loose=chosen(first.spring_seat == "loose", second.spring_seat == "loose"),
        bar_releasable=chosen(first.bar_releasable, second.bar_releasable),
        cross_link_rate=x.spread(cross),
        frame_compliance=x.spread(compliance),
        friction_stiffness=np.full((x.lanes, 2), FRICTION_STIFFNESS),
        **{name: each(name) for name in axles[0]},
    )

    def gaps(name: str) -> Array:
        return both(getattr(houses[0], name), getattr(houses[1], name))

    points = [_place(x, f"body_point.{name}", raised) for name in spec.body_points]
    body = Bodywork(
        arch_gap=gaps("arch_gap"),
        arch_gap_at_full_lock=gaps("arch_gap_at_full_lock"),
        stop_gap=gaps("stop_gap"),
        stop_compression=gaps("stop_compression"),
        full_bump_travel=gaps("full_bump_travel"),
        clear_straight=gaps("clear_straight"),
        clear_at_full_lock=gaps("clear_at_full_lock"),
        clear_bump_gap=gaps("clear_bump_gap"),
        sweeps=(houses[0].sweep, houses[1].sweep),
        wheelhouse_gaps=(_point_gaps(x, houses[0]), _point_gaps(x, houses[1])),
        point_names=spec.body_points,
        points=np.array([[x.spread(part) for part in point] for point in points])
        .reshape(len(points), 3, x.lanes)
        .transpose(2, 0, 1),
    )
    return _Built(vehicles, body, tuple(x.violations))


def _masses(x: Inputs) -> _Masses:
    """Total and axle masses [kg] from the two that are given."""
    keys = tuple(key for key in ("mass.total", "mass.front_axle", "mass.rear_axle", "mass.front_share") if key in x)
    match tuple(key.removeprefix("mass.") for key in keys):
        case ("front_axle", "rear_axle"):
            front, rear = x["mass.front_axle"], x["mass.rear_axle"]
            total = front + rear
        case ("total", "front_share"):
            total = x["mass.total"]
            front = total * x["mass.front_share"]
            rear = total - front
        case ("total", "front_axle"):
            total, front = x["mass.total"], x["mass.front_axle"]
            rear = total - front
        case ("total", "rear_axle"):
            total, rear = x["mass.total"], x["mass.rear_axle"]
            front = total - rear
        case ("front_axle", "front_share"):
            front = x["mass.front_axle"]
            total = front / x["mass.front_share"]
            rear = total - front
        case _:  # ("rear_axle", "front_share"); resolve leaves no other
            rear = x["mass.rear_axle"]
            total = rear / (1.0 - x["mass.front_share"])
            front = total - rear
    return _Masses(total, front, rear, keys)


def _point_gaps(x: Inputs, house: AxleWheelhouse) -> Array:
    return np.array(np.broadcast_to(house.point_gaps, (x.lanes, *house.point_gaps.shape[1:])))


def _unsprung(x: Inputs, axle: str, masses: _Masses) -> Array:
    if f"{axle}.unsprung_mass" in x:
        return x[f"{axle}.unsprung_mass"]
    return x[f"{axle}.unsprung_share"] * masses.total


def _sprung_centre(
    x: Inputs,
    masses: _Masses,
    tyres: Sequence[FittedTyre],
    unsprung: Sequence[Array],
    raised: _Raise,
) -> tuple[Array, Array, Array]:
    """Centre of gravity of the sprung mass: behind the front axle, left of centre, above ground [m].

    Moments of the whole vehicle less those of the unsprung masses at their hubs, on the tyres and at
    the ride height on which its height was measured; then raised with the body.
    """
    sprung = masses.total - unsprung[0] - unsprung[1]
    behind = x["wheelbase"] * (masses.rear - unsprung[1]) / sprung
    left = x["mass.left_of_centre"] * masses.total / sprung
    height_key = "mass.centre_of_gravity_height"
    if height_key in x:
        height = x[height_key]
    else:
        height_key = "mass.static_stability_factor"
        height = 0.25 * (x["front.track"] + x["rear.track"]) / x[height_key]
    moment = masses.total * height
    for tyre, mass, axle_mass in zip(tyres, unsprung, (masses.front, masses.rear), strict=True):
        deflection = 0.5 * axle_mass * STANDARD_GRAVITY / tyre.measured_stiffness
        moment = moment - mass * (tyre.measured_radius - deflection)
    above = moment / sprung
    keys = (height_key, *masses.keys, "front.unsprung_mass", "rear.unsprung_mass")
    x.require(
        above > 0.0,
        "the centre of gravity of the sprung mass is below the ground",
        keys,
        "raise the centre of gravity height or lower the unsprung masses",
    )
    return behind, left, above + raised(behind)


def _hubs(x: Inputs, masses: _Masses, tyres: Sequence[FittedTyre]) -> None:
    """Require tyres that carry their load before they are pressed flat."""
    for axle, tyre, mass in zip(AXLES, tyres, (masses.front, masses.rear), strict=True):
        deflection = (0.5 * mass + tyre.mass_change) * STANDARD_GRAVITY / tyre.stiffness
        x.require(
            (deflection < tyre.radius) & (deflection < 2.0 * tyre.section_radius),
            f"the {axle} tyres are pressed flat and the hubs sink to the ground",
            (*tyre.keys, *masses.keys),
            "raise the pressure or the stiffness, or lower the mass",
        )


def _axle(x: Inputs, axle: str, choices: AxleChoices, sprung_mass: Array) -> dict[str, Array]:
    """Everything of one axle between the hubs and the body, by the names of the model's arrays."""
    track, solid = x[f"{axle}.track"], choices.suspension == "solid"
    change = x.get(f"{axle}.ride_height_change", 0.0)
    half_track = 0.5 * track
    spring_half_base = _half_base(x, f"{axle}.spring") if solid else half_track
    spring_rate = _spring_rate(x, axle, sprung_mass)
    bump, droop = _gaps(x, axle)
    bump, droop = bump + change, droop - change
    gap_keys = [f"{axle}.travel.{name}" for name in ("bump", "droop", "total", "bump_share")]
    for name, gap in (("bump", bump), ("droop", droop)):
        x.require(
            gap >= 0.0,
            f"no {name} travel is left on the {axle} axle",
            (*gap_keys, f"{axle}.ride_height_change"),
            "correct the travel or the ride height change",
        )
    if solid:
        swing_arm, pivot = track, x[f"{axle}.roll_centre_above_hub"]
    else:
        key = f"{axle}.swing_arm_length"
        arm_key = key if key in x else f"{axle}.swing_arm_over_track"
        swing_arm = x[key] if key in x else x[arm_key] * track
        pivot = x[f"{axle}.pivot_above_hub"] + change
        reach = np.hypot(swing_arm, pivot)
        x.require(
            (bump < reach + pivot) & (droop < reach - pivot),
            f"the {axle} wheel cannot swing that far about its arm",
            (*gap_keys, arm_key, f"{axle}.pivot_above_hub", f"{axle}.ride_height_change"),
            "lengthen the swing arm or shorten the travel",
        )
    return {
        "swing_arm": swing_arm,
        "pivot_height": pivot,
        "spring_rate": spring_rate,
        "spring_half_base": spring_half_base,
        "friction_force": x[f"{axle}.suspension_friction"],
        "bump_gap": bump,
        "bump_rate": x[f"{axle}.bump_stop.rate"],
        "bump_rate_cubic": x[f"{axle}.bump_stop.cubic_rate"],
        "bump_half_base": _half_base(x, f"{axle}.bump_stop") if solid else half_track,
        "droop_gap": droop,
        "droop_rate": x[f"{axle}.droop_stop.rate"],
        "droop_half_base": _half_base(x, f"{axle}.droop_stop") if solid else half_track,
        "bar_rate": _bar_rate(x, axle, choices, spring_rate, spring_half_base),
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


def _spring_rate(x: Inputs, axle: str, sprung_mass: Array) -> Array:
    """Rate in the model's sense: at the wheel when both wheels move together [N/m]."""
    part = f"{axle}.spring"
    if f"{part}.wheel_rate" in x:
        return x[f"{part}.wheel_rate"]
    if f"{part}.rate" in x:
        return rates.wheel_rate_from_spring(x[f"{part}.rate"], _ratio(x, part, "spring"))
    return rates.wheel_rate_from_frequency(x[f"{part}.ride_frequency"], 0.5 * sprung_mass)


def _gaps(x: Inputs, axle: str) -> tuple[Array, Array]:
    """Bump and droop gap at the ride height of the measurement [m]."""
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


def _bar_rate(x: Inputs, axle: str, choices: AxleChoices, spring_rate: Array, spring_half_base: Array) -> Array:
    """Rate k_b of the bar at the wheels, for an energy k_b (u_left - u_right)^2/2 [N/m]."""
    part, track = f"{axle}.anti_roll_bar", x[f"{axle}.track"]
    if not choices.bar_fitted:
        return np.zeros(1)
    if f"{part}.roll_stiffness" in x:
        return rates.bar_rate_from_roll_stiffness(x[f"{part}.roll_stiffness"], track)
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


def _place(x: Inputs, part: str, raised: _Raise) -> tuple[Array, Array, Array]:
    behind = x[f"{part}.behind_front_axle"]
    return behind, x[f"{part}.left_of_centre"], x[f"{part}.height"] + raised(behind)


def _loads(x: Inputs, spec: VehicleSpec, raised: _Raise) -> tuple[Array, tuple[Array, Array, Array]]:
    """Added mass [kg] and its common centre of gravity [m]; the origin where there is none."""
    total, moments = np.zeros(1), [np.zeros(1)] * 3
    for name in spec.loads:
        mass = x[f"load.{name}.mass"]
        total = total + mass
        place = _place(x, f"load.{name}", raised)
        moments = [moment + mass * part for moment, part in zip(moments, place, strict=True)]
    divisor = np.where(total > 0.0, total, 1.0)
    return total, (moments[0] / divisor, moments[1] / divisor, moments[2] / divisor)
