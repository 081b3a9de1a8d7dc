"""The roll gradient of a vehicle file: its range, whether that is plausible, and what it rests on.

It needs no ramp and people publish it, so it says at once whether bars and auxiliary roll stiffness of a file are
plausible. Being a closed form it costs next to nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.constants import DEGREE
from articulate.model.vehicles import Vehicles
from articulate.roll_gradient import roll_gradient
from articulate.spec import UnphysicalError, VehicleSpec, build
from articulate.studies.population.intervals import Interval
from articulate.studies.population.sampling import SEED, from_scores, quantile, uncertain_inputs
from articulate.studies.population.ties import correlation_root, usual_ties

Array = NDArray[np.float64]

POINTS = 1024
# From very soft cars, 8.5 deg/g, to extremely firm ones, 3.0: Milliken and Milliken, Race Car Vehicle Dynamics, 1995,
# ch. 16 (value from memory).
PLAUSIBLE = (3.0 * DEGREE, 9.0 * DEGREE)  # [rad/g]
LOW, HIGH = 0.05, 0.95


@dataclass(frozen=True)
class GradientRange(Interval):
    """Roll gradient [rad/g] of a file's nominal vehicle with its range; inf where a vehicle does not stand upright."""

    @property
    def plausible(self) -> bool:
        """Whether the nominal vehicle rolls as road vehicles do."""
        return PLAUSIBLE[0] <= self.value <= PLAUSIBLE[1]


@dataclass(frozen=True)
class Pull:
    """What one assumed input does to the gradient: at the ends of its own central 90 %, all else nominal."""

    key: str
    at_low: float  # [rad/g]
    at_high: float  # [rad/g]

    @property
    def swing(self) -> float:
        """Distance of the two in ratio: the larger, the more measuring this input would mend."""
        if not (np.isfinite(self.at_low) and np.isfinite(self.at_high)) or self.at_low * self.at_high <= 0.0:
            return float("inf")  # one of the ends leans over, or into the turn
        return abs(float(np.log(self.at_high / self.at_low)))


@dataclass(frozen=True)
class RollRange:
    """The roll gradient of a file with its bars connected, as it is driven, and with them released."""

    connected: GradientRange
    released: GradientRange | None  # None where no bar can be released
    pulls: tuple[Pull, ...]  # on the connected one, of assumed inputs, the strongest first


def roll_range(spec: VehicleSpec, points: int = POINTS, seed: int = SEED) -> RollRange:
    """The roll gradient of a vehicle file.

    Args:
        spec: the vehicle.
        points: random vehicles of its uncertain inputs; those that cannot exist are left out.
        seed: of the points.

    Raises:
        UnphysicalError: the nominal vehicle cannot exist.
    """
    nominal = build(spec)
    keys = uncertain_inputs(spec)
    scores = np.random.default_rng(seed).standard_normal((points, len(keys)))
    drawn, _ = _possible(spec, from_scores(spec.inputs, keys, scores, correlation_root(keys, usual_ties(spec.inputs))))
    releasable = bool(nominal.releasable.any())
    return RollRange(
        connected=_range(nominal, drawn),
        released=_range(nominal.released(), drawn.released()) if releasable else None,
        pulls=_pulls(spec),
    )


def _range(nominal: Vehicles, drawn: Vehicles) -> GradientRange:
    low, high = np.quantile(roll_gradient(drawn), [LOW, HIGH], method="nearest")
    return GradientRange(float(roll_gradient(nominal)[0]), float(low), float(high))


def _possible(spec: VehicleSpec, samples: Mapping[str, Array]) -> tuple[Vehicles, NDArray[np.intp]]:
    """The vehicles of those samples that can exist, and which they are; the nominal one where nothing is sampled."""
    count = max((values.size for values in samples.values()), default=1)
    kept = np.arange(count)
    while True:
        try:
            return build(spec, {key: values[kept] for key, values in samples.items()}), kept
        except UnphysicalError as error:
            bad = np.unique(np.concatenate([violation.lanes for violation in error.violations]))
            if bad.size == kept.size:
                raise
            kept = np.delete(kept, bad)


def _pulls(spec: VehicleSpec) -> tuple[Pull, ...]:
    keys = [key for key in uncertain_inputs(spec) if spec.inputs[key].source == "assumed"]
    if not keys:
        return ()
    samples = {}
    for place, key in enumerate(keys):
        values = np.full(2 * len(keys), spec.inputs[key].value)
        values[2 * place : 2 * place + 2] = quantile(spec.inputs[key], np.array([LOW, HIGH]))
        samples[key] = values
    vehicles, kept = _possible(spec, samples)
    gradient = np.full(2 * len(keys), np.nan)
    gradient[kept] = roll_gradient(vehicles)
    found = [
        Pull(key, float(gradient[2 * place]), float(gradient[2 * place + 1]))
        for place, key in enumerate(keys)
        if not np.isnan(gradient[2 * place : 2 * place + 2]).any()
    ]
    return tuple(sorted(found, key=lambda pull: -pull.swing))
