"""The audit: is a result consistent with the model, what would explain it if not, and what to look at next."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.measure.run_sheet import RunSheet
from articulate.studies.audit.answers import Answers, read_answers
from articulate.studies.audit.cause import Scene
from articulate.studies.audit.channels import observable_channels
from articulate.studies.audit.checks import checks
from articulate.studies.audit.expectations import CLEAN, OTHER, Expectations, expect
from articulate.studies.audit.findings import Finding, findings
from articulate.studies.audit.inference import Observed, fits_within, infer, surprise
from articulate.studies.audit.information import Advice, advise
from articulate.studies.population.conditions import Conditions
from articulate.studies.population.model_error import ModelError
from articulate.studies.population.sampling import SEED
from articulate.types import Case, mirrored, other_side

Array = NDArray[np.float64]

WHEELBASE_DIFFERS = 3.0  # standard deviations from which sheet and vehicle have different wheelbases
ALARM, DOUBT = 0.02, 0.10  # p-values below which a result is called inconsistent, doubtful
EVEN, SETTLED = 0.5, 0.9  # probabilities from which something is likelier than not, and settled where it was checked


class Verdict(StrEnum):
    """Whether the readings are what the vehicle file leads one to expect."""

    CONSISTENT = "consistent"
    DOUBTFUL = "doubtful"
    INCONSISTENT = "inconsistent"
    EXPLAINED = "explained"  # inconsistent, and what was checked since says by what


@dataclass(frozen=True)
class Contrast:
    """A score, or what scores say together such as left minus right, beside what the file leads one to expect."""

    name: str
    read: float
    uncertainty: float  # sd of the readings
    expected: float
    spread: float  # sd of the expectation, inputs and model, reading included

    @property
    def deviations(self) -> float:
        """How far off, in standard deviations."""
        return (self.read - self.expected) / self.spread


@dataclass(frozen=True, eq=False, repr=False)
class Audit(Brief):
    """The audit of a run sheet."""

    scene: Scene
    surprise: float  # p-value
    verdict: Verdict
    fits: tuple[Contrast, ...]
    runs: tuple[Contrast, ...]  # every run, its climbs averaged
    contrasts: tuple[Contrast, ...]  # what the runs say together, the most at odds first
    within: float  # chance of readings and answers as far off as these where the likeliest cause is at work
    findings: tuple[Finding, ...]  # the likeliest first
    advice: tuple[Advice, ...]  # the most telling first
    answers: Answers
    used: tuple[str, ...]  # keys of the observations beside the scores
    lost: int  # climbs without a lift, left out
    remarks: tuple[str, ...]  # what whoever reads the result should know of the sheet
    seed: int
    model: ModelError
    conditions: Conditions
    still_at_mark: bool = False
    sheet: RunSheet | None = None

    @property
    def likeliest(self) -> Finding | None:
        """The likeliest cause; none where no cause can be at work."""
        return next((finding for finding in self.findings if finding.name not in (CLEAN, OTHER)), None)

    @property
    def settled(self) -> Finding | None:
        """The cause that the checks have settled."""
        return self.likeliest if self.verdict is Verdict.EXPLAINED else None

    @property
    def second_cause(self) -> bool:
        """Whether something else has to be at work beside the one that is settled."""
        return self.settled is not None and self.within < ALARM

    @property
    def clean(self) -> float:
        """Probability that nothing is wrong."""
        return next(finding.probability for finding in self.findings if finding.name == CLEAN)

    @property
    def other(self) -> float:
        """Probability that it is none of the causes, or several at once."""
        return next(finding.probability for finding in self.findings if finding.name == OTHER)

    @property
    def problem(self) -> bool:
        """Whether the result needs an explanation: by the readings, or by what was found since."""
        return self.verdict in (Verdict.INCONSISTENT, Verdict.EXPLAINED)


def audit(
    scene: Scene,
    conditions: Conditions,
    observed: Observed,
    answers: Sequence[str] = (),
    seed: int = SEED,
    remarks: Sequence[str] = (),
    model: ModelError | None = None,
    still_at_mark: bool = False,
    sheet: RunSheet | None = None,
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
        still_at_mark: the vehicle still stands where it stopped, so that the mark can be taken again.
        sheet: what the readings were taken from, passed on.

    Raises:
        AnswerError: an answer that cannot be read; all of them at once.
    """
    extra = [key for key in observed.values if not key.startswith("reading.")]
    given = read_answers(answers, observable_channels(scene), scene.cases)
    expected = expect(scene, conditions, [*extra, *given.values], seed, model=model)
    known = observed.with_answers(given.values, given.looks)
    p = surprise(expected, telling(observed, scene), seed)
    posterior = infer(expected, known)
    found = findings(posterior)
    verdict = verdict_of(p, found, bool(given.given))
    first = next((finding.name for finding in found if finding.name not in (CLEAN, OTHER)), CLEAN)
    return Audit(
        scene=scene,
        surprise=p,
        verdict=verdict,
        fits=_fits(expected, scene),
        runs=run_means(expected, observed),
        contrasts=contrasts(expected, observed),
        within=fits_within(posterior, expected.names.index(first)),
        findings=found,
        advice=tuple(advise(posterior, checks(scene), seed, still_at_mark=still_at_mark)),
        answers=given,
        used=(*(key for key in extra if key != "wheelbase"), *observed.rear_lifts),
        lost=sum(expected.lost),
        remarks=tuple(remarks),
        seed=seed,
        model=expected.model,
        conditions=conditions,
        still_at_mark=still_at_mark,
        sheet=sheet,
    )


