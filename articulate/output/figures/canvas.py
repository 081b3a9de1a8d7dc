"""What the drawing of a scene is drawn on: axes of a figure, or the strokes of a film's frames.

Axes get their artists as they are: the limits are set, so none has to be looked at for how far it reaches.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Protocol, TypeGuard, cast

import numpy as np
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.lines import Line2D
from matplotlib.patches import PathPatch, Polygon
from matplotlib.path import Path
from numpy.typing import NDArray

from articulate.output.figures import theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Outlines = Sequence[NDArray[Any]]  # (k, 2) each
Colours = NDArray[Any] | str  # (outlines, 3), or one for all
Dashes = Any  # as `Line2D.set_linestyle` takes them


class Canvas(Protocol):
    """As far as `Axes` is used: units of the drawing are metres both ways."""

    def plot(self, *args: Any, **kwargs: Any) -> Any:
        """A line or markers, as `Axes.plot`."""

    def text(self, *args: Any, **kwargs: Any) -> Any:
        """Words, as `Axes.text`."""


class TakesOutlines(Canvas, Protocol):
    """A canvas that takes outlines as they are, without a collection made of them."""

    def add_outlines(
        self, shapes: Outlines, faces: Colours | None, edges: Colours, width: float, zorder: float
    ) -> None:
        """Faces, or lines where they have no colour."""

    def add_polygon(
        self, points: NDArray[Any], face: str | None, edge: str, zorder: float, width: float, dashes: Dashes
    ) -> None:
        """One face, or its edge alone where it has no colour."""


def takes_outlines(canvas: Canvas) -> TypeGuard[TakesOutlines]:
    """Whether a canvas takes outlines as they are."""
    return hasattr(canvas, "add_outlines")


def on_axes(canvas: Canvas) -> Axes:
    """The axes that a canvas is where it takes no outlines, for artists of the library."""
    return cast("Axes", canvas)


def draw_line(canvas: Canvas, points: NDArray[Any], **style: Any) -> Line2D:
    """A line or markers through points (k, 2), or a marker at one (2,); `style` as `Axes.plot` takes it."""
    across, up = np.reshape(points, (-1, 2)).T
    if takes_outlines(canvas):
        return cast("Line2D", canvas.plot(across, up, **style)[0])
    drawn = Line2D(across, up, **style)
    on_axes(canvas).add_artist(drawn)
    return drawn


def draw_polygon(
    canvas: Canvas,
    points: NDArray[Any],
    face: str | None,
    edge: str,
    zorder: float,
    width: float | None = None,
    dashes: Dashes = "-",
    name: str = "",
) -> None:
    """A face with its edge, or the edge alone where `face` is None; `width` in points, a thin line's if None."""
    thick = theme.thin() if width is None else width
    if takes_outlines(canvas):
        canvas.add_polygon(points, face, edge, zorder, thick, dashes)
        return
    drawn = Polygon(points, edgecolor=edge, linewidth=thick, linestyle=dashes, zorder=zorder)
    drawn.set_fill(face is not None)
    if face is not None:
        drawn.set_facecolor(face)
    if name:
        drawn.set_gid(name)
    on_axes(canvas).add_artist(drawn)


def draw_faces(canvas: Canvas, shapes: Outlines, faces: Colours, edges: Colours, width: float, zorder: float) -> None:
    """Faces with their edges, the later over the earlier; `width` in points."""
    if takes_outlines(canvas):
        canvas.add_outlines(shapes, faces, edges, width, zorder)
        return
    drawn = PolyCollection(shapes, facecolors=faces, edgecolors=edges, linewidths=width, zorder=zorder)
    drawn.set_joinstyle("round")
    drawn.set_clip_on(False)
    on_axes(canvas).add_collection(drawn, autolim=False)


def draw_edges(canvas: Canvas, shapes: Outlines, colour: str, width: float, zorder: float, name: str = "") -> None:
    """The edges of closed shapes in one colour, as one path; `name` is its gid, `width` in points."""
    if takes_outlines(canvas):
        canvas.add_outlines(shapes, "none", colour, width, zorder)
        return
    whole = Path.make_compound_path(*(Path(np.concatenate([shape, shape[:1]]), closed=True) for shape in shapes))
    drawn = PathPatch(whole, fill=False, edgecolor=colour, linewidth=width, joinstyle="round", zorder=zorder)
    if name:
        drawn.set_gid(name)
    drawn.set_clip_on(False)
    on_axes(canvas).add_artist(drawn)


def draw_lines(canvas: Canvas, shapes: Outlines, colour: str, width: float, zorder: float) -> None:
    """Lines of one colour; `width` in points."""
    if takes_outlines(canvas):
        canvas.add_outlines(shapes, None, colour, width, zorder)
    elif shapes:
        lines = LineCollection(shapes, colors=colour, linewidths=width, zorder=zorder)
        on_axes(canvas).add_collection(lines, autolim=False)
