"""Everything public in the calculating packages says what it is, and names its arguments as the signature does."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

PLACES = (
    "model",
    "solve",
    "lanes.py",
    "climb.py",
    "ends.py",
    "trace.py",
    "prediction.py",
    "way_up.py",
    "wheelspin.py",
    "roll_gradient.py",
    "worked_numbers.py",
    "closed_forms",
    "measure",
    "wheelhouse",
    "studies",
)
ROOT = Path("articulate")
FILES = sorted(
    file for place in PLACES for file in ([ROOT / place] if place.endswith(".py") else (ROOT / place).rglob("*.py"))
)

Definition = ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef


def public(node: ast.Module | ast.ClassDef, inside: str = "") -> Iterator[tuple[str, Definition]]:
    """Public functions, classes and their methods, by their dotted names."""
    for child in node.body:
        if isinstance(child, Definition) and not child.name.startswith("_"):
            yield inside + child.name, child
            if isinstance(child, ast.ClassDef):
                yield from public(child, f"{inside}{child.name}.")


def signature(function: ast.FunctionDef | ast.AsyncFunctionDef) -> list[str]:
    """Names of the arguments, without self."""
    given = function.args
    names = [one.arg for one in (*given.posonlyargs, *given.args)]
    names += [f"*{given.vararg.arg}"] if given.vararg else []
    names += [one.arg for one in given.kwonlyargs]
    names += [f"**{given.kwarg.arg}"] if given.kwarg else []
    return [name for name in names if name not in ("self", "cls")]


def described(text: str) -> list[str] | None:
    """Names in the section "Args:" of a docstring; None where it has none."""
    _, found, rest = text.partition("Args:\n")
    if not found:
        return None
    section = re.split(r"\n(?=\S)", rest)[0]
    entries = re.findall(r"^    (\*{0,2}\w+(?:, \*{0,2}\w+)*):", section, re.MULTILINE)
    return [name for entry in entries for name in entry.split(", ")]


def faults(source: str) -> list[str]:
    """What is wrong with the docstrings of a module."""
    found = []
    tree = ast.parse(source)
    if not ast.get_docstring(tree):
        found.append("the module has no docstring")
    for name, node in public(tree):
        text = ast.get_docstring(node)
        if not text:
            found.append(f"{name} has no docstring")
        elif not isinstance(node, ast.ClassDef):
            names = described(text)
            if names is not None and names != signature(node):
                found.append(f"{name} describes {names}, its arguments are {signature(node)}")
    return found


@pytest.mark.parametrize("path", FILES, ids=str)
def test_docstrings_are_there_and_agree_with_the_signature(path):
    assert faults(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("source", "said"),
    [
        ('"""M."""\ndef f(a):\n    return a\n', "f has no docstring"),
        ('"""M."""\nclass C:\n    """C."""\n    def m(self): ...\n', "C.m has no docstring"),
        ('"""M."""\ndef f(a, b):\n    """F.\n\n    Args:\n        a: one.\n    """\n', "f describes ['a']"),
        ('"""M."""\ndef f(a):\n    """F.\n\n    Args:\n        a, b: two.\n    """\n', "['a', 'b']"),
    ],
)
def test_a_docstring_that_lies_is_found(source, said):
    (found,) = faults(source)
    assert said in found
