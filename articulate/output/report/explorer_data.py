"""The explorer's grid as data: what its sliders are called, where they go, and the scores between them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from articulate.output.text.input_names import input_name
from articulate.studies.design.grid import STEPS, Grid, Slider
from articulate.types import WHEELS


def _digits(slider: Slider) -> int:
    """Digits after the point that show a hundredth of the range."""
    span = (slider.values[-1] - slider.values[0]) / slider.unit_size
    return max(0, min(4, 2 - math.floor(math.log10(span))))


def _start(slider: Slider) -> int:
    """The step at which a slider stands for the file as it is."""
    place = np.interp(slider.nominal, slider.values, np.linspace(0.0, STEPS, len(slider.values)))
    return round(float(place))


def _plain(values: object, digits: int) -> list[float | None]:
    flat = np.asarray(values, dtype=np.float64).ravel()
    return [round(float(value), digits) if math.isfinite(value) else None for value in flat]


def explorer_data(grid: Grid, angle: float, wheelbase: float, scores: Sequence[float]) -> dict[str, Any]:
    """Everything the explorer shows; slider values in their own units.

    Args:
        grid: the scores.
        angle: of the ramp [rad].
        wheelbase: nominal [m]; a slider may move it.
        scores: of the file as it is, by bar state; NaN where it has none.
    """
    return {
        "angle": angle,
        "wheelbase": wheelbase,
        "wheels": list(WHEELS),
        "sliders": [
            {
                "key": slider.key,
                "name": input_name(slider.key),
                "unit": slider.unit,
                "size": slider.unit_size,
                "values": [value / slider.unit_size for value in slider.values],
                "start": _start(slider),
                "digits": _digits(slider),
                "assumed": slider.source == "assumed",
            }
            for slider in grid.sliders
        ],
        "bars": list(grid.bars),
        "file": [f"{score:.0f}" if math.isfinite(score) else None for score in scores],
        "score": [_plain(score, 2) for score in grid.score],
        "wheel": [wheel.ravel().tolist() for wheel in grid.wheel],
        "error": [
            {"points": error.points, "typical": _one(error.typical), "largest": _one(error.largest)}
            for error in grid.errors
        ],
    }


def _one(value: float) -> float | None:
    return round(value, 1) if math.isfinite(value) else None
