"""From the results of studies to the records that their figures are drawn from."""

from __future__ import annotations

import re
from collections.abc import Sequence

from articulate.climb import Outcome
from articulate.output.figures.band import band_picture, causes_picture
from articulate.output.figures.comparisons import bridge_picture, ranking_picture
from articulate.output.figures.tallies import BandTally, Bar, Bridge, Contributor, Ranked
from articulate.output.figures.theme import Medium, Picture
from articulate.output.text.audit import needed_text, verdict_sentence
from articulate.output.text.band import outcome_name
from articulate.output.text.input_names import input_words
from articulate.output.text.model_error import LEFT_OUT
from articulate.output.units import Lengths
from articulate.studies.audit import Audit
from articulate.studies.audit.findings import Finding
from articulate.studies.compare.comparison import Comparison
from articulate.studies.explain.difference import Difference, Split
from articulate.studies.population.sensitivity import Shares
from articulate.studies.predict.band import Band, CaseBand

SHOWN_CAUSE = 0.005  # probability from which a cause is drawn


def band_tally(band: Band) -> BandTally:
    """Bands and the inputs that can be told from none in any of them, by their larger total share."""
    cases = [case for case in band.cases if case.shares.variance > 0.0]
    groups = cases[0].shares.groups if cases else ()

    def most(place: int) -> float:
        return max(float(case.shares.total[place]) for case in cases)

    def told(place: int) -> bool:
        return any(case.shares.total[place] >= case.shares.floor for case in cases)

    shown = sorted(filter(told, range(len(groups))), key=lambda place: -most(place))
    contributors = [
        Contributor(input_words(groups[k]), tuple(_share(case.shares, k) for case in band.cases)) for k in shown
    ]
    if band.model.total > 0.0:
        left_out = tuple(sum(case.shares.left_out) for case in band.cases)
        contributors = sorted([Contributor(LEFT_OUT, left_out), *contributors], key=lambda one: -max(one.shares))
    return BandTally(
        tuple(
            Bar(case.case.bars, case.score.median, case.score.low, case.score.high, _endings(case, band.points))
            for case in band.cases
        ),
        tuple(contributors),
    )


def _endings(case: CaseBand, points: int) -> str:
    """How many of the climbs end otherwise than with a wheel that lifts, if any."""
    others = {kind: count for kind, count in sorted(case.outcomes.items()) if kind != Outcome.WHEEL_LIFTS and count}
    return "; ".join(f"{outcome_name(kind)}, {100.0 * count / points:.2g} %" for kind, count in others.items())


def _share(shares: Shares, place: int) -> float:
    return float(shares.total[place]) if shares.variance > 0.0 else float("nan")


def band_figure(band: Band, medium: Medium, transparent: bool = False) -> Picture:
    """The band of a prediction and its contributors."""
    return band_picture(band_tally(band), band.population.spec.name, medium, transparent)


def causes_figure(audit: Audit, medium: Medium, transparent: bool = False) -> Picture:
    """The causes an audit weighed."""
    causes = tuple(
        Bar(
            ", ".join(filter(None, (finding.name, finding.place))),
            finding.probability,
            note=_needs(finding, medium.lengths),
        )
        for finding in audit.findings
        if finding.probability >= SHOWN_CAUSE
    )
    least = audit.surprise <= 0.001
    share = "less than 0.1 %" if least else f"{audit.surprise * 100.0:.2g} %"
    head, _, _ = verdict_sentence(audit).partition(":")
    verdict = f"{head}: {share} of tests rightly run and read would be this far off"
    return causes_picture(causes, audit.scene.spec.name, verdict, medium, transparent)


def _needs(finding: Finding, lengths: Lengths) -> str:
    """How large the cause would have to be."""
    return re.sub(r"(?<!\w)-(?=\d)", "−", needed_text(finding, lengths))


def bridge_of(split: Split, first: str, second: str) -> Bridge:
    """The split of a difference as a bridge."""
    return Bridge(
        Bar(first, split.first),
        tuple(Bar(share.group, share.points, *share.points_over_holding) for share in split.shares),
        Bar(second, split.second),
    )


def bridge_figure(difference: Difference, bars: str, medium: Medium, transparent: bool = False) -> Picture:
    """The split of a difference in one state of the bars.

    Raises:
        ValueError: neither vehicle can release a bar and `bars` is "released".
    """
    split = difference.connected if bars == "connected" else difference.released
    if split is None:
        raise ValueError("neither vehicle has a bar that can be released; --bars connected")
    under = [f"bars {bars}; the shares add up", "in brackets: with the holding share between 0 and 1"]
    known = any(share.points_over_holding[0] == share.points_over_holding[0] for share in split.shares)
    gap = split.second - split.first
    title = f"{difference.second}: {abs(gap):.0f} points {'more' if gap >= 0.0 else 'less'} than {difference.first}"
    bridge = bridge_of(split, difference.first, difference.second)
    return bridge_picture(bridge, title, under if known else under[:1], medium, transparent)


def ranked(comparison: Comparison) -> Sequence[Ranked]:
    """The entries of a comparison, in its order."""
    return [
        Ranked(Bar(one.name, one.score.value, one.score.low, one.score.high, _places(one.rank)), one.measured)
        for one in comparison.entries
    ]


def _places(rank: tuple[int, int]) -> str:
    return f"place {rank[0]}" if rank[0] == rank[1] else f"place {rank[0]} to {rank[1]}"


def ranking_figure(comparison: Comparison, medium: Medium, transparent: bool = False) -> Picture:
    """A ranking with bands."""
    title = f"Scores side by side, bars {comparison.bars}, {comparison.side} front wheel on the ramp"
    return ranking_picture(ranked(comparison), title, [*comparison.terms], medium, transparent)
