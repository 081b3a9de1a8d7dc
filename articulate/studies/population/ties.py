"""Inputs that go together: correlations between uncertain inputs, as a Gaussian copula.

What hangs together by geometry is tied when the vehicle is built: one tyre moves radius, stiffness, heights and
arch gaps together. The ties here are for what is unknown together, such as two rubber stops of the same maker.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from articulate.errors import ArticulateError
from articulate.spec import Estimate
from articulate.spec.key_lookup import entry_of

Array = NDArray[np.float64]
Ties = Mapping[tuple[str, str], float]  # correlation of the normal scores of two inputs

LARGEST_TIE = 0.99


class TieError(ArticulateError, ValueError):
    """A tie between inputs that are not there, or ties that contradict each other."""


def usual_ties(inputs: Mapping[str, Estimate]) -> dict[tuple[str, str], float]:
    """Ties that hold unless others are asked for: what is assumed on both axles by the same relation.

    What is wrong with the relation for this vehicle is wrong on both in part; how much the table of keys says (moderate
    values, common practice without a source). An input given in the file is known for itself and is not tied.
    """
    found = {}
    for key in inputs:
        pair = (key, f"rear.{key.removeprefix('front.')}")
        entry = entry_of(key) if key.startswith("front.") else None
        known = [inputs[one] for one in pair if one in inputs]
        tied = len(known) == 2 and all(e.source == "assumed" and e.distribution != "exact" for e in known)
        if tied and entry is not None and entry.tie:
            found[pair] = entry.tie
    return found


def correlation_root(keys: Sequence[str], ties: Ties) -> Array:
    """Lower Cholesky root L of the correlation matrix of the normal scores, (keys, keys).

    Independent normal scores z become tied ones as z L^T. The rank correlation of two inputs with tie r is
    6/pi asin(r/2), whatever their distributions.

    Raises:
        TieError: an unknown or exact input, a tie beyond +-0.99, or ties no population can have together.
    """
    places = {key: place for place, key in enumerate(keys)}
    matrix = np.eye(len(keys))
    for (one, other), tie in ties.items():
        for key in (one, other):
            if key not in places:
                raise TieError(f"{key}: not an uncertain input of this vehicle; tie inputs that have a range")
        if one == other or not abs(tie) <= LARGEST_TIE:
            raise TieError(
                f"{one}, {other} = {tie:g}: a tie joins two inputs and lies between -{LARGEST_TIE} and {LARGEST_TIE}"
            )
        matrix[places[one], places[other]] = matrix[places[other], places[one]] = tie
    try:
        return np.asarray(np.linalg.cholesky(matrix))
    except np.linalg.LinAlgError:
        raise TieError("the ties contradict each other: no population has them all; weaken one of them") from None


def tied_groups(keys: Sequence[str], ties: Ties) -> tuple[tuple[str, ...], ...]:
    """The inputs in groups that are independent of each other; most groups are one input."""
    group = {key: {key} for key in keys}
    for (one, other), tie in ties.items():
        if tie != 0.0 and group[one] is not group[other]:
            joined = group[one] | group[other]
            for key in joined:
                group[key] = joined
    seen: set[str] = set()
    groups = []
    for key in keys:
        if key not in seen:
            groups.append(tuple(member for member in keys if member in group[key]))
            seen |= group[key]
    return tuple(groups)
