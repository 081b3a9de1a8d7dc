"""Foreign text made harmless to look at: what would act on the text around it is shown as its code point."""

from __future__ import annotations

import re

# Control characters (all but line feed and tab), separators and marks of direction (Unicode Standard Annex 9,
# sections 2.1 to 2.7), the byte order mark, what XML cannot hold (XML 1.0, section 2.2), and lone surrogates, which
# stand for bytes that are no text.
_HIDDEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff\ud800-\udfff]"
)


def visible(text: str) -> str:
    """The text with control characters, lone surrogates and marks of direction written out as their code points.

    Letters of any script stay as they are; only what would act on the text around it without being seen is shown.
    """
    return _HIDDEN.sub(lambda found: f"‹U+{ord(found.group()):04X}›", text)
