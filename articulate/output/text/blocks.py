"""The block test as text for an 80-column terminal and as JSON data."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from articulate.climb import Outcome
from articulate.closed_forms.hub_path import climb_from_hub_rise
from articulate.constants import INCH
from articulate.output.layout import finite, row, wrapped
from articulate.output.plain_data import file_data
from articulate.output.text.model_error import model_error_data, sentence
from articulate.output.text.wording import OUTCOMES, outcome_key
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.output.wheels_and_ranges import by_wheel, wheel_key
from articulate.safety import BLOCKS_CAUTION
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.studies.predict.band import Spread
from articulate.studies.predict.blocks import HIGHEST, BlockRun, BlockTest
from articulate.types import WHEELS, each_state, other_side

if TYPE_CHECKING:
    from articulate.output.command_data import BlockRunData, BlocksData, BlockSpreadData

STEPS = {"mm": (0.01, "10 mm"), "in": (INCH, "inch")}  # [m], of a height that is worth points
HOW = (
    "Blocks of one height under both wheels named, nothing under the other two; at the height given a wheel is down to "
    "the touch load."
)
RELATION = (
    "Ranges are those of the vehicles the file allows. Scores are with grip enough. 'By height alone' is the score of "
    "a climb that raises the wheel by twice the blocks: pitch, and the ramp's tilt of the tyre, make the difference."
)


def score_by_height(test: BlockTest, run: BlockRun) -> float:
    """Score of a climb that raises its hub by twice the height of the blocks."""
    climb = climb_from_hub_rise(2.0 * run.height, test.tyre_radius, test.ramp_angle)
    return float(1000.0 * climb / test.wheelbase)


def _outcome(outcome: Outcome, wheel: int, lengths: Lengths) -> str:
    if outcome == Outcome.WHEEL_LIFTS:
        return f"{WHEELS[wheel]} lifts"
    if outcome == Outcome.EQUILIBRIUM_JUMPS:
        return f"jumps, {WHEELS[wheel]} up"
    if outcome == Outcome.RAMP_ENDS:
        return f"none lifts by {lengths.one(HIGHEST)}"
    return OUTCOMES[outcome]


def _number(value: float, form: str, unit: str) -> str:
    return f"{value:{form}} {unit}".rstrip() if math.isfinite(value) else "-"


def _per_step(ratio: Spread, step: float) -> str:
    if not math.isfinite(ratio.median):
        return "-"
    low, median, high = (value * step for value in (ratio.low, ratio.median, ratio.high))
    return f"{median:.1f} ({low:.1f} to {high:.1f})"


def blocks_table(test: BlockTest, spec: VehicleSpec, full: bool = True, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """The result for people: answer first, 80 columns at most; in full the posture, and one wheel raised alone."""
    runs = each_state(test)
    other = other_side(test.side)
    shaken = any(math.isfinite(run.height_shaken) and run.height_shaken != run.height for run in runs)
    step, words = STEPS[lengths.first]
    score = row(f"  score, {math.degrees(test.ramp_angle):g} deg ramp", [_number(run.score, ".0f", "") for run in runs])
    per_step = row(f"  points per {words}", [_per_step(run.score_per_height, step) for run in runs])
    lines = [
        spec.name,
        f"blocks under the front {test.side} and the rear {other} wheel, level ground",
        "",
        row("bars", [run.bars for run in runs]),
        row("height of the blocks", [lengths.both(run.height) for run in runs]),
        row("90 % lie in", [lengths.between(run.heights.low, run.heights.high) for run in runs]),
        *([row("  friction shaken out", [lengths.both(run.height_shaken) for run in runs])] if full and shaken else []),
        row("outcome", [_outcome(run.outcome, run.wheel, lengths) for run in runs]),
    ]
    if not full:
        return "\n".join(
            [
                *lines,
                "on the ramp",
                score,
                per_step,
                "",
                wrapped(f"With a height you measured: score = height x points per {words} (90 % range)."),
                wrapped("--full: loads, travel and posture, one wheel raised alone, what the ranges hold"),
                "",
                wrapped(BLOCKS_CAUTION, ""),
            ]
        )
    lines += [
        "",
        "load",
        *(
            row(f"  {wheel}", [_number(run.wheel_load[i], ".0f", "N") for run in runs])
            for i, wheel in enumerate(WHEELS)
        ),
        "travel from ride height",
        *(
            row(f"  {wheel}", [lengths.one(run.hub_travel[i], signed=True) for run in runs])
            for i, wheel in enumerate(WHEELS)
        ),
        row("left side up, nose down", [f"{_degrees(run.roll)}, {_degrees(run.pitch)} deg" for run in runs]),
        row("to rocking onto the wheel", [lengths.one(run.rocking_margin) for run in runs]),
        "",
        "one wheel raised alone, and the ramp",
        row("  twice the blocks", [lengths.both(2.0 * run.height) for run in runs]),
        row(f"  front {test.side} alone", [lengths.both(run.one_wheel_lift) for run in runs]),
        row("", [_outcome(run.one_wheel_outcome, run.one_wheel, lengths) for run in runs]),
        score,
        row("  score by height alone", [_number(score_by_height(test, run), ".0f", "") for run in runs]),
        per_step,
        "",
        wrapped(HOW, ""),
        wrapped(
            f"With a height you measured: score = height x points per {words}. {RELATION} "
            f"{sentence(test.model, 'the ranges')} Its common part leaves points per height alone.",
            "",
        ),
        "",
        wrapped(BLOCKS_CAUTION, ""),
    ]
    return "\n".join(lines)


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):+.1f}" if math.isfinite(angle) else "-"


def _spread(values: Spread) -> BlockSpreadData:
    low, high = finite(values.low), finite(values.high)
    return {"median": finite(values.median), "low": low, "high": high, "points": values.points}


def _run_data(test: BlockTest, run: BlockRun | None) -> BlockRunData | None:
    if run is None:
        return None
    return {
        "bars": run.bars,
        "outcome": outcome_key(run.outcome),
        "block_height_m": finite(run.height),
        "block_height_friction_shaken_out_m": finite(run.height_shaken),
        "block_height_range_m": _spread(run.heights),
        "lifting_wheel": wheel_key(run.wheel),
        "wheel_load_N": by_wheel(run.wheel_load),
        "hub_travel_m": by_wheel(run.hub_travel),
        "roll_rad": finite(run.roll),
        "pitch_rad": finite(run.pitch),
        "rocking_margin_m": finite(run.rocking_margin),
        "one_wheel_lift_m": finite(run.one_wheel_lift),
        "one_wheel_lifting_wheel": wheel_key(run.one_wheel),
        "ramp_score": finite(run.score),
        "score_by_height_alone": finite(score_by_height(test, run)),
        "score_per_m_of_block": _spread(run.score_per_height),
    }


def blocks_data(test: BlockTest, spec: VehicleSpec) -> BlocksData:
    """The block test as plain data with SI keys, for JSON."""
    return {
        **file_data(spec),
        "side": test.side,
        "ramp_angle_rad": test.ramp_angle,
        "wheelbase_m": test.wheelbase,
        "points": test.points,
        "model_error": model_error_data(test.model),
        "seed": test.seed,
        "connected": _run_data(test, test.connected),
        "released": _run_data(test, test.released),
        "caution": BLOCKS_CAUTION,
    }


def blocks_rows(test: BlockTest) -> Sequence[Mapping[str, str | float]]:
    """One row a state of the bars; limits are of the central 90 %."""
    return [
        {
            "bars": run.bars,
            "outcome": outcome_key(run.outcome),
            "block_height_m": run.height,
            "block_height_low_m": run.heights.low,
            "block_height_high_m": run.heights.high,
            "score_per_m_of_block": run.score_per_height.median,
            "ramp_score": run.score,
        }
        for run in each_state(test)
    ]
