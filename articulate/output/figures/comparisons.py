"""Vehicles against one another: the split of a difference as a bridge, a ranking with bands, the tyre ladder."""

from __future__ import annotations

import math
from collections.abc import Sequence

from articulate.output.figures import theme
from articulate.output.figures.band import BAR_COLOURS
from articulate.output.figures.rows import beside, draw_range, most_rows, rows, signed, span
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
            note = f" ({signed(step.low)} to {signed(step.high)})" if step.ranged else ""
            beside(axes, max(edges[k], edges[k + 1]), y, f"{signed(step.value)}{note}", medium)
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
            band = f" ({bar.low:.0f} to {bar.high:.0f})" if bar.ranged else ""
            value = f"{bar.value:.0f}" if math.isfinite(bar.value) else "no score"
            beside(sheet.axes, limits[1], y, f"{value}{band}{', ' if bar.note else ''}{bar.note}", medium, bold=k == 0)
        sheet.axes.set_xlabel("score")
        said = "; ".join(f"{e.score.label} {e.score.value:.0f} {e.score.note}".rstrip() for e in entries)
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
    title = f"{name}: tyre sizes, score and approach angle"
    keys = [f"{'filled' if k == 0 else 'hollow'}: bars {state}" for k, state in enumerate(states)]
    names = [f"{r.label}{' (fitted)' if r.fitted else ''}\n{r.note}".rstrip() for r in rungs]
    shown = list(rungs)[: most_rows(medium, names, 5.2, 4.4)]
    more = [f"{len(rungs) - len(shown)} more rows not shown"] if len(shown) < len(rungs) else []
    under = ["; ".join([*keys, "lines: 90 % bands", *more])]
    with hand(medium):
        limits = span([bar for rung in shown for bar in rung.scores], False, 0.10)
        sheet = rows(medium, title, under, names[: len(shown)], limits, transparent, right=25.0)
        left = sheet.axes
        box = left.get_position()
        width = medium.inches(11.5) / medium.width
        right = sheet.figure.add_axes((1.0 - medium.inches(16.5) / medium.width, box.y0, width, box.height))
        right.set_ylim(len(shown), 0.0)
        angles = [
            Bar("", math.degrees(a.value), math.degrees(a.low), math.degrees(a.high))
            for a in (rung.approach for rung in shown)
        ]
        right.set_xlim(*span(angles, False, 0.12))
        right.set_yticks([])
        right.spines["left"].set_visible(False)
        right.xaxis.set_major_locator(theme.few_ticks(3))
        for k, rung in enumerate(shown):
            for axes in (left, right):
                axes.axhline(k + 0.5, color=theme.FAINT, linewidth=theme.thin(), zorder=0)
            for state, bar in enumerate(rung.scores):
                y = k + 0.5 + 0.22 * (state - (len(rung.scores) - 1) / 2.0) * 2.0
                draw_range(left, bar, y, BAR_COLOURS[state % 2], "oD"[state % 2], hollow=state == 1)
                if math.isfinite(bar.value):
                    beside(left, bar.high if bar.ranged else bar.value, y, f"{bar.value:.0f}", medium)
            draw_range(right, angles[k], k + 0.5, theme.INK, "s")
            beside(right, right.get_xlim()[1], k + 0.5, _degrees(angles[k]), medium)
        left.set_xlabel("score")
        right.set_xlabel("approach angle, °")
        said = "; ".join(
            f"{rung.label}: "
            + ", ".join(f"{bar.label} {bar.value:.0f}" for bar in rung.scores)
            + f", {_degrees(angle)}"
            for rung, angle in zip(shown, angles, strict=True)
        )
        return Picture(sheet.figure, medium, title, f"{said}.", transparent)


def _degrees(bar: Bar) -> str:
    return f"{bar.value:.1f}°" if math.isfinite(bar.value) else "–"
