"""Long work takes turns: so many commands of a campaign run at once, the others wait in order.

The order is that of asking: whoever asks holds a file while it counts and takes its place, so that
neither a clock that is set back nor a second server can mix it up. Who waits says so in a file of
its job, with its mark; who runs holds a file that the system lets go of when its process ends,
however it ends.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from loftwright.documents.files import read_regular, write_atomically
from loftwright.errors import ProblemError
from loftwright.web.jobs.process import is_alive, mark_of

__all__ = [
    "AT_ONCE",
    "WAITING",
    "StoppedError",
    "asking",
    "is_waiting",
    "my_turn",
    "take_place",
    "takes_turns",
    "waiting",
]

AT_ONCE = 2  # each uses every core by itself; a short one need not wait for a long one
WAITING = "waiting.json"
QUICK = frozenset({"check", "program", "record", "ledger"})  # verbs that need not take turns
PAUSE = 0.1  # s


class StoppedError(Exception):
    """Somebody wanted it stopped while it waited."""


def takes_turns(verb: str) -> bool:
    """Tell whether a command waits for others to end."""
    return verb not in QUICK


@contextmanager
def asking(jobs: Path) -> Iterator[None]:
    """Let nobody else ask for work of this campaign meanwhile; raises ``OSError``."""
    handle = os.open(jobs / ".asking", os.O_RDWR | os.O_CREAT, 0o600)
    try:
        _lock(handle, wait=True)
        yield
    finally:
        os.close(handle)


def take_place(folder: Path, order: int, mark: dict[str, Any], *, is_here: bool) -> None:
    """Put the job in ``folder`` in line, behind all that have a smaller ``order``.

    Its place is taken for it when it is asked for; ``is_here`` says that it has come, and waits.
    """
    line = {**mark, "order": order, "is_here": is_here}
    write_atomically(folder / WAITING, json.dumps(line))


@contextmanager
def my_turn(folder: Path, order: int) -> Iterator[None]:
    """Wait until the job in ``folder`` may run, and hold its turn. Raises ``StoppedError``."""
    with asking(folder.parent):  # whoever asked for this job has taken its place by now
        take_place(folder, order, mark_of(os.getpid()), is_here=True)
    try:
        held = _wait(folder, order)
    finally:
        (folder / WAITING).unlink(missing_ok=True)
    try:
        yield
    finally:
        os.close(held)


def _wait(folder: Path, order: int) -> int:
    own = (order, folder.name)
    while True:
        if (folder / "stop").exists():
            raise StoppedError
        if not any(place < own for place in waiting(folder.parent)):
            for number in range(AT_ONCE):
                held = _taken(folder.parent / f".turn-{number}")
                if held is not None:
                    return held
        time.sleep(PAUSE)  # no system waits for one of several locks


def waiting(jobs: Path) -> list[tuple[int, str]]:
    """Return the places of the jobs that wait, or are about to: their order and name."""
    found = ((path.parent, _place(path.parent)) for path in jobs.glob(f"*/{WAITING}"))
    return [(_order(place), folder.name) for folder, place in found if is_alive(place)]


def is_waiting(folder: Path) -> bool:
    """Tell whether a job waits, and is there to take its turn."""
    place = _place(folder)
    return place is not None and bool(place.get("is_here", True)) and is_alive(place)


def _place(folder: Path) -> dict[str, Any] | None:
    try:
        place = json.loads(read_regular(folder / WAITING, 4096))
    except (ProblemError, ValueError, RecursionError):  # it has just begun
        return None
    return place if isinstance(place, dict) else None


def _order(place: dict[str, Any] | None) -> int:
    order = place.get("order") if place else None
    return order if isinstance(order, int) else 0


def _taken(path: Path) -> int | None:
    """Return a handle that holds ``path``, None where another does."""
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        _lock(handle, wait=False)
    except OSError:
        os.close(handle)
        return None
    return handle


if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int, *, wait: bool) -> None:
        msvcrt.locking(handle, msvcrt.LK_LOCK if wait else msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(handle: int, *, wait: bool) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
