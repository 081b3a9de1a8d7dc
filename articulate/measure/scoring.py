"""From a run sheet to scores: every run, repeats and both sides combined, the gain from releasing the bar.

All results of a sheet go through one measurand, so that what its runs share (ramp, wheelbase, tape, film) is shared in
the sums and cancels in the differences.

**The measured score** is that of the readings, as read, at the touch load of the run sheet: the number a person
publishes. Every output says this one, and no output takes the touch load out of it. A prediction that is held against
it is made at that touch load and on that ramp (`studies.sheet_readings.conditions_of_day`). Beside it, and named as
that, may stand what it would be at another load: none at all, or one that two vehicles are put on to be compared.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from articulate.brief import Brief
from articulate.measure.plausible_readings import reading_doubts
from articulate.measure.propagation import COVERAGE, DRAWS, SEED, Uncertain, propagate
from articulate.measure.run_sheet import RunEntry, RunSheet
from articulate.measure.scatter import Repeatability
from articulate.measure.sheet_measurand import CaseHints, SheetMeasurand, SideAndBars
from articulate.spec.plausibility import Doubt

__all__ = [
    "CaseHints",
    "CaseScore",
    "Gain",
    "Repeatability",
    "RunScore",
    "SheetScores",
    "SideDifference",
    "score_sheet",
]


MOST_CELLS = 40_000_000  # numbers held at once; a sheet of more than some thirty runs gets fewer draws for it


@dataclass(frozen=True)
class RunScore:
    """Climb and score of one run of the sheet, its repeats averaged."""

    entry: RunEntry
    climb: Uncertain  # [m]
    score: Uncertain


@dataclass(frozen=True)
class CaseScore:
    """Climb and score of one side, or of both sides' mean, in one bar state; repeats and runs averaged."""

    side: str  # "left", "right" or "both"
    bars: str
    runs: tuple[int, ...]
    climbs: int  # how many were made
    climb: Uncertain  # [m]
    score: Uncertain  # the measured score, at the touch load of the sheet
    score_carried: Uncertain  # the same at another touch load, `SheetScores.carried_to`


@dataclass(frozen=True)
class Gain:
    """Score gained by releasing the bars, on one side or on both sides' mean."""

    side: str
    gain: Uncertain
    connected: Uncertain
    released: Uncertain


@dataclass(frozen=True)
class SideDifference:
    """Score on the left less score on the right, in one bar state."""

    bars: str
    difference: Uncertain

    @property
    def significant(self) -> bool:
        """Whether zero lies outside the interval."""
        return not self.difference.low <= 0.0 <= self.difference.high


@dataclass(frozen=True, repr=False)
class SheetScores(Brief):
    """Everything a run sheet says."""

    sheet: RunSheet
    runs: tuple[RunScore, ...]
    cases: tuple[CaseScore, ...]
    gains: tuple[Gain, ...]
    side_differences: tuple[SideDifference, ...]
    repeatability: Repeatability | None
    remarks: tuple[str, ...]
    doubts: tuple[Doubt, ...]  # readings that look unlike what was read
    carried_to: float  # [N], the touch load of every `CaseScore.score_carried`
    seed: int


def score_sheet(
    sheet: RunSheet,
    hints: Mapping[SideAndBars, CaseHints] | None = None,
    coverage: float = COVERAGE,
    draws: int = DRAWS,
    seed: int = SEED,
    remarks: Sequence[str] = (),
    carried_to: float = 0.0,
) -> SheetScores:
    """Climbs and scores of a sheet with their uncertainty.

    Args:
        sheet: the run sheet.
        hints: what a model of the vehicle says of each case that was run; defaults are assumed where it is missing.
        coverage: probability of the intervals.
        draws: of the Monte Carlo check.
        seed: of the draws.
        remarks: more to be said to whoever reads the result.
        carried_to: touch load at which scores are told beside the measured ones [N].

    Raises:
        MissingRadiusError: a reading at the hub or by plumb line lacks a radius that nothing gives.
    """
    model = SheetMeasurand(sheet, hints or {}, carried_to)
    room = MOST_CELLS // (len(model.inputs) + len(model.names))
    found = propagate(model.outputs, model.inputs, coverage=coverage, draws=min(draws, room), seed=seed)
    results = dict(zip(model.names, found, strict=True))
    runs = []
    for entry in sheet.runs:
        own = (entry.number,) if entry in model.own_runs else entry.case
        runs.append(RunScore(entry, results["climb", *own], results["score", *own]))
    cases = tuple(
        CaseScore(
            side,
            bars,
            tuple(entry.number for entry in model.entries(side, bars)),
            sum(len(entry.readings) for entry in model.entries(side, bars)),
            *(results[what, side, bars] for what in ("climb", "score", "carried")),
        )
        for side, bars in model.cases
    )
    by_case = {(case.side, case.bars): case.score for case in cases}
    gains = tuple(
        Gain(side, results["gain", side], by_case[side, "connected"], by_case[side, "released"])
        for side in model.sides_with_gain
    )
    differences = tuple(SideDifference(bars, results["difference", bars]) for bars in model.bars_on_both)
    return SheetScores(
        sheet,
        tuple(runs),
        cases,
        gains,
        differences,
        model.scatter.shown,
        (*model.remarks(), *remarks),
        reading_doubts(sheet, _radius_of(hints)),
        carried_to,
        seed,
    )


def _radius_of(hints: Mapping[SideAndBars, CaseHints] | None) -> float | None:
    """Hub over the floor [m] as a model has it, None without one."""
    return next((found.radius_on_flat.value for found in (hints or {}).values()), None)
