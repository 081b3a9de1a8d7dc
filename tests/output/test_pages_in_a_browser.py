"""The pages in a real headless browser: what a reader sees, and that the numbers that move are the model's."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.climb import climb_to_unload
from articulate.model.balance import RampSystem
from articulate.model.measures import measures
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.studies.design.grid import explorer_grid, interpolated
from articulate.studies.population.conditions import BOTH_BAR_STATES, Conditions, lanes_of
from articulate.studies.population.watched import watched_of
from tests.output.pages import DEMO, HOSTILE, POINT, SAMPLES, Watched

WAGON = DEMO / "wagon.toml"


PAGES = ("report", "right", "comparison", "hostile", "sheet", "hostile_sheet")


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_quiet_asks_for_nothing_and_names_every_picture(browser, made, name):
    watched = Watched(browser, made[name].path)
    page = watched.page
    assert watched.said == []
    assert [url for url in watched.asked if not url.startswith("data:")] == [made[name].path.as_uri()]
    ids = page.eval_on_selector_all("[id]", "all => all.map(one => one.id)")
    assert len(ids) == len(set(ids))
    pictures = page.locator("img, svg").count()
    seen = page.get_by_role("img", include_hidden=True)
    assert seen.count() == pictures > 0
    hidden = page.locator("[hidden] svg, .listed svg, details:not([open]) svg, svg.shared").count()
    named = page.get_by_role("img", name=re.compile(r"\w{3}"))
    assert named.count() == pictures - hidden
    assert page.eval_on_selector_all("img", "all => all.every(one => one.complete && one.naturalWidth > 100)")
    assert page.eval_on_selector_all(
        "input:not([type=hidden]), button", "all => all.every(one => one.labels?.length || one.textContent)"
    )
    watched.context.close()


@pytest.mark.parametrize("name", PAGES)
def test_no_page_scrolls_sideways_on_a_phone(browser, made, name):
    watched = Watched(browser, made[name].path, width=360)
    assert watched.sideways() == 0
    if "sheet" not in name:  # tables fold, so that nothing of them lies off the screen
        wider = "all => all.filter(one => one.scrollWidth > one.clientWidth + 1).map(one => one.ariaLabel)"
        assert watched.page.eval_on_selector_all(".wide", wider) == []
    watched.context.close()


@pytest.mark.parametrize(("name", "width", "scheme"), [
    ("report", 360, "light"), ("report", 1100, "dark"), ("hostile", 360, "dark"), ("hostile", 1100, "light"),
    ("comparison", 360, "light"), ("comparison", 1100, "dark"),
])  # fmt: skip
def test_a_report_has_no_fault_for_ears_and_eyes_unfolded(browser, made, name, width, scheme):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    watched = Watched(browser, made[name].path, width=width, color_scheme=scheme)
    page = watched.page
    page.eval_on_selector_all("details", "all => all.forEach(one => { one.open = true; })")
    found = axe.run(page).response["violations"]
    assert [(fault["id"], fault["nodes"][0]["html"]) for fault in found if fault["impact"] != "minor"] == []
    assert watched.sideways() == 0
    watched.context.close()


@pytest.mark.parametrize("bars", ["connected", "released"])
def test_the_climb_follows_the_slider_with_the_models_loads(browser, made, bars):
    spec = load_vehicle(WAGON)
    vehicle, test = lanes_of(spec, Conditions(), {})
    both = predict(vehicle, test, "left", watched_of(spec))
    run = both.connected if bars == "connected" else both.released
    watched = Watched(browser, made["report"].path)
    page = watched.page
    page.get_by_role("radio", name=bars).check()
    slider = page.get_by_role("slider", name="Climb along the ramp")
    rows = page.locator(".wheels tbody tr")
    places = [200, 613, 1000, 1333, math.ceil(run.climb * 1000)]
    driven = vehicle if bars == "connected" else vehicle.released()
    for place in places:
        # The climb made anew on a ramp that ends there.
        climb = min(place / 1000.0, run.climb)
        on = replace(test, length=np.array([climb]))
        climbed = climb_to_unload(driven, on)
        found = measures(RampSystem.of(driven, on), climbed.state, climbed.climb)
        watched.set(slider, place)
        for wheel in range(4):
            load = float(rows.nth(wheel).locator("td").nth(1).inner_text().removesuffix(" N"))
            travel = rows.nth(wheel).locator("td").nth(2).inner_text().replace("−", "-").removesuffix(" mm")
            assert load == pytest.approx(climbed.wheel_load[0, wheel], abs=0.003 * climbed.wheel_load.sum())
            assert float(travel) == pytest.approx(found.hub_travel[0, wheel] * 1000.0, abs=1.5)
        ring = page.locator("svg.side circle.lane").first
        assert float(ring.get_attribute("cx")) == pytest.approx(-found.hub[0, 0, 0] * 1000.0, abs=2.0)
        assert float(ring.get_attribute("cy")) == pytest.approx(-found.hub[0, 0, 2] * 1000.0, abs=2.0)
        cut = page.locator("svg.behind rect.ramp.front")  # the ramp under the climbing wheel
        surface = found.contact[0, 0, 0] * math.tan(float(test.angle[0])) * 1000.0
        assert float(cut.get_attribute("height")) == pytest.approx(surface, abs=2.0)
        assert float(cut.get_attribute("y")) == -float(cut.get_attribute("height"))
        middle = float(cut.get_attribute("x")) + float(cut.get_attribute("width")) / 2.0
        assert middle == pytest.approx(-found.contact[0, 0, 1] * 1000.0, abs=2.0)
        said = slider.get_attribute("aria-valuetext")
        assert f"mark {climb * math.sin(float(test.angle[0])) * 1000.0:.0f} mm, " in said
        assert " above the floor" in said
        passed = page.locator(".events .passed").count()
        assert passed == sum(event.climb <= climb + 1e-4 for event in run.events) + (place == places[-1])
    assert rows.nth(run.wheel).locator("td").nth(3).inner_text().startswith("lifts")
    cursor = page.locator(".chart:visible .cursor")
    assert float(cursor.get_attribute("x1")) == pytest.approx(528.0, abs=0.5)  # the right end of the axis
    watched.context.close()


def test_the_climb_goes_by_keyboard_and_by_its_events(browser, made):
    watched = Watched(browser, made["report"].path)
    page = watched.page
    slider = page.get_by_role("slider", name="Climb along the ramp")
    before = float(slider.input_value())
    slider.focus()
    page.keyboard.press("ArrowLeft")
    assert float(slider.input_value()) == before - 1
    page.keyboard.press("Home")
    assert float(slider.input_value()) == float(slider.get_attribute("min"))
    assert page.locator(".events .passed").count() == 0
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.locator(".events .passed").count() == 1
    watched.context.close()


def test_the_explorer_answers_as_the_model_does(browser, made):
    spec = load_vehicle(WAGON)
    grid = explorer_grid(spec, Conditions(), BOTH_BAR_STATES)
    watched = Watched(browser, made["report"].path)
    page = watched.page
    sliders = page.locator(".explorer input[type=range]")
    assert sliders.count() == len(grid.sliders)
    nominal = predict(build(spec))
    rng = np.random.default_rng(4)

    def answer(bars):
        return float(page.locator(f'.answers [data-bars="{bars}"] .score').inner_text())

    for run in (nominal.connected, nominal.released):  # the file's own vehicle is one of those that were solved
        assert page.locator(f'.answers [data-bars="{run.bars}"] .score').inner_text() == f"{run.score:.0f}"
    for _ in range(5):
        at = rng.integers(0, 101, len(grid.sliders)) / 100.0
        chosen = []
        for place, share in enumerate(at):
            watched.set(sliders.nth(place), share * 100)
            slider = grid.sliders[place]
            chosen.append((slider.key, float(slider.at(np.array(share)))))
        changed = build(spec, {key: np.array([value]) for key, value in chosen})
        solved = predict(changed)
        for row, run in enumerate((solved.connected, solved.released)):
            shown = answer(run.bars)
            assert shown == pytest.approx(float(interpolated(grid.score[row], at[None])[0]), abs=0.6)
            assert shown == pytest.approx(run.score, abs=1.5 * grid.errors[row].largest + 0.5)
    page.get_by_role("button", name="As the file has it").click()
    assert answer("connected") == round(nominal.connected.score)
    assert page.get_by_text("as the file has it", exact=True).count() == 2
    typical = f"95 % are within {grid.errors[0].typical:.1f} points"
    assert typical in page.locator(".explorer .small").inner_text()
    watched.context.close()


def _here(page):
    return page.locator("nav.contents a[aria-current=location]").all_inner_texts()


def test_the_contents_follow_and_lead_there_by_keys(browser, made):
    watched = Watched(browser, made["hostile"].path, reduced_motion="reduce")
    page = watched.page
    chapters = page.locator("nav.contents details > ol > li > a").all_inner_texts()
    assert chapters == ["Result", "Why", "What would change it", "How sure", "What it stands on", "Cautions"]
    links = page.eval_on_selector_all("nav.contents a", "all => all.map(one => one.hash.slice(1))")
    assert page.evaluate("all => all.every(one => document.getElementById(one))", links)
    places = page.evaluate("all => all.map(one => document.getElementById(one).getBoundingClientRect().top)", links)
    assert places == sorted(places)
    assert _here(page) == ["Result"]
    page.evaluate("document.getElementById('v1-audit').scrollIntoView()")
    page.locator("nav.contents a[aria-current]", has_text="Audit").wait_for()
    page.get_by_role("link", name="What would change it").focus()
    page.keyboard.press("Enter")
    page.locator("nav.contents a[aria-current]", has_text="What would change it").wait_for()
    watched.context.close()


def test_on_a_phone_the_contents_are_one_line_until_opened(browser, made):
    watched = Watched(browser, made["comparison"].path, width=360, reduced_motion="reduce")
    page = watched.page
    nav = page.locator("nav.contents")
    assert nav.bounding_box()["height"] < 60.0
    assert page.locator("nav.contents a:visible").count() == 0
    page.locator("nav.contents summary").click()
    page.get_by_role("link", name="Kestrow Bellwether on larger tyres").click()
    assert page.locator("nav.contents a:visible").count() == 0
    page.locator(".now", has_text="Kestrow Bellwether on larger tyres").wait_for()
    assert 0.0 <= page.locator("#v2").bounding_box()["y"] < 120.0
    assert nav.bounding_box()["y"] == 0.0
    assert page.evaluate("document.documentElement.scrollHeight") < 9000  # whole vehicles are folded
    page.goto(made["comparison"].path.as_uri() + "#v2-inputs")  # a place that is folded away
    page.locator(".now", has_text="Inputs and their sources").wait_for()
    watched.context.close()


def test_the_dark_hand_is_the_device_s_or_chosen_and_never_on_paper(browser, made):
    colour = "getComputedStyle(document.body).backgroundColor"
    filtered = "getComputedStyle(document.querySelector('.still svg')).filter"
    light, dark = "rgb(255, 255, 255)", "rgb(18, 22, 25)"
    for scheme, first, other in (("light", light, dark), ("dark", dark, light)):
        watched = Watched(browser, made["report"].path, color_scheme=scheme)
        page = watched.page
        switch = page.get_by_role("button", name="Dark")
        for seen in (first, other):
            assert page.evaluate(colour) == seen
            assert (page.evaluate(filtered) == "none") == (seen == light)
            assert switch.get_attribute("aria-pressed") == str(seen == dark).lower()
            page.emulate_media(media="print", color_scheme=scheme)
            assert page.evaluate(colour) == light
            assert page.evaluate(filtered) == "none"
            page.emulate_media(media="screen", color_scheme=scheme)
            switch.click()
        watched.context.close()


def test_a_report_prints_in_few_pages_with_all_that_is_folded(browser, made):
    for name, most in (("hostile", 10), ("right", 7), ("comparison", 4)):
        watched = Watched(browser, made[name].path)
        printed = watched.page.pdf(prefer_css_page_size=True, format="A4")
        assert len(re.findall(rb"/Type\s*/Page\b", printed)) <= most
        watched.page.emulate_media(media="print")
        if name != "comparison":
            watched.page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
            assert watched.page.locator("details.fold:not([open])").count() == 0
        watched.context.close()


def test_paper_shows_no_controls_but_everything_they_showed(browser, made):
    watched = Watched(browser, made["report"].path)
    page = watched.page
    page.emulate_media(media="print")
    assert page.locator("input:visible, button:visible").count() == 0
    assert page.locator(".live:visible, .explorer:visible").count() == 0
    assert page.locator(".chart:visible").count() == 2
    assert page.locator(".listed:visible li").count() > 3
    assert page.get_by_role("heading", name="What if").count() == 0
    page.emulate_media(media="screen")
    assert page.locator(".live:visible").count() == 1
    assert page.locator(".listed:visible").count() == 0
    watched.context.close()


def test_without_script_the_page_still_tells_the_story(browser, made):
    watched = Watched(browser, made["report"].path, java_script_enabled=False)
    page = watched.page
    assert page.locator(".live:visible").count() == 0
    assert page.locator(".chart:visible").count() == 2
    assert page.locator(".listed:visible li").count() > 3
    watched.context.close()


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("vehicle", sorted(path.stem for path in DEMO.glob("*.toml")))
def test_the_sheet_prints_on_both_sides_of_one_paper(browser, tmp_path, vehicle, paper):
    path = tmp_path / "sheet.html"
    words = ["test-day", str(DEMO / f"{vehicle}.toml"), "--output", str(path), "--paper", paper, *SAMPLES]
    assert CliRunner().invoke(app, words).exit_code == 0
    watched = Watched(browser, path)
    printed = watched.page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 2
    watched.context.close()


def test_a_sheet_with_many_long_names_prints_on_both_sides_of_one_paper(browser, tmp_path):
    text = (DEMO / "wagon.toml").read_text(encoding="utf-8")
    for k in range(11):
        text += f"""
