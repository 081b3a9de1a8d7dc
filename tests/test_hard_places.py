"""Hard places: files that are no files, folders that refuse, disks that are full, and writers that are killed."""

from __future__ import annotations

import errno
import os
import signal
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.output import files
from articulate.output.files import FileExistsAlreadyError, UnwritableError, unwritable, write_all, write_whole
from articulate.output.folder_lock import TEMPORARY, one_writer

WAGON = str(Path("vehicle_specs_demo/wagon.toml").resolve())
SHEET = str(Path("vehicle_specs_demo/run_sheets/wagon_run_sheet.toml").resolve())


def mode_of(path):
    return stat.S_IMODE(path.stat().st_mode)


def refuses(*_, **__):
    raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))


@pytest.mark.parametrize(
    "words", [("template", "--output"), ("predict", WAGON, "--trace"), ("logbook", "save", SHEET, "--folder")]
)
def test_a_name_of_300_letters_is_refused(words, tmp_path):
    result = CliRunner().invoke(app, [*words, str(tmp_path / ("x" * 300))])
    assert isinstance(result.exception, SystemExit)
    assert result.exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_only_plain_files_are_replaced(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    to_a_device = tmp_path / "device"
    to_a_device.symlink_to("/dev/null")
    reading, writing = os.pipe()
    for path in (pipe, to_a_device, Path("/dev/null"), Path(f"/dev/fd/{writing}")):
        with pytest.raises(UnwritableError, match="no plain file"):
            write_whole(path, "new", replace=True)
    os.close(reading)
    os.close(writing)
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    assert to_a_device.is_symlink()
    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)


def test_a_link_is_followed(tmp_path):
    folder = tmp_path / "folder"
    folder.mkdir()
    target, link, loop = folder / "target", tmp_path / "link", tmp_path / "loop"
    link.symlink_to(target)
    loop.symlink_to(loop)
    write_whole(link, "first")
    with pytest.raises(FileExistsAlreadyError):
        write_whole(link, "second")
    write_whole(link, "second", replace=True)
    assert link.is_symlink()
    assert target.read_text() == "second"
    assert [path.name for path in folder.iterdir()] == ["target"]
    with pytest.raises(UnwritableError, match="no file can stand there"):
        write_whole(loop, "new", replace=True)


@pytest.mark.parametrize("umask", [0o022, 0o077])
def test_a_new_file_follows_the_umask_and_a_replaced_one_keeps_its_permissions(umask, tmp_path):
    private = tmp_path / "private"
    private.write_text("old")
    private.chmod(0o600)
    before = os.umask(umask)
    try:
        write_whole(tmp_path / "new", "x")
        write_whole(private, "new", replace=True)
        write_all({private: "newer", tmp_path / "other": "x"}, replace=True)
    finally:
        os.umask(before)
    assert mode_of(tmp_path / "new") == 0o666 & ~umask
    assert mode_of(private) == 0o600
    assert private.read_text() == "newer"


@pytest.mark.parametrize("refused", [("link",), ("chmod",), ("link", "chmod")], ids=" and ".join)
def test_a_place_without_hard_links_or_permissions_takes_files(refused, tmp_path, monkeypatch):
    # What FAT and some foreign mounts answer: EPERM (link(2), chmod(2)).
    for name in refused:
        monkeypatch.setattr(os, name, refuses)
    path = tmp_path / "x"
    write_whole(path, "first")
    with pytest.raises(FileExistsAlreadyError):
        write_whole(path, "second")
    assert path.read_text() == "first"
    write_whole(path, "second", replace=True)
    assert path.read_text() == "second"
    assert list(tmp_path.iterdir()) == [path]


def test_without_hard_links_a_file_made_meanwhile_stays(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "link", refuses)
    temporary, place = tmp_path / "temporary", tmp_path / "place"
    temporary.write_text("ours")
    place.write_text("theirs")
    with pytest.raises(FileExistsAlreadyError):
        files._place(temporary, place, replace=False)
    assert place.read_text() == "theirs"


def test_nothing_stays_of_a_name_that_was_taken_in_vain(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "link", refuses)
    with pytest.raises(UnwritableError):
        files._place(tmp_path / "is gone", tmp_path / "place", replace=False)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_takes_no_file_is_told_without_writing():
    assert "nothing can be written in the folder /proc" in unwritable(Path("/proc/x.svg"))


KILLED = """
import os, sys
from pathlib import Path
from articulate.output import files
files._place = lambda *_: os._exit(9)
files.write_whole(Path(sys.argv[1]), "half")
"""


def test_what_a_killed_writer_left_is_cleared_by_the_next(tmp_path):
    path = tmp_path / "x"
    assert subprocess.run([sys.executable, "-c", KILLED, str(path)], check=False).returncode == 9
    assert len(list(tmp_path.glob(f"*{TEMPORARY}"))) == 1
    write_whole(path, "whole")
    assert list(tmp_path.iterdir()) == [path]


def test_what_another_writer_is_at_is_left_alone(tmp_path):
    theirs = tmp_path / f".theirs.0{TEMPORARY}"
    theirs.write_text("half")
    with files.among_writers(tmp_path):
        theirs.write_text("half")
        write_whole(tmp_path / "x", "whole")
        assert theirs.exists()
    with one_writer(tmp_path):
        assert not theirs.exists()
        write_whole(tmp_path / "x", "by the one writer", replace=True)
    assert [path.name for path in tmp_path.iterdir()] == ["x"]  # and no lock


def test_what_was_replaced_is_put_back_on_a_full_disk(tmp_path, monkeypatch):
    first, second = tmp_path / "first", tmp_path / "second"
    first.write_text("old")
    place = files._place

    def full(*_, **__):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    def fails(temporary, path, replace):
        if path == second:
            monkeypatch.setattr(os, "open", full)
            raise UnwritableError("the disk is full", path)
        place(temporary, path, replace)

    monkeypatch.setattr(files, "_place", fails)
    with pytest.raises(UnwritableError):
        write_all({first: "new", second: "new"}, replace=True)
    assert first.read_text() == "old"
    assert not second.exists()


def test_an_interrupt_between_two_files_waits_for_the_second(tmp_path, monkeypatch):
    first, second = tmp_path / "first", tmp_path / "second"
    first.write_text("old")
    place = files._place

    def interrupted(temporary, path, replace):
        place(temporary, path, replace)
        if path == first:
            signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(files, "_place", interrupted)
    usual = signal.signal(signal.SIGINT, signal.default_int_handler)  # a process in the background may ignore it
    try:
        with pytest.raises(KeyboardInterrupt):
            write_all({first: "new", second: "new"}, replace=True)
    finally:
        signal.signal(signal.SIGINT, usual)
    assert first.read_text() == second.read_text() == "new"
    assert {path.name for path in tmp_path.iterdir()} == {"first", "second"}


def test_the_disk_that_is_full_is_named(tmp_path, monkeypatch):
    def full(_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(UnwritableError, match="No space left"):
        write_whole(tmp_path / "x", "new")
    assert list(tmp_path.iterdir()) == []
