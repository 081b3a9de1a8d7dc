"""Bad input to every command: one plain text, exit code 2, nothing written, and no trace of the inside."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from articulate.cli import app

DEMO = Path("vehicle_specs_demo").resolve()
WAGON = str(DEMO / "wagon.toml")
SHEET = str(DEMO / "run_sheets" / "wagon_run_sheet.toml")
FILE = "FILE"  # stands for the bad file
OF_A_VEHICLE = {
    "predict": (FILE,),
    "band": (FILE,),
    "worth": (FILE,),
    "timeline": (FILE,),
    "clearance": (FILE,),
    "ladder": (FILE,),
    "check": (FILE,),
    "carry": (FILE, "--to", "23 deg"),
    "target": (FILE, "--score", "600", "--change", "rear.travel.bump=70 mm to 120 mm"),
    "explain": (WAGON, FILE),
    "compare": (FILE,),
    "learn": (FILE, "--connected", "587 ± 3"),
    "audit": (FILE, SHEET),
    "draw": (FILE, "--output", "new.svg"),
    "animate": (FILE, "--output", "new.gif"),
    "test-day": (FILE, "--output", "new.html"),
    "report": (FILE, "--output", "new.html"),
    "derive": ("mark-height", "--vehicle", FILE),
    "run-sheet": ("--vehicle", FILE),
    "score": (SHEET, "--vehicle", FILE),
}
OF_A_SHEET = {
    "score": (FILE,),
    "audit": (WAGON, FILE),
    "learn": (WAGON, "--sheet", FILE),
    "compare": (WAGON, "--sheet", FILE),
    "logbook": ("save", FILE, "--folder", "new_folder"),
}


@pytest.fixture
def refused(tmp_path, monkeypatch):
    """Run a command in an empty folder; it has to refuse, and to leave the folder empty. Gives what it said."""
    monkeypatch.chdir(tmp_path)
    runner = CliRunner()

    def run(*words: str) -> str:
        result = runner.invoke(app, list(words))
        said = " ".join(words)
        assert isinstance(result.exception, SystemExit), f"{said}: {result.exception!r}"
        assert result.exit_code == 2, f"{said}: {result.output}"
        assert result.stdout == "", said
        assert "Traceback" not in result.stderr
        assert "Errno" not in result.stderr, said
        assert list(tmp_path.iterdir()) == [], said
        return result.stderr

    return run


@pytest.fixture(scope="module")
def bad_files(tmp_path_factory):
    """Files that nothing can be made of, and a word of what each refusal has to say."""
    folder = tmp_path_factory.mktemp("bad")
    text = Path(WAGON).read_text()
    row = next(line for line in text.splitlines() if line.startswith("wheelbase"))
    contents = {
        "binary": (b"\x7fELF\0\1\2", "binary"),
        "large": (b"# x\n" * 2_600_000, "more than 1000 kB"),
        "twice": (f'{row}\n{row}\nname = "x"\n'.encode(), ":2: wheelbase"),
        "broken": (b"wheelbase = 2850 mm\n", ":1"),
        "latin": ("name = 'Fähre'".encode("latin-1"), "UTF-8"),
        "not_a_number": (text.replace(row, "wheelbase = nan").encode(), "not a finite number"),
        "not_a_number_in_words": (text.replace(row, 'wheelbase = "nan"').encode(), "not a finite number"),
        "other_unit": (text.replace(row, 'wheelbase = "30 kg"').encode(), "a length is needed"),
    }
    found = []
    for name, (content, word) in contents.items():
        path = folder / f"{name}.toml"
        path.write_bytes(content)
        found.append((str(path), word))
    return [*found, (str(folder), "a directory"), (str(folder / "nowhere.toml"), "there is no such file")]


@pytest.mark.parametrize("command", OF_A_VEHICLE)
def test_a_bad_vehicle_file_is_refused(command, refused, bad_files):
    for path, word in [*bad_files, (SHEET, "a run sheet, but a vehicle file is needed here")]:
        said = refused(command, *(path if one == FILE else one for one in OF_A_VEHICLE[command]))
        assert path in said
        assert word in said


@pytest.mark.parametrize("command", OF_A_SHEET)
def test_a_bad_run_sheet_is_refused(command, refused, bad_files):
    others = [(path, word) for path, word in bad_files if "number" not in path and "unit" not in path]
    for path, word in [*others, (WAGON, "a vehicle file, but a run sheet is needed here")]:
        said = refused(command, *(path if one == FILE else one for one in OF_A_SHEET[command]))
        assert path in said
        assert word in said


def test_an_empty_run_sheet_is_told_what_to_write(refused, tmp_path_factory):
    path = tmp_path_factory.mktemp("empty") / "empty.toml"
    path.write_text("")
    said = refused("score", str(path))
    assert "…" not in said
    assert "date = 2026-05-14" in said
    assert "[[run]]" in said


PLACES = {
    "predict": ((WAGON,), "--trace"),
    "worth": ((WAGON,), "--csv"),
    "timeline": ((WAGON,), "--csv"),
    "ladder": ((WAGON,), "--csv"),
    "carry": ((WAGON, "--to", "23 deg"), "--csv"),
    "compare": ((WAGON,), "--figure"),
    "band": ((WAGON,), "--figure"),
    "audit": ((WAGON, SHEET), "--figure"),
    "draw": ((WAGON,), "--output"),
    "animate": ((WAGON,), "--output"),
    "test-day": ((WAGON,), "--output"),
    "report": ((WAGON, "--output", "-"), "--markdown"),
    "learn": ((WAGON, "--connected", "587 ± 3"), "--save"),
    "template": ((), "--output"),
    "run-sheet": ((), "--output"),
}
ENDING = {"--trace": ".csv", "--csv": ".csv", "--figure": ".svg", "--markdown": ".md", "--save": ".toml"}
OUTPUT = {"draw": ".svg", "animate": ".gif", "test-day": ".html"}


@pytest.mark.parametrize("command", PLACES)
def test_a_place_that_cannot_be_written_is_refused(command, refused, tmp_path_factory):
    words, option = PLACES[command]
    ending = ENDING.get(option) or OUTPUT.get(command, ".toml")
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    taken = elsewhere / f"taken{ending}"
    taken.write_text("mine")
    for path, word in (
        (elsewhere / "no_folder" / f"x{ending}", "no_folder is not there"),
        (taken / f"x{ending}", "is a file"),
        (taken, "is there already"),
    ):
        said = refused(command, *words, option, str(path))
        assert f"{path}: " in said
        assert word in said
    assert taken.read_text() == "mine"
    assert [path.name for path in elsewhere.iterdir()] == [taken.name]
