"""Pages for the tests: made as the commands make them, and a browser to look at them where there is one."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.spec import load_vehicle
from articulate.studies.day.plan import DayPlan, plan_test
from articulate.studies.population.runs import Population

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
DEMO = Path("vehicle_specs_demo")
SAMPLES = ("--samples", "64")  # what is looked at here does not change with their number

HOSTILE = {
    "script": "<script>window.hit=1</script>",
    "end": "</script><script>window.hit=2</script>",
    "image": '"><img src=x onerror="window.hit=3">',
    "comment": "<!-- ]]> -->",
    "template": "{{7*7}}{% raw %}",
    "direction": "abc\u202edcba\u2066x\u2069",
    "separator": "line\u2028break",
    "long": "W" * 300,  # no space to break at
    "entity": "&lt;b&gt; &amp; `${alert(1)}` $\\frac{1}{2}$",
}

POINT = HOSTILE["end"] + "W" * 18  # a name has 60 characters at most


def hostile_vehicle() -> str:
    """The demo wagon with hostile strings wherever a vehicle file takes free text."""
    import json

    text = (DEMO / "wagon.toml").read_text(encoding="utf-8")

    def quoted(words: str) -> str:
        return json.dumps(words)  # TOML basic strings take the same escapes

    name = HOSTILE["script"] + HOSTILE["image"] + HOSTILE["direction"]
    notes = (
        HOSTILE["end"]
        + HOSTILE["template"]
        + HOSTILE["comment"]
        + HOSTILE["separator"]
        + HOSTILE["entity"]
        + HOSTILE["long"]
    )
    text = text.replace('name = "Kestrow Bellwether"', f"name = {quoted(name)}")
    lines = []
    for line in text.splitlines():
        if line.startswith("notes = "):
            lines.append(f"notes = {quoted(notes)}")
        elif line.startswith('name = "front bumper'):
            lines.append(f"name = {quoted(POINT)}")
        elif line.startswith('name = "driver"'):
            lines.append(f"name = {quoted(HOSTILE['image'])}")
        else:
            lines.append(line.replace('basis = "weighbridge"', f"basis = {quoted(HOSTILE['end'])}"))
    return "\n".join(lines) + "\n"


def hostile_run_sheet() -> str:
    """The demo run sheet with hostile strings where it takes free text."""
    import json

    text = (DEMO / "run_sheets" / "wagon_run_sheet.toml").read_text(encoding="utf-8")
    words = json.dumps(HOSTILE["end"] + HOSTILE["image"])
    lines = []
    for line in text.splitlines():
        if line.startswith(("vehicle = ", "notes = ")):
            lines.append(f"{line.partition(' = ')[0]} = {words}")
        elif not line.startswith("vehicle_file"):
            lines.append(line)
    return "\n".join(lines) + "\n"


@cache
def wagon_plan() -> DayPlan:
    """The plan that the pages of the demo wagon show."""
    return plan_test(Population.of(load_vehicle(DEMO / "wagon.toml")), samples=int(SAMPLES[1]))


@dataclass(frozen=True)
class Page:
    """A page that a command made, with what stands beside it: its place, the short form and the data."""

    words: tuple[str, ...]
    path: Path
    short: str
    data: str

    @property
    def text(self) -> str:
        return self.path.read_text(encoding="utf-8")


class Made(dict[str, Page]):
    """Every kind of page by its name, made when it is first looked at and then only read."""

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self.folder = folder
        hostile, sheet = folder / "hostile.toml", folder / "sheet.toml"
        hostile.write_text(hostile_vehicle(), encoding="utf-8")
        sheet.write_text(hostile_run_sheet(), encoding="utf-8")
        wagon = DEMO / "wagon.toml"
        self.commands = {
            "report": ("report", wagon),
            "right": ("report", DEMO / "crossover_minimal.toml", "--side", "right"),
            "comparison": ("report", wagon, DEMO / "wagon_larger_tyres.toml"),
            "hostile": ("report", hostile, "--run-sheet", sheet),
            "sheet": ("test-day", wagon),
            "hostile_sheet": ("test-day", hostile),
        }

    def __missing__(self, name: str) -> Page:
        words = (*map(str, self.commands[name]), *SAMPLES)
        path, short = self.folder / f"{name}.html", self.folder / f"{name}.md"
        more = ["--markdown", str(short), "--json"] if words[0] == "report" else []
        done = CliRunner().invoke(app, [*words, "--output", str(path), *more])
        assert done.exit_code == 0, done.output
        self[name] = Page(words, path, short.read_text(encoding="utf-8") if more else "", done.stdout)
        return self[name]


PLAIN = ("--disable-gpu", "--disable-3d-apis")  # so that most tests look at what a page is without a scene
SOLID = ("--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")  # drawn by the processor


@contextmanager
def a_driver() -> Iterator[Any]:
    """What starts browsers; the test is skipped, and says why, where it is not installed."""
    playwright = pytest.importorskip("playwright.sync_api", reason="the playwright package is not installed")
    with playwright.sync_playwright() as driver:
        yield driver


@contextmanager
def a_browser(driver: Any, *drawing: str) -> Iterator[Any]:
    """A headless browser; the test is skipped, and says why, where there is none."""
    path = os.environ.get("ARTICULATE_BROWSER") or next(filter(None, map(shutil.which, BROWSERS)), None)
    if path is None:
        pytest.skip(f"no browser found ({', '.join(BROWSERS)}; or name one in ARTICULATE_BROWSER)")
    browser = driver.chromium.launch(executable_path=path, args=["--no-sandbox", *drawing])
    yield browser
    browser.close()


class Watched:
    """A page of a browser with what it said and asked for."""

    def __init__(self, browser: Any, path: Path, width: int = 1280, **options: Any) -> None:
        self.context = browser.new_context(viewport={"width": width, "height": 800}, offline=True, **options)
        self.page = self.context.new_page()
        self.said: list[str] = []
        self.asked: list[str] = []
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("dialog", lambda dialog: self.said.append(f"dialog {dialog.message}"))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(path.as_uri())

    def sideways(self) -> int:
        """How far the page scrolls sideways, in pixels."""
        return int(self.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth"))

    def set(self, slider: Any, value: float) -> None:
        """Move a slider as a hand would."""
        slider.evaluate(
            "(input, value) => { input.value = value; input.dispatchEvent(new Event('input', {bubbles: true})); }",
            value,
        )
