"""The prediction on one screen: score and band, which wheel, what limits it, where the mark is, what that rests on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from articulate.climb import Outcome
from articulate.output.layout import LABEL, doubt_lines, row, wrapped
from articulate.output.text.band import band_range, no_release, percent, range_text, score_text, spread_data
from articulate.output.text.conditions import Stated, condition_lines
from articulate.output.text.input_names import input_words
from articulate.output.text.model_error import LEFT_OUT, model_error_data, short_text
from articulate.output.text.prediction import all_warnings, limited_by, outcome_words, shown_score, spin_rows
from articulate.output.units import Lengths
from articulate.output.wheels_and_ranges import by_wheel
from articulate.prediction import Prediction, Run
from articulate.safety import THREE_WHEELS
from articulate.spec.plausibility import doubts
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.studies.population.sensitivity import Shares
from articulate.studies.predict.band import Band, CaseBand, mark_heights
from articulate.studies.predict.roll_range import RollRange
from articulate.types import each_state

if TYPE_CHECKING:
    from articulate.output.command_data import AnswerData

MOST_WARNINGS, MOST_WARNING_LINES = 2, 5
LEAST_TOLD = 0.005  # share of the variance below which no input is named
METHOD = "Sobol"


@dataclass(frozen=True)
class Reason:
    """What makes a band wide: an input or inputs that are tied, with its share of the variance."""

    keys: tuple[str, ...]
    share: float  # total: it stays when all but these are known
    assumed: bool

    @property
    def words(self) -> str:
        """In words, whether assumed, and its share."""
        return f"{input_words(self.keys)}{' (assumed)' if self.assumed else ''}, {percent(self.share)}"


def reasons(band: Band, shares: Shares) -> list[Reason]:
    """The inputs that make a band wide, the first the most; empty where none does."""
    if not shares.variance > 0.0:
        return []
    found = []
    for place in shares.ranked():
        share, keys = float(shares.total[place]), shares.groups[place]
        if share >= max(LEAST_TOLD, shares.floor):
            found.append(Reason(keys, share, any(band.population.inputs[key].source == "assumed" for key in keys)))
    return found


def _width_lines(band: Band) -> list[str]:
    case = band.cases[0]
    inputs, model = reasons(band, case.shares), sum(case.shares.left_out)
    parts = [(one.share, one.words) for one in inputs[:1]]
    if model >= LEAST_TOLD:
        parts.append((model, f"{LEFT_OUT}, {percent(model)}"))
    if not parts:
        return ["width: nothing that is uncertain moves the score"]
    said = "; then ".join(words for _, words in sorted(parts, reverse=True))
    return [wrapped(f"width comes most from {said} of the variance")]


def _outcome_rows(runs: Sequence[Run], cases: list[CaseBand]) -> list[str]:
    lines = [row("outcome", [outcome_words(run) for run in runs]), *spin_rows(runs)]
    shares = [
        float(case.lifts_first[run.wheel]) if run.wheel >= 0 else math.nan
        for run, case in zip(runs, cases, strict=True)
    ]
    if any(share < 1.0 for share in shares):
        lines.append(
            row("  that wheel first in", ["-" if math.isnan(one) else f"{percent(one)} of the band" for one in shares])
        )
    spins = [case.outcomes.get(int(Outcome.WHEELS_SPIN), 0) / max(sum(case.outcomes.values()), 1) for case in cases]
    if any(spins):
        lines.append(row("  wheels spin in", [f"{percent(one)} of the band" for one in spins]))
    return lines


def _limit_lines(runs: Sequence[Run]) -> list[str]:
    """What is met at the end, one row where it fits."""
    cells = [limited_by(run) for run in runs]
    if len(set(cells)) == 1:
        return [_hung("limited by", cells[0])]
    return [_hung(f"limited by, {run.bars}", cell) for run, cell in zip(runs, cells, strict=True)]


def _hung(label: str, text: str) -> str:
    return wrapped(text, " " * LABEL, f"{label:<{LABEL}}")


def _gain(band: Band, prediction: Prediction, spec: VehicleSpec) -> list[str]:
    if prediction.released is None:
        return [no_release(spec)]
    if band.gain is None or not math.isfinite(prediction.gain):
        return []
    gain = round(prediction.released.score) - round(prediction.connected.score)  # of the scores as they are shown
    return [row("gain from releasing", [f"{gain:+d} ({range_text(band.gain.low, band.gain.high, True)})"])]


def _warning_lines(said: list[str]) -> list[str]:
    """As many as the screen holds; how many more there are."""
    lines: list[str] = []
    told = 0
    for text in said[:MOST_WARNINGS]:
        one = wrapped(f"! {text}").split("\n")
        if told and len(lines) + len(one) > MOST_WARNING_LINES:
            break
        lines += one
        told += 1
    left = len(said) - told
    return [*lines, f"! {left} more: see --full"] if left else lines


def prediction_answer(
    prediction: Prediction, spec: VehicleSpec, band: Band, held: Stated, turn: RollRange | None, lengths: Lengths
) -> str:
    """The answer on one screen of 80 columns; the rest is in `prediction_table`."""
    runs = each_state(prediction)
    cases = list(band.cases)
    marks = [mark_heights(band, case.case) for case in cases]
    assumed = len(spec.assumed())
    lines = [
        wrapped(spec.name),
        *condition_lines(held),
        "",
        row("bars", [run.bars for run in runs]),
        row("score", [shown_score(run) for run in runs]),
        row("  90 % lie in", [band_range(case.score) for case in cases]),
        row("  half lie below", [score_text(case.score.median) for case in cases]),
        *_gain(band, prediction, spec),
        *_outcome_rows(runs, cases),
        row("mark height", [lengths.tape(run.mark_height) for run in runs]),
        row("  90 % lie in", [lengths.between(one.low, one.high, 1) for one in marks]),
        row("climb along the ramp", [lengths.both(run.climb) for run in runs]),
        *_limit_lines(runs),
        "",
        *_width_lines(band),
        short_text(band.model),
        f"{assumed} of {len(spec.inputs)} inputs are assumed; --full lists them, loads, travel, events, drive",
    ]
    if spec.drive is None:
        lines.append("which wheels drive is not given; many tests end by wheelspin before (--full)")
    failed = max(case.failed for case in cases)
    if failed:
        lines.append(wrapped(f"! {failed} of {band.points} possible vehicles have no score and are left out"))
    lines += _warning_lines(all_warnings(prediction, spec, turn))
    lines += doubt_lines(doubts(spec))
    lines += ["", THREE_WHEELS]
    return "\n".join(lines)


def answer_data(spec: VehicleSpec, band: Band) -> AnswerData:
    """What the screen says beside the prediction itself, as plain data."""
    return {
        "band": {
            "points": band.points,
            "seed": band.seed,
            "method": METHOD,
            "model_error": model_error_data(band.model),
            "runs": [
                {
                    "bars": case.case.bars,
                    "score": spread_data(case.score),
                    "mark_height_m": spread_data(mark_heights(band, case.case)),
                    "lifts_first": by_wheel(np.nan_to_num(case.lifts_first)),
                    "failed": case.failed,
                    "width_by_input": [
                        {"keys": list(one.keys), "share_of_variance": one.share, "assumed": one.assumed}
                        for one in reasons(band, case.shares)[:5]
                    ],
                    "width_by_model_error": sum(case.shares.left_out),
                }
                for case in band.cases
            ],
            "gain": spread_data(band.gain) if band.gain is not None else None,
        },
        "inputs_in_all": len(spec.inputs),
        "inputs_assumed": len(spec.assumed()),
    }
