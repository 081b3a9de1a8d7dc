"""Causes on the vehicle side: what stood on the ramp was not what the file describes, or not that ramp.

A cause here changes the model's arrays, lane by lane, and the whole climb is solved again.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from articulate.model.constants import STANDARD_GRAVITY
from articulate.model.vehicles import AXLES, WHEELS, Vehicles
from articulate.studies.audit.cause import Cause, Scene, equally
from articulate.studies.audit.sizes import NO_SIZE, even, ratio
from articulate.studies.audit.worlds import Subject
from articulate.studies.population import Case

Array = NDArray[np.float64]

LEAST_GAP = 0.002  # [m] of travel that always stays
RUBBING_RATE = 300e3  # [N/m] of a tyre pressed into its arch; order of magnitude from memory
AT_NO_PRESSURE = 3.45 * STANDARD_GRAVITY * 1e3  # [N/m] of the tyre's own, Rhyne's equation (see spec.tyres)
STOWED = 4  # seed of the places of loads
METRE_NEWTON_PER_DEGREE = 1e3 * 180.0 / np.pi  # [N m/rad] of one kN m/deg


def _set(array: Array, axle: int, values: Array) -> Array:
    changed = array.copy()
    changed[:, axle] = values
    return changed


def _raised(subject: Subject, rise: Sequence[Array]) -> Vehicles:
    """The body higher by a rise over each axle [m]; gaps and tyres stay as they are."""
    vehicles = subject.vehicles

    def over(behind: Array) -> Array:
        share = behind / vehicles.wheelbase
        return np.asarray(rise[0] * (1.0 - share) + rise[1] * share)

    centre, load = vehicles.sprung_centre.copy(), vehicles.load_centre.copy()
    centre[:, 2] += over(centre[:, 0])
    load[:, 2] += over(load[:, 0])
    return replace(vehicles, sprung_centre=centre, load_centre=load)


def _bar_still_acts(subject: Subject, case: Case, size: Array) -> Vehicles:
    vehicles = subject.vehicles
    if case.bars == "connected":
        return vehicles
    kept = np.where(vehicles.bar_releasable, size[:, None], 1.0)
    return replace(vehicles, bar_rate=vehicles.bar_rate * kept)


def _bar_off(subject: Subject, _case: Case, _size: Array) -> Vehicles:
    return subject.vehicles.released()


def _spacers(subject: Subject, size: Array, axle: str) -> Subject:
    i, vehicles = AXLES.index(axle), subject.vehicles
    gap = np.maximum(vehicles.bump_gap[:, i] - size, LEAST_GAP)
    return replace(subject, vehicles=replace(vehicles, bump_gap=_set(vehicles.bump_gap, i, gap)))


def _pressure(subject: Subject, size: Array, _variant: str) -> Subject:
    """Stiffness grows straight with pressure over what the tyre has without any (Rhyne); the body sinks with it."""
    vehicles = subject.vehicles
    own = np.minimum(AT_NO_PRESSURE, 0.5 * vehicles.tyre_stiffness)
    softer = replace(vehicles, tyre_stiffness=own + (vehicles.tyre_stiffness - own) * size[:, None])
    rise = softer.reference_hub_height() - vehicles.reference_hub_height()
    return replace(subject, vehicles=_raised(replace(subject, vehicles=softer), (rise[:, 0], rise[:, 1])))


def _tyres(subject: Subject, size: Array, _variant: str) -> Subject:
    """Another diameter: the hub keeps its place in the body, which rises; the arch comes nearer."""
    rise = 0.5 * size
    vehicles = _raised(subject, (rise, rise))
    vehicles = replace(vehicles, tyre_radius=vehicles.tyre_radius + rise[:, None])
    return replace(subject, vehicles=vehicles, arch_gap=subject.arch_gap - rise[:, None])


@dataclass(frozen=True)
class _Stowage:
    """Where a load lies, anywhere between two limits: shares of wheelbase and track, metres over the sprung mass."""

    behind: tuple[float, float]
    left: tuple[float, float]
    above: tuple[float, float]

    def of(self, vehicles: Vehicles) -> Array:
        """A place in each vehicle, (lanes, 3) [m]."""
        shares = np.random.default_rng(STOWED).random((3, vehicles.lanes))
        behind, left, above = (
            low + (high - low) * share
            for (low, high), share in zip((self.behind, self.left, self.above), shares, strict=True)
        )
        height = vehicles.sprung_centre[:, 2] + above
        return np.stack([behind * vehicles.wheelbase, left * vehicles.track[:, 1], height], axis=1)


STOWAGE = {
    "in the rear, in the middle": (_Stowage((0.75, 1.2), (-0.1, 0.1), (-0.2, 0.5)), 0.4),
    "in the rear, on the left": (_Stowage((0.75, 1.2), (0.1, 0.35), (-0.2, 0.5)), 0.15),
    "in the rear, on the right": (_Stowage((0.75, 1.2), (-0.35, -0.1), (-0.2, 0.5)), 0.15),
    "between the axles or on the roof": (_Stowage((0.35, 0.75), (-0.25, 0.25), (-0.1, 1.1)), 0.3),
}


def _payload(subject: Subject, size: Array, where: str) -> Subject:
    vehicles = subject.vehicles
    place = STOWAGE[where][0].of(vehicles)
    mass = vehicles.load_mass + size
    moment = vehicles.load_mass[:, None] * vehicles.load_centre + size[:, None] * place
    centre = moment / np.where(mass > 0.0, mass, 1.0)[:, None]
    return replace(subject, vehicles=replace(vehicles, load_mass=mass, load_centre=centre))


def _ride_height(subject: Subject, size: Array, axle: str) -> Subject:
    i = AXLES.index(axle)
    old = subject.vehicles
    rise = np.clip(size, LEAST_GAP - old.bump_gap[:, i], old.droop_gap[:, i] - LEAST_GAP)
    vehicles = _raised(subject, (rise * (i == 0), rise * (i == 1)))
    pivot = vehicles.pivot_height[:, i] + np.where(vehicles.solid[:, i], 0.0, rise)
    vehicles = replace(
        vehicles,
        bump_gap=_set(vehicles.bump_gap, i, vehicles.bump_gap[:, i] + rise),
        droop_gap=_set(vehicles.droop_gap, i, vehicles.droop_gap[:, i] - rise),
        pivot_height=_set(vehicles.pivot_height, i, pivot),
    )
    return replace(subject, vehicles=vehicles, arch_gap=_set(subject.arch_gap, i, subject.arch_gap[:, i] + rise))


def _scaled(subject: Subject, size: Array, axle: str, *names: str) -> Subject:
    """Arrays of one axle times a factor."""
    i, vehicles = AXLES.index(axle), subject.vehicles
    arrays = {name: getattr(vehicles, name) for name in names}
    changed: dict[str, Any] = {name: _set(array, i, array[:, i] * size) for name, array in arrays.items()}
    return replace(subject, vehicles=replace(vehicles, **changed))


def _spring(subject: Subject, size: Array, axle: str) -> Subject:
    return _scaled(subject, size, axle, "spring_rate")


def _stops(subject: Subject, size: Array, axle: str) -> Subject:
    return _scaled(subject, size, axle, "bump_rate", "bump_rate_cubic")


def _auxiliary(subject: Subject, size: Array, axle: str) -> Subject:
    return _scaled(subject, size, axle, "auxiliary_rate", "auxiliary_rate_cubic")


def _damper(subject: Subject, size: Array, axle: str) -> Subject:
    i, vehicles = AXLES.index(axle), subject.vehicles
    gap = np.maximum(vehicles.droop_gap[:, i] - size, LEAST_GAP)
    return replace(subject, vehicles=replace(vehicles, droop_gap=_set(vehicles.droop_gap, i, gap)))


def _rubbing(subject: Subject, size: Array, axle: str) -> Subject:
    """The arch takes the bump stop's place where the tyre meets it first: at the wheel, stiff."""
    i, old = AXLES.index(axle), subject.vehicles
    first = size < old.bump_gap[:, i]

    def where(array: Array, value: Array | float) -> Array:
        return _set(array, i, np.where(first, value, array[:, i]))

    vehicles = replace(
        old,
        bump_gap=where(old.bump_gap, size),
        bump_rate=where(old.bump_rate, RUBBING_RATE),
        bump_rate_cubic=where(old.bump_rate_cubic, 0.0),
        bump_half_base=where(old.bump_half_base, 0.5 * old.track[:, i]),
    )
    return replace(subject, vehicles=vehicles, arch_gap=_set(subject.arch_gap, i, size))


