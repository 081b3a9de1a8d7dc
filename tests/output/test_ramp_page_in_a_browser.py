"""The page for the ramp on a phone: a headless browser with touch, 360 by 640, without a network."""

from __future__ import annotations

import json
import re
import shutil
import tomllib
from pathlib import Path

import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.measure.sheet_load import load_sheet
from articulate.safety import BARS, BRAKES, STOP
from articulate.spec import load_vehicle
from articulate.studies.audit import observed_of, scene_from
from tests.output.pages import DEMO, HOSTILE, Watched, hostile_vehicle
from tests.output.ramp_pages import ramp_page

WAGON = DEMO / "wagon.toml"
PHONE = {"width": 360, "has_touch": True, "is_mobile": True}
LEAST_TARGET = 48  # pixels, of what a finger in a glove meets; common practice, no source
ON_THE_FLOOR = "Level floor, wheels chocked, the links turned freely by hand: released"
SERIOUS = ("serious", "critical")


class Phone(Watched):
    """A page on a phone, and what a thumb does to it."""

    def __init__(self, browser, path, **options):
        super().__init__(browser, path, **{**PHONE, **options})
        self.context.set_default_timeout(10_000)
        self.page.set_viewport_size({"width": 360, "height": 640})

    def tap(self, name, place=0):
        self.page.get_by_role("button", name=name, exact=True).nth(place).tap()

    def read(self, signs, sixteenths=0):
        """From `At the mark` on: type what the tape says, and keep it."""
        self.tap("Stopped")
        self.tap("Read it")
        self.type(signs, sixteenths)
        self.tap("Keep")
        if self.page.get_by_role("button", name="Keep it so").is_visible():  # it was asked about
            self.tap("Keep it so")

    def type(self, signs, sixteenths=0):
        for sign in signs:
            self.tap(sign)
        for _ in range(abs(sixteenths)):
            self.tap("One sixteenth more" if sixteenths > 0 else "One sixteenth less")

    def words(self):
        return self.page.locator("main").inner_text()

    def sheet(self):
        return self.page.locator("#sheet").input_value()


@pytest.fixture(scope="module")
def wagon(tmp_path_factory):
    folder = tmp_path_factory.mktemp("ramp")
    shutil.copy(WAGON, folder / "wagon.toml")
    return ramp_page(folder / "wagon.toml", folder / "page.html")


@pytest.fixture
def phone(browser, wagon):
    found = Phone(browser, wagon)
    yield found
    assert found.said == []
    assert [url for url in found.asked if not url.startswith(("data:", "blob:"))] == [wagon.as_uri()] * len(
        [url for url in found.asked if url == wagon.as_uri()]
    )
    found.context.close()


def run(*words):
    done = CliRunner().invoke(app, [*map(str, words)])
    assert done.exit_code in (0, 1), done.output
    return done


