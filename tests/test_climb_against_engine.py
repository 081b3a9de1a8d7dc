"""The project's climb against the independent settling engine, which shares no force code with it."""

from __future__ import annotations

import numpy as np
import pytest

from articulate.climb import Outcome, climb_to_unload
from tests.engine.fleet import RUNS
from tests.engine.settling import find_unloading

FAST = [
    run
    for run in RUNS
    if run.label.startswith(
        ("independent front, solid coil rear", "solid front, independent rear", "twisting frame", "cross-linked")
    )
]


@pytest.mark.parametrize("run", FAST, ids=lambda run: run.label)
def test_score_and_loads_agree_with_settling_in_time(run):
    ours = climb_to_unload(run.vehicle, run.test)
    assert ours.outcome[0] == Outcome.WHEEL_LIFTS
    theirs = find_unloading(run.vehicle, run.test, near=float(ours.climb[0]) + 0.013)
    assert theirs.found
    assert theirs.wheel == ours.wheel[0]
    assert abs(theirs.score - ours.score[0]) < 0.2
    np.testing.assert_allclose(theirs.loads, ours.wheel_load[0], atol=2.0)
