"""Published scores of stock vehicles, known from brochures: what the predictions owe the world."""

import math
from dataclasses import replace

import numpy as np
import pytest

from articulate.spec import load_vehicle
from articulate.studies.outlook import Outlook
from scripts.published.allowance import PUBLICATION, PUBLICATION_COMMON, Observation, estimate, log_likelihood
from scripts.published.holding import Held, summary
from scripts.published.results import (
    FAMILIES,
    INDEPENDENT,
    KINDS,
    MIXED,
    SOLID_WITH_BARS,
    SOLID_WITHOUT,
    kind_of,
    read_results,
)

RESULTS = read_results()


def test_every_result_has_its_file_its_source_and_how_well_it_is_known():
    assert len(RESULTS) == 18
    assert len({result.vehicle for result in RESULTS}) == 16
    for result in RESULTS:
        assert result.path.exists()
        assert result.source
        assert result.known
        assert result.grade in {"A", "A-", "B", "C"}
        assert 200.0 < result.score < 700.0
    assert {round(math.degrees(r.ramp_angle), 6) for r in RESULTS if r.vehicle == "P16"} == {16.5}
    assert {round(math.degrees(r.ramp_angle), 6) for r in RESULTS if r.vehicle != "P16"} == {20.0}
    assert all(member in {r.vehicle for r in RESULTS} for family in FAMILIES for member in family)


@pytest.mark.parametrize(
    ("vehicle", "bars", "kind"),
    [
        ("P05", "connected", SOLID_WITH_BARS),
        ("P09", "connected", SOLID_WITH_BARS),
        ("P09", "released", SOLID_WITHOUT),
        ("P16", "released", SOLID_WITH_BARS),  # its rear bar stays
        ("P13", "connected", SOLID_WITHOUT),
        ("P06", "connected", MIXED),
        ("P01", "connected", INDEPENDENT),
    ],
)
def test_kinds_are_those_of_the_files(vehicle, bars, kind):
    assert kind_of(load_vehicle(f"tests/published_scores/{vehicle}.toml"), bars) == kind
    assert kind in KINDS


def held(published, median, low, high, spread):
    """A result as if predicted, its inputs' log scores with a standard deviation of `spread`."""
    scores = median * np.exp(spread * np.array([-1.0, 1.0, np.nan]))
    result = replace(RESULTS[0], score=published)
    return Held(result, "kind", scores, Outlook(median, low, high, 0.0), "")


def test_a_summary_counts_as_one_would_by_hand():
    few = [held(110.0, 100.0, 80.0, 120.0, 0.03), held(99.0, 110.0, 90.0, 130.0, 0.05)]
    found = summary("two", few)
    assert (found.results, found.inside) == (2, 2)
    assert found.median_ratio == pytest.approx(1.0)  # of 1.1 and 0.9
    scatter = abs(math.log(1.1 / 0.9)) / math.sqrt(2.0)  # two values: difference over sqrt 2
    assert found.scatter == pytest.approx(scatter)
    assert found.beyond_inputs == pytest.approx(math.sqrt(scatter**2 - (0.03**2 + 0.05**2) / 2.0))
    assert math.isnan(found.rank_correlation)
    outside = held(121.0, 100.0, 80.0, 120.0, 0.03)
    assert summary("three", [*few, outside]).inside == 2
    # Ranks 1 2 3 4 against 2 1 3 4: 1 - 6 (1 + 1)/(4 x 15) = 0.8.
    four = [held(p, m, 0.0, 9.0, 0.1) for p, m in ((1.0, 2.0), (2.0, 1.0), (3.0, 3.0), (4.0, 4.0))]
    assert summary("four", four).rank_correlation == pytest.approx(0.8)


def drawn(vehicles, share, common, family=frozenset(), seed=5):
    """Vehicles with two published scores each, whose model errors are drawn."""
    rng = np.random.default_rng(seed)
    noise = PUBLICATION["A"] ** 2 * (PUBLICATION_COMMON + (1.0 - PUBLICATION_COMMON) * np.eye(2))
    covariance = share**2 * (common + (1.0 - common) * np.eye(2)) + noise
    found = []
    for number in range(vehicles):
        inputs = np.log([500.0, 600.0]) + 0.1 * rng.standard_normal((257, 1)) * [1.0, 0.7]
        published = np.exp(inputs[0] + rng.multivariate_normal(np.zeros(2), covariance))
        name = f"V{number}"
        found.append(Observation(name, family or frozenset({name}), np.exp(inputs[1:]), published, noise))
    return found


def estimated(seen, without=""):
    return estimate({one.vehicle: log_likelihood(one) for one in seen}, seen, without)


def test_the_estimator_finds_the_error_that_was_drawn():
    found = estimated(drawn(60, 0.10, 0.75))
    low, middle, high = found.share_limits
    assert low < 0.10 < high
    assert high - low < 0.06
    assert middle == pytest.approx(0.10, rel=0.25)
    assert found.common_limits[0] < 0.75 < found.common_limits[2]
    assert found.model.share == pytest.approx(0.10, rel=0.25)


def test_it_takes_the_noise_of_publications_and_inputs_for_no_error_of_the_model():
    assert estimated(drawn(60, 0.0, 0.0)).share_limits[1] < 0.03


def test_relatives_count_as_one_vehicle_and_are_left_out_together():
    alone = drawn(1, 0.10, 0.75)
    cousin = replace(alone[0], family=frozenset({"V0", "V1"}))
    both = [cousin, replace(cousin, vehicle="V1")]
    assert estimated(both).probability == pytest.approx(estimated(alone).probability)
    others = [replace(one, vehicle=f"W{one.vehicle}") for one in drawn(3, 0.10, 0.75, seed=6)]
    assert estimated([*both, *others], "V1").probability == pytest.approx(estimated(others).probability)
    assert estimated([*both, *others], "V1").left_out == "V0 V1"
