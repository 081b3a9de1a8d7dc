"""A vehicle as described: its choices and its inputs in SI, each with how well it is known and why."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, cast

from articulate.brief import Brief
from articulate.spec.quantities import NORMAL_90, Distribution, Reading, shown

if TYPE_CHECKING:
    from articulate.spec.load import Document
    from articulate.spec.tyres import TyreSize

Source = Literal["measured", "published", "assumed", "given"]


@dataclass(frozen=True)
class Estimate:
    """One input: its value [SI], how far it may be off, and where it comes from.

    `low` and `high` are limits where the distribution is rectangular or triangular (then `value` is the
    mode), and the central 90 % where it is normal; both equal `value` where it is exact. `source` says
    how it is known: `given` in the file without further word, or `assumed` here. `basis` is the
    text as written and its line, or the relation assumed. `unit` is for display; one of it is
    `unit_size` in SI. `chance` is that of there being any: with the rest the input is 0, and all else holds if
    there is some (a bar of which nobody knows whether it is fitted).
    """

    value: float
    low: float
    high: float
    distribution: Distribution
    source: Source
    basis: str
    unit: str
    unit_size: float
    chance: float = 1.0

    @property
    def nominal(self) -> float:
        """What the nominal vehicle has [SI]: the value, or 0 where there is more likely none."""
        return self.value if self.chance >= 0.5 else 0.0

    @property
    def standard_uncertainty(self) -> float:
        """Standard deviation of the distribution [SI].

        Rectangular: (high - low)/sqrt(12). Triangular with mode m: sqrt((a^2 + b^2 + m^2 - ab - am - bm)/18).
        Normal: half the 90 % range over 1.645. With a chance p of there being any, mean M and deviation u if there is
        some: sqrt(p u^2 + p (1 - p) M^2).
        """
        if self.chance < 1.0:
            return math.sqrt(self.chance * (self._if_any**2 + (1.0 - self.chance) * self._mean_if_any**2))
        return self._if_any

    @property
    def mean(self) -> float:
        """Mean of the distribution [SI], if there is any: not the value where a triangle is not even."""
        return self.value if self.distribution in ("exact", "normal") else self._mean_if_any

    @property
    def _mean_if_any(self) -> float:
        if self.distribution == "triangular":
            return (self.low + self.value + self.high) / 3.0
        return 0.5 * (self.low + self.high)

    @property
    def _if_any(self) -> float:
        width = self.high - self.low
        if self.distribution == "exact":
            return 0.0
        if self.distribution == "normal":
            return width / (2.0 * NORMAL_90)
        if self.distribution == "rectangular":
            return width / math.sqrt(12.0)
        below, above = self.value - self.low, self.high - self.value
        return math.sqrt((below**2 + above**2 + below * above) / 18.0)

    @property
    def text(self) -> str:
        """The value with its limits in the display unit, for instance `1.3 Hz (1.1 to 1.6)`."""
        value = shown(self.value, self.unit, self.unit_size)
        none = ", or none" if self.chance < 1.0 else ""
        if self.low == self.high:
            return value + none
        low = shown(self.low, "", self.unit_size, 4)
        return f"{value} ({low} to {shown(self.high, '', self.unit_size, 4)}){none}"


def estimate_of(reading: Reading, where: str) -> Estimate:
    """A quantity as read, as an input; `where` says where it was written, such as `line 12`."""
    basis = f'"{reading.text}", {where}' + (f": {reading.comment}" if reading.comment else "")
    return Estimate(
        reading.value,
        reading.low,
        reading.high,
        reading.distribution,
        cast(Source, reading.source),
        basis,
        reading.unit,
        reading.unit_size,
    )


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


@dataclass(frozen=True, repr=False)
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
