"""The audit: is a result consistent with the model, what would explain it if not, and what to look at next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from articulate.studies.audit.answers import AnswerError, Answers, read_answers
from articulate.studies.audit.cause import Scene
from articulate.studies.audit.channels import Channel, observable_channels
from articulate.studies.audit.checks import checks
from articulate.studies.audit.expectations import CLEAN, OTHER, Expectations, expect
from articulate.studies.audit.inference import ALIKE, Observed, Posterior, infer, ranks, surprise
from articulate.studies.audit.information import Advice, advise
from articulate.studies.audit.sizes import Size
from articulate.studies.population import Case, Conditions
from articulate.studies.sampling import SEED

Array = NDArray[np.float64]

ALARM, DOUBT = 0.02, 0.10  # p-values below which a result is called inconsistent, doubtful
TELLTALES = 3


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


@dataclass(frozen=True)
class Look:
    """How a channel would look: mean and standard deviation [SI], and the same if the cause were not at work."""

    channel: Channel
    value: float
    spread: float
    otherwise: float
    otherwise_spread: float

    @property
    def contrast(self) -> float:
        """Difference in standard deviations."""
        return abs(self.value - self.otherwise) / float(np.hypot(self.spread, self.otherwise_spread))


@dataclass(frozen=True)
class Finding:
    """One cause: how probable, how large it would have to be, how the rest would look."""

    name: str
    sentence: str
    probability: float
    rank: int  # among the causes, shared by those that cannot be told apart; 0 for nothing is wrong
    alike: tuple[str, ...]  # other causes these readings cannot tell from it
    place: str  # the likeliest variant
    place_probability: float
    size: Size | None
    needed: tuple[float, float, float] | None  # [SI], median and central 90 %
    moves: Mapping[Case, float]  # by how much it moves a score from what the file leads one to expect, the most a case
    telltales: tuple[Look, ...]  # what would look most different, one a check
    found_by_look: tuple[str, ...]  # what a look would find


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
) -> Audit:
    """Audit readings of a vehicle.

    Args:
        scene: the vehicle and its readings.
        conditions: of the test.
        observed: the scores (`reading.0` ...), wheels that lifted and anything else the sheet says.
        answers: of checks made since, each `KEY=VALUE` (see `answers.read_answers`).
        seed: of the populations and draws.
        remarks: on the sheet, passed on.

    Raises:
        AnswerError: an answer that cannot be read; all of them at once.
    """
    extra = [key for key in observed.values if not key.startswith("reading.")]
    given = read_answers(answers, observable_channels(scene))
    expected = expect(scene, conditions, [*extra, *given.values], seed)
    known = observed.with_answers(given.values, given.looks)
    p = surprise(expected, known, seed)
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
    )


def _fits(expected: Expectations, scene: Scene) -> tuple[Fit, ...]:
    node = int(np.flatnonzero(expected.cause == expected.names.index(CLEAN))[0])
    return tuple(
        Fit(
            f"{reading.label}: {reading.name}" if reading.label else reading.name,
            reading.score,
            reading.uncertainty,
            float(expected.mean[node, i]),
            float(np.hypot(np.sqrt(expected.covariance[node, i, i]), reading.uncertainty)),
        )
        for i, reading in enumerate(scene.readings)
    )


def _mean(values: Array, weight: Array) -> Array:
    """Weighted mean over nodes; the plain one where all weights vanish."""
    total = weight.sum()
    return np.asarray(weight @ values / total if total > 0.0 else values.mean(axis=0))


def _quantiles(sizes: Array, weight: Array) -> tuple[float, float, float]:
    """Median and central 90 % of weighted sizes, half a node's weight below each."""
    order = np.argsort(sizes)
    sizes, weight = sizes[order], weight[order] / weight.sum()
    below = np.cumsum(weight) - 0.5 * weight
    middle, low, high = np.interp([0.5, 0.05, 0.95], below, sizes)
    return float(middle), float(low), float(high)


