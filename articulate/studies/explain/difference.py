"""Why two vehicles score differently: the difference split over named groups of inputs, exactly."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import SCORED as ENDED_WITH_SCORE
from articulate.climb import Outcome, climb_to_unload
from articulate.errors import ArticulateError
from articulate.model.ramp_test import RampTest, ramp_test
from articulate.model.vehicles import Vehicles
from articulate.prediction import seen_from
from articulate.studies.explain.groups import Group, differing_groups
from articulate.studies.explain.shapley import attribute, coalitions
from articulate.studies.explain.vehicle_parts import (
    COUPLES,
    Parts,
    StudiedVehicle,
    impossible,
    put_together,
    take_apart,
)
from articulate.studies.population.parallel import on_cores
from articulate.trace import Event, traces
from articulate.types import BAR_STATES, own_wheel

Array = NDArray[np.float64]

MOVED = 0.005  # [m] of climb: an event that moves less is the same
FELT = 5e-4  # [m] of climb: a group that changes less is not traced
TRACE_POINTS = 61
MOST_FOR_RANGE = 8  # groups, up to which the holding share's range is climbed too
HOLDING_SHARES = (0.0, 0.25, 0.75, 1.0)
# A climb is known, not a lift.
COUNTED = (Outcome.RAMP_ENDS, Outcome.EQUILIBRIUM_JUMPS, Outcome.TIPS, Outcome.WHEELS_SPIN)
SCORED = (Outcome.WHEEL_LIFTS, *COUNTED)


class MixtureError(ArticulateError, ValueError):
    """A vehicle between the two cannot be, or has no score, so that nothing can be split."""


@dataclass(frozen=True)
class Change:
    """One quantity that differs, both values in SI. `bar` of a solid axle is a couple [N m/rad]."""

    quantity: str
    column: int
    before: float
    after: float
    couples: tuple[bool, bool] = (False, False)


@dataclass(frozen=True)
class EventChange:
    """What happens otherwise on the way up; a climb is NaN where the thing does not happen."""

    what: str
    before: float  # [m]
    after: float  # [m]


@dataclass(frozen=True)
class Share:
    """One group's part in the difference.

    `points` is its Shapley value; `alone` what it does to the first vehicle by itself, `at_last` what it does when all
    else is changed already. The rest describes the first vehicle with this group changed alone.
    """

    group: str
    points: float
    alone: float
    at_last: float
    points_over_holding: tuple[float, float]  # least and most with the holding share between 0 and 1; NaN if not asked
    climb_alone: float  # [m], change of the climb
    wheels: tuple[int, int]  # that lift, before and after; -1 for none
    changes: tuple[Change, ...]
    events: tuple[EventChange, ...]


@dataclass(frozen=True, repr=False)
class Split(Brief):
    """The difference in one state of the bars."""

    bars: str
    first: float  # score
    second: float
    climb: tuple[float, float]  # [m]
    wheels: tuple[int, int]
    shares: tuple[Share, ...]  # in the order of size
    events: tuple[EventChange, ...]  # from the first vehicle to the second
    mixtures: int
    no_lift: Mapping[str, int]  # outcomes other than a lift among the mixtures: how many

    @property
    def remainder(self) -> float:
        """What the shares do not add up to; rounding and nothing else."""
        return self.second - self.first - sum(share.points for share in self.shares)


@dataclass(frozen=True, repr=False)
class Difference(Brief):
    """Why the second vehicle's score is not the first's; `released` is None where neither can release a bar."""

    first: str
    second: str
    side: str
    angle: float  # [rad]
    connected: Split
    released: Split | None


def explain_difference(
    first: StudiedVehicle,
    second: StudiedVehicle,
    test: RampTest | None = None,
    side: str = "left",
    by_axle: bool = False,
    together: Sequence[Sequence[str]] = (),
    most: int = 12,
    holding_known: bool = False,
) -> Difference:
    """Split the score difference of two vehicles over the groups of inputs in which they differ.

    Every mixture of the two (2^groups of them) climbs in full, so the Shapley values are exact and add up to the
    difference. A mixture that ends without a lift counts with the climb it reached, and is counted.

    Args:
        first: the vehicle the difference is seen from.
        second: the other one.
        test: ramp and conditions, a batch of one; the usual ramp if None.
        side: "left" or "right", of the wheel on the ramp.
        by_axle: front and rear as groups of their own.
        together: names of groups that are to change as one.
        most: groups; where more differ, smaller ones are joined.
        holding_known: whether the test's holding share is known; otherwise, with up to eight groups, every share comes
            with its range over holding shares from 0 to 1.

    Raises:
        MixtureError: one of the two has no score, or a mixture cannot exist or was not solved.
        GroupError: a grouping that cannot be made.
    """
    conditions = ramp_test(1) if test is None else test
    parts = [take_apart(one.vehicle, one.ride_height_change) for one in (first, second)]
    groups = differing_groups(parts[0], parts[1], by_axle, together, most)
    member = coalitions(len(groups))
    mixed = _mixtures(parts[0], parts[1], groups, member, first.vehicle)
    wrong = np.flatnonzero(impossible(mixed))
    if wrong.size:
        raise MixtureError(
            f"the first vehicle with the {_named(groups, member[wrong[0]])} of the second cannot exist: a travel "
            'would be less than nothing; let them change together, for instance --together "bump travel, ride height"'
        )
    mixed = mixed.climbing(side)
    cases = [mixed]
    if any(one.vehicle.releasable.any() for one in (first, second)):
        cases.append(mixed.released())
    work = [
        _Case(bars, vehicles, conditions, groups, (parts[0], parts[1]), side, holding_known)
        for bars, vehicles in zip(BAR_STATES, cases, strict=False)
    ]
    splits = list(on_cores(_split, work, climbs=sum(vehicles.lanes for vehicles in cases)))
    return Difference(
        first=first.name,
        second=second.name,
        side=side,
        angle=float(conditions.angle[0]),
        connected=splits[0],
        released=splits[1] if len(splits) > 1 else None,
    )


def _mixtures(
    first: Parts, second: Parts, groups: Sequence[Group], member: NDArray[np.bool_], like: Vehicles
) -> Vehicles:
    """The vehicles of all coalitions: a group's quantities from the second vehicle where it is a member."""
    lanes = member.shape[0]
    mixed = {name: np.repeat(values, lanes, axis=0) for name, values in first.items()}
    couple = {name: np.repeat(first["solid"] > 0.5, lanes, axis=0) for name in COUPLES}
    for index, group in enumerate(groups):
        rows = member[:, index]
        for name, column in group.columns:
            mixed[name][rows, column] = second[name][0, column]
            if name in COUPLES:
                couple[name][rows, column] = second["solid"][0, column] > 0.5
    return put_together(mixed, like, couple)


