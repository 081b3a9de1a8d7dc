"""What each frame of a film shows: the shots of a test or of two runs on one clock, between their cards."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TypeAlias

import numpy as np

from articulate.brief import Brief
from articulate.climb import Outcome
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles
from articulate.output.figures.audience import message
from articulate.output.figures.scene import Scene, scenes
from articulate.output.layout import capitalised
from articulate.output.text.band import lies_in, range_text
from articulate.output.units import Lengths
from articulate.prediction import Run
from articulate.shape.outline import BodyOutline
from articulate.studies.day.moments import Moments, at_climbs
from articulate.studies.day.moving_climb import RUN_UP, UNRELEASABLE, Stage
from articulate.studies.predict.band import Band
from articulate.types import WHEELS

Bands: TypeAlias = "Mapping[str, Band]"  # by the vehicle's name
NO_BANDS: Bands = MappingProxyType({})

RATE = 12  # frames a second
HOLD, LAST_HOLD = 1.5, 3.0  # [s] at a mark
TITLE, CLOSING = 2.0, 4.0  # [s], cards
BEYOND_THE_LAST = 0.9  # [m] of ramp drawn beyond the last mark, where it goes on
STATES = 60  # of two runs on one clock, on the longer way


@dataclass(frozen=True, eq=False, repr=False)
class Pane(Brief):
    """A vehicle in a frame: whose it is, what is seen and said of it, and the marks it has made so far."""

    name: str
    state: str  # of its bars, in words
    scene: Scene
    sentence: str
    marks: tuple[tuple[float, str], ...]  # climb [m] and words
    lifting: int  # index of the wheel that is down at its mark, -1 where none is

    @property
    def points(self) -> str:
        """How far up, in thousandths of the wheelbase: at the mark the score."""
        return f"{1000.0 * max(self.scene.climb, 0.0) / self.scene.wheelbase:.0f}"


@dataclass(frozen=True, eq=False, repr=False)
class Shot(Brief):
    """One frame: one vehicle, or two on one clock, and how long it stays."""

    panes: tuple[Pane, ...]
    seconds: float
    part: str  # of the film, in words


@dataclass(frozen=True, eq=False, repr=False)
class Runner(Brief):
    """One run of one vehicle, with what is needed to show it."""

    name: str
    vehicle: Vehicles  # a batch of one, as given to `predict`
    test: RampTest
    side: str
    run: Run
    outline: BodyOutline | None = None  # of its body


@dataclass(frozen=True)
class Card:
    """A frame of words."""

    name: str
    large: str
    lines: tuple[str, ...]
    seconds: float

    @property
    def said(self) -> str:
        """The card read out, without the stop at its end."""
        words = [self.name, self.large, *self.lines]
        return " ".join(one if one.endswith((",", "?")) else f"{one}." for one in words).removesuffix(".")


@dataclass(frozen=True)
class Part:
    """A part of a film in words, from where to where [s]."""

    begin: float
    end: float
    sentence: str


def shots(
    stages: Sequence[Stage], name: str, lengths: Lengths, rate: int = RATE, outline: BodyOutline | None = None
) -> list[Shot]:
    """The frames of one test in their order.

    Args:
        stages: as `moving_climb` has them.
        name: of the vehicle.
        lengths: the units in which lengths are told.
        rate: frames a second.
        outline: of the body; fitted to the vehicle without it.
    """
    found: list[Shot] = []
    marks: tuple[tuple[float, str], ...] = ()
    for number, stage in enumerate(stages):
        seen = scenes(stage.moments, outline=outline)
        fixed = UNRELEASABLE in stage.caption
        states = [UNRELEASABLE if fixed else f"bars {scene.bars}" for scene in seen]
        says = stage.caption.removesuffix(f", {UNRELEASABLE}")
        found += [
            Shot((Pane(name, state, scene, says, marks, -1),), 1.0 / rate, stage.caption)
            for state, scene in zip(states, seen, strict=True)
        ]
        if stage.mark is not None:
            marks = (*marks, (float(seen[-1].climb), _mark_words(stage.mark)))
        if stage.ending:
            seconds = LAST_HOLD if number == len(stages) - 1 else HOLD
            lifting = stage.mark.wheel if stage.mark is not None else -1
            sentence = message(seen[-1], lifting, lengths)[1] if lifting >= 0 else stage.ending
            found.append(Shot((Pane(name, states[-1], seen[-1], sentence, marks, lifting),), seconds, stage.ending))
    return _on_one_ramp(found)


def on_one_clock(runners: Sequence[Runner], states: int) -> list[Moments]:
    """Runs that drive up equally fast from before the first touch; who is at the end of its run waits there.

    Args:
        runners: the runs.
        states: number of states until the last is there.
    """
    begin = min(float(runner.run.trace.climb[0]) for runner in runners) - RUN_UP
    ends = [float(runner.run.trace.climb[-1]) for runner in runners]
    clock = np.linspace(begin, max(ends), states)
    return [
        at_climbs(runner.vehicle, runner.test, runner.side, runner.run, np.minimum(clock, end))
        for runner, end in zip(runners, ends, strict=True)
    ]


def side_by_side(runners: Sequence[Runner], lengths: Lengths, rate: int = RATE, states: int = STATES) -> list[Shot]:
    """Two runs on one clock: both drive up equally fast, and who has reached a mark waits there.

    Args:
        runners: the runs, with names and outlines.
        lengths: the units in which lengths are told.
        rate: frames a second.
        states: number of frames on the way.
    """
    seen = [
        scenes(moments, outline=runner.outline)
        for moments, runner in zip(on_one_clock(runners, states), runners, strict=True)
    ]
    found = []
    part = "up the ramp, equally fast" if len(runners) > 1 else f"up the ramp, bars {runners[0].run.bars}"
    for number in range(states):
        panes = tuple(_racing(runner, row[number], lengths) for runner, row in zip(runners, seen, strict=True))
        found.append(Shot(panes, 1.0 / rate, part))
    ends = "; ".join(f"{pane.name}, {pane.state}: {pane.sentence}, {pane.points}" for pane in found[-1].panes)
    found.append(replace(found[-1], seconds=LAST_HOLD, part=ends))
    return _on_one_ramp(found)


def _racing(runner: Runner, scene: Scene, lengths: Lengths) -> Pane:
    run, state = runner.run, f"bars {runner.run.bars}"
    if scene.climb < float(run.trace.climb[-1]):
        return Pane(runner.name, state, scene, f"up the ramp, {state}", (), -1)
    marks = ((float(scene.climb), _mark_words(run)),)
    sentence = message(scene, run.wheel, lengths)[1] if run.wheel >= 0 else run.outcome.meaning
    return Pane(runner.name, state, scene, sentence, marks, run.wheel)


def _on_one_ramp(found: list[Shot]) -> list[Shot]:
    """The same ramp in every frame."""
    every = [pane.scene for shot in found for pane in shot.panes]
    length = min(max(scene.climb for scene in every) + BEYOND_THE_LAST, *(scene.ramp_length for scene in every))
    return [
        replace(
            shot,
            panes=tuple(replace(pane, scene=replace(pane.scene, ramp_length=length)) for pane in shot.panes),
        )
        for shot in found
    ]


def _mark_words(run: Run) -> str:
    return f"{run.score:.0f}" if math.isfinite(run.score) else "end"


def with_cards(pictured: Sequence[Shot], runs: Sequence[tuple[str, Run]], bands: Bands = NO_BANDS) -> list[Shot | Card]:
    """The shots between a title card and a closing card with the scores and what lies between them.

    Args:
        pictured: the shots.
        runs: whose runs they show, in the order of the film.
        bands: of the vehicles, by name.
    """
    scene = pictured[0].panes[0].scene
    names = list(dict.fromkeys(name for name, _ in runs))
    name = " and ".join(names)
    title = Card(name, "How far up?", (f"{scene.side} front wheel up a {math.degrees(scene.angle):g}° ramp,",
        "until another wheel is about to leave the ground", "predicted, not measured"), TITLE)  # fmt: skip
    scored = [(whose, run) for whose, run in runs if math.isfinite(run.score)]
    if not scored:
        return [title, *pictured]
    several = len(names) > 1
    fixed = pictured[-1].panes[0].state == UNRELEASABLE
    ranges = [lies_in(bands[whose], run.bars) if whose in bands else "" for whose, run in scored]
    lines = [
        f"{f'{whose}, ' if several else ''}{UNRELEASABLE if fixed else f'bars {run.bars}'}: {run.score:.0f}"
        f"{f' ({lies})' if lies else ''}{', wheels spin' if run.outcome == Outcome.WHEELS_SPIN else ''}"
        for (whose, run), lies in zip(scored, ranges, strict=True)
    ]
    scores = [run.score for _, run in scored]
    large = f"{scores[0]:.0f}"
    if len(scores) == 2:
        gain = round(scores[1]) - round(scores[0])
        change = f"{100.0 * (scores[1] / scores[0] - 1.0):+.0f} %".replace("-", "−")
        band = None if several or names[0] not in bands else bands[names[0]].gain
        lies = f" ({range_text(band.low, band.high, True)})".replace("-", "−") if band is not None else ""
        large = f"{scores[0]:.0f} {'and' if several else '→'} {scores[1]:.0f}"
        what = "for the second" if several else "by releasing the bars"
        lines.append(f"{'+' if gain >= 0 else '−'}{abs(gain)}{lies} {what}, {change}")
    lines.append("score: 1000 × climb / wheelbase, predicted")
    if any(ranges):
        lines.append("in brackets: where 90 % lie")
    return [title, *pictured, Card(name, large, tuple(lines), CLOSING)]


def parts(pictured: Sequence[Shot | Card]) -> list[Part]:
    """The parts of a film in words, each from where to where [s]."""
    found: list[Part] = []
    at = 0.0
    for shot in pictured:
        words = shot.part if isinstance(shot, Shot) else shot.said
        if found and found[-1].sentence == words:
            found[-1] = replace(found[-1], end=at + shot.seconds)
        else:
            found.append(Part(at, at + shot.seconds, words))
        at += shot.seconds
    return found


def caption(pictured: Sequence[Shot | Card], runs: Sequence[tuple[str, Run]], bands: Bands = NO_BANDS) -> str:
    """A finished sentence to stand under the film; the predicted is called so."""
    scene = next(shot for shot in pictured if isinstance(shot, Shot)).panes[0].scene
    names = list(dict.fromkeys(name for name, _ in runs))
    reached = [
        f"{f'{name}, ' if len(names) > 1 else ''}bars {run.bars}, "
        + (f"{run.score:.0f} ({_end_words(run, bands.get(name))})" if math.isfinite(run.score) else run.outcome.meaning)
        for name, run in runs
    ]
    way = f"{scene.side} front wheel up a {math.degrees(scene.angle):g}° ramp"
    return f"{' and '.join(names)}, {way}, predicted score: {'; '.join(reached)}."


def _end_words(run: Run, band: Band | None) -> str:
    end = f"{WHEELS[run.wheel]} lifts" if run.wheel >= 0 else run.outcome.meaning
    return end if band is None else f"{end}; 90 % lie in {lies_in(band, run.bars)}"


def film_words(
    pictured: Sequence[Shot | Card],
    runs: Sequence[tuple[str, Run]],
    notes: Sequence[str] = (),
    bands: Bands = NO_BANDS,
) -> dict[str, object]:
    """What a film says, for under it and for people who cannot see it, with what is said when [s].

    Args:
        pictured: the shots and cards.
        runs: whose runs they show.
        notes: what the film holds for.
        bands: of the vehicles, by name.
    """
    told = parts(pictured)
    said = caption(pictured, runs, bands)
    sentences = " ".join(f"{capitalised(part.sentence)}." for part in told)
    many = max((len(shot.panes) for shot in pictured if isinstance(shot, Shot)), default=1)
    what = "two runs side by side on one clock" if many > 1 else "a vehicle on the ramp"
    whole = f"A film of {what}, to scale, seen from the ramp's side. {said} {sentences} "
    return {
        "title": f"{' and '.join(dict.fromkeys(name for name, _ in runs))} on the ramp",
        "caption": said,
        "alt": whole + " ".join(f"{line}." for line in notes),
        "seconds": round(sum(shot.seconds for shot in pictured), 2),
        "parts": [
            {"from_s": round(part.begin, 2), "to_s": round(part.end, 2), "says": f"{capitalised(part.sentence)}."}
            for part in told
        ],
    }
