"""Simple cases of the ramp test in closed form, each derived in sympy and none of them aware of the solver.

The modules of this package hold the formulas as plain NumPy functions; `articulate.closed_forms.proofs` derives
them. `derive` finds a derivation by name and loads sympy only then.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from difflib import get_close_matches
from importlib import import_module
from typing import TYPE_CHECKING, cast

from articulate.errors import ArticulateError

if TYPE_CHECKING:
    from articulate.closed_forms.derivation import Derivation

_PROOFS = {
    "mark-height": "mark",
    "hub-path": "hub_path",
    "diagonal-lift": "diagonal_lift",
    "roll-stiffness-lift": "roll_stiffness",
    "roll-gradient": "roll_gradient",
    "pitch-transfer": "pitch_transfer",
    "travel-limit": "travel_limit",
    "three-wheels": "three_wheels",
    "side-slope": "side_slope",
    "spring-base": "spring_base",
    "rates": "rates",
    "ride-and-roll": "ride_and_roll",
    "weighing": "weighing",
}


class UnknownDerivationError(ArticulateError, ValueError):
    """There is no derivation of that name; `suggestion` is the nearest one, if any is near."""

    def __init__(self, name: str, suggestion: str | None) -> None:
        self.name = name
        self.suggestion = suggestion
        hint = f"did you mean '{suggestion}'?" if suggestion else "known are: " + ", ".join(_PROOFS)
        super().__init__(f"no derivation is called '{name}'; {hint}")


def derivation_names() -> tuple[str, ...]:
    """Names of all derivations, in the order of the topics."""
    return tuple(_PROOFS)


def derive(name: str) -> Derivation:
    """The derivation of a name, worked out afresh in sympy (not yet verified: see `Derivation.verify`).

    Args:
        name: One of `derivation_names`; upper case and underscores are taken too.

    Raises:
        UnknownDerivationError: No derivation has that name.
    """
    key = name.strip().lower().replace("_", "-").replace(" ", "-")
    if key not in _PROOFS:
        near = get_close_matches(key, _PROOFS, n=1, cutoff=0.5)
        raise UnknownDerivationError(name, near[0] if near else None)
    module = import_module(f"articulate.closed_forms.proofs.{_PROOFS[key]}")
    return replace(cast("Callable[[], Derivation]", module.derive)(), name=key)
