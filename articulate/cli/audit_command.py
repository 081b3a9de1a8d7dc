"""`audit`: is a result consistent with the vehicle file, and if not, what would explain it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from articulate.cli.app import AsJson, Replace, Settings, VehicleFile, app, load_spec, print_json, stop, stop_at
from articulate.cli.figure_options import FigureFile, FigureMedium, check_figure, save_figure


@app.command()
def audit(
    vehicle: VehicleFile,
    run_sheet: Annotated[Path, typer.Argument(metavar="RUNSHEET", help="Run sheet (TOML) of that vehicle.")],
    answer: Annotated[
        list[str] | None,
        typer.Option(
            "--answer", metavar="KEY=VALUE", help="What a check found, e.g. 'ramp.angle=19.2 deg', 'bar links=fine'."
        ),
    ] = None,
    seed: Annotated[int, typer.Option(help="Of the populations and draws.", min=0)] = 20,
    settings: Settings = None,
    as_json: AsJson = False,
    figure: FigureFile = None,
    medium: FigureMedium = "page",
    replace: Replace = False,
) -> None:
    """Say whether a run sheet agrees with its vehicle file, and why not.

    Says what would explain it, how large each cause would have to be, and what to check next.

    Example: articulate audit vehicle_specs_demo/wagon.toml vehicle_specs_demo/run_sheets/wagon_run_sheet.toml
    """
    import sys

    from articulate.measure.sheet_load import load_sheet
    from articulate.output.audit_text import audit_data, audit_table
    from articulate.spec import SpecError, UnphysicalError
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

    faults: list[str] = []
    check_figure(figure, medium, replace, faults)
    stop_at(faults)
    spec = load_spec(vehicle, settings)
    try:
        sheet = load_sheet(run_sheet)
    except SpecError as error:
        stop(str(error))
    if sys.stderr.isatty():
        typer.echo("climbing with every possible cause ...", err=True)
    try:
        scene = scene_from(spec, sheet)
        observed, remarks = observed_of(sheet, scene), remarks_on(sheet, spec)
        result = audit_sheet(scene, conditions_of(sheet), observed, answer or [], seed, remarks)
    except UnreadableSheetError as error:
        stop(f"{run_sheet}: {error}")
    except AnswerError as error:
        stop(str(error))
    except NoLiftError as error:
        stop(f"{vehicle}: {error}", 1)
    except UnphysicalError as error:
        stop(f"{vehicle}: {error}")
    if figure is not None:
        from articulate.output.figures.adapters import causes_figure

        save_figure(figure, medium, replace, lambda size: causes_figure(result, size))
    if as_json:
        print_json(audit_data(result))
    else:
        typer.echo(audit_table(result))
    if result.problem:
        raise typer.Exit(1)
