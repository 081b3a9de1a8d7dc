"""The tyre ladder: one vehicle over a list of sizes, with and without stop spacers, bars connected and released.

Every size of every vehicle in the sample climbs in one batch. The same draw of the uncertain inputs serves every
size, so that two sizes are compared on the same vehicles, and the range of their difference is that of the tyre alone.
The model's own error is that of the vehicle and the kind of run, whatever tyre is on it: it widens a score by a share
of the score, and a change by that share of the change.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import Outcome, climb_to_unload
from articulate.constants import INCH
from articulate.lanes import join
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles, stack
from articulate.spec import Bodywork, Swept, VehicleSpec, build_whole
from articulate.spec.tyres import TyreSize, read_tyre_size
from articulate.studies.design.bodywork import end_travel, limit_of, static_angles
from articulate.studies.design.tyre_change import change_tyres, fitted_size, has_arches, same_tyre, tyre_tables
from articulate.studies.population.conditions import (
    MOST_CLIMBS,
    Conditions,
    all_inputs,
    lanes_of,
    tests_of,
    uncertain,
)
from articulate.studies.population.intervals import Interval, interval
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, ModelError
from articulate.studies.population.sampling import SEED, from_unit, unit_points
from articulate.types import AXLES, BAR_STATES

Array = NDArray[np.float64]

POINTS = 256
WITHOUT, WITH = "stops as fitted", "with spacers"
POLICIES = (WITHOUT, WITH)
FREE = "free"  # of the bodywork: not a policy, but what the nominal vehicle would ask of its arches

# Sizes of the trade from small to large, on the rim that is fitted; common practice, no source.
USUAL = ("235/75", "245/75", "265/70", "275/70", "285/70", "285/75", "295/75", "315/75")


@dataclass(frozen=True)
class Score:
    """Score of one size, policy and state of the bars."""

    score: Interval  # NaN where the nominal vehicle reaches no score
    outcome: Outcome  # of the nominal vehicle
    scored: int  # vehicles of the sample that reach a score
    lost: int  # vehicles of the sample without one
    against_fitted: Interval  # on the same vehicles, the fitted tyre with its stops as fitted


@dataclass(frozen=True)
class Rung:
    """One size with one policy for its stops; pairs are front, rear."""

    size: TyreSize
    fitted: bool
    policy: str
    fits: bool  # False where the tyre would touch the bodywork at ride height already
    usable_bump_gap: tuple[Interval, Interval]  # [m], at the stop
    limit: tuple[str, str]
    spacer: tuple[float, float]  # [m], on the stops
    rub_on_ramp: tuple[float, float]  # [m] of hub travel past the arch, wheels straight; NaN where nothing is known
    rub_on_trail: tuple[float, float]  # [m] at full bump and full lock
    scores: Mapping[str, Score]  # by state of the bars
    approach: Interval  # [rad]
    departure: Interval  # [rad]
    breakover: Interval  # [rad]
    running_clearance: Interval  # [m]
    body_rise: Interval  # [m], mean of the axles, against the fitted tyre
    centre_height: Interval  # [m], centre of gravity of the sprung mass

    @property
    def rubs(self) -> bool:
        """Whether the tyre rubs on the ramp or on the trail."""
        return any(rub > 0.0 for rub in (*self.rub_on_ramp, *self.rub_on_trail))


@dataclass(frozen=True)
class Best:
    """The size with the highest score among those that rub nowhere."""

    bars: str
    rung: Rung
    level_with: tuple[str, ...]  # sizes whose score is not told apart from it on the same vehicles


@dataclass(frozen=True, eq=False, repr=False)
class Ladder(Brief):
    """One vehicle over a list of sizes."""

    spec: VehicleSpec
    rungs: tuple[Rung, ...]
    best: tuple[Best, ...]
    bars: tuple[str, ...]
    points: int  # vehicles in the sample of each rung
    lost: int  # climbs of all samples without a score
    described: tuple[bool, bool]  # whether the file says anything of the front and the rear arches
    ramp_angle: float  # [rad]
    model: ModelError


@dataclass(frozen=True, eq=False, repr=False)
class _Step(Brief):
    """One size in arrays: the nominal vehicle first, then the sample."""

    size: TyreSize
    fitted: bool
    vehicles: Vehicles
    body: Bodywork  # of the nominal vehicle
    many: Bodywork  # of the sample, its arches known as far as the stops let the wheels go
    test: RampTest


def usual_sizes(spec: VehicleSpec) -> tuple[str, ...]:
    """Eight sizes on the fitted rim, the fitted one among them, from small to large."""
    fitted = _fitted(spec)
    rim = round(fitted.rim_diameter / INCH) if fitted else 17
    sizes = [f"{size}R{rim}" for size in USUAL]
    if fitted:
        near = min(sizes, key=lambda code: abs(read_tyre_size(code).diameter - fitted.diameter))
        sizes[sizes.index(near)] = fitted.code
    return tuple(sorted(sizes, key=lambda code: read_tyre_size(code).diameter))


def tyre_ladder(
    spec: VehicleSpec,
    sizes: Sequence[str] | None = None,
    conditions: Conditions | None = None,
    points: int = POINTS,
    seed: int = SEED,
    model: ModelError | None = None,
) -> Ladder:
    """Scores, travel, clearances and angles of one vehicle over a list of tyre sizes.

    Args:
        spec: the vehicle; its own tyre is added to the sizes if it is not among them.
        sizes: size codes; `usual_sizes` if None.
        conditions: of the test; the usual ramp if None.
        points: vehicles in the sample of each size.
        seed: of the sample.
        model: its own error; the assumed one if None.

    Returns:
        A `Ladder`, its rungs by diameter, stops as fitted before spacers. `limit`, spacers and rubs are those of the
        nominal vehicle, ranges the central 90 % of the possible ones.

    Raises:
        SpecError: a size that is no size code, or a vehicle that cannot be on it.
        UnphysicalError: a sampled vehicle cannot be.
    """
    chosen = conditions or Conditions()
    error = model if model is not None else ASSUMED_MODEL_ERROR
    steps = _steps(spec, tuple(sizes) if sizes is not None else usual_sizes(spec), chosen, points, seed)
    first = steps[0].vehicles.take(slice(0, 1))
    bars = BAR_STATES if first.releasable.any() else BAR_STATES[:1]
    climbs = _climbs(steps, bars)
    home = next(index for index, step in enumerate(steps) if step.fitted)
    standing = [_standing(step, steps[home]) for step in steps]
    rungs = tuple(
        _rung(steps[index], standing[index], policy, bars, climbs, index, home, error)
        for index in range(len(steps))
        for policy in POLICIES
    )
    return Ladder(
        spec=spec,
        rungs=rungs,
        best=tuple(_best(rungs, climbs, steps, state) for state in bars),
        bars=bars,
        points=points,
        lost=sum(score.lost for rung in rungs for score in rung.scores.values()),
        described=(has_arches(spec, AXLES[0]), has_arches(spec, AXLES[1])),
        ramp_angle=chosen.ramp_angle.value,
        model=error,
    )


def _fitted(spec: VehicleSpec) -> TyreSize | None:
    return fitted_size(spec, tyre_tables(spec)[0])


def _steps(spec: VehicleSpec, sizes: Sequence[str], conditions: Conditions, points: int, seed: int) -> list[_Step]:
    fitted = _fitted(spec)
    specs = []
    if fitted is None or not any(same_tyre(fitted, code) for code in sizes):
        size = fitted or _measured(spec)
        specs.append((size, True, change_tyres(spec, size.code, spacers=False) if fitted else spec))
    for code in sizes:
        changed = change_tyres(spec, code, spacers=False)
        size = read_tyre_size(code)
        specs.append((size, fitted is not None and same_tyre(fitted, code), changed))
    specs.sort(key=lambda entry: entry[0].diameter)

    keys = tuple(dict.fromkeys(key for _, _, one in specs for key in uncertain(one, conditions)))
    unit = unit_points(points, len(keys), seed)
    steps = []
    for size, is_fitted, one in specs:
        inputs = all_inputs(one, conditions)
        mine = [column for column, key in enumerate(keys) if key in inputs]
        samples = from_unit(inputs, [keys[column] for column in mine], unit[:, mine])
        nominal, body = build_whole(one)
        of_vehicle = {k: v for k, v in samples.items() if not k.startswith("test.")}
        many, many_body = build_whole(one, of_vehicle, Swept(over_lock=True))
        tests = [lanes_of(one, conditions, {})[1], tests_of(conditions, samples, points)]
        test = join(tests)
        if many.lanes != points:  # nothing is uncertain
            many = many.take(np.zeros(points, dtype=np.intp))
        steps.append(_Step(size, is_fitted, stack([nominal, many]), body, many_body, test))
    return steps


def _measured(spec: VehicleSpec) -> TyreSize:
    """The fitted tyre where the file gives its measures and no code."""
    table = tyre_tables(spec)[0]
    diameter = spec.inputs[f"{table}.diameter"].value
    width, rim = (spec.inputs.get(f"{table}.{name}") for name in ("width", "rim_diameter"))
    return TyreSize(
        f"as fitted, {diameter * 1e3:.0f} mm",
        "metric",
        diameter,
        width.value if width else float("nan"),
        rim.value if rim else float("nan"),
    )


def _spaced(step: _Step) -> Vehicles:
    """The vehicles of a step with spacers wherever the tyre would rub without."""
    clear = np.concatenate([step.body.clear_bump_gap, _lanes(step.many.clear_bump_gap, step.vehicles.lanes - 1)])
    stop = np.concatenate([step.body.stop_gap, _lanes(step.many.stop_gap, step.vehicles.lanes - 1)])
    return replace(step.vehicles, bump_gap=np.minimum(stop, np.maximum(clear, 0.0)))


def _lanes(values: Array, lanes: int) -> Array:
    return np.array(np.broadcast_to(values, (lanes, *values.shape[1:])))


def _free(step: _Step) -> Vehicles:
    """The nominal vehicle on its stops alone, as if the bodywork held nothing back."""
    return replace(step.vehicles.take(slice(0, 1)), bump_gap=step.body.stop_gap)


_Key = tuple[int, str, str]  # step, policy, state of the bars


@dataclass(frozen=True, eq=False, repr=False)
class _Climbs(Brief):
    """Climbs of every step by policy and bars, and the hub travel that the nominal vehicle asks of its arches."""

    score: Mapping[_Key, Array]  # (lanes,)
    outcome: Mapping[_Key, Outcome]  # of the nominal vehicle
    highest: Array  # (steps, policies, 2) [m]


@dataclass(frozen=True, eq=False, repr=False)
class _Batch(Brief):
    """Lanes of a step that climb with one policy."""

    step: int
    policy: str
    lanes: NDArray[np.intp]
    vehicles: Vehicles  # of these lanes
    test: RampTest

    def in_state(self, bars: str) -> Vehicles:
        """Their vehicles with the bars so."""
        return self.vehicles.released() if bars == "released" else self.vehicles


def _batches(index: int, step: _Step) -> list[_Batch]:
    """What has to climb of a step: a vehicle that needs no spacers climbs as without them."""
    spaced, every = _spaced(step), np.arange(step.vehicles.lanes)
    other = np.flatnonzero((spaced.bump_gap != step.vehicles.bump_gap).any(axis=1))
    found = [
        _Batch(index, WITHOUT, every, step.vehicles, step.test),
        _Batch(index, WITH, other, spaced.take(other), step.test.take(other)),
        _Batch(index, FREE, every[:1], _free(step), step.test.take(slice(0, 1))),
    ]
    return [batch for batch in found if batch.lanes.size]


@dataclass(frozen=True, eq=False, repr=False)
class _Ended(Brief):
    """How the climbs of a batch ended in one state of the bars."""

    batch: _Batch
    bars: str
    score: Array  # (lanes,)
    outcome: Outcome  # of its first vehicle
    highest: Array  # (2,) [m], hub travel of its first vehicle


def _climbs(steps: Sequence[_Step], bars: Sequence[str]) -> _Climbs:
    score: dict[_Key, Array] = {}
    outcome: dict[_Key, Outcome] = {}
    asked: dict[_Key, Array] = {}
    for ended in _in_turn(steps, bars):
        batch = ended.batch
        for policy in POLICIES if batch.policy == WITHOUT else (batch.policy,):
            key = (batch.step, policy, ended.bars)
            score.setdefault(key, ended.score.copy())[batch.lanes] = ended.score
            if batch.lanes[0] == 0:
                outcome[key], asked[key] = ended.outcome, ended.highest
    highest = [
        [np.fmax.reduce([asked[index, policy, state] for state in bars]) for policy in (FREE, WITH)]
        for index in range(len(steps))
    ]
    return _Climbs(score, outcome, np.array(highest))


def _in_turn(steps: Sequence[_Step], bars: Sequence[str]) -> Iterator[_Ended]:
    """The climbs of all batches of all steps, as many steps at once as are few climbs together."""
    waiting: list[tuple[_Batch, str]] = []
    for index, step in enumerate(steps):
        waiting += [(batch, state) for batch in _batches(index, step) for state in bars]
        if index + 1 == len(steps) or sum(batch.lanes.size for batch, _ in waiting) > MOST_CLIMBS:
            yield from _together(waiting)
            waiting = []


def _together(waiting: Sequence[tuple[_Batch, str]]) -> Iterator[_Ended]:
    vehicles = stack([batch.in_state(state) for batch, state in waiting])
    test = join([batch.test for batch, _ in waiting])
    climbed = climb_to_unload(vehicles, test)
    first = np.cumsum([0, *(batch.lanes.size for batch, _ in waiting)])
    at = first[:-1]
    travel = end_travel(vehicles.take(at), test.take(at), climbed.climb[at], climbed.state[at])
    highest = travel.reshape(-1, 2, 2).max(axis=2)
    for k, (batch, state) in enumerate(waiting):
        score = climbed.score[first[k] : first[k + 1]]
        yield _Ended(batch, state, score, Outcome(int(climbed.outcome[first[k]])), highest[k])


def _standing(step: _Step, home: _Step) -> dict[str, Interval]:
    """What a `Rung` says of the vehicle on the level, whatever its stops."""
    angles = static_angles(step.vehicles, _whole(step))
    rise = (step.vehicles.reference_hub_height() - home.vehicles.reference_hub_height()).mean(axis=1)
    return {
        "approach": _of(angles.approach),
        "departure": _of(angles.departure),
        "breakover": _of(angles.breakover),
        "running_clearance": _of(angles.running_clearance),
        "body_rise": _of(rise),
        "centre_height": _of(step.vehicles.sprung_centre[:, 2]),
    }


def _rung(
    step: _Step,
    standing: Mapping[str, Interval],
    policy: str,
    bars: Sequence[str],
    climbs: _Climbs,
    index: int,
    home_index: int,
    model: ModelError,
) -> Rung:
    body, spaced = step.body, policy == WITH
    gap = _spaced(step).bump_gap if spaced else step.vehicles.bump_gap
    past = climbs.highest[index, int(spaced)] - body.arch_gap[0]
    stop_lower = (body.stop_gap - gap[:1])[0]
    trail = body.full_bump_travel[0] - _travel_saved(step, stop_lower if spaced else np.zeros(2))
    rub_on_trail = trail - body.arch_gap_at_full_lock[0]
    known = np.isfinite(body.arch_gap[0]) | np.isfinite(body.arch_gap_at_full_lock[0])
    return Rung(
        size=step.size,
        fitted=step.fitted,
        policy=policy,
        fits=bool((body.arch_gap_at_full_lock[0] > 0.0).all()),
        usable_bump_gap=(_of(gap[:, 0]), _of(gap[:, 1])),
        limit=(_limit(step, spaced, 0), _limit(step, spaced, 1)),
        spacer=(float(stop_lower[0]) if spaced else 0.0, float(stop_lower[1]) if spaced else 0.0),
        rub_on_ramp=_pair(np.where(known, np.maximum(past, 0.0), np.nan)),
        rub_on_trail=_pair(np.where(known, np.maximum(rub_on_trail, 0.0), np.nan)),
        scores={state: _score(climbs, (index, policy, state), (home_index, WITHOUT, state), model) for state in bars},
        **standing,
    )


def _travel_saved(step: _Step, lowered: Array) -> Array:
    """How much less the hubs travel at full bump for stops lowered by so much, (2,) [m].

    On a solid axle the crossing adds to it: dU/dg = 1 + (H - b)/(b + b_d).
    """
    one = step.vehicles.take(slice(0, 1))
    over = 0.5 * one.track - one.bump_half_base
    lever = np.where(one.solid, 1.0 + over / (one.bump_half_base + one.droop_half_base), 1.0)
    return np.asarray(lever[0] * lowered)


def _whole(step: _Step) -> Bodywork:
    points = np.concatenate([step.body.points, _lanes(step.many.points, step.vehicles.lanes - 1)])
    return replace(step.body, points=points)


def _limit(step: _Step, spaced: bool, axle: int) -> str:
    if spaced:
        return limit_of(step.body, axle)
    held = step.vehicles.bump_gap[0, axle] < step.body.stop_gap[0, axle]
    return "arch" if held else "bump stop"


def _pair(values: Array) -> tuple[float, float]:
    return float(values[0]), float(values[1])


def _of(values: Array, error: float = 0.0) -> Interval:
    return interval(float(values[0]), values[1:], error)


def _score(climbs: _Climbs, mine: _Key, fitted: _Key, model: ModelError) -> Score:
    score = climbs.score[mine]
    many = score[1:]
    return Score(
        score=_of(score, model.total),
        outcome=climbs.outcome[mine],
        scored=int(np.isfinite(many).sum()),
        lost=int(np.isnan(many).sum()),
        against_fitted=_of(score - climbs.score[fitted], model.total),
    )


def _best(rungs: Sequence[Rung], climbs: _Climbs, steps: Sequence[_Step], state: str) -> Best:
    """The highest nominal score among the rungs that rub nowhere, and the sizes that are level with it."""
    fair = [k for k, rung in enumerate(rungs) if rung.fits and not rung.rubs]
    fair = fair or list(range(len(rungs)))
    value = {k: float(np.nan_to_num(rungs[k].scores[state].score.value, nan=-np.inf)) for k in fair}
    top = max(fair, key=lambda k: value[k])

    def scores(k: int) -> Array:
        return climbs.score[k // len(POLICIES), rungs[k].policy, state][1:]

    level = []
    for k in fair:
        apart = interval(0.0, scores(top) - scores(k))
        if rungs[k].size.code != rungs[top].size.code and not apart.low > 0.0:
            level.append(rungs[k].size.name)
    return Best(state, rungs[top], tuple(dict.fromkeys(level)))
