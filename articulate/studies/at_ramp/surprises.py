"""What the audit would say of results that surprise, worked out before the day: likely causes and the first checks.

Beside the ramp nobody runs an audit. A first run, or a gain from releasing the bars, that lies `FAR` standard
deviations off what the file leads one to expect is audited beforehand, either way, and what it comes to is a table of
a few lines.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from articulate.measure.conversions import ReadingKind
from articulate.spec import VehicleSpec
from articulate.studies.audit.cause import Reading
from articulate.studies.audit.checks import Check, checks
from articulate.studies.audit.expectations import CLEAN, OTHER, Expectations, NoLiftError, expect
from articulate.studies.audit.inference import Observed, infer
from articulate.studies.audit.information import advise
from articulate.studies.audit.possible import scene_of
from articulate.studies.population.conditions import Conditions
from articulate.studies.population.model_error import ModelError
from articulate.studies.population.runs import cases_of
from articulate.studies.population.sampling import SEED

FAR = 2.5  # standard deviations off, of the results that are audited beforehand
SCORE_SCATTER = 2.0  # points, of a careful reading
CLEAN_POINTS, DRAWS = 256, 100  # fewer than the audit's own: a table beforehand need not be finer
CAUSES_NAMED, CHECKS_NAMED = 3, 2


@dataclass(frozen=True)
class Suspect:
    """A likely cause in one sentence, with its probability."""

    sentence: str
    probability: float


@dataclass(frozen=True)
class Surprise:
    """A result far from what is expected: of which kind, which way, and what would explain it."""

    what: str  # "score", or "gain" from releasing the bars
    low: bool  # lower than expected
    nothing_wrong: float  # probability that it is chance
    suspects: tuple[Suspect, ...]  # likeliest first
    checks: tuple[Check, ...]  # most telling for its time first


def surprises(
    spec: VehicleSpec,
    conditions: Conditions,
    side: str,
    unit: str,
    model: ModelError | None = None,
    seed: int = SEED,
) -> tuple[Surprise, ...]:
    """Audit results that lie far off, either way, marks read as heights.

    Args:
        spec: the vehicle.
        conditions: of the day, with what is not known of angle and touch load.
        side: of the front wheel on the ramp.
        unit: in which the tape is read, "in" or "mm"; inches and millimetres are misread differently.
        model: its own error; the assumed one if None.
        seed: of the populations and draws.

    Returns:
        One for each kind and way; none where too few of the possible vehicles lift a wheel.
    """
    readings = [
        Reading(case, ReadingKind.MARK_HEIGHT, math.nan, SCORE_SCATTER, label=f"run {k}", unit=unit, run=k)
        for k, case in enumerate(cases_of(spec, side), 1)
    ]
    scene = scene_of(spec, readings, conditions.ramp_angle.value, spec.inputs["wheelbase"].value)
    try:
        expected = expect(scene, conditions, seed=seed, points=CLEAN_POINTS, model=model)
    except NoLiftError:
        return ()
    mean, covariance = expected.clean_mean, expected.clean_covariance
    scatter = SCORE_SCATTER**2
    found = []
    far = FAR * math.sqrt(covariance[0, 0] + scatter)
    for low in (True, False):
        first = float(mean[0]) + (-far if low else far)
        found.append(_surprise(expected, "score", low, [first], seed))
    if len(readings) > 1:
        spread = covariance[0, 0] + covariance[1, 1] - 2.0 * covariance[0, 1] + 2.0 * scatter
        far = FAR * math.sqrt(float(spread))
        for low in (True, False):
            second = float(mean[1]) + (-far if low else far)
            found.append(_surprise(expected, "gain", low, [float(mean[0]), second], seed))
    return tuple(found)


def _surprise(expected: Expectations, what: str, low: bool, scores: list[float], seed: int) -> Surprise:
    read = {f"reading.{k}": (score, SCORE_SCATTER) for k, score in enumerate(scores)}
    posterior = infer(expected, Observed(read))
    probability = posterior.probability
    named = dict(zip(expected.names, map(float, probability), strict=True))
    sentences = {one.cause.name: one.cause.sentence for one in expected.components if one.cause is not None}
    order = [expected.names[k] for k in np.argsort(-probability, kind="stable")]
    suspects = [Suspect(sentences[name], named[name]) for name in order if name not in (CLEAN, OTHER)]
    advice = advise(posterior, checks(expected.scene), seed, DRAWS)
    return Surprise(
        what,
        low,
        named[CLEAN],
        tuple(suspects[:CAUSES_NAMED]),
        tuple(one.check for one in advice[:CHECKS_NAMED]),
    )
