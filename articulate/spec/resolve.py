"""From a checked document to a vehicle: alternatives chosen, consistency judged, the rest assumed.

The file may describe one thing in several ways. Each group of keys below is settled once: the form given is
kept, two forms at once are refused (or compared, where they can be), and where nothing is given a default
enters as an assumed input.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from articulate.constants import INCH
from articulate.shape.kinds import ShapeChoices
from articulate.spec import defaults
from articulate.spec.build import faults_of, violations
from articulate.spec.build_axle import direct_inputs
from articulate.spec.build_roll import ROLL_GRADIENT, anything_assumed
from articulate.spec.defaults import Default
from articulate.spec.errors import Fault, SpecError
from articulate.spec.given import Account
from articulate.spec.keys import AirSetting, AntiRollBar, Axle, Tyre
from articulate.spec.load import Document, as_read, check, dotted
from articulate.spec.quantities import Estimate, shown
from articulate.spec.source_lines import Path
from articulate.spec.tyres import TyreSize
from articulate.spec.vehicle_spec import (
    AxleChoices,
    Differential,
    DriveChoices,
    VehicleSpec,
    WheelhouseMark,
)
from articulate.types import AXLES

_AGREEMENT = 0.005  # share of the total by which over-determined masses may differ beyond their tolerances
_SHAPE_AGREEMENT = 0.02  # [m], of an overall length with wheelbase and overhangs
_TRAVEL_AGREEMENT = 0.002  # [m], likewise of travel


def resolve(document: Document) -> VehicleSpec:
    """Resolve a document, with its settings applied, into a vehicle.

    Raises:
        SpecError: every fault of the document, those of single keys first.
    """
    file = check(document)
    resolver = _Resolver(document, file)
    spec = resolver.vehicle()
    if resolver.faults:
        raise SpecError(resolver.faults)
    unphysical = violations(spec)
    if unphysical:
        raise SpecError(faults_of(spec, unphysical))
    return spec


class _Resolver(Account):
    def vehicle(self) -> VehicleSpec:
        """Settle every group of keys in turn."""
        file = self.file
        self.take("wheelbase")
        self.masses()
        self.common_tyre()
        axles = (self.axle("front", file.front), self.axle("rear", file.rear))
        if file.air_setting != "normal" and not any(axle.spring_kind == "air" for axle in axles):
            why, works = "neither axle has air springs", 'write spring.kind = "air", or leave it out'
            self.chosen_wrongly(("air_setting",), why, works)
        if file.air_setting != "normal" and self.has("roll_gradient"):
            self.remarks.append(
                f"roll_gradient counts as that of the {file.air_setting} setting, as the vehicle stands here"
            )
        self.cross_link()
        self.roll_gradient()
        drive = self.drive()
        rigid = file.frame.torsional_rate == "rigid"
        if not rigid:
            self.assume("frame.torsional_rate", file.construction)
        loads = self.named("load", [load.name for load in file.load])
        points = self.named("body_point", [point.name for point in file.body_point])
        shape = self.shape()
        self.unused()
        return VehicleSpec(
            name=self.name_as_it_is(),
            notes=file.notes,
            construction=file.construction,
            frame_is_rigid=rigid,
            axles=axles,
            loads=loads,
            body_points=points,
            inputs=self.inputs,
            remarks=(*self.document.remarks, *self.remarks),
            document=self.document,
            drive=drive,
            shape=shape,
        )

    def shape(self) -> ShapeChoices:
        """What is said of the body's look; a length that its overhangs deny is a fault."""
        said = self.file.shape
        keys = ("length", "width", "roof_height", "front_overhang", "rear_overhang", "bonnet_height")
        given = {key: entry.value for key in keys if (entry := getattr(said, key)) is not None}
        if {"length", "front_overhang", "rear_overhang"} <= set(given):
            expected = given["front_overhang"] + self.given["wheelbase"].value + given["rear_overhang"]
            self.compare("shape.length", expected, _SHAPE_AGREEMENT, "wheelbase and overhangs")
        return ShapeChoices(kind=said.kind, **given)

    def name_as_it_is(self) -> str:
        """The file's name; a vehicle in which something was set is another one, unless it got its own name."""
        settings = self.document.settings
        return self.file.name if not settings or ("name",) in settings else f"{self.file.name}, changed"

    def masses(self) -> None:
        total, front, rear, share = (f"mass.{name}" for name in ("total", "front_axle", "rear_axle", "front_share"))
        given = [key for key in (front, rear, total, share) if self.has(key)]
        if not given or given == [share]:
            self.missing(("mass",), "the mass is needed", 'write mass.total = "2150 kg", or both axle loads')
        elif len(given) == 1 and given[0] != total:
            self.fault(given[0], "one axle load alone does not say the mass", 'add mass.total = "2150 kg"')
        elif given == [total]:
            self.take(total)
            front_drive = self.file.drive is not None and self.file.drive.driven_wheels == "front"
            by_drive = "front transverse" if front_drive else None  # nearly all that drive by the front alone
            self.assume(share, self.file.engine or by_drive or self.file.construction)
        else:
            for key in given[:2]:
                self.take(key)
            self.agreement(given)
        self.one_of("mass.static_stability_factor")
        self.assume("mass.left_of_centre")

    def agreement(self, given: Sequence[str]) -> None:
        """Compare every mass given beyond the first two with what the first two say."""
        value = {key.removeprefix("mass."): self.given[key] for key in given}
        front, rear, total, share = (value.get(name) for name in ("front_axle", "rear_axle", "total", "front_share"))
        used = " and ".join(given[:2])
        if front and rear:
            sums = front.value + rear.value
            slack = _half(front) + _half(rear) + _AGREEMENT * sums
            if total:
                self.compare("mass.total", sums, slack, used)
            if share:
                self.compare("mass.front_share", front.value / sums, slack / sums, used)
        elif total and share and (front or rear):
            load = front or rear
            assert load is not None
            slack = (_half(total) + _half(load)) / total.value + _AGREEMENT
            on_it = load.value / total.value
            self.compare("mass.front_share", on_it if front else 1.0 - on_it, slack, used)

    def compare(self, key: str, expected: float, slack: float, used: str) -> None:
        estimate = self.given[key]
        told = shown(expected, estimate.unit, estimate.unit_size, 4)
        if abs(estimate.value - expected) > slack + _half(estimate):
            self.fault(key, f"{used} make it {told}", "correct one of them or leave one out")
        else:
            self.remarks.append(f"{key} agrees with {used} ({told}) and is not used further")

    def tyre(self, part: str, tyre: Tyre, *, needed: bool) -> None:
        """The tyres of the vehicle, or of one axle where it has its own."""
        names = ("width", "rim_diameter", "section_radius")
        stiffness, estimate = f"{part}.vertical_stiffness", ("pressure", "stiffness_factor", "heights_measured_at")
        if _own(tyre):
            self.tyre_geometry(part, tyre)
        elif needed:
            self.missing(("tyre",), "a tyre size is needed", 'write tyre.size = "265/70R17"')
        else:
            self.refuse(
                (f"{part}.{name}" for name in names),
                "it belongs to a tyre whose size is not given here",
                f'add {part}.size = "265/70R17" or {part}.diameter',
            )
        self.take(stiffness)
        common = "tyre.vertical_stiffness" if not _own(tyre) and self.has("tyre.vertical_stiffness") else None
        known = stiffness if self.has(stiffness) else common
        for name in estimate:
            key = f"{part}.{name}"
            if known is None:
                self.take(key)
            elif self.has(key):
                self.remarks.append(f"{key} is not used, since {known} is given")
        self.take(f"{part}.mass_change")
        self.measured_on(part, tyre)

    def common_tyre(self) -> None:
        """The tyre of all axles that have none of their own, and what their estimates share."""
        file = self.file
        own = [_own(axle.tyre) for axle in (file.front, file.rear)]
        if all(own) and _own(file.tyre):
            self.remarks.append("tyre is not used where both axles have tyres of their own")
        self.tyre("tyre", file.tyre, needed=not all(own))
        sizes = [tyre.size for tyre in (file.tyre, file.front.tyre, file.rear.tyre) if tyre.size is not None]
        radial = all(size.radial for size in sizes)
        for axle, table in zip(AXLES, (file.front.tyre, file.rear.tyre), strict=True):
            stiffness = [
                f"{axle}.tyre.vertical_stiffness",
                *([] if _own(table) else ["tyre.vertical_stiffness"]),
            ]
            for name in ("pressure", "stiffness_factor"):
                if not any(self.has(key) for key in (*stiffness, f"{axle}.tyre.{name}")):
                    self.assume(f"tyre.{name}", radial)

    def tyre_geometry(self, part: str, tyre: Tyre) -> None:
        size = tyre.size
        for name in ("diameter", "width", "rim_diameter"):
            key = f"{part}.{name}"
            if size is None or self.has(key):
                self.take(key)
            else:
                self.inputs[key] = self.of_size(size, name, (*part.split("."), "size"))
        self.take(f"{part}.section_radius")
        estimated = not self.has(f"{part}.vertical_stiffness")
        if f"{part}.width" not in self.inputs and (estimated or not self.has(f"{part}.section_radius")):
            path = self.paths[f"{part}.diameter"]
            self.missing((*path[:-1], "width"), "the tyre's width is needed", f'write {part}.width = "272 mm"')
        if estimated and f"{part}.rim_diameter" not in self.inputs:
            self.assume(f"{part}.rim_diameter")

    def of_size(self, size: TyreSize, name: str, path: Path) -> Estimate:
        where = f"{size.code}, {self.document.where(path)}"
        if name == "diameter":
            return defaults.nominal_diameter(size.form, size.diameter, where)
        if name == "width":
            return defaults.nominal_width(size.form, size.width, where)
        rim = size.rim_diameter
        return Estimate(rim, rim, rim, "exact", "published", f"{where}: rim diameter", "in", INCH)

    def measured_on(self, part: str, tyre: Tyre) -> None:
        entry = tyre.heights_measured_on
        key = f"{part}.heights_measured_on"
        if isinstance(entry, TyreSize):
            path = (*part.split("."), "heights_measured_on")
            self.inputs[key] = self.of_size(entry, "diameter", path)
        elif isinstance(entry, Estimate):
            self.take(key)

    def axle(self, name: str, axle: Axle) -> AxleChoices:
        solid = axle.suspension == "solid"
        measured_on = axle.tyre.heights_measured_on or self.file.tyre.heights_measured_on
        kind = axle.spring.kind or defaults.SPRING_KIND[axle.suspension]
        links: defaults.Links | None = (axle.links or defaults.LINKS[kind]) if solid else None
        self.take(f"{name}.track")
        self.one_of(f"{name}.unsprung_share", axle.suspension)
        self.guide(name, axle)
        self.take(f"{name}.ride_height_change")
        self.wheelhouse(name, axle)
        self.tyre(f"{name}.tyre", axle.tyre, needed=False)
        to_full_bump = self.travel(f"{name}.travel", axle)
        self.spring(f"{name}.spring", name, axle.suspension, kind)
        air_setting = self.air_setting(name, axle, kind)
        self.assume(f"{name}.suspension_friction", kind)
        self.spacing(f"{name}.bump_stop", solid=solid)
        self.assume(f"{name}.bump_stop.rate")
        self.assume(f"{name}.bump_stop.cubic_rate")
        if to_full_bump:
            self.assume(f"{name}.bump_stop.full_bump_load")
        self.spacing(f"{name}.droop_stop", solid=solid)
        self.assume(f"{name}.droop_stop.rate")
        self.bar(f"{name}.anti_roll_bar", name, axle, kind)
        self.auxiliary_roll(f"{name}.auxiliary_roll", links or axle.suspension)
        for key in direct_inputs():
            self.take(f"{name}.{key}")
        bar = axle.anti_roll_bar
        return AxleChoices(
            suspension=axle.suspension,
            spring_kind=kind,
            spring_seat=axle.spring.seat or defaults.spring_seat(axle.suspension, kind),
            springs_linked=axle.spring.linked,
            air_setting=air_setting,
            bar_fitted=bar is not None and bool(bar.fitted),
            bar_releasable=bar is not None and bar.fitted is True and bar.releasable,
            bar_unknown=bar is not None and bar.fitted == "unknown",
            links=links,
            to_full_bump=to_full_bump,
            stops_spaced=axle.bump_stop.spacer == "to keep clear",
            wheelhouse=tuple(WheelhouseMark(point.name, point.wheel) for point in axle.wheelhouse),
            measured_on=measured_on if isinstance(measured_on, TyreSize) else None,
        )

    def wheelhouse(self, name: str, axle: Axle) -> None:
        """Arch gaps as numbers, as measured points, or both; the tighter counts."""
        gaps = (f"{name}.arch_gap", f"{name}.arch_gap_at_full_lock")
        for key in gaps:
            self.take(key)
        if axle.wheelhouse:
            self.named(f"{name}.wheelhouse", [point.name for point in axle.wheelhouse])
            turned = any(point.wheel != "straight" for point in axle.wheelhouse)
            steers = name == "front" or turned
            if steers or self.has(f"{name}.lock_angle"):
                self.assume(f"{name}.lock_angle")
                self.assume(f"{name}.steering_offset")
            own = f"{name}.tyre.shoulder_over_width"
            self.assume(own if self.has(own) else "tyre.shoulder_over_width")
        if axle.wheelhouse or any(self.has(key) for key in gaps):
            self.assume(f"{name}.clearance_kept")
        elif axle.bump_stop.spacer != "as fitted":
            why, works = "nothing is said of the arches", f'give {name}.arch_gap = "130 mm", or [[{name}.wheelhouse]]'
            self.chosen_wrongly((name, "bump_stop", "spacer"), why, works)

    def guide(self, name: str, axle: Axle) -> None:
        """What guides the wheels: roll centre of a solid axle, swing arm of an independent wheel or a twist beam."""
        arm = (f"{name}.swing_arm_length", f"{name}.swing_arm_over_track", f"{name}.pivot_above_hub")
        beam = tuple(f"{name}.twist_beam.{key}" for key in ("bush_spacing", "bush_to_hub", "bush_to_beam"))
        centre = f"{name}.roll_centre_above_hub"
        if axle.links is not None and axle.suspension != "solid":
            self.chosen_wrongly((name, "links"), "links are those of a solid axle", "leave it out")
        if axle.suspension != "twist beam":
            self.refuse(beam, "there is no twist beam", 'write suspension = "twist beam", or leave it out')
        if axle.suspension == "solid":
            self.refuse(arm, "a solid axle has no swing arm", f"give {centre} instead")
            self.assume(centre)
            return
        self.refuse([centre], "that is how a solid axle is described", f"give {arm[0]} and {arm[2]} instead")
        if axle.suspension == "independent":
            self.one_of(arm[1], axle.suspension)
            self.assume(arm[2], axle.suspension)
            return
        if name == "front":
            why, works = "a twist beam does not steer", 'write "independent" or "solid"'
            self.chosen_wrongly((name, "suspension"), why, works)
        self.assume(arm[2], axle.suspension)
        if not any(self.has(key) for key in beam):
            self.one_of(arm[0], axle.suspension)
            return
        self.refuse(arm[:2], "the geometry of the beam says it already", "keep one of the two")
        self.all_of(beam, "the geometry of a twist beam needs it")

    def chosen_wrongly(self, path: Path, why: str, works: str) -> None:
        """Note a choice that does not go with another."""
        place, line = self.document.place(path)
        self.faults.append(Fault(place, line, dotted(path), as_read(self.document.at(path)), why, works))

    def travel(self, part: str, axle: Axle) -> bool:
        """Settle the travel; returns whether its bump is counted to full bump."""
        bump, droop, total, share = (f"{part}.{name}" for name in ("bump", "droop", "total", "bump_share"))
        given = {key for key in (bump, droop, total, share) if self.has(key)}
        counted = axle.travel.counted
        if not given:
            self.assume(total, axle.suspension)
            self.assume(share)
            return counted != "to first touch"
        if {bump, droop} <= given:
            self.take(bump)
            self.take(droop)
            both = self.given[bump], self.given[droop]
            expected = both[0].value + both[1].value
            slack = _half(both[0]) + _half(both[1]) + _TRAVEL_AGREEMENT
            if total in given:
                self.compare(total, expected, slack, f"{bump} and {droop}")
            self.refuse([share], "bump and droop say it already", "leave it out")
        elif total in given:
            self.take(total)
            if bump in given or droop in given:
                self.take(bump)
                self.take(droop)
                self.refuse([share], "total and bump or droop say it already", "leave it out")
            else:
                self.assume(share)
        else:
            key = min(given)
            self.fault(key, "it does not say the whole travel", f'add {total} = "200 mm" or the other part')
        if counted is not None:
            return counted == "to full bump"
        if bump not in given and total in given:
            self.remarks.append(
                f"{total} counts to full bump, the stop pressed together, as brochures do; "
                f'write {part}.counted = "to first touch" if it was taped to the stop'
            )
            return True
        return False

    def spring(self, part: str, name: str, suspension: str, kind: defaults.SpringKind) -> None:
        form = self.one_of(f"{part}.ride_frequency", (name, kind))
        ratios = ("wheel_travel_over_spring_travel", "spring_travel_over_wheel_travel")
        if form == "rate":
            self.one_of(f"{part}.{ratios[1]}", suspension)
        else:
            self.refuse(
                (f"{part}.{ratio}" for ratio in ratios),
                "a motion ratio goes with the rate of the spring itself",
                f"give {part}.rate, or leave the ratio out",
            )
        rise = (f"{part}.rises_at", f"{part}.risen_over_rate")
        if kind == "air":
            self.refuse(rise, "an air spring has one rate at each setting", "leave it out")
        elif any(self.has(key) for key in rise):
            self.all_of(rise, "a progressive spring is described by both")
        self.spacing(part, kind, solid=suspension == "solid")

    def air_setting(self, name: str, axle: Axle, kind: defaults.SpringKind) -> AirSetting:
        """Height setting of an axle's air springs, with what it changes; what only air springs have is refused else."""
        part, setting = f"{name}.spring", self.file.air_setting
        change, factor = f"{part}.{setting}_by", f"{part}.setting_rate_factor"
        keys = (f"{part}.raised_by", f"{part}.lowered_by", factor)
        if kind != "air":
            works = 'write spring.kind = "air", or leave it out'
            self.refuse(keys, f"a {kind} spring has no height settings", works)
            if axle.spring.linked:
                self.chosen_wrongly((name, "spring", "linked"), f"a {kind} spring has no air to share", works)
            return "normal"
        if setting != "normal":
            self.assume(change)
            self.assume(factor, setting)
            by = self.inputs[change]
            self.remarks.append(f"air_setting: the {name} air springs are {setting}, by {by.text} ({by.source})")
        for key in keys:
            if self.has(key) and key not in self.inputs:
                self.remarks.append(f'{key} is not used, since air_setting is "{setting}"')
        return setting

    def spacing(self, part: str, by: object = None, *, solid: bool) -> None:
        """Distance between left and right, which only a solid axle's springs and stops have."""
        if solid:
            self.one_of(f"{part}.spacing_over_track", by)
        else:
            self.refuse(
                (f"{part}.spacing", f"{part}.spacing_over_track"),
                "an independent axle is described at the wheel",
                "leave it out",
            )

    def bar(self, part: str, name: str, axle: Axle, kind: defaults.SpringKind) -> None:
        bar, keys = axle.anti_roll_bar, [key for key in self.given if key.startswith(f"{part}.")]
        suspension: Literal["independent", "solid"] = "solid" if axle.suspension == "solid" else "independent"
        if axle.suspension == "twist beam":
            if bar is not None and bar.fitted:
                why = "a bar inside a twist beam cannot be told from the beam, nor released"
                self.chosen_wrongly((name, "anti_roll_bar"), why, f"leave it out; {name}.auxiliary_roll has both")
            return
        if bar is None:
            why, works = "it is needed", "write anti_roll_bar = true (or false if there is none)"
            self.missing((name, "anti_roll_bar"), why, works)
            return
        if not bar.fitted:
            self.refuse(keys, "there is no bar", "leave it out, or write fitted = true")
            if bar.releasable:
                self.chosen_wrongly((*part.split("."), "releasable"), "there is no bar to release", "leave it out")
            return
        share = f"{part}.over_spring_roll_stiffness"
        if bar.fitted == "unknown":
            self.unknown_bar(part, bar, (suspension, name), self.default(f"{part}.chance", (name, suspension, kind)))
            return
        self.refuse(
            [f"{part}.chance"], "the file says that there is a bar", 'leave it out, or write fitted = "unknown"'
        )
        shape = ("arm_length", "arm_reach", "centre_length")
        form = self.one_of(share, (suspension, name), assumed=not any(self.has(f"{part}.{name}") for name in shape))
        extra = ("inner_diameter", "shear_modulus", "elastic_modulus")
        if form in ("diameter", None):
            self.all_of(
                [f"{part}.{size}" for size in ("diameter", *shape)], "a bar described by its dimensions needs it"
            )
            self.take(f"{part}.inner_diameter")
            self.assume(f"{part}.shear_modulus")
            self.assume(f"{part}.elastic_modulus")
        else:
            self.refuse(
                (f"{part}.{name}" for name in (*shape, *extra)),
                "the bar's rate is given already",
                "keep either the rate or the dimensions",
            )
        self.bar_lever(part, suspension, uses_ends=form in ("diameter", "end_rate", None))

    def unknown_bar(self, part: str, bar: AntiRollBar, by: tuple[str, str], chance: Default) -> None:
        """A bar that may be there: its rate if there is one, and a chance that there is."""
        if bar.releasable:
            why = "a bar that can be released has been seen"
            self.chosen_wrongly((*part.split("."), "releasable"), why, "write fitted = true")
        key = f"{part}.chance"
        forms = ("roll_stiffness", "wheel_rate", "over_spring_roll_stiffness")
        known = (key, *(f"{part}.{form}" for form in forms))
        seen = [other for other in self.given if other.startswith(f"{part}.") and other not in known]
        self.refuse(seen, "that has been measured on a bar, so there is one", "write fitted = true")
        self.chances.add(key)
        p = self.given[key] if key in self.given else chance.estimate()
        rate = f"{part}.{self.one_of(f'{part}.{forms[-1]}', by)}"
        some = self.inputs[rate]
        self.inputs[rate] = replace(
            some,
            distribution="rectangular" if some.distribution == "exact" else some.distribution,
            basis=f"{some.basis}; a chance of {100.0 * p.value:.3g} % that there is one ({p.basis})",
            chance=p.value,
        )
        self.remarks.append(
            f"{part}: whether there is one is not known (chance {100.0 * p.value:.3g} %, {p.source}); "
            f"the nominal vehicle is {'with' if p.value >= 0.5 else 'without'} one, and bands hold both"
        )

    def bar_lever(self, part: str, suspension: Literal["independent", "solid"], *, uses_ends: bool) -> None:
        spacing = ("end_spacing", "end_spacing_over_track")
        ratios = ("wheel_travel_over_end_travel", "end_travel_over_wheel_travel")
        right, wrong = (spacing, ratios) if suspension == "solid" else (ratios, spacing)
        axle = "a solid" if suspension == "solid" else "an independent"
        self.refuse(
            (f"{part}.{name}" for name in wrong),
            f"that is not how a bar on {axle} axle is described",
            f"give {part}.{right[0]}",
        )
        if uses_ends:
            self.one_of(f"{part}.{right[1]}")
        else:
            self.refuse(
                (f"{part}.{name}" for name in right),
                "the bar is described at the wheels already",
                f"leave it out, or give {part}.end_rate",
            )

    def auxiliary_roll(self, part: str, kind: str) -> None:
        """What resists roll besides springs and bar, in one of its forms."""
        self.one_of(f"{part}.over_springs", kind)
        self.take(f"{part}.doubles_at")

    def roll_gradient(self) -> None:
        """A published roll gradient sets the size of what is assumed in roll; where nothing is, it is only compared."""
        if not self.has(ROLL_GRADIENT):
            return
        if anything_assumed(self.inputs):
            self.take(ROLL_GRADIENT)
            self.remarks.append(
                f"{ROLL_GRADIENT} sets the size of the bars and the auxiliary roll stiffness that are assumed, "
                "in their assumed proportions"
            )
        else:
            self.remarks.append(
                f"{ROLL_GRADIENT} is not used, since bars and auxiliary roll stiffness are given: compare it with the "
                "one printed"
            )

    def drive(self) -> DriveChoices | None:
        """Which wheels drive; what is not said of a driven axle's differential counts as open."""
        table = self.file.drive
        if table is None:
            return None
        driven = table.driven_wheels
        axles = (("front", table.front_differential), ("rear", table.rear_differential))
        kinds = tuple(self.differential(axle, kind, driven in (axle, "all")) for axle, kind in axles)
        centre, share = table.centre, "drive.centre_front_share"
        if driven != "all":
            if centre not in (None, "none"):
                works = 'leave it out, or write driven_wheels = "all"'
                self.chosen_wrongly(("drive", "centre"), f"only the {driven} wheels drive", works)
            self.refuse([share], f"only the {driven} wheels drive", "leave it out")
            centre = "none"
        elif centre is None or centre == "none":
            why = "it is not said how the front and the rear wheels are coupled"
            works = 'write centre = "open", or "locked" where nothing between them lets them turn apart'
            if centre is None:
                self.missing(("drive", "centre"), why, works)
            else:
                self.chosen_wrongly(("drive", "centre"), why, works)
            centre = "none"
        elif centre == "open":
            self.assume(share)
        else:
            self.refuse([share], "a locked centre shares by load", "leave it out")
        return DriveChoices(driven, (kinds[0], kinds[1]), centre)

    def differential(self, axle: str, kind: Differential | None, driven: bool) -> Differential | None:
        """The differential of one axle, with its bias ratio."""
        key, bias = f"drive.{axle}_differential", f"drive.{axle}_bias_ratio"
        if not driven:
            why, works = f"the {axle} wheels do not drive", 'leave it out, or write driven_wheels = "all"'
            if kind is not None:
                self.chosen_wrongly(("drive", f"{axle}_differential"), why, works)
            self.refuse([bias], why, works)
            return None
        if kind is None:
            self.remarks.append(f"{key} is taken as open")
        if kind == "limited slip":
            self.assume(bias)
        else:
            self.refuse([bias], "only a limited slip differential has one", f'write {key} = "limited slip"')
        return kind or "open"

    def cross_link(self) -> None:
        if self.file.cross_link is not None:
            self.one_of("cross_link.over_spring_roll_stiffness")


def _own(tyre: Tyre) -> bool:
    """Whether a tyre table describes a tyre of its own."""
    return tyre.size is not None or tyre.diameter is not None


def _half(estimate: Estimate) -> float:
    return 0.5 * (estimate.high - estimate.low)
