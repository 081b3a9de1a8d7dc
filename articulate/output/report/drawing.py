"""Sketches as SVG markup without identifiers, so that a page may hold any number of them."""

from __future__ import annotations

from markupsafe import Markup, escape

from articulate.output.sheet.ramp_sketch import Label, Ring, Sketch, Stroke
from articulate.output.visible import visible

WIDE = 1000.0  # user units across


def sketch_svg(sketch: Sketch) -> Markup:
    """A sketch as an SVG picture with its caption as its name."""
    scale = WIDE / (sketch.right - sketch.left)

    def place(x: float, z: float) -> tuple[str, str]:
        return f"{(x - sketch.left) * scale:.1f}", f"{(sketch.top - z) * scale:.1f}"

    high = (sketch.top - sketch.bottom) * scale
    parts = []
    for shape in sketch.shapes:
        if isinstance(shape, Stroke):
            points = " ".join(",".join(place(*point)) for point in shape.points)
            tag = "polygon" if shape.pen == "ramp" else "polyline"
            parts.append(f'<{tag} class="{shape.pen}" points="{points}"/>')
        elif isinstance(shape, Ring):
            x, y = place(*shape.centre)
            parts.append(f'<circle class="{shape.pen}" cx="{x}" cy="{y}" r="{shape.radius * scale:.1f}"/>')
        elif isinstance(shape, Label):
            x, y = place(*shape.at)
            parts.append(f'<text x="{x}" y="{y}" text-anchor="{shape.anchor}">{escape(visible(shape.text))}</text>')
    return Markup(  # noqa: S704 its only foreign text is escaped above
        f'<svg class="sketch" role="img" aria-label="{escape(visible(sketch.caption))}" '
        f'viewBox="0 0 {WIDE:.0f} {high:.0f}">' + "".join(parts) + "</svg>"
    )
