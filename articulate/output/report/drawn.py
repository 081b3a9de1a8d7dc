"""Still pictures as part of a page: SVG put into its HTML, so that the page's own style and its dark hand reach them.

A drawing library writes styles (which the page's policy forbids), names every group, and defines its letters anew in
each picture. Here styles become attributes, names go unless something refers to them, numbers have as many digits as
can be seen, and what several pictures define alike stands once in the page.
"""

from __future__ import annotations

import re
from xml.etree import ElementTree

from markupsafe import Markup, escape

from articulate.output.report.content import PagePicture
from articulate.output.visible import visible

_NUMBER = re.compile(r"-?\d+\.\d+(?:e-?\d+)?")
_STEP = re.compile(r"\s*([A-Za-z])\s*|\s+")
_TURN = re.compile(r"translate\(([^ ,)]+)[ ,]+([^ ,)]+)\)")
_REFERENCE = re.compile(r"^url\(#(.*)\)$")
_DIGITS = 1  # after the point, of places in 720 units across
_LEFT_OUT = ("metadata", "style", "title", "desc")
_BACKGROUND = "patch_1"


class Drawings:
    """The pictures of one page, and what they share."""

    def __init__(self) -> None:
        self._names: dict[str, str] = {}  # by the name in a picture
        self._defined: dict[str, str] = {}  # by the name in the page

    def put(self, picture: PagePicture) -> Markup:
        """A picture as markup; its words are its name for whoever does not see it."""
        root = ElementTree.fromstring(picture.drawn.data("svg"))  # noqa: S314 written by ourselves
        inner = "".join(self._element(child) for child in root)
        return Markup(  # noqa: S704 foreign text is escaped here, and drawn as outlines inside
            f'<svg class="drawn" role="img" aria-label="{escape(visible(picture.alt))}" '
            f'viewBox="{_short(root.attrib["viewBox"])}">{inner}</svg>'
        )

    @property
    def shared(self) -> Markup:
        """What the pictures refer to; it belongs anywhere in the page, once."""
        if not self._defined:
            return Markup()
        defined = "".join(self._defined.values())
        return Markup(f'<svg class="shared" aria-hidden="true"><defs>{defined}</defs></svg>')  # noqa: S704 as above

    def _name(self, name: str) -> str:
        return self._names.setdefault(name, f"d{len(self._names)}")

    def _element(self, element: ElementTree.Element) -> str:
        tag = element.tag.rpartition("}")[2]
        if tag in _LEFT_OUT or element.get("id") == _BACKGROUND:
            return ""
        if tag == "defs":
            for child in element:
                if name := child.get("id"):
                    self._defined.setdefault(self._name(name), self._written(child, f' id="{self._name(name)}"'))
            return ""
        return self._written(element, "")

    def _written(self, element: ElementTree.Element, name: str) -> str:
        tag = element.tag.rpartition("}")[2]
        attributes = name + self._attributes(tag, element)
        inner = "".join(self._element(child) for child in element)
        if tag == "g" and not (inner and attributes):
            return inner
        return f"<{tag}{attributes}>{inner}</{tag}>" if inner else f"<{tag}{attributes}/>"

    def _attributes(self, tag: str, element: ElementTree.Element) -> str:
        found: dict[str, str] = {}
        for key, value in element.attrib.items():
            plain = key.rpartition("}")[2]
            if plain == "style":
                pairs = (pair.partition(":") for pair in value.split(";") if pair.strip())
                found |= {of.strip(): what.strip() for of, _, what in pairs}
            elif plain != "id":
                found[plain] = value
        if tag == "use" and (moved := _TURN.fullmatch(found.get("transform", ""))):
            del found["transform"]
            found |= {of: value for of, value in zip("xy", moved.groups(), strict=True) if float(value)}
        told = ""
        for key, value in found.items():
            if key == "href":
                said = f"#{self._name(value.removeprefix('#'))}"
            elif within := _REFERENCE.match(value):
                said = f"url(#{self._name(within[1])})"
            else:
                said = _short(value, 5 if "scale" in value else _DIGITS)
                said = _STEP.sub(lambda step: step[1] or " ", said).strip() if key == "d" else said
            told += f' {key}="{escape(said)}"'
        return told


def _short(text: str, digits: int = _DIGITS) -> str:
    """Numbers in a text with no more digits after the point than that."""

    def rounded(number: re.Match[str]) -> str:
        value = round(float(number[0]), digits)
        return f"{value:.15g}" if value else "0"

    return _NUMBER.sub(rounded, text)
