"""What a test day needs to know beforehand: marks with their bands, the ramp to build, what to watch, which order.

The bands come from climbs of many possible vehicles, the same points as those of `studies.band`; those of the climb's
length and height hold the model's own error too. The rest comes from the nominal climb.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import SCORED, Outcome
from articulate.ends import Ends, ends_of, own_measures
from articulate.lanes import join, take
from articulate.model.balance import RampSystem
from articulate.model.measures import measures
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles, stack
from articulate.prediction import Prediction, Run, predict
from articulate.safety import RATING_MARGIN
from articulate.spec import Estimate, UnphysicalError, build
from articulate.studies.day.moments import at_climbs, release
from articulate.studies.population.allowance import quantiles
from articulate.studies.population.conditions import Conditions, climbs_of, lanes_of
from articulate.studies.population.intervals import Interval
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, NO_MODEL_ERROR, ModelError
from articulate.studies.population.polynomial_shares import polynomial_shares
from articulate.studies.population.runs import Population
from articulate.studies.population.sampling import SEED, normal_scores
from articulate.studies.population.ties import tied_groups
from articulate.studies.population.watched import watched_of
from articulate.studies.predict.band import gain_spread, spread_of_runs, with_model_share
from articulate.studies.predict.drive_outlook import DriveOutlook, drive_outlook
from articulate.types import (
    AXLES,
    BAR_STATES,
    WHEELS,
    Case,
    each_state,
    lateral_sign,
    own_wheel,
    ramp_wheel,
    wheel_order,
)

Array = NDArray[np.float64]

SAMPLES = 1024
RAMP_SHARE = 0.95  # of the possible vehicles that the ramp is long enough for
SIDE_ROOM = 0.10  # [m] of ramp on either side of the tyre's path
WORTH_KNOWING = 0.02  # share of the score's variance below which an input is not named


@dataclass(frozen=True, eq=False, repr=False)
class ExpectedScore(Brief):
    """The score to expect of one run; its range over the possible vehicles, infinite where the ramp ends first."""

    bars: str
    outcome: Outcome  # of the nominal climb
    score: Interval


@dataclass(frozen=True, eq=False, repr=False)
class ExpectedRun(ExpectedScore):
    """What else to expect of it."""

    nominal: Run
    climb: Interval  # [m], along the ramp
    mark_height: Interval  # [m], of the mark on the ramp over the floor
    lifts: tuple[tuple[str, float], ...]  # wheel and share of the possible vehicles, likeliest first
    stops: tuple[tuple[str, float], ...]  # stop met at the mark and share, likeliest first
    tipping_angle: Interval  # [rad], sideways angle in hand at the mark
    ramp_wheel_load: Interval  # [N], of the climbing wheel at the mark
    heaviest_wheel: str  # that carries most at the mark, in the nominal climb
    heaviest_load: Interval  # [N], of the wheel that carries most, whichever it is
    standing: tuple[tuple[str, Interval], ...]  # wheel, and how far past the toe line it stands at the mark [m]
    rear_wheel_climbs: float  # share of the possible vehicles whose rear wheel has met the ramp at the mark
    vehicles: int  # possible vehicles tried
    spins: float  # share of the scored ones that end in wheelspin; 0 where no drive is known
    unscored: tuple[tuple[str, int], ...]  # how the others ended, and how many


@dataclass(frozen=True)
class RampNeed:
    """The ramp that a test of this vehicle needs."""

    length: float  # [m], along the slope, from the toe
    reached: float  # [m], of slope by the climbing hub in all but 5 % of the tests, the model's error included
    spare: float  # [m], beyond it: one tyre radius, so that the whole footprint stands on the ramp
    height: float  # [m], of the ramp's end over the floor
    width: float  # [m], the tyre's section, the sideways path of the wheels on it and room on either side
    load: float  # [N], that the heaviest wheel on it puts on it, square to the ramp
    rating: float  # [N], of a wheel load: that, with the margin of `safety`
    push: float  # [N], level, that all wheels on it push it away from the vehicle with, where they hold none of it
    level_ground: float  # [m], of level floor behind the toe: the wheelbase and one tyre diameter
    rear_wheel_climbs: float  # share of the possible vehicles whose rear wheel meets the ramp too
    bounded: bool  # False where more than 5 % of the possible vehicles have no end of the climb


@dataclass(frozen=True)
class Clearance:
    """Where a named point of the body comes nearest to ramp or floor."""

    name: str
    gap: float  # [m], negative where it would touch
    climb: float  # [m]
    bars: str


@dataclass(frozen=True)
class BarLoad:
    """What an anti-roll bar holds: the force at each of its wheels [N], absolute."""

    axle: str
    at_rest: float
    at_mark: float


@dataclass(frozen=True)
class ReleaseOnRamp:
    """What happens if the bars let go while the vehicle stands at the mark of the connected run."""

    stands: bool  # a stable state with all wheels on the ground was found
    roll: float  # [rad], change of body roll, left side up positive
    height: float  # [m], largest move of a hub
    lightest_wheel: str
    lightest_load: float  # [N]


@dataclass(frozen=True)
class Influence:
    """How much of the score's variance goes with one input, or with several that are unknown together."""

    keys: tuple[str, ...]
    share: float  # total index: what would stay if all other inputs were known
    assumed: bool  # none of them is given in the vehicle file
    text: tuple[str, ...]  # value and limits of each


