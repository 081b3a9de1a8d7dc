"""What each command prints with --json: the parts its data are put together of, and the JSON Schema made of them."""

from __future__ import annotations

from typing import Annotated, Any, TypedDict

from articulate.errors import ArticulateError
from articulate.output.data_schema import schema
from articulate.output.handover import ReceivedData
from articulate.output.layout import VERSION
from articulate.output.refusal import RefusalData
from articulate.output.report.measured_part import MeasuredData
from articulate.output.sheet.content import PlanData
from articulate.output.text.audit import AuditData
from articulate.output.text.band import BandData
from articulate.output.text.blocks import BlocksData
from articulate.output.text.carry import CarryData
from articulate.output.text.checked import CheckedData
from articulate.output.text.clearance import ClearanceData
from articulate.output.text.comparison import ComparisonData
from articulate.output.text.conditions import ConditionData
from articulate.output.text.difference import ArchFirstData, DifferenceData
from articulate.output.text.learning import LearningData
from articulate.output.text.logbook import LogbookData
from articulate.output.text.measurement import ScoresData
from articulate.output.text.prediction import PredictionData
from articulate.output.text.prediction_answer import AnswerData
from articulate.output.text.target import TargetData
from articulate.output.text.timeline import TimelineData
from articulate.output.text.tyre import LadderData, TyreData
from articulate.output.text.worth import WorthData
from articulate.spec.errors import nearest


class ReportedSections(TypedDict, total=False):
    """What a report shows of a vehicle where there is something to show."""

    worth: Annotated[WorthData, "what steps are worth; where both runs have a score"]
    measured: Annotated[MeasuredData, "a finished test of it; with --run-sheet"]
    audit: Annotated[AuditData, "its audit; with --run-sheet"]


class ReportedVehicle(PlanData, ConditionData, ReportedSections):
    """One vehicle of a report."""


class ReportData(TypedDict):
    """A report of one vehicle or several."""

    schema_version: Annotated[int, VERSION]
    vehicles: Annotated[list[ReportedVehicle], "in the order they were named"]


PARTS: dict[str, tuple[Any, ...]] = {
    "predict": (PredictionData, AnswerData, ConditionData),
    "band": (BandData, ConditionData),
    "score": (ScoresData,),
    "logbook show": (LogbookData,),
    "learn": (LearningData, ConditionData),
    "audit": (AuditData,),
    "explain": (DifferenceData, ArchFirstData, ConditionData),
    "worth": (WorthData, ConditionData),
    "timeline": (TimelineData, ConditionData),
    "target": (TargetData, ConditionData),
    "blocks": (BlocksData, ConditionData),
    "compare": (ComparisonData, ConditionData),
    "carry": (CarryData, ConditionData),
    "tyre": (TyreData,),
    "clearance": (ClearanceData, ConditionData),
    "ladder": (LadderData, ConditionData),
    "test-day": (PlanData, ConditionData),
    "report": (ReportData,),
    "check": (CheckedData,),
    "receive": (ReceivedData,),
}
REFUSAL = "refusal"  # in place of a command: what any of them prints instead where it refuses


class NoDataError(ArticulateError, KeyError):
    """A command that prints no data, or none at all; the text says which do."""

    def __str__(self) -> str:
        return str(self.args[0])


def command_schema(command: str) -> dict[str, Any]:
    """The JSON Schema, draft 2020-12, of what a command prints with --json.

    Args:
        command: its words, such as "logbook show"; "refusal" for what any of them prints where it refuses.

    Raises:
        NoDataError: there is no such command, or it prints no data.
    """
    if command == REFUSAL:
        return schema("A refusal", "What a command prints with --json where it refuses.", RefusalData)
    if command not in PARTS:
        close = nearest(command, [*PARTS, REFUSAL])
        works = f"did you mean {close}?" if close else f"one of {', '.join([*PARTS, REFUSAL])}"
        raise NoDataError(f"no command that prints data; {works}")
    return schema(f"articulate {command}", f"What articulate {command} prints with --json.", *PARTS[command])
