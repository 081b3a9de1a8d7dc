"""Where climbs end: the one record of it, in the vehicle's own left and right."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import CANNOT_STAND, SCORED, Climb, Outcome
from articulate.model.balance import RampSystem
from articulate.model.measures import Measures, beyond_limits, measures, tipping
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles
from articulate.types import Case, lateral_sign, own_wheel, wheel_order

Array = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Indices = NDArray[np.intp]

NOT_BUILT = 0  # in place of an outcome: inputs that make no vehicle
LIMITS = ("bump stop", "full droop", "coil off its seat")


@dataclass(frozen=True, eq=False, repr=False)
class Ends(Brief):
    """Where the climbs of one case end, one a lane; wheels, roll and lateral places are the vehicle's own.

    Numbers are NaN where the outcome gives none. `at` is the last state of every climb, which says nothing where the
    vehicle does not stand (`stands`).
    """

    outcome: Indices  # (lanes,), of `Outcome` or NOT_BUILT
    climb: Array  # (lanes,) [m]
    score: Array  # (lanes,), where it ends, wheelspin included
    wheel: Indices  # (lanes,), that lifts, -1 if none
    wheel_load: Array  # (lanes, 4) [N], normal to the ground
    rest_load: Array  # (lanes, 4) [N], at rest on flat ground
    at: Measures  # lanes are the climbs
    beyond: Array  # (lanes, 3, 4), how far each wheel is beyond each of LIMITS, [m], [m], [N]
    jumps: Indices  # (lanes,), turning points on the way
    holding_share: Array  # (lanes,), as given or by the drive
    spinning: BoolArray  # (lanes, 4), wheels that spin
    friction_needed: Array  # (lanes,), the most on the way to the lift; NaN where no drive is known
    outcome_without_spin: Indices  # (lanes,), with grip enough
    score_without_spin: Array  # (lanes,)
    wheel_without_spin: Indices  # (lanes,)

    @property
    def stands(self) -> BoolArray:
        """Where the last state is one, (lanes,)."""
        return ~np.isin(self.outcome, (*CANNOT_STAND, NOT_BUILT))

    @property
    def ended(self) -> BoolArray:
        """Where it ends at a wheel, or with the ramp, (lanes,)."""
        return np.isin(self.outcome, (*SCORED, Outcome.RAMP_ENDS))

    @property
    def ranking(self) -> Array:
        """Scores, infinite where the ramp ends first, NaN where the climb failed, (lanes,)."""
        return np.where(self.outcome == Outcome.RAMP_ENDS, np.inf, self.score)

    @property
    def ranking_without_spin(self) -> Array:
        """Likewise with grip enough, (lanes,)."""
        return np.where(self.outcome_without_spin == Outcome.RAMP_ENDS, np.inf, self.score_without_spin)

    @property
    def ranked(self) -> BoolArray:
        """Where there is a score or a climb that outlasted the ramp, (lanes,); the others failed."""
        return np.asarray(~np.isnan(self.ranking))

    @property
    def roll(self) -> Array:
        """Of the body where the climb ended, (lanes,) [rad], left side up positive."""
        return np.where(self.ended, self.at.roll, np.nan)

    @property
    def limited(self) -> BoolArray:
        """Which of LIMITS is met at which wheel where the climb ended, (lanes, 3, 4)."""
        return np.asarray((self.beyond > 0.0) & self.ended[:, None, None])

    def standing(self) -> tuple[Array, Array]:
        """Tipping margin [m] and angle [rad] where the wheel that is down to the touch load still stands, (lanes,)."""
        load = self.at.wheel_load.copy()
        up = np.flatnonzero(self.wheel >= 0)
        load[up, self.wheel[up]] = 1.0
        return tipping(self.at.contact, load, self.at.mass_centre)

    def rocking(self) -> Array:
        """Margin until it rocks back from three wheels onto the lifted one, (lanes,) [m]; NaN where none is up."""
        load = self.at.wheel_load.copy()
        up = self.wheel >= 0
        load[np.flatnonzero(up), self.wheel[up]] = 0.0
        return np.where(up, tipping(self.at.contact, load, self.at.mass_centre)[0], np.nan)


def in_case(vehicles: Vehicles, case: Case) -> Vehicles:
    """Vehicles as they climb in a case: mirrored for the right, so that their left is the vehicle's right."""
    seen = vehicles.climbing(case.side)
    return seen.released() if case.bars == "released" else seen


def own_measures(found: Measures, side: str) -> Measures:
    """Measures of a computed climb on a side, in the vehicle's own left and right."""
    swap, across = wheel_order(side), np.array([1.0, lateral_sign(side), 1.0])
    return replace(
        found,
        hub=found.hub[:, swap] * across,
        contact=found.contact[:, swap] * across,
        wheel_load=found.wheel_load[:, swap],
        vertical_load=found.vertical_load[:, swap],
        hub_travel=found.hub_travel[:, swap],
        bump_displacement=found.bump_displacement[:, swap],
        droop_displacement=found.droop_displacement[:, swap],
        spring_tension=found.spring_tension[:, swap],
        roll=lateral_sign(side) * found.roll,
        twist=lateral_sign(side) * found.twist,
        mass_centre=found.mass_centre * across,
    )


def ends_of(vehicles: Vehicles, test: RampTest, case: Case, climbed: Climb) -> Ends:
    """Where climbs of a case end.

    Args:
        vehicles: (lanes), as they stand, not mirrored.
        test: of the same lanes.
        case: side and bars.
        climbed: by `climb_to_unload` of the vehicles `in_case`.
    """
    seen = in_case(vehicles, case)
    found = measures(RampSystem.of(seen, climbed.as_held(test)), climbed.state, np.nan_to_num(climbed.climb))
    swap = wheel_order(case.side)
    return Ends(
        outcome=climbed.outcome,
        climb=climbed.climb,
        score=climbed.score,
        wheel=own_wheel(climbed.wheel, case.side),
        wheel_load=climbed.wheel_load[:, swap],
        rest_load=np.maximum(climbed.start.margins[:, swap], 0.0),
        at=own_measures(found, case.side),
        beyond=beyond_limits(found, seen)[:, :, swap],
        jumps=climbed.jumps,
        holding_share=climbed.holding_share,
        spinning=climbed.spinning[:, swap],
        friction_needed=climbed.friction_needed,
        outcome_without_spin=climbed.outcome_without_spin,
        score_without_spin=climbed.score_without_spin,
        wheel_without_spin=own_wheel(climbed.wheel_without_spin, case.side),
    )
