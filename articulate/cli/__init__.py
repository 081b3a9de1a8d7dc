"""Command line: parse, call, print, exit code (0 fine, 1 ran and found a problem, 2 bad usage or file)."""

from __future__ import annotations

import logging
import os
import signal
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
    for name in ("SIGTERM", "SIGHUP"):  # else what it began elsewhere, and temporary files, would stay
        number = getattr(signal, name, None)  # not every system has both
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:  # `nohup` lets it go on
            signal.signal(number, _end)
    try:
        app()
    except CannotPrintError as error:
        typer.echo(str(error), err=True)
        sys.exit(2)


def _end(number: int, _: object) -> None:
    sys.exit(128 + number)  # as shells count
