"""Levers: inputs of a vehicle file that may change between limits, and what each can do for the score alone.

Everything that hangs on a key follows as if it were set in the file, all other inputs stay at their nominal value,
and every trial is a full climb.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.climb import Outcome, climb_to_unload
from articulate.ends import in_case
from articulate.errors import ArticulateError
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles
from articulate.spec import UnphysicalError, VehicleSpec, build, with_settings
from articulate.spec.build import nominal_axle_masses, nominal_gaps
from articulate.types import Case

Array = NDArray[np.float64]
Scores = Callable[[Array], Array]

GRID = 65
DIGITS = 4  # to which a value is rounded for the workshop
CLOSE = 1e-3  # points
SAME = 1e-5  # points, of two scores that are equal but for rounding


class LeverError(ArticulateError, ValueError):
    """A change that cannot be asked for; the text says what would work."""


@dataclass(frozen=True)
class Lever:
    """An input that may change between limits.

    `cost` is for one SI unit of change, either way; `present` the value now [SI].
    """

    key: str
    low: float
    high: float
    present: float
    cost: float
    unit: str
    unit_size: float

    def text(self, value: float, digits: int = 12) -> str:
        """A value [SI] as it would stand in the file."""
        return f"{value / self.unit_size:.{digits}g} {self.unit}".strip()

    def price(self, value: float) -> float:
        """What it costs to change it to a value [SI]."""
        return self.cost * abs(value - self.present)


@dataclass(frozen=True)
class Wish:
    """One lever as a person asks for it: the range as it would stand in the file, the cost of one SI unit."""

    key: str
    limits: str  # such as "60 mm to 120 mm"
    cost: float | None = None  # None: 1 for the whole range


class Trials:
    """Scores of one vehicle with its levers anywhere between their limits, in one state of the bars."""

    def __init__(
        self, spec: VehicleSpec, wishes: Sequence[Wish], test: RampTest, side: str = "left", bars: str = "connected"
    ) -> None:
        if not wishes:
            raise LeverError("nothing may change; name at least one input with its limits")
        keys = [wish.key for wish in wishes]
        twice = sorted({key for key in keys if keys.count(key) > 1})
        if twice:
            raise LeverError(f"{twice[0]} is named twice; give its limits once")
        self.spec, self.test, self.side, self.bars = spec, test, side, bars
        self.ranged = with_settings(spec, [(wish.key, wish.limits) for wish in wishes])
        self.levers = tuple(_lever(spec, self.ranged, wish) for wish in wishes)
        self.climbs = 0
        self.unphysical = ""

    @property
    def present(self) -> Array:
        """The levers as they are, (levers,)."""
        return np.array([lever.present for lever in self.levers])

    @property
    def limits(self) -> tuple[Array, Array]:
        """Lower and upper limits, (levers,) each."""
        return np.array([lever.low for lever in self.levers]), np.array([lever.high for lever in self.levers])

    def cost(self, values: Array) -> Array:
        """What values (points, levers) cost, (points,)."""
        return np.asarray((np.abs(values - self.present) * [lever.cost for lever in self.levers]).sum(axis=-1))

    def scores(self, values: Array) -> Array:
        """Scores at values (points, levers), NaN where there is none, (points,).

        Values that make a vehicle which cannot stand have no score; `unphysical` says why.
        """
        samples = {lever.key: values[:, i] for i, lever in enumerate(self.levers)}
        possible = np.ones(values.shape[0], dtype=bool)
        try:
            vehicles = build(self.ranged, samples)
        except UnphysicalError as error:
            for violation in error.violations:
                possible[violation.lanes] = False
                self.unphysical = f"{violation.what}; {violation.works}"
            if not possible.any():
                return np.full(possible.size, np.nan)
            vehicles = build(self.ranged, {key: array[possible] for key, array in samples.items()})
        score = np.full(possible.size, np.nan)
        score[possible] = self._climb(vehicles)[0]
        return score

    def _climb(self, vehicles: Vehicles) -> tuple[Array, NDArray[np.intp]]:
        self.climbs += vehicles.lanes
        seen = in_case(vehicles, Case(self.side, self.bars))
        climbed = climb_to_unload(seen, self.test.take(np.zeros(vehicles.lanes, dtype=np.intp)))
        return climbed.score, climbed.outcome

    def fresh(self, values: Array) -> tuple[VehicleSpec, float, Outcome]:
        """The vehicle set to the values (levers,) [SI] like a file, resolved anew and climbed alone.

        Returns:
            Spec, score and outcome.
        """
        settings = [(lever.key, lever.text(float(value))) for lever, value in zip(self.levers, values, strict=True)]
        spec = with_settings(self.spec, settings)
        score, outcome = self._climb(build(spec))
        return spec, float(score[0]), Outcome(int(outcome[0]))

    def as_it_is(self) -> tuple[float, Outcome]:
        """Score and outcome of the vehicle unchanged."""
        score, outcome = self._climb(build(self.spec))
        return float(score[0]), Outcome(int(outcome[0]))


def _lever(spec: VehicleSpec, ranged: VehicleSpec, wish: Wish) -> Lever:
    estimate = ranged.inputs.get(wish.key)
    if estimate is None:
        raise LeverError(f"{wish.key}: this vehicle has no such input to change")
    if not estimate.low < estimate.high:
        raise LeverError(f"{wish.key}: {wish.limits} is no range; write the limits as 'LOW to HIGH', both with units")
    present = _present(spec, wish.key)
    if present is None:
        near = [key for key in spec.inputs if key.rpartition(".")[0] == wish.key.rpartition(".")[0]]
        raise LeverError(
            f"{wish.key}: the file describes this otherwise, so what it is now cannot be said; change "
            + (" or ".join(near) if near else "a key the file has")
        )
    cost = 1.0 / (estimate.high - estimate.low) if wish.cost is None else wish.cost
    if not (np.isfinite(cost) and cost > 0.0):
        raise LeverError(f"{wish.key}: a cost of {cost:g} is not positive; say what one unit of change costs")
    return Lever(wish.key, estimate.low, estimate.high, present, cost, estimate.unit, estimate.unit_size)


def _present(spec: VehicleSpec, key: str) -> float | None:
    """The value now, where the file has it or it follows from what the file has."""
    if key in spec.inputs:
        return spec.inputs[key].nominal
    axle, _, rest = key.partition(".")
    if rest == "ride_height_change":
        return 0.0
    if rest.startswith("travel."):
        bump, droop = nominal_gaps(spec, axle)
        known = {"bump": bump, "droop": droop, "total": bump + droop, "bump_share": bump / (bump + droop)}
        return known.get(rest.removeprefix("travel."))
    if axle == "mass":
        front, rear = nominal_axle_masses(spec)
        known = {"total": front + rear, "front_axle": front, "rear_axle": rear, "front_share": front / (front + rear)}
        return known.get(rest)
    return None


@dataclass(frozen=True)
class Curve:
    """The score over one lever, from limit to limit."""

    value: tuple[float, ...]  # [SI]
    score: tuple[float, ...]  # NaN where there is none


@dataclass(frozen=True)
class LeverAnswer:
    """What one lever can do alone.

    Where it reaches the target, `value` is the nearest to the present that does; `jump` says that the score leaps over
    the target there. Otherwise `value` is NaN and `stop` says what ends it: "limit" (the score still rises at the
    limit), "turns" (it falls beyond the best), "flat" (it makes no difference beyond), or "none" (no score anywhere).
    """

    lever: Lever
    reaches: bool
    value: float
    score: float
    jump: bool
    best_value: float
    best_score: float
    stop: str
    curve: Curve


def alone(trials: Trials, index: int, target: float) -> LeverAnswer:
    """Find where one lever, the others as they are, reaches a score.

    Args:
        trials: the levers and the climbs they are tried with.
        index: of the lever.
        target: score to reach.
    """
    lever = trials.levers[index]

    def scores(values: Array) -> Array:
        points = np.tile(trials.present, (values.size, 1))
        points[:, index] = values
        return trials.scores(points)

    grid = np.unique(np.append(np.linspace(lever.low, lever.high, GRID), np.clip(lever.present, lever.low, lever.high)))
    score = scores(grid)
    met = score >= target
    curve = Curve(tuple(map(float, grid)), tuple(map(float, score)))
    if met.any():
        value, at, below = _edge(scores, grid, score, met, lever.present, target)
        best = int(np.nanargmax(score))
        leap = bool(at - below > max(CLOSE, 0.5))
        return LeverAnswer(lever, True, value, at, leap, float(grid[best]), float(score[best]), "", curve)
    value, best_score = _top(scores, grid, score, lever.present)
    stop = _why(grid, score, value, best_score)
    nothing = float("nan")
    return LeverAnswer(lever, False, nothing, nothing, False, value, best_score, stop, curve)


def _edge(
    scores: Scores, grid: Array, score: Array, met: NDArray[np.bool_], present: float, target: float
) -> tuple[float, float, float]:
    """Nearest value to the present that meets the target, its score, and the score just short of it."""
    nearest = int(np.flatnonzero(met)[np.abs(grid[met] - present).argmin()])
    toward = nearest + (1 if grid[nearest] < present else -1)
    if grid[nearest] == present or not 0 <= toward < grid.size or met[toward]:
        return float(grid[nearest]), float(score[nearest]), float(score[nearest])
    good, bad = grid[nearest], grid[toward]
    good_score, bad_score = score[nearest], score[toward]
    for _ in range(9):
        trial = np.linspace(good, bad, 18)[1:-1]
        found = scores(trial)
        holds = np.concatenate([[True], found >= target, [False]])
        first = int(np.flatnonzero(~holds)[0])
        everything = np.concatenate([[good], trial, [bad]])
        every_score = np.concatenate([[good_score], found, [bad_score]])
        good, bad = everything[first - 1], everything[first]
        good_score, bad_score = every_score[first - 1], every_score[first]
        if abs(good_score - target) < CLOSE:
            break
    return float(good), float(good_score), float(bad_score)


def _top(scores: Scores, grid: Array, score: Array, present: float) -> tuple[float, float]:
    """The best value and its score, refined between the points of the grid; of equals the nearest to the present."""
    if not np.isfinite(score).any():
        return float("nan"), float("nan")

    def best_of(values: Array, found: Array) -> int:
        equal = found >= np.nanmax(found) - SAME
        return int(np.flatnonzero(equal)[np.abs(values[equal] - present).argmin()])

    for _ in range(3):
        best = best_of(grid, score)
        low, high = grid[max(best - 1, 0)], grid[min(best + 1, grid.size - 1)]
        keep, keep_score = grid[best], score[best]
        grid = np.unique(np.append(np.linspace(low, high, 17), keep))
        score = np.where(grid == keep, keep_score, scores(grid))
    best = best_of(grid, score)
    return float(grid[best]), float(score[best])


def _why(grid: Array, score: Array, value: float, best: float) -> str:
    """What ends the rise of the score."""
    if not np.isfinite(best):
        return "none"
    span = grid[-1] - grid[0]
    at_limit = min(abs(value - grid[0]), abs(value - grid[-1])) < 1e-6 * span
    if at_limit and best - np.nanmin(score) > 10.0 * CLOSE:
        inward = score[1] if abs(value - grid[0]) < 1e-6 * span else score[-2]
        return "flat" if abs(best - inward) < CLOSE else "limit"
    level = np.abs(score - best) < 10.0 * CLOSE
    return "flat" if level[0] or level[-1] else "turns"


def rounded(trials: Trials, values: Array, target: float) -> Array:
    """Values rounded to what a workshop reads, away from the present, kept where rounding would miss the target.

    Args:
        trials: the levers and the climbs they are tried with.
        values: of every lever, (levers,) [SI].
        target: score to reach.
    """
    low, high = trials.limits
    result = values.copy()
    for index, lever in enumerate(trials.levers):
        shown = values[index] / lever.unit_size
        if values[index] == lever.present or shown == 0.0:
            continue
        step = 10.0 ** (np.floor(np.log10(abs(shown))) - DIGITS + 1)
        away = np.ceil if values[index] > lever.present else np.floor
        result[index] = np.clip(away(np.round(shown / step, 6)) * step * lever.unit_size, low[index], high[index])
    score = trials.scores(result[None])[0]
    return result if score >= target else values
