"""The closed forms stand alone: they know no other part of the package, and load sympy only for proofs."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import articulate.closed_forms

FOLDER = Path(articulate.closed_forms.__file__).parent
MODULES = sorted(FOLDER.rglob("*.py"))
NUMERIC = sorted(path.stem for path in FOLDER.glob("*.py") if path.stem not in {"__init__", "derivation", "rendering"})


def imported(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"relative import in {path}"
            yield node.module


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_imports_nothing_of_ours_outside_itself(path):
    for name in imported(path):
        if name.split(".")[0] == "articulate":
            own = name.startswith("articulate.closed_forms") or name == "articulate.errors"  # which has no formula
            assert own, f"{path} imports {name}"


def test_numbers_need_no_sympy():
    code = f"import sys\nfrom articulate.closed_forms import {', '.join(NUMERIC)}\nassert 'sympy' not in sys.modules\n"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
