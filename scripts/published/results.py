"""The published results: each with its vehicle file, its source and how well it is known."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

from articulate.constants import DEGREE
from articulate.spec import Estimate, VehicleSpec
from articulate.studies.population.conditions import Conditions, exactly
from articulate.types import Case

FOLDER = Path(__file__).resolve().parent.parent.parent / "tests" / "published_scores"

# Vehicles of one design are right or wrong together: they count as one where results are left out.
FAMILIES: tuple[frozenset[str], ...] = (frozenset({"P05", "P10", "P11", "P12"}), frozenset({"P09", "P16"}))

INDEPENDENT, MIXED = "independent", "independent front, solid rear"
SOLID_WITH_BARS, SOLID_WITHOUT = "solid, bars", "solid, no bars"
KINDS = (SOLID_WITH_BARS, SOLID_WITHOUT, MIXED, INDEPENDENT)


@dataclass(frozen=True)
class PublishedResult:
    """One published score."""

    vehicle: str  # number of the vehicle, the file's name
    bars: str
    ramp_angle: float  # [rad]
    score: float
    grade: str  # A, A-, B, C; see the folder's README
    measured_how: str
    source: str
    known: str
    travel_known: str

    @property
    def name(self) -> str:
        """Vehicle and state of the bars."""
        return f"{self.vehicle} {self.bars}"

    @property
    def case(self) -> Case:
        """The run; which side was driven is not published."""
        return Case("left", self.bars)

    @property
    def path(self) -> Path:
        """The vehicle's file."""
        return FOLDER / f"{self.vehicle}.toml"

    @property
    def conditions(self) -> Conditions:
        """The usual ones, on the ramp as published."""
        angle: Estimate = exactly(self.ramp_angle, "deg", DEGREE, "published")
        return Conditions(ramp_angle=angle)

    @property
    def family(self) -> frozenset[str]:
        """The vehicle with its relatives."""
        return next((family for family in FAMILIES if self.vehicle in family), frozenset({self.vehicle}))


def read_results(folder: Path = FOLDER) -> tuple[PublishedResult, ...]:
    """Every published result, in the order of `scores.csv`."""
    with (folder / "scores.csv").open(encoding="utf-8", newline="") as file:
        return tuple(
            PublishedResult(
                vehicle=row["vehicle"].removesuffix(".toml"),
                bars=row["bars"],
                ramp_angle=float(row["ramp_angle_deg"]) * DEGREE,
                score=float(row["score"]),
                grade=row["grade"],
                measured_how=row["measured_how"],
                source=row["source"],
                known=row["known"],
                travel_known=row["travel_in_file"],
            )
            for row in csv.DictReader(file)
        )


def kind_of(spec: VehicleSpec, bars: str) -> str:
    """Kind of suspension as it is in a run: a bar that is released is not counted."""
    solid = [axle.suspension == "solid" for axle in spec.axles]
    if not any(solid):
        return INDEPENDENT
    if not all(solid):
        return MIXED
    acting = [axle.bar_fitted and not (bars == "released" and axle.bar_releasable) for axle in spec.axles]
    return SOLID_WITH_BARS if any(acting) else SOLID_WITHOUT
