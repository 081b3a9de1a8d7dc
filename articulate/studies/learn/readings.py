"""What was read on the day, and how well: what a population of possible vehicles is conditioned on."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.constants import DEGREE
from articulate.studies.population.model_error import ModelError
from articulate.studies.population.runs import Runs
from articulate.types import WHEELS, Case

Array = NDArray[np.float64]

SCORE_UNCERTAINTY = 2.0  # points, assumed where none is given: mark, film and ramp angle of a careful test


class Evidence(ABC):
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

    def model_scale(self, simulated: Array) -> Array:
        """What the model's error is a share of, in the reading's own unit, (points,); 0 where it has no part in it.

        simulated: the reading of each point, (points,).
        """
        return np.where(np.isfinite(simulated), np.abs(simulated), abs(self.value))


@dataclass(frozen=True)
class ScoreReading(Evidence):
    """The score of one run."""

    case: Case
    value: float
    standard_uncertainty: float = SCORE_UNCERTAINTY

    def simulated(self, runs: Runs) -> Array:
        """Scores of the points, (points,)."""
        score = runs.ends[self.case].score
        return np.where(np.isfinite(score), score, np.nan)

    @property
    def label(self) -> str:
        """Words for people."""
        return f"score, bars {self.case.bars}"


@dataclass(frozen=True)
class RollReading(Evidence):
    """Roll of the body at the end of a run [rad], left side up positive."""

    case: Case
    value: float
    standard_uncertainty: float

    def simulated(self, runs: Runs) -> Array:
        """Roll angles of the points, (points,) [rad]."""
        return runs.ends[self.case].roll

    @property
    def label(self) -> str:
        """Words for people."""
        return f"roll at the end, bars {self.case.bars}"

    @property
    def unit(self) -> tuple[str, float]:
        """Degrees."""
        return "deg", DEGREE

    def model_scale(self, simulated: Array) -> Array:
        """With its sign: a vehicle whose wheel lifts later is further over."""
        return np.where(np.isfinite(simulated), simulated, self.value)


@dataclass(frozen=True)
class LoadReading(Evidence):
    """Load of one wheel [N], normal to its ground: at the end of a run, or at rest on flat ground."""

    case: Case
    wheel: int  # of WHEELS
    at_rest: bool
    value: float
    standard_uncertainty: float

    def simulated(self, runs: Runs) -> Array:
        """Wheel loads of the points, (points,) [N]."""
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

    def model_scale(self, simulated: Array) -> Array:
        """On flat ground the loads follow from weight and place alone."""
        return np.zeros(simulated.shape) if self.at_rest else super().model_scale(simulated)


@dataclass(frozen=True)
class InputReading(Evidence):
    """An input of the vehicle measured after all, such as a gap [SI]."""

    key: str
    value: float
    standard_uncertainty: float
    unit_name: str = ""
    unit_size: float = 1.0

    def simulated(self, runs: Runs) -> Array:
        """The input's samples, (points,) [SI]."""
        return np.asarray(runs.samples[self.key])

    @property
    def label(self) -> str:
        """Words for people."""
        return self.key

    @property
    def unit(self) -> tuple[str, float]:
        """As the input is shown."""
        return self.unit_name, self.unit_size

    def model_scale(self, simulated: Array) -> Array:
        """An input is read as it is."""
        return np.zeros(simulated.shape)


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


def error_covariance(readings: Sequence[Evidence], model: ModelError, simulated: Array | None = None) -> Array:
    """Covariance of what separates readings from the model of each point, if that is the right vehicle.

    Own reading errors are independent; the model's (`model_covariance`) are shares of what the point would have read.

    Args:
        readings: what was read.
        model: its error.
        simulated: what each point would have read, (points, readings); the readings themselves if None.

    Returns:
        (points, readings, readings), or (readings, readings) where nothing is simulated.
    """
    own = np.diag([reading.standard_uncertainty**2 for reading in readings])
    scale = model_scales(readings, np.array([[r.value for r in readings]]) if simulated is None else simulated)
    shared = np.array([[model_covariance(one, other, model) for other in readings] for one in readings])
    found = own + scale[:, :, None] * scale[:, None, :] * shared.reshape(len(readings), len(readings))
    return np.asarray(found[0] if simulated is None else found, dtype=np.float64)


def model_scales(readings: Sequence[Evidence], simulated: Array) -> Array:
    """What the model's errors are shares of, (points, readings); `simulated` likewise."""
    if not readings:
        return np.empty(simulated.shape)
    return np.stack([reading.model_scale(simulated[:, k]) for k, reading in enumerate(readings)], axis=1)


def model_covariance(one: Evidence, other: Evidence, model: ModelError) -> float:
    """Covariance of the model's error in two readings, relative to both.

    Score and roll go together: a vehicle whose wheel lifts sooner is not as far over then. Loads at the end have an
    error of their own, the same for the same wheel of the same run.
    """
    with_score = (ScoreReading, RollReading)
    if isinstance(one, with_score) and isinstance(other, with_score):
        return model.covariance(one.case == other.case)
    if isinstance(one, LoadReading) and isinstance(other, LoadReading):
        return model.covariance(True) if (one.case, one.wheel) == (other.case, other.wheel) else 0.0
    return 0.0
