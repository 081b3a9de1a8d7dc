"""Command line: parse, call, print, exit code (0 fine, 1 ran and found a problem, 2 bad usage or file).

Each module registers its commands with the app when it is imported; the order here is the order of `--help`.
"""

from __future__ import annotations

from articulate.cli import (
    derive_command,  # noqa: F401
    figure_commands,  # noqa: F401
    predict_command,  # noqa: F401 registers
    report_commands,  # noqa: F401
    vehicle_commands,  # noqa: F401
)
from articulate.cli.app import app


def main() -> None:
    """Entry point of the command."""
    app()
