"""The ladder of tyre sizes: its order, its policies, its pairs, and that each rung is that vehicle alone."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from articulate.climb import climb_to_unload
from articulate.model.ramp_test import ramp_test
from articulate.spec import build, build_whole, load_vehicle, read_vehicle, template, with_setting, with_settings
from articulate.spec.errors import SpecError
from articulate.studies.design import tyre_ladder as tyre_ladder_study
from articulate.studies.design.tyre_change import change_tyres
from articulate.studies.design.tyre_ladder import WITH, WITHOUT, Ladder, Rung, tyre_ladder, usual_sizes

SIZES = ("235/75R17", "265/70R17", "285/75R17")


@cache
def wagon():
    """Without auxiliary stiffness, with which the axle turns less and the inner wing is just reached or not."""
    free = [(f"{axle}.auxiliary_roll.over_springs", "0 %") for axle in ("front", "rear")]
    return with_settings(load_vehicle("vehicle_specs_demo/wagon.toml"), free)


@cache
def ladder() -> Ladder:
    return tyre_ladder(wagon(), SIZES, points=64)


def rung(size: str, policy: str) -> Rung:
    return next(one for one in ladder().rungs if one.size.code == size and one.policy == policy)


def test_every_size_has_both_policies_and_the_order_is_by_diameter():
    assert [(one.size.code, one.policy) for one in ladder().rungs] == [(s, p) for s in SIZES for p in (WITHOUT, WITH)]
    assert [one.fitted for one in ladder().rungs] == [False, False, True, True, False, False]


@pytest.mark.parametrize("policy", [WITHOUT, WITH])
@pytest.mark.parametrize("size", SIZES)
def test_each_rung_is_that_vehicle_alone(size, policy):
    alone = build(change_tyres(wagon(), size, spacers=policy == WITH))
    for bars, vehicle in (("connected", alone), ("released", alone.released())):
        expected = climb_to_unload(vehicle, ramp_test(1)).score[0]
        assert rung(size, policy).scores[bars].score.value == pytest.approx(expected, rel=1e-6)
    assert [gap.value for gap in rung(size, policy).usable_bump_gap] == pytest.approx(alone.bump_gap[0])


def test_larger_tyres_need_spacers_and_cost_score_and_raise_the_angles():
    fitted, large = rung("265/70R17", WITHOUT), rung("285/75R17", WITH)
    for bars in ladder().bars:
        change = large.scores[bars].against_fitted
        assert change.high < -5.0
        assert change.value == pytest.approx(large.scores[bars].score.value - fitted.scores[bars].score.value)
    assert large.limit == ("arch at full lock", "arch")
    assert not large.rubs
    assert rung("285/75R17", WITHOUT).rubs
    assert rung("285/75R17", WITHOUT).rub_on_ramp[1] > 0.005
    assert large.approach.value > fitted.approach.value
    assert large.running_clearance.value > fitted.running_clearance.value
    assert large.centre_height.value > fitted.centre_height.value


def test_the_best_is_the_highest_that_rubs_nowhere():
    for best in ladder().best:
        fair = [one for one in ladder().rungs if one.fits and not one.rubs]
        assert best.rung.scores[best.bars].score.value == max(one.scores[best.bars].score.value for one in fair)


def test_the_same_vehicles_serve_every_size():
    """Paired differences have a range far narrower than the scores themselves."""
    small = rung("235/75R17", WITHOUT).scores["connected"]
    assert small.against_fitted.high - small.against_fitted.low < 0.3 * (small.score.high - small.score.low)
    itself = rung("265/70R17", WITHOUT).scores["connected"].against_fitted
    assert (itself.low, itself.value, itself.high) == (0.0, 0.0, 0.0)


def test_the_ramps_rub_is_the_travel_past_the_arch_on_the_stops_alone():
    from dataclasses import replace

    from articulate.prediction import predict

    vehicle, body = build_whole(change_tyres(wagon(), "285/75R17", spacers=False))
    run = predict(replace(vehicle, bump_gap=body.stop_gap))
    assert run.released is not None
    highest = max(run.connected.hub_travel[3], run.released.hub_travel[3])
    assert rung("285/75R17", WITHOUT).rub_on_ramp[1] == pytest.approx(highest - body.arch_gap[0, 1], abs=1e-6)


def test_eight_sizes_with_ranges_climb_once_in_one_batch(monkeypatch):
    batches = []

    def counted(vehicles, tests):
        batches.append(vehicles.lanes)
        return climb_to_unload(vehicles, tests)

    monkeypatch.setattr(tyre_ladder_study, "climb_to_unload", counted)
    found = tyre_ladder(wagon())
    assert batches == [
        8 * 2 * (2 * 257 + 1)
    ]  # sizes, bar states; both policies of the nominal and 256 points, one without stops
    assert len(found.rungs) == 16
    assert all(score.scored + score.lost == 256 for one in found.rungs for score in one.scores.values())


def test_usual_sizes_hold_the_fitted_one_and_rise():
    sizes = usual_sizes(wagon())
    assert "265/70R17" in sizes
    assert len(sizes) == 8
    assert len(set(sizes)) == 8


def test_a_vehicle_without_arches_has_no_policy_to_apply():
    found = tyre_ladder(read_vehicle(template(minimal=True), "minimal.toml"), ["265/70R17", "285/75R17"], points=16)
    assert found.described == (False, False)
    assert all(np.isnan(one.rub_on_ramp).all() for one in found.rungs)
    assert all(max(one.spacer) == 0.0 for one in found.rungs)


def test_a_tyre_that_is_none_is_refused():
    with pytest.raises(SpecError, match="size code"):
        tyre_ladder(wagon(), ["banana"], points=16)


def test_changing_tyres_changes_everything_it_should():
    before, after = wagon(), change_tyres(wagon(), "285/75R17", "25 psi", spacers=True)
    (v, body), (w, larger) = build_whole(before), build_whole(after)
    assert (w.tyre_radius > v.tyre_radius).all()
    assert (w.tyre_section_radius > v.tyre_section_radius).all()
    assert (w.tyre_stiffness < v.tyre_stiffness).all()  # less pressure outweighs the size
    assert (w.unsprung_mass > v.unsprung_mass + 4.0).all()
    assert w.sprung_mass == pytest.approx(v.sprung_mass)
    rise = (w.reference_hub_height() - v.reference_hub_height())[0]
    assert (rise > 0.0).all()
    assert w.sprung_centre[0, 2] - v.sprung_centre[0, 2] == pytest.approx(rise.mean(), abs=1e-3)
    assert (larger.points[0, :, 2] - body.points[0, :, 2]) == pytest.approx(np.full(5, rise.mean()), abs=1e-3)
    assert (larger.arch_gap < body.arch_gap).all()
    assert (w.bump_gap < v.bump_gap).all()
    assert w.droop_gap == pytest.approx(v.droop_gap)
    assert w.pivot_height == pytest.approx(v.pivot_height)  # the hub stays where it is relative to the body


def test_the_same_tyre_however_spelt_changes_nothing():
    for code in ("265/70R17", "265/70 R17", "265/70r17 115T"):
        assert change_tyres(wagon(), code) is wagon()


def test_an_axle_with_tyres_of_its_own_is_changed_too():
    own = with_setting(wagon(), "rear.tyre.size", "275/70R17")
    changed = build(change_tyres(own, "285/75R17"))
    assert changed.tyre_radius[0, 0] == pytest.approx(changed.tyre_radius[0, 1])
