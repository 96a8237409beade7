"""Reading and writing files: nothing but regular files, nothing endless, nothing half written."""

from __future__ import annotations

import os
import secrets
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from loftwright.errors import Problem, ProblemError, Where

__all__ = ["open_regular", "read_regular", "replacing", "sync_folder", "write_atomically"]

# A pipe that nobody writes to must not hold the reader up; Windows has no such flag, and would
# change line ends without the other.
_READING = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


def read_regular(path: Path, limit: int, *, name: str | None = None) -> bytes:
    """Return the content of the regular file at ``path``, of at most ``limit`` bytes.

    A link is followed. Never waits, and never reads more than ``limit`` + 1 bytes. Raises
    ``ProblemError`` with one problem, whose place is ``name`` (the path when left out):
    ``file-missing``, ``file-not-a-file`` (a folder, a pipe, a device), ``file-too-large`` or
    ``file-unreadable``.
    """
    shown = Path(name) if name is not None else path
    with open_regular(path, name=name) as stream:
        content = stream.read(limit + 1)
    if len(content) > limit:
        message = f"the file is larger than {limit // 1024} KiB"
        raise _refused(shown, "file-too-large", message, "see whether this is the file you mean")
    return content


@contextmanager
def open_regular(path: Path, *, name: str | None = None) -> Iterator[BinaryIO]:
    """Open the regular file at ``path`` for reading bytes; a link is followed.

    Never waits. Raises ``ProblemError`` as `read_regular` does, also where reading fails later.
    """
    shown = Path(name) if name is not None else path
    try:
        with _opened(path, shown) as stream:
            _refuse_irregular(os.fstat(stream.fileno()).st_mode, shown)
            yield stream
    except OSError as error:
        raise _unreadable(shown, error.strerror or str(error)) from error


def _opened(path: Path, shown: Path) -> BinaryIO:
    try:
        _refuse_irregular(os.stat(path).st_mode, shown)  # first: opening a device may do something
        return open(os.open(path, _READING), "rb")
    except FileNotFoundError as error:
        mend = "write it, or correct the name"
        raise _refused(shown, "file-missing", "there is no such file", mend) from error
    except ValueError as error:  # a name that no file can have
        raise _unreadable(shown, str(error)) from error


def _unreadable(shown: Path, reason: str) -> ProblemError:
    mend = "see whether it may be read and whether another program holds it"
    return _refused(shown, "file-unreadable", f"the file cannot be read: {reason}", mend)


def _refuse_irregular(mode: int, shown: Path) -> None:
    """Raise ``ProblemError`` for what is there but is no regular file."""
    if stat.S_ISDIR(mode):
        mend = "give the name of a file"
        raise _refused(shown, "file-not-a-file", "this is a folder", mend)
    if not stat.S_ISREG(mode):
        message = "this is a pipe or a device, not a regular file"
        raise _refused(shown, "file-not-a-file", message, "give the name of a regular file")


def write_atomically(path: Path, content: str | bytes, *, overwrite: bool = True) -> None:
    """Write ``content`` (text as UTF-8, line ends as they are) to ``path``, whole or not at all.

    As `replacing` does. With ``overwrite=False`` a file that exists is left alone. Raises
    ``ProblemError`` when the file cannot be written, or when something stands there that is no
    regular file: a folder, a pipe, a device.
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    if not overwrite and Path(os.path.realpath(path)).exists():
        raise _refused(path, "file-exists", "the file exists already", "choose another name")
    with replacing(path) as draft:
        draft.write_bytes(data)


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """Yield the name of a new, empty file that takes the place of ``path`` when all went well.

    The new file lies in the same folder, is forced to the disk, and takes its place in one step;
    killed at any point, the old file or the new one stands. A link is followed, and the permissions
    of the old file are kept. After an exception nothing is left of the new file. Raises
    ``ProblemError`` in place of any ``OSError`` met meanwhile, and when something stands there
    that is no regular file.
    """
    target = Path(os.path.realpath(path))
    if target.exists():
        _refuse_irregular(target.stat().st_mode, path)
    draft = target.with_name(f".{target.name}.{secrets.token_hex(4)}.part")
    try:
        draft.touch(exist_ok=False)
        yield draft
        _settle(draft, target)
    except OSError as error:
        message = f"the file cannot be written: {error.strerror or error}"
        mend = "see whether the folder exists, may be written to and has room"
        raise _refused(path, "file-not-written", message, mend) from error
    finally:
        # A disk that takes no writing refuses even to take away what is not there.
        with suppress(OSError):
            draft.unlink(missing_ok=True)


def _refused(path: Path, code: str, message: str, mend: str) -> ProblemError:
    return ProblemError([Problem(code, message, Where(file=str(path)), mend)])


def _settle(draft: Path, target: Path) -> None:
    """Force a new file to the disk and put it in its place, with the target's permissions."""
    with draft.open("r+b") as stream:
        os.fsync(stream.fileno())
    if target.exists():
        draft.chmod(target.stat().st_mode & 0o7777)
    os.replace(draft, target)
    sync_folder(target.parent)


def sync_folder(folder: Path) -> None:
    """Force the new name to the disk, where the system can (Windows does so by itself)."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
