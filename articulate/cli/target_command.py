"""`target`: what reaches a score."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.app import AsJson, Replace, Settings, VehicleFile, app, load_spec, stop
from articulate.cli.ramp_options import (
    Csv,
    Output,
    RampAngle,
    Side,
    TouchLoad,
    UnknownShare,
    ramp_conditions,
    show,
    uncertain_conditions,
)

if TYPE_CHECKING:
    from articulate.studies.levers import Wish

_WORKS = "write --change 'rear.travel.bump=70 mm to 120 mm at 3 per mm'"
_COST = re.compile(r"(.*?)\s+at\s+(\S+)\s+per\s+(.+)")


def _wish(text: str) -> Wish:
    """Read `KEY=LOW to HIGH [at COST per UNIT]`, or stop."""
    from articulate.spec.errors import QuantityError, nearest
    from articulate.spec.quantities import unit_size
    from articulate.spec.schema import all_keys, dimension_of
    from articulate.studies.levers import Wish

    key, separator, limits = (part.strip() for part in text.partition("="))
    if not separator:
        stop(f"--change {text}: an equals sign is missing; {_WORKS}")
    dimension = dimension_of(key)
    if dimension is None:
        close = nearest(key, [one for one in all_keys() if dimension_of(one) is not None])
        stop(f"--change {text}: {key} is no quantity of the vehicle file; " + (f"write {close}" if close else _WORKS))
    cost = None
    priced = _COST.fullmatch(limits)
    if priced:
        limits, number, unit = priced.groups()
        try:
            cost = float(number) / unit_size(unit, dimension)
        except QuantityError as error:
            stop(f"--change {text}: {unit}: {error}")
        except ValueError:
            stop(f"--change {text}: {number} is no number; {_WORKS}")
        if not 0.0 < cost < float("inf"):
            stop(f"--change {text}: a cost is a number above zero; {_WORKS}")
    if " to " not in limits and "–" not in limits:
        stop(f"--change {text}: {limits} is not a range; {_WORKS}")
    return Wish(key, limits, cost)


@app.command()
def target(
    vehicle: VehicleFile,
    score: Annotated[float, typer.Option(help="Score to reach.")],
    change: Annotated[
        list[str],
        typer.Option(
            metavar="KEY=LOW to HIGH",
            help="What may change, e.g. 'rear.travel.bump=70 mm to 120 mm'; "
            "with several, what it costs: '... at 3 per mm'.",
        ),
    ],
    bars: Annotated[str, typer.Option(help="Bars connected or released.")] = "connected",
    settings: Settings = None,
    ramp_angle: RampAngle = "20 deg",
    side: Side = "left",
    touch_load: TouchLoad = "0 N",
    holding_share: UnknownShare = None,
    as_json: AsJson = False,
    csv: Csv = None,
    replace: Replace = False,
) -> None:
    """Find the change of one input, or the cheapest of several, that reaches a score, or say that none does.

    Exit code 1 where the score cannot be reached. The CSV has the score over each input alone.

    Example: articulate target vehicle_specs_demo/wagon.toml --score 600 --change "rear.travel.bump=70 mm to 120 mm"
    """
    from articulate.output.target_text import target_data, target_rows, target_table
    from articulate.spec import SpecError, UnphysicalError
    from articulate.studies.levers import LeverError
    from articulate.studies.target import reach_target

    share = 0.5 if holding_share is None else holding_share
    test = ramp_conditions(ramp_angle, side, touch_load, share)
    conditions = uncertain_conditions(ramp_angle, side, touch_load, holding_share)
    faults = []
    if bars not in ("connected", "released"):
        faults.append(f"--bars {bars}: connected or released")
    if not 0.0 < score < 3000.0:
        faults.append(f"--score {score:g}: not a score; 600 is usual")
    if faults:
        stop("\n".join(faults))
    wishes = [_wish(text) for text in change]
    spec = load_spec(vehicle, settings)
    try:
        answer = reach_target(spec, wishes, score, test, side, bars, conditions)
    except SpecError as error:
        stop(str(error).replace("--set ", "--change "))
    except (LeverError, UnphysicalError) as error:
        stop(f"--change: {error}")
    show(target_table(answer), target_data(answer), target_rows(answer), Output(as_json, csv, replace))
    if not answer.reached:
        raise typer.Exit(1)
