"""From a run sheet to what the audit takes: readings with their scatter, and everything else that was observed."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, TypeAlias

from articulate.errors import ArticulateError
from articulate.measure.conversions import Radii, climb_of, score_of
from articulate.measure.run_sheet import RunEntry, RunSheet
from articulate.measure.scatter import climb_scatter, run_deviation, tape_deviation
from articulate.spec import VehicleSpec, build
from articulate.spec.quantities import Estimate
from articulate.studies.audit.cause import Reading, Scene
from articulate.studies.audit.channels import at_mark_channels, key_of, wheel_key
from articulate.studies.audit.inference import Observed
from articulate.studies.audit.possible import scene_of
from articulate.studies.population.conditions import Conditions
from articulate.types import WHEELS, Case, other_side

if TYPE_CHECKING:
    from articulate.measure.scoring import CaseHints

MOST_READINGS = 12  # kept apart; of longer sheets the climbs of a run are averaged
LEAST_WHEELBASE_SPREAD = 2e-3  # [m], sd of one wheelbase against another of the same vehicle
LEAST_SCATTER = 1e-6  # [m], of climbs made anew: none at all would make climbs of one run one and the same
FRONT = {"left": "front right", "right": "front left"}


class UnreadableSheetError(ArticulateError, ValueError):
    """A sheet whose readings cannot be converted, or with too many runs to judge one by one."""


def conditions_of(sheet: RunSheet) -> Conditions:
    """Ramp and film as the sheet has them, with what is not known about them."""
    return Conditions(ramp_angle=sheet.ramp_angle, touch_load=sheet.touch_load)


Hints: TypeAlias = "Mapping[tuple[str, str], CaseHints]"
NO_HINTS: Hints = MappingProxyType({})


def _hints_for(spec: VehicleSpec, sheet: RunSheet) -> Hints:
    """What `score` takes from the model of the vehicle, where a run is read by a radius that the sheet leaves open."""
    by_radius = any(entry.kind.needs_radius_on_ramp for entry in sheet.runs)
    if not by_radius or sheet.radius_on_ramp is not None:
        return {}
    if sheet.radius_on_flat is not None and sheet.radius_loss.source != "assumed":
        return {}
    from articulate.studies.day.run_hints import run_hints  # noqa: PLC0415 few sheets leave a radius open

    return run_hints(build(spec), sheet, spec.name)


def _radii(sheet: RunSheet, entry: RunEntry, hints: Hints) -> tuple[float | None, float | None]:
    """Radii on the flat and at the mark that a run is converted with, as `SheetMeasurand` takes them [m]."""
    hint = hints.get(entry.case)
    flat = sheet.radius_on_flat.value if sheet.radius_on_flat else hint.radius_on_flat.value if hint else None
    ramp = sheet.radius_on_ramp.value if sheet.radius_on_ramp else None
    if ramp is None and flat is not None:
        modelled = hint is not None and sheet.radius_loss.source == "assumed"
        loss = hint.radius_loss if hint is not None and modelled else sheet.radius_loss
        ramp = flat - loss.value
    if not Radii(flat, ramp).suffice(entry.kind):
        raise UnreadableSheetError(
            f"run {entry.number}: a {entry.kind.words} needs the radius of the loaded wheel; write it under [wheel]"
        )
    return flat, ramp


def _climbs(sheet: RunSheet, entry: RunEntry, hints: Hints) -> list[float]:
    """The climbs of a run as `score` has them, each by itself [m]."""
    radii = Radii(*_radii(sheet, entry, hints))
    angle, back = sheet.ramp_angle.value, sheet.roll_back.mean
    return [float(climb_of(entry.kind, reading.value, angle, radii)) + back for reading in entry.readings]


def readings_of(sheet: RunSheet, hints: Hints = NO_HINTS) -> tuple[Reading, ...]:
    """Every climb of the sheet as a score with its scatter, by the scatter model of `measure.scatter`.

    Climbs kept apart share what their run and the tape have alike, so together they know as much as their mean does.
    `hints` are those of the model, for radii that the sheet leaves open.

    Raises:
        UnreadableSheetError: a radius is missing, or there are more runs than can be judged one by one.
    """
    apart = sum(len(entry.readings) for entry in sheet.runs) <= MOST_READINGS
    if len(sheet.runs) > MOST_READINGS:
        raise UnreadableSheetError(f"{len(sheet.runs)} runs on one sheet; an audit takes at most {MOST_READINGS}")
    climbs_of_run = [_climbs(sheet, entry, hints) for entry in sheet.runs]
    by_case: dict[tuple[str, str], list[float]] = {}
    for entry, climbs in zip(sheet.runs, climbs_of_run, strict=True):
        by_case.setdefault(entry.case, []).extend(climbs)
    one_climb = climb_scatter(sheet, list(by_case.values()), strays=False)
    found = []
    for entry, climbs in zip(sheet.runs, climbs_of_run, strict=True):
        case = Case(entry.side, entry.bars)
        lifted = WHEELS.index(entry.lifted) if entry.lifted else None
        groups = [[i] for i in range(len(climbs))] if apart else [list(range(len(climbs)))]
        for group in groups:
            climb = sum(climbs[i] for i in group) / len(group)
            label = f"run {entry.number}" + (f", climb {group[0] + 1}" if apart and len(climbs) > 1 else "")
            alike, tape = run_deviation(sheet, entry), tape_deviation(sheet, entry)
            own = max(one_climb.deviation, LEAST_SCATTER) / math.sqrt(len(group))
            scatter = math.hypot(alike, tape, own)
            base = sheet.wheelbase.value
            found.append(
                Reading(
                    case,
                    entry.kind,
                    float(score_of(climb, base)),
                    float(score_of(scatter, base)),
                    lifted,
                    label,
                    entry.readings[group[0]].unit,
                    entry.number,
                    float(score_of(alike, base)),
                    float(score_of(tape, base)),
                )
            )
    return tuple(found)


def scene_from(spec: VehicleSpec, sheet: RunSheet) -> Scene:
    """The scene of a sheet.

    Raises:
        UnreadableSheetError: as `readings_of`.
    """
    hints = _hints_for(spec, sheet)
    readings = readings_of(sheet, hints)
    flats, losses = {}, {}
    for entry in sheet.runs:
        flat, ramp = _radii(sheet, entry, hints)
        case = Case(entry.side, entry.bars)
        if sheet.radius_on_flat is None and entry.case in hints and flat is not None:
            flats[case] = flat
        assumed_loss = sheet.radius_on_ramp is None and sheet.radius_loss.source == "assumed"
        if assumed_loss and flat is not None and ramp is not None:
            losses[case] = flat - ramp
    measured = sheet.radius_on_flat or sheet.radius_on_ramp
    return scene_of(
        spec,
        readings,
        sheet.ramp_angle.value,
        sheet.wheelbase.value,
        radius_on_flat=flats,
        radius_loss=losses,
        sheet_radius=measured.value if measured else None,
    )


def observed_of(sheet: RunSheet, scene: Scene) -> Observed:
    """Everything the sheet says: scores, wheels that lifted, what was seen at the marks, the file's wheelbase.

    The file's wheelbase stands for the vehicle's: one that is not the sheet's makes another score of the same climb.
    """
    values = {f"reading.{i}": (reading.score, reading.uncertainty) for i, reading in enumerate(scene.readings)}
    spread = math.hypot(wheelbase_spread(scene.spec), sheet.wheelbase.standard_uncertainty)
    values["wheelbase"] = (scene.spec.inputs["wheelbase"].value, spread)
    lifts = {}
    for reading in scene.readings:
        if reading.lifted is not None and WHEELS[reading.lifted] != f"rear {other_side(reading.case.side)}":
            lifts[f"contest.{key_of(reading.case)}"] = WHEELS[reading.lifted] != FRONT[reading.case.side]
    for entry in sheet.runs:
        case = Case(entry.side, entry.bars)
        where = key_of(case)
        seen: dict[str, Estimate | None] = {
            f"{where}.roll": entry.roll_angle,
            f"{where}.pitch": entry.pitch_angle,
        }
        for stem, corners in (
            ("load", entry.wheel_load),
            ("hub_travel", entry.hub_travel),
            ("arch_gap", entry.arch_gap),
        ):
            seen |= {f"{where}.{stem}.{wheel_key(WHEELS.index(wheel))}": e for wheel, e in corners.items()}
        offered = {channel.key: channel for channel in at_mark_channels(case, bool(scene.arch_gap.max() < math.inf))}
        for key, estimate in seen.items():
            if estimate is not None and key in offered:
                values[key] = (estimate.value, math.hypot(offered[key].scatter, estimate.standard_uncertainty))
    numbered = [(f"reading.{i}", reading) for i, reading in enumerate(scene.readings)]
    alike = [{key: one.tape_uncertainty for key, one in numbered}]
    for run in dict.fromkeys(one.run for _, one in numbered if one.run):
        alike.append({key: one.run_uncertainty for key, one in numbered if one.run == run})
    return Observed(values, lifts, alike=alike)


def wheelbase_spread(spec: VehicleSpec) -> float:
    """Standard deviation of a vehicle's wheelbase about the one in its file [m]."""
    return math.hypot(spec.inputs["wheelbase"].standard_uncertainty, LEAST_WHEELBASE_SPREAD)


def remarks_on(sheet: RunSheet, spec: VehicleSpec) -> tuple[str, ...]:
    """What the sheet leaves open, or says otherwise than the vehicle file."""
    said = list(sheet.remarks)
    if sheet.vehicle != spec.filed_name:
        said.append(f"the sheet is of {sheet.vehicle}, the vehicle file of {spec.filed_name}")
    filed = spec.inputs["wheelbase"].value
    if abs(sheet.wheelbase.value - filed) > 3.0 * LEAST_WHEELBASE_SPREAD:
        said.append(f"wheelbase {sheet.wheelbase.value * 1e3:.0f} mm on the sheet, {filed * 1e3:.0f} mm in the file")
    releasable = any(axle.bar_fitted and axle.bar_releasable for axle in spec.axles)
    if not releasable and any(entry.bars == "released" for entry in sheet.runs):
        said.append("the sheet has runs with bars released, but the vehicle file has no bar that can be released")
    if sheet.ramp_angle.source == "assumed":
        said.append("the ramp angle is assumed, not measured")
    return tuple(said)
