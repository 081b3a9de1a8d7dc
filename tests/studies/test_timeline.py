"""The story of a climb: its moments are the trace's, and what decided is found by taking it away."""

import numpy as np
import pytest

from articulate.climb import Outcome
from articulate.output.text.timeline import decided_words, moment_sentence, timeline_data, timeline_table
from articulate.prediction import predict
from articulate.spec import build, load_vehicle, with_settings
from articulate.spec.build import nominal_gaps
from articulate.studies.explain.timeline import EVERYTHING, timeline
from articulate.types import AXLES

WAGON, PIKE = "vehicle_specs_demo/wagon.toml", "vehicle_specs_demo/short_two_door.toml"
VAN = "vehicle_specs_demo/forward_control_van.toml"


def wagon_file():
    """Without auxiliary stiffness, so that the full droop stands apart from the lift."""
    return with_settings(load_vehicle(WAGON), [(f"{axle}.auxiliary_roll.over_springs", "0 %") for axle in AXLES])


@pytest.fixture(scope="module")
def wagon():
    return timeline(build(wagon_file()))


def test_moments_are_in_order_and_end_with_the_lift(wagon):
    for run in (wagon.connected, wagon.released):
        climbs = [moment.climb for moment in run.moments]
        assert climbs == sorted(climbs)
        assert climbs[-1] <= run.climb
        assert run.moments[0].score == pytest.approx(1000.0 * run.moments[0].climb / 2.85)
        assert run.wheel_load[run.wheel] == pytest.approx(0.0, abs=1e-2)


def test_a_stop_speeds_up_the_unloading_as_the_loads_themselves_say(wagon):
    moment = next(m for m in wagon.connected.moments if m.what == "rear left is at full droop")
    assert moment.rate_after < moment.rate_before < 0.0
    path = predict(build(wagon_file())).connected.trace
    load = np.interp([moment.climb - 0.10, moment.climb - 0.02, moment.climb + 0.02, moment.climb + 0.10],
                     path.climb, path.measures.wheel_load[:, 2])  # fmt: skip
    assert moment.rate_before == pytest.approx((load[1] - load[0]) / 0.08, rel=0.05)
    assert moment.rate_after == pytest.approx((load[3] - load[2]) / 0.08, rel=0.05)
    assert "faster" in moment_sentence(moment, wagon.connected)


def test_what_decided_is_the_limit_whose_removal_changes_most():
    spec = load_vehicle(
        VAN
    )  # no arch is known that would hold the wheel in place of the stop, and gaps are to first touch
    run = timeline(build(spec)).connected
    removals = {removal.what: removal for removal in run.removals}
    nominal = {axle: nominal_gaps(spec, axle) for axle in ("front", "rear")}
    # 590 mm of travel is long out of reach.
    for name, axle, way in (("rear bump stops", "rear", "bump"), ("front droop limit", "front", "droop")):
        key, gap = f"{axle}.travel.{way}", nominal[axle][way == "droop"]
        free = predict(build(with_settings(spec, [(key, "590 mm")]))).connected
        assert removals[name].score == pytest.approx(free.score, abs=1e-3)
        little = predict(build(with_settings(spec, [(key, f"{gap * 1e3 + 1.0} mm")]))).connected
        assert removals[name].gain_per_metre * 1e-3 == pytest.approx(little.score - run.score, abs=1e-3)
    gains = {name: abs(one.gain) for name, one in removals.items() if name != EVERYTHING}
    assert run.decided == max(gains, key=gains.get)
    assert removals[EVERYTHING].gain > max(gains.values())


def test_without_stops_in_reach_springs_decide():
    free = [(f"{axle}.travel.{way}", "500 mm") for axle in ("front", "rear") for way in ("bump", "droop")]
    held = [("front.spring.seat", "held"), ("rear.spring.seat", "held")]
    story = timeline(build(with_settings(load_vehicle(WAGON), [*free, *held])))
    assert story.connected.removals == ()
    assert story.connected.decided is None
    assert "no stop is met" in decided_words(story.connected)


def test_events_close_together_share_one_change():
    run = timeline(build(load_vehicle(VAN))).connected
    close = [m for m in run.moments if m.what.startswith(("front left meets", "front right is at"))]
    assert abs(close[0].climb - close[1].climb) < 0.01
    assert np.isnan(close[0].rate_after)
    assert close[1].together == 2
    assert "with the one before" in moment_sentence(close[1], run)


def test_the_right_side_is_told_in_its_own_names(wagon):
    story = timeline(build(wagon_file()).mirrored(), side="right")
    assert story.connected.score == pytest.approx(wagon.connected.score, abs=1e-6)
    assert story.connected.moments[0].what == "rear left meets its bump stop"
    assert story.connected.moments[0].rate_after == pytest.approx(wagon.connected.moments[0].rate_after, rel=1e-3)
    assert story.connected.decided == wagon.connected.decided


def test_text_and_data_for_every_outcome(wagon):
    text = timeline_table(wagon, "Kestrow Bellwether")
    assert max(map(len, text.splitlines())) <= 80
    assert "decided by the rear bump stops" in text
    assert timeline_data(wagon, "x")["connected"]["decided"] == "rear bump stops"
    tips = timeline(build(load_vehicle(PIKE)))
    gone = next(r for r in tips.released.removals if r.what == "rear droop limit")
    assert gone.outcome == Outcome.TIPS
    text = timeline_table(tips, "Ostrell Pike")
    assert "none: would TIP" in text
    assert max(map(len, text.splitlines())) <= 80
    assert timeline_data(tips, "x")["released"]["without"][0]["score"] is None
