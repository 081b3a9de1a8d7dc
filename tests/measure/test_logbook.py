"""The logbook: sheets kept word for word, nothing overwritten unasked, nothing lost when a writer is killed."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest

from articulate.measure.logbook import LogbookError, read_day, with_sheet
from articulate.measure.sheet_load import load_sheet, read_sheet
from articulate.output.files import write_whole
from articulate.spec import SpecError
from tests.measure.filled import filled

DAY = Path("logbook/2026-05-14.toml")
SHEETS = sorted(Path("vehicle_specs_demo/run_sheets").glob("*.toml"))


def put(before: str | None, text: str, *, replace: bool = False, day: Path = DAY):
    return with_sheet(before, day, read_sheet(text, "a.toml"), text, replace=replace)


def test_a_sheet_is_kept_word_for_word_with_its_comments():
    text = filled()
    day = put(None, text).text
    for row in text.splitlines():
        kept = row.replace("[[run]]", "[[sheet.run]]") if row.startswith("[[run") else row
        kept = kept.replace("[", "[sheet.", 1) if row.startswith("[") and not row.startswith("[[") else kept
        assert kept in day.splitlines()
    assert tomllib.loads(day) == {"sheet": [tomllib.loads(text)]}


def test_a_day_holds_several_sheets_and_reads_them_back(tmp_path):
    day, path = None, tmp_path / DAY.name
    texts = [sheet.read_text() for sheet in SHEETS] + [filled()]
    for text, place in zip(texts, [*SHEETS, Path("c.toml")], strict=True):
        saved = with_sheet(day, path, read_sheet(text, str(place)), text, replace=False)
        assert saved.how == "added"
        day = saved.text
    path.write_text(day)
    sheets = read_day(path)
    assert [sheet.vehicle for sheet in sheets] == [tomllib.loads(text)["vehicle"] for text in texts]
    for sheet, place in zip(sheets, SHEETS, strict=False):
        own = load_sheet(place)
        assert [entry.readings[0].value for entry in sheet.runs] == [entry.readings[0].value for entry in own.runs]
        assert sheet.vehicle_path.resolve() == own.vehicle_path.resolve()  # found from where the day file lies, too


def test_the_same_sheet_again_changes_nothing_and_another_needs_leave():
    text, other = filled(), filled("Other one")
    day = put(put(None, text).text, other).text
    assert put(day, text).how == "unchanged"
    assert put(day, text).text == day
    changed = text.replace("22 7/16 in", "23 7/16 in")
    with pytest.raises(LogbookError, match="another title"):
        put(day, changed)
    replaced = put(day, changed, replace=True)
    assert replaced.how == "replaced"
    assert tomllib.loads(replaced.text)["sheet"] == [tomllib.loads(changed), tomllib.loads(other)]
    assert replaced.text.endswith(day[day.rindex("[[sheet]]") :])  # the other sheet stays byte for byte
    second = put(day, other.replace("25 in", "25 1/2 in"), replace=True)
    assert tomllib.loads(second.text)["sheet"][0] == tomllib.loads(text)
    titled = put(day, changed.replace("date =", 'title = "afternoon"\ndate =', 1))
    assert titled.how == "added"
    assert len(tomllib.loads(titled.text)["sheet"]) == 3


@pytest.mark.parametrize(
    "odd",
    [
        'notes = """\n[ramp]\nis how a table begins"""',
        "notes = 'single [[run]] quotes'",
        'notes = "# no comment"  # [tape] in a comment',
    ],
)
def test_odd_but_right_texts_survive(odd):
    text = filled().replace('notes = ""  # weather, surface, crew', odd)
    assert tomllib.loads(put(None, text).text)["sheet"] == [tomllib.loads(text)]


def test_windows_line_ends_survive():
    text = filled().replace("\n", "\r\n")
    assert tomllib.loads(put(put(None, filled("B")).text, text).text)["sheet"][1] == tomllib.loads(text)


def test_inline_tables_and_dotted_keys_survive():
    text = (
        'vehicle = "X"\ndate = "2026-05-14"\nwheelbase = "2.5 m"\nramp = { angle = "20 deg" }\n'
        'run = [{ side = "left", bars = "connected", mark_height = ["1 m"] }]\n'
    )
    assert tomllib.loads(put(None, text).text)["sheet"] == [tomllib.loads(text)]
    # A [ramp.] header cannot be written word for word below [[sheet]] where quotes hide it; it is refused, not bent.
    spaced = (
        text.replace('ramp = { angle = "20 deg" }', "").replace("run = [", "run = [") + '[ "ramp" ]\nangle = "20 deg"\n'
    )
    assert tomllib.loads(put(None, spaced).text)["sheet"] == [tomllib.loads(spaced)]


def test_faults_of_a_day_file_name_its_lines(tmp_path):
    path = tmp_path / "2026-05-14.toml"
    day = put(None, filled()).text.replace('"connected"', '"connectd"', 1)
    path.write_text(day)
    line = next(i for i, row in enumerate(day.splitlines(), 1) if "connectd" in row)
    with pytest.raises(SpecError, match=f"{path}:{line}: "):
        read_day(path)
    path.write_text(put(None, filled(date="2026-05-15")).text)
    with pytest.raises(SpecError, match="another day"):
        read_day(path)


WRITER = """
import sys
from pathlib import Path
from articulate.measure.logbook import with_sheet
from articulate.measure.sheet_load import read_sheet
from tests.measure.filled import filled
from articulate.output.files import write_whole
from articulate.output.folder_lock import one_writer
folder, first = Path(sys.argv[1]), int(sys.argv[2])
print("ready", flush=True)
number = first
while True:
    text = filled(f"vehicle {number}")
    path = folder / "2026-05-14.toml"
    with one_writer(folder):
        before = path.read_text() if path.exists() else None
        saved = with_sheet(before, path, read_sheet(text, "s"), text, replace=False)
        write_whole(path, saved.text, replace=before is not None)
    print(number, flush=True)
    number += 1
