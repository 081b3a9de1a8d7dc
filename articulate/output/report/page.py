"""Self-contained pages: templates, styles and scripts put into one HTML file that asks the network for nothing.

What comes from vehicle files and run sheets is data: every string is escaped by the template engine, control and
direction characters are shown as what they are, and data for scripts stands in JSON blocks that cannot end early. A
content security policy allows the page's own style and script by their hashes, and nothing else.
"""

from __future__ import annotations

import base64
import functools
import hashlib
import json
from collections.abc import Mapping, Sequence
from importlib import resources
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from articulate.output.visible import visible


def _finalize(value: Any) -> Any:
    return visible(value) if isinstance(value, str) and not isinstance(value, Markup) else value


REPORT = "articulate.output.report"  # the package whose templates are meant, unless another is named


@functools.cache
def _environment(package: str) -> Environment:
    return Environment(
        loader=PackageLoader(package),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_finalize,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


SHARED = ("hand.css",)  # light and dark, and what goes with them: for pages of every package


def template_text(name: str, package: str = REPORT) -> str:
    """A file of a package's templates; the shared ones stand with the report's."""
    of = REPORT if name in SHARED else package
    return resources.files(of).joinpath("templates", name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    return "'sha256-" + base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii") + "'"


def _clean(value: Any) -> Any:
    if type(value) in (int, float):  # most of a page's data
        return value
    if isinstance(value, str):
        return visible(value)
    if isinstance(value, Mapping):
        return {visible(str(key)): _clean(item) for key, item in value.items()}
    if isinstance(value, Sequence):
        return [_clean(item) for item in value]
    return value


def embedded_json(data: Any) -> Markup:
    """Data for a JSON script block: nothing in it can end the block or open a comment.

    Only plain values: numbers must be finite. `<`, `>` and `&` are written as escapes.
    """
    text = json.dumps(_clean(data), allow_nan=False, ensure_ascii=True, separators=(",", ":"))
    text = text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
    return Markup(text)  # noqa: S704 no markup is left in it


def render_page(
    template: str,
    styles: Sequence[str],
    scripts: Sequence[str],
    package: str = REPORT,
    unpacked: Sequence[str] = (),
    **content: Any,
) -> str:
    """One page from a template with its styles and scripts inside.

    Args:
        template: name of the template, which places `policy`, `style` and `script`.
        styles: names of the style files, in their order.
        scripts: names of the script files.
        package: that has the templates.
        unpacked: scripts the page may run besides, which it carries packed in its content.
        content: what the template shows.

    Returns:
        HTML; the same content gives the same bytes.
    """
    style = "".join(template_text(name, package) for name in styles)
    script = "".join(template_text(name, package) for name in scripts)
    policy = [
        "default-src 'none'",
        "img-src data:",
        f"style-src {_hash(style)}",
        "script-src " + (" ".join(map(_hash, (script, *unpacked))) if script else "'none'"),
        "base-uri 'none'",
        "form-action 'none'",
    ]
    page = _environment(package).get_template(template)
    return page.render(
        policy="; ".join(policy),
        style=Markup(style),  # noqa: S704 our own file
        script=Markup(script),  # noqa: S704 our own file
        **content,
    )
