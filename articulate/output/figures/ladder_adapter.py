"""From a tyre ladder to its figure."""

from __future__ import annotations

from collections.abc import Sequence

from articulate.output.figures.comparisons import ladder_picture
from articulate.output.figures.tallies import Bar, LadderRung
from articulate.output.figures.theme import Medium, Picture
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.studies.design.tyre_ladder import WITH, Ladder, Rung


def _note(rung: Rung, spaced: bool, lengths: Lengths) -> str:
    said = [f"spacers {lengths.one(max(rung.spacer))}"] if spaced else []
    said += ["does not fit"] if not rung.fits else ["rubs"] if rung.rubs else []
    return ", ".join(said)


def ladder_rungs(rungs: Sequence[Rung], bars: Sequence[str], lengths: Lengths = MILLIMETRES_FIRST) -> list[LadderRung]:
    """Rungs for the figure, those whose spacers would be none left out.

    Args:
        rungs: of the ladder, from the smallest size up; each with the policy by which its stops are kept or spaced.
        bars: states of the bars.
        lengths: the units of spacers.
    """
    found = []
    for rung in rungs:
        spaced = rung.policy == WITH
        if spaced and max(rung.spacer) <= 0.0:
            continue
        scores = (rung.scores[state].score for state in bars)
        found.append(
            LadderRung(
                rung.size.code,
                tuple(Bar(state, one.value, one.low, one.high) for state, one in zip(bars, scores, strict=True)),
                Bar("", rung.approach.value, rung.approach.low, rung.approach.high),
                rung.fitted and not spaced,
                _note(rung, spaced, lengths),
            )
        )
    return found


def ladder_figure(found: Ladder, medium: Medium, transparent: bool = False) -> Picture:
    """The tyre ladder as a figure."""
    rungs = ladder_rungs(found.rungs, found.bars, medium.lengths)
    return ladder_picture(rungs, found.spec.name, medium, transparent)
