"""What one step of each input is worth in score: one more inch of travel, ten percent of a rate, and the like.

Every step is climbed in full, upwards and downwards by itself and in quarters, so that a stop that is met (or is no
longer met) on the way shows as two different values and as the part of the step that still counts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import Outcome, climb_to_unload
from articulate.constants import INCH
from articulate.model.ramp_test import RampTest, ramp_test
from articulate.model.vehicles import Vehicles
from articulate.studies.explain.vehicle_parts import COUPLES, StudiedVehicle, impossible, put_together, take_apart
from articulate.types import AXLES, BAR_STATES, own_wheel

Array = NDArray[np.float64]

QUARTERS = (-1.0, -0.75, -0.5, -0.25, 0.25, 0.5, 0.75, 1.0)
NOTHING = 0.05  # points: below, a step is worth nothing


@dataclass(frozen=True)
class Step:
    """A step of one input: what is changed, by how much.

    `quantity` is one of `vehicle_parts`, or "holding_share", "friction" or "ramp_angle" of the test; `column` its axle,
    None for both or neither. `size` is absolute in SI, or a factor above one (1.1 for ten percent) where `relative`.
    """

    name: str
    quantity: str
    column: int | None
    size: float
    relative: bool
    words: str  # of the step, such as "25 mm"


@dataclass(frozen=True)
class Worth:
    """What a step of one input is worth, in points, for one state of the bars.

    `curve` has the score's change at the quarters of the step from -1 to +1 (`QUARTERS`), NaN where there is no score.
    """

    step: Step
    present: float  # [SI], front and rear mean where both change
    curve: tuple[float, ...]
    wheel_up: int  # that lifts after a step up, -1 for none
    wheel_down: int
    outcome_up: Outcome | None  # None: the vehicle cannot be stepped so far
    outcome_down: Outcome | None
    couple: bool = False  # present is that of a solid axle, see `vehicle_parts.COUPLES`

    @property
    def up(self) -> float:
        """Points for a step up."""
        return self.curve[-1]

    @property
    def down(self) -> float:
        """Points for a step down."""
        return self.curve[0]

    @property
    def kinked(self) -> bool:
        """Whether up and down are not the two sides of one straight line, by more than a quarter of the larger."""
        larger = max(abs(self.up), abs(self.down))
        return bool(larger > 4.0 * NOTHING and abs(self.up + self.down) > 0.25 * larger)

    @property
    def nothing(self) -> bool:
        """Whether the input costs and gives nothing either way."""
        return bool(np.isfinite(self.up)) and all(abs(v) < NOTHING for v in self.curve if np.isfinite(v))


@dataclass(frozen=True, repr=False)
class WorthTable(Brief):
    """All steps of one vehicle in one state of the bars."""

    bars: str
    outcome: Outcome
    score: float
    wheel: int
    rows: tuple[Worth, ...]  # in the order of what they are worth
    unscored: int  # steps that ended without a score


@dataclass(frozen=True, repr=False)
class VehicleWorth(Brief):
    """What one step of each input is worth; `released` is None where no bar can be released."""

    name: str
    side: str
    angle: float  # [rad]
    connected: WorthTable
    released: WorthTable | None


@dataclass(frozen=True)
class LengthStep:
    """The step of all lengths, as people with a tape would take it."""

    size: float  # [m]
    words: str


ONE_INCH, A_METRIC_INCH = LengthStep(INCH, "1 in"), LengthStep(0.025, "25 mm")


def usual_steps(subject: StudiedVehicle, length: LengthStep = ONE_INCH) -> tuple[Step, ...]:
    """The steps a person would ask about, as far as the vehicle has the thing.

    Mass goes on where the sprung mass has its centre. Wheelbase keeps the shares of the axles, a tyre carries the body
    up with it and keeps its stiffness, ride height takes both gaps and the body along.

    Args:
        subject: the vehicle.
        length: the step of all lengths.
    """
    vehicle = subject.vehicle
    solid, bars = vehicle.solid[0], vehicle.bar_rate[0]
    steps = [
        Step("wheelbase", "wheelbase", None, length.size, False, length.words),
        Step("mass", "sprung_mass", None, 50.0, False, "50 kg"),
        Step("weight on the rear axle", "sprung_rear_share", None, 0.01, False, "1 % sprung"),
        Step("centre of gravity height", "sprung_height", None, length.size, False, length.words),
        Step("ride height", "ride_height_change", None, length.size, False, length.words),
        Step("tyre diameter", "tyre_radius", None, 0.5 * length.size, False, length.words),
        Step("tyre stiffness (pressure)", "tyre_stiffness", None, 1.1, True, "10 %"),
        Step("holding share", "holding_share", None, 0.25, False, "0.25"),
        Step("ramp angle", "ramp_angle", None, float(np.radians(1.0)), False, "1 deg"),
    ]
    if vehicle.frame_compliance[0] > 0.0:
        steps.append(Step("frame stiffness", "frame_compliance", None, 1.1, True, "10 %"))
    if vehicle.cross_link_rate[0] > 0.0:
        steps.append(Step("cross-linked bars", "cross_link_rate", None, 1.1, True, "10 %"))
    if vehicle.drive_known[0]:
        steps.append(Step("friction of the ground", "friction", None, 0.1, False, "0.1"))
    if (vehicle.friction_force > 0.0).any():
        steps.append(Step("suspension friction", "friction_force", None, 1.1, True, "10 %"))
    for column, axle in enumerate(AXLES):
        steps += [
            Step(f"{axle} bump travel", "bump_gap", column, length.size, False, length.words),
            Step(f"{axle} droop travel", "droop_gap", column, length.size, False, length.words),
            Step(f"{axle} springs", "spring_rate", column, 1.1, True, "10 %"),
            Step(f"{axle} track", "track", column, length.size, False, length.words),
            Step(f"{axle} wheel and axle mass", "unsprung_mass", column, 1.1, True, "10 %"),
            Step(f"{axle} bump stop stiffness", "bump_rate", column, 1.1, True, "10 %"),
        ]
        if bars[column] > 0.0:
            steps.append(Step(f"{axle} anti-roll bar", "bar", column, 1.1, True, "10 %"))
        if vehicle.auxiliary_rate[0, column] > 0.0:
            steps.append(Step(f"{axle} auxiliary stiffness", "auxiliary", column, 1.1, True, "10 %"))
        if solid[column]:
            steps += [
                Step(f"{axle} spring spacing", "spring_half_base", column, 0.5 * length.size, False, length.words),
                Step(f"{axle} bump stop spacing", "bump_half_base", column, 0.5 * length.size, False, length.words),
                Step(f"{axle} roll centre height", "pivot_height", column, length.size, False, length.words),
            ]
        else:
            steps += [
                Step(f"{axle} swing arm", "swing_arm", column, 1.1, True, "10 %"),
                Step(f"{axle} pivot height", "pivot_height", column, length.size, False, length.words),
            ]
    return tuple(steps)


def what_steps_are_worth(
    subject: StudiedVehicle,
    test: RampTest | None = None,
    side: str = "left",
    length: LengthStep = ONE_INCH,
) -> VehicleWorth:
    """Climb every step of every input, both ways, in both states of the bars, in one batch.

    Args:
        subject: the vehicle.
        test: ramp and conditions, a batch of one; the usual ramp if None.
        side: "left" or "right", of the wheel on the ramp.
        length: the step of all lengths.

    Returns:
        The worth of each; where a step leads to no score its value is NaN and its outcome says why.
    """
    conditions = ramp_test(1) if test is None else test
    by_drive = bool(subject.vehicle.drive_known[0] and conditions.share_by_drive[0])  # then nobody chooses the share
    wanted = tuple(step for step in usual_steps(subject, length) if not (by_drive and step.quantity == "holding_share"))
    vehicles, tests = _stepped(subject, conditions, wanted)
    vehicles = vehicles.climbing(side)
    possible = ~impossible(vehicles)
    possible &= (tests.holding_share >= 0.0) & (tests.holding_share <= 1.0) & (tests.friction > 0.0)
    lanes = np.flatnonzero(possible)
    tables = []
    for bars in BAR_STATES if subject.vehicle.releasable.any() else BAR_STATES[:1]:
        state = vehicles.released() if bars == "released" else vehicles
        climbed = climb_to_unload(state.take(lanes), tests.take(lanes))
        score, wheel = np.full(vehicles.lanes, np.nan), np.full(vehicles.lanes, -1)
        outcome = np.zeros(vehicles.lanes, dtype=np.intp)
        score[lanes], wheel[lanes], outcome[lanes] = climbed.score, own_wheel(climbed.wheel, side), climbed.outcome
        bar_gone = np.zeros(2, dtype=bool) if bars == "connected" else subject.vehicle.bar_releasable[0]
        tables.append(_table(bars, subject, wanted, score, wheel, outcome, bar_gone, conditions))
    return VehicleWorth(
        subject.name, side, float(conditions.angle[0]), tables[0], tables[1] if len(tables) > 1 else None
    )


def _stepped(subject: StudiedVehicle, conditions: RampTest, steps: tuple[Step, ...]) -> tuple[Vehicles, RampTest]:
    """Lane 0 as it is, then the quarters of each step."""
    parts = take_apart(subject.vehicle, subject.ride_height_change)
    lanes = 1 + len(steps) * len(QUARTERS)
    many = {name: np.repeat(values, lanes, axis=0) for name, values in parts.items()}
    tests = conditions.take(np.zeros(lanes, dtype=np.intp))
    own = {"holding_share": tests.holding_share, "ramp_angle": tests.angle, "friction": tests.friction}
    quarters = np.array(QUARTERS)
    for index, step in enumerate(steps):
        rows = slice(1 + index * len(QUARTERS), 1 + (index + 1) * len(QUARTERS))
        if step.quantity in own:
            own[step.quantity][rows] += quarters * step.size
            continue
        values = many[step.quantity][rows]
        columns = slice(None) if step.column is None else slice(step.column, step.column + 1)
        if step.relative:
            factor = 1.0 + quarters * (step.size - 1.0)
            # A compliance falls as the stiffness rises.
            values[:, columns] *= (1.0 / factor if step.quantity == "frame_compliance" else factor)[:, None]
        else:
            values[:, columns] += (quarters * step.size)[:, None]
    return put_together(many, subject.vehicle), tests


def _table(
    bars: str,
    subject: StudiedVehicle,
    steps: tuple[Step, ...],
    score: Array,
    wheel: NDArray[np.intp],
    outcome: NDArray[np.intp],
    bar_gone: NDArray[np.bool_],
    conditions: RampTest,
) -> WorthTable:
    parts = take_apart(subject.vehicle, subject.ride_height_change)
    parts["holding_share"] = conditions.holding_share[:, None]
    parts["ramp_angle"] = conditions.angle[:, None]
    parts["friction"] = conditions.friction[:, None]
    rows = []
    for index, step in enumerate(steps):
        if step.quantity == "bar" and step.column is not None and bar_gone[step.column]:
            continue
        first = 1 + index * len(QUARTERS)
        last = first + len(QUARTERS) - 1
        values = parts[step.quantity][0]
        rows.append(
            Worth(
                step=step,
                present=float(values.mean() if step.column is None else values[step.column]),
                curve=tuple(float(value) for value in score[first : last + 1] - score[0]),
                wheel_up=int(wheel[last]),
                wheel_down=int(wheel[first]),
                outcome_up=Outcome(int(outcome[last])) if outcome[last] else None,
                outcome_down=Outcome(int(outcome[first])) if outcome[first] else None,
                couple=step.quantity in COUPLES and bool(subject.vehicle.solid[0, step.column]),
            )
        )

    def size(row: Worth) -> float:
        return max((abs(value) for value in (row.up, row.down) if np.isfinite(value)), default=np.inf)

    rows.sort(key=lambda row: -size(row))
    unscored = sum(not np.isfinite(value) for row in rows for value in (row.up, row.down))
    return WorthTable(bars, Outcome(int(outcome[0])), float(score[0]), int(wheel[0]), tuple(rows), unscored)
