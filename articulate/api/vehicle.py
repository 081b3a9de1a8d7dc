"""A vehicle, read from its file, changed by what-ifs."""

from __future__ import annotations

import html
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from articulate.errors import ArgumentError
from articulate.spec import Estimate, VehicleSpec, build, load_vehicle, read_vehicle, with_settings

if TYPE_CHECKING:
    from articulate.model.vehicles import Vehicles


@dataclass(frozen=True, repr=False, eq=False)
class Vehicle:
    """A vehicle as its file says it, with what was set.

    Attributes:
        spec: the resolved vehicle: every input with value, range, source and basis [SI].
    """

    spec: VehicleSpec

    @property
    def name(self) -> str:
        """Name, with a word that it was changed where it was."""
        return self.spec.name

    def what_if(self, **settings: str) -> Vehicle:
        """The vehicle with some keys set, each as the line of the file would say it.

        Keys have dots, so they are given as a mapping: `wagon.what_if(**{"rear.travel.bump": "95 mm"})`; a double
        underscore stands for a dot: `wagon.what_if(rear__travel__bump="95 mm")`.

        Raises:
            SpecError: every key or value that cannot be used, with what would work.
        """
        pairs = [(key.replace("__", "."), _text(key, value)) for key, value in settings.items()]
        return Vehicle(with_settings(self.spec, pairs))

    def arrays(self) -> Vehicles:
        """The vehicle as a batch of one, for the functions of `articulate.climb` [SI].

        Raises:
            UnphysicalError: no vehicle can be as the file says.
        """
        return build(self.spec)

    def table(self) -> str:
        """Every input with its value, range and source, as text."""
        rows = [f"{key}: {one.text}{'' if one.source == 'given' else f', {one.source}'}" for key, one in self._inputs()]
        return "\n".join([self.name, *rows])

    def _inputs(self) -> list[tuple[str, Estimate]]:
        return list(self.spec.inputs.items())

    def to_dict(self) -> dict[str, Any]:
        """Every input with its value, range [SI], source and basis."""
        from articulate.output.plain_data import inputs_data

        inputs = inputs_data(self.spec.inputs)
        return {
            "vehicle": self.name,
            "file": self.spec.path,
            "file_sha256": self.spec.text_hash,
            "settings": list(self.spec.settings),
            "inputs": inputs,
        }

    def __repr__(self) -> str:
        """Name, file and how much of it is assumed."""
        assumed = f"{len(self.spec.assumed())} of {len(self.spec.inputs)} inputs assumed"
        return f"Vehicle {self.name!r} ({self.spec.path}; {assumed})"

    def _repr_html_(self) -> str:
        return f"<pre>{html.escape(self.table())}</pre>"


def _text(key: str, value: Any) -> str:
    """A value as a file would have it; a bare number of a quantity has no unit and is refused with its key."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return value
    raise ArgumentError(
        f"{key}={value!r}: values are texts as in the file, with their unit; write '{value} mm' or '1.2'"
    )


def load(path: str | Path) -> Vehicle:
    """Load a vehicle file.

    Raises:
        SpecError: every fault of the file, each with its line and what would work.
    """
    return Vehicle(load_vehicle(path))


def read(text: str, name: str = "text") -> Vehicle:
    """Read a vehicle from the text of a file.

    Raises:
        SpecError: every fault of the text, each with its line and what would work.
    """
    return Vehicle(read_vehicle(text, name))


def demo(name: str = "wagon") -> Vehicle:
    """A demo vehicle by the name of its file: wagon, short_two_door, ladder_frame_pickup and others.

    Raises:
        ArgumentError: there is none of that name; the message lists those there are.
    """
    from articulate.demo_files import FOLDER, demo_files

    texts = {path.removesuffix(".toml"): text for path, text in demo_files().items() if "/" not in path}
    if name not in texts:
        raise ArgumentError(f"no demo vehicle {name!r}; there are {', '.join(sorted(texts))}")
    return read(texts[name], f"{FOLDER}/{name}.toml")


def spec_of(vehicle: Vehicle | str | Path) -> VehicleSpec:
    """The resolved vehicle of what a person gave: a Vehicle, or the path of a file."""
    if isinstance(vehicle, Vehicle):
        return vehicle.spec
    if isinstance(vehicle, str | Path):
        return load_vehicle(vehicle)
    raise ArgumentError(f"{vehicle!r}: not a vehicle; give articulate.load(FILE) or the path of a file")
