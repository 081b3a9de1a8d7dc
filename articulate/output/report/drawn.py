"""Still pictures as part of a page: SVG put into its HTML, so that the page's own style and its dark hand reach them.

They are written straight as a page has them, not as files that would have to be read again: style is in attributes (the
page's policy forbids styles), nothing has a name that nothing refers to, numbers have as many digits as can be seen,
and letters, clips and hatches stand once for all pictures.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from markupsafe import Markup, escape
from matplotlib.backend_bases import GraphicsContextBase, RendererBase
from matplotlib.colors import rgb2hex
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.path import Path
from matplotlib.transforms import Affine2D
from numpy.typing import NDArray

from articulate.output.figures.theme import hand
from articulate.output.report.content import PagePicture
from articulate.output.visible import visible

Array = NDArray[np.float64]

POINTS = 72.0  # to the inch
HATCH = 72.0  # [pt], side of the square that a hatch repeats
LETTERS = 64.0  # parts of a unit in which letters are kept whole
_STEPS: dict[int, tuple[str, int]] = {
    int(Path.MOVETO): ("M", 0),
    int(Path.LINETO): ("L", 0),
    int(Path.CURVE3): ("Q", 1),
    int(Path.CURVE4): ("C", 2),
    int(Path.CLOSEPOLY): ("z", 0),
}  # and how many points follow the first


@dataclass(frozen=True)
class _Line:
    """Words as their letters, in the units in which the drawing library keeps outlines."""

    placed: tuple[tuple[str, float, float], ...]  # name of each letter, how far across and up it stands
    width: float
    bottom: float
    top: float


class Drawings:
    """The pictures of one page, and what they share."""

    def __init__(self) -> None:
        self.letters: dict[str, Any] = {}  # outlines by the drawing library's names
        self.lines: dict[tuple[str, tuple[Any, ...]], _Line] = {}  # by words and files of their font
        self._names: dict[Any, str] = {}  # by what stands for a thing in a picture
        self._defined: list[str] = []

    def put(self, picture: PagePicture) -> Markup:
        """A picture as markup; its words are its name for whoever does not see it."""
        figure = picture.drawn.figure
        wide, high = (float(side) * POINTS for side in figure.get_size_inches())
        renderer = _PageRenderer(wide, high, self)
        before, figure.dpi = figure.dpi, POINTS
        figure.patch.set_visible(False)  # the page is the background
        with hand(picture.drawn.medium):
            figure.draw(renderer)
        figure.dpi = before
        figure.patch.set_visible(True)
        return Markup(  # noqa: S704 foreign text is escaped here, and drawn as outlines inside
            f'<svg class="drawn" role="img" aria-label="{escape(visible(picture.alt))}" '
            f'viewBox="0 0 {_short(wide)} {_short(high)}">{"".join(renderer.parts)}</svg>'
        )

    @property
    def shared(self) -> Markup:
        """What the pictures refer to; it belongs anywhere in the page, once."""
        if not self._defined:
            return Markup()
        defined = "".join(self._defined)
        return Markup(f'<svg class="shared" aria-hidden="true"><defs>{defined}</defs></svg>')  # noqa: S704 as above

    def name(self, key: Any, tag: str, said: Callable[[], tuple[str, str]]) -> str:
        """The name in the page of what `key` stands for in every picture.

        Where it has none yet it is defined, by the attributes and the inner elements that `said` gives.
        """
        if key not in self._names:
            name = self._names[key] = f"d{len(self._names)}"
            attributes, inner = said()
            self._defined.append(f'<{tag} id="{name}"{attributes}>{inner}</{tag}>')
        return self._names[key]


class _PageRenderer(RendererBase):
    """Draws a figure as elements of a page; places are in points, down from the upper left corner."""

    def __init__(self, width: float, height: float, page: Drawings) -> None:
        super().__init__()
        self.width, self.height, self.page = width, height, page
        self.parts: list[str] = []
        self._flip = Affine2D().scale(1.0, -1.0).translate(0.0, height)

    def get_canvas_width_height(self) -> tuple[float, float]:
        """Size of the picture [pt]."""
        return self.width, self.height

    def draw_path(self, gc: GraphicsContextBase, path: Path, transform: Any, rgbFace: Any = None) -> None:  # noqa: N803 its name in the library
        """A line or a face."""
        style = self._style(gc, rgbFace)
        if style is None:
            return
        bare = rgbFace is None and gc.get_hatch() is None
        within = (0.0, 0.0, self.width, self.height) if bare else None
        cleaned = path.cleaned(transform + self._flip, remove_nans=True, clip=within, curves=True)
        self.parts.append(f'<path d="{_steps(cleaned)}"{self._clip(gc)}{style}/>')

    def draw_markers(
        self,
        gc: GraphicsContextBase,
        marker_path: Path,
        marker_trans: Any,
        path: Path,
        trans: Any,
        rgbFace: Any = None,  # noqa: N803 its name in the library
    ) -> None:
        """One shape at every point of a line."""
        style = self._style(gc, rgbFace)
        if style is None:
            return
        shape = _steps(marker_path.cleaned(marker_trans + Affine2D().scale(1.0, -1.0), curves=True))
        name = self.page.name(shape, "path", lambda: (f' d="{shape}"', ""))
        places = path.cleaned(trans + self._flip, remove_nans=True, curves=True)
        put = [
            f'<use href="#{name}" x="{_short(x)}" y="{_short(y)}"{style}/>'
            for (x, y), code in zip(
                np.asarray(places.vertices).tolist(), np.asarray(places.codes).tolist(), strict=True
            )
            if code in (Path.MOVETO, Path.LINETO)
        ]
        self.parts.append(f"<g{self._clip(gc)}>{''.join(put)}</g>")

    def get_text_width_height_descent(self, s: str, prop: FontProperties, ismath: Any) -> tuple[float, float, float]:
        """Measured without hinting, as letters are drawn here [pt]."""
        assert not ismath
        line, scale = self._line(s, prop), prop.get_size_in_points() / self._text2path.FONT_SCALE
        return line.width * scale, (line.top - line.bottom) * scale, -line.bottom * scale

    def _line(self, s: str, prop: FontProperties) -> _Line:
        """A line of words, laid out once to be measured and drawn."""
        files = _font_files(tuple(prop.get_family()), prop.get_weight())
        if (s, files) not in self.page.lines:
            font, shapes = get_font(files), self.page.letters
            font.set_size(self._text2path.FONT_SCALE, self._text2path.DPI)
            # A space after the last letter stands where the line ends.
            placed, _, _ = self._text2path.get_glyphs_with_font(font, f"{s} ", shapes)
            reach = [(shapes[name][0][:, 1] + up if len(shapes[name][0]) else np.zeros(1)) for name, _, up, _ in placed]
            self.page.lines[s, files] = _Line(
                tuple((name, across, up) for name, across, up, _ in placed[:-1]),
                placed[-1][1],
                min(float(one.min()) for one in reach[:-1] or reach),
                max(float(one.max()) for one in reach[:-1] or reach),
            )
        return self.page.lines[s, files]

    def draw_text(
        self,
        gc: GraphicsContextBase,
        x: float,
        y: float,
        s: str,
        prop: FontProperties,
        angle: float,
        ismath: Any = False,
        mtext: Any = None,
    ) -> None:
        """Words as outlines of their letters."""
        assert not ismath
        said = "".join(self._letter(*one) for one in self._line(s, prop).placed)
        if not said:
            return
        scale = prop.get_size_in_points() / self._text2path.FONT_SCALE
        turned = f" rotate({_short(-angle)})" if angle else ""
        where = f"translate({_short(x, 5)} {_short(y, 5)}){turned} scale({_short(scale, 5)} {_short(-scale, 5)})"
        alpha = gc.get_alpha() if gc.get_forced_alpha() else gc.get_rgb()[3]
        clear = f' opacity="{_short(alpha)}"' if alpha != 1.0 else ""
        words = f'<g fill="{rgb2hex(gc.get_rgb())}"{clear} transform="{where}">{said}</g>'
        clip = self._clip(gc)
        self.parts.append(f"<g{clip}>{words}</g>" if clip else words)

    def _letter(self, letter: str, across: float, up: float) -> str:
        points, codes = self.page.letters[letter]
        if not len(points):
            return ""

        def shape() -> tuple[str, str]:
            whole = _steps(Path(points * LETTERS, codes))
            return f' d="{whole}" transform="scale({_short(1.0 / LETTERS, 5)})"', ""

        moved = "".join(f' {key}="{_short(by)}"' for key, by in (("x", across), ("y", up)) if by)
        return f'<use href="#{self.page.name(letter, "path", shape)}"{moved}/>'

    def _clip(self, gc: GraphicsContextBase) -> str:
        box = gc.get_clip_rectangle()
        if box is None:
            return ""
        left, bottom, wide, high = box.bounds
        sides = {"x": left, "y": self.height - (bottom + high), "width": wide, "height": high}
        attributes = "".join(f' {key}="{_short(value)}"' for key, value in sides.items())
        name = self.page.name(attributes, "clipPath", lambda: ("", f"<rect{attributes}/>"))
        return f' clip-path="url(#{name})"'

    def _style(self, gc: GraphicsContextBase, face: Any) -> str | None:
        """Attributes of a path; None where nothing would be seen of it."""
        found: dict[str, Any] = {}
        width, colour, forced = gc.get_linewidth(), gc.get_rgb(), gc.get_forced_alpha()
        hatched = gc.get_hatch() is not None
        if hatched:
            found["fill"] = self._hatched(gc, face)
        elif face is None:
            found["fill"] = "none"
        else:
            found["fill"] = rgb2hex(face)
            if len(face) == 4 and face[3] != 1.0 and not forced:
                found["fill-opacity"] = face[3]
        if forced and gc.get_alpha() != 1.0:
            found["opacity"] = gc.get_alpha()
        if width:
            found["stroke"] = rgb2hex(colour)
            start, dashes = gc.get_dashes()
            if dashes is not None:
                found["stroke-dasharray"] = ",".join(_short(long) for long in np.asarray(dashes).tolist())
                found["stroke-dashoffset"] = start
            if colour[3] != 1.0 and not forced:
                found["stroke-opacity"] = colour[3]
            if width != 1.0:
                found["stroke-width"] = width
            if gc.get_joinstyle() != "round":
                found["stroke-linejoin"] = gc.get_joinstyle()
            if gc.get_capstyle() != "butt":
                found["stroke-linecap"] = {"projecting": "square"}.get(gc.get_capstyle(), gc.get_capstyle())
        elif found["fill"] == "none":
            return None
        return "".join(
            f' {key}="{value if isinstance(value, str) else _short(float(value))}"' for key, value in found.items()
        )

    def _hatched(self, gc: GraphicsContextBase, face: Any) -> str:
        ink, width = rgb2hex(gc.get_hatch_color()), _short(gc.get_hatch_linewidth())
        behind = "none" if face is None else rgb2hex(face)

        def square() -> tuple[str, str]:
            lines = _steps(
                gc.get_hatch_path().cleaned(Affine2D().scale(HATCH, -HATCH).translate(0.0, HATCH), curves=True)
            )
            side, ground = (f'x="0" y="0" width="{long:g}" height="{long:g}"' for long in (HATCH, HATCH + 1.0))
            pen = f'fill="{ink}" stroke="{ink}" stroke-width="{width}" stroke-linecap="butt" stroke-linejoin="miter"'
            return (
                f' patternUnits="userSpaceOnUse" {side}',
                f'<rect {ground} fill="{behind}"/><path d="{lines}" {pen}/>',
            )

        return f"url(#{self.page.name((gc.get_hatch(), behind, ink, width), 'pattern', square)})"


@cache
def _font_files(families: tuple[str, ...], weight: Any) -> tuple[Any, ...]:
    """Files of a font and of those that are asked for letters it lacks."""
    return tuple(findfont(FontProperties(family=[name], weight=weight)) for name in families)


def _steps(path: Path) -> str:
    """A path as SVG has it, to a tenth of its unit."""
    points = (np.round(np.asarray(path.vertices), 1) + 0.0).tolist()  # no minus before a zero
    codes = [] if path.codes is None else np.asarray(path.codes).tolist()
    told, more = [], 0  # points to come of a curve that has begun
    for code, (x, y) in zip(codes, points, strict=True):
        if more:
            mark, more = " ", more - 1
        elif code == Path.STOP:
            break
        else:
            mark, more = _STEPS[code]
        told.append(mark if mark == "z" else f"{mark}{x:g} {y:g}")
    return "".join(told)


def _short(number: float, digits: int = 1) -> str:
    """A number with no more digits after the point than that: in 720 units across no more are seen."""
    value = round(float(number), digits)
    return f"{value:.15g}" if value else "0"
