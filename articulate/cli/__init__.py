"""Command line: parse, call, print, exit code (0 fine, 1 ran and found a problem, 2 bad usage or file).

Each module registers its commands with the app when it is imported; the order here is the order of `--help`.
"""
# ruff: noqa: I001 the order has a meaning

from __future__ import annotations

import articulate.cli.predict_command
import articulate.cli.band_commands
import articulate.cli.measure_commands
import articulate.cli.learn_command
import articulate.cli.audit_command
import articulate.cli.explain_commands
import articulate.cli.target_command
import articulate.cli.blocks_command
import articulate.cli.compare_commands
import articulate.cli.tyre_commands
import articulate.cli.figure_commands
import articulate.cli.report_commands
import articulate.cli.vehicle_commands
import articulate.cli.derive_command  # noqa: F401 registers, as those above
from articulate.cli.app import app


def main() -> None:
    """Entry point of the command."""
    app()
