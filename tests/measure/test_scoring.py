"""Scores of a sheet: against another library's propagation, closed forms, check values and the solved vehicle."""

from __future__ import annotations

import math

import GTC
import numpy as np
import pytest

from articulate.closed_forms.mark import score_sensitivities
from articulate.constants import DEGREE, INCH
from articulate.measure import defaults
from articulate.measure.conversions import MissingRadiusError, Radii, ReadingKind, reading_of
from articulate.measure.scoring import CaseHints, score_sheet
from articulate.measure.sheet_load import load_sheet, read_sheet
from articulate.model.ramp_test import ramp_test
from articulate.prediction import predict
from articulate.spec import SpecError, build, load_vehicle
from articulate.studies.day.run_hints import disagreements, run_hints
from tests.measure.filled import filled

TWENTY = math.radians(20.0)
SHEETS = "vehicle_specs_demo/run_sheets"

HEAD = """\
vehicle = "Test wagon"
date = 2026-05-14
wheelbase = "2550 mm ± 3 mm"
ramp.angle = "20 deg ± 0.1 deg"
wheel.radius_on_flat = "381 mm ± 1 mm"
wheel.radius_on_ramp = "357 mm ± 2 mm"
tape.limit = "0.4 mm"
tape.resolution = "1 mm"
method.climb_per_touch_load = "-0.15 mm/N"
"""


def run(reading: str, side: str = "left", bars: str = "connected") -> str:
    return f'[[run]]\nside = "{side}"\nbars = "{bars}"\n{reading}\n'


def scored(*runs: str, head: str = HEAD):
    return score_sheet(read_sheet(head + "".join(runs), "test.toml"))


def rows(found):
    return {row.quantity.name: row for row in found.budget}


class Theirs:
    """The score by GTC: the same inputs, their objects shared where the sheet shares them."""

    def __init__(self):
        third, degree = math.sqrt(3.0), math.pi / 180.0
        self.g = GTC.ureal(TWENTY, 0.1 * degree / third)
        self.length = GTC.ureal(2.55, 3e-3 / third)
        self.tape = GTC.ureal(0.0, 0.4e-3 / third)
        self.flat, self.ramp = GTC.ureal(0.381, 1e-3 / third), GTC.ureal(0.357, 2e-3 / third)
        self.touch = GTC.ureal(30.0, 20.0 / third)

    def climb(self, kind, reading, scatter=3e-3, dof=4.0):
        third = math.sqrt(3.0)
        read = GTC.ureal(reading, 1e-3 / math.sqrt(12.0)) + self.tape
        if kind is ReadingKind.HUB_RISE:  # two readings, before the climb and after
            read = read + GTC.ureal(0.0, 1e-3 / math.sqrt(12.0))
        mark = GTC.ureal(0.0, 2e-3 / third)
        sine, cosine, tangent = GTC.sin(self.g), GTC.cos(self.g), GTC.tan(self.g)
        found = {
            ReadingKind.MARK_HEIGHT: lambda: read / sine + mark,
            ReadingKind.SLOPE_DISTANCE: lambda: read + mark,
            ReadingKind.HUB_HEIGHT: lambda: (read + mark - self.ramp * cosine) / sine,
            ReadingKind.HUB_RISE: lambda: (read + mark + self.flat - self.ramp * cosine) / sine,
            ReadingKind.PLUMBED_MARK_HEIGHT: lambda: read / sine + self.ramp * tangent + mark,
            ReadingKind.PLUMBED_MARK_DISTANCE: lambda: read + self.ramp * tangent + mark,
        }[kind]()
        roll_back = GTC.ureal(0.0, 3e-3 / third)
        return found + roll_back + GTC.ureal(0.0, scatter, dof) - 0.15e-3 * (30.0 - self.touch)

    def score(self, kind, reading):
        return 1000.0 * self.climb(kind, reading) / self.length


@pytest.mark.parametrize("kind", list(ReadingKind))
def test_every_way_of_reading_has_the_budget_another_library_finds(kind):
    reading = round(float(reading_of(kind, 1.6, TWENTY, Radii(0.381, 0.357))), 4)
    found = scored(run(f'{kind.value} = "{reading * 1e3:.1f} mm"')).cases[0].score
    theirs = Theirs().score(kind, reading)
    assert found.value == pytest.approx(theirs.x, rel=1e-12)
    assert found.u == pytest.approx(theirs.u, rel=1e-8)
    assert found.dof == pytest.approx(theirs.df, rel=1e-6)
    scatter = 1000.0 * 3e-3 / 2.55  # drawn from t with 4 degrees of freedom, whose variance is twice that of its u
    assert found.monte_carlo.u == pytest.approx(math.hypot(found.u, scatter), rel=0.02)
    assert found.low < found.value < found.high
    assert sum(row.share for row in found.budget) == pytest.approx(1.0)


