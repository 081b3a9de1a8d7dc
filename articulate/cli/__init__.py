"""Command line: parse, call, print, exit code (0 fine, 1 ran and found a problem, 2 bad usage or file)."""

from __future__ import annotations

import logging
import os
import sys

import typer

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
