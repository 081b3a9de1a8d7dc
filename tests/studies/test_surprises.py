"""Surprises audited beforehand: scores and gains far off, either way, with what would explain them."""

from __future__ import annotations

import pytest

from articulate.spec import load_vehicle
from articulate.studies.at_ramp import surprises as module
from articulate.studies.at_ramp.surprises import surprises
from articulate.studies.audit.expectations import NoLiftError
from articulate.studies.population.conditions import Conditions


@pytest.mark.parametrize(("name", "gains"), [("wagon", True), ("forward_control_van", False)])
def test_scores_surprise_either_way_and_gains_where_a_bar_can_be_released(name, gains):
    found = surprises(load_vehicle(f"vehicle_specs_demo/{name}.toml"), Conditions(), "left", "mm")
    kinds = [(one.what, one.low) for one in found]
    assert kinds == [("score", True), ("score", False), *([("gain", True), ("gain", False)] if gains else [])]
    for one in found:
        shares = [one.nothing_wrong, *(suspect.probability for suspect in one.suspects)]
        assert all(0.0 < share < 0.8 for share in shares)  # 2.5 standard deviations off: not settled either way
        assert sum(shares) <= 1.0 + 1e-9
        assert one.suspects
        assert one.checks


def test_nothing_is_said_where_too_few_lift_a_wheel(monkeypatch):
    def none_lifts(*_words, **_more):
        raise NoLiftError("none")

    monkeypatch.setattr(module, "expect", none_lifts)
    assert surprises(load_vehicle("vehicle_specs_demo/wagon.toml"), Conditions(), "left", "in") == ()
