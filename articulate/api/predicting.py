"""Before the test: what a vehicle will score, how well that is known, what happens on the way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from articulate.api.answers import Forms, held_by, pictured, told, told_by_bars
from articulate.api.edge import checked
from articulate.api.ramp import USUAL, Ramp
from articulate.api.result import Result
from articulate.api.vehicle import Vehicle, spec_of
from articulate.brief import Brief
from articulate.errors import ArgumentError
from articulate.output import figures
from articulate.spec import build, with_settings
from articulate.types import each_state

if TYPE_CHECKING:
    from articulate.output.figures.theme import Medium, Picture
    from articulate.prediction import Prediction
    from articulate.studies.explain.timeline import Timeline
    from articulate.studies.explain.worth import VehicleWorth
    from articulate.studies.population.runs import Runs
    from articulate.studies.predict.band import Band
    from articulate.studies.predict.blocks import BlockTest
    from articulate.studies.predict.roll_range import RollRange

Array = NDArray[np.float64]


def shown(score: float) -> str:
    """A score as a person reads it."""
    return f"{score:.0f}" if np.isfinite(score) else "none"


@checked
def predict(vehicle: Vehicle | str | Path, ramp: Ramp = USUAL) -> Result[Prediction]:
    """Predict the score with the bars connected and released.

    Args:
        vehicle: a Vehicle, or the path of its file.
        ramp: the test.

    Returns:
        `found.connected` and `found.released` (None where no bar can be released) hold score, climb, loads, travel
        and events; `.table()` has the quick 90 % bands too, `.plot()` the wheel loads on the way up.

    Raises:
        SpecError: a file that cannot be used. UnphysicalError: no vehicle can be so.
    """
    from articulate.output.text.conditions import condition_data
    from articulate.output.text.prediction import outcome_words, prediction_data, trace_rows
    from articulate.output.text.prediction_answer import answer_data, prediction_answer
    from articulate.output.units import lengths_of
    from articulate.prediction import predict as predict_arrays
    from articulate.studies.population.runs import Population
    from articulate.studies.population.watched import watched_of
    from articulate.studies.predict.band import band as band_of
    from articulate.studies.predict.drive_outlook import drive_outlook
    from articulate.studies.predict.roll_range import roll_range

    spec = spec_of(vehicle)
    arrays, test = build(spec), ramp.test()
    found = predict_arrays(arrays, test, ramp.side, watched_of(spec))
    held = held_by(ramp, spec)

    @cache
    def ranges() -> tuple[Band, RollRange | None]:
        return band_of(Population.of(spec, ramp.conditions()), ramp.side), roll_range(spec)

    def table() -> str:
        return prediction_answer(found, spec, ranges()[0], held, ranges()[1], lengths_of([spec]))

    def data() -> dict[str, Any]:
        outlook = drive_outlook(arrays, spec, test, ramp.side)
        nominal = prediction_data(found, spec, outlook, ranges()[1])
        return {**nominal, **answer_data(spec, ranges()[0]), **condition_data(held)}

    runs = each_state(found)
    said = ", ".join(f"{shown(run.score)} {run.bars} ({outcome_words(run)})" for run in runs)
    picture = pictured(held, lambda *on: figures.loads_picture(found, spec.name, *on))
    return Result(found, f"{spec.name}: predicted {said}", table, data, lambda: trace_rows(found), picture)


@checked
def band(
    vehicle: Vehicle | str | Path, ramp: Ramp = USUAL, points: int = 1024, seed: int = 20, thorough: bool = False
) -> Result[Band]:
    """Predict both scores with their 90 % bands, and which input makes them wide.

    Args:
        vehicle: a Vehicle, or the path of its file.
        ramp: the test, with ranges where they are known.
        points: possible vehicles, each with both bar states; 32 to 65,536.
        seed: of the points; the same seed gives the same answer.
        thorough: shares without a fitted polynomial, some 40 times the runs.

    Raises:
        ArgumentError: points outside their limits. SpecError, UnphysicalError: as `predict`.
    """
    from articulate.output.text.band import band_data, band_rows, band_table
    from articulate.studies.population.runs import Population
    from articulate.studies.predict.band import band as band_of

    if not 32 <= points <= 65536:
        raise ArgumentError(f"points {points}: outside 32 to 65536")
    spec = spec_of(vehicle)
    found = band_of(Population.of(spec, ramp.conditions()), ramp.side, points, seed, thorough)
    held = held_by(ramp, spec)
    said = ", ".join(
        f"{case.score.median:.0f} ({case.score.low:.0f} to {case.score.high:.0f}) {case.case.bars}"
        for case in found.cases
    )
    line = f"{spec.name}: {said}, median and 90 % band"
    forms = Forms(lambda one, **_: band_table(one), band_data, band_rows)
    return told(found, line, held, forms, lambda *on: figures.band_figure(found, *on))


@dataclass(frozen=True, eq=False, repr=False)
class Sweep(Brief):
    """Scores of a vehicle over the values of one key; NaN where there is none."""

    key: str
    values: tuple[str, ...]
    connected: Array  # (values,)
    released: Array  # (values,), NaN where no bar can be released
    outcomes: tuple[tuple[str, str], ...]  # of each value, connected and released


@checked
def sweep(vehicle: Vehicle | str | Path, key: str, values: Sequence[str], ramp: Ramp = USUAL) -> Result[Sweep]:
    """Climb with each value of any key of the vehicle file, all in one batch.

    Args:
        vehicle: a Vehicle, or the path of its file.
        key: as in the file, such as "rear.travel.bump".
        values: as in the file, such as ["70 mm", "80 mm", "90 mm"].
        ramp: the test.

    Raises:
        ArgumentError: no values. SpecError: a key or value that cannot be used. UnphysicalError: no vehicle can be so.
    """
    from articulate.climb import Outcome, climb_to_unload
    from articulate.model.vehicles import stack
    from articulate.output.layout import finite
    from articulate.output.text.conditions import condition_data, condition_lines

    if isinstance(values, str) or not values:
        raise ArgumentError(f"values {values!r}: give a list of texts such as ['70 mm', '80 mm']")
    spec = spec_of(vehicle)
    specs = [with_settings(spec, [(key, value)]) for value in values]
    nominal = [build(one) for one in specs]
    seen = stack([one.climbing(ramp.side) for one in nominal])
    both = stack([seen, seen.released()])
    climbed = climb_to_unload(both, ramp.test().take(np.zeros(both.lanes, dtype=np.intp)))
    n = len(values)
    words = [Outcome(int(kind)).meaning for kind in climbed.outcome]
    found = Sweep(
        key,
        tuple(values),
        climbed.score[:n].copy(),
        np.where(seen.releasable, climbed.score[n:], np.nan),
        tuple((words[i], words[n + i]) for i in range(n)),
    )
    held = held_by(ramp, spec, also=[f"{key} {values[0]} to {values[-1]}"])

    def rows() -> list[Mapping[str, str | float]]:
        return [
            {key: value, "score_connected": float(one), "score_released": float(other), "outcome_connected": what[0]}
            for value, one, other, what in zip(values, found.connected, found.released, found.outcomes, strict=True)
        ]

    def table() -> str:
        wide = max(len(key), *map(len, values))
        lines = [f"{spec.name}, score over {key}", f"{key:<{wide}s}{'connected':>12s}{'released':>12s}"]
        for value, one, other in zip(values, found.connected, found.released, strict=True):
            lines.append(f"{value:<{wide}s}{shown(one):>12s}{shown(other):>12s}")
        return "\n".join([*lines, "", *condition_lines(held)])

    def data() -> dict[str, Any]:
        steps = [{name: finite(x) if isinstance(x, float) else x for name, x in row.items()} for row in rows()]
        return {"key": key, "steps": steps, **condition_data(held)}

    def draw(medium: Medium, transparent: bool) -> Picture:
        read = [one.inputs.get(key) for one in specs]
        numbers = [one.value for one in read if one is not None]
        places = numbers if len(set(numbers)) == n else [float(k) for k in range(n)]
        both_bars = {"connected": found.connected, "released": found.released}
        return figures.sweep_figure(spec.name, key, found.values, places, both_bars, medium, transparent)

    known = found.connected[np.isfinite(found.connected)]
    said = f"{known.min():.0f} to {known.max():.0f}" if known.size else "no score"
    line = f"{spec.name}: {said} connected over {n} values of {key}"
    return Result(found, line, table, data, rows, pictured(held, draw))


@dataclass(frozen=True, eq=False, repr=False)
class Sample(Brief):
    """Possible vehicles and their climbs: one place of every array is one vehicle."""

    inputs: Mapping[str, Array]  # every uncertain input by its key, (points,) [SI]
    scores: Mapping[str, Array]  # by state of the bars, (points,), NaN where there is none
    runs: Runs  # all of it: outcome, loads, limits met


@checked
def sample(vehicle: Vehicle | str | Path, ramp: Ramp = USUAL, points: int = 1024, seed: int = 20) -> Result[Sample]:
    """Draw possible vehicles from what a file leaves open and climb with all of them.

    Args:
        vehicle: a Vehicle, or the path of its file.
        ramp: the test.
        points: possible vehicles.
        seed: of the points.

    Raises:
        SpecError, UnphysicalError: as `predict`.
    """
    from articulate.output.layout import finite
    from articulate.output.text.conditions import condition_data, condition_lines
    from articulate.studies.population.runs import Population, cases_of, simulate

    spec = spec_of(vehicle)
    runs = simulate(Population.of(spec, ramp.conditions()), cases_of(spec, ramp.side), points, seed)
    scores: dict[str, Array] = {case.bars: ends.ranking for case, ends in runs.ends.items()}
    found = Sample(runs.samples, scores, runs)
    held = held_by(ramp, spec)

    def rows() -> list[Mapping[str, str | float]]:
        columns = {**runs.samples, **{f"score_{bars}": values for bars, values in scores.items()}}
        return [{name: float(values[i]) for name, values in columns.items()} for i in range(points)]

    def table() -> str:
        lines = [f"{spec.name}: {points} possible vehicles, {len(runs.samples)} uncertain inputs"]
        for bars, values in scores.items():
            places = np.nanpercentile(values, [5.0, 50.0, 95.0], method="nearest")  # infinite where the ramp ends first
            p5, p50, p95 = (f"{score:.0f}" if np.isfinite(score) else "the ramp's end" for score in places)
            lines.append(f"bars {bars}: 5 % below {p5}, half below {p50}, 95 % below {p95}")
        lines += ["by the inputs alone, without what the model leaves out", "", *condition_lines(held)]
        return "\n".join(lines)

    def data() -> dict[str, Any]:
        every = {**runs.samples, **{f"score_{bars}": values for bars, values in scores.items()}}
        return {
            "samples": {name: [finite(float(x)) for x in values] for name, values in every.items()},
            **condition_data(held),
        }

    picture = pictured(held, lambda *on: figures.sample_figure(spec.name, scores, *on))
    return Result(found, table().splitlines()[0], table, data, rows, picture)


@checked
def timeline(vehicle: Vehicle | str | Path, ramp: Ramp = USUAL) -> Result[Timeline]:
    """Tell the climb: which limits are met in which order, and which one decides.

    Raises:
        SpecError, UnphysicalError: as `predict`.
    """
    from articulate.output.text.timeline import decided_words, timeline_data, timeline_rows, timeline_table
    from articulate.studies.explain.timeline import timeline as tell
    from articulate.studies.population.watched import watched_of

    spec = spec_of(vehicle)
    found = tell(build(spec), ramp.test(), ramp.side, watched_of(spec))
    line = f"{spec.name}: bars connected, {decided_words(found.connected)}"
    forms = Forms(partial(timeline_table, name=spec.name), partial(timeline_data, name=spec.name), timeline_rows)
    return told(found, line, held_by(ramp, spec), forms, lambda *on: figures.timeline_figure(found, spec.name, *on))


@checked
def worth(vehicle: Vehicle | str | Path, ramp: Ramp = USUAL) -> Result[VehicleWorth]:
    """Say what one more inch of each travel, ten percent of each rate and the like are worth.

    Raises:
        SpecError, UnphysicalError: as `predict`.
    """
    from articulate.output.text.worth import step_in, worth_data, worth_rows, worth_table
    from articulate.output.units import lengths_of
    from articulate.studies.explain.vehicle_parts import StudiedVehicle
    from articulate.studies.explain.worth import what_steps_are_worth

    spec = spec_of(vehicle)
    found = what_steps_are_worth(StudiedVehicle.of(spec), ramp.test(), ramp.side, step_in(lengths_of([spec])))
    held = held_by(ramp, spec)

    def draw(bars: str, medium: Medium, transparent: bool) -> Picture:
        if bars == "released" and found.released is None:
            raise ArgumentError("no bar of this vehicle can be released; bars='connected'")
        return figures.worth_figure(found, bars, medium, transparent)

    line = f"{spec.name}: what a step of each input is worth, from {shown(found.connected.score)} connected"
    forms = Forms(lambda one, **_: worth_table(one), worth_data, worth_rows)
    return told_by_bars(found, line, held, forms, draw)


@checked
def blocks(vehicle: Vehicle | str | Path, ramp: Ramp = USUAL) -> Result[BlockTest]:
    """Predict the height of blocks under two opposite corners that lifts a wheel, for people without a ramp.

    Raises:
        SpecError, UnphysicalError: as `predict`.
    """
    from articulate.output.text.blocks import blocks_data, blocks_rows, blocks_table
    from articulate.studies.population.runs import Population
    from articulate.studies.predict.blocks import block_test

    spec = spec_of(vehicle)
    found = block_test(Population.of(spec, ramp.conditions()), ramp.side)
    line = f"{spec.name}: twisted on blocks instead of a ramp"
    forms = Forms(partial(blocks_table, spec=spec), partial(blocks_data, spec=spec), blocks_rows)
    return told(found, line, held_by(ramp, spec), forms, lambda *on: figures.blocks_figure(found, spec.name, *on))
