"""What the inputs of a vehicle file and of a test are called where people read of them without the file."""

from __future__ import annotations

from collections.abc import Sequence

from articulate.spec.key_lookup import entry_of, place_of
from articulate.types import AXLES

_OF_THE_TEST = {
    "friction": "friction of tyre on ramp and floor",
    "holding_share": "share of the slope force the ramp wheel holds",
}


def input_name(key: str) -> str:
    """An input in words: `rear.anti_roll_bar.end_rate` is the rear anti-roll bar's end rate."""
    parts, place, entry = key.split("."), place_of(key), entry_of(key)
    plain = parts[-1].replace("_", " ")
    if parts[0] in ("load", "body_point"):
        return f"{'.'.join(parts[1:-1])}: {plain}"
    if parts[1:2] == ["wheelhouse"] and len(parts) > 3:
        return f"{parts[0]} {'.'.join(parts[2:-1])}: {plain}"
    axle = f"{parts[0]} " if parts[0] in AXLES else ""
    if entry is not None and entry.words:
        return axle + entry.words
    table = f"{place[0].words} " if place and place[0].words else ""
    return _OF_THE_TEST.get(parts[-1], axle + table + plain.removeprefix(table))


def input_words(group: Sequence[str]) -> str:
    """An input's key, or those that are tied, as words."""
    names = [input_name(key) for key in group]
    ends = {name.removeprefix("front ").removeprefix("rear ") for name in names}
    if len(names) == 2 and len(ends) == 1:
        return f"front, rear {ends.pop()} (tied)"
    return " + ".join(names)
