"""What a logbook notes beside a sheet when it keeps it: the answer of that day and the vehicle as it was.

A record makes a day file enough by itself: the vehicle's text stands in it word for word, with what its model said, so
that the sheet can be scored again without any other file, and read back without scoring at all. It names the sheet by
its vehicle and title, and knows it by the SHA-256 of its values, so that a sheet changed since is noticed.
"""

from __future__ import annotations

import json
import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any

from articulate import __version__
from articulate.errors import ArticulateError
from articulate.fingerprint import text_hash

if TYPE_CHECKING:  # a record is read back without what made it, for thousands have to be read in a moment
    from articulate.measure.run_sheet import RunSheet
    from articulate.measure.scoring import CaseHints, SheetScores
    from articulate.spec.quantities import Estimate

RULES = 1  # of scoring; to be raised with whatever changes a score or its uncertainty (a test holds it to a result)
Triple = tuple[float, float, float]  # value, low, high


class RecordError(ArticulateError, ValueError):
    """A record that cannot be read; the text says what is wrong with it."""


@dataclass(frozen=True)
class VehicleSnapshot:
    """A vehicle file as it was."""

    file: str  # as seen from the day file
    sha256: str  # of its text
    text: str
    drive: str  # in words
    tyres: str


@dataclass(frozen=True)
class NotedCase:
    """One side, or the mean of both, in one bar state: the answer, and what was predicted before any learning."""

    side: str
    bars: str
    climbs: int
    lifted: tuple[str, ...]
    climb: float  # [m]
    climb_u: float
    score: float
    score_u: float
    low: float  # at `coverage`
    high: float
    coverage: float
    predicted: Triple | None = None  # median and central 90 %, the model's own error included
    ratios: tuple[float, ...] = ()  # predicted score at each of `DayRecord.angles` over that at the day's
    ratio_u: tuple[float, ...] = ()  # standard uncertainty of their logarithms, of what the vehicle file leaves open


@dataclass(frozen=True)
class NotedGain:
    """Score gained by releasing the bars."""

    side: str
    value: float
    low: float
    high: float


@dataclass(frozen=True)
class NotedHint:
    """What the vehicle's model said of one case, each with its limits; enough to score again without solving."""

    side: str
    bars: str
    climb_per_touch_load: Triple  # [m/N]
    radius_on_flat: Triple  # [m]
    radius_loss: Triple  # [m]


@dataclass(frozen=True)
class DayRecord:
    """One sheet's record; angles in radians, loads in newtons, lengths in metres."""

    vehicle: str
    title: str
    sheet_sha256: str
    program: str
    rules: int
    ramp_angle: float
    ramp_angle_u: float
    ramp_angle_text: str
    touch_load: float  # nominal
    touch_load_text: str
    wheelbase: float
    notes: str  # of the sheet and its runs
    assumed: tuple[str, ...]  # what the sheet did not give
    remarks: tuple[str, ...]
    asked_about: tuple[str, ...]  # readings that looked unlike what was read
    cases: tuple[NotedCase, ...]
    gains: tuple[NotedGain, ...]
    hints: tuple[NotedHint, ...] = ()
    angles: tuple[float, ...] = ()
    snapshot: VehicleSnapshot | None = None
    text_sha256: str = ""  # of the sheet's text in its day file, by which it is known without being read
    vehicle_file: str = ""  # as seen from the day file


def values_hash(sheet: Mapping[str, Any]) -> str:
    """SHA-256 of a sheet's values, whatever its comments, spaces and order; of the vehicle file's name alone.

    Where the vehicle file lies is no reading: the path differs between a sheet and its day file.
    """
    told = {key: value for key, value in sheet.items() if key != "vehicle_file"}
    text = json.dumps(told, sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=str)
    return text_hash(text)


def noted(
    sheet: RunSheet,
    data: Mapping[str, Any],
    scores: SheetScores,
    hints: Mapping[tuple[str, str], CaseHints] | None = None,
    snapshot: VehicleSnapshot | None = None,
) -> DayRecord:
    """The record of a scored sheet, without predictions.

    Args:
        sheet: the sheet.
        data: its values as the file has them.
        scores: its answer.
        hints: what the vehicle's model said, None without one.
        snapshot: of the vehicle file, None without one.
    """
    lifted = {run.entry.number: run.entry.lifted for run in scores.runs}
    cases = tuple(
        NotedCase(
            side=case.side,
            bars=case.bars,
            climbs=case.climbs,
            lifted=tuple(sorted({wheel for number in case.runs if (wheel := lifted[number])})),
            climb=case.climb.value,
            climb_u=case.climb.u,
            score=case.score.value,
            score_u=case.score.u,
            low=case.score.low,
            high=case.score.high,
            coverage=case.score.coverage,
        )
        for case in scores.cases
    )
    return DayRecord(
        vehicle=sheet.vehicle,
        title=sheet.title,
        sheet_sha256=values_hash(data),
        program=f"articulate {__version__}",
        rules=RULES,
        ramp_angle=sheet.ramp_angle.value,
        ramp_angle_u=sheet.ramp_angle.standard_uncertainty,
        ramp_angle_text=sheet.ramp_angle.text,
        touch_load=sheet.nominal_touch_load,
        touch_load_text=sheet.touch_load.text,
        wheelbase=sheet.wheelbase.value,
        notes=_notes(sheet),
        assumed=tuple(sorted(sheet.assumed())),
        remarks=scores.remarks,
        asked_about=tuple(map(str, scores.doubts)),
        cases=cases,
        gains=tuple(NotedGain(one.side, one.gain.value, one.gain.low, one.gain.high) for one in scores.gains),
        hints=tuple(
            NotedHint(side, bars, *map(_triple, (one.climb_per_touch_load, one.radius_on_flat, one.radius_loss)))
            for (side, bars), one in (hints or {}).items()
        ),
        snapshot=snapshot,
    )


