"""Each word is one thing: a class name is defined once, and what the glossary explains is there."""

import ast
import re
from collections import Counter
from functools import cache
from pathlib import Path


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
