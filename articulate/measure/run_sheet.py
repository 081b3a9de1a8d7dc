"""A run sheet: what was read beside the ramp, in SI, each with how well it is known and why."""

from __future__ import annotations

import math
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath

from articulate.brief import Brief
from articulate.measure.conversions import ReadingKind
from articulate.spec.load import Document
from articulate.spec.quantities import Estimate
from articulate.types import BAR_STATES, SIDES


@dataclass(frozen=True)
class RunEntry:
    """One run of a sheet: one side, one bar state, one way of reading, as often as it was climbed.

    `readings` are the climbs made anew, each read once. What is not needed for a score is kept as it was
    observed: it tells a model what to learn and a reader what to doubt. Wheels go by their names, `rear left`.
    """

    number: int  # counted from 1, as in the sheet
    side: str
    bars: str
    kind: ReadingKind
    readings: tuple[Estimate, ...]  # [m]
    lifted: str | None
    roll_angle: Estimate | None  # [rad], left side up positive
    pitch_angle: Estimate | None  # [rad], nose down positive
    wheel_load: Mapping[str, Estimate]  # [N], normal to the ground
    hub_travel: Mapping[str, Estimate]  # [m] from ride height, bump positive
    arch_gap: Mapping[str, Estimate]  # [m] between tyre and arch
    time: str
    notes: str
    line: int | None

    @property
    def case(self) -> tuple[str, str]:
        """Side and bar state."""
        return self.side, self.bars


@dataclass(frozen=True, repr=False)
class RunSheet(Brief):
    """A run sheet, resolved: what was given, and for the rest what was assumed.

    `ramp_angle` is by inclinometer, from rise and run, or assumed; its basis says which. `tape_limit` is the
    largest error of the tape at the lengths read, one and the same for all readings; `resolution` what it is read
    to. The lifting wheel carries `touch_load` when its film pulls out. `roll_back` is how far the vehicle rolls
    down the ramp between stopping and reading. `marking` is the largest error of the mark below the hub.
    `repeatability` is the standard deviation to be expected of climbs made anew.
    """

    vehicle: str
    vehicle_file: str  # as written, "" if none
    title: str
    date: str  # ISO 8601; empty for a single reading
    notes: str
    wheelbase: Estimate  # [m]
    ramp_angle: Estimate  # [rad]
    tape_limit: Estimate  # [m], exact
    resolution: Estimate | None  # [m], None: by the units of each reading
    radius_on_flat: Estimate | None  # [m]
    radius_on_ramp: Estimate | None  # [m]
    radius_loss: Estimate  # [m], radius on the flat less radius on the ramp
    touch_load: Estimate  # [N]
    climb_per_touch_load: Estimate | None  # [m/N], None if not given
    roll_back: Estimate  # [m]
    marking: Estimate  # [m], exact
    repeatability: Estimate  # [m], exact
    runs: tuple[RunEntry, ...]
    remarks: tuple[str, ...]
    document: Document

    @property
    def path(self) -> str:
        """The file's name as it was given."""
        return self.document.name

    @property
    def vehicle_path(self) -> FilePath | None:
        """Where the vehicle file lies: beside the sheet, unless its path is absolute. Without detours."""
        if not self.vehicle_file:
            return None
        path = FilePath(self.document.name).parent / self.vehicle_file
        direct = FilePath(os.path.normpath(path))
        return direct if direct.exists() and path.exists() and direct.samefile(path) else path  # a link may part them

    @property
    def nominal_touch_load(self) -> float:
        """The load under the lifting wheel at which the scores of the sheet stand, the middle of its range [N]."""
        return self.touch_load.mean

    @property
    def cases(self) -> tuple[tuple[str, str], ...]:
        """The pairs of side and bar state that were run, left before right, connected before released."""
        present = {entry.case for entry in self.runs}
        return tuple((side, bars) for side in SIDES for bars in BAR_STATES if (side, bars) in present)

    def assumed(self) -> dict[str, Estimate]:
        """What the sheet does not give, by name."""
        named = {
            "ramp angle": self.ramp_angle,
            "wheelbase": self.wheelbase,
            "largest error of the tape": self.tape_limit,
            "touch load": self.touch_load,
            "roll-back": self.roll_back,
            "marking": self.marking,
            "repeatability": self.repeatability,
        }
        if any(entry.kind.needs_radius_on_ramp for entry in self.runs) and not (
            self.radius_on_ramp and self.radius_on_flat
        ):
            named["radius loss on the ramp"] = self.radius_loss
        return {name: estimate for name, estimate in named.items() if estimate.source == "assumed"}


def angle_from_rise(rise: Estimate, along: Estimate, is_slope: bool) -> tuple[float, float]:
    """Ramp angle and its standard uncertainty from two lengths [rad].

    tan g = rise/run or sin g = rise/length; u^2(g) is the sum of the squares of (dg/dx) u(x) (JCGM 100:2008, 5.1.2).

    Args:
        rise: height of a point of the ramp over the flat [m].
        along: level distance from the toe, or distance along the slope [m].
        is_slope: whether `along` lies along the slope.

    Raises:
        ValueError: the rise is not below the length along the slope.
    """
    if is_slope:
        if rise.value >= along.value:
            raise ValueError("a rise is less than the length along the slope")
        angle = math.asin(rise.value / along.value)
        per_rise = 1.0 / (along.value * math.cos(angle))
        per_along = -math.tan(angle) / along.value
    else:
        angle = math.atan2(rise.value, along.value)
        square = rise.value**2 + along.value**2
        per_rise, per_along = along.value / square, -rise.value / square
    return angle, math.hypot(per_rise * rise.standard_uncertainty, per_along * along.standard_uncertainty)
