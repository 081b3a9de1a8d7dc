"""Writers of one folder kept apart, and what a writer that was killed left there cleared away."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

TEMPORARY = ".articulate-part"  # how the names of temporary files end


@contextmanager
def one_writer(folder: Path) -> Iterator[None]:
    """Let one process at a time change the files of a folder; others wait.

    The lock is on the folder itself: nothing is left of it, and it goes with the process, however that ends. Where
    the system (Windows) or the folder knows no such lock, writers are not kept apart.
    """
    with _locked(folder, alone=True, wait=True) as locked:
        if locked:
            _clear(folder)
        yield


@contextmanager
def among_writers(folder: Path) -> Iterator[None]:
    """Write in a folder, perhaps beside others; whoever finds nobody else writing clears it first."""
    with _locked(folder, alone=True, wait=False) as locked:
        if locked:
            _clear(folder)
    with _locked(folder, alone=False, wait=False):
        yield


@contextmanager
def _locked(folder: Path, *, alone: bool, wait: bool) -> Iterator[bool]:
    """Hold a lock on a folder; tells whether it was to be had."""
    try:
        import fcntl  # noqa: PLC0415 not on every system

        handle = os.open(folder, os.O_RDONLY)
    except (ImportError, OSError):
        yield False
        return
    try:
        locked = True
        try:
            fcntl.flock(handle, (fcntl.LOCK_EX if alone else fcntl.LOCK_SH) | (0 if wait else fcntl.LOCK_NB))
        except OSError:
            locked = False
        yield locked
    finally:
        os.close(handle)


def _clear(folder: Path) -> None:
    """Remove temporary files, none of which is in use."""
    for left in folder.glob(f".*{TEMPORARY}"):
        with suppress(OSError):
            left.unlink()
