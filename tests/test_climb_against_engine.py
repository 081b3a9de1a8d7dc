"""The project's climb against the independent settling engine, which shares no force code with it."""

from __future__ import annotations

import pytest

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
        )
    )
]


@pytest.mark.parametrize("run", FAST, ids=lambda run: run.label)
def test_score_and_loads_agree_with_settling_in_time(run):
    agrees_with_settling(run)
