"""The template runs as it is and names every key; the JSON Schema judges as the reader does."""

import copy
import json
import re
import subprocess
import sys
import tomllib

import jsonschema
import pytest

from articulate.spec import SpecError, build, load_vehicle, read_vehicle, template, vehicle_schema
from articulate.spec.json_schema import SHIPPED, schema_text, write_vehicle_schema
from articulate.spec.key_lookup import all_keys

VALIDATOR = jsonschema.Draft202012Validator(vehicle_schema())
OTHERWISE_SAID = "already|make it|leave it out|it is needed|only a limited slip|described by both"  # by another line


@pytest.mark.parametrize("minimal", [False, True])
def test_templates_run_as_they_are(minimal):
    spec = read_vehicle(template(minimal=minimal), "template.toml")
    assert build(spec).lanes == 1
    assert spec.remarks == ()


def test_the_template_explains_every_key():
    text = template()
    lines = text.split("\n")
    for key in all_keys():
        last = key.rpartition(".")[2]
        header = re.compile(rf"^(# )?\[+([a-z_]+\.)?{last}\]+")
        entry = re.compile(rf"^(# )?([a-z_]+\.)?{last} = .*  # .+")
        assert any(header.match(line) or entry.match(line) for line in lines), key


def faults_of(text):
    try:
        read_vehicle(text, "template.toml")
    except SpecError as error:
        return str(error)
    return ""


def test_every_optional_line_of_the_template_is_valid():
    """Each line behind a # is read where it stands, a table behind a # whole: at most another form is in its way."""
    lines = template().split("\n")
    rows = [place for place, line in enumerate(lines) if re.match(r"# [a-z_]+ = ", line)]
    tables = [place for place, line in enumerate(lines) if re.match(r"(# )?\[", line)]
    assert len(rows) > 60
    for row in rows:
        header = max((place for place in tables if place < row), default=row)
        end = min((place for place in tables if place > header), default=len(lines))
        used = range(header, end) if lines[header].startswith("# [") else [row]
        text = "\n".join(line.removeprefix("# ") if place in used else line for place, line in enumerate(lines))
        VALIDATOR.validate(tomllib.loads(text))
        said = faults_of(text)
        assert not said or re.search(OTHERWISE_SAID, said), (lines[row], said)
        assert "no such key" not in said, lines[row]


def test_comments_of_the_template_name_only_keys_that_exist():
    lasts = {key.rpartition(".")[2] for key in all_keys()} | {
        "value",
        "plus_minus",
        "standard_uncertainty",
        "range",
        "source",
        "basis",
    }
    for key in re.findall(r"^#? ?([a-z_]+) = ", template(), flags=re.MULTILINE):
        assert key in lasts


def test_the_schema_accepts_templates_and_demo_files(demo_files):
    jsonschema.Draft202012Validator.check_schema(vehicle_schema())
    texts = [
        template(),
        template(minimal=True),
        *(file.read_text(encoding="utf-8") for file in demo_files),
    ]
    for text in texts:
        errors = [error.message for error in VALIDATOR.iter_errors(tomllib.loads(text))]
        assert errors == []


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("wheelbase",), 2850),
        (("wheelbase",), "2850"),
        (("wheelbase",), "2,85 m"),
        (("construction",), "tube"),
        (("whelbase",), "2850 mm"),
        (("front", "suspension"), "beam"),
        (("front", "travel", "totl"), "3 mm"),
        (("front", "anti_roll_bar"), "yes"),
        (("mass", "total"), {"plus_minus": "3 kg"}),
        (("mass", "total"), {"value": "3 kg", "plusminus": "3 kg"}),
        (("mass", "front_share"), 52),
    ],
)
def test_the_schema_rejects_a_bad_file(path, value):
    data = copy.deepcopy(tomllib.loads(template(minimal=True)))
    table = data
    for part in path[:-1]:
        table = table[part]
    table[path[-1]] = value
    assert not VALIDATOR.is_valid(data)


def test_the_schema_asks_for_what_the_reader_asks_for():
    for key in ("name", "construction", "wheelbase", "front", "rear", "mass"):
        data = tomllib.loads(template(minimal=True))
        del data[key]
        assert not VALIDATOR.is_valid(data)


def test_the_shipped_schema_is_the_generated_one(tmp_path):
    assert SHIPPED.read_text(encoding="utf-8") == schema_text()
    write_vehicle_schema(tmp_path / "again.json")
    assert json.loads((tmp_path / "again.json").read_text(encoding="utf-8")) == vehicle_schema()


def test_descriptions_stand_at_every_key():
    assert all(all_keys().values())


def test_demo_files_have_names_and_scenarios_of_their_own(demo_files):
    names = {load_vehicle(file).name for file in demo_files}
    assert len(names) == len(demo_files)
    for file in demo_files:
        assert file.read_text(encoding="utf-8").startswith("# ")


def test_importing_the_package_is_quick_and_brings_no_scientific_libraries():
    code = "import sys, articulate.spec; print(*{'scipy', 'sympy', 'matplotlib', 'typer'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
