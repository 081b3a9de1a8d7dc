"""Propagation of uncertainty: JCGM 100 (law of propagation, effective degrees of freedom) and JCGM 101 (Monte Carlo).

Sources: JCGM 100:2008, Guide to the expression of uncertainty in measurement (5.1, 5.2, G.4); JCGM 101:2008,
Supplement 1, propagation of distributions using a Monte Carlo method (6.4, 7, 8). Clauses are values from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from articulate.measure.student import t_quantile

Array = NDArray[np.float64]
Measurand = Callable[[Mapping[str, Array]], Array]
Shape = Literal["normal", "rectangular", "triangular"]

SEED = 20
DRAWS = 200_000
BLOCK = 16384  # draws that go through the measurand at a time: what it makes on the way then stays in the cache
COVERAGE = 0.95
NEGLIGIBLE = 1e-9  # part of u below which a contribution is rounding, and has no line in the budget
STEP = 0.1  # of a standard uncertainty, for the differences


@dataclass(frozen=True)
class InputQuantity:
    """One input: its estimate, standard uncertainty and degrees of freedom, and the distribution behind them.

    A `normal` input of finite degrees of freedom is drawn from the t distribution scaled by u (JCGM 101, 6.4.9). A
    triangular one may have its mode aside of the middle: `skew` is (mode - low)/(high - low). Inputs of one
    `evaluated_together` name rest on one and the same estimate of a variance, so that their degrees of freedom are
    those of their sum, not counted twice. `unit` and `unit_size` are for display.
    """

    name: str
    estimate: float
    u: float
    dof: float = math.inf
    shape: Shape = "normal"
    skew: float = 0.5
    evaluated_together: str = ""
    unit: str = ""
    unit_size: float = 1.0
    source: str = "given"
    basis: str = ""


@dataclass(frozen=True)
class BudgetRow:
    """One line of an uncertainty budget; a quantity on which the output does not hang has none."""

    quantity: InputQuantity
    sensitivity: float  # [output unit over the quantity's SI unit]
    contribution: float  # sensitivity times u, with its sign [output unit]
    share: float  # of the variance; shares sum to one


@dataclass(frozen=True)
class MonteCarlo:
    """Propagation of distributions by draws."""

    mean: float  # mean and u are NaN where an input of two degrees of freedom or fewer has no variance
    u: float
    low: float
    high: float
    noise: float  # standard error of the ends of the interval
    draws: int
    seed: int


@dataclass(frozen=True)
class Uncertain:
    """A measured value: estimate, standard uncertainty, interval, budget, and the Monte Carlo check.

    `low` and `high` are the interval to use at `coverage`: that of JCGM 100 where the Monte Carlo validates it, that of
    the Monte Carlo where it does not (JCGM 101, 8.1.3).
    """

    value: float
    u: float
    dof: float
    coverage: float
    coverage_factor: float
    budget: tuple[BudgetRow, ...]
    monte_carlo: MonteCarlo
    tolerance: float  # half a unit of the second significant digit of u (JCGM 101, 7.9.2)
    validated: bool  # both ends agree within the tolerance

    @property
    def expanded(self) -> float:
        """Expanded uncertainty U = k u [unit of the value]."""
        return self.coverage_factor * self.u

    @property
    def low(self) -> float:
        """Lower end of the interval to use."""
        return self.value - self.expanded if self.validated else self.monte_carlo.low

    @property
    def high(self) -> float:
        """Upper end of the interval to use."""
        return self.value + self.expanded if self.validated else self.monte_carlo.high

    @property
    def half_width(self) -> float:
        """Half the interval to use."""
        return 0.5 * (self.high - self.low)

    @property
    def note(self) -> str:
        """What the Monte Carlo says of the interval by JCGM 100."""
        if self.u == 0.0:
            return "nothing is uncertain here"
        below = abs(self.value - self.expanded - self.monte_carlo.low)
        widest = max(below, abs(self.value + self.expanded - self.monte_carlo.high))
        digits = f"ends differ by {widest:.2g}, tolerance {self.tolerance:.2g}"
        if self.validated:
            return f"Monte Carlo agrees to two digits of u ({digits})"
        return f"Monte Carlo differs ({digits}): its interval is the one used"


def numerical_tolerance(u: float, digits: int = 2) -> float:
    """Half a unit of the last of so many significant digits of u (JCGM 101:2008, 7.9.2)."""
    if u <= 0.0:
        return 0.0
    exponent = math.floor(math.log10(u))
    if round(u / 10.0 ** (exponent - digits + 1)) >= 10**digits:
        exponent += 1
    return float(0.5 * 10.0 ** (exponent - digits + 1))


def propagate(
    measurand: Measurand,
    inputs: Sequence[InputQuantity],
    coverage: float = COVERAGE,
    draws: int = DRAWS,
    seed: int = SEED,
) -> tuple[Uncertain, ...]:
    """Propagate independent inputs through a measurand of one or several outputs.

    Args:
        measurand: takes each input by name as an array of shape (points,) and returns (points,) or (points, outputs).
            An input that several outputs share correlates them, and cancels where they are subtracted.
        inputs: the input quantities, their names all different.
        coverage: probability of the intervals.
        draws: of the Monte Carlo.
        seed: of the draws.

    Returns:
        One `Uncertain` an output.

    Raises:
        ValueError: names repeat.
    """
    names = [quantity.name for quantity in inputs]
    if len(set(names)) != len(names):
        raise ValueError("two inputs have the same name")
    value, sensitivity = _sensitivities(measurand, inputs)
    terms = _terms(inputs)
    points = _draws(inputs, draws, seed)
    drawn = np.empty((value.size, draws))
    for start in range(0, draws, BLOCK):
        block = slice(start, start + BLOCK)
        drawn[:, block] = _outputs(measurand, {name: values[block] for name, values in points.items()}).T
    return tuple(
        _uncertain(value[k], sensitivity[:, k], inputs, terms, coverage, drawn[k], seed) for k in range(value.size)
    )


def effective_dof(parts: Array, dof: Array) -> float:
    """Degrees of freedom u^4 / sum(u_i^4 / dof_i) by Welch and Satterthwaite (JCGM 100:2008, G.4.1).

    Args:
        parts: the u_i, contributions of independent terms, (terms,).
        dof: their degrees of freedom, inf where exact, (terms,).
    """
    total = float((parts**2).sum())
    finite = np.isfinite(dof)
    below = float((parts[finite] ** 4 / dof[finite]).sum())
    return math.inf if below == 0.0 else total**2 / below


def coverage_factor(coverage: float, dof: float) -> float:
    """Two-sided quantile of the t distribution (JCGM 100:2008, G.3), of the normal for infinite degrees of freedom."""
    return t_quantile(0.5 * (1.0 + coverage), dof)


def _outputs(measurand: Measurand, points: Mapping[str, Array]) -> Array:
    found = np.asarray(measurand(points), dtype=np.float64)
    return found[:, None] if found.ndim == 1 else found


def _sensitivities(measurand: Measurand, inputs: Sequence[InputQuantity]) -> tuple[Array, Array]:
    """Output at the estimates (outputs,) and its partial derivatives (inputs, outputs).

    Central differences of steps h and 2h: [8 (f(h) - f(-h)) - (f(2h) - f(-2h))] / 12 h, error of order h^4.
    """
    estimate = np.array([quantity.estimate for quantity in inputs])
    u = np.array([quantity.u for quantity in inputs])
    step = np.where(u > 0.0, STEP * u, np.maximum(1e-4 * np.abs(estimate), 1e-6))
    count = len(inputs)
    shifts = np.concatenate([np.zeros((1, count)), *(np.diag(step * k) for k in (1.0, -1.0, 2.0, -2.0))])
    points = estimate + shifts
    found = _outputs(measurand, {quantity.name: points[:, i] for i, quantity in enumerate(inputs)})
    one, minus, two, minus_two = (found[1 + k * count : 1 + (k + 1) * count] for k in range(4))
    return found[0], (8.0 * (one - minus) - (two - minus_two)) / (12.0 * step[:, None])


def _draws(inputs: Sequence[InputQuantity], draws: int, seed: int) -> dict[str, Array]:
    """Draws of every input, each (draws,)."""
    generator = np.random.default_rng(seed)
    spread: dict[str, Array] = {}  # sqrt(chi^2/dof) of variances estimated together
    drawn = {}
    for quantity in inputs:
        unit = _standardised(quantity, generator, draws)
        if quantity.shape == "normal" and math.isfinite(quantity.dof):
            key = quantity.evaluated_together or quantity.name
            if key not in spread:
                spread[key] = np.sqrt(generator.chisquare(quantity.dof, draws) / quantity.dof)
            unit = unit / spread[key]
        unit *= quantity.u
        unit += quantity.estimate
        drawn[quantity.name] = unit
    return drawn


def _standardised(quantity: InputQuantity, generator: np.random.Generator, draws: int) -> Array:
    """Draws from the quantity's distribution about its mean, over its standard deviation.

    A rectangle of standard deviation one has the half-width sqrt(3); a triangle of base b and mode at m b has the mean
    (1 + m) b/3 and the variance (1 - m + m^2) b^2/18.
    """
    if quantity.shape == "normal":
        return generator.standard_normal(draws)
    if quantity.shape == "rectangular":
        return np.asarray(math.sqrt(3.0) * (2.0 * generator.random(draws) - 1.0))
    mode = quantity.skew
    base = math.sqrt(18.0 / (1.0 - mode + mode**2))
    return np.asarray(base * (generator.triangular(0.0, mode, 1.0, draws) - (1.0 + mode) / 3.0))


def _ends(drawn: Array, coverage: float) -> tuple[float, float, float]:
    """Ends of the probabilistically symmetric interval, and the larger standard error of the two.

    The error of a quantile is sqrt(p (1 - p)/M) over the density there, which the quantiles either side of it give.
    """
    tail = 0.5 * (1.0 - coverage)
    beside = 0.1 * tail
    shares = [tail - beside, tail, tail + beside, 1.0 - tail - beside, 1.0 - tail, 1.0 - tail + beside]
    places = np.array(shares) * (drawn.size - 1)
    below = np.minimum(places.astype(np.intp), drawn.size - 2)
    ranked = np.partition(drawn, np.concatenate([below, below + 1]))  # only those places are in order
    # By hand: np.quantile would import numpy.ma, 0.07 s.
    found = (ranked[below + 1] - ranked[below]) * (places - below) + ranked[below]
    per_share = max(found[2] - found[0], found[5] - found[3]) / (2.0 * beside)
    return float(found[1]), float(found[4]), float(per_share * math.sqrt(tail * (1.0 - tail) / drawn.size))


def _uncertain(
    value: float,
    sensitivity: Array,
    inputs: Sequence[InputQuantity],
    terms: NDArray[np.intp],
    coverage: float,
    drawn: Array,
    seed: int,
) -> Uncertain:
    parts = sensitivity * np.array([quantity.u for quantity in inputs])
    of_variance = parts**2
    variance = float(of_variance.sum())
    u = math.sqrt(variance)
    dof = _dof(of_variance, inputs, terms)
    factor = coverage_factor(coverage, dof)
    low, high, noise = _ends(drawn, coverage)
    heavy = any(
        quantity.shape == "normal" and quantity.dof <= 2.0 and part != 0.0
        for quantity, part in zip(inputs, parts, strict=True)
    )
    monte_carlo = MonteCarlo(
        mean=math.nan if heavy else float(drawn.mean()),
        u=math.nan if heavy else float(drawn.std()),
        low=low,
        high=high,
        noise=noise,
        draws=drawn.size,
        seed=seed,
    )
    tolerance = numerical_tolerance(u)
    gaps = abs(value - factor * u - low), abs(value + factor * u - high)
    return Uncertain(
        value=float(value),
        u=u,
        dof=dof,
        coverage=coverage,
        coverage_factor=factor,
        budget=tuple(
            BudgetRow(quantity, float(sensitivity[i]), float(parts[i]), float(of_variance[i] / variance) if u else 0.0)
            for i, quantity in enumerate(inputs)
            if abs(parts[i]) > NEGLIGIBLE * u
        ),
        monte_carlo=monte_carlo,
        tolerance=tolerance,
        validated=bool(max(gaps) <= tolerance),
    )


def _terms(inputs: Sequence[InputQuantity]) -> NDArray[np.intp]:
    """The term of the sum of variances that each input belongs to, (inputs,); those evaluated together are one term."""
    names = [quantity.evaluated_together or f"\0{i}" for i, quantity in enumerate(inputs)]
    return np.unique(names, return_inverse=True)[1].astype(np.intp)


def _dof(of_variance: Array, inputs: Sequence[InputQuantity], terms: NDArray[np.intp]) -> float:
    """Effective degrees of freedom; those of a term of several inputs are the fewest in it."""
    variance = np.bincount(terms, of_variance)
    dof = np.full(variance.size, math.inf)
    np.minimum.at(dof, terms, [quantity.dof for quantity in inputs])
    return max(effective_dof(np.sqrt(variance), dof), 1.0)
