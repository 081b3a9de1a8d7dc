"""What the test-day sheet says, in words and tables, and the plan as plain data."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from articulate.climb import Outcome
from articulate.constants import INCH, STANDARD_GRAVITY
from articulate.output.layout import capitalised, finite
from articulate.output.plain_data import file_data
from articulate.output.stamp import program
from articulate.output.text.drive import outlook_data, reach_sentences
from articulate.output.text.input_names import input_words
from articulate.output.text.model_error import model_error_data
from articulate.output.text.prediction import limited_by
from articulate.output.text.prediction import warnings as prediction_warnings
from articulate.output.text.wording import outcome_key, spin_words
from articulate.output.units import Lengths, Unit, lengths_of
from articulate.output.wheels_and_ranges import interval_data
from articulate.safety import CAUTIONS, FILM, POLE, STOP, STRAP
from articulate.spec.plausibility import doubts
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.studies.day.moving_climb import ReleaseOn
from articulate.studies.day.plan import DayPlan, ExpectedRun
from articulate.studies.population.intervals import Interval

if TYPE_CHECKING:
    from articulate.output.command_data import PlanData

NAMED_CLEARANCES, NAMED_INPUTS, REPEATS = 4, 4, 3
LADDER_STEPS: dict[Unit, tuple[float, ...]] = {  # [m], between the marks of the ladder
    "in": tuple(step * INCH for step in (0.25, 0.5, 1.0, 2.0, 4.0, 8.0)),
    "mm": (0.005, 0.01, 0.02, 0.05, 0.1, 0.2),
}
MOST_RUNGS = 24
FEW_DEGREES = math.radians(10.0)
FOOTPRINT = 0.4  # [m], of film beyond the band, for the length of a tyre's footprint and a hand's breadth each way
_UNIT_AFTER_NUMBER = re.compile(r"(?<=\d) (?=(?:%|in|mm|m|ft|N|kN|kg|deg)\b|%|\d+/\d)")

# The others end before they begin.
DRIVEN = (Outcome.WHEEL_LIFTS, Outcome.RAMP_ENDS, Outcome.EQUILIBRIUM_JUMPS, Outcome.WHEELS_SPIN)


@dataclass(frozen=True)
class Row:
    """A row of a table: what, and one cell for each column."""

    label: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """The content of the sheet, in the order of its page."""

    title: str
    subtitle: str
    lengths: Lengths
    conditions: str  # what its numbers hold for: test, drive, file, and what was set in it
    warnings: tuple[str, ...]
    columns: tuple[str, ...]  # of the table of expectations
    expected: tuple[Row, ...]
    ramp: tuple[Row, ...]
    clearance: tuple[str, ...]
    order: tuple[str, ...]
    bring: tuple[str, ...]
    measure: tuple[str, ...]
    vehicle_boxes: tuple[str, ...]  # labels of the boxes read once
    run_columns: tuple[str, ...]  # of the table of readings
    run_rows: tuple[str, ...]
    stop: str  # when to end a run, beside the readings
    factor: str  # from a mark to a score, for a pocket calculator
    ladder: tuple[Row, ...]  # marks around those expected in both units, and their score
    readings_go: str  # where the readings are typed in
    cautions: tuple[str, ...]
    stamp: str


def in_words(band: Interval) -> str:
    """Limits of a band; its upper one is open where the ramp ends first."""
    if math.isinf(band.low):
        return "beyond the ramp"
    return f"{band.low:.0f} or more" if math.isinf(band.high) else f"{band.low:.0f} to {band.high:.0f}"


def _mark_band(band: Interval, lengths: Lengths) -> str:
    """A band of marks as tapes show it, in each unit."""
    if not math.isfinite(band.low):
        return "no band"
    told = []
    for unit in lengths.shown:
        low, high = (lengths.taped(unit, one, 8) for one in (band.low, band.high))
        first = low.removesuffix(f" {unit}") if unit == "mm" else low
        told.append(f"{low} or more" if math.isinf(band.high) else f"{first} to {high}")
    return "; ".join(told)


def _tied(text: str) -> str:
    """The text with each number held to its unit by a no-break space."""
    return _UNIT_AFTER_NUMBER.sub("\u00a0", text)


def _share(share: float) -> str:
    if share > 0.995:
        return "over 99 %" if share < 1.0 else "100 %"
    return f"{share * 100.0:.0f} %" if share >= 0.01 else "under 1 %"


def _with_share(what: str, share: float) -> str:
    return what if share > 0.995 else f"{what} ({_share(share)})"


def lifting_words(run: ExpectedRun) -> str:
    """Which wheel lifts, or that wheels spin before one does, each with its share of the possible vehicles."""
    if run.spins > 0.0:
        spin = _with_share(f"none, {spin_words(run.nominal.spinning)}", run.spins)
        lifting = [_with_share(wheel, share * (1.0 - run.spins)) for wheel, share in run.lifts]
        return ", ".join([spin, *lifting] if run.spins > 0.5 else [*lifting, spin])
    if not run.lifts:
        return "-"
    return ", ".join(_with_share(wheel, share) for wheel, share in run.lifts)


def _stops(run: ExpectedRun) -> str:
    likely = [_with_share(what, share) for what, share in run.stops if share >= 0.05]
    if run.nominal.outcome not in DRIVEN:
        return "-"
    return "; ".join(likely) or limited_by(run.nominal)


def _score(run: ExpectedRun) -> str:
    if not math.isfinite(run.nominal.score):
        return f"none: {run.nominal.outcome.meaning}"
    return f"{run.nominal.score:.0f} ({in_words(run.score)})"


def mark_words(run: ExpectedRun, lengths: Lengths) -> str:
    """The expected height of the mark; a dash where there is none."""
    return lengths.tape(run.nominal.mark_height) if math.isfinite(run.nominal.score) else "-"


def friction_leaves_open(run: ExpectedRun, plan: DayPlan, lengths: Lengths) -> str:
    """Marks between climbing up, or creeping back, and the furthest that suspension friction may put them."""
    nominal = run.nominal
    scores = [nominal.score, nominal.score_back, nominal.score_shaken, nominal.score_turned_over]
    marks = [0.001 * score * plan.wheelbase * math.sin(plan.angle) for score in scores if math.isfinite(score)]
    return lengths.between(min(marks), max(marks)) if len(marks) > 1 else "-"


def _model_part(plan: DayPlan) -> str:
    """The model's own error in the bands."""
    model = plan.model
    return f"±{100.0 * model.common:.2g} % common, ±{100.0 * model.run:.2g} % a run (1 sd, {model.source})"


