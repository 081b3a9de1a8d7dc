"""Every published result is a clean test: what the audit says of it, and what `learn` makes of a connected run."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from articulate.measure.run_sheet import RunSheet
from articulate.measure.sheet_load import read_sheet
from articulate.spec import VehicleSpec
from articulate.studies.audit.audit import ALARM, audit, telling
from articulate.studies.audit.expectations import expect
from articulate.studies.audit.inference import surprise
from articulate.studies.audit.sheet import conditions_of, observed_of, scene_from
from articulate.studies.learn.learning import ENOUGH, learn
from articulate.studies.learn.outlook import Outlook
from articulate.studies.learn.readings import SCORE_UNCERTAINTY, ScoreReading
from articulate.studies.population.model_error import ModelError
from articulate.studies.population.runs import Runs
from articulate.studies.population.sampling import SEED

from .allowance import PUBLICATION
from .holding import Held, Holding, Simulated
from .results import PublishedResult


@dataclass(frozen=True)
class Audited:
    """What the audit says of one published result."""

    result: PublishedResult
    chance: float  # p-value
    likeliest: str  # cause by probability; empty where causes were not asked for
    probability: float  # of it

    @property
    def alarm(self) -> bool:
        """Whether a good test is called inconsistent."""
        return self.chance < ALARM


@dataclass(frozen=True)
class Relearned:
    """The released run of a vehicle, predicted from its connected one."""

    vehicle: str
    uncertainty: float  # standard uncertainty that the readings were given
    chance: float  # of the connected score, before
    explained: bool
    before: Outlook
    after: Outlook | None  # None where too few points carry the weight
    published: float

    @property
    def inside(self) -> bool:
        """Whether the published released score lies in the band after learning."""
        return self.after is not None and self.after.low <= self.published <= self.after.high


def sheet_of(result: PublishedResult, spec: VehicleSpec) -> RunSheet:
    """The published score as a run sheet of a careful test: tape along the ramp, the file's wheelbase."""
    wheelbase = spec.inputs["wheelbase"].value
    climb = result.score / 1000.0 * wheelbase
    text = f"""
vehicle = "{spec.name}"
date = 2000-01-01
wheelbase = "{wheelbase * 1e3:.1f} mm ± 3 mm"
[ramp]
angle = "{math.degrees(result.ramp_angle):.4g} deg ± 0.1 deg"
[[run]]
side = "left"
bars = "{result.bars}"
slope_distance = "{climb * 1e3:.1f} mm"
"""
    return read_sheet(text, result.name)


def audited(
    results: Sequence[PublishedResult],
    simulated: Simulated,
    model: ModelError,
    points: int | None = None,
    seed: int = SEED,
) -> tuple[Audited, ...]:
    """Audit every result against its brochure file, one run sheet each.

    Args:
        results: what was published.
        simulated: for the vehicles.
        model: its own error.
        points: of the clean population, for the p-values alone; None for whole audits, with causes.
        seed: of the populations.
    """
    found = []
    for result in results:
        spec = simulated[result.vehicle][0]
        sheet = sheet_of(result, spec)
        scene = scene_from(spec, sheet)
        observed, conditions = observed_of(sheet, scene), conditions_of(sheet)
        if points is None:
            whole = audit(scene, conditions, observed, seed=seed, model=model)
            first = whole.findings[0]
            found.append(Audited(result, whole.surprise, first.name, first.probability))
        else:
            expected = expect(scene, conditions, ["wheelbase"], seed, points, causes=(), model=model)
            found.append(Audited(result, surprise(expected, telling(observed, scene), seed), "", math.nan))
    return tuple(found)


def relearned(
    holding: Holding, simulated: Simulated, model: ModelError, *, coarse: bool, enough: float = ENOUGH
) -> tuple[Relearned, ...]:
    """The released runs from the connected ones.

    Args:
        holding: the results; those with both bar states are taken.
        simulated: the possible vehicles, 1,024 points at least.
        model: allowance for what the model leaves out.
        coarse: take scores as good as publications are, instead of as a careful test of one's own.
        enough: effective points with which no further ones are simulated.
    """
    connected = {one.result.vehicle: one for one in holding.held if one.result.bars == "connected"}
    return tuple(
        _relearned(connected[one.result.vehicle], one, simulated[one.result.vehicle][1], model, coarse, enough)
        for one in holding.held
        if one.result.bars == "released"
    )


def _relearned(first: Held, following: Held, prior: Runs, model: ModelError, coarse: bool, enough: float) -> Relearned:
    deviation = PUBLICATION[first.result.grade] * first.result.score if coarse else SCORE_UNCERTAINTY
    reading = ScoreReading(first.result.case, first.result.score, deviation)
    learned = learn(prior, [reading], (), model, deviation, enough)
    outlook = next(case for case in learned.cases if case.case == following.result.case)
    return Relearned(
        first.result.vehicle,
        deviation,
        learned.chance,
        learned.explained,
        outlook.before,
        outlook.after,
        following.result.score,
    )
