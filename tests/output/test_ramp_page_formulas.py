"""The formulas of the page for the ramp, run in a real browser against the program's own."""

from __future__ import annotations

import math

import numpy as np
import pytest

from articulate.measure import defaults
from articulate.measure.conversions import Radii, ReadingKind, reading_of
from articulate.measure.plausible_readings import reading_doubts
from articulate.measure.propagation import numerical_tolerance
from articulate.measure.scoring import score_sheet
from articulate.measure.sheet_load import read_sheet
from articulate.measure.student import t_quantile
from articulate.output.units import fractional_inches
from articulate.spec import build, load_vehicle
from articulate.studies.day.run_hints import case_hints
from articulate.studies.learn.learning import learn
from articulate.studies.learn.readings import LiftSeen, RollReading, ScoreReading
from articulate.studies.population.conditions import Conditions, exactly
from articulate.studies.population.runs import Population, cases_of, simulate
from articulate.types import BAR_STATES, SIDES, WHEELS, Case
from tests.output.pages import DEMO, Watched
from tests.output.ramp_pages import ramp_page

WAGON = DEMO / "wagon.toml"
CASES = tuple((side, bars) for side in SIDES for bars in BAR_STATES)
ANGLES = (None, 19.6, 20.0, 20.45)  # degrees; None: not measured
DEGREE = math.pi / 180.0
TAKEN = ["", "I", "II", "III"]


@pytest.fixture(scope="module")
def wagon(browser, tmp_path_factory):
    watched = Watched(browser, ramp_page(WAGON, tmp_path_factory.mktemp("page") / "wagon.html"), width=360)
    yield watched.page
    assert watched.said == []
    watched.context.close()


@pytest.fixture(scope="module")
def hints():
    spec = load_vehicle(WAGON)
    return {angle: case_hints(build(spec), CASES, (angle or 20.0) * DEGREE, spec.name) for angle in ANGLES}


def typed(length: float, unit: str) -> tuple[str, str]:
    """A length as somebody types it, and its unit."""
    if unit == "mm":
        return f"{length * 1e3:.0f}", "mm"
    if unit == "decimal":
        return f"{length / 0.0254:.2f}", "in"
    return fractional_inches(length).removesuffix(" in"), "in"


def a_climb(rng, key, kind, unit, angle, radii, score):
    climb = score * 2.85 / 1000.0
    text, written = typed(float(reading_of(kind, climb, (angle or 20.0) * DEGREE, Radii(*radii))), unit)
    lifted = [None, f"rear {key.split('.')[0]}", None][rng.integers(0, 3)]
    return {
        "key": key, "way": kind.value, "text": text, "unit": written, "lifted": lifted, "roll": None, "stops": [],
        "time": "10:20:00", "notes": "",
    }  # fmt: skip


def a_day(rng, climbs, angle=None, **fields):
    return {
        "date": "2026-05-14", "title": "", "notes": "", "wheelbase": "", "angle": "" if angle is None else f"{angle}",
        "angleTolerance": float(rng.choice([0.05, 0.1, 0.2])), "tape": str(rng.choice(TAKEN)), "flat": "", "ramp": "",
        "climbs": climbs, "ends": [], "stops": [], **fields,
    }  # fmt: skip


SCORED = """days => days.map(one => {
  const state = {...day.state, ...one};
  return {text: runSheet.text(state), found: measure.score(runSheet.resolved(state))};
})"""