def _expected_rows(plan: DayPlan, lengths: Lengths) -> tuple[Row, ...]:
    runs = plan.runs

    def row(label: str, cells: Sequence[str]) -> Row:
        return Row(label, tuple(map(_tied, cells)))

    return (
        row("Score (90 % band)", [_score(run) for run in runs]),
        row("Mark above the floor", [mark_words(run, lengths) for run in runs]),
        row("  its 90 % band", [_mark_band(run.mark_height, lengths) for run in runs]),
        *((row("  the model's own part", [_model_part(plan)] * len(runs)),) if plan.model.total > 0.0 else ()),
        *(
            (row("Left open by friction", [friction_leaves_open(run, plan, lengths) for run in runs]),)
            if any(math.isfinite(run.nominal.score_back) for run in runs)
            else ()
        ),
        row("Mark along the slope", [lengths.both(run.nominal.climb) for run in runs]),
        row("Wheel that will lift", [lifting_words(run) for run in runs]),
        row("Stops met at the mark", [_stops(run) for run in runs]),
        row("Load of the ramp wheel", [_load(run.ramp_wheel_load) for run in runs]),
        row("Heaviest wheel", [f"{run.heaviest_wheel} {_load(run.heaviest_load)}".strip() for run in runs]),
        row("Sideways angle in hand", [_tipping(run, lengths) for run in runs]),
    )


def _load(band: Interval) -> str:
    return f"{band.value / 1000.0:.1f} kN (up to {band.high / 1000.0:.1f})" if math.isfinite(band.value) else "-"