class DrawnVehicles(NamedTuple):
    """Vehicles that a file allows, a lane each."""

    drawn: dict[str, Array]  # samples of the inputs, (lanes,) each
    vehicles: Vehicles
    test: RampTest


@dataclass(frozen=True, eq=False, repr=False)
class DayPlan(Brief):
    """All that the test-day sheet says of one vehicle."""

    side: str
    angle: float  # [rad]
    touch_load: float  # [N], at which a wheel counts as unloaded
    wheelbase: float  # [m]
    prediction: Prediction
    outlook: DriveOutlook
    runs: tuple[ExpectedRun, ...]  # connected, and released where a bar can be released
    gain: Interval | None  # score released less connected, vehicle by vehicle; None where no bar can be released
    ramp: RampNeed
    clearances: tuple[Clearance, ...]  # nearest first; none where the file names no body points
    bars: tuple[BarLoad, ...]  # releasable bars
    release_on_ramp: ReleaseOnRamp | None
    influences: tuple[Influence, ...]  # largest first
    model: ModelError
    model_share: float  # of the score's variance
    possible: DrawnVehicles  # that the bands come from
    left_out: int  # sampled vehicles that cannot exist
    samples: int
    seed: int


def possible_vehicles(people: Population, samples: int, seed: int = SEED) -> DrawnVehicles:
    """Samples, vehicles and tests; sampled vehicles that cannot exist are left out.

    Args:
        people: the population they are drawn from.
        samples: how many are drawn.
        seed: of the draw.

    Raises:
        UnphysicalError: none of them can exist.
    """
    drawn = people.samples(normal_scores(samples, len(people.keys), seed))
    if not drawn:
        return DrawnVehicles(drawn, *lanes_of(people.spec, people.conditions, drawn))
    while True:
        try:
            return DrawnVehicles(drawn, *lanes_of(people.spec, people.conditions, drawn))
        except UnphysicalError as error:
            keep = np.ones(next(iter(drawn.values())).size, dtype=bool)
            for violation in error.violations:
                keep[violation.lanes] = False
            if not keep.any() or keep.all():
                raise
            drawn = {key: values[keep] for key, values in drawn.items()}


def _band(nominal: float, values: Array, model: ModelError = NO_MODEL_ERROR) -> Interval:
    found = spread_of_runs((values,), model)
    return Interval(nominal, found.low, found.high)


def _gain(nominal: Prediction, ends: Sequence[Ends], model: ModelError) -> Interval:
    """What releasing gains, with its band; `ends` of the connected and of the released runs."""
    connected, released = (one.ranking for one in ends)
    found = gain_spread((released, -connected), model)
    return Interval(nominal.gain, found.low, found.high)


