"""Reading a document and writing it back, with nobody else doing so meanwhile."""

from __future__ import annotations

import os
import secrets
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from loftwright.errors import Problem, ProblemError, Where

__all__ = ["writing_alone"]

FORSAKEN = 30.0  # s; who holds a document writes it within a fraction of one
PATIENCE = 2.0 * FORSAKEN  # s
PAUSE = 0.01  # s


@contextmanager
def writing_alone(path: Path) -> Iterator[None]:
    """Hold the document at ``path`` against every other command that asks for it like this.

    A file beside it says so while it is held: no system call for locks works on every file system,
    but all let one process alone create a name. One that a killed command left behind is taken
    away. Readers are not held up, for they see the old document or the new one.

    Raises ``ProblemError``: ``file-not-written`` where nothing can be written there, ``file-busy``
    where others do not let go of it.
    """
    held = path.with_name(f".{path.name}.held")
    _take(path, held)
    try:
        yield
    finally:
        with suppress(FileNotFoundError):
            held.unlink()


def _take(path: Path, held: Path) -> None:
    until = time.monotonic() + PATIENCE
    while True:
        try:
            os.close(os.open(held, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
            return
        except FileExistsError:
            pass
        except PermissionError as error:
            # Windows says so of a name that is just being taken away.
            if os.name != "nt" or not held.exists():
                raise _not_written(path, error) from error
        except OSError as error:
            raise _not_written(path, error) from error
        _take_away_forsaken(held)
        if time.monotonic() > until:
            message = "other commands keep writing this file"
            mend = f"let them end; where none runs, delete {held.name} beside it"
            raise ProblemError([Problem("file-busy", message, Where(file=str(path)), mend)])
        time.sleep(PAUSE)


def _take_away_forsaken(held: Path) -> None:
    """Take away what a killed command left: renamed first, which one process alone can do."""
    with suppress(OSError):  # another was faster, or it is held by somebody after all
        if time.time() - held.stat().st_mtime > FORSAKEN:
            old = held.with_name(f"{held.name}.{secrets.token_hex(4)}.part")
            held.rename(old)
            old.unlink()


def _not_written(path: Path, error: OSError) -> ProblemError:
    message = f"the file cannot be written: {error.strerror or error}"
    mend = "see whether the folder exists, may be written to and has room"
    return ProblemError([Problem("file-not-written", message, Where(file=str(path)), mend)])
