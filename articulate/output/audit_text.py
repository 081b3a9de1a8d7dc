"""The audit as text for an 80-column terminal and as JSON data."""

from __future__ import annotations

from typing import Any

from articulate.output.layout import SCHEMA_VERSION, meaningful, wrapped
from articulate.output.model_error_text import model_error_data, model_error_text
from articulate.safety import CAUTION
from articulate.spec.quantities import shown
from articulate.studies.audit.audit import ALARM, Audit, Verdict
from articulate.studies.audit.expectations import CLEAN, CLEAN_PRIOR, OTHER, OTHER_PRIOR
from articulate.studies.audit.findings import Finding, Look
from articulate.studies.audit.information import Advice

SHOWN_CAUSE = 0.01  # probability from which a cause is shown in full
SHOWN_CHECKS = 5
NORMAL_90 = 1.645


def _wrapped(text: str, indent: str = "", hang: str | None = None) -> str:
    """A paragraph indented as a whole, its further lines at `hang` where that is given."""
    return wrapped(text, indent if hang is None else hang, indent, whole_words=True)


def verdict_sentence(audit: Audit) -> str:
    """The verdict in a sentence a reviewer could publish."""
    least = audit.surprise <= 0.001
    share = "less than 0.1 %" if least else f"{audit.surprise * 100.0:.2g} %"
    p = "p < 0.001" if least else f"p = {audit.surprise:.2g}"
    tail = f"a vehicle as filed, rightly run and read, gives readings this far off in {share} of tests ({p})"
    return {
        Verdict.CONSISTENT: f"Consistent with the vehicle file: {tail}.",
        Verdict.DOUBTFUL: f"Doubtful, not yet a contradiction: {tail}.",
        Verdict.INCONSISTENT: f"NOT CONSISTENT with the vehicle file: {tail}.",
    }[audit.verdict]


def _value(look: Look, value: float, digits: int = 4) -> str:
    channel = look.channel
    if channel.unit == "mm":
        return f"{value / channel.unit_size:.0f} mm"
    if channel.unit in ("deg", "N/mm"):
        return f"{value / channel.unit_size:.1f} {channel.unit}"
    return shown(value, channel.unit, channel.unit_size, digits)


def needed_text(finding: Finding) -> str:
    """The size a cause would need, with its 90 % range; empty where it has none."""
    if finding.needed is None or finding.size is None:
        return ""
    size, (middle, low, high) = finding.size, finding.needed
    number, what = size.text(middle), size.what
    if low == high:
        return f"{what}: {number}"
    return f"{what}: {number} ({size.text(low)} to {size.text(high)})"


def _finding(finding: Finding, tied: bool) -> list[str]:
    place = f", {finding.place}" if finding.place else ""
    spread = bool(finding.place) and finding.place_probability < 0.95
    sure = f" ({finding.place_probability * 100:.0f} % there)" if spread else ""
    lines = [f"{finding.rank:>2}{'=' if tied else ' '} {finding.probability * 100:5.1f} %  {finding.name}{place}{sure}"]
    indent = " " * 13
    lines.append(_wrapped(finding.sentence, indent))
    if finding.needed is not None:
        lines.append(_wrapped(f"needs {needed_text(finding)}", indent, indent + "  "))
    if finding.name not in (CLEAN, OTHER):
        moved = "; ".join(f"{case.side} {case.bars} {move:+.0f}" for case, move in finding.moves.items())
        lines.append(_wrapped(f"moves the score: {moved}", indent, indent + "  "))
    for look in finding.telltales:
        text = f"then {look.channel.what} would be {_value(look, look.value)} (else {_value(look, look.otherwise)})"
        lines.append(_wrapped(text, indent, indent + "  "))
    if finding.found_by_look:
        lines.append(_wrapped(f"a look would find it: {', '.join(finding.found_by_look)}", indent, indent + "  "))
    if finding.alike:
        lines.append(_wrapped(f"fits these readings as well as: {', '.join(finding.alike)}", indent, indent + "  "))
    return lines


