"""What-if settings: one key of a vehicle replaced, with everything that hangs on it.

A setting goes into the document before it is resolved, so it is read, checked and reported like a line of the
file. Where the file describes the same thing in another form, that form gives way and a remark says so.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Mapping, MutableMapping
from dataclasses import replace
from typing import Any

from articulate.spec.build import nominal_axle_masses, nominal_gaps, nominal_travel
from articulate.spec.errors import Fault, SpecError, nearest
from articulate.spec.key_advice import advice_for
from articulate.spec.key_lookup import all_keys, model_at, only_of, place_of, table_at
from articulate.spec.keys import Axle, Forms, Table, long_form
from articulate.spec.load import Document, as_read, dotted, nearest_anywhere
from articulate.spec.resolve import resolve
from articulate.spec.source_lines import Path
from articulate.spec.vehicle_spec import VehicleSpec
from articulate.types import AXLES

_INDEX = re.compile(r"(load|body_point|(?:front|rear)\.wheelhouse)(?:\[(\d+)\]|\.(.+))\.([a-z_]+)")


def with_setting(spec: VehicleSpec, key: str, value: str) -> VehicleSpec:
    """The vehicle with one key of its file set otherwise.

    Args:
        spec: the vehicle; it is left as it is.
        key: dotted key of the file, `front.travel.bump`; a load or body point by name or number,
            `load.driver.mass` or `load[1].mass`.
        value: what would stand in the file, without quotes: `80 mm`, `true`, `{ value = "80 mm", … }`.

    Returns:
        The vehicle resolved anew; its remarks say what the setting replaced.

    Raises:
        SpecError: no such key (with the nearest name), or any fault of the vehicle that results.
    """
    return with_settings(spec, [(key, value)])


def with_settings(spec: VehicleSpec, settings: Iterable[tuple[str, str]]) -> VehicleSpec:
    """The vehicle with several keys set, one after the other; resolved once, at the end.

    Raises:
        SpecError: as `with_setting`, all unknown keys at once.
    """
    faults: list[Fault] = []
    document = spec.document
    for key, value in settings:
        setting = _Setting(spec, document, key.strip(), value.strip())
        try:
            document = setting.applied()
        except SpecError as error:
            faults += error.faults
    if faults:
        raise SpecError(faults)
    return resolve(document)


class _Setting:
    """One setting on its way into a document."""

    def __init__(self, spec: VehicleSpec, document: Document, key: str, value: str) -> None:
        self.spec, self.document = spec, document
        self.typed, self.key, self.value = f"{key}={value}", key, value
        self.data = document.changed()
        self.settings = dict(document.settings)
        self.remarks = list(document.remarks)

    def applied(self) -> Document:
        path = self.path()
        value = self.parsed()
        if path[-1] == "anti_roll_bar" and (isinstance(value, bool) or value == "unknown"):
            self.bar(path, value)
        elif path[1:] == ("anti_roll_bar", "fitted") and value == "unknown":
            self.bar(path[:-1], value)
        else:
            self.give_way(path, value)
            self.put(path, value)
        return replace(self.document, data=self.data, settings=self.settings, remarks=tuple(self.remarks))

    def path(self) -> Path:
        """The key as a path of the document; loads and body points by number or name."""
        indexed = _INDEX.fullmatch(self.key)
        if indexed:
            part, number, name, last = indexed.groups()
            inside = tuple(part.split("."))
            names = [item["name"] for item in self.document_at(inside) or []]
            if name is not None and name not in names and len(name) > 1 and name[0] == name[-1] and name[0] in "\"'":
                name = name[1:-1]  # as TOML would have a name with a dot in it
            if number is not None and 1 <= int(number) <= len(names):
                index = int(number) - 1
            elif name in names:
                index = names.index(name)
            else:
                known = ", ".join(names)
                raise self.fault(
                    f"there is no such {part} in {self.document.name}",
                    f"the names are {known}" if known else f"add a [[{part}]] to the file",
                )
            if place_of(f"{part}.{last}") is None:
                raise self.unknown(f"{part}.{last}")
            return (*inside, index, last)
        if place_of(self.key) is None:
            raise self.unknown(self.key)
        if self.key in ("load", "body_point", "front.wheelhouse", "rear.wheelhouse"):
            raise self.fault("it is a list", f"set a key of one of them, such as {self.key}[1].height")
        return tuple(self.key.split("."))

    def unknown(self, key: str) -> SpecError:
        keys, parts = all_keys(), key.split(".")
        either = [f"{axle}.{key}" for axle in AXLES if f"{axle}.{key}" in keys]
        # Names of things that go by another name here, before what is spelled alike; a table that is there is none.
        looked_for = [part for k, part in enumerate(parts) if ".".join(parts[: k + 1]) not in keys]
        known = None if parts[0] == "load" else next(filter(None, map(advice_for, reversed(looked_for))), None)
        close = nearest(key, keys)
        works = f"write {' or '.join(either)}" if either else known or (f"write {close}" if close else "")
        return self.fault("there is no such key", works or nearest_anywhere(key) or "the template names every key")

    def fault(self, why: str, works: str) -> SpecError:
        return SpecError([Fault(f"--set {self.typed}", None, self.key, as_read(self.value), why, works)])

    def parsed(self) -> Any:
        """The value as TOML would have it; a text without quotes is a text."""
        if self.value in ("true", "false"):
            return self.value == "true"
        if self.value.startswith(("{", '"')):
            try:
                return tomllib.loads(f"value = {self.value}")["value"]
            except tomllib.TOMLDecodeError:
                if self.value.startswith("{"):
                    raise self.fault(
                        "it is not an inline table", 'write { value = "80 mm", plus_minus = "2 mm" }'
                    ) from None
        return self.value

    def bar(self, path: Path, fitted: bool | str) -> None:
        before = self.document_at(path)
        if fitted is True and isinstance(before, Mapping):
            self.put((*path, "fitted"), True)
            self.remove((*path, "chance"), f"{dotted(path)} is there")
            return
        if fitted == "unknown" and isinstance(before, Mapping):
            for key in sorted(set(before) - {"fitted"}):
                self.remove((*path, key), "whether there is a bar is not known")
        self.put(path, fitted)

    def give_way(self, path: Path, value: object) -> None:
        """Remove what describes the same thing otherwise, and keep the rest of it as it was."""
        table = str(path[-2]) if len(path) > 1 else ""
        last = str(path[-1])
        kind = "axle" if table in ("front", "rear") else table
        model = model_at(path[:-1])
        for group in model.forms if model else ():
            self.drop_alternatives(path[:-1], last, group)
        if kind == "anti_roll_bar":
            self.bar_key(path[:-1], last, value)
        if kind == "mass" and last in ("total", "front_share", "front_axle", "rear_axle"):
            self.masses(last)
        if kind == "travel" and last != "counted":
            self.travel(path[:-1], last)
        if kind == "twist_beam":
            for key in ("swing_arm_length", "swing_arm_over_track"):
                self.remove((*path[:-2], key), f"{dotted(path)} replaces it")
        if kind == "drive":
            self.drive(path[:-1], last, value)
        if kind == "tyre" and last in ("size", "diameter"):
            self.tyre(path[:-1], last)
        if kind == "tyre" and last == "pressure":
            self.pressure(path[:-1])
        if kind == "axle" and last == "suspension":
            self.leave_out_others(path[:-1], Axle, str(value))

    def leave_out_others(self, table: Path, model: type[Table], suspension: str) -> None:
        """Remove what does not go with another suspension."""
        for key in model.model_fields:
            only, inner = only_of(model, key), table_at(model, key)
            if only and suspension not in only:
                self.remove((*table, key), f"it does not go with {suspension} suspension")
            elif inner is not None:
                self.leave_out_others((*table, key), inner, suspension)

    def drop_alternatives(self, table: Path, key: str, forms: Forms) -> None:
        together = {other for form in forms if key in form for other in form}
        if together:
            for other in sorted({other for form in forms for other in form} - together):
                self.remove((*table, other), f"{dotted((*table, key))} replaces it")

    def bar_key(self, path: Path, last: str, value: object) -> None:
        """A key of a bar says whether there is one: its chance that nobody knows, its rate that there is."""
        if last == "chance":
            if not self.bar_unknown(path):
                self.bar(path, "unknown")
        elif last == "fitted":
            if value is True:
                self.remove((*path, "chance"), f"{dotted(path)} is there")
        elif last != "releasable":
            self.fit_bar(path)

    def fit_bar(self, path: Path) -> None:
        before = self.document_at(path)
        absent = before is False or (isinstance(before, Mapping) and before.get("fitted") is False)
        if absent or self.bar_unknown(path):
            self.put((*path, "fitted"), True)
            self.remove((*path, "chance"), f"{dotted(path)} is there")
            self.remarks.append(f"{dotted(path)}: a bar is taken as fitted")

    def bar_unknown(self, path: Path) -> bool:
        before = self.document_at(path)
        return bool(before == "unknown" or (isinstance(before, Mapping) and before.get("fitted") == "unknown"))

    def drive(self, table: Path, last: str, value: object) -> None:
        """Remove what does not go with another choice of driven wheels, differential or centre."""
        axle = last.removesuffix("_differential")
        gone: tuple[str, ...] = ()
        if last == "driven_wheels" and value in AXLES:
            other = AXLES[1 - AXLES.index(str(value))]
            gone = (f"{other}_differential", f"{other}_bias_ratio", "centre", "centre_front_share")
        elif last == "centre" and value != "open":
            gone = ("centre_front_share",)
        elif axle in AXLES and value != "limited slip":
            gone = (f"{axle}_bias_ratio",)
        for name in gone:
            self.remove((*table, name), f"it does not go with {last.replace('_', ' ')} {value}")

    def masses(self, last: str) -> None:
        """Keep the share when the total is set, the total when the share is, the other axle when one is."""
        front, rear = nominal_axle_masses(self.spec)
        total, share = f"{front + rear:.6g} kg", f"{100.0 * front / (front + rear):.6g} %"
        if last in ("total", "front_share"):
            kept = ("front_share", share) if last == "total" else ("total", total)
            gone = ("front_axle", "rear_axle")
        else:
            kept = ("rear_axle", f"{rear:.6g} kg") if last == "front_axle" else ("front_axle", f"{front:.6g} kg")
            gone = ("total", "front_share")
        self.keep(("mass",), last, kept, gone)

    def travel(self, table: Path, last: str) -> None:
        """Keep droop when bump is set and the reverse, the share when the total is set and the reverse.

        Where it is not said how travel counts, a bump that is set is a gap to first touch, and so is what is kept.
        """
        axle = str(table[0])
        choices = self.spec.axles[AXLES.index(axle)]
        said = self.document_at((*table, "counted")) is not None
        to_first_touch = last == "bump" or self.document_at((*table, "bump")) is not None
        if said or not to_first_touch:
            bump, droop = nominal_travel(self.spec, axle)
        else:
            bump, droop = nominal_gaps(self.spec, axle)
        if not said and last != "bump" and choices.to_full_bump is (last == "droop"):
            counted = "to full bump" if choices.to_full_bump else "to first touch"
            self.put((*table, "counted"), counted)
            self.remarks.append(f"{dotted(table)} still counts {counted}")
        texts = {
            "bump": f"{bump * 1e3:.6g} mm",
            "droop": f"{droop * 1e3:.6g} mm",
            "total": f"{(bump + droop) * 1e3:.6g} mm",
            "bump_share": f"{100.0 * bump / (bump + droop):.6g} %" if bump + droop else "50 %",
        }
        partner = {"bump": "droop", "droop": "bump", "total": "bump_share", "bump_share": "total"}[last]
        gone = [name for name in texts if name not in (last, partner)]
        self.keep(table, last, (partner, texts[partner]), gone)

    def keep(self, table: Path, last: str, kept: tuple[str, str], gone: Iterable[str]) -> None:
        name, text = kept
        removed = [key for key in gone if self.remove((*table, key), f"{dotted((*table, last))} replaces it")]
        if self.document_at((*table, name)) is not None:
            return
        before = self.spec.inputs.get(dotted((*table, name)))
        if not removed and before is not None and before.source == "assumed":
            return  # nothing was given, so it stays assumed with its range
        self.put((*table, name), {"value": text, "basis": "kept as it was before the setting"})
        self.remarks.append(f"{dotted((*table, name))} is kept at {text}")

    def tyre(self, table: Path, last: str) -> None:
        """Another tyre: what was measured on the one before stays so, and the body rises with the new."""
        own = self.document_at(table) or {}
        common = self.document_at(("tyre",)) or {}
        measured = own.get("heights_measured_on") or common.get("heights_measured_on")
        describing = own if "size" in own or "diameter" in own else common
        before = describing.get("diameter") or describing.get("size")
        if last == "size":
            for name in ("diameter", "width", "rim_diameter", "section_radius", "vertical_stiffness"):
                self.remove((*table, name), "it belonged to the tyre before")
            if self.document_at((*table, "mass_change")) is None:
                self.remarks.append(
                    f"{dotted(table)}: it weighs what the one before did, without {dotted(table)}.mass_change"
                )
        elif describing is not own:  # the axle gets its own tyre: width and rim as they were
            for name in ("size", "width", "rim_diameter"):
                if name in common:
                    self.put((*table, name), common[name])
        if measured is None and before is not None:
            self.put((*table, "heights_measured_on"), before)
            self.remarks.append(
                f"{dotted(table)}: heights and arch gaps count as measured on {as_read(before)}, "
                "and the body rises or sinks with the tyre"
            )

    def pressure(self, table: Path) -> None:
        """Another pressure: heights were measured at the one before, and the body sinks or rises."""
        key = dotted((*table, "heights_measured_at"))
        common = self.document_at(("tyre", "heights_measured_at"))
        before = self.spec.inputs.get(dotted((*table, "pressure"))) or self.spec.inputs.get("tyre.pressure")
        if before is None or common is not None or self.document_at((*table, "heights_measured_at")) is not None:
            return
        given = self.document_at((*table, "pressure")) or self.document_at(("tyre", "pressure"))
        text = given if given is not None else {"value": f"{before.value / 1e3:.6g} kPa", "source": "assumed"}
        self.put((*table, "heights_measured_at"), text)
        self.remarks.append(f"{key} is taken as {as_read(given) if given is not None else before.text}")

    def document_at(self, path: Path) -> Any:
        return replace(self.document, data=self.data).at(path)

    def put(self, path: Path, value: Any) -> None:
        """Put a value in place, making the tables on its way."""
        put_in(self.data, path, value, _opened)
        self.settings[path] = self.typed

    def remove(self, path: Path, why: str) -> bool:
        """Remove a key if it is there, and say so."""
        before = self.document_at(path)
        table = self.document_at(path[:-1])
        if before is None or not isinstance(table, MutableMapping):
            return False
        del table[path[-1]]
        place, line = self.document.place(path)
        where = place if line is None else f"line {line}"
        self.remarks.append(f"{dotted(path)} ({as_read(before)}, {where}) is left out: {why}")
        return True


def put_in(document: MutableMapping[str, Any], path: Path, value: Any, opened: Callable[[Any, str], Any]) -> None:
    """Put a value into a document.

    Args:
        document: the outermost table; changed.
        path: of the value.
        value: to be put there.
        opened: what is to stand in a table under a key on the way, where so far something else, or nothing, stands.
    """
    table: Any = document
    for part in path[:-1]:
        if not isinstance(part, int) and not isinstance(table.get(part), MutableMapping | list):
            table[part] = opened(table, part)
        table = table[part]
    table[path[-1]] = value


def _opened(table: Any, part: str) -> Any:
    """A table; `anti_roll_bar = true` and its like become theirs."""
    inner = long_form(part, table.get(part))
    return inner if isinstance(inner, MutableMapping) else {}
