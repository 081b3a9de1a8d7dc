"""A number with its range, from the lanes of a sample."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Interval:
    """A nominal value and the central 90 % of the possible ones, all in one SI unit."""

    value: float
    low: float
    high: float

    @property
    def known(self) -> bool:
        """Whether there is a finite value."""
        return bool(np.isfinite(self.value))


def interval(value: float, lanes: Array) -> Interval:
    """A nominal value with the 5 % and 95 % points of its lanes; lanes that are NaN count for nothing."""
    known = lanes[~np.isnan(lanes)]
    if not known.size:
        return Interval(float(value), float("nan"), float("nan"))
    low, high = np.quantile(known, [0.05, 0.95], method="nearest")
    return Interval(float(value), float(low), float(high))