def _advice(number: int, one: Advice) -> list[str]:
    check = one.check
    lines = [
        f"{number:>2}  {check.name}",
        f"    {one.gain:.2f} bit, about {check.minutes:.0f} min",
        _wrapped(f"{check.instruction} {check.caution}".strip(), "    "),
    ]
    units = {key: one.units.get(key, "") for key in check.channels}
    keys = [f"{key}=... {unit}".strip() for key, unit in units.items()] + [f"{look}=fine" for look in check.looks]
    more = f" and likewise {', '.join(key.partition('=')[0] for key in keys[1:])}" if keys[1:] else ""
    found = " (or found)" if check.looks else ""
    lines.append(_wrapped(f"then: --answer '{keys[0]}'{found}{more}", "    ", "      "))
    return lines


def audit_table(audit: Audit) -> str:
    """The audit for people: the verdict first, then causes, then what to check; 80 columns at most."""
    lines = [audit.scene.spec.name, _wrapped(verdict_sentence(audit)), ""]
    lines.append(f"{'score':<42}{'read':>12}{'expected':>13}{'off by':>11}")
    for fit in audit.fits:
        read = f"{fit.score:.0f} ± {fit.uncertainty * NORMAL_90:.0f}"
        expected = f"{fit.expected:.0f} ± {fit.spread * NORMAL_90:.0f}"
        lines.append(f"{fit.name:<42}{read:>12}{expected:>13}{fit.deviations:>+8.1f} sd")
    lines.append("  (± is the 90 % range; expected from file and model, reading included)")
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
            lines += _finding(finding, ranks.count(finding.rank) > 1)
    rest = [finding.name for finding in causes if finding.probability < SHOWN_CAUSE]
    if rest:
        lines.append(_wrapped(f"under 1 % each: {', '.join(rest)}", "    ", "      "))
    lines += ["", "what to check next, the most telling first (expected information on the cause)"]
    for number, one in enumerate(audit.advice[:SHOWN_CHECKS], 1):
        lines += _advice(number, one)
    quick = max(audit.advice, key=lambda one: one.per_minute, default=None)
    if quick is not None:
        lines.append(f"    most for the time: {quick.check.name}")
    lines += ["", *(_wrapped(f"note: {text}", "", "  ") for text in _notes(audit)), wrapped(CAUTION, "")]
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


def _look_data(look: Look) -> dict[str, Any]:
    return {
        "key": look.channel.key,
        "what": look.channel.what,
        "quantity": look.channel.dimension.name,
        "expected": look.value,
        "standard_deviation": look.spread,
        "expected_otherwise": look.otherwise,
        "standard_deviation_otherwise": look.otherwise_spread,
    }


def _finding_data(finding: Finding) -> dict[str, Any]:
    size = None
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


def audit_data(audit: Audit) -> dict[str, Any]:
    """The audit as plain data with SI keys, for JSON; six digits, of which draws leave three."""
    data = {
        "schema_version": SCHEMA_VERSION,
        "vehicle": audit.scene.spec.name,
        "file": audit.scene.spec.path,
        "file_sha256": audit.scene.spec.text_hash,
        "verdict": audit.verdict.value,
        "sentence": verdict_sentence(audit),
        "p_value": audit.surprise,
        "p_value_alarm": ALARM,
        "problem": audit.problem,
        "scores": [
            {
                "run": fit.name,
                "score": fit.score,
                "reading_standard_deviation": fit.uncertainty,
                "expected": fit.expected,
                "expected_standard_deviation": fit.spread,
                "deviations": fit.deviations,
            }
            for fit in audit.fits
        ],
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
                "likeliest_after": one.likeliest_after,
                "answers": [*one.check.channels, *one.check.looks],
            }
            for one in audit.advice
        ],
        "model_error": model_error_data(audit.model),
        "prior": {"nothing_is_wrong": CLEAN_PRIOR, "none_of_these": OTHER_PRIOR},
        "climbs_left_out": audit.lost,
        "remarks": list(audit.remarks),
        "seed": audit.seed,
    }
    found: dict[str, Any] = meaningful(data, 6)
    return found
