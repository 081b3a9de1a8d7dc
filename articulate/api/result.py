"""What a function of the library gives back: one shape for all, for people in a notebook and for programs."""

from __future__ import annotations

import html
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from articulate.errors import ArgumentError

if TYPE_CHECKING:
    from articulate.output.figures.theme import Picture

Found = TypeVar("Found")
Row = Mapping[str, str | float]


@dataclass(frozen=True, repr=False, eq=False)
class Result(Generic[Found]):
    """An answer and the ways to look at it.

    Attributes:
        found: the frozen result of the study, with all its numbers [SI].
    """

    found: Found
    _line: str
    _table: Callable[[], str]
    _data: Callable[[], Mapping[str, object]]
    _rows: Callable[[], Sequence[Row]] | None = None
    _picture: Callable[..., Picture] | None = None

    def __repr__(self) -> str:
        """The answer in one line."""
        return self._line

    def _repr_html_(self) -> str:
        """The answer for a notebook: its table, as a terminal shows it."""
        return f"<pre>{html.escape(self.table())}</pre>"

    def table(self) -> str:
        """The answer as text of at most 80 columns, as the command of the same name prints it."""
        return self._table()

    def to_dict(self) -> dict[str, Any]:
        """The answer as plain data with units in its keys, as `--json` prints it."""
        return dict(self._data())

    def rows(self) -> list[dict[str, str | float]]:
        """The answer as rows of a table, SI columns with units in their names; fit for a data frame.

        Raises:
            ArgumentError: the answer is no table.
        """
        if self._rows is None:
            raise ArgumentError(f"this answer is no table of rows; use .to_dict() ({self._line})")
        return [dict(row) for row in self._rows()]

    def plot(self, **options: Any) -> Picture:
        """The answer as a figure, which has `.figure` (matplotlib), `.svg()` and `.png()`.

        Args:
            options: `transparent`, and what the kind of answer adds, such as bars="released".

        Raises:
            ArgumentError: there is no figure of this kind of answer.
        """
        if self._picture is None:
            raise ArgumentError(f"there is no figure of this kind of answer; use .table() or .to_dict() ({self._line})")
        return self._picture(**options)