def _named(groups: Sequence[Group], member: NDArray[np.bool_]) -> str:
    names = [group.name for group, inside in zip(groups, member, strict=True) if inside]
    return " and ".join(names)


@dataclass(frozen=True, eq=False, repr=False)
class _Case(Brief):
    """All mixtures in one state of the bars."""

    bars: str
    vehicles: Vehicles
    conditions: RampTest
    groups: tuple[Group, ...]
    parts: tuple[Parts, Parts]
    side: str
    holding_known: bool


def _split(case: _Case) -> Split:
    bars, groups, parts = case.bars, case.groups, case.parts
    lanes = case.vehicles.lanes
    member = coalitions(len(groups))
    tests = case.conditions.take(np.zeros(lanes, dtype=np.intp))
    climbed = climb_to_unload(case.vehicles, tests)
    outcome, climb = climbed.outcome, climbed.climb
    for lane, which in ((0, "first"), (lanes - 1, "second")):
        if outcome[lane] not in ENDED_WITH_SCORE:
            raise MixtureError(
                f"bars {bars}: the {which} vehicle has no score ({Outcome(int(outcome[lane])).meaning}), "
                "so there is no difference to split"
            )
    bad = np.flatnonzero(~np.isin(outcome, SCORED))
    if bad.size:
        raise MixtureError(
            f"bars {bars}: {bad.size} of {lanes} mixtures have no climb, such as the first vehicle with the "
            f"{_named(groups, member[bad[0]])} of the second ({Outcome(int(outcome[bad[0]])).meaning}); a split would "
            "rest on a guess; join the groups that belong together with --together"
        )
    score = 1000.0 * climb / case.vehicles.wheelbase
    found = attribute(score)
    over_holding = _over_holding(case, found.value)
    wheel = own_wheel(climbed.wheel, case.side)

    felt = [1 << k for k in range(len(groups)) if abs(climb[1 << k] - climb[0]) > FELT]
    looked = sorted({0, *felt, lanes - 1})
    paths = traces(case.vehicles, tests, climbed, looked, points=TRACE_POINTS)
    events = {lane: _first_of_each(seen_from(path.events, case.side)) for lane, path in zip(looked, paths, strict=True)}
    at_first = events[0]
    shares = []
    for index, group in enumerate(groups):
        lane = 1 << index
        shares.append(
            Share(
                group=group.name,
                points=float(found.value[index]),
                alone=float(found.first_in[index]),
                at_last=float(found.last_in[index]),
                points_over_holding=(float(over_holding[0, index]), float(over_holding[1, index])),
                climb_alone=float(climb[lane] - climb[0]),
                wheels=(int(wheel[0]), int(wheel[lane])),
                changes=_changes(parts[0], parts[1], group),
                events=_event_changes(at_first, events[lane]) if lane in felt else (),
            )
        )
    shares.sort(key=lambda share: -abs(share.points))
    return Split(
        bars=bars,
        first=float(score[0]),
        second=float(score[-1]),
        climb=(float(climb[0]), float(climb[-1])),
        wheels=(int(wheel[0]), int(wheel[-1])),
        shares=tuple(shares),
        events=_event_changes(at_first, events[lanes - 1]),
        mixtures=lanes,
        no_lift={kind.name.lower(): int((outcome == kind).sum()) for kind in COUNTED if (outcome == kind).any()},
    )


