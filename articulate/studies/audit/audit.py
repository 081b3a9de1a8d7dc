"""The audit: is a result consistent with the model, what would explain it if not, and what to look at next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from articulate.studies.audit.answers import Answers, read_answers
from articulate.studies.audit.cause import Scene
from articulate.studies.audit.channels import observable_channels
from articulate.studies.audit.checks import checks
from articulate.studies.audit.expectations import CLEAN, Expectations, expect
from articulate.studies.audit.findings import Finding, findings
from articulate.studies.audit.inference import Observed, infer, surprise
from articulate.studies.audit.information import Advice, advise
from articulate.studies.model_error import ModelError
from articulate.studies.population import Conditions
from articulate.studies.sampling import SEED

Array = NDArray[np.float64]

WHEELBASE_DIFFERS = 3.0  # standard deviations from which sheet and vehicle have different wheelbases
ALARM, DOUBT = 0.02, 0.10  # p-values below which a result is called inconsistent, doubtful


class Verdict(StrEnum):
    """Whether the readings are what the vehicle file leads one to expect."""

    CONSISTENT = "consistent"
    DOUBTFUL = "doubtful"
    INCONSISTENT = "inconsistent"


@dataclass(frozen=True)
class Fit:
    """One score of the sheet beside what the file alone leads one to expect."""

    name: str
    score: float
    uncertainty: float  # sd of the reading
    expected: float
    spread: float  # sd of the expectation, inputs and model, reading included

    @property
    def deviations(self) -> float:
        """How far off, in standard deviations."""
        return (self.score - self.expected) / self.spread


@dataclass(frozen=True, eq=False)
class Audit:
    """The audit of a run sheet."""

    scene: Scene
    surprise: float  # p-value
    verdict: Verdict
    fits: tuple[Fit, ...]
    findings: tuple[Finding, ...]  # the likeliest first
    advice: tuple[Advice, ...]  # the most telling first
    answers: Answers
    used: tuple[str, ...]  # keys of the observations beside the scores
    lost: int  # climbs without a lift, left out
    remarks: tuple[str, ...]  # what whoever reads the result should know of the sheet
    seed: int
    model: ModelError

    @property
    def clean(self) -> float:
        """Probability that nothing is wrong."""
        return next(finding.probability for finding in self.findings if finding.name == CLEAN)

    @property
    def problem(self) -> bool:
        """Whether the result needs an explanation: by the readings, or by what was found since."""
        return self.verdict is Verdict.INCONSISTENT or (bool(self.answers.given) and self.clean < 0.5)


def audit(
    scene: Scene,
    conditions: Conditions,
    observed: Observed,
    answers: Sequence[str] = (),
    seed: int = SEED,
    remarks: Sequence[str] = (),
    model: ModelError | None = None,
) -> Audit:
    """Audit readings of a vehicle.

    Args:
        scene: the vehicle and its readings.
        conditions: of the test.
        observed: the scores (`reading.0` ...), wheels that lifted and anything else the sheet says.
        answers: of checks made since, each `KEY=VALUE` (see `answers.read_answers`).
        seed: of the populations and draws.
        remarks: on the sheet, passed on.
        model: its own error; the assumed one if None.

    Raises:
        AnswerError: an answer that cannot be read; all of them at once.
    """
    extra = [key for key in observed.values if not key.startswith("reading.")]
    given = read_answers(answers, observable_channels(scene))
    expected = expect(scene, conditions, [*extra, *given.values], seed, model=model)
    known = observed.with_answers(given.values, given.looks)
    p = surprise(expected, telling(known, scene), seed)
    posterior = infer(expected, known)
    verdict = Verdict.INCONSISTENT if p < ALARM else Verdict.DOUBTFUL if p < DOUBT else Verdict.CONSISTENT
    return Audit(
        scene=scene,
        surprise=p,
        verdict=verdict,
        fits=_fits(expected, scene),
        findings=findings(posterior),
        advice=tuple(advise(posterior, checks(scene), seed)),
        answers=given,
        used=(*(key for key in extra if key != "wheelbase"), *observed.rear_lifts),
        lost=sum(expected.lost),
        remarks=tuple(remarks),
        seed=seed,
        model=expected.model,
    )


def telling(known: Observed, scene: Scene) -> Observed:
    """What the p-value is of: a wheelbase that agrees says nothing, and would only water it down."""
    values = {
        key: (value, spread)
        for key, (value, spread) in known.values.items()
        if key != "wheelbase" or abs(value - scene.used_wheelbase) > WHEELBASE_DIFFERS * spread
    }
    return replace(known, values=values)


def _fits(expected: Expectations, scene: Scene) -> tuple[Fit, ...]:
    spread = np.sqrt(np.diagonal(expected.clean_covariance))
    return tuple(
        Fit(
            f"{reading.label}: {reading.name}" if reading.label else reading.name,
            reading.score,
            reading.uncertainty,
            float(expected.clean_mean[i]),
            float(np.hypot(spread[i], reading.uncertainty)),
        )
        for i, reading in enumerate(scene.readings)
    )
