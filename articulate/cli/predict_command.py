"""`predict`: the score with the bars connected and released."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from articulate.cli.answer import Shown, figures_in_text
from articulate.cli.app import Answer, app, print_json, save
from articulate.cli.groups import grouped
from articulate.cli.options import Replace, Settings, Strict, VehicleFile
from articulate.cli.places import GatheringCommand
from articulate.cli.ramp_options import ExactRamp
from articulate.cli.reading import build_or_stop, lengths_for, stop_if_doubtful


@app.command(cls=GatheringCommand)
@grouped
def predict(
    *,
    vehicle: VehicleFile,
    typed: ExactRamp,
    settings: Settings = None,
    strict: Strict = False,
    shown: Shown,
    trace: Annotated[Path | None, typer.Option(help="Write the whole climb to this CSV file; - prints it.")] = None,
    replace: Replace = False,
) -> None:
    """Predict the score with the bars connected and released, and how far it may be off.

    --full tells loads, travel, what is met on the way, wheelspin, friction, and all that is assumed.

    Example: articulate predict vehicle_specs_demo/wagon.toml --ramp-angle "23 deg"
    """
    from articulate.climb import Outcome
    from articulate.output.text.conditions import condition_data, stated
    from articulate.output.text.prediction import prediction_data, prediction_table, trace_rows
    from articulate.output.text.prediction_answer import answer_data, prediction_answer
    from articulate.prediction import predict as predict_vehicle
    from articulate.studies.population.runs import Population
    from articulate.studies.predict.band import band as band_of
    from articulate.studies.predict.drive_outlook import drive_outlook
    from articulate.studies.predict.roll_range import roll_range
    from articulate.types import each_state

    (ramp, spec), side = typed.read_with(vehicle, settings, []), typed.side
    if strict:
        stop_if_doubtful(spec)
    test, conditions = ramp.test(), ramp.conditions()
    arrays, body = build_or_stop(vehicle, spec)
    result = predict_vehicle(arrays, test, side, body)
    if trace is not None:
        from articulate.output.layout import csv_text

        save([Answer("--trace", trace, csv_text(trace_rows(result)))], replace)
    if shown.as_json or str(trace) != "-":
        lengths = lengths_for(shown.units, [spec])
        held = stated(conditions, side, [spec], lengths=lengths)
        band, turn = band_of(Population.of(spec, conditions), side), roll_range(spec)
        if shown.as_json:
            data = prediction_data(result, spec, drive_outlook(arrays, spec, test, side), turn)
            print_json({**data, **answer_data(spec, band), **condition_data(held)})
        else:
            typer.echo(prediction_answer(result, spec, band, held, turn, lengths))
            figures_in_text([result.connected], [], side)
            if shown.full:
                table = prediction_table(result, spec, drive_outlook(arrays, spec, test, side), turn, lengths)
                typer.echo(f"\n{table}")
    fine = (Outcome.WHEEL_LIFTS, Outcome.RAMP_ENDS, Outcome.WHEELS_SPIN)
    if any(run.outcome not in fine for run in each_state(result)):
        raise typer.Exit(1)
