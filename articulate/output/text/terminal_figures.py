"""Figures made of letters, where a terminal is all there is: wheel loads up the ramp, and bands on one scale."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from articulate.prediction import Run
from articulate.studies.predict.band import CaseBand
from articulate.types import WHEELS, wheel_order

COLUMNS = 48
BLOCKS, PLAIN_BLOCKS = "▁▂▃▄▅▆▇█", "_.:-=+*#"
BAR, PLAIN_BAR = "─●├┤", "-o[]"


def writes_blocks(encoding: str | None) -> bool:
    """Whether a terminal of that encoding has the letters for figures."""
    try:
        (BLOCKS + BAR).encode(encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def load_figure(run: Run, side: str, blocks: bool = True) -> list[str]:
    """The four wheel loads from first touch to the end of a run, a line each, on one scale from 0 N.

    Args:
        run: with its trace.
        side: of the ramp.
        blocks: whether block letters may be used; else plain ones.
    """
    letters = BLOCKS if blocks else PLAIN_BLOCKS
    climb, load = run.trace.climb, run.trace.measures.wheel_load
    if climb.size < 2 or not climb[-1] > climb[0]:
        return []
    load = load[:, wheel_order(side)]
    at = np.linspace(climb[0], climb[-1], COLUMNS)
    most = float(load.max())
    lines = [f"wheel loads from first touch to the end, bars {run.bars} ({letters[-1]} = {most:.0f} N)"]
    for wheel, name in enumerate(WHEELS):
        share = np.interp(at, climb, load[:, wheel]) / most
        step = np.clip(np.ceil(share * len(letters)).astype(int) - 1, -1, len(letters) - 1)
        drawn = "".join(" " if k < 0 else letters[k] for k in step)
        lines.append(f"  {name:<12}{drawn} {load[-1, wheel]:6.0f} N")
    return lines


def band_figure(cases: Sequence[CaseBand], blocks: bool = True) -> list[str]:
    """The score bands of an answer, a line each, on one scale; none where a band has no ends.

    Args:
        cases: each with its score.
        blocks: whether block letters may be used; else plain ones.
    """
    line, middle, first, last = list(BAR if blocks else PLAIN_BAR)
    ends = [(case.score.low, case.score.median, case.score.high) for case in cases]
    if not ends or not all(math.isfinite(value) for end in ends for value in end):
        return []
    low = 50.0 * math.floor(min(end[0] for end in ends) / 50.0)
    high = 50.0 * math.ceil(max(end[2] for end in ends) / 50.0)
    if not high > low:
        return []

    def place(value: float) -> int:
        return round((value - low) / (high - low) * (COLUMNS - 1))

    names = [f"bars {case.case.bars}" for case in cases]
    lines = [f"score, central 90 %{'':<4}{low:.0f}{'':<{COLUMNS - len(f'{low:.0f}{high:.0f}')}}{high:.0f}"]
    for name, (left, centre, right) in zip(names, ends, strict=True):
        a, b, c = place(left), place(centre), place(right)
        drawn = [" "] * COLUMNS
        drawn[a : c + 1] = [line] * (c + 1 - a)
        drawn[a], drawn[c] = first, last
        drawn[b] = middle
        lines.append(f"  {name:<21}{''.join(drawn)}".rstrip())
    return lines
