"""From a tyre ladder to its figure; what is read of a ladder is written out here, whoever made it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from articulate.output.figures.comparisons import ladder_picture
from articulate.output.figures.tallies import Bar, LadderRung
from articulate.output.figures.theme import Medium, Picture


class Interval(Protocol):
    """A value with its 90 % range, SI."""

    @property
    def value(self) -> float: ...  # noqa: D102
    @property
    def low(self) -> float: ...  # noqa: D102
    @property
    def high(self) -> float: ...  # noqa: D102


class Score(Protocol):
    """A score with its range."""

    @property
    def score(self) -> Interval: ...  # noqa: D102


class Size(Protocol):
    """A tyre size."""

    @property
    def code(self) -> str: ...  # noqa: D102


class Rung(Protocol):
    """One size with one policy for its stops."""

    @property
    def size(self) -> Size: ...  # noqa: D102
    @property
    def fitted(self) -> bool: ...  # noqa: D102
    @property
    def policy(self) -> str: ...  # noqa: D102
    @property
    def fits(self) -> bool: ...  # noqa: D102
    @property
    def rubs(self) -> bool: ...  # noqa: D102
    @property
    def spacer(self) -> tuple[float, float]: ...  # noqa: D102
    @property
    def scores(self) -> Mapping[str, Score]: ...  # noqa: D102
    @property
    def approach(self) -> Interval: ...  # noqa: D102


def _note(rung: Rung, spaced: bool) -> str:
    said = [f"spacers {max(rung.spacer) * 1000.0:.0f} mm"] if spaced else []
    said += ["does not fit"] if not rung.fits else ["rubs"] if rung.rubs else []
    return ", ".join(said)


def ladder_rungs(rungs: Sequence[Rung], bars: Sequence[str], spacers: str) -> list[LadderRung]:
    """Rungs for the figure, those whose spacers would be none left out.

    Args:
        rungs: of the ladder, from the smallest size up; each with the policy by which its stops are kept or spaced.
        bars: states of the bars.
        spacers: the policy under which stops are made longer.
    """
    found = []
    for rung in rungs:
        spaced = rung.policy == spacers
        if spaced and max(rung.spacer) <= 0.0:
            continue
        scores = (rung.scores[state].score for state in bars)
        found.append(
            LadderRung(
                rung.size.code,
                tuple(Bar(state, one.value, one.low, one.high) for state, one in zip(bars, scores, strict=True)),
                Bar("", rung.approach.value, rung.approach.low, rung.approach.high),
                rung.fitted and not spaced,
                _note(rung, spaced),
            )
        )
    return found


def ladder_figure(rungs: Sequence[Rung], bars: Sequence[str], spacers: str, name: str, medium: Medium) -> Picture:
    """The tyre ladder as a figure."""
    return ladder_picture(ladder_rungs(rungs, bars, spacers), name, medium)
