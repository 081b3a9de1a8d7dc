"""What a declared cause is, and what it may look at to decide whether it applies."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.measure.conversions import ReadingKind
from articulate.model.vehicles import Vehicles
from articulate.spec import VehicleSpec
from articulate.studies.audit.sizes import Size
from articulate.studies.audit.worlds import Subject, Worlds
from articulate.types import Case

Array = NDArray[np.float64]


def equally(*places: str) -> dict[str, float]:
    """Places that are equally likely, with their shares."""
    return {place: 1.0 / len(places) for place in places}


AS_IT_IS = equally("")
NO_RADII: Mapping[Case, float] = MappingProxyType({})


@dataclass(frozen=True)
class Reading:
    """One climb on the run sheet: how it was read and the score it makes, with its standard uncertainty."""

    case: Case
    kind: ReadingKind
    score: float
    uncertainty: float
    lifted: int | None = None  # index of the wheel that came free first, in the vehicle's own left and right
    label: str = ""
    unit: str = ""  # in which its length was written; "" if not known
    run: int = 0  # of the sheet, counted from 1; 0 for a climb by itself
    run_uncertainty: float = 0.0  # the part of the uncertainty that all climbs of its run have alike
    tape_uncertainty: float = 0.0  # the part that all readings have alike

    @property
    def name(self) -> str:
        """The run in words."""
        return f"{self.case.side}, bars {self.case.bars}"


@dataclass(frozen=True, eq=False, repr=False)
class Scene(Brief):
    """What the causes are tried on: the vehicle as filed, the readings, and what the sheet says of the test."""

    spec: VehicleSpec
    nominal: Vehicles  # a batch of one
    arch_gap: Array  # (1, 2) [m]
    readings: tuple[Reading, ...]
    angle: float  # [rad], of the ramp, as the sheet has it
    wheelbase: float  # [m], of the vehicle file
    used_wheelbase: float  # [m], by which the sheet makes its scores
    # Radii that the sheet leaves open [m]: as taken from the model, and by how much less is taken at the mark.
    radius_on_flat: Mapping[Case, float] = field(default_factory=dict)
    radius_loss: Mapping[Case, float] = field(default_factory=dict)
    sheet_radius: float | None = None  # [m], of the loaded wheel, as measured for the sheet

    @property
    def kinds(self) -> frozenset[ReadingKind]:
        """Ways in which the climbs were read."""
        return frozenset(reading.kind for reading in self.readings)

    @property
    def cases(self) -> tuple[Case, ...]:
        """Kinds of run on the sheet, each once."""
        return tuple(dict.fromkeys(reading.case for reading in self.readings))

    @property
    def runs(self) -> tuple[Case, ...]:
        """Kinds of run on the sheet, then the other bar state of the same sides where there is one."""
        other = {"connected": "released", "released": "connected"}
        missing = [Case(case.side, other[case.bars]) for case in self.cases] if self.can_release else []
        return tuple(dict.fromkeys((*self.cases, *missing)))

    @property
    def can_release(self) -> bool:
        """Whether the vehicle has a bar that can be released."""
        return bool(self.nominal.releasable.any())


Distort = Callable[[Scene, Worlds, list[Array], Array, str], list[Array]]
"""(scene, clean worlds, climbs by reading if rightly read, size, variant) -> climbs as read; all (points,)."""
Alter = Callable[[Subject, Array, str], Subject]
"""(subject, size (points,), variant) -> what really stands there."""
AlterCase = Callable[[Subject, Case, Array, str], Vehicles]
"""(subject, case, size (points,), variant) -> the vehicles as they really are in that kind of run, bars and all."""


@dataclass(frozen=True)
class Cause:
    """One possible explanation.

    `name` is short, `sentence` can be published; `weight` is its share of the prior among all causes that apply.
    A cause on the reading side has `distort`, one on the vehicle side `alter` or `alter_case`. `variants` are the
    places in which it may sit, with their shares of its prior; where it has none, or not `when`, it does not apply.
    `marks` are the things a look would find (see the checks), `shows` the channel that would show the size itself;
    `mark_stands` says that taking the same mark again finds the same, `rest_as_filed` that it is at work on the ramp
    only. `correct` says what to put right once it is known. A cause that only tells readings apart which plain scatter
    may tell apart too is listed from a `least_contrast`: how far it moves the scores [sd of what is expected].
    """

    name: str
    sentence: str
    size: Size
    weight: float = 1.0
    distort: Distort | None = None
    alter: Alter | None = None
    alter_case: AlterCase | None = None
    variants: Callable[[Scene], Mapping[str, float]] = lambda _: AS_IT_IS
    when: Callable[[Scene], bool] = lambda _: True
    marks: tuple[str, ...] = ()
    shows: str = ""
    mark_stands: bool = False
    rest_as_filed: bool = False
    correct: str = "write into the vehicle file what is really there, or put the vehicle right and run it again"
    least_contrast: float = 0.0

    @property
    def on_reading_side(self) -> bool:
        """Whether the vehicle climbed as it should and was misread."""
        return self.distort is not None

    def applies(self, scene: Scene) -> bool:
        """Whether it may be at work at all."""
        return self.when(scene) and bool(self.variants(scene))

    def vehicles(self, subject: Subject, cases: Sequence[Case], size: Array, variant: str) -> _Altered:
        """What really stands there, and what climbs in each case; size: of the cause in each lane, (lanes,) [SI]."""
        real = self.alter(subject, size, variant) if self.alter else subject
        chosen = self.alter_case
        return real, {case: chosen(real, case, size, variant) if chosen else real.in_case(case) for case in cases}


_Altered = tuple[Subject, dict[Case, Vehicles]]
