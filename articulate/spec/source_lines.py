"""Which line of a TOML text each key stands on.

`tomllib` gives values without places, so this walks the text once more and notes the line of every
key, of every table and of every array element. It leans on `tomllib` for correctness: on a valid text it is
exact, on an invalid one it stops where it no longer understands and keeps what it has.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass

Path = tuple[str | int, ...]

DEEPEST = 20  # parts of a key; our files have four, and reading one takes time and room by their square

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BLANK = re.compile(r"[ \t]*")
_BLANK_LINES = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SCALAR = re.compile(r"[^,\]}#\n\r]*")
_BASIC = re.compile(r'"(?:[^"\\\n]|\\.)*"')
_LITERAL = re.compile(r"'[^'\n]*'")
_BASIC_BLOCK = re.compile(r'"""(?:[^\\]|\\.)*?"""(?!")"{0,2}', re.DOTALL)
_LITERAL_BLOCK = re.compile(r"'''.*?'''(?!')'{0,2}", re.DOTALL)
_QUOTED = (('"""', _BASIC_BLOCK), ("'''", _LITERAL_BLOCK), ('"', _BASIC), ("'", _LITERAL))  # the longer quotes first
_ESCAPE = re.compile(r"\\(?:u([0-9A-Fa-f]{4})|U([0-9A-Fa-f]{8})|(.))")
_ESCAPED = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r", '"': '"', "\\": "\\"}


@dataclass(frozen=True)
class SourceLines:
    """Line of every key path, counted from 1, and the keys that were set a second time.

    `repeated` holds (path, first line, second line) in the order of the text; `too_deep` is the line of the first key
    of more than `DEEPEST` parts, where the walk ended.
    """

    lines: Mapping[Path, int]
    repeated: tuple[tuple[Path, int, int], ...] = ()
    too_deep: int | None = None

    def of(self, path: Path) -> int | None:
        """The line of a path, or of the nearest table around it; None for the whole file."""
        while path:
            if path in self.lines:
                return self.lines[path]
            path = path[:-1]
        return None


class _NotUnderstoodError(Exception):
    """The walk met something that is not TOML."""


def find_source_lines(text: str) -> SourceLines:
    """Find the line of every key of a TOML text, in time proportional to its length."""
    walk = _Walk(text)
    # An invalid text is for tomllib to explain; the lines found so far still help.
    with suppress(_NotUnderstoodError, RecursionError):
        walk.document()
    return SourceLines(walk.lines, tuple(walk.repeated), walk.too_deep)


class _Walk:
    def __init__(self, text: str) -> None:
        self.text = text.replace("\r\n", "\n")
        self.at = 0
        self.counted, self.line = 0, 1
        self.lines: dict[Path, int] = {}
        self.repeated: list[tuple[Path, int, int]] = []
        self.set: set[Path] = set()  # paths that may not be set again
        self.elements: dict[Path, int] = {}  # number of [[tables]] of an array
        self.too_deep: int | None = None

    def document(self) -> None:
        table: Path = ()
        while True:
            self.skip(_BLANK_LINES)
            if self.at >= len(self.text):
                return
            line = self.here()
            if self.text.startswith("[[", self.at):
                table = self.array_header(line)
            elif self.text.startswith("[", self.at):
                table = self.header(line)
            else:
                self.pair(table)

    def header(self, line: int) -> Path:
        self.expect("[")
        path = self.resolved(self.key())
        self.skip(_BLANK)
        self.expect("]")
        self.note(path, line, is_set=True)
        return path

    def array_header(self, line: int) -> Path:
        self.expect("[[")
        key = self.key()
        self.skip(_BLANK)
        self.expect("]]")
        array = (*self.resolved(key[:-1]), key[-1])
        index = self.elements.get(array, -1) + 1
        self.elements[array] = index
        self.lines.setdefault(array, line)
        self.note_parents(array, line)
        element = (*array, index)
        self.lines[element] = line
        return element

    def resolved(self, key: Path) -> Path:
        """A header's key with the index of the latest element wherever it passes an array."""
        path: Path = ()
        for part in key:
            path = (*path, part)
            if path in self.elements:
                path = (*path, self.elements[path])
        return path

    def pair(self, table: Path) -> None:
        line = self.here()
        path = table + self.key()
        self.skip(_BLANK)
        self.expect("=")
        self.skip(_BLANK)
        self.note(path, line, is_set=True)
        self.value(path)

    def note(self, path: Path, line: int, *, is_set: bool) -> None:
        if is_set:
            if path in self.set:
                self.repeated.append((path, self.lines[path], line))
                return
            self.set.add(path)
        if path not in self.lines or is_set:
            self.lines[path] = line
        self.note_parents(path, line)

    def note_parents(self, path: Path, line: int) -> None:
        for end in range(1, len(path)):
            self.lines.setdefault(path[:end], line)

    def key(self) -> Path:
        parts: list[str] = []
        while True:
            self.skip(_BLANK)
            if self.text.startswith('"', self.at):
                parts.append(_unescaped(self.take(_BASIC)[1:-1]))
            elif self.text.startswith("'", self.at):
                parts.append(self.take(_LITERAL)[1:-1])
            else:
                parts.append(self.take(_BARE_KEY))
            self.skip(_BLANK)
            if not self.text.startswith(".", self.at):
                return tuple(parts)
            if len(parts) == DEEPEST:
                self.too_deep = self.here()
                raise _NotUnderstoodError
            self.at += 1

    def value(self, path: Path) -> None:
        if self.text.startswith("[", self.at):
            self.array(path)
        elif self.text.startswith("{", self.at):
            self.inline_table(path)
        else:
            self.take(next((text for quote, text in _QUOTED if self.text.startswith(quote, self.at)), _SCALAR))

    def array(self, path: Path) -> None:
        self.expect("[")
        index = 0
        while True:
            self.skip(_BLANK_LINES)
            if self.text.startswith("]", self.at):
                self.at += 1
                return
            self.lines[(*path, index)] = self.here()
            self.value((*path, index))
            index += 1
            self.skip(_BLANK_LINES)
            if not self.text.startswith("]", self.at):
                self.expect(",")

    def inline_table(self, path: Path) -> None:
        self.expect("{")
        while True:
            self.skip(_BLANK_LINES)
            if self.text.startswith("}", self.at):
                self.at += 1
                return
            self.pair(path)
            self.skip(_BLANK_LINES)
            if not self.text.startswith("}", self.at):
                self.expect(",")

    def here(self) -> int:
        self.line += self.text.count("\n", self.counted, self.at)
        self.counted = self.at
        return self.line

    def skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        if match:
            self.at = match.end()

    def take(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None or match.end() == self.at:
            raise _NotUnderstoodError
        self.at = match.end()
        return match.group(0)

    def expect(self, sign: str) -> None:
        if not self.text.startswith(sign, self.at):
            raise _NotUnderstoodError
        self.at += len(sign)


def _unescaped(text: str) -> str:
    def one(match: re.Match[str]) -> str:
        code = match.group(1) or match.group(2)
        if code:
            return chr(int(code, 16)) if int(code, 16) <= 0x10FFFF else ""
        return _ESCAPED.get(match.group(3), match.group(3))

    return _ESCAPE.sub(one, text)
