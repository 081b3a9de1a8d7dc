"""The roll gradient of a vehicle file, for people and as data."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from articulate.output.layout import wrapped
from articulate.output.text.input_names import input_name
from articulate.output.wheels_and_ranges import interval_data, limits_data
from articulate.studies.predict.roll_range import PLAUSIBLE, GradientRange, Pull, RollRange
from articulate.types import each_state

if TYPE_CHECKING:
    from articulate.output.command_data import IntervalData, RollGradientData


def _degrees(gradient: float) -> str:
    return f"{math.degrees(gradient):.1f}" if math.isfinite(gradient) else "rolls over"


def gradient_text(gradient: GradientRange) -> str:
    """Such as `4.2 (3.1 to 5.6) deg/g`; the range is the central 90 %."""
    return f"{_degrees(gradient.value)} ({_degrees(gradient.low)} to {_degrees(gradient.high)}) deg/g"


def gradient_cells(found: RollRange) -> list[str]:
    """Cells of a table with a column each for bars connected and, where they can be, released."""
    return [gradient_text(one) for one in each_state(found)]


def gradient_lines(found: RollRange) -> str:
    """The gradients in a line each, and the caution where one is due."""
    lines = [f"roll gradient in a turn {gradient_text(found.connected)}, bars connected"]
    if found.released is not None:
        lines.append(f"                        {gradient_text(found.released)}, bars released")
    lines.append("  (90 % range; without suspension friction, with which a turn measures less)")
    if caution := gradient_caution(found):
        lines.append(wrapped(f"! {caution}"))
    return "\n".join(lines)


def _mends(pull: Pull) -> str:
    return (
        f"most sensitive to what is assumed of the {input_name(pull.key)} ({pull.key}): "
        f"{_degrees(pull.at_low)} deg/g at the low end of its range, {_degrees(pull.at_high)} at the high one; measure "
        "that first"
    )


def gradient_caution(found: RollRange) -> str:
    """What to say where the file rolls as no road vehicle does; nothing where it does."""
    if found.connected.plausible:
        return ""
    low, high = (round(math.degrees(limit)) for limit in PLAUSIBLE)
    text = f"roll gradient of {_degrees(found.connected.value)} deg/g"
    if not math.isfinite(found.connected.value):
        text = "the weight overturns the roll stiffness"
    text += f": road vehicles have {low} to {high}, so springs, bars or auxiliary roll stiffness are off"
    if found.pulls:
        return f"{text}; it is {_mends(found.pulls[0])}"
    return f"{text}; nothing of it is assumed, so read the file's own numbers again"


def gradient_data(found: RollRange) -> RollGradientData:
    """The roll gradient as plain data [rad/g]; null where a vehicle rolls over."""

    def one(gradient: GradientRange | None) -> IntervalData | None:
        return None if gradient is None else interval_data(gradient)

    return {
        "suspension_friction": "left out; with it a turn measures less",
        "connected_rad_per_g": one(found.connected),
        "released_rad_per_g": one(found.released),
        "plausible": found.connected.plausible,
        "plausible_range_rad_per_g": limits_data(PLAUSIBLE),
        "most_sensitive_assumed_inputs": [
            {"key": pull.key, "at_limits_rad_per_g": limits_data((pull.at_low, pull.at_high))}
            for pull in found.pulls[:5]
        ],
    }
