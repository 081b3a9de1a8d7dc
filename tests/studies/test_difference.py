"""A score difference split over groups: it adds up, it has no favourites, and each part is a climb of its own."""

from dataclasses import replace

import numpy as np
import pytest

from articulate.climb import climb_to_unload
from articulate.model.ramp_test import ramp_test
from articulate.output.text.difference import difference_data, difference_rows, difference_table
from articulate.output.units import INCHES_FIRST
from articulate.prediction import predict
from articulate.spec import build, load_vehicle, with_settings
from articulate.studies.explain import difference
from articulate.studies.explain.difference import MixtureError, explain_difference
from articulate.studies.explain.vehicle_parts import StudiedVehicle
from articulate.studies.population import parallel
from articulate.types import WHEELS

WAGON, LARGER = "vehicle_specs_demo/wagon.toml", "vehicle_specs_demo/wagon_larger_tyres.toml"
PICKUP = "vehicle_specs_demo/ladder_frame_pickup.toml"


def subject(path, *settings):
    return StudiedVehicle.of(with_settings(load_vehicle(path), settings))


@pytest.fixture(scope="module")
def demo():
    return explain_difference(subject(WAGON), subject(LARGER))


def test_the_larger_tyre_scores_less_and_the_lost_bump_travel_is_why(demo):
    for split, scores in ((demo.connected, "connected"), (demo.released, "released")):
        assert split.second < split.first
        by_group = {share.group: share for share in split.shares}
        assert split.shares[0].group == "bump travel"
        assert by_group["bump travel"].points < 0.9 * (split.second - split.first) < 0.0
        gains = {group for group, share in by_group.items() if share.points > 0.0}
        assert {"tyre radius", "wheel and axle mass"} <= gains
        run = getattr(predict(build(load_vehicle(LARGER))), scores)
        assert split.second == pytest.approx(run.score, abs=1e-6)
        assert split.mixtures == 2 ** len(split.shares)


def test_shares_add_up_to_rounding(demo):
    for split in (demo.connected, demo.released):
        assert abs(split.remainder) < 1e-9


def test_the_other_way_round_is_the_opposite(demo):
    back = explain_difference(subject(LARGER), subject(WAGON))
    for there, again in ((demo.connected, back.connected), (demo.released, back.released)):
        shares = {share.group: share for share in again.shares}
        for share in there.shares:
            assert shares[share.group].points == pytest.approx(-share.points, abs=1e-5)
            assert shares[share.group].at_last == pytest.approx(-share.alone, abs=1e-5)


def test_alone_is_the_file_with_that_change_alone(demo):
    changed = with_settings(load_vehicle(WAGON), [("front.travel.bump", "55 mm"), ("rear.travel.bump", "60 mm")])
    run = predict(build(changed))
    share = next(share for share in demo.connected.shares if share.group == "bump travel")
    assert share.alone == pytest.approx(run.connected.score - demo.connected.first, abs=1e-5)
    assert share.climb_alone == pytest.approx(run.connected.climb - demo.connected.climb[0], abs=1e-7)
    before = {event.what: event.climb for event in predict(build(load_vehicle(WAGON))).connected.events}
    met = {event.what: event.climb for event in run.connected.events}
    assert any("bump stop" in event.what for event in share.events)
    for event in share.events:
        # Each event is where that vehicle's own trace has it.
        assert (
            np.isnan(event.before)
            if event.what not in before
            else event.before == pytest.approx(before[event.what], abs=1e-4)
        )
        assert (
            np.isnan(event.after) if event.what not in met else event.after == pytest.approx(met[event.what], abs=1e-4)
        )


def test_a_single_group_has_the_whole_difference():
    found = explain_difference(subject(WAGON), subject(WAGON, ("rear.travel.droop", "80 mm")), holding_known=True)
    (share,) = found.connected.shares
    assert share.group == "droop travel"
    assert share.points == share.alone == share.at_last == found.connected.second - found.connected.first
    assert np.isnan(share.points_over_holding).all()


def test_the_same_vehicle_twice_has_nothing_to_split():
    found = explain_difference(subject(WAGON), subject(WAGON))
    assert found.connected.shares == ()
    assert found.connected.first == found.connected.second
    assert "do not differ" in difference_table(found)


def test_what_is_not_felt_gets_nothing():
    # A droop limit further out than the climb ever reaches.
    changes = [("front.travel.droop", "140 mm"), ("rear.travel.bump", "60 mm")]
    found = explain_difference(subject(WAGON), subject(WAGON, *changes))
    shares = {share.group: share.points for share in found.connected.shares}
    assert shares["droop travel"] == pytest.approx(0.0, abs=1e-6)
    assert shares["bump travel"] < -10.0


