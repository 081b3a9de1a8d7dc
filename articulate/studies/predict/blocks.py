"""The block test, for people without a ramp: two opposite corners on blocks, raised until a wheel carries nothing.

Raising a front wheel and the opposite rear one by H twists the vehicle as raising one wheel by 2 H does, but for pitch
and the ramp's own tilt. So the height at which a wheel unloads goes with the ramp score of the same vehicle, and how
closely it does is found by putting the vehicles a file allows to both tests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import Outcome, climb_to_unload, settle
from articulate.ends import NOT_BUILT, in_case
from articulate.model.blocks import BlockSystem
from articulate.model.measures import Measures, measures, tipping
from articulate.model.ramp_test import ramp_test
from articulate.model.vehicles import Vehicles, stack
from articulate.solve.newton import solve_at
from articulate.solve.path import End, Steps, follow
from articulate.spec import build
from articulate.studies.population.conditions import Conditions, tests_of
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, ModelError
from articulate.studies.population.runs import Population, Progress, cases_of, simulate
from articulate.studies.population.sampling import SEED
from articulate.studies.predict.band import Spread, spread_of_runs
from articulate.types import Case, lateral_sign, own_wheel, wheel_order

Array = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

HIGHEST = 1.5  # [m], beyond which no block is looked for
STEPS = Steps(first=0.02, longest=0.06, tolerance=1e-7)  # of the height [m]
OPPOSITE = np.array([True, False, False, True])  # front left and rear right
ONE_WHEEL = np.array([True, False, False, False])
_OUTCOMES = {
    End.CROSSED: Outcome.WHEEL_LIFTS,
    End.LIMIT: Outcome.RAMP_ENDS,
    End.JUMPED: Outcome.EQUILIBRIUM_JUMPS,
    End.LOST: Outcome.TIPS,
}


@dataclass(frozen=True, eq=False, repr=False)
class Raised(Brief):
    """Vehicles on blocks at the height where a wheel is down to the touch load, one a lane.

    `outcome` is of `Outcome`, `RAMP_ENDS` where no wheel unloads up to the highest block; values are NaN where it gives
    none.
    """

    outcome: NDArray[np.intp]  # (lanes,)
    height: Array  # (lanes,) [m], of the blocks
    wheel: NDArray[np.intp]  # (lanes,), that unloads, -1 if none
    wheel_load: Array  # (lanes, 4) [N]
    measures: Measures  # in that state; contact heights are over each wheel's own ground


def raise_on_blocks(vehicles: Vehicles, raised: BoolArray, touch_load: Array, highest: float = HIGHEST) -> Raised:
    """Raise chosen wheels together, on level ground, until a wheel is down to the touch load.

    Args:
        vehicles: the batch, bars as they are; suspension friction is carried along from rest.
        raised: (lanes, 4), wheels on blocks.
        touch_load: (lanes,) [N].
        highest: height of the blocks at which the search ends [m].
    """
    lanes = vehicles.lanes
    rest = settle(vehicles, ramp_test(lanes))
    system = BlockSystem.on_blocks(vehicles, raised)
    system.relax(rest.state)
    start = solve_at(system, rest.state, np.zeros(lanes))
    start.stable[:] &= rest.stable
    path = follow(system, start, np.full(lanes, highest), touch_load, np.arange(4), STEPS)
    at = path.solution
    outcome = np.array([_OUTCOMES.get(End(end), Outcome.NOT_CONVERGED) for end in path.end], dtype=np.intp)
    outcome[rest.converged & ~rest.stable] = Outcome.UNSTABLE_AT_REST
    lifts = np.isin(outcome, (Outcome.WHEEL_LIFTS, Outcome.EQUILIBRIUM_JUMPS))
    return Raised(
        outcome=outcome,
        height=np.where(lifts, at.parameter, np.nan),
        wheel=np.where(lifts, path.which, -1),
        wheel_load=np.where(lifts[:, None], np.maximum(at.margins, 0.0), np.nan),
        measures=measures(system, at.state, at.parameter),
    )


@dataclass(frozen=True, eq=False, repr=False)
class BlockRun(Brief):
    """One state of the bars, in the vehicle's own left and right; NaN where the outcome gives no value."""

    bars: str
    outcome: Outcome
    height: float  # [m], of both blocks, where a wheel is down to the touch load
    height_shaken: float  # with suspension friction shaken out
    heights: Spread  # [m], of the vehicles the file allows
    wheel: int  # that unloads, -1 if none
    wheel_load: Array  # (4,) [N]
    hub_travel: Array  # (4,) [m], bump positive
    roll: float  # [rad], left side up positive
    pitch: float  # [rad], nose down positive
    rocking_margin: float  # [m], on the three wheels that carry, until the vehicle rocks back onto the lifted one
    one_wheel_outcome: Outcome  # raising the front wheel alone
    one_wheel_lift: float  # [m]
    one_wheel: int  # that unloads then
    score: float  # on the ramp, grip enough
    score_per_height: Spread  # [1/m], of the vehicles the file allows


