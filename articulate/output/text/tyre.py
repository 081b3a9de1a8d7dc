"""Tyres and the tyre ladder as text for an 80-column terminal, as JSON data and as CSV rows."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from articulate.climb import Outcome
from articulate.constants import INCH, STANDARD_GRAVITY
from articulate.output.layout import SCHEMA_VERSION, ended, finite, row, wrapped
from articulate.output.plain_data import file_data
from articulate.output.text.model_error import model_error_data, sentence
from articulate.output.text.wording import SPIN_REMARK, outcome_key
from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.output.wheels_and_ranges import interval_data
from articulate.safety import CAUTION, THREE_WHEELS, TYRE_CAUTION
from articulate.spec.tyres import TyreSize
from articulate.studies.design.tyre_facts import TyreFacts
from articulate.studies.design.tyre_ladder import WITH, Best, Ladder, Rung
from articulate.studies.population.intervals import Interval
from articulate.types import AXLES

if TYPE_CHECKING:
    from articulate.output.command_data import LadderData, RungData, TyreData

NEAR_RIM = 0.6  # share of the section height; pressed further the tyre nears its rim and no stiffness holds
PSI = 6894.757293168361  # [Pa]
LIMITS = {"bump stop": "s", "arch": "a", "arch straight ahead": "a", "arch at full lock": "l"}


def ranged(found: Interval, size: float = 1.0, form: str = ".0f") -> str:
    """A value with its 90 % range, such as `591 (568 to 614)`; a dash where it is not known."""
    if math.isnan(found.value):
        return "-"
    value = f"{found.value / size:{form}}"
    if math.isnan(found.low) or f"{found.low / size:{form}}" == f"{found.high / size:{form}}" == value:
        return value
    return f"{value} ({found.low / size:{form}} to {found.high / size:{form}})"


# One tyre


def tyre_table(facts: TyreFacts, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """What a size code means, for people."""
    size, unit = facts.size, lengths.first

    def about(found: Interval) -> str:
        return f"{lengths.ranged(found)} {unit}"

    nominal = {"mm": f"{size.diameter * 1e3:.1f} mm", "in": f"{size.diameter / INCH:.2f} in"}
    words = {"passenger": "passenger tyre", "light truck": "light-truck tyre", "commercial": "commercial tyre", "": ""}
    parts = [f"{size.form.replace(' ', '-')} size", words[size.kind]]
    parts.append("" if size.radial else "cross-ply or belted")
    parts.append(f"load range {size.load_range}" if size.load_range else "")
    parts.append(f"service {size.service}" if size.service else "")
    known = "as measured" if facts.measured else "expected, from the code"
    lines = [
        size.code,
        ", ".join(part for part in parts if part),
        "",
        _line("nominal diameter", ", ".join(nominal[one] for one in lengths.shown)),
        _line(f"diameter, {known}", about(facts.diameter)),
        _line("section width", about(facts.width)),
        _line("section height, nominal", f"{lengths.one(size.section_height)}, {size.aspect * 100:.0f} % of the width"),
        _line("rim diameter", f"{size.rim_diameter / INCH:g} in"),
        _line("mass, by rule of thumb", f"{ranged(facts.mass)} kg"),
    ]
    if math.isfinite(facts.rated_pressure):
        full = f"{facts.rated_pressure / 1e3:.0f} kPa, {facts.rated_pressure / PSI:.0f} psi (not checked)"
        lines.append(_line("rated load held at", full))
    load = f"{facts.load:.0f} N ({facts.load / STANDARD_GRAVITY:.0f} kg)"
    lines += [
        "",
        f"under {load}, by pressure",
        f"  {'kPa':>4}{'psi':>5}  {'stiffness, N/mm':<17}{f'deflection, {unit}':<20}{f'loaded radius, {unit}':<24}"
        "change",
    ]
    for at in facts.pressures:
        if not at.deflection.value < NEAR_RIM * size.section_height:
            lines.append(f"  {at.pressure / 1e3:4.0f}{at.pressure / PSI:5.0f}  pressed flat or nearly onto its rim")
            continue
        change = lengths.number(at.change.value, signed=True) if abs(at.change.value) > 5e-5 else "0"
        lines.append(
            f"  {at.pressure / 1e3:4.0f}{at.pressure / PSI:5.0f}  {ranged(at.stiffness, 1e3):<17}"
            f"{lengths.ranged(at.deflection):<20}{lengths.ranged(at.loaded_radius):<24}{change}".rstrip()
        )
    paragraph = (
        "Value (90 % range). Nominal and real diameter are apart: a metric tyre is within 1 % of its nominal one, "
        "a flotation tyre 1 to 2 % under its first number (not checked against a source). Stiffness: Rhyne, Tire "
        "Sci. Technol. 33(3) 2005, equation not checked, taken as good to 25 % and as the same at every load."
        f"{_beyond_the_code(size)}"
    )
    return ended(lines, paragraph, wrapped(TYRE_CAUTION, ""))


def _beyond_the_code(size: TyreSize) -> str:
    """What is said of a size whose code leaves more open than those of most radial tyres."""
    said = ""
    if size.form == "full section":
        said += (
            " A full-section code does not say the diameter: a section height of 1.06 and a width of 1.08 times its "
            "number are taken, good to about 3 and 7 % (not checked); a tape says it better."
        )
    if not size.radial:
        said += (
            " That equation is for radial tyres; a cross-ply tyre is taken as 1.15 (0.75 to 1.6) times as stiff (not "
            "checked against a source)."
        )
    return said


def _line(label: str, value: str) -> str:
    return row(label, [value], 36)


def tyre_data(facts: TyreFacts) -> TyreData:
    """What a size code means, as plain data with SI keys."""
    size = facts.size
    return {
        "schema_version": SCHEMA_VERSION,
        "size": size.code,
        "form": size.form,
        "radial": size.radial,
        "kind": size.kind or None,
        "load_range": size.load_range or None,
        "service": size.service or None,
        "nominal_diameter_m": size.diameter,
        "nominal_width_m": size.width,
        "section_height_m": size.section_height,
        "rim_diameter_m": size.rim_diameter,
        "diameter_m": {**interval_data(facts.diameter), "measured": facts.measured},
        "width_m": interval_data(facts.width),
        "mass_kg": interval_data(facts.mass),
        "rated_pressure_Pa": finite(facts.rated_pressure),
        "load_N": facts.load,
        "pressures": [
            {
                "pressure_Pa": row.pressure,
                "stiffness_N_per_m": interval_data(row.stiffness),
                "deflection_m": interval_data(row.deflection),
                "loaded_radius_m": interval_data(row.loaded_radius),
                "change_m": interval_data(row.change),
            }
            for row in facts.pressures
        ],
    }


# The ladder


def shown_rungs(ladder: Ladder) -> list[Rung]:
    """The rungs worth a line: one with spacers only where it needs any."""
    return [rung for rung in ladder.rungs if rung.policy != WITH or max(rung.spacer) > 0.0]


def ladder_table(ladder: Ladder, full: bool = True, lengths: Lengths = MILLIMETRES_FIRST) -> str:
    """The ladder for people: which size is best for the score, then every size; in full with and without spacers."""
    degrees = math.degrees(ladder.ramp_angle)
    lines = [wrapped(f"{ladder.spec.name}, tyre ladder, {degrees:g} degree ramp"), ""]
    lines += [wrapped(_best_line(best, ladder, lengths, full)) for best in ladder.best]
    rungs = shown_rungs(ladder)
    lines += ["", *_score_lines(ladder, rungs if full else one_a_size(rungs))]
    if not full:
        words = "*: fitted; !: it rubs. --full: stops as now and spaced, gaps, angles, ranges"
        cautions = f"{wrapped(TYRE_CAUTION)}\n{THREE_WHEELS}"
        return "\n".join([*lines, words, *_unknown(ladder, rungs), "", cautions])
    lines += [
        "",
        f"fit and angles (front, rear; {lengths.first} and degrees)",
        f"{'size':<14}{'stops':<8}{'bump gap':<14}{'rub,':<11}{'rub,':<11}{'appr.':<6}{'break-':<7}{'dep.':<6}un-",
        f"{'':<22}{'and limit':<14}{'ramp':<11}{'trail':<11}{'':<6}{'over':<13}der",
    ]
    for rung in rungs:
        gaps = ", ".join(
            f"{_length(gap.value, lengths)}{LIMITS[limit]}"
            for gap, limit in zip(rung.usable_bump_gap, rung.limit, strict=True)
        )
        trail = _pair(rung.rub_on_trail, lengths) if rung.fits else "no fit"
        lines.append(
            (
                f"{_name(rung):<14}{_stops(rung):<8}{gaps:<14}{_pair(rung.rub_on_ramp, lengths):<11}{trail:<11}"
                f"{_degrees(rung.approach):<6}{_degrees(rung.breakover):<7}{_degrees(rung.departure):<6}"
                f"{_length(rung.running_clearance.value, lengths)}"
            ).rstrip()
        )
    lines += ["", *_notes(ladder, rungs), "", wrapped(TYRE_CAUTION, ""), "", wrapped(CAUTION, "")]
    return "\n".join(lines)


def one_a_size(rungs: Sequence[Rung]) -> list[Rung]:
    """Of each size the stops that people would drive: as they are, or spaced where the tyre rubs without."""
    found: dict[str, Rung] = {}
    for rung in rungs:
        have = found.get(rung.size.code)
        if have is None or ((have.rubs or not have.fits) and not have.fitted and not (rung.rubs and not have.rubs)):
            found[rung.size.code] = rung
    return list(found.values())


def _score_lines(ladder: Ladder, rungs: Sequence[Rung]) -> list[str]:
    heads = ["size", "stops", *(f"bars {state}" for state in ladder.bars)]
    rows = [[*heads, *["change, con.", "change, rel."][: len(ladder.bars)]]]
    for rung in rungs:
        scores = [rung.scores[state] for state in ladder.bars]
        cells = [_score(score.score, score.outcome) for score in scores]
        apart = ["0" if _itself(rung) else _signed(score.against_fitted) for score in scores]
        rows.append([_name(rung), _stops(rung), *cells, *apart])
    widths = [max(map(len, column)) + 1 for column in zip(*rows, strict=True)]
    lines = ["".join(f"{cell:<{wide}}" for cell, wide in zip(one, widths, strict=True)).rstrip() for one in rows]
    return ["score, and its change against the tyre fitted (90 % range)", *lines]


def _notes(ladder: Ladder, rungs: Sequence[Rung]) -> list[str]:
    spins = any(score.outcome == Outcome.WHEELS_SPIN for rung in rungs for score in rung.scores.values())
    notes = [
        *([f"A size here {SPIN_REMARK}."] if spins else []),
        "*: fitted. !: the tyre rubs, and its score is that of a tyre that rubs. Bump gap at the stop, limited by s "
        "the stop, a the arch straight ahead, l the arch at full lock. Rub: hub travel past the first touch, on the "
        "ramp with straight wheels, on the trail at full bump and full lock. no fit: at full lock the tyre touches at "
        "ride height already. Underside: running clearance under the lowest named point.",
    ]
    notes.append(
        f"{ladder.points} possible vehicles a size, the same for every size. Mass of the new tyres by a rule of thumb."
    )
    note = sentence(ladder.model, "the ranges of scores")
    notes.append(f"{note} A change has its share of it, not the score's." if ladder.model.total else note)
    return [*map(wrapped, notes[:-2]), *_unknown(ladder, rungs), *map(wrapped, notes[-2:])]


def _unknown(ladder: Ladder, rungs: Sequence[Rung]) -> list[str]:
    """What the file leaves unsaid, and climbs without a score."""
    told = []
    silent = [axle for axle, described in zip(AXLES, ladder.described, strict=True) if not described]
    if silent:
        told.append(f"! the file says nothing of the {' and '.join(silent)} arches: whether a tyre rubs is not known")
    if all(math.isnan(rung.running_clearance.value) for rung in rungs):
        told.append("! the file names no body points: angles and running clearance are not known")
    if ladder.lost:
        told.append(f"! {ladder.lost} climbs of possible vehicles ended without a score and count in no range")
    return [wrapped(text) for text in told]


def _best_line(best: Best, ladder: Ladder, lengths: Lengths, full: bool) -> str:
    rung, home = best.rung, next(rung for rung in ladder.rungs if rung.fitted)
    score = rung.scores[best.bars]
    text = f"best for the score, bars {best.bars}: {rung.size.code}, {rung.policy}: {ranged(score.score)}"
    if rung.fitted:
        text += ", the tyre fitted"
    else:
        text += f", {_signed(score.against_fitted)} points against the tyre fitted"
        approach = math.degrees(rung.approach.value - home.approach.value)
        under = rung.running_clearance.value - home.running_clearance.value
        if full and math.isfinite(approach):
            text += f"; approach angle {approach:+.1f} deg"
        if full and math.isfinite(under):
            text += f"; running clearance {lengths.one(under, signed=True)}"
    if rung.rubs:
        text += "; it rubs, as every size does"
    if best.level_with:
        text += f". Not told apart from it: {', '.join(best.level_with)}"
    return text


def _itself(rung: Rung) -> bool:
    return rung.fitted and rung.policy != WITH


def _name(rung: Rung) -> str:
    return f"{rung.size.name}{'*' if rung.fitted else ''}"


def _stops(rung: Rung) -> str:
    word = "spaced" if rung.policy == WITH else "as now"
    return f"{word} !" if rung.rubs or not rung.fits else word


def _score(found: Interval, outcome: Outcome) -> str:
    if math.isfinite(found.value):
        return f"{found.value:.0f} ({found.low:.0f}-{found.high:.0f})"
    names = {
        Outcome.RAMP_ENDS: "ramp ends",
        Outcome.TIPS: "would TIP",
        Outcome.UNSTABLE_AT_REST: "FALLS at rest",
        Outcome.FALLS_AT_REST: "FALLS at rest",
        Outcome.LIFTS_BEFORE_RAMP: "before ramp",
    }
    return names.get(outcome, "no answer")


def _signed(found: Interval) -> str:
    """A change with its range, such as `-24 -32/-13`."""
    if not math.isfinite(found.value):
        return "-"
    value, low, high = (f"{number:+.0f}".replace("-0", "0").replace("+0", "0") for number in _three(found))
    return f"{value} {low}/{high}"


def _three(found: Interval) -> tuple[float, float, float]:
    return found.value, found.low, found.high


def _length(value: float, lengths: Lengths) -> str:
    return lengths.number(value, digits=1)


def _pair(pair: tuple[float, float], lengths: Lengths) -> str:
    return ", ".join("?" if math.isnan(value) else _length(value, lengths) for value in pair)


def _degrees(found: Interval) -> str:
    return f"{math.degrees(found.value):.1f}" if math.isfinite(found.value) else "-"


def ladder_data(ladder: Ladder) -> LadderData:
    """The ladder as plain data with SI keys."""
    return {
        **file_data(ladder.spec),
        "ramp_angle_rad": ladder.ramp_angle,
        "vehicles_in_sample": ladder.points,
        "model_error": model_error_data(ladder.model),
        "climbs_lost": ladder.lost,
        "best": [
            {
                "bars": best.bars,
                "size": best.rung.size.code,
                "policy": best.rung.policy,
                "not_told_apart_from": list(best.level_with),
            }
            for best in ladder.best
        ],
        "sizes": [_rung_data(rung) for rung in ladder.rungs],
    }


def _rung_data(rung: Rung) -> RungData:
    def pair(values: tuple[float, float]) -> dict[str, float | None]:
        return dict(zip(AXLES, map(finite, values), strict=True))

    return {
        "size": rung.size.code,
        "nominal_diameter_m": rung.size.diameter,
        "fitted": rung.fitted,
        "policy": rung.policy,
        "fits": rung.fits,
        "usable_bump_gap_m": dict(zip(AXLES, map(interval_data, rung.usable_bump_gap), strict=True)),
        "limit": dict(zip(AXLES, rung.limit, strict=True)),
        "spacer_m": pair(rung.spacer),
        "rub_on_ramp_m": pair(rung.rub_on_ramp),
        "rub_on_trail_m": pair(rung.rub_on_trail),
        "scores": {
            state: {
                "score": interval_data(score.score),
                "against_fitted": interval_data(score.against_fitted),
                "outcome": outcome_key(score.outcome),
                "scored": score.scored,
                "lost": score.lost,
            }
            for state, score in rung.scores.items()
        },
        "approach_angle_rad": interval_data(rung.approach),
        "breakover_angle_rad": interval_data(rung.breakover),
        "departure_angle_rad": interval_data(rung.departure),
        "running_clearance_m": interval_data(rung.running_clearance),
        "body_rise_m": interval_data(rung.body_rise),
        "sprung_centre_height_m": interval_data(rung.centre_height),
    }


def ladder_rows(ladder: Ladder) -> list[Mapping[str, str | float]]:
    """The ladder as rows of a CSV file, SI columns; an empty cell where there is no number."""
    rows: list[Mapping[str, str | float]] = []
    for rung in ladder.rungs:
        row: dict[str, str | float] = {
            "size": rung.size.code,
            "nominal_diameter_m": rung.size.diameter,
            "fitted": str(rung.fitted).lower(),
            "policy": rung.policy,
            "fits": str(rung.fits).lower(),
        }
        for k, axle in enumerate(AXLES):
            row |= _cells(f"usable_bump_gap_{axle}_m", rung.usable_bump_gap[k])
            row[f"limit_{axle}"] = rung.limit[k]
            row[f"spacer_{axle}_m"] = rung.spacer[k]
            row[f"rub_on_ramp_{axle}_m"] = _cell(rung.rub_on_ramp[k])
            row[f"rub_on_trail_{axle}_m"] = _cell(rung.rub_on_trail[k])
        for state, score in rung.scores.items():
            row |= _cells(f"score_{state}", score.score)
            row |= _cells(f"change_{state}", score.against_fitted)
            row[f"outcome_{state}"] = score.outcome.name.lower()
        for name, found in (
            ("approach_angle_rad", rung.approach),
            ("breakover_angle_rad", rung.breakover),
            ("departure_angle_rad", rung.departure),
            ("running_clearance_m", rung.running_clearance),
            ("body_rise_m", rung.body_rise),
            ("sprung_centre_height_m", rung.centre_height),
        ):
            row |= _cells(name, found)
        rows.append(row)
    return rows


def _cell(value: float) -> str | float:
    return float(value) if math.isfinite(value) else ""


def _cells(name: str, found: Interval) -> dict[str, str | float]:
    return {name: _cell(found.value), f"{name}_low": _cell(found.low), f"{name}_high": _cell(found.high)}
