"""What was learned from a run, as text for an 80-column terminal and as JSON data."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from articulate.output.layout import WIDTH, finite, row, wrapped
from articulate.output.plain_data import key_unit, si_unit
from articulate.output.text.band import heading, percent, population_data, score_text
from articulate.output.text.model_error import ONE_SD, model_error_data, model_error_text
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.safety import CAUTION, THREE_WHEELS
from articulate.spec.quantities import shown
from articulate.studies.learn.learned_file import LearnedFile, moved
from articulate.studies.learn.learning import (
    FEWEST,
    SURPRISING,
    UNEXPLAINED,
    InputPosterior,
    Learned,
    ReadingFit,
    input_posteriors,
)
from articulate.studies.learn.outlook import Outlook
from articulate.studies.learn.readings import ScoreReading
from articulate.studies.predict.band import Spread
from articulate.types import Case

if TYPE_CHECKING:
    from articulate.output.command_data import LearningData, OutlookData, SavedData

MOST_INPUTS = 14
WORTH_MEASURING = 0.03
FIT_LABEL, FIT_COLUMN = 36, 17


def case_name(case: Case, learned: Learned) -> str:
    """Bars, and the side where there is more than one."""
    sides = {other.side for other in learned.runs.ends}
    return f"{case.bars}, {case.side}" if len(sides) > 1 else f"bars {case.bars}"


def _outlook_text(outlook: Outlook | None, signed: bool = False) -> str:
    if outlook is None or math.isnan(outlook.median):
        return "not known"
    low, median, high = (score_text(value, signed) for value in (outlook.low, outlook.median, outlook.high))
    if math.isinf(outlook.low):
        return low
    if math.isinf(outlook.median):
        return f"beyond ({low} up)"
    return f"{median} ({low} up)" if math.isinf(outlook.high) else f"{median} ({low} to {high})"


def _narrowed(before: Outlook, after: Outlook | None) -> str:
    if after is None or not math.isfinite(before.width) or not math.isfinite(after.width):
        return "-"
    return percent(after.width / before.width)


def _fit_row(fit: ReadingFit, both_sides: bool, lengths: Lengths) -> str:
    unit, size = lengths.unit_of(*fit.reading.unit)
    digits = ".0f" if size == 1.0 and abs(fit.reading.value) >= 100.0 else ".4g"

    def text(value: float, deviation: float) -> str:
        close = ".0f" if deviation / size >= 100.0 else ".2g"
        return f"{value / size:{digits}} ±{deviation / size:{close}} {unit}".strip()

    measured = text(fit.reading.value, fit.reading.standard_uncertainty)
    predicted = text(fit.predicted, fit.predicted_deviation)
    after = f"{fit.residual:+.1f}" if math.isfinite(fit.residual) else "-"
    case = getattr(fit.reading, "case", None)
    side = f", {case.side}" if both_sides and case is not None else ""
    label, cells = f"  {fit.reading.label}{side}", [measured, predicted, after]
    if len(label) < FIT_LABEL:
        return row(label, cells, FIT_LABEL, FIT_COLUMN)
    return f"{label}\n{row('', cells, FIT_LABEL, FIT_COLUMN)}"


def _scores_first(learned: Learned) -> list[ReadingFit]:
    """Measured scores; where there are none, all that was read."""
    scores = [fit for fit in learned.fits if isinstance(fit.reading, ScoreReading)]
    return scores or list(learned.fits)


def warnings(learned: Learned) -> list[str]:
    """What a person must know before using the band after learning."""
    said = []
    if learned.chance < UNEXPLAINED:
        said.append(
            f"the readings are so far from the prediction (chance {_chance_text(learned)}) that no weighting of what "
            "the vehicle file allows explains them. Read mark, ramp angle and wheelbase again, then look for what the "
            "file has wrong: a stop or travel, the bar's state, tyre pressure, the load aboard. Do not rely on the "
            "band after learning"
        )
    elif learned.chance < SURPRISING:
        said.append(
            f"readings this far from the prediction are rare (chance {_chance_text(learned)}): check the reading and "
            "the file before relying on the band after learning"
        )
    said += [
        f"{seen.label}: that was expected with a chance of {percent(chance)}; look again, or the file is off"
        for seen, chance in zip(learned.seen, learned.chances_seen, strict=True)
        if chance < SURPRISING
    ]
    if not learned.trusted:
        said.append(
            f"of {learned.runs.points} points only {learned.effective:.0f} carry the weight ({FEWEST:.0f} are needed): "
            "nothing is said about what was learned. Readings that contradict each other or the file do that; "
            "otherwise give more --points"
        )
    said += [
        f"{fit.reading.label}: even after learning it stays {abs(fit.residual):.1f} standard deviations off"
        for fit in learned.fits
        if math.isfinite(fit.residual) and abs(fit.residual) > 2.0
    ]
    return said


def _chance_text(learned: Learned) -> str:
    if learned.chance < 0.001:
        return "below 0.1 %"
    return f"{100.0 * learned.chance:.1f} %" if learned.chance < 0.1 else percent(learned.chance)


def _input_lines(learned: Learned, posteriors: tuple[InputPosterior, ...], lengths: Lengths) -> list[str]:
    inputs = learned.runs.population.inputs
    found = sorted((one for one in posteriors if moved(one)), key=lambda one: (one.narrowing - abs(one.shift), one.key))
    lines = ["", f"inputs that moved, of {len(posteriors)}: median (central 90 %), * assumed before"]
    if not found:
        lines.append("  none by more than a tenth of its own spread")
    for one in found[:MOST_INPUTS]:
        estimate = inputs[one.key]
        mark = "*" if estimate.source == "assumed" else ""

        def text(median: float, low: float, high: float, estimate: Any = estimate) -> str:
            unit, size = lengths.unit_of(estimate.unit, estimate.unit_size)
            ends = f"({shown(low, '', size, 4)} to {shown(high, '', size, 4)})"
            return f"{shown(median, '', size, 4)} {ends} {unit}".rstrip()

        lines.append(f"  {one.key}{mark}")
        before = text(one.median_before, one.low_before, one.high_before)
        after = text(one.median, one.low, one.high)
        line = f"    {before:<37}-> {after}"
        lines += [line] if len(line) <= WIDTH else [f"    {before}", f"    -> {after}"]
    if len(found) > MOST_INPUTS:
        lines.append(f"  and {len(found) - MOST_INPUTS} more, in --json")
    return lines


def _remaining_lines(learned: Learned, posteriors: tuple[InputPosterior, ...]) -> list[str]:
    target = next(case for case in learned.cases if case.case == learned.target)
    assert target.after is not None
    ranked = sorted(posteriors, key=lambda one: -one.remaining)
    lines = ["", f"what keeps the band of {case_name(learned.target, learned)} wide (share of the variance left)"]
    free = 1.0 - target.after.noise_share
    lines += [
        row(f"  {one.key}", [percent(one.remaining * free)], 58, 10)
        for one in ranked[:6]
        if one.remaining * free >= WORTH_MEASURING
    ]
    lines.append(row("  the next reading and what the model leaves out", [percent(target.after.noise_share)], 58, 10))
    return lines


def learning_table(
    learned: Learned,
    saved: tuple[LearnedFile, dict[Case, Spread]] | None = None,
    full: bool = True,
    lengths: Lengths = MILLIMETRES_FIRST,
) -> str:
    """What was learned for people: bands before and after first, 80 columns at most; in full which inputs moved."""
    said = warnings(learned)
    lines = [
        *heading(learned.runs.population, " and ".join(dict.fromkeys(case.side for case in learned.runs.ends))),
        "",
        row("score, 90 % of tests in", ["before", "after", "width left"], 26, 22),
    ]
    for case in learned.cases:
        cells = [_outlook_text(case.before), _outlook_text(case.after), _narrowed(case.before, case.after)]
        lines.append(row(case_name(case.case, learned), cells, 26, 22))
    if learned.gain is not None:
        before, after = learned.gain
        cells = [_outlook_text(before, True), _outlook_text(after, True), _narrowed(before, after)]
        lines.append(row("gain from releasing", cells, 26, 22))
    if said:
        lines += ["", *(wrapped(f"! {text}.") for text in said)]
    lines += [
        "",
        row(f"learned from (± and off: {ONE_SD})", ["measured", "predicted", "off after"], FIT_LABEL, FIT_COLUMN),
        *(
            _fit_row(fit, len({case.side for case in learned.runs.ends}) > 1, lengths)
            for fit in (learned.fits if full else _scores_first(learned))
        ),
    ]
    if not full:
        left = len(learned.fits) - len(_scores_first(learned)) + len(learned.seen)
        lines += [f"  and {left} more reading{'s' if left > 1 else ''}"] if left else []
        lines += [f"chance of readings as far from the prediction: {_chance_text(learned)}"] if learned.readings else []
        said = [*lines, "--full: all readings, inputs that moved, what keeps the bands wide"]
        return "\n".join([*said, *(["", *_saved_lines(learned, *saved)] if saved else []), "", THREE_WHEELS])
    lines += [
        f"  {seen.label}: expected with {percent(chance)}"
        for seen, chance in zip(learned.seen, learned.chances_seen, strict=True)
    ]
    lines.append("  (left-out physics in ± and off)")
    if learned.readings:
        lines.append(f"chance of readings as far from the prediction: {_chance_text(learned)}")
    posteriors = input_posteriors(learned)
    if posteriors:
        lines += _input_lines(learned, posteriors, lengths) + _remaining_lines(learned, posteriors)
    lines += ["", wrapped(_method_text(learned))]
    if saved is not None:
        lines += ["", *_saved_lines(learned, *saved)]
    return "\n".join([*lines, "", wrapped(CAUTION, "")])


def _method_text(learned: Learned) -> str:
    allowance = model_error_text(learned.model)
    rounds = f" after {learned.rounds} further round{'s' if learned.rounds > 1 else ''}" if learned.rounds else ""
    return f"{learned.effective:.0f} effective of {learned.runs.points} possible vehicles{rounds}; {allowance}"


def _saved_lines(learned: Learned, saved: LearnedFile, bands: dict[Case, Spread]) -> list[str]:
    lines = [wrapped(f"saved with {len(saved.changed)} inputs changed: {', '.join(saved.changed)}")]
    if saved.refused:
        lines.append(wrapped(f"not written, beyond what the file takes as plausible: {', '.join(saved.refused)}"))
    for key in saved.of_the_test:
        one = next(posterior for posterior in input_posteriors(learned) if posterior.key == key)
        lines.append(
            wrapped(f"{key} was learned too ({one.low:.2g} to {one.high:.2g}) but is of the test, not of the file")
        )
    for case in learned.cases:
        band = bands[case.case]
        after = f"{_outlook_text(case.after)} learned"
        lines.append(
            wrapped(
                f"{case_name(case.case, learned)}: from the saved file alone {band.median:.0f} "
                f"({score_text(band.low)} to {score_text(band.high)}), {after}"
            )
        )
    lines.append(
        wrapped(
            "The file holds each input for itself: that they were learned together is lost, so its band has moved "
            "less and is wider than what was learned. For the next run use the band above."
        )
    )
    return lines


def _outlook_data(outlook: Outlook | None) -> OutlookData | None:
    if outlook is None:
        return None
    return {
        "median": finite(outlook.median),
        "low": finite(outlook.low),
        "high": finite(outlook.high),
        "noise_share_of_variance": finite(outlook.noise_share),
    }


def learning_data(learned: Learned, saved: tuple[LearnedFile, dict[Case, Spread]] | None = None) -> LearningData:
    """What was learned as plain data with SI keys, for JSON."""
    return {
        **population_data(learned.runs.population),
        "points": learned.runs.points,
        "prior_points": learned.prior_points,
        "effective_points": learned.effective,
        "rounds": learned.rounds,
        "trusted": learned.trusted,
        "explained": learned.explained,
        "chance_of_readings_as_far": learned.chance,
        "model_error": model_error_data(learned.model),
        "readings": [
            {
                "what": fit.reading.label,
                "unit": si_unit(fit.reading.unit[0]),
                "value": fit.reading.value,
                "standard_uncertainty": fit.reading.standard_uncertainty,
                "predicted": finite(fit.predicted),
                "predicted_standard_deviation": finite(fit.predicted_deviation),
                "residual_standard_deviations": finite(fit.residual),
            }
            for fit in learned.fits
        ],
        "seen": [
            {"what": seen.label, "chance_before": finite(chance)}
            for seen, chance in zip(learned.seen, learned.chances_seen, strict=True)
        ],
        "scores": [
            {
                "side": case.case.side,
                "bars": case.case.bars,
                "measured": case.measured,
                "before": _outlook_data(case.before),
                "after": _outlook_data(case.after),
            }
            for case in learned.cases
        ],
        "gain": (
            {"before": _outlook_data(learned.gain[0]), "after": _outlook_data(learned.gain[1])}
            if learned.gain is not None
            else None
        ),
        "inputs": [
            {
                "key": one.key,
                "unit": key_unit(one.key),
                "before": {"median": one.median_before, "low": one.low_before, "high": one.high_before},
                "mean": one.mean,
                "standard_deviation": one.deviation,
                "median": one.median,
                "low": one.low,
                "high": one.high,
                "shift_in_standard_deviations": one.shift,
                "standard_deviation_over_before": one.narrowing,
                "share_of_remaining_input_variance": one.remaining,
            }
            for one in input_posteriors(learned)
        ],
        "next_run": {"side": learned.target.side, "bars": learned.target.bars},
        "warnings": warnings(learned),
        "saved": _saved_data(*saved) if saved is not None else None,
        "not_built": dict(learned.runs.faults),
    }


def _saved_data(saved: LearnedFile, bands: dict[Case, Spread]) -> SavedData:
    return {
        "changed": list(saved.changed),
        "refused": list(saved.refused),
        "of_the_test": list(saved.of_the_test),
        "scores_from_file_alone": [
            {
                "side": case.side,
                "bars": case.bars,
                "median": finite(band.median),
                "low": finite(band.low),
                "high": finite(band.high),
            }
            for case, band in bands.items()
        ],
    }


def learning_rows(learned: Learned) -> Sequence[Mapping[str, str | float]]:
    """One row a case, before and after: median and central 90 % of tests; NaN where nothing is known."""
    rows: list[Mapping[str, str | float]] = []
    for case in learned.cases:
        for when, outlook in (("before", case.before), ("after", case.after)):
            rows.append(
                {
                    "side": case.case.side,
                    "bars": case.case.bars,
                    "when": when,
                    "median": outlook.median if outlook else math.nan,
                    "low": outlook.low if outlook else math.nan,
                    "high": outlook.high if outlook else math.nan,
                    "measured": math.nan if case.measured is None else case.measured,
                }
            )
    return rows
