"""Shares of a variance: first-order and total Sobol indices of groups of inputs, by picking and freezing inputs.

The thorough way: (groups + 2) runs a point, no assumption about the function. `polynomial_shares` is the quick one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.studies.population.sampling import SEED, unit_points

Array = NDArray[np.float64]
BLOCK = 2048  # evaluations at once, for the memory
RESAMPLES = 200  # bootstrap of the estimates' errors


@dataclass(frozen=True, eq=False, repr=False)
class Shares(Brief):
    """Shares of one output's variance.

    A first-order index is the share that goes when the group alone is known, a total index the share that
    stays when all but the group is known; the difference is what it does together with others.
    """

    groups: tuple[tuple[str, ...], ...]  # inputs that are tied stand in one group
    first: Array  # (groups,)
    total: Array  # (groups,)
    first_error: Array  # (groups,), standard error of the estimate
    total_error: Array  # (groups,)
    unresolved: float  # share of the variance the estimator could not give to anybody
    variance: float  # of the output
    points: int  # that had a finite output
    runs: int  # of the output's function
    method: str
    left_out: tuple[float, float] = (0.0, 0.0)  # shares of the model's own error: common to all runs, of each run

    def with_error(self, common: float, run: float) -> Shares:
        """The same beside the model's own error, which is independent of all inputs.

        common, run: variances of its parts.
        """
        whole = self.variance + common + run
        if common + run <= 0.0:
            return self
        k = self.variance / whole

        def kept(values: Array) -> Array:
            return k * values if self.variance > 0.0 else np.zeros(values.shape)

        return replace(
            self,
            first=kept(self.first),
            total=kept(self.total),
            first_error=kept(self.first_error),
            total_error=kept(self.total_error),
            unresolved=k * self.unresolved if self.variance > 0.0 else 0.0,
            variance=whole,
            left_out=(common / whole, run / whole),
        )

    def ranked(self) -> NDArray[np.intp]:
        """Groups by total index, largest first."""
        return np.argsort(-self.total, kind="stable")

    @property
    def floor(self) -> float:
        """Total index below which a group cannot be told from none: 1 %, or two standard errors."""
        return max(0.01, 2.0 * float(np.max(self.total_error, initial=0.0)))


def no_shares(groups: Sequence[tuple[str, ...]], points: int, runs: int, method: str) -> Shares:
    """Shares of an output that does not vary, or of too few points: not a number."""
    unknown = np.full(len(groups), np.nan)
    return Shares(tuple(groups), unknown, unknown, unknown, unknown, float("nan"), 0.0, points, runs, method)


def pick_freeze_indices(f_a: Array, f_b: Array, f_ab: Array) -> tuple[Array, Array]:
    """First-order and total indices from the outputs of two samples and their mixtures.

    S_i = mean(f_B (f_ABi - f_A)) / V (Saltelli et al., Comput. Phys. Commun. 181, 2010, eq. (b) of table 2) and
    S_Ti = mean((f_A - f_ABi)^2) / (2 V) (Jansen, Comput. Phys. Commun. 117, 1999), where AB_i is A with the columns
    of group i from B, V the variance of f_A and f_B together, and all outputs less their common mean.

    Args:
        f_a: outputs of sample A, (..., points).
        f_b: outputs of sample B, (..., points).
        f_ab: outputs of the mixtures, (groups, ..., points).

    Returns:
        First-order and total indices, each (groups, ...).
    """
    both = np.concatenate([f_a, f_b], axis=-1)
    mean = both.mean(axis=-1)[..., None]
    variance = both.var(axis=-1)
    a, b, ab = f_a - mean, f_b - mean, f_ab - mean
    return (b * (ab - a)).mean(axis=-1) / variance, ((a - ab) ** 2).mean(axis=-1) / (2.0 * variance)


def thorough_shares(
    function: Callable[[Array], Array],
    groups: Sequence[tuple[str, ...]],
    points: int = 1024,
    seed: int = SEED,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Shares, ...]:
    """Indices of several outputs by picking and freezing, errors by bootstrap over the points.

    Args:
        function: outputs (outputs, n) at points (n, inputs) of the unit cube, columns in the order of `groups`
            laid end to end; NaN or infinite where there is none. It is called with `BLOCK` points at a time.
        groups: the inputs, tied ones together.
        points: base points; the function is evaluated points x (groups + 2) times.
        seed: of the points.
        progress: told how many of how many evaluations are done.

    Returns:
        Shares of each output; points at which any of its evaluations failed are left out of all sums.
    """
    owner = np.repeat(np.arange(len(groups)), [len(group) for group in groups])
    unit = unit_points(points, 2 * owner.size, seed)
    a, b = unit[:, : owner.size], unit[:, owner.size :]
    runs = points * (len(groups) + 2)
    blocks = []
    for start in range(0, runs, BLOCK):  # A, B, then the mixtures one after the other
        sample, point = np.divmod(np.arange(start, min(start + BLOCK, runs)), points)
        from_b = (sample == 1)[:, None] | (sample[:, None] - 2 == owner)
        blocks.append(function(np.where(from_b, b[point], a[point])))
        if progress is not None:
            progress(start + sample.size, runs)
    out = np.concatenate(blocks, axis=1).reshape(-1, len(groups) + 2, points)
    rng = np.random.default_rng(seed)
    return tuple(_picked(values, tuple(groups), runs, rng) for values in out)


def _picked(values: Array, groups: tuple[tuple[str, ...], ...], runs: int, rng: np.random.Generator) -> Shares:
    kept = np.isfinite(values).all(axis=0)
    f_a, f_b, f_ab = values[0, kept], values[1, kept], values[2:, kept]
    method = "picking and freezing"
    if f_a.size < 2 or np.ptp(values[:2, kept]) == 0.0:
        return no_shares(groups, int(f_a.size), runs, method)
    first, total = pick_freeze_indices(f_a, f_b, f_ab)
    again = [
        pick_freeze_indices(f_a[rows], f_b[rows], f_ab[:, rows])
        for rows in rng.integers(0, f_a.size, (RESAMPLES, f_a.size))
    ]
    first_error, total_error = (np.std([pair[k] for pair in again], axis=0, ddof=1) for k in (0, 1))
    variance = float(np.concatenate([f_a, f_b]).var())
    return Shares(groups, first, total, first_error, total_error, 0.0, variance, int(f_a.size), runs, method)
