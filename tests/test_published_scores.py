"""Published scores of stock vehicles, known from brochures: what the predictions owe the world."""

import math
from dataclasses import replace

import numpy as np
import pytest

from articulate.spec import load_vehicle
from articulate.studies.learn.learning import FEWEST
from articulate.studies.learn.outlook import Outlook
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR
from scripts.published.allowance import (
    COMMON,
    PARTS,
    PUBLICATION,
    PUBLICATION_COMMON,
    RUN,
    TOTAL,
    Observation,
    estimate,
    log_likelihood,
)
from scripts.published.clean import audited, relearned
from scripts.published.controls import first_defaults
from scripts.published.holding import Held, hold, simulate_results, summaries, summary
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
from scripts.published.shares import influences, influences_text

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


def drawn(vehicles, common, run, seed=5, points=64):
    """Vehicles with two published scores each, whose model errors are drawn."""
    rng = np.random.default_rng(seed)
    noise = PUBLICATION["A"] ** 2 * (PUBLICATION_COMMON + (1.0 - PUBLICATION_COMMON) * np.eye(2))
    covariance = common**2 + run**2 * np.eye(2) + noise
    found = []
    for number in range(vehicles):
        inputs = np.log([500.0, 600.0]) + 0.1 * rng.standard_normal((points + 1, 1)) * [1.0, 0.7]
        published = np.exp(inputs[0] + rng.multivariate_normal(np.zeros(2), covariance))
        name = f"V{number}"
        found.append(Observation(name, frozenset({name}), np.exp(inputs[1:]), published, noise))
    return found


def estimated(seen, without=""):
    return estimate({one.vehicle: log_likelihood(one) for one in seen}, seen, without)


def test_the_estimator_finds_the_error_that_was_drawn():
    found = estimated(drawn(120, 0.10, 0.04))
    for what, true in ((COMMON, 0.10), (RUN, 0.04), (TOTAL, math.hypot(0.10, 0.04))):
        low, _, high = found.limits(what)
        cell = PARTS[1] - PARTS[0]
        assert low - 0.5 * cell < true < high + 0.5 * cell
        assert high - low < 0.07
    assert found.parts == pytest.approx((0.10, 0.04), rel=0.25)


def test_it_takes_the_noise_of_publications_and_inputs_for_no_error_of_the_model():
    assert estimated(drawn(40, 0.0, 0.0, points=256)).limits(TOTAL)[1] < 0.03


def test_relatives_count_as_one_vehicle_and_are_left_out_together():
    alone = drawn(1, 0.10, 0.04)
    cousin = replace(alone[0], family=frozenset({"V0", "V1"}))
    both = [cousin, replace(cousin, vehicle="V1")]
    assert estimated(both).probability == pytest.approx(estimated(alone).probability)
    others = [replace(one, vehicle=f"W{one.vehicle}") for one in drawn(3, 0.10, 0.04, seed=6)]
    assert estimated([*both, *others], "V1").probability == pytest.approx(estimated(others).probability)
    assert estimated([*both, *others], "V1").left_out == "V0 V1"


def hold_all(points, change=None):
    simulated = simulate_results(RESULTS, points, change)
    return hold(RESULTS, simulated, ASSUMED_MODEL_ERROR), simulated


@pytest.fixture(scope="module")
def now():
    return hold_all(256)


def test_predictions_from_brochures_hold_the_published_scores(now):
    """What was reached with 2,048 points: 16 of 18, median ratio 0.96, width 43 %; the aim: 15, 0.93 to 1.07, 45 %."""
    holding, _ = now
    by_name = {one.name: one for one in summaries(holding)}
    whole = by_name["all"]
    assert whole.inside >= 15
    assert 0.93 < whole.median_ratio < 1.07
    assert whole.rank_correlation > 0.8
    assert whole.scatter < 0.14
    assert whole.median_width < 0.45
    assert all(np.isfinite(one.scores).mean() > 0.9 for one in holding.held)


def test_no_kind_of_suspension_is_off(now):
    """Two kinds have two and three results, of which one is unexplained (P13), so theirs is a bound and no aim met."""
    by_name = {one.name: one for one in summaries(now[0])}
    for kind in (SOLID_WITH_BARS, INDEPENDENT):
        assert abs(by_name[kind].median_ratio - 1.0) < 0.10
    assert abs(by_name[MIXED].median_ratio - 1.0) < 0.15
    assert abs(by_name[SOLID_WITHOUT].median_ratio - 1.0) < 0.20


def test_the_gain_of_a_released_bar_is_predicted(now):
    gains = now[0].gains
    assert {gain.vehicle for gain in gains} == {"P09", "P16"}
    for gain in gains:
        assert gain.inside
        assert gain.published / gain.band.median == pytest.approx(1.0, abs=0.2)


def test_without_relatives_it_is_no_other_story(now):
    for one in summaries(now[0])[5:]:
        assert one.name.startswith("without")
        assert one.inside >= 0.75 * one.results
        assert 0.93 < one.median_ratio < 1.07


def test_the_defaults_first_assumed_fail_the_same_check():
    holding, _ = hold_all(32, first_defaults)
    whole = summary("all", holding.held)
    assert whole.inside < 8
    assert whole.median_ratio < 0.85
    assert not all(gain.inside for gain in holding.gains)


def test_the_audit_takes_published_results_for_good_tests(now):
    """Each is a clean test of its brochure file; at most 2 of 18 may alarm (2 % of clean ones are meant to)."""
    found = audited(RESULTS, now[1], ASSUMED_MODEL_ERROR, points=64)
    assert len(found) == 18
    assert sum(one.alarm for one in found) <= 2
    # Not because it never alarms: twice the score is no good test.
    doubled = replace(RESULTS[0], score=2.0 * RESULTS[0].score)
    assert audited([doubled], now[1], ASSUMED_MODEL_ERROR, points=64)[0].alarm


def test_the_released_run_is_learned_from_the_connected_one():
    both = [result for result in RESULTS if result.vehicle in ("P09", "P16")]
    simulated = simulate_results(both, 640)
    found = relearned(
        hold(both, simulated, ASSUMED_MODEL_ERROR), simulated, ASSUMED_MODEL_ERROR, coarse=True, enough=FEWEST
    )
    assert {one.vehicle for one in found} == {"P09", "P16"}
    for one in found:
        assert one.explained
        assert one.inside
        assert one.after.width < 0.9 * one.before.width


def test_what_makes_the_bands_wide_is_told_by_kind():
    """Leaf-sprung without bars: the springs' rate leads; a bar counts only where one is fitted."""
    two = [result for result in RESULTS if result.vehicle in ("P01", "P13")]
    found = influences(simulate_results(two, 256))
    shares = {key: one for one in found for key in one.keys}
    ride = shares["front.spring.ride_frequency"]
    assert ride is found[0]
    assert ride.mean == pytest.approx(np.mean(list(ride.by_kind.values())))
    bar = shares["front.anti_roll_bar.over_spring_roll_stiffness"]
    assert bar.where == "P01"
    assert min(bar.by_kind.values()) == 0.0
    text = influences_text(found)
    assert "front.spring.ride_frequency" in text
