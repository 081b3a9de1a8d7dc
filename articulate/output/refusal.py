"""A refusal as data: each fault in its parts, so that a program can act on it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from articulate.output.layout import SCHEMA_VERSION
from articulate.spec.errors import Fault, FaultText

if TYPE_CHECKING:
    from articulate.output.command_data import ErrorData, RefusalData

KINDS = ("file", "option", "command")
_OPTION = re.compile(r"(?P<option>--[\w-]+)(?: (?P<read>.*?))?: (?P<rest>.*)")
_FILE = re.compile(r"(?P<file>[^:]*\.toml|[^:]*/[^:]*|standard input|-)(?::(?P<line>\d+))?: (?P<rest>.*)")


def refusal_data(lines: Sequence[str], exit_code: int) -> RefusalData:
    """What is wrong, one a line, as plain data."""
    return {"schema_version": SCHEMA_VERSION, "exit_code": exit_code, "errors": [_error(line) for line in lines]}


def _error(line: str) -> ErrorData:
    if isinstance(line, FaultText):
        return _of_fault(line, line.fault)
    found = _OPTION.fullmatch(line) or _FILE.fullmatch(line)
    parts = found.groupdict() if found else {}
    why, _, works = parts.get("rest", line).partition("; ")
    option, file, place = parts.get("option"), parts.get("file"), parts.get("line")
    return {
        "kind": "option" if option else "file" if file else "command",
        "file": file,
        "line": int(place) if place else None,
        "key": None,
        "option": option,
        "read": parts.get("read"),
        "why": why,
        "works": works or None,
        "text": line,
    }


def _of_fault(text: str, fault: Fault) -> ErrorData:
    setting = fault.place.startswith("--")
    return {
        "kind": "option" if setting else "file",
        "file": None if setting else fault.place,
        "line": fault.line,
        "key": fault.key or None,
        "option": fault.place.partition(" ")[0] if setting else None,
        "read": None if fault.read == "nothing" else fault.read,
        "why": fault.why,
        "works": fault.works or None,
        "text": str(text),
    }
