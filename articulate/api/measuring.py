"""After the test: readings to scores, what they say of the vehicle, whether they agree with it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from articulate.api.answers import Forms, held_by, pictured, told
from articulate.api.edge import checked
from articulate.api.ramp import USUAL, Ramp
from articulate.api.result import Result
from articulate.api.vehicle import Vehicle, spec_of
from articulate.errors import ArgumentError
from articulate.output import figures

if TYPE_CHECKING:
    from articulate.measure.run_sheet import RunSheet
    from articulate.measure.scoring import SheetScores
    from articulate.output.figures.theme import Picture
    from articulate.studies.audit import Audit
    from articulate.studies.learn.learning import Learned


def sheet_of(sheet: RunSheet | str | Path, with_vehicle: bool = False) -> RunSheet:
    """The run sheet of what a person gave: one that was read, or the path of a file."""
    from articulate.measure.sheet_load import load_sheet

    return load_sheet(sheet, with_vehicle=with_vehicle) if isinstance(sheet, str | Path) else sheet


@checked
def score(sheet: RunSheet | str | Path, vehicle: Vehicle | str | Path | None = None) -> Result[SheetScores]:
    """Turn readings into scores with their uncertainty.

    Args:
        sheet: a run sheet, or the path of its file.
        vehicle: adds how the score changes with the touch load, and a wheel radius where the sheet has none; the one
            the sheet names if None.

    Raises:
        SpecError: a file that cannot be used. MissingRadiusError: readings that need a wheel radius.
    """
    from articulate.measure.scoring import score_sheet
    from articulate.output.text.measurement import score_data, score_notes, score_rows, score_table
    from articulate.output.units import lengths_of_sheet
    from articulate.studies.day.run_hints import hints_and_remarks

    read = sheet_of(sheet, with_vehicle=vehicle is not None)
    known = vehicle if vehicle is not None else read.vehicle_path
    beside = [] if known is None else [spec_of(known)]
    hints, remarks = hints_and_remarks(beside[0], read) if beside else ({}, [])
    found = score_sheet(read, hints, remarks=remarks)
    said = ", ".join(f"{one.score.value:.0f} ± {one.score.u:.1f} (1 sd) {one.side} {one.bars}" for one in found.cases)

    def table() -> str:
        return score_table(found, lengths=lengths_of_sheet(read), beside=beside)

    def picture(transparent: bool = False) -> Picture:
        from dataclasses import replace

        from articulate.output.figures.theme import PAGE

        lengths = lengths_of_sheet(read)
        under = score_notes(found, lengths, beside)
        return figures.score_figure(found, replace(PAGE, lengths=lengths), transparent).noted(under)

    line = f"{read.vehicle}: measured {said}"
    return Result(found, line, table, lambda: score_data(found, beside), lambda: score_rows(found), picture)


@checked
def learn(
    vehicle: Vehicle | str | Path,
    connected: str | None = None,
    released: str | None = None,
    ramp: Ramp = USUAL,
    points: int = 4096,
    seed: int = 20,
    seen: Sequence[str] = (),
) -> Result[Learned]:
    """Update the band of the next run from what the first one measured.

    Args:
        vehicle: a Vehicle, or the path of its file.
        connected: measured score with the bars connected, such as "601 ± 3".
        released: likewise with the bars released.
        ramp: the test.
        points: possible vehicles to begin with.
        seed: of the points.
        seen: what else was found, as `--seen` takes it, such as ["roll=12 deg ± 0.5 deg"].

    Raises:
        ArgumentError: nothing measured, no score, or one that cannot be read. SpecError, UnphysicalError: as `predict`.
    """
    from articulate.output.text.learning import learning_data, learning_rows, learning_table
    from articulate.studies.learn.learning import learn as learn_from
    from articulate.studies.learn.readings import Evidence, LiftSeen
    from articulate.studies.learn.typed_score import score_reading
    from articulate.studies.learn.typed_seen import read_seen
    from articulate.studies.population.runs import Population, cases_to_learn, simulate
    from articulate.studies.typed import read_score
    from articulate.types import Case

    spec = spec_of(vehicle)
    faults: list[str] = []
    people = Population.of(spec, ramp.conditions())
    looks = [read_seen(text, ramp.side, people.inputs, people.keys, faults, "seen") for text in seen]
    lifts = [one for one in looks if isinstance(one, LiftSeen)]
    readings: list[Evidence] = [one for one in looks if one is not None and not isinstance(one, LiftSeen)]
    sides = [case.side for one in (*readings, *lifts) if (case := getattr(one, "case", None)) is not None]
    if not sides or connected is not None or released is not None:
        sides.insert(0, ramp.side)
    cases = cases_to_learn(spec, sides)
    taken: tuple[Evidence | LiftSeen, ...] = (*readings, *lifts)
    looked = [(one.label, case) for one in taken if (case := getattr(one, "case", None)) is not None]
    faults += [f"{label}: no bar of this vehicle can be released" for label, case in looked if case not in cases]
    for bars, text in (("connected", connected), ("released", released)):
        case = Case(ramp.side, bars)
        if text is None:
            continue
        if case not in cases:
            faults.append(f"{bars} {text}: no bar of this vehicle can be released")
        elif (read := read_score(bars, text, faults)) is not None:
            readings.append(score_reading(case, read))
    if not readings and not lifts and not faults:
        faults.append("nothing was measured: give connected='587 ± 3'")
    if faults:
        raise ArgumentError("; ".join(faults))
    prior = simulate(people, cases, points, seed)
    found = learn_from(prior, readings, lifts, seed=seed)
    said = ", ".join(f"{one.after.low:.0f} to {one.after.high:.0f} {one.case.bars}" for one in found.cases if one.after)
    line = f"{spec.name}: next {said or 'run not told: the readings are not explained by the file'}"
    forms = Forms(learning_table, learning_data, learning_rows)
    return told(found, line, held_by(ramp, spec), forms, lambda *on: figures.learn_figure(found, *on))


@checked
def audit(
    vehicle: Vehicle | str | Path, sheet: RunSheet | str | Path, answers: Sequence[str] = (), seed: int = 20
) -> Result[Audit]:
    """Say whether a run sheet agrees with its vehicle file, and what would explain it.

    Args:
        vehicle: a Vehicle, or the path of its file.
        sheet: a run sheet, or the path of its file.
        answers: of checks that were made, as `--answer` takes them.
        seed: of the points.

    Raises:
        ArticulateError: files or answers that cannot be used, with what would work.
    """
    from articulate.output.text.audit import audit_data, audit_rows, audit_table, stated_of, verdict_sentence
    from articulate.output.units import lengths_of
    from articulate.studies.audit import audit as audit_sheet
    from articulate.studies.audit import conditions_of, observed_of, remarks_on, scene_from

    spec, read = spec_of(vehicle), sheet_of(sheet)
    scene = scene_from(spec, read)
    found = audit_sheet(
        scene, conditions_of(read), observed_of(read, scene), list(answers), seed, remarks_on(read, spec), sheet=read
    )

    def table() -> str:
        return audit_table(found, lengths_of([spec]))

    picture = pictured(stated_of(found), lambda *on: figures.causes_figure(found, *on))
    line = f"{spec.name}: {verdict_sentence(found)}"
    return Result(found, line, table, lambda: audit_data(found, lengths_of([spec])), lambda: audit_rows(found), picture)
