"""Imports run one way, and the heavy libraries stay where they belong."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

CORE = {"model", "roll_gradient", "solve", "way_up", "wheelspin", "climb", "ends", "trace", "prediction", "spec"}
MAY_IMPORT = {
    "compiled": {"compiled"},
    "model": {"model", "compiled"},
    "solve": {"solve", "compiled"},
    "closed_forms": {"closed_forms"},
    "roll_gradient": {"closed_forms", "model"},
    "way_up": {"model", "solve"},
    "wheelspin": {"way_up", "model", "solve"},
    "climb": {"wheelspin", "model", "solve"},
    "trace": {"climb", "way_up", "model", "solve"},
    "ends": {"climb", "model"},
    "prediction": {"ends", "trace", "climb", "model"},
    "worked_numbers": {"closed_forms", "model", "roll_gradient", "prediction"},
    "spec": {"spec", "model", "roll_gradient", "wheelhouse", "shape"},
    "wheelhouse": {"wheelhouse"},
    "shape": {"shape"},
    "safety": set(),
    "constants": set(),
    "errors": set(),
    "types": set(),
    "brief": set(),
    "lanes": set(),
    "fingerprint": set(),
    "demo_files": set(),
    "measure": {"measure", "spec", "model"},
    "studies": {"studies", "measure", "wheelhouse", "safety", *CORE},
    "output": {"output", "studies", "measure", "wheelhouse", "shape", "safety", "closed_forms", *CORE},
    "api": {"api", "demo_files", "output", "studies", "measure", "wheelhouse", "safety", *CORE},
    "cli": {
        "cli",
        "demo_files",
        "output",
        "studies",
        "measure",
        "wheelhouse",
        "shape",
        "safety",
        "closed_forms",
        "worked_numbers",
        *CORE,
    },
    "__main__": {"cli"},
    "__init__": {"api"},
}
EVERYWHERE = {"constants", "errors", "types", "brief", "lanes", "fingerprint"}
ONLY_IN = {
    "typer": {"cli"},
    "sympy": {"closed_forms"},
    "pydantic": {"spec", "measure", "wheelhouse"},
    "scipy": {"studies", "measure"},
    "matplotlib": {"output"},
    "PIL": {"output"},
    "jinja2": {"output"},
    "tomlkit": {"spec", "measure", "studies"},
}


def imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
        elif isinstance(node, ast.Import):
            found.update(name.name for name in node.names)
    return found


@pytest.mark.parametrize("path", sorted(Path("articulate").rglob("*.py")), ids=str)
def test_a_module_imports_only_what_its_layer_may(path):
    layer = path.relative_to("articulate").parts[0].removesuffix(".py")
    for name in imports(path):
        top, _, rest = name.partition(".")
        if top == "articulate":
            assert rest.split(".")[0] in {"", *EVERYWHERE, *MAY_IMPORT[layer]}, f"{path} imports {name}"
        if top in ONLY_IN:
            assert layer in ONLY_IN[top], f"{path} imports {name}"


def loaded_by(*words: str) -> set[str]:
    """Modules that a command has loaded when it ends well."""
    code = f"""
import sys
from articulate.cli import app
try:
    app({list(words)})
except SystemExit as end:
    assert end.code == 0, end.code
print(*sys.modules)
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stdout.splitlines()[-1].split())


@pytest.mark.parametrize("words", [("--help",), ("predict", "--help"), ("--version",)])
def test_help_loads_no_heavy_library(words):
    assert not loaded_by(*words) & {"numpy", "pydantic", "scipy", "sympy", "matplotlib"}


def test_a_command_loads_no_other():
    loaded = loaded_by("predict", "vehicle_specs_demo/wagon.toml")
    assert {name for name in loaded if re.fullmatch(r"articulate\.cli\.\w+_commands?", name)} == {
        "articulate.cli.predict_command"
    }
    studies = {name.split(".")[2] for name in loaded if name.startswith("articulate.studies.")}
    assert not studies & {"learn", "audit", "day", "explain", "design", "compare", "logbook", "at_ramp"}
    assert not loaded & {"scipy", "sympy", "matplotlib", "PIL", "jinja2", "tomlkit", "numpy.polynomial", "numpy.ma"}


@pytest.mark.parametrize("command", ["band {0} --points 32", "compare {0} {0}", "explain {0} {1}"])
def test_an_answer_in_text_loads_no_drawing_library(command):
    vehicles = ("vehicle_specs_demo/wagon.toml", "vehicle_specs_demo/wagon_larger_tyres.toml")
    assert not loaded_by(*command.format(*vehicles).split()) & {"matplotlib", "PIL", "jinja2", "sympy"}


STUDIES_MAY_IMPORT = {
    "population": set(),
    "predict": {"population"},
    "explain": {"population"},
    "design": {"population", "explain"},
    "compare": {"population", "design"},
    "learn": {"population", "predict"},
    "day": {"population", "predict"},
    "audit": {"population", "learn", "day"},
    "at_ramp": {"population", "predict", "day", "audit"},
    "logbook": {"population", "predict", "day", "learn"},
}


@pytest.mark.parametrize("path", sorted(Path("articulate/studies").rglob("*/*.py")), ids=str)
def test_a_question_builds_on_few_others(path):
    folder = path.relative_to("articulate/studies").parts[0]
    for name in imports(path):
        if name.startswith("articulate.studies."):
            used = name.split(".")[2]
            assert used in {folder, *STUDIES_MAY_IMPORT[folder]}, f"{path} imports {name}"


@pytest.mark.parametrize("path", sorted(Path("tests").rglob("*.py")), ids=str)
def test_no_test_imports_another(path):
    """What several tests use stands in a module that holds no tests, or is a fixture of a conftest."""
    for name in {name for name in imports(path) | imported_names(path) if name.startswith("tests.")}:
        assert not any(part.startswith("test_") for part in name.split(".")), name
    holds_tests = re.search(r"^(?:def test_|class Test)", path.read_text(encoding="utf-8"), re.MULTILINE)
    assert bool(holds_tests) == path.name.startswith("test_")


def imported_names(path: Path) -> set[str]:
    """Modules as `from package import module` brings them."""
    return {
        f"{node.module}.{name.name}"
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and node.module
        for name in node.names
    }
