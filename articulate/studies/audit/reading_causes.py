"""Causes on the reading side: the vehicle climbed as it should, and what was written down is something else.

A cause here turns the climbs that really happened into the climbs the sheet would make of its readings.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from articulate.measure.conversions import ReadingKind
from articulate.studies.audit.cause import AS_IT_IS, Cause, Reading, Scene, equally
from articulate.studies.audit.sizes import NO_SIZE, either_way, even
from articulate.studies.audit.worlds import Worlds
from articulate.studies.population import Case

Array = NDArray[np.float64]

INCH = 0.0254
EVERY_RUN = "every run"
HABIT = 0.5  # chance that what can be a habit is one
_CLIMB = ", climb "  # in the label of a climb that its run repeats

_SQUARED = frozenset({ReadingKind.MARK_HEIGHT, ReadingKind.SLOPE_DISTANCE})
_PLUMBED = frozenset({ReadingKind.PLUMBED_MARK_HEIGHT, ReadingKind.PLUMBED_MARK_DISTANCE})
_ALONG = frozenset({ReadingKind.SLOPE_DISTANCE, ReadingKind.PLUMBED_MARK_DISTANCE})
_MARK_HEIGHTS = frozenset({ReadingKind.MARK_HEIGHT, ReadingKind.PLUMBED_MARK_HEIGHT})
_HEIGHTS = frozenset(ReadingKind) - _ALONG

_Climbs = list[Array]


def _where(kinds: frozenset[ReadingKind]) -> Callable[[Scene], bool]:
    return lambda scene: bool(scene.kinds & kinds)


def _each_reading(
    kinds: frozenset[ReadingKind], change: Callable[[Scene, Worlds, Case, Array, Array], Array]
) -> Callable[[Scene, Worlds, _Climbs, Array, str], _Climbs]:
    """Change the climb of every reading of these kinds: change(scene, worlds, case, climb, size)."""

    def distort(scene: Scene, worlds: Worlds, climbs: _Climbs, size: Array, variant: str) -> _Climbs:
        return [
            change(scene, worlds, reading.case, climb, size)
            if reading.kind in kinds and (variant == EVERY_RUN or _is_of(reading, variant))
            else climb
            for reading, climb in zip(scene.readings, climbs, strict=True)
        ]

    return distort


def _one_or_every(scene: Scene) -> Mapping[str, float]:
    """A habit touches every run, a slip one."""
    if len(scene.readings) == 1:
        return AS_IT_IS
    return {EVERY_RUN: HABIT} | {place: (1.0 - HABIT) * share for place, share in _one(scene).items()}


def _one(scene: Scene) -> Mapping[str, float]:
    return AS_IT_IS if len(scene.readings) == 1 else equally(*_slips(scene))


def _slips(scene: Scene) -> tuple[str, ...]:
    """What one slip can touch: one climb, or all climbs of a run, as where the tape was hooked in at 1 in."""
    labels = [reading.label for reading in scene.readings]
    runs = [label.partition(_CLIMB)[0] for label in labels]
    several = dict.fromkeys(run for run in runs if 1 < runs.count(run) < len(labels))
    return (*labels, *(run for run in several if run not in labels))


def _is_of(reading: Reading, variant: str) -> bool:
    """Whether a slip with this variant touches the reading."""
    return variant in ("", reading.label) or reading.label.startswith(variant + _CLIMB)


def _plumbed(scene: Scene, worlds: Worlds, case: Case, climb: Array, _size: Array) -> Array:
    return np.asarray(climb - worlds.runs[case].hub_distance * np.tan(scene.angle))


def _squared(scene: Scene, worlds: Worlds, case: Case, climb: Array, _size: Array) -> Array:
    return np.asarray(climb + worlds.runs[case].hub_distance * np.tan(scene.angle))


def _hub_for_mark(scene: Scene, worlds: Worlds, case: Case, _climb: Array, _size: Array) -> Array:
    return np.asarray(worlds.runs[case].hub_height / np.sin(scene.angle))


def _tangent(scene: Scene, _worlds: Worlds, _case: Case, climb: Array, _size: Array) -> Array:
    return np.asarray(climb * np.cos(scene.angle))


def _slope_as_height(scene: Scene, _worlds: Worlds, _case: Case, climb: Array, _size: Array) -> Array:
    return np.asarray(climb / np.sin(scene.angle))


def _height_as_slope(scene: Scene, _worlds: Worlds, _case: Case, climb: Array, _size: Array) -> Array:
    return np.asarray(climb * np.sin(scene.angle))


def _moved(_scene: Scene, _worlds: Worlds, _case: Case, climb: Array, size: Array) -> Array:
    return climb + size


def _wheelbase(_scene: Scene, _worlds: Worlds, _case: Case, climb: Array, size: Array) -> Array:
    """The climb that would make the sheet's score by the vehicle's own wheelbase."""
    return climb * size


def _misread(scene: Scene, worlds: Worlds, climbs: _Climbs, size: Array, variant: str) -> _Climbs:
    """A length on the tape: along the slope as it is, a height by 1/sin g."""
    return [
        climb + size / (1.0 if reading.kind in _ALONG else np.sin(scene.angle)) if _is_of(reading, variant) else climb
        for reading, climb in zip(scene.readings, climbs, strict=True)
    ]


def _swapped(scene: Scene, worlds: Worlds, _climbs: _Climbs, _size: Array, _variant: str) -> _Climbs:
    other = {"left": "right", "right": "left"}
    return [worlds.runs[Case(other[reading.case.side], reading.case.bars)].climb for reading in scene.readings]


READING_CAUSES = (
    Cause(
        "mark plumbed instead of squared",
        "The mark was set with a plumb line from the hub instead of a square on the ramp, so it sits too low.",
        NO_SIZE,
        2.0,
        distort=_each_reading(_SQUARED, _plumbed),
        applies=_where(_SQUARED),
    ),
    Cause(
        "mark squared instead of plumbed",
        "The sheet corrects for a plumb line, but the mark was set with a square, so the correction is too much.",
        NO_SIZE,
        2.0,
        distort=_each_reading(_PLUMBED, _squared),
        applies=_where(_PLUMBED),
    ),
    Cause(
        "hub height taken for mark height",
        "The height of the hub was written down as the height of the mark on the ramp.",
        NO_SIZE,
        1.0,
        distort=_each_reading(_MARK_HEIGHTS, _hub_for_mark),
        applies=_where(_MARK_HEIGHTS),
        marks=("working",),
    ),
    Cause(
        "sine and tangent mixed up",
        "The climb was worked out with the tangent of the ramp angle instead of its sine.",
        NO_SIZE,
        1.0,
        distort=_each_reading(_HEIGHTS, _tangent),
        applies=_where(_HEIGHTS),
        marks=("working",),
    ),
    Cause(
        "slope distance entered as height",
        "The distance along the ramp was entered where the height of the mark belongs.",
        NO_SIZE,
        1.0,
        distort=_each_reading(_MARK_HEIGHTS, _slope_as_height),
        applies=_where(_MARK_HEIGHTS),
        marks=("working",),
    ),
    Cause(
        "height entered as slope distance",
        "The height of the mark was entered where the distance along the ramp belongs.",
        NO_SIZE,
        1.0,
        distort=_each_reading(_ALONG, _height_as_slope),
        applies=_where(_ALONG),
        marks=("working",),
    ),
    Cause(
        "wrong wheelbase",
        "The score was divided by a wheelbase that is not this vehicle's.",
        even(88.0, 112.0, "%", 0.01, "true wheelbase over the one used"),
        1.0,
        distort=_each_reading(frozenset(ReadingKind), _wheelbase),
        shows="wheelbase",
    ),
    Cause(
        "misread inch fraction",
        "A fraction of an inch was misread on the tape in one run.",
        either_way({n / 8.0: 1.0 for n in range(1, 8)}, "in", INCH, "read too much by"),
        1.5,
        distort=_misread,
        variants=_one,
    ),
    Cause(
        "slipped whole inch",
        "A whole inch (or the foot) was slipped when the tape was read or written down in one run.",
        either_way({1.0: 6.0, 2.0: 1.0, 10.0: 1.0, 12.0: 1.0}, "in", INCH, "read too much by"),
        1.5,
        distort=_misread,
        variants=_one,
    ),
    Cause(
        "stopped past the lift or short of it",
        "The vehicle did not stop where the wheel came free: it climbed on, or the wheel was still loaded.",
        even(-250.0, 250.0, "mm", 1e-3, "climb past the lift (short of it: negative)"),
        2.0,
        distort=_each_reading(frozenset(ReadingKind), _moved),
        variants=_one_or_every,
        mark_stands=True,
    ),
    Cause(
        "sides swapped",
        "Left and right were exchanged on the sheet: the other front wheel was on the ramp.",
        NO_SIZE,
        1.0,
        distort=_swapped,
        mark_stands=True,
    ),
)
