"""All that is taken along to the ramp, put together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from articulate.brief import Brief
from articulate.measure import defaults
from articulate.measure.scoring import CaseHints
from articulate.spec import Estimate, VehicleSpec, build
from articulate.studies.at_ramp.sample import POINTS, RampSample, ramp_sample
from articulate.studies.at_ramp.surprises import Surprise, surprises
from articulate.studies.day.run_hints import case_hints
from articulate.studies.population.conditions import Conditions, exactly
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, ModelError
from articulate.studies.population.runs import cases_of
from articulate.studies.population.sampling import SEED
from articulate.types import other_side


@dataclass(frozen=True, eq=False, repr=False)
class Along(Brief):
    """What the page for the ramp rests on: sample, hints for the budget, surprises, and the conditions of the day."""

    side: str  # that climbs first
    touch_load: Estimate  # [N], under the lifting tyre when its film pulls out
    touch_load_given: bool  # it was asked for, and is not the one a run sheet assumes
    sample: RampSample
    hints: tuple[Mapping[tuple[str, str], CaseHints], ...]  # at each angle of the sample
    surprises: tuple[Surprise, ...]
    model: ModelError


def take_along(
    spec: VehicleSpec,
    conditions: Conditions,
    side: str = "left",
    unit: str = "mm",
    points: int = POINTS,
    model: ModelError | None = None,
    seed: int = SEED,
) -> Along:
    """Work out before the day what the page for the ramp says on it.

    Both sides are prepared, the planned one first. A run stops where the film pulls out, so all is at the touch load
    that a run sheet assumes, unless the conditions name another than none.

    Args:
        spec: the vehicle.
        conditions: of the test, ramp angle and touch load exact.
        side: of the front wheel that climbs first.
        unit: in which the tape is read, "in" or "mm".
        points: possible vehicles.
        model: its own error; the assumed one if None.
        seed: of the samples.

    Raises:
        UnphysicalError: the nominal vehicle cannot exist.
    """
    error = model if model is not None else ASSUMED_MODEL_ERROR
    given = conditions.touch_load.value > 0.0
    touch = conditions.touch_load if given else defaults.TOUCH_LOAD.estimate()
    there = replace(conditions, touch_load=exactly(touch.mean, touch.unit, touch.unit_size))
    cases = (*cases_of(spec, side), *cases_of(spec, other_side(side)))
    sample = ramp_sample(spec, there, cases, points, seed)
    vehicle = build(spec)
    named = [(case.side, case.bars) for case in cases]
    tolerance = defaults.RAMP_ANGLE_TOLERANCE
    angle = defaults.assumed(conditions.ramp_angle.value, tolerance, "not measured yet", conditions.ramp_angle)
    uncertain = replace(conditions, ramp_angle=angle, touch_load=touch)
    return Along(
        side=side,
        touch_load=touch,
        touch_load_given=given,
        sample=sample,
        hints=tuple(case_hints(vehicle, named, float(one), spec.name) for one in sample.angles),
        surprises=surprises(spec, uncertain, side, unit, error, seed),
        model=error,
    )
