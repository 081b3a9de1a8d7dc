"""The audit finds what is hidden: a short trial (the long one is `scripts/audit_trial`)."""

from __future__ import annotations

import numpy as np
import pytest

from articulate.spec import load_vehicle
from articulate.studies.audit.expectations import CLEAN, expect
from articulate.studies.population.conditions import Conditions
from articulate.studies.population.model_error import ModelError
from scripts.audits.trial import full_scene, hide, investigate, spec_sheet, well_measured

WELL_KNOWN = ModelError(0.01, 0.003)  # of a vehicle whose file was measured: with 5 % the readings say little
PICKUP = "vehicle_specs_demo/ladder_frame_pickup.toml"


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
