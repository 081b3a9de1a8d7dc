"""The page and the figure of a logbook: places and chances are the program's, and a phone, keys and ears can use it."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.output.figures.logbook import standing_picture
from articulate.output.figures.rows import broken
from articulate.output.figures.theme import MEDIA
from articulate.studies.logbook.standing import Terms, beats_probability, ranking
from tests.measure.kept_days import keep
from tests.output import figure_checks
from tests.output.pages import HOSTILE, Watched
from tests.studies.kept_results import kept

HOSTILE_NAME = HOSTILE["end"] + HOSTILE["direction"]
# vehicle, day, factor of its scores, ramp
DAYS = (
    ("Tarn", "2019-06-01", 1.000, "20 deg"),
    ("Moss", "2021-05-02", 1.100, "22 deg"),
    ("Tarn", "2024-07-03", 1.012, "20 deg"),
    (HOSTILE_NAME, "2025-01-02", 1.006, "20 deg"),
    ("Fell", "2026-05-14", 1.003, "20 deg"),
)
SERIOUS = ("serious", "critical")


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    folder = tmp_path_factory.mktemp("log")
    for vehicle, date, times, ramp in DAYS:
        keep(folder, vehicle, date, times, predicted=1.0, ramp=ramp)
    place = folder / "page.html"
    done = CliRunner().invoke(app, ["logbook", "show", str(folder), "--page", str(place), "--json"])
    assert done.exit_code == 0, done.output
    return place, json.loads(done.stdout)


@pytest.fixture
def opened(browser, page):
    watched = Watched(browser, page[0])
    yield watched
    assert watched.said == []
    assert [url for url in watched.asked if not url.startswith("data:")] == [page[0].as_uri()]
    watched.context.close()


def names(watched):
    return [text.split(",")[0][:4] for text in watched.page.locator("#rows .who").all_inner_texts()]


def test_the_newest_comes_first_with_its_place_and_its_chances(opened, page):
    ranked = page[1]["ranking"]
    newest = ranked[page[1]["newest"]]
    assert newest["vehicle"] == "Fell"
    places = newest["place_range"]
    said = opened.page.locator("#one").inner_text()
    assert "The newest, 2026-05-14".casefold() in said.casefold()
    assert f"{newest['place']}th of 5, place {places['low']} to {places['high']} in 90 %" in said
    shown = opened.page.locator("#rows .chance").all_inner_texts()
    for row, one in zip(shown[:-1], ranked[:-1], strict=True):
        chance = 100.0 * one["probability_of_beating_next"]
        wanted = "> 99 %" if chance > 99.0 else f"{chance:.0f} %"
        assert row == f"{wanted} to beat the next"
    assert opened.page.locator("#rows .newest .who").inner_text() == "Fell"


def test_chances_of_the_page_are_those_of_the_program(opened):
    rows = ranking([kept(f"v{k}", 500.0 + 3.7 * k, u=2.0 + 0.3 * k) for k in range(8)], Terms()).standings
    pairs = [(a, b) for a in rows for b in rows if a is not b]
    asked = [[[0, one.score, one.u] for one in pair] for pair in pairs]
    found = opened.page.evaluate("pairs => pairs.map(([a, b]) => beats(a, b))", asked)
    assert found == pytest.approx([beats_probability(*pair) for pair in pairs], abs=1e-12)


def test_it_is_searched_filtered_and_ordered(opened, page):
    watch = opened.page
    ranked = [one["vehicle"][:4] for one in page[1]["ranking"]]
    assert names(opened) == ranked
    watch.get_by_label("Order").select_option("date")
    assert names(opened) == [vehicle[:4] for vehicle, *_ in reversed(DAYS)]
    watch.get_by_label("Search").fill("tarn 2024")
    assert names(opened) == ["Tarn"]
    assert "1 of 5 results" in watch.get_by_role("status").inner_text()
    watch.get_by_label("Search").fill("")
    watch.get_by_label("From").select_option("2021")
    watch.get_by_label("To").select_option("2024")
    assert names(opened) == ["Tarn", "Moss"]
    watch.get_by_label("Bars").select_option("released")
    assert "bars released" in watch.get_by_role("status").inner_text()
    watch.get_by_label("nothing against it").check()  # every sheet here assumes its touch load
    assert names(opened) == []


def test_keys_alone_reach_a_result_and_its_history(opened):
    watch = opened.page
    watch.get_by_label("Search").focus()
    watch.keyboard.type("tarn")
    for _ in range(2):
        watch.keyboard.press("Tab")  # over what is against it, to the first result
    watch.keyboard.press("Enter")
    assert watch.evaluate("document.activeElement.id") == "name"
    said = watch.locator("#one").inner_text()
    assert said.startswith("2024-07-03")
    assert re.search(r"History of Tarn.*2024-07-03 \+7\.1 ± ", said, re.DOTALL)  # 594.44 x 0.012 = 7.13
    assert "1st of the 2 shown" in said


def test_foreign_names_stay_words(opened):
    assert opened.page.evaluate("window.hit") is None
    assert "</script><script>window.hit=2" in opened.page.locator("#rows").inner_text()
    assert "‹U+202E›" in opened.page.locator("#rows").inner_text()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1200])
def test_no_serious_fault_for_ears_and_eyes_and_no_scrolling_sideways(browser, page, width, scheme):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    watched = Watched(browser, page[0], width=width, color_scheme=scheme)
    watched.page.locator("summary").click()
    found = [(fault["id"], fault["nodes"][0]["html"]) for fault in axe.run(watched.page).response["violations"]
             if fault["impact"] in SERIOUS]  # fmt: skip
    assert found == []
    assert watched.sideways() == 0
    small = watched.page.eval_on_selector_all(
        "button, select, input[type=search], summary",
        "all => all.filter(one => one.offsetParent && one.getBoundingClientRect().height < 32).map(one => one.id)",
    )
    assert small == []
    watched.context.close()


def test_without_script_the_ranking_is_there(browser, page):
    watched = Watched(browser, page[0], java_script_enabled=False)
    assert [text.split()[0] for text in watched.page.locator("#rows li").all_inner_texts()] == list("12345")
    watched.context.close()


@pytest.mark.parametrize("medium", MEDIA.values(), ids=MEDIA)
def test_the_figure_shows_the_newest_among_its_neighbours(medium):
    many = [kept(f"the vehicle of a long name, number {k}", 500.0 + 4.0 * k) for k in range(40)]
    many[20] = replace(many[20], date="2026-05-15")
    picture = standing_picture(ranking(many, Terms()), medium)
    assert figure_checks.objections(picture) == []
    # the next above it, 4 points each: Phi(-4/sqrt(8)) = Phi(-1.414) = 0.079, from a table of the normal distribution
    assert "beaten with 8 %" in picture.description
    assert picture.description.count("beaten with") == 4


def test_the_same_days_make_the_same_page(page, tmp_path):
    again = tmp_path / "again.html"
    folder = str(page[0].parent)
    assert CliRunner().invoke(app, ["logbook", "show", folder, "--page", str(again)]).exit_code == 0
    assert again.read_bytes() == page[0].read_bytes()


def test_one_result_is_one(page, tmp_path):
    for words, said in ((("--vehicle", "Moss"), "1 result, "), ((), f"{len(DAYS)} results;")):
        place = tmp_path / f"{len(words)}.html"
        folder = str(page[0].parent)
        assert CliRunner().invoke(app, ["logbook", "show", folder, *words, "--page", str(place)]).exit_code == 0
        assert f'<p class="sub">{said}' in place.read_text()


def test_a_long_name_in_the_figure_leaves_its_day(tmp_path):
    name = "Fell long wheelbase, five doors, on its larger tyres"
    for vehicle, date in ((name, "2024-07-03"), (name, "2026-05-14")):
        keep(tmp_path, vehicle, date, 1.0)
    place = tmp_path / "standing.svg"
    done = CliRunner().invoke(app, ["logbook", "show", str(tmp_path), "--figure", str(place)])
    assert done.exit_code == 0, done.output
    rows = [broken(f"{k}. {name}\n{day}") for k, day in ((1, "2024-07-03"), (2, "2026-05-14"))]
    assert [row.split("\n")[1] for row in rows] == ["2024-07-03", "2026-05-14"]
    assert all(row.startswith(f"{k}. Fell long wheelbase") and "…\n" in row for k, row in enumerate(rows, 1))
    for k in (1, 2):
        assert f"{k}. Fell long wheelbase, five d…" in place.read_text()
