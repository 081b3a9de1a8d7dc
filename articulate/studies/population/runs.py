"""Simulated tests of a population: how each possible vehicle's climbs end, with what failed kept in sight."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.ends import NOT_BUILT, Ends, ends_of
from articulate.lanes import gathered, spread_out
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
from articulate.studies.population.parallel import on_cores
from articulate.studies.population.sampling import SEED, from_scores, score_blocks
from articulate.studies.population.ties import Ties, correlation_root, usual_ties
from articulate.types import Case, other_side

Array = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Progress = Callable[[int, int], None]  # points done, points in all
Alter = Callable[[Vehicles], Vehicles]

EXPONENT = 11
BLOCK = 2**EXPONENT  # points in one batch


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
    return _gathered(population, points, simulated_blocks(population, cases, points, seed, alter), progress)


def simulate_at(
    population: Population,
    cases: Sequence[Case],
    normal: Array,
    progress: Progress | None = None,
) -> Runs:
    """Simulate the tests at given points: independent normal scores, (points, keys of the population).

    The other arguments as `simulate`.
    """

    def block(number: int) -> Array:
        return normal[number * BLOCK : (number + 1) * BLOCK]

    points = normal.shape[0]
    return _gathered(population, points, _in_blocks(population, cases, points, block, None), progress)


def simulated_blocks(
    population: Population, cases: Sequence[Case], points: int, seed: int = SEED, alter: Alter | None = None
) -> Iterator[Runs]:
    """The runs of `simulate` in blocks of at most `BLOCK` points, in order.

    Memory holds a few blocks, however many points there are: for many more than fit in it at once. Arguments as there.
    """
    normal = score_blocks(min(EXPONENT, max(points - 1, 0).bit_length()), len(population.keys), seed)
    return _in_blocks(population, cases, points, normal, alter)


def _in_blocks(
    population: Population, cases: Sequence[Case], points: int, normal: Callable[[int], Array], alter: Alter | None
) -> Iterator[Runs]:
    """Runs block by block, on several cores where they are many.

    normal: scores of a block by its number, (BLOCK or more than are left of it, keys).
    """

    def simulated(number: int) -> tuple[_Block, dict[str, int]]:
        mine = normal(number)[: points - number * BLOCK]
        samples = population.samples(mine)
        ends, faults = _ends(population, samples, cases, mine.shape[0], alter)
        return _Block(mine, samples, ends), faults

    numbers = range(-(-points // BLOCK))
    for block, faults in on_cores(simulated, numbers, points * len(cases)):
        yield Runs(population, block.normal, block.samples, block.ends, faults)


def _gathered(population: Population, points: int, blocks: Iterable[Runs], progress: Progress | None) -> Runs:
    """The runs of all blocks, each put in its place as it comes."""
    faults: dict[str, int] = {}

    def placed() -> Iterator[tuple[slice, _Block]]:
        done = 0
        for block in blocks:
            done, start = done + block.points, done
            for what, count in block.faults.items():
                faults[what] = faults.get(what, 0) + count
            if progress is not None:
                progress(done, points)
            yield slice(start, done), _Block(block.normal, dict(block.samples), dict(block.ends))

    whole = gathered(placed(), points)
    return Runs(population, whole.normal, whole.samples, whole.ends, faults)


@dataclass(frozen=True, eq=False, repr=False)
class _Block(Brief):
    """What there is of every point."""

    normal: Array  # (points, keys)
    samples: dict[str, Array]
    ends: dict[Case, Ends]


def _ends(
    population: Population,
    samples: Mapping[str, Array],
    cases: Sequence[Case],
    points: int,
    alter: Alter | None,
) -> tuple[dict[Case, Ends], dict[str, int]]:
    """How the climbs of a block end, and why points of it could not be built, with how many."""
    faults: dict[str, int] = {}
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
    ends = {case: _in_places(ends_of(vehicles, test, case, climbs[case]), built, points) for case in cases}
    return ends, faults


def _in_places(ends: Ends, built: NDArray[np.intp], points: int) -> Ends:
    """The ends of the built points among all."""
    if built.size == points:
        return ends
    whole = spread_out(ends, built, points)
    unbuilt = np.isin(np.arange(points), built, invert=True)
    for outcome in (whole.outcome, whole.outcome_without_spin):
        outcome[unbuilt] = NOT_BUILT
    return whole
