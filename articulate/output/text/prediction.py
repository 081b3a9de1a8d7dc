"""The prediction as text for an 80-column terminal, as JSON data and as the rows of a trace."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from articulate.climb import CANNOT_STAND, LONGEST_CLIMB, Outcome
from articulate.output.layout import doubt_lines, finite, remark_lines, row, wrapped
from articulate.output.plain_data import doubt_data, file_data, inputs_data
from articulate.output.text.arch import arch_first
from articulate.output.text.drive import outlook_data, outlook_lines
from articulate.output.text.roll import gradient_caution, gradient_cells, gradient_data
from articulate.output.text.wording import OUTCOMES, outcome_key, spinning_words
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.output.wheels_and_ranges import WHEEL_KEYS, by_wheel, wheel_key
from articulate.prediction import Prediction, Run
from articulate.safety import CAUTION
from articulate.spec.plausibility import doubts
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.studies.predict.drive_outlook import DriveOutlook
from articulate.studies.predict.roll_range import RollRange
from articulate.types import WHEELS, each_state, lateral_sign, wheel_order

if TYPE_CHECKING:
    from articulate.output.command_data import PredictionData, RunData

FRICTION = (
    "Suspension friction: the score is that of climbing up steadily to the lift. On three wheels the loads hardly "
    "change, so friction stays as it is while the wheel hangs, and creeping back comes onto the same place. Whatever "
    "shakes the vehicle (engine, jerks, a rocking body) moves the place up: to the score without friction, at most "
    "to that with friction turned over. Do not rock a vehicle on three wheels to find out."
)


def shown_score(run: Run) -> str:
    """The score as it is shown, or that there is none."""
    if math.isfinite(run.score):
        return f"{run.score:.0f}"
    return "none" if run.outcome != Outcome.RAMP_ENDS else "not reached"


def _friction_rows(runs: Sequence[Run]) -> list[str]:
    """What suspension friction makes of the score; nothing for a vehicle without it."""
    rows = (
        ("  creeping back onto it", [run.score_back for run in runs]),
        ("  friction shaken out", [run.score_shaken for run in runs]),
        ("  friction turned over", [run.score_turned_over for run in runs]),
    )
    return [row(label, [_number(v, ".0f", "") for v in values]) for label, values in rows if np.isfinite(values).any()]


def spin_rows(runs: Sequence[Run]) -> list[str]:
    """Which wheels spin, and what there would be with grip enough; nothing where none spins."""
    if not any(run.spinning for run in runs):
        return []
    unspun = [
        f"{run.score_without_spin:.0f}, {WHEELS[run.wheel_without_spin]}" if run.wheel_without_spin >= 0 else "-"
        for run in runs
    ]
    return [
        row("  spinning", [spinning_words(run.spinning) or "-" for run in runs]),
        row("  with grip lifts at", unspun),
    ]


def _drive_rows(runs: Sequence[Run]) -> list[str]:
    """What the drive makes of the runs; nothing where it is not known."""
    if all(math.isnan(run.friction_needed) for run in runs):
        return []
    needed = ["no friction helps" if math.isinf(run.friction_needed) else f"{run.friction_needed:.2f}" for run in runs]
    return [
        *spin_rows(runs),
        row("  friction to the lift", needed),
        row("  held by the ramp wheel", [f"{run.holding_share:.2f} of the slope force" for run in runs]),
    ]


def _number(value: float, form: str, unit: str) -> str:
    return f"{value:{form}} {unit}".rstrip() if math.isfinite(value) else "-"


def _attitude(run: Run) -> str:
    if not math.isfinite(run.roll):
        return "-"
    return f"{math.degrees(run.roll):+.1f}, {math.degrees(run.pitch):+.1f} deg"


def _in_hand(run: Run, lengths: Lengths) -> str:
    if not math.isfinite(run.tipping_margin):
        return "none"
    return f"{lengths.one(run.tipping_margin)}, {math.degrees(run.tipping_angle):.1f} deg"


def _used(run: Run, corner: int, lengths: Lengths) -> str:
    if not math.isfinite(run.climb):
        return "-"
    kind = "bump" if run.hub_travel[corner] >= 0.0 else "droop"
    travel = lengths.one(float(run.hub_travel[corner]), signed=True)
    if not math.isfinite(run.travel_used[corner]):
        return f"{travel}, no free {kind}"
    return f"{travel}, {abs(run.travel_used[corner]) * 100.0:.0f} % {kind}"


def outcome_words(run: Run) -> str:
    """How a run ends, in a cell."""
    if run.outcome == Outcome.WHEEL_LIFTS:
        return f"{WHEELS[run.wheel]} lifts"
    if run.outcome == Outcome.EQUILIBRIUM_JUMPS:
        return f"jumps, {WHEELS[run.wheel]} up"
    if run.outcome == Outcome.WHEELS_SPIN:
        return "WHEELS SPIN"
    return OUTCOMES[run.outcome]


def limited_by(run: Run) -> str:
    """What the end of the climb rests on: the stops that are met there, or springs and bars alone."""
    if run.outcome != Outcome.WHEEL_LIFTS:
        return run.outcome.meaning
    at_end = {(event.kind, event.corner): event.begins for event in run.events}
    bump = [WHEELS[corner] for (kind, corner), now in at_end.items() if kind == "bump stop" and now]
    droop = [WHEELS[corner] for (kind, corner), now in at_end.items() if kind == "droop stop" and now]
    parts = []
    if bump:
        parts.append("bump stop " + " and ".join(bump))
    if droop:
        parts.append("full droop " + " and ".join(droop))
    arch = [WHEELS[corner] for (kind, corner), now in at_end.items() if kind == "arch" and now]
    if arch:
        parts.append("tyre on its arch " + " and ".join(arch))
    return "; ".join(parts) if parts else "springs and bars alone, no stop is met"


def warnings(prediction: Prediction) -> list[str]:
    """What a person must know before trusting or doing this."""
    said = []
    for run in each_state(prediction):
        if run.outcome not in (Outcome.WHEEL_LIFTS, Outcome.RAMP_ENDS, Outcome.WHEELS_SPIN):  # which is told beside it
            up = f" ({WHEELS[int(run.wheel_load.argmin())]})" if run.outcome == Outcome.LIFTS_BEFORE_RAMP else ""
            said.append(f"bars {run.bars}: {run.outcome.meaning}{up}")
        if run.outcome == Outcome.RAMP_ENDS and math.isclose(run.climb, LONGEST_CLIMB * prediction.wheelbase):
            said.append(
                f"bars {run.bars}: no wheel lifts within {LONGEST_CLIMB:g} wheelbases; the ramp's length is not "
                "given, so the climb is ended there"
            )
        if any(event.kind == "jump" for event in run.events) and run.outcome == Outcome.WHEEL_LIFTS:
            said.append(f"bars {run.bars}: the vehicle jumps on the way up; keep well clear")
        rubbing = sorted({WHEELS[event.corner] for event in run.events if event.kind == "arch" and event.begins})
        if rubbing:
            said.append(
                f"bars {run.bars}: {' and '.join(rubbing)} tyre reaches its arch; the stop should end its travel "
                "before that, and the score is for a tyre that rubs (see articulate clearance)"
            )
        if run.tipping_angle < math.radians(5.0):
            said.append(
                f"bars {run.bars}: only {math.degrees(run.tipping_angle):.1f} deg of sideways angle in hand at the end"
            )
        others = np.delete(run.wheel_load, [run.wheel]) if run.wheel >= 0 else run.wheel_load
        if np.isfinite(others).all() and others.min() < 500.0 and run.wheel >= 0:
            near = int(np.flatnonzero(run.wheel_load == others.min())[0])
            said.append(
                f"bars {run.bars}: {WHEELS[near]} carries only {others.min():.0f} N; small errors decide which lifts"
            )
    return said


def all_warnings(prediction: Prediction, spec: VehicleSpec, turn: RollRange | None) -> list[str]:
    """The same, and what the file itself gives reason for."""
    caution = gradient_caution(turn) if turn is not None else ""
    return [*arch_first(spec), *warnings(prediction), *([caution] if caution else [])]


def prediction_table(
    prediction: Prediction,
    spec: VehicleSpec,
    outlook: DriveOutlook | None = None,
    turn: RollRange | None = None,
    lengths: Lengths = MILLIMETRES_FIRST,
) -> str:
    """The result for people: answer first, 80 columns at most.

    `outlook` says how far other drives would come, `turn` adds the roll gradient.
    """
    runs = each_state(prediction)
    degrees = math.degrees(prediction.angle)
    lines = [
        spec.name,
        f"{prediction.side} front wheel up a {degrees:g} degree ramp, wheelbase {lengths.both(prediction.wheelbase)}",
        "",
        row("bars", [run.bars for run in runs]),
        row("score", [shown_score(run) for run in runs]),
        *_friction_rows(runs),
        row("outcome", [outcome_words(run) for run in runs]),
        *_drive_rows(runs),
        row("climb", [lengths.both(run.climb) for run in runs]),
        row("mark height", [lengths.tape(run.mark_height) for run in runs]),
        row("hub height", [lengths.both(run.hub_height) if math.isfinite(run.climb) else "-" for run in runs]),
        "",
        "load, normal to the ground",
        *(
            row(
                f"  {wheel}",
                [_number(run.wheel_load[i], ".0f", "N") for run in runs],
            )
            for i, wheel in enumerate(WHEELS)
        ),
        "travel from ride height (over 100 %: the stop is compressed)",
        *(row(f"  {wheel}", [_used(run, i, lengths) for run in runs]) for i, wheel in enumerate(WHEELS)),
        row("left side up, nose down", [_attitude(run) for run in runs]),
        row("frame twist", [_number(math.degrees(run.twist), "+.2f", "deg") for run in runs]),
        row("tipping margin", [_in_hand(run, lengths) for run in runs]),
        row("to rocking onto the wheel", [lengths.one(run.rocking_margin) for run in runs]),
    ]
    if prediction.released is not None and math.isfinite(prediction.gain):
        # Of the scores as they are shown, so that the three numbers agree.
        gain = round(prediction.released.score) - round(prediction.connected.score)
        lines.append(row("gain from releasing", [f"{gain:+d} points"]))
    if turn is not None:
        lines.append(row("roll gradient in a turn", gradient_cells(turn)))
    for run in runs:
        lines += ["", f"on the way up, bars {run.bars}"]
        if not run.events and run.outcome not in CANNOT_STAND:
            lines.append("  nothing: no stop, no seat, no bodywork")
        lines += [f"  {lengths.both(event.climb):<20} {event.what}" for event in run.events]
        lines.append(wrapped(f"  limited by: {limited_by(run)}", "    "))
    if outlook is not None:
        lines += ["", *outlook_lines(outlook)]
    said = all_warnings(prediction, spec, turn)
    if said:
        lines += ["", *(wrapped(f"! {text}") for text in said)]
    asked = doubts(spec)
    if asked:
        lines += ["", "asked about in the vehicle file", *doubt_lines(asked)]
    if any(math.isfinite(run.score_back) for run in runs):
        without = " The roll gradient is without friction, with which a turn measures less." if turn is not None else ""
        lines += ["", wrapped(FRICTION + without, "")]
    assumed = spec.assumed()
    if assumed:
        lines += ["", f"assumed, not given ({len(assumed)}; value, 90 % range)"]
        lines += [f"  {key:<40} {lengths.limits(estimate)}" for key, estimate in assumed.items()]
    lines += remark_lines(spec)
    return "\n".join([*lines, "", wrapped(CAUTION, "")])


def _run_data(run: Run) -> RunData:
    return {
        "bars": run.bars,
        "outcome": outcome_key(run.outcome),
        "outcome_meaning": run.outcome.meaning,
        "score": finite(run.score),
        "score_creeping_back": finite(run.score_back),
        "score_friction_shaken_out": finite(run.score_shaken),
        "score_friction_turned_over": finite(run.score_turned_over),
        "climb_m": finite(run.climb),
        "mark_height_m": finite(run.mark_height),
        "hub_height_m": finite(run.hub_height),
        "lifting_wheel": wheel_key(run.wheel),
        "wheel_load_N": by_wheel(run.wheel_load),
        "hub_travel_m": by_wheel(run.hub_travel),
        "travel_used": by_wheel(run.travel_used),
        "roll_rad": finite(run.roll),
        "pitch_rad": finite(run.pitch),
        "frame_twist_rad": finite(run.twist),
        "tipping_margin_m": finite(run.tipping_margin),
        "rocking_margin_m": finite(run.rocking_margin),
        "tipping_angle_rad": finite(run.tipping_angle),
        "limited_by": limited_by(run),
        "jumps": run.jumps,
        "holding_share": finite(run.holding_share),
        "spinning_wheels": [WHEEL_KEYS[i] for i in run.spinning],
        "friction_needed": finite(run.friction_needed),
        "no_friction_is_enough": math.isinf(run.friction_needed),
        "outcome_without_spin": outcome_key(run.outcome_without_spin),
        "score_without_spin": finite(run.score_without_spin),
        "lifting_wheel_without_spin": wheel_key(run.wheel_without_spin),
        "events": [
            {"climb_m": event.climb, "what": event.what, "kind": event.kind, "begins": event.begins}
            for event in run.events
        ],
    }


def prediction_data(
    prediction: Prediction, spec: VehicleSpec, outlook: DriveOutlook | None = None, turn: RollRange | None = None
) -> PredictionData:
    """The prediction as plain data with SI keys, for JSON."""
    return {
        **file_data(spec),
        "side": prediction.side,
        "ramp_angle_rad": prediction.angle,
        "wheelbase_m": prediction.wheelbase,
        "rest_load_N": by_wheel(prediction.rest_load),
        "connected": _run_data(prediction.connected),
        "released": _run_data(prediction.released) if prediction.released else None,
        "gain": finite(prediction.gain),
        "drive": outlook_data(outlook) if outlook is not None else None,
        "roll_gradient": gradient_data(turn) if turn is not None else None,
        "warnings": all_warnings(prediction, spec, turn),
        "asked_about": doubt_data(doubts(spec)),
        "inputs": inputs_data(spec.inputs),
        "remarks": list(spec.remarks),
    }


def trace_rows(prediction: Prediction) -> list[Mapping[str, str | float]]:
    """The whole climb, a row a state, SI columns."""
    rows: list[Mapping[str, str | float]] = []
    swap, sign = wheel_order(prediction.side), lateral_sign(prediction.side)
    for run in each_state(prediction):
        found = run.trace.measures
        for k, climb in enumerate(run.trace.climb):
            state: dict[str, str | float] = {
                "bars": run.bars,
                "climb_m": float(climb),
                "mark_height_m": float(climb * math.sin(prediction.angle)),
            }
            for i, name in enumerate(WHEEL_KEYS):
                state[f"load_{name}_N"] = float(found.wheel_load[k, swap[i]])
                state[f"travel_{name}_m"] = float(found.hub_travel[k, swap[i]])
            state["roll_rad"] = sign * float(found.roll[k])
            state["pitch_rad"] = float(found.pitch[k])
            state["frame_twist_rad"] = sign * float(found.twist[k])
            state["tipping_margin_m"] = float(found.tipping_margin[k])
            rows.append(state)
    return rows
