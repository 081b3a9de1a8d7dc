"""What the figures of studies are drawn from: small frozen records, so that any study's result needs a few lines."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Bar:
    """A named number, its range where one is known, and a few words to stand beside it."""

    label: str
    value: float
    low: float = math.nan
    high: float = math.nan
    note: str = ""

    @property
    def ranged(self) -> bool:
        """Whether both limits are known."""
        return math.isfinite(self.low) and math.isfinite(self.high)

    @property
    def open_ended(self) -> bool:
        """Whether the upper limit is beyond what was looked at, such as the end of the ramp."""
        return math.isfinite(self.low) and self.high == math.inf


@dataclass(frozen=True)
class Contributor:
    """One input's part in the band of each run: shares of the variance, in the order of the bands."""

    label: str
    shares: tuple[float, ...]


@dataclass(frozen=True)
class BandTally:
    """Score bands, one for each state of the bars, and what they come from, the largest first."""

    bands: tuple[Bar, ...]
    contributors: tuple[Contributor, ...]
    coverage: str = "central 90 %"


@dataclass(frozen=True)
class Bridge:
    """From one score to another in steps that add up."""

    start: Bar
    steps: tuple[Bar, ...]  # signed values; low and high where the step itself is uncertain
    end: Bar


@dataclass(frozen=True)
class LadderRung:
    """A tyre size: its scores by state of the bars, its approach angle [rad], and what it does to the bodywork."""

    label: str
    scores: tuple[Bar, ...]  # one for each state of the bars, in the same order on every rung
    approach: Bar  # value, low, high in radians
    fitted: bool = False
    note: str = ""


@dataclass(frozen=True)
class Ranked:
    """A vehicle in a ranking."""

    score: Bar
    measured: bool = False  # a measured score, not a predicted one


@dataclass(frozen=True)
class Mark:
    """A row of a chart of ranges: its number with its range, `bar.note` beside it; `state` gives colour and marker."""

    bar: Bar
    state: int = 0
    hollow: bool = False


@dataclass(frozen=True)
class ScoreLine:
    """Scores along something; a gap where one is not finite."""

    label: str
    places: tuple[float, ...]
    scores: tuple[float, ...]
