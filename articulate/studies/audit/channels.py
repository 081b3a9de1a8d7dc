"""Everything that can be read off a vehicle under test, as numbers: the scores of the sheet and the answers to checks.

A channel has a key, under which its value is given and answered, a unit, and the scatter of reading it. What a
look with the eyes finds (`LOOKS` in `checks`) has no number: it is found, or all is well.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.constants import DEGREE
from articulate.measure.conversions import SCORE_SCALE
from articulate.model.vehicles import Vehicles
from articulate.spec.quantities import ANGLE, FORCE, LENGTH, LINEAR_RATE, PRESSURE, RATIO, Dimension
from articulate.studies.audit.cause import Cause, Scene
from articulate.studies.audit.worlds import AtMark, Worlds
from articulate.types import AXLES, WHEELS, Case, ramp_wheel

Array = NDArray[np.float64]

MM = 1e-3
RETAKEN_SCATTER = 4.0 * MM  # of the same mark, taken again with care
REPEATED_SCATTER = 12.0 * MM  # of stopping, marking and reading a run once more


@dataclass(frozen=True, eq=False, repr=False)
class Seen(Brief):
    """Worlds with a cause at work, and the climbs the sheet would make of them by reading."""

    worlds: Worlds
    climbs: list[Array]  # by reading, (points,) [m], as they would be read
    marks: list[Array]  # by reading, (points,) [m], where the marks really are
    cause: Cause | None
    size: Array  # (points,)
    variant: str = ""

    def shown(self, key: str) -> Array:
        """The size of a cause that this channel shows, else one, (points,)."""
        here = self.cause is not None and self.cause.shows == key
        return self.size if here else np.ones(self.worlds.points)


@dataclass(frozen=True)
class Channel:
    """One number that can be read.

    `value` gives it for every point [SI], `scatter` is the standard deviation of reading it; `of_reading` says that it
    hangs on how the runs were read, and not on the vehicle alone.
    """

    key: str
    what: str
    dimension: Dimension
    unit: str
    unit_size: float
    scatter: float
    value: Callable[[Seen], Array]
    of_reading: bool = False


ONE_TYRE = "tyre.pressure of one"  # what a cause shows that sits in one tyre
FINDS, MISLEADS = 0.93, 0.03  # a look finds what is there; it finds what is not
FINDS_OTHER = 0.2  # where no declared cause is at work, but another one: one look in five may show it; judgement


def key_of(case: Case) -> str:
    """Side and bars as they stand in the keys."""
    return f"{case.side}.{case.bars}"


def wheel_key(wheel: int) -> str:
    """A wheel as it stands in the keys."""
    return WHEELS[wheel].replace(" ", "_")


def _length(key: str, what: str, scatter: float, value: Callable[[Seen], Array], of_reading: bool = False) -> Channel:
    return Channel(key, what, LENGTH, "mm", MM, scatter, value, of_reading)


def _at(case: Case, pick: Callable[[AtMark], Array]) -> Callable[[Seen], Array]:
    return lambda seen: pick(seen.worlds.runs[case])


def _climb(case: Case) -> Callable[[Seen], Array]:
    return lambda seen: seen.worlds.taped(case)


def _mark(index: int) -> Callable[[Seen], Array]:
    return lambda seen: seen.marks[index]


def _score(scene: Scene, index: int) -> Callable[[Seen], Array]:
    return lambda seen: SCORE_SCALE * seen.climbs[index] / scene.wheelbase


def at_mark_channels(case: Case, has_arch: bool) -> list[Channel]:
    """What can be seen where a run ends."""
    where, at = key_of(case), f"at the mark, {case.side}, bars {case.bars}"

    def angle(key: str, what: str, pick: Callable[[AtMark], Array]) -> Channel:
        return Channel(f"{where}.{key}", f"{what} {at}", ANGLE, "deg", DEGREE, 0.3 * DEGREE, _at(case, pick))

    found = [
        angle("roll", "roll of the body", lambda run: run.roll),
        angle("roll_front", "roll at the front bumper", lambda run: run.roll + 0.5 * run.twist),
        angle("roll_rear", "roll at the rear bumper", lambda run: run.roll - 0.5 * run.twist),
        angle("pitch", "pitch of the body", lambda run: run.pitch),
    ]
    for wheel, name in enumerate(WHEELS):

        def corner(key: str, what: str, field: str, wheel: int = wheel, name: str = name) -> Channel:
            return _length(
                f"{where}.{key}.{wheel_key(wheel)}",
                f"{what} {name} {at}",
                4.0 * MM,
                _at(case, lambda run: np.asarray(getattr(run, field)[:, wheel])),
            )

        found += [
            corner("stop_gap", "gap left over the bump stop", "stop_gap"),
            corner("hub_travel", "hub travel", "hub_travel"),
            Channel(
                f"{where}.load.{wheel_key(wheel)}",
                f"load {name} {at}",
                FORCE,
                "N",
                1.0,
                150.0,
                _at(case, lambda run, wheel=wheel: run.wheel_load[:, wheel]),  # type: ignore[misc]
            ),
        ]
        if has_arch:
            found.append(corner("arch_gap", "gap to the arch", "tyre_gap"))
    return found


def score_channels(scene: Scene) -> list[Channel]:
    """The sheet's scores, in the order of its readings."""
    return [
        Channel(f"reading.{i}", f"score {r.name}", RATIO, "", 1.0, r.uncertainty, _score(scene, i), True)
        for i, r in enumerate(scene.readings)
    ]


