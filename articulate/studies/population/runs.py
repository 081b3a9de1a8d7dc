"""Simulated tests of a population: how each possible vehicle's climbs end, with what failed kept in sight."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.ends import NOT_BUILT, Ends, ends_of
from articulate.lanes import join, spread_out
from articulate.model.vehicles import Vehicles
from articulate.spec import Estimate, UnphysicalError, VehicleSpec, build
from articulate.studies.population.conditions import (
    BOTH_BAR_STATES,
    Conditions,
    all_inputs,
    climbs_of,
    lanes_of,
    uncertain,
)
from articulate.studies.population.sampling import SEED, from_scores, normal_scores
from articulate.studies.population.ties import Ties, correlation_root, usual_ties
from articulate.types import Case, other_side

Array = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Progress = Callable[[int, int], None]  # points done, points in all
Alter = Callable[[Vehicles], Vehicles]

BLOCK = 2048  # points in one batch


@dataclass(frozen=True, repr=False)
class Population(Brief):
    """A vehicle file with the test's conditions and its ties, ready to be sampled."""

    spec: VehicleSpec
    conditions: Conditions
    ties: Ties
    keys: tuple[str, ...]  # of the uncertain inputs

    @staticmethod
    def of(spec: VehicleSpec, conditions: Conditions | None = None, ties: Ties | None = None) -> Population:
        """The population of vehicles a file allows.

        conditions: of the test, the usual ones if None. ties: the usual ones if None, none if empty.

        Raises:
            TieError: ties of inputs that are not uncertain, or that contradict each other.
        """
        given = conditions if conditions is not None else Conditions()
        keys = uncertain(spec, given)
        chosen = usual_ties(all_inputs(spec, given)) if ties is None else ties
        correlation_root(keys, chosen)
        return Population(spec, given, dict(chosen), keys)

    @property
    def inputs(self) -> dict[str, Estimate]:
        """Inputs of the vehicle and of the test."""
        return all_inputs(self.spec, self.conditions)

    def samples(self, scores: Array) -> dict[str, Array]:
        """Inputs at independent normal scores (points, keys), each (points,) [SI]."""
        return from_scores(self.inputs, self.keys, scores, correlation_root(self.keys, self.ties))


@dataclass(frozen=True, eq=False, repr=False)
class Runs(Brief):
    """A population's simulated tests; arrays have one entry a point, the failed ones too."""

    population: Population
    normal: Array  # (points, keys), independent normal scores
    samples: Mapping[str, Array]  # each (points,) [SI]
    ends: Mapping[Case, Ends]
    faults: Mapping[str, int]  # why points could not be built, and how many

    @property
    def points(self) -> int:
        """Number of points."""
        return int(self.normal.shape[0])


def cases_of(spec: VehicleSpec, side: str = "left") -> tuple[Case, ...]:
    """Both bar states, or connected alone where no bar can be released."""
    vehicle = build(spec)
    releasable = vehicle.releasable.any()
    return tuple(Case(side, case.bars) for case in BOTH_BAR_STATES if releasable or case.bars == "connected")


def cases_to_learn(spec: VehicleSpec, sides: Sequence[str] = ("left",)) -> tuple[Case, ...]:
    """Both bar states of the sides; where no bar can be released there is the other side to learn about."""
    named = tuple(dict.fromkeys(sides))
    cases = tuple(case for side in named for case in cases_of(spec, side))
    if len(cases) == 1:
        cases += cases_of(spec, other_side(named[0]))
    return cases


def simulate(
    population: Population,
    cases: Sequence[Case],
    points: int = 1024,
    seed: int = SEED,
    progress: Progress | None = None,
    alter: Alter | None = None,
) -> Runs:
    """Simulate the tests of Sobol points of the population, all cases on the same points.

    Args:
        population: the vehicles that may be.
        cases: sides and bar states.
        points: how many vehicles; a power of two spreads best.
        seed: of the points.
        progress: told how many of how many are done.
        alter: of the vehicles before they climb, such as to truths that the population does not hold.
    """
    return simulate_at(population, cases, normal_scores(points, len(population.keys), seed), progress, alter)


def simulate_at(
    population: Population,
    cases: Sequence[Case],
    normal: Array,
    progress: Progress | None = None,
    alter: Alter | None = None,
) -> Runs:
    """Simulate the tests at given points: independent normal scores, (points, keys of the population).

    The other arguments as `simulate`.
    """
    points = normal.shape[0]
    samples = population.samples(normal)
    blocks: list[dict[Case, Ends]] = []
    faults: dict[str, int] = {}
    for start in range(0, points, BLOCK):
        lanes = np.arange(start, min(start + BLOCK, points))
        blocks.append(
            _block(population, {key: x[lanes] for key, x in samples.items()}, cases, lanes.size, faults, alter)
        )
        if progress is not None:
            progress(int(lanes[-1]) + 1, points)
    ends = {case: join([block[case] for block in blocks]) for case in cases}
    return Runs(population, normal, samples, ends, faults)


def _block(
    population: Population,
    samples: Mapping[str, Array],
    cases: Sequence[Case],
    points: int,
    faults: dict[str, int],
    alter: Alter | None,
) -> dict[Case, Ends]:
    built = np.arange(points)
    while True:
        try:
            chosen = {key: values[built] for key, values in samples.items()}
            vehicles, test = lanes_of(population.spec, population.conditions, chosen)
            break
        except UnphysicalError as error:
            bad = np.zeros(built.size, dtype=bool)
            for violation in error.violations:
                faults[violation.what] = faults.get(violation.what, 0) + int((~bad[violation.lanes]).sum())
                bad[violation.lanes] = True
            built = built[~bad]
            if not built.size:
                raise
    if vehicles.lanes != built.size:  # nothing is uncertain: every point is the same vehicle
        vehicles = vehicles.take(np.zeros(built.size, dtype=np.intp))
        test = test.take(np.zeros(built.size, dtype=np.intp))
    vehicles = alter(vehicles) if alter is not None else vehicles
    climbs = climbs_of(vehicles, test, cases)
    return {case: _in_places(ends_of(vehicles, test, case, climbs[case]), built, points) for case in cases}


def _in_places(ends: Ends, built: NDArray[np.intp], points: int) -> Ends:
    """The ends of the built points among all."""
    if built.size == points:
        return ends
    whole = spread_out(ends, built, points)
    unbuilt = np.isin(np.arange(points), built, invert=True)
    for outcome in (whole.outcome, whole.outcome_without_spin):
        outcome[unbuilt] = NOT_BUILT
    return whole
