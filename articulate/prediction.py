"""The prediction for one vehicle: both bar states, what each wheel is doing, what limits the score."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import Climb, Outcome, climb_to_unload, creep_back, friction_turned_over
from articulate.ends import Ends, ends_of, in_case
from articulate.errors import ArgumentError
from articulate.lanes import join
from articulate.model.drive import friction_that_helps
from articulate.model.measures import Measures
from articulate.model.ramp_test import RampTest, ramp_test
from articulate.model.vehicles import Vehicles, stack
from articulate.trace import Event, Trace, Watched, traces
from articulate.types import BAR_STATES, SIDES, Case, own_wheel, ramp_wheel

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, repr=False)
class FrictionScores(Brief):
    """What else suspension friction lets a batch of climbs come to; climbed when it is asked for."""

    vehicles: Vehicles
    test: RampTest
    climbed: Climb

    @cached_property
    def scores(self) -> Array:
        """Scores creeping back, with friction shaken out and turned over, (3, lanes); NaN where they say nothing."""
        vehicles, test, scores = self.vehicles, self.test, np.full((3, self.vehicles.lanes), np.nan)
        if (vehicles.friction_force > 0.0).any():
            scores[0] = creep_back(vehicles, test, self.climbed).score
            scores[1] = climb_to_unload(vehicles.frictionless(), test).score
            scores[2] = friction_turned_over(vehicles, test, self.climbed).score
        return scores


@dataclass(frozen=True, eq=False, repr=False)
class Run(Brief):
    """One climb of one vehicle, in the vehicle's own left and right."""

    bars: str  # "connected" or "released"
    outcome: Outcome
    climb: float  # [m], NaN where the outcome gives none
    score: float  # climbing up to the lift
    friction: FrictionScores  # of both runs
    lane: int  # of this run in them
    mark_height: float  # [m], of the foot of the square on the ramp
    hub_height: float  # [m], of the climbing hub over the floor
    wheel: int  # index of the wheel that unloads, -1 if none
    wheel_load: Array  # (4,) [N], normal to the ground
    hub_travel: Array  # (4,) [m], bump positive
    travel_used: Array  # (4,), share of the bump or droop gap that is used, droop negative; NaN of no gap
    roll: float  # [rad], left side up positive
    pitch: float  # [rad], nose down positive
    twist: float  # [rad], frame twist
    # [m], the wheel that is down to the touch load still standing on the ground; NaN where it falls or tips
    tipping_margin: float
    tipping_angle: float  # [rad]
    rocking_margin: float  # [m], on the three that carry, until the vehicle rocks back onto the lifted wheel
    jumps: int
    holding_share: float  # of the ramp wheel, as given or by the drive where that is known
    spinning: tuple[int, ...]  # indices of the wheels that spin at the end
    friction_needed: float  # the most on the way to the lift; infinite where none is enough, NaN without a drive
    outcome_without_spin: Outcome  # what the climb would end in with grip enough
    score_without_spin: float
    wheel_without_spin: int
    events: tuple[Event, ...]
    trace: Trace

    @property
    def score_back(self) -> float:
        """Score creeping back down onto the lift; NaN without suspension friction, as the next two."""
        return float(self.friction.scores[0, self.lane])

    @property
    def score_shaken(self) -> float:
        """Score with all suspension friction shaken out."""
        return float(self.friction.scores[1, self.lane])

    @property
    def score_turned_over(self) -> float:
        """Score with all friction turned against the way up: the far end of what may be found."""
        return float(self.friction.scores[2, self.lane])


@dataclass(frozen=True, eq=False, repr=False)
class Prediction(Brief):
    """Both runs of one vehicle; `released` is None where no bar can be released."""

    side: str
    angle: float  # [rad]
    wheelbase: float  # [m]
    rest_load: Array  # (4,) [N], at rest on flat ground
    connected: Run
    released: Run | None

    @property
    def gain(self) -> float:
        """Score gained by releasing, NaN where there is no released run."""
        return self.released.score - self.connected.score if self.released else float("nan")


def seen_from(events: Sequence[Event], side: str) -> tuple[Event, ...]:
    """Events of a left climb, named for the side of the vehicle that climbed."""
    return tuple(replace(event, corner=own_wheel(event.corner, side)) for event in events)


