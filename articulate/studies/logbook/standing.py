"""Where results stand among all that were kept, on equal terms: bars, side, and one ramp angle.

A score is carried from its day's ramp to another by the model's ratio, noted with the sheet for the vehicle as it then
was, between the angles noted; else by the ratio of sines, as if its mark rose to the same height on both ramps. The
scores of two angles g1, g2 are taken to go as (sin g1/sin g2)^p; sines alone say p = 1, and vehicles do not agree with
them, so p is uncertain by `SINE_EXPONENT_U`. Results are taken as normal and independent of one another.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from articulate.measure.day_record import NotedCase
from articulate.studies.logbook.kept import Kept

Array = NDArray[np.float64]

# Exponents of the demo vehicles from 20 to 15 and to 25 degrees lie between 0.8 and 1.5, the highest those of the short
# two-door, whose rear wheel meets the ramp: twice this (a test climbs them).
SINE_EXPONENT_U = 0.3
SAME_ANGLE = math.radians(0.05)  # a score is not carried over less
WEIGHTY = ("ramp angle", "touch load", "wheelbase")  # assumed ones are told beside a place
FAR_LOAD = 20.0  # [N], off the usual touch load of a ranking, from which it is told
DRAWS, FEWEST, SEED = 2000, 200, 20
DRAWN = 500_000  # scores, in all
RANKS = (0.05, 0.95)


@dataclass(frozen=True)
class Terms:
    """What is put on equal terms; `side` "both" is the mean where both were driven, else the one that was."""

    bars: str = "connected"
    side: str = "both"
    angle: float = math.radians(20.0)


@dataclass(frozen=True)
class Standing:
    """One result among others; `rank` counts from 1, and NaN stands for a neighbour that is not there."""

    kept: Kept
    case: NotedCase
    score: float  # on equal terms
    u: float
    by: str  # "as measured", "model" or "sines"
    remarks: tuple[str, ...]  # why it may not compare with the others
    rank: int = 0
    ranks: tuple[int, int] = (0, 0)  # where it may stand, central 90 %
    beats_next: float = math.nan  # probability that it is higher than the one below it

    @property
    def name(self) -> str:
        """Vehicle, and the sheet's title where it has one."""
        record = self.kept.record
        return f"{record.vehicle}, {record.title}" if record.title else record.vehicle


@dataclass(frozen=True)
class Ranking:
    """Results from the highest down; `left_out` are those without a run on these terms."""

    terms: Terms
    standings: tuple[Standing, ...]
    left_out: tuple[Kept, ...]
    latest: int  # index of the newest result, -1 where there is none


def carried(case: NotedCase, angles: Sequence[float], angle: float, to: float) -> tuple[float, float, str]:
    """Ratio of a score on another ramp to that on the day's, its relative standard uncertainty, and what says so.

    Args:
        case: with its predicted ratios, if any.
        angles: at which those hold [rad].
        angle: of the day's ramp [rad].
        to: of the other ramp [rad].
    """
    if abs(to - angle) < SAME_ANGLE:
        return 1.0, 0.0, "as measured"
    if len(case.ratios) == len(case.ratio_u) == len(angles):
        known = sorted(
            (math.log(math.sin(one)), math.log(ratio), u)
            for one, ratio, u in zip(angles, case.ratios, case.ratio_u, strict=True)
            if math.isfinite(ratio) and math.isfinite(u) and ratio > 0.0
        )
        at = math.log(math.sin(to))
        if known and known[0][0] <= at <= known[-1][0]:
            places, logs, spreads = (list(column) for column in zip(*known, strict=True))
            return math.exp(float(np.interp(at, places, logs))), float(np.interp(at, places, spreads)), "model"
    ratio = math.sin(angle) / math.sin(to)
    return ratio, SINE_EXPONENT_U * abs(math.log(ratio)), "sines"


