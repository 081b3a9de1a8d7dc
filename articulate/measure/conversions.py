"""Every way people read a climb, and its closed form: reading to climb and climb to reading.

The climb s is the slope coordinate of the climbing wheel's hub centre: the distance along the ramp from its toe to
the foot of the square set on the ramp through the hub. With the ramp angle g, the hub stands

    s sin g + r cos g

above the flat, r being its distance from the ramp, square to it. On the flat, before the climb, it stands at r_0.
A rigid disc of radius R has r = r_0 = R, and then the forms below are those of the disc that rolls up a plane. A real
tyre at the mark carries more than on the flat and leans, so that r is smaller than r_0: by 15 to 26 mm on most of
the demo vehicles, by up to 80 mm on the one of long travel. Neither is the unloaded radius.

Source: plane trigonometry.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from articulate.errors import ArticulateError

Array = NDArray[np.float64]

SCORE_SCALE = 1000.0  # score of a vehicle that climbs its own wheelbase


class ReadingKind(StrEnum):
    """What was read with the tape; the value is the key of a run sheet."""

    MARK_HEIGHT = "mark_height"
    SLOPE_DISTANCE = "slope_distance"
    HUB_HEIGHT = "hub_height"
    HUB_RISE = "hub_rise"
    PLUMBED_MARK_HEIGHT = "plumbed_mark_height"
    PLUMBED_MARK_DISTANCE = "plumbed_mark_distance"

    @property
    def words(self) -> str:
        """The name in words."""
        return self.value.replace("_", " ")

    @property
    def meaning(self) -> str:
        """What exactly is read, in one line."""
        return _CONVERSIONS[self].meaning

    @property
    def on_hub(self) -> bool:
        """Whether the tape goes to the hub, so that no mark on the ramp is set."""
        return self in (ReadingKind.HUB_HEIGHT, ReadingKind.HUB_RISE)

    @property
    def needs_radius_on_flat(self) -> bool:
        """Whether the conversion needs the hub's height over flat ground before the climb."""
        return self is ReadingKind.HUB_RISE

    @property
    def needs_radius_on_ramp(self) -> bool:
        """Whether the conversion needs the hub's distance from the ramp, square to it, at the mark."""
        return self not in (ReadingKind.MARK_HEIGHT, ReadingKind.SLOPE_DISTANCE)


class MissingRadiusError(ArticulateError, ValueError):
    """A reading at the hub, or by plumb line, cannot be converted without the radius of the loaded wheel."""

    def __init__(self, kind: ReadingKind, which: str) -> None:
        self.kind = kind
        super().__init__(f"a {kind.words} needs {which}; measure it, or read the height of the mark instead")


@dataclass(frozen=True)
class _Conversion:
    meaning: str
    climb: Callable[[Array, Array, Array, Array], Array]  # reading, g, r_0, r
    reading: Callable[[Array, Array, Array, Array], Array]  # climb, g, r_0, r


_CONVERSIONS = {
    ReadingKind.MARK_HEIGHT: _Conversion(
        "height over the flat of the mark squared from the ramp through the hub: s = h / sin g",
        lambda h, g, _flat, _ramp: h / np.sin(g),
        lambda s, g, _flat, _ramp: s * np.sin(g),
    ),
    ReadingKind.SLOPE_DISTANCE: _Conversion(
        "distance along the ramp from its toe to the mark squared through the hub: s itself",
        lambda distance, _g, _flat, _ramp: distance + 0.0,
        lambda s, _g, _flat, _ramp: s + 0.0,
    ),
    ReadingKind.HUB_HEIGHT: _Conversion(
        "height of the hub centre over the flat: s = (z - r cos g) / sin g",
        lambda z, g, _flat, ramp: (z - ramp * np.cos(g)) / np.sin(g),
        lambda s, g, _flat, ramp: s * np.sin(g) + ramp * np.cos(g),
    ),
    ReadingKind.HUB_RISE: _Conversion(
        "rise of the hub centre over its height on the flat: s = (rise + r_0 - r cos g) / sin g",
        lambda rise, g, flat, ramp: (rise + flat - ramp * np.cos(g)) / np.sin(g),
        lambda s, g, flat, ramp: s * np.sin(g) + ramp * np.cos(g) - flat,
    ),
    ReadingKind.PLUMBED_MARK_HEIGHT: _Conversion(
        "height over the flat of the point a plumb line from the hub meets: s = h / sin g + r tan g",
        lambda h, g, _flat, ramp: h / np.sin(g) + ramp * np.tan(g),
        lambda s, g, _flat, ramp: (s - ramp * np.tan(g)) * np.sin(g),
    ),
    ReadingKind.PLUMBED_MARK_DISTANCE: _Conversion(
        "distance along the ramp to the point a plumb line from the hub meets: s = d + r tan g",
        lambda distance, g, _flat, ramp: distance + ramp * np.tan(g),
        lambda s, g, _flat, ramp: s - ramp * np.tan(g),
    ),
}