"""


def test_killing_a_writer_at_any_moment_loses_nothing_that_was_saved(tmp_path):
    """Two writers add sheets to one day and are killed at random moments; what each said it saved is there, whole."""
    generator = random.Random(20)
    reported: set[int] = set()
    path = tmp_path / "2026-05-14.toml"
    for attempt in range(6):
        writers = [
            subprocess.Popen(
                [sys.executable, "-c", WRITER, str(tmp_path), str(10_000 * (2 * attempt + k + 1))],
                stdout=subprocess.PIPE,
                text=True,
            )
            for k in range(2)
        ]
        for writer in writers:
            assert writer.stdout.readline() == "ready\n"
        time.sleep(generator.uniform(0.02, 0.4))
        for writer in writers:
            os.kill(writer.pid, signal.SIGKILL)
            rest, _ = writer.communicate(timeout=30)
            reported |= {int(row) for row in rest.split("\n")[:-1]}
        if path.exists():
            kept = {int(sheet.vehicle.split()[1]) for sheet in read_day(path)}
            assert reported <= kept
    assert len(reported) > 5


# What is on the disk changes by a line of ours (writing, closing) or by what the system is asked for, which is audited;
# at the lines of libraries between those, thousands of them, a death would find what it found at the one before.
KILLED_AT_EVERY_LINE = """
import os, signal, sys
from pathlib import Path
from articulate.output.files import write_whole
path, old, new = Path(sys.argv[1]), "old " * 5000, "new " * 5000
lines, asked = 0, False

def audited(event, arguments):
    global asked
    asked = asked or event.split(".")[0] in ("open", "os", "fcntl", "shutil", "tempfile", "pathlib")

def count(frame, event, arg):
    global lines, asked
    if event == "line" and (asked or frame.f_globals.get("__name__", "").startswith("articulate.")):
        lines, asked = lines + 1, False
        if lines == last:
            os.kill(os.getpid(), signal.SIGKILL)
    return count

sys.addaudithook(audited)
deaths = {"old": 0, "new": 0, "absent": 0}
for replace in (True, False):
    last = 0
    while True:
        last += 1
        path.unlink(missing_ok=True)
        if replace:
            path.write_text(old)
        child = os.fork()
        if not child:
            sys.settrace(count)
            SAVE
            sys.settrace(None)
            os._exit(0)
        died = os.waitpid(child, 0)[1] != 0
        found = path.read_text() if path.exists() else None
        assert found == new or (died and found == (old if replace else None)), (replace, last, found and len(found))
        if not died:
            break
        deaths["absent" if found is None else found[:3]] += 1
print(deaths["old"], deaths["new"], deaths["absent"])
"""


def killed_at_every_line(path: Path, save: str) -> subprocess.CompletedProcess[str]:
    script = KILLED_AT_EVERY_LINE.replace("SAVE", save)
    return subprocess.run([sys.executable, "-c", script, str(path)], capture_output=True, text=True, check=False)


def test_a_save_killed_at_every_line_leaves_the_old_file_or_the_new_one(tmp_path):
    done = killed_at_every_line(tmp_path / "2026-05-14.toml", "write_whole(path, new, replace=replace)")
    assert done.returncode == 0, done.stderr
    assert all(int(count) > 3 for count in done.stdout.split())  # killed before, and after, the moment it counts


def test_a_plain_write_would_not_survive_that(tmp_path):
    done = killed_at_every_line(tmp_path / "2026-05-14.toml", "path.write_text(new)")
    assert "AssertionError" in done.stderr


def test_a_name_that_is_taken_is_not_overwritten(tmp_path):
    path = tmp_path / "a.toml"
    write_whole(path, "first")
    with pytest.raises(FileExistsError):
        write_whole(path, "second")
    assert path.read_text() == "first"
