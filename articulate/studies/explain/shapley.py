"""Exact Shapley values of a game whose every coalition has been played."""

from __future__ import annotations

from dataclasses import dataclass
from math import factorial

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, repr=False)
class Attribution(Brief):
    """What each player adds to the value of the full coalition, (players,)."""

    value: Array  # Shapley value: the mean of what it adds over all orders of joining
    first_in: Array  # added to the empty coalition
    last_in: Array  # added to all the others


def coalitions(players: int) -> NDArray[np.bool_]:
    """Membership of all coalitions, (2^players, players); coalition c has player i where bit i of c is set."""
    return np.asarray((np.arange(2**players)[:, None] >> np.arange(players)) & 1, dtype=bool)


def attribute(worth: Array) -> Attribution:
    """Shapley values from the worth of every coalition.

        phi_i = sum over S without i of |S|! (n - |S| - 1)! / n! (v(S + i) - v(S))

    The values add up to v(all) - v(none), to rounding.

    Args:
        worth: (2^n,), in the order of `coalitions`.

    Raises:
        ValueError: as many values are not those of all coalitions.

    Source: L. S. Shapley, A value for n-person games, 1953 (formula from memory).
    """
    players = int(worth.size).bit_length() - 1
    if worth.size != 2**players:
        raise ValueError(f"{worth.size} values are not those of all coalitions")
    size = coalitions(players).sum(axis=1)
    weight = np.array([factorial(s) * factorial(players - s - 1) / factorial(players) for s in range(players)])
    value, first, last = np.empty(players), np.empty(players), np.empty(players)
    every = np.arange(worth.size)
    for player in range(players):
        without = every[(every >> player) & 1 == 0]
        added = worth[without | (1 << player)] - worth[without]
        value[player] = (weight[size[without]] * added).sum()
        first[player], last[player] = added[0], added[-1]
    return Attribution(value, first, last)
