"""Writing files whole or not at all, and never over another without being asked."""

from __future__ import annotations

import os
import secrets
import signal
import stat
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from articulate.errors import ArticulateError
from articulate.output.folder_lock import TEMPORARY, among_writers


class WriteError(ArticulateError, OSError):
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

    A link is followed. That the folder takes a file is tried with one that has no name.

    Args:
        path: where to.
        replace: whether a file that is there may be replaced.
    """
    place = _place_of(path)
    there = None
    try:
        there = path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        pass
    except OSError as error:
        return f"no file can stand there ({error.strerror}); give another name"
    if there is not None and stat.S_ISDIR(there):
        return "is a folder; name a file in it"
    if there is not None and not stat.S_ISREG(there):
        return "is no plain file, and nothing else is replaced; give another name, or - for standard output"
    return _THERE_ALREADY if there is not None and not replace else _closed(place.parent, path.parent)


def _closed(folder: Path, named: Path) -> str:
    """Why no file can be made in a folder, empty where one can."""
    if not os.path.isdir(folder):
        return (
            f"the folder {named} {'is a file' if os.path.exists(folder) else 'is not there'}; make it, or name another"
        )
    try:
        tempfile.TemporaryFile(dir=folder).close()
    except OSError as error:
        return f"nothing can be written in the folder {named} ({error.strerror}); name another"
    return ""


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
            raise (FileExistsAlreadyError if fault == _THERE_ALREADY else UnwritableError)(fault, path)
    with ExitStack() as held:
        for folder in {_place_of(path).parent for path in contents}:
            held.enter_context(among_writers(folder))
        before = {}
        if len(contents) > 1:
            before = {
                path: held.enter_context(_temporary(path, _what_is_there(path)))
                for path in contents
                if _place_of(path).exists()
            }
        ready = {path: held.enter_context(_temporary(path, content)) for path, content in contents.items()}
        placed: list[Path] = []
        with _undisturbed():
            try:
                for path, temporary in ready.items():
                    _place(temporary, path, replace)
                    placed.append(path)
            except BaseException:
                for path in placed:  # needs no room: what was there stands in a file already
                    if path in before:
                        before[path].replace(_place_of(path))
                    else:
                        _place_of(path).unlink()
                raise


@contextmanager
def folder_for_files(folder: Path) -> Iterator[None]:
    """Make a folder, with those above it, for files to be written within; where that fails, those made go again.

    Raises:
        OSError: it cannot be made.
    """
    made = [one for one in (folder, *folder.parents) if not one.exists()]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        yield
    except BaseException:
        for one in made:
            with suppress(OSError):  # not there after all, or not empty
                one.rmdir()
        raise


def _place_of(path: Path) -> Path:
    """Where a file is, or will be, behind all links."""
    return Path(os.path.realpath(path))


def _what_is_there(path: Path) -> bytes:
    try:
        return _place_of(path).read_bytes()
    except OSError as error:
        why = f"what is there cannot be read ({error.strerror}), so it could not be put back"
        raise UnwritableError(f"{why}; give another name", path) from None


@contextmanager
def _temporary(path: Path, content: str | bytes) -> Iterator[Path]:
    """A file beside its place that holds what is to stand there; gone at the end.

    It gets the permissions of the file it will replace, or those that any new file gets.
    """
    place = _place_of(path)
    temporary = place.with_name(f".{place.name[:20]}.{secrets.token_hex(4)}{TEMPORARY}")
    mode = stat.S_IMODE(place.stat().st_mode) if place.exists() else None
    try:
        try:
            with open(
                temporary, "xb", opener=lambda name, how: os.open(name, how, 0o666 if mode is None else mode)
            ) as file:
                file.write(content.encode("utf-8") if isinstance(content, str) else content)
                file.flush()
                os.fsync(file.fileno())
            if mode is not None:
                with suppress(OSError):  # refused on some mounts, where permissions mean nothing
                    temporary.chmod(mode)
        except OSError as error:
            raise UnwritableError(f"it cannot be written ({error.strerror}); name another folder", path) from None
        yield temporary
    finally:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)


def _place(temporary: Path, path: Path, replace: bool) -> None:
    place = _place_of(path)
    try:
        if replace:
            temporary.replace(place)
        else:
            _place_new(temporary, place)
    except FileExistsError:
        raise FileExistsAlreadyError(_THERE_ALREADY, path) from None
    except OSError as error:
        raise UnwritableError(f"it cannot be put in its place ({error.strerror}); name another", path) from None


def _place_new(temporary: Path, place: Path) -> None:
    """Put a file where none is; FileExistsError if somebody made one meanwhile."""
    try:
        os.link(temporary, place)
    except FileExistsError:
        raise
    except OSError:  # no hard links here (FAT, some foreign mounts): first the name alone, then the file
        with open(place, "xb"):
            pass
        try:
            temporary.replace(place)
        except OSError:
            place.unlink()
            raise


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Let Ctrl-C and requests to end wait a moment, where the system can."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM, signal.SIGHUP})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