@dataclass(frozen=True, eq=False, repr=False)
class BlockTest(Brief):
    """Both states of the bars of one vehicle; `released` is None where no bar can be released."""

    side: str  # of the front wheel on a block; the rear block is on the other side
    ramp_angle: float  # [rad], of the ramp it is compared with
    wheelbase: float  # [m]
    tyre_radius: float  # [m], of the front tyres, unloaded
    points: int
    seed: int
    model: ModelError
    connected: BlockRun
    released: BlockRun | None


def block_test(
    population: Population, side: str = "left", points: int = 256, seed: int = SEED, progress: Progress | None = None
) -> BlockTest:
    """Put a vehicle on blocks under a front wheel and the opposite rear one, and on the ramp.

    Args:
        population: the vehicles that may be; the touch load of their ramp is that of the blocks too.
        side: of the front wheel on a block, and of the ramp.
        points: how many of them are put to both tests.
        seed: of the points.
        progress: told how many ramp climbs of how many are done.

    The model's own error is the assumed one, as large in a height as in a score.

    Raises:
        UnphysicalError: the nominal vehicle cannot exist.
    """
    spec, given = population.spec, population.conditions
    nominal, cases = build(spec), cases_of(spec, side)
    runs = simulate(population, cases, points, seed, progress)
    built = np.flatnonzero(runs.ends[cases[0]].outcome != NOT_BUILT)
    samples = {key: values[built] for key, values in runs.samples.items() if not key.startswith("test.")}
    people = build(spec, samples)
    if people.lanes != built.size:
        people = people.take(np.zeros(built.size, dtype=np.intp))
    touch = tests_of(given, runs.samples, points).touch_load[built]
    found = []
    for case in cases:
        raised = raise_on_blocks(in_case(people, case), np.tile(OPPOSITE, (built.size, 1)), touch)
        scores = runs.ends[case].ranking_without_spin[built]
        found.append(_run(nominal, case, given, raised.height, scores, ASSUMED_MODEL_ERROR))
    return BlockTest(
        side=side,
        ramp_angle=given.ramp_angle.value,
        wheelbase=float(nominal.wheelbase[0]),
        tyre_radius=float(nominal.tyre_radius[0, 0]),
        points=points,
        seed=seed,
        model=ASSUMED_MODEL_ERROR,
        connected=found[0],
        released=found[1] if len(found) > 1 else None,
    )


def _run(
    nominal: Vehicles, case: Case, conditions: Conditions, heights: Array, scores: Array, model: ModelError
) -> BlockRun:
    """The nominal vehicle in one case, with what the population makes of it."""
    vehicle = in_case(nominal, case)
    test = tests_of(conditions, {}, 1)
    wheels = np.stack([OPPOSITE, OPPOSITE, ONE_WHEEL])
    three = stack([vehicle, vehicle.frictionless(), vehicle])
    found = raise_on_blocks(three, wheels, np.repeat(test.touch_load, 3))
    climbed = climb_to_unload(vehicle, test)
    swap, sign = wheel_order(case.side), lateral_sign(case.side)
    at, wheel = found.measures, int(found.wheel[0])
    rocking = float("nan")
    if wheel >= 0:
        load = np.maximum(found.wheel_load[:1], 1.0)
        load[0, wheel] = 0.0
        rocking = float(tipping(at.contact[:1], load, at.mass_centre[:1])[0][0])
    stands = np.isfinite(found.height[0])
    between = ModelError(0.0, math.sqrt(2.0) * model.run)  # what both tests have in common leaves their ratio alone
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = scores / heights
    return BlockRun(
        bars=case.bars,
        outcome=Outcome(int(found.outcome[0])),
        height=float(found.height[0]),
        height_shaken=float(found.height[1]),
        heights=spread_of_runs((heights,), model),
        wheel=own_wheel(wheel, case.side),
        wheel_load=found.wheel_load[0][swap],
        hub_travel=np.where(stands, at.hub_travel[0][swap], np.nan),
        roll=sign * float(at.roll[0]) if stands else float("nan"),
        pitch=float(at.pitch[0]) if stands else float("nan"),
        rocking_margin=rocking,
        one_wheel_outcome=Outcome(int(found.outcome[2])),
        one_wheel_lift=float(found.height[2]),
        one_wheel=own_wheel(int(found.wheel[2]), case.side),
        score=float(climbed.score_without_spin[0]),
        score_per_height=spread_of_runs((np.where(np.isfinite(ratio), ratio, np.nan),), between),
    )
