"""By what a file is known again, wherever it lies and whatever it is called."""

from __future__ import annotations

import hashlib


def content_hash(content: bytes) -> str:
    """SHA-256 of a file's bytes, hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def text_hash(text: str) -> str:
    """SHA-256 of a text, hexadecimal."""
    return content_hash(text.encode("utf-8", "surrogatepass"))
