"""Reading what was typed: files and values, with all that is wrong noted before anything is done."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace as with_name
from pathlib import Path
from typing import TYPE_CHECKING

from articulate.cli.places import REFUSED, refuse

if TYPE_CHECKING:
    from articulate.measure.run_sheet import RunSheet
    from articulate.model.vehicles import Vehicles
    from articulate.output.units import Lengths
    from articulate.spec import SpecError, VehicleSpec
    from articulate.spec.quantities import Estimate
    from articulate.trace import Watched

stop = refuse


def stop_at(faults: list[str]) -> None:
    """Stop with everything that is wrong, where anything is."""
    if every := [*REFUSED.get(), *faults]:
        stop(list(dict.fromkeys(line for text in every for line in _lines(text))))


def _lines(text: str) -> list[str]:
    return text.split("\n") if "\n" in text else [text]  # one line keeps the parts of its fault


def load_spec(path: Path, settings: list[str] | None = None) -> VehicleSpec:
    """Read a vehicle file with its what-if settings, or stop with all its faults."""
    faults: list[str] = []
    spec = read_spec(path, settings, faults)
    stop_at(faults)
    assert spec is not None
    return spec


def stop_if_doubtful(spec: VehicleSpec) -> None:
    """Stop with every value of a vehicle file that looks unlike what is meant, where there is any."""
    from articulate.spec.plausibility import doubts

    if asked := doubts(spec):
        stop("\n".join(map(str, asked)))


def read_spec(path: Path, settings: list[str] | None, faults: list[str]) -> VehicleSpec | None:
    """Read a vehicle file with its what-if settings; what is wrong goes to the faults."""
    from articulate.spec import SpecError, load_vehicle, read_vehicle, with_settings

    pairs, odd = [], []
    for setting in settings or []:
        key, separator, value = setting.partition("=")
        if separator:
            pairs.append((key.strip(), value.strip()))
        else:
            odd.append(f"--set {setting}: an equals sign is missing; write --set front.travel.bump='80 mm'")
    faults += odd
    try:
        spec = read_vehicle(_standard_input("vehicle"), "standard input") if str(path) == "-" else load_vehicle(path)
        return with_settings(spec, pairs) if pairs and not odd else spec
    except SpecError as error:
        faults += error.said
        return None


def told_apart(specs: Sequence[VehicleSpec]) -> list[VehicleSpec]:
    """The vehicles, those of one name named after their files too, so that no result takes two for one."""
    names = names_apart([(spec.name, spec.path) for spec in specs])
    return [with_name(spec, name=name) for spec, name in zip(specs, names, strict=True)]


def names_apart(found: Sequence[tuple[str, str]]) -> list[str]:
    """Names of what was read from files, each with its path; those that several have say the file too."""
    names = Counter(name for name, _ in set(found))
    stems = Counter(Path(path).stem for path in {path for _, path in found})
    return [
        name if names[name] < 2 else f"{name} ({Path(path).stem if stems[Path(path).stem] < 2 else path})"
        for name, path in found
    ]


def read_sheet(path: Path, faults: list[str], *, with_vehicle: bool = False) -> RunSheet | None:
    """Read a run sheet, `with_vehicle` where a vehicle file comes beside it; what is wrong goes to the faults."""
    from articulate.measure import sheet_load
    from articulate.spec import SpecError

    try:
        if str(path) == "-":
            return sheet_load.read_sheet(_standard_input("run sheet"), "standard input", with_vehicle=with_vehicle)
        return sheet_load.load_sheet(path, with_vehicle=with_vehicle)
    except SpecError as error:
        faults += error.said
        return None


def read_vehicle_of(sheet: RunSheet, faults: list[str]) -> VehicleSpec | None:
    """The vehicle file a run sheet names, None where it names none; what is wrong goes to the faults."""
    from articulate.spec.errors import Fault, FaultText
    from articulate.spec.load import as_read

    path = sheet.vehicle_path
    if path is None or path.exists():
        return None if path is None else read_spec(path, None, faults)
    place, line = sheet.document.place(("vehicle_file",))
    why, works = f"there is no file {path}", "correct it, or leave it out"
    faults.append(FaultText.of(Fault(place, line, "vehicle_file", as_read(sheet.vehicle_file), why, works)))
    return None


def _standard_input(what: str) -> str:
    """The text that is sent in, refused as that of a file is."""
    import sys

    from articulate.spec.load import read_stream

    return read_stream(None if sys.stdin is None else sys.stdin.buffer, "standard input", what)


def check_size(option: str, code: str, faults: list[str]) -> None:
    """Note what is no size code of a tyre."""
    from articulate.spec.errors import QuantityError
    from articulate.spec.tyres import read_tyre_size

    try:
        read_tyre_size(code)
    except QuantityError as error:
        faults.append(f"{option} {code}: {error}")


def as_tyre_options(error: SpecError) -> str:
    """The faults of tyres asked for with --tyre and --pressure, as typed; each once, not for every axle."""
    options = {"tyre.size": "--tyre", "tyre.pressure": "--pressure"}
    said = []
    for fault in error.faults:
        option = next((one for key, one in options.items() if fault.key.endswith(key)), "")
        typed = fault.place.partition("=")[2]
        said.append(f"{option} {typed}: {fault.why}; {fault.works}" if option and fault.line is None else str(fault))
    return "\n".join(dict.fromkeys(said))


def build_or_stop(vehicle: Path, spec: VehicleSpec) -> tuple[Vehicles, Watched]:
    """The arrays of a vehicle and what its climbs watch of its body, or stop where no vehicle can be so."""
    from articulate.spec import UnphysicalError, build
    from articulate.studies.population.watched import watched_of

    try:
        return build(spec), watched_of(spec)
    except UnphysicalError as error:
        stop(error.said)


def read_option(option: str, text: str, kind: str, faults: list[str]) -> Estimate | None:
    """Read an option's quantity with its tolerance, kind such as LENGTH; what is wrong goes to the faults."""
    from articulate.spec import quantities
    from articulate.spec.errors import QuantityError

    try:
        return quantities.read_quantity(text, getattr(quantities, kind))
    except QuantityError as error:
        faults.append(f"{option} {text}: {error}")
        return None


def lengths_for(units: str, specs: Sequence[VehicleSpec], sheet: RunSheet | None = None) -> Lengths:
    """How lengths are shown: as asked for, else as the vehicle files, or the tape of a run sheet, have them."""
    from articulate.output.units import IMPERIAL, METRIC, lengths_of, lengths_of_sheet

    asked = {"metric": METRIC, "imperial": IMPERIAL}.get(units)
    return asked or (lengths_of(specs) if sheet is None else lengths_of_sheet(sheet))


def check_number(option: str, value: int, low: int, high: int, usual: int, faults: list[str]) -> None:
    """Note a whole number that is outside its limits."""
    if not low <= value <= high:
        faults.append(f"{option} {value}: outside {low} to {high}; {usual} is the default")
