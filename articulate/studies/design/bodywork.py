"""What the tyres and the ground leave of the bodywork: wheelhouse, angles, and clearance along the climb."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.ends import in_case
from articulate.model.balance import RampSystem
from articulate.model.measures import measures
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles, stack
from articulate.prediction import Prediction, Run, predict
from articulate.spec import Bodywork, VehicleSpec, WheelhouseSweep, build_whole
from articulate.studies.population.conditions import BOTH_BAR_STATES, Conditions, climbs_of, draw, lanes_of
from articulate.studies.population.intervals import Interval, interval
from articulate.studies.population.sampling import SEED
from articulate.studies.population.watched import watched_on
from articulate.trace import RAMP_WIDTH, Watched
from articulate.types import AXLES, Case, each_state, lateral_sign
from articulate.wheelhouse import RampAngles, arch_gaps, clearance_at, ramp_angles, steer_angles

Array = NDArray[np.float64]

POINTS = 256
FINE_TRAVEL, FINE_LOCK = 81, 30  # steps of the search for the nearest distance


@dataclass(frozen=True)
class WheelhousePoint:
    """Hub travel from ride height until the tyre meets one measured point; infinite where it never does [m]."""

    name: str
    straight: Interval  # on a solid axle with the other wheel hanging, as on the ramp
    over_lock: Interval
    together: Interval  # both wheels of a solid axle up; as `straight` on an independent one
    nearest: float  # least distance from the tyre within travel and lock [m], negative where it overlaps
    nearest_travel: float  # hub travel there [m]
    nearest_steer: float  # and steering angle [rad], positive with the front edge outwards
    lock_steer: float  # steering angle at which it is met first over the lock [rad], NaN where it never is


@dataclass(frozen=True)
class AxleClearance:
    """The wheelhouse of one axle; hub travel from ride height, except bump gaps, which are at the stop [m]."""

    axle: str
    solid: bool
    described: bool  # whether the file says anything of the arches
    lock_described: bool  # whether it says anything of full lock, or the axle is the rear one
    spaced: bool  # whether the file asks for spacers that keep the tyre clear
    points: tuple[WheelhousePoint, ...]
    arch_gap: Interval
    arch_gap_at_full_lock: Interval
    touches_first: str  # what the tyre meets first, straight ahead
    touches_first_at_lock: str
    stop_gap: Interval
    stop_compression: Interval
    full_bump_travel: Interval  # on the stops as fitted
    clearance_kept: float
    clear_bump_gap: Interval  # with which nothing rubs and the clearance is kept
    usable_bump_gap: Interval  # the lesser of the two
    limit: str  # which of them decides
    spacer: Interval  # what the stops need, zero where they need none
    ramp_travel: Mapping[str, float]  # highest hub travel on the ramp by state of the bars, stops as fitted
    rub_on_ramp: Interval  # how far that goes past the arch, wheels straight
    rub_on_ramp_share: float  # share of the possible vehicles that rub there
    rub_on_trail: Interval  # how far full bump goes past the arch, at full lock


@dataclass(frozen=True)
class PointClearance:
    """Clearance of one named body point along a climb."""

    name: str
    bars: str
    in_ramp_lane: bool  # the ramp passes under it
    least_clearance: float  # [m], square to what lies below
    least_at_climb: float  # [m]
    first_contact: float  # climb [m], NaN where it stays clear


@dataclass(frozen=True)
class StaticAngles:
    """Angles by 49 CFR 523.2, level and unloaded; what decides each is named, empty where no point does."""

    approach: Interval  # [rad]
    departure: Interval  # [rad]
    breakover: Interval  # [rad]
    running_clearance: Interval  # [m]
    loaded_radius: tuple[Interval, Interval]  # [m], front and rear
    approach_point: str
    departure_point: str
    breakover_point: str
    lowest_point: str


@dataclass(frozen=True, eq=False, repr=False)
class ClearanceReport(Brief):
    """All that can touch."""

    spec: VehicleSpec
    side: str
    ramp_angle: float  # [rad]
    ramp_width: float  # [m]
    points: int  # vehicles in the sample
    lost: int  # climbs of the sample without an end that can be used
    axles: tuple[AxleClearance, AxleClearance]
    angles: StaticAngles
    body: tuple[PointClearance, ...]
    prediction: Prediction


def end_travel(vehicles: Vehicles, test: RampTest, climb: Array, state: Array) -> Array:
    """Hub travel of the four wheels at the end of each climb, (lanes, 4) [m]; NaN where there is no end.

    climb, state: where climbs end, as a `Climb` has them.
    """
    known = np.isfinite(climb)
    found = np.full((vehicles.lanes, 4), np.nan)
    if known.any():
        system = RampSystem.of(vehicles.take(known), test.take(known))
        found[known] = measures(system, state[known], climb[known]).hub_travel
    return found


def highest_bump(vehicles: Vehicles, body: Bodywork, test: RampTest, cases: Sequence[Case]) -> dict[Case, Array]:
    """Highest hub travel of each axle at the end of the climb on the stops as fitted, (lanes, 2) [m] a case.

    The bodywork does not hold the tyre back here: what it would rub is what is asked.

    Args:
        vehicles: of the sample, not mirrored.
        body: of the same lanes.
        test: of the same lanes.
        cases: sides and bar states.
    """
    free = replace(vehicles, bump_gap=body.stop_gap)
    climbs = climbs_of(free, test, cases)
    found = {}
    for case, climbed in climbs.items():
        travel = end_travel(in_case(free, case), test, climbed.climb, climbed.state)
        found[case] = np.stack([travel[:, :2].max(axis=1), travel[:, 2:].max(axis=1)], axis=1)
    return found


def static_angles(vehicles: Vehicles, body: Bodywork) -> RampAngles:
    """Angles of each lane, level at ride height and without the added loads."""
    return ramp_angles(body.points, vehicles.wheelbase, vehicles.reference_hub_height())


def clearance_report(
    spec: VehicleSpec,
    conditions: Conditions | None = None,
    side: str = "left",
    ramp_width: float = RAMP_WIDTH,
    points: int = POINTS,
    seed: int = SEED,
) -> ClearanceReport:
    """Wheelhouse, angles and clearance along the climb of one vehicle.

    Args:
        spec: the vehicle.
        conditions: of the test; the usual ramp if None.
        side: of the wheel on the ramp.
        ramp_width: of the ramp's lane, centred on the wheel [m].
        points: vehicles in the sample behind the ranges.
        seed: of the sample.

    Returns:
        A `ClearanceReport`; its ranges are the central 90 % of the possible vehicles.

    Raises:
        UnphysicalError: a sampled vehicle cannot be.
    """
    chosen = conditions or Conditions()
    samples = draw(spec, chosen, points, seed)
    first, first_body = build_whole(spec)
    of_vehicle = {key: values for key, values in samples.items() if not key.startswith("test.")}
    many, many_body = build_whole(spec, of_vehicle) if of_vehicle else (first, first_body)
    _, one_test = lanes_of(spec, chosen, {})
    test = lanes_of(spec, chosen, samples)[1].take(np.arange(many.lanes))

    # The nominal vehicle goes first in one batch with all the others.
    vehicles, body = stack([first, many]), _stacked(first_body, many_body)
    gaps = [
        np.concatenate([_point_gaps(one, 1), _point_gaps(other, many.lanes)])
        for one, other in zip(first_body.sweeps, many_body.sweeps, strict=True)
    ]
    tests = RampTest(*(np.concatenate([getattr(one_test, name), getattr(test, name)]) for name in _TEST))
    cases = [case for case in BOTH_BAR_STATES if case.bars == "connected" or first.releasable.any()]
    cases = [Case(side, case.bars) for case in cases]
    travel = highest_bump(vehicles, body, tests, cases)
    lost = int(sum(np.isnan(values[1:]).any(axis=1).sum() for values in travel.values()))

    watched = watched_on(first_body, ramp_width)
    result = predict(first, one_test, side, watched)
    runs = each_state(result)
    return ClearanceReport(
        spec=spec,
        side=side,
        ramp_angle=float(one_test.angle[0]),
        ramp_width=ramp_width,
        points=many.lanes,
        lost=lost,
        axles=(_axle(spec, 0, vehicles, body, gaps[0], travel), _axle(spec, 1, vehicles, body, gaps[1], travel)),
        angles=_angles(vehicles, body),
        body=tuple(_along(run, watched, first, side, k) for k in range(len(watched.points)) for run in runs),
        prediction=result,
    )


_TEST = tuple(field.name for field in fields(RampTest))
_GAPS = (
    "arch_gap",
    "arch_gap_at_full_lock",
    "stop_gap",
    "stop_compression",
    "full_bump_travel",
    "clear_straight",
    "clear_at_full_lock",
    "clear_bump_gap",
    "points",
)


def _stacked(one: Bodywork, many: Bodywork) -> Bodywork:
    both: dict[str, Any] = {name: np.concatenate([getattr(one, name), getattr(many, name)]) for name in _GAPS}
    return replace(one, **both)


def _point_gaps(sweep: WheelhouseSweep | None, lanes: int) -> Array:
    """Hub travel until the tyre meets each measured point, (lanes, points, 3) [m].

    Straight, over the lock, and straight with both wheels of a solid axle up together.
    """
    if sweep is None:
        return np.empty((lanes, 0, 3))
    straight = sweep.steer[:, sweep.straight_ahead, None]
    by_angle = arch_gaps(sweep.points, sweep.motion, sweep.shape, sweep.steer)
    together = arch_gaps(sweep.points, sweep.both_up.motion, sweep.shape, straight)[:, :, 0]
    gaps = np.stack([by_angle[:, :, sweep.straight_ahead], by_angle.min(axis=2), together], axis=-1)
    return np.broadcast_to(gaps, (lanes, *gaps.shape[1:]))


def _first(values: Array) -> Interval:
    """The nominal lane, which stands first, with the range of the others."""
    return interval(float(values[0]), values[1:])


def _axle(
    spec: VehicleSpec, axle: int, vehicles: Vehicles, body: Bodywork, gaps: Array, travel: Mapping[Case, Array]
) -> AxleClearance:
    """gaps: of the measured points, (lanes, points, 3) [m]."""
    choices, name = spec.axles[axle], AXLES[axle]
    marks = [mark.name for mark in choices.wheelhouse]
    arch, locked = body.arch_gap[:, axle], body.arch_gap_at_full_lock[:, axle]
    stop, clear = body.stop_gap[:, axle], body.clear_bump_gap[:, axle]
    highest = np.max([values[:, axle] for values in travel.values()], axis=0)
    past = highest - arch
    on_ramp, on_trail = np.maximum(past, 0.0), np.maximum(body.full_bump_travel[:, axle] - locked, 0.0)
    rubbing = past[1:][~np.isnan(past[1:])] > 0.0
    kept = spec.inputs.get(f"{name}.clearance_kept")
    return AxleClearance(
        axle=name,
        solid=choices.suspension == "solid",
        described=bool(np.isfinite(arch[0]) or np.isfinite(locked[0]) or marks),
        lock_described=axle == 1
        or any(f"{name}.{key}" in spec.inputs for key in ("arch_gap_at_full_lock", "lock_angle")),
        spaced=choices.stops_spaced,
        points=_points(marks, gaps, body, axle, vehicles),
        arch_gap=_first(arch),
        arch_gap_at_full_lock=_first(locked),
        touches_first=_met(marks, gaps[0, :, 0], float(arch[0])),
        touches_first_at_lock=_met(marks, gaps[0, :, 1], float(locked[0])),
        stop_gap=_first(stop),
        stop_compression=_first(body.stop_compression[:, axle]),
        full_bump_travel=_first(body.full_bump_travel[:, axle]),
        clearance_kept=kept.value if kept else 0.0,
        clear_bump_gap=_first(clear),
        usable_bump_gap=_first(np.minimum(stop, clear)),
        limit=limit_of(body, axle),
        spacer=_first(np.maximum(stop - clear, 0.0)),
        ramp_travel={case.bars: float(values[0, axle]) for case, values in travel.items()},
        rub_on_ramp=_first(on_ramp),
        rub_on_ramp_share=float(rubbing.mean()) if rubbing.size else float("nan"),
        rub_on_trail=_first(on_trail),
    )


def limit_of(body: Bodywork, axle: int) -> str:
    """Which limit decides the usable bump gap of an axle: its stop, its arch, and with steering which way it stands.

    body: whose first lane is the vehicle.
    """
    stop, straight = body.stop_gap[0, axle], body.clear_straight[0, axle]
    locked = body.clear_at_full_lock[0, axle]
    if stop <= min(straight, locked):
        return "bump stop"
    if straight == locked:
        return "arch"
    return "arch straight ahead" if straight < locked else "arch at full lock"


def _points(
    marks: Sequence[str], gaps: Array, body: Bodywork, axle: int, vehicles: Vehicles
) -> tuple[WheelhousePoint, ...]:
    """Every measured point, and where the nominal tyre comes nearest to it between full droop and full bump."""
    sweep = body.sweeps[axle]
    if sweep is None:
        return ()
    steer = steer_angles(sweep.steer.max(axis=1), FINE_LOCK)[0] if sweep.steer.shape[1] > 1 else np.zeros(1)
    travel = np.linspace(-vehicles.droop_gap[0, axle], body.full_bump_travel[0, axle], FINE_TRAVEL)
    at_travel, at_steer = (grid.ravel() for grid in np.meshgrid(travel, steer, indexing="ij"))
    first = np.zeros(1, dtype=np.intp)
    motion, tyre = sweep.motion.take(first), sweep.shape.take(first)
    shape = (1, len(marks), at_travel.size)
    distance = clearance_at(
        np.broadcast_to(sweep.points[:1, :, None, :], (*shape, 3)),
        motion,
        tyre,
        np.broadcast_to(at_travel, shape),
        np.broadcast_to(at_steer, shape),
    )[0]
    by_angle = arch_gaps(sweep.points[:1], motion, tyre, sweep.steer[:1])[0]
    found = []
    for k, mark in enumerate(marks):
        near = int(distance[k].argmin())
        met = np.isfinite(by_angle[k]).any()
        found.append(
            WheelhousePoint(
                name=mark,
                straight=_first(gaps[:, k, 0]),
                over_lock=_first(gaps[:, k, 1]),
                together=_first(gaps[:, k, 2]),
                nearest=float(distance[k, near]),
                nearest_travel=float(at_travel[near]),
                nearest_steer=float(at_steer[near]),
                lock_steer=float(sweep.steer[0, by_angle[k].argmin()]) if met else float("nan"),
            )
        )
    return tuple(found)


def _met(marks: Sequence[str], gaps: Array, least: float) -> str:
    """The point that the least gap belongs to."""
    if not np.isfinite(least):
        return ""
    if gaps.size and gaps.min() <= least + 1e-9:
        return marks[int(gaps.argmin())]
    return "the arch (gap as given)"


def _angles(vehicles: Vehicles, body: Bodywork) -> StaticAngles:
    found = static_angles(vehicles, body)
    loaded = vehicles.reference_hub_height()

    def named(which: NDArray[np.intp]) -> str:
        return body.point_names[which[0]] if which[0] >= 0 else ""

    return StaticAngles(
        approach=_first(found.approach),
        departure=_first(found.departure),
        breakover=_first(found.breakover),
        running_clearance=_first(found.running_clearance),
        loaded_radius=(_first(loaded[:, 0]), _first(loaded[:, 1])),
        approach_point=named(found.approach_point),
        departure_point=named(found.departure_point),
        breakover_point=named(found.breakover_point),
        lowest_point=named(found.lowest_point),
    )


def _along(run: Run, watched: Watched, vehicle: Vehicles, side: str, index: int) -> PointClearance:
    point, clearance, climb = watched.points[index], run.trace.clearance[:, index], run.trace.climb
    off_centre = abs(lateral_sign(side) * point.left_of_centre - 0.5 * float(vehicle.track[0, 0]))
    contact = [
        event.climb for event in run.events if event.begins and event.kind == "bodywork" and event.point == point.name
    ]
    lowest = int(clearance.argmin())
    return PointClearance(
        name=point.name,
        bars=run.bars,
        in_ramp_lane=off_centre <= 0.5 * watched.ramp_width,
        least_clearance=float(clearance[lowest]),
        least_at_climb=float(climb[lowest]),
        first_contact=contact[0] if contact else float("nan"),
    )
