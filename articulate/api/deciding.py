"""Why a score is what it is, what would change it, and how vehicles stand to each other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from articulate.api.answers import Forms, checked_bars, held_by, told, told_by_bars
from articulate.api.edge import checked
from articulate.api.predicting import shown
from articulate.api.ramp import USUAL, Ramp
from articulate.api.result import Result
from articulate.api.vehicle import Vehicle, spec_of
from articulate.errors import ArgumentError
from articulate.output import figures

if TYPE_CHECKING:
    from articulate.studies.compare.carry import CarriedScore
    from articulate.studies.compare.comparison import Comparison
    from articulate.studies.design.bodywork import ClearanceReport
    from articulate.studies.design.target import TargetAnswer
    from articulate.studies.design.tyre_ladder import Ladder
    from articulate.studies.explain.difference import Difference


@checked
def explain(
    first: Vehicle | str | Path, second: Vehicle | str | Path, ramp: Ramp = USUAL, by_axle: bool = False
) -> Result[Difference]:
    """Split the score difference of two vehicles over what differs, in points that add up.

    Args:
        first: a Vehicle, or the path of its file.
        second: likewise; `first.what_if(...)` to see what a change does.
        ramp: the test.
        by_axle: front and rear as groups of their own.

    Raises:
        SpecError, UnphysicalError: as `predict`. GroupError, MixtureError: a split that cannot be made.
    """
    from dataclasses import replace

    from articulate.output.text.difference import difference_data, difference_rows, difference_table
    from articulate.studies.explain.difference import explain_difference
    from articulate.studies.explain.vehicle_parts import StudiedVehicle

    specs = spec_of(first), spec_of(second)
    subjects = [StudiedVehicle.of(spec) for spec in specs]
    if subjects[0].name == subjects[1].name:
        subjects = [replace(one, name=spec.path) for one, spec in zip(subjects, specs, strict=True)]
    found = explain_difference(subjects[0], subjects[1], ramp.test(), ramp.side, by_axle)
    held = held_by(ramp, *specs)
    line = f"{subjects[0].name} against {subjects[1].name}: what the difference is made of"
    forms = Forms(
        difference_table, partial(difference_data, lengths=held.lengths), partial(difference_rows, lengths=held.lengths)
    )
    return told_by_bars(found, line, held, forms, lambda *on: figures.bridge_figure(found, *on))


@checked
def target(
    vehicle: Vehicle | str | Path,
    score: float,
    changes: Mapping[str, str],
    bars: str = "connected",
    ramp: Ramp = USUAL,
    cost: Mapping[str, float] | None = None,
) -> Result[TargetAnswer]:
    """Find the change of one input, or the cheapest of several, that reaches a score, or say that none does.

    Args:
        vehicle: a Vehicle, or the path of its file.
        score: to reach.
        changes: limits by key, such as {"rear.travel.bump": "70 mm to 120 mm"}.
        bars: "connected" or "released".
        ramp: the test.
        cost: of each key per SI unit of change, needed with several.

    Raises:
        ArgumentError: a score or state of the bars that cannot be. SpecError: a key or range that cannot be used.
        LeverError: an input that cannot be a lever. UnphysicalError: no vehicle can be so.
    """
    from articulate.output.text.target import headline, target_data, target_rows, target_table
    from articulate.studies.design.levers import Wish
    from articulate.studies.design.target import reach_target

    if not 0.0 < score < 3000.0:
        raise ArgumentError(f"score {score!r}: not a score; 600 is usual")
    spec = spec_of(vehicle)
    wishes = [Wish(key, limits, (cost or {}).get(key)) for key, limits in changes.items()]
    found = reach_target(spec, wishes, score, ramp.test(), ramp.side, checked_bars(bars), ramp.conditions())
    held = held_by(ramp, spec, also=[f"bars {bars}"])
    line = f"{spec.name}: {headline(found)}"
    forms = Forms(lambda one, **_: target_table(one), target_data, target_rows)
    return told(found, line, held, forms, lambda *on: figures.target_figure(found, *on))


@checked
def compare(
    vehicles: Sequence[Vehicle | str | Path],
    measured: Mapping[str, str] | None = None,
    bars: str = "connected",
    ramp: Ramp = USUAL,
    tyre: str | None = None,
    samples: int = 512,
) -> Result[Comparison]:
    """Rank vehicles, predicted or measured, with bands and the chance that one really beats another.

    Args:
        vehicles: Vehicles, or the paths of their files.
        measured: scores from the day by name, such as {"Old wagon": "587 ± 4"}.
        bars: "connected" or "released".
        ramp: the test, the same for all.
        tyre: a size that all are put on.
        samples: possible vehicles a file.

    Raises:
        ArgumentError: nothing to compare, or a score that cannot be read. ComparisonError, SpecError, UnphysicalError.
    """
    from articulate.output.text.comparison import comparison_data, comparison_rows, comparison_table
    from articulate.studies.compare.comparison import Measured
    from articulate.studies.compare.comparison import compare as put_side_by_side
    from articulate.studies.typed import as_given, read_score

    if isinstance(vehicles, str | Path | Vehicle):
        raise ArgumentError("vehicles: one vehicle; give a list of them")
    faults: list[str] = []
    read = {name: read_score(name, text, faults) for name, text in (measured or {}).items()}
    if not vehicles and not read:
        faults.append("compare needs vehicles or measured scores")
    if faults:
        raise ArgumentError("; ".join(faults))
    specs = [spec_of(one) for one in vehicles]
    scores = [Measured(name, as_given(name, one)) for name, one in read.items() if one is not None]
    state = checked_bars(bars)
    found = put_side_by_side(specs, scores, ramp.conditions(), ramp.side, state, tyre, None, samples)
    held = held_by(ramp, *specs, also=[f"bars {bars}", *found.terms])
    said = ", ".join(f"{one.name} {shown(one.score.value)}" for one in found.entries)
    line = f"bars {bars}: {said}"
    forms = Forms(comparison_table, comparison_data, comparison_rows)
    return told(found, line, held, forms, lambda *on: figures.ranking_figure(found, *on))


@checked
def clearance(vehicle: Vehicle | str | Path, ramp: Ramp = USUAL, points: int = 256) -> Result[ClearanceReport]:
    """Say where tyre and bodywork touch: wheelhouse, approach and departure angles, the lowest points on the ramp.

    Raises:
        SpecError, UnphysicalError: as `predict`.
    """
    from articulate.output.text.clearance import clearance_data, clearance_rows, clearance_table
    from articulate.studies.design.bodywork import clearance_report

    spec = spec_of(vehicle)
    found = clearance_report(spec, ramp.conditions(), ramp.side, points=points)
    line = f"{spec.name}: clearance of tyres and bodywork"
    forms = Forms(clearance_table, clearance_data, clearance_rows)
    return told(found, line, held_by(ramp, spec), forms, lambda *on: figures.clearance_figure(found, *on))


@checked
def ladder(
    vehicle: Vehicle | str | Path, sizes: Sequence[str] | None = None, ramp: Ramp = USUAL, points: int = 256
) -> Result[Ladder]:
    """Climb on a list of tyre sizes, with and without stops that keep each clear of the arch.

    Args:
        vehicle: a Vehicle, or the path of its file.
        sizes: codes such as ["255/70R17", "285/70R17"]; the usual ones around the vehicle's own if None.
        ramp: the test.
        points: possible vehicles of each size.

    Raises:
        SpecError, UnphysicalError: as `predict`.
    """
    from articulate.output.text.tyre import ladder_data, ladder_rows, ladder_table
    from articulate.studies.design.tyre_ladder import tyre_ladder

    spec = spec_of(vehicle)
    found = tyre_ladder(spec, sizes, ramp.conditions(), points)
    line = f"{spec.name}: scores on {len(found.rungs)} tyres and policies"
    forms = Forms(ladder_table, ladder_data, ladder_rows)
    return told(found, line, held_by(ramp, spec), forms, lambda *on: figures.ladder_figure(found, *on))


@checked
def carry(
    vehicle: Vehicle | str | Path,
    to: str,
    measured: str | None = None,
    measured_released: str | None = None,
    ramp: Ramp = USUAL,
) -> Result[CarriedScore]:
    """Carry a score from one ramp to another by climbing both.

    Args:
        vehicle: a Vehicle, or the path of its file.
        to: angle of the other ramp, such as "23 deg".
        measured: score on the first ramp, bars connected, such as "587 ± 4"; the predicted one if None.
        measured_released: likewise with the bars released.
        ramp: the first ramp.

    Raises:
        ArgumentError: an angle or score that cannot be read. CarryError: nothing to carry. SpecError, UnphysicalError.
    """
    from articulate.output.text.carry import carry_data, carry_rows, carry_table
    from articulate.studies.compare.carry import carry as carry_score
    from articulate.studies.typed import read_ramp_angle, read_scores

    faults: list[str] = []
    angle = read_ramp_angle("to", to, "write to='23 deg'", faults)
    typed = {"connected": ("measured", measured), "released": ("measured_released", measured_released)}
    scores = read_scores(typed, faults)
    if faults or angle is None:
        raise ArgumentError("; ".join(faults))
    spec = spec_of(vehicle)
    found = carry_score(spec, angle.value, ramp.conditions(), ramp.side, scores)
    held = held_by(ramp, spec, also=[f"carried to a ramp of {to}"])
    line = f"{spec.name}: from {ramp.angle} to {to}"
    forms = Forms(carry_table, carry_data, carry_rows)
    return told(found, line, held, forms, lambda *on: figures.carry_figure(found, *on))
