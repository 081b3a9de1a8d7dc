"""The README shows what the tool does now: its commands, their output, its figures and its Python example."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from articulate.cli import app

README = Path("README.md").read_text(encoding="utf-8")
PYTHON = re.findall(r"```python\n(.*?)```", README, re.DOTALL)


def test_the_python_example_runs_and_prints_two_scores(capsys):
    block, _ = PYTHON
    exec(compile(block, "README.md", "exec"), {})
    connected, released = map(int, re.findall(r"(\d+) (?:connected|released)", capsys.readouterr().out))
    assert 380 < connected < released < 700


def test_the_scripting_example_runs_prints_bands_and_says_what_works(capsys):
    _, block = PYTHON
    exec(compile(block, "README.md", "exec"), {})
    gentle, steep, refused = capsys.readouterr().out.splitlines()
    bands = [
        [int(number) for number in re.findall(r"(?:connected|released) (\d+) to", line)] for line in (gentle, steep)
    ]
    assert all(less > more > 300 for less, more in zip(*bands, strict=True))  # a steeper ramp, a lower score
    assert refused.startswith("90 deg outside 5 to 35 deg; ")


def known_commands() -> set[str]:
    return set(typer.main.get_command(app).commands)


def test_every_command_is_shown_and_every_one_shown_is_a_command():
    shown = set(re.findall(r"\barticulate ([a-z-]+)\b(?= |`)", README))
    assert {
        name for name in shown if re.search(rf"^(?:\$ )?articulate {name}\b", README, re.MULTILINE)
    } <= known_commands()
    assert known_commands() <= shown


def test_outputs_and_figures_are_those_of_now():
    done = subprocess.run([sys.executable, "scripts/readme", "--check"], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(scope="module")
def source():
    names = {"__name__": "readme"}
    sys.path.insert(0, "scripts")
    exec(compile(Path("scripts/readme").read_text(encoding="utf-8"), "scripts/readme", "exec"), names)
    return names


def test_the_first_output_is_that_of_now(source):
    first = source["BLOCK"].search(README)
    assert first.group(1).startswith("predict ")
    assert source["readme"](first.group()) == first.group()


def test_a_stale_output_is_found(source):
    output = ["Name", "", "score   586   652", "climb   1670 mm", "end"]
    assert source["refreshed"](["...", "score   585   651", "climb   1 mm", "..."], output) == [
        "...",
        "score   586   652",
        "climb   1670 mm",
        "...",
    ]
    (gone,) = source["refreshed"](["...", "nothing like it   3"], output)[1:]
    assert gone.startswith("<not in the output any more")


def test_every_figure_shown_is_there():
    for name in re.findall(r"!\[.*?\]\((.*?)\)", README):
        assert Path(name).is_file()


@pytest.mark.parametrize("word", ["TODO", "lorem", "XXX"])
def test_nothing_is_left_to_fill_in(word):
    assert word not in README
    assert word not in Path("DEVELOPERS.md").read_text(encoding="utf-8")
