"""Long work takes turns: so many commands of a campaign run at once, the others wait in order.

Who waits says so in a file of its job, with its mark; who runs holds a file that the system lets
go of when its process ends, however it ends.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from loftwright.documents.files import read_regular, write_atomically
from loftwright.errors import ProblemError
from loftwright.web.jobs.process import is_alive, mark_of

__all__ = ["AT_ONCE", "WAITING", "StoppedError", "is_waiting", "my_turn", "waiting"]

AT_ONCE = 2  # each uses every core by itself; a short one need not wait for a long one
WAITING = "waiting.json"
PAUSE = 0.1  # s


class StoppedError(Exception):
    """Somebody wanted it stopped while it waited."""


@contextmanager
def my_turn(folder: Path) -> Iterator[None]:
    """Wait until the job in ``folder`` may run, and hold its turn. Raises ``StoppedError``."""
    write_atomically(folder / WAITING, json.dumps(mark_of(os.getpid())))
    try:
        held = _wait(folder)
    finally:
        (folder / WAITING).unlink(missing_ok=True)
    try:
        yield
    finally:
        os.close(held)


def _wait(folder: Path) -> int:
    while True:
        if (folder / "stop").exists():
            raise StoppedError
        if not any(each.name < folder.name for each in waiting(folder.parent)):
            for number in range(AT_ONCE):
                held = _taken(folder.parent / f".turn-{number}")
                if held is not None:
                    return held
        time.sleep(PAUSE)  # no system waits for one of several locks


def waiting(jobs: Path) -> list[Path]:
    """Return the folders of the jobs that wait."""
    found = list(jobs.glob(f"*/{WAITING}"))
    return [path.parent for path in found if is_waiting(path.parent)]


def is_waiting(folder: Path) -> bool:
    """Tell whether a job waits, and is there to take its turn."""
    try:
        mark = json.loads(read_regular(folder / WAITING, 4096))
    except (ProblemError, ValueError, RecursionError):  # it has just begun
        return False
    return isinstance(mark, dict) and is_alive(mark)


def _taken(path: Path) -> int | None:
    """Return a handle that holds ``path``, None where another does."""
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        _lock(handle)
    except OSError:
        os.close(handle)
        return None
    return handle


if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