def test_five_hundred_readings_make_the_scores_and_uncertainties_of_the_command(wagon, hints):
    rng = np.random.default_rng(5)
    days, angles = [], []
    for number in range(500):
        kind = list(ReadingKind)[number % len(ReadingKind)]
        angle = ANGLES[rng.integers(0, len(ANGLES))]
        key = ".".join(CASES[rng.integers(0, 4)])
        unit = ("fraction", "decimal", "mm")[rng.integers(0, 3)]
        taped = {"flat": "383 mm"} if rng.random() < 0.3 else {}
        taped |= {"ramp": "14 1/16 in"} if rng.random() < 0.3 else {}
        taped |= {"wheelbase": "2847 mm"} if rng.random() < 0.3 else {}
        climb = a_climb(rng, key, kind, unit, angle, (0.383, 0.357), rng.uniform(350.0, 750.0))
        days.append(a_day(rng, [climb], angle, **taped))
        angles.append(angle)
    score_apart, u_apart = 0.0, 0.0
    for angle, one in zip(angles, wagon.evaluate(SCORED, days), strict=True):
        sheet = read_sheet(one["text"], "page")
        found = score_sheet(sheet, hints[angle], draws=1000).cases[0]
        page = one["found"][f"score {found.side}.{found.bars}"]
        score_apart = max(score_apart, abs(page["value"] - found.score.value))
        u_apart = max(u_apart, abs(page["u"] / found.score.u - 1.0))
        assert one["found"][f"climb {found.side}.{found.bars}"]["value"] == pytest.approx(found.climb.value, abs=1e-4)
    assert score_apart < 0.1
    assert u_apart < 0.02


def test_whole_days_make_the_intervals_gains_and_differences_of_the_command(wagon, hints):
    # With repeats, several ways of reading and both sides; intervals are those of the Monte Carlo where that differs.
    rng = np.random.default_rng(6)
    days, angles = [], []
    for _ in range(12):
        angle = ANGLES[rng.integers(0, len(ANGLES))]
        climbs = []
        for key in [".".join(case) for case in CASES if rng.random() < 0.85] or ["left.connected"]:
            kind = list(ReadingKind)[rng.integers(0, len(ReadingKind))]
            score = rng.uniform(480.0, 620.0)
            for _ in range(rng.integers(1, 4)):
                climbs.append(a_climb(rng, key, kind, "mm", angle, (0.383, 0.357), score + rng.normal(0.0, 2.0)))
        days.append(a_day(rng, climbs, angle, flat="383 mm"))
        angles.append(angle)
    compared = 0
    for angle, one in zip(angles, wagon.evaluate(SCORED, days), strict=True):
        scores = score_sheet(read_sheet(one["text"], "page"), hints[angle])
        results = [(f"score {case.side}.{case.bars}", case.score) for case in scores.cases]
        results += [(f"gain {gain.side}", gain.gain) for gain in scores.gains]
        results += [(f"difference {one.bars}", one.difference) for one in scores.side_differences]
        assert sorted(name for name, _ in results) == sorted(n for n in one["found"] if n[:5] not in ("climb", "scatt"))
        for name, found in results:
            page = one["found"][name]
            assert page["value"] == pytest.approx(found.value, abs=0.1)
            assert page["u"] == pytest.approx(found.u, rel=0.02)
            # Near the tolerance either interval may be the one to use, and they differ by no more than it.
            assert page["half"] == pytest.approx(found.half_width, rel=0.02, abs=1.2 * numerical_tolerance(found.u))
            compared += 1
    assert compared > 60


def test_students_quantiles_and_the_normal_distribution(wagon):
    for share, dof in ((0.975, 4.0), (0.975, 7.3), (0.95, 1.0), (0.975, 250.0), (0.975, 2e6)):
        page = wagon.evaluate("([share, dof]) => measure.tQuantile(share, dof)", [share, dof])
        assert page == pytest.approx(t_quantile(share, dof), rel=1e-6)
    for z in (-6.0, -3.4, -1.0, 0.0, 0.7, 2.9, 5.0):
        page = wagon.evaluate("z => measure.normalDistribution(z)", z)
        assert page == pytest.approx(0.5 * math.erfc(-z / math.sqrt(2.0)), rel=1e-9, abs=1e-16)


@pytest.mark.parametrize(
    ("written", "meant"),
    [("570 in", "perhaps 570 mm"), ("22 mm", "perhaps 22 in"), ("1666 mm", "perhaps it is the slope distance")],
)
def test_the_page_asks_what_the_command_asks(wagon, written, meant):
    text, unit = written.split()
    asked = wagon.evaluate(
        """([text, unit]) => asking.ask(runSheet.resolved({...day.state, climbs: []}), "left.connected", "mark_height",
        text, unit, null, [])""",
        [text, unit],
    )
    assert meant in " ".join(asked["lines"])
    if not asked["refused"]:
        sheet = 'vehicle = "x"\ndate = 2026-05-14\nwheelbase = "2850 mm"\n[[run]]\nside = "left"\nbars = "connected"\n'
        doubts = reading_doubts(read_sheet(f'{sheet}mark_height = ["{written}"]\n', "sheet"))
        assert [doubt.meant for doubt in doubts] == [meant]


