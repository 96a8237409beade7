"""The journal of changes to a campaign's documents, and the texts that it names."""

from __future__ import annotations

import hashlib
import json
import os
import re
import secrets
import time
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

from loftwright.documents.files import read_regular, write_atomically
from loftwright.documents.source import LARGEST
from loftwright.documents.template import make_folder
from loftwright.errors import Problem, ProblemError, Where

__all__ = [
    "KEPT",
    "Journal",
    "Made",
    "keep_text",
    "kept_text",
    "read_journal",
    "remember",
    "undo_folder",
    "write_journal",
]

KEPT = 200  # changes that can be taken back; with the largest documents that is 25 MB
REMEMBERED = 100  # texts that pages were made from
_JOURNAL, _READ = "journal.json", "read"
_LARGEST_JOURNAL = 4 * 1024 * 1024  # bytes; 200 changes of many fields are far less
_DIGEST = re.compile(r"[0-9a-f]{64}")

Pair = tuple[str | None, str | None]


@dataclass(frozen=True, slots=True)
class Made:
    """A change: when (ISO 8601), in words, and by file the SHA-256 before and after it.

    None stands for a document that was, or is then, not there.
    """

    when: str
    what: str
    files: dict[str, Pair]

    @property
    def key(self) -> str:
        """What tells this change from any other."""
        whole = json.dumps([self.when, self.what, sorted(self.files.items())])
        return hashlib.sha256(whole.encode("utf-8", "surrogatepass")).hexdigest()[:16]


@dataclass(frozen=True, slots=True)
class Journal:
    """Changes in their order; the first ``done`` of them are in force."""

    entries: tuple[Made, ...] = ()
    done: int = 0


def undo_folder(home: Path) -> Path:
    """Return where a campaign keeps what stood in its documents."""
    return home / ".loftwright" / "undo"


def keep_text(home: Path, content: bytes) -> str:
    """Keep the text of a document under its SHA-256, and return that."""
    return _keep(undo_folder(home), content)


def remember(home: Path, content: bytes) -> str:
    """Keep a text that somebody is about to change, so that both changes can be put together.

    The last hundred are kept. Return its SHA-256. Raises ``ProblemError`` where it cannot be kept.
    """
    folder = undo_folder(home) / _READ
    digest = _keep(folder, content)
    with suppress(OSError):  # another has just taken it away
        found = [(path.stat().st_mtime_ns, path) for path in folder.glob("*.toml")]
        # Where the clock was set back, what is remembered now is the latest all the same.
        latest = max([time.time_ns(), *(stamp + 1 for stamp, _ in found)])
        os.utime(folder / f"{digest}.toml", ns=(latest, latest))
        others = sorted(each for each in found if each[1].stem != digest)
        for _, path in others[: max(len(others) - REMEMBERED + 1, 0)]:
            path.unlink(missing_ok=True)
    return digest


def kept_text(home: Path, digest: str) -> bytes | None:
    """Return a text by its SHA-256, kept or remembered; None where it is not whole any more."""
    if not _DIGEST.fullmatch(digest):
        return None
    folder = undo_folder(home)
    for path in (folder / f"{digest}.toml", folder / _READ / f"{digest}.toml"):
        with suppress(ProblemError):
            content = read_regular(path, LARGEST)
            if hashlib.sha256(content).hexdigest() == digest:
                return content
    return None


def read_journal(home: Path, *, anew: bool = False) -> Journal:
    """Return the journal; an empty one where there is none.

    Raises ``ProblemError`` with ``undo-unreadable`` for one that is damaged; with ``anew`` it is
    set aside instead, and a new one is begun.
    """
    path = undo_folder(home) / _JOURNAL
    if not path.exists():
        return Journal()
    try:
        return _journal(home, json.loads(read_regular(path, _LARGEST_JOURNAL)))
    except (ValueError, TypeError, KeyError, RecursionError, ProblemError) as error:
        if not anew:
            message = "the journal of changes cannot be read: it was damaged, or is of another kind"
            mend = "move it away; changes from now on can be taken back"
            where = Where(file=str(path))
            raise ProblemError([Problem("undo-unreadable", message, where, mend)]) from error
        _set_aside(path)
        return Journal()


def _set_aside(path: Path) -> None:
    try:
        path.rename(path.with_name(f"journal-{secrets.token_hex(4)}.unreadable"))
    except OSError as error:
        message = f"the damaged journal of changes cannot be set aside: {error.strerror or error}"
        mend = "see whether the folder may be written to"
        where = Where(file=str(path))
        raise ProblemError([Problem("file-not-written", message, where, mend)]) from error


def write_journal(home: Path, journal: Journal) -> None:
    """Write the journal, its oldest changes left out where there are many, and tidy the texts."""
    over = max(len(journal.entries) - KEPT, 0)
    entries, done = journal.entries[over:], max(journal.done - over, 0)
    body = {
        "format": 1,
        "done": done,
        "changes": [
            {"when": each.when, "what": each.what, "files": each.files} for each in entries
        ],
    }
    make_folder(undo_folder(home))
    write_atomically(undo_folder(home) / _JOURNAL, json.dumps(body, ensure_ascii=False, indent=1))
    _tidy(undo_folder(home), entries)


def _keep(folder: Path, content: bytes) -> str:
    digest = hashlib.sha256(content).hexdigest()
    path = folder / f"{digest}.toml"
    if not path.exists():
        make_folder(folder)
        write_atomically(path, content)
    return digest


def _tidy(folder: Path, entries: Iterable[Made]) -> None:
    """Take away the texts that no change names any more."""
    named = {digest for each in entries for pair in each.files.values() for digest in pair}
    for path in folder.glob("*.toml"):
        if path.stem not in named:
            path.unlink(missing_ok=True)


def _journal(home: Path, body: Any) -> Journal:
    """Return what a journal says; raises where anything in it is not as we write it."""
    entries = tuple(_made(home, each) for each in body["changes"])
    done = body["done"]
    if body["format"] != 1 or not isinstance(done, int) or not 0 <= done <= len(entries):
        raise ValueError("not a journal of ours")
    return Journal(entries, done)


def _made(home: Path, body: Any) -> Made:
    files = {file: _pair(home, file, pair) for file, pair in body["files"].items()}
    when, what = body["when"], body["what"]
    if not isinstance(when, str) or not isinstance(what, str) or not files:
        raise ValueError("not a change of ours")
    return Made(when, what, files)


def _pair(home: Path, file: str, pair: Any) -> Pair:
    """Return the digests of a file, which must lie in the folder: a journal may be anybody's."""
    windows = PureWindowsPath(file)
    leaves = windows.anchor or ".." in windows.parts or PurePosixPath(file).is_absolute()
    before, after = pair
    known = all(each is None or _DIGEST.fullmatch(each) for each in (before, after))
    if leaves or not file.endswith(".toml") or not known:
        raise ValueError("not a document")
    if not (home / file).resolve().is_relative_to(home.resolve()):
        raise ValueError("not in the folder")
    return before, after
