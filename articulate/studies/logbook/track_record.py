"""The tool's own record: what was predicted before each day against what was measured on it.

r = ln(measured/predicted median) of a vehicle on a ramp, its sides and bar states averaged (one vehicle's runs err
together), s its standard deviation by the band and the measurement. With several vehicles

    bias        b = sum(r/s^2)/sum(1/s^2),  u(b) = c/sqrt(sum(1/s^2)),  c = max(1, sqrt(Q/(n - 1)))
    scatter     Q = sum((r - b)^2/s^2), chi-squared of n - 1 degrees of freedom where the bands are right

A band is wider than its vehicle's share in the bias of a ramp only by what is really between vehicles: where Q is small
for n the bands are wider than they need be, where it is large the model's allowance is too small for this ramp.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from articulate.constants import NORMAL_90
from articulate.studies.logbook.kept import Kept
from articulate.studies.population.normal_distribution import chi_squared_beyond

LEAST_VEHICLES = 3  # that show a bias together
UNLIKELY = 0.05
RAMP_STEP = 0.5  # [deg]: ramps are told apart by their angle to the next half degree, for sheets do not name them


@dataclass(frozen=True)
class Predicted:
    """One case with its prediction; `inside` says whether the band and the measurement allow the other."""

    kept: Kept
    side: str
    bars: str
    measured: float
    median: float
    low: float
    high: float
    inside: bool  # the measured score lies in the band


@dataclass(frozen=True)
class TrackRecord:
    """Predictions against measurements on one ramp, or on all; NaN where there are too few vehicles."""

    ramp: float  # [deg], NaN for all together
    cases: tuple[Predicted, ...]
    inside: int
    vehicles: int
    bias: float  # of ln(measured/predicted)
    bias_u: float
    scatter: float  # standard deviation of the vehicles' r
    expected_scatter: float  # by their bands, root mean square
    chance: float  # of Q being as large, were the bands right
    chance_less: float  # of its being as small

    @property
    def coverage(self) -> float:
        """Share of the measured scores inside their 90 % bands."""
        return self.inside / len(self.cases) if self.cases else math.nan

    @property
    def verdict(self) -> str:
        """Whether the allowance fits, in words."""
        if not math.isfinite(self.chance):
            return f"fewer than {LEAST_VEHICLES} vehicles with a prediction say nothing of bias or allowance"
        if self.chance < UNLIKELY:
            return "vehicles scatter more than their bands allow: the model's allowance is too small here"
        if self.chance_less < UNLIKELY:
            return "vehicles scatter less than their bands allow: the bands are wider than this ramp shows"
        return "vehicles scatter as their bands say: the model's allowance fits"

    @property
    def biased(self) -> bool:
        """Whether the bias is more than twice its uncertainty."""
        return math.isfinite(self.bias) and abs(self.bias) > 2.0 * self.bias_u


def predictions(results: Sequence[Kept]) -> list[Predicted]:
    """Every driven side and bar state that was predicted when it was kept, with what was measured."""
    found = []
    for kept in results:
        for case in kept.record.cases:
            if case.side == "both" or case.predicted is None:
                continue
            median, low, high = case.predicted
            if all(map(math.isfinite, case.predicted)) and median > 0.0:
                inside = low <= case.score <= high
                found.append(Predicted(kept, case.side, case.bars, case.score, median, low, high, inside))
    return found


def track_record(cases: Sequence[Predicted], ramp: float = math.nan) -> TrackRecord:
    """The record of predictions taken together.

    Args:
        cases: of one ramp, or of all.
        ramp: its angle [deg], NaN for all.
    """
    by_vehicle: dict[str, list[tuple[float, float]]] = {}
    for one in cases:
        case = next(c for c in one.kept.record.cases if (c.side, c.bars) == (one.side, one.bars))
        band = math.log(one.high / one.low) / (2.0 * NORMAL_90) if one.low > 0.0 else 1.0
        s = math.hypot(band, case.score_u / case.score)
        by_vehicle.setdefault(one.kept.record.vehicle, []).append((math.log(one.measured / one.median), s))
    means = [
        (math.fsum(r for r, _ in rows) / len(rows), math.fsum(s for _, s in rows) / len(rows))
        for rows in by_vehicle.values()
    ]
    count, nothing = len(means), math.nan
    inside = sum(one.inside for one in cases)
    if count < LEAST_VEHICLES:
        return TrackRecord(ramp, tuple(cases), inside, count, *(nothing,) * 6)
    weight = math.fsum(s**-2 for _, s in means)
    bias = math.fsum(r * s**-2 for r, s in means) / weight
    q = math.fsum(((r - bias) / s) ** 2 for r, s in means)
    middle = math.fsum(r for r, _ in means) / count
    return TrackRecord(
        ramp,
        tuple(cases),
        inside,
        count,
        bias,
        max(1.0, math.sqrt(q / (count - 1))) / math.sqrt(weight),
        math.sqrt(math.fsum((r - middle) ** 2 for r, _ in means) / (count - 1)),
        math.sqrt(math.fsum(s**2 for _, s in means) / count),
        chi_squared_beyond(count - 1, q),
        1.0 - chi_squared_beyond(count - 1, q),
    )


def track_records(results: Sequence[Kept]) -> tuple[TrackRecord, ...]:
    """The record over all results, then one for each ramp where there are several."""
    cases = predictions(results)
    ramps: dict[float, list[Predicted]] = {}
    for one in cases:
        degrees = math.degrees(one.kept.record.ramp_angle)
        ramps.setdefault(round(degrees / RAMP_STEP) * RAMP_STEP, []).append(one)
    own = [track_record(found, ramp) for ramp, found in sorted(ramps.items())] if len(ramps) > 1 else []
    return (track_record(cases), *own)