def contest_channel(case: Case) -> Channel:
    """Which wheel lifts, as a number: above zero the rear wheel of the lane, below the other front wheel [N]."""
    return Channel(f"contest.{key_of(case)}", "", FORCE, "N", 1.0, 0.0, _at(case, lambda run: run.contest))


def other_channels(scene: Scene) -> list[Channel]:
    """What can be taken again, and what can be seen of the vehicle and the ramp at rest."""
    found = []
    first = {reading.case: i for i, reading in reversed(list(enumerate(scene.readings)))}
    for case in scene.runs:
        name = f"{case.side}, bars {case.bars}"
        if case in first:
            key, what = f"{key_of(case)}.mark_again", f"distance of the same mark along the ramp, {name}"
            found.append(_length(key, what, RETAKEN_SCATTER, _mark(first[case]), True))
        key, what = f"{key_of(case)}.run_again", f"climb along the ramp of another run, {name}"
        found.append(_length(key, what, REPEATED_SCATTER, _climb(case)))
    for wheel, name in enumerate(WHEELS):
        key = wheel_key(wheel)
        load, hub, bump, droop = (_rest(field, wheel) for field in ("rest_load", "rest_hub", "rest_bump", "rest_droop"))
        found += [
            Channel(f"rest.load.{key}", f"load {name} at rest", FORCE, "N", 1.0, 60.0, load),
            _length(f"rest.hub_height.{key}", f"hub height {name} at rest", 2.0 * MM, hub),
            _length(f"rest.stop_gap.{key}", f"gap over the bump stop {name} at rest", 3.0 * MM, bump),
            _length(f"rest.droop.{key}", f"fall of the {name} wheel to full droop, at the stop", 4.0 * MM, droop),
        ]
    for i, axle in enumerate(AXLES):
        rate = float(scene.nominal.spring_rate[0, i])
        found.append(
            Channel(
                f"spring_rate.{axle}",
                f"wheel rate of the {axle} springs (at the spring on a solid axle)",
                LINEAR_RATE,
                "N/mm",
                1e3,
                0.05 * rate,
                lambda seen, i=i: seen.worlds.subject.vehicles.spring_rate[:, i],  # type: ignore[misc]
            )
        )
        found.append(
            _length(
                f"friction_band.{axle}",
                f"heights at which the body stays over the {axle} axle, from let down to let up",
                3.0 * MM,
                lambda seen, i=i: _friction_band(seen.worlds.subject.vehicles, i),  # type: ignore[misc]
            )
        )
    found += [
        Channel(
            "ramp.angle",
            "angle of the ramp",
            ANGLE,
            "deg",
            DEGREE,
            0.1 * DEGREE,
            lambda seen: seen.worlds.subject.ramp_angle,
        ),
        Channel(
            "vehicle.heading",
            "angle between the line of the wheels and that of the ramp",
            ANGLE,
            "deg",
            DEGREE,
            1.0 * DEGREE,
            _heading,
        ),
        _length("ramp.sinks", "how far the ramp gives under the wheel at the mark", 2.0 * MM, _sinking(scene, 0)),
        _length("floor.sinks", "how far the rear wheel that carries most sinks in", 3.0 * MM, _sinking(scene, 1)),
        _length("wheelbase", "wheelbase", 3.0 * MM, lambda seen: scene.used_wheelbase * seen.shown("wheelbase"), True),
        _length(
            "tyre.diameter",
            "unloaded diameter of the tyres",
            4.0 * MM,
            lambda seen: seen.worlds.subject.vehicles.tyre_radius.sum(axis=1),
        ),
    ]
    radius = scene.sheet_radius
    if radius is not None:
        found.append(
            _length(
                "wheel.radius",
                "radius of the loaded wheel that the sheet gives, taken again",
                3.0 * MM,
                lambda seen: radius - seen.size * float(seen.cause is not None and seen.cause.shows == "wheel.radius"),
                True,
            )
        )
    pressure = scene.spec.inputs.get("tyre.pressure")
    if pressure is not None:
        spread = float(np.hypot(5e3, pressure.standard_uncertainty))
        tyres = [("tyre.pressure", "pressure of the tyres, all alike", "")]
        tyres += [
            (f"tyre.pressure.{wheel_key(i)}", f"pressure of the {name} tyre", name) for i, name in enumerate(WHEELS)
        ]
        found += [
            Channel(
                key,
                what,
                PRESSURE,
                "kPa",
                1e3,
                spread,
                lambda seen, name=name: pressure.value * _pressed(seen, name),  # type: ignore[misc]
            )
            for key, what, name in tyres
        ]
    return found


