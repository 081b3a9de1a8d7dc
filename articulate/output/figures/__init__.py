"""Figures in one hand: each function returns a `Picture`, which becomes SVG or PNG, the same bytes every time.

Those of answers can be taken from here; what draws is loaded with the first that is used.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from articulate.output.figures.adapters import band_figure, bridge_figure, causes_figure, ranking_figure
    from articulate.output.figures.answers import (
        blocks_figure,
        carry_figure,
        clearance_figure,
        learn_figure,
        sample_figure,
        score_figure,
        sweep_figure,
        target_figure,
        timeline_figure,
        worth_figure,
    )
    from articulate.output.figures.ladder_adapter import ladder_figure
    from articulate.output.figures.loads import loads_picture

__all__ = [
    "band_figure",
    "blocks_figure",
    "bridge_figure",
    "carry_figure",
    "causes_figure",
    "clearance_figure",
    "ladder_figure",
    "learn_figure",
    "loads_picture",
    "ranking_figure",
    "sample_figure",
    "score_figure",
    "sweep_figure",
    "target_figure",
    "timeline_figure",
    "worth_figure",
]

_HOME = {
    "band_figure": "adapters",
    "bridge_figure": "adapters",
    "causes_figure": "adapters",
    "ranking_figure": "adapters",
    "ladder_figure": "ladder_adapter",
    "loads_picture": "loads",
}  # all others: "answers"


def __getattr__(name: str) -> Any:
    """A figure of an answer, loaded when it is first used."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOME.get(name, 'answers')}"), name)
