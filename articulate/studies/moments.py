"""A vehicle at chosen moments of its climb, solved afresh, and the release of its bars on the ramp."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from articulate.model.balance import RampSystem
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles, stack
from articulate.prediction import Run
from articulate.solve.newton import settle_from, solve_at

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Moments:
    """States of one vehicle, one a lane, in the frame of the ramp's lane (mirrored for a run on the right)."""

    side: str  # of the ramp
    bars: tuple[str, ...]  # "connected" or "released", of each lane
    vehicles: Vehicles  # (lanes), as driven: bars released where they are
    test: RampTest  # (lanes)
    climb: Array  # (lanes,) [m]
    state: Array  # (lanes, 8)
    converged: NDArray[np.bool_]  # (lanes,)


def join(parts: list[Moments]) -> Moments:
    """Moments one after the other, in one batch."""
    return Moments(
        side=parts[0].side,
        bars=tuple(bars for part in parts for bars in part.bars),
        vehicles=stack([part.vehicles for part in parts]),
        test=RampTest(*(np.concatenate([getattr(part.test, f.name) for part in parts]) for f in fields(RampTest))),
        climb=np.concatenate([part.climb for part in parts]),
        state=np.concatenate([part.state for part in parts]),
        converged=np.concatenate([part.converged for part in parts]),
    )


def _as_driven(vehicle: Vehicles, side: str, bars: str, lanes: int) -> Vehicles:
    seen = vehicle.mirrored() if side == "right" else vehicle
    seen = seen.released() if bars == "released" else seen
    return seen.take(np.zeros(lanes, dtype=np.intp))


def at_climbs(vehicle: Vehicles, test: RampTest, side: str, run: Run, climbs: Array) -> Moments:
    """The vehicle of a run at climbs of our choosing, in one batch.

    Args:
        vehicle: a batch of one, as given to `predict`.
        test: a batch of one, as given to `predict`.
        side: of the ramp, "left" or "right".
        run: one of the runs that `predict` returned for them.
        climbs: (lanes,) [m]; before the first touch the vehicle stands on the flat as it does there.

    Returns:
        The moments; a lane that did not converge is marked.

    Raises:
        ValueError: for a climb beyond the end of the run.
    """
    traced = run.trace
    if (climbs > traced.climb[-1] + 1e-9).any():
        raise ValueError(
            f"the run with bars {run.bars} ends at {traced.climb[-1]:.4f} m of climb; {float(climbs.max()):.4f} m asked"
        )
    lanes = climbs.size
    driven = _as_driven(vehicle, side, run.bars, lanes)
    tests = test.take(np.zeros(lanes, dtype=np.intp))
    spacing = max(float(traced.climb[1] - traced.climb[0]), 1e-9)
    place = np.clip((climbs - traced.climb[0]) / spacing, 0.0, traced.climb.size - 1.0)
    before = np.minimum(place.astype(np.intp), traced.climb.size - 2)
    share = (place - before)[:, None]
    guess = (1.0 - share) * traced.state[before] + share * traced.state[before + 1]
    for event in run.events:  # across a jump there is nothing in between
        if event.kind in ("jump", "settles"):
            spans = (traced.climb[before] < event.climb) & (event.climb <= traced.climb[before + 1])
            side_of = np.where(climbs < event.climb, before, before + 1)
            guess = np.where(spans[:, None], traced.state[side_of], guess)
    found = solve_at(RampSystem(driven, tests), guess, climbs)
    known = share[:, 0] == 1.0  # the very end, where a turning point may have stopped the run
    state = np.where((known & ~found.converged)[:, None], traced.state[before + 1], found.state)
    return Moments(side, (run.bars,) * lanes, driven, tests, np.array(climbs), state, found.converged | known)


def release(vehicle: Vehicles, moment: Moments) -> Moments:
    """What the vehicle settles into when every releasable bar is released where it stands, at the same climb.

    Args:
        vehicle: a batch of one, as given to `predict`.
        moment: one lane, bars connected.
    """
    driven = _as_driven(vehicle, moment.side, "released", 1)
    found = settle_from(RampSystem(driven, moment.test), moment.state, moment.climb)
    return replace(moment, bars=("released",), vehicles=driven, state=found.state, converged=found.converged)


def along_the_run(vehicle: Vehicles, test: RampTest, side: str, run: Run) -> Moments:
    """The states of a run's trace as they were found on the way, with the suspension friction of the way up.

    Args:
        vehicle: a batch of one, as given to `predict`.
        test: a batch of one, as given to `predict`.
        side: of the ramp.
        run: one of the runs that `predict` returned for them.
    """
    lanes = run.trace.climb.size
    return Moments(
        side=side,
        bars=(run.bars,) * lanes,
        vehicles=_as_driven(vehicle, side, run.bars, lanes),
        test=test.take(np.zeros(lanes, dtype=np.intp)),
        climb=run.trace.climb,
        state=run.trace.state,
        converged=np.ones(lanes, dtype=bool),
    )