def _run(
    bars: str, ends: Ends, path: Trace, side: str, used: Array, angle: float, friction: FrictionScores, lane: int
) -> Run:
    """A batch of one end, with its climb in detail.

    used: share of the gaps (4,). angle: of the ramp [rad]. lane: of the run in `friction`.
    """
    outcome, at = Outcome(int(ends.outcome[0])), ends.at
    stands = bool(ends.stands[0])
    # A vehicle about to fall has nothing in hand, whatever the geometry of its last stable state.
    in_hand = stands and outcome != Outcome.TIPS
    margin, tipping_angle = ends.standing()

    def known(value: float, where: bool = stands) -> float:
        return float(value) if where else float("nan")

    def known_wheels(values: Array) -> Array:
        return values if stands else np.full(4, np.nan)

    return Run(
        bars=bars,
        outcome=outcome,
        climb=float(ends.climb[0]),
        score=float(ends.score[0]),
        friction=friction,
        lane=lane,
        mark_height=float(ends.climb[0]) * float(np.sin(angle)),
        hub_height=known(at.hub[0, ramp_wheel(side), 2]),
        wheel=int(ends.wheel[0]),
        wheel_load=ends.wheel_load[0],
        hub_travel=known_wheels(at.hub_travel[0]),
        travel_used=known_wheels(used),
        roll=known(at.roll[0]),
        pitch=known(at.pitch[0]),
        twist=known(at.twist[0]),
        tipping_margin=known(margin[0], in_hand),
        tipping_angle=known(tipping_angle[0], in_hand),
        rocking_margin=known(ends.rocking()[0], in_hand),
        jumps=int(ends.jumps[0]),
        holding_share=float(ends.holding_share[0]),
        spinning=tuple(int(i) for i in np.flatnonzero(ends.spinning[0])),
        friction_needed=friction_that_helps(float(ends.friction_needed[0])),
        outcome_without_spin=Outcome(int(ends.outcome_without_spin[0])),
        score_without_spin=float(ends.score_without_spin[0]),
        wheel_without_spin=int(ends.wheel_without_spin[0]),
        events=seen_from(path.events, side) if stands else (),
        trace=path,
    )


def _travel_used(at: Measures, vehicle: Vehicles) -> Array:
    """Share of the bump or droop gap that is used at each wheel, droop negative, (4,); NaN of no gap."""
    bump, droop = (np.repeat(gap[0], 2) for gap in (vehicle.bump_gap, vehicle.droop_gap))
    with np.errstate(divide="ignore", invalid="ignore"):
        to_bump = np.where(bump > 0.0, at.bump_displacement[0] / bump, np.nan)
        to_droop = np.where(droop > 0.0, at.droop_displacement[0] / droop, np.nan)
    return np.where(at.hub_travel[0] >= 0.0, to_bump, -to_droop)


def predict(
    vehicle: Vehicles, test: RampTest | None = None, side: str = "left", watched: Watched | None = None
) -> Prediction:
    """Predict both runs of one vehicle.

    Args:
        vehicle: a batch of one.
        test: ramp and conditions, a batch of one; the usual 20 degree ramp if None.
        side: "left" or "right", of the wheel on the ramp.
        watched: what of its body the climbs watch; nothing if None.

    Raises:
        ArgumentError: no vehicle's arrays, a side other than left or right, or more than one lane.
    """
    if not isinstance(vehicle, Vehicles):
        raise ArgumentError(f"{vehicle!r}: not a vehicle's arrays; articulate.predict takes the path of a file")
    if side not in SIDES or vehicle.lanes != 1:
        raise ArgumentError(
            f"side must be left or right and the batch one vehicle; got {side!r}, {vehicle.lanes} lanes"
        )
    conditions = test if test is not None else ramp_test(1)
    cases = [Case(side, bars) for bars in BAR_STATES]
    both, tests = stack([in_case(vehicle, case) for case in cases]), join([conditions, conditions])
    climbed = climb_to_unload(both, tests)
    friction = FrictionScores(both, tests, climbed)
    body = watched.seen_from(side) if watched is not None else None
    paths = traces(both, tests, climbed, range(both.lanes), watched=body)
    runs, rest_loads = [], []
    for lane, (case, path) in enumerate(zip(cases, paths, strict=True)):
        ends = ends_of(vehicle, conditions, case, climbed.block(slice(lane, lane + 1)))
        rest_loads.append(ends.rest_load[0])
        used, angle = _travel_used(ends.at, vehicle), float(conditions.angle[0])
        runs.append(_run(case.bars, ends, path, side, used, angle, friction, lane))
    return Prediction(
        side=side,
        angle=float(conditions.angle[0]),
        wheelbase=float(vehicle.wheelbase[0]),
        rest_load=rest_loads[0],
        connected=runs[0],
        released=runs[1] if vehicle.releasable.any() else None,
    )
