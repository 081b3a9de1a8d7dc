"""Bad input to every command: one plain text, exit code 2, nothing written, and no trace of the inside."""

from __future__ import annotations

from pathlib import Path

import pytest
import typer
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
    "handover": (FILE, "--output", "new.zip"),
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
    "handover": (WAGON, "--run-sheet", FILE, "--output", "new.zip"),
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
    "handover": ((WAGON,), "--output"),
    "learn": ((WAGON, "--connected", "587 ± 3"), "--save"),
    "template": ((), "--output"),
    "run-sheet": ((), "--output"),
}
ENDING = {"--trace": ".csv", "--csv": ".csv", "--figure": ".svg", "--markdown": ".md", "--save": ".toml"}
OUTPUT = {"draw": ".svg", "animate": ".gif", "test-day": ".html", "handover": ".zip"}

BAD_VALUES = {  # none that any command could take, by the option
    "--ramp-angle": "99 deg",
    "--side": "middle",
    "--touch-load": "9 kN",
    "--holding-share": "3",
    "--friction": "9",
    "--ramp-length": "1 km",
    "--ramp-width": "9 km",
    "--model-error": "much",
    "--tie": "nonsense",
    "--units": "furlongs",
    "--figure": "new.txt",
    "--medium": "wall",
    "--bars": "cut",
    "--seed": "-1",
    "--points": "1",
    "--samples": "1",
    "--paper": "a9",
    "--release-on": "moon",
    "--what": "all",
    "--view": "below",
    "--at": "soon",
    "--to": "2 deg",
    "--measured": "lots",
    "--measured-released": "lots",
    "--connected": "lots",
    "--score": "-5",
    "--change": "rear",
    "--sizes": "huge",
    "--tyre": "huge",
    "--pressure": "much",
    "--seen": "roll",
    "--answer": "nonsense",
    "--words": "new.txt",
}
THERE = {"--output": OUTPUT, "--csv": {}, "--trace": {}, "--markdown": {}, "--ramp-page": {}}


@pytest.mark.parametrize("command", sorted({*OF_A_VEHICLE} - {"score"}))  # a sheet leaves no room for options
def test_all_that_is_wrong_is_said_at_once(command, bad_files, tmp_path, monkeypatch):
    """The vehicle file, every option, and every place where a file is already: one run tells of all of them."""
    monkeypatch.chdir(tmp_path)
    known = {param.opts[0] for param in typer.main.get_command(app).commands[command].params}
    bad, word = next(one for one in bad_files if "other_unit" in one[0])
    typed = {option: value for option, value in BAD_VALUES.items() if option in known}
    for option, endings in THERE.items():
        if option in known:
            typed[option] = f"there{option}{endings.get(command, '.html')}"
            Path(typed[option]).write_text("here already")
    files = [one for one in OF_A_VEHICLE[command] if one in (FILE, WAGON, SHEET, "mark-height", "--vehicle")]
    words = [bad if one == FILE else one for one in files]
    result = CliRunner().invoke(app, [command, *words, *(word for pair in typed.items() for word in pair)])
    assert result.exit_code == 2
    said = result.stderr.splitlines()
    assert any(line.startswith(f"{bad}:") and word in line for line in said)
    for option, value in typed.items():
        assert any(line.startswith(f"{option} {value}") for line in said), option


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


PIKE = str(DEMO / "short_two_door.toml")
TYPED = [
    (("carry", WAGON, "--to", "23 deg", "--measured", "-5"), "between 1 and 5000"),
    (("carry", WAGON, "--to", "23 deg", "--measured", "1e99"), "between 1 and 5000"),
    (("carry", WAGON, "--to", "23 deg", "--measured", "587 mm"), "write '587 ± 4'"),
    (("compare", WAGON, "--measured", "Old=-5"), "between 1 and 5000"),
    (("compare", WAGON, "--measured", "day.toml"), "a run sheet joins with --sheet day.toml"),
    (("draw", WAGON, "--output", "new.svg", "--at", "-1 m"), "first touches the ramp at 12 mm"),
    (("draw", WAGON, "--output", "new.svg", "--at", "99 m"), "ends at"),
    (("logbook", "save", SHEET, "--folder", WAGON), "is a file, not a folder"),
    (("target", WAGON, "--score", "620", "--change", "name=a to b"), "name is no quantity"),
    (("worth", WAGON, "--set", "wheelbase=nan mm"), '"2850 mm"'),
    (("worth", WAGON, "--touch-load", "1e9 N"), "outside 0 to 2000 N"),
    (("draw", WAGON, "--output", "new.svg", "--touch-load", "1e9 N"), "outside 0 to 2000 N"),
    (("report", WAGON, "--output", "new.html", "--touch-load", "1e9 N"), "outside 0 to 2000 N"),
    (("band", WAGON, "--points", "0"), "outside 32 to 65536"),
    (("ladder", WAGON, "--points", "99999999"), "outside 16 to 4096"),
    (("band", WAGON, "--seed", "-1"), "outside 0 to"),
    (("ladder", WAGON, "--sizes", ""), "no size is given"),
    (("ladder", WAGON, "--sizes", "265/70R17,banana"), "banana"),
    (("tyre", "banana"), "not a tyre size code"),
    (("audit", WAGON, SHEET, "--answer", "banana=3"), "nothing this audit can take"),
    (("audit", WAGON, SHEET, "--answer", "bar links=purple"), "bar links=fine"),
    (("target", WAGON, "--score", "nan", "--change", "rear.travel.bump=70 mm to 120 mm"), "not a score"),
    (
        ("score", "--mark-height", "20 in", "--ramp-angle", "0 deg", "--wheelbase", "100 in"),
        "outside 5 to 35 deg; write",
    ),
    (("explain", WAGON, PIKE, "--together", "bump travel, nothing"), "nothing: "),
    (("ladder", WAGON, "--points", "banana"), "--points banana: not a whole number"),
    (("target", WAGON, "--change", "rear.travel.bump=70 mm to 120 mm", "--score=x"), "--score x: not a number"),
    (("compare", WAGON, "--samples", "5"), "--samples 5: outside 64 to 65536; 512 is the default"),
    (("clearance", WAGON, "--tyre", "banana"), "--tyre banana: that is not a tyre size code"),
    (("clearance", PIKE, "--pressure", "4 kg"), "--pressure 4 kg: "),
    (("compare", WAGON, "--tyre", "banana"), "--tyre banana: that is not a tyre size code"),
    (("compare", WAGON, "--measured", "Old=587, 0 mm"), "0 mm is outside 1200 to 6500 mm"),
    (("ladder", WAGON, "--medium", "x"), "--medium x: not a medium"),
    (("predict", WAGON, "--ramp-length", "1e99 m"), "outside 0.1 to 100 m"),
    (("predict", WAGON, "--ramp-length", "1 mm"), "outside 0.1 to 100 m"),
    (("explain", WAGON, PIKE, "--bars", "x"), "--bars x: not a state of the bars; connected or released"),
    (("target", WAGON, "--score", "600", "--change", "rear.travel.bump=70 mm to 70 mm"), "both ends of the range"),
]