@dataclass(frozen=True, eq=False)
class Radii:
    """Radii of the loaded climbing wheel, any shape [m]; None where one is not known.

    Attributes:
        on_flat: r_0, hub height over flat ground before the climb; for a hub rise.
        on_ramp: r, the hub's distance from the ramp, square to it, at the mark; for readings at the hub or by plumb
            line.
    """

    on_flat: ArrayLike | None = None
    on_ramp: ArrayLike | None = None

    def suffice(self, kind: ReadingKind) -> bool:
        """Whether a reading can be converted with them."""
        return not self.missing(kind)

    def missing(self, kind: ReadingKind) -> str:
        """What of them a reading needs and is not known; empty if nothing."""
        if kind.needs_radius_on_flat and self.on_flat is None:
            return "the hub's height over flat ground before the climb"
        if kind.needs_radius_on_ramp and self.on_ramp is None:
            return "the hub's distance from the ramp, square to it, at the mark"
        return ""


UNKNOWN_RADII = Radii()


def _arguments(
    kind: ReadingKind, given: ArrayLike, ramp_angle: ArrayLike, radii: Radii
) -> tuple[Array, Array, Array, Array]:
    if which := radii.missing(kind):
        raise MissingRadiusError(kind, which)
    value, angle, flat, ramp = (
        np.asarray(0.0 if item is None else item, dtype=np.float64)
        for item in (given, ramp_angle, radii.on_flat, radii.on_ramp)
    )
    if not ((angle > 0.0) & (angle < np.pi / 2.0)).all():
        raise ValueError("a ramp angle lies between 0 and pi/2 rad")
    return value, angle, flat, ramp


def climb_of(kind: ReadingKind, reading: ArrayLike, ramp_angle: ArrayLike, radii: Radii = UNKNOWN_RADII) -> Array:
    """Climb that a reading means.

    Args:
        kind: which way it was read; its closed form is in `kind.meaning`.
        reading: any shape [m].
        ramp_angle: g, broadcast [rad]; in (0, pi/2).
        radii: of the loaded wheel, broadcast [m].

    Returns:
        s [m], of the broadcast shape.

    Raises:
        MissingRadiusError: the reading needs a radius that is not given.
        ValueError: the ramp angle is outside (0, pi/2).
    """
    arguments = _arguments(kind, reading, ramp_angle, radii)
    return np.asarray(_CONVERSIONS[kind].climb(*arguments))


def reading_of(kind: ReadingKind, climb: ArrayLike, ramp_angle: ArrayLike, radii: Radii = UNKNOWN_RADII) -> Array:
    """Reading [m] that a climb s [m] would give, of the broadcast shape: the inverse of `climb_of`.

    The other arguments and the errors as there.
    """
    arguments = _arguments(kind, climb, ramp_angle, radii)
    return np.asarray(_CONVERSIONS[kind].reading(*arguments))


def score_of(climb: ArrayLike, wheelbase: ArrayLike) -> Array:
    """Score 1000 s / L.

    Args:
        climb: s, any shape [m].
        wheelbase: L, broadcast [m]; positive.

    Returns:
        The score [-].
    """
    return np.asarray(SCORE_SCALE * np.asarray(climb, dtype=np.float64) / np.asarray(wheelbase, dtype=np.float64))
