"""`audit`: is a result consistent with the vehicle file, and if not, what would explain it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from articulate.cli.answer import Shown
from articulate.cli.app import app, print_json, save
from articulate.cli.figure_options import FigureOptions
from articulate.cli.groups import grouped
from articulate.cli.options import Replace, Settings, VehicleFile
from articulate.cli.places import REFUSED, GatheringCommand
from articulate.cli.population_options import USUAL_ERROR, USUAL_SEED, ModelErrorOption, check_seed, read_model_error
from articulate.cli.reading import lengths_for, read_sheet, read_spec, stop, stop_at
from articulate.output import figures


@app.command(cls=GatheringCommand)
@grouped
def audit(
    *,
    vehicle: VehicleFile,
    run_sheet: Annotated[Path, typer.Argument(metavar="RUNSHEET", help="Run sheet (TOML) of that vehicle.")],
    answer: Annotated[
        list[str] | None,
        typer.Option(
            "--answer", metavar="KEY=VALUE", help="What a check found, e.g. 'ramp.angle=19.2 deg', 'bar links=fine'."
        ),
    ] = None,
    still_at_mark: Annotated[
        bool,
        typer.Option(
            "--still-at-mark", help="The vehicle still stands where it stopped, so its mark can be taken again."
        ),
    ] = False,
    seed: Annotated[int, typer.Option(help="Of the populations and draws.")] = USUAL_SEED,
    model_error: ModelErrorOption = USUAL_ERROR,
    settings: Settings = None,
    shown: Shown,
    figure: FigureOptions,
    replace: Replace = False,
) -> None:
    """Say whether a run sheet agrees with its vehicle file, and why not.

    Says what would explain it, how large each cause would have to be, and what to check next.

    Example: articulate audit vehicle_specs_demo/wagon.toml vehicle_specs_demo/run_sheets/wagon_run_sheet.toml
    """
    import sys

    from articulate.studies.audit.answers import grammar_fault

    faults: list[str] = []
    figure.check(faults)
    check_seed(seed, faults)
    error = read_model_error(model_error, faults)
    spec, sheet = read_spec(vehicle, settings, faults), read_sheet(run_sheet, faults)
    if faults or REFUSED.get():  # else answers are read whole, with what the vehicle and the sheet leave to ask
        faults += [f"--answer {fault}" for text in answer or [] if (fault := grammar_fault(text))]
    stop_at(faults)
    assert spec is not None
    assert sheet is not None
    from articulate.output.text.audit import audit_answer, audit_data, audit_table, stated_of
    from articulate.spec import UnphysicalError
    from articulate.studies.audit import (
        AnswerError,
        NoLiftError,
        UnreadableSheetError,
        conditions_of,
        observed_of,
        remarks_on,
        scene_from,
    )
    from articulate.studies.audit import audit as audit_sheet

    if sys.stderr.isatty():
        typer.echo("climbing with every possible cause ...", err=True)
    try:
        scene = scene_from(spec, sheet)
        observed, remarks = observed_of(sheet, scene), remarks_on(sheet, spec)
        result = audit_sheet(
            scene, conditions_of(sheet), observed, answer or [], seed, remarks, error, still_at_mark, sheet
        )
    except UnreadableSheetError as fault:
        stop(f"{run_sheet}: {fault}")
    except AnswerError as fault:
        stop(str(fault))
    except NoLiftError as fault:
        stop(f"{vehicle}: {fault}", 1)
    except UnphysicalError as fault:
        stop(fault.said)
    lengths = lengths_for(shown.units, [spec])
    held = stated_of(result, lengths)
    save(figure.drawn(held, lambda *size: figures.causes_figure(result, *size)), replace)
    if shown.as_json:
        print_json(audit_data(result, lengths))
    else:
        typer.echo((audit_table if shown.full else audit_answer)(result, lengths))
    if result.problem:
        raise typer.Exit(1)
