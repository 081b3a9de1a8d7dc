"""From the results of studies to the records that their figures are drawn from."""

from __future__ import annotations

from collections.abc import Sequence

from articulate.output.band_text import group_name
from articulate.output.figures.band import band_picture, causes_picture
from articulate.output.figures.comparisons import bridge_picture, ranking_picture
from articulate.output.figures.tallies import BandTally, Bar, Bridge, Contributor, Ranked
from articulate.output.figures.theme import Medium, Picture
from articulate.studies.audit import Audit
from articulate.studies.audit.findings import Finding
from articulate.studies.band import Band
from articulate.studies.comparison import Comparison
from articulate.studies.difference import Difference, Split
from articulate.studies.sensitivity import Shares

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
    return BandTally(
        tuple(Bar(case.case.bars, case.score.median, case.score.low, case.score.high) for case in band.cases),
        tuple(Contributor(group_name(groups[k]), tuple(_share(case.shares, k) for case in band.cases)) for k in shown),
    )


def _share(shares: Shares, place: int) -> float:
    return float(shares.total[place]) if shares.variance > 0.0 else float("nan")


def band_figure(band: Band, medium: Medium) -> Picture:
    """The band of a prediction and its contributors."""
    return band_picture(band_tally(band), band.population.spec.name, medium)


def causes_figure(audit: Audit, medium: Medium) -> Picture:
    """The causes an audit weighed."""
    causes = tuple(
        Bar(", ".join(filter(None, (finding.name, finding.place))), finding.probability, note=_needs(finding))
        for finding in audit.findings
        if finding.probability >= SHOWN_CAUSE
    )
    verdict = f"{audit.verdict.value} with the vehicle file, p = {max(audit.surprise, 0.001):.2g}"
    least = verdict.replace("p = 0.001", "p ≤ 0.001") if audit.surprise <= 0.001 else verdict
    return causes_picture(causes, audit.scene.spec.name, least, medium)


def _needs(finding: Finding) -> str:
    """How large the cause would have to be, the unit once."""
    if finding.needed is None or finding.size is None:
        return ""
    middle, low, high = (finding.size.text(value) for value in finding.needed)
    number, _, unit = low.partition(" ")
    low = number if unit and high.endswith(f" {unit}") else low
    return f"{finding.size.what}: {middle}" + (f" ({low} to {high})" if finding.needed[1] < finding.needed[2] else "")


def bridge_of(split: Split, first: str, second: str) -> Bridge:
    """The split of a difference as a bridge."""
    return Bridge(
        Bar(first, split.first),
        tuple(Bar(share.group, share.points, *share.points_over_holding) for share in split.shares),
        Bar(second, split.second),
    )


def bridge_figure(difference: Difference, bars: str, medium: Medium) -> Picture:
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
    return bridge_picture(bridge, title, under if known else under[:1], medium)


def ranked(comparison: Comparison) -> Sequence[Ranked]:
    """The entries of a comparison, in its order."""
    return [
        Ranked(Bar(one.name, one.score.value, one.score.low, one.score.high, _places(one.rank)), one.measured)
        for one in comparison.entries
    ]


def _places(rank: tuple[int, int]) -> str:
    return f"place {rank[0]}" if rank[0] == rank[1] else f"place {rank[0]} to {rank[1]}"


def ranking_figure(comparison: Comparison, medium: Medium) -> Picture:
    """A ranking with bands."""
    title = f"Scores side by side, bars {comparison.bars}, {comparison.side} front wheel on the ramp"
    return ranking_picture(ranked(comparison), title, [*comparison.terms], medium)
