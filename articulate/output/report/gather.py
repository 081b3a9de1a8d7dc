"""Still pictures and scenes of one vehicle for its report, drawn from solved moments of its climbs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from articulate.output.figures.scene import Scene, scenes
from articulate.output.figures.support import support_picture
from articulate.output.figures.theme import PAGE
from articulate.output.figures.travel import travel_picture
from articulate.output.figures.vehicle import vehicle_picture
from articulate.output.report.content import PagePicture
from articulate.output.units import Lengths
from articulate.prediction import Run
from articulate.shape.outline import BodyOutline
from articulate.studies.day.moments import Moments
from articulate.trace import BodyPoint

WIDTH = 10.0  # [in], the least at which words beside a vehicle have room, so that they are large in the page
MOST_WHOLE = 3  # vehicles of one page with all their pictures
VIEWS = {"side": "from the ramp's side", "rear": "from behind"}


def climb_scenes(
    moments: Mapping[str, Moments], bodywork: Sequence[BodyPoint], outline: BodyOutline | None = None
) -> dict[str, list[Scene]]:
    """Scenes along each run, by bar state."""
    return {bars: scenes(path, bodywork, outline) for bars, path in moments.items()}


def still_pictures(
    name: str,
    runs: Sequence[Run],
    along: Mapping[str, Sequence[Scene]],
    lengths: Lengths,
    among: int = 1,
) -> tuple[PagePicture, ...]:
    """Travel used, and the vehicle at the end of each run: from the side, from behind, and what it stands on.

    Args:
        name: of the vehicle.
        runs: of it.
        along: scenes along each run, by bar state.
        lengths: what lengths are shown in.
        among: vehicles on the page; of many each is seen from the side alone, so that it stays small enough to send.
    """
    ends = [along[run.bars][-1] for run in runs]
    page = replace(PAGE, width=WIDTH, lengths=lengths)
    pictures = [PagePicture("Travel used at the mark, each wheel", travel_picture(ends, name, page))]
    for run, end in zip(runs, ends, strict=True):
        for view, words in VIEWS.items():
            if view == "side" or among <= MOST_WHOLE:
                drawn = vehicle_picture(end, name, view, page, lifting=run.wheel)
                pictures.append(PagePicture(f"At the mark, bars {run.bars}, {words}", drawn, view))
        if math.isfinite(run.score):
            pictures.append(PagePicture(f"What it stands on, bars {run.bars}", support_picture(end, name, page)))
    return tuple(pictures)
