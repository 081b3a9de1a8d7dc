"""`explain`, `worth`, `timeline`: why a score is what it is."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.answer import Output, show
from articulate.cli.app import app
from articulate.cli.figure_options import FigureOptions
from articulate.cli.groups import grouped
from articulate.cli.options import Settings, VehicleFile
from articulate.cli.places import GatheringCommand
from articulate.cli.ramp_options import ExactRamp, RampOfPossible, check_bars
from articulate.cli.reading import build_or_stop, lengths_for, read_spec, stop
from articulate.output import figures

if TYPE_CHECKING:
    from articulate.spec import VehicleSpec
    from articulate.studies.explain.vehicle_parts import StudiedVehicle


def _subject(spec: VehicleSpec) -> StudiedVehicle:
    from articulate.spec import UnphysicalError
    from articulate.studies.explain.vehicle_parts import StudiedVehicle

    try:
        return StudiedVehicle.of(spec)
    except UnphysicalError as error:
        stop(error.said)


@app.command(cls=GatheringCommand)
@grouped
def explain(
    *,
    vehicle: VehicleFile,
    other: Annotated[Path | None, typer.Argument(metavar="[OTHER]", help="The vehicle it is held against.")] = None,
    settings: Settings = None,
    by_axle: Annotated[bool, typer.Option("--by-axle", help="Front and rear as groups of their own.")] = False,
    together: Annotated[
        list[str] | None, typer.Option(metavar="GROUPS", help="Groups to change as one: 'bump travel, ride height'.")
    ] = None,
    typed: RampOfPossible,
    how: Output,
    figure: FigureOptions,
    bars: Annotated[str, typer.Option(help="Of the figure: connected or released.")] = "connected",
) -> None:
    """Split the score difference of two vehicles over what differs, in points that add up.

    With --set and one vehicle: what the changes do. With two, the changes go to the second.

    Example: articulate explain vehicle_specs_demo/wagon.toml vehicle_specs_demo/wagon_larger_tyres.toml
    """
    from dataclasses import replace as with_name

    faults: list[str] = []
    figure.check(faults)
    check_bars(bars, faults)
    if other is None and not settings:
        faults.append("explain needs something to hold the vehicle against: a second file, or --set KEY=VALUE")
    first_spec = read_spec(vehicle, None, faults)
    (ramp, second_spec), side = typed.read_with(other or vehicle, settings, faults), typed.side
    assert first_spec is not None
    test, specs = ramp.test(), [first_spec, second_spec]
    first, second = map(_subject, specs)
    from articulate.output.layout import wrapped
    from articulate.output.text.arch import arch_first
    from articulate.output.text.conditions import before_caution, stated
    from articulate.output.text.difference import difference_data, difference_rows, difference_table
    from articulate.studies.explain.difference import MixtureError, explain_difference
    from articulate.studies.explain.groups import GroupError

    if first.name == second.name:
        first, second = with_name(first, name=str(vehicle)), with_name(second, name=str(other))
    joined = [[name.strip() for name in names.split(",")] for names in together or []]
    try:
        found = explain_difference(
            first, second, test, side, by_axle, joined, holding_known=typed.holding_share is not None
        )
    except GroupError as error:
        stop(f"--together: {error}" if joined else f"{error}; join groups with --together")
    except MixtureError as error:
        stop(str(error), 1)
    lengths = lengths_for(how.units, specs)
    held = stated(ramp.conditions(), side, specs, lengths=lengths)
    try:
        drawn = figure.drawn(held, lambda *size: figures.bridge_figure(found, bars, *size))
    except ValueError as error:
        stop(f"--bars {bars}: {error}")
    arches = {spec.name: told for spec in specs if (told := arch_first(spec, lengths))}
    notes = [wrapped(f"! {name}, {text}") for name, told in arches.items() for text in told]
    table = before_caution(difference_table(found, how.full, lengths), notes)
    data = {**difference_data(found, lengths), "arch_first": arches}
    show(table, data, difference_rows(found, lengths), how, held, drawn)


@app.command(cls=GatheringCommand)
@grouped
def worth(
    *,
    vehicle: VehicleFile,
    settings: Settings = None,
    typed: ExactRamp,
    how: Output,
) -> None:
    """Say what one more inch of each travel, ten percent of each rate and the like are worth.

    Example: articulate worth vehicle_specs_demo/wagon.toml
    """
    from articulate.output.text.conditions import stated
    from articulate.output.text.worth import step_in, worth_data, worth_rows, worth_table
    from articulate.studies.explain.worth import what_steps_are_worth
    from articulate.types import each_state

    (ramp, spec), side = typed.read_with(vehicle, settings, []), typed.side
    lengths = lengths_for(how.units, [spec])
    found = what_steps_are_worth(_subject(spec), ramp.test(), side, step_in(lengths))
    held = stated(ramp.conditions(), side, [spec], lengths=lengths)
    show(worth_table(found, how.full), worth_data(found), worth_rows(found), how, held)
    if any(table.score != table.score for table in each_state(found)):  # no score: nothing to compare a step with
        raise typer.Exit(1)


@app.command(cls=GatheringCommand)
@grouped
def timeline(
    *,
    vehicle: VehicleFile,
    settings: Settings = None,
    typed: ExactRamp,
    how: Output,
) -> None:
    """Tell the climb: which limits are met in which order, and which one decides.

    Example: articulate timeline vehicle_specs_demo/wagon.toml
    """
    from articulate.climb import Outcome
    from articulate.output.text.conditions import stated
    from articulate.output.text.timeline import timeline_data, timeline_rows, timeline_table
    from articulate.studies.explain.timeline import timeline as tell
    from articulate.types import each_state

    (ramp, spec), side = typed.read_with(vehicle, settings, []), typed.side
    arrays, body = build_or_stop(vehicle, spec)
    story = tell(arrays, ramp.test(), side, body)
    lengths = lengths_for(how.units, [spec])
    held = stated(ramp.conditions(), side, [spec], lengths=lengths)
    table = timeline_table(story, spec.name, how.full, lengths)
    show(table, timeline_data(story, spec.name), timeline_rows(story), how, held)
    fine = (Outcome.WHEEL_LIFTS, Outcome.RAMP_ENDS, Outcome.WHEELS_SPIN)
    if any(run.outcome not in fine for run in each_state(story)):
        raise typer.Exit(1)