def _notes(sheet: RunSheet) -> str:
    every = [sheet.notes, *(entry.notes for entry in sheet.runs)]
    return "; ".join(dict.fromkeys(one for one in every if one))


def _triple(found: Estimate) -> Triple:
    return found.value, found.low, found.high


def record_text(record: DayRecord) -> str:
    """The record as a `[[record]]` of a day file.

    What was noted is JSON in a literal string: a thousand of them are read in a moment, which TOML's numbers are not.
    """
    told = asdict(replace(record, snapshot=None))
    named = {key: told.pop(key) for key in ("vehicle", "title", "sheet_sha256", "program")}
    del told["snapshot"]
    rows = []
    for key, value in told.items():
        if value and key in ("cases", "gains", "hints"):
            rows.append(f"{json.dumps(key)}: [\n" + ",\n".join(f"  {_json(one)}" for one in value) + "\n]")
        else:
            rows.append(f"{json.dumps(key)}: {_json(value)}")
    noted_text = "{" + ",\n".join(rows) + "}\n"
    head = [
        "[[record]]  # noted by the program when it kept the sheet above; the readings are there, not here",
        *(f"{key} = {_string(value)}" for key, value in named.items()),
        f"noted_sha256 = {_string(text_hash(noted_text))}",
        f"noted = {_block(noted_text)}",
    ]
    if record.snapshot is not None:
        vehicle = record.snapshot
        head += [
            "",
            "[record.snapshot]  # the vehicle file as it was",
            *(f"{key} = {_string(getattr(vehicle, key))}" for key in ("file", "sha256", "drive", "tyres")),
            f"text = {_block(vehicle.text)}",
        ]
    return "\n".join(head) + "\n"


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)


def _string(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")  # a basic string takes these escapes


def _block(text: str) -> str:
    """A text over several lines as a person would read it, where TOML has a way to; else with escapes."""
    plain = all(letter in "\n\t" or (letter >= " " and letter != "\x7f") for letter in text)
    if plain and "'''" not in text and not text.endswith("'"):
        return f"'''\n{text}'''"
    return _string(text)


# A record as `record_text` writes it: rows of strings, and blocks that end at the first three quotes.
_ROWS = r'((?:[a-z_0-9]+ = "[^\n]*"\n)+)'
_OURS = re.compile(
    rf"\[\[record\]\][^\n]*\n{_ROWS}noted = '''\n(.*?)'''\n"
    rf"(?:\n\[record\.snapshot\][^\n]*\n{_ROWS}text = '''\n(.*?)'''\n)?\s*",
    re.DOTALL,
)


def record_data(text: str) -> dict[str, Any]:
    """What TOML reads in a `[[record]]`, ten times as fast where it stands as it was written.

    Raises:
        RecordError: it is not TOML, or not one record.
    """
    found = _OURS.fullmatch(text)
    try:
        if found is None or "\r" in text:
            (data,) = tomllib.loads(text)["record"]
            return dict(data)
        rows, noted_text, vehicle, vehicle_text = found.groups()
        data = {**_strings(rows), "noted": noted_text}
        if vehicle is not None:
            data["snapshot"] = {**_strings(vehicle), "text": vehicle_text}
    except (ValueError, KeyError, TypeError) as error:
        raise RecordError(f"it is not one of ours ({error})") from None
    return data


def _strings(rows: str) -> dict[str, Any]:
    pairs = (row.partition(" = ") for row in rows.removesuffix("\n").split("\n"))
    return {key: json.loads(value) for key, _, value in pairs}


def record_of(data: Mapping[str, Any]) -> DayRecord:
    """A record as TOML gave it.

    Raises:
        RecordError: it is not one of ours, or is not what was written: its hashes say so.
    """
    try:
        if text_hash(data["noted"]) != data.get("noted_sha256", text_hash(data["noted"])):
            raise RecordError("what was noted was changed afterwards: its hash is another one")
        told = json.loads(data["noted"])
        fields = {key: _frozen(value) for key, value in told.items()}
        fields |= {key: str(data[key]) for key in ("vehicle", "title", "sheet_sha256", "program")}
        fields["cases"] = tuple(NotedCase(**_record(one)) for one in told["cases"])
        fields["gains"] = tuple(NotedGain(**_record(one)) for one in told["gains"])
        fields["hints"] = tuple(NotedHint(**_record(one)) for one in told["hints"])
        fields["snapshot"] = snapshot_in(data)
        found = DayRecord(**fields)
        numbers = [found.ramp_angle, found.touch_load, *(one.score + one.score_u for one in found.cases)]
        if not all(math.isfinite(number) for number in numbers) or not found.cases:
            raise RecordError("a number is missing in it")
        return found
    except RecordError:
        raise
    except (KeyError, TypeError, AttributeError, ValueError) as error:
        raise RecordError(f"it is not one of ours ({error})") from None


def snapshot_in(data: Mapping[str, Any]) -> VehicleSnapshot | None:
    """The vehicle of a record, also of one whose answer cannot be used; None where it has none.

    Raises:
        RecordError: it is not what was written.
    """
    if "snapshot" not in data:
        return None
    try:
        found = VehicleSnapshot(**data["snapshot"])
        if text_hash(found.text) != found.sha256:
            raise RecordError("its copy of the vehicle file was changed afterwards: its hash is another one")
    except (TypeError, AttributeError) as error:
        raise RecordError(f"its vehicle is not one of ours ({error})") from None
    return found


def _record(data: Mapping[str, Any]) -> dict[str, Any]:
    return {key: _frozen(value) for key, value in data.items()}


def _frozen(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value
