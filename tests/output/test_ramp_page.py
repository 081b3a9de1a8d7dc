"""The page for the ramp as `test-day` makes it."""

from __future__ import annotations

import html
import json
import re

import pytest
from typer.testing import CliRunner

from articulate import safety
from articulate.cli import app
from tests.output.pages import DEMO

CROSSOVER = DEMO / "crossover_minimal.toml"


def run(*words):
    return CliRunner().invoke(app, [*map(str, words)])


def test_the_command_makes_a_page_with_what_the_audit_says_of_surprises(tmp_path):
    path = tmp_path / "ramp.html"
    done = run("test-day", CROSSOVER, "--ramp-page", path, "--samples", 64)
    assert done.exit_code == 0, done.output
    text = path.read_text(encoding="utf-8")
    assert len(text.encode()) < 400_000
    assert re.search(r"default-src 'none'.*script-src 'sha256-", html.unescape(text))
    assert not re.search(r'(?:src|href)="(?!data:)', text.partition("<script")[0])
    data = json.loads(re.search(r'id="data">(.*?)</script>', text)[1])
    assert data["sheet"]["vehicle_file"].endswith("crossover_minimal.toml")
    assert data["bars"] == ["connected"]  # no bar of it can be released
    assert [(one["what"], one["low"]) for one in data["surprises"]] == [("score", True), ("score", False)]
    for one in data["surprises"]:
        shares = [share for _, share in one["suspects"]]
        assert len(one["checks"]) == 2
        assert shares == sorted(shares, reverse=True)
        assert sum(shares) + one["nothing_wrong"] <= 1.001
    assert set(data["words"]["all"]) == set(safety.CAUTIONS)


@pytest.mark.parametrize(("typed", "stated"), [((), "touch load 30 N (10 to 50)"), (("--touch-load", "20 N"), "20 N")])
def test_the_page_states_the_touch_load_that_its_marks_hold_for(tmp_path, typed, stated):
    """It expects marks where the film pulls out, which is further down than where no load is left."""
    path = tmp_path / "ramp.html"
    assert run("test-day", CROSSOVER, "--ramp-page", path, "--samples", 64, *typed).exit_code == 0
    data = json.loads(re.search(r'id="data">(.*?)</script>', path.read_text(encoding="utf-8"))[1])
    assert stated in data["held"]
    assert f"{data['method']['touch_load']['mean']:.0f} N" in stated


def test_a_place_that_is_no_page_is_refused(tmp_path):
    done = run("test-day", CROSSOVER, "--ramp-page", tmp_path / "ramp.pdf")
    assert done.exit_code == 2
    assert "not .html" in done.stderr
    own = run("test-day", CROSSOVER, "--ramp-page", CROSSOVER, "--replace")
    assert own.exit_code == 2
