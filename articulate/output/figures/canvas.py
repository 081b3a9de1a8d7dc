"""What the drawing of a scene is drawn on: axes of a figure, or the strokes of a film's frames."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Protocol, runtime_checkable

from matplotlib.collections import LineCollection, PolyCollection
from numpy.typing import NDArray

Outlines = Sequence[NDArray[Any]]  # (k, 2) each
Colours = Sequence[Any] | str  # one for each outline, or one for all


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


@runtime_checkable
class TakesOutlines(Protocol):
    """A canvas that takes outlines as they are, without a collection made of them."""

    def add_outlines(
        self, shapes: Outlines, faces: Colours | None, edges: Colours, width: float, zorder: float
    ) -> None:
        """Faces, or lines where they have no colour."""


def draw_faces(
    canvas: Canvas, shapes: Outlines, faces: Colours, edges: Colours, width: float, zorder: float, name: str = ""
) -> None:
    """Faces with their edges, the later over the earlier; `name` is their gid, `width` in points."""
    if isinstance(canvas, TakesOutlines):
        canvas.add_outlines(shapes, faces, edges, width, zorder)
        return
    drawn = PolyCollection(shapes, facecolors=faces, edgecolors=edges, linewidths=width, zorder=zorder)
    drawn.set_joinstyle("round")
    if name:
        drawn.set_gid(name)
    drawn.set_clip_on(False)
    canvas.add_collection(drawn, autolim=False)


def draw_lines(canvas: Canvas, shapes: Outlines, colour: str, width: float, zorder: float) -> None:
    """Lines of one colour; `width` in points."""
    if isinstance(canvas, TakesOutlines):
        canvas.add_outlines(shapes, None, colour, width, zorder)
    elif shapes:
        lines = LineCollection(shapes, colors=colour, linewidths=width, zorder=zorder)
        canvas.add_collection(lines, autolim=False)
