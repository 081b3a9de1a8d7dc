"""`predict`: the score with the bars connected and released."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from articulate.cli.app import AsJson, Replace, Settings, VehicleFile, app, load_spec, quantity, save, stop


@app.command()
def predict(
    vehicle: VehicleFile,
    ramp_angle: Annotated[str, typer.Option(help="5 to 35 deg.")] = "20 deg",
    side: Annotated[str, typer.Option(help="Front wheel on the ramp: left or right.")] = "left",
    touch_load: Annotated[str, typer.Option(help="Load at which a wheel counts as unloaded.")] = "0 N",
    holding_share: Annotated[
        float, typer.Option(help="Share of the slope force that the ramp wheel holds, 0-1.")
    ] = 0.5,
    ramp_length: Annotated[str | None, typer.Option(help="Along the slope, e.g. '10 ft'.")] = None,
    settings: Settings = None,
    as_json: AsJson = False,
    trace: Annotated[Path | None, typer.Option(help="Write the whole climb to this CSV file.")] = None,
    replace: Replace = False,
) -> None:
    """Predict the score with the bars connected and released.

    Example: articulate predict vehicle_specs_demo/wagon.toml --ramp-angle "23 deg"
    """
    import math

    from articulate.climb import Outcome
    from articulate.model.ramp_test import ramp_test
    from articulate.output.prediction_text import prediction_data, prediction_table, trace_rows
    from articulate.prediction import SIDES
    from articulate.prediction import predict as predict_vehicle
    from articulate.spec import UnphysicalError, build, build_bodywork
    from articulate.trace import BodyPoint

    faults = []
    angle = quantity("--ramp-angle", ramp_angle, "ANGLE")
    touch = quantity("--touch-load", touch_load, "FORCE")
    length = quantity("--ramp-length", ramp_length, "LENGTH") if ramp_length is not None else math.inf
    if not math.radians(5.0) - 1e-9 <= angle <= math.radians(35.0) + 1e-9:
        faults.append(f"--ramp-angle {ramp_angle}: outside 5 to 35 deg; the usual ramp is '20 deg'")
    if side not in SIDES:
        faults.append(f"--side {side}: not a side; left or right")
    if not 0.0 <= holding_share <= 1.0:
        faults.append(f"--holding-share {holding_share}: outside 0 to 1; 0.5 is the default")
    if touch < 0.0:
        faults.append(f"--touch-load {touch_load}: negative; '0 N' is the ideal score, a film needs 10 to 50 N")
    if length <= 0.0:
        faults.append(f"--ramp-length {ramp_length}: not positive; measure along the slope, e.g. '10 ft'")
    if faults:
        stop("\n".join(faults))
    spec = load_spec(vehicle, settings)
    try:
        arrays, bodywork = build(spec), build_bodywork(spec)
    except UnphysicalError as error:
        stop(f"{vehicle}: {error}")
    points = [
        BodyPoint(name, *map(float, place))
        for name, place in zip(bodywork.point_names, bodywork.points[0], strict=True)
    ]
    result = predict_vehicle(arrays, ramp_test(1, angle, holding_share, touch, length), side, bodywork.arch_gap, points)
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
