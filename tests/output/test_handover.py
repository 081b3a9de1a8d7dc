"""A test handed over: the same bytes, made again by the words in it; nothing is taken from a bundle that means harm."""

from __future__ import annotations

import io
import json
import stat
import warnings
import zipfile
from pathlib import Path

import pytest
from typer.testing import CliRunner

from articulate.cli import app, handover_commands
from articulate.output.handover import (
    FOLDER,
    GUIDE,
    LARGEST,
    MANIFEST,
    REPORT,
    Bundle,
    BundleError,
    bundle_bytes,
    names_in_bundle,
    read_bundle,
    report_words,
)

DEMO = Path("vehicle_specs_demo").resolve()
WAGON, SHEET = DEMO / "wagon.toml", DEMO / "run_sheets" / "wagon_run_sheet.toml"
CONTENTS = {"wagon.toml": b"vehicle\r\n", "run_sheets/day.toml": b"sheet\n", REPORT: b"<p>report</p>\n"}
BUNDLE = Bundle("wagon.toml", "run_sheets/day.toml", {"samples": ("64",)}, "articulate 0", {"python": "3"}, CONTENTS)


def run(*words):
    return CliRunner().invoke(app, [str(word) for word in words])


def test_a_bundle_reads_back_and_is_the_same_bytes_whenever_it_is_made():
    data = bundle_bytes(BUNDLE)
    assert bundle_bytes(BUNDLE) == data
    found, faults = read_bundle(data)
    assert faults == []
    assert {name: found.files[name] for name in CONTENTS} == CONTENTS
    assert (found.vehicle, found.run_sheet, found.program) == (BUNDLE.vehicle, BUNDLE.run_sheet, BUNDLE.program)
    assert report_words(found) == [
        "report", "wagon.toml", "--run-sheet=run_sheets/day.toml", "--samples=64", "--output=report.html",
    ]  # fmt: skip
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None
        assert all(entry.filename.startswith(FOLDER) for entry in archive.infolist())


@pytest.mark.parametrize(
    ("vehicle", "sheet", "seen", "names"),
    [
        ("a/wagon.toml", "a/runs.toml", "wagon.toml", ("wagon.toml", "runs.toml")),
        ("a/wagon.toml", "a/b/runs.toml", "../wagon.toml", ("wagon.toml", "b/runs.toml")),
        ("a/v/wagon.toml", "a/b/runs.toml", "../v/wagon.toml", ("v/wagon.toml", "b/runs.toml")),
        ("a/wagon.toml", "b/runs.toml", "elsewhere.toml", ("wagon.toml", "runs.toml")),
        ("a/wagon.toml", "b/runs.toml", "", ("wagon.toml", "runs.toml")),
        ("a/one.toml", "b/one.toml", "", ("one.toml", "run_sheet/one.toml")),
    ],
)
def test_in_a_bundle_the_sheet_finds_its_vehicle_where_it_did(vehicle, sheet, seen, names):
    assert names_in_bundle(Path(vehicle), Path(sheet), seen) == names


@pytest.mark.parametrize("name", ["-x.toml", "wagon.txt", "a\u202eb.toml", "con:.toml", ".hidden.toml"])
def test_a_name_that_not_every_system_takes_is_said_before_anything_is_made(name):
    with pytest.raises(BundleError, match="another name"):
        names_in_bundle(Path(name), None, "")


