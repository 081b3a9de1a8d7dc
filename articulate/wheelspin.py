"""Where on its way up a vehicle would spin its wheels: the first state that needs more friction than there is.

The states are those of the accepted nodes of a path. Between them the needed grip is looked at on the cubic through
the nodes' states and tangents; where that comes near the limit the state is solved for, and the place where the limit
is passed is closed in on.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.lanes import join, take_fast
from articulate.model.balance import RampSystem
from articulate.model.drive import Traction, WheelDrive, traction
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles
from articulate.solve.newton import Solution
from articulate.solve.path import PathNodes
from articulate.way_up import WayUp

Array = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Lanes = NDArray[np.intp]

SPACING = 0.04  # [m] of climb at which the way between nodes is looked at
NEAR = 0.4  # of the demand: with less grip than that in hand on the cubic, a state is solved for
CLIMB_TOLERANCE = 1e-5  # [m]: some 0.004 points of score
FORCE_TOLERANCE = 0.02  # [N], of the grip in hand: so near its zero the place is found
REFINEMENTS = 40
BLOCK = 4096  # states looked at together


@dataclass(frozen=True, eq=False, repr=False)
class Spin(Brief):
    """Where the lanes of a batch of climbs first need more friction than there is."""

    lanes: Lanes  # (k,), that do
    solution: Solution  # (k), there
    spinning: BoolArray  # (k, 4), the wheels that do
    anchor: Array  # (k, 2, 2) [m], of the friction elements there
    before: Lanes  # (k,), index of the lane's last node before it; the node itself where a jump led into it
    most_needed: Array  # (all lanes,), largest friction that a state on the whole way needs


def traction_at(system: RampSystem, vehicles: Vehicles, test: RampTest, state: Array, climb: Array) -> Traction:
    """Traction of states (lanes, 8) at climbs (lanes,) [m]."""
    return traction(vehicles, system.loads(state, climb), test.angle)


class _WayUp(WayUp):
    """The way up with the grip that it takes."""

    def __init__(self, vehicles: Vehicles, test: RampTest, nodes: PathNodes, asked: BoolArray) -> None:
        super().__init__(RampSystem.of(vehicles, test), nodes, asked)
        self.drive, self.test = WheelDrive.of(vehicles), test

    def traction(self, lane: Lanes, state: Array, climb: Array) -> Traction:
        """Traction of states of some lanes."""
        parts = []
        for start in range(0, lane.size, BLOCK):
            rows = slice(start, start + BLOCK)
            some = lane[rows]
            force = self.system.part(some).loads(state[rows], climb[rows])
            parts.append(traction(take_fast(self.drive, some), force, self.test.angle[some]))
        if len(parts) == 1:
            return parts[0]
        if not parts:
            return Traction(np.zeros(0), np.zeros(0), np.zeros(0), np.zeros((0, 4), dtype=bool))
        return join(parts)

    def in_hand(self, lane: Lanes, found: Traction) -> Array:
        """Grip there is less the demand [N]."""
        return np.asarray(self.test.friction[lane] * found.grip - found.demand)

    def joined(self) -> BoolArray:
        """Whether a stretch of the way leads from each node but the last to the next, (nodes - 1,)."""
        same = (self.lane[1:] == self.lane[:-1]) & ~self.after_jump[1:]
        return np.asarray(same & ((self.climb[1:] - self.climb[:-1]) > CLIMB_TOLERANCE))

    def near_the_limit(self, segment: Lanes) -> tuple[Lanes, Array]:
        """Places of some segments where, by the cubic, little grip is in hand: their segments and climbs [m]."""
        inside = np.ceil((self.climb[segment + 1] - self.climb[segment]) / SPACING).astype(np.intp) - 1
        owner = np.repeat(segment, inside)
        within = np.arange(owner.size) - np.repeat(np.cumsum(inside) - inside, inside)
        share = (within + 1.0) / (np.repeat(inside, inside) + 1.0)
        climb = self.climb[owner] + share * (self.climb[owner + 1] - self.climb[owner])
        glance = self.traction(self.lane[owner], self.between(owner, share), climb)
        near = np.flatnonzero(self.in_hand(self.lane[owner], glance) < NEAR * glance.demand)
        return owner[near], climb[near]


def first_spin(vehicles: Vehicles, test: RampTest, nodes: PathNodes, asked: BoolArray) -> Spin:
    """Where each lane first needs more friction than there is.

    Args:
        vehicles: the batch.
        test: its tests, with the holding share each lane climbed with.
        nodes: of the climbs (lanes counted as in the batch).
        asked: (lanes,), whose drive is known and whose nodes are sound; the others never spin here.
    """
    way = _WayUp(vehicles, test, nodes, asked)
    at_node = way.traction(way.lane, way.state, way.climb)
    hand = way.in_hand(way.lane, at_node)
    most = np.full(vehicles.lanes, np.nan)
    most[way.lane] = 0.0
    np.maximum.at(most, way.lane, at_node.friction)

    # Between the nodes, up to the first at which grip lacks.
    joined = way.joined()
    segment = np.flatnonzero(joined)
    reached = _first(way.lane, hand < 0.0, vehicles.lanes)
    owner, climb = way.near_the_limit(segment[segment < reached[way.lane[segment]]])
    found = way.traction(way.lane[owner], way.solved(owner, climb).state, climb)
    np.maximum.at(most, way.lane[owner], found.friction)

    place = _lacking(
        way, hand, (owner, climb, way.in_hand(way.lane[owner], found)), np.r_[False, joined], vehicles.lanes
    )
    climb = _closed_in(
        lambda some, s: way.in_hand(
            way.lane[place.before[some]],
            way.traction(way.lane[place.before[some]], way.solved(place.before[some], s).state, s),
        ),
        place,
    )
    solution = way.solved(place.before, climb)
    system = way.system.take(place.lanes)
    system.set_anchor(way.anchor(place.before))
    system.carry(np.arange(place.lanes.size), solution.state)
    spinning = way.traction(place.lanes, solution.state, climb).limiting
    return Spin(place.lanes, solution, spinning, system.anchor, way.order[place.before], most)


@dataclass(frozen=True, eq=False, repr=False)
class _Lacking(Brief):
    """Where grip is first found lacking, (k,) each, and the last place before it."""

    lanes: Lanes
    before: Lanes  # the node before the place; the node itself where a jump led into it
    low: Array  # [m] of climb, where there is grip in hand
    high: Array  # [m], where there is none
    at_low: Array  # [N], in hand
    at_high: Array
    sudden: BoolArray  # no stretch of the way leads there


def _lacking(way: _WayUp, hand: Array, between: tuple[Lanes, Array, Array], joined: BoolArray, lanes: int) -> _Lacking:
    """The first place of each lane without grip among the nodes and what was solved between them.

    Args:
        way: the nodes.
        hand: grip in hand at each (nodes,) [N].
        between: places that were solved: segment, climb [m] and grip in hand [N], (places,) each.
        joined: whether a stretch of the way leads to each node, (nodes,).
        lanes: of the batch.
    """
    owner, climb, in_hand = between
    place = np.r_[np.arange(way.lane.size, dtype=np.float64), owner + 0.5]
    at, lane = np.r_[way.climb, climb], np.r_[way.lane, way.lane[owner]]
    order = np.lexsort((at, np.floor(place), lane))  # that of the way
    at, lane, hand = at[order], lane[order], np.r_[hand, in_hand][order]
    lacking = _first(lane, hand < 0.0, lanes)
    found = np.flatnonzero(lacking < lane.size)
    row = lacking[found]
    is_node, node = order[row] < way.lane.size, np.floor(place[order[row]]).astype(np.intp)
    # A node that no segment leads to (a jump, or the very start) is itself the place.
    sudden = is_node & ((node == 0) | ~joined[node])
    ahead = np.maximum(row - 1, 0)
    return _Lacking(
        lanes=found,
        before=np.where(is_node & ~sudden, node - 1, node),
        low=np.where(sudden, at[row], at[ahead]),
        high=at[row],
        at_low=np.where(sudden, 1.0, hand[ahead]),
        at_high=hand[row],
        sudden=sudden,
    )


def _first(lane: Lanes, holds: BoolArray, lanes: int) -> Lanes:
    """Index of the first entry of each lane that holds, (lanes,); past all entries where none does."""
    rows = np.flatnonzero(holds)
    found = np.full(lanes, lane.size, dtype=np.intp)
    np.minimum.at(found, lane[rows], rows)
    return found


def _closed_in(value: Callable[[Lanes, Array], Array], bracket: _Lacking) -> Array:
    """Where a value falls through zero within brackets, by regula falsi with the weight of an end that stays halved.

    value: of some rows at (rows,) places, >= 0 at the low ends and < 0 at the high ones; sudden ones stay there.
    """
    low, high, at_low, at_high = (one.copy() for one in (bracket.low, bracket.high, bracket.at_low, bracket.at_high))
    active = np.flatnonzero(~bracket.sudden)
    for count in range(REFINEMENTS):
        active = active[high[active] - low[active] > CLIMB_TOLERANCE]
        if not active.size:
            break
        a, b, fa, fb = low[active], high[active], at_low[active], at_high[active]
        straight = b - fb * (b - a) / np.minimum(fb - fa, -1e-300)
        place = straight if count % 4 < 3 else 0.5 * (a + b)
        found = value(active, place)
        falls = found < 0.0
        there = np.abs(found) < FORCE_TOLERANCE
        low[active] = np.where(falls & ~there, a, place)
        high[active] = np.where(falls | there, place, b)
        at_low[active] = np.where(falls, 0.5 * fa, found)
        at_high[active] = np.where(falls, found, 0.5 * fb)
    return high