def _seat(subject: Subject, size: Array, corner: str) -> Subject:
    """The coil of a corner stands lower, and those of its axle cannot pull."""
    i, side = divmod(WHEELS.index(corner), 2)
    vehicles = subject.vehicles
    loose, drop = vehicles.spring_loose.copy(), vehicles.spring_drop.copy()
    loose[:, i] = True
    drop[:, i, side] = size
    return replace(subject, vehicles=replace(vehicles, spring_loose=loose, spring_drop=drop))


def _friction(subject: Subject, size: Array, axle: str) -> Subject:
    i, vehicles = AXLES.index(axle), subject.vehicles
    force = vehicles.friction_force[:, i] + size
    return replace(subject, vehicles=replace(vehicles, friction_force=_set(vehicles.friction_force, i, force)))


def _leaves(scene: Scene) -> Mapping[str, float]:
    return equally(*(axle for i, axle in enumerate(AXLES) if scene.spec.axles[i].spring_kind == "leaf"))


def _frame(subject: Subject, size: Array, _variant: str) -> Subject:
    vehicles = subject.vehicles
    return replace(subject, vehicles=replace(vehicles, frame_compliance=vehicles.frame_compliance + 1.0 / size))


# Drives that a vehicle may have of which the file says nothing: front share, centre locked; open axles. Shares assumed.
USUAL_DRIVES = {
    "rear drive, open": ((0.0, False), 0.25),
    "front drive, open": ((1.0, False), 0.2),
    "all wheels, open centre": ((0.5, False), 0.25),
    "all wheels, centre locked, open axles": ((0.5, True), 0.3),
}
DRIVE_AS_FILED = "the drive as filed"


