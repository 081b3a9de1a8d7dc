"""Causes on the vehicle side: what stood on the ramp was not what the file describes, or not that ramp.

A cause here changes the model's arrays, lane by lane, and the whole climb is solved again.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from articulate.constants import DEGREE, STANDARD_GRAVITY
from articulate.model.vehicles import Vehicles
from articulate.spec.tyres import AT_NO_PRESSURE
from articulate.studies.audit.cause import AS_IT_IS, Cause, Scene, equally
from articulate.studies.audit.channels import ONE_TYRE
from articulate.studies.audit.sizes import NO_SIZE, even, ratio
from articulate.studies.audit.worlds import Stops, Subject
from articulate.types import AXLES, WHEELS, Case

Array = NDArray[np.float64]

LEAST_GAP = 0.002  # [m] of travel that always stays
RUBBING_RATE = 300e3  # [N/m] of a tyre pressed into its arch; order of magnitude from memory
OWN_STIFFNESS = AT_NO_PRESSURE * STANDARD_GRAVITY * 1e3  # [N/m] of a tyre without pressure
SINKING_LOAD = 1e4  # [N], under which ground is said to sink so far
STOWED = 4  # seed of the places of loads
METRE_NEWTON_PER_DEGREE = 1e3 * 180.0 / np.pi  # [N m/rad] of one kN m/deg


BOTH = "both axles"


def _axles_of(where: str) -> tuple[int, ...]:
    return (0, 1) if where == BOTH else (AXLES.index(where),)


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


def _runs_on(side: str) -> str:
    return f"{side} runs"


def _bar_still_acts(subject: Subject, case: Case, size: Array, runs: str) -> Vehicles:
    if case.bars == "connected" or runs not in ("", _runs_on(case.side)):
        return subject.in_case(case)
    vehicles = subject.vehicles
    kept = np.where(vehicles.bar_releasable, size[:, None], 1.0)
    return replace(vehicles, bar_rate=vehicles.bar_rate * kept)


def _bar_off(subject: Subject, case: Case, _size: Array, runs: str) -> Vehicles:
    return subject.vehicles.released() if runs in ("", _runs_on(case.side)) else subject.in_case(case)


STILL_ON = tuple(f"the {axle} one still on" for axle in AXLES)


def _one_bar_still_acts(subject: Subject, case: Case, _size: Array, which: str) -> Vehicles:
    vehicles, i = subject.vehicles, STILL_ON.index(which)
    if case.bars == "connected":
        return vehicles
    return replace(vehicles, bar_rate=_set(vehicles.released().bar_rate, i, vehicles.bar_rate[:, i]))


def _releasable(scene: Scene) -> tuple[str, ...]:
    return tuple(which for which, can in zip(STILL_ON, scene.nominal.releasable_axles[0], strict=True) if can)


def _spacers(subject: Subject, size: Array, where: str) -> Subject:
    vehicles = subject.vehicles
    gaps = vehicles.bump_gap
    for i in _axles_of(where):
        gaps = _set(gaps, i, np.maximum(vehicles.bump_gap[:, i] - size, LEAST_GAP))
    return replace(subject, vehicles=replace(vehicles, bump_gap=gaps))


def _on_tyres_as_stiff_as(subject: Subject, stiffness: Array) -> Vehicles:
    """Tyres of another stiffness (lanes, 2) [N/m]; the body sinks or rises with them."""
    vehicles = subject.vehicles
    changed = replace(vehicles, tyre_stiffness=stiffness)
    rise = changed.reference_hub_height() - vehicles.reference_hub_height()
    return _raised(replace(subject, vehicles=changed), (rise[:, 0], rise[:, 1]))


def _at_pressure(stiffness: Array, share: Array) -> Array:
    """Stiffness grows straight with pressure over what the tyre has without any (Rhyne)."""
    own = np.minimum(OWN_STIFFNESS, 0.5 * stiffness)
    return np.asarray(own + (stiffness - own) * share)


def _pressure(subject: Subject, size: Array, _variant: str) -> Subject:
    stiffness = _at_pressure(subject.vehicles.tyre_stiffness, size[:, None])
    return replace(subject, vehicles=_on_tyres_as_stiff_as(subject, stiffness))


def _one_low(subject: Subject, size: Array, corner: str) -> Subject:
    i, side = divmod(WHEELS.index(corner), 2)
    vehicles = subject.vehicles
    filed, share = vehicles.tyre_stiffness[:, i], vehicles.tyre_share.copy()
    share[:, i, side] = _at_pressure(filed, size) / filed
    return replace(subject, vehicles=replace(vehicles, tyre_share=share))


THE_RAMP, THE_FLOOR = "the ramp", "the floor under the rear wheels"


def _gives(subject: Subject, size: Array, where: str) -> Subject:
    """Ground that sinks in step with its load is a spring in series with the tyres that stand on it.

    On the ramp that is the climbing wheel, and softening the other front tyre too hardly matters: it is light there.
    """
    place = 0 if where == THE_RAMP else 1
    give = np.zeros((size.size, 2))
    give[:, place] = size / SINKING_LOAD
    stiffness = 1.0 / (1.0 / subject.vehicles.tyre_stiffness + give)
    return replace(subject, vehicles=_on_tyres_as_stiff_as(subject, stiffness), give=give)


def _askew(subject: Subject, size: Array, _variant: str) -> Subject:
    """Along a line that is off the ramp's the way up is less steep; what the ramp leans to the side is left out."""
    angle = np.arcsin(np.sin(subject.test.angle) * np.cos(size))
    return replace(subject, test=replace(subject.test, angle=angle), heading=size)


