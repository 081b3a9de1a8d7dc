"""Sections of the report against the results they show: a finished test, its budget, steps, a difference."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace

import pytest

from articulate.measure.plausible_readings import reading_doubts
from articulate.measure.scoring import score_sheet
from articulate.measure.sheet_load import load_sheet, read_sheet
from articulate.output.report.content import Section
from articulate.output.report.measured_part import (
    budget_section,
    finished_test,
    measured_data,
    measured_section,
    signed,
)
from articulate.output.report.vehicle_part import headline, why
from articulate.output.report.why_part import difference_section, worth_section
from articulate.output.text.measurement import plus_minus
from articulate.output.units import MILLIMETRES_FIRST
from articulate.spec import load_vehicle, with_settings
from articulate.studies.day.plan import plan_test
from articulate.studies.explain.difference import explain_difference
from articulate.studies.explain.vehicle_parts import StudiedVehicle
from articulate.studies.explain.worth import what_steps_are_worth
from articulate.studies.learn.sheet_readings import conditions_of_day
from articulate.studies.population.conditions import Conditions
from articulate.studies.population.intervals import Interval
from articulate.studies.population.runs import Population
from tests.output.pages import DEMO

WAGON = DEMO / "wagon.toml"


@pytest.fixture(scope="module")
def scores():
    return score_sheet(load_sheet(DEMO / "run_sheets" / "wagon_run_sheet.toml"), draws=20_000)


@pytest.fixture(scope="module")
def days():
    spec = load_vehicle(WAGON)
    sheet = load_sheet(DEMO / "run_sheets" / "wagon_run_sheet.toml")
    at_the_sheets = conditions_of_day(sheet, Conditions())
    return {side: plan_test(Population.of(spec, at_the_sheets), side, samples=128) for side in ("left", "right")}


@pytest.fixture(scope="module")
def plans(days):
    return {side: day.runs for side, day in days.items()}


def cells(section: Section, table: int = 0):
    return {row.cells[0]: row.cells for row in section.tables[table].rows}


def test_measured_stands_beside_predicted_and_their_difference_adds_up(scores, plans):
    section = measured_section(scores, plans)
    rows = cells(section)
    for case in scores.cases:
        name = f"{case.side}, {case.bars}"
        shown = rows[name]
        measured = case.score
        assert shown[1] == plus_minus(measured)
        sides = ("left", "right") if case.side == "both" else (case.side,)
        runs = [run for side in sides for run in plans[side] if run.bars == case.bars]
        predicted = sum(run.nominal.score for run in runs) / len(runs)
        assert shown[2].startswith(f"{predicted:.0f} ")
        assert float(shown[3].replace("−", "-")) == pytest.approx(measured.value - predicted, abs=0.51)
        assert "cover" in shown[4]
    assert any("touch load of the run sheet, 30 N" in text for text in section.paragraphs)


def test_a_reading_that_is_asked_about_is_asked_about_in_the_report_too(scores, plans):
    text = (DEMO / "run_sheets" / "wagon_run_sheet.toml").read_text(encoding="utf-8")
    text = text.replace('"21 5/8 in"', '"12 5/8 in"', 1).replace("vehicle_file", "# vehicle_file")
    (asked,) = reading_doubts(read_sheet(text, "sheet.toml"))
    points = measured_section(replace(scores, doubts=(asked,)), plans).points
    assert points[0].startswith("Asked about: run[1].mark_height: 12 5/8 in")


def test_a_difference_that_nothing_covers_is_called_so(scores, plans):
    off = plans["left"]
    wrong = replace(off[0], nominal=replace(off[0].nominal, score=500.0), score=Interval(500.0, 495.0, 505.0))
    section = measured_section(scores, {**plans, "left": (wrong, *off[1:])})
    assert cells(section)["left, connected"][4].startswith("further apart")
    assert any("left, connected" in text and "audit" in text for text in section.paragraphs)
    # Just inside and just outside of two standard uncertainties of the difference.
    case = scores.cases[0]
    half = 10.0
    known = math.hypot(case.score.u, half / 1.6448536)
    for factor, word in ((1.9, "both"), (2.1, "further")):
        score = case.score.value - factor * known
        near = replace(
            wrong, nominal=replace(wrong.nominal, score=score), score=Interval(score, score - half, score + half)
        )
        again = measured_section(scores, {**plans, "left": (near, *off[1:])})
        assert cells(again)["left, connected"][4].startswith(word)


def test_the_budget_names_what_matters_and_marks_what_is_assumed(scores):
    section = budget_section(scores)
    case = scores.cases[0]
    shares = [float(row.cells[4].removesuffix(" %")) for row in section.tables[0].rows]
    assert shares == sorted(shares, reverse=True)
    assert 95.0 <= sum(shares) <= 105.0
    sources = {row.quantity.name: row.quantity.source for row in case.score.budget}
    for row in section.tables[0].rows:
        assert row.marked == (sources[row.cells[0]] == "assumed")
    # JCGM 100:2008, 5.1.2: independent contributions add in squares to the combined standard uncertainty.
    points = [row.contribution for row in case.score.budget]
    assert math.sqrt(sum(point**2 for point in points)) == pytest.approx(case.score.u, rel=0.02)


def test_shares_of_a_difference_add_up_as_shown():
    specs = [load_vehicle(DEMO / f"{name}.toml") for name in ("wagon", "wagon_larger_tyres")]
    found = explain_difference(*map(StudiedVehicle.of, specs))
    section = difference_section(found)
    for table, split in zip(section.tables, (found.connected, found.released), strict=True):
        points = [float(row.cells[1].replace("−", "-")) for row in table.rows]
        assert sum(points[:-1]) == pytest.approx(points[-1], abs=0.05 * len(points))
        assert points[-1] == pytest.approx(split.second - split.first, abs=0.06)


def test_steps_are_shown_by_their_worth():
    found = what_steps_are_worth(StudiedVehicle.of(load_vehicle(WAGON)))
    section = worth_section(found)
    assert len(section.tables) == 2
    first = found.connected.rows[0]
    assert section.tables[0].rows[0].cells[:2] == (first.step.name, first.step.words)
    assert float(section.tables[0].rows[0].cells[2].replace("−", "-")) == pytest.approx(first.up, abs=0.06)


def test_what_the_page_leads_with_is_what_the_table_and_the_data_hold(scores, plans):
    section = measured_section(scores, plans)
    rows = cells(section)
    assert [row.cells[0] for row in section.tables[0].rows[:2]] == ["both, connected", "both, released"]
    found = finished_test(scores, plans, "As filed.")
    assert [one.bars for one in found.scores] == ["connected", "released"]
    data = measured_data(scores, plans, "As filed.")
    held = {(one["side"], one["bars"]): one for one in data["held_against_predictions"]}
    for one in found.scores:
        assert one.side == "both sides"
        assert f"{one.score} {one.uncertainty}" == f"{rows[f'both, {one.bars}'][1]} (95 %)"
        assert one.predicted == rows[f"both, {one.bars}"][2]
        for side in ("left", "right"):
            assert f"{side} {rows[f'{side}, {one.bars}'][1]}" in one.sides
        assert one.score == f"{held['both', one.bars]['measured']['value']:.1f}"
    gain = next(one.gain for one in scores.gains if one.side == "both")
    assert plus_minus(gain, sign="+") in found.gain
    assert data["gain"]["gain"]["value"] == gain.value
    assert data["verdict"] == found.verdict == "As filed."


def test_a_test_on_one_side_in_one_state_of_the_bars_leads_with_it(plans):
    text = (DEMO / "run_sheets" / "wagon_run_sheet.toml").read_text(encoding="utf-8")
    one_run = read_sheet(text[: text.index("[[run]]", text.index("[[run]]") + 1)], "one.toml")
    found = finished_test(score_sheet(one_run, draws=5000), plans, "As filed.")
    assert [(one.bars, one.side, one.sides) for one in found.scores] == [("connected", "left side", "")]
    assert found.gain == ""


def test_no_difference_has_no_sign():
    assert [signed(value) for value in (-0.4, 0.0, 0.4, -0.6, 1.2)] == ["0", "0", "0", "−1", "+1"]


def test_the_report_warns_as_the_sheet_does_and_says_no_score_that_is_none(days):
    plan = days["left"]
    run = plan.runs[0]
    one_unknown = run.nominal.friction.scores.copy()
    one_unknown[0] = math.nan  # creeping back
    shaky = replace(
        run,
        nominal=replace(run.nominal, friction=SimpleNamespace(scores=one_unknown)),
        tipping_angle=replace(run.tipping_angle, low=math.radians(3.0)),
        unscored=(("the vehicle would tip", 42),),
    )
    section = why(replace(plan, runs=(shaky, *plan.runs[1:])))
    assert "Bars connected: the sideways angle in hand may be as low as 3 deg." in section.points
    assert any("would tip" in point for point in section.points)
    assert not any("nan" in text for text in section.paragraphs)
    assert any("friction shaken out" in text for text in section.paragraphs)


def test_where_wheels_spin_no_wheel_is_said_to_lift():
    """The wagon drives its rear axle, which is open: at the end four wheels carry, and the light rear one spins."""
    spec = with_settings(load_vehicle(WAGON), [("drive.driven_wheels", "rear")])
    plan = plan_test(Population.of(spec), samples=32)
    nominal = plan.runs[0].nominal
    assert nominal.wheel == -1
    assert (nominal.wheel_load > 0.0).all()
    section = why(plan)
    first = section.paragraphs[0]
    assert first.startswith("Bars connected: rear left spins after a predicted climb of ")
    assert f"the rear left would lift at a score of {nominal.score_without_spin:.0f}." in first
    assert not any(words in first for words in ("carries no load", "rear right", "lifted", "nan", "- until"))
    assert headline(plan.runs[0], MILLIMETRES_FIRST).lines[-1] == "lifts: none, rear left spins"
    said = " ".join(section.points)
    assert said.count("a limit of drive") + said.count("limit of the drive") == 1
