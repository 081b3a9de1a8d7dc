"""Hard input: what is typed, sent in or written in files to break the program, or the terminal it prints to."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import signal
import subprocess
import sys
import tomllib
from pathlib import Path
from xml.etree import ElementTree

import pytest
import typer
from typer.testing import CliRunner

from articulate.cli import app
from articulate.cli.terminal import VisibleText
from articulate.measure.logbook import read_day, with_sheet
from articulate.measure.sheet_load import read_sheet
from articulate.output.layout import csv_text
from articulate.output.visible import visible
from articulate.spec import SpecError, load, read_vehicle
from articulate.spec.source_lines import DEEPEST
from tests.measure.filled import filled

ROOT = Path.cwd()
WAGON = "vehicle_specs_demo/wagon.toml"
SHEET = "vehicle_specs_demo/run_sheets/wagon_run_sheet.toml"
ACTING = "\x1b]0;owned\x07\x1b[2J\u202e\u2066\u200f\x9b31m\x85\r"  # title, erase, right to left, CSI of one byte


def shell(command, **changes):
    """A command as a shell runs it; what it prints as bytes."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("LC_", "PYTHON", "LANG"))}
    environment = {**kept, "LC_ALL": "C.UTF-8", "PYTHONPATH": str(ROOT), **changes}
    command = command.replace("articulate", f"'{sys.executable}' -m articulate", 1)
    return subprocess.run(["bash", "-c", command], capture_output=True, check=False, env=environment, timeout=120)


def command_words(group=None, words=()):
    for name, command in sorted((group or typer.main.get_command(app)).commands.items()):
        if hasattr(command, "commands"):
            yield from command_words(command, (*words, name))
        else:
            yield (*words, name)


