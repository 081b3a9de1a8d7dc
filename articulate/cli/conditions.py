"""Options for a ramp test that is not known exactly, shared by the commands about bands."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.app import stop
from articulate.cli.ramp_options import LARGEST_TOUCH_LOAD

if TYPE_CHECKING:
    from articulate.spec.quantities import Reading
    from articulate.studies.population import Conditions
    from articulate.studies.runs import Progress

UncertainAngle = Annotated[str, typer.Option("--ramp-angle", help="5 to 35 deg, e.g. '20 deg ± 0.3 deg'.")]
Side = Annotated[str, typer.Option(help="Front wheel on the ramp: left or right.")]
UncertainLoad = Annotated[
    str, typer.Option("--touch-load", help="Load at which a wheel counts as unloaded, e.g. '10 to 50 N'.")
]
UncertainShare = Annotated[
    str, typer.Option("--holding-share", help="Share of the slope force that the ramp wheel holds.")
]
RampLength = Annotated[str | None, typer.Option(help="Along the slope, e.g. '10 ft'.")]
Seed = Annotated[int, typer.Option(help="Of the points; the same seed gives the same answer.")]
TieOptions = Annotated[
    list[str] | None,
    typer.Option("--tie", metavar="KEY,KEY=R", help="Two inputs go together, R from -0.99 to 0.99."),
]
Untied = Annotated[bool, typer.Option("--untied", help="Leave out the usual ties of assumed inputs.")]


def read_option(option: str, text: str, kind: str, faults: list[str]) -> Reading | None:
    """Read an option's quantity with its tolerance, kind such as LENGTH; what is wrong goes to the faults."""
    from articulate.spec import quantities
    from articulate.spec.errors import QuantityError

    try:
        return quantities.read_quantity(text, getattr(quantities, kind))
    except QuantityError as error:
        faults.append(f"{option} {text}: {error}")
        return None


def uncertain_conditions(
    ramp_angle: str, side: str, touch_load: str, holding_share: str, ramp_length: str | None
) -> Conditions:
    """The conditions of the test with what is not known of them, or stop with all that is wrong."""
    from articulate.prediction import SIDES
    from articulate.spec import Estimate
    from articulate.studies.population import Conditions

    faults: list[str] = []
    limits = {
        "ramp_angle": (ramp_angle, "ANGLE", math.radians(5.0), math.radians(35.0), "5 to 35 deg; write '20 deg'"),
        "touch_load": (touch_load, "FORCE", 0.0, LARGEST_TOUCH_LOAD, "0 to 2000 N; a film needs '10 to 50 N'"),
        "holding_share": (holding_share, "RATIO", 0.0, 1.0, "0 to 1; '0 to 1' if it is not known"),
    }
    found: dict[str, Estimate] = {}
    for name, (text, kind, low, high, works) in limits.items():
        option = "--" + name.replace("_", "-")
        reading = read_option(option, text, kind, faults)
        if reading is None:
            continue
        if not low - 1e-9 <= reading.low <= reading.high <= high + 1e-9:
            faults.append(f"{option} {text}: outside {works}")
            continue
        unknown = name == "holding_share" and text == "0 to 1"
        found[name] = Estimate(
            reading.value,
            reading.low,
            reading.high,
            reading.distribution,
            "assumed" if unknown else "given",
            "cannot be measured on the day" if unknown else f"{option} {text}",
            reading.unit,
            reading.unit_size,
        )
    if side not in SIDES:
        faults.append(f"--side {side}: not a side; left or right")
    length = math.inf
    if ramp_length is not None:
        reading = read_option("--ramp-length", ramp_length, "LENGTH", faults)
        if reading is not None:
            length = reading.value
            if length <= 0.0:
                faults.append(f"--ramp-length {ramp_length}: not positive; measure along the slope, e.g. '10 ft'")
    if faults:
        stop("\n".join(faults))
    return Conditions(length=length, **found)


def read_ties(ties: list[str] | None, untied: bool) -> dict[tuple[str, str], float]:
    """Ties typed as KEY,KEY=R; `untied` is dealt with by the caller, which knows the usual ones."""
    found = {}
    faults = []
    for text in ties or []:
        pair, separator, number = text.rpartition("=")
        keys = tuple(key.strip() for key in pair.split(","))
        try:
            value = float(number)
        except ValueError:
            value = math.nan
        if not separator or len(keys) != 2 or not abs(value) <= 1.0:
            faults.append(f"--tie {text}: not two keys and a number; write --tie front.track,rear.track=0.8")
            continue
        found[keys[0], keys[1]] = value
    if faults:
        stop("\n".join(faults))
    return found


def progress_on_stderr(what: str) -> Progress | None:
    """Progress on a terminal's stderr for what takes more than a second, else None."""
    import sys
    import time

    if not sys.stderr.isatty():
        return None
    began = time.monotonic()

    def progress(done: int, wanted: int) -> None:
        if time.monotonic() - began > 1.0 or done < wanted:
            end = "\r\033[K" if done >= wanted else ""
            sys.stderr.write(f"\r{what}: {done} of {wanted}{end}")
            sys.stderr.flush()

    return progress
