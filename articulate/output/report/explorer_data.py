"""The explorer's grid as data: what its sliders are called, where they go, and the scores between them."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from articulate.model.vehicles import WHEELS
from articulate.studies.grid import Grid, Slider

_WORDS = {
    "wheelbase": "wheelbase",
    "front_share": "share of the mass on the front axle",
    "centre_of_gravity_height": "height of the centre of gravity",
    "static_stability_factor": "static stability factor",
    "diameter": "tyre diameter",
    "pressure": "tyre pressure",
    "holding_share": "share of the slope force the ramp wheel holds",
    "torsional_rate": "torsional rate of the frame",
    "track": "track",
    "bump": "bump travel",
    "droop": "droop travel",
    "total": "wheel travel in all",
    "bump_share": "share of bump in the wheel travel",
}
_MASS = {
    "total": "total mass",
    "front_axle": "mass on the front axle",
    "rear_axle": "mass on the rear axle",
    "left_of_centre": "centre of gravity to the left of the middle",
}
_PARTS = {
    "spring": "spring",
    "anti_roll_bar": "anti-roll bar",
    "bump_stop": "bump stop",
    "droop_stop": "droop stop",
    "cross_link": "cross link",
}


def slider_name(key: str) -> str:
    """A slider's input in words: `rear.anti_roll_bar.end_rate` is the rear anti-roll bar's end rate."""
    parts = key.split(".")
    axle = f"{parts[0]} " if parts[0] in ("front", "rear") else ""
    last = parts[-1]
    part = _PARTS.get(parts[-2]) if len(parts) > 1 else None
    if part is not None:
        return f"{axle}{part} {last.replace('_', ' ').removeprefix(f'{part} ')}"
    if parts[0] in ("load", "body_point"):
        return f"{'.'.join(parts[1:-1])}: {last.replace('_', ' ')}"
    if parts[0] == "mass" and last in _MASS:
        return _MASS[last]
    whole = "tyre " if parts[0] == "tyre" else ""
    return axle + _WORDS.get(last, whole + last.replace("_", " "))


def _digits(slider: Slider) -> int:
    """Digits after the point that show a hundredth of the range."""
    span = (slider.values[-1] - slider.values[0]) / slider.unit_size
    return max(0, min(4, 2 - math.floor(math.log10(span))))


def _plain(values: object, digits: int) -> list[float | None]:
    flat = np.asarray(values, dtype=np.float64).ravel()
    return [round(float(value), digits) if math.isfinite(value) else None for value in flat]


def explorer_data(grid: Grid, angle: float, wheelbase: float) -> dict[str, Any]:
    """Everything the explorer shows; slider values in their own units.

    Args:
        grid: the scores.
        angle: of the ramp [rad].
        wheelbase: nominal [m]; a slider may move it.
    """
    return {
        "angle": angle,
        "wheelbase": wheelbase,
        "wheels": list(WHEELS),
        "sliders": [
            {
                "key": slider.key,
                "name": slider_name(slider.key),
                "unit": slider.unit,
                "size": slider.unit_size,
                "low": slider.values[0] / slider.unit_size,
                "high": slider.values[-1] / slider.unit_size,
                "points": len(slider.values),
                "nominal": slider.nominal / slider.unit_size,
                "digits": _digits(slider),
                "assumed": slider.source == "assumed",
            }
            for slider in grid.sliders
        ],
        "bars": list(grid.bars),
        "score": [_plain(score, 1) for score in grid.score],
        "wheel": [wheel.ravel().tolist() for wheel in grid.wheel],
        "error": [
            {"points": error.points, "typical": _one(error.typical), "largest": _one(error.largest)}
            for error in grid.errors
        ],
    }


def _one(value: float) -> float | None:
    return round(value, 1) if math.isfinite(value) else None
