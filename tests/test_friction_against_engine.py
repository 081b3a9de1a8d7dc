"""Scores with suspension friction, up and back, against the same elements integrated in time while the vehicle creeps.

The engine finds its own way: it starts on the flat, is carried up slowly, lets each friction element slip as soon as
it cannot hold, goes on past the lift and comes back. The two climbs at rest below a lift give its score.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from articulate.climb import Outcome, climb_to_unload, creep_back
from tests.engine.fleet import RUNS
from tests.engine.settling import creep

OVERSHOOT = 0.005  # [m]
FORCE = {  # [N] a corner, front and rear
    "independent front, solid coil rear": (300.0, 300.0),
    "twisting frame, offset, cargo, 23 degrees": (150.0, 550.0),
}
CHOSEN = [(run, force) for run in RUNS for label, force in FORCE.items() if run.label.startswith(label)]


def through_two(states, wheel, touch):
    """Climb and loads where the straight line through two loaded states has a wheel at the touch load."""
    one, other = states
    load = np.array([one.signed_loads[wheel], other.signed_loads[wheel]])
    assert (load > touch).all()
    share = (touch - load[0]) / (load[1] - load[0])
    climb = one.climb + share * (other.climb - one.climb)
    return climb, one.loads + share * (other.loads - one.loads)


@pytest.mark.parametrize(("run", "force"), CHOSEN, ids=[run.label for run, _ in CHOSEN])
def test_scores_up_and_back_agree_with_creeping_in_time(run, force):
    vehicle = replace(run.vehicle, friction_force=np.array([force]))
    up = climb_to_unload(vehicle, run.test)
    back = creep_back(vehicle, run.test, up, overshoot=OVERSHOOT)
    assert up.outcome[0] == Outcome.WHEEL_LIFTS
    smooth = climb_to_unload(run.vehicle, run.test)
    assert abs(up.score[0] - smooth.score[0]) > 2.0  # friction is seen
    top, below = float(up.climb[0]), float(back.climb[0])
    legs = [
        (top - 0.004, 0.05),
        (top - 0.001, 2e-3),
        (top + OVERSHOOT, 3e-4),
        (below - 0.001, 3e-4),
        (below - 0.003, 1e-3),
    ]
    states = creep(vehicle, run.test, legs)
    wheel, touch = int(up.wheel[0]), float(run.test.touch_load[0])
    for ours_score, ours_load, theirs in (
        (up.score[0], up.wheel_load[0], states[:2]),
        (back.score[0], back.wheel_load[0], states[3:]),
    ):
        climb, load = through_two(theirs, wheel, touch)
        assert abs(1000.0 * climb / vehicle.wheelbase[0] - ours_score) < 0.1
        np.testing.assert_allclose(load, ours_load, atol=0.5)
    assert states[2].signed_loads[wheel] < 0.0  # it hung in between
