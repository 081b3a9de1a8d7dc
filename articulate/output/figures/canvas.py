"""What the drawing of a scene is drawn on: axes of a figure, or the strokes of a film's frames."""

from __future__ import annotations

from typing import Any, Protocol


class Canvas(Protocol):
    """As far as `Axes` is used: units of the drawing are metres both ways."""

    def plot(self, *args: Any, **kwargs: Any) -> Any:
        """A line or markers, as `Axes.plot`."""

    def add_artist(self, *args: Any, **kwargs: Any) -> Any:
        """A patch, as `Axes.add_artist`."""

    def add_collection(self, *args: Any, **kwargs: Any) -> Any:
        """Many lines or faces, as `Axes.add_collection`."""

    def text(self, *args: Any, **kwargs: Any) -> Any:
        """Words, as `Axes.text`."""
