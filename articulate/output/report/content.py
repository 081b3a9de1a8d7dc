"""What a report says, before it becomes a page: sections of plain words, tables and pictures."""

from __future__ import annotations

import base64
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote

from markupsafe import Markup

from articulate.brief import Brief
from articulate.fingerprint import content_hash
from articulate.output.figures.scene import Scene
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.studies.day.plan import DayPlan
from articulate.studies.design.grid import Grid

_PATH, _NUMBER, _BETWEEN = re.compile(r' d="[^"]*"'), re.compile(r"-?\d+\.\d+"), re.compile(r">\s+<")


def _rounded(path: re.Match[str]) -> str:
    """The outline of a path, its numbers with two digits."""
    return _NUMBER.sub(lambda one: f"{float(one[0]):.2f}".rstrip("0").rstrip("."), path[0]).replace("\n", "")


@dataclass(frozen=True)
class SavedFile:
    """A file that a report was made of, byte for byte, for its reader to save."""

    what: str  # in words, such as "vehicle file"
    name: str  # without its folder
    content: bytes

    @property
    def address(self) -> str:
        """The file as a data address; it is offered to be saved, whatever its kind."""
        return "data:application/octet-stream;base64," + base64.b64encode(self.content).decode("ascii")

    @property
    def sha256(self) -> str:
        """SHA-256 of its bytes, hexadecimal."""
        return content_hash(self.content)

    @property
    def text(self) -> str:
        """The file as it is read."""
        return self.content.decode("utf-8-sig", "replace")


@dataclass(frozen=True)
class TableRow:
    """Cells of a row, the first its label; a marked row rests on an assumption."""

    cells: tuple[str, ...]
    marked: bool = False


@dataclass(frozen=True)
class PageTable:
    """A table with its caption; `numbers` are the columns set as figures."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[TableRow, ...]
    numbers: frozenset[int] = frozenset()


@dataclass(frozen=True)
class PagePicture:
    """A still picture: what it shows in words, and its SVG file."""

    name: str
    alt: str
    svg: bytes

    @property
    def address(self) -> Markup:
        """The picture as a data address, its outlines to a hundredth of a point: six tenths of its file in base64."""
        text = _PATH.sub(_rounded, self.svg.decode("utf-8"))
        text = _BETWEEN.sub("><", text)
        if "'" not in text:
            text = text.replace('"', "'")
        return Markup("data:image/svg+xml," + quote(text, safe=" '=:;,/?@+$!*()[]{}|"))  # noqa: S704 nothing is left to escape


@dataclass(frozen=True)
class Section:
    """A part of the report: heading, paragraphs, points, a chart, tables, pictures."""

    key: str  # of its place in the page
    heading: str
    paragraphs: tuple[str, ...] = ()
    points: tuple[str, ...] = ()
    tables: tuple[PageTable, ...] = ()
    pictures: tuple[PagePicture, ...] = ()
    chart: Markup | None = None


@dataclass(frozen=True)
class MeasuredScore:
    """The measured score of one state of the bars in words, with what was predicted for it."""

    bars: str
    side: str  # in words: both sides are their mean
    score: str
    uncertainty: str  # with its coverage
    sides: str  # left and right, empty where only one was driven
    climb: str
    predicted: str  # with its 90 % band


@dataclass(frozen=True)
class FinishedTest:
    """What a finished test says before anything else, the same on the page and in Markdown."""

    scores: tuple[MeasuredScore, ...]
    gain: str  # a sentence, empty where only one state of the bars was driven
    verdict: str  # of the audit, a sentence
    touch_load: float  # [N]


@dataclass(frozen=True, eq=False, repr=False)
class VehicleReport(Brief):
    """All results about one vehicle that a report shows; what is missing leaves no gap in the page."""

    spec: VehicleSpec
    plan: DayPlan
    scenes: Mapping[str, Sequence[Scene]] = field(default_factory=dict)  # by bar state, along the climb
    grid: Grid | None = None
    pictures: tuple[PagePicture, ...] = ()
    finished: FinishedTest | None = None
    conditions: str = ""  # of the test, in words
    lengths: Lengths = MILLIMETRES_FIRST
    data: Mapping[str, Any] = field(default_factory=dict)  # what the sections show, for JSON
    after_result: tuple[Section, ...] = ()  # a finished test: predicted against measured
    further: tuple[Section, ...] = ()  # audit, budgets, and what else was asked
    files: tuple[SavedFile, ...] = ()