@pytest.mark.parametrize(("words", "word"), TYPED, ids=[" ".join((*w[0][:1], *w[0][-2:])) for w in TYPED])
def test_a_bad_value_is_refused(words, word, refused):
    said = refused(*words)
    assert word in said
    assert "write name" not in said


def test_a_group_named_twice_is_one():
    changes = ["--set", "front.travel.bump=70 mm", "--set", "front.travel.droop=80 mm"]
    words = ["explain", WAGON, *changes, "--json", "--together"]
    once, twice = (CliRunner().invoke(app, [*words, names]) for names in ("bump travel", "bump travel, bump travel"))
    assert twice.exit_code == 0
    assert twice.stdout == once.stdout


@pytest.mark.parametrize("what", ["vehicle", "travel"])
@pytest.mark.filterwarnings("error")
def test_a_wheel_without_free_travel_can_be_drawn(what):
    none = ["--set", "front.travel.bump=0 mm", "--set", "front.travel.droop=0 mm"]
    result = CliRunner().invoke(app, ["draw", WAGON, "--output", "-", "--what", what, *none])
    assert result.exit_code == 0, result.exception
    assert result.stderr == ""
    assert "inf" not in " ".join(word for word in result.stdout.split() if not word.isalpha())
    assert "nan" not in result.stdout.lower()


def test_a_name_no_system_has_is_refused(refused):
    assert "cannot be opened" in refused("check", "x" * 5000 + ".toml")


@pytest.mark.parametrize(
    "words",
    [
        ("predict", FILE, "--trace", FILE),
        ("worth", FILE, "--csv", FILE),
        ("timeline", FILE, "--csv", FILE),
        ("ladder", FILE, "--csv", FILE),
        ("compare", FILE, "--csv", FILE),
        ("report", FILE, "--output", "page.html", "--markdown", FILE),
        ("run-sheet", "--vehicle", FILE, "--output", FILE),
    ],
    ids=lambda words: words[0],
)
def test_no_answer_takes_the_place_of_the_vehicle_file(words, refused, tmp_path_factory):
    path = tmp_path_factory.mktemp("mine") / "vehicle.toml"
    path.write_bytes(Path(WAGON).read_bytes())
    said = refused(*(str(path) if word == FILE else word for word in words), "--replace")
    assert f"{path}: " in said
    assert path.read_bytes() == Path(WAGON).read_bytes()


@pytest.mark.parametrize(
    "words",
    [
        ("carry", WAGON, "--to", "23 deg"),
        ("compare", WAGON, "--samples", "64"),
        ("clearance", WAGON),
        ("ladder", WAGON, "--points", "32"),
        ("audit", WAGON, SHEET),
    ],
    ids=lambda words: words[0],
)
def test_possible_vehicles_that_cannot_be_are_told_as_faults_of_the_file(words, refused):
    wide = [f"--set={axle}.ride_height_change=-60 mm ± 40 mm" for axle in ("front", "rear")]
    lines = refused(*words, *wide).splitlines()
    assert len(lines) == 2
    for axle, line in zip(("front", "rear"), lines, strict=True):
        assert line.startswith(f"{WAGON}:")
        assert (
            f"{axle}.ride_height_change -60 mm (-100 to -20), but no bump travel is left on the {axle} axle in " in line
        )
        assert line.endswith(" possible vehicles; correct the travel or the ride height change, or narrow the ranges")
