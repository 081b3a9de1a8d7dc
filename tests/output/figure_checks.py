"""What a person's eye would object to, found by measuring: words on words, words cut off."""

from __future__ import annotations

from matplotlib.axis import Axis
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from articulate.output.figures.theme import Picture, hand

SLACK = 1.0  # pixels of shared edge that no eye sees, for each 10 of type height


def words(picture: Picture) -> list[tuple[str, Bbox]]:
    """Every piece of text and its box in pixels."""
    with hand(picture.medium):
        renderer = FigureCanvasAgg(picture.figure).get_renderer()
        picture.figure.draw_without_rendering()  # everything gets its place; what it looks like there is not asked
        hidden = [
            label
            for axis in picture.figure.findobj(Axis)
            for tick in axis.get_major_ticks()
            for label in (tick.label1, tick.label2)
            if not min(axis.get_view_interval()) - 1e-9 <= tick.get_loc() <= max(axis.get_view_interval()) + 1e-9
        ]
        found = []
        for text in picture.figure.findobj(Text):
            if text.get_visible() and text.get_text().strip() and text not in hidden:
                found.append((text.get_text(), text.get_window_extent(renderer)))
    return found


def objections(picture: Picture) -> list[str]:
    """Words that overlap one another or leave the picture."""
    found = words(picture)
    width, height = picture.figure.get_size_inches() * picture.figure.dpi
    slack = SLACK * picture.medium.type_size * picture.figure.dpi / 720.0
    said = [
        f"cut off: {text}"
        for text, box in found
        if box.x0 < -slack or box.y0 < -slack or box.x1 > width + slack or box.y1 > height + slack
    ]
    for i, (text, box) in enumerate(found):
        for other, other_box in found[i + 1 :]:
            over_x = min(box.x1, other_box.x1) - max(box.x0, other_box.x0)
            over_y = min(box.y1, other_box.y1) - max(box.y0, other_box.y0)
            if over_x > slack and over_y > 2.5 * slack:
                said.append(f"overlap: {text!r} and {other!r}")
    return said
