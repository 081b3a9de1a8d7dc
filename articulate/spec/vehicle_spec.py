"""A vehicle as described: its choices and its inputs in SI, each with how well it is known and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from articulate.brief import Brief
from articulate.shape.kinds import ShapeChoices
from articulate.spec.quantities import Estimate

if TYPE_CHECKING:
    from articulate.spec.load import Document
    from articulate.spec.tyres import TyreSize


@dataclass(frozen=True)
class WheelhouseMark:
    """A measured point of a wheelhouse: its name and how the wheel stood."""

    name: str
    wheel: Literal["straight", "turned in", "turned out"]


@dataclass(frozen=True)
class AxleChoices:
    """What is chosen, not measured, about one axle."""

    suspension: Literal["independent", "solid", "twist beam"]
    spring_kind: Literal["coil", "leaf", "torsion bar", "air"]
    spring_seat: Literal["loose", "held"]
    springs_linked: bool  # left and right share their air
    air_setting: Literal["normal", "raised", "lowered"]  # of its air springs; normal on other springs
    bar_fitted: bool
    bar_releasable: bool
    bar_unknown: bool = False  # nobody knows whether there is a bar; then it counts as fitted, and its rate may be 0
    links: Literal["four or five links", "radius arms", "leaves"] | None = None  # of a solid axle
    to_full_bump: bool = False  # published travel: bump ends where the stop is pressed together
    stops_spaced: bool = False  # bump stops spaced so that the tyre keeps clear
    wheelhouse: tuple[WheelhouseMark, ...] = ()
    measured_on: TyreSize | None = None  # size of the tyres on which heights were measured, where it is given


Differential = Literal["open", "limited slip", "locked", "held by brakes"]


@dataclass(frozen=True)
class DriveChoices:
    """Which wheels drive; a differential is None on an axle that does not."""

    driven_wheels: Literal["front", "rear", "all"]
    differentials: tuple[Differential | None, Differential | None]  # front, rear
    centre: Literal["none", "open", "locked"]


@dataclass(frozen=True, eq=False, repr=False)
class VehicleSpec(Brief):
    """A vehicle file, resolved: what was given, and for the rest what was assumed.

    `inputs` maps dotted keys of the file (`mass.total`, `front.spring.wheel_rate`, `load.driver.mass`) to
    estimates; which of several alternative forms describes the vehicle is said by which keys are there. Every
    key is a key of the file, so an assumed input can be given there under the same name. `remarks` are
    said to whoever reads the result: consistency checks passed, keys not used, settings applied.
    """

    name: str
    notes: str
    construction: str
    frame_is_rigid: bool
    axles: tuple[AxleChoices, AxleChoices]
    loads: tuple[str, ...]
    body_points: tuple[str, ...]
    inputs: Mapping[str, Estimate]
    remarks: tuple[str, ...]
    document: Document
    drive: DriveChoices | None = None  # None where nothing is known of it
    shape: ShapeChoices = field(default_factory=ShapeChoices)

    @property
    def path(self) -> str:
        """The file's name as it was given."""
        return self.document.name

    @property
    def settings(self) -> tuple[str, ...]:
        """What was set over the file, as typed: `rear.travel.bump=95 mm`."""
        return tuple(dict.fromkeys(self.document.settings.values()))

    @property
    def filed_name(self) -> str:
        """The name that stands in the file; `name` says beside it that something was set."""
        return str(self.document.data["name"])

    @property
    def text_hash(self) -> str:
        """SHA-256 of the file's text, hexadecimal."""
        return self.document.text_hash

    def assumed(self) -> Mapping[str, Estimate]:
        """The inputs that the file does not give."""
        return {key: estimate for key, estimate in self.inputs.items() if estimate.source == "assumed"}
