"""`predict`: the score with the bars connected and released."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from articulate.cli.app import (
    Answer,
    AsJson,
    Replace,
    Settings,
    Strict,
    VehicleFile,
    app,
    build_or_stop,
    load_spec,
    print_json,
    save,
    stop_if_doubtful,
)
from articulate.cli.places import GatheringCommand
from articulate.cli.ramp_options import (
    Friction,
    HoldingShare,
    RampAngle,
    RampLength,
    Side,
    TouchLoad,
    read_ramp,
)


@app.command(cls=GatheringCommand)
def predict(
    vehicle: VehicleFile,
    ramp_angle: RampAngle = "20 deg",
    side: Side = "left",
    touch_load: TouchLoad = "0 N",
    holding_share: HoldingShare = None,
    ramp_length: RampLength = None,
    friction: Friction = None,
    settings: Settings = None,
    strict: Strict = False,
    as_json: AsJson = False,
    trace: Annotated[Path | None, typer.Option(help="Write the whole climb to this CSV file; - prints it.")] = None,
    replace: Replace = False,
) -> None:
    """Predict the score with the bars connected and released.

    Example: articulate predict vehicle_specs_demo/wagon.toml --ramp-angle "23 deg"
    """
    from articulate.climb import Outcome
    from articulate.output.prediction_text import prediction_data, prediction_table, trace_rows
    from articulate.prediction import predict as predict_vehicle
    from articulate.studies.roll_range import roll_range

    test = read_ramp([], ramp_angle, side, touch_load, holding_share, ramp_length, friction=friction).test()
    spec = load_spec(vehicle, settings)
    if strict:
        stop_if_doubtful(spec)
    arrays, bodywork, points = build_or_stop(vehicle, spec)
    result = predict_vehicle(arrays, test, side, bodywork.arch_gap, points)
    if trace is not None:
        from articulate.output.layout import csv_text

        save([Answer("--trace", trace, csv_text(trace_rows(result)))], replace)
    from articulate.studies.drive_outlook import drive_outlook

    if as_json:
        print_json(prediction_data(result, spec, drive_outlook(arrays, spec, test, side), roll_range(spec)))
    elif str(trace) != "-":
        typer.echo(prediction_table(result, spec, drive_outlook(arrays, spec, test, side), roll_range(spec)))
    runs = (result.connected, result.released)
    fine = (Outcome.WHEEL_LIFTS, Outcome.RAMP_ENDS, Outcome.WHEELS_SPIN)
    if any(run is not None and run.outcome not in fine for run in runs):
        raise typer.Exit(1)
