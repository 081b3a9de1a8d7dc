"""Samples of a vehicle's uncertain inputs: one low-discrepancy point set, each input by its own distribution."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from articulate.constants import NORMAL_90
from articulate.spec import Estimate, VehicleSpec
from articulate.studies.population.normal_distribution import normal_probability, normal_quantile
from articulate.studies.population.sobol import scrambled_sobol, sobol_blocks

Array = NDArray[np.float64]

SEED = 20  # of every study, unless another is asked for


def uncertain_inputs(spec: VehicleSpec) -> tuple[str, ...]:
    """Keys of the inputs that are not exact, in the order of the vehicle's inputs."""
    return tuple(key for key, estimate in spec.inputs.items() if estimate.distribution != "exact")


def unit_points(points: int, dimensions: int, seed: int = SEED) -> Array:
    """Scrambled Sobol points in the open unit cube, (points, dimensions); points a power of two for balance."""
    if dimensions == 0:
        return np.empty((points, 0))
    exponent = int(np.ceil(np.log2(max(points, 1))))
    return _open(scrambled_sobol(exponent, dimensions, seed)[:points])


def _open(unit: Array) -> Array:
    """Points of the half-open unit cube, moved off its limits."""
    return np.asarray(np.clip(unit, 1e-12, 1.0 - 1e-12))


def quantile(estimate: Estimate, share: Array) -> Array:
    """Inverse of the estimate's distribution function at shares in (0, 1), any shape [SI].

    Rectangular between its limits; triangular with its value as mode; normal with its limits as central 90 %, cut
    off at four standard deviations. Where there may be none, 0 comes first, up to the chance of that.
    """
    if estimate.chance < 1.0:
        none = 1.0 - estimate.chance
        some = quantile(replace(estimate, chance=1.0), np.clip((share - none) / estimate.chance, 1e-12, 1.0 - 1e-12))
        return np.asarray(np.where(share < none, 0.0, some))
    low, high, value = estimate.low, estimate.high, estimate.value
    if estimate.distribution == "exact":
        return np.full(share.shape, value)
    if estimate.distribution == "rectangular":
        return np.asarray(low + (high - low) * share)
    if estimate.distribution == "triangular":
        width = high - low
        mode = (value - low) / width
        rising = low + np.sqrt(share * width * (value - low))
        falling = high - np.sqrt((1.0 - share) * width * (high - value))
        return np.asarray(np.where(share < mode, rising, falling))
    sigma = (high - low) / (2.0 * NORMAL_90)
    return np.asarray(value + sigma * np.clip(normal_quantile(share), -4.0, 4.0))


def from_unit(inputs: Mapping[str, Estimate], keys: Sequence[str], unit: Array) -> dict[str, Array]:
    """Samples of inputs, each (points,), from points of the unit cube (points, keys), one column a key."""
    return {key: quantile(inputs[key], unit[:, column]) for column, key in enumerate(keys)}


def normal_scores(points: int, dimensions: int, seed: int = SEED) -> Array:
    """Independent standard normal scores of Sobol points, (points, dimensions)."""
    return np.asarray(normal_quantile(unit_points(points, dimensions, seed)))


def score_blocks(exponent: int, dimensions: int, seed: int = SEED) -> Callable[[int], Array]:
    """`normal_scores` in blocks of 2^exponent points, (2^exponent, dimensions): block 0, 1 and so on, in any order."""
    if dimensions == 0:
        return lambda number: np.empty((2**exponent, 0))
    blocks = sobol_blocks(exponent, dimensions, seed)
    return lambda number: normal_quantile(_open(blocks(number)))


def from_scores(inputs: Mapping[str, Estimate], keys: Sequence[str], scores: Array, root: Array) -> dict[str, Array]:
    """Samples of inputs from independent normal scores.

    Args:
        inputs: estimates by key.
        keys: of the inputs sampled.
        scores: independent normal scores, (points, keys).
        root: of their correlation matrix, (keys, keys); see `ties.correlation_root`.

    Returns:
        Samples (points,) [SI] by key.
    """
    return from_unit(inputs, keys, np.clip(normal_probability(scores @ root.T), 1e-12, 1.0 - 1e-12))
