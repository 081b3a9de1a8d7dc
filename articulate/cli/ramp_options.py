"""Options that describe the ramp test, shared by the commands that make vehicles climb."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from articulate.cli.app import check_place, quantity, save, stop

if TYPE_CHECKING:
    from articulate.model.ramp_test import RampTest
    from articulate.spec import Estimate
    from articulate.studies.population import Conditions

RampAngle = Annotated[str, typer.Option(help="5 to 35 deg.")]
Side = Annotated[str, typer.Option(help="Front wheel on the ramp: left or right.")]
TouchLoad = Annotated[str, typer.Option(help="Load at which a wheel counts as unloaded.")]
HoldingShare = Annotated[float, typer.Option(help="Share of the slope force that the ramp wheel holds, 0-1.")]
UnknownShare = Annotated[
    float | None,
    typer.Option(help="Share of the slope force that the ramp wheel holds, 0-1; without it 0.5, and not known."),
]
Csv = Annotated[
    Path | None,
    typer.Option("--csv", callback=check_place, help="Write the table to this CSV file, SI units; - to print it."),
]
RampLength = Annotated[str | None, typer.Option(help="Along the slope, e.g. '10 ft'.")]


LARGEST_TOUCH_LOAD = 2000.0  # [N]; a wheel that carries more is not unloaded by any reading of the word


def touch_load_faults(text: str, touch: float) -> list[str]:
    """What is wrong with a touch load [N]; nothing, as a rule."""
    works = "'0 N' is the ideal score, a film needs 10 to 50 N"
    if touch < 0.0:
        return [f"--touch-load {text}: negative; {works}"]
    return [f"--touch-load {text}: over {LARGEST_TOUCH_LOAD:g} N; {works}"] if touch > LARGEST_TOUCH_LOAD else []


def ramp_conditions(
    ramp_angle: str = "20 deg",
    side: str = "left",
    touch_load: str = "0 N",
    holding_share: float = 0.5,
    ramp_length: str | None = None,
) -> RampTest:
    """The conditions of one climb, or stop with everything that is wrong with the options."""
    import math

    from articulate.model.ramp_test import ramp_test
    from articulate.prediction import SIDES

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
    faults += touch_load_faults(touch_load, touch)
    if length <= 0.0:
        faults.append(f"--ramp-length {ramp_length}: not positive; measure along the slope, e.g. '10 ft'")
    if faults:
        stop("\n".join(faults))
    return ramp_test(1, angle, holding_share, touch, length)


def read_estimate(option: str, text: str, kind: str) -> Estimate:
    """An option's quantity with its tolerance, such as kind ANGLE, or stop."""
    from articulate.spec import Estimate, quantities
    from articulate.spec.errors import QuantityError

    try:
        found = quantities.read_quantity(text, getattr(quantities, kind))
    except QuantityError as error:
        stop(f"{option} {text}: {error}")
    return Estimate(found.value, found.low, found.high, found.distribution, "given", text, found.unit, found.unit_size)


def read_score(option: str, text: str) -> Estimate:
    """A score with its tolerance, or stop."""
    from articulate.spec.errors import QuantityError
    from articulate.spec.quantities import RATIO, read_quantity

    works = "a score has no unit and lies between 1 and 5000; write '587 ± 4'"
    try:
        found = read_quantity(text, RATIO)
    except QuantityError as error:
        stop(f"{option} {text}: {error.why}; {works}")
    if found.unit or not 1.0 <= found.low <= found.high <= 5000.0:
        stop(f"{option} {text}: {works}")
    return read_estimate(option, text, "RATIO")


def uncertain_conditions(
    ramp_angle: str = "20 deg",
    side: str = "left",
    touch_load: str = "0 N",
    holding_share: float | None = None,
    ramp_length: str | None = None,
) -> Conditions:
    """The conditions with what is not known about them, or stop with everything that is wrong with the options."""
    from articulate.studies.population import UNKNOWN_SHARE, Conditions, exactly

    share = 0.5 if holding_share is None else holding_share
    test = ramp_conditions(ramp_angle, side, touch_load, share, ramp_length)
    return Conditions(
        ramp_angle=read_estimate("--ramp-angle", ramp_angle, "ANGLE"),
        holding_share=UNKNOWN_SHARE if holding_share is None else exactly(holding_share),
        touch_load=read_estimate("--touch-load", touch_load, "FORCE"),
        length=float(test.length[0]),
    )


def show(table: str, data: dict[str, Any], rows: Sequence[Mapping[str, str | float]], how: Output) -> None:
    """Print the answer as asked: text, JSON or CSV; write the CSV file where one was named."""
    from articulate.output.layout import csv_text

    if how.csv is not None:
        save(how.csv, csv_text(rows), how.replace, "--csv")
    if how.as_json:
        import json

        typer.echo(json.dumps(data, indent=2, allow_nan=False))
    elif str(how.csv) != "-":
        typer.echo(table)


@dataclass(frozen=True)
class Output:
    """How an answer is wanted."""

    as_json: bool
    csv: Path | None
    replace: bool