def verdict_of(p: float, found: Sequence[Finding], answered: bool) -> Verdict:
    """The verdict from the p-value of the readings and the findings, by what was answered too where anything was.

    The p-value stays that of the readings. A result whose readings are odd is not called inconsistent while it is still
    likelier that nothing is wrong; and once checks were answered, they decide.
    """
    clean = next(finding.probability for finding in found if finding.name == CLEAN)
    if answered and clean < EVEN:
        causes = [finding.probability for finding in found if finding.name not in (CLEAN, OTHER)]
        return Verdict.EXPLAINED if max(causes, default=0.0) >= SETTLED else Verdict.INCONSISTENT
    if answered and clean >= SETTLED and p >= ALARM:
        return Verdict.CONSISTENT
    if clean < EVEN:
        return Verdict.INCONSISTENT if p < ALARM else Verdict.DOUBTFUL
    return Verdict.CONSISTENT if p >= DOUBT else Verdict.DOUBTFUL


def _combined(expected: Expectations, observed: Observed, name: str, weight: Array) -> Contrast:
    """A weighted sum of the scores, (readings,) weights."""
    readings = expected.scene.readings
    scores = slice(0, len(readings))
    noise = observed.noise_of([f"reading.{i}" for i in range(len(readings))])
    own = _deviation(weight, noise)
    spread = _deviation(weight, expected.clean_covariance[scores, scores])
    read = float(weight @ np.array([reading.score for reading in readings]))
    return Contrast(name, read, own, float(weight @ expected.clean_mean[scores]), float(np.hypot(spread, own)))


def _deviation(weight: Array, covariance: Array) -> float:
    """Standard deviation of a weighted sum; where all of it cancels rounding may leave less than nothing."""
    return math.sqrt(max(float(weight @ covariance @ weight), 0.0))


def _means(scene: Scene) -> dict[Case, Array]:
    """Weights that average all climbs of a kind of run, (readings,) each."""
    of = {case: np.array([float(reading.case == case) for reading in scene.readings]) for case in scene.cases}
    return {case: weight / weight.sum() for case, weight in of.items()}


def run_means(expected: Expectations, observed: Observed) -> tuple[Contrast, ...]:
    """Every kind of run, its climbs averaged."""
    return tuple(
        _combined(expected, observed, f"{case.side}, bars {case.bars}", weight)
        for case, weight in _means(expected.scene).items()
    )


def contrasts(expected: Expectations, observed: Observed) -> tuple[Contrast, ...]:
    """What the runs say together, the most at odds first: sides, bar states, climbs of one run, all of it."""
    scene, mean = expected.scene, _means(expected.scene)
    found = []
    for case, weight in mean.items():
        across, connected = replace(case, side=other_side(case.side)), replace(case, bars="connected")
        if not mirrored(case.side) and across in mean:
            found.append((f"left minus right, bars {case.bars}", weight - mean[across]))
        if case.bars == "released" and connected in mean:
            found.append((f"gain from releasing, {case.side}", weight - mean[connected]))
        same = [i for i, reading in enumerate(scene.readings) if reading.case == case]
        for i in same if len(same) > 1 else ():
            others = np.array([float(j in same and j != i) / (len(same) - 1) for j in range(weight.size)])
            name = f"{scene.readings[i].label} beside the others of it"
            found.append((name, np.eye(weight.size)[i] - others))
    if len(mean) > 1:
        found.append(("mean of all runs", np.sum(list(mean.values()), axis=0) / len(mean)))
    every = [_combined(expected, observed, name, weight) for name, weight in found]
    return tuple(sorted(every, key=lambda one: -abs(one.deviations)))


def telling(known: Observed, scene: Scene) -> Observed:
    """What the p-value is of: a wheelbase that agrees says nothing, and would only water it down."""
    values = {
        key: (value, spread)
        for key, (value, spread) in known.values.items()
        if key != "wheelbase" or abs(value - scene.used_wheelbase) > WHEELBASE_DIFFERS * spread
    }
    return replace(known, values=values)


def _fits(expected: Expectations, scene: Scene) -> tuple[Contrast, ...]:
    spread = np.sqrt(np.diagonal(expected.clean_covariance))
    return tuple(
        Contrast(
            f"{reading.label}: {reading.name}" if reading.label else reading.name,
            reading.score,
            reading.uncertainty,
            float(expected.clean_mean[i]),
            float(np.hypot(spread[i], reading.uncertainty)),
        )
        for i, reading in enumerate(scene.readings)
    )
