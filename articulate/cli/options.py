"""Options that many commands have."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from articulate.cli.places import AS_FILED

VehicleFile = Annotated[Path, typer.Argument(metavar="VEHICLE", help="Vehicle file (TOML); - for standard input.")]
Settings = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="KEY=VALUE", help="What-if: any key of the file, e.g. front.travel.bump='80 mm'."),
]
AsJson = Annotated[bool, typer.Option("--json", help="Plain data with SI keys.")]
Full = Annotated[bool, typer.Option("--full", help="All there is to say, not just the answer.")]
Units = Annotated[
    str,
    typer.Option(
        "--units",
        metavar="KIND",
        show_default=False,
        help="Lengths in metric or imperial units alone; without it, or with both, in the file's own first.",
    ),
]
BarsOfRun = Annotated[str, typer.Option("--bars", help="Bars connected or released.")]
Strict = Annotated[
    bool, typer.Option("--strict", help="Stop at values that look unlike what is meant, instead of asking.")
]
Replace = Annotated[bool, typer.Option("--replace", help="Let a file that is there be replaced.")]


@dataclass(frozen=True)
class WhatIf:
    """What is set in a vehicle whose files are made, and the lengths that they tell."""

    settings: Settings = None
    units: Units = AS_FILED


@dataclass(frozen=True)
class Files(WhatIf):
    """How files are made."""

    replace: Replace = False
