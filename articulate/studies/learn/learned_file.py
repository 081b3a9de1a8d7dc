"""The vehicle file with what was learned written into it: comments, order and all else stay as they were.

A file holds each input for itself. What was learned is mostly about inputs together (this one softer or that one
longer), and that is lost: a band from the saved file lies right but is wider than the one learned.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import tomlkit

from articulate.errors import ArticulateError
from articulate.spec import Estimate, SpecError, VehicleSpec, read_vehicle
from articulate.spec.keys import long_form
from articulate.spec.settings import put_in
from articulate.studies.learn.learning import InputPosterior, Learned, input_posteriors
from articulate.studies.learn.readings import ScoreReading
from articulate.studies.population.runs import Population, simulate
from articulate.studies.population.sampling import SEED
from articulate.studies.predict.band import Spread, spread_of_runs
from articulate.types import AXLES, Case

MOVED, NARROWED = 0.1, 0.95  # standard deviations; or standard deviation after over before
DIGITS = 5
CHANCES = (0.01, 0.99)  # that a file takes of a bar nobody has seen


class LearnedFileError(ArticulateError, ValueError):
    """What was learned cannot be written into the file."""


@dataclass(frozen=True)
class LearnedFile:
    """A vehicle file's new text."""

    text: str
    spec: VehicleSpec  # as read back from the text
    changed: tuple[str, ...]  # keys
    refused: tuple[str, ...]  # keys that moved but that the file would not take, beyond what is plausible
    of_the_test: tuple[str, ...]  # that moved but are conditions of the test, not of the vehicle


def moved(posterior: InputPosterior) -> bool:
    """Whether an input was learned about enough to be written down."""
    return abs(posterior.shift) >= MOVED or posterior.narrowing <= NARROWED


def learned_file(text: str, learned: Learned) -> LearnedFile:
    """Write the posterior of every input that moved into a vehicle file's text.

    A rectangular input becomes a range of the posterior's mean and standard deviation, within its old limits; the
    others a value with a standard uncertainty. Of a bar that may not be there the chance is written too. The source
    word stays, the basis says from what it was learned and what it was before.

    Args:
        text: of the file the population was read from, unchanged since.
        learned: what was learned; it must be trusted.

    Raises:
        LearnedFileError: nothing can be said, nothing moved, or the result would not be read.
    """
    posteriors = input_posteriors(learned)
    if not posteriors:
        raise LearnedFileError("too few points carry the weight; nothing was learned that could be written")
    spec = learned.runs.population.spec
    found = [posterior for posterior in posteriors if moved(posterior)]
    of_the_test = tuple(posterior.key for posterior in found if posterior.key.startswith("test."))
    chosen = [posterior for posterior in found if not posterior.key.startswith("test.")]
    refused: list[str] = []
    while chosen:
        new_text = _written(text, learned, chosen)
        try:
            read = read_vehicle(new_text, spec.path)
        except SpecError as error:
            named = {fault.key for fault in error.faults}
            bad = [p for p in chosen if any(key == p.key or key.startswith(f"{p.key}.") for key in named)]
            if not bad:
                raise LearnedFileError(f"the file with what was learned cannot be read: {error}") from error
            refused += [posterior.key for posterior in bad]
            chosen = [posterior for posterior in chosen if posterior not in bad]
            continue
        return LearnedFile(new_text, read, tuple(p.key for p in chosen), tuple(refused), of_the_test)
    raise LearnedFileError("no input of the vehicle moved enough to be written")


def band_of_file(saved: LearnedFile, learned: Learned, points: int = 1024, seed: int = SEED) -> dict[Case, Spread]:
    """Scores that the saved file predicts by itself, to be set beside the band learned (no reading in them)."""
    before = learned.runs.population
    people = Population.of(saved.spec, before.conditions)
    runs = simulate(people, tuple(learned.runs.ends), points, seed)
    return {case: spread_of_runs((ends.ranking,), learned.model) for case, ends in runs.ends.items()}


