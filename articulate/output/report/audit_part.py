"""The audit of a run sheet in the report: the verdict, what would explain the readings, what to check next."""

from __future__ import annotations

from articulate.output.report.content import PageTable, Section, TableRow
from articulate.output.text.audit import (
    NOTHING_TELLS,
    SHOWN_CAUSE,
    SHOWN_CHECKS,
    likeliest_sentence,
    needed_text,
    next_sentence,
    verdict_sentence,
)
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.studies.audit.audit import Audit
from articulate.studies.audit.findings import Finding


def _cause(finding: Finding, lengths: Lengths) -> TableRow:
    place = f", {finding.place}" if finding.place else ""
    rank = str(finding.rank) if finding.rank else ""
    words = finding.sentence
    if finding.alike:
        words += f" Fits these readings as well as: {', '.join(finding.alike)}."
    return TableRow(
        (
            f"{finding.name}{place}",
            f"{finding.probability * 100.0:.1f} %",
            rank,
            needed_text(finding, lengths) or "-",
            words,
        )
    )


def audit_section(found: Audit, lengths: Lengths = MILLIMETRES_FIRST) -> Section:
    """Whether the readings agree with the vehicle file, and what would explain it if they do not."""
    shown = [finding for finding in found.findings if finding.probability >= SHOWN_CAUSE]
    rest = len(found.findings) - len(shown)
    text = [verdict_sentence(found), likeliest_sentence(found, lengths), next_sentence(found)]
    text = [sentence for sentence in text if sentence]
    if rest:
        text.append(f"{rest} more causes were tried; each has less than 1 %.")
    if found.lost:
        text.append(f"{found.lost} simulated climbs had no lift and were left out.")
    telling = [one for one in found.advice if one.tells][:SHOWN_CHECKS]
    if not telling:
        text.append(NOTHING_TELLS)
    causes = PageTable(
        "What would explain the readings",
        ("cause", "probability", "rank", "size it would need", "in words"),
        tuple(_cause(finding, lengths) for finding in shown),
        frozenset({1, 2}),
        folded=True,
    )
    checks = PageTable(
        "What to check next, the most information for its time first",
        ("check", "information", "time", "how"),
        tuple(
            TableRow(
                (
                    one.check.name,
                    f"{one.gain:.2f} bit",
                    f"{one.check.minutes:.0f} min",
                    f"{one.check.instruction} {one.check.caution}".strip(),
                )
            )
            for one in telling
        ),
        frozenset({1, 2}),
        folded=True,
    )
    return Section("audit", "Audit", tuple(text), found.remarks, (causes, checks) if telling else (causes,))
