"""Results of a logbook as numbers, without a file or a sheet."""

from __future__ import annotations

import math
from pathlib import Path

from articulate.measure.day_record import DayRecord, NotedCase
from articulate.studies.logbook.kept import Kept

TWENTY = math.radians(20.0)


def kept(name: str, score: float, u: float = 2.0, angle: float = TWENTY, band: float = 0.06, median: float = 500.0):
    """A left side driven once with the bars connected."""
    ends = (median, median * math.exp(-1.645 * band), median * math.exp(1.645 * band))
    case = NotedCase("left", "connected", 1, (), 1.5, 0.01, score, u, score - 2 * u, score + 2 * u, 0.95, ends)
    record = DayRecord(name, "", "", "", 1, angle, 0.0, "", 30.0, "", 2.8, "", (), (), (), (case,), ())
    return Kept(Path("2026-05-14.toml"), "2026-05-14", record, True)
