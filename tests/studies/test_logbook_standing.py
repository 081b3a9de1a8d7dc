"""Standings and the tool's own record, against numbers drawn with what they are meant to find."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from articulate.studies.logbook.standing import Terms, beats_probability, ranking
from articulate.studies.logbook.track_record import predictions, track_record
from tests.studies.kept_results import kept


def test_places_and_chances_are_those_of_normal_scores():
    found = ranking([kept("low", 500.0), kept("high", 520.0), kept("near", 518.0)], Terms())
    assert [one.name for one in found.standings] == ["high", "near", "low"]
    # (520 - 518)/sqrt(2^2 + 2^2) = 0.7071; Phi = 0.7602, from a table of the normal distribution
    assert beats_probability(*found.standings[:2]) == pytest.approx(0.7602, abs=1e-4)
    assert [one.ranks for one in found.standings] == [(1, 2), (1, 2), (3, 3)]
    assert "left side only" in found.standings[0].remarks


def test_without_a_vehicle_the_sines_carry_with_their_doubt():
    (one,) = ranking([kept("old", 500.0, angle=math.radians(22.0))], Terms()).standings
    ratio = 0.374607 / 0.342020  # sin 22, sin 20, from a table
    assert one.by == "sines"
    assert one.score == pytest.approx(500.0 * ratio, rel=1e-5)
    assert one.u == pytest.approx(math.hypot(2.0 * ratio, 500.0 * ratio * 0.3 * math.log(ratio)), rel=1e-4)
    assert "carried from 22.0 deg by the sines alone" in one.remarks


@pytest.mark.parametrize(
    ("bias", "spread", "word"),
    [(0.0, 0.06, "fits"), (0.05, 0.06, "fits"), (0.0, 0.15, "too small"), (0.0, 0.02, "wider")],
)
def test_the_record_finds_the_bias_and_scatter_it_was_given(bias, spread, word):
    drawn = np.random.default_rng(20).standard_normal(60)
    results = [kept(f"v{k}", 500.0 * math.exp(bias + spread * z)) for k, z in enumerate(drawn)]
    found = track_record(predictions(results))
    assert word in found.verdict
    assert abs(found.bias - bias) < 3.0 * found.bias_u
    assert found.biased == (bias > 0.0)


def test_what_a_record_expects_of_a_vehicle_is_its_band_and_its_reading():
    """Three vehicles with bands of 6 % and readings good to 8 %: 10 % of scatter are to be expected."""
    found = track_record(predictions([kept(f"v{k}", 500.0, u=40.0) for k in range(3)]))
    assert found.expected_scatter == pytest.approx(0.1, rel=1e-3)
    assert found.bias_u == pytest.approx(0.1 / math.sqrt(3.0), rel=1e-3)


def test_few_vehicles_show_no_bias():
    results = [replace(kept("one", 600.0), date=f"2026-05-{day}") for day in (11, 12, 13, 14)]
    found = track_record(predictions(results))
    assert math.isnan(found.bias)
    assert found.inside == 0
