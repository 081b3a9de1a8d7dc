"""What reaches a score, as text for an 80-column terminal, as JSON data and as rows."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from articulate.output.layout import finite, join, wrapped
from articulate.output.plain_data import key_unit
from articulate.output.text.model_error import model_error_data, model_error_text
from articulate.output.text.wording import OUTCOMES, outcome_key
from articulate.output.units import Lengths
from articulate.output.wheels_and_ranges import limits_data, run_head, vehicle_head
from articulate.safety import THREE_WHEELS
from articulate.studies.design.levers import Lever, LeverAnswer
from articulate.studies.design.target import Settled, TargetAnswer

if TYPE_CHECKING:
    from articulate.output.command_data import SettledData, TargetData

JUDGED = (
    "Springs, bars, travel and tyres also decide how a vehicle brakes and turns: have a change judged and fitted as "
    "local rules and licensed practice ask."
)
_NOTICED = 0.05  # points
_STOP = {
    "limit": "the limit given",
    "turns": "beyond it the score falls again",
    "flat": "more of it makes no difference",
    "none": "no score anywhere between the limits",
}


def _price(lever: Lever) -> str:
    """The cost of one unit; for a change of a tenth of the range where nobody gave one it would mean little."""
    return f"{lever.cost * lever.unit_size:.4g} per {lever.unit or '1'}"


def _as_it_is(answer: TargetAnswer) -> str:
    if math.isfinite(answer.present_score):
        return f"{answer.present_score:.1f}"
    return f"no score ({OUTCOMES[answer.present_outcome]})"


def _text(lever: Lever, value: float, digits: int, lengths: Lengths | None) -> str:
    """A value as the file or the range asked for has it, or in the lengths asked for."""
    if lengths is None:
        return lever.text(value, digits)
    return lengths.quantity(value, lever.unit, lever.unit_size, digits)


def headline(answer: TargetAnswer, lengths: Lengths | None = None) -> str:
    """The plain statement."""
    target = f"{answer.target:g}"
    if answer.already:
        return f"{target} is reached as it is: {answer.present_score:.1f}. Nothing has to change."
    if answer.reached and answer.answer is not None:
        changes = " and ".join(
            f"{lever.key} from {_text(lever, lever.present, 4, lengths)} to {_text(lever, value, 5, lengths)}"
            for lever, value in zip(answer.levers, answer.answer.values, strict=True)
            if value != lever.present
        )
        return f"{target} is reached with {changes}."
    if answer.best is None or not math.isfinite(answer.best.score):
        return f"{target} cannot be reached: within the limits there is no score at all."
    best = f"{answer.best.score:.1f}"
    if answer.best.score - answer.present_score < _NOTICED:
        best += ", and no change helps"
    return f"{target} cannot be reached within the limits: the best is {best}."


def _stops(answer: TargetAnswer, lengths: Lengths | None = None) -> list[str]:
    """What stops the score from rising further."""
    if answer.best is None:
        return []
    said = []
    for lever, side in zip(answer.levers, answer.at_limit, strict=True):
        if side:
            value = lever.high if side == "upper" else lever.low
            said.append(f"{lever.key} is at its {side} limit, {_text(lever, value, 5, lengths)}")
    if len(answer.levers) == 1 and answer.alone[0].stop in ("turns", "flat"):
        single = answer.alone[0]
        said.append(
            f"{single.lever.key}: beyond {_text(single.lever, single.best_value, 4, lengths)} "
            + ("the score falls again" if single.stop == "turns" else "more makes no difference")
        )
    if answer.best.decided:
        said.append(f"the climb is then decided by the {answer.best.decided}")
    elif math.isfinite(answer.best.score):
        said.append("the climb is then decided by springs, bars and tyres, not by a stop")
    return said


def _settled_lines(answer: TargetAnswer, settled: Settled, lengths: Lengths | None) -> list[str]:
    lines = [f"{'':<34}{'now':>14}{'then':>14}" + (f"{'cost':>10}" if len(answer.levers) > 1 else "")]
    for lever, value in zip(answer.levers, settled.values, strict=True):
        price = f"{lever.price(value):10.3g}" if len(answer.levers) > 1 else f"{'':>10}"
        lines.append(
            f"{lever.key:<34}{_text(lever, lever.present, 4, lengths):>14}{_text(lever, value, 5, lengths):>14}{price}"
        )
    total = f"{settled.cost:10.3g}" if len(answer.levers) > 1 else ""
    lines.append(f"{'score':<34}{_as_it_is(answer):>14}{settled.score:>14.1f}{total}")
    return [
        *lines,
        *(["cost: as asked for, else 1 for the whole of a range; the least in all is sought"] if total else []),
    ]


def _alone_words(single: LeverAnswer, lengths: Lengths | None) -> tuple[str, str]:
    lever = single.lever
    if single.reaches:
        return _text(lever, single.value, 5, lengths), f"{single.score:.1f}" + (
            " (the score leaps there)" if single.jump else ""
        )
    if not math.isfinite(single.best_score):
        return "-", _STOP["none"]
    return (
        "cannot",
        f"best {single.best_score:.1f} at {_text(lever, single.best_value, 4, lengths)}: {_STOP[single.stop]}",
    )


def target_table(answer: TargetAnswer, full: bool = True, lengths: Lengths | None = None) -> str:
    """The answer for people; in full each input alone, what may change, and what the chance holds.

    lengths: what lengths are shown in; None for the units of the ranges asked for.
    """
    lines = [
        answer.name,
        f"{answer.side} front wheel up a {math.degrees(answer.angle):g} degree ramp, bars {answer.bars}; "
        f"now {_as_it_is(answer)}",
        "",
        wrapped(headline(answer, lengths)),
    ]
    settled = answer.answer if answer.answer is not None else answer.best
    if settled is not None and not answer.already:
        lines += ["", *_settled_lines(answer, settled, lengths)]
    if not answer.already and answer.answer is None:
        lines += [wrapped(f"what stops it: {text}") for text in _stops(answer, lengths)]
    if answer.answer is not None and not answer.already:
        lines.append(f"verified: set in the file and climbed afresh, {answer.answer.score:.2f}")
    if math.isfinite(answer.chance):
        lines.append(
            wrapped(
                f"chance that the vehicle {'as it is' if answer.already else 'so changed'} reaches {answer.target:g}, "
                f"with all that file, test and model leave uncertain: {100.0 * answer.chance:.0f} % "
                f"({answer.samples} possible vehicles"
                + (f", {answer.no_score} of them without a score)" if answer.no_score else ")")
            )
        )
        if full:
            lines.append(wrapped(model_error_text(answer.model, "the chance")))
    if not full:
        if not answer.already:
            lines += ["", wrapped(f"Nothing here asks whether a part can be had or a tyre rubs. {JUDGED}")]
        return join([*lines, "", "--full: each input alone, what may change, what the chance holds", "", THREE_WHEELS])
    if not answer.already:
        lines += ["", "each alone"]
        for single in answer.alone:
            value, said = _alone_words(single, lengths)
            lead = f"  {single.lever.key:<34}{value:>10}  "
            lines.append(wrapped(lead + said, " " * 8))
        lines += ["", "what may change"]
        for lever in answer.levers:
            limits = f"{_text(lever, lever.low, 5, lengths)} to {_text(lever, lever.high, 5, lengths)}"
            lines.append(f"  {lever.key:<34}{limits:<28}" + (_price(lever) if len(answer.levers) > 1 else ""))
        lines.append(
            wrapped(
                "All other inputs stay as they are, at their nominal values. Nothing here asks whether a part can be "
                f"had or a tyre rubs. {JUDGED}",
                "",
            )
        )
    return join([*lines, "", THREE_WHEELS])


def _settled_data(answer: TargetAnswer, settled: Settled | None) -> SettledData | None:
    if settled is None:
        return None
    return {
        "values": [
            {"key": lever.key, "unit": key_unit(lever.key), "value": value}
            for lever, value in zip(answer.levers, settled.values, strict=True)
        ],
        "score": finite(settled.score),
        "outcome": outcome_key(settled.outcome),
        "cost": settled.cost,
        "decided_by": settled.decided,
    }


def target_data(answer: TargetAnswer) -> TargetData:
    """The answer as plain data with SI keys, for JSON."""
    return {
        **vehicle_head(answer.name),
        **run_head(answer.bars, answer.side, answer.angle),
        "target_score": answer.target,
        "present_score": finite(answer.present_score),
        "present_outcome": outcome_key(answer.present_outcome),
        "already_reached": answer.already,
        "reached": answer.reached,
        "statement": headline(answer),
        "answer": _settled_data(answer, answer.answer),
        "best": _settled_data(answer, answer.best),
        "what_stops_it": [] if answer.answer is not None else _stops(answer),
        "chance": finite(answer.chance),
        "model_error": model_error_data(answer.model),
        "samples": answer.samples,
        "samples_without_score": answer.no_score,
        "climbs": answer.climbs,
        "levers": [
            {
                "key": single.lever.key,
                "unit": key_unit(single.lever.key),
                "present": single.lever.present,
                "limits": limits_data((single.lever.low, single.lever.high)),
                "cost_per_unit": single.lever.cost,
                "alone": {
                    "reaches": single.reaches,
                    "value": finite(single.value),
                    "score": finite(single.score),
                    "score_leaps": single.jump,
                    "best_value": finite(single.best_value),
                    "best_score": finite(single.best_score),
                    "what_ends_it": single.stop or None,
                    "unit": key_unit(single.lever.key),
                },
            }
            for single in answer.alone
        ],
    }


def target_rows(answer: TargetAnswer) -> Sequence[Mapping[str, str | float]]:
    """The score over each lever alone, a row a point, for CSV."""
    return [
        {"key": single.lever.key, "value_SI": value, "score": score}
        for single in answer.alone
        for value, score in zip(single.curve.value, single.curve.score, strict=True)
    ]