def _tipping(run: ExpectedRun, lengths: Lengths) -> str:
    angle = run.tipping_angle
    if not math.isfinite(angle.value):
        return "none"
    low = f" (low {math.degrees(angle.low):.0f})" if math.isfinite(angle.low) else ""
    rocks = run.nominal.rocking_margin
    then = f"; rocks onto the lifted wheel within {lengths.one(rocks)}" if math.isfinite(rocks) else ""
    return f"{math.degrees(angle.value):.0f} deg{low}{then}"


def _ramp_rows(plan: DayPlan, lengths: Lengths) -> tuple[Row, ...]:
    need = plan.ramp
    if not math.isfinite(need.length):
        return (Row("Length", ("not known: no possible vehicle lifts a wheel",)),)
    least = "" if need.bounded else "at least "
    rows = [
        Row("Length of slope", (f"{least}{lengths.far(need.length)}",)),
        Row("Height at its end", (f"{least}{lengths.both(need.height)}",)),
        Row("Width", (lengths.both(need.width),)),
        Row("Heaviest wheel on it", (f"{need.load / 1000.0:.1f} kN, {need.load / STANDARD_GRAVITY:.0f} kg",)),
        Row("Rated for, each wheel", (f"{need.rating / 1000.0:.1f} kN, {need.rating / STANDARD_GRAVITY:.0f} kg",)),
        Row("Held against sliding", (f"{need.push / 1000.0:.1f} kN, away from the vehicle",)),
        Row("Level floor behind the toe", (lengths.far(need.level_ground),)),
    ]
    if need.rear_wheel_climbs > 0.0:
        rows.append(Row("Rear wheel meets it too", (_share(need.rear_wheel_climbs),)))
    return tuple(Row(row.label, tuple(map(_tied, row.cells))) for row in rows)


def _clearance_lines(plan: DayPlan, lengths: Lengths) -> tuple[str, ...]:
    if not plan.clearances:
        return (
            "The vehicle file names no points of the body: watch bumper, step and exhaust at the toe, and stop "
            "before anything touches.",
        )
    lines = [
        f"{low.name}: {'touches' if low.gap <= 0.0 else lengths.both(low.gap)} at {lengths.both(low.climb)} of climb"
        for low in plan.clearances[:NAMED_CLEARANCES]
    ]
    more = len(plan.clearances) - NAMED_CLEARANCES
    return (*lines, f"and {more} more with larger clearance") if more > 0 else tuple(lines)


def _bar_words(plan: DayPlan, at_rest: bool) -> str:
    return ", ".join(f"{bar.axle} {bar.at_rest if at_rest else bar.at_mark:.0f} N" for bar in plan.bars)


def _strip(plan: DayPlan) -> float:
    """Length of a strip of film [m] that lies under a tyre wherever in its band it comes to stand."""
    widths = [place.high - place.low for run in plan.runs for _, place in run.standing]
    return FOOTPRINT + max((width for width in widths if math.isfinite(width)), default=0.0)


def film_words(plan: DayPlan, lengths: Lengths) -> str:
    """Where film and straps lie: where the tyres stand at the marks, not where they start."""
    marked = [run for run in plan.runs if math.isfinite(run.nominal.score)]
    if not marked:
        return FILM
    rolled = sorted(run.nominal.climb - float(run.nominal.trace.climb[0]) for run in marked)
    far = lengths.near(rolled[:1] if len(rolled) == 1 else [rolled[0], rolled[-1]], " to ")
    places = []
    for column, (wheel, _) in enumerate(marked[0].standing):
        at = [run.standing[column][1].value for run in marked]
        past = all(x >= 0.0 for x in at)
        if past or all(x < 0.0 for x in at):
            told = lengths.near([abs(x) for x in at], " and ")
            places.append(f"{wheel} {told} {'past' if past else 'short of'} the toe line")
        else:
            places.append(f"{wheel} {lengths.near(at, ' and ', signed=True)} from the toe line")
    return f"{FILM} They roll {far} from first touch: {', '.join(places)}."