@pytest.mark.parametrize("words", list(command_words()), ids=" ".join)
def test_a_command_without_arguments_says_what_is_missing(words, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(app, list(words))
    assert result.exception is None or isinstance(result.exception, SystemExit), repr(result.exception)
    assert result.exit_code in (0, 2)
    assert result.exit_code == 0 or result.stderr


@pytest.mark.parametrize(
    ("command", "said"),
    [
        ("articulate check - <&-", b"standard input: it is closed"),
        (f"articulate check {WAGON} >/dev/full", b"standard output: it cannot be written (No space left on device)"),
        (f"articulate check {WAGON} >&-", b"standard output: it cannot be written (Bad file descriptor)"),
        ("articulate check - < <(printf 'name = \"F\\xe4hre\"')", b"standard input:1: byte 0xe4, but"),
        ("articulate compare - - <&-", b"-: standard input is one file"),
    ],
)
def test_streams_that_are_closed_full_or_no_text_are_named(command, said):
    done = shell(command)
    assert done.returncode == 2
    assert done.stderr.startswith(said)
    assert done.stderr.count(b"\n") == 1


@pytest.mark.parametrize("lost", ["2>/dev/full", "2>&-"])
def test_the_exit_code_stands_where_a_fault_cannot_be_told(lost):
    done = shell(f"articulate check nowhere.toml {lost}")
    assert (done.returncode, done.stdout, done.stderr) == (2, b"", b"")


INTERRUPTED = """
import runpy, sys
class Interrupt:
    def find_spec(self, name, *_):
        if name == "typer":
            raise KeyboardInterrupt
sys.meta_path.insert(0, Interrupt())
runpy.run_module("articulate", run_name="__main__")
"""


def test_ctrl_c_while_the_program_is_loaded_ends_it_without_a_word():
    done = subprocess.run([sys.executable, "-c", INTERRUPTED], capture_output=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (130, b"", b"")


@pytest.mark.parametrize(("number", "code"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129)])
def test_a_command_that_is_ended_from_outside_clears_up(number, code, tmp_path):
    folder = tmp_path / "temporary"
    folder.mkdir()
    words = [sys.executable, "-m", "articulate", "handover", str(ROOT / WAGON), "--output", str(tmp_path / "test.zip")]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "TMPDIR": str(folder)}
    process = subprocess.Popen(words, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    while process.poll() is None and not list(folder.glob("*/*")):  # until the report of it is on its way
        pass
    process.send_signal(number)
    assert process.communicate() == (b"", b"")
    assert process.returncode == code
    assert list(tmp_path.rglob("*")) == [folder]


def test_whoever_stops_reading_is_told_from_a_problem_found():
    done = shell("articulate schema --of predict | true; exit ${PIPESTATUS[0]}")
    assert (done.returncode, done.stderr) == (141, b"")  # as a shell has it: 128 and SIGPIPE, 13 in POSIX.1


def test_a_folder_that_is_gone_is_told(tmp_path):
    gone = tmp_path / "gone"
    done = shell(f"mkdir '{gone}'; cd '{gone}'; rmdir '{gone}'; articulate template --output x.toml 2>&1 | tail -n 1")
    assert done.stdout == b"--output x.toml: the folder this runs in is gone; change to another\n"


FULL = (
    "ulimit -f {}; export PYTHONDONTWRITEBYTECODE=1; "  # [kB] of a file; what writes more is refused as by a full disk
)


@pytest.mark.parametrize(
    ("command", "most"),
    [
        ("demo new/folder", 2),
        (f"logbook save '{ROOT / SHEET}' --folder new/folder", 5),
        ("receive test.zip --folder new", 30),
    ],
    ids=lambda words: str(words).split()[0],
)
def test_a_folder_that_could_not_be_filled_is_not_left(command, most, tmp_path):
    if "test.zip" in command:
        made = shell(f"cd '{tmp_path}'; articulate handover '{ROOT / WAGON}' --output test.zip --samples 64")
        assert made.returncode == 0, made.stderr
    before = list(tmp_path.iterdir())
    done = shell(f"cd '{tmp_path}'; {FULL.format(most)} articulate {command}")
    assert done.returncode == 2
    assert b"it cannot be written (File too large)" in done.stderr
    assert list(tmp_path.iterdir()) == before


READING = "--wheelbase '2850 mm' --mark-height '{}'"


@pytest.mark.parametrize(
    ("reading", "changes", "encoding"),
    [
        (b"570 mm \xb1 4 mm", {}, "utf-8"),  # typed on a Latin-1 terminal
        (b"570 mm \xb1 4 mm", {"PYTHONIOENCODING": "latin-1"}, "latin-1"),
        ("570 mm ± 4 mm".encode(), {"PYTHONIOENCODING": "latin-1"}, "latin-1"),
        ("570 mm ± 4 mm".encode(), {"PYTHONIOENCODING": "ascii"}, "utf-8"),
        ("570 mm ± 4 mm".encode(), {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}, "utf-8"),
    ],
)
def test_a_tolerance_is_read_and_printed_whatever_the_encoding(reading, changes, encoding):
    done = shell(f"articulate score {READING.format(os.fsdecode(reading))}", **changes)
    assert done.returncode == 0, done.stderr
    assert "score 584.8 ± 8.5" in done.stdout.decode(encoding)


@pytest.fixture
def hostile(tmp_path):
    """A vehicle whose texts act on a terminal, in a file whose name does."""
    text = (ROOT / WAGON).read_text().replace('name = "Kestrow Bellwether"', f'name = "{escaped("Good" + ACTING)}"')
    path = tmp_path / f"file{ACTING}.toml"
    path.write_text(text)
    return path


def escaped(text):
    return "".join(sign if sign.isalnum() else f"\\u{ord(sign):04x}" for sign in text)


@pytest.mark.parametrize(
    "words",
    [
        "check {}",
        "predict {}",
        "check {}.toml",
        "predict {} --set 'front.{}=3'",
        "draw {} --output '/nowhere/{}.svg'",
        "score {}",
        "{}",
        "predict {} --trace - ",
    ],
)
def test_nothing_that_acts_on_a_terminal_reaches_it(words, hostile):
    text = hostile.name.removesuffix(".toml")
    filled = words.replace("{}", f"'{hostile}'", 1).replace("{}", text)
    done = shell(f"articulate {filled}")
    said = (done.stdout + done.stderr).decode()
    assert "Traceback" not in said
    assert visible(said).replace("‹U+000D›\n", "\n") == said.replace("\r\n", "\n")
    assert words.endswith("- ") or "‹U+001B›" in said or "\\x1b" in said


def test_a_file_name_cannot_put_in_a_line_of_its_own(tmp_path):
    path = tmp_path / "x\ngood.toml: fine; 37 inputs"
    result = CliRunner().invoke(app, ["check", str(path)])
    assert result.exit_code == 2
    assert "good.toml" not in result.output
    (tmp_path / "x\ngood.toml").write_text("")
    assert "\ngood.toml" not in CliRunner().invoke(app, ["logbook", "show", str(tmp_path)]).output


def test_a_line_break_in_what_is_read_makes_no_second_fault(tmp_path):
    path = tmp_path / "vehicle.toml"
    path.write_text(
        'wheelbase = "a\\nx.toml: fine"\n"q\\nr" = 3\n' + (ROOT / WAGON).read_text().replace("wheelbase", "# ")
    )
    broken = ["check", str(path), "--json"]
    typed = ["predict", WAGON, "--json", "--touch-load", "5\nm", "--side", "le\nft", "--set", "a\nb=3"]
    for words, faults in ((broken, 2), (typed, 3)):
        result = CliRunner().invoke(app, words)
        assert result.exit_code == 2
        errors = json.loads(result.stdout)["errors"]
        assert len(errors) == faults
        assert {error["kind"] for error in errors} <= {"file", "option"}
        assert len(result.stderr.splitlines()) == faults


def test_a_stream_keeps_ends_of_lines_and_progress():
    raw = io.BytesIO()
    stream = VisibleText(io.TextIOWrapper(raw, "latin-1"), tells_faults=False)
    for text in ("\rdone 3", "a,b\r\nc\td\n", "über ± ≥ \x1b[0m a\rb"):
        assert stream.write(text) == len(text)
    stream.flush()
    assert raw.getvalue().decode("latin-1") == "\rdone 3a,b\r\nc\td\nüber ± \\u2265 \\u2039U+001B\\u203a[0m a" + (
        "\\u2039U+000D\\u203ab"
    )


def words_of(path):
    return set(re.findall(r"csv\.writer|DictWriter", path.read_text()))


FORMULAS = ["=cmd|' /C calc'!A0", "+1+1", "-2+3", "@SUM(A1)", "\t=1+1", " =1+1", "\r=1", "＝1+1"]


def test_no_cell_of_a_table_is_a_formula():
    rows = list(csv.reader(io.StringIO(csv_text([{"name": one, "value": -1.5} for one in FORMULAS]))))
    assert rows[0] == ["name", "value"]
    for (cell, number), meant in zip(rows[1:], FORMULAS, strict=True):
        assert cell.startswith(("'", "‹"))
        assert cell.removeprefix("'") == visible(meant)
        assert number == "-1.5"
    written = [path for path in Path("articulate").rglob("*.py") if {"csv.writer", "DictWriter"} & words_of(path)]
    assert [path.name for path in written] == ["layout.py"]  # the one place where tables are written


def test_a_vehicle_named_as_a_formula_is_a_text_in_a_table(tmp_path):
    path = tmp_path / "vehicle.toml"
    path.write_text((ROOT / WAGON).read_text().replace("Kestrow Bellwether", "=cmd|' /C calc'!A0"))
    result = CliRunner().invoke(app, ["compare", str(path), WAGON, "--csv", "-", "--samples", "64"])
    assert result.exit_code == 0, result.output
    assert "'=cmd|" in result.stdout
    assert ",=cmd" not in result.stdout


@pytest.mark.parametrize("separator", ["\u2028", "\u2029", "\x85", "\x0b", "\x0c", "\x1c"])
def test_a_separator_of_lines_in_notes_does_not_keep_a_sheet_from_the_logbook(separator, tmp_path):
    path = tmp_path / "2026-05-14.toml"
    note = f"one{separator}two" if separator > "\x7f" else escaped(f"one{separator}two")
    second = filled("second")
    sheet = re.sub("^notes = .*", lambda _: f'notes = "{note}"', filled("first"), flags=re.MULTILINE)
    text = with_sheet(None, path, read_sheet(sheet, "sheet"), sheet, replace=False).text
    text = with_sheet(text, path, read_sheet(second, "sheet"), second, replace=False).text
    again = sheet.replace("one", "three")
    for _ in range(2):
        text = with_sheet(text, path, read_sheet(again, "sheet"), again, replace=True).text
    path.write_text(text)
    assert [one.vehicle for one in read_day(path)] == ["first", "second"]
    assert read_day(path)[0].notes.startswith("three")


def test_60_000_unknown_keys_are_said_in_fifty_lines(monkeypatch):
    searches = []
    monkeypatch.setattr(load, "nearest", lambda typed, _: searches.append(typed))
    with pytest.raises(SpecError) as caught:
        read_vehicle("\n".join(f"key_{number} = 1" for number in range(60_000)), "many.toml")
    lines = str(caught.value).splitlines()
    assert len(lines) == 51
    assert lines[-1].startswith("many.toml: and 59")
    assert len(searches) <= 100
    with pytest.raises(SpecError) as caught:
        read_sheet("[[run]]\nmark_height = '3 kg'\n" * 100, "runs.toml")
    assert len(str(caught.value).splitlines()) == 51


@pytest.mark.parametrize(
    "text", ["[{}]\n", "[[{}]]\n", "{} = 1\n", "a = {{ {} = 1 }}\n", "# fine\n'b'.\"c\" . {} = 1\n"]
)
def test_a_key_of_thousands_of_parts_is_refused_before_it_is_parsed(text, monkeypatch):
    def parsed(_):
        raise AssertionError("parsed")

    monkeypatch.setattr(tomllib, "loads", parsed)
    with pytest.raises(SpecError, match="many parts") as caught:
        read_vehicle(text.format(".".join("a" * 100_000)), "deep.toml")
    assert caught.value.faults[0].line == text.count("\n")
    monkeypatch.undo()
    dotted = "notes = '" + ".".join("a" * (2 * DEEPEST)) + "'\n"
    with pytest.raises(SpecError, match="wheelbase: it is needed"):
        read_vehicle(dotted, "fine.toml")


@pytest.mark.parametrize("text", ["{} = 1", "{}", "x = {}", "wheelbase = '{}'", "[{}]", "x.{} = 1"])
def test_a_line_of_a_million_letters_is_said_short(text):
    with pytest.raises(SpecError) as caught:
        read_vehicle(text.format("x" * 900_000), "long.toml")
    assert all(len(line) < 1500 for line in str(caught.value).splitlines())


def test_the_drawing_library_does_not_chatter():
    # Without a folder of its own it says so at every start, as it says which weights a font lacks.
    done = shell(f"articulate draw {WAGON} --output - --what loads", MPLCONFIGDIR="/proc/nowhere")
    assert done.returncode == 0
    assert done.stderr == b""


def test_an_audit_is_the_same_whatever_the_number_of_threads():
    # Past the entry point, which asks for one thread, so that the threads are there.
    # The linear algebra has the same shapes with few climbs of every cause.
    few = "from articulate.studies.audit import expectations as e; e.CAUSE_POINTS, e.LEAST_POINTS = 32, 26"
    code = f"{few}; from articulate.cli import app; app()"
    several = [
        subprocess.run(
            [sys.executable, "-c", code, "audit", WAGON, SHEET, "--json"],
            capture_output=True,
            check=False,
            env={**os.environ, "OPENBLAS_NUM_THREADS": threads},
        ).stdout
        for threads in ("1", "2")
    ]
    assert several[0].startswith(b"{")
    assert several[0] == several[1]


def test_a_picture_is_well_formed_whatever_the_name_says(tmp_path):
    path = tmp_path / "vehicle.toml"
    name = escaped(f"a{ACTING}\uffff-->$x^{{ $<b>")
    path.write_text((ROOT / WAGON).read_text().replace("Kestrow Bellwether", name, 1))
    result = CliRunner().invoke(app, ["draw", str(path), "--output", "-", "--what", "loads"])
    assert result.exit_code == 0, result.exception
    title = ElementTree.fromstring(result.stdout)[0]
    assert title.text.startswith("a‹U+001B›")
    assert "‹U+FFFF›-->$x^{ $<b>" in title.text