def changed(**edits) -> bytes:
    """The bundle with other content under some names, None for without."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(bundle_bytes(BUNDLE))) as old, zipfile.ZipFile(out, "w") as new:
        contents = {entry.filename: old.read(entry) for entry in old.infolist()} | edits
        for name, content in contents.items():
            if content is not None:
                new.writestr(name, content)
    return out.getvalue()


def manifest(**edits) -> bytes:
    """The bundle with another manifest."""
    with zipfile.ZipFile(io.BytesIO(bundle_bytes(BUNDLE))) as old:
        told = json.loads(old.read(FOLDER + MANIFEST))
    return changed(**{FOLDER + MANIFEST: json.dumps({**told, **edits})})


@pytest.mark.parametrize(
    ("edits", "said"),
    [
        ({FOLDER + "wagon.toml": b"vehicle\n"}, "wagon.toml: changed since it was handed over"),
        ({FOLDER + REPORT: None}, "report.html: is missing"),
        ({FOLDER + "more.toml": b""}, "more.toml: is not in its manifest"),
    ],
)
def test_what_is_not_as_it_was_handed_over_is_said(edits, said, tmp_path):
    place = tmp_path / "day.zip"
    place.write_bytes(changed(**edits))
    result = run("receive", place, "--again", "--folder", tmp_path / "new")
    assert result.exit_code == 1
    assert said in result.stderr
    assert not (tmp_path / "new").exists()  # nor is a report made of it


def a_link() -> bytes:
    entry = zipfile.ZipInfo(FOLDER + "link")
    entry.create_system, entry.external_attr = 3, (stat.S_IFLNK | 0o777) << 16
    out = io.BytesIO(bundle_bytes(BUNDLE))
    with zipfile.ZipFile(out, "a") as archive:
        archive.writestr(entry, "/etc/passwd")
    return out.getvalue()


def a_flood() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(FOLDER + "zeros.toml", bytes(LARGEST + 1))
    return out.getvalue()


def a_lie() -> bytes:
    """Declares few bytes where many come out."""
    data = bytearray(a_flood())
    for mark, place in ((b"PK\1\2", 24), (b"PK\3\4", 22)):
        at = data.index(mark) + place
        data[at : at + 4] = (100).to_bytes(4, "little")
    return bytes(data)


def twice() -> bytes:
    out = io.BytesIO(bundle_bytes(BUNDLE))
    with warnings.catch_warnings(), zipfile.ZipFile(out, "a") as archive:
        warnings.simplefilter("ignore")
        archive.writestr(FOLDER + "WAGON.toml", b"another")
    return out.getvalue()


HOSTILE = {
    "no zip": (lambda: b"PK no zip at all", "no zip"),
    "cut off": (lambda: bundle_bytes(BUNDLE)[:-40], "no zip"),
    "out of the folder": (lambda: changed(**{"../../outside.toml": b"x"}), "leads elsewhere"),
    "from the root": (lambda: changed(**{"/outside.toml": b"x"}), "leads elsewhere"),
    "another drive": (lambda: changed(**{"C:\\outside.toml": b"x"}), "leads elsewhere"),
    "hidden letters": (lambda: changed(**{"a\u202eb.toml": b"x"}), "cannot be seen"),
    "a link": (a_link, "a link or no plain file"),
    "a flood": (a_flood, "more than 16 files or 32 MB"),
    "a lie": (a_lie, "no zip"),
    "many": (lambda: changed(**{f"{FOLDER}{k}.toml": b"" for k in range(20)}), "more than 16 files"),
    "twice": (twice, "two files of one name"),
    "no manifest": (lambda: changed(**{FOLDER + MANIFEST: None}), "no manifest.json"),
    "a deep manifest": (lambda: changed(**{FOLDER + MANIFEST: b"[" * 100_000}), "no manifest.json"),
    "another form": (lambda: manifest(form=99), "form 99"),
    "a vehicle that is an option": (lambda: manifest(vehicle="--output=x.toml"), "names what is no file of it"),
    "a vehicle elsewhere": (lambda: manifest(vehicle="../../wagon.toml"), "names what is no file of it"),
    "a module as vehicle": (lambda: manifest(vehicle="numpy.py"), "names what is no file of it"),
    "an option that writes": (lambda: manifest(options={"markdown": ["/tmp/x.md"]}), "no option of a report"),
    "an option without end": (lambda: manifest(options={"title": ["x" * 10_000]}), "no option of a report"),
}  # fmt: skip


@pytest.mark.parametrize(("made", "said"), HOSTILE.values(), ids=HOSTILE)
def test_a_bundle_that_means_harm_is_refused_kindly_and_nothing_is_written(made, said, tmp_path):
    place = tmp_path / "bad.zip"
    place.write_bytes(made())
    result = run("receive", place, "--again", "--folder", tmp_path / "in" / "new")
    assert result.exit_code == 2, result.output
    assert result.stdout == ""
    assert said in result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert list(tmp_path.iterdir()) == [place]


def test_options_go_along_as_they_were_typed_and_no_others(tmp_path, monkeypatch):
    monkeypatch.setattr(handover_commands, "report_of", lambda bundle: " ".join(report_words(bundle)).encode())
    place = tmp_path / "wagon.zip"
    words = ("--samples", "128", "--set", "wheelbase=2.8 m", "--set", "rear.travel.bump=90 mm")
    result = run("handover", WAGON, "--run-sheet", SHEET, "--output", place, *words)
    assert result.exit_code == 0, result.output
    found, faults = read_bundle(place.read_bytes())
    assert faults == []
    assert found.files[REPORT].decode() == (
        "report wagon.toml --run-sheet=run_sheets/wagon_run_sheet.toml --samples=128 "
        "--set=wheelbase=2.8 m --set=rear.travel.bump=90 mm --output=report.html"
    )
    assert found.files["wagon.toml"] == WAGON.read_bytes()
    assert found.files["run_sheets/wagon_run_sheet.toml"] == SHEET.read_bytes()
    assert "'--set=wheelbase=2.8 m'" in found.files[GUIDE].decode()  # as a shell takes it
    assert run("handover", WAGON, "--output", place).exit_code == 2  # it is there already


def test_all_faults_are_said_before_a_report_is_made(tmp_path, monkeypatch):
    monkeypatch.setattr(handover_commands, "report_of", lambda bundle: pytest.fail("a report was made"))
    words = ("--samples", "1", "--ramp-angle", "50 deg", "--model-error", "9", "--output", tmp_path / "x.html")
    result = run("handover", WAGON, *words)
    assert result.exit_code == 2
    for said in ("--samples 1: outside 64 to 65536", "outside 5 to 35 deg", "--model-error 9", "must end in .zip"):
        assert said in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_report_handed_over_comes_out_the_same_at_a_colleagues(tmp_path):
    """Made and made again by processes of their own; the unpacked files are those handed over."""
    place = tmp_path / "crossover.zip"
    made = run("handover", DEMO / "crossover_minimal.toml", "--samples", "64", "--output", place)
    assert made.exit_code == 0, made.output
    result = run("receive", place, "--again", "--folder", tmp_path / "new")
    assert result.exit_code == 0, result.output
    assert "The report made again here has the same bytes." in result.stdout
    assert max(map(len, result.stdout.replace(str(tmp_path), "").splitlines())) <= 80
    original = (DEMO / "crossover_minimal.toml").read_bytes()
    assert (tmp_path / "new" / "crossover_minimal.toml").read_bytes() == original
    assert {path.name for path in (tmp_path / "new").iterdir()} == {
        REPORT, GUIDE, MANIFEST, "crossover_minimal.toml",
    }  # fmt: skip


@pytest.fixture
def bundle(tmp_path):
    place = tmp_path / "day.zip"
    place.write_bytes(bundle_bytes(BUNDLE))
    return place


def test_what_was_handed_over_is_looked_at_and_unpacked(bundle, tmp_path):
    looked = run("receive", bundle)
    assert looked.exit_code == 0, looked.output
    assert "all as they were handed over" in looked.stdout
    unpacked = run("receive", bundle, "--folder", tmp_path / "new")
    assert unpacked.exit_code == 0, unpacked.output
    assert {name: (tmp_path / "new" / name).read_bytes() for name in CONTENTS} == CONTENTS
    again = run("receive", bundle, "--folder", tmp_path / "new")
    assert (again.exit_code, "is there already" in again.stderr) == (2, True)
    nowhere = run("receive", bundle, "--folder", tmp_path / "no" / "such" / "place")
    assert (nowhere.exit_code, "cannot be written" in nowhere.stderr) == (2, True)
    told = json.loads(run("receive", bundle, "--json").stdout)
    assert {one["file"] for one in told["files"]} >= set(CONTENTS)


def test_what_is_no_bundle_is_told(bundle, tmp_path, monkeypatch):
    bad = tmp_path / "bad.zip"
    bad.write_bytes(b"no zip")
    for path, why in ((bad, "it is no zip"), (tmp_path / "none.zip", "it cannot be opened")):
        done = run("receive", path)
        assert (done.exit_code, why in done.stderr) == (2, True)
    monkeypatch.setattr("articulate.output.handover.LARGEST", 10)
    done = run("receive", bundle)
    assert (done.exit_code, "larger than" in done.stderr) == (2, True)


def test_a_report_that_comes_out_otherwise_is_told(bundle, monkeypatch):
    monkeypatch.setattr(handover_commands, "report_of", lambda found: found.files[REPORT] + b"more")
    done = run("receive", bundle, "--again")
    assert done.exit_code == 1
    assert f"{REPORT}: comes out otherwise here" in done.stderr
    monkeypatch.setattr(handover_commands, "report_of", lambda found: found.files[REPORT])
    assert "the same bytes" in run("receive", bundle, "--again").stdout


def test_what_cannot_be_handed_over_is_told_at_once(tmp_path):
    done = run("handover", "-", "--output", tmp_path / "day.tar")
    assert done.exit_code == 2
    assert "takes the vehicle file along; name it" in done.stderr
    assert "must end in .zip" in done.stderr
    hidden = run("handover", WAGON, "--title", "a\u202eb", "--output", tmp_path / "day.zip")
    assert hidden.exit_code == 2
    assert "letters that cannot be seen" in hidden.stderr
    assert list(tmp_path.iterdir()) == []