def _score_band(nominal: float, ends: Ends, model: ModelError) -> Interval:
    """The score with its band; those who have not ended where the ramp does rank last."""
    outlasted = np.full(int((ends.outcome == Outcome.RAMP_ENDS).sum()), np.inf)
    return _band(nominal, np.append(ends.score[np.isfinite(ends.score)], outlasted), model)


def _shares(counts: Mapping[str, int], of: int) -> tuple[tuple[str, float], ...]:
    return tuple(sorted(((what, n / of) for what, n in counts.items() if n), key=lambda pair: (-pair[1], pair[0])))


def _expected(case: Case, nominal: Run, ends: Ends, angle: Array, model: ModelError) -> ExpectedRun:
    """What the ends of the possible vehicles in a case come to; angle: of their ramps, (lanes,) [rad]."""
    scored = np.flatnonzero(np.isfinite(ends.score))
    outlasted = np.full(int((ends.outcome == Outcome.RAMP_ENDS).sum()), np.inf)  # they rank last
    found = take(ends, scored)
    lifting = found.wheel[found.wheel >= 0]  # none where wheels spin first
    stops = {"on its bump stop": found.limited[:, 0], "at full droop": found.limited[:, 1]}
    stood = own_measures(nominal.trace.measures, case.side).contact[-1]
    counts = [(outcome, int((ends.outcome == outcome).sum())) for outcome in Outcome]
    on_ramp = ramp_wheel(case.side)
    # In the order in which a climb meets them, for those that are as many.
    order = wheel_order(case.side)
    return ExpectedRun(
        bars=case.bars,
        outcome=nominal.outcome,
        nominal=nominal,
        score=_score_band(nominal.score, ends, model),
        climb=_band(nominal.climb, np.append(found.climb, outlasted), model),
        mark_height=_band(nominal.mark_height, np.append(found.climb * np.sin(angle[scored]), outlasted), model),
        lifts=_shares({WHEELS[i]: int((lifting == i).sum()) for i in order}, max(lifting.size, 1)),
        stops=_shares(
            {f"{WHEELS[i]} {how}": int(met[:, i].sum()) for how, met in stops.items() for i in order},
            max(scored.size, 1),
        ),
        tipping_angle=_band(nominal.tipping_angle, found.standing()[1]),
        ramp_wheel_load=_band(float(nominal.wheel_load[on_ramp]), found.wheel_load[:, on_ramp]),
        heaviest_wheel=WHEELS[int(np.argmax(nominal.wheel_load))] if np.isfinite(nominal.wheel_load).all() else "",
        heaviest_load=_band(float(nominal.wheel_load.max()), found.wheel_load.max(axis=1)),
        standing=tuple(
            (WHEELS[i], _band(float(stood[i, 0]), found.at.contact[:, i, 0])) for i in order if i != on_ramp
        ),
        rear_wheel_climbs=float((found.at.ramp_gap[:, 1] < 0.0).mean()) if scored.size else 0.0,
        vehicles=ends.outcome.size,
        spins=float((found.outcome == Outcome.WHEELS_SPIN).mean()) if scored.size else 0.0,
        unscored=tuple((outcome.meaning, n) for outcome, n in counts if n and outcome not in SCORED),
    )


