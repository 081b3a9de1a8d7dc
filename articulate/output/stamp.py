"""Which program made a page."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version


def program() -> str:
    """Name and version of the program; a source tree that is not installed says so."""
    try:
        return f"articulate {version('articulate')}"
    except PackageNotFoundError:
        return "articulate, not installed"