def _levelled(subject: Subject, case: Case, size: Array, axle: str) -> Vehicles:
    return _ride_height(subject, size, axle).in_case(case)


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


# What the file counts and is not there: an empty tank lies low before or behind the rear axle, people sit higher.
TAKEN_OUT = {
    "the tank empty": (_Stowage((0.55, 1.15), (-0.25, 0.25), (-0.35, 0.0)), 0.35),
    "driver or passenger out": (_Stowage((0.3, 0.65), (-0.3, 0.3), (-0.05, 0.3)), 0.4),
    "out of the rear": (_Stowage((0.75, 1.2), (-0.3, 0.3), (-0.2, 0.5)), 0.25),
}
LEAST_MASS = 1e-6  # [kg] of a load in whose place a moment is kept


def _with_mass(subject: Subject, mass: Array, place: Array) -> Subject:
    """A mass more, or less, (lanes,) [kg], at a place (lanes, 3) [m]."""
    vehicles = subject.vehicles
    total = vehicles.load_mass + mass
    total = np.where(np.abs(total) < LEAST_MASS, LEAST_MASS, total)
    moment = vehicles.load_mass[:, None] * vehicles.load_centre + mass[:, None] * place
    return replace(subject, vehicles=replace(vehicles, load_mass=total, load_centre=moment / total[:, None]))


def _payload(subject: Subject, size: Array, where: str) -> Subject:
    return _with_mass(subject, size, STOWAGE[where][0].of(subject.vehicles))


def _lighter(subject: Subject, size: Array, where: str) -> Subject:
    return _with_mass(subject, -size, TAKEN_OUT[where][0].of(subject.vehicles))


def _ride_height(subject: Subject, size: Array, where: str) -> Subject:
    for i in _axles_of(where):
        subject = _lifted(subject, size, i)
    return subject


def _lifted(subject: Subject, size: Array, i: int) -> Subject:
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


def _scaled(subject: Subject, size: Array, where: str, *names: str) -> Subject:
    """Arrays of one axle, or both, times a factor."""
    vehicles = subject.vehicles
    for i in _axles_of(where):
        arrays = {name: getattr(vehicles, name) for name in names}
        changed: dict[str, Any] = {name: _set(array, i, array[:, i] * size) for name, array in arrays.items()}
        vehicles = replace(vehicles, **changed)
    return replace(subject, vehicles=vehicles)


def _spring(subject: Subject, size: Array, axle: str) -> Subject:
    return _scaled(subject, size, axle, "spring_rate")


def _stops(subject: Subject, size: Array, axle: str) -> Subject:
    return _scaled(subject, size, axle, "bump_rate", "bump_rate_cubic")


def _auxiliary(subject: Subject, size: Array, axle: str) -> Subject:
    return _scaled(subject, size, axle, "auxiliary_rate", "auxiliary_rate_cubic")


