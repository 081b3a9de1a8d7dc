"""Many possible vehicles for one vehicle file: samples of every uncertain input, and the climbs they make.

The conditions of the test are inputs like those of the vehicle, under the keys `test.ramp_angle`,
`test.holding_share`, `test.touch_load` and, where the drive is known, `test.friction`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from articulate.climb import Climb, climb_to_unload
from articulate.constants import DEGREE
from articulate.ends import in_case
from articulate.lanes import join, take
from articulate.model.ramp_test import DRY_FRICTION, RampTest
from articulate.model.vehicles import Vehicles, stack
from articulate.spec import Estimate, VehicleSpec, build
from articulate.studies.population.parallel import on_cores
from articulate.studies.population.sampling import SEED, from_scores, normal_scores, uncertain_inputs
from articulate.studies.population.ties import Ties, correlation_root, usual_ties
from articulate.types import BAR_STATES, Case

Array = NDArray[np.float64]

RAMP_ANGLE, HOLDING_SHARE, TOUCH_LOAD = "test.ramp_angle", "test.holding_share", "test.touch_load"
FRICTION = "test.friction"
LEAST_FRICTION = 0.01
MOST_CLIMBS = 8192  # in one batch: more are no quicker, and take some 9 kB each on their way


def exactly(value: float, unit: str = "", unit_size: float = 1.0, basis: str = "chosen") -> Estimate:
    """An estimate without uncertainty [SI]."""
    return Estimate(value, value, value, "exact", "given", basis, unit, unit_size)


UNKNOWN_SHARE = Estimate(
    0.5, 0.0, 1.0, "rectangular", "assumed", "between the wheels on the flat and the ramp wheel", "", 1.0
)
DRY = Estimate(
    DRY_FRICTION,
    0.6,
    1.0,
    "triangular",
    "assumed",
    "tyre on a dry ramp and floor; not checked against a source",
    "",
    1.0,
)


@dataclass(frozen=True)
class Conditions:
    """What is chosen, known or not known about the test itself."""

    ramp_angle: Estimate = field(default_factory=lambda: exactly(20.0 * DEGREE, "deg", DEGREE))
    holding_share: Estimate = UNKNOWN_SHARE
    touch_load: Estimate = field(default_factory=lambda: exactly(0.0, "N", 1.0))
    length: float = np.inf  # [m], of the ramp along its slope
    friction: Estimate = DRY  # of tyre on ramp and floor

    @property
    def inputs(self) -> dict[str, Estimate]:
        """The conditions by their keys."""
        return {
            RAMP_ANGLE: self.ramp_angle,
            HOLDING_SHARE: self.holding_share,
            TOUCH_LOAD: self.touch_load,
            FRICTION: self.friction,
        }

    @property
    def share_by_drive(self) -> bool:
        """Whether a known drive says the holding share: nobody else does."""
        return self.holding_share.source == "assumed"

    def inputs_of(self, *specs: VehicleSpec) -> dict[str, Estimate]:
        """The conditions that bear on some of these vehicles: a known drive needs friction and says the holding share.

        A vehicle of which no drive is known never spins here.
        """
        known = [spec.drive is not None for spec in specs]
        left_out = {FRICTION} if not any(known) else set()
        if known and all(known) and self.share_by_drive:
            left_out.add(HOLDING_SHARE)
        return {key: estimate for key, estimate in self.inputs.items() if key not in left_out}


BOTH_BAR_STATES = tuple(Case(bars=bars) for bars in BAR_STATES)


def all_inputs(spec: VehicleSpec, conditions: Conditions) -> dict[str, Estimate]:
    """Inputs of the vehicle and of the test."""
    return {**spec.inputs, **conditions.inputs_of(spec)}


def uncertain(spec: VehicleSpec, conditions: Conditions) -> tuple[str, ...]:
    """Keys of all inputs that are not exact."""
    tests = tuple(key for key, estimate in conditions.inputs_of(spec).items() if estimate.distribution != "exact")
    return uncertain_inputs(spec) + tests


def draw(
    spec: VehicleSpec, conditions: Conditions, points: int, seed: int = SEED, ties: Ties | None = None
) -> dict[str, Array]:
    """Samples of every uncertain input of vehicle and test, each (points,).

    ties: correlations between inputs; the usual ones if None, none if empty.

    Raises:
        TieError: ties of inputs that are not uncertain, or that contradict each other.
    """
    keys = uncertain(spec, conditions)
    inputs = all_inputs(spec, conditions)
    root = correlation_root(keys, usual_ties(inputs) if ties is None else ties)
    return from_scores(inputs, keys, normal_scores(points, len(keys), seed), root)


def lanes_of(spec: VehicleSpec, conditions: Conditions, samples: Mapping[str, Array]) -> tuple[Vehicles, RampTest]:
    """Vehicles and tests of a sample, one lane a point; a batch of one where nothing is sampled.

    Raises:
        UnphysicalError: a sampled vehicle cannot exist; the error names its lanes.
    """
    points = max((values.size for values in samples.values()), default=1)
    vehicles = build(spec, {key: values for key, values in samples.items() if not key.startswith("test.")})
    if vehicles.lanes != points:
        vehicles = vehicles.take(np.zeros(points, dtype=np.intp))

    return vehicles, tests_of(conditions, samples, points)


def tests_of(conditions: Conditions, samples: Mapping[str, Array], points: int) -> RampTest:
    """Tests of a sample, each input (points,), one lane a point; what is not sampled is nominal."""

    def condition(key: str) -> Array:
        return np.array(np.broadcast_to(samples.get(key, conditions.inputs[key].value), (points,)), dtype=np.float64)

    return RampTest(
        angle=condition(RAMP_ANGLE),
        holding_share=np.clip(condition(HOLDING_SHARE), 0.0, 1.0),
        touch_load=np.maximum(condition(TOUCH_LOAD), 0.0),
        length=np.full(points, conditions.length),
        friction=np.maximum(condition(FRICTION), LEAST_FRICTION),
        share_by_drive=np.full(points, conditions.share_by_drive),
    )


def climbs_of(vehicles: Vehicles, test: RampTest, cases: Sequence[Case]) -> dict[Case, Climb]:
    """Climbs of the same lanes in each case.

    Args:
        vehicles: as they stand, not mirrored.
        test: conditions of the same lanes.
        cases: one climb of every lane in each.

    Returns:
        A climb of all lanes for each case, without its path; its wheels are named as in `in_case`.
    """

    def batch(lanes: slice) -> dict[Case, Climb]:
        some, theirs = vehicles.take(lanes), test.take(lanes)
        every = np.tile(np.arange(some.lanes), len(cases))
        climbed = without_path(climb_to_unload(stack([in_case(some, case) for case in cases]), theirs.take(every)))
        return {case: climbed.block(slice(k * some.lanes, (k + 1) * some.lanes)) for k, case in enumerate(cases)}

    together = max(MOST_CLIMBS // len(cases), 1)
    starts = range(0, vehicles.lanes, together)
    blocks = list(on_cores(batch, [slice(at, at + together) for at in starts], vehicles.lanes * len(cases)))
    return {case: join([block[case] for block in blocks]) for case in cases}


def without_path(climbed: Climb) -> Climb:
    """Climbs whose ways are let go: of many climbs these take most of the room."""
    return replace(climbed, nodes=take(climbed.nodes, slice(0)))