def _wheelspin(subject: Subject, size: Array, drive: str) -> Subject:
    """Less grip than counted on; by a usual drive with open axles where the file says nothing of the drive."""
    vehicles, lanes = subject.vehicles, subject.vehicles.lanes
    if drive in USUAL_DRIVES:
        (share, locked), _ = USUAL_DRIVES[drive]
        vehicles = replace(
            vehicles,
            drive_known=np.ones(lanes, dtype=bool),
            front_drive_share=np.full(lanes, share),
            centre_locked=np.full(lanes, locked),
            torque_ratio=np.ones((lanes, 2)),
        )
    return replace(subject, vehicles=vehicles, test=replace(subject.test, friction=size))


def _drives(scene: Scene) -> Mapping[str, float]:
    if scene.spec.drive is not None:
        return equally(DRIVE_AS_FILED)
    return {drive: share for drive, (_, share) in USUAL_DRIVES.items()}


def _angle(subject: Subject, size: Array, _variant: str) -> Subject:
    return replace(subject, test=replace(subject.test, angle=subject.test.angle + size))


def _axles(_scene: Scene) -> Mapping[str, float]:
    return equally(*AXLES)


def _coils(scene: Scene) -> Mapping[str, float]:
    return equally(*(wheel for i, wheel in enumerate(WHEELS) if scene.spec.axles[i // 2].spring_kind == "coil"))


def _has(case_bars: str) -> Callable[[Scene], bool]:
    return lambda scene: scene.can_release and any(case.bars == case_bars for case in scene.cases)


VEHICLE_CAUSES = (
    Cause(
        "ramp of another angle",
        "The ramp is not as steep as the sheet says, or steeper.",
        even(-6.0, 6.0, "deg", np.pi / 180.0, "steeper than written"),
        2.0,
        alter=_angle,
    ),
    Cause(
        "wheelspin",
        "Driven wheels spun before a wheel lifted, and where the vehicle stopped was read as its mark: a limit of "
        "drive and grip, not of the suspension.",
        even(0.25, 1.0, "", 1.0, "friction of tyre on ramp and floor"),
        1.5,
        alter=_wheelspin,
        variants=_drives,
        applies=lambda scene: any(reading.lifted is None for reading in scene.readings),
        marks=("tread streaks",),
    ),
    Cause(
        "bar not really released",
        "The anti-roll bar was called released but was still bound, so part of it went on acting.",
        even(10.0, 100.0, "%", 0.01, "share of the bar still acting"),
        2.0,
        alter_case=_bar_still_acts,
        applies=_has("released"),
        marks=("bar links",),
    ),
    Cause(
        "bar released when called connected",
        "The anti-roll bar was released while the run was written down as connected.",
        NO_SIZE,
        1.0,
        alter_case=_bar_off,
        applies=_has("connected"),
        marks=("bar links",),
    ),
    Cause(
        "stop spacers missing or added",
        "The bump stops carry spacers the file does not know, or lack some it counts on.",
        even(-60.0, 60.0, "mm", 1e-3, "stops longer by"),
        1.5,
        alter=_spacers,
        variants=_axles,
    ),
    Cause(
        "tyre pressure",
        "The tyres were not at the pressure in the file.",
        ratio(30.0, 180.0, "%", 0.01, "pressure over the one in the file"),
        2.0,
        alter=_pressure,
        shows="tyre.pressure",
    ),
    Cause(
        "different tyres",
        "The vehicle stood on tyres of another size than those in the file.",
        even(-80.0, 80.0, "mm", 1e-3, "diameter larger by"),
        1.0,
        alter=_tyres,
    ),
    Cause(
        "payload or full tank",
        "The vehicle carried load, or fuel, that the file does not count.",
        ratio(15.0, 600.0, "kg", 1.0, "more mass"),
        2.0,
        alter=_payload,
        variants=lambda _: {place: share for place, (_, share) in STOWAGE.items()},
        marks=("load aboard",),
    ),
    Cause(
        "ride height off",
        "The body stood higher or lower than when the file was made: sagged, lifted or trimmed otherwise.",
        even(-60.0, 60.0, "mm", 1e-3, "higher by"),
        1.5,
        alter=_ride_height,
        variants=_axles,
    ),
    Cause(
        "weak or wrong spring",
        "The springs of an axle are softer or stiffer than the file says.",
        ratio(50.0, 200.0, "%", 0.01, "rate over the one in the file"),
        1.5,
        alter=_spring,
        variants=_axles,
    ),
    Cause(
        "bump stops hot, worn or changed",
        "The bump stops of an axle give more or less than the file says: warm from driving, worn, or of another kind.",
        ratio(25.0, 300.0, "%", 0.01, "stiffness over the one in the file"),
        1.0,
        alter=_stops,
        variants=_axles,
    ),
    Cause(
        "auxiliary roll stiffness",
        "Bushings, arms or leaves of an axle resist opposite travel more or less than the file counts on.",
        ratio(25.0, 500.0, "%", 0.01, "stiffness over the one in the file"),
        1.0,
        alter=_auxiliary,
        variants=_axles,
    ),
    Cause(
        "damper that tops out early",
        "The dampers of an axle reach their full length early, so the wheels droop less than the file says.",
        even(5.0, 90.0, "mm", 1e-3, "droop less by"),
        1.0,
        alter=_damper,
        variants=_axles,
    ),
    Cause(
        "tyre rubbing its arch",
        "A tyre met its arch or liner before the bump stop was used up.",
        even(10.0, 90.0, "mm", 1e-3, "hub travel until it meets the arch"),
        1.0,
        alter=_rubbing,
        variants=_axles,
        marks=("rub marks",),
    ),
    Cause(
        "coil out of its seat",
        "A coil came out of its seat in droop and stands askew: its corner is shorter and it cannot pull.",
        even(8.0, 70.0, "mm", 1e-3, "coil stands lower by"),
        0.7,
        alter=_seat,
        variants=_coils,
        applies=lambda scene: bool(_coils(scene)),
        marks=("coil seats",),
    ),
    Cause(
        "leaf friction",
        "The leaf packs bind: dry friction between the leaves holds the axle more than the file allows for.",
        ratio(100.0, 1500.0, "N", 1.0, "more friction at each corner"),
        1.0,
        alter=_friction,
        variants=_leaves,
        applies=lambda scene: bool(_leaves(scene)),
    ),
    Cause(
        "frame twist",
        "The frame or body twists more than the file allows for.",
        ratio(1.0, 40.0, "kN m/deg", METRE_NEWTON_PER_DEGREE, "torsional rate in series with the file's"),
        1.0,
        alter=_frame,
    ),
)