def test_the_gain_has_the_uncertainty_another_library_finds():
    both = run('mark_height = "456 mm"'), run('mark_height = "565 mm"', bars="released")
    found = scored(*both)
    theirs = Theirs()
    connected, released = (theirs.score(ReadingKind.MARK_HEIGHT, h) for h in (0.456, 0.565))
    gain = found.gains[0]
    assert gain.side == "left"
    assert gain.gain.value == pytest.approx((released - connected).x, rel=1e-9)
    assert gain.gain.u == pytest.approx((released - connected).u, rel=1e-8)
    # What is shared cancels: the ramp angle's part is that of the gain alone, -gain cot g u(g); without the sharing
    # it would be that of both scores.
    part = rows(gain.gain)["ramp angle"].contribution
    u_angle = rows(gain.gain)["ramp angle"].quantity.u
    assert part == pytest.approx(-gain.gain.value / math.tan(TWENTY) * u_angle, rel=1e-8)
    apart = math.hypot(*(rows(item)["ramp angle"].contribution for item in (gain.connected, gain.released)))
    assert abs(part) < 0.25 * apart
    assert "tape" not in rows(gain.gain) or abs(rows(gain.gain)["tape"].contribution) < 1e-9
    assert gain.gain.u < math.hypot(gain.connected.u, gain.released.u)


def test_sensitivities_of_the_score_are_the_proved_ones():
    found = rows(scored(run('mark_height = "456 mm"')).cases[0].score)
    proved = score_sensitivities(0.456, 2.55, TWENTY)
    assert found["mark height, run 1"].sensitivity == pytest.approx(float(proved.mark_height), rel=1e-9)
    assert found["wheelbase"].sensitivity == pytest.approx(float(proved.wheelbase), rel=1e-9)
    assert found["ramp angle"].sensitivity == pytest.approx(float(proved.ramp_angle), rel=1e-9)


@pytest.mark.parametrize(("mark", "climb", "score"), [("17 15/16 in", 52.45, 522), ("22 1/4 in", 65.05, 648)])
def test_marks_of_the_trade(mark, climb, score):
    # Common practice, no source: 20 degree ramp, wheelbase 100.4 in.
    head = 'vehicle = "T"\ndate = 2026-05-14\nwheelbase = "100.4 in"\n'
    case = scored(run(f'mark_height = "{mark}"'), head=head).cases[0]
    assert case.climb.value / INCH == pytest.approx(climb, abs=0.005)
    assert round(case.score.value) == score


def test_repeats_are_pooled_and_combined():
    # By hand: climbs 1600, 1606 | 1700, 1702, 1704 mm about their means: squares 18 + 8 over 3 degrees of freedom.
    text = (
        run('slope_distance = ["1600 mm", "1606 mm"]'),
        run('slope_distance = ["1700 mm", "1702 mm"]', bars="released"),
        run('slope_distance = "1704 mm"', bars="released"),
    )
    found = scored(*text)
    assert found.repeatability.dof == 3
    assert found.repeatability.climb == pytest.approx(math.sqrt(26.0 / 3.0) * 1e-3)
    released = next(case for case in found.cases if case.bars == "released")
    assert released.climbs == 3
    assert released.runs == (2, 3)
    assert released.climb.value == pytest.approx(1.702)
    # Pooled with 3 mm worth 4 degrees of freedom; three climbs averaged; 7 degrees of freedom, not counted twice.
    scatter = math.sqrt((4 * 9.0 + 26.0) / 7.0) * 1e-3
    parts = [row.contribution for name, row in rows(released.climb).items() if name.startswith("repeat")]
    assert math.hypot(*parts) == pytest.approx(scatter / math.sqrt(3.0), rel=1e-6)
    only = math.hypot(*parts)
    assert released.climb.dof == pytest.approx(7 * (released.climb.u / only) ** 4, rel=1e-6)


def test_both_sides_are_combined_and_compared():
    found = scored(
        run('slope_distance = ["1600 mm", "1602 mm", "1604 mm"]'),
        run('slope_distance = "1650 mm"', side="right"),
        run('slope_distance = "1602 mm"', side="right", bars="released"),
        run('slope_distance = "1650 mm"', bars="released"),
    )
    by_case = {(case.side, case.bars): case for case in found.cases}
    # Each side counts the same, however often it was climbed.
    assert by_case["both", "connected"].climb.value == pytest.approx(1.626)
    difference = found.side_differences[0]
    assert difference.difference.value == pytest.approx(-48.0 / 2.55)
    assert difference.significant
    assert {gain.side for gain in found.gains} == {"left", "right", "both"}
    gain = {item.side: item.gain for item in found.gains}
    assert gain["both"].value == pytest.approx(0.5 * (gain["left"].value + gain["right"].value))
    assert gain["both"].value == pytest.approx(0.0, abs=1e-9)
    equal = scored(run('slope_distance = "1600 mm"'), run('slope_distance = "1602 mm"', side="right"))
    assert not equal.side_differences[0].significant


