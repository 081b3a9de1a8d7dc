"""The audit as text for an 80-column terminal and as JSON data."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from articulate.constants import NORMAL_90
from articulate.measure.plausible_readings import reading_doubts
from articulate.output.layout import WIDTH, doubt_lines, meaningful, wrapped
from articulate.output.plain_data import NO_UNIT, doubt_data, file_data
from articulate.output.text.conditions import Stated, condition_data, condition_lines, stated
from articulate.output.text.model_error import model_error_data, model_error_text
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.safety import CAUTION, THREE_WHEELS
from articulate.spec.plausibility import Doubt
from articulate.spec.quantities import shown
from articulate.studies.audit.audit import ALARM, Audit, Contrast, Verdict
from articulate.studies.audit.expectations import CLEAN, CLEAN_PRIOR, OTHER, OTHER_PRIOR
from articulate.studies.audit.findings import Finding, Look
from articulate.studies.audit.information import READY, Advice
from articulate.studies.audit.sizes import Size

if TYPE_CHECKING:
    from articulate.output.command_data import AuditData, CauseData, DeviationData, LookData, SizeData

SHOWN_CAUSE = 0.01  # probability from which a cause is shown in full
SIZED_CAUSE = 0.05  # ... from which a screenful says how large it would be; below, its size is what was supposed before
SHOWN_CAUSES, SHOWN_CHECKS = 3, 5


def _wrapped(text: str, indent: str = "", hang: str | None = None) -> str:
    """A paragraph indented as a whole, its further lines at `hang` where that is given."""
    return wrapped(text, indent if hang is None else hang, indent, whole_words=True)


def percent_words(share: float) -> str:
    """A share in per cent, two digits where it is small and whole ones above: 0.13 %, 2.4 %, 38 %, 100 %."""
    percent = share * 100.0
    return f"{percent:.0f} %" if percent >= 9.95 else f"{percent:.2g} %"


def verdict_sentence(audit: Audit) -> str:
    """The verdict in a sentence a reviewer could publish."""
    least = audit.surprise <= 0.001
    share = "less than 0.1 %" if least else percent_words(audit.surprise)
    p = "p < 0.001" if least else f"p = {audit.surprise:.2g}"
    tail = f"a vehicle as filed, rightly run and read, gives readings this far off in {share} of tests ({p})"
    return {
        Verdict.CONSISTENT: f"Consistent with the vehicle file: {tail}.",
        Verdict.DOUBTFUL: f"Doubtful, not yet a contradiction: {tail}.",
        Verdict.INCONSISTENT: f"NOT CONSISTENT with the vehicle file: {tail}.",
        Verdict.EXPLAINED: f"Not consistent with the vehicle file, and explained: {tail}.",
    }[audit.verdict]


def likeliest_sentence(audit: Audit, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """The likeliest cause with its size and probability, or that nothing is wrong, in words one could publish."""
    cause = audit.likeliest
    clean = f"{audit.clean * 100.0:.0f} %"
    if cause is None or audit.clean >= cause.probability:
        return f"Most likely ({clean}) nothing is wrong."
    if audit.other > cause.probability:
        return (
            f"Most likely ({audit.other * 100.0:.0f} %): none of the causes that are known here, or several at once. "
            f"That nothing is wrong: {clean}."
        )
    text = f"Most likely ({cause.probability * 100.0:.0f} %): {cause_words(cause, lengths)}."
    return text if audit.settled else f"{text} That nothing is wrong: {clean}."


def cause_words(finding: Finding, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """A cause with its place and the size it needs."""
    needed = needed_text(finding, lengths)
    return place_words(finding) + (f"; {needed}" if needed else "")


def place_words(finding: Finding) -> str:
    """A cause with its place."""
    return f"{finding.name}, {finding.place}" if finding.place else finding.name


def next_sentence(audit: Audit) -> str:
    """What to do about it, where that is settled; empty otherwise."""
    if audit.settled is None:
        return ""
    text = f"Correct this and audit again: {audit.settled.correct}."
    if audit.second_cause:
        text += " Even so the readings stay odd: a second cause is at work beside it."
    return text


def _value(look: Look, value: float, lengths: Lengths, digits: int = 4) -> str:
    channel = look.channel
    if channel.unit == "mm":
        return lengths.one(value)
    if channel.unit in ("deg", "N/mm"):
        return f"{value / channel.unit_size:.1f} {channel.unit}"
    return shown(value, channel.unit, channel.unit_size, digits)


def needed_text(finding: Finding, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """The size a cause would need, with its 90 % range; empty where it has none. A slip of the tape keeps its unit."""
    if finding.needed is None or finding.size is None:
        return ""
    size, (middle, low, high) = finding.size, finding.needed
    if size.continuous:
        unit, unit_size = lengths.unit_of(size.unit, size.unit_size)
        size = replace(size, unit=unit, unit_size=unit_size)
    return f"{size.what}: {size.text(middle) if low == high else _sized(size, middle, low, high)}"


def _sized(size: Size, middle: float, low: float, high: float) -> str:
    """A size with its range, to the second digit of the range and the unit once: `-0.35 (-0.85 to +0.12) deg`."""
    places = max(1 - math.floor(math.log10((high - low) / size.unit_size)), 0)
    signs = ["+" if size.text(value).startswith("+") else "" for value in (middle, low, high)]
    values = zip(signs, (middle, low, high), strict=True)
    shown_as = [f"{value / size.unit_size:{sign}z.{places}f}" for sign, value in values]
    return f"{shown_as[0]} ({shown_as[1]} to {shown_as[2]}) {size.unit}".strip()


def _finding(finding: Finding, tied: bool, lengths: Lengths) -> list[str]:
    place = f", {finding.place}" if finding.place else ""
    spread = bool(finding.place) and finding.place_probability < 0.95
    sure = f" ({finding.place_probability * 100:.0f} % there)" if spread else ""
    lines = [f"{finding.rank:>2}{'=' if tied else ' '} {finding.probability * 100:5.1f} %  {finding.name}{place}{sure}"]
    indent = " " * 13
    lines.append(_wrapped(finding.sentence, indent))
    if finding.needed is not None:
        lines.append(_wrapped(f"needs {needed_text(finding, lengths)}", indent, indent + "  "))
    if finding.name not in (CLEAN, OTHER):
        moved = "; ".join(f"{case.side} {case.bars} {move:+.0f}" for case, move in finding.moves.items())
        lines.append(_wrapped(f"moves the score: {moved}", indent, indent + "  "))
    for look in finding.telltales:
        value, otherwise = (_value(look, one, lengths) for one in (look.value, look.otherwise))
        text = f"then {look.channel.what} would be {value} (else {otherwise})"
        lines.append(_wrapped(text, indent, indent + "  "))
    if finding.found_by_look:
        lines.append(_wrapped(f"a look would find it: {', '.join(finding.found_by_look)}", indent, indent + "  "))
    if finding.correct:
        lines.append(_wrapped(f"if it is this: {finding.correct}", indent, indent + "  "))
    if finding.alike:
        lines.append(_wrapped(f"fits these readings as well as: {', '.join(finding.alike)}", indent, indent + "  "))
    return lines


def _answer_words(one: Advice, lengths: Lengths) -> str:
    """How the check is answered."""
    check = one.check
    units = {key: lengths.unit_of(one.units.get(key, ""), 1.0)[0] for key in check.channels}
    keys = [f"{key}=... {unit}".strip() for key, unit in units.items()] + [f"{look}=fine" for look in check.looks]
    names = [key.partition("=")[0] for key in keys]
    stem = names[0].rpartition(".")[0] + "."
    alike = all(name.startswith(stem) for name in names)
    rest = [name.removeprefix(stem) if alike else name for name in names[1:]]
    more = f", likewise {', '.join(rest)}" if rest else ""
    found = " (or found)" if check.looks else ""
    return f"then: --answer '{keys[0]}'{found}{more}"


def _instruction(one: Advice) -> str:
    return f"{one.check.instruction} {one.check.caution}".strip()


def _advice(number: int, one: Advice, lengths: Lengths) -> list[str]:
    return [
        f"{number:>2}  {one.check.name}",
        f"    {one.gain:.2f} bit, about {one.check.minutes:.0f} min",
        _wrapped(_instruction(one), "    "),
        _wrapped(_answer_words(one, lengths), "    ", "      "),
    ]


def _telling(audit: Audit) -> list[Advice]:
    return [one for one in audit.advice if one.tells][:SHOWN_CHECKS]


HEAD = f"{'score (± is the 90 % range)':<42}{'read':>12}{'expected':>13}{'off by':>11}"
NOTHING_TELLS = "No check here would tell more."
LEFT = "(Taking a mark again comes last: the vehicle has left it; --still-at-mark if it has not.)"


def _asked(audit: Audit) -> tuple[Doubt, ...]:
    return () if audit.sheet is None else reading_doubts(audit.sheet)


def _asked_about(audit: Audit) -> list[str]:
    """The readings to look at before anything is checked, where the sheet itself makes one ask."""
    found = _asked(audit)
    return ["read again first what is asked about in the readings", *doubt_lines(found), ""] if found else []


def _if_so(audit: Audit) -> str:
    """What to correct if it is the likeliest cause, where no check is left to settle it."""
    cause = audit.likeliest
    if cause is None or not cause.correct or cause.probability < max(audit.clean, audit.other):
        return ""
    return f"If it is what is most likely: {cause.correct}; then audit again."


def _after(names: Sequence[str]) -> str:
    return f"after that: {'; '.join(names)}"


def _contrast_row(one: Contrast) -> str:
    read = f"{one.read:z.0f} ± {one.uncertainty * NORMAL_90:.0f}"
    expected = f"{one.expected:z.0f} ± {one.spread * NORMAL_90:.0f}"
    return f"{one.name:<42}{read:>12}{expected:>13}{one.deviations:>+z8.1f} sd"


def audit_answer(audit: Audit, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """The verdict, what drives it, three causes and the next check: a screenful of 80 columns."""
    lines = [audit.scene.spec.name, _wrapped(verdict_sentence(audit)), _wrapped(likeliest_sentence(audit, lengths))]
    if audit.settled is not None:
        lines.append(_wrapped(next_sentence(audit)))
    if audit.answers.given:
        lines.append(_wrapped(f"answered: {'; '.join(audit.answers.given)}", "  ", "    "))
    lines += ["", HEAD]
    most = max(abs(run.deviations) for run in audit.runs)
    odd = audit.verdict is not Verdict.CONSISTENT
    driving = [one for one in audit.contrasts[:1] if odd and abs(one.deviations) > most]
    lines += [_contrast_row(one) for one in (*driving, *audit.runs)]
    causes = [finding for finding in audit.findings if finding.name != CLEAN]
    told = audit.likeliest if audit.likeliest and audit.clean < audit.likeliest.probability else None
    head = "what would explain it" if audit.problem or told else "if something were wrong, likeliest"
    lines += ["", f"{head} (--full: every cause and check)"]
    for finding in causes[:SHOWN_CAUSES]:
        sized = finding is not told and finding.probability >= SIZED_CAUSE
        words = cause_words(finding, lengths) if sized else place_words(finding)
        lines.append(_wrapped(f"{finding.probability * 100:4.0f} %  {words}", "", " " * 8))
    lines += ["", *_asked_about(audit)]
    telling = _telling(audit)
    if telling:
        first = telling[0]
        lines.append(_wrapped(f"check next: {first.check.name} ({first.check.minutes:.0f} min, {first.gain:.2f} bit)"))
        lines.append(_wrapped(_instruction(first), "  "))
        lines.append(_wrapped(_answer_words(first, lengths), "  ", "    "))
        after = [one.check.name for one in telling[1:3]]
        while len(after) > 1 and len(_wrapped(_after(after), "  ")) > WIDTH:
            after.pop()
        lines += [_wrapped(_after(after), "  ", "    ")] if after else []
    else:
        lines.append(_wrapped(f"{NOTHING_TELLS} {_if_so(audit)}".strip()))
    lines += [*condition_lines(stated_of(audit)), THREE_WHEELS]
    return "\n".join(lines)


def stated_of(audit: Audit, lengths: Lengths | None = None) -> Stated:
    """What the audit holds for; its lengths are shown as asked for, else as the vehicle file has them."""
    sides = " and ".join(dict.fromkeys(case.side for case in audit.scene.cases))
    sheets = [] if audit.sheet is None else [audit.sheet]
    return stated(audit.conditions, sides, [audit.scene.spec], lengths=lengths, sheets=sheets)


def audit_table(audit: Audit, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """The audit for people: the verdict first, then causes, then what to check; 80 columns at most."""
    lines = [audit.scene.spec.name, _wrapped(verdict_sentence(audit)), _wrapped(likeliest_sentence(audit, lengths))]
    lines += [_wrapped(text) for text in [next_sentence(audit)] if text]
    lines.append("")
    lines.append(HEAD)
    for fit in audit.fits:
        read = f"{fit.read:.0f} ± {fit.uncertainty * NORMAL_90:.0f}"
        expected = f"{fit.expected:.0f} ± {fit.spread * NORMAL_90:.0f}"
        lines.append(f"{fit.name:<42}{read:>12}{expected:>13}{fit.deviations:>+z8.1f} sd")
    lines += map(_contrast_row, audit.contrasts)
    lines.append("  (expected from file and model, reading included)")
    if audit.used:
        used = [key.replace("contest.", "wheel that lifted, ") for key in audit.used]
        used = [key.replace(".", " ").replace("_", " ") for key in used]
        lines.append(_wrapped(f"also judged: {'; '.join(used)}", "  ", "    "))
    if audit.answers.given:
        lines.append(_wrapped(f"answered since: {'; '.join(audit.answers.given)}", "  ", "    "))
    lines += ["", f"nothing is wrong: {audit.clean * 100:.1f} %; otherwise, by probability"]
    causes = [finding for finding in audit.findings if finding.name != CLEAN]
    ranks = [finding.rank for finding in causes]
    for finding in causes:
        if finding.probability >= SHOWN_CAUSE:
            lines += _finding(finding, ranks.count(finding.rank) > 1, lengths)
    rest = [finding.name for finding in causes if finding.probability < SHOWN_CAUSE]
    if rest:
        lines.append(_wrapped(f"under 1 % each: {', '.join(rest)}", "    ", "      "))
    telling = _telling(audit)
    head = f"what to check next, the most information for its time first ({READY:.0f} min more to get ready)"
    lines += ["", *_asked_about(audit), _wrapped(head if telling else NOTHING_TELLS, "", "  ")]
    for number, one in enumerate(telling, 1):
        lines += _advice(number, one, lengths)
    if not audit.still_at_mark and any(one.check.at_mark for one in audit.advice):
        lines.append(_wrapped(LEFT, "    "))
    lines += ["", *condition_lines(stated_of(audit))]
    lines += [*(_wrapped(f"note: {text}", "", "  ") for text in _notes(audit)), wrapped(CAUTION, "")]
    return "\n".join(lines)


def _notes(audit: Audit) -> list[str]:
    shared = 1.0 - CLEAN_PRIOR - OTHER_PRIOR
    notes = [
        *audit.remarks,
        f"before the readings: {CLEAN_PRIOR * 100:.0f} % nothing wrong, {OTHER_PRIOR * 100:.0f} % none of these, "
        f"{shared * 100:.0f} % shared by the causes that can apply (assumed base rates)",
        model_error_text(audit.model, "what is expected"),
    ]
    assumed = len(audit.scene.spec.assumed())
    if assumed:
        notes.append(f"{assumed} inputs of the vehicle are assumed, not given; measuring them sharpens the audit")
    if audit.lost:
        notes.append(f"{audit.lost} of the climbs behind this audit ended without a lift and were left out")
    return notes


def _deviation_data(one: Contrast) -> DeviationData:
    return {
        "score": one.read,
        "reading_standard_deviation": one.uncertainty,
        "expected": one.expected,
        "expected_standard_deviation": one.spread,
        "deviations": one.deviations,
    }


def _look_data(look: Look) -> LookData:
    return {
        "key": look.channel.key,
        "what": look.channel.what,
        "quantity": look.channel.dimension.name,
        "unit": look.channel.dimension.si_unit or NO_UNIT,
        "expected": look.value,
        "standard_deviation": look.spread,
        "expected_otherwise": look.otherwise,
        "standard_deviation_otherwise": look.otherwise_spread,
    }


def _finding_data(finding: Finding) -> CauseData:
    size: SizeData | None = None
    if finding.size is not None and finding.needed is not None:
        size = {
            "median": finding.needed[0],
            "low": finding.needed[1],
            "high": finding.needed[2],
            "display_unit": finding.size.unit,
            "display_unit_in_si": finding.size.unit_size,
            "what": finding.size.what,
        }
    return {
        "cause": finding.name,
        "sentence": finding.sentence,
        "correct": finding.correct,
        "probability": finding.probability,
        "rank": finding.rank,
        "cannot_be_told_from": list(finding.alike),
        "place": finding.place,
        "place_probability": finding.place_probability,
        "size_needed": size,
        "moves_scores_by": [
            {"side": case.side, "bars": case.bars, "score": move} for case, move in finding.moves.items()
        ],
        "found_by_look": list(finding.found_by_look),
        "would_look": [_look_data(look) for look in finding.telltales],
    }


def audit_data(audit: Audit, lengths: Lengths = MILLIMETRES_FIRST) -> AuditData:
    """The audit as plain data with SI keys, for JSON; six digits, of which draws leave three."""
    data: AuditData = {
        **file_data(audit.scene.spec),
        "verdict": audit.verdict.value,
        "sentence": verdict_sentence(audit),
        "likeliest": likeliest_sentence(audit, lengths),
        "correct": audit.settled.correct if audit.settled else "",
        "second_cause": audit.second_cause,
        "still_at_mark": audit.still_at_mark,
        "p_value": audit.surprise,
        "p_value_alarm": ALARM,
        "problem": audit.problem,
        "scores": [{"run": fit.name, **_deviation_data(fit)} for fit in audit.fits],
        "runs": [{"what": one.name, **_deviation_data(one)} for one in audit.runs],
        "contrasts": [{"what": one.name, **_deviation_data(one)} for one in audit.contrasts],
        "also_judged": list(audit.used),
        "answers": list(audit.answers.given),
        "causes": [_finding_data(finding) for finding in audit.findings],
        "checks": [
            {
                "name": one.check.name,
                "instruction": one.check.instruction,
                "caution": one.check.caution,
                "duration_s": one.check.minutes * 60.0,
                "gain_bit": one.gain,
                "gain_bit_per_minute": one.per_minute,
                "likeliest_after": one.likeliest_after,
                "answers": [*one.check.channels, *one.check.looks],
            }
            for one in audit.advice
        ],
        **condition_data(stated_of(audit)),
        "model_error": model_error_data(audit.model),
        "prior": {"nothing_is_wrong": CLEAN_PRIOR, "none_of_these": OTHER_PRIOR},
        "climbs_left_out": audit.lost,
        "asked_about": doubt_data(_asked(audit)),
        "remarks": list(audit.remarks),
        "seed": audit.seed,
    }
    found: AuditData = meaningful(data, 6)
    return found


def audit_rows(audit: Audit) -> Sequence[Mapping[str, str | float]]:
    """One row a cause, the likeliest first; what it would have to be is its median and central 90 %."""
    return [
        {
            "cause": finding.name,
            "place": finding.place,
            "probability": finding.probability,
            "needed_SI": finding.needed[0] if finding.needed else math.nan,
            "needed_low_SI": finding.needed[1] if finding.needed else math.nan,
            "needed_high_SI": finding.needed[2] if finding.needed else math.nan,
        }
        for finding in audit.findings
    ]
