"""Reading a document and writing it back, with nobody else doing so meanwhile."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from loftwright.errors import Problem, ProblemError, Where

__all__ = ["writing_alone"]

PATIENCE = 20.0  # s; who holds a document writes it within a fraction of one
PAUSE = 0.01  # s


@contextmanager
def writing_alone(path: Path) -> Iterator[None]:
    """Hold the documents in the folder of ``path`` against all others that ask for it like this.

    The system lets go of them when a command ends, however it ends, so that a killed one holds
    nobody up. Readers never wait: they see the old document or the new one. On a file system
    without locks nothing is held; documents are still written whole or not at all.

    Raises ``ProblemError`` with ``file-busy`` where others do not let go of it.
    """
    handle = _opened(path.parent)
    if handle is None:
        yield
        return
    try:
        _wait_for(handle, path)
        yield
    finally:
        os.close(handle)
        _tidy(path.parent)


def _wait_for(handle: int, path: Path) -> None:
    until = time.monotonic() + PATIENCE
    while not _is_mine(handle):
        if time.monotonic() > until:
            message = "another command holds this file, and does not let go of it"
            mend = "let it end, or stop it; then run the same command again"
            raise ProblemError([Problem("file-busy", message, Where(file=str(path)), mend)])
        time.sleep(PAUSE)  # no system waits for a lock with a limit of time


if sys.platform == "win32":
    import msvcrt

    HELD = ".held"  # no folder can be held there, but a file in it

    def _opened(folder: Path) -> int | None:
        try:
            return os.open(folder / HELD, os.O_RDWR | os.O_CREAT)
        except OSError:  # whoever writes into it will say what is wrong with it
            return None

    def _is_mine(handle: int) -> bool:
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _tidy(folder: Path) -> None:
        with suppress(OSError):  # another has it open
            (folder / HELD).unlink()

else:
    import fcntl

    def _opened(folder: Path) -> int | None:
        try:
            return os.open(folder, os.O_RDONLY)
        except OSError:  # whoever writes into it will say what is wrong with it
            return None

    def _is_mine(handle: int) -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError:  # a file system without locks
            return True
        return True

    def _tidy(folder: Path) -> None:
        """Leave nothing: the folder itself was held."""
