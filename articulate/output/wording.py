"""What every text for people shares: its width, and the caution."""

from __future__ import annotations

WIDTH = 80

CAUTION = (
    "Caution: at the mark the vehicle stands on three wheels. Nobody beside or under it, wheels chocked, hands clear "
    "of a loaded tyre (pull the film with a strap), stop on any slip. Release a bar only where it is unloaded, on "
    "level ground, unless its release is made for the ramp. Local rules and licensed practice come first."
)
