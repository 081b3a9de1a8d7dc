"""Three plain charts for any answer: numbers with their ranges a row each, scores along something, scores counted."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from articulate.output.figures import theme
from articulate.output.figures.band import BAR_COLOURS, HATCHES
from articulate.output.figures.rows import beside, draw_range, most_rows, rows, span
from articulate.output.figures.tallies import Bar, Mark, ScoreLine
from articulate.output.figures.theme import Medium, Picture, hand

MARKERS = "oD"
DASHES = ("-", (0, (5, 1.5)))
CHART = 20.0  # type sizes, height of a diagram where it is ours to choose
LEFT, FOOT = 6.0, 4.6  # type sizes, of a diagram's margins
BESIDE = 14.0  # type sizes, for the words beside a row
CURVE_COLOURS = (theme.BLUE, theme.VERMILION, theme.GREEN, theme.PURPLE, theme.INK)


def ranges_picture(
    marks: Sequence[Mark],
    title: str,
    under: Sequence[str],
    scale: str,
    medium: Medium = theme.PAGE,
    transparent: bool = False,
    zero: bool = False,
) -> Picture:
    """Numbers with their ranges on one scale, a row each, in the order given.

    Args:
        marks: of the rows; a number that is not finite has its words alone.
        title: of the sheet.
        under: lines below it, which say what a range is.
        scale: what the scale is, with its unit.
        medium: paper, page or video.
        transparent: no background.
        zero: a line at zero.
    """
    room = most_rows(medium, [mark.bar.label for mark in marks], 3.6 + 1.45 * (len(under) + 1), FOOT)
    shown = list(marks)[:room]
    with hand(medium):
        lines = [*under, *([f"{len(marks) - len(shown)} more rows not shown"] if len(shown) < len(marks) else [])]
        limits = span([mark.bar for mark in shown], zero, 0.08)
        if zero:
            limits = (min(limits[0], -0.05 * limits[1]), max(limits[1], -0.05 * limits[0]))
            limits = limits if limits[0] < limits[1] else (-1.0, 1.0)
        names = [mark.bar.label for mark in shown]
        sheet = rows(medium, title, lines, names, limits, transparent, BESIDE)
        axes = sheet.axes
        if zero:
            axes.axvline(0.0, color=theme.MUTED, linewidth=theme.thin(), zorder=1)
        for k, mark in enumerate(shown):
            y, state = k + 0.5, mark.state % 2
            axes.axhline(y, color=theme.FAINT, linewidth=theme.thin(), zorder=0)
            draw_range(axes, replace(mark.bar, value=math.nan), y, BAR_COLOURS[state])
            draw_range(axes, Bar("", mark.bar.value), y, BAR_COLOURS[state], MARKERS[state], mark.hollow)
            words = beside(axes, limits[1], y, mark.bar.note, medium)
            theme.fitted(words, medium.inches(BESIDE - 1.2))
        axes.set_xlabel(scale)
        said = "; ".join(f"{mark.bar.label}: {mark.bar.note}" for mark in marks)
        return Picture(
            sheet.figure, medium, title, f"{scale}. {' '.join(f'{one}.' for one in under)} {said}.", transparent
        )


def _diagram(medium: Medium, title: str, under: Sequence[str], transparent: bool, right: float) -> Axes:
    """Axes of one diagram below its title."""
    head = 4.6 + 1.45 * len(under)
    figure = theme.sheet(medium, head + CHART + FOOT, transparent)
    upper = theme.heading(figure, medium, title, under) - medium.inches(0.6) / figure.get_size_inches()[1]
    axes = theme.place(figure, medium, LEFT, FOOT, right, upper)
    axes.xaxis.set_major_locator(theme.few_ticks())
    axes.yaxis.set_major_locator(theme.few_ticks())
    return axes


def curves_picture(
    curves: Sequence[ScoreLine],
    title: str,
    under: Sequence[str],
    along: str,
    ticks: Mapping[float, str] | None = None,
    level: tuple[float, str] | None = None,
    medium: Medium = theme.PAGE,
    transparent: bool = False,
) -> Picture:
    """Scores along something, a curve each, with a marker at every climb.

    Args:
        curves: with their names.
        title: of the sheet.
        under: lines below it.
        along: what the scores are along, with its unit.
        ticks: words at places of that scale; round numbers if None.
        level: a score to be marked across, and its name.
        medium: paper, page or video.
        transparent: no background.
    """
    with hand(medium):
        right = 16.0
        axes = _diagram(medium, title, under, transparent, right)
        figure = axes.get_figure(root=True)
        assert figure is not None
        ends: list[tuple[float, str, str]] = []
        for k, curve in enumerate(curves):
            colour = CURVE_COLOURS[k % len(CURVE_COLOURS)]
            many = len(curve.places) > 25
            axes.plot(
                curve.places,
                curve.scores,
                color=colour,
                linestyle=DASHES[k % 2],
                marker=theme.WHEEL_MARKERS[k % 4],
                markevery=max(len(curve.places) // 12, 1) if many else 1,
            )[0].set_gid(f"scores-{k + 1}")
            known = [score for score in curve.scores if math.isfinite(score)]
            if known:
                ends.append((known[-1], curve.label, colour))
            else:
                ends.append((axes.get_ylim()[0], f"{curve.label}: no score", colour))
        if level is not None:
            axes.axhline(level[0], color=theme.INK, linewidth=theme.thin() * 1.5, linestyle=(0, (2, 2)), zorder=1)
            ends.append((level[0], level[1], theme.INK))
        places = [place for curve in curves for place in curve.places] or [0.0]
        wide = (max(places) - min(places)) or 1.0
        axes.set_xlim(min(places) - 0.05 * wide, max(places) + 0.05 * wide)
        if not any(math.isfinite(score) for curve in curves for score in curve.scores) and level is None:
            axes.set_yticks([])
        low, high = axes.get_ylim()
        gap = medium.inches(1.4) * (high - low) / theme.size(axes)[1]
        heights = theme.spread([end[0] for end in ends], gap, low, high)
        edge = axes.get_xlim()[1]
        axes.set_ylim(low, high)
        for (_, label, colour), y in zip(ends, heights, strict=True):
            words = beside(axes, edge, y, label, medium)
            words.set_color(colour)
            theme.fitted(words, medium.inches(right - 1.4))
        if ticks is not None:
            _name_places(axes, ticks, medium)
        axes.set_xlabel(along)
        axes.set_ylabel("score")
        said = ". ".join(f"{curve.label}: {_told(curve)}" for curve in curves)
        also = f" {level[1]}: {level[0]:.0f}." if level is not None else ""
        return Picture(figure, medium, title, f"Score along {along}. {said}.{also}", transparent)


def _name_places(axes: Axes, ticks: Mapping[float, str], medium: Medium) -> None:
    """Ticks at the places, each with its words where they keep clear of those before."""
    low, high = axes.get_xlim()
    inch = theme.size(axes)[0] / (high - low)
    words, free = [], -math.inf
    for place, name in sorted(ticks.items()):
        trial = axes.text(place, 0.0, name)
        half = 0.5 * theme.drawn_width(trial)
        trial.remove()
        clear = place * inch - half > free
        words.append(name if clear else "")
        free = place * inch + half + medium.inches(0.6) if clear else free
    axes.set_xticks(sorted(ticks), words)


def _told(curve: ScoreLine) -> str:
    known = [score for score in curve.scores if math.isfinite(score)]
    if not known:
        return "no score"
    return f"score {known[0]:.0f} at the lower end, {known[-1]:.0f} at the upper, {min(known):.0f} to {max(known):.0f}"


def counts_picture(
    samples: Mapping[str, NDArray[np.float64]],
    title: str,
    under: Sequence[str],
    medium: Medium = theme.PAGE,
    transparent: bool = False,
) -> Picture:
    """How many scores fall where, a sample each, with the median and the central 90 % above.

    Args:
        samples: scores by name, (points,); those that are not finite are only told in number.
        title: of the sheet.
        under: lines below it.
        medium: paper, page or video.
        transparent: no background.
    """
    known = {name: values[np.isfinite(values)] for name, values in samples.items()}
    known = {name: values for name, values in known.items() if values.size}
    with hand(medium):
        axes = _diagram(medium, title, under, transparent, 3.0)
        figure = axes.get_figure(root=True)
        assert figure is not None
        whole = np.concatenate([*known.values()]) if known else np.array([0.0, 1.0])
        fewest = min((values.size for values in known.values()), default=1)
        edges = np.linspace(whole.min(), max(whole.max(), whole.min() + 1.0), 1 + max(8, min(40, fewest // 12)))
        said, top = [f"{name}: none has a score" for name in samples if name not in known], 0.0
        for k, (_, values) in enumerate(known.items()):
            counts, _ = np.histogram(values, edges)
            top = max(top, float(counts.max()))
            face = BAR_COLOURS[k % 2] if k % 2 == 0 else "none"
            drawn = axes.stairs(
                counts, edges, fill=k % 2 == 0, color=BAR_COLOURS[k % 2], alpha=0.45 if k % 2 == 0 else 1.0
            )
            drawn.set_hatch(HATCHES[k % 2] or "")
            drawn.set_facecolor(face)
            drawn.set_edgecolor(BAR_COLOURS[k % 2])
        for k, (name, values) in enumerate(known.items()):
            low, median, high = (float(one) for one in np.percentile(values, [5.0, 50.0, 95.0]))
            y = top * (1.12 + 0.16 * (len(known) - 1 - k))
            axes.plot([low, high], [y, y], color=BAR_COLOURS[k % 2], marker="|")
            axes.plot(median, y, color=BAR_COLOURS[k % 2], marker=MARKERS[k % 2], linestyle="none")
            without = samples[name].size - values.size
            words = f"{name}: {median:.0f} ({low:.0f} to {high:.0f})" + (f", {without} without" if without else "")
            beside(axes, high, y, words, medium).set_color(BAR_COLOURS[k % 2])
            said.append(words)
        axes.set_ylim(0.0, max(top, 1.0) * (1.12 + 0.16 * len(known)))
        axes.set_xlim(edges[0], edges[-1] + 0.35 * (edges[-1] - edges[0]))
        axes.set_xlabel("score")
        axes.set_ylabel("vehicles")
        return Picture(figure, medium, title, f"{'; '.join(said)}. {' '.join(f'{one}.' for one in under)}", transparent)
