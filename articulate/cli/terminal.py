"""The standard streams: foreign text harmless in any terminal, and one plain sentence where nothing can be printed."""

from __future__ import annotations

import codecs
import io
import os
import sys
from typing import Any

from articulate.errors import ArticulateError
from articulate.output.visible import visible

READER_GONE = 141  # 128 and the number of the signal, as shells count


class CannotPrintError(ArticulateError):
    """Standard output does not take what is printed: it is closed, or the disk it goes to is full."""


class VisibleText(io.TextIOWrapper):
    """A text stream that shows control characters and marks of direction as code points.

    A carriage return at the start of what is written stays, as progress begins with one. Letters that the encoding
    lacks are written as escapes. Where the stream on which faults are told takes nothing, nobody can be told.
    """

    def __init__(self, stream: io.TextIOWrapper, *, tells_faults: bool) -> None:
        encoding = "utf-8" if codecs.lookup(stream.encoding).name == "ascii" else stream.encoding
        super().__init__(stream.detach(), encoding, "backslashreplace", newline="\n", line_buffering=True)
        self._tells_faults = tells_faults

    def write(self, text: str) -> int:
        """Write the text as it may be seen."""
        start = "\r" if text.startswith("\r") else ""
        shown = start + "\r\n".join(map(visible, text[len(start) :].split("\r\n")))
        try:
            super().write(shown)
        except OSError as error:
            self._refused(error)
        return len(text)

    def flush(self) -> None:
        """Pass on what is written."""
        try:
            super().flush()
        except OSError as error:
            self._refused(error)

    def _refused(self, error: OSError) -> None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), self.fileno())  # or what is left to write fails once more at exit
        if self._tells_faults:
            return
        if isinstance(error, BrokenPipeError):  # whoever read has read enough
            sys.exit(READER_GONE)
        raise CannotPrintError(f"standard output: it cannot be written ({error.strerror})") from None


def open_streams() -> None:
    """Put such streams in place of Python's own, also for those that are closed."""
    for number, how in enumerate((os.O_RDONLY, os.O_RDONLY, os.O_WRONLY)):  # what is printed is refused by the second
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, how)  # takes the lowest number that is free, before an answer's file could
    sys.stdout = VisibleText(_opened(sys.stdout, 1), tells_faults=False)
    sys.stderr = VisibleText(_opened(sys.stderr, 2), tells_faults=True)


def _opened(stream: Any, number: int) -> io.TextIOWrapper:
    return stream if stream is not None else open(number, "w", encoding="utf-8")
