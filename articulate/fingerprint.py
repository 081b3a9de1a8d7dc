"""By what a file is known again, wherever it lies and whatever it is called."""

from __future__ import annotations

import hashlib


def text_hash(text: str) -> str:
    """SHA-256 of a text, hexadecimal."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
