"""What a report says, before it becomes a page: sections of plain words, tables and pictures."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

from markupsafe import Markup

from articulate.brief import Brief
from articulate.fingerprint import content_hash
from articulate.output.figures.scene import Scene
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.studies.day.plan import DayPlan
from articulate.studies.design.grid import Grid
from articulate.studies.population.intervals import Interval

if TYPE_CHECKING:
    from articulate.output.figures.theme import Picture

ChapterKey = Literal["result", "why", "change", "sure", "stands"]

# The story of every report: what came out, why, what would change it, how sure it is, what it stands on.
CHAPTERS: Mapping[ChapterKey, str] = {
    "result": "Result",
    "why": "Why",
    "change": "What would change it",
    "sure": "How sure",
    "stands": "What it stands on",
}


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

    @property
    def lines(self) -> list[str]:
        """Its lines, which a page numbers, since sources name them."""
        return self.text.replace("\r\n", "\n").removesuffix("\n").split("\n")


@dataclass(frozen=True)
class TableRow:
    """Cells of a row, the first its label, with what stands small under it; a marked row rests on an assumption."""

    cells: tuple[str, ...]
    marked: bool = False
    under: str = ""


@dataclass(frozen=True)
class PageTable:
    """A table with its caption; `numbers` are the columns set as figures. A folded one is its caption until opened."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[TableRow, ...]
    numbers: frozenset[int] = frozenset()
    folded: bool = False
    note: str = ""  # under the table


@dataclass(frozen=True)
class PagePicture:
    """A still picture and its name. One of a `view` shows what the moving one does."""

    name: str
    drawn: Picture
    view: str = ""

    @property
    def alt(self) -> str:
        """What it shows in words."""
        return self.drawn.description


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
    chapter: ChapterKey = "sure"


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
    points: Interval  # the score
    expected: Interval | None  # predicted for it, with its 90 % band


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
    further: tuple[Section, ...] = ()  # of a finished test and what else was asked, each in its chapter
    files: tuple[SavedFile, ...] = ()
