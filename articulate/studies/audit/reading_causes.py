"""Causes on the reading side: the vehicle climbed as it should, and what was written down is something else.

A cause here turns the climbs that really happened into the climbs the sheet would make of its readings.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from articulate.constants import INCH
from articulate.measure.conversions import Radii, ReadingKind, climb_of
from articulate.studies.audit.cause import AS_IT_IS, Cause, Reading, Scene, equally
from articulate.studies.audit.sizes import NO_SIZE, either_way, even
from articulate.studies.audit.worlds import Worlds
from articulate.types import Case

Array = NDArray[np.float64]

EVERY_RUN = "every run"
# Chance that what was done in one run was done in all: a wrong way of reading is a way of working, that of whoever
# holds the tape and the notes, and seldom changes within a day; stopping too late is as often a mishap. Judgement.
METHOD_HABIT, STOPPING_HABIT = 0.75, 0.5
_CLIMB = ", climb "  # in the label of a climb that its run repeats

_SQUARED = frozenset({ReadingKind.MARK_HEIGHT, ReadingKind.SLOPE_DISTANCE})
_PLUMBED = frozenset({ReadingKind.PLUMBED_MARK_HEIGHT, ReadingKind.PLUMBED_MARK_DISTANCE})
ALONG_SLOPE = frozenset({ReadingKind.SLOPE_DISTANCE, ReadingKind.PLUMBED_MARK_DISTANCE})
MARK_HEIGHTS = frozenset({ReadingKind.MARK_HEIGHT, ReadingKind.PLUMBED_MARK_HEIGHT})
_HEIGHTS = frozenset(ReadingKind) - ALONG_SLOPE
_BY_RADIUS = frozenset(kind for kind in ReadingKind if kind.needs_radius_on_ramp)
AT_MARK = "at the mark"

_Climbs = list[Array]
_Change = Callable[[Scene, Worlds, Case, Array, Array], Array]


def _each_reading(
    kinds: frozenset[ReadingKind], change: _Change
) -> Callable[[Scene, Worlds, _Climbs, Array, str], _Climbs]:
    """Change the climb of every reading of these kinds: change(scene, worlds, case, climb, size)."""

    def distort(scene: Scene, worlds: Worlds, climbs: _Climbs, size: Array, variant: str) -> _Climbs:
        return [
            change(scene, worlds, reading.case, climb, size)
            if reading.kind in kinds and _is_of(reading, variant)
            else climb
            for reading, climb in zip(scene.readings, climbs, strict=True)
        ]

    return distort


_Chosen = Callable[[Reading], bool]


def _in_inches(reading: Reading) -> bool:
    return reading.unit in ("in", "ft", "")


def _in_metres(reading: Reading) -> bool:
    return reading.unit in ("mm", "cm", "m")


def _any(_reading: Reading) -> bool:
    return True


def _one_or_every(chosen: _Chosen = _any, habit: float = METHOD_HABIT) -> Callable[[Scene], Mapping[str, float]]:
    """A habit touches every run, a slip one."""

    def variants(scene: Scene) -> Mapping[str, float]:
        places = _slips(scene, chosen)
        if len(places) < 2:
            return equally(*places)
        return {EVERY_RUN: habit} | {place: (1.0 - habit) / len(places) for place in places}

    return variants


def _slips(scene: Scene, chosen: _Chosen) -> tuple[str, ...]:
    """What one slip can touch: one climb, or all climbs of a run, as where the tape was hooked in at 1 in.

    Where there is but one climb its place has no name.
    """
    if len(scene.readings) == 1:
        return ("",) if chosen(scene.readings[0]) else ()
    labels = [reading.label for reading in scene.readings if chosen(reading)]
    runs = [label.partition(_CLIMB)[0] for label in labels]
    several = dict.fromkeys(run for run in runs if 1 < runs.count(run) < len(scene.readings))
    return (*labels, *(run for run in several if run not in labels))


def _is_of(reading: Reading, variant: str) -> bool:
    """Whether a slip with this variant touches the reading."""
    return variant in ("", EVERY_RUN, reading.label) or reading.label.startswith(variant + _CLIMB)


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


def _level(scene: Scene, _worlds: Worlds, _case: Case, climb: Array, _size: Array) -> Array:
    return np.asarray(climb * np.cos(scene.angle))


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
        climb + size / (1.0 if reading.kind in ALONG_SLOPE else np.sin(scene.angle))
        if _is_of(reading, variant)
        else climb
        for reading, climb in zip(scene.readings, climbs, strict=True)
    ]


def _radius(scene: Scene, _worlds: Worlds, climbs: _Climbs, size: Array, variant: str) -> _Climbs:
    """The conversion is straight in both radii, so an error goes through it as by itself."""
    flat = size if variant != AT_MARK else np.zeros_like(size)
    return [
        climb + climb_of(reading.kind, np.zeros_like(size), scene.angle, Radii(flat, size))
        if reading.kind in _BY_RADIUS
        else climb
        for reading, climb in zip(scene.readings, climbs, strict=True)
    ]


def _radii(scene: Scene) -> Mapping[str, float]:
    if not scene.kinds & _BY_RADIUS:
        return {}
    both = ReadingKind.HUB_RISE in scene.kinds and not scene.radius_loss
    return equally("on the flat and at the mark", AT_MARK) if both else AS_IT_IS


def _swapped(scene: Scene, worlds: Worlds, _climbs: _Climbs, _size: Array, _variant: str) -> _Climbs:
    other = {"left": "right", "right": "left"}
    return [worlds.runs[Case(other[reading.case.side], reading.case.bars)].climb for reading in scene.readings]


def _misconverted(
    name: str,
    sentence: str,
    weight: float,
    kinds: frozenset[ReadingKind],
    distort: _Change,
    marks: tuple[str, ...],
    correct: str,
) -> Cause:
    """Readings of some kinds taken or worked out in a way that is not theirs, in one run or in every."""
    return Cause(
        name,
        sentence,
        NO_SIZE,
        weight,
        distort=_each_reading(kinds, distort),
        variants=_one_or_every(lambda reading: reading.kind in kinds),
        marks=marks,
        correct=correct,
    )


def _slipped(name: str, sentence: str, sizes: dict[float, float], unit: str, unit_size: float, taped: _Chosen) -> Cause:
    """A tape read by so much too much or too little in one run, of those that were taped in such units."""
    return Cause(
        name,
        sentence,
        either_way(sizes, unit, unit_size, "read too much by"),
        1.5,
        distort=_misread,
        variants=lambda scene: equally(*_slips(scene, taped)),
        marks=("tape numerals",),
        correct="read the tape of that run again, from its photograph or at its mark",
    )


READING_CAUSES = (
    _misconverted(
        "mark plumbed instead of squared",
        "The mark was set with a plumb line from the hub instead of a square on the ramp, so it sits too low.",
        2.0,
        _SQUARED,
        _plumbed,
        ("how it was taken",),
        "write those readings as plumbed_mark_height or plumbed_mark_distance, with the wheel's radius",
    ),
    _misconverted(
        "mark squared instead of plumbed",
        "The sheet corrects for a plumb line, but the mark was set with a square, so the correction is too much.",
        2.0,
        _PLUMBED,
        _squared,
        ("how it was taken",),
        "write those readings as mark_height or slope_distance",
    ),
    _misconverted(
        "hub height taken for mark height",
        "The height of the hub was written down as the height of the mark on the ramp.",
        1.0,
        MARK_HEIGHTS,
        _hub_for_mark,
        ("working", "how it was taken"),
        "write those readings as hub_height, with the wheel's radius",
    ),
    _misconverted(
        "sine and tangent mixed up",
        "The climb was worked out with the tangent of the ramp angle instead of its sine.",
        1.0,
        _HEIGHTS,
        _tangent,
        ("working",),
        "write the heights as they were read, and let the sheet work out the climb",
    ),
    _misconverted(
        "slope distance entered as height",
        "The distance along the ramp was entered where the height of the mark belongs.",
        1.0,
        MARK_HEIGHTS,
        _slope_as_height,
        ("working",),
        "write those readings as slope_distance",
    ),
    _misconverted(
        "height entered as slope distance",
        "The height of the mark was entered where the distance along the ramp belongs.",
        1.0,
        ALONG_SLOPE,
        _height_as_slope,
        ("working",),
        "write those readings as mark_height",
    ),
    _misconverted(
        "distance taped level",
        "The distance was taped level along the floor instead of along the slope, so it is too short.",
        1.0,
        ALONG_SLOPE,
        _level,
        ("working", "how it was taken"),
        "divide those distances by the cosine of the ramp angle, or tape them along the slope",
    ),
    Cause(
        "wheel radius taken wrong",
        "The radius of the loaded wheel that the sheet counts with is not that of the wheel as it stood, as where half "
        "the tyre's diameter was taken.",
        even(-60.0, 60.0, "mm", 1e-3, "radius taken too large by"),
        1.0,
        distort=_radius,
        variants=_radii,
        shows="wheel.radius",
        correct="write the radius of the loaded wheel into the sheet, or read the mark on the ramp instead",
    ),
    Cause(
        "wrong wheelbase",
        "The score was divided by a wheelbase that is not this vehicle's.",
        even(88.0, 112.0, "%", 0.01, "true wheelbase over the one used"),
        1.0,
        distort=_each_reading(frozenset(ReadingKind), _wheelbase),
        shows="wheelbase",
        correct="write the vehicle's own wheelbase into the sheet",
    ),
    _slipped(
        "misread inch fraction",
        "A fraction of an inch was misread on the tape in one run.",
        {n / 8.0: 1.0 for n in range(1, 8)},
        "in",
        INCH,
        _in_inches,
    ),
    _slipped(
        "slipped whole inch",
        "A whole inch (or the foot) was slipped when the tape was read or written down in one run.",
        {1.0: 6.0, 2.0: 1.0, 10.0: 1.0, 12.0: 1.0},
        "in",
        INCH,
        _in_inches,
    ),
    _slipped(
        "slipped centimetre or decimetre",
        "A centimetre or a decimetre was slipped when the tape was read or written down in one run.",
        {10.0: 4.0, 20.0: 1.0, 50.0: 1.0, 100.0: 4.0},
        "mm",
        1e-3,
        _in_metres,
    ),
    Cause(
        "stopped past the lift or short of it",
        "The vehicle did not stop where the wheel came free: it climbed on, or the wheel was still loaded.",
        even(-250.0, 250.0, "mm", 1e-3, "climb past the lift (short of it: negative)"),
        2.0,
        distort=_each_reading(frozenset(ReadingKind), _moved),
        variants=_one_or_every(habit=STOPPING_HABIT),
        mark_stands=True,
        correct="run it again and stop where the film just pulls out",
    ),
    Cause(
        "sides swapped",
        "Left and right were exchanged on the sheet: the other front wheel was on the ramp.",
        NO_SIZE,
        1.0,
        distort=_swapped,
        mark_stands=True,
        marks=("how it was taken",),
        correct="exchange left and right on the sheet",
        least_contrast=2.0,
    ),
)
