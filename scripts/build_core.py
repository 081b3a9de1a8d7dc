"""Build step of the wheel and of an editable install: the compiled equations, where there is a C compiler."""

from __future__ import annotations

import sys
import sysconfig
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

sys.path.insert(0, str(Path(__file__).resolve().parent))

import core_library


class CompiledEquations(BuildHookInterface):  # type: ignore[misc]
    """Adds the library to the wheel; without one the wheel is of Python alone and fits every machine."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Make the library, or go on without."""
        folder = Path(self.root) / "articulate" / "compiled"
        self.app.display_info(core_library.build(folder))
        made = [path.relative_to(self.root).as_posix() for path in folder.glob("solver-*.so")]
        if made and version == "standard":
            build_data["artifacts"] += made
            build_data["pure_python"] = False
            build_data["tag"] = f"py3-none-{sysconfig.get_platform().replace('-', '_').replace('.', '_')}"
