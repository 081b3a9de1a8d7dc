"""Options of the commands that try many possible vehicles, and how the population is made from them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.app import stop

if TYPE_CHECKING:
    from pathlib import Path

    from articulate.spec import VehicleSpec
    from articulate.studies.population import Conditions
    from articulate.studies.runs import Population, Progress

Seed = Annotated[int, typer.Option(help="Of the points; the same seed gives the same answer.")]
TieOptions = Annotated[
    list[str] | None,
    typer.Option("--tie", metavar="KEY,KEY=R", help="Two inputs go together, R from -0.99 to 0.99."),
]
Untied = Annotated[bool, typer.Option("--untied", help="Leave out the usual ties of assumed inputs.")]


def read_ties(ties: list[str] | None, faults: list[str]) -> dict[tuple[str, str], float]:
    """Ties typed as KEY,KEY=R; what is wrong goes to the faults."""
    found = {}
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
            said = f"{what}: {done} of {wanted}"
            for part in (said, *((" " * len(said), "") if done >= wanted else ())):  # nothing is left of it
                sys.stderr.write(f"\r{part}")
            sys.stderr.flush()

    return progress


def population_or_stop(
    vehicle: Path, spec: VehicleSpec, conditions: Conditions, typed: dict[tuple[str, str], float], untied: bool
) -> Population:
    """The population with the usual ties, unless they are left out, and those typed."""
    from articulate.spec import UnphysicalError, build
    from articulate.studies.population import all_inputs
    from articulate.studies.runs import population
    from articulate.studies.ties import TieError, usual_ties

    ties = {} if untied else usual_ties(all_inputs(spec, conditions))
    for one, other in typed:
        ties.pop((other, one), None)
    try:
        build(spec)
        return population(spec, conditions, {**ties, **typed})
    except TieError as error:
        stop(f"--tie {error}")
    except UnphysicalError as error:
        stop(f"{vehicle}: {error}")
