"""Shapley values against the definition over all orders, and against games with a known answer."""

from itertools import permutations

import numpy as np
import pytest

from articulate.studies.explain.shapley import attribute, coalitions


def over_all_orders(worth, players):
    """The definition: what each player adds, averaged over every order of joining."""
    total = np.zeros(players)
    orders = list(permutations(range(players)))
    for order in orders:
        mask = 0
        for player in order:
            total[player] += worth[mask | (1 << player)] - worth[mask]
            mask |= 1 << player
    return total / len(orders)


@pytest.mark.parametrize("players", [1, 2, 3, 6])
def test_values_are_those_of_the_definition_and_add_up(players):
    worth = np.random.default_rng(players).normal(size=2**players) * 100.0
    found = attribute(worth)
    np.testing.assert_allclose(found.value, over_all_orders(worth, players), atol=1e-11)
    assert found.value.sum() == pytest.approx(worth[-1] - worth[0], abs=1e-11)
    np.testing.assert_allclose(found.first_in, worth[1 << np.arange(players)] - worth[0])
    np.testing.assert_allclose(found.last_in, worth[-1] - worth[(2**players - 1) ^ (1 << np.arange(players))])


def test_the_glove_game():
    # One left glove, two right ones, a pair is worth 1: (2/3, 1/6, 1/6), derived from the six orders.
    member = coalitions(3)
    worth = (member[:, 0] & (member[:, 1] | member[:, 2])).astype(float)
    np.testing.assert_allclose(attribute(worth).value, [2.0 / 3.0, 1.0 / 6.0, 1.0 / 6.0])


def test_a_player_who_adds_nothing_gets_nothing_and_equals_get_the_same():
    member = coalitions(4).astype(float)
    worth = 3.0 * member[:, 0] * member[:, 1] + 2.0 * (member[:, 0] + member[:, 1])
    value = attribute(worth).value
    np.testing.assert_allclose(value[2:], 0.0, atol=1e-15)
    assert value[0] == pytest.approx(value[1])
    assert value[0] == pytest.approx(3.5)


def test_the_game_played_backwards_gives_the_opposite():
    worth = np.random.default_rng(5).normal(size=64)
    np.testing.assert_allclose(attribute(worth[::-1]).value, -attribute(worth).value, atol=1e-12)


def test_something_missing_is_refused():
    with pytest.raises(ValueError, match="all coalitions"):
        attribute(np.zeros(6))
