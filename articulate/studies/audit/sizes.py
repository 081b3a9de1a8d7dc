"""How large a cause may be: a prior over its size, with the nodes over which it is integrated."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from articulate.spec.quantities import shown

Array = NDArray[np.float64]

NODES = 32  # of a continuous size


@dataclass(frozen=True)
class Size:
    """A prior over the size of a cause [SI].

    `even` is rectangular between low and high, `ratio` rectangular in the logarithm, `listed` has the given values
    with their weights, `fixed` has no size at all. `unit` is for display; one of it is `unit_size` in SI. `whole` is
    the share of an even prior that lies at its upper end.
    """

    shape: Literal["even", "ratio", "listed", "fixed"]
    low: float = 1.0
    high: float = 1.0
    unit: str = ""
    unit_size: float = 1.0
    values: tuple[float, ...] = ()
    weights: tuple[float, ...] = ()
    what: str = ""
    whole: float = 0.0

    @property
    def continuous(self) -> bool:
        """Whether the size has a density."""
        return self.shape in ("even", "ratio")

    def at(self, share: Array) -> Array:
        """Inverse of the prior's distribution function at shares in (0, 1), any shape [SI]."""
        if self.shape == "even":
            return np.asarray(self.low + (self.high - self.low) * np.minimum(share / (1.0 - self.whole), 1.0))
        if self.shape == "ratio":
            return np.asarray(self.low * (self.high / self.low) ** share)
        nodes, weights = self.nodes()
        below = np.searchsorted(np.cumsum(weights) - 1e-12, share, side="left")
        return np.asarray(nodes[np.minimum(below, nodes.size - 1)])

    def shares(self) -> Array:
        """Shares of the prior at which a continuous size has its nodes, (nodes,)."""
        return (np.arange(NODES) + 0.5) / NODES

    def nodes(self) -> tuple[Array, Array]:
        """Sizes over which the prior is integrated and their weights, summing to one, (nodes,) each."""
        if self.continuous:
            return self.at(self.shares()), np.full(NODES, 1.0 / NODES)
        if self.shape == "fixed":
            return np.ones(1), np.ones(1)
        weights = np.array(self.weights or [1.0] * len(self.values))
        return np.array(self.values), weights / weights.sum()

    def text(self, value: float, digits: int = 3) -> str:
        """A size [SI] in its display unit, signed where the prior has both signs; empty where there is no size."""
        if self.shape == "fixed":
            return ""
        sign = "+" if self.low < 0.0 < value or (self.values and min(self.values) < 0.0 < value) else ""
        return sign + shown(value, self.unit, self.unit_size, digits)


def even(low: float, high: float, unit: str, unit_size: float, what: str, whole: float = 0.0) -> Size:
    """Any size between two limits given in the display unit, all equally likely but for a share that is the upper."""
    return Size("even", low * unit_size, high * unit_size, unit, unit_size, what=what, whole=whole)


def ratio(low: float, high: float, unit: str, unit_size: float, what: str) -> Size:
    """Any size between two limits given in the display unit, equal ratios equally likely."""
    return Size("ratio", low * unit_size, high * unit_size, unit, unit_size, what=what)


def either_way(values: dict[float, float], unit: str, unit_size: float, what: str) -> Size:
    """Listed magnitudes in the display unit with their weights, up or down alike."""
    both = [(sign * value * unit_size, weight) for value, weight in values.items() for sign in (-1.0, 1.0)]
    return Size(
        "listed",
        unit=unit,
        unit_size=unit_size,
        values=tuple(value for value, _ in both),
        weights=tuple(weight for _, weight in both),
        what=what,
    )


NO_SIZE = Size("fixed")
