"""A sample of possible vehicles to take along: how each one's runs end, at two ramp angles.

Weighted by what is read (`weighting`), the sample says what the next run will be, as `learn` does from a larger one.
Between and a little beyond the two angles the height of a mark goes almost straight with the angle, so a ramp that
turns out half a degree steeper needs no other sample.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.constants import DEGREE
from articulate.spec import VehicleSpec
from articulate.studies.population.conditions import Conditions, climbs_of, exactly, lanes_of
from articulate.studies.population.runs import Population, Runs, simulate
from articulate.studies.population.sampling import SEED
from articulate.types import Case

Array = NDArray[np.float64]

POINTS = 1024
LEAST_SHARE = 0.5  # of the possible vehicles that have a score, for a case to be told about
EITHER_SIDE = 0.5 * DEGREE  # of the ramp's angle as planned


@dataclass(frozen=True, eq=False, repr=False)
class CaseSample(Brief):
    """How the runs of one side and state of the bars end, of each possible vehicle and of the nominal one."""

    case: Case
    score: Array  # (angles, points)
    roll: Array  # (angles, points) [rad], at the end, left side up positive
    wheel: NDArray[np.intp]  # (points,), that lifts, -1 if none, at the first angle
    nominal: Array  # (angles,), score of the vehicle as filed; NaN where it has none


@dataclass(frozen=True, eq=False, repr=False)
class RampSample(Brief):
    """Possible vehicles that have a score in every case at both angles; cases in which most have none are left out."""

    conditions: Conditions  # with the touch load of the day
    angles: Array  # (angles,) [rad]
    cases: tuple[CaseSample, ...]
    left_out: int  # drawn, but without a score somewhere
    drawn: int
    seed: int


def ramp_sample(
    spec: VehicleSpec, conditions: Conditions, cases: Sequence[Case], points: int = POINTS, seed: int = SEED
) -> RampSample:
    """Climb the possible vehicles at two ramp angles.

    Args:
        spec: the vehicle.
        conditions: of the test; the ramp's angle is taken at its value, half a degree either side.
        cases: sides and states of the bars.
        points: possible vehicles drawn, the same ones at both angles.
        seed: of the draw.

    Raises:
        UnphysicalError: the nominal vehicle cannot exist.
    """
    middle = conditions.ramp_angle
    angles = np.array([middle.value - EITHER_SIDE, middle.value + EITHER_SIDE])
    runs: list[Runs] = []
    nominal = []
    for angle in angles:
        there = replace(conditions, ramp_angle=exactly(float(angle), middle.unit, middle.unit_size))
        runs.append(simulate(Population.of(spec, there), cases, points, seed))
        vehicle, test = lanes_of(spec, there, {})
        climbed = climbs_of(vehicle, test, cases)
        nominal.append([float(climbed[case].score[0]) for case in cases])
    scored = {case: np.all([np.isfinite(one.ends[case].score) for one in runs], axis=0) for case in cases}
    told = [case for case in cases if scored[case].mean() >= LEAST_SHARE]
    usable = np.all([scored[case] for case in told], axis=0) if told else np.zeros(points, dtype=bool)
    return RampSample(
        conditions=conditions,
        angles=angles,
        cases=tuple(
            CaseSample(
                case,
                np.stack([one.ends[case].score[usable] for one in runs]),
                np.stack([one.ends[case].roll[usable] for one in runs]),
                runs[0].ends[case].wheel[usable],
                np.array([row[cases.index(case)] for row in nominal]),
            )
            for case in told
        ),
        left_out=int((~usable).sum()),
        drawn=points,
        seed=seed,
    )