def _order(plan: DayPlan, release_on: ReleaseOn, lengths: Lengths) -> tuple[str, ...]:
    ramp_wheel = f"{plan.side} front wheel"
    never = [
        f"DO NOT run with the bars {run.bars}: {run.nominal.outcome.meaning}."
        for run in plan.runs
        if run.nominal.outcome not in DRIVEN
    ]
    if len(never) == len(plan.runs):
        return tuple(never)
    first = [
        f"On level floor, before anything else: fill in the boxes. {film_words(plan, lengths)}",
        f"Bars connected. Creep the {ramp_wheel} up straight until a film just pulls out. Stop, hold the brakes, chock "
        "by pole. The camera reads the mark.",
        "Creep back down until the film is gripped again, read that mark too (the two should agree), then back to "
        f"the floor. {REPEATS} times.",
    ]
    if len(plan.runs) == 1:
        return (*first, "No bar of this vehicle can be released: one set of runs.")
    if never:
        return (*first, *never) if plan.runs[0].nominal.outcome in DRIVEN else tuple(never)
    after = plan.release_on_ramp
    from_the_seat = release_on == "ramp" and after is not None and after.stands
    last = (
        f"Creep on to the second mark, read, back to the floor, reconnect there. {REPEATS} times."
        if from_the_seat
        else f"Bars released: the same again, {REPEATS} times. Back on the floor, reconnect the bars."
    )
    return (*first, release_words(plan, release_on, lengths), last)


def release_words(plan: DayPlan, release_on: ReleaseOn, lengths: Lengths) -> str:
    """How the bars are released between the runs, with what they hold."""
    after = plan.release_on_ramp
    if release_on == "floor":
        return (
            "Bars are released on the level floor only, wheels chocked, once the links turn freely by hand (at the "
            f"mark a bar holds {_bar_words(plan, at_rest=False)} at each wheel; on the floor still "
            f"{_bar_words(plan, at_rest=True)})."
        )
    if after is None or not after.stands:
        return (
            "DO NOT release on the ramp: no safe state with all four wheels down was found for it. Back to the floor, "
            "release there."
        )
    return (
        "Bars that let go from the driver's seat: at the connected mark, everyone well clear, release. The vehicle "
        f"then rolls by about {abs(math.degrees(after.roll)):.1f} deg and a hub moves by up to "
        f"{lengths.one(after.height)}; the {after.lightest_wheel} wheel carries {after.lightest_load:.0f} N again."
    )


def _bring(plan: DayPlan, release_on: ReleaseOn, lengths: Lengths) -> tuple[str, ...]:
    width = lengths.one(max(plan.ramp.width, 0.0))
    return (
        f"a ramp of the size on this sheet, its surface dry and grippy, {width} wide or more",
        f"what holds the ramp against {plan.ramp.push / 1000.0:.1f} kN: a wall, stakes or straps"
        if math.isfinite(plan.ramp.push)
        else "what holds the ramp against sliding",
        f"chocks (4), two on poles of {POLE}, spotter's flags, cones or tape to keep people away",
        f"thin film or paper, 3 strips of {lengths.near([_strip(plan)])}, each on a strap of {STRAP} or more",
        "steel tape, large square, chalk or tape scale along the slope, camera on a stand square to it",
        "digital level (0.1 deg), tyre gauge, wheel or axle scales",
        *(("tools for the bar links, thread lock, torque wrench",) if release_on == "floor" and plan.bars else ()),
    )


def _measure(plan: DayPlan) -> tuple[str, ...]:
    lines = [
        "ramp angle at three places; wheelbase on both sides; tyre pressures cold; loads of all wheels; fuel, people "
        "and cargo as they are"
    ]
    assumed = [one for one in plan.influences if one.assumed and not one.keys[0].startswith("test.")]
    if assumed:
        words = ", ".join(f"{input_words(one.keys)} ({one.share * 100.0:.0f} %)" for one in assumed[:NAMED_INPUTS])
        lines.append(f"assumed so far; knowing them narrows the band most (share of the score's spread): {words}")
    if any("test.holding_share" in one.keys for one in plan.influences):
        lines.append("which wheels brake or drive while it stands at the mark: write it down, it moves the score")
    return tuple(lines)


def score_per_metre(plan: DayPlan) -> float:
    """The factor k in score = k x height of the mark, k = 1000 / (sin(ramp angle) x wheelbase) [1/m]."""
    return 1000.0 / (math.sin(plan.angle) * plan.wheelbase)