def _pressed(seen: Seen, tyre: str) -> Array:
    """Pressure over the one in the file, of one tyre or of all."""
    low = seen.cause is not None and seen.cause.shows == ONE_TYRE and seen.variant == tyre
    return seen.size if low else seen.shown("tyre.pressure")


def _heading(seen: Seen) -> Array:
    heading = seen.worlds.subject.heading
    return np.zeros(seen.worlds.points) if heading is None else heading


def _sinking(scene: Scene, place: int) -> Callable[[Seen], Array]:
    """By how much the ground gives at the mark of the first run: of the ramp (0), of the floor behind (1)."""
    case = scene.cases[0]
    climbing = ramp_wheel(case.side)
    wheel = climbing if place == 0 else 3 - climbing

    def value(seen: Seen) -> Array:
        give = seen.worlds.subject.give
        return (
            np.zeros(seen.worlds.points)
            if give is None
            else give[:, place] * seen.worlds.runs[case].wheel_load[:, wheel]
        )

    return value


def observable_channels(scene: Scene) -> list[Channel]:
    """All that can be observed beside the scores: at the marks, again, and at rest."""
    has_arch = bool(np.isfinite(scene.arch_gap).all())
    return [c for case in scene.runs for c in at_mark_channels(case, has_arch)] + other_channels(scene)


def _friction_band(vehicles: Vehicles, axle: int) -> Array:
    """2 F_c / k: the body stays wherever friction can hold what the spring lacks or has too much."""
    return np.asarray(2.0 * vehicles.friction_force[:, axle] / vehicles.spring_rate[:, axle])


def _rest(field: str, wheel: int) -> Callable[[Seen], Array]:
    return lambda seen: np.asarray(getattr(seen.worlds, field)[:, wheel])
