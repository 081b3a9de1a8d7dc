"""The demo vehicles and run sheets that come with the program, as files to lay out in a folder."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

FOLDER = "vehicle_specs_demo"


def demo_files() -> Mapping[str, str]:
    """Text of each demo file by its path in the demo folder, such as "run_sheets/wagon_run_sheet.toml".

    Raises:
        FileNotFoundError: they did not come with this copy of the program.
    """
    here = Path(__file__).resolve().parent
    for folder in (here / FOLDER, here.parent / FOLDER):  # in an installed package; in a source tree
        found = sorted(folder.rglob("*.toml"))
        if found:
            return {path.relative_to(folder).as_posix(): path.read_text(encoding="utf-8") for path in found}
    raise FileNotFoundError(f"no {FOLDER} in {here} nor beside it; install the program again")
