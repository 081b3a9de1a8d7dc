"""Which program made a page."""

from __future__ import annotations

from articulate import __version__


def program() -> str:
    """Name and version of the program."""
    return f"articulate {__version__}"
