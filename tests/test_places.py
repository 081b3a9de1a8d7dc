"""Where answers go: looked at before any work, all or none written, and never over a file the answer is made from."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

import articulate.climb
import articulate.studies.population.conditions
from articulate.cli import app
from articulate.cli.places import WRITTEN, PlacedCommand
from articulate.output import files
from articulate.output.files import FileExistsAlreadyError, UnwritableError, write_all

DEMO = Path("vehicle_specs_demo").resolve()
WAGON = str(DEMO / "wagon.toml")
PIKE = str(DEMO / "short_two_door.toml")
SHEET = str(DEMO / "run_sheets" / "wagon_run_sheet.toml")


def run(*words):
    return CliRunner().invoke(app, [str(word) for word in words])


def commands():
    found = typer.main.get_command(app).commands
    return {**found, **{f"logbook {name}": one for name, one in found["logbook"].commands.items()}}


def test_every_command_that_writes_looks_at_its_places_first():
    for name, command in commands().items():
        if {param.name for param in command.params} & set(WRITTEN):
            assert isinstance(command, PlacedCommand), name


@pytest.fixture
def copies(tmp_path):
    """A vehicle file and a run sheet under names that do not say so."""
    vehicle, sheet = tmp_path / "vehicle.txt", tmp_path / "sheet.html"
    vehicle.write_bytes(Path(WAGON).read_bytes())
    sheet.write_bytes(Path(SHEET).read_bytes())
    return vehicle, sheet


@pytest.mark.parametrize("other_name", ["", "linked"])
@pytest.mark.parametrize(
    "words",
    [
        ("predict", "VEHICLE", "--trace", "VEHICLE"),
        ("worth", "VEHICLE", "--csv", "VEHICLE"),
        ("explain", WAGON, "VEHICLE", "--csv", "VEHICLE"),
        ("compare", WAGON, "--sheet", "SHEET", "--csv", "SHEET"),
        ("ladder", "VEHICLE", "--csv", "VEHICLE"),
        ("audit", "VEHICLE", "SHEET", "--figure", "SHEET"),
        ("report", WAGON, "--run-sheet", "SHEET", "--output", "SHEET"),
        ("test-day", "VEHICLE", "--output", "VEHICLE"),
        ("learn", "VEHICLE", "--sheet", "SHEET", "--save", "SHEET"),
        ("run-sheet", "--vehicle", "VEHICLE", "--output", "VEHICLE"),
        ("draw", "VEHICLE", "--output", "VEHICLE"),
    ],
    ids=lambda words: words[0],
)
def test_no_answer_takes_the_place_of_a_file_it_is_made_from(words, other_name, copies):
    before = [path.read_bytes() for path in copies]
    places = dict(zip(("VEHICLE", "SHEET"), copies, strict=True))
    filled = [places.get(word, word) for word in words]
    if other_name:
        filled[-1] = copies[0].parent / other_name
        os.link(places[words[-1]], filled[-1])
    result = run(*filled, "--replace")
    assert result.exit_code == 2
    assert f"{filled[-1]}: that is {places[words[-1]]} itself" in result.stderr
    assert [path.read_bytes() for path in copies] == before


def test_two_answers_do_not_share_a_place(tmp_path):
    place = tmp_path / "x.svg"
    result = run("explain", WAGON, PIKE, "--figure", place, "--csv", tmp_path / "." / "x.svg")
    assert result.exit_code == 2
    assert "the same place as --" in result.stderr
    assert run("worth", WAGON, "--csv", "-", "--json").exit_code == 2


BAD_SECOND = [
    ("report", WAGON, "--output", "new.html", "--run-sheet", "BAD"),
    ("report", WAGON, "BAD", "--output", "new.html"),
    ("report", WAGON, "--output", "new.html", "--markdown", "no_folder/new.md"),
    ("learn", WAGON, "--sheet", "BAD"),
    ("audit", WAGON, "BAD"),
    ("explain", WAGON, "BAD"),
    ("compare", WAGON, "--sheet", "BAD"),
    ("compare", WAGON, "BAD"),
    ("ladder", WAGON, "--figure", "no_folder/new.svg"),
    ("band", WAGON, "--figure", "no_folder/new.svg"),
    ("draw", WAGON, "--output", "new.svg", "--at", "banana"),
    ("draw", WAGON, "--output", "/proc/new.svg"),
    ("animate", WAGON, "--output", "/proc/new.gif"),
    ("test-day", WAGON, "--output", "/proc/new.pdf"),
    ("report", WAGON, "--output", "new.html", "--markdown", "/proc/new.md"),
    ("predict", WAGON, "--trace", "/proc/new.csv"),
    ("handover", WAGON, "--output", "new.zip", "--run-sheet", "BAD"),
    ("handover", WAGON, "--output", "/proc/new.zip"),
]


@pytest.mark.parametrize("words", BAD_SECOND, ids=lambda words: f"{words[0]} {words[-2]}")
def test_every_file_is_looked_at_before_anything_is_solved(words, tmp_path, monkeypatch):
    def solved(*_, **__):
        raise AssertionError("solved before all was read")

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(articulate.climb, "follow", solved)
    bad = tmp_path / "bad.toml"
    bad.write_text("wheelbase = 3")
    result = run(*(bad if word == "BAD" else word for word in words))
    assert result.exit_code == 2, result.exception
    assert list(tmp_path.iterdir()) == [bad]


def test_the_faults_of_all_files_come_at_once(tmp_path):
    for name in ("a.toml", "b.toml"):
        (tmp_path / name).write_text("wheelbase = 3")
    for command in ("explain", "compare", "audit"):
        result = run(command, tmp_path / "a.toml", tmp_path / "b.toml")
        assert result.exit_code == 2
        assert f"{tmp_path / 'a.toml'}:1: " in result.stderr
        assert f"{tmp_path / 'b.toml'}:1: " in result.stderr


def test_a_report_whose_article_cannot_be_written_leaves_no_page(tmp_path, monkeypatch):
    page, article = tmp_path / "page.html", tmp_path / "article.md"
    place = files._place

    def meanwhile(temporary, path, replace):
        if path == article:
            article.write_text("somebody else's")
        place(temporary, path, replace)

    monkeypatch.setattr(files, "_place", meanwhile)
    result = run("report", WAGON, "--samples", "64", "--output", page, "--markdown", article)
    assert result.exit_code == 2
    assert f"--markdown {article}: is there already" in result.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["article.md"]
    assert article.read_text() == "somebody else's"


def test_what_was_replaced_is_put_back_where_a_later_file_fails(tmp_path, monkeypatch):
    first, second = tmp_path / "first", tmp_path / "second"
    first.write_text("old")
    place = files._place

    def fails(temporary, path, replace):
        if path == second:
            raise UnwritableError("the disk is gone", path)
        place(temporary, path, replace)

    monkeypatch.setattr(files, "_place", fails)
    with pytest.raises(UnwritableError) as caught:
        write_all({first: "new", second: "new"}, replace=True)
    assert caught.value.path == second
    assert first.read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["first"]
    with pytest.raises(FileExistsAlreadyError):
        write_all({second: "new", first: "new"})
    assert not second.exists()


@pytest.mark.filterwarnings("ignore::UserWarning")
def test_learning_into_the_vehicle_file_itself_is_said_plainly(copies):
    vehicle, _ = copies
    words = ("learn", vehicle, "--connected", "601 ± 3", "--points", "1024", "--save", vehicle)
    refused = run(*words)
    assert refused.exit_code == 2
    assert "--replace" in refused.stderr
    assert vehicle.read_bytes() == Path(WAGON).read_bytes()
    done = run(*words, "--replace")
    assert done.exit_code == 0, done.stderr
    assert "the vehicle file itself was replaced" in done.stderr
    assert "would count twice" in done.stderr
    text = vehicle.read_text()
    assert "learned from" in text
    assert "; was " in text
