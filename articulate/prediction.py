"""The prediction for one vehicle: both bar states, what each wheel is doing, what limits the score."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from articulate.climb import CANNOT_STAND, Climb, Outcome, climb_to_unload, creep_back, friction_turned_over
from articulate.errors import ArgumentError
from articulate.model.measures import Measures, tipping
from articulate.model.ramp_test import RampTest, ramp_test
from articulate.model.vehicles import Vehicles, stack
from articulate.trace import RAMP_WIDTH, BodyPoint, Event, Trace, trace
from articulate.types import BAR_STATES, SIDES, lateral_sign, own_wheel, wheel_order

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Run:
    """One climb of one vehicle, in the vehicle's own left and right."""

    bars: str  # "connected" or "released"
    outcome: Outcome
    climb: float  # [m], NaN where the outcome gives none
    score: float  # climbing up to the lift
    score_back: float  # creeping back down onto it; NaN without suspension friction, as the next two
    score_shaken: float  # with all friction shaken out
    score_turned_over: float  # with all friction turned against the way up: the far end of what may be found
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
    friction_needed: float  # the most that the way to the lift needs; NaN where no drive is known
    outcome_without_spin: Outcome  # what the climb would end in with grip enough
    score_without_spin: float
    wheel_without_spin: int
    events: tuple[Event, ...]
    trace: Trace


@dataclass(frozen=True, eq=False)
class Prediction:
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
    bars: str,
    vehicles: Vehicles,
    test: RampTest,
    climbed: Climb,
    friction_scores: Array,
    lane: int,
    side: str,
    arch_gap: Array | None,
    bodywork: Sequence[BodyPoint],
    ramp_width: float,
) -> Run:
    swap, sign = wheel_order(side), lateral_sign(side)
    points = [BodyPoint(p.name, p.behind_front_axle, sign * p.left_of_centre, p.height) for p in bodywork]
    path = trace(vehicles, test, climbed, lane, arch_gap=arch_gap, bodywork=points, ramp_width=ramp_width)
    last = path.measures
    bump, droop = (np.repeat(gap[lane], 2) for gap in (vehicles.bump_gap, vehicles.droop_gap))
    bump, droop = (np.where(gap > 0.0, gap, np.nan) for gap in (bump, droop))
    used = np.where(last.hub_travel[-1] >= 0.0, last.bump_displacement[-1] / bump, -last.droop_displacement[-1] / droop)
    wheel = int(climbed.wheel[lane])
    climb = float(climbed.climb[lane])
    outcome = Outcome(int(climbed.outcome[lane]))
    none = float("nan")
    stands = outcome not in CANNOT_STAND
    # A vehicle about to fall has nothing in hand, whatever the geometry of its last stable state.
    margin, angle, rocking = _in_hand(last, wheel) if stands and outcome != Outcome.TIPS else (none, none, none)
    return Run(
        bars=bars,
        outcome=outcome,
        climb=climb,
        score=float(climbed.score[lane]),
        score_back=float(friction_scores[0, lane]),
        score_shaken=float(friction_scores[1, lane]),
        score_turned_over=float(friction_scores[2, lane]),
        mark_height=climb * float(np.sin(test.angle[lane])),
        hub_height=float(last.hub[-1, 0, 2]) if stands else none,
        wheel=own_wheel(wheel, side),
        wheel_load=climbed.wheel_load[lane][swap],
        hub_travel=last.hub_travel[-1][swap] if stands else np.full(4, none),
        travel_used=used[swap] if stands else np.full(4, none),
        roll=sign * float(last.roll[-1]) if stands else none,
        pitch=float(last.pitch[-1]) if stands else none,
        twist=sign * float(last.twist[-1]) if stands else none,
        tipping_margin=margin,
        tipping_angle=angle,
        rocking_margin=rocking,
        jumps=int(climbed.jumps[lane]),
        holding_share=float(climbed.holding_share[lane]),
        spinning=tuple(int(i) for i in np.flatnonzero(climbed.spinning[lane][swap])),
        friction_needed=float(climbed.friction_needed[lane]),
        outcome_without_spin=Outcome(int(climbed.outcome_without_spin[lane])),
        score_without_spin=float(climbed.score_without_spin[lane]),
        wheel_without_spin=own_wheel(int(climbed.wheel_without_spin[lane]), side),
        events=seen_from(path.events, side) if stands else (),
        trace=path,
    )


def _in_hand(last: Measures, wheel: int) -> tuple[float, float, float]:
    """Tipping margin and angle at the last state, and the margin on three wheels alone; NaN where all four carry."""
    if wheel < 0:
        return float(last.tipping_margin[-1]), float(last.tipping_angle[-1]), float("nan")
    contact, load, centre = last.contact[-1:], last.wheel_load[-1:].copy(), last.mass_centre[-1:]
    load[0, wheel] = 1.0
    margin, angle = tipping(contact, load, centre)
    load[0, wheel] = 0.0
    rocking, _ = tipping(contact, load, centre)
    return float(margin[0]), float(angle[0]), float(rocking[0])


def _friction_scores(vehicles: Vehicles, test: RampTest, climbed: Climb) -> Array:
    """Scores creeping back, with friction shaken out and turned over, (3, lanes); NaN where they say nothing."""
    scores = np.full((3, vehicles.lanes), np.nan)
    if (vehicles.friction_force > 0.0).any():
        scores[0] = creep_back(vehicles, test, climbed).score
        scores[1] = climb_to_unload(vehicles.frictionless(), test).score
        scores[2] = friction_turned_over(vehicles, test, climbed).score
    return scores


def predict(
    vehicle: Vehicles,
    test: RampTest | None = None,
    side: str = "left",
    arch_gap: Array | None = None,
    bodywork: Sequence[BodyPoint] = (),
    ramp_width: float = RAMP_WIDTH,
) -> Prediction:
    """Predict both runs of one vehicle.

    Args:
        vehicle: a batch of one.
        test: ramp and conditions, a batch of one; the usual 20 degree ramp if None.
        side: "left" or "right", of the wheel on the ramp.
        arch_gap: (1, 2) [m], hub travel until the tyre meets its arch.
        bodywork: points of the body to watch.
        ramp_width: of the lane the wheel climbs on [m].

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
    seen = vehicle.climbing(side)
    both = stack([seen, seen.released()])
    tests = RampTest(*(np.repeat(getattr(conditions, field.name), 2) for field in fields(conditions)))
    climbed = climb_to_unload(both, tests)
    friction_scores = _friction_scores(both, tests, climbed)
    gaps = None if arch_gap is None else np.repeat(arch_gap, 2, axis=0)
    runs = [
        _run(bars, both, tests, climbed, friction_scores, lane, side, gaps, bodywork, ramp_width)
        for lane, bars in enumerate(BAR_STATES)
    ]
    return Prediction(
        side=side,
        angle=float(conditions.angle[0]),
        wheelbase=float(vehicle.wheelbase[0]),
        rest_load=np.maximum(climbed.start.margins[0, wheel_order(side)], 0.0),
        connected=runs[0],
        released=runs[1] if vehicle.releasable.any() else None,
    )
