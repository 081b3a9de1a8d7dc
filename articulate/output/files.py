"""Writing files whole or not at all, and never over another without being asked."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class FileExistsAlreadyError(FileExistsError):
    """The file is there already and nobody asked for it to be replaced."""


class UnwritableError(OSError):
    """The file cannot be written where it was asked for."""


_THERE_ALREADY = "is there already; give another name, or --replace"


def unwritable(path: Path, replace: bool = False) -> str:
    """Why a file could not be written, and what would work; empty where nothing is seen against it.

    Args:
        path: where to.
        replace: whether a file that is there may be replaced.
    """
    if path.is_dir():
        return "is a folder; name a file in it"
    if not path.parent.is_dir():
        what = "is a file" if path.parent.exists() else "is not there"
        return f"the folder {path.parent} {what}; make it, or name another"
    return _THERE_ALREADY if path.exists() and not replace else ""


def write_whole(path: Path, content: str | bytes, replace: bool = False) -> None:
    """Write a file so that it is there complete, or not at all.

    Args:
        path: where to.
        content: what it holds; text is written as UTF-8.
        replace: whether a file that is there may be replaced.

    Raises:
        FileExistsAlreadyError: the file is there and `replace` is false.
        UnwritableError: its folder is missing or closed, or its name is that of a folder.
    """
    fault = unwritable(path, replace)
    if fault:
        raise (FileExistsAlreadyError if path.is_file() else UnwritableError)(fault)
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.")
    except OSError as error:
        why = f"nothing can be written in the folder {path.parent} ({error.strerror})"
        raise UnwritableError(f"{why}; name another") from None
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content.encode("utf-8") if isinstance(content, str) else content)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).chmod(0o644)
        if replace:
            Path(temporary).replace(path)
        else:
            try:
                os.link(temporary, path)  # fails if somebody made it meanwhile
            except FileExistsError:
                raise FileExistsAlreadyError(_THERE_ALREADY) from None
    finally:
        Path(temporary).unlink(missing_ok=True)


@contextmanager
def one_writer(folder: Path) -> Iterator[None]:
    """Let one process at a time change the files of a folder; the lock goes with the process, however it ends.

    Where the system has no such lock (Windows), writers are not kept apart.
    """
    try:
        import fcntl  # noqa: PLC0415 not on every system
    except ImportError:
        yield
        return
    with (folder / ".lock").open("a") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
