"""The project's climb held to the reference."""

from __future__ import annotations

import numpy as np

from articulate.climb import Outcome, climb_to_unload
from tests.engine.fleet import Run
from tests.engine.settling import find_unloading


def agrees_with_settling(run: Run) -> None:
    """The same wheel lifts at the same climb, to 0.2 points, and every wheel carries the same, to 2 N."""
    ours = climb_to_unload(run.vehicle, run.test)
    assert ours.outcome[0] == Outcome.WHEEL_LIFTS
    theirs = find_unloading(run.vehicle, run.test, near=float(ours.climb[0]) + 0.013)
    assert theirs.found
    assert theirs.wheel == ours.wheel[0]
    assert abs(theirs.score - ours.score[0]) < 0.2
    np.testing.assert_allclose(theirs.loads, ours.wheel_load[0], atol=2.0)
