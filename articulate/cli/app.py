"""The command's frame: the Typer app, what its commands share, and how they stop."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

if TYPE_CHECKING:
    from articulate.model.vehicles import Vehicles
    from articulate.spec import VehicleSpec
    from articulate.spec.build import Bodywork
    from articulate.spec.quantities import Reading
    from articulate.trace import BodyPoint

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
Replace = Annotated[bool, typer.Option("--replace", help="Let a file that is there be replaced.", is_eager=True)]


def stop(text: str, code: int = 2) -> NoReturn:
    """Say what is wrong on stderr and leave."""
    typer.echo(text, err=True)
    raise typer.Exit(code)


def stop_at(faults: list[str]) -> None:
    """Stop with everything that is wrong, where anything is."""
    if faults:
        stop("\n".join(faults))


def load_spec(path: Path, settings: list[str] | None = None) -> VehicleSpec:
    """Read a vehicle file with its what-if settings, or stop with all its faults."""
    import sys

    from articulate.spec import SpecError, load_vehicle, read_vehicle, with_settings

    pairs = []
    for setting in settings or []:
        key, separator, value = setting.partition("=")
        if not separator:
            stop(f"--set {setting}: an equals sign is missing; write --set front.travel.bump='80 mm'")
        pairs.append((key.strip(), value.strip()))
    try:
        spec = read_vehicle(sys.stdin.read(), "standard input") if str(path) == "-" else load_vehicle(path)
        return with_settings(spec, pairs) if pairs else spec
    except SpecError as error:
        stop(str(error))


def build_or_stop(vehicle: Path, spec: VehicleSpec) -> tuple[Vehicles, Bodywork, tuple[BodyPoint, ...]]:
    """The arrays of a vehicle, its bodywork and the named points of it, or stop where no vehicle can be so."""
    from articulate.spec import UnphysicalError, build, build_bodywork
    from articulate.trace import named_points

    try:
        arrays, bodywork = build(spec), build_bodywork(spec)
    except UnphysicalError as error:
        stop(f"{vehicle}: {error}")
    return arrays, bodywork, named_points(bodywork.point_names, bodywork.points[0])


def read_option(option: str, text: str, kind: str, faults: list[str]) -> Reading | None:
    """Read an option's quantity with its tolerance, kind such as LENGTH; what is wrong goes to the faults."""
    from articulate.spec import quantities
    from articulate.spec.errors import QuantityError

    try:
        return quantities.read_quantity(text, getattr(quantities, kind))
    except QuantityError as error:
        faults.append(f"{option} {text}: {error}")
        return None


def check_numbers(limits: dict[str, tuple[int, int, int]], faults: list[str]) -> None:
    """Note every whole number that is outside its limits."""
    faults += [
        f"{option} {value}: outside {low} to {high}"
        for option, (value, low, high) in limits.items()
        if not low <= value <= high
    ]


def print_json(data: dict[str, Any]) -> None:
    """Print plain data; a number JSON cannot hold is a mistake of ours."""
    import json

    typer.echo(json.dumps(data, indent=2, allow_nan=False))


def no_place(path: Path, replace: bool) -> str:
    """Why an answer that is no TOML could not be written there; empty where it can, or is printed."""
    from articulate.output.files import unwritable

    if str(path) == "-":
        return ""
    if path.suffix.lower() == ".toml":
        return "vehicle files and run sheets end in .toml; give this file another ending"
    return unwritable(path, replace)


def check_place(context: typer.Context, option: typer.CallbackParam, path: Path | None) -> Path | None:
    """Stop before anything is computed where an option's file could not be written."""
    if path is not None and (fault := no_place(path, bool(context.params.get("replace")))):
        stop(f"{option.opts[0]} {path}: {fault}")
    return path


def save(path: Path, content: str | bytes, replace: bool, option: str = "") -> None:
    """Write a file whole, or print it where the path is -, or stop."""
    if str(path) == "-":
        typer.echo(content, nl=False)
        return
    from articulate.output.files import FileExistsAlreadyError, write_whole

    try:
        write_whole(path, content, replace)
    except (FileExistsAlreadyError, OSError) as error:
        stop(f"{option} {path}: {error}".strip())
