"""The equations of the ramp seen by who drives on or back, and watches the loads of chosen wheels."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from articulate.compiled.layout import WATCHED
from articulate.compiled.library import Strides
from articulate.model.balance import Balance, RampSystem, SomeLanes

Array = NDArray[np.float64]


def of_wheels(values: Array, wheels: NDArray[np.intp]) -> Array:
    """Each lane's values (lanes, 4) of its own wheels (lanes, k)."""
    out = np.empty(wheels.shape, order="F")
    for place in range(wheels.shape[1]):
        out[:, place] = values[:, 0]
        for wheel in range(1, 4):
            out[:, place] = np.where(wheels[:, place] == wheel, values[:, wheel], out[:, place])
    return out


class WatchedLoads:
    """A system driven on (direction 1) or back (-1) in climb, that watches the loads of chosen wheels.

    Its parameter is p = direction x s, its margins are direction x load of each lane's own wheels (lanes, k), k <= 3.
    With `held`, the friction elements are not drawn along.
    """

    def __init__(
        self, system: RampSystem | SomeLanes, direction: float, wheels: NDArray[np.intp], held: bool = False
    ) -> None:
        self.system, self.direction, self.wheels, self.held = system, direction, wheels, held

    def evaluate(self, state: Array, parameter: Array) -> Balance:
        """As `RampSystem.evaluate`, by the parameter p."""
        at = self.system.evaluate(state, self.direction * parameter)
        at.equations[:, :, -1] *= self.direction
        return replace(at, margins=self.direction * of_wheels(at.margins, self.wheels))

    def margin_rate(self, at: Balance, direction: Array, climb_rate: Array | float) -> Array:
        """Rates of the chosen loads (lanes, k) [N], where the unknowns go by (lanes, 8), the parameter by a rate."""
        rates = self.system.margin_rate(at, direction, self.direction * climb_rate)
        return np.asarray(self.direction * of_wheels(rates, self.wheels))

    @property
    def compiled(self) -> bool:
        """As of the system; what it offers is `solve` and `strides`."""
        return self.system.compiled

    def moves(self, state: Array, parameter: Array) -> None:
        """None: see `compiled`."""

    def solve(self, guess: Array, parameter: Array, close: Array, iterations: int, goal: Any) -> tuple[Any, ...] | None:
        """As `RampSystem.solve`."""
        if goal is not None:
            goal = replace(goal, which=self._column(goal.which))
        found = self.system.solve(guess, parameter, close, iterations, goal, self._watch(self.wheels))
        return found if found is None else self._of_mine(found)

    def settle(self, start: Array, parameter: Array, iterations: int) -> Array | None:
        """As `RampSystem.settle`."""
        return self.system.settle(start, parameter, iterations, self._watch(self.wheels))

    def strides(
        self, lanes: NDArray[np.intp], now: Any, plan: Any, bounds: Any, watched: NDArray[np.intp], steps: Any
    ) -> Strides | None:
        """As `RampSystem.strides`."""
        if watched.size != self.wheels.shape[1] or not isinstance(self.system, RampSystem):
            return None
        columns = self._columns()
        wide = replace(now, margins=now.margins[:, columns], margin_rates=now.margin_rates[:, columns])
        plan = replace(plan, aim=self._column(plan.aim))
        watch = self._watch(self.wheels[lanes])
        found = self.system.strides(lanes, wide, plan, bounds, np.array(WATCHED), steps, watch, held=self.held)
        if found is None:
            return None
        step, aim, *rest = found.plan
        aim = np.where(aim < 0.0, -1.0, columns[np.maximum(aim, 0.0).astype(np.intp)])
        which = columns[np.maximum(found.which, 0.0).astype(np.intp)].astype(np.float64)
        return replace(found, now=self._of_mine(found.now), plan=(step, aim, *rest), which=which)

    def _columns(self) -> NDArray[np.intp]:
        """Which of the k margins stands in each of the four of the compiled form, where the last three are watched."""
        return np.clip(np.arange(4) - 1, 0, self.wheels.shape[1] - 1)

    def _column(self, which: NDArray[np.intp]) -> NDArray[np.intp]:
        """In which of the four a margin stands; none stays none."""
        return np.where(which < 0, -1, which + 1)

    def _watch(self, wheels: NDArray[np.intp]) -> tuple[float, NDArray[np.intp]]:
        return self.direction, wheels[:, self._columns()]

    def _of_mine(self, fields: tuple[Any, ...]) -> tuple[Any, ...]:
        """The fields of a solution with my k margins."""
        state, parameter, tangent, margins, rates, *rest = fields
        mine = slice(1, 1 + self.wheels.shape[1])
        return state, parameter, tangent, margins[:, mine], rates[:, mine], *rest

    def take(self, lanes: NDArray[np.intp]) -> WatchedLoads:
        """Some lanes (m,)."""
        return WatchedLoads(self.system.take(lanes), self.direction, self.wheels[lanes], self.held)

    def part(self, lanes: NDArray[np.intp]) -> WatchedLoads:
        """Some lanes (m,) for a while, see `solve.newton.System`."""
        return WatchedLoads(self.system.part(lanes), self.direction, self.wheels[lanes], self.held)

    def carry(self, lanes: NDArray[np.intp], state: Array) -> None:
        """As `RampSystem.carry`."""
        if not self.held:
            self.system.carry(lanes, state)

    def loss(self, start: Array, start_tangent: Array, end: Array, end_tangent: Array, step: Array) -> Array | None:
        """As `RampSystem.loss`; a rate by p and a step of p are both reversed."""
        return None if self.held else self.system.loss(start, start_tangent, end, end_tangent, step)

    def edge(self, start: Array, end: Array) -> Array | None:
        """As `RampSystem.edge`."""
        return None if self.held else self.system.edge(start, end)