def _damper(subject: Subject, size: Array, where: str) -> Subject:
    vehicles = subject.vehicles
    gaps = vehicles.droop_gap
    for i in _axles_of(where):
        gaps = _set(gaps, i, np.maximum(vehicles.droop_gap[:, i] - size, LEAST_GAP))
    return replace(subject, vehicles=replace(vehicles, droop_gap=gaps))


def _rubbing(subject: Subject, size: Array, axle: str) -> Subject:
    """The arch takes the bump stop's place where the tyre meets it first: at the wheel, stiff.

    The gap over the stop itself stays what it is.
    """
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
    arch = _set(subject.arch_gap, i, size)
    return replace(subject, vehicles=vehicles, arch_gap=arch, stops=Stops.of(old))


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


def _axles_or_both(_scene: Scene) -> Mapping[str, float]:
    """What comes as a set, a lift or springs and dampers all round, sits at both ends."""
    return {"front": 0.35, "rear": 0.35, BOTH: 0.3}


def _without_leaves(scene: Scene) -> Mapping[str, float]:
    return equally(*(axle for i, axle in enumerate(AXLES) if scene.spec.axles[i].spring_kind != "leaf"))


def _on_air(scene: Scene) -> Mapping[str, float]:
    return equally(*(axle for i, axle in enumerate(AXLES) if scene.spec.axles[i].spring_kind == "air"))


