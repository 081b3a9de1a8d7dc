"""Pieces of work on several cores come back as they would one after the other."""

import os

import pytest

from articulate.studies.population.parallel import WORTHWHILE, on_cores


def square_and_process(number):
    return number * number, os.getpid()


def fails_at_two(number):
    if number == 2:
        raise ValueError("two")
    return number


def test_results_keep_their_order_and_few_climbs_stay_here():
    many = on_cores(square_and_process, [3, 1, 2], climbs=WORTHWHILE)
    few = on_cores(square_and_process, [3, 1, 2], climbs=WORTHWHILE - 1)
    assert [result for result, _ in many] == [result for result, _ in few] == [9, 1, 4]
    assert {process for _, process in few} == {os.getpid()}


@pytest.mark.parametrize("climbs", [0, WORTHWHILE])
def test_an_error_comes_out(climbs):
    with pytest.raises(ValueError, match="two"):
        on_cores(fails_at_two, [1, 2, 3], climbs)
