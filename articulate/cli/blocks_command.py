"""`blocks`: two opposite corners on blocks, for people without a ramp."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import typer

from articulate.cli.answer import Shown, say
from articulate.cli.app import app
from articulate.cli.groups import grouped
from articulate.cli.options import Settings, VehicleFile
from articulate.cli.places import GatheringCommand
from articulate.cli.population_options import USUAL_SEED, Seed, check_seed, progress_on_stderr, vehicles_tried
from articulate.cli.ramp_options import RampOptions, TouchLoad, UncertainAngle
from articulate.cli.reading import check_number, lengths_for, stop


@dataclass(frozen=True)
class RampBeside(RampOptions):
    """The side of the blocks, and the ramp that they stand in for."""

    side: Annotated[str, typer.Option(help="Front wheel on a block: left or right; the rear block is opposite.")] = (
        "left"
    )
    touch_load: TouchLoad = "0 N"
    ramp_angle: UncertainAngle = "20 deg"


@app.command(cls=GatheringCommand)
@grouped
def blocks(
    *,
    vehicle: VehicleFile,
    typed: RampBeside,
    points: Annotated[int, vehicles_tried("Possible vehicles, each on blocks and on the ramp.")] = 256,
    seed: Seed = USUAL_SEED,
    settings: Settings = None,
    shown: Shown,
) -> None:
    """Predict the height of blocks under two opposite corners that unloads a wheel.

    It needs no ramp, and says what the height goes with on one.

    Example: articulate blocks vehicle_specs_demo/wagon.toml --side right
    """
    faults: list[str] = []
    check_number("--points", points, 32, 65536, 256, faults)
    check_seed(seed, faults)
    (ramp, spec), side = typed.read_with(vehicle, settings, faults), typed.side
    from articulate.climb import Outcome
    from articulate.output.text.blocks import blocks_data, blocks_table
    from articulate.output.text.conditions import stated
    from articulate.spec import UnphysicalError
    from articulate.studies.population.runs import Population
    from articulate.studies.predict.blocks import block_test
    from articulate.types import each_state

    people = Population.of(spec, ramp.conditions())
    try:
        found = block_test(people, side, points, seed, progress_on_stderr("possible vehicles"))
    except UnphysicalError as error:
        stop(error.said)
    lengths = lengths_for(shown.units, [spec])
    held = stated(ramp.conditions(), side, [spec], lengths=lengths)
    say(blocks_table(found, spec, shown.full, lengths), blocks_data(found, spec), shown.as_json, held)
    fine = (Outcome.WHEEL_LIFTS, Outcome.RAMP_ENDS)
    if any(run.outcome not in fine for run in each_state(found)):
        raise typer.Exit(1)