def _ramp_need(
    vehicle: Vehicles,
    conditions: Conditions,
    runs: Sequence[ExpectedRun],
    ends: Sequence[Ends],
    model: ModelError,
) -> RampNeed:
    ended = np.stack([np.isfinite(one.score) for one in ends])
    far = np.where(ended, np.stack([one.climb for one in ends]), np.inf).max(axis=0)
    bounded = bool((np.isfinite(far)).mean() >= RAMP_SHARE)
    finite = far[np.isfinite(far)]
    if bounded:
        # Of the longest run only: the others would have to gain more on it than their own errors hold.
        held = quantiles(far, model.total * far, (RAMP_SHARE,))[0] if model.total > 0.0 else np.nan
        reached = float(held) if np.isfinite(held) else float(np.quantile(far, RAMP_SHARE, method="higher"))
    else:
        reached = float(finite.max()) if finite.size else float("nan")
    radius = float(vehicle.tyre_radius[0].max())
    spare, angle = radius, conditions.ramp_angle.value
    rear_too = any(run.rear_wheel_climbs > 0.0 for run in runs)
    paths = np.concatenate(
        [run.nominal.trace.measures.contact[:, wheel, 1] for run in runs for wheel in (0, 2)[: 1 + rear_too]]
    )
    loads = [
        load for run in runs for load in (run.ramp_wheel_load.value, run.ramp_wheel_load.high) if np.isfinite(load)
    ]
    section = 2.0 * float(vehicle.tyre_section_radius[0].max())
    load = max(loads, default=float("nan"))
    return RampNeed(
        length=reached + spare,
        reached=reached,
        spare=spare,
        height=(reached + spare) * float(np.sin(angle)),
        width=section + float(np.ptp(paths)) + 2.0 * SIDE_ROOM,
        load=load,
        rating=RATING_MARGIN * load,
        push=load * float(np.sin(angle)) * (1 + rear_too),
        level_ground=float(vehicle.wheelbase[0]) + 2.0 * radius,
        rear_wheel_climbs=max(run.rear_wheel_climbs for run in runs),
        bounded=bounded,
    )


def _clearances(runs: Sequence[Run], names: Sequence[str]) -> tuple[Clearance, ...]:
    nearest = []
    for column, name in enumerate(names):
        lows = []
        for run in runs:
            gap = run.trace.clearance[:, column]
            row = int(np.argmin(gap))
            lows.append(Clearance(name, float(gap[row]), float(run.trace.climb[row]), run.bars))
        nearest.append(min(lows, key=lambda low: low.gap))
    return tuple(sorted(nearest, key=lambda low: low.gap))


def _bar_loads(vehicle: Vehicles, run: Run) -> tuple[BarLoad, ...]:
    travel = run.trace.measures.hub_travel
    apart = np.abs(travel[:, 0::2] - travel[:, 1::2])
    return tuple(
        BarLoad(
            axle,
            float(vehicle.bar_rate[0, i] * apart[0, i]),
            float(vehicle.bar_rate[0, i] * apart[-1, i]),
        )
        for i, axle in enumerate(AXLES)
        if vehicle.releasable_axles[0, i]
    )


def _release_on_ramp(vehicle: Vehicles, test: RampTest, side: str, run: Run) -> ReleaseOnRamp | None:
    """The state into which the vehicle settles when its bars let go at the connected run's mark.

    Its suspension friction starts from where the way up left it.
    """
    if run.outcome != Outcome.WHEEL_LIFTS:
        return None
    mark = at_climbs(vehicle, test, side, run, np.array([run.climb]))
    after = release(vehicle, mark)
    before, found = (measures(RampSystem.of(one.vehicles, one.test), one.state, one.climb) for one in (mark, after))
    others = found.wheel_load[0].copy()
    others[0] = np.inf
    lightest = int(np.argmin(others))
    return ReleaseOnRamp(
        stands=bool(after.converged.all() and others[lightest] > 0.0),
        roll=lateral_sign(side) * float(found.roll[0] - before.roll[0]),
        height=float(np.abs(found.hub - before.hub).max()),
        lightest_wheel=WHEELS[own_wheel(lightest, side)],
        lightest_load=float(others[lightest]),
    )


def influences_on(
    score: Array,
    samples: Mapping[str, Array],
    groups: Sequence[tuple[str, ...]],
    inputs: Mapping[str, Estimate],
    model: ModelError = NO_MODEL_ERROR,
) -> tuple[tuple[Influence, ...], float]:
    """Shares of the score's variance that are worth knowing, largest first, and the share of the model's own error.

    Args:
        score: (points,); points without one are left out.
        samples: of the inputs, each (points,).
        groups: the inputs, those that are unknown together in one group.
        inputs: every input by its key.
        model: its own error in the score.
    """
    alone = polynomial_shares(samples, score, groups)
    least = max(WORTH_KNOWING, alone.floor)
    shares = with_model_share(alone, (score,), model)
    found = tuple(
        Influence(
            shares.groups[k],
            float(shares.total[k]),
            all(inputs[key].source == "assumed" for key in shares.groups[k]),
            tuple(inputs[key].text for key in shares.groups[k]),
        )
        for k in shares.ranked()
        if alone.total[k] >= least
    )
    return found, sum(shares.left_out)


