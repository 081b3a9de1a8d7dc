"""What was read on the day, and how well: what a population of possible vehicles is conditioned on."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.model.vehicles import WHEELS
from articulate.studies.population import Case
from articulate.studies.runs import Runs

Array = NDArray[np.float64]

SCORE_UNCERTAINTY = 2.0  # points, assumed where none is given: mark, film and ramp angle of a careful test


@dataclass(frozen=True)
class ModelError:
    """What the model leaves out, as a share of the score: an allowance, assumed, not measured.

    Bushings, damper gas, tyre scrub, camber thrust and axle steer are each thought to move a score by less than 1 %;
    together they are taken as normal with this standard deviation. `common` is how far the error of one run
    is that of the other run of the same vehicle (a correlation).
    """

    share: float = 0.007
    common: float = 0.5


NO_MODEL_ERROR = ModelError(0.0, 0.0)


class Reading(ABC):
    """Something measured that the model predicts too: its value with a standard uncertainty, normal."""

    value: float
    standard_uncertainty: float

    @abstractmethod
    def simulated(self, runs: Runs) -> Array:
        """What each point of a population would have read, (points,); NaN where it has no such reading."""

    @property
    @abstractmethod
    def label(self) -> str:
        """Words for people."""

    @property
    def unit(self) -> tuple[str, float]:
        """Display unit and its size in SI."""
        return "", 1.0

    def model_scale(self) -> float:
        """What the model error is a share of, in the reading's own unit; 0 where the model has no part in it."""
        return abs(self.value)


@dataclass(frozen=True)
class ScoreReading(Reading):
    """The score of one run."""

    case: Case
    value: float
    standard_uncertainty: float = SCORE_UNCERTAINTY

    def simulated(self, runs: Runs) -> Array:
        """Scores of the points."""
        score = runs.ends[self.case].score
        return np.where(np.isfinite(score), score, np.nan)

    @property
    def label(self) -> str:
        """Words for people."""
        return f"score, bars {self.case.bars}"


@dataclass(frozen=True)
class RollReading(Reading):
    """Roll of the body at the end of a run [rad], left side up positive."""

    case: Case
    value: float
    standard_uncertainty: float

    def simulated(self, runs: Runs) -> Array:
        """Roll angles of the points."""
        return runs.ends[self.case].roll

    @property
    def label(self) -> str:
        """Words for people."""
        return f"roll at the end, bars {self.case.bars}"

    @property
    def unit(self) -> tuple[str, float]:
        """Degrees."""
        return "deg", float(np.pi / 180.0)


@dataclass(frozen=True)
class LoadReading(Reading):
    """Load of one wheel [N], normal to its ground: at the end of a run, or at rest on flat ground."""

    case: Case
    wheel: int  # of WHEELS
    at_rest: bool
    value: float
    standard_uncertainty: float

    def simulated(self, runs: Runs) -> Array:
        """Wheel loads of the points."""
        ends = runs.ends[self.case]
        return (ends.rest_load if self.at_rest else ends.wheel_load)[:, self.wheel]

    @property
    def label(self) -> str:
        """Words for people."""
        where = "on flat ground" if self.at_rest else f"at the end, bars {self.case.bars}"
        return f"load {WHEELS[self.wheel]} {where}"

    @property
    def unit(self) -> tuple[str, float]:
        """Newtons."""
        return "N", 1.0

    def model_scale(self) -> float:
        """On flat ground the loads follow from weight and place alone."""
        return 0.0 if self.at_rest else abs(self.value)


@dataclass(frozen=True)
class InputReading(Reading):
    """An input of the vehicle measured after all, such as a gap [SI]."""

    key: str
    value: float
    standard_uncertainty: float
    unit_name: str = ""
    unit_size: float = 1.0

    def simulated(self, runs: Runs) -> Array:
        """The input's samples."""
        return np.asarray(runs.samples[self.key])

    @property
    def label(self) -> str:
        """Words for people."""
        return self.key

    @property
    def unit(self) -> tuple[str, float]:
        """As the input is shown."""
        return self.unit_name, self.unit_size

    def model_scale(self) -> float:
        """An input is read as it is."""
        return 0.0


@dataclass(frozen=True)
class LiftSeen:
    """Which wheel lifted first; with a chance of `doubt` another was taken for it."""

    case: Case
    wheel: int
    doubt: float = 0.05

    def log_likelihood(self, runs: Runs) -> Array:
        """Of each point, (points,)."""
        same = runs.ends[self.case].wheel == self.wheel
        return np.log(np.where(same, 1.0 - self.doubt, self.doubt / 2.0))

    @property
    def label(self) -> str:
        """Words for people."""
        return f"{WHEELS[self.wheel]} lifts first, bars {self.case.bars}"


def error_covariance(readings: Sequence[Reading], model: ModelError) -> Array:
    """Covariance of what separates readings from the model of the right vehicle, (readings, readings).

    Own reading errors are independent. The model's are those of `ModelError`: two scores share `common` of
    it, readings of the same kind and case all of it; different kinds of reading have independent ones.
    """
    count = len(readings)
    covariance = np.diag([reading.standard_uncertainty**2 for reading in readings])
    for i in range(count):
        for j in range(count):
            covariance[i, j] += model_covariance(readings[i], readings[j], model, i == j)
    return covariance


def model_covariance(one: Reading, other: Reading, model: ModelError, same: bool) -> float:
    """Covariance of the model's error in two readings; `same` where they are one and the same."""
    size = model.share**2 * one.model_scale() * other.model_scale()
    if same:
        return size
    if isinstance(one, ScoreReading) and isinstance(other, ScoreReading):
        return size if one.case == other.case else model.common * size
    return 0.0
