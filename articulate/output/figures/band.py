"""The band of a prediction and what it comes from; the causes an audit found."""

from __future__ import annotations

import math

from matplotlib.axes import Axes

from articulate.output.figures import theme
from articulate.output.figures.rows import beside, draw_range, most_rows, rows, score_words, span
from articulate.output.figures.tallies import BandTally, Bar, Contributor
from articulate.output.figures.theme import Medium, Picture, hand

BAR_COLOURS = (theme.BLUE, theme.VERMILION)  # first and second state of the bars
HATCHES = (None, "////")


def band_picture(tally: BandTally, name: str, medium: Medium = theme.PAGE, transparent: bool = False) -> Picture:
    """Score bands above, shares of their variance below.

    Args:
        tally: bands and contributors.
        name: of the vehicle.
        medium: paper, page or video.
        transparent: no background.
    """
    bands = tally.bands
    under = [f"{tally.coverage} of the vehicles the file allows; below, each input's share of the variance"]
    under += [f"bars {band.label}: {band.note}" for band in bands if band.note]
    head, gap, foot = 3.75 + 1.45 * len(under), 5.2, 4.4
    room = most_rows(medium, [c.label for c in tally.contributors], head + gap + 2.2 * len(bands), foot)
    shown = tally.contributors[:room]
    if len(shown) < len(tally.contributors):
        shown = tally.contributors[: room - 1]
        rest = tally.contributors[room - 1 :]
        sums = tuple(math.fsum(c.shares[k] for c in rest) for k in range(len(bands)))
        shown = (*shown, Contributor(f"{len(rest)} others together", sums))
    title = f"{name}: score and what its uncertainty comes from"
    with hand(medium):
        extra = 2.2 * len(bands) + gap
        names = [contributor.label for contributor in shown]
        most = max((share for c in shown for share in c.shares if math.isfinite(share)), default=1.0)
        sheet = rows(
            medium,
            title,
            under,
            names,
            (0.0, 108.0 * max(most, 0.01)),
            transparent,
            right=7.5,
            foot=foot + extra,
        )
        figure, lower = sheet.figure, sheet.axes
        height = figure.get_size_inches()[1]
        box = lower.get_position()
        shift = medium.inches(extra) / height
        top = box.y1
        lower.set_position((box.x0, box.y0 - shift, box.width, box.height))
        tall = medium.inches(2.2 * len(bands)) / height
        upper = figure.add_axes((box.x0, top - tall, box.width, tall))
        upper.set_xlim(*span(bands, False, 0.18))
        upper.set_ylim(len(bands), 0.0)
        upper.set_yticks([k + 0.5 for k in range(len(bands))], [f"bars {band.label}" for band in bands])
        upper.tick_params(axis="y", length=0.0)
        upper.spines["left"].set_visible(False)
        upper.xaxis.set_major_locator(theme.few_ticks())
        upper.set_xlabel("score")
        said = []
        for k, band in enumerate(bands):
            draw_range(upper, band, k + 0.5, BAR_COLOURS[k % 2], "oD"[k % 2])
            words = score_words(band)
            place = band.value if math.isfinite(band.value) else math.fsum(upper.get_xlim()) / 2.0
            upper.text(place, k + 0.28, words, ha="center", va="bottom", weight="bold", path_effects=theme.halo(medium))
            said.append(f"Bars {band.label}: score {words} {band.note}".rstrip())
        thick = 0.8 / max(len(bands), 1)
        for row, contributor in enumerate(shown):
            for k, share in enumerate(contributor.shares):
                y = row + 0.1 + (k + 0.5) * thick
                _share_bar(lower, y, thick, share, k)
                if math.isfinite(share):
                    words = _percent(share) + (f" {bands[k].label}" if row == 0 and len(bands) > 1 else "")
                    beside(lower, 100.0 * share, y, words, medium)
            said.append(f"{contributor.label}: " + ", ".join(map(_percent, contributor.shares)))
        lower.set_xlabel("share of the variance it takes part in (total index), %")
        return Picture(figure, medium, title, ". ".join(said) + ".", transparent)


def _percent(share: float) -> str:
    if not math.isfinite(share):
        return "not known"
    return "< 1 %" if share < 0.01 else f"{100.0 * share:.0f} %"


def _share_bar(axes: Axes, y: float, thick: float, share: float, k: int) -> None:
    if math.isfinite(share):
        axes.barh(
            y,
            100.0 * share,
            height=0.86 * thick,
            color=theme.PAPER_WHITE if HATCHES[k % 2] else BAR_COLOURS[k % 2],
            edgecolor=BAR_COLOURS[k % 2],
            hatch=HATCHES[k % 2],
        )


def causes_picture(
    causes: tuple[Bar, ...],
    name: str,
    verdict: str = "",
    medium: Medium = theme.PAGE,
    transparent: bool = False,
) -> Picture:
    """What may be behind a surprising test: causes with their probabilities, the likeliest first.

    Args:
        causes: probabilities (0 to 1); `note` says what the cause would have to be.
        name: of the vehicle.
        verdict: a line under the title.
        medium: paper, page or video.
        transparent: no background.
    """
    labels = [cause.label for cause in causes]
    room = most_rows(medium, labels, 6.6, 4.4)
    shown = causes[:room]
    title = f"{name}: what may be behind the reading"
    with hand(medium):
        under = [verdict] if verdict else []
        if len(shown) < len(causes):
            left = math.fsum(cause.value for cause in causes[room:])
            under.append(f"{len(causes) - len(shown)} more causes, together {_percent(left)}")
        sheet = rows(medium, title, under, [c.label for c in shown], (0.0, 100.0), transparent, right=5.0)
        for k, cause in enumerate(shown):
            value = 100.0 * cause.value
            sheet.axes.barh(k + 0.5, value, height=0.55, color=theme.ORANGE)
            number = _percent(cause.value)
            words = f"{number}  {cause.note}".rstrip()
            if value > 55.0 and cause.note:
                beside(sheet.axes, value, k + 0.5, number, medium, bold=True)
                inside = sheet.axes.text(1.0, k + 0.5, cause.note, va="center", color=theme.INK, zorder=6)
                theme.fitted(inside, theme.size(sheet.axes)[0] * (value - 2.0) / 100.0)
            else:
                said_so = beside(sheet.axes, value, k + 0.5, words, medium, bold=k == 0)
                left_over = theme.size(sheet.axes)[0] * (100.0 - value) / 100.0 + medium.inches(4.0)
                theme.fitted(said_so, left_over)
        sheet.axes.set_xlabel("probability, %")
        said = "; ".join(f"{cause.label} {_percent(cause.value)}" for cause in causes)
        return Picture(sheet.figure, medium, title, f"{verdict} {said}.".strip(), transparent)
