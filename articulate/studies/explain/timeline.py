"""The climb as a story: which limits were met in which order, what each did, and which one decided.

What decided is found by taking every limit that was met away, one at a time, and climbing again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from articulate.brief import Brief
from articulate.climb import Outcome, climb_to_unload
from articulate.model.ramp_test import RampTest, ramp_test
from articulate.model.vehicles import Vehicles, stack
from articulate.prediction import Run, predict
from articulate.trace import Watched
from articulate.types import AXLES, own_wheel

OUT_OF_REACH = 10.0  # [m]: a stop so far away is never met
NUDGE = 1e-3  # [m]
MATTERS = 0.5  # points: a limit whose removal changes less did not decide
RESISTS = ("bump stop", "droop stop", "coil")  # kinds of event that put a force in or take one out


@dataclass(frozen=True)
class Moment:
    """Something that happens on the way up.

    `rate_before` and `rate_after` say how fast the wheel that lifts in the end loses its load [N/m of climb, negative
    while it unloads], just before and just after; NaN where nothing pushes (bodywork, arches) or no wheel lifts.
    Moments too close to be told apart share one change, which the last of them has: `together` counts them.
    """

    climb: float  # [m]
    score: float  # of a climb that ended here
    what: str
    kind: str
    begins: bool
    rate_before: float
    rate_after: float
    together: int = 1


@dataclass(frozen=True)
class Removal:
    """The climb without one of the limits that were met."""

    what: str
    outcome: Outcome
    score: float  # NaN where the outcome gives none
    gain: float  # points over the climb as it is
    gain_per_metre: float  # of the first millimetre more of it; NaN where it is no travel
    wheel: int  # that lifts then, -1 for none


@dataclass(frozen=True, eq=False, repr=False)
class RunTimeline(Run):
    """The run of one state of the bars, with its story."""

    moments: tuple[Moment, ...]
    removals: tuple[Removal, ...]  # largest gain first; the last is "every stop and seat" where several were met
    decided: str | None  # the limit whose removal changes most, None where none changes anything


@dataclass(frozen=True, repr=False)
class Timeline(Brief):
    """Both states of the bars; `released` is None where no bar can be released."""

    side: str
    angle: float  # [rad]
    connected: RunTimeline
    released: RunTimeline | None


def timeline(
    vehicle: Vehicles, test: RampTest | None = None, side: str = "left", watched: Watched | None = None
) -> Timeline:
    """Tell the climb of one vehicle and find what decided it.

    Arguments as `prediction.predict`.
    """
    conditions = ramp_test(1) if test is None else test
    found = predict(vehicle, conditions, side, watched)
    seen = vehicle.climbing(side)
    runs = [_run(found.connected, seen, conditions, side)]
    if found.released is not None:
        runs.append(_run(found.released, seen.released(), conditions, side))
    return Timeline(side, found.angle, runs[0], runs[1] if len(runs) > 1 else None)


def _run(run: Run, vehicle: Vehicles, conditions: RampTest, side: str) -> RunTimeline:
    wheelbase = float(vehicle.wheelbase[0])
    removals = _removals(run, vehicle, conditions, side)
    single = [removal for removal in removals if removal.what != EVERYTHING]
    single.sort(key=lambda removal: -abs(removal.gain) if np.isfinite(removal.gain) else -np.inf)
    changes = [one for one in single if not abs(one.gain) < MATTERS]  # no score at all is a change too
    together = [removal for removal in removals if removal.what == EVERYTHING]
    return RunTimeline(
        **vars(run),
        moments=_moments(run, wheelbase, side),
        removals=(*single, *together),
        decided=changes[0].what if changes else None,
    )


def _moments(run: Run, wheelbase: float, side: str) -> tuple[Moment, ...]:
    s = run.trace.climb
    nothing = float("nan")
    rates = None
    if run.wheel >= 0 and s.size > 3:
        wheel = own_wheel(run.wheel, side)  # the trace is of a left climb
        rates = np.diff(run.trace.measures.wheel_load[:, wheel]) / np.maximum(np.diff(s), 1e-12)
    # The interval with an event in it is a mixture of before and after, so its neighbours are compared; events in
    # neighbouring intervals make one cluster.
    place = {
        k: int(np.clip(np.searchsorted(s, event.climb) - 1, 0, s.size - 2))
        for k, event in enumerate(run.events)
        if rates is not None and event.kind in RESISTS and s[0] < event.climb < s[-1]
    }
    moments = []
    for k, event in enumerate(run.events):
        before = after = nothing
        together = 1
        if rates is not None and k in place:
            cluster = _cluster(sorted(place.values()), place[k])
            if k == max(other for other in place if place[other] in cluster):
                first, last = cluster[0] - 1, cluster[-1] + 1
                before = float(rates[first]) if first >= 0 else nothing
                after = float(rates[last]) if last < rates.size else nothing
                together = sum(other in cluster for other in place.values())
        score = 1000.0 * event.climb / wheelbase
        moments.append(Moment(event.climb, score, event.what, event.kind, event.begins, before, after, together))
    return tuple(moments)


def _cluster(places: Sequence[int], one: int) -> list[int]:
    """The intervals around one that hold events without a free interval between them."""
    found = [one]
    for step in (-1, 1):
        at = one
        while any(at + step * k in places for k in (1, 2)):
            at += step * (1 if at + step in places else 2)
            found.append(at)
    return sorted(found)


EVERYTHING = "every stop and seat that is met"


def _with(vehicle: Vehicles, field: str, axle: int, value: float) -> Vehicles:
    values = getattr(vehicle, field).copy()
    values[:, axle] = value
    return replace(vehicle, **{field: values})


_TAKE_AWAY: dict[str, tuple[str, Callable[[Vehicles, int], Vehicles]]] = {
    "bump stop": ("bump stops", lambda vehicle, axle: _with(vehicle, "bump_gap", axle, OUT_OF_REACH)),
    "droop stop": ("droop limit", lambda vehicle, axle: _with(vehicle, "droop_gap", axle, OUT_OF_REACH)),
    "coil": ("coils leaving their seats", lambda vehicle, axle: _with(vehicle, "spring_loose", axle, False)),
}


def _removals(run: Run, vehicle: Vehicles, conditions: RampTest, side: str) -> list[Removal]:
    """Climbs without each kind of limit that was met on each axle, and without all of them."""
    met = dict.fromkeys(
        (event.kind, event.corner // 2) for event in run.events if event.kind in _TAKE_AWAY and event.begins
    )
    if not met:
        return []
    names, variants = [], []
    everything = vehicle
    for kind, axle in met:
        words, take_away = _TAKE_AWAY[kind]
        names.append(f"{AXLES[axle]} {words}")
        variants.append(take_away(vehicle, axle))
        everything = take_away(everything, axle)
    gaps = {"bump stop": "bump_gap", "droop stop": "droop_gap"}
    nudged = [
        _with(vehicle, gaps[kind], axle, float(getattr(vehicle, gaps[kind])[0, axle]) + NUDGE)
        if kind in gaps
        else vehicle
        for kind, axle in met
    ]
    if len(met) > 1:
        names.append(EVERYTHING)
        variants.append(everything)
    variants += nudged
    climbed = climb_to_unload(stack(variants), conditions.take(np.zeros(len(variants), dtype=np.intp)))
    removals = []
    for lane, name in enumerate(names):
        more = len(names) + lane
        travel = name != EVERYTHING and list(met)[lane][0] in gaps
        per_metre = (float(climbed.score[more]) - run.score) / NUDGE if travel else float("nan")
        wheel = own_wheel(int(climbed.wheel[lane]), side)
        score = float(climbed.score[lane])
        removals.append(Removal(name, Outcome(int(climbed.outcome[lane])), score, score - run.score, per_metre, wheel))
    return removals