def findings(posterior: Posterior) -> tuple[Finding, ...]:
    """Every cause, the likeliest first, with what it would mean."""
    e = posterior.expected
    probability = posterior.probability
    likelihood = posterior.likelihood
    nodes = np.flatnonzero(posterior.weight > 1e-9)
    every = np.arange(len(e.channels))
    given = posterior.predict(every, nodes)
    variance = np.maximum(np.diagonal(given.covariance, axis1=1, axis2=2), 0.0)
    means, weight = given.mean, posterior.weight[nodes]
    readings = len(e.scene.readings)
    order = np.argsort(-probability, kind="stable")
    places = ranks(e.names, probability)
    clean = int(np.flatnonzero(e.cause == e.names.index(CLEAN))[0])
    by_case = {case: [i for i in range(readings) if e.scene.readings[i].case == case] for case in e.scene.cases}
    by_check = {key: check.name for check in checks(e.scene) for key in check.channels}

    def look(k: int, channels: Sequence[int]) -> list[Look]:
        mine = e.cause[nodes] == k
        sides = []
        for chosen in (mine, ~mine):
            w = weight[chosen] / max(weight[chosen].sum(), 1e-300)
            middle = w @ means[chosen]
            sides.append((middle, np.sqrt(np.maximum(w @ (variance[chosen] + means[chosen] ** 2) - middle**2, 0.0))))
        (mean, spread), (other, other_spread) = sides
        return [
            Look(
                e.channels[c],
                float(mean[c]),
                float(np.hypot(spread[c], e.channels[c].scatter)),
                float(other[c]),
                float(np.hypot(other_spread[c], e.channels[c].scatter)),
            )
            for c in channels
        ]

    unseen = [
        i
        for i, channel in enumerate(e.channels)
        if channel.key not in posterior.observed.values and not channel.key.startswith("contest.")
    ]
    found = []
    for k in order:
        mine = e.cause == k
        first = e.components[int(e.component[np.flatnonzero(mine)[0]])] if e.names[k] != OTHER else None
        cause = first.cause if first else None
        share = np.bincount(e.component[mine], posterior.weight[mine], len(e.components)) if cause else np.ones(1)
        best = int(share.argmax())
        here = mine & (e.component == best)
        place = e.components[best].variant if cause else ""
        needed = None
        if cause is not None and cause.size.shape != "fixed" and posterior.weight[here].sum() > 0.0:
            needed = _quantiles(e.size[here], posterior.weight[here])
        visible = (e.cause[nodes] == k).any() and cause is not None
        looks = sorted(look(k, unseen), key=lambda one: -one.contrast) if visible else []
        clear = [one for one in reversed(looks) if one.contrast > 1.0]
        telltales = {by_check.get(one.channel.key, one.channel.key): one for one in clear}
        moved = _mean(e.mean[mine, :readings], posterior.weight[mine]) - e.mean[clean, :readings]
        moves = {case: max((moved[i] for i in at), key=abs) for case, at in by_case.items()}
        alike = tuple(
            e.names[j]
            for j in order
            if j != k and np.isfinite(likelihood[j]) and abs(likelihood[j] - likelihood[k]) < -np.log(ALIKE)
        )
        found.append(
            Finding(
                name=e.names[k],
                sentence=_sentence(e.names[k], cause.sentence if cause else ""),
                probability=float(probability[k]),
                rank=int(places[k]),
                alike=alike if probability[k] > 0.01 else (),
                place=place,
                place_probability=float(share[best] / share.sum()) if share.sum() > 0.0 else 0.0,
                size=cause.size if cause else None,
                needed=needed,
                moves={case: float(move) for case, move in moves.items()},
                telltales=tuple(sorted(telltales.values(), key=lambda one: -one.contrast)[:TELLTALES]),
                found_by_look=cause.marks if cause else (),
            )
        )
    return tuple(found)


def _sentence(name: str, sentence: str) -> str:
    if name == CLEAN:
        return "The vehicle did what its file leads one to expect, and it was read rightly."
    if name == OTHER:
        return "Something else is at work, or several causes at once."
    return sentence


__all__ = ["ALARM", "AnswerError", "Audit", "Finding", "Fit", "Look", "Verdict", "audit"]