def test_interval_covers_what_simulated_days_did():
    """Of simulated days whose errors follow the assumed distributions, 95 % of the intervals hold the truth."""
    generator = np.random.default_rng(20)
    truth, length, days = 1.6, 2.55, 300
    held = 0
    found = scored(run(f'mark_height = "{truth * math.sin(TWENTY) * 1e3:.9f} mm"')).cases[0].score
    below, above = found.value - found.low, found.high - found.value
    for _ in range(days):
        even = generator.uniform(-1.0, 1.0, 7)
        angle = TWENTY + even[0] * 0.1 * DEGREE
        stopped = truth + 0.15e-3 * even[1] * -20.0 + even[2] * 3e-3 + generator.standard_t(4) * 3e-3
        height = (stopped + even[3] * 2e-3) * math.sin(angle) + even[4] * 0.4e-3 + even[5] * 0.5e-3
        score = 1000.0 * height / math.sin(TWENTY) / (length + even[6] * 3e-3)
        held += score - above <= 1000.0 * truth / length <= score + below
    assert 0.92 < held / days < 0.98


def test_a_reading_has_the_uncertainty_of_its_resolution_or_its_own():
    # JCGM 100:2008, F.2.2.1, value from memory: u = 0.289 of the resolution.
    found = rows(scored(run('mark_height = "456 mm"')).cases[0].score)["mark height, run 1"].quantity
    assert found.u == pytest.approx(0.289e-3, rel=2e-3)
    own = 'mark_height = { value = "456 mm", standard_uncertainty = "2 mm" }'
    found = rows(scored(run(own)).cases[0].score)["mark height, run 1"].quantity
    assert (found.u, found.shape) == (pytest.approx(2e-3), "normal")


def test_a_long_sheet_is_scored_within_its_memory():
    found = scored(*(run(f'slope_distance = "{1600 + k % 7} mm"') for k in range(150)))
    assert found.repeatability.dof == 149
    assert found.cases[0].climbs == 150
    assert sum(name.startswith("repeat") for name in rows(found.cases[0].score)) == 150
    assert 10_000 < found.cases[0].score.monte_carlo.draws < 200_000
    assert found.cases[0].score.monte_carlo.u == pytest.approx(found.cases[0].score.u, rel=0.02)


def test_a_case_hangs_on_its_own_runs_only():
    every = [
        run(f'slope_distance = "{1600 + k} mm"', bars=bars) for k in range(12) for bars in ("connected", "released")
    ]
    found = scored(*every)
    for case in found.cases:
        numbers = {int(name.rpartition(" ")[2]) for name in rows(case.score) if ", run " in name}
        assert numbers == set(case.runs)


def test_roll_back_on_one_side_only_corrects_the_climb():
    sheet = HEAD + 'method.roll_back = "0 to 6 mm"\n' + run('slope_distance = "1600 mm"')
    found = score_sheet(read_sheet(sheet, "t"))
    assert found.cases[0].climb.value == pytest.approx(1.603)


def test_a_film_that_held_more_than_was_taken_would_have_let_go_further_down():
    """Carried to the load that was taken, a climb read at a higher load becomes longer: 0.15 mm/N by the sheet."""
    found = rows(scored(run('slope_distance = "1600 mm"')).cases[0].climb)
    assert found["touch load"].sensitivity == pytest.approx(0.15e-3, rel=1e-6)


def test_the_ideal_score_has_no_load_left_under_the_tyre():
    case = scored(run('slope_distance = "1600 mm"')).cases[0]
    assert case.score_carried.value - case.score.value == pytest.approx(1000.0 * 30.0 * 0.15e-3 / 2.55)


@pytest.mark.parametrize("name", ["wagon", "ladder_frame_pickup", "short_two_door"])
def test_hints_of_the_model_turn_hub_readings_into_its_climb(name):
    """Readings taken from a solved climb at 30 N, scored with hints from the model, give that climb back."""
    spec = load_vehicle(f"vehicle_specs_demo/{name}.toml")
    vehicle = build(spec)
    at_film = predict(vehicle, ramp_test(1, touch_load=30.0)).connected
    hub = at_film.trace.measures.hub[:, 0]
    rise = hub[-1, 2] - hub[0, 2]
    head = f'vehicle = "{spec.name}"\ndate = 2026-05-14\nwheelbase = "{vehicle.wheelbase[0] * 1e3} mm"\n'
    # The hub's place is known to 0.1 mm only: on the flat it sinks with first touch, far less than the radius error.
    head += f'wheel.radius_on_flat = "{hub[0, 2] * 1e3} mm"\n'
    text = f'vehicle_file = "{name}.toml"\n{head}'
    sheet = read_sheet(text + run(f'hub_rise = "{rise * 1e3} mm"'), "vehicle_specs_demo/t.toml")
    hints = run_hints(vehicle, sheet, spec.name)
    found = score_sheet(sheet, hints).cases[0]
    assert found.climb.value == pytest.approx(at_film.climb, abs=2e-4)
    assert abs(found.climb.value - at_film.climb) < found.climb.u
    at_zero = predict(vehicle, ramp_test(1)).connected
    assert found.score_carried.value == pytest.approx(at_zero.score, abs=1.0)
    assert disagreements(spec, sheet, hints) == []


