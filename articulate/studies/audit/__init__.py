"""The audit of a run sheet: a p-value, causes by probability with the size each would need, and what to check next.

A new cause is one declaration in `reading_causes` or `vehicle_causes`, a new check one in `checks`.
"""

from __future__ import annotations

from articulate.studies.audit.answers import AnswerError
from articulate.studies.audit.audit import Audit, Verdict, audit
from articulate.studies.audit.expectations import NoLiftError
from articulate.studies.audit.sheet import UnreadableSheetError, conditions_of, observed_of, remarks_on, scene_from

__all__ = [
    "AnswerError",
    "Audit",
    "NoLiftError",
    "UnreadableSheetError",
    "Verdict",
    "audit",
    "conditions_of",
    "observed_of",
    "remarks_on",
    "scene_from",
]
