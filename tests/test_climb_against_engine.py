"""The project's climb against the independent settling engine, which shares no force code with it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from articulate.climb import climb_to_unload
from tests.engine.agreement import agrees_with_settling
from tests.engine.fleet import RUNS

FAST = [
    run
    for run in RUNS
    if run.label.startswith(
        (
            "independent front, solid coil rear",
            "solid front, independent rear",
            "twisting frame",
            "cross-linked",
            "linked air springs behind",
            "progressive springs",
            "bushings that resist roll",
            "twist beam of twice its springs",
        )
    )
]


@pytest.mark.parametrize("run", FAST, ids=lambda run: run.label)
def test_score_and_loads_agree_with_settling_in_time(run):
    agrees_with_settling(run)


def test_the_progressive_springs_of_the_fleet_are_felt():
    """By 10 points at least, so that an engine without them would disagree."""
    felt = [run for run in RUNS if (run.vehicle.spring_rate_factor > 1.0).any()]
    assert felt
    for run in felt:
        score = climb_to_unload(run.vehicle, run.test).score[0]
        one_rate = replace(run.vehicle, spring_rate_factor=np.ones((1, 2)))
        assert climb_to_unload(one_rate, run.test).score[0] > score + 10.0


def test_the_auxiliary_stiffness_of_the_fleet_is_felt():
    """By 10 points at least, and its cubic part by as much, so that an engine without it would disagree."""
    felt = [run for run in RUNS if run.vehicle.auxiliary_rate.any()]
    assert len(felt) == 8
    for run in felt:
        score = climb_to_unload(run.vehicle, run.test).score[0]
        linear = replace(run.vehicle, auxiliary_rate_cubic=np.zeros((1, 2)))
        none = replace(linear, auxiliary_rate=np.zeros((1, 2)))
        assert climb_to_unload(none, run.test).score[0] > score + 10.0
        if run.vehicle.auxiliary_rate_cubic.any():
            assert climb_to_unload(linear, run.test).score[0] > score + 10.0
