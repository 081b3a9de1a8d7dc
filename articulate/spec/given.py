"""The quantities a vehicle file gives, and the account of them: which became inputs, what is wrong, what is unused."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from articulate.spec.defaults import Default
from articulate.spec.errors import Fault
from articulate.spec.key_lookup import entry_of, forms_of, quantities_in
from articulate.spec.keys import VehicleFile
from articulate.spec.load import Document, as_read, dotted
from articulate.spec.quantities import Estimate
from articulate.spec.source_lines import Path


class Account:
    """What a file gives, taken as inputs or refused, with every fault at its place.

    Attributes:
        given: quantities of the file, by the key of their input.
        paths: where they stand, by the same keys.
        inputs: those taken so far, and the defaults assumed.
        faults: so far.
        remarks: for whoever reads the result.
    """

    def __init__(self, document: Document, file: VehicleFile) -> None:
        self.document = document
        self.file = file
        self.faults: list[Fault] = []
        self.remarks: list[str] = []
        self.inputs: dict[str, Estimate] = {}
        self.given: dict[str, Estimate] = {}
        self.paths: dict[str, Path] = {}
        self.chances: set[str] = set()  # keys read as a chance, which is no input of its own
        for path, read in quantities_in(file).items():
            key = self._key(path)
            self.paths[key] = path
            self.given[key] = read.placed(self.document.where(path))

    def has(self, key: str) -> bool:
        """Whether the file gives a quantity."""
        return key in self.given

    def take(self, key: str) -> None:
        """Make a quantity an input where it is given."""
        if key in self.given:
            self.inputs[key] = self.given[key]

    def assume(self, key: str, by: object = None) -> None:
        """Make a quantity an input, given or as the table of keys assumes it; `by` is the word its default hangs on."""
        self.inputs[key] = self.given[key] if key in self.given else self.default(key, by).estimate()

    def default(self, key: str, by: object = None) -> Default:
        """What the table of keys assumes for a key."""
        entry = entry_of(key)
        assumed = entry.assumed if entry else None
        if isinstance(assumed, Mapping):
            assumed = assumed[by]
        assert assumed is not None, f"the table of keys assumes nothing for {key}"
        return assumed

    def one_of(self, key: str, by: object = None, *, assumed: bool = True) -> str | None:
        """Take the one form that is given of what a key says, or assume that key; two forms are a fault."""
        part = key.rpartition(".")[0]
        names = dict.fromkeys(form[0] for form in forms_of(key))
        forms = [f"{part}.{name}" for name in names if self.has(f"{part}.{name}")]
        if len(forms) > 1:
            self.fault(forms[1], f"{_words(forms[0])} says it already", "keep one of the two")
        if forms:
            self.take(forms[0])
            return _words(forms[0])
        if assumed:
            self.assume(key, by)
            return _words(key)
        return None

    def all_of(self, keys: Sequence[str], why: str) -> None:
        """Take quantities that only together say something; each that is not given is a fault."""
        for key in keys:
            self.take(key)
            if not self.has(key):
                self.missing(tuple(key.split(".")), why, f"give {', '.join(keys)}")

    def refuse(self, keys: Iterable[str], why: str, works: str) -> None:
        """Note each of these keys that is given as a fault."""
        for key in keys:
            if self.has(key):
                self.fault(key, why, works)

    def fault(self, key: str, why: str, works: str) -> None:
        """Note a fault of a given quantity at its place."""
        path = self.paths[key]
        place, line = self.document.place(path)
        self.faults.append(Fault(place, line, dotted(path), as_read(self.document.at(path)), why, works))

    def missing(self, path: Path, why: str, works: str) -> None:
        """Note that something is needed which is not there."""
        place, line = self.document.place(path)
        self.faults.append(Fault(place, line, dotted(path), "nothing", why, works))

    def unused(self) -> None:
        """Say of every quantity that entered nothing that it did."""
        faulty = {fault.key for fault in self.faults}
        for key, path in self.paths.items():
            told = any(remark.startswith(f"{key} ") for remark in self.remarks)
            if key.startswith("shape."):  # pictures use it
                continue
            if key not in self.inputs and key not in self.chances and not told and dotted(path) not in faulty:
                self.remarks.append(f"{key} is not used")

    def named(self, part: str, names: Sequence[str]) -> tuple[str, ...]:
        """Take the quantities of a list of named tables."""
        for index, name in enumerate(names):
            if name in names[:index]:
                path: Path = (*part.split("."), index, "name")
                place, line = self.document.place(path)
                works = "give each its own name"
                self.faults.append(Fault(place, line, dotted(path), as_read(name), "the name is taken", works))
        for key in self.given:
            if key.startswith(f"{part}."):
                self.take(key)
        return tuple(names)

    def _key(self, path: Path) -> str:
        """The dotted key of an input; a load or point goes by its name."""
        for place, part in enumerate(path):
            if isinstance(part, int):
                item: Any = self.file
                for step in path[: place + 1]:
                    item = item[step] if isinstance(step, int) else getattr(item, step)
                return ".".join([*map(str, path[:place]), item.name, *map(str, path[place + 1 :])])
        return dotted(path)


def _words(key: str) -> str:
    return key.rpartition(".")[2]