def _case_on(kept: Kept, terms: Terms) -> NotedCase | None:
    found = {case.side: case for case in kept.record.cases if case.bars == terms.bars}
    if terms.side != "both":
        return found.get(terms.side)
    return found.get("both") or next(iter(found.values()), None)


def standing_of(kept: Kept, terms: Terms) -> Standing | None:
    """A result on equal terms, without its place; None where it has no run on them."""
    case = _case_on(kept, terms)
    if case is None:
        return None
    record = kept.record
    ratio, relative_u, by = carried(case, record.angles, record.ramp_angle, terms.angle)
    score = case.score * ratio
    degrees = math.degrees(record.ramp_angle)
    remarks = []
    if by == "model":
        remarks.append(f"carried from {degrees:.1f} deg by the model of the vehicle as it was")
    elif by == "sines":
        remarks.append(f"carried from {degrees:.1f} deg by the sines alone")
    if terms.side == "both" and case.side != "both":
        remarks.append(f"{case.side} side only")
    told = [name for name in WEIGHTY if name in record.assumed]
    remarks += [f"assumed: {', '.join(told)}"] if told else []
    remarks += ["readings asked about"] if record.asked_about else []
    remarks += ["the sheet changed after it was kept"] if "hash has changed" in kept.why_again else []
    remarks += list(record.remarks)
    return Standing(kept, case, score, math.hypot(case.score_u * ratio, score * relative_u), by, tuple(remarks))


def ranking(results: Sequence[Kept], terms: Terms) -> Ranking:
    """Results in their order, each with where else it may stand and the probability that it beats the next.

    P(a > b) = Phi((a - b)/sqrt(u_a^2 + u_b^2)); places are those of `DRAWS` draws of all scores.
    """
    found, left_out = [], []
    for kept in results:
        one = standing_of(kept, terms)
        if one is None:
            left_out.append(kept)
        else:
            found.append(one)
    if not found:
        return Ranking(terms, (), tuple(left_out), -1)
    usual = float(np.median([one.kept.record.touch_load for one in found]))
    found.sort(key=lambda one: (-one.score, one.kept.date, one.name))
    scores, u = np.array([one.score for one in found]), np.array([one.u for one in found])
    low, high = _places(scores, u)
    placed = []
    for k, one in enumerate(found):
        load = one.kept.record.touch_load
        far = (f"touch load {load:.0f} N where {usual:.0f} N is usual",) if abs(load - usual) > FAR_LOAD else ()
        beats = beats_probability(one, found[k + 1]) if k + 1 < len(found) else math.nan
        placed.append(
            replace(one, rank=k + 1, ranks=(int(low[k]), int(high[k])), beats_next=beats, remarks=(*one.remarks, *far))
        )
    latest = max(range(len(placed)), key=lambda k: (placed[k].kept.date, placed[k].kept.path.name, -k))
    return Ranking(terms, tuple(placed), tuple(left_out), latest)


def beats_probability(one: Standing, other: Standing) -> float:
    """Probability that a result is higher than another, both normal and independent; see `ranking`."""
    spread = math.hypot(one.u, other.u)
    if spread == 0.0:
        return 0.5 if one.score == other.score else float(one.score > other.score)
    return 0.5 * math.erfc((other.score - one.score) / (spread * math.sqrt(2.0)))


def _places(scores: Array, u: Array) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Central 90 % of the places that scores may take, best first, from draws."""
    count = scores.size
    drawn = scores + u * np.random.default_rng(SEED).standard_normal((max(min(DRAWS, DRAWN // count), FEWEST), count))
    order = np.argsort(-drawn, axis=1, kind="stable")
    places = np.empty_like(order)
    np.put_along_axis(places, order, np.arange(1, count + 1)[None, :], axis=1)
    low, high = np.quantile(places, RANKS, axis=0, method="nearest")
    own = np.arange(1, count + 1)
    return np.minimum(low, own).astype(np.intp), np.maximum(high, own).astype(np.intp)