def _coils(scene: Scene) -> Mapping[str, float]:
    return equally(*(wheel for i, wheel in enumerate(WHEELS) if scene.spec.axles[i // 2].spring_kind == "coil"))


def _has(case_bars: str) -> Callable[[Scene], bool]:
    return lambda scene: scene.can_release and any(case.bars == case_bars for case in scene.cases)


BARS_HABIT = 0.7  # share of the day's misunderstandings; the others are runs in which a bar was forgotten (no source)


def _all_or_one_side(case_bars: str) -> Callable[[Scene], Mapping[str, float]]:
    """A bar that is not as it is called in all runs that are called so or, where both sides are driven, on one side."""

    def variants(scene: Scene) -> Mapping[str, float]:
        sides = dict.fromkeys(case.side for case in scene.cases if case.bars == case_bars)
        if len(sides) < 2:
            return AS_IT_IS
        return {"": BARS_HABIT} | {_runs_on(side): (1.0 - BARS_HABIT) / len(sides) for side in sides}

    return variants


VEHICLE_CAUSES = (
    Cause(
        "ramp of another angle",
        "The ramp is not as steep as the sheet says, or steeper.",
        even(-6.0, 6.0, "deg", DEGREE, "steeper than written"),
        2.0,
        alter=_angle,
        correct="write the angle that was measured into the sheet",
    ),
    Cause(
        "wheelspin",
        "Driven wheels spun before a wheel lifted, and where the vehicle stopped was read as its mark: a limit of "
        "drive and grip, not of the suspension.",
        even(0.25, 1.0, "", 1.0, "friction of tyre on ramp and floor"),
        1.5,
        alter=_wheelspin,
        variants=_drives,
        when=lambda scene: any(reading.lifted is None for reading in scene.readings),
        marks=("tread streaks",),
        correct="publish it as where it spun, or lock what can be locked and run it again",
    ),
    Cause(
        "bar not really released",
        "The anti-roll bar was called released but was still bound, so part of it went on acting.",
        even(10.0, 100.0, "%", 0.01, "share of the bar still acting", whole=0.5),  # as often as not nobody released it
        2.0,
        alter_case=_bar_still_acts,
        variants=_all_or_one_side("released"),
        when=_has("released"),
        marks=("bar links",),
        correct="release it all the way and run it again",
    ),
    Cause(
        "one of two bars released only",
        "Only one of the two anti-roll bars was released; the other one went on acting.",
        NO_SIZE,
        1.0,
        alter_case=_one_bar_still_acts,
        variants=lambda scene: equally(*_releasable(scene)),
        when=lambda scene: _has("released")(scene) and len(_releasable(scene)) == 2,
        marks=("bar links",),
        correct="release both and run it again",
    ),
    Cause(
        "bar released when called connected",
        "The anti-roll bar was released while the run was written down as connected.",
        NO_SIZE,
        1.0,
        alter_case=_bar_off,
        variants=_all_or_one_side("connected"),
        when=_has("connected"),
        marks=("bar links",),
        correct="write those runs as released, or connect the bar and run them again",
    ),
    Cause(
        "stop spacers missing or added",
        "The bump stops carry spacers the file does not know, or lack some it counts on.",
        even(-60.0, 60.0, "mm", 1e-3, "stops longer by"),
        1.5,
        alter=_spacers,
        variants=_axles_or_both,
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
        "one tyre low",
        "One tyre had lost pressure and stood lower and softer than the others.",
        ratio(15.0, 75.0, "%", 0.01, "its pressure over the one in the file"),
        0.7,
        alter=_one_low,
        variants=lambda _: equally(*WHEELS),
        marks=("low tyre",),
        shows=ONE_TYRE,
        correct="pump it up and run it again",
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
        "lighter than filed",
        "The file counts fuel, people or cargo that were not aboard.",
        ratio(15.0, 250.0, "kg", 1.0, "less mass"),
        1.5,
        alter=_lighter,
        variants=lambda _: {place: share for place, (_, share) in TAKEN_OUT.items()},
        marks=("load aboard",),
    ),
    Cause(
        "ride height off",
        "The body stood higher or lower than when the file was made: sagged, lifted or trimmed otherwise, at one end "
        "or both.",
        even(-60.0, 60.0, "mm", 1e-3, "higher by"),
        1.5,
        alter=_ride_height,
        variants=_axles_or_both,
    ),
    Cause(
        "weak or wrong spring",
        "The springs are softer or stiffer than the file says, at one end or both.",
        ratio(50.0, 200.0, "%", 0.01, "rate over the one in the file"),
        1.5,
        alter=_spring,
        variants=_axles_or_both,
    ),
    Cause(
        "bump stops hot, worn or changed",
        "The bump stops give more or less than the file says: warm from driving, worn, or of another kind.",
        ratio(25.0, 300.0, "%", 0.01, "stiffness over the one in the file"),
        1.0,
        alter=_stops,
        variants=_axles_or_both,
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
        "The dampers reach their full length early, so the wheels droop less than the file says.",
        even(5.0, 90.0, "mm", 1e-3, "droop less by"),
        1.0,
        alter=_damper,
        variants=_axles_or_both,
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
        marks=("coil seats",),
    ),
    Cause(
        "leaf friction",
        "The leaf packs bind: dry friction between the leaves holds the axle more than the file allows for.",
        ratio(100.0, 1500.0, "N", 1.0, "more friction at each corner"),
        1.0,
        alter=_friction,
        variants=_leaves,
    ),
    Cause(
        "binding joints or dampers",
        "Joints, bushes or dampers bind: dry friction holds the suspension more than the file allows for.",
        ratio(60.0, 900.0, "N", 1.0, "more friction at each corner"),
        1.0,
        alter=_friction,
        variants=_without_leaves,
    ),
    Cause(
        "ground that gives",
        "The ramp, or the floor under the rear wheels, gave way under load.",
        ratio(4.0, 70.0, "mm", 1e-3, "sinks under 10 kN by"),
        1.0,
        alter=_gives,
        variants=lambda _: equally(THE_RAMP, THE_FLOOR),
        rest_as_filed=True,
        correct="run it again on a ramp and a floor that are firm",
    ),
    Cause(
        "vehicle at an angle to the ramp",
        "The vehicle did not climb straight up the ramp but at an angle to it.",
        even(3.0, 25.0, "deg", DEGREE, "off the ramp's line by"),
        1.0,
        alter=_askew,
        correct="line it up and run it again",
    ),
    Cause(
        "self-levelling at work",
        "Air springs levelled the body on the way up, so an axle stood higher or lower at the mark than at rest.",
        even(-60.0, 60.0, "mm", 1e-3, "higher at the mark by"),
        1.5,
        alter_case=_levelled,
        variants=_on_air,
        marks=("levelling",),
        rest_as_filed=True,
        correct="switch the levelling off and run it again",
    ),
    Cause(
        "frame twist",
        "The frame or body twists more than the file allows for.",
        ratio(1.0, 40.0, "kN m/deg", METRE_NEWTON_PER_DEGREE, "torsional rate in series with the file's"),
        1.0,
        alter=_frame,
    ),
)
