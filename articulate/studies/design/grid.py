"""A grid of the real model over the few inputs that matter most, so that a page can answer what-ifs on its own.

The page interpolates linearly between grid points in every direction. How far that is from the model is measured: the
model is solved afresh at many random points between the grid points.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.climb import climb_to_unload
from articulate.ends import in_case
from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles, stack
from articulate.spec import Estimate, UnphysicalError, VehicleSpec
from articulate.studies.population.conditions import HOLDING_SHARE, Conditions, all_inputs, lanes_of
from articulate.studies.population.sampling import SEED, unit_points
from articulate.types import Case, own_wheel

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

SLIDERS, POINTS, CHECKS = 4, 7, 256
STEPS = 100  # of a slider, over its range

# How far a slider goes, by the last words of the input's key: shares of its value, or its own limits.
_REACH: Mapping[str, tuple[float, float]] = {
    "wheelbase": (0.95, 1.05),
    "front_share": (0.9, 1.1),
    "centre_of_gravity_height": (0.85, 1.2),
    "static_stability_factor": (0.87, 1.13),
    "tyre.diameter": (0.95, 1.08),
    "tyre.pressure": (0.4, 1.1),
    "track": (0.97, 1.03),
    "travel.bump": (0.6, 1.4),
    "travel.droop": (0.6, 1.4),
    "travel.total": (0.7, 1.3),
    "spring.wheel_rate": (0.65, 1.5),
    "spring.rate": (0.65, 1.5),
    "spring.ride_frequency": (0.8, 1.25),
    "anti_roll_bar.roll_stiffness": (0.3, 2.0),
    "anti_roll_bar.over_spring_roll_stiffness": (0.3, 2.0),
    "anti_roll_bar.end_rate": (0.3, 2.0),
    "anti_roll_bar.diameter": (0.75, 1.2),
    "cross_link.roll_stiffness": (0.3, 2.0),
    "bump_stop.spacing": (0.8, 1.15),
    "spring.spacing": (0.85, 1.15),
    "frame.torsional_rate": (0.6, 2.0),
}


@dataclass(frozen=True)
class Slider:
    """An input that can be moved, and how far."""

    key: str
    unit: str
    unit_size: float  # of the unit [SI]
    nominal: float  # [SI]
    values: tuple[float, ...]  # [SI], the grid; the file's own value is the middle one, or an end
    swing: float  # of the score, from one end of the range to the other, the larger of both bar states
    source: str

    def at(self, share: Array) -> Array:
        """Values [SI] where the slider stands, from 0 to 1: evenly between one point of the grid and the next."""
        return np.interp(share, np.linspace(0.0, 1.0, len(self.values)), self.values)


@dataclass(frozen=True)
class InterpolationError:
    """Interpolated less solved score at random points between the grid points."""

    points: int  # with a score by both
    typical: float  # 95 % of them are nearer than this
    largest: float


@dataclass(frozen=True, eq=False, repr=False)
class Grid(Brief):
    """Scores on a grid; NaN where a climb has none. Axis 0 are the bar states, then one axis a slider."""

    sliders: tuple[Slider, ...]
    bars: tuple[str, ...]
    score: Array
    wheel: Indices  # the wheel that lifts, -1 where none does
    errors: tuple[InterpolationError, ...]  # a bar state each
    seed: int


def _reach(key: str) -> tuple[float, float] | None:
    for words, reach in _REACH.items():
        if key == words or key.endswith(f".{words}") or (words.count(".") == 0 and key.rpartition(".")[2] == words):
            return reach
    return None


def _range(key: str, estimate: Estimate) -> tuple[float, float] | None:
    """Limits of a slider, or None for an input that is no slider."""
    if key == HOLDING_SHARE:
        return 0.0, 1.0
    reach = _reach(key)
    if reach is None or key.startswith(("load.", "body_point.")) or estimate.nominal <= 0.0:
        return None
    return estimate.nominal * reach[0], estimate.nominal * reach[1]


def _build(
    spec: VehicleSpec, conditions: Conditions, samples: Mapping[str, Array]
) -> tuple[Vehicles, RampTest, Indices]:
    """Vehicles and tests of the samples that can exist, and which those are."""
    lanes = next(iter(samples.values())).size
    try:
        vehicles, test = lanes_of(spec, conditions, samples)
        return vehicles, test, np.arange(lanes)
    except UnphysicalError as error:
        keep = np.ones(lanes, dtype=bool)
        for violation in error.violations:
            keep[violation.lanes] = False
        if not keep.any() or keep.all():
            raise
        kept = np.flatnonzero(keep)
        vehicles, test = lanes_of(spec, conditions, {key: values[kept] for key, values in samples.items()})
        return vehicles, test, kept


def _alike(vehicles: Vehicles, test: RampTest) -> tuple[Indices, Indices]:
    """One lane of each that are alike, and for every lane its place among those."""
    arrays = [getattr(record, field.name) for record in (vehicles, test) for field in fields(record)]
    rows = np.concatenate([one.reshape(vehicles.lanes, -1).astype(np.float64) for one in arrays], axis=1)
    places: dict[bytes, int] = {}
    place = np.array([places.setdefault(row.tobytes(), len(places)) for row in rows])
    first = np.empty(len(places), dtype=np.intp)
    first[place[::-1]] = np.arange(vehicles.lanes)[::-1]
    return first, place


def scores_of(
    spec: VehicleSpec, conditions: Conditions, samples: Mapping[str, Array], cases: Sequence[Case]
) -> tuple[Array, Indices]:
    """Scores and lifting wheels of samples in each case, (cases, lanes) each; NaN and -1 where there is none.

    Args:
        spec: the vehicle.
        conditions: of the test.
        samples: arrays (lanes,) [SI] by the key of the input they replace; at least one.
        cases: sides and bar states.
    """
    lanes = next(iter(samples.values())).size
    vehicles, test, kept = _build(spec, conditions, samples)
    variants = [in_case(vehicles, case) for case in cases]
    every, tests = stack(variants), test.take(np.tile(np.arange(kept.size), len(cases)))
    first, place = _alike(every, tests)  # with its bars released a vehicle is the same whatever they were
    climbed = climb_to_unload(every.take(first), tests.take(first))
    score = np.full((len(cases), lanes), np.nan)
    wheel = np.full((len(cases), lanes), -1, dtype=np.intp)
    score[:, kept] = climbed.score[place].reshape(len(cases), -1)
    wheel[:, kept] = climbed.wheel[place].reshape(len(cases), -1)
    for row, case in enumerate(cases):
        wheel[row] = own_wheel(wheel[row], case.side)
    return score, wheel


def _grid_values(low: float, nominal: float, high: float) -> tuple[float, ...]:
    """Points of a slider, as many below the file's own value as above it; evenly spaced where it is an end."""
    if not low < nominal < high:
        return tuple(np.linspace(low, high, POINTS).tolist())
    half = POINTS // 2 + 1
    return (*np.linspace(low, nominal, half)[:-1].tolist(), nominal, *np.linspace(nominal, high, half)[1:].tolist())


