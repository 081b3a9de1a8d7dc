"""What the page for the ramp holds: the vehicle, its sample, the numbers of the budget, and the words of each step.

The page computes with the formulas of `measure` and `studies.learn`, written again in its scripts; every number they
need comes from here, so there is none of its own to go astray.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import NDArray

from articulate import safety
from articulate.measure import defaults, plausible_readings, scatter
from articulate.measure.conversions import SCORE_SCALE, ReadingKind
from articulate.measure.propagation import COVERAGE
from articulate.measure.scoring import CaseHints
from articulate.measure.sheet_load import LARGEST_SCORE
from articulate.measure.sheet_measurand import input_of
from articulate.output.layout import HASH_SHOWN, capitalised, finite
from articulate.output.sheet.content import DRIVEN, film_words, plan_warnings, release_words
from articulate.output.stamp import program
from articulate.output.units import Lengths
from articulate.spec.quantities import LENGTH, Estimate, read_quantity
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.studies.at_ramp.along import Along
from articulate.studies.at_ramp.sample import CaseSample
from articulate.studies.day.moving_climb import ReleaseOn
from articulate.studies.day.plan import DayPlan
from articulate.studies.learn.learning import MAY_BE_SEEN, SURPRISING
from articulate.studies.learn.readings import SCORE_UNCERTAINTY, LiftSeen
from articulate.studies.predict.band import HIGH, LOW
from articulate.types import WHEELS, Case, other_side

STEP_SCORE, STEP_ROLL = 0.1, 1e-4  # to which the sample is rounded: points, rad
ROLL_TOLERANCE = 0.5  # [deg], of a phone's tilt against its zero; common practice, no source
HUB_TOLERANCE = {"radius_on_flat": 1.0, "radius_on_ramp": 2.0}  # [mm], of a hub taped by hand; as the run sheet's own
ANGLE_TOLERANCES = (0.05, 0.1, 0.2)  # [deg], offered for an inclinometer
FEWEST = 50.0  # effective points of the sample below which the page claims nothing


CAUTIONS = {
    "before": (safety.RAMP, safety.FILM, safety.PRACTICE),
    "ready": (safety.FROM_THE_FIRST_CREEP, safety.SPOTTER, safety.FILM),
    "mark": (capitalised(safety.THREE_WHEELS.removeprefix("Caution: ")), safety.BRAKES, safety.APPROACH, safety.CHOCKS),
    "unloaded": (safety.UNLOADED,),
    "reconnect": (safety.RECONNECT,),
    "release": (safety.BARS, safety.ON_THE_FLAT, safety.REACH_IN),
    "signs": (safety.SIGNS,),
    "stop": (safety.STOP,),
    "result": (safety.NO_PERMISSION, safety.PRACTICE),
}


@dataclass(frozen=True)
class SheetFacts:
    """What the run sheet of the page can know before the day."""

    vehicle: str
    vehicle_file: str  # seen from where the page was written; empty where there is none
    wheelbase: str  # as a run sheet has it, with its tolerance
    lengths: Lengths  # shown first in the unit in which the author of the file thinks
    held: str  # in a line or two, what its numbers hold for: test, file, and what was set in it


def _packed(values: NDArray[np.float64], step: float) -> str:
    """Numbers as whole multiples of a step, 16 bits each, the least significant byte first."""
    return base64.b64encode(np.round(values / step).astype("<i2").tobytes()).decode("ascii")


def _input(estimate: Estimate) -> dict[str, Any]:
    found = input_of("", estimate)
    return {
        "value": estimate.value,
        "mean": found.estimate,
        "u": found.u,
        "shape": found.shape,
        "assumed": estimate.source == "assumed",
    }


def _hints(hints: Mapping[tuple[str, str], CaseHints], case: Case) -> dict[str, Any] | None:
    found = hints.get((case.side, case.bars))
    if found is None:
        return None
    named = ("climb_per_touch_load", "radius_on_flat", "radius_loss")
    return {name: _input(getattr(found, name)) for name in named}


def _case(sample: CaseSample, along: Along) -> dict[str, Any]:
    return {
        "side": sample.case.side,
        "bars": sample.case.bars,
        "score": [_packed(row, STEP_SCORE) for row in sample.score],
        "roll": [_packed(row, STEP_ROLL) for row in sample.roll],
        "wheel": "".join("-" if wheel < 0 else str(wheel) for wheel in sample.wheel),
        "nominal": [finite(value) for value in sample.nominal],
        "hints": [_hints(one, sample.case) for one in along.hints],
    }


def _method(along: Along) -> dict[str, Any]:
    """The numbers of `measure`."""
    assumed = {
        "ramp_angle": defaults.RAMP_ANGLE.estimate(),
        "climb_per_touch_load": defaults.CLIMB_PER_TOUCH_LOAD.estimate(),
        "roll_back": defaults.ROLL_BACK.estimate(),
        "radius_loss": defaults.RADIUS_LOSS.estimate(),
        "touch_load": along.touch_load,
    }
    return {
        **{name: _input(estimate) for name, estimate in assumed.items()},
        "ramp_angle_tolerance": defaults.RAMP_ANGLE_TOLERANCE,
        "wheelbase_tolerance": defaults.WHEELBASE_TOLERANCE,
        "marking": defaults.MARKING.estimate().high,
        "repeatability": defaults.REPEATABILITY.estimate().high,
        "repeatability_worth": defaults.REPEATABILITY_WORTH,
        "tape_classes": {name: list(limits) for name, limits in defaults.TAPE_CLASSES.items()},
        "assumed_tape_class": defaults.ASSUMED_TAPE_CLASS,
        "finest": {"in": defaults.FINEST_INCH, "mm": defaults.FINEST_METRIC},
        "stray": scatter.STRAY,
        "coverage": COVERAGE,
        "scale": SCORE_SCALE,
    }


def page_data(plan: DayPlan, along: Along, spec: VehicleSpec, facts: SheetFacts, release_on: ReleaseOn) -> Any:
    """Everything the page's scripts read, as plain data [SI]."""
    sample = along.sample
    never = {run.bars: run.nominal.outcome.meaning for run in plan.runs if run.nominal.outcome not in DRIVEN}
    released = len(plan.runs) > 1
    data = {
        "program": program(),
        "file": Path(spec.path).name,
        "hash": spec.text_hash,
        "hash_shown": spec.text_hash[:HASH_SHOWN],
        "held": facts.held,
        "sheet": {"vehicle": facts.vehicle, "vehicle_file": facts.vehicle_file, "wheelbase": facts.wheelbase},
        "unit": facts.lengths.first,
        "wheelbase": _input(read_quantity(facts.wheelbase, LENGTH)),
        "angle": plan.angle,
        "usual_angle": defaults.RAMP_ANGLE.estimate().value,
        "touch_load_given": along.touch_load_given,
        "sides": [along.side, other_side(along.side)],
        "bars": [run.bars for run in plan.runs],
        "never": never,
        "wheels": list(WHEELS),
        "ways": [{"key": kind.value, "words": kind.words, "meaning": kind.meaning} for kind in ReadingKind],
        "method": _method(along),
        "sample": {
            "angles": [float(angle) for angle in sample.angles],
            "points": int(sample.cases[0].score.shape[1]) if sample.cases else 0,
            "step_score": STEP_SCORE,
            "step_roll": STEP_ROLL,
            "cases": [_case(one, along) for one in sample.cases],
            "fewest": FEWEST,
        },
        "model": {"common": along.model.common, "run": along.model.run},
        "learn": {
            "next_uncertainty": SCORE_UNCERTAINTY,
            "doubt": LiftSeen(Case(), 0).doubt,
            "low": LOW,
            "high": HIGH,
            "may_be_seen": MAY_BE_SEEN,
        },
        "asked": {
            "score": list(plausible_readings.USUAL_SCORE),
            "largest": LARGEST_SCORE,
            "apart": plausible_readings.APART,
            "sides_apart": plausible_readings.SIDES_APART,
            "gain": list(plausible_readings.GAIN),
            "units": list(plausible_readings.UNITS),
            "far": NormalDist().inv_cdf(1.0 - 0.5 * SURPRISING),
        },
        "tolerances": {"roll": ROLL_TOLERANCE, "angle": list(ANGLE_TOLERANCES), "hub": HUB_TOLERANCE},
        "surprises": [
            {
                "what": one.what,
                "low": one.low,
                "nothing_wrong": round(one.nothing_wrong, 3),
                "suspects": [[each.sentence, round(each.probability, 3)] for each in one.suspects],
                "checks": [[each.name, each.instruction, each.caution] for each in one.checks],
            }
            for one in along.surprises
        ],
        "words": {
            **{step: list(lines) for step, lines in CAUTIONS.items()},
            "film": {along.side: film_words(plan, facts.lengths)},
            "releasing": release_words(plan, release_on, facts.lengths) if released and not never else "",
            "release_on": release_on,
            "mind": list(plan_warnings(plan)),
            "all": list(safety.CAUTIONS),
        },
    }
    text = json.dumps(data, sort_keys=True)
    return {**data, "id": hashlib.sha256(text.encode("utf-8")).hexdigest()[:16]}
