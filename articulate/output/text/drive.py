"""What is said of the drive: how far it takes the vehicle, with what locked, on what friction."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from articulate.climb import Outcome
from articulate.output.layout import finite, row, wrapped
from articulate.output.text.source_files import drive_words
from articulate.output.text.wording import OUTCOMES, outcome_key, spinning_words
from articulate.output.wheels_and_ranges import WHEEL_KEYS
from articulate.spec.vehicle_spec import DriveChoices
from articulate.studies.predict.drive_outlook import AS_FILED, DrivenEnd, DriveOutlook, DriveWay

if TYPE_CHECKING:
    from articulate.output.command_data import DriveData


def drive_line(drive: DriveChoices | None) -> str:
    """What is known of the drive, in one line."""
    return drive_words(drive) if drive else "which wheels drive is not given, so nothing ends by wheelspin; see [drive]"


def _takes(friction: float) -> str:
    return f"takes {friction:.2f}" if math.isfinite(friction) else "no friction helps"


def end_words(end: DrivenEnd) -> str:
    """One end in a cell: the score reached or where wheels spin, and the friction that the way to the lift takes."""
    if end.outcome == Outcome.WHEELS_SPIN:
        return f"{end.score:.0f}, {_takes(end.friction_needed)}"
    if not math.isfinite(end.score):
        return OUTCOMES[end.outcome]
    return f"{end.score:.0f} lifts, {_takes(end.friction_needed)}"


def _label(way: DriveWay, known: bool) -> str:
    return f"  + {way.name}" if known and way.locked else f"  {way.name}"


def outlook_lines(outlook: DriveOutlook) -> list[str]:
    """A table of the ways of driving, each with where it ends, at most 80 columns."""
    drive = outlook.drive
    if drive is None:
        first = f"wheelspin: which wheels drive is not given; on friction {outlook.friction:g} it would come to"
    else:
        first = f"wheelspin: {drive_words(drive)}; on friction {outlook.friction:g} it comes to"
    lines = wrapped(first).split("\n")
    lines += [row(_label(way, drive is not None), [end_words(end) for end in way.ends]) for way in outlook.ways]
    return [*lines, "  lifts: gets to the lift; otherwise wheels spin there, going on takes that"]


def _locks(way: DriveWay) -> str:
    return " and ".join(way.locked)


def _needs(way: DriveWay) -> float:
    return max(end.friction_needed for end in way.ends)


def reach_sentences(outlook: DriveOutlook) -> list[str]:
    """Whether the vehicle gets to its mark, and with what locked."""
    return _if_unknown(outlook) if outlook.drive is None else _as_filed(outlook)


def _if_unknown(outlook: DriveOutlook) -> list[str]:
    grip, best = f"friction {outlook.friction:g}", outlook.least_locked
    spins = [end.score for way in outlook.ways for end in way.ends if end.outcome == Outcome.WHEELS_SPIN]
    if not spins:
        return [f"Wheelspin: none is to be expected on {grip}, whichever wheels drive."]
    said = (
        f"Wheelspin: the file does not say which wheels drive. With open differentials wheels spin on {grip} at scores "
        f"from {min(spins):.0f} to {max(spins):.0f}"
    )
    if best is None:
        return [f"{said}; no usual drive gets to the mark."]
    way = f"{_locks(best)} locked" if best.locked else best.name
    return [f"{said}; with {way} it gets to the mark (takes friction {_needs(best):.2f})."]


def _as_filed(outlook: DriveOutlook) -> list[str]:
    grip, best, filed = f"friction {outlook.friction:g}", outlook.least_locked, outlook.ways[0]
    if filed.reaches:
        return [f"Drive as filed: it gets to the mark on {grip}; the way takes friction {_needs(filed):.2f}."]
    ends = "; ".join(
        f"bars {end.bars} at {end.score:.0f} ({spinning_words(end.spinning)})" for end in filed.ends if not end.reaches
    )
    said = (
        f"Drive as filed: wheels spin before a wheel lifts on {grip}: {ends}. That is a limit of the drive, not of the "
        "suspension; stop at the first spin."
    )
    if best is None:
        return [said, f"Nothing that could be locked takes it to the mark on {grip}."]
    return [said, f"With {_locks(best)} locked it gets to the mark (takes friction {_needs(best):.2f})."]


def outlook_data(outlook: DriveOutlook) -> DriveData:
    """The outlook as plain data, for JSON."""
    drive, best = outlook.drive, outlook.least_locked
    return {
        "known": drive is not None,
        "driven_wheels": drive.driven_wheels if drive else None,
        "front_differential": drive.differentials[0] if drive else None,
        "rear_differential": drive.differentials[1] if drive else None,
        "centre": drive.centre if drive else None,
        "friction": outlook.friction,
        "reaches_the_mark_as_filed": outlook.ways[0].reaches if outlook.ways[0].name == AS_FILED else None,
        "reaches_the_mark_with": best.name if best else None,
        "ways": [
            {
                "name": way.name,
                "locked": list(way.locked),
                "runs": [
                    {
                        "bars": end.bars,
                        "outcome": outcome_key(end.outcome),
                        "score": finite(end.score),
                        "spinning_wheels": [WHEEL_KEYS[i] for i in end.spinning],
                        "holding_share": finite(end.holding_share),
                        "friction_needed": finite(end.friction_needed),
                        "no_friction_is_enough": math.isinf(end.friction_needed),
                        "score_without_spin": finite(end.score_without_spin),
                    }
                    for end in way.ends
                ],
            }
            for way in outlook.ways
        ],
    }
