"""Many vehicles side by side: ranked with bands, with the probability that one really beats another.

Predicted scores come from samples of everything a vehicle's file leaves uncertain. Vehicles vary independently of each
other; what is unknown about the test (the holding share) is the same for all in each sample, because they are taken
as driven alike. All scores stand at one touch load: measured ones of another are carried there. Two variants of one
file share what the file leaves uncertain, and the model's own error, which is independent from file to file: that two
vehicles are relatives is not assumed.

A vehicle that outlasts the ramp would score what it has reached at its end or more, nobody knows how much: it beats
what scores less than that, and against a higher score, or another that outlasts the ramp, the chance is one half.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import Climb, Outcome
from articulate.constants import NORMAL_90
from articulate.ends import in_case
from articulate.errors import ArticulateError
from articulate.measure.conversions import score_of
from articulate.measure.scoring import SheetScores
from articulate.model.balance import RampSystem
from articulate.model.measures import measures
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles
from articulate.spec import Estimate, VehicleSpec
from articulate.studies.design.tyre_change import change_tyres
from articulate.studies.population.allowance import quantiles
from articulate.studies.population.conditions import Conditions, climbs_of, lanes_of
from articulate.studies.population.intervals import Interval
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, ModelError
from articulate.studies.population.normal_distribution import normal_probability
from articulate.studies.population.sampling import SEED, from_unit, quantile, uncertain_inputs, unit_points
from articulate.types import Case, own_wheel

Array = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

BAND = (0.05, 0.95)
ERRORS_A_SAMPLE = 8  # of the model, drawn for the range of places
SAME_RAMP = float(np.radians(0.35))  # [rad]: a score taken on a ramp that far off is some five points away
SAME_LOAD = 0.5  # [N]: a touch load that far off is a tenth of a point
KNOWN = (Outcome.WHEEL_LIFTS, Outcome.RAMP_ENDS, Outcome.EQUILIBRIUM_JUMPS, Outcome.WHEELS_SPIN)


class ComparisonError(ArticulateError, ValueError):
    """Scores that cannot be put side by side; the text says what would work."""


@dataclass(frozen=True)
class Measured:
    """A score that was measured on the day, with how well it is known."""

    name: str
    score: Estimate
    wheelbase: float | None = None  # [m], None where not known
    angle: float | None = None  # [rad], of the ramp, None where not known
    touch_load: float | None = None  # [N], at which it was measured; None where not known: that of the comparison
    as_read: float | None = None  # the measured score, where `score` is carried to another touch load

    @staticmethod
    def of_sheet(found: SheetScores, side: str, bars: str, touch_load: float | None = None) -> Measured:
        """The measured score of one case of a run sheet.

        Args:
            found: the sheet's scores, carried to `touch_load` where that is another than the sheet's.
            side: "left", "right" or "both".
            bars: "connected" or "released".
            touch_load: of the comparison [N]; the sheet's if None.

        Raises:
            ComparisonError: the sheet has no such case.
            ValueError: the sheet's scores were carried to another touch load.
        """
        case = next((one for one in found.cases if (one.side, one.bars) == (side, bars)), None)
        if case is None:
            there = ", ".join(f"{one.side} {one.bars}" for one in found.cases)
            raise ComparisonError(f"{found.sheet.path}: no run on the {side} side, bars {bars}; it has {there}")
        here = found.sheet.nominal_touch_load
        carried = touch_load is not None and abs(here - touch_load) > SAME_LOAD
        if carried and touch_load != found.carried_to:
            raise ValueError(f"scores carried to {found.carried_to:g} N, not to {touch_load:g} N")
        score = case.score_carried if carried else case.score
        half = NORMAL_90 * score.u
        basis = f"run sheet {found.sheet.path}"
        estimate = Estimate(score.value, score.value - half, score.value + half, "normal", "measured", basis, "", 1.0)
        return Measured(
            found.sheet.vehicle,
            estimate,
            found.sheet.wheelbase.value,
            found.sheet.ramp_angle.value,
            here,
            case.score.value if carried else None,
        )


@dataclass(frozen=True)
class Entry:
    """One vehicle in the comparison.

    `score` is infinite, and its range open, where the ramp ends first; `reached` is the score of a climb to its end.
    `as_it_is` is its score before it was put on equal terms, tyres or touch load. Of the samples `outlast` outlast the
    ramp; `no_score` have no score, and count as beaten by every score. `lift` is s sin g, `twist` the angle between the
    front and the rear hub line, `travel` the sum of the four wheels' travel from ride height, all three at the end of
    the climb.
    """

    name: str
    measured: bool
    touch_load: float  # [N], at which it was measured; NaN if not known or predicted
    wheelbase: float  # [m], NaN if not known
    score: Interval
    as_it_is: float
    outcome: Outcome | None  # of the nominal vehicle; None for a measured score
    wheel: int  # that lifts, -1 if none or measured
    can_release: bool  # whether a bar can be released at all; False for a measured score
    reached: float  # NaN where the nominal vehicle does not outlast the ramp
    outlast: int
    no_score: int
    lift: Interval  # [m]
    twist: Interval  # [rad]
    travel: Interval  # [m]
    rank: tuple[int, int]  # 90 % range of the place by score
    lift_place: int  # by lift height, 0 if not known
    twist_place: int


@dataclass(frozen=True, repr=False)
class Comparison(Brief):
    """Vehicles in the order of their score; `beats[i][j]` is the probability that entry i really beats entry j."""

    bars: str
    side: str
    angle: float  # [rad]
    touch_load: float  # [N], of all scores
    terms: tuple[str, ...]  # what was made equal
    entries: tuple[Entry, ...]
    beats: tuple[tuple[float, ...], ...]
    samples: int
    model: ModelError


def compare(
    specs: Sequence[VehicleSpec],
    measured: Sequence[Measured] = (),
    conditions: Conditions | None = None,
    side: str = "left",
    bars: str = "connected",
    tyre: str | None = None,
    spacers: bool | None = None,
    samples: int = 512,
    seed: int = SEED,
    model: ModelError | None = None,
) -> Comparison:
    """Rank vehicles by score, with bands and the probability that each beats each other.

    Args:
        specs: predicted vehicles.
        measured: scores from the day.
        conditions: of the test, common to all; the usual ramp with an unknown holding share if None.
        side: "left" or "right", of the wheel on the ramp.
        bars: "connected" or "released" (where none can be released, as it is).
        tyre: size that all predicted vehicles are put on, with all that hangs on it (`change_tyres`).
        spacers: whether stops are then fitted that keep the tyre clear; None for what each file says.
        samples: possible vehicles for each file.
        seed: of the samples.
        model: its own error in predicted scores; the assumed one if None.

    Raises:
        ComparisonError: nothing to compare, or a score from another ramp or at another touch load.
        UnphysicalError, SpecError: as for one vehicle.
    """
    if not specs and not measured:
        raise ComparisonError("there is nothing to compare")
    test = conditions or Conditions()
    for entry in measured:
        if entry.angle is not None and abs(entry.angle - test.ramp_angle.value) > SAME_RAMP:
            here, there = (f"{np.degrees(angle):.1f} deg" for angle in (test.ramp_angle.value, entry.angle))
            raise ComparisonError(
                f"{entry.name}: measured on a ramp of {there}, compared on one of {here}; carry it first: articulate "
                f"carry VEHICLE --ramp-angle '{there}' --to '{here}' --measured '{entry.score.value:.0f}'"
            )
        load = test.touch_load.value if entry.touch_load is None else entry.touch_load
        if entry.as_read is None and abs(load - test.touch_load.value) > SAME_LOAD:
            raise ComparisonError(
                f"{entry.name}: measured at a touch load of {load:g} N, compared at one of "
                f"{test.touch_load.value:g} N; compare at that of the sheet, or have its score carried"
            )
    case = Case(side, bars)
    equal = [spec if tyre is None else change_tyres(spec, tyre, spacers=spacers) for spec in specs]
    drafts = []
    for spec, changed, draws in zip(specs, equal, _draws(equal, test, samples, seed), strict=True):
        one = replace(_predict(changed, test, case, draws), file=spec.document.name)
        before = float(one.score[0]) if tyre is None else _nominal_score(spec, test, case)
        drafts.append((spec.name, False, before, one))
    for index, entry in enumerate(measured):
        before = entry.score.value if entry.as_read is None else entry.as_read
        drafts.append((entry.name, True, before, _as_measured(entry, test, samples, seed + 7919 + index)))
    error = model if model is not None else ASSUMED_MODEL_ERROR
    return _rank(drafts, case, test, _terms(tyre, spacers), samples, error, seed)


def _terms(tyre: str | None, spacers: bool | None) -> tuple[str, ...]:
    if tyre is None:
        return ()
    stops = {True: ("stops that keep the tyre clear",), False: ("stops as fitted",), None: ()}[spacers]
    return (f"all on {tyre}", *stops)


@dataclass(frozen=True, eq=False, repr=False)
class _Found(Brief):
    """Values of one entrant; the first of each array is the nominal one, the rest are samples."""

    wheelbase: float
    score: Array  # infinite where the ramp ends first
    reached: Array  # the score, or that of a climb to the ramp's end
    lift: Array
    twist: Array
    travel: Array
    outcome: Outcome | None
    wheel: int
    can_release: bool
    file: str = ""  # of a prediction
    touch_load: float = float("nan")  # of a measurement


def _draws(specs: Sequence[VehicleSpec], conditions: Conditions, samples: int, seed: int) -> list[dict[str, Array]]:
    """Samples for each vehicle: common conditions, its own inputs; variants of one file share theirs.

    Each file's point set is shuffled by itself, since the same points scrambled twice would not be independent.
    """
    common = conditions.inputs_of(*specs)
    unknown = [key for key, estimate in common.items() if estimate.distribution != "exact"]
    tests = from_unit(common, unknown, unit_points(samples, len(unknown), seed))
    by_file: dict[str, dict[str, Array]] = {}
    files = list(dict.fromkeys(spec.document.name for spec in specs))
    for number, file in enumerate(files):
        keys = list(
            dict.fromkeys(key for spec in specs if spec.document.name == file for key in uncertain_inputs(spec))
        )
        points = unit_points(samples, len(keys), seed + 1 + number)
        order = np.random.default_rng([seed, number]).permutation(samples)
        by_file[file] = {key: points[order, column] for column, key in enumerate(keys)}
    drawn = []
    for spec in specs:
        mine = by_file[spec.document.name]
        own = uncertain_inputs(spec)
        unit = np.stack([mine[key] for key in own], axis=1) if own else np.empty((samples, 0))
        drawn.append({**from_unit(spec.inputs, own, unit), **tests})
    return drawn


def _nominal(spec: VehicleSpec, conditions: Conditions) -> tuple[Vehicles, RampTest]:
    return lanes_of(spec, conditions, {})


def _nominal_score(spec: VehicleSpec, conditions: Conditions, case: Case) -> float:
    return float(climbs_of(*_nominal(spec, conditions), [case])[case].score[0])


def _predict(spec: VehicleSpec, conditions: Conditions, case: Case, draws: Mapping[str, Array]) -> _Found:
    vehicles, tests = _nominal(spec, conditions)
    first = climbs_of(vehicles, tests, [case])[case]
    parts = [_measures(vehicles, tests, first, case)]
    scores, reached = [_open_score(first)], [_reached(first, vehicles)]
    if draws:
        many, many_tests = lanes_of(spec, conditions, draws)
        climbed = climbs_of(many, many_tests, [case])[case]
        parts.append(_measures(many, many_tests, climbed, case))
        scores.append(_open_score(climbed))
        reached.append(_reached(climbed, many))
    lift, twist, travel = (np.concatenate(column) for column in zip(*parts, strict=True))
    return _Found(
        wheelbase=float(vehicles.wheelbase[0]),
        score=np.concatenate(scores),
        reached=np.concatenate(reached),
        lift=lift,
        twist=twist,
        travel=travel,
        outcome=Outcome(int(first.outcome[0])),
        wheel=own_wheel(int(first.wheel[0]), case.side),
        can_release=bool(vehicles.releasable.any()),
    )


def _open_score(climbed: Climb) -> Array:
    """Scores, infinite where the ramp ends first, (lanes,)."""
    return np.where(climbed.outcome == Outcome.RAMP_ENDS, np.inf, climbed.score)


def _reached(climbed: Climb, vehicles: Vehicles) -> Array:
    """Scores, where the ramp ends first that of a climb to its end, (lanes,)."""
    return np.where(climbed.outcome == Outcome.RAMP_ENDS, score_of(climbed.climb, vehicles.wheelbase), climbed.score)


def _measures(vehicles: Vehicles, tests: RampTest, climbed: Climb, case: Case) -> tuple[Array, Array, Array]:
    """Lift height [m], twist between the hub lines [rad] and travel in sum [m] at the end; NaN where not known."""
    seen = in_case(vehicles, case)
    known = np.flatnonzero(np.isin(climbed.outcome, KNOWN))
    lift = climbed.climb * np.sin(tests.angle)
    twist, travel = np.full(vehicles.lanes, np.nan), np.full(vehicles.lanes, np.nan)
    if known.size:
        held = climbed.as_held(tests).take(known)
        found = measures(RampSystem.of(seen.take(known), held), climbed.state[known], climbed.climb[known])
        rise = found.hub[:, 0::2, 2] - found.hub[:, 1::2, 2]
        across = found.hub[:, 0::2, 1] - found.hub[:, 1::2, 1]
        line = np.arctan2(rise, across)
        twist[known] = line[:, 0] - line[:, 1]
        travel[known] = np.abs(found.hub_travel).sum(axis=1)
    lift[~np.isin(climbed.outcome, KNOWN)] = np.nan
    return lift, twist, travel


def _as_measured(entry: Measured, conditions: Conditions, samples: int, seed: int) -> _Found:
    order = np.random.default_rng(seed).permutation(samples)
    score = np.concatenate([[entry.score.value], quantile(entry.score, unit_points(samples, 1, seed)[order, 0])])
    nothing = np.full(score.size, np.nan)
    wheelbase = float("nan") if entry.wheelbase is None else entry.wheelbase
    lift = score / 1000.0 * wheelbase * np.sin(conditions.ramp_angle.value)
    load = float("nan") if entry.touch_load is None else entry.touch_load
    return _Found(wheelbase, score, score, lift, nothing, nothing, None, -1, False, touch_load=load)


def _band(values: Array, error: float, outlast: BoolArray) -> Interval:
    """Nominal value and range, open where it leads beyond the ramp; `error` is the model's, relative to each value.

    outlast: where the ramp ends first, as many; what is reached there is no matter of the model's error.
    """
    rest = slice(1, None) if values.size > 1 else slice(None)
    many = values[rest]
    known = many[~np.isnan(many)]
    if not known.size:
        return Interval(float(values[0]), float("nan"), float("nan"))
    if error == 0.0:
        low, high = np.quantile(known, BAND, method="linear" if np.isfinite(known).all() else "nearest")
    else:
        low, high = quantiles(many, error * np.abs(_finite(many)) * ~outlast[rest], BAND)
    return Interval(float(values[0]), float(low), float(high))


def _finite(values: Array) -> Array:
    return np.where(np.isfinite(values), values, 0.0)


def _with_errors(every: Array, files: Sequence[str], model: ModelError, seed: int) -> Array:
    """Scores (entrants, samples) with errors of the model drawn, one a file and sample, each sample several times."""
    if model.total == 0.0:
        return every
    rng = np.random.default_rng([seed, len(files)])
    many = np.tile(every, ERRORS_A_SAMPLE)
    drawn = {file: rng.standard_normal(many.shape[1]) for file in dict.fromkeys(files) if file}
    return np.stack(
        [row * (1.0 + model.total * drawn[file]) if file else row for row, file in zip(many, files, strict=True)]
    )


def _places(values: Sequence[float]) -> list[int]:
    """Places by size, the largest first; 0 where a value is not known."""
    order = sorted((value for value in values if np.isfinite(value)), reverse=True)
    return [order.index(value) + 1 if np.isfinite(value) else 0 for value in values]


def _rank(
    drafts: Sequence[tuple[str, bool, float, _Found]],
    case: Case,
    conditions: Conditions,
    terms: tuple[str, ...],
    samples: int,
    model: ModelError,
    seed: int,
) -> Comparison:
    order = sorted(range(len(drafts)), key=lambda k: -np.nan_to_num(drafts[k][3].reached[0], nan=-np.inf))
    drafts = [drafts[k] for k in order]

    def sampled(values: Array) -> Array:
        """One vehicle's samples; without uncertain inputs it has one value for all."""
        return np.resize(values[1:] if values.size > 1 else values, samples)

    every = np.stack([sampled(d[3].reached) for d in drafts])
    every = np.where(np.isfinite(every), every, -np.inf)  # no score is beaten by every score
    outlasts = np.stack([sampled(d[3].score) for d in drafts]) == np.inf
    errors = [0.0 if d[3].file == "" else model.total for d in drafts]
    files = [d[3].file for d in drafts]

    def beaten(i: int, j: int) -> float:
        """Chance that i really beats j; variants of one file have one error, which leaves the better one better."""
        a, b = every[i], every[j]
        sure = (a > b) + 0.5 * (a == b)
        apart = np.hypot(errors[i] * _finite(a) * ~outlasts[i], errors[j] * _finite(b) * ~outlasts[j])
        both = np.isfinite(a) & np.isfinite(b) & (apart > 0.0) & (not files[i] or files[i] != files[j])
        chance = normal_probability((_finite(a) - _finite(b)) / np.where(both, apart, 1.0))
        above = np.where(both, chance, sure)  # the one's score, or what it has reached, above the other's
        return float((above + 0.5 * outlasts[i] * (1.0 - above) - 0.5 * outlasts[j] * above).mean())

    count = range(len(every))
    beats = tuple(tuple(beaten(i, j) if i != j else float("nan") for j in count) for i in count)
    drawn = _with_errors(every, files, model, seed)
    times = drawn.shape[1] // samples
    open_ended = np.tile(outlasts, times)
    least = np.where(open_ended, np.tile(every, times), drawn)
    most = np.where(open_ended, np.inf, drawn)
    best = 1 + np.array([(np.delete(least, k, axis=0) > most[k]).sum(axis=0) for k in count])
    last = 1 + np.array([(np.delete(most, k, axis=0) > least[k]).sum(axis=0) for k in count])
    lift_place = _places([float(d[3].lift[0]) for d in drafts])
    twist_place = _places([float(d[3].twist[0]) for d in drafts])
    entries = tuple(
        Entry(
            name=name,
            measured=was_measured,
            touch_load=found.touch_load,
            wheelbase=found.wheelbase,
            score=_band(found.score, model.total if found.file else 0.0, found.score == np.inf),
            as_it_is=before,
            outcome=found.outcome,
            wheel=found.wheel,
            can_release=found.can_release,
            reached=float(found.reached[0]) if found.score[0] == np.inf else float("nan"),
            outlast=int((found.score[1:] == np.inf).sum()),
            no_score=int(np.isnan(found.score[1:]).sum()),
            lift=_band(found.lift, model.total if found.file else 0.0, found.score == np.inf),
            twist=_band(found.twist, model.total if found.file else 0.0, found.score == np.inf),
            travel=_band(found.travel, model.total if found.file else 0.0, found.score == np.inf),
            rank=(int(np.quantile(best[k], BAND[0])), int(np.ceil(np.quantile(last[k], BAND[1])))),
            lift_place=lift_place[k],
            twist_place=twist_place[k],
        )
        for k, (name, was_measured, before, found) in enumerate(drafts)
    )
    return Comparison(
        bars=case.bars,
        side=case.side,
        angle=conditions.ramp_angle.value,
        touch_load=conditions.touch_load.value,
        terms=terms,
        entries=entries,
        beats=beats,
        samples=samples,
        model=model,
    )
