"""The model's own error in words and as plain data, the same wherever a band holds it."""

from __future__ import annotations

from typing import Any

from articulate.studies.population.model_error import ModelError

LEFT_OUT = "what the model leaves out"


def parts_text(model: ModelError) -> str:
    """Both parts, such as `±5 % common to all runs of a vehicle, ±2 % a run`."""
    return f"±{100.0 * model.common:.2g} % common to all runs of a vehicle, ±{100.0 * model.run:.2g} % a run"


def model_error_text(model: ModelError, bands: str = "the bands") -> str:
    """A sentence without its full stop: what the bands allow for, and what that rests on."""
    if model.total == 0.0:
        return f"{LEFT_OUT} is not in {bands}"
    rests = f"assumed, from {model.basis}" if model.source == "assumed" else "as chosen"
    return f"{LEFT_OUT}, in {bands}: {parts_text(model)} (one standard deviation; {rests})"


def sentence(model: ModelError, bands: str = "the bands") -> str:
    """The same as a sentence of its own."""
    text = model_error_text(model, bands)
    return f"{text[0].upper()}{text[1:]}."


def model_error_data(model: ModelError) -> dict[str, Any]:
    """The error as plain data."""
    return {
        "common": model.common,
        "run": model.run,
        "meaning": "standard deviations relative to the score; common to all runs of a vehicle, and of each run",
        "source": model.source,
        "basis": model.basis,
    }