@pytest.mark.parametrize(
    ("typed", "right", "unit"),
    [("42 5/16", "24 5/16", "in"), ("12 3/4", "21 3/4", "in"), ("31.5", "13.5", "in"), ("465", "645", "mm"),
     ("456", "546", "mm"), ("5/16", "", "in"), ("33 1/4", "", "in")],
)  # fmt: skip
def test_the_page_knows_a_reading_by_its_exchanged_digits(wagon, typed, right, unit):
    asked = wagon.evaluate(
        """([typed, right, unit]) => {
          const sheet = runSheet.resolved({...day.state, climbs: []});
          const score = (text) => measure.scoreOf(
            measure.climb(sheet, "left", "connected", "mark_height", lengthOf(text, unit)), sheet.wheelbase.value);
          const median = right ? score(right) : 300;
          const expected = {low: median - 8, high: median + 8, median};
          return asking.ask(sheet, "left.connected", "mark_height", typed, unit, expected, []).lines.join(" ");
        }""",
        [typed, right, unit],
    )
    assert (f"wo digits exchanged, {right} {unit}?" in asked) if right else ("digits" not in asked)


@pytest.mark.parametrize("path", sorted(DEMO.glob("*.toml")), ids=lambda path: path.stem)
def test_the_next_band_is_that_of_learn(browser, tmp_path, path):
    # The page has a third of the points; ends within a tenth of the band's width.
    spec = load_vehicle(path)
    sides = ("left",) if len(cases_of(spec, "left")) > 1 else ("left", "right")
    cases = [case for side in sides for case in cases_of(spec, side)]
    watched = Watched(browser, ramp_page(path, tmp_path / "page.html", 320, sides))
    film = defaults.TOUCH_LOAD.estimate().mean
    day = Conditions(ramp_angle=defaults.RAMP_ANGLE.estimate(), touch_load=exactly(film, "N"))
    prior = simulate(Population.of(spec, day), cases, 1024)
    first, target = cases[0], cases[1]
    usual = prior.ends[first]
    scores = usual.score[np.isfinite(usual.score)]
    seen = int(np.bincount(usual.wheel[usual.wheel >= 0]).argmax())
    for z in (-1.0, 1.0):
        value = float(scores.mean() + z * math.hypot(scores.std(), 0.051 * scores.mean()))
        roll = float(np.nanmean(usual.roll)) * value / float(scores.mean())
        u_roll = 0.5 * DEGREE / math.sqrt(3.0)
        learned = learn(
            prior,
            [ScoreReading(first, value, 3.0), RollReading(first, roll, u_roll)],
            [LiftSeen(first, seen)],
            enough=150.0,
        )
        after = learned.cases[cases.index(target)].after
        page = watched.page.evaluate(
            """([first, target, value, roll, u, wheel]) => {
              const angle = measure.eitherSide(20 * DEGREE, data.method.ramp_angle_tolerance, true);
              const read = [{kind: "score", key: first, value, u: 3}, {kind: "roll", key: first, value: roll, u}];
              return outlook.next([[target, 1]], outlook.learn(read, [{key: first, wheel}], angle));
            }""",
            [f"{first.side}.{first.bars}", f"{target.side}.{target.bars}", value, roll, u_roll, seen],
        )
        assert after is not None
        assert page["low"] == pytest.approx(after.low, abs=0.1 * after.width)
        assert page["high"] == pytest.approx(after.high, abs=0.1 * after.width)
        assert page["median"] == pytest.approx(after.median, abs=0.1 * after.width)
    watched.context.close()


def test_the_wheels_of_the_sample_are_named_as_the_vehicle_has_them(wagon):
    names = wagon.evaluate("data.wheels")
    assert tuple(names) == WHEELS
    for case in (Case("left", "connected"), Case("right", "released")):
        shares = wagon.evaluate("key => outlook.lifts(key, screens.known(key))", f"{case.side}.{case.bars}")
        assert WHEELS[int(np.argmax(shares))] == f"rear {case.side}"