[[body_point]]
name = "under-run guard bracket number {k} of the long kind"
behind_front_axle = "{200 * k - 200} mm"
left_of_centre = "{100 * k - 400} mm"
height = "{300 + 7 * k} mm"
"""
    vehicle, path = tmp_path / "many.toml", tmp_path / "sheet.html"
    vehicle.write_text(text, encoding="utf-8")
    for paper in ("a4", "letter"):
        words = ["test-day", str(vehicle), "--output", str(path), "--paper", paper, "--replace", "--release-on", "ramp"]
        assert CliRunner().invoke(app, [*words, *SAMPLES]).exit_code == 0
        watched = Watched(browser, path)
        printed = watched.page.pdf(prefer_css_page_size=True)
        assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 2
        watched.context.close()


def test_a_chart_fits_a_phone_and_its_letters_can_be_read(browser, made):
    watched = Watched(browser, made["comparison"].path, width=360)
    for summary in watched.page.locator(".whole > summary").all():
        summary.click()
    charts = watched.page.locator("svg.loads:visible, svg.scores:visible")
    assert charts.count() >= 3
    for chart in charts.all():
        box = chart.bounding_box()
        assert box["x"] >= 0.0
        assert box["x"] + box["width"] <= 360.0
        size = float(chart.locator("text").first.evaluate("one => parseFloat(getComputedStyle(one).fontSize)"))
        wide = float(chart.get_attribute("viewBox").split()[2])
        assert size * box["width"] / wide > 9.0  # pixels
        boxes = [text.bounding_box() for text in chart.locator("text.name").all()]
        for i, one in enumerate(boxes):
            for other in boxes[i + 1 :]:
                apart = other["y"] >= one["y"] + 0.75 * one["height"] or one["y"] >= other["y"] + 0.75 * other["height"]
                assert apart
            assert one["x"] + one["width"] <= 361.0
    watched.context.close()


@pytest.mark.parametrize("name", ["hostile", "hostile_sheet"])
def test_hostile_strings_stay_words(browser, made, name):
    watched = Watched(browser, made[name].path)
    page = watched.page
    assert page.evaluate("window.hit") is None
    assert watched.said == []
    assert page.locator("img[src='x'], [onerror], bdi img, bdi script, h1 *:not(bdi)").count() == 0
    like = Watched(browser, made["report" if name == "hostile" else "sheet"].path)
    assert page.locator("script").count() == like.page.locator("script").count()
    own = "main a:not([download])"  # beside the files to be saved: the hostile report has a run sheet too
    assert page.locator(f"{own}, iframe, object, form, base, link").count() == like.page.locator(own).count()
    heading = page.locator("h1").inner_text()
    assert heading.startswith(HOSTILE["script"] + HOSTILE["image"])
    assert "\u202e" not in heading
    assert "‹U+202E›" in heading
    if name == "hostile":
        notes = page.locator(".notes").inner_text()
        assert "{{7*7}}{% raw %}" in notes
        assert "&lt;b&gt; &amp; `${alert(1)}`" in notes
        assert HOSTILE["end"] + HOSTILE["image"] in page.locator("#v1-measured").inner_text()
        titles = page.eval_on_selector_all("svg title", "all => all.map(one => one.textContent)")
        assert POINT in titles
    like.context.close()
    watched.context.close()


def test_the_policy_stops_a_script_that_is_not_the_pages_own(browser, made, tmp_path):
    # The negative control of the tests above: were a string to become markup, it still would not run.
    text = made["report"].text
    broken = tmp_path / "broken.html"
    added = "<script>window.hit=1</script><img src=x onerror='window.hit=2'><p style='color:red'>x</p>"
    broken.write_text(text.replace("<main>", "<main>" + added), encoding="utf-8")
    watched = Watched(browser, broken)
    assert watched.page.evaluate("window.hit") is None
    assert len([line for line in watched.said if "Content Security Policy" in line]) >= 3
    watched.context.close()


def test_each_vehicle_of_a_comparison_has_its_own_climb(browser, made):
    watched = Watched(browser, made["comparison"].path)
    page = watched.page
    assert page.locator("article").count() == 2
    for summary in page.locator(".whole > summary").all():  # folded until asked for
        summary.click()
    first, second = (page.locator("article").nth(i) for i in (0, 1))
    before = second.locator(".said").inner_text()
    watched.set(first.get_by_role("slider", name="Climb along the ramp"), 500)
    assert second.locator(".said").inner_text() == before
    first.get_by_role("radio", name="released").check()
    assert second.get_by_role("radio", name="connected").is_checked()
    specs = [load_vehicle(DEMO / f"{name}.toml") for name in ("wagon", "wagon_larger_tyres")]
    for article, spec in zip((first, second), specs, strict=True):
        scores = article.locator(".headline .score").all_inner_texts()
        run = predict(build(spec))
        assert scores == [f"{run.connected.score:.0f}", f"{run.released.score:.0f}"]
    watched.context.close()


def test_a_run_on_the_right_is_drawn_on_the_right(browser, made):
    spec = load_vehicle(DEMO / "crossover_minimal.toml")
    watched = Watched(browser, made["right"].path)
    page = watched.page
    run = predict(build(spec), side="right").connected
    rows = page.locator(".wheels tbody tr")
    loads = [float(rows.nth(i).locator("td").nth(1).inner_text().removesuffix(" N")) for i in range(4)]
    assert loads == pytest.approx(list(run.wheel_load), abs=2.0)
    tip = page.locator("svg.side polygon.mark").get_attribute("points").partition(",")[0]
    assert float(tip) > 0.0
    watched.context.close()


def test_the_files_a_report_was_made_of_are_saved_from_it_byte_for_byte(browser, made):
    watched = Watched(browser, made["hostile"].path)
    words = made["hostile"].words  # report VEHICLE --run-sheet SHEET
    links = watched.page.get_by_role("link", name=re.compile("^Save the (vehicle file|run sheet), "))
    assert links.count() == 2
    for link, place in zip(links.all(), (words[1], words[3]), strict=True):
        with watched.page.expect_download() as kept:
            link.press("Enter")
        assert kept.value.suggested_filename == Path(place).name
        assert Path(kept.value.path()).read_bytes() == Path(place).read_bytes()
    assert watched.said == []
    assert watched.page.evaluate("window.hit") is None
    watched.context.close()
