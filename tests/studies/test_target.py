"""What reaches a score: verified afresh, held against brute force, and a plain no where there is none."""

import numpy as np
import pytest

from articulate.climb import climb_to_unload
from articulate.model.ramp_test import ramp_test
from articulate.output.text.target import headline, target_data, target_rows, target_table
from articulate.prediction import predict
from articulate.spec import SpecError, build, load_vehicle, with_settings
from articulate.studies.design.levers import LeverError, Trials, Wish
from articulate.studies.design.target import reach_target

WAGON = "vehicle_specs_demo/wagon.toml"
BUMP = Wish("rear.travel.bump", "60 mm to 120 mm")


@pytest.fixture(scope="module")
def spec():
    # Without auxiliary stiffness the bump stops decide as far as 600, which these tests ask for.
    free = [(f"{axle}.auxiliary_roll.over_springs", "0 %") for axle in ("front", "rear")]
    return with_settings(load_vehicle(WAGON), free)


def fresh(spec, answer):
    """The score of the file with the answer written into it, by the way `predict` goes."""
    settings = [
        (lever.key, lever.text(value)) for lever, value in zip(answer.levers, answer.answer.values, strict=True)
    ]
    return predict(build(with_settings(spec, settings)))


def test_one_lever_reaches_the_target_just(spec):
    answer = reach_target(spec, [BUMP], 600.0)
    assert answer.reached
    assert not answer.already
    score = fresh(spec, answer).connected.score
    assert score == pytest.approx(answer.answer.score, abs=1e-6)
    assert 600.0 <= score < 600.05
    # A tenth of a millimetre less does not.
    less = with_settings(spec, [("rear.travel.bump", f"{answer.answer.values[0] * 1e3 - 0.1} mm")])
    assert predict(build(less)).connected.score < 600.0
    assert 0.3 < answer.chance < 0.6  # just reached by the nominal vehicle: about as likely as not


def test_bars_released_and_the_right_side(spec):
    mirrored = with_settings(spec, [("mass.left_of_centre", "4 mm"), ("load.driver.left_of_centre", "365 mm")])
    left = reach_target(spec, [BUMP], 670.0, bars="released", samples=0)
    right = reach_target(mirrored, [BUMP], 670.0, side="right", bars="released", samples=0)
    assert left.reached
    assert left.answer.values == pytest.approx(right.answer.values, rel=1e-6)
    assert fresh(spec, left).released.score == pytest.approx(left.answer.score, abs=1e-6)


def test_every_form_a_file_could_use(spec):
    answer = reach_target(spec, [Wish("rear.travel.total", "150 mm to 300 mm")], 600.0, samples=0)
    assert answer.levers[0].present == pytest.approx(0.190)  # 85 mm and 105 mm
    assert answer.reached
    assert fresh(spec, answer).connected.score == pytest.approx(answer.answer.score, abs=1e-6)
    lifted = reach_target(spec, [Wish("rear.ride_height_change", "-40 mm to 60 mm")], 570.0, samples=0)
    assert lifted.already


def test_what_cannot_be_reached_is_said_with_what_stops_it(spec):
    limit = reach_target(spec, [Wish("rear.travel.bump", "60 mm to 90 mm")], 700.0)
    assert not limit.reached
    assert limit.answer is None
    assert limit.at_limit == ("upper",)
    assert limit.alone[0].stop == "limit"
    assert limit.best.score == pytest.approx(
        predict(build(with_settings(spec, [("rear.travel.bump", "90 mm")]))).connected.score, abs=1e-6
    )
    assert "cannot be reached" in headline(limit)
    assert "upper limit, 90 mm" in target_table(limit)
    assert "decided by the rear" in target_table(limit)

    flat = reach_target(spec, [Wish("front.travel.bump", "60 mm to 120 mm")], 700.0)
    assert flat.alone[0].stop == "flat"
    assert flat.best.values == (spec.inputs["front.travel.bump"].value,)
    assert "more makes no difference" in target_table(flat)


def test_a_score_that_turns_within_the_limits(spec):
    # Lifting the rear gives bump travel and takes droop: in between lies the best.
    answer = reach_target(spec, [Wish("front.ride_height_change", "-60 mm to 60 mm")], 700.0)
    single = answer.alone[0]
    assert single.stop == "turns"
    around = np.linspace(single.best_value - 0.002, single.best_value + 0.002, 5)
    scores = [
        predict(build(with_settings(spec, [("front.ride_height_change", f"{v * 1e3} mm")]))).connected.score
        for v in around
    ]
    assert max(scores) <= single.best_score + 1e-3
    assert single.best_score == pytest.approx(scores[2], abs=1e-3)


