"""One name for everything that can be observed, wherever it is answered; older forms are taken too.

The form is `left.released.roll`, `left.connected.load.front_right`, `left.connected.lifts` at a mark,
`rest.load.rear_left` at rest, and the key of the vehicle file for its inputs. Taken too: `released.roll`, `roll` (bars
connected), `flat_load.rear_left`.
"""

from __future__ import annotations

from articulate.types import BAR_STATES, SIDES

AT_MARK = ("roll", "roll_front", "roll_rear", "pitch", "load", "hub_travel", "stop_gap", "arch_gap", "lifts")
AGAIN = ("mark_again", "run_again")


def whole_name(name: str, side: str) -> str:
    """The one form of a name; what leaves out the side means this one, and what leaves out the bars means connected."""
    parts = name.split(".")
    if parts[0] == "flat_load":
        return ".".join(["rest", "load", *parts[1:]])
    if parts[0] in SIDES or parts[0] == "rest":
        return name
    if parts[0] in BAR_STATES and parts[1:2] and parts[1] in (*AT_MARK, *AGAIN):
        return f"{side}.{name}"
    if parts[0] in AT_MARK:
        return f"{side}.connected.{name}"
    return name
