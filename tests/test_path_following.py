"""The solver on equations with known answers: a lift that hides, one that comes first unannounced, Newton's cycles."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from articulate.solve.newton import solve_at
from articulate.solve.path import End, Steps, follow


@dataclass
class Linear:
    """What `Along` linearises to."""

    equations: Any
    margins: Any
    guards: Any
    slopes: Any


class Along:
    """One unknown that goes with the parameter, f(s - x) = 0, and margins of it: functions and their derivatives."""

    compiled = False

    def __init__(self, margins, f=lambda d: d, slope=np.ones_like):
        self.margins, self.f, self.slope = margins, f, slope

    def evaluate(self, state, parameter):
        x, off = state[:, 0], parameter - state[:, 0]
        values, slopes = (np.stack([one[k](x) for one in self.margins], axis=1) for k in (0, 1))
        rate = self.slope(off)
        return Linear(np.stack([rate, self.f(off), rate], axis=1)[:, None, :], values, np.zeros((x.size, 0)), slopes)

    def margin_rate(self, at, direction, _parameter_rate):
        return at.slopes * direction

    def moves(self, *_):
        return None

    solve = settle = strides = loss = edge = carry = moves

    def take(self, _lanes):
        return self

    part = take


def followed(*margins, limit=1.0):
    system = Along(margins)
    start = solve_at(system, np.zeros((1, 1)), np.zeros(1))
    return follow(system, start, np.array([limit]), np.zeros(1), np.arange(len(margins)), Steps())


def test_a_dip_between_two_strides_is_found_though_newton_hardly_comes_to_it():
    """A parabola that goes a millionth below: its root is all but double, where each step only halves the error."""
    dip = (lambda x: 4e3 * (x - 0.5) ** 2 - 1e-6, lambda x: 8e3 * (x - 0.5))
    found = followed(dip)
    assert found.end[0] == End.CROSSED
    assert found.solution.parameter[0] == pytest.approx(0.5, abs=1e-4)
    above = (lambda x: 4e3 * (x - 0.5) ** 2 + 0.1, dip[1])
    assert followed(above).end[0] == End.LIMIT


def test_the_margin_that_is_down_first_ends_the_path_though_another_was_aimed_at():
    straight = (lambda x: 1.0 - 2.0 * x, lambda x: np.full_like(x, -2.0))  # down at 0.5, and seen to be from afar
    sudden = (lambda x: 1.0 - np.exp((x - 0.45) / 0.02), lambda x: -np.exp((x - 0.45) / 0.02) / 0.02)
    found = followed(straight, sudden)
    assert (found.end[0], found.which[0]) == (End.CROSSED, 1)
    assert found.solution.parameter[0] == pytest.approx(0.45, abs=1e-6)


def test_a_step_that_leads_further_off_is_shortened():
    """Newton's steps for arctan(100 d) = 0 go from 0.3 to -0.2 and back, half a unit each, for ever."""
    system = Along((), lambda d: np.arctan(100.0 * d), lambda d: 100.0 / (1.0 + (100.0 * d) ** 2))
    system.margins = ((lambda x: x, np.ones_like),)
    found = solve_at(system, np.array([[0.3]]), np.zeros(1))
    assert found.converged[0]
    assert found.state[0, 0] == pytest.approx(0.0, abs=1e-9)
