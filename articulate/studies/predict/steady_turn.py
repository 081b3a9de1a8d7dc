"""A steady turn: how far the body rolls as the lateral acceleration rises, suspension friction and stops included.

Each vehicle starts straight ahead, at rest and shaken, and the acceleration is raised from nothing in one go, so that
friction is carried along as in a test that is driven so. In a slowly tightened circle it may be shaken out on the way:
the vehicle then rolls as `Vehicles.frictionless` does. It needs no ramp and says whether bars, auxiliary roll
stiffness and friction of a file are plausible.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import settle
from articulate.constants import STANDARD_GRAVITY
from articulate.model.balance import BODY_ROLL
from articulate.model.ramp_test import ramp_test
from articulate.model.steady_turn import TurnSystem
from articulate.model.vehicles import Vehicles
from articulate.solve.newton import solve_at
from articulate.solve.path import End, Steps, follow

Array = NDArray[np.float64]

NO_LOAD = -1e12  # [N]: no wheel is ever down to it, since a turn does not end where an inner wheel lifts
STEPS = Steps(first=0.2, longest=0.5, tolerance=1e-7)  # of the acceleration [m/s^2]
EVEN = 13  # accelerations over the range of a gradient


@dataclass(frozen=True, eq=False, repr=False)
class SteadyTurns(Brief):
    """Turns of a batch of vehicles; NaN from where a lane has no stable state any more.

    Left turns, in which the left wheels are the inner ones: mirror the vehicle for right turns.
    """

    acceleration: Array  # (points,) [m/s^2]
    roll: Array  # (lanes, points) [rad], of the body against the road, what it leaned at rest taken off
    wheel_load: Array  # (lanes, points, 4) [N]
    end: NDArray[np.intp]  # (lanes,) of `End`: LIMIT where all was driven, LOST where the vehicle rolls over

    def gradient(self, low: float, high: float) -> Array:
        """Slope of the straight line of least squares through the points from `low` to `high` [m/s^2], [rad/g].

        (lanes,); NaN where one of the points is missing.

        Raises:
            ValueError: fewer than two points lie in the range.
        """
        inside = (self.acceleration >= low - 1e-9) & (self.acceleration <= high + 1e-9)
        if inside.sum() < 2:
            raise ValueError(f"a gradient needs two accelerations from {low:g} to {high:g} m/s2; turn at more of them")
        x = self.acceleration[inside] / STANDARD_GRAVITY
        x = x - x.mean()
        return np.asarray(self.roll[:, inside] @ x / (x @ x))


def steady_turns(vehicles: Vehicles, accelerations: Sequence[float]) -> SteadyTurns:
    """Turn left ever harder, and note the roll at given lateral accelerations.

    Args:
        vehicles: the batch, bars as they are.
        accelerations: above zero and rising [m/s^2].

    Returns:
        A `SteadyTurns`. Stops, coils that leave their seats, lifting wheels, frame twist, added load and friction are
        in it; what the model of the turn leaves out is said in `model.steady_turn`.

    Raises:
        ValueError: accelerations that do not rise from above zero.
    """
    points = np.asarray(accelerations, dtype=np.float64)
    if points.size == 0 or points[0] <= 0.0 or (np.diff(points) <= 0.0).any():
        raise ValueError("accelerations have to be above zero and rising, such as 1, 2, 3 m/s2")
    lanes = vehicles.lanes
    rest = settle(vehicles, ramp_test(lanes))
    system = TurnSystem.turning(vehicles)
    system.relax(rest.state)
    now = solve_at(system, rest.state, np.zeros(lanes))
    now.stable[:] &= rest.stable
    roll = np.full((lanes, points.size), np.nan)
    load = np.full((lanes, points.size, 4), np.nan)
    end = np.full(lanes, End.LIMIT, dtype=np.intp)
    rows = np.arange(lanes)
    for point, acceleration in enumerate(points):
        limit, none = np.full(rows.size, acceleration), np.full(rows.size, NO_LOAD)
        path = follow(system, now, limit, none, np.arange(4), STEPS)
        end[rows] = path.end
        on = np.flatnonzero(path.end == End.LIMIT)
        rows, system, now = rows[on], system.take(on), path.solution.take(on)
        roll[rows, point] = now.state[:, BODY_ROLL] - rest.state[rows, BODY_ROLL]
        load[rows, point] = np.maximum(now.margins, 0.0)
    return SteadyTurns(points, roll, load, end)


def even_accelerations(low: float, high: float, points: int = EVEN) -> tuple[float, ...]:
    """Accelerations from `low` to `high` at even distances, for a gradient over that range [m/s^2]."""
    return tuple(float(value) for value in np.linspace(low, high, points))
