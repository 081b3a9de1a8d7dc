"""Vehicles against one another: the split of a difference as a bridge, a ranking with bands, the tyre ladder."""

from __future__ import annotations

import math
from collections.abc import Sequence

from articulate.output.figures import theme
from articulate.output.figures.band import BAR_COLOURS
from articulate.output.figures.rows import (
    Rows,
    beside,
    change_words,
    draw_range,
    most_rows,
    rows,
    score_words,
    signed,
    span,
)
from articulate.output.figures.tallies import Bar, Bridge, LadderRung, Ranked
from articulate.output.figures.theme import Medium, Picture, hand


def merged_steps(steps: Sequence[Bar], most: int) -> tuple[Bar, ...]:
    """The steps, the smallest put together where there are more than `most`; the sum stays."""
    if len(steps) <= most:
        return tuple(steps)
    keep = sorted(range(len(steps)), key=lambda k: -abs(steps[k].value))[: most - 1]
    rest = [step for k, step in enumerate(steps) if k not in keep]
    total = math.fsum(step.value for step in rest)
    return (*(step for k, step in enumerate(steps) if k in keep), Bar(f"{len(rest)} others together", total))


def bridge_picture(
    bridge: Bridge, title: str, under: Sequence[str] = (), medium: Medium = theme.PAGE, transparent: bool = False
) -> Picture:
    """How one score becomes another, a step a row, each beginning where the one before ended.

    Args:
        bridge: start, steps and end.
        title: of the sheet.
        under: lines below it.
        medium: paper, page or video.
        transparent: no background.
    """
    names = [bridge.start.label, *(step.label for step in bridge.steps), bridge.end.label]
    room = most_rows(medium, names, 3.6 + 1.45 * len(under), 4.4)
    steps = merged_steps(bridge.steps, max(room - 2, 1))
    level, edges = bridge.start.value, [bridge.start.value]
    for step in steps:
        level += step.value
        edges.append(level)
    levels = [Bar("", edge) for edge in (*edges, bridge.end.value)]
    with hand(medium):
        names = [bridge.start.label, *(step.label for step in steps), bridge.end.label]
        low, high = span(levels, False, 0.12)
        sheet = rows(medium, title, under, names, (low, high), transparent, right=11.0)
        axes = sheet.axes
        for y, total in ((0.5, bridge.start), (len(names) - 0.5, bridge.end)):
            axes.barh(y, total.value - low, left=low, height=0.6, color=theme.FAINT, edgecolor=theme.MUTED)
            beside(axes, total.value, y, f"{total.value:.0f}", medium, bold=True)
        for k, step in enumerate(steps):
            y, gains = k + 1.5, step.value >= 0.0
            axes.barh(
                y,
                step.value,
                left=edges[k],
                height=0.6,
                color=theme.BLUE if gains else theme.PAPER_WHITE,
                edgecolor=theme.BLUE if gains else theme.VERMILION,
                hatch=None if gains else "////",
            )
            axes.plot([edges[k]] * 2, [y - 0.7, y + 0.3], color=theme.MUTED, linewidth=theme.thin(), zorder=1)
            beside(axes, max(edges[k], edges[k + 1]), y, change_words(step), medium)
        last = len(names) - 0.5
        axes.plot([edges[-1]] * 2, [last - 0.7, last + 0.3], color=theme.MUTED, linewidth=theme.thin(), zorder=1)
        axes.set_xlabel("score (the axis does not begin at zero)" if low > 0.0 else "score")
        said = "; ".join(f"{step.label} {signed(step.value)}" for step in bridge.steps)
        words = (
            f"From {bridge.start.label} {bridge.start.value:.0f} to {bridge.end.label} {bridge.end.value:.0f}: {said}."
        )
        return Picture(sheet.figure, medium, title, words, transparent)


def ranking_picture(
    entries: Sequence[Ranked],
    title: str = "Scores, side by side",
    under: Sequence[str] = (),
    medium: Medium = theme.PAGE,
    transparent: bool = False,
) -> Picture:
    """Vehicles in the order of their scores, each with its band; measured scores are drawn apart from predicted ones.

    Args:
        entries: in the order to be shown.
        title: of the sheet.
        under: lines below it.
        medium: paper, page or video.
        transparent: no background.
    """
    shown = list(entries)[: most_rows(medium, [e.score.label for e in entries], 3.6 + 1.45 * (len(under) + 1), 4.4)]
    with hand(medium):
        more = f"; {len(entries) - len(shown)} more, lower" if len(shown) < len(entries) else ""
        lines = [*under, f"filled: predicted; hollow: measured; lines: 90 % bands{more}"]
        limits = span([entry.score for entry in shown], False, 0.08)
        noted = any(entry.score.note for entry in shown)
        names = [entry.score.label for entry in shown]
        sheet = rows(medium, title, lines, names, limits, transparent, right=19.0 if noted else 14.0)
        for k, entry in enumerate(shown):
            bar, y = entry.score, k + 0.5
            colour = theme.VERMILION if entry.measured else theme.BLUE
            sheet.axes.axhline(y, color=theme.FAINT, linewidth=theme.thin(), zorder=0)
            draw_range(sheet.axes, bar, y, colour, "D" if entry.measured else "o", hollow=entry.measured)
            words = ", ".join(filter(None, (score_words(bar), bar.note)))
            beside(sheet.axes, limits[1], y, words, medium, bold=k == 0)
        sheet.axes.set_xlabel("score")
        said = "; ".join(f"{e.score.label} {score_words(e.score)} {e.score.note}".rstrip() for e in entries)
        return Picture(sheet.figure, medium, title, f"{said}.", transparent)