def _factor(plan: DayPlan, lengths: Lengths) -> str:
    k = score_per_metre(plan)
    ways = {"mm": f"mark in mm x {k * 0.001:.4f}", "in": f"mark in inches x {k * INCH:.3f}"}
    step = {"mm": f"1 mm is {k * 0.001:.1f} points", "in": f"1/16 in is {k * INCH / 16.0:.1f} points"}
    return f"score = {' = '.join(ways[unit] for unit in lengths.shown)}; {step[lengths.first]}"


def _ladder(plan: DayPlan, lengths: Lengths) -> tuple[Row, ...]:
    """Marks across the expected bands in even steps of the tape, with their scores."""
    bands = [run.mark_height for run in plan.runs if math.isfinite(run.nominal.score)]
    marks = [x for band in bands for x in (band.low, band.value, band.high) if math.isfinite(x)]
    if not marks:
        return ()
    k = score_per_metre(plan)
    for step in LADDER_STEPS[lengths.first]:
        first, last = math.floor(min(marks) / step), math.ceil(max(marks) / step)
        if last - first < MOST_RUNGS:
            break
    heights = [rung * step for rung in range(first, last + 1)]
    cells = [[_tied(lengths.taped(unit, h)) for unit in lengths.shown] for h in heights]
    return tuple(
        Row(cell[0], (cell[1] if cell[1:] else "", f"{k * h:.0f}")) for cell, h in zip(cells, heights, strict=True)
    )


def plan_warnings(plan: DayPlan) -> tuple[str, ...]:
    """What to mind with this vehicle, in sentences."""
    said = reach_sentences(plan.outlook)
    said += [capitalised(text) for text in prediction_warnings(plan.prediction)]
    for run in plan.runs:
        if run.tipping_angle.low < FEW_DEGREES:
            said.append(
                f"Bars {run.bars}: the sideways angle in hand may be as low as "
                f"{math.degrees(run.tipping_angle.low):.0f} deg."
            )
        if run.unscored:
            ends = "; ".join(f"{count} of {run.vehicles}: {meaning}" for meaning, count in run.unscored)
            said.append(f"Bars {run.bars}: possible vehicles without a mark: {ends}.")
        if run.nominal.outcome == Outcome.WHEEL_LIFTS and run.lifts and run.lifts[0][1] < 0.9:
            said.append(f"Bars {run.bars}: it is not certain which wheel lifts; film under all three.")
    if plan.left_out:
        said.append(f"{plan.left_out} of {plan.samples} sampled vehicles cannot exist and were left out.")
    return tuple(said)


def sheet_content(
    plan: DayPlan,
    spec: VehicleSpec,
    release_on: ReleaseOn = "floor",
    conditions: str = "",
    lengths: Lengths | None = None,
) -> Sheet:
    """Put the plan into words and tables.

    Args:
        plan: of the day.
        spec: of its vehicle.
        release_on: where bars are released.
        conditions: in a line or two, what all holds for.
        lengths: what lengths are shown in; by the file if None.
    """
    degrees = math.degrees(plan.angle)
    lengths = lengths or lengths_of([spec])
    return Sheet(
        title=spec.name,
        lengths=lengths,
        subtitle=f"{plan.side} front wheel up a {degrees:g} degree ramp, wheelbase {lengths.both(plan.wheelbase)}",
        conditions=_tied(conditions),
        warnings=(*plan_warnings(plan), *(f"Asked about: {one.question}." for one in doubts(spec))),
        columns=tuple(f"bars {run.bars}" for run in plan.runs),
        expected=_expected_rows(plan, lengths),
        ramp=_ramp_rows(plan, lengths),
        clearance=_clearance_lines(plan, lengths),
        order=_order(plan, release_on, lengths),
        bring=_bring(plan, release_on, lengths),
        measure=_measure(plan),
        vehicle_boxes=(
            "date, place",
            "driver, spotter",
            "surface, weather",
            "odometer, fuel",
            "wheelbase left",
            "wheelbase right",
            "ramp angle, 3 places",
            "people, cargo",
            "pressure FL / FR",
            "pressure RL / RR",
            "load FL / FR",
            "load RL / RR",
        ),
        run_columns=(
            f"mark up, {lengths.first}",
            f"mark down, {lengths.first}",
            "wheel that lifts",
            "stops, noise",
            "slip? height / slope?",
        ),
        run_rows=tuple(f"{run.bars} {repeat}" for run in plan.runs for repeat in range(1, REPEATS + 1)),
        stop=STOP,
        factor=_factor(plan, lengths),
        ladder=_ladder(plan, lengths),
        readings_go="Afterwards the readings go into a run sheet: articulate run-sheet --vehicle FILE, then score, "
        "audit and report.",
        cautions=CAUTIONS,
        stamp=f"{program()} · {Path(spec.path).name} · sha256 {spec.text_hash[:16]} · "
        f"{plan.samples} possible vehicles, seed {plan.seed}",
    )


