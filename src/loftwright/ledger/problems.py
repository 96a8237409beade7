"""What the database says, in words for people: every refusal of the ledger is made here."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from loftwright.errors import Problem, ProblemError, Where

__all__ = ["MEND_DAMAGE", "WAIT_S", "refused", "said_by"]

WAIT_S = 5.0  # how long another program that writes is waited for

MEND_DAMAGE = "put the file aside and keep it; see loftwright explain ledger-damaged"

# Primary result codes of SQLite (https://www.sqlite.org/rescode.html).
_BUSY, _LOCKED, _READONLY, _IOERR, _CORRUPT, _FULL, _CANTOPEN, _NOTADB = 5, 6, 8, 10, 11, 13, 14, 26

_WORDS: dict[int, tuple[str, str, str]] = {
    _BUSY: (
        "ledger-busy",
        f"another program has been writing to the ledger for {WAIT_S:.0f} s",
        "wait until it is done, then do the same again; nothing was written",
    ),
    _READONLY: (
        "ledger-read-only",
        "the ledger may be read but not written",
        "see whether the folder or disk is write-protected, or full; nothing was written",
    ),
    _IOERR: (
        "ledger-no-room",
        "the disk does not take what is to be written",
        "see whether it is full or failing; what was written before stands, this was not written",
    ),
    _CORRUPT: (
        "ledger-damaged",
        "the ledger is damaged",
        MEND_DAMAGE,
    ),
    _FULL: (
        "ledger-no-room",
        "there is no room left for the ledger",
        "make room on the disk, then do the same again; what was written before stands",
    ),
    _CANTOPEN: (
        "ledger-unreadable",
        "the ledger cannot be opened",
        "see whether the folder is there, and may be read and written by you",
    ),
    _NOTADB: (
        "ledger-not-ours",
        "this file is no ledger",
        "move it away, or give the folder of a campaign",
    ),
}
_SAME = {_LOCKED: _BUSY}
# How errors without a code of their own begin when the tables or texts are not what we made.
_BROKEN = ("could not decode", "malformed", "no such table", "no such column", "no such index")


def refused(code: str, message: str, mend: str, file: Path | str | None = None) -> ProblemError:
    """Return the error of one refusal."""
    where = Where(file=None if file is None else str(file))
    return ProblemError([Problem(code, message, where, mend)])


def said_by(error: sqlite3.Error | UnicodeDecodeError, file: Path | str) -> ProblemError | None:
    """Return what ``error`` means to a person; None where it is a fault of this program."""
    primary = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if isinstance(error, UnicodeDecodeError) or str(error).lower().startswith(_BROKEN):
        primary = _CORRUPT
    words = _WORDS.get(_SAME.get(primary, primary))
    if words is None:
        return None
    code, message, mend = words
    return refused(code, message, mend, file)
