"""A vehicle at chosen moments of its climb, solved afresh, and the release of its bars on the ramp."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.ends import in_case
from articulate.lanes import join as join_lanes
from articulate.model.balance import RampSystem
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles, stack
from articulate.prediction import Run
from articulate.solve.newton import settle_from, solve_at
from articulate.types import Case

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, repr=False)
class Moments(Brief):
    """States of one vehicle, one a lane, in the frame of the ramp's lane (mirrored for a run on the right)."""

    side: str  # of the ramp
    bars: tuple[str, ...]  # "connected" or "released", of each lane
    vehicles: Vehicles  # (lanes), as driven: bars released where they are
    test: RampTest  # (lanes)
    climb: Array  # (lanes,) [m]
    state: Array  # (lanes, 8)
    converged: NDArray[np.bool_]  # (lanes,)
    anchor: Array  # (lanes, 2, 2) [m], of the friction elements, drawn along to the state


def join(parts: list[Moments]) -> Moments:
    """Moments one after the other, in one batch."""
    return Moments(
        side=parts[0].side,
        bars=tuple(bars for part in parts for bars in part.bars),
        vehicles=stack([part.vehicles for part in parts]),
        test=join_lanes([part.test for part in parts]),
        climb=np.concatenate([part.climb for part in parts]),
        state=np.concatenate([part.state for part in parts]),
        converged=np.concatenate([part.converged for part in parts]),
        anchor=np.concatenate([part.anchor for part in parts]),
    )


def _as_driven(vehicle: Vehicles, side: str, bars: str, lanes: int) -> Vehicles:
    return in_case(vehicle, Case(side, bars)).take(np.zeros(lanes, dtype=np.intp))


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
    tests = test.take(np.zeros(lanes, dtype=np.intp)).held(np.full(lanes, run.holding_share))
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
    known = share[:, 0] == 1.0  # the very end, where a turning point may have stopped the run
    system = RampSystem.of(driven, tests)
    system.set_anchor(traced.anchor[before + known])
    found = solve_at(system, guess, climbs)
    state = np.where((known & ~found.converged)[:, None], traced.state[before + 1], found.state)
    system.carry(np.arange(lanes), state)
    converged = found.converged | known
    return Moments(side, (run.bars,) * lanes, driven, tests, np.array(climbs), state, converged, system.anchor)


def settled(system: RampSystem, moment: Moments, climb: Array) -> tuple[Array, NDArray[np.bool_], Array]:
    """States that a vehicle goes over to from one it stands in, when bars or climb are changed.

    Each lane starts from the first lane of the moment, with its suspension friction as it stands there.

    Args:
        system: as changed, (lanes).
        moment: one lane.
        climb: (lanes,) [m].

    Returns:
        States (lanes, 8), which of them are stable equilibria (lanes,), and the anchors of friction (lanes, 2, 2).
    """
    first = np.zeros(climb.size, dtype=np.intp)
    system.set_anchor(moment.anchor[first])
    found = settle_from(system, moment.state[first], climb)
    system.carry(np.arange(climb.size), found.state)
    return found.state, found.converged & found.stable, system.anchor


def release(vehicle: Vehicles, moment: Moments) -> Moments:
    """What the vehicle settles into when every releasable bar is released where it stands, at the same climb.

    Args:
        vehicle: a batch of one, as given to `predict`.
        moment: one lane, bars connected.
    """
    driven = _as_driven(vehicle, moment.side, "released", 1)
    state, stands, anchor = settled(RampSystem.of(driven, moment.test), moment, moment.climb)
    return replace(moment, bars=("released",), vehicles=driven, state=state, converged=stands, anchor=anchor)
