"""A score carried from one ramp angle to another, by climbing both.

The ratio of the predicted scores carries a measured one. Beside it stands the ratio of sines, which would hold if the
mark rose to the same height on both ramps, and what separates the two:

    same mark height    s2 = s1 sin g1 / sin g2
    same rise of hub    s2 = (s1 sin g1 + R (cos g1 - cos g2)) / sin g2, since the hub rises s sin g - R (1 - cos g)
    the climb itself    the hub has to rise more or less on the other ramp until a wheel is off the ground
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import Outcome, climb_to_unload
from articulate.errors import ArticulateError
from articulate.lanes import join
from articulate.model.balance import BODY_PITCH
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles, stack
from articulate.spec import Estimate, VehicleSpec
from articulate.studies.population.allowance import quantiles
from articulate.studies.population.conditions import Conditions, draw, exactly, lanes_of
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, ModelError
from articulate.studies.population.sampling import SEED, quantile, unit_points

Array = NDArray[np.float64]

BAND = (0.05, 0.95)
NOTHING_MEASURED: Mapping[str, Estimate] = MappingProxyType({})


class CarryError(ArticulateError, ValueError):
    """A score that cannot be carried; the text says why."""


@dataclass(frozen=True)
class Carried:
    """One state of the bars; ranges are the central 90 %.

    `same_mark` and `same_rise` are scores on the new ramp if only that were so; `rise` the hub's rise at the end on
    both ramps, `rise_without_holding` the same with no slope force on the ramp wheel.
    """

    bars: str
    first: float  # predicted score at the angle it is carried from
    second: float  # at the angle it is carried to
    first_range: tuple[float, float]  # of the predicted scores, with the model's own error
    second_range: tuple[float, float]
    ratio: float
    ratio_range: tuple[float, float]
    sine_ratio: float
    same_mark: float
    same_rise: float
    rise: tuple[float, float]  # [m]
    rise_without_holding: tuple[float, float]  # [m]
    pitch: tuple[float, float]  # [rad], at the end
    measured: float  # NaN where none was given
    measured_range: tuple[float, float]
    carried: float  # the measured score on the other ramp
    carried_range: tuple[float, float]
    samples: int
    no_score: int
    spins: bool  # wheels spin before one lifts, on either ramp


@dataclass(frozen=True, repr=False)
class CarriedScore(Brief):
    """A score on another ramp; `released` is None where no bar can be released."""

    name: str
    side: str
    angles: tuple[float, float]  # [rad], from and to
    connected: Carried
    released: Carried | None
    model: ModelError


def carry(
    spec: VehicleSpec,
    to_angle: float,
    conditions: Conditions | None = None,
    side: str = "left",
    measured: Mapping[str, Estimate] = NOTHING_MEASURED,
    samples: int = 512,
    seed: int = SEED,
    model: ModelError | None = None,
) -> CarriedScore:
    """Carry a score to a ramp of another angle.

    The model's own error is taken as the same share of the score on both ramps (nothing is known that says otherwise),
    so the predicted scores have it, and their ratio has not.

    Args:
        spec: the vehicle.
        to_angle: of the other ramp [rad].
        conditions: of the test the score is from; the same holding share is taken on both ramps.
        side: "left" or "right", of the wheel on the ramp.
        measured: scores from the day by the state of the bars; without one the prediction alone is carried.
        samples: possible vehicles, for the ranges.
        seed: of the samples.
        model: its own error; the assumed one if None.

    Raises:
        CarryError: one of the two climbs has no score.
    """
    error = model if model is not None else ASSUMED_MODEL_ERROR
    first = conditions or Conditions()
    second = replace(first, ramp_angle=exactly(to_angle))
    drawn = draw(spec, first, samples, seed)
    nominal, tests = lanes_of(spec, first, {})
    on_second = lanes_of(spec, second, {})[1]
    vehicles = [nominal] * 4
    every = [tests, on_second, tests.held(np.zeros(1)), on_second.held(np.zeros(1))]
    if drawn:
        many, many_tests = lanes_of(spec, first, drawn)
        vehicles += [many, many]
        every += [many_tests, replace(many_tests, angle=np.full(many.lanes, to_angle))]
    batch = stack(vehicles).climbing(side)
    test = join(every)
    results = [_carried("connected", batch, test, measured.get("connected"), seed, error)]
    if nominal.releasable.any():
        results.append(_carried("released", batch.released(), test, measured.get("released"), seed, error))
    angles = first.ramp_angle.value, to_angle
    return CarriedScore(spec.name, side, angles, results[0], results[1] if len(results) > 1 else None, error)


def _carried(
    bars: str, batch: Vehicles, test: RampTest, measured: Estimate | None, seed: int, model: ModelError
) -> Carried:
    climbed = climb_to_unload(batch, test)
    for lane, where in ((0, "first"), (1, "other")):
        if not np.isfinite(climbed.score[lane]):
            meaning = Outcome(int(climbed.outcome[lane])).meaning
            raise CarryError(f"bars {bars}: on the {where} ramp there is no score to carry ({meaning})")
    score = climbed.score
    ratio = float(score[1] / score[0])
    half = (score.size - 4) // 2
    ratios = score[4 + half :] / score[4 : 4 + half]
    known = ratios[np.isfinite(ratios)]
    sine, cosine = np.sin(test.angle[:4]), np.cos(test.angle[:4])
    radius = batch.tyre_radius[:4, 0]
    rise = climbed.climb[:4] * sine - radius * (1.0 - cosine)
    per_metre = 1000.0 / batch.wheelbase[0]
    mark = climbed.climb[0] * sine[0]
    nothing = float("nan")
    day, day_range, carried, carried_range = nothing, (nothing, nothing), nothing, (nothing, nothing)
    if measured is not None:
        day, day_range = measured.value, (measured.low, measured.high)
        carried = measured.value * ratio
        values = quantile(measured, unit_points(max(known.size, 1), 1, seed + 1)[:, 0])
        # Shuffled, so that a large reading does not go with a large ratio.
        order = np.random.default_rng(seed).permutation(values.size)
        carried_range = _range(values[order] * (known if known.size else ratio))
    return Carried(
        bars=bars,
        first=float(score[0]),
        second=float(score[1]),
        first_range=_level(score[0], score[4 : 4 + half], model),
        second_range=_level(score[1], score[4 + half :], model),
        ratio=ratio,
        ratio_range=_range(known) if known.size else (ratio, ratio),
        sine_ratio=float(sine[0] / sine[1]),
        same_mark=float(per_metre * mark / sine[1]),
        same_rise=float(per_metre * (rise[0] + radius[0] * (1.0 - cosine[1])) / sine[1]),
        rise=(float(rise[0]), float(rise[1])),
        rise_without_holding=(float(rise[2]), float(rise[3])),
        pitch=(float(climbed.state[0, BODY_PITCH]), float(climbed.state[1, BODY_PITCH])),
        measured=day,
        measured_range=day_range,
        carried=carried,
        carried_range=carried_range,
        samples=half,
        no_score=int(half - known.size),
        spins=bool((climbed.outcome[:2] == Outcome.WHEELS_SPIN).any()),
    )


def _level(nominal: float, scores: Array, model: ModelError) -> tuple[float, float]:
    known = scores[np.isfinite(scores)]
    values = known if known.size else np.array([nominal])
    if model.total == 0.0:
        return _range(values)
    low, high = quantiles(values, model.total * values, BAND)
    return float(low), float(high)


def _range(values: Array) -> tuple[float, float]:
    low, high = np.quantile(values, BAND)
    return float(low), float(high)
