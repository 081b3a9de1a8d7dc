"""From a resolved vehicle to the arrays of the model, all lanes at once.

This is the only place where what people measure becomes what the model needs: axle loads become a
sprung centre of gravity, spacings half bases, frequencies rates, a lift or larger tyres a new ride height.
Every input may be an array of samples, and every derived value is worked out anew in each lane.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.constants import STANDARD_GRAVITY
from articulate.model.vehicles import FRICTION_STIFFNESS, Vehicles, stack
from articulate.spec import rates
from articulate.spec.build_axle import axle_parts, counted_travel, normal_spring_rate, ride_height_change, travel_gaps
from articulate.spec.build_drive import drive_arrays
from articulate.spec.build_inputs import Inputs
from articulate.spec.build_masses import (
    added_loads,
    axle_masses,
    raised_place,
    require_hubs,
    sprung_centre,
    unsprung_mass,
)
from articulate.spec.build_roll import with_roll_gradient
from articulate.spec.build_tyres import fitted_tyre, new_tyre
from articulate.spec.build_wheelhouse import FOR_CLIMBS, FULLY, Swept, WheelhouseSweep, axle_wheelhouse
from articulate.spec.errors import Fault, UnphysicalError, Violation
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.types import AXLES

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, repr=False)
class Bodywork(Brief):
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
    point_names: tuple[str, ...]
    points: Array  # (lanes, points, 3) [m]


@dataclass(frozen=True, eq=False, repr=False)
class _Built(Brief):
    vehicles: Vehicles
    bodywork: Bodywork
    violations: tuple[Violation, ...]
    ride_height_change: tuple[Array, Array]  # front, rear: (1,) or (lanes,) [m]


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
    return _possible(spec, samples, FOR_CLIMBS).vehicles


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


def build_whole(
    spec: VehicleSpec, samples: Mapping[str, Array] | None = None, swept: Swept = FULLY
) -> tuple[Vehicles, Bodywork]:
    """Vehicles and bodywork of the same lanes at once.

    Args:
        spec: the resolved vehicle.
        samples: as of `build`.
        swept: how far the sampled tyres are swept past points of the wheelhouse: gaps beyond count as infinite.

    Raises:
        InputError, UnphysicalError: as `build`.
    """
    built = _possible(spec, samples, swept)
    return built.vehicles, built.bodywork


def violations(spec: VehicleSpec) -> tuple[Violation, ...]:
    """What is unphysical about the nominal vehicle; empty for a vehicle that can stand."""
    return _nominal(spec).violations


def nominal_axle_masses(spec: VehicleSpec) -> tuple[float, float]:
    """Mass on the front and on the rear wheels [kg], without the added loads."""
    masses = axle_masses(Inputs(spec, None))
    return float(masses.front[0]), float(masses.rear[0])


def nominal_gaps(spec: VehicleSpec, axle: str) -> tuple[float, float]:
    """Bump gap to first touch and droop gap [m] as the file describes them, before any ride height change."""
    x, index = Inputs(spec, None), AXLES.index(axle)
    masses = axle_masses(x)
    sprung = (masses.front, masses.rear)[index] - unsprung_mass(x, axle, masses)
    gaps = travel_gaps(x, axle, spec.axles[index], sprung)
    return float(gaps.bump[0]), float(gaps.droop[0])


def nominal_travel(spec: VehicleSpec, axle: str) -> tuple[float, float]:
    """Bump and droop [m] as the file counts them, before any ride height change."""
    bump, droop = counted_travel(Inputs(spec, None), axle)
    return float(bump[0]), float(droop[0])


def nominal_ride_height_changes(spec: VehicleSpec) -> tuple[float, float]:
    """How much higher the nominal body stands in front and behind than when it was measured [m]."""
    front, rear = _nominal(spec).ride_height_change
    return float(front[0]), float(rear[0])


def faults_of(spec: VehicleSpec, violations: Sequence[Violation], lanes: int = 1) -> list[Fault]:
    """Violations as faults of the file, each at the first of its inputs that the file gives."""
    return [_fault(spec, violation, lanes) for violation in violations]


def _fault(spec: VehicleSpec, violation: Violation, lanes: int) -> Fault:
    paths = [tuple(key.split(".")) for key in violation.inputs]
    place, line = spec.document.place(next((path for path in paths if spec.document.at(path) is not None), ()))
    read = ", ".join(f"{key} {spec.inputs[key].text}" for key in violation.inputs)
    if lanes == 1:
        return Fault(place, line, "", read, violation.what, violation.works)
    why = f"{violation.what} in {violation.lanes.size} of {lanes} possible vehicles"
    return Fault(place, line, "", read, why, f"{violation.works}, or narrow the ranges")


def _possible(spec: VehicleSpec, samples: Mapping[str, Array] | None, swept: Swept) -> _Built:
    """What was built, if all lanes of it can be."""
    built = _build(spec, samples, swept)
    if built.violations:
        lanes = max((np.size(sample) for sample in (samples or {}).values()), default=1)
        raise UnphysicalError(built.violations, faults_of(spec, built.violations, lanes))
    return built


def _build(spec: VehicleSpec, samples: Mapping[str, Array] | None, swept: Swept) -> _Built:
    return _built(spec, samples, swept) if samples else _nominal(spec)


@lru_cache(maxsize=16)  # one answer asks for the nominal vehicle some eight times
def _nominal(spec: VehicleSpec) -> _Built:
    return _built(spec, None, FULLY)


def _built(spec: VehicleSpec, samples: Mapping[str, Array] | None, swept: Swept) -> _Built:
    x = Inputs(spec, samples)
    with np.errstate(invalid="ignore", over="ignore"):
        wheelbase = x["wheelbase"]
        masses = axle_masses(x)
        tyres = tuple(fitted_tyre(x, axle, choices) for axle, choices in zip(AXLES, spec.axles, strict=True))
        unsprung = tuple(unsprung_mass(x, axle, masses) for axle in AXLES)
        sprung_load = (masses.front - unsprung[0], masses.rear - unsprung[1])
        for axle, mass in zip(AXLES, sprung_load, strict=True):
            keys = (*masses.keys, f"{axle}.unsprung_mass", f"{axle}.unsprung_share")
            x.require(
                mass > 0.0,
                f"no sprung mass is left over the {axle} axle",
                keys,
                f"lower the unsprung mass or raise the {axle} axle load",
            )
        changes = tuple(
            ride_height_change(x, axle, choices, mass)
            for axle, choices, mass in zip(AXLES, spec.axles, sprung_load, strict=True)
        )
        rise = tuple(
            change + tyre.grown(mass)
            for change, tyre, mass in zip(changes, tyres, (masses.front, masses.rear), strict=True)
        )

        def raised(behind_front_axle: Array) -> Array:
            share = behind_front_axle / wheelbase
            return rise[0] * (1.0 - share) + rise[1] * share

        require_hubs(x, masses, tyres)
        centre = sprung_centre(x, masses, tyres, unsprung, raised)
        axles = tuple(
            axle_parts(x, axle, choices, mass, change)
            for axle, choices, mass, change in zip(AXLES, spec.axles, sprung_load, changes, strict=True)
        )
        houses = tuple(
            axle_wheelhouse(x, axle, choices, parts, new_tyre(tyre), 0.5 * mass * STANDARD_GRAVITY, change, swept)
            for axle, choices, parts, tyre, mass, change in zip(
                AXLES, spec.axles, axles, tyres, sprung_load, changes, strict=True
            )
        )
        for parts, house in zip(axles, houses, strict=True):
            parts["bump_gap"] = house.bump_gap
        load_mass, load_centre = added_loads(x, spec, raised)
        total_track = x["front.track"] + x["rear.track"]
        cross = x.get("cross_link.wheel_rate", 0.0)
        if "cross_link.roll_stiffness" in x:
            cross = x["cross_link.roll_stiffness"] / total_track**2
        elif "cross_link.over_spring_roll_stiffness" in x:
            springs = sum(
                rates.spring_roll_stiffness(normal_spring_rate(x, axle, mass), 2.0 * parts["spring_half_base"])
                for axle, mass, parts in zip(AXLES, sprung_load, axles, strict=True)
            )
            cross = x["cross_link.over_spring_roll_stiffness"] * springs / total_track**2
        compliance = np.zeros(1) if spec.frame_is_rigid else 1.0 / x["frame.torsional_rate"]

    def both(front: Array, rear: Array) -> Array:
        return np.stack([x.spread(front), x.spread(rear)], axis=1)

    def each(name: str) -> Array:
        return both(axles[0][name], axles[1][name])

    def chosen(front: bool, rear: bool) -> NDArray[np.bool_]:
        return np.tile(np.array([front, rear]), (x.lanes, 1))

    first, second = spec.axles
    drive = drive_arrays(x, spec.drive)
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
        spring_linked=chosen(first.springs_linked, second.springs_linked),
        bar_releasable=chosen(first.bar_releasable, second.bar_releasable),
        cross_link_rate=x.spread(cross),
        frame_compliance=x.spread(compliance),
        friction_stiffness=np.full((x.lanes, 2), FRICTION_STIFFNESS),
        drive_known=drive.known,
        front_drive_share=drive.front_share,
        centre_locked=drive.centre_locked,
        torque_ratio=drive.torque_ratio,
        **{name: each(name) for name in axles[0]},
    )

    with np.errstate(invalid="ignore", over="ignore"):
        vehicles = with_roll_gradient(x, vehicles, spec.inputs)

    def gaps(name: str) -> Array:
        return both(getattr(houses[0], name), getattr(houses[1], name))

    points = [raised_place(x, f"body_point.{name}", raised) for name in spec.body_points]
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
        point_names=spec.body_points,
        points=np.array([[x.spread(part) for part in point] for point in points])
        .reshape(len(points), 3, x.lanes)
        .transpose(2, 0, 1),
    )
    return _Built(vehicles, body, tuple(x.violations), (changes[0], changes[1]))
