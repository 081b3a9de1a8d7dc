"""Writing files whole or not at all, and never over another without being asked."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class FileExistsAlreadyError(FileExistsError):
    """The file is there already and nobody asked for it to be replaced."""


def write_whole(path: Path, content: str | bytes, replace: bool = False) -> None:
    """Write a file so that it is there complete, or not at all.

    Args:
        path: where to.
        content: what it holds; text is written as UTF-8.
        replace: whether a file that is there may be replaced.

    Raises:
        FileExistsAlreadyError: the file is there and `replace` is false.
    """
    if path.exists() and not replace:
        raise FileExistsAlreadyError(f"{path} is there already; give another name, or --replace")
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
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
                raise FileExistsAlreadyError(f"{path} is there already; give another name, or --replace") from None
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