def test_a_whole_day_by_taps_alone(phone, wagon, tmp_path):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    page = phone.page
    faults, targets = [], []

    def looked_at(where):
        """What axe-core and a glove find wrong with the screen."""
        for fault in axe.run(page).response["violations"]:
            if fault["impact"] in SERIOUS:
                faults.append((where, fault["id"], fault["nodes"][0]["html"]))
        small = page.eval_on_selector_all(
            "button:not(dialog:not([open]) *), select, summary, input, textarea",
            """(all, least) => all.filter(one => one.offsetParent)
            .map(one => [one.textContent, one.getBoundingClientRect()])
            .filter(([, box]) => box.height > 0 && (box.height < least || box.width < least)).map(([text]) => text)""",
            LEAST_TARGET,
        )
        targets.extend((where, text) for text in small)
        assert phone.sideways() == 0

    looked_at("before")
    phone.tap("1/16 in")
    phone.tap("Ready")
    looked_at("ready")
    phone.tap("Stopped")
    assert BRAKES in phone.words()
    looked_at("stand")
    phone.tap("Read it")
    phone.type("21", 11)
    looked_at("mark")
    page.reload()  # before it is kept
    assert page.locator("#entry").input_value() == "21 11/16"
    phone.tap("Keep")
    phone.tap("rear left")
    looked_at("kept")
    phone.tap("Another climb of this run")
    phone.read("21", 10)
    phone.tap("rear left", 1)
    phone.tap("Next")
    phone.read("22", 7)
    phone.tap("rear right")
    page.reload()
    phone.tap("Next")
    assert BARS in phone.words()
    looked_at("release")
    page.locator("#next").tap(force=True)  # not before the bar is free
    assert "must be unloaded" in phone.words()
    phone.tap(ON_THE_FLOOR)
    phone.tap("Next")
    phone.tap("STOP")
    assert STOP in page.locator("#stop").inner_text()
    looked_at("stop")
    phone.tap("Creak")
    phone.tap("It stands on four wheels: go on")
    phone.read("24", 5)
    phone.tap("rear left")
    phone.tap("Next")
    phone.read("25", -1)
    phone.tap("Next")
    phone.tap("Connected, links tight")
    phone.tap("Next")
    looked_at("result")
    shown = {
        row.locator("th").inner_text(): row.locator("td").inner_text() for row in page.locator("main table tr").all()
    }
    assert len(shown) == 9
    phone.tap("Show as QR code")
    looked_at("code")
    phone.tap("Close")
    with page.expect_download() as download:
        phone.tap("Save as a file")
    path = wagon.parent / download.value.suggested_filename
    download.value.save_as(path)
    assert path.read_text(encoding="utf-8") == phone.sheet()
    assert faults == []
    assert targets == []

    # The exported sheet says the same to every command.
    scored = json.loads(run("score", path, "--json").stdout)
    text = run("score", path, "--full").stdout
    cases = {(case["side"], case["bars"]): case for case in scored["cases"]}
    for (side, bars), case in cases.items():
        value, half = (float(part) for part in shown[f"{side.capitalize()}, {bars}"].split(" ± "))
        assert value == pytest.approx(case["score"]["value"], abs=0.06)
        assert half == pytest.approx(0.5 * (case["score"]["high"] - case["score"]["low"]), rel=0.02, abs=0.06)
    assert shown["Gain, both"].split(" ± ")[0] in text
    assert "creak" in tomllib.loads(phone.sheet())["notes"]
    spec, sheet = load_vehicle(wagon.parent / "wagon.toml"), load_sheet(path)
    assert len(observed_of(sheet, scene_from(spec, sheet)).values) == 5 + 1  # climbs and the wheelbase, to the audit
    learned = run("learn", wagon.parent / "wagon.toml", "--sheet", path, "--points", 1024)
    assert "bars released" in learned.stdout
    assert "added" in run("logbook", "save", path, "--folder", tmp_path / "logbook").stdout


def test_a_reading_that_cannot_be_is_asked_about_before_it_is_kept(phone):
    page = phone.page
    phone.tap("mm")
    phone.tap("Ready")
    phone.tap("Stopped")
    phone.tap("Read it")
    answer = page.get_by_label("Answer")
    phone.tap("Keep")
    assert page.locator("#said").inner_text() == "Type what the tape says first."
    phone.type("22")
    assert "perhaps 22 in" in answer.inner_text()
    phone.tap("Keep")
    assert page.locator("#entry").is_visible()  # a second tap keeps it
    for _ in "22":
        phone.tap("Take back")
    phone.type("470")  # 551 mm is expected; a plumb line meets the ramp 44 mm lower, 357 mm times tan 20 sin 20 deg
    assert "Would be a plumbed mark" in answer.inner_text()
    assert "outside its band" in answer.inner_text()
    assert "plumbed mark" in page.locator("#said").inner_text()
    phone.tap("Keep")
    assert "keep it so" in page.locator("#note").inner_text()
    phone.tap("Keep it so")
    assert page.get_by_role("heading", name="Climb 1: 470 mm").is_visible()


