"""The README's Python example runs, and its commands exist."""

from __future__ import annotations

import re
from pathlib import Path

from articulate.cli import app

README = Path("README.md").read_text(encoding="utf-8")


def test_the_python_example_runs_and_prints_two_scores(capsys):
    (block,) = re.findall(r"```python\n(.*?)```", README, re.DOTALL)
    exec(compile(block, "README.md", "exec"), {})
    connected, released = map(int, re.findall(r"(\d+) (?:connected|released)", capsys.readouterr().out))
    assert 380 < connected < released < 700


def test_every_command_in_the_readme_is_a_command():
    known = {command.name or command.callback.__name__ for command in app.registered_commands}
    assert set(re.findall(r"^articulate (\w+)", README, re.MULTILINE)) <= known
