"""What a person sees in a terminal of 80 columns, with and without colour, and what a pipe gets."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from collections import Counter

import pytest
import typer.main

from articulate.cli import app
from tests.terminals import ROOT, environment, on_a_terminal

ESCAPE = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")


def commands():
    """Every command of the app by its words, with its help text."""

    def walk(group, words):
        for name, command in sorted(group.commands.items()):
            if hasattr(command, "commands"):
                yield from walk(command, [*words, name])
            else:
                yield " ".join([*words, name]), command

    return dict(walk(typer.main.get_command(app), []))


ALL = commands()


def examples():
    for name, command in ALL.items():
        found = re.search(r"Example: articulate (.+)", " ".join((command.help or "").split("\n\n")[-1].split()))
        yield pytest.param(name, found and found.group(1), id=name)


def through_a_pipe(words, folder, **changes):
    command = [sys.executable, "-m", "articulate", *words]
    return subprocess.run(
        command, check=False, capture_output=True, text=True, cwd=folder, env=environment(**changes), timeout=120
    )


def too_wide(text):
    return [line for line in ESCAPE.sub("", text).splitlines() if len(line) > 80]


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "vehicle_specs_demo").symlink_to(ROOT / "vehicle_specs_demo")
    return tmp_path


@pytest.mark.parametrize("name", sorted(ALL))
def test_help_fits_and_has_an_example(name, monkeypatch):
    from typer.testing import CliRunner

    monkeypatch.setenv("COLUMNS", "80")
    done = CliRunner().invoke(app, [*name.split(), "--help"])
    assert done.exit_code == 0
    assert too_wide(done.output) == []
    assert "Example:" in done.output


WAGON = "vehicle_specs_demo/wagon.toml"
SHOWN = [
    ("predict", WAGON),
    ("check", WAGON),
    ("derive", "mark-height"),
    ("report", WAGON, "--output", "wagon.doc", "--side", "up"),
    ("test-day", "nowhere.toml", "--output", "-"),
    ("--help",),
]


@pytest.mark.parametrize("words", SHOWN, ids=lambda words: words[0])
def test_a_terminal_shows_what_a_pipe_gets(words, folder):
    piped = through_a_pipe(words, folder)
    assert "\x1b" not in piped.stdout + piped.stderr
    assert too_wide(piped.stdout) == []
    plain = on_a_terminal(words, folder, NO_COLOR="1")
    assert "\x1b" not in plain
    coloured = on_a_terminal(words, folder)
    assert too_wide(coloured) == []
    both = Counter((piped.stdout + piped.stderr).splitlines())
    for shown in (plain, ESCAPE.sub("", coloured)):
        lines = Counter(shown.splitlines())
        assert both <= lines
        assert words[0] == "predict" or lines == both  # which draws its loads and bands for the eyes besides


def test_a_page_goes_through_a_pipe_whole(folder):
    done = through_a_pipe(("test-day", WAGON, "--output", "-", "--samples", "64"), folder)
    assert done.returncode == 0
    assert done.stderr == ""
    assert done.stdout.startswith("<!DOCTYPE html>")
    assert done.stdout.rstrip().endswith("</html>")


@pytest.mark.parametrize(("name", "example"), [one for one in examples() if one.id in ("report", "test-day")])
def test_examples_run_as_printed(name, example, folder):
    done = through_a_pipe(shlex.split(example), folder)
    assert done.returncode == 0, done.stderr
    assert too_wide(done.stdout + done.stderr) == []
    written = [path for path in folder.iterdir() if not path.is_symlink()]
    assert {path.name for path in written} == set(re.findall(r"--(?:output|markdown) (\S+)", example))  # and no more
    assert all(path.stat().st_size < 3_000_000 for path in written)
