"""Predicts how far an off-road vehicle climbs a ramp before a wheel unloads, and says why.

    import articulate

    wagon = articulate.demo("wagon")                            # or articulate.load("mine.toml")
    articulate.predict(wagon)                                   # both scores, one line; .table() tells all
    articulate.band(wagon).plot()                               # with what the file leaves open
    longer = wagon.what_if(rear__travel__bump="95 mm")          # any key of the file, with its unit
    articulate.explain(wagon, longer).table()
    articulate.predict(wagon, articulate.Ramp(angle="23 deg", side="right"))

Every answer has a short repr, `.table()`, `.to_dict()`, `.rows()`, `.plot()`, and `.found`, the frozen result with all
its numbers in SI units. Every error is an `ArticulateError` that says what would work. The batch core is in
`articulate.climb`: `climb_to_unload(vehicles, ramp_test(lanes))` on arrays with a leading lane axis.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from articulate.api.deciding import carry, clearance, compare, explain, ladder, target
    from articulate.api.measuring import audit, learn, score
    from articulate.api.predicting import band, blocks, predict, sample, sweep, timeline, worth
    from articulate.api.ramp import Ramp
    from articulate.api.result import Result
    from articulate.api.vehicle import Vehicle, demo, load, read
    from articulate.errors import ArgumentError, ArticulateError

__version__ = "0.2.0"

_HOMES = {
    "api.deciding": ("carry", "clearance", "compare", "explain", "ladder", "target"),
    "api.measuring": ("audit", "learn", "score"),
    "api.predicting": ("band", "blocks", "predict", "sample", "sweep", "timeline", "worth"),
    "api.ramp": ("Ramp",),
    "api.result": ("Result",),
    "api.vehicle": ("Vehicle", "demo", "load", "read"),
    "errors": ("ArgumentError", "ArticulateError"),
}
_HOME = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "ArgumentError",
    "ArticulateError",
    "Ramp",
    "Result",
    "Vehicle",
    "audit",
    "band",
    "blocks",
    "carry",
    "clearance",
    "compare",
    "demo",
    "explain",
    "ladder",
    "learn",
    "load",
    "predict",
    "read",
    "sample",
    "score",
    "sweep",
    "target",
    "timeline",
    "worth",
]


def __getattr__(name: str) -> Any:
    """A public name, loaded when it is first used."""
    if name not in _HOME:
        raise AttributeError(f"module 'articulate' has no attribute {name!r}; it has {', '.join(__all__)}")
    found = getattr(import_module(f"articulate.{_HOME[name]}"), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted([*__all__, "__doc__", "__version__"])
