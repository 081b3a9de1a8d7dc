"""A whole test as a sequence of states: up the ramp, the bars released there or on the floor, to the second mark."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import Outcome
from articulate.model.balance import RampSystem
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles
from articulate.prediction import Prediction, Run
from articulate.studies.day.moments import Moments, at_climbs, settled
from articulate.types import WHEELS

Array = NDArray[np.float64]

ReleaseOn = Literal["floor", "ramp"]
RELEASE_ON: tuple[ReleaseOn, ...] = ("floor", "ramp")
RUN_UP = 0.2  # [m] of climb before the first touch, where the drive begins
RELEASING = "being released"
UNRELEASABLE = "no bar that can be released"


@dataclass(frozen=True, eq=False, repr=False)
class Stage(Brief):
    """A part of the climb."""

    caption: str
    moments: Moments
    ending: str  # caption while the last state is held, empty where it goes on at once
    mark: Run | None  # the run whose mark is reached at the end, None where none is


def _ending(run: Run) -> str:
    if run.outcome in (Outcome.WHEEL_LIFTS, Outcome.EQUILIBRIUM_JUMPS):
        return f"{WHEELS[run.wheel]} wheel is up: score {run.score:.0f}, bars {run.bars}"
    return f"{run.outcome.meaning}, bars {run.bars}"


def releasing(vehicle: Vehicles, moment: Moments, steps: int) -> Moments:
    """The bars' rates taken down to nothing in even steps while the vehicle stands where it is.

    Each state is an equilibrium of its own, reached from the one with the bars connected; the last is the vehicle
    released. A lane without one is marked as not converged.

    Args:
        vehicle: a batch of one, as given to `predict`.
        moment: one lane, bars connected.
        steps: number of states.
    """
    lanes = np.zeros(steps, dtype=np.intp)
    left = 1.0 - np.arange(1, steps + 1) / steps
    seen = vehicle.climbing(moment.side).take(lanes)
    rate = np.where(seen.bar_releasable, seen.bar_rate * left[:, None], seen.bar_rate)
    driven = replace(seen, bar_rate=rate)
    test, climb = moment.test.take(lanes), moment.climb[lanes]
    bars = (*(RELEASING for _ in range(steps - 1)), "released")
    return Moments(moment.side, bars, driven, test, climb, *settled(RampSystem.of(driven, test), moment, climb))


@dataclass(frozen=True)
class States:
    """How many states show each stage."""

    up: int = 50  # on the way to the first mark
    release: int = 10  # while the bars are released
    on: int = 24  # to the second mark where it begins on the ramp, and on the way back where it does not

    def times(self, finer: int) -> States:
        """So many times as many."""
        return States(self.up * finer, self.release * finer, self.on * finer)


USUAL_STATES = States()


def moving_climb(
    vehicle: Vehicles,
    test: RampTest,
    prediction: Prediction,
    states: States = USUAL_STATES,
    release_on: ReleaseOn = "floor",
) -> list[Stage]:
    """The stages of the climb, to be shown one after the other.

    Args:
        vehicle: a batch of one, as given to `predict`.
        test: a batch of one, as given to `predict`.
        prediction: what `predict` returned.
        states: how many of them show each stage.
        release_on: where the bars are released: "floor", unloaded, or "ramp", from the driver's seat.

    With suspension friction the state after the release differs a little from the released run's own at the same
    climb, for friction remembers the way; the drive on shows the run's own.

    Returns:
        One stage where no bar can be released or the first run has no end on the ramp to stop at; else three on the
        ramp, and four over the floor: up, back down, the bars released, up again.
    """
    side, connected, released = prediction.side, prediction.connected, prediction.released
    begin, end = float(connected.trace.climb[0]), float(connected.trace.climb[-1])
    first = at_climbs(vehicle, test, side, connected, np.linspace(begin - RUN_UP, end, states.up))
    state = "bars connected" if released is not None else UNRELEASABLE
    stages = [Stage(f"up the ramp, {state}", first, _ending(connected), connected)]
    stands = connected.outcome in (Outcome.WHEEL_LIFTS, Outcome.EQUILIBRIUM_JUMPS, Outcome.RAMP_ENDS)
    if released is None or not stands:
        return stages
    if release_on == "floor":
        return [*stages, *_over_the_floor(vehicle, test, released, first, side, states)]
    last = at_climbs(vehicle, test, side, connected, np.array([end]))
    after = releasing(vehicle, last, states.release)
    if not after.converged.all():
        known = int(np.flatnonzero(~after.converged)[0])
        if known:
            stages.append(
                Stage("bars released on the ramp", _take(after, slice(known)), "no stable state beyond", None)
            )
        return stages
    further = float(released.trace.climb[-1])
    if not math.isfinite(released.climb):
        return [*stages, Stage("bars released on the ramp", after, _ending(released), None)]
    climbs = np.linspace(end, further, states.on + 1)[1:]
    if further >= end:
        way, drive = "on to the second mark", at_climbs(vehicle, test, side, released, climbs)
    else:
        way, drive = "back to the second mark, which is lower", _backward(after, climbs)
    return [
        *stages,
        Stage("bars released on the ramp, wheels chocked, nobody near", after, "", None),
        Stage(f"{way}, bars released", drive, _ending(released), released),
    ]


def _over_the_floor(
    vehicle: Vehicles, test: RampTest, released: Run, first: Moments, side: str, states: States
) -> list[Stage]:
    """Back down the way it came, the bars released on the floor, and up again to the end of the released run."""
    back = slice(None, None, -max(states.up // states.on, 1))
    begin = float(released.trace.climb[0]) - RUN_UP
    again = at_climbs(vehicle, test, side, released, np.linspace(begin, float(released.trace.climb[-1]), states.up))
    stages = [
        Stage("back down to the floor, bars connected", _take(first, back), "", None),
        Stage("on the floor", _take(again, slice(1)), "bars released on the level floor, wheels chocked", None),
    ]
    return [*stages, Stage("up the ramp, bars released", again, _ending(released), released)]


def _backward(after: Moments, climbs: Array) -> Moments:
    """The released vehicle driven back down from where it settled, beyond the end of its own run."""
    last = _take(after, slice(-1, None))
    lanes = np.zeros(climbs.size, dtype=np.intp)
    driven, test = last.vehicles.take(lanes), last.test.take(lanes)
    bars = ("released",) * climbs.size
    return Moments(after.side, bars, driven, test, climbs, *settled(RampSystem.of(driven, test), last, climbs))


def _take(moments: Moments, some: slice) -> Moments:
    return Moments(
        moments.side,
        moments.bars[some],
        moments.vehicles.take(some),
        moments.test.take(some),
        moments.climb[some],
        moments.state[some],
        moments.converged[some],
        moments.anchor[some],
    )
