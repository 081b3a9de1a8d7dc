"""How well a climb is known by itself, apart from what all runs of a sheet share: the one model of it.

What makes a run's mean climb differ from run to run, with its standard uncertainty:

    reading    its own tolerance; else to the nearest division d of the tape, half a division either side, any error as
               likely as another: d/sqrt(12). A hub rise is the difference of two such readings, whose error has a
               triangle for its distribution, a division either side: d/sqrt(6) (JCGM 100:2008, F.2.2.1 and 4.3.9)
    marking    a limit a either side: a/sqrt(3) (4.3.7)
    roll-back  likewise, or as the sheet has it
    climbs made anew   s/sqrt(n) for a run of n climbs

The first three may be alike in all climbs of a run (one hand, one eye, one slope), so repeats do not average them away.
The last is a standard deviation of one climb: the repeats of all cases pooled (4.2.4), and pooled with what was to be
expected, which counts as `REPEATABILITY_WORTH` degrees of freedom, since two repeats alone say next to nothing. `score`
and `audit` both take it from here. Whoever tries whether a climb was misread (the audit) leaves strays out of the
pooling: a slip is an explanation of its own there, and would hide in the scatter it makes. Clauses are values from
memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

import numpy as np

from articulate.measure.conversions import ReadingKind, score_of
from articulate.measure.defaults import REPEATABILITY_WORTH, resolution_of
from articulate.measure.run_sheet import RunEntry, RunSheet

if TYPE_CHECKING:
    from articulate.measure.propagation import Shape

STRAY = 4.0  # standard deviations to be expected, off the median of its case: no scatter
ALONG_THE_RAMP = (ReadingKind.SLOPE_DISTANCE, ReadingKind.PLUMBED_MARK_DISTANCE)


@dataclass(frozen=True)
class Repeatability:
    """Pooled standard deviation of climbs made anew, over all cases with more than one (JCGM 100:2008, 4.2.4)."""

    climb: float  # [m]
    score: float
    dof: int


@dataclass(frozen=True)
class ClimbScatter:
    """Standard deviation of one climb made anew; `shown` is what the repeats alone show, None without repeats."""

    deviation: float  # [m]
    dof: int
    shown: Repeatability | None
    basis: str


@dataclass(frozen=True)
class ReadingError:
    """What a tape reading leaves open: its standard uncertainty, the shape of its error and where that comes from."""

    u: float  # [m]
    shape: Shape
    from_sheet: bool  # not assumed
    basis: str


def climb_scatter(sheet: RunSheet, climbs: Sequence[Sequence[float]], *, strays: bool = True) -> ClimbScatter:
    """Standard deviation of one climb made anew.

    s^2 = (w p^2 + sum (x - mean of its case)^2)/(w + f), f the repeats' degrees of freedom, p the deviation to be
    expected and w the degrees of freedom it is worth.

    Args:
        sheet: the run sheet, for the deviation to be expected.
        climbs: those of each case, side and bar state [m].
        strays: whether climbs that stand `STRAY` p or more off the median of their case count as scatter.
    """
    prior, worth = sheet.repeatability.high, REPEATABILITY_WORTH
    if not strays:
        middle = [median(case) for case in climbs]
        near = [[x for x in case if abs(x - m) < STRAY * prior] for case, m in zip(climbs, middle, strict=True)]
        climbs = [case for case in near if case]
    expected = f"{prior * 1e3:.2g} mm {sheet.repeatability.source} ({sheet.repeatability.basis})"
    squares = sum(float(np.var(case)) * len(case) for case in climbs)
    dof = sum(len(case) - 1 for case in climbs)
    if dof == 0:
        return ClimbScatter(prior, worth, None, expected)
    own = math.sqrt(squares / dof)
    shown = Repeatability(own, float(score_of(own, sheet.wheelbase.value)), dof)
    pooled = math.sqrt((worth * prior**2 + squares) / (worth + dof))
    basis = f"{own * 1e3:.2g} mm from repeats, {dof} degrees of freedom, pooled with {expected}"
    return ClimbScatter(pooled, worth + dof, shown, basis)


def reading_error(sheet: RunSheet, entry: RunEntry) -> ReadingError:
    """What the readings of a run leave open: the widest of their own tolerances, or the division of the tape."""
    widest = max(entry.readings, key=lambda reading: reading.standard_uncertainty)
    if widest.standard_uncertainty > 0.0:
        shape: Shape = "normal" if widest.distribution == "exact" else widest.distribution
        return ReadingError(widest.standard_uncertainty, shape, widest.source != "assumed", widest.basis)
    division = sheet.resolution.high if sheet.resolution else resolution_of(entry.readings[0])
    twice = entry.kind is ReadingKind.HUB_RISE
    return ReadingError(
        division / math.sqrt(6.0 if twice else 12.0),
        "triangular" if twice else "rectangular",
        sheet.resolution is not None,
        f"{entry.readings[0].basis}; {'both hub heights ' if twice else ''}read to {division * 1e3:.2g} mm "
        f"(resolution/sqrt({6 if twice else 12}), JCGM 100:2008, F.2.2.1)",
    )


def run_deviation(sheet: RunSheet, entry: RunEntry) -> float:
    """Standard deviation of what all climbs of a run have alike: reading, marking and roll-back [m].

    Left out is what all runs share: the tape, the ramp angle, the wheelbase, the touch load, the wheel's radii. A run's
    mean climb has beside it the scatter of climbs made anew, over the root of their number.
    """
    per_reading = _per_reading(sheet, entry)
    return math.hypot(
        per_reading * reading_error(sheet, entry).u,
        (per_reading if entry.kind.on_hub else 1.0) * sheet.marking.high / math.sqrt(3.0),
        sheet.roll_back.standard_uncertainty,
    )


def tape_deviation(sheet: RunSheet, entry: RunEntry) -> float:
    """Standard deviation of a run's climbs from the error of the tape, which all readings have alike [m]."""
    return _per_reading(sheet, entry) * sheet.tape_limit.high / math.sqrt(3.0)


def _per_reading(sheet: RunSheet, entry: RunEntry) -> float:
    """Climb per length read [-]."""
    return 1.0 if entry.kind in ALONG_THE_RAMP else 1.0 / math.sin(sheet.ramp_angle.value)