def test_an_inch_between_climbs_of_a_run_is_named(phone):
    phone.tap("1/16 in")
    phone.tap("Ready")
    phone.read("21", 12)
    phone.tap("Another climb of this run")
    phone.tap("Stopped")
    phone.tap("Read it")
    phone.type("22", 12)
    assert "An inch too much?" in phone.page.get_by_label("Answer").inner_text()


def test_a_surprise_names_likely_causes_and_the_first_checks(phone):
    phone.tap("mm")
    phone.tap("Ready")
    phone.read("440")
    words = phone.words()
    assert "A score is low for this reason. (20 %)" in words
    assert "Look at the score. Look. With care." in words
    phone.tap("Take out climb 1")
    assert "for this reason" not in phone.words()
    phone.tap("Bring back what was taken out")
    assert "for this reason" in phone.words()


def test_after_the_connected_run_the_released_mark_is_narrower(phone):
    phone.tap("mm")
    phone.tap("Ready")

    def band():
        return phone.page.evaluate("(({low, high}) => high - low)(screens.expected('left.released'))")

    before = band()
    phone.read("560")
    after = band()
    assert after < 0.5 * before
    assert "Next run" in phone.words()


def test_what_is_kept_is_read_back_as_data_whatever_it_is(browser, wagon):
    phone = Phone(browser, wagon)
    page = phone.page
    place = page.evaluate("`ramp page ${data.id}`")
    good = {"key": "left.connected", "way": "mark_height", "text": "560", "unit": "mm", "lifted": None, "roll": None,
            "stops": [HOSTILE["image"]], "time": "10:20:00", "notes": HOSTILE["end"]}  # fmt: skip
    kept = {
        "version": 1,
        "date": "2026-05-14",
        "title": HOSTILE["image"],
        "notes": HOSTILE["script"] + '\ud800\x7f\u0000\\"\n' + HOSTILE["entity"],
        "step": "result",
        "climbs": [good, {**good, "text": "1e9"}, {**good, "key": "up.down"}, None, 7],
        "light": "nowhere",
        "sides": ["left", "left", "top"],
    }
    page.evaluate("([place, text]) => localStorage.setItem(place, text)", [place, json.dumps(kept)])
    page.reload()
    sheet = tomllib.loads(phone.sheet())
    assert [run["mark_height"] for run in sheet["run"]] == [["560 mm"]]
    assert sheet["title"] == HOSTILE["image"]
    assert sheet["notes"] == HOSTILE["script"] + '\ufffd\x7f\x00\\"\n' + HOSTILE["entity"]
    assert HOSTILE["end"] in sheet["run"][0]["notes"]
    page.evaluate("place => localStorage.setItem(place, '{\"climbs\": [')", place)
    page.reload()
    assert "could not be read" in phone.words()
    assert page.evaluate("place => localStorage.getItem(`${place} not read`)", place) == '{"climbs": ['
    assert page.evaluate("window.hit") is None
    assert phone.said == []
    phone.context.close()


def test_names_and_notes_of_a_hostile_vehicle_stay_words(browser, tmp_path):
    vehicle = tmp_path / "hostile.toml"
    vehicle.write_text(hostile_vehicle(), encoding="utf-8")
    phone = Phone(browser, ramp_page(vehicle, tmp_path / "page.html", 64))
    page = phone.page
    assert page.locator(".vehicle").inner_text().startswith(HOSTILE["script"] + HOSTILE["image"])
    assert "\u202e" not in page.content()
    assert phone.sideways() == 0
    phone.tap("mm")
    phone.tap("Ready")
    phone.read("560")
    page.evaluate("() => { day.state.step = 'result'; screens.show(); }")
    assert tomllib.loads(phone.sheet())["vehicle"].startswith(HOSTILE["script"])
    assert page.evaluate("window.hit") is None
    assert phone.said == []
    assert page.locator("main img, main script").count() == 0
    phone.context.close()


