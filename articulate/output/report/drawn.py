"""Still pictures as part of a page: SVG put into its HTML, so that the page's own style and its dark hand reach them.

A drawing library writes styles (which the page's policy forbids), names every group, and defines its letters anew in
each picture. Here styles become attributes, names go unless something refers to them, numbers have as many digits as
can be seen, and what several pictures define alike stands once in the page.
"""

from __future__ import annotations

import re
from functools import lru_cache
from xml.etree import ElementTree

from markupsafe import Markup, escape

from articulate.output.report.content import PagePicture
from articulate.output.visible import visible

_NUMBER = re.compile(r"-?\d+\.\d+(?:e-?\d+)?")
_COMMANDS = "MLQCz"  # of the paths that the library writes, each between blanks
_HREF = "{http://www.w3.org/1999/xlink}href"
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
                if (name := child.get("id")) and (own := self._name(name)) not in self._defined:
                    self._defined[own] = self._written(child, f' id="{own}"')
            return ""
        if tag == "use" and element.attrib.keys() <= {_HREF, "transform"}:
            return self._letter(element)
        return self._written(element, "")

    def _letter(self, element: ElementTree.Element) -> str:
        """A letter of a line of words, of which a picture has hundreds."""
        moved = _TURN.fullmatch(element.get("transform", "translate(0 0)"))
        if moved is None:
            return self._written(element, "")
        places = (f' {of}="{_rounded(value)}"' for of, value in zip("xy", moved.groups(), strict=True) if float(value))
        return f'<use href="#{self._name(element.attrib[_HREF].removeprefix("#"))}"{"".join(places)}/>'

    def _written(self, element: ElementTree.Element, name: str) -> str:
        tag = element.tag.rpartition("}")[2]
        attributes = name + self._attributes(element)
        inner = "".join(self._element(child) for child in element)
        if tag == "g" and not (inner and attributes):
            return inner
        return f"<{tag}{attributes}>{inner}</{tag}>" if inner else f"<{tag}{attributes}/>"

    def _attributes(self, element: ElementTree.Element) -> str:
        found: dict[str, str] = {}
        for key, value in element.attrib.items():
            plain = key.rpartition("}")[2]
            if plain == "style":
                pairs = (pair.partition(":") for pair in value.split(";") if pair.strip())
                found |= {of.strip(): what.strip() for of, _, what in pairs}
            elif plain != "id":
                found[plain] = value
        told = ""
        for key, value in found.items():
            if key == "href":
                said = f"#{self._name(value.removeprefix('#'))}"
            elif within := _REFERENCE.match(value):
                said = f"url(#{self._name(within[1])})"
            elif key == "d":
                said = _path(value)
            else:
                said = _short(value, 5 if "scale" in value else _DIGITS)
            told += f' {key}="{escape(said)}"'
        return told


def _rounded(number: str, digits: int = _DIGITS) -> str:
    """A number with no more digits after the point than that."""
    told = f"{float(number):.{digits}f}".rstrip("0").rstrip(".")
    return "0" if told == "-0" else told


def _short(text: str, digits: int = _DIGITS) -> str:
    """Numbers in a text with no more digits after the point than that."""
    return _NUMBER.sub(lambda number: _rounded(number[0], digits), text)


@lru_cache(maxsize=1024)  # a face and its edge, or a word and the halo behind it, go the same way
def _path(steps: str) -> str:
    """A path with short numbers, and nothing between a letter and a number."""
    said = " ".join([_rounded(step) if "." in step else step for step in steps.split()])
    for command in _COMMANDS:
        said = said.replace(f" {command}", command).replace(f"{command} ", command)
    return said
