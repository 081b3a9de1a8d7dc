"""Command line: parse, call, print, exit code (0 fine, 1 ran and found a problem, 2 bad usage or file).

Each module registers its commands with the app when it is imported; the order here is the order of `--help`.
"""
# ruff: noqa: I001 the order has a meaning

from __future__ import annotations

import logging
import os
import sys

import typer

import articulate.cli.predict_command
import articulate.cli.band_commands
import articulate.cli.measure_commands
import articulate.cli.logbook_commands
import articulate.cli.learn_command
import articulate.cli.audit_command
import articulate.cli.explain_commands
import articulate.cli.target_command
import articulate.cli.blocks_command
import articulate.cli.compare_commands
import articulate.cli.tyre_commands
import articulate.cli.figure_commands
import articulate.cli.report_commands
import articulate.cli.handover_commands
import articulate.cli.vehicle_commands
import articulate.cli.derive_command  # noqa: F401 registers, as those above
from articulate.cli.app import app
from articulate.cli.terminal import CannotPrintError, open_streams


# A sum's last digits hang on the number of threads that share it, and our arrays gain nothing from threads.
ONE_THREAD = (
    "OPENBLAS_NUM_THREADS",
    "OMP_NUM_THREADS",
    "MKL_NUM_THREADS",
    "BLIS_NUM_THREADS",
    "VECLIB_MAXIMUM_THREADS",
)


def main() -> None:
    """Entry point of the command."""
    os.environ.update(dict.fromkeys(ONE_THREAD, "1"))  # read when the numerical libraries are loaded, later
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # there are none of ours; to look for them takes time
    logging.getLogger("matplotlib").setLevel(logging.ERROR)  # which fonts it finds is not for the reader of an answer
    open_streams()
    try:
        app()
    except CannotPrintError as error:
        typer.echo(str(error), err=True)
        sys.exit(2)