def test_the_right_side_of_a_mirrored_vehicle():
    first, second = subject(WAGON), subject(LARGER)
    mirrored = [replace(one, vehicle=one.vehicle.mirrored()) for one in (first, second)]
    left, right = explain_difference(first, second), explain_difference(*mirrored, side="right")
    for here, there in zip(left.connected.shares, right.connected.shares, strict=True):
        assert here.points == pytest.approx(there.points, abs=1e-6)
    assert WHEELS[left.connected.wheels[0]] == "rear left"
    assert WHEELS[right.connected.wheels[0]] == "rear right"
    assert right.connected.shares[0].events[0].what.startswith(("front right", "rear left"))


def test_twelve_groups_in_both_bar_states_take_one_batch_each(monkeypatch):
    first, second = subject(WAGON), subject(PICKUP)
    batches = []

    def counted(vehicles, tests):
        batches.append(vehicles.lanes)
        return climb_to_unload(vehicles, tests)

    monkeypatch.setattr(difference, "climb_to_unload", counted)
    monkeypatch.setattr(parallel, "WORTHWHILE", 10**9)  # all in this process
    found = explain_difference(first, second)
    assert batches == [4096, 4096]
    assert len(found.connected.shares) == 12
    assert found.connected.mixtures == found.released.mixtures == 4096
    assert abs(found.connected.remainder) < 1e-9
    # Two mixtures picked out of the 4,096 are the climbs they claim to be.
    pick = next(share for share in found.released.shares if share.group == "wheelbase")
    alone = replace(first.vehicle, wheelbase=second.vehicle.wheelbase).released()
    alone = replace(alone, sprung_centre=alone.sprung_centre * [second.vehicle.wheelbase[0] / 2.85, 1.0, 1.0])
    # The load keeps its place behind the front axle; only the wheelbase is another.
    run = climb_to_unload(alone, ramp_test(1))
    assert pick.alone == pytest.approx(run.score[0] - found.released.first, abs=1e-4)


def test_an_impossible_mixture_is_named_not_guessed():
    # Lifted by 30 mm with the droop the lift needs; without it no droop would be left.
    short = ("front.travel.droop", "20 mm")
    lifted = [("front.ride_height_change", "30 mm"), ("front.travel.droop", "60 mm")]
    with pytest.raises(MixtureError, match="ride height"):
        explain_difference(subject(WAGON, short), subject(WAGON, *lifted))
    joined = explain_difference(
        subject(WAGON, short), subject(WAGON, *lifted), together=[["ride height", "droop travel"]]
    )
    assert len(joined.connected.shares) == 1


def test_a_vehicle_without_a_score_is_refused():
    first = subject(WAGON)
    soft = [("front.spring.wheel_rate", "9 N/mm"), ("rear.spring.wheel_rate", "9 N/mm")]
    tall = [
        *soft,
        ("mass.centre_of_gravity_height", "1.9 m"),
        ("front.anti_roll_bar", "false"),
        ("rear.anti_roll_bar", "false"),
    ]
    with pytest.raises(MixtureError, match="does not stand upright"):
        explain_difference(first, subject(WAGON, *tall))


def test_a_short_ramp_leaves_no_difference_to_split():
    with pytest.raises(MixtureError, match="the ramp ends"):
        explain_difference(subject(WAGON), subject(LARGER), ramp_test(1, length=1.0))


def test_the_range_over_the_holding_share_is_that_of_the_ends(demo):
    share = demo.connected.shares[0]
    low, high = share.points_over_holding
    assert low <= share.points <= high
    ends = [
        explain_difference(subject(WAGON), subject(LARGER), ramp_test(1, holding_share=part)).connected
        for part in (0.0, 1.0)
    ]
    values = [next(s.points for s in split.shares if s.group == share.group) for split in ends]
    assert min(low, *values) == pytest.approx(low, abs=1e-6)
    assert max(high, *values) == pytest.approx(high, abs=1e-6)


def test_text_fits_80_columns_and_data_carries_the_same_numbers(demo):
    text = difference_table(demo)
    assert max(map(len, text.splitlines())) <= 80
    data = difference_data(demo)
    assert sum(share["points"] for share in data["connected"]["shares"]) == pytest.approx(
        data["connected"]["difference"], abs=1e-9
    )
    first = data["connected"]["shares"][0]
    assert f"{first['points']:+.1f}" in text
    assert "front 82 -> 55 mm, rear 85 -> 60 mm" in first["sentence"]
    assert "meets its bump stop" in first["sentence"]
    for one in (difference_data(demo, INCHES_FIRST)["connected"]["shares"], difference_rows(demo, INCHES_FIRST)):
        assert any("in" in share["sentence"].split() for share in one)
        assert not any("mm" in share["sentence"].split() for share in one)
    rows = difference_rows(demo)
    assert len(rows) == len(demo.connected.shares) + len(demo.released.shares)
