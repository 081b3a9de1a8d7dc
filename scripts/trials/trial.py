"""The audit put to the test: hidden causes on possible vehicles, read with scatter, and how well they are found.

Every case draws a vehicle from a file's uncertainties (not the points the audit itself uses), the model's own error in
its runs, a cause and its size from the priors, or nothing at all, and reads the runs with scatter. The audit sees the
readings alone, then the answers to the checks it suggests, given from the hidden truth with their own scatter.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.measure.conversions import SCORE_SCALE, ReadingKind
from articulate.spec import Estimate, VehicleSpec, read_vehicle
from articulate.studies.audit.audit import telling
from articulate.studies.audit.cause import Reading, Scene
from articulate.studies.audit.channels import FINDS, MISLEADS
from articulate.studies.audit.checks import Check, checks
from articulate.studies.audit.expectations import CLEAN, CLEAN_PRIOR, Expectations
from articulate.studies.audit.inference import Observed, infer, ranks, surprise
from articulate.studies.audit.information import advise
from articulate.studies.audit.nodes import finite
from articulate.studies.audit.possible import (
    Component,
    all_cases,
    applicable,
    as_it_stands,
    climb_with,
    components_of,
    possible_vehicles,
    scene_of,
    seen,
    values,
    with_model_error,
)
from articulate.studies.audit.sheet import wheelbase_spread
from articulate.studies.audit.worlds import see
from articulate.studies.population.conditions import Conditions
from articulate.studies.population.sampling import SEED
from articulate.types import Case

Array = NDArray[np.float64]

GIVEN_NARROWED, ASSUMED_NARROWED = 0.5, 0.25
READING_SCATTER = 0.010  # [m] of climb: stopping, squaring and reading
STANDARD_ANGLE = float(np.radians(20.0))


def well_measured(spec: VehicleSpec) -> VehicleSpec:
    """The same vehicle, its inputs known better: what is given twice, what is assumed four times as closely."""

    def narrowed(estimate: Estimate) -> Estimate:
        k = ASSUMED_NARROWED if estimate.source == "assumed" else GIVEN_NARROWED
        value = estimate.value
        return replace(estimate, low=value + k * (estimate.low - value), high=value + k * (estimate.high - value))

    return replace(spec, inputs={key: narrowed(estimate) for key, estimate in spec.inputs.items()})


def spec_sheet(spec: VehicleSpec) -> VehicleSpec:
    """The same vehicle, described by no more than a brochure says; all else is assumed."""
    x = spec.inputs
    lines = [
        f'name = "{spec.name}"',
        f'air_setting = "{next((a.air_setting for a in spec.axles if a.spring_kind == "air"), "normal")}"',
        f'construction = "{spec.construction}"',
        f'wheelbase = "{x["wheelbase"].value * 1e3:.0f} mm"',
        f'mass.total = "{_total(x):.0f} kg"',
        f'tyre.size = "{spec.document.data["tyre"]["size"]}"',
    ]
    for axle, chosen in zip(("front", "rear"), spec.axles, strict=True):
        part = f"{axle}.travel"
        total = x[f"{part}.total"].value if f"{part}.total" in x else x[f"{part}.bump"].value + x[f"{part}.droop"].value
        bar = f"{{ releasable = {str(chosen.bar_releasable).lower()} }}" if chosen.bar_fitted else "false"
        bar = '"unknown"' if chosen.bar_unknown else bar
        lines += [
            f"[{axle}]",
            f'suspension = "{chosen.suspension}"',
            f'track = "{x[f"{axle}.track"].value * 1e3:.0f} mm"',
            f'travel.total = "{total * 1e3:.0f} mm"',
            f'spring.kind = "{chosen.spring_kind}"',
            f"spring.linked = {str(chosen.springs_linked).lower()}",
            f"anti_roll_bar = {bar}",
        ]
    return read_vehicle("\n".join(lines), f"{spec.path}, as a brochure")


def _total(inputs: Mapping[str, Estimate]) -> float:
    if "mass.total" in inputs:
        return inputs["mass.total"].value
    return inputs["mass.front_axle"].value + inputs["mass.rear_axle"].value


def full_scene(spec: VehicleSpec, sides: Sequence[str] = ("left", "right")) -> Scene:
    """The sides and, where a bar can be released, both bar states; marks squared, their heights read."""
    wheelbase = spec.inputs["wheelbase"].value
    releasable = any(axle.bar_fitted and axle.bar_releasable for axle in spec.axles)
    cases = [Case(s, b) for s in sides for b in (("connected", "released") if releasable else ("connected",))]
    scatter = SCORE_SCALE * READING_SCATTER / wheelbase
    readings = [
        Reading(case, ReadingKind.MARK_HEIGHT, np.nan, scatter, label=f"{case.side}, bars {case.bars}")
        for case in cases
    ]
    return scene_of(spec, readings, STANDARD_ANGLE, wheelbase)


@dataclass(frozen=True, eq=False, repr=False)
class Hidden(Brief):
    """One case: the truth, and everything that can be read off it."""

    cause: str
    component: Component
    size: float
    channels: Array  # without scatter
    moved: float  # largest move of a score over the standard deviation of its band


def hide(
    expected: Expectations, conditions: Conditions, cases: int, seed: int, clean_share: float = CLEAN_PRIOR
) -> list[Hidden]:
    """Draw cases; those whose vehicle lifts no wheel are left out.

    Args:
        expected: of the vehicle's audit; only its channels and its clean band are used.
        conditions: of the test.
        cases: how many.
        seed: of the cases; must differ from the audit's.
        clean_share: share of cases with nothing hidden.
    """
    scene = expected.scene
    rng = np.random.default_rng(seed)
    subject = possible_vehicles(scene, conditions, cases, seed)
    components = components_of(applicable(scene), scene)
    weight = np.array([c.cause.weight * c.share for c in components if c.cause is not None])
    weight = np.append((1.0 - clean_share) * weight / weight.sum(), clean_share)
    level = (np.arange(cases) + rng.random()) / cases  # systematic: every kind of case in its due share
    chosen = rng.permutation(np.minimum(np.searchsorted(np.cumsum(weight), level), weight.size - 1))
    share = rng.random(cases)
    runs = all_cases(scene)
    model = expected.model
    clean = see([(subject, {case: subject.in_case(case) for case in runs})], runs)[0]
    clean = with_model_error(clean, runs, model, seed + 1)
    base = values(expected.channels, seen(scene, clean, Component(None, "", 1.0), np.ones(cases)))
    middle = base[finite(base)]
    band = middle[:, : len(scene.readings)].std(axis=0)
    rows = base.copy()
    sizes = np.ones(cases)
    for k, component in enumerate(components):
        mine = np.flatnonzero(chosen == k)
        if not mine.size or component.cause is None:
            continue
        sizes[mine] = component.cause.size.at(share[mine])
        if component.cause.on_reading_side:
            every = np.ones(cases)
            every[mine] = sizes[mine]
            rows[mine] = values(expected.channels, seen(scene, clean, component, every))[mine]
        else:
            worlds = climb_with(subject.take(mine), [component], [sizes[mine]], scene.runs)[0]
            worlds = as_it_stands(with_model_error(worlds, runs, model, seed + 1, mine), component, clean, mine)
            rows[mine] = values(expected.channels, seen(scene, worlds, component, sizes[mine]))
    moved = np.abs((rows - base)[:, : len(scene.readings)] / band).max(axis=1)
    return [
        Hidden(
            component.cause.name if component.cause is not None else CLEAN,
            component,
            float(sizes[i]),
            rows[i],
            float(moved[i]),
        )
        for i in np.flatnonzero(finite(rows))
        for component in [(*components, Component(None, "", 1.0))[chosen[i]]]
    ]


@dataclass(frozen=True, eq=False, repr=False)
class Found(Brief):
    """How the audit did on one hidden case, from the scores alone and after each check."""

    hidden: Hidden
    surprise: float
    probability: tuple[Array, ...]  # by number of checks answered, (names,) each
    checks: tuple[str, ...]

    def rank(self, names: Sequence[str], answered: int) -> int:
        """Place of the true cause by probability, 1 the first; causes that cannot be told apart share a place."""
        return int(ranks(names, self.probability[answered])[names.index(self.hidden.cause)])

    def plain_rank(self, names: Sequence[str], answered: int) -> int:
        """The same with no sharing, and with `nothing is wrong` counted like a cause."""
        probability = self.probability[answered]
        return 1 + int((probability > probability[names.index(self.hidden.cause)]).sum())


def _observe(expected: Expectations, hidden: Hidden, rng: np.random.Generator) -> Observed:
    """The sheet of a hidden case, and the wheelbase its vehicle file gives."""
    readings = expected.channels[: len(expected.scene.readings)]
    scores = {
        channel.key: (float(hidden.channels[i] + channel.scatter * rng.standard_normal()), channel.scatter)
        for i, channel in enumerate(readings)
    }
    wheels = {
        channel.key: bool(hidden.channels[expected.index[channel.key]] > 0.0)
        for channel in expected.channels
        if channel.key.startswith("contest.")
    }
    at = expected.index["wheelbase"]
    spread = wheelbase_spread(expected.scene.spec)
    based = float(hidden.channels[at] + spread * rng.standard_normal())
    return Observed({**scores, "wheelbase": (based, spread)}, wheels)


def _answer(
    expected: Expectations, hidden: Hidden, check: Check, observed: Observed, rng: np.random.Generator
) -> Observed:
    """A check answered from the hidden truth, with the scatter of reading it."""
    answers = {}
    for key in check.channels:
        if key in expected.index and key not in observed.values:
            channel = expected.channels[expected.index[key]]
            true = hidden.channels[expected.index[key]]
            answers[key] = (float(true + channel.scatter * rng.standard_normal()), channel.scatter)
    marks = hidden.component.cause.marks if hidden.component.cause is not None else ()
    looks = {look: bool(rng.random() < (FINDS if look in marks else MISLEADS)) for look in check.looks}
    return observed.with_answers(answers, looks)


def investigate(expected: Expectations, cases: Sequence[Hidden], answers: int = 2, seed: int = SEED) -> list[Found]:
    """Audit every case, follow the first piece of advice, audit again, and so on."""
    offered = checks(expected.scene)
    found = []
    for i, hidden in enumerate(cases):
        rng = np.random.default_rng((seed, i))
        observed = _observe(expected, hidden, rng)
        posterior = infer(expected, observed)
        p = surprise(expected, telling(observed, expected.scene), seed)
        probability, named = [posterior.probability], []
        for _ in range(answers):
            check = advise(posterior, offered, seed, draws=200)[0].check
            named.append(check.name)
            observed = _answer(expected, hidden, check, observed, rng)
            posterior = infer(expected, observed)
            probability.append(posterior.probability)
        found.append(Found(hidden, p, tuple(probability), tuple(named)))
    return found
