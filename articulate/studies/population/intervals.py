"""A number with its range: what studies find, texts tell and figures draw."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.studies.population.allowance import quantiles

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Interval:
    """A value with its range in one unit, the nominal one and the central 90 % unless said otherwise.

    NaN where there is none, infinite beyond what was looked at.
    """

    value: float
    low: float
    high: float

    @property
    def known(self) -> bool:
        """Whether there is a finite value."""
        return bool(np.isfinite(self.value))


@dataclass(frozen=True)
class Quantiles:
    """Median and central 90 %."""

    median: float
    low: float  # 5 % lie below
    high: float  # 5 % lie above

    @property
    def width(self) -> float:
        """Width of the central 90 %."""
        return self.high - self.low


def interval(value: float, lanes: Array, error: float = 0.0) -> Interval:
    """A nominal value with the 5 % and 95 % points of its lanes; lanes that are NaN count for nothing.

    error: standard deviation of a normal error that each lane has beside it, relative to its own value.
    """
    known = lanes[~np.isnan(lanes)]
    if not known.size:
        return Interval(float(value), float("nan"), float("nan"))
    if error > 0.0:
        low, high = quantiles(known, error * np.abs(known), [0.05, 0.95])
    else:
        low, high = np.quantile(known, [0.05, 0.95], method="nearest")
    return Interval(float(value), float(low), float(high))
