"""From the text of a run sheet to a checked `RunSheet`: every fault with its line, the rest assumed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path as FilePath

from articulate.constants import DEGREE, NORMAL_90
from articulate.measure import defaults
from articulate.measure.conversions import Radii, ReadingKind, climb_of
from articulate.measure.run_sheet import RunEntry, RunSheet, angle_from_rise
from articulate.measure.sheet_schema import DayFile, RunTable, SheetFile
from articulate.spec.errors import Fault, SpecError
from articulate.spec.keys import Table
from articulate.spec.load import Document, as_read, check_as, dotted, parse, read_text
from articulate.spec.quantities import Estimate, Source, shown
from articulate.spec.source_lines import Path

LARGEST_SCORE = 3000.0  # beyond it a reading is a slip of the pen


def load_sheet(path: str | FilePath, *, with_vehicle: bool = False) -> RunSheet:
    """Load a run sheet; `with_vehicle` says that a vehicle file comes beside it, so that a radius may be missing.

    Raises:
        SpecError: every fault of the file, each with its line and what would work.
    """
    return read_sheet(read_text(path, "run sheet"), str(path), with_vehicle=with_vehicle)


def read_sheet(text: str, name: str, *, with_vehicle: bool = False) -> RunSheet:
    """Read the text of a run sheet; `name` is what its faults are reported under, `with_vehicle` as in `load_sheet`.

    Raises:
        SpecError: every fault of the text.
    """
    return resolve_sheet(parse(text, name), with_vehicle=with_vehicle)


def resolve_sheet(document: Document, *, with_vehicle: bool = False) -> RunSheet:
    """Check a document that holds one sheet; `with_vehicle` as in `load_sheet`.

    Raises:
        SpecError: every fault of the document.
    """
    if {"construction", "front", "rear"} & set(document.data) and "run" not in document.data:
        fault = Fault(document.name, None, "", "a vehicle file", "a run sheet is needed here", "name the sheet's file")
        raise SpecError([fault])
    return _resolved(document, [(check_as(SheetFile, document), ())], with_vehicle)[0]


def resolve_day(document: Document) -> tuple[RunSheet, ...]:
    """Check a document that holds the sheets of a day.

    Raises:
        SpecError: every fault of the document.
    """
    file = check_as(DayFile, document)
    return _resolved(document, [(sheet, ("sheet", index)) for index, sheet in enumerate(file.sheet)])


def _resolved(
    document: Document, files: Sequence[tuple[SheetFile, Path]], with_vehicle: bool = False
) -> tuple[RunSheet, ...]:
    faults: list[Fault] = []
    sheets = [_SheetResolver(document, file, prefix, faults, with_vehicle).sheet() for file, prefix in files]
    if faults:
        raise SpecError(faults)
    return tuple(sheets)


def _has_tolerance(reading: Estimate) -> bool:
    return reading.distribution != "exact" or any(sign in reading.written for sign in ("±", "+-", "+/-"))


class _SheetResolver:
    def __init__(
        self, document: Document, file: SheetFile, prefix: Path, faults: list[Fault], with_vehicle: bool
    ) -> None:
        self.document, self.file, self.prefix, self.faults = document, file, prefix, faults
        self.with_vehicle = with_vehicle or bool(file.vehicle_file)
        self.remarks: list[str] = list(document.remarks)

    def sheet(self) -> RunSheet:
        file = self.file
        limit = self.tape_limit()
        wheelbase = self.wheelbase()
        angle = self.ramp_angle(limit)
        wheel, method = file.wheel, file.method
        if wheel.radius_on_flat and wheel.radius_on_ramp and wheel.radius_loss:
            self.fault(("wheel", "radius_loss"), "both radii say it already", "leave it out")
        flat = self.given(wheel.radius_on_flat, ("wheel", "radius_on_flat"))
        ramp = self.given(wheel.radius_on_ramp, ("wheel", "radius_on_ramp"))
        loss = self.given(wheel.radius_loss, ("wheel", "radius_loss")) or defaults.RADIUS_LOSS.estimate()
        if flat and ramp and ramp.value > flat.value + 0.02:
            self.fault(
                ("wheel", "radius_on_ramp"),
                "a wheel that carries more stands nearer to the ground than on the flat",
                "measure it square to the ramp, or exchange the two",
            )
        runs = tuple(self.entry(index, run, angle, wheelbase, (flat, ramp, loss)) for index, run in enumerate(file.run))
        return RunSheet(
            vehicle=file.vehicle,
            vehicle_file=file.vehicle_file,
            title=file.title,
            date=file.date,
            notes=file.notes,
            wheelbase=wheelbase,
            ramp_angle=angle,
            tape_limit=limit,
            resolution=self.given(file.tape.resolution, ("tape", "resolution")),
            radius_on_flat=flat,
            radius_on_ramp=ramp,
            radius_loss=loss,
            touch_load=self.given(method.touch_load, ("method", "touch_load")) or defaults.TOUCH_LOAD.estimate(),
            climb_per_touch_load=self.given(method.climb_per_touch_load, ("method", "climb_per_touch_load")),
            roll_back=self.given(method.roll_back, ("method", "roll_back")) or defaults.ROLL_BACK.estimate(),
            marking=self.given(method.marking, ("method", "marking")) or defaults.MARKING.estimate(),
            repeatability=self.given(method.repeatability, ("method", "repeatability"))
            or defaults.REPEATABILITY.estimate(),
            runs=runs,
            remarks=tuple(self.remarks),
            document=self.document,
        )

    def given(self, reading: Estimate | None, path: Path) -> Estimate | None:
        return None if reading is None else reading.placed(self.document.where((*self.prefix, *path)))

    def fault(self, path: Path, why: str, works: str, read: str | None = None) -> None:
        whole = (*self.prefix, *path)
        place, line = self.document.place(whole)
        value = as_read(self.document.at(whole)) if read is None else read
        self.faults.append(Fault(place, line, dotted(whole), value, why, works))

    def wheelbase(self) -> Estimate:
        reading = self.file.wheelbase
        found = reading.placed(self.document.where((*self.prefix, "wheelbase")))
        if _has_tolerance(reading):
            return found
        basis = f"{found.basis}; tolerance of a tape from hub to hub, common practice, no source"
        return defaults.assumed(found.value, defaults.WHEELBASE_TOLERANCE, basis, found)

    def tape_limit(self) -> Estimate:
        tape = self.file.tape
        if tape.accuracy_class and tape.limit:
            self.fault(("tape", "limit"), "accuracy_class says it already", "keep one of the two")
        if tape.limit:
            found = tape.limit.placed(self.document.where((*self.prefix, "tape", "limit")))
            return Estimate(found.high, found.high, found.high, "exact", "given", found.basis, "mm", 1e-3)
        name = tape.accuracy_class or defaults.ASSUMED_TAPE_CLASS
        longest = max(
            (reading.value for run in self.file.run for _, values in _kinds(run) for reading in values), default=1.0
        )
        limit = defaults.tape_limit(name, longest)
        source: Source = "published" if tape.accuracy_class else "assumed"
        basis = f"class {name} up to {longest:.2f} m: Directive 2014/32/EU, not checked against a source"
        return Estimate(limit, limit, limit, "exact", source, basis, "mm", 1e-3)

    def ramp_angle(self, limit: Estimate) -> Estimate:
        ramp = self.file.ramp
        if ramp.angle is not None:
            for name in ("rise", "run", "slope_length"):
                if getattr(ramp, name) is not None:
                    self.fault(("ramp", name), "angle says it already", "keep the angle, or rise with run")
            found = ramp.angle.placed(self.document.where((*self.prefix, "ramp", "angle")))
            if _has_tolerance(ramp.angle):
                return found
            basis = f"{found.basis}; tolerance of an inclinometer, not checked against a source"
            return defaults.assumed(found.value, defaults.RAMP_ANGLE_TOLERANCE, basis, found)
        lengths = [name for name in ("rise", "run", "slope_length") if getattr(ramp, name) is not None]
        if not lengths:
            return defaults.RAMP_ANGLE.estimate()
        if len(lengths) != 2 or lengths[0] != "rise":
            why = "the angle needs the rise and one length, run or slope_length"
            self.fault(("ramp", lengths[-1]), why, 'write rise = "…" with run = "…", or angle = "20 deg ± 0.1 deg"')
            return defaults.RAMP_ANGLE.estimate()
        return self.angle_of_lengths(lengths[1], limit)

    def angle_of_lengths(self, name: str, limit: Estimate) -> Estimate:
        rise, along = (self.taped(getattr(self.file.ramp, key), ("ramp", key), limit) for key in ("rise", name))
        try:
            angle, u = angle_from_rise(rise, along, name == "slope_length")
        except ValueError as error:
            self.fault(("ramp", "rise"), str(error), "exchange the two")
            return defaults.RAMP_ANGLE.estimate()
        degrees = angle / DEGREE
        if not 5.0 <= degrees <= 35.0:
            self.fault(("ramp", "rise"), f"that makes a ramp of {degrees:.1f} deg, outside 5 to 35 deg", "check both")
        basis = f"from {rise.basis} and {along.basis}"
        half = NORMAL_90 * u
        return Estimate(angle, angle - half, angle + half, "normal", "measured", basis, "deg", DEGREE)

    def taped(self, reading: Estimate, path: Path, limit: Estimate) -> Estimate:
        """A length with its own tolerance, or that of the tape and its division."""
        found = reading.placed(self.document.where((*self.prefix, *path)))
        if _has_tolerance(reading):
            return found
        return defaults.assumed(found.value, limit.value + 0.5 * defaults.resolution_of(reading), found.basis, found)

    def entry(
        self,
        index: int,
        run: RunTable,
        angle: Estimate,
        wheelbase: Estimate,
        radii: tuple[Estimate | None, Estimate | None, Estimate],
    ) -> RunEntry:
        path: Path = ("run", index)
        found = list(_kinds(run))
        if not found:
            names = ", ".join(ReadingKind)
            self.fault(path, "it has no reading", f"give one of {names}", read="a run")
        for kind, _ in found[1:]:
            self.fault((*path, kind.value), f"{found[0][0].value} says it already", "make it a [[run]] of its own")
        kind, values = found[0] if found else (ReadingKind.MARK_HEIGHT, ())
        if found:
            self.judge(path, kind, values, angle, wheelbase, radii)
        if run.lifted == f"front {run.side}":
            self.fault((*path, "lifted"), "that wheel stands on the ramp", 'write lifted = "rear left"')
        where = self.document.where((*self.prefix, *path, kind.value))
        return RunEntry(
            number=index + 1,
            side=run.side,
            bars=run.bars,
            kind=kind,
            readings=tuple(value.placed(where) for value in values),
            lifted=run.lifted,
            roll_angle=self.given(run.roll_angle, (*path, "roll_angle")),
            pitch_angle=self.given(run.pitch_angle, (*path, "pitch_angle")),
            wheel_load=self.corners(run.wheel_load, (*path, "wheel_load")),
            hub_travel=self.corners(run.hub_travel, (*path, "hub_travel")),
            arch_gap=self.corners(run.arch_gap, (*path, "arch_gap")),
            time=run.time,
            notes=run.notes,
            line=self.document.place((*self.prefix, *path))[1],
        )

    def judge(
        self,
        path: Path,
        kind: ReadingKind,
        values: Sequence[Estimate],
        angle: Estimate,
        wheelbase: Estimate,
        radii: tuple[Estimate | None, Estimate | None, Estimate],
    ) -> None:
        """Refuse a reading that lacks a radius, or that no vehicle reaches."""
        flat, ramp, loss = radii
        where = (*path, kind.value)
        if kind.needs_radius_on_flat and flat is None:
            if not self.with_vehicle:
                works = 'write wheel.radius_on_flat = "381 mm": the hub over the floor, before the climb'
                self.fault(where, "it needs the wheel's radius", works, read=as_read(values[0].written))
            return
        on_ramp = ramp.value if ramp else flat.value - loss.value if flat else None
        if kind.needs_radius_on_ramp and on_ramp is None:
            if not self.with_vehicle:
                works = 'write wheel.radius_on_ramp = "357 mm": hub to ramp, square to it, at the mark'
                self.fault(where, "it needs the wheel's radius", works, read=as_read(values[0].written))
            return
        known = Radii(flat.value if flat else None, on_ramp)
        for value in values:
            climb = float(climb_of(kind, value.value, angle.value, known))
            score = 1000.0 * climb / wheelbase.value
            if not 0.0 < score <= LARGEST_SCORE:
                told = shown(value.value, value.unit, value.unit_size)
                why = f"{told} makes a score of {score:.0f}, which no vehicle reaches"
                self.fault(where, why, f"check that it is the {kind.words}, and its unit", read=as_read(value.written))

    def corners(self, table: Table, path: Path) -> dict[str, Estimate]:
        found = {}
        for name in type(table).model_fields:
            estimate = self.given(getattr(table, name), (*path, name))
            if estimate is not None:
                found[name.replace("_", " ")] = estimate
        return found


def _kinds(run: RunTable) -> list[tuple[ReadingKind, tuple[Estimate, ...]]]:
    """The readings of a run, by kind."""
    return [(kind, values) for kind in ReadingKind if (values := getattr(run, kind.value)) is not None]
