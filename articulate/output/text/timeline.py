"""The climb told in words, as text for an 80-column terminal, as JSON data and as rows."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from articulate.climb import Outcome
from articulate.output.layout import ended, finite, join, wrapped
from articulate.output.plain_data import same_names
from articulate.output.text.wording import OUTCOMES
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.output.wheels_and_ranges import by_wheel, climbs_head, wheel_key
from articulate.safety import THREE_WHEELS
from articulate.studies.explain.timeline import Moment, Removal, RunTimeline, Timeline
from articulate.types import WHEELS, each_state

if TYPE_CHECKING:
    from articulate.output.command_data import MomentData, RemovalData, RunStoryData, TimelineData

_NO_FORCE = {
    "arch": "only watched: nothing in the model pushes back there",
    "bodywork": "only watched: nothing in the model pushes back there",
}
_SAME_RATE = 0.02  # relative


def _load_words(moment: Moment, wheel: int) -> str:
    """How the moment changes the unloading of the wheel that lifts in the end."""
    before, after = moment.rate_before / 1e3, moment.rate_after / 1e3
    if not (math.isfinite(before) and math.isfinite(after)):
        return ""
    lead = "" if moment.together == 1 else f"with the {'one' if moment.together == 2 else moment.together - 1} before, "
    if abs(after - before) < _SAME_RATE * max(abs(before), abs(after)):
        return f"{lead}the {WHEELS[wheel]} goes on unloading at {-after:.1f} N per mm of climb"
    verb = "faster" if after < before else "slower"
    return f"{lead}the {WHEELS[wheel]} unloads {verb}: {-after:.1f} instead of {-before:.1f} N per mm of climb"


def moment_sentence(moment: Moment, run: RunTimeline) -> str:
    """One moment in words."""
    said = _NO_FORCE.get(moment.kind) or (_load_words(moment, run.wheel) if run.wheel >= 0 else "")
    return moment.what + (f"; {said}" if said else "")


def end_sentence(run: RunTimeline) -> str:
    """How the climb ends."""
    if run.wheel >= 0:
        others = ", ".join(
            f"{wheel} {load:.0f} N"
            for index, (wheel, load) in enumerate(zip(WHEELS, run.wheel_load, strict=True))
            if index != run.wheel
        )
        how = "lifts" if run.outcome == Outcome.WHEEL_LIFTS else "is off the ground after a jump"
        return f"the {WHEELS[run.wheel]} wheel {how}; the others carry {others}"
    return run.outcome.meaning


def _without(removal: Removal) -> str:
    if not math.isfinite(removal.score):
        return f"without the {removal.what} there is no score: {removal.outcome.meaning}"
    first = (
        f", its first millimetre {removal.gain_per_metre / 1e3:+.2f}" if math.isfinite(removal.gain_per_metre) else ""
    )
    return f"without the {removal.what} {removal.score:.0f} ({removal.gain:+.1f}{first})"


def decided_words(run: RunTimeline) -> str:
    """Which limit decided."""
    if not math.isfinite(run.score):
        return "nothing to decide: " + run.outcome.meaning
    if run.outcome == Outcome.WHEELS_SPIN:
        return "decided by drive and grip: wheels spin before a wheel lifts"
    if not run.removals:
        return "decided by springs, bars and tyres alone: no stop is met and no coil leaves its seat"
    if run.decided is None:
        return "decided by springs, bars and tyres: taking away what was met changes nothing"
    return f"decided by the {run.decided}"


def decided_sentence(run: RunTimeline) -> str:
    """Which limit decided, with what the score would be without each."""
    if not (run.removals and math.isfinite(run.score)):
        return decided_words(run)
    said = "; ".join(_without(removal) for removal in run.removals).replace("the every", "every")
    return f"{decided_words(run)}. As it is {run.score:.0f}; {said}"


def _removal_lines(run: RunTimeline) -> list[str]:
    if not (run.removals and math.isfinite(run.score)):
        return []
    lines = [f"    {'climbed again without':<40}{'score':>7}{'gain':>9}{'first mm':>11}"]
    for removal in run.removals:
        if not math.isfinite(removal.score):
            lines.append(f"    {removal.what:<40}  none: {OUTCOMES[removal.outcome]}")
            continue
        first = f"{removal.gain_per_metre / 1e3:+.2f}" if math.isfinite(removal.gain_per_metre) else "-"
        lines.append(f"    {removal.what:<40}{removal.score:7.0f}{removal.gain:+9.1f}{first:>11}")
    return lines


def _moment_lines(run: RunTimeline, full: bool, lengths: Lengths) -> list[str]:
    score = f"{run.score:.1f}" if math.isfinite(run.score) else "no score"
    lines = [f"bars {run.bars}: {score}", f"  {'climb':>7} {'score':>6}"]
    for moment in run.moments:
        lines.append(
            wrapped(
                f"{lengths.one(moment.climb):>9} {moment.score:6.0f}  "
                f"{moment_sentence(moment, run) if full else moment.what}",
                " " * 18,
            )
        )
    if math.isfinite(run.climb):
        end = f"{run.score:6.0f}" if math.isfinite(run.score) else "     -"
        lines.append(wrapped(f"{lengths.one(run.climb):>9} {end}  {_end(run, full)}", " " * 18))
    else:
        lines.append(wrapped(f"  {end_sentence(run)}"))
    lines.append(wrapped("  " + decided_words(run), "  "))
    return lines + (_removal_lines(run) if full else _first_removal(run))


def _end(run: RunTimeline, full: bool) -> str:
    return (
        f"the {WHEELS[run.wheel]} wheel lifts" if run.outcome == Outcome.WHEEL_LIFTS and not full else end_sentence(run)
    )


def _first_removal(run: RunTimeline) -> list[str]:
    """What the limit that decided costs."""
    if run.decided is None or not math.isfinite(run.score):
        return []
    return [wrapped(f"  {_without(one)}", "    ") for one in run.removals if one.what == run.decided]


def timeline_table(story: Timeline, name: str, full: bool = True, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """The story for people; in full with loads, and every limit that was taken away."""
    lines = [
        name,
        f"{story.side} front wheel up a {math.degrees(story.angle):g} degree ramp, from first touch to the end",
    ]
    for run in each_state(story):
        lines += ["", *_moment_lines(run, full, lengths)]
    if not full:
        return join([*lines, "", "--full: loads, and what taking away each limit gains", "", THREE_WHEELS])
    paragraph = (
        "What decided is found by climbing again without each limit that was met; first mm: points for a first "
        "millimetre more of it. Gains do not add up: with one limit gone the next comes into play."
    )
    return ended(lines, paragraph, THREE_WHEELS)


def _run_data(run: RunTimeline) -> RunStoryData:
    found: RunStoryData = same_names(
        run,
        *("bars", "outcome", "score", "climb_m"),
        lifting_wheel=wheel_key(run.wheel),
        wheel_load_N=by_wheel(run.wheel_load),
        moments=[_moment_data(moment, run) for moment in run.moments],
        without=[_removal_data(removal) for removal in run.removals],
        decided=run.decided,
        sentence=decided_sentence(run),
    )
    return found


def _moment_data(moment: Moment, run: RunTimeline) -> MomentData:
    found: MomentData = same_names(
        moment,
        *("climb_m", "score", "what", "kind", "begins"),
        load_rate_before_N_per_m=finite(moment.rate_before),
        load_rate_after_N_per_m=finite(moment.rate_after),
        sentence=moment_sentence(moment, run),
    )
    return found


def _removal_data(removal: Removal) -> RemovalData:
    found: RemovalData = same_names(
        removal,
        *("what", "outcome", "score", "gain"),
        gain_per_m=finite(removal.gain_per_metre),
        lifting_wheel=wheel_key(removal.wheel),
    )
    return found


def timeline_data(story: Timeline, name: str) -> TimelineData:
    """The story as plain data with SI keys, for JSON."""
    return {
        **climbs_head(name, story.side, story.angle),
        "connected": _run_data(story.connected),
        "released": _run_data(story.released) if story.released else None,
    }


def timeline_rows(story: Timeline) -> Sequence[Mapping[str, str | float]]:
    """One row a moment, the end included, for CSV."""
    rows: list[Mapping[str, str | float]] = []
    for run in each_state(story):
        rows += [
            {"bars": run.bars, "climb_m": m.climb, "score": m.score, "kind": m.kind, "what": moment_sentence(m, run)}
            for m in run.moments
        ]
        rows.append(
            {"bars": run.bars, "climb_m": run.climb, "score": run.score, "kind": "end", "what": end_sentence(run)}
        )
    return rows
