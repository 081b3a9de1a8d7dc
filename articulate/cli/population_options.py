"""Options of the commands that try many possible vehicles, and how the population is made from them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

import typer

from articulate.cli.reading import check_number, read_option, stop
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, NO_MODEL_ERROR, ModelError

if TYPE_CHECKING:
    from pathlib import Path

    from articulate.spec import VehicleSpec
    from articulate.studies.population.conditions import Conditions
    from articulate.studies.population.runs import Population, Progress

Seed = Annotated[int, typer.Option(help="Of the points; the same seed gives the same answer.")]
TieOptions = Annotated[
    list[str] | None,
    typer.Option("--tie", metavar="KEY,KEY=R", help="Two inputs go together, R from -0.99 to 0.99."),
]
Untied = Annotated[bool, typer.Option("--untied", help="Leave out the usual ties of assumed inputs.")]


def vehicles_tried(what: str) -> Any:
    """The option of how many possible vehicles are tried, under either of its names."""
    return typer.Option("--points", "--samples", help=what)


ModelErrorOption = Annotated[
    str,
    typer.Option(
        "--model-error",
        metavar="COMMON, RUN",
        help="What the model leaves out, of the score, one standard deviation: common to all runs of a vehicle, and of "
        "each run; 0 for the inputs alone.",
    ),
]
USUAL_ERROR = f"{100.0 * ASSUMED_MODEL_ERROR.common:g} %, {100.0 * ASSUMED_MODEL_ERROR.run:g} %"
USUAL_SEED, LARGEST_SEED = 20, 2**32 - 1
LARGEST_ERROR = 0.3  # of the score, of either part


def check_seed(seed: int, faults: list[str]) -> None:
    """Note a seed that draws nothing."""
    check_number("--seed", seed, 0, LARGEST_SEED, USUAL_SEED, faults)


@dataclass(frozen=True)
class PossibleVehicles:
    """Possible vehicles: the draw, the model's own error, and inputs that go together."""

    seed: Seed = USUAL_SEED
    model_error: ModelErrorOption = USUAL_ERROR
    tie: TieOptions = None
    untied: Untied = False

    def read(self, faults: list[str]) -> tuple[dict[tuple[str, str], float], ModelError]:
        """The ties that were typed and the model's error; what is wrong, the seed too, goes to the faults."""
        check_seed(self.seed, faults)
        return read_ties(self.tie, faults), read_model_error(self.model_error, faults)

    def of(
        self, vehicle: Path, spec: VehicleSpec, conditions: Conditions, typed: dict[tuple[str, str], float]
    ) -> Population:
        """The population with the usual ties, unless they are left out, and those typed, or stop."""
        from articulate.spec import UnphysicalError, build
        from articulate.studies.population.conditions import all_inputs
        from articulate.studies.population.runs import Population
        from articulate.studies.population.ties import TieError, usual_ties

        ties = {} if self.untied else usual_ties(all_inputs(spec, conditions))
        for one, other in typed:
            ties.pop((other, one), None)
        try:
            build(spec)
            return Population.of(spec, conditions, {**ties, **typed})
        except TieError as error:
            stop(f"--tie {error}")
        except UnphysicalError as error:
            stop(error.said)


def read_model_error(text: str, faults: list[str]) -> ModelError:
    """What the model leaves out as typed, or the assumed error; what is wrong goes to the faults."""
    works = f"'{USUAL_ERROR}' is the default, '0' leaves it out"
    if text == USUAL_ERROR:
        return ASSUMED_MODEL_ERROR
    parts = [read_option("--model-error", part.strip(), "RATIO", faults) for part in text.split(",")]
    found = [part.value for part in parts if part is not None]
    if len(found) < len(parts):
        return ASSUMED_MODEL_ERROR
    if found == [0.0]:
        return NO_MODEL_ERROR
    if len(found) != 2:
        faults.append(f"--model-error {text}: two parts are needed, common to all runs and of each run; {works}")
    elif not all(0.0 <= part <= LARGEST_ERROR for part in found):
        faults.append(f"--model-error {text}: outside 0 to {100.0 * LARGEST_ERROR:g} %; {works}")
    else:
        return ModelError(found[0], found[1]) if any(found) else NO_MODEL_ERROR
    return ASSUMED_MODEL_ERROR


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
    """Progress on a terminal's stderr, of which nothing is left at the end; None where there is no terminal."""
    import sys

    if not sys.stderr.isatty():
        return None

    def progress(done: int, wanted: int) -> None:
        said = f"{what}: {done} of {wanted}"
        for part in (said,) if done < wanted else (" " * len(said), ""):
            sys.stderr.write(f"\r{part}")
        sys.stderr.flush()

    return progress