def test_a_climb_without_a_lift_gives_no_hints():
    spec = load_vehicle("vehicle_specs_demo/wagon.toml")
    gentle = HEAD.replace("20 deg ± 0.1 deg", "5.1 deg ± 0.1 deg") + run('slope_distance = "1600 mm"')
    assert run_hints(build(spec), read_sheet(gentle, "t"), spec.name) == {}
    steep = HEAD + run('slope_distance = "1600 mm"')
    assert set(run_hints(build(spec), read_sheet(steep, "t"), spec.name)) == {("left", "connected")}


def test_a_vehicle_file_beside_a_sheet_gives_the_radius_it_lacks():
    short = HEAD.replace('wheel.radius_on_flat = "381 mm ± 1 mm"\nwheel.radius_on_ramp = "357 mm ± 2 mm"\n', "")
    text = short + run('hub_height = "910 mm"')
    with pytest.raises(SpecError, match="radius"):
        read_sheet(text, "t")
    sheet = read_sheet(text, "t", with_vehicle=True)
    with pytest.raises(MissingRadiusError, match="flat ground"):
        score_sheet(sheet)
    vehicle = build(load_vehicle("vehicle_specs_demo/wagon.toml"))
    solved = predict(vehicle, ramp_test(1, touch_load=30.0)).connected
    found = score_sheet(sheet, run_hints(vehicle, sheet, "wagon")).cases[0]
    expected = solved.climb + (0.910 - solved.hub_height) / math.sin(TWENTY)
    assert found.climb.value == pytest.approx(expected, abs=2e-3)


def test_a_sheet_that_disagrees_with_its_vehicle_file_says_so():
    spec = load_vehicle("vehicle_specs_demo/wagon.toml")
    sheet = read_sheet(HEAD + run('slope_distance = "1600 mm"', bars="released"), "t")
    said = " ".join(disagreements(spec, sheet, {}))
    assert "Test wagon" in said
    assert "2550 mm" in said
    assert "bars released" in said


def test_demo_sheets_agree_with_the_model():
    """The invented readings are the model's, with noise: scores within their intervals of the prediction at 30 N."""
    for sheet_name, vehicle_name in (("wagon", "wagon"), ("pickup", "ladder_frame_pickup")):
        sheet = load_sheet(f"{SHEETS}/{sheet_name}_run_sheet.toml")
        spec = load_vehicle(sheet.vehicle_path)
        assert spec.path.endswith(f"{vehicle_name}.toml")
        vehicle = build(spec)
        hints = run_hints(vehicle, sheet, spec.name)
        assert disagreements(spec, sheet, hints) == []
        found = score_sheet(sheet, hints)
        for case in found.cases:
            if case.side == "both":
                continue
            predicted = getattr(predict(vehicle, ramp_test(1, touch_load=30.0), case.side), case.bars)
            assert case.score.low < predicted.score < case.score.high


def test_the_template_filled_in_is_scored():
    # By hand, 22 7/16 and 25 1/32 in over sin 20 and 2850 mm: 584.7 and 652.3.
    found = {(case.side, case.bars): case.score.value for case in score_sheet(read_sheet(filled(), "template")).cases}
    assert found["left", "connected"] == pytest.approx(22.4375 * 25.4 / math.sin(TWENTY) / 2.850, abs=0.05)
    assert found["left", "released"] == pytest.approx(25.03125 * 25.4 / math.sin(TWENTY) / 2.850, abs=0.05)


def test_the_same_seed_gives_the_same_bytes():
    first, again = (scored(run('mark_height = "456 mm"')).cases[0].score.monte_carlo for _ in range(2))
    assert first == again


def test_hints_are_used_only_where_the_sheet_is_silent():
    sheet = read_sheet(HEAD + run('hub_height = "900 mm"'), "t")
    exactly = defaults.assumed(0.2, 0.0, "wrong on purpose", sheet.touch_load)
    wrong = CaseHints(exactly, exactly, exactly)
    with_hints, without = (
        score_sheet(sheet, hints).cases[0].climb.value for hints in ({("left", "connected"): wrong}, {})
    )
    assert with_hints == without
