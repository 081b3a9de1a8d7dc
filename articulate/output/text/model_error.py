"""The model's own error in words and as plain data, the same wherever a band holds it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from articulate.output.layout import capitalised
from articulate.studies.population.model_error import ModelError

if TYPE_CHECKING:
    from articulate.output.command_data import ModelErrorData

LEFT_OUT = "what the model leaves out"
ONE_SD = "1 sd"  # one standard deviation: what a bare ± of a model, a reading or a mean is, always said beside it


def parts_text(model: ModelError) -> str:
    """Both parts, such as `±5 % (1 sd) common to all runs of a vehicle, ±1 % (1 sd) a run`."""
    common, run = (f"±{100.0 * part:.2g} % ({ONE_SD})" for part in (model.common, model.run))
    return f"{common} common to all runs of a vehicle, {run} a run"


def short_text(model: ModelError, bands: str = "bands") -> str:
    """What bands hold, in one line."""
    if model.total == 0.0:
        return f"{bands}: the inputs' ranges; {LEFT_OUT} is not in them"
    return f"{bands}: the inputs' ranges, and ±{100.0 * model.total:.2g} % ({ONE_SD}) for {LEFT_OUT}"


def model_error_text(model: ModelError, bands: str = "the bands") -> str:
    """A sentence without its full stop: what the bands allow for, and what that rests on."""
    if model.total == 0.0:
        return f"{LEFT_OUT} is not in {bands}"
    rests = f"assumed, from {model.basis}" if model.source == "assumed" else "as chosen"
    return f"{LEFT_OUT}, in {bands}: {parts_text(model)} ({rests})"


def sentence(model: ModelError, bands: str = "the bands") -> str:
    """The same as a sentence of its own."""
    text = model_error_text(model, bands)
    return f"{capitalised(text)}."


def model_error_data(model: ModelError) -> ModelErrorData:
    """The error as plain data."""
    return {
        "common": model.common,
        "run": model.run,
        "meaning": "standard deviations relative to the score; common to all runs of a vehicle, and of each run",
        "source": model.source,
        "basis": model.basis,
    }
