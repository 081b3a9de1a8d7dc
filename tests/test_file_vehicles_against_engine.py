"""Vehicles from files, in every form a file allows, against the independent settling engine.

`scripts/engine_comparison` runs them all; here are those that settle fast, and those with suspension friction on the
way up.
"""

from __future__ import annotations

import numpy as np
import pytest

from articulate.climb import climb_to_unload
from tests.engine.agreement import agrees_with_settling
from tests.engine.file_fleet import file_runs, rubbing_runs
from tests.engine.settling import creep

FAST = ("air_springs", "taller_tyres", "tail_heavy", "twist_beam")
CHOSEN = [run for run in file_runs() if run.label.startswith(FAST) and "connected" in run.label]


@pytest.mark.parametrize("run", CHOSEN, ids=lambda run: run.label)
def test_score_and_loads_agree_with_settling_in_time(run):
    agrees_with_settling(run)


@pytest.mark.parametrize("run", rubbing_runs(), ids=lambda run: run.label)
def test_climbing_up_with_friction_agrees_with_creeping_in_time(run):
    ours = climb_to_unload(run.vehicle, run.test)
    smooth = climb_to_unload(run.vehicle.frictionless(), run.test)
    assert smooth.score[0] - ours.score[0] > 5.0  # friction is seen
    wheel, top = int(ours.wheel[0]), float(ours.climb[0])
    low, high = creep(run.vehicle, run.test, [(top - 0.004, 0.05), (top - 0.001, 2e-3)])
    share = low.signed_loads[wheel] / (low.signed_loads[wheel] - high.signed_loads[wheel])
    climb = low.climb + share * (high.climb - low.climb)
    assert abs(1000.0 * climb / run.vehicle.wheelbase[0] - ours.score[0]) < 0.2
    np.testing.assert_allclose(low.loads + share * (high.loads - low.loads), ours.wheel_load[0], atol=2.0)
