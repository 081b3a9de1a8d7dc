"""`predict`: the score with the bars connected and released."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from articulate.cli.app import AsJson, Replace, Settings, VehicleFile, app, check_place, load_spec, save, stop
from articulate.cli.ramp_options import HoldingShare, RampAngle, RampLength, Side, TouchLoad, ramp_conditions


@app.command()
def predict(
    vehicle: VehicleFile,
    ramp_angle: RampAngle = "20 deg",
    side: Side = "left",
    touch_load: TouchLoad = "0 N",
    holding_share: HoldingShare = 0.5,
    ramp_length: RampLength = None,
    settings: Settings = None,
    as_json: AsJson = False,
    trace: Annotated[
        Path | None, typer.Option(callback=check_place, help="Write the whole climb to this CSV file.")
    ] = None,
    replace: Replace = False,
) -> None:
    """Predict the score with the bars connected and released.

    Example: articulate predict vehicle_specs_demo/wagon.toml --ramp-angle "23 deg"
    """
    from articulate.climb import Outcome
    from articulate.output.prediction_text import prediction_data, prediction_table, trace_rows
    from articulate.prediction import predict as predict_vehicle
    from articulate.spec import UnphysicalError, build, build_bodywork
    from articulate.trace import BodyPoint

    conditions = ramp_conditions(ramp_angle, side, touch_load, holding_share, ramp_length)
    spec = load_spec(vehicle, settings)
    try:
        arrays, bodywork = build(spec), build_bodywork(spec)
    except UnphysicalError as error:
        stop(f"{vehicle}: {error}")
    points = [
        BodyPoint(name, *map(float, place))
        for name, place in zip(bodywork.point_names, bodywork.points[0], strict=True)
    ]
    result = predict_vehicle(arrays, conditions, side, bodywork.arch_gap, points)
    if trace is not None:
        import csv
        import io

        rows = trace_rows(result)
        text = io.StringIO()
        writer = csv.DictWriter(text, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
        save(trace, text.getvalue(), replace, "--trace")
    if as_json:
        import json

        typer.echo(json.dumps(prediction_data(result, spec), indent=2, allow_nan=False))
    elif str(trace) != "-":
        typer.echo(prediction_table(result, spec))
    runs = (result.connected, result.released)
    if any(run is not None and run.outcome not in (Outcome.WHEEL_LIFTS, Outcome.RAMP_ENDS) for run in runs):
        raise typer.Exit(1)