_BY_MEANING = {kind.meaning: outcome_key(kind) for kind in Outcome}


def _key(words: str) -> str:
    """Words as a key of data: front_left, rear_left_on_its_bump_stop."""
    return words.replace(" ", "_")


def plan_data(plan: DayPlan, spec: VehicleSpec) -> PlanData:
    """The plan as plain data with SI keys, for JSON."""
    after = plan.release_on_ramp
    return {
        **file_data(spec),
        "side": plan.side,
        "ramp_angle_rad": plan.angle,
        "wheelbase_m": plan.wheelbase,
        "runs": [
            {
                "bars": run.bars,
                "outcome": outcome_key(run.nominal.outcome),
                "score": interval_data(run.score),
                "climb_m": interval_data(run.climb),
                "mark_height_m": interval_data(run.mark_height),
                "tipping_angle_rad": interval_data(run.tipping_angle),
                "ramp_wheel_load_N": interval_data(run.ramp_wheel_load),
                "heaviest_wheel": _key(run.heaviest_wheel) or None,
                "heaviest_load_N": interval_data(run.heaviest_load),
                "past_toe_line_m": {_key(wheel): interval_data(place) for wheel, place in run.standing},
                "lifting_wheel_share": {_key(wheel): share for wheel, share in run.lifts},
                "stop_share": {_key(stop): share for stop, share in run.stops},
                "possible_vehicles": run.vehicles,
                "without_score": {_BY_MEANING[how]: count for how, count in run.unscored},
                "wheels_spin_share": run.spins,
                "score_without_spin": finite(run.nominal.score_without_spin),
            }
            for run in plan.runs
        ],
        "ramp": {
            "length_m": finite(plan.ramp.length),
            "height_m": finite(plan.ramp.height),
            "width_m": finite(plan.ramp.width),
            "wheel_load_N": finite(plan.ramp.load),
            "rating_N": finite(plan.ramp.rating),
            "push_N": finite(plan.ramp.push),
            "level_ground_m": finite(plan.ramp.level_ground),
            "rear_wheel_climbs_share": plan.ramp.rear_wheel_climbs,
            "bounded": plan.ramp.bounded,
        },
        "clearances": [
            {"point": low.name, "gap_m": finite(low.gap), "climb_m": finite(low.climb), "bars": low.bars}
            for low in plan.clearances
        ],
        "bar_load_N": {bar.axle: {"at_rest": bar.at_rest, "at_mark": bar.at_mark} for bar in plan.bars},
        "release_on_ramp": None
        if after is None
        else {
            "stands": after.stands,
            "roll_change_rad": finite(after.roll),
            "largest_hub_move_m": finite(after.height),
            "lightest_wheel": _key(after.lightest_wheel) or None,
            "lightest_load_N": finite(after.lightest_load),
        },
        "influences": [
            {"keys": list(one.keys), "share_of_score_variance": one.share, "assumed": one.assumed}
            for one in plan.influences
        ],
        "drive": outlook_data(plan.outlook),
        "model_error": model_error_data(plan.model),
        "model_error_share_of_score_variance": plan.model_share,
        "left_out": plan.left_out,
        "samples": plan.samples,
        "seed": plan.seed,
    }
