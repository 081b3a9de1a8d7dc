"""`target`: what reaches a score."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.answer import Output, show
from articulate.cli.app import app
from articulate.cli.groups import grouped
from articulate.cli.options import BarsOfRun, Settings, VehicleFile
from articulate.cli.places import AS_FILED, GatheringCommand
from articulate.cli.population_options import USUAL_ERROR, ModelErrorOption, read_model_error
from articulate.cli.ramp_options import CarriedRamp, check_bars
from articulate.cli.reading import lengths_for, stop

if TYPE_CHECKING:
    from articulate.studies.design.levers import Wish

_WORKS = "write --change 'rear.travel.bump=70 mm to 120 mm at 3 per mm'"
_COST = re.compile(r"(.*?)\s+at\s+(\S+)\s+per\s+(.+)")


class _WishError(ValueError):
    """A --change that cannot be read."""


def _wish(text: str) -> Wish:
    """Read `KEY=LOW to HIGH [at COST per UNIT]`; a _WishError says what is wrong."""
    from articulate.spec.errors import QuantityError, nearest
    from articulate.spec.key_lookup import all_keys, dimension_of
    from articulate.spec.quantities import unit_size
    from articulate.studies.design.levers import Wish

    key, separator, limits = (part.strip() for part in text.partition("="))
    if not separator:
        raise _WishError(f"--change {text}: an equals sign is missing; {_WORKS}")
    dimension = dimension_of(key)
    if dimension is None:
        close = nearest(key, [one for one in all_keys() if dimension_of(one) is not None])
        raise _WishError(
            f"--change {text}: {key} is no quantity of the vehicle file; " + (f"write {close}" if close else _WORKS)
        )
    cost = None
    priced = _COST.fullmatch(limits)
    if priced:
        limits, number, unit = priced.groups()
        try:
            cost = float(number) / unit_size(unit, dimension)
        except QuantityError as error:
            raise _WishError(f"--change {text}: {unit}: {error}") from error
        except ValueError as error:
            raise _WishError(f"--change {text}: {number} is no number; {_WORKS}") from error
        if not 0.0 < cost < float("inf"):
            raise _WishError(f"--change {text}: a cost is a number above zero; {_WORKS}")
    if " to " not in limits and "–" not in limits:
        raise _WishError(f"--change {text}: {limits} is not a range; {_WORKS}")
    return Wish(key, limits, cost)


def _wishes(change: list[str], faults: list[str]) -> list[Wish]:
    """Every --change; what is wrong goes to the faults."""
    found = []
    for text in change:
        try:
            found.append(_wish(text))
        except _WishError as error:
            faults.append(str(error))
    return found


@app.command(cls=GatheringCommand)
@grouped
def target(
    *,
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
    bars: BarsOfRun = "connected",
    model_error: ModelErrorOption = USUAL_ERROR,
    settings: Settings = None,
    typed: CarriedRamp,
    how: Output,
) -> None:
    """Find the change of one input, or the cheapest of several, that reaches a score, or say that none does.

    Exit code 1 where the score cannot be reached. The CSV has the score over each input alone.

    Example: articulate target vehicle_specs_demo/wagon.toml --score 590 --change "rear.travel.bump=70 mm to 120 mm"
    """
    faults: list[str] = []
    check_bars(bars, faults)
    if not 0.0 < score < 3000.0:
        faults.append(f"--score {score:g}: not a score; 600 is usual")
    wishes = _wishes(change, faults)
    error = read_model_error(model_error, faults)
    (ramp, spec), side = typed.read_with(vehicle, settings, faults), typed.side
    from articulate.output.text.conditions import stated
    from articulate.output.text.target import target_data, target_rows, target_table
    from articulate.spec import SpecError, UnphysicalError
    from articulate.studies.design.levers import LeverError
    from articulate.studies.design.target import reach_target

    try:
        answer = reach_target(spec, wishes, score, ramp.test(), side, bars, ramp.conditions(), model=error)
    except SpecError as fault:
        stop(str(fault).replace("--set ", "--change "))
    except LeverError as fault:
        stop(f"--change: {fault}")
    except UnphysicalError as fault:
        stop(fault.said)
    held = stated(ramp.conditions(), side, [spec], [f"bars {bars}"], lengths_for(how.units, [spec]))
    table = target_table(answer, how.full, None if how.units == AS_FILED else held.lengths)
    show(table, target_data(answer), target_rows(answer), how, held)
    if not answer.reached:
        raise typer.Exit(1)