def _readings_text(learned: Learned) -> str:
    parts = []
    for reading in learned.readings:
        unit, size = reading.unit
        value = f"{reading.value / size:.{DIGITS}g}"
        deviation = f"{reading.standard_uncertainty / size:.2g} {unit}".strip()
        side = f", {reading.case.side} side" if isinstance(reading, ScoreReading) else ""
        parts.append(f"{reading.label}{side} {value}, standard uncertainty {deviation}")
    parts += [seen.label for seen in learned.seen]
    return "; ".join(parts)


def _written(text: str, learned: Learned, posteriors: Sequence[InputPosterior]) -> str:
    document = tomlkit.parse(text)
    spec, readings = learned.runs.population.spec, _readings_text(learned)
    for posterior in posteriors:
        estimate, path = spec.inputs[posterior.key], _path(spec, posterior.key)
        if estimate.chance < 1.0:
            chance, some = _if_any(learned, posterior)
            put_in(document, (*path[:-1], "chance"), f"{100.0 * chance:.1f} %", _opened)
            put_in(document, path, _entry(estimate, some, readings), _opened)
        else:
            put_in(document, path, _entry(estimate, posterior, readings), _opened)
    return tomlkit.dumps(document)


def _if_any(learned: Learned, posterior: InputPosterior) -> tuple[float, InputPosterior]:
    """Chance, after, that there is any of what there may be none of, and its posterior if there is some."""
    x, weights = learned.runs.samples[posterior.key], learned.weights
    some = weights * (x > 0.0)
    chance = float(np.clip(some.sum(), *CHANCES))
    mean = float(some @ x / some.sum()) if some.any() else learned.runs.population.spec.inputs[posterior.key].value
    deviation = float(np.sqrt(some @ (x - mean) ** 2 / some.sum())) if some.any() else posterior.deviation
    return chance, replace(posterior, mean=mean, deviation=deviation)


def _entry(estimate: Estimate, posterior: InputPosterior, readings: str) -> Any:
    def shown(value: float) -> str:
        return f"{value / estimate.unit_size:.{DIGITS}g} {estimate.unit}".strip()

    entry = tomlkit.inline_table()
    half = math.sqrt(3.0) * posterior.deviation
    if estimate.distribution == "rectangular":
        low = max(posterior.mean - half, estimate.low)
        high = min(posterior.mean + half, estimate.high)
        ends = tomlkit.array()
        ends.extend([shown(low), shown(high)])
        entry.append("range", ends)
    else:
        entry.append("value", shown(posterior.mean))
        entry.append("standard_uncertainty", shown(posterior.deviation))
    entry.append("source", estimate.source)
    entry.append("basis", f"learned from {readings}; was {estimate.text}, {estimate.basis}")
    return entry


def _path(spec: VehicleSpec, key: str) -> tuple[str | int, ...]:
    """Path of a key in the document; loads, body points and wheelhouse points stand in lists, by name."""
    lists: list[tuple[tuple[str, ...], Sequence[str]]] = [(("load",), spec.loads), (("body_point",), spec.body_points)]
    for axle, choices in zip(AXLES, spec.axles, strict=True):
        lists.append(((axle, "wheelhouse"), [mark.name for mark in choices.wheelhouse]))
    for parts, names in lists:
        for index, name in enumerate(names):
            lead = f"{'.'.join(parts)}.{name}."
            if key.startswith(lead):
                return (*parts, index, key.removeprefix(lead))
    return tuple(key.split("."))


def _opened(table: Any, part: str) -> Any:
    """A table where none was; inline within an inline table, and for `anti_roll_bar = true`; else with its header."""
    long = long_form(part, table.get(part))
    if isinstance(long, dict):
        fitted = tomlkit.inline_table()
        fitted.update(long)
        return fitted
    return tomlkit.inline_table() if isinstance(table, tomlkit.items.InlineTable) else tomlkit.table()
