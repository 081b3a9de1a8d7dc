"""Where the newest result of a logbook stands: places with bands, and with what chance it beats its neighbours."""

from __future__ import annotations

from articulate.output.figures import theme
from articulate.output.figures.rows import beside, draw_range, most_rows, rows, span
from articulate.output.figures.tallies import Bar
from articulate.output.figures.theme import Medium, Picture, hand
from articulate.output.text.logbook import (
    BESIDE,
    carried_half,
    carried_words,
    chance_words,
    ordinal,
    places_words,
    shown_places,
    terms_words,
)
from articulate.studies.logbook.standing import Ranking, Standing, beats_probability


def standing_picture(ranking: Ranking, medium: Medium = theme.PAGE, transparent: bool = False) -> Picture:
    """The first places, those about the newest result, and the last; the newest drawn apart.

    Args:
        ranking: with at least one place.
        medium: paper, page or video; where there is no room for all, those about the newest stay.
        transparent: no background.
    """
    found, newest = ranking.standings, ranking.latest
    under = [terms_words(ranking.terms), "lines: 95 % intervals; chances: the newest beats its neighbour"]
    head, foot = 3.6 + 1.45 * len(under), 4.4
    shown = shown_places(ranking)
    near = [k for k in shown if abs(k - newest) <= BESIDE]
    room = most_rows(medium, [_name(found[k]) for k in shown], head, foot)
    shown = sorted([*near, *[k for k in shown if k not in near][: max(room - len(near), 0)]])
    title = f"{found[newest].name}: {ordinal(newest + 1)} of {len(found)}"
    bars = {k: _bar(found[k]) for k in shown}
    with hand(medium):
        limits = span(list(bars.values()), False, 0.08)
        sheet = rows(medium, title, under, [_name(found[k]) for k in shown], limits, transparent, right=19.0)
        said = []
        for row, k in enumerate(shown):
            one, y, own = found[k], row + 0.5, k == newest
            if row and k != shown[row - 1] + 1:
                sheet.axes.axhline(row, color=theme.MUTED, linewidth=theme.thin(), linestyle=(0, (1, 3)), zorder=0)
            sheet.axes.axhline(y, color=theme.FAINT, linewidth=theme.thin(), zorder=0)
            draw_range(sheet.axes, bars[k], y, theme.VERMILION if own else theme.BLUE, "D" if own else "o")
            words = [carried_words(one)]
            if own:
                words.append(f"place {places_words(one)}")
            elif abs(k - newest) <= BESIDE:
                words.append(f"beaten with {chance_words(beats_probability(found[newest], one))}")
            beside(sheet.axes, limits[1], y, ", ".join(words), medium, bold=own)
            said.append(f"{ordinal(k + 1)} {one.name} ({one.kept.date}) {', '.join(words)}")
        sheet.axes.set_xlabel("score")
        return Picture(sheet.figure, medium, title, f"{'; '.join(said)}.", transparent)


def _bar(one: Standing) -> Bar:
    half = carried_half(one)
    return Bar(one.name, one.score, one.score - half, one.score + half)


def _name(one: Standing) -> str:
    return f"{one.rank}. {one.name}\n{one.kept.date}"
