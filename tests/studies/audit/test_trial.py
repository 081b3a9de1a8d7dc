"""The audit finds what is hidden: a short trial (the long one is `scripts/audit_trial`)."""

from __future__ import annotations

import numpy as np
import pytest

from articulate.spec import load_vehicle
from articulate.studies.audit.expectations import CLEAN, expect
from articulate.studies.audit.inference import Observed, infer
from articulate.studies.audit.reading_causes import READING_CAUSES
from articulate.studies.population.conditions import Conditions
from articulate.studies.population.model_error import ModelError
from scripts.trials.trial import full_scene, hide, investigate, spec_sheet, well_measured

WELL_KNOWN = ModelError(0.01, 0.003)  # of a vehicle whose file was measured: with 5 % the readings say little
PICKUP = "vehicle_specs_demo/ladder_frame_pickup.toml"
WAGON = "vehicle_specs_demo/wagon.toml"  # its driver sits on the left
SWAPPED = "sides swapped"


@pytest.fixture(scope="module")
def trial():
    spec = well_measured(load_vehicle(PICKUP))
    expected = expect(full_scene(spec), Conditions(), points=256, model=WELL_KNOWN)
    return expected, investigate(expected, hide(expected, Conditions(), 80, 7, clean_share=0.25))


def test_hidden_causes_are_found_with_two_checks(trial):
    expected, found = trial
    clear = [one for one in found if one.hidden.cause != CLEAN and one.hidden.moved > 3.0]
    assert len(clear) >= 15
    assert np.mean([one.rank(expected.names, 0) <= 3 for one in clear]) >= 0.75
    assert np.mean([one.rank(expected.names, 2) == 1 for one in clear]) >= 0.85
    bits = [[np.log2(one.probability[k][expected.names.index(one.hidden.cause)]) for k in range(3)] for one in clear]
    assert np.mean(bits, axis=0)[2] > np.mean(bits, axis=0)[0] + 0.3, "the checks tell something"


def test_clean_cases_raise_few_alarms(trial):
    clean = [one for one in trial[1] if one.hidden.cause == CLEAN]
    assert len(clean) == 20
    assert sum(one.surprise < 0.02 for one in clean) <= 2
    assert 0.3 < np.mean([one.surprise for one in clean]) < 0.7


def test_a_brochure_widens_the_band_and_measuring_narrows_it():
    spec = load_vehicle(PICKUP)
    bands = []
    for one in (well_measured(spec), spec, spec_sheet(spec)):
        clean = expect(full_scene(one, ("left",)), Conditions(), points=64, causes=()).clean
        bands.append(np.nanstd(clean[:, 0]) / np.nanmean(clean[:, 0]))
    assert bands[0] < bands[1] < bands[2]
    assert set(spec_sheet(spec).inputs) >= {"front.travel.total", "mass.total"}
    assert "rear.spring.wheel_rate" not in spec_sheet(spec).inputs


@pytest.fixture(scope="module")
def lopsided():
    """A vehicle whose sides differ by some 19 points in each bar state, as filed; reading causes alone compete."""
    expected = expect(full_scene(load_vehicle(WAGON)), Conditions(), points=256, causes=READING_CAUSES)
    return expected, expected.clean[np.isfinite(expected.clean).all(axis=1)][:150, :4]


def swapped_in(expected, scores, scatter, seed, **looks):
    """Probability that sides were swapped for each row of scores read with scatter, and whether it comes first."""
    claimed = expected.scene.readings[0].uncertainty
    read = scores + scatter * claimed * np.random.default_rng(seed).standard_normal(scores.shape)
    values = ({f"reading.{i}": (float(score), claimed) for i, score in enumerate(row)} for row in read)
    found = np.array([infer(expected, Observed(one, looks=looks)).probability for one in values])
    place = expected.names.index(SWAPPED)
    return found[:, place], found.argmax(axis=1) == place


@pytest.mark.parametrize("scatter", [1.0, 2.0])
def test_plain_scatter_does_not_end_in_swapped_sides(lopsided, scatter):
    """Also where climbs scatter by twice what the sheet says, it collects no more than it has before any reading."""
    expected, clean = lopsided
    before = np.exp(expected.log_prior)[expected.cause == expected.names.index(SWAPPED)].sum()
    share, first = swapped_in(expected, clean, scatter, 4)
    assert share.mean() < before
    assert np.mean(first) <= (0.0 if scatter == 1.0 else 0.03)


def test_swapped_sides_are_found(lopsided):
    expected, clean = lopsided
    swapped = clean[:, [2, 3, 0, 1]]
    share, first = swapped_in(expected, swapped, 1.0, 5)
    assert np.mean(first) > 0.75
    assert share.mean() > 0.6
    share, first = swapped_in(expected, swapped, 1.0, 5, **{"how it was taken": True})  # a photograph shows it
    assert np.mean(first) > 0.95


def test_sides_that_are_alike_are_never_said_to_be_swapped():
    scene = full_scene(load_vehicle(PICKUP))
    assert SWAPPED not in expect(scene, Conditions(), points=64, causes=READING_CAUSES).names
