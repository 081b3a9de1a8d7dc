"""A run sheet made of command-line options, with faults that name the option."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from articulate.measure.run_sheet import RunSheet
from articulate.measure.sheet_load import resolve_sheet
from articulate.spec.errors import SpecError
from articulate.spec.load import Document
from articulate.spec.source_lines import Path, SourceLines

UNNAMED = "a single reading"  # the vehicle's name, where none is given

# Where an option goes in a sheet; the readings, side and bars go into its one run.
_PLACES: Mapping[str, Path] = {
    "wheelbase": ("wheelbase",),
    "ramp_angle": ("ramp", "angle"),
    "resolution": ("tape", "resolution"),
    "radius_on_flat": ("wheel", "radius_on_flat"),
    "radius_on_ramp": ("wheel", "radius_on_ramp"),
    "touch_load": ("method", "touch_load"),
    "roll_back": ("method", "roll_back"),
}


@dataclass(frozen=True)
class OptionDocument(Document):
    """A document whose keys were typed as options."""

    def place(self, path: Path) -> tuple[str, int | None]:
        """The option that put a key there."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.settings:
                return self.settings[path[:end]], None
        return "options", None


def sheet_of_options(typed: Mapping[str, Any], *, with_vehicle: bool = False) -> RunSheet:
    """The sheet of a single run, typed as options by name, a reading as a list of texts.

    `with_vehicle` says that a vehicle file comes beside it, so that a radius may be missing.

    Raises:
        SpecError: every fault, each at its option.
    """
    try:
        return replace(resolve_sheet(_document(typed), with_vehicle=with_vehicle), date="")
    except SpecError as error:
        raise SpecError(replace(fault, key="", works=_as_options(fault.works)) for fault in error.faults) from None


def _as_options(works: str) -> str:
    """What would work, with the options for the keys of a sheet."""
    for name, path in _PLACES.items():
        works = works.replace(f"{'.'.join(map(str, path))} = ", f"--{name.replace('_', '-')} ")
    return works


def _document(typed: Mapping[str, Any]) -> OptionDocument:
    data: dict[str, Any] = {
        "vehicle": UNNAMED,
        "date": "2000-01-01",  # a sheet has a day; that of a single reading is not said
        "run": [{"side": "left", "bars": "connected"}],
    }
    places: dict[Path, str] = {}
    for name, value in typed.items():
        path: Path = _PLACES.get(name, ("run", 0, name))
        places[path] = f"--{name.replace('_', '-')}"
        table: Any = data
        for part in path[:-1]:
            table = table.setdefault(part, {}) if isinstance(part, str) and part != "run" else table[part]
        table[path[-1]] = value
    taken = [f"--{name} {data['run'][0][name]}" for name in ("side", "bars") if name not in typed]
    remarks = (f"taken as {' '.join(taken)}",) if taken else ()
    return OptionDocument("options", "", data, SourceLines({}), places, remarks)