def ladder_picture(
    rungs: Sequence[LadderRung], name: str, medium: Medium = theme.PAGE, transparent: bool = False
) -> Picture:
    """What a larger tyre does to the score and to the approach angle, a size a row.

    Args:
        rungs: from the smallest size up.
        name: of the vehicle.
        medium: paper, page or video.
        transparent: no background.
    """
    states = [bar.label for bar in rungs[0].scores]
    keys = [f"{'filled' if k == 0 else 'hollow'}: bars {state}" for k, state in enumerate(states)]
    names = [f"{r.label}{' (fitted)' if r.fitted else ''}\n{r.note}".rstrip() for r in rungs]
    room = most_rows(medium, names, 5.2, 4.4)
    fitted = next((k for k, rung in enumerate(rungs) if rung.fitted), 0)
    begin = min(max(fitted - room // 2, 0), max(len(rungs) - room, 0))  # the fitted size is always shown
    shown, names = list(rungs)[begin : begin + room], names[begin : begin + room]
    more = [f"{len(rungs) - len(shown)} more rows not shown"] if len(shown) < len(rungs) else []
    sloped = any(math.isfinite(rung.approach.value) for rung in rungs)
    title = f"{name}: tyre sizes, score and approach angle" if sloped else f"{name}: tyre sizes and score"
    under = ["; ".join([*keys, "lines: 90 % bands", *more])]
    with hand(medium):
        limits = span([bar for rung in shown for bar in rung.scores], False, 0.10)
        sheet = rows(medium, title, under, names, limits, transparent, right=25.0 if sloped else 6.0)
        left = sheet.axes
        angles = [
            Bar("", math.degrees(a.value), math.degrees(a.low), math.degrees(a.high))
            for a in (rung.approach for rung in shown)
        ]
        for k, rung in enumerate(shown):
            left.axhline(k + 0.5, color=theme.FAINT, linewidth=theme.thin(), zorder=0)
            for state, bar in enumerate(rung.scores):
                y = k + 0.5 + 0.22 * (state - (len(rung.scores) - 1) / 2.0) * 2.0
                draw_range(left, bar, y, BAR_COLOURS[state % 2], "oD"[state % 2], hollow=state == 1)
                if math.isfinite(bar.value):
                    beside(left, bar.high if bar.ranged else bar.value, y, f"{bar.value:.0f}", medium)
        left.set_xlabel("score")
        if sloped:
            _approach(sheet, angles, medium)
        said = "; ".join(
            f"{rung.label}: "
            + ", ".join(f"{bar.label} {bar.value:.0f}" for bar in rung.scores)
            + (f", approach angle {_degrees(angle)}" if sloped else "")
            for rung, angle in zip(shown, angles, strict=True)
        )
        return Picture(sheet.figure, medium, title, f"{said}.", transparent)


def _approach(sheet: Rows, angles: Sequence[Bar], medium: Medium) -> None:
    """The approach angles [deg] on a scale of their own, at the right of the scores."""
    box, width = sheet.axes.get_position(), medium.inches(11.5) / medium.width
    axes = sheet.figure.add_axes((1.0 - medium.inches(16.5) / medium.width, box.y0, width, box.height))
    axes.set_ylim(len(angles), 0.0)
    axes.set_xlim(*span(angles, False, 0.12))
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.xaxis.set_major_locator(theme.few_ticks(3))
    for k, angle in enumerate(angles):
        axes.axhline(k + 0.5, color=theme.FAINT, linewidth=theme.thin(), zorder=0)
        draw_range(axes, angle, k + 0.5, theme.INK, "s")
        beside(axes, axes.get_xlim()[1], k + 0.5, _degrees(angle), medium)
    axes.set_xlabel("approach angle, °")


def _degrees(bar: Bar) -> str:
    return f"{bar.value:.1f}°" if math.isfinite(bar.value) else "–"