def test_by_keyboard_and_with_a_screen_reader(phone):
    page = phone.page
    phone.tap("1/16 in")
    page.locator("#next").focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "title"  # where a screen reader goes on
    for _ in range(2):
        page.locator("#next").focus()
        page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "entry"
    page.keyboard.type("21 3/4")
    said = page.locator("#said").inner_text()
    assert re.match(r"Score 5\d\d\.\d ± \d+\.\d\.", said)
    page.keyboard.press("Enter")
    assert page.get_by_role("heading", name="Climb 1: 21 3/4 in").is_visible()
    page.get_by_role("button", name="rear left").focus()
    page.keyboard.press("Space")
    assert page.evaluate("document.activeElement.textContent") == "rear left"
    assert page.evaluate("document.activeElement.getAttribute('aria-pressed')") == "true"


def test_roll_comes_from_the_phones_tilt(browser, wagon):
    phone = Phone(browser, wagon, permissions=["accelerometer", "gyroscope"])
    page = phone.page

    def tilted(beta, gamma):
        page.evaluate(
            """([beta, gamma]) => window.dispatchEvent(
            Object.assign(new Event("deviceorientation"), {alpha: 0, beta, gamma}))""",
            [beta, gamma],
        )

    page.get_by_text("Roll by a phone's tilt").tap()
    phone.tap("Use the phone's tilt")
    page.wait_for_function("tilt.on")
    tilted(2.0, 1.0)
    phone.tap("Set to zero")
    page.get_by_text("Zero is set.").wait_for()
    phone.tap("mm")
    phone.tap("Ready")
    phone.read("560")
    tilted(2.0, 15.0)  # its right edge down: the left side of the vehicle is up
    page.get_by_role("button", name=re.compile("Roll by the phone")).tap()
    assert "14.0°" in phone.words()
    page.evaluate("() => { day.state.step = 'result'; screens.show(); }")
    assert tomllib.loads(phone.sheet())["run"][0]["roll_angle"] == "14.0 deg ± 0.5 deg"
    phone.context.close()


def test_two_windows_do_not_forget_each_others_readings(browser, wagon):
    phone = Phone(browser, wagon)
    other = phone.context.new_page()
    other.goto(wagon.as_uri())
    phone.tap("mm")
    phone.tap("Ready")
    phone.read("560")
    other.wait_for_function("day.state.climbs.length === 1")
    phone.context.close()


def test_the_parts_of_a_long_sheet_put_together_are_the_sheet(phone):
    parts = phone.page.evaluate(
        """() => {
          const line = `notes = "${"é".repeat(300)}"\\n`;
          return [line.repeat(5), runSheet.parts(line.repeat(5)), qrcode.stringToBytesFuncs["UTF-8"]("é ±")];
        }"""
    )
    assert "".join(parts[1]) == parts[0]
    assert len(parts[1]) == 5
    assert bytes(parts[2]) == "é ±".encode()


def test_a_vehicle_without_a_bar_has_no_step_to_release_one(browser, tmp_path):
    phone = Phone(browser, ramp_page(DEMO / "crossover_minimal.toml", tmp_path / "page.html", 64))
    assert phone.page.evaluate("day.steps()") == ["before", "left.connected", "right.connected", "result"]
    phone.context.close()


def test_the_page_works_in_the_dark_and_where_nothing_can_be_kept(browser, wagon):
    phone = Phone(browser, wagon, color_scheme="dark")
    page = phone.page
    page.evaluate(
        "() => { Storage.prototype.setItem = () => { throw new Error('full'); }; day.save(); screens.show(); }"
    )
    assert "no room left" in page.get_by_role("alert").inner_text()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(0, 0, 0)"
    phone.tap("Screen light or dark: auto")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    phone.context.close()


def test_the_page_is_small_enough_for_a_message(wagon):
    assert Path(wagon).stat().st_size < 400_000