def _candidates(spec: VehicleSpec, conditions: Conditions, cases: Sequence[Case]) -> list[Slider]:
    """Every input that can be a slider, by its swing of the score, largest first."""
    inputs = all_inputs(spec, conditions)
    ranges = {key: limits for key, estimate in inputs.items() if (limits := _range(key, estimate)) is not None}
    lanes = 2 * len(ranges)
    samples = {}
    for place, (key, limits) in enumerate(ranges.items()):
        samples[key] = np.full(lanes, inputs[key].nominal)
        samples[key][2 * place : 2 * place + 2] = limits
    score, _ = scores_of(spec, conditions, samples, cases)
    swing = np.abs(score[:, 1::2] - score[:, 0::2]).max(axis=0)
    found = [
        Slider(
            key,
            inputs[key].unit,
            inputs[key].unit_size,
            inputs[key].nominal,
            _grid_values(limits[0], inputs[key].nominal, limits[1]),
            float(size),
            inputs[key].source,
        )
        for (key, limits), size in zip(ranges.items(), swing, strict=True)
        if np.isfinite(size) and size > 0.0
    ]
    return sorted(found, key=lambda slider: (-slider.swing, slider.key))


def interpolated(grid: Array, at: Array) -> Array:
    """Multilinear interpolation on a grid of evenly spaced points.

    Args:
        grid: values, one axis an input.
        at: (points, inputs), each from 0 to 1 from the first to the last point of its axis.

    Returns:
        (points,); NaN where a corner that counts has no value.
    """
    place = at * (np.array(grid.shape) - 1)
    low = np.clip(np.floor(place).astype(np.intp), 0, np.array(grid.shape) - 2)
    share = place - low
    total = np.zeros(at.shape[0])
    for corner in itertools.product((0, 1), repeat=at.shape[1]):
        weight = np.prod(np.where(np.array(corner) == 1, share, 1.0 - share), axis=1)
        value = grid[tuple((low + np.array(corner)).T)]
        total += np.where(weight > 0.0, weight * value, 0.0)
    return total


def _errors(guess: Array, solved: Array) -> InterpolationError:
    off = np.abs(guess - solved)
    off = off[np.isfinite(off)]
    if not off.size:
        return InterpolationError(0, float("nan"), float("nan"))
    return InterpolationError(int(off.size), float(np.quantile(off, 0.95, method="higher")), float(off.max()))


def explorer_grid(
    spec: VehicleSpec,
    conditions: Conditions,
    cases: Sequence[Case],
    sliders: int = SLIDERS,
    checks: int = CHECKS,
    seed: int = SEED,
) -> Grid | None:
    """Solve the grid over the inputs that move the score most, and measure its interpolation.

    Args:
        spec: the vehicle.
        conditions: of the test.
        cases: bar states, of one side.
        sliders: at most so many inputs.
        checks: random points at which the model is solved afresh.
        seed: of those points.

    Returns:
        The grid, or None where no input moves the score (the nominal vehicle has none).
    """
    chosen = _candidates(spec, conditions, cases)[:sliders]
    if not chosen:
        return None
    mesh = np.meshgrid(*(np.array(slider.values) for slider in chosen), indexing="ij")
    unit = unit_points(checks, len(chosen), seed)
    samples = {}
    for axis, slider in enumerate(chosen):
        samples[slider.key] = np.concatenate([mesh[axis].ravel(), slider.at(unit[:, axis])])
    score, wheel = scores_of(spec, conditions, samples, cases)
    points = mesh[0].size
    shape = (len(cases), *mesh[0].shape)
    values = score[:, :points].reshape(shape)
    return Grid(
        sliders=tuple(chosen),
        bars=tuple(case.bars for case in cases),
        score=values,
        wheel=wheel[:, :points].reshape(shape),
        errors=tuple(_errors(interpolated(values[row], unit), score[row, points:]) for row in range(len(cases))),
        seed=seed,
    )