def test_the_cheapest_of_two_against_a_fine_grid(spec):
    wishes = [
        Wish("rear.travel.bump", "70 mm to 110 mm", 3e3),
        Wish("front.spring.rate", "70 N/mm to 120 N/mm", 3e-3),
    ]
    answer = reach_target(spec, wishes, 615.0, samples=0)
    assert answer.reached
    assert fresh(spec, answer).connected.score >= 615.0
    low, high = Trials(spec, wishes, ramp_test(1)).limits
    grid = np.stack(np.meshgrid(*(np.linspace(a, b, 81) for a, b in zip(low, high, strict=True))), -1).reshape(-1, 2)
    trials = Trials(spec, wishes, ramp_test(1))
    meets = trials.scores(grid) >= 615.0
    cheapest = trials.cost(grid[meets]).min()
    step = trials.cost(np.array([[trials.present[0] + (high[0] - low[0]) / 80, trials.present[1]]]))[0]
    assert answer.answer.cost <= cheapest + 1e-6
    assert answer.answer.cost > cheapest - 2.0 * step  # not below what the grid leaves open


def test_costs_decide_which_lever_moves(spec):
    def moved(bump, droop):
        wishes = [
            Wish("rear.travel.bump", "70 mm to 130 mm", bump),
            Wish("rear.travel.droop", "90 mm to 150 mm", droop),
        ]
        return np.abs(np.array(reach_target(spec, wishes, 606.0, samples=0).answer.values) - [0.085, 0.105])

    cheap_bump, cheap_droop = moved(1e3, 5e3), moved(5e3, 1e3)
    assert cheap_bump[0] > 0.01
    assert cheap_bump[1] < 1e-4
    assert cheap_droop[1] > 0.01
    assert cheap_droop[0] < 1e-4


def test_a_cheap_lever_goes_to_its_limit_before_a_dear_one_moves(spec):
    # A millimetre of droop gives a little more than one of bump, at three times the price.
    wishes = [Wish("rear.travel.bump", "70 mm to 90 mm", 1e3), Wish("rear.travel.droop", "90 mm to 150 mm", 3e3)]
    answer = reach_target(spec, wishes, 610.0, samples=0)
    rest = reach_target(with_settings(spec, [("rear.travel.bump", "90 mm")]), wishes[1:], 610.0, samples=0)
    assert answer.answer.values[0] == pytest.approx(0.090, abs=1e-5)
    assert answer.answer.values[1] == pytest.approx(rest.answer.values[0], abs=2e-4)
    assert answer.answer.cost == pytest.approx(5.0 + 3e3 * (rest.answer.values[0] - 0.105), rel=0.01)


def test_several_levers_that_cannot(spec):
    wishes = [Wish("rear.travel.bump", "60 mm to 90 mm"), Wish("rear.travel.droop", "80 mm to 110 mm")]
    answer = reach_target(spec, wishes, 700.0)
    assert not answer.reached
    assert answer.at_limit == ("upper", "upper")
    both = with_settings(spec, [("rear.travel.bump", "90 mm"), ("rear.travel.droop", "110 mm")])
    assert answer.best.score == pytest.approx(predict(build(both)).connected.score, abs=1e-5)


def test_the_chance_counts_vehicles_not_scores(spec):
    sure = reach_target(spec, [BUMP], 500.0, samples=256)
    assert sure.already
    assert sure.chance > 0.99
    assert "Nothing has to change" in target_table(sure)


def test_what_cannot_be_asked_is_refused(spec):
    with pytest.raises(SpecError, match="force"):
        reach_target(spec, [Wish("rear.travel.bump", "60 N to 90 N")], 600.0)
    with pytest.raises(LeverError, match="no range"):
        reach_target(spec, [Wish("rear.travel.bump", "60 mm")], 600.0)
    with pytest.raises(LeverError, match="twice"):
        reach_target(spec, [BUMP, BUMP], 600.0)
    with pytest.raises(LeverError, match=r"front\.spring\.rate"):
        reach_target(spec, [Wish("front.spring.ride_frequency", "1 Hz to 2 Hz")], 600.0)
    with pytest.raises(LeverError, match="not positive"):
        reach_target(spec, [Wish("rear.travel.bump", "60 mm to 90 mm", -1.0)], 600.0)


def test_a_trial_that_cannot_stand_has_no_score(spec):
    trials = Trials(spec, [Wish("rear.ride_height_change", "-60 mm to 150 mm")], ramp_test(1))
    score = trials.scores(np.array([[0.0], [0.149]]))  # the second leaves less than no droop
    assert score[0] == pytest.approx(climb_to_unload(build(spec), ramp_test(1)).score[0], abs=1e-9)
    assert np.isnan(score[1])
    assert "no droop travel is left" in trials.unphysical


def test_table_data_and_curve(spec):
    wishes = [BUMP, Wish("rear.travel.droop", "90 mm to 150 mm", 2e3)]
    answer = reach_target(spec, wishes, 610.0, samples=64)
    text = target_table(answer)
    assert max(map(len, text.splitlines())) <= 80
    assert "cost: as asked for, else 1 for the whole of a range" in target_table(answer, full=False)
    data = target_data(answer)
    assert data["answer"]["score"] >= 610.0
    assert f"{data['answer']['score']:.1f}" in text
    rows = target_rows(answer)
    curve = [row for row in rows if row["key"] == "rear.travel.bump"]
    assert curve[0]["value_SI"] == pytest.approx(0.060)
    assert curve[-1]["score"] > curve[0]["score"]