def plan_test(
    population: Population,
    side: str = "left",
    samples: int = SAMPLES,
    seed: int = SEED,
    model: ModelError | None = None,
) -> DayPlan:
    """Plan a test day: every band, the ramp, what to watch.

    Args:
        population: the vehicles that may be.
        side: "left" or "right", of the wheel on the ramp.
        samples: how many of them are tried.
        seed: of the samples.
        model: its own error; the assumed one if None.

    Raises:
        UnphysicalError: the vehicle, or every possible one, cannot exist.
    """
    spec, known = population.spec, population.conditions
    error = model if model is not None else ASSUMED_MODEL_ERROR
    vehicle, exact = lanes_of(spec, known, {})
    nominal = predict(vehicle, exact, side, watched_of(spec))
    cases = [Case(side, "connected")] + ([Case(side, "released")] if nominal.released is not None else [])
    possible = possible_vehicles(population, samples, seed)
    drawn, vehicles, test = possible
    climbs = climbs_of(vehicles, test, cases)
    ends = {case: ends_of(vehicles, test, case, climbs[case]) for case in cases}
    nominal_runs = each_state(nominal)
    runs = tuple(
        _expected(case, run, ends[case], test.angle, error) for case, run in zip(cases, nominal_runs, strict=True)
    )
    influences, model_share = influences_on(
        ends[cases[-1]].score, drawn, tied_groups(population.keys, population.ties), population.inputs, error
    )
    return DayPlan(
        side=side,
        angle=known.ramp_angle.value,
        touch_load=known.touch_load.value,
        wheelbase=float(vehicle.wheelbase[0]),
        prediction=nominal,
        outlook=drive_outlook(vehicle, spec, exact, side),
        runs=runs,
        gain=_gain(nominal, [ends[case] for case in cases], error) if len(cases) > 1 else None,
        ramp=_ramp_need(vehicle, known, runs, list(ends.values()), error),
        clearances=_clearances(nominal_runs, spec.body_points),
        bars=_bar_loads(build(spec), nominal.connected),
        release_on_ramp=_release_on_ramp(vehicle, exact, side, nominal.connected) if nominal.released else None,
        influences=influences,
        model=error,
        model_share=model_share,
        possible=possible,
        left_out=samples - vehicles.lanes if drawn else 0,
        samples=samples,
        seed=seed,
    )


def expected_scores(
    population: Population,
    side: str,
    samples: int = SAMPLES,
    seed: int = SEED,
    model: ModelError = ASSUMED_MODEL_ERROR,
    possible: DrawnVehicles | None = None,
) -> tuple[ExpectedScore, ...]:
    """The scores that `plan_test` expects on a side, for a fraction of its work; arguments and errors as there.

    `possible` are the population's vehicles where they are drawn already, as in the plan of the other side.
    """
    vehicle, exact = lanes_of(population.spec, population.conditions, {})
    _, vehicles, test = possible or possible_vehicles(population, samples, seed)
    cases = [Case(side, bars) for bars in (BAR_STATES if vehicle.releasable.any() else BAR_STATES[:1])]
    every, tests = stack([vehicle, vehicles]), join([exact, test])  # the nominal one is the first lane
    runs = []
    for case, climbed in climbs_of(every, tests, cases).items():
        ends = ends_of(every, tests, case, climbed)
        band = _score_band(float(ends.score[0]), take(ends, slice(1, None)), model)
        runs.append(ExpectedScore(case.bars, Outcome(int(ends.outcome[0])), band))
    return tuple(runs)
