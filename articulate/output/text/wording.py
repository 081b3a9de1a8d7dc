"""Words that several texts share: how a climb ended."""

from __future__ import annotations

from collections.abc import Sequence

from articulate.climb import Outcome
from articulate.types import AXLES, WHEELS

OUTCOMES = {
    Outcome.WHEEL_LIFTS: "a wheel lifts",
    Outcome.RAMP_ENDS: "the ramp ends first",
    Outcome.EQUILIBRIUM_JUMPS: "jumps",
    Outcome.TIPS: "would TIP",
    Outcome.NOT_CONVERGED: "no answer found",
    Outcome.UNSTABLE_AT_REST: "does not stand upright",
    Outcome.WHEELS_SPIN: "wheels spin",
    Outcome.FALLS_AT_REST: "falls at rest",
    Outcome.LIFTS_BEFORE_RAMP: "lifts before ramp",
}


SPIN_REMARK = "ends by wheelspin: its score is a limit of drive and grip, not of the suspension"
OUTCOME_KEYS = tuple(kind.name.lower() for kind in Outcome)


def outcome_key(outcome: Outcome) -> str:
    """What an outcome is called in data."""
    return outcome.name.lower()


def spin_words(wheels: Sequence[int]) -> str:
    """That they spin: `rear left spins`, `both rear spin`."""
    return f"{spinning_words(wheels) or 'wheels'} {'spins' if len(wheels) == 1 else 'spin'}"


def spinning_words(wheels: Sequence[int]) -> str:
    """Wheels that spin, both of an axle together: `front right, both rear`."""
    if len(wheels) == len(WHEELS):
        return "all four"
    words = []
    for i, axle in enumerate(AXLES):
        mine = [wheel for wheel in wheels if wheel // 2 == i]
        words += [f"both {axle}"] if len(mine) == 2 else [WHEELS[wheel] for wheel in mine]
    return ", ".join(words)
