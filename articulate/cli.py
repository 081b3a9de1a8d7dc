"""Command line: parse, call, print, exit code (0 fine, 1 ran and found a problem, 2 bad usage or file)."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, NoReturn

import typer

app = typer.Typer(
    pretty_exceptions_enable=False,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    help="Predict how far a vehicle climbs a ramp before a wheel unloads, and say why.\n\n"
    "Example: articulate predict vehicle_specs_demo/wagon.toml",
)

VehicleFile = Annotated[Path, typer.Argument(metavar="VEHICLE", help="Vehicle file (TOML); - for standard input.")]
Settings = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="KEY=VALUE", help="What-if: any key of the file, e.g. front.travel.bump='80 mm'."),
]
AsJson = Annotated[bool, typer.Option("--json", help="Plain data with SI keys.")]


def _stop(text: str, code: int = 2) -> NoReturn:
    typer.echo(text, err=True)
    raise typer.Exit(code)


def _load(path: Path, settings: list[str] | None = None):  # type: ignore[no-untyped-def]
    import sys

    from articulate.spec import SpecError, load_vehicle, read_vehicle, with_settings

    pairs = []
    for setting in settings or []:
        key, separator, value = setting.partition("=")
        if not separator:
            _stop(f"--set {setting}: an equals sign is missing; write --set front.travel.bump='80 mm'")
        pairs.append((key.strip(), value.strip()))
    try:
        spec = read_vehicle(sys.stdin.read(), "standard input") if str(path) == "-" else load_vehicle(path)
        return with_settings(spec, pairs) if pairs else spec
    except SpecError as error:
        _stop(str(error))


def _quantity(option: str, text: str, kind: str) -> float:
    from articulate.spec import quantities
    from articulate.spec.errors import QuantityError

    try:
        return quantities.read_quantity(text, getattr(quantities, kind)).value
    except QuantityError as error:
        _stop(f"{option} {text}: {error}")


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
    replace: Annotated[bool, typer.Option(help="Let --trace replace a file.")] = False,
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
    angle = _quantity("--ramp-angle", ramp_angle, "ANGLE")
    touch = _quantity("--touch-load", touch_load, "FORCE")
    length = _quantity("--ramp-length", ramp_length, "LENGTH") if ramp_length is not None else math.inf
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
        _stop("\n".join(faults))
    spec = _load(vehicle, settings)
    try:
        arrays, bodywork = build(spec), build_bodywork(spec)
    except UnphysicalError as error:
        _stop(f"{vehicle}: {error}")
    points = [
        BodyPoint(name, *map(float, place))
        for name, place in zip(bodywork.point_names, bodywork.points[0], strict=True)
    ]
    result = predict_vehicle(arrays, ramp_test(1, angle, holding_share, touch, length), side, bodywork.arch_gap, points)
    if trace is not None:
        import csv
        import io

        from articulate.output.files import FileExistsAlreadyError, write_whole

        rows = trace_rows(result)
        text = io.StringIO()
        writer = csv.DictWriter(text, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
        if str(trace) == "-":
            typer.echo(text.getvalue(), nl=False)
        else:
            try:
                write_whole(trace, text.getvalue(), replace)
            except (FileExistsAlreadyError, OSError) as error:
                _stop(f"--trace {trace}: {error}")
    if as_json:
        import json

        typer.echo(json.dumps(prediction_data(result, spec), indent=2, allow_nan=False))
    elif str(trace) != "-":
        typer.echo(prediction_table(result, spec))
    runs = (result.connected, result.released)
    if any(run is not None and run.outcome not in (Outcome.WHEEL_LIFTS, Outcome.RAMP_ENDS) for run in runs):
        raise typer.Exit(1)


@app.command()
def template(
    minimal: Annotated[bool, typer.Option("--minimal", help="Only what is needed; the rest is assumed.")] = False,
    output: Annotated[Path, typer.Option(help="File to write; - for standard output.")] = Path("-"),
    replace: Annotated[bool, typer.Option(help="Let it replace a file.")] = False,
) -> None:
    """Write a commented vehicle file that runs as it is.

    Example: articulate template --output my_vehicle.toml
    """
    from articulate.spec import template as template_text

    text = template_text(minimal=minimal)
    if str(output) == "-":
        typer.echo(text, nl=False)
        return
    from articulate.output.files import FileExistsAlreadyError, write_whole

    try:
        write_whole(output, text, replace)
    except (FileExistsAlreadyError, OSError) as error:
        _stop(f"{output}: {error}")
    typer.echo(f"wrote {output}; try: articulate predict {output}", err=True)


@app.command()
def check(vehicle: VehicleFile) -> None:
    """Report every fault of a vehicle file at once.

    Example: articulate check vehicle_specs_demo/wagon.toml
    """
    from articulate.spec import UnphysicalError, build

    spec = _load(vehicle)
    try:
        build(spec)
    except UnphysicalError as error:
        _stop(f"{vehicle}: {error}")
    typer.echo(f"{vehicle}: fine; {len(spec.inputs)} inputs, {len(spec.assumed())} of them assumed")


@app.command()
def schema() -> None:
    """Print the JSON Schema of the vehicle file, for editors."""
    import json

    from articulate.spec import vehicle_schema

    typer.echo(json.dumps(vehicle_schema(), indent=2))


@app.command()
def derive(
    name: Annotated[str, typer.Argument(help="Which closed form; without it, the list.")] = "",
    vehicle: Annotated[Path | None, typer.Option(help="Vehicle file whose numbers are put in.")] = None,
) -> None:
    """Show how a closed form follows from its premises, and its value for a vehicle.

    Example: articulate derive mark-height --vehicle vehicle_specs_demo/wagon.toml
    """
    from articulate.closed_forms import UnknownDerivationError, derivation_names
    from articulate.closed_forms import derive as derivation_of
    from articulate.closed_forms.rendering import render

    if not name:
        typer.echo("\n".join(derivation_names()))
        return
    try:
        derivation = derivation_of(name)
    except UnknownDerivationError as error:
        _stop(str(error))
    derivation.verify()
    numbers = None
    if vehicle is not None:
        from articulate.model.ramp_test import ramp_test
        from articulate.prediction import predict as predict_vehicle
        from articulate.spec import build
        from articulate.worked_numbers import takes_numbers, worked_numbers

        if not takes_numbers(derivation.name):
            _stop(f"--vehicle {vehicle}: '{derivation.name}' is not about a whole vehicle; leave --vehicle out")
        arrays, test = build(_load(vehicle)), ramp_test(1)
        numbers = worked_numbers(derivation.name, arrays, test, predict_vehicle(arrays, test))
    typer.echo(render(derivation, numbers), nl=False)


def main() -> None:
    """Entry point of the command."""
    app()
