"""A score as a person types it, as a reading to learn from."""

from __future__ import annotations

import math

from articulate.spec import Estimate
from articulate.studies.learn.readings import SCORE_UNCERTAINTY, ScoreReading
from articulate.types import Case


def score_reading(case: Case, read: Estimate) -> ScoreReading:
    """A score within limits, any value between as likely (sd (high - low) / sqrt(12)); without, as good as assumed."""
    deviation = (read.high - read.low) / math.sqrt(12.0)
    return ScoreReading(case, read.value, deviation if deviation > 0.0 else SCORE_UNCERTAINTY)