def _over_holding(case: _Case, value: Array) -> Array:
    """Least and most of the shares over the holding shares, (2, groups); NaN where there is none."""
    none = np.full((2, value.size), np.nan)
    if case.holding_known or len(case.groups) > MOST_FOR_RANGE:
        return none
    lanes, times = case.vehicles.lanes, len(HOLDING_SHARES)
    tests = case.conditions.take(np.zeros(lanes * times, dtype=np.intp))
    tests = tests.held(np.repeat(HOLDING_SHARES, lanes))
    climbed = climb_to_unload(case.vehicles.take(np.tile(np.arange(lanes), times)), tests)
    if not np.isin(climbed.outcome, SCORED).all():
        return none
    score = (1000.0 * climbed.climb / np.tile(case.vehicles.wheelbase, times)).reshape(times, lanes)
    values = np.stack([value, *(attribute(row).value for row in score)])
    return np.stack([values.min(axis=0), values.max(axis=0)])


def _changes(first: Parts, second: Parts, group: Group) -> tuple[Change, ...]:
    solid = first["solid"][0] > 0.5, second["solid"][0] > 0.5
    return tuple(
        Change(
            name,
            column,
            float(first[name][0, column]),
            float(second[name][0, column]),
            (bool(solid[0][column]), bool(solid[1][column])) if name in COUPLES else (False, False),
        )
        for name, column in group.columns
    )


def _first_of_each(events: Sequence[Event]) -> dict[tuple[str, int], Event]:
    found: dict[tuple[str, int], Event] = {}
    for event in events:
        if event.begins:
            found.setdefault((event.kind, event.corner), event)
    return found


def _event_changes(
    before: Mapping[tuple[str, int], Event], after: Mapping[tuple[str, int], Event]
) -> tuple[EventChange, ...]:
    """Events that moved, came or went, in the order of their climb."""
    changes = []
    for key in {**before, **after}:
        old, new = before.get(key), after.get(key)
        if old is None and new is not None:
            changes.append(EventChange(new.what, float("nan"), new.climb))
        elif new is None and old is not None:
            changes.append(EventChange(old.what, old.climb, float("nan")))
        elif old is not None and new is not None and abs(new.climb - old.climb) > MOVED:
            changes.append(EventChange(new.what, old.climb, new.climb))
    return tuple(sorted(changes, key=lambda change: np.nanmin([change.before, change.after])))
