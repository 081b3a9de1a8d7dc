"""From a file to a checked document: what is read, and every fault with its line."""

from __future__ import annotations

import codecs
import copy
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path as FilePath
from typing import Any, BinaryIO, TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from articulate.fingerprint import text_hash
from articulate.spec.errors import MOST_SAID, Fault, SpecError, nearest
from articulate.spec.key_advice import advice_for
from articulate.spec.key_lookup import all_keys, example_of, model_at
from articulate.spec.keys import Table, VehicleFile
from articulate.spec.source_lines import Path, SourceLines, find_source_lines

FileModel = TypeVar("FileModel", bound=Table)

LARGEST_FILE = 1_000_000  # [bytes]; a vehicle file has a few thousand

_PLACE_IN_MESSAGE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
_REPEATED_MESSAGE = re.compile(r"overwrite|twice|[Dd]uplicate|mutate")

# What a whole file is taken for, by a key that no other kind of file has, and where it belongs.
_KINDS_OF_FILE = {
    "construction": ("a vehicle file", "name it where a command asks for VEHICLE"),
    "run": ("a run sheet", "see it with articulate score, and with its vehicle file with articulate audit"),
    "sheet": ("a test day of a logbook", "see it with articulate logbook show"),
}


@dataclass(frozen=True)
class Document:
    """A TOML document with the line of every key, and the settings that were put over it."""

    name: str
    text_hash: str
    data: Mapping[str, Any]
    lines: SourceLines
    settings: Mapping[Path, str] = field(default_factory=dict)  # path -> the setting as typed
    remarks: tuple[str, ...] = ()  # what the settings replaced

    def place(self, path: Path) -> tuple[str, int | None]:
        """Where a key stands: the setting that put it there, or the file and its line."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.settings:
                return f"--set {self.settings[path[:end]]}", None
        return self.name, self.lines.of(path) or 1

    def where(self, path: Path) -> str:
        """The same in words, for the basis of an estimate."""
        place, line = self.place(path)
        return place if line is None else f"line {line}"

    def at(self, path: Path) -> Any:
        """The value at a path, or None."""
        value: Any = self.data
        for part in path:
            try:
                value = value[part]
            except (KeyError, IndexError, TypeError):
                return None
        return value

    def changed(self) -> dict[str, Any]:
        """A deep copy of the data that may be changed."""
        return copy.deepcopy(dict(self.data))


def read_text(path: str | FilePath, what: str = "vehicle") -> str:
    """Read the text of a vehicle file, or of another file that describes a `what`.

    Raises:
        SpecError: no such file, a directory, too large, binary, not UTF-8.
    """
    file = FilePath(path)
    name = str(path)
    if "\0" in name:
        raise _refused(name, "nothing", "no file has a zero byte in its name", "check the path")
    try:
        with file.open("rb") as stream:
            return read_stream(stream, name, what)
    except IsADirectoryError:
        raise _refused(name, "a directory", f"a {what} is one file", "name a .toml file in it") from None
    except FileNotFoundError:
        beside = [entry.name for entry in file.parent.glob("*.toml")] if file.parent.is_dir() else []
        close = nearest(file.name, beside)
        works = f"there is {close}" if close else "check the path"
        raise _refused(name, "nothing", "there is no such file", works) from None
    except OSError as error:
        raise _refused(name, "nothing", f"it cannot be opened ({error.strerror})", "check the path") from None


def read_stream(stream: BinaryIO | None, name: str, what: str = "vehicle") -> str:
    """Read the text of what is open already, standard input for one; as `read_text`.

    Raises:
        SpecError: nothing is open there, or it cannot be read; too large, binary, not UTF-8.
    """
    if stream is None:
        raise _refused(name, "nothing", "it is closed", "name a file, or send one in")
    try:
        raw = stream.read(LARGEST_FILE + 1)
    except OSError as error:
        raise _refused(name, "nothing", f"it cannot be read ({error.strerror})", "name a file") from None
    if len(raw) > LARGEST_FILE:
        why = f"no {what} file is that large"
        raise _refused(name, f"more than {LARGEST_FILE // 1000} kB", why, "check that it is the file you mean")
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):  # as some shells write what goes to a file
        raise _refused(name, "UTF-16", "the text is not UTF-8", "save it as UTF-8 in the editor")
    if b"\0" in raw:
        why = f"a {what} file is text, and this is binary"
        raise _refused(name, "zero bytes", why, "check that it is the file you mean")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        read = f"byte {raw[error.start]:#04x}"
        raise _refused(name, read, "the text is not UTF-8", "save it as UTF-8 in the editor", line) from None


def _refused(name: str, read: str, why: str, works: str, line: int | None = None) -> SpecError:
    return SpecError([Fault(name, line, "", read, why, works)])


def parse(text: str, name: str) -> Document:
    """Parse a TOML text.

    Raises:
        SpecError: it is not TOML, or sets a key twice.
    """
    lines = find_source_lines(text)
    if lines.too_deep is not None:
        raise _refused(name, "a key of many parts", "no table lies so deep", "shorten it", lines.too_deep)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SpecError([_syntax_fault(str(error), text, name, lines)]) from None
    except (ValueError, RecursionError):  # a number of thousands of digits, or thousands of brackets
        fault = Fault(name, None, "", "a number or a nesting without end", "it cannot be parsed", "shorten it")
        raise SpecError([fault]) from None
    return Document(name, text_hash(text), data, lines)


def check(document: Document) -> VehicleFile:
    """Check a vehicle's document key by key.

    Raises:
        SpecError: every fault that can be seen in one key.
    """
    return check_as(VehicleFile, document)


def check_as(model: type[FileModel], document: Document) -> FileModel:
    """Check a document key by key against the model of its file.

    Raises:
        SpecError: every fault that can be seen in one key.
    """
    try:
        return model.model_validate(document.data)
    except ValidationError as error:
        _refuse_another_kind(model, document)
        details = sorted(error.errors(include_url=False), key=lambda detail: document.place(detail["loc"])[1] or 0)
        first = details[:MOST_SAID]  # what would help with one takes a search through all keys
        raise SpecError((_fault(model, document, detail) for detail in first), len(details) - len(first)) from None


def _refuse_another_kind(model: type[Table], document: Document) -> None:
    """One fault instead of one for every key, where the file is a sound-looking one of another kind."""
    wanted = next((kind for key, (kind, _) in _KINDS_OF_FILE.items() if key in model.model_fields), "")
    for key, (kind, works) in _KINDS_OF_FILE.items():
        others = [one for one in _KINDS_OF_FILE if one != key]
        if wanted and key in document.data and kind != wanted and not any(one in document.data for one in others):
            place, line = document.place((key,))
            raise SpecError([Fault(place, line, key, kind, f"{wanted} is needed here", works)]) from None


def dotted(path: Path) -> str:
    """A key path as people write it: `front.spring.rate`, `load[2].mass` (counted from 1)."""
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else part
    return text


def as_read(value: object) -> str:
    """A value as it stands in the file, short enough for a line."""
    if isinstance(value, str):
        shown = f'"{value}"'
    elif isinstance(value, bool):
        shown = "true" if value else "false"
    elif isinstance(value, Mapping):
        shown = "a table"
    elif isinstance(value, list):
        shown = "a list" if value else "an empty list"
    else:
        shown = str(value)
    shown = " ".join(shown.split())
    return shown if len(shown) <= 80 else f"{shown[:77]}…"


def _syntax_fault(message: str, text: str, name: str, lines: SourceLines) -> Fault:
    match = _PLACE_IN_MESSAGE.search(message)
    what = message[: match.start()] if match else message
    rows = text.replace("\r\n", "\n").split("\n")
    line = int(match.group(1)) if match and match.group(1) else len(rows)
    if _REPEATED_MESSAGE.search(what) and lines.repeated:
        path, first, second = lines.repeated[0]
        why = f"line {first} has set it already"
        return Fault(name, second, dotted(path), "a key or table set a second time", why, "keep one of the two")
    row = rows[min(line, len(rows)) - 1].strip()
    read = as_read(row)[1:-1] if row else "an empty line"
    return Fault(name, line, "", read, f"it is not TOML ({what[:1].lower()}{what[1:]})", _syntax_help(row))


def _syntax_help(row: str) -> str:
    key, equals, value = row.partition("=")
    value = value.strip()
    if equals and value and value[0] not in "\"'[{" and value not in ("true", "false"):
        return f'write {key.strip()} = "{value}", with the quotes'
    if not equals and ":" in row:
        left, _, right = row.partition(":")
        return f'write {left.strip()} = "{right.strip()}"'
    return 'lines look like key = "17 3/8 in", tables like [front.spring]'


def _fault(model: type[Table], document: Document, detail: ErrorDetails) -> Fault:
    path: Path = detail["loc"]
    kind = detail["type"]
    context = detail.get("ctx", {})
    read = as_read(detail["input"])
    if kind == "missing":
        place, line = document.place(path[:-1]) if len(path) > 1 else (document.name, 1)
        return Fault(place, line, dotted(path), "nothing", "it is needed", f"write {example_of(path, model)}")
    if kind == "quantity":
        if context["under"]:
            path = (*path, context["under"])
            read = as_read(document.at(path))
        why, works = context["why"], context["works"]
    elif kind == "extra_forbidden":
        why, works = "there is no such key", _nearest_key(path, model)
    elif kind == "literal_error":
        why, works = (
            "that is not one of the choices",
            _choices(str(detail["input"]), str(context["expected"])),
        )
    elif kind == "model_type" and path[-1] == "anti_roll_bar":
        why = "it is not one of true, false and unknown"
        works = f"write {_bar_choice(detail['input'])} or a table [{dotted(path)}]"
    elif kind in ("model_type", "dict_type", "model_attributes_type"):
        why, works = "a table is needed", f"write [{dotted(path)}] and its keys below"
    elif kind == "list_type":
        why, works = "there can be several", f"write [[{dotted(path)}]] with two pairs of brackets"
    elif kind == "string_type":
        why, works = "a text is needed", f'write {path[-1]} = "…"'
    elif kind == "bool_type":
        why, works = "that is neither true nor false", f"write {path[-1]} = true, without quotes"
    elif kind in ("string_too_long", "too_long"):
        of, works = ("letters", "shorten it") if kind == "string_too_long" else ("entries", "leave some out")
        why = f"it has {len(detail['input'])} {of}, and {context['max_length']} are the most"
    else:
        message = detail["msg"]
        why, works = f"{message[:1].lower()}{message[1:]}", f"write, for instance, {example_of(path, model)}"
    place, line = document.place(path)
    return Fault(place, line, dotted(path), read, why, works)


def _bar_choice(typed: object) -> str:
    """The short forms of a bar, the nearest alone where there is one."""
    forms = {"true": "true", "yes": "true", "false": "false", "no": "false", "none": "false", "unknown": '"unknown"'}
    close = nearest(str(typed).lower(), forms)
    return forms[close] if close else ", ".join(dict.fromkeys(forms.values()))


def _nearest_key(path: Path, whole: type[Table]) -> str:
    model = model_at(path[:-1], whole)
    typed = str(path[-1])
    if whole is VehicleFile and (known := advice_for(typed)) is not None:
        return known
    if model is not None:
        close = nearest(typed, model.model_fields)
        if close:
            return f"write {close}"
    return nearest_anywhere(typed, whole) or (
        f"here {', '.join(model.model_fields)} are known" if model is not None else "see the template"
    )


def nearest_anywhere(typed: str, model: type[Table] = VehicleFile) -> str | None:
    """Advice for a key that is known under another table, or in another spelling."""
    keys = all_keys(model)
    for key in keys:
        if key.rpartition(".")[2] == typed.rpartition(".")[2] and key != typed:
            return f"write it as {key}"
    close = nearest(typed, [*keys, *(key.replace(".", "_") for key in keys)])
    if close is None:
        return None
    return f"write it as {close if close in keys else _undone(close, keys)}"


def _undone(flat: str, keys: Mapping[str, str]) -> str:
    return next(key for key in keys if key.replace(".", "_") == flat)


def _choices(typed: str, expected: str) -> str:
    options = re.findall(r"'([^']*)'", expected)
    close = nearest(typed.lower(), options)
    listed = ", ".join(f'"{option}"' for option in options)
    return f'write "{close}" (the choices are {listed})' if close else f"write one of {listed}"
