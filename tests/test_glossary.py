"""Each word is one thing: a class name is defined once, and what the guides name is there."""

import ast
import re
from collections import Counter
from functools import cache
from pathlib import Path

import pytest


@cache
def classes() -> Counter[str]:
    return Counter(
        node.name
        for path in Path("articulate").rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef)
    )


def test_each_class_name_is_defined_once():
    """But for the scene of a figure and the scene on which the audit tries its causes."""
    assert {name for name, times in classes().items() if times > 1} <= {"Scene"}


def test_the_glossary_explains_classes_that_exist():
    text = Path("DEVELOPERS.md").read_text(encoding="utf-8").split("### Glossary", 1)[1].split("\n## ", 1)[0]
    rows = re.findall(r"^\| `(\w+)` \|(.*)\|$", text, flags=re.MULTILINE)
    assert len(rows) >= 10
    assert len({word for word, _ in rows}) == len(rows)
    for word, meaning in rows:
        for name in (word, *re.findall(r"`([A-Z]\w+)`", meaning)):
            assert classes()[name] == 1, name


FOREIGN = {"CliRunner", "DecompressionStream", "TypedDict"}  # of libraries and browsers
NO_NAMES = {"rest.load.rear_left", "travel.counted", "ramp.html", "page.climb"}  # keys, a file to write, data of a page
FOLDERS = ("articulate", "scripts", "tests", "vehicle_specs_demo")


def named_in(guide: str | Path) -> set[str]:
    """What stands in code marks in a guide, outside its blocks; NAME in it is whatever one likes."""
    text = re.sub(r"```.*?```", "", Path(guide).read_text(encoding="utf-8"), flags=re.DOTALL)
    return {name for name in re.findall(r"`([^`\n]+)`", text) if "NAME" not in name}


@cache
def members() -> dict[str, set[str]]:
    """What each class has of its own, and each module of the package, by its name."""
    found: dict[str, set[str]] = {}
    for path in Path("articulate").rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        package = path.stem == "__init__"
        holders = [(path.parent.name if package else path.stem, tree.body)]
        if package:
            found.setdefault(path.parent.name, set()).update(one.stem for one in path.parent.iterdir())
        holders += [(node.name, node.body) for node in ast.walk(tree) if isinstance(node, ast.ClassDef)]
        for holder, body in holders:
            own = found.setdefault(holder, set())
            for node in body:
                targets = getattr(node, "targets", [getattr(node, "target", None)])
                own |= {target.id for target in targets if isinstance(target, ast.Name)}
                own |= {node.name} if hasattr(node, "name") else set()
                own |= {one.asname or one.name for one in getattr(node, "names", ()) if isinstance(one, ast.alias)}
    return found


def gone_from(guide: str | Path) -> list[str]:
    """Files, classes, members of classes and of modules that a guide names and that are not there."""
    places = [f"/{path}" for folder in FOLDERS for path in (Path(folder), *Path(folder).rglob("*"))]
    known, gone = set().union(FOREIGN, members(), *members().values()), []
    for name in named_in(guide) - NO_NAMES:
        if re.fullmatch(r"[\w.]+(/[\w.]+)*/|([\w.]+/)*[\w.]+\.(py|c|js|css|toml|jinja)|scripts/\w+", name):
            there = any(place.endswith(f"/{name.rstrip('/')}") for place in places)
        elif re.fullmatch(r"[A-Z][a-z]+[A-Za-z]*", name):
            there = name in known
        else:
            found = re.fullmatch(r"(?:\w+[./])*(\w+)\.(\w+)(?:\(\w*\))?", name)
            there = found is None or found[2] in members().get(found[1], {found[2]})
        gone += [] if there else [name]
    return gone


@pytest.mark.parametrize("guide", ["README.md", "DEVELOPERS.md"])
def test_files_and_classes_that_a_guide_names_are_there(guide):
    assert gone_from(guide) == []


@pytest.mark.parametrize("gone", ["model/gone.py", "gone/", "Gone", "Climb.gone", "climb.gone", "scripts/gone"])
def test_a_name_that_is_gone_is_seen(gone, tmp_path):
    guide = tmp_path / "guide.md"
    guide.write_text(f"Look at `{gone}`, `Climb.anchor`, `model/` and `solve/path.py`.", encoding="utf-8")
    assert gone_from(guide) == [gone]
