"""Ramp tests and scores as a person types them, read once for commands and for functions of the library."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from articulate.constants import DEGREE
from articulate.model.ramp_test import DRY_FRICTION, RampTest, ramp_test
from articulate.spec.errors import QuantityError
from articulate.spec.quantities import ANGLE, FORCE, LENGTH, RATIO, Dimension, Estimate, read_quantity
from articulate.studies.population.conditions import DRY, UNKNOWN_SHARE, Conditions, exactly
from articulate.types import SIDES

MOST_TOUCH_LOAD = 2000.0  # [N]; a wheel that carries more is not unloaded
LEAST_ANGLE, MOST_ANGLE = math.radians(5.0), math.radians(35.0)
LEAST_LENGTH, MOST_LENGTH = 0.1, 100.0  # [m], of a ramp
LEAST_FRICTION, MOST_FRICTION = 0.05, 1.5  # wet ice to soft rubber
NOT_KNOWN = "0 to 1"  # a holding share
LARGEST_SCORE = 5000.0  # beyond it, a slip of the pen

Naming = Callable[[str], str]
"""What an argument such as "ramp_angle" is called where it was typed."""


@dataclass(frozen=True)
class TypedRamp:
    """The ramp test as typed, with what is not known of it."""

    angle: Estimate
    touch_load: Estimate
    holding_share: Estimate | None  # None where it is not known
    length: float  # [m], along the slope; inf if not known
    friction: Estimate | None = None  # of tyre on ramp and floor; None for dry ground

    def test(self) -> RampTest:
        """The conditions of one climb, by the nominal values."""
        share = None if self.holding_share is None else self.holding_share.value
        friction = DRY_FRICTION if self.friction is None else self.friction.value
        return ramp_test(1, self.angle.value, share, self.touch_load.value, self.length, friction)

    def conditions(self) -> Conditions:
        """The conditions with their ranges."""
        share = UNKNOWN_SHARE if self.holding_share is None else self.holding_share
        return Conditions(self.angle, share, self.touch_load, self.length, self.friction or DRY)

    def chosen(self) -> Conditions:
        """The conditions with angle and touch load as chosen, without their ranges."""
        angle, load = exactly(self.angle.value, "deg", DEGREE), exactly(self.touch_load.value, "N")
        return replace(self.conditions(), ramp_angle=angle, touch_load=load)


def read_ramp(
    faults: list[str],
    named: Naming,
    ramp_angle: str,
    side: str,
    touch_load: str,
    holding_share: float | str | None,
    ramp_length: str | None,
    friction: str | None,
) -> TypedRamp | None:
    """Read the test; None, and all that is wrong added to the faults, where it cannot be used.

    Args:
        faults: sentences of what was read, why it is wrong and what would work.
        named: what the arguments are called where they were typed.
        ramp_angle: with or without a range.
        side: only checked; it is no part of the ramp.
        touch_load: with or without a range.
        holding_share: a number; a text with a range; None where it is not known.
        ramp_length: None where it is not known.
        friction: of tyre on ramp and floor, with or without a range; None for dry ground.
    """
    before = len(faults)
    angle = read_ramp_angle(named("ramp_angle"), ramp_angle, "the usual ramp is '20 deg'", faults)
    touch = _read(named("touch_load"), touch_load, FORCE, faults)
    if touch is not None and not within(touch, 0.0, MOST_TOUCH_LOAD):
        negative = "negative, " if touch.low < 0.0 else ""
        faults.append(
            f"{named('touch_load')} {touch_load}: {negative}outside 0 to 2000 N; '0 N' is the ideal score, a film "
            "needs '10 to 50 N'"
        )
    share = _read_share(named("holding_share"), holding_share, faults)
    length = math.inf
    if ramp_length is not None:
        read = _read(named("ramp_length"), ramp_length, LENGTH, faults)
        if read is not None:
            length = read.value
            if not LEAST_LENGTH <= length <= MOST_LENGTH:
                faults.append(
                    f"{named('ramp_length')} {ramp_length}: outside 0.1 to 100 m; measure along the slope, e.g. '10 ft'"
                )
    grip = None
    if friction is not None:
        grip = _read(named("friction"), friction, RATIO, faults)
        if grip is not None and not within(grip, LEAST_FRICTION, MOST_FRICTION):
            faults.append(f"{named('friction')} {friction}: outside 0.05 to 1.5; dry ground has '0.6 to 1.0'")
    if side not in SIDES:
        faults.append(f"{named('side')} {side}: not a side; left or right")
    if len(faults) > before:
        return None
    assert angle is not None
    assert touch is not None
    known = None if grip is None else as_given(named("friction"), grip)
    return TypedRamp(as_given(named("ramp_angle"), angle), as_given(named("touch_load"), touch), share, length, known)


def read_ramp_angle(name: str, text: str, works: str, faults: list[str]) -> Estimate | None:
    """An angle a ramp can have; what is wrong goes to the faults."""
    angle = _read(name, text, ANGLE, faults)
    if angle is not None and not within(angle, LEAST_ANGLE, MOST_ANGLE):
        faults.append(f"{name} {text}: outside 5 to 35 deg; {works}")
    return angle


def read_score(name: str, text: str, faults: list[str]) -> Estimate | None:
    """A score with its tolerance; what is wrong goes to the faults."""
    works = f"a score has no unit and lies between 1 and {LARGEST_SCORE:g}; write '587 ± 4'"
    try:
        score = read_quantity(text, RATIO)
    except QuantityError as error:
        faults.append(f"{name} {text}: {error.why}; {works}")
        return None
    if score.unit or not within(score, 1.0, LARGEST_SCORE):
        faults.append(f"{name} {text}: {works}")
        return None
    return score


def read_scores(typed: Mapping[str, tuple[str, str | None]], faults: list[str]) -> dict[str, Estimate]:
    """Scores by the state of the bars, each with the argument it was typed for; those that were not are left out."""
    read = {bars: (name, read_score(name, text, faults)) for bars, (name, text) in typed.items() if text is not None}
    return {bars: as_given(name, score) for bars, (name, score) in read.items() if score is not None}


def as_given(name: str, reading: Estimate) -> Estimate:
    """What was typed for an argument, as an input."""
    return replace(reading, basis=f"{name} {reading.written}")


def within(reading: Estimate, low: float, high: float) -> bool:
    """Whether a reading with all its tolerance lies between limits."""
    return low - 1e-9 <= reading.low <= reading.high <= high + 1e-9


def _read(name: str, text: str, dimension: Dimension, faults: list[str]) -> Estimate | None:
    try:
        return read_quantity(text, dimension)
    except QuantityError as error:
        faults.append(f"{name} {text}: {error}")
        return None


def _read_share(name: str, share: float | str | None, faults: list[str]) -> Estimate | None:
    if share is None or share == NOT_KNOWN:
        return None
    if isinstance(share, str):
        reading = _read(name, share, RATIO, faults)
        if reading is None:
            return None
        if not within(reading, 0.0, 1.0):
            faults.append(f"{name} {share}: outside 0 to 1; '{NOT_KNOWN}' if it is not known")
        return as_given(name, reading)
    if not 0.0 <= share <= 1.0:
        faults.append(f"{name} {share}: outside 0 to 1; 0.5 is the default")
    return Estimate(share, share, share, "exact", "given", "chosen", "", 1.0)
