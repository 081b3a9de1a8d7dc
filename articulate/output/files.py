"""Writing files whole or not at all, and never over another without being asked."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from pathlib import Path


class WriteError(OSError):
    """A file that was not written: why, and what would work; `path` is the one that could not be."""

    def __init__(self, why: str, path: Path) -> None:
        super().__init__(why)
        self.path = path


class FileExistsAlreadyError(WriteError, FileExistsError):
    """The file is there already and nobody asked for it to be replaced."""


class UnwritableError(WriteError):
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
        WriteError: as `write_all`.
    """
    write_all({path: content}, replace)


def write_all(contents: Mapping[Path, str | bytes], replace: bool = False) -> None:
    """Write the files of one answer, each complete, or none of them.

    All of them stand complete in temporary files before the first is put in its place; where a later one cannot be
    put in its place, those before it are taken back, and what they replaced is put back.

    Args:
        contents: by place; text is written as UTF-8.
        replace: whether files that are there may be replaced.

    Raises:
        FileExistsAlreadyError: one is there and `replace` is false.
        UnwritableError: a folder is missing or closed, the disk is full, or a name is that of a folder.
    """
    for path in contents:
        if fault := unwritable(path, replace):
            raise (FileExistsAlreadyError if path.is_file() else UnwritableError)(fault, path)
    before = {path: path.read_bytes() for path in contents if len(contents) > 1 and path.exists()}
    with ExitStack() as temporaries:
        ready = {path: temporaries.enter_context(_temporary(path, content)) for path, content in contents.items()}
        placed: list[Path] = []
        try:
            for path, temporary in ready.items():
                _place(temporary, path, replace)
                placed.append(path)
        except BaseException:
            for path in placed:
                if path in before:
                    write_all({path: before[path]}, replace=True)
                else:
                    path.unlink()
            raise


@contextmanager
def _temporary(path: Path, content: str | bytes) -> Iterator[Path]:
    """A file beside its place that holds what is to stand there; gone at the end."""
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.")
    except OSError as error:
        why = f"nothing can be written in the folder {path.parent} ({error.strerror})"
        raise UnwritableError(f"{why}; name another", path) from None
    temporary = Path(name)
    try:
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content.encode("utf-8") if isinstance(content, str) else content)
                file.flush()
                os.fsync(file.fileno())
            temporary.chmod(0o644)
        except OSError as error:
            raise UnwritableError(f"it cannot be written ({error.strerror}); name another folder", path) from None
        yield temporary
    finally:
        temporary.unlink(missing_ok=True)


def _place(temporary: Path, path: Path, replace: bool) -> None:
    try:
        if replace:
            temporary.replace(path)
        else:
            os.link(temporary, path)  # fails if somebody made it meanwhile
    except FileExistsError:
        raise FileExistsAlreadyError(_THERE_ALREADY, path) from None
    except OSError as error:
        raise UnwritableError(f"it cannot be put in its place ({error.strerror}); name another", path) from None


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
