"""What stood in the documents before each change, so that it can be taken back after a restart.

``DIR/.loftwright/undo/`` holds ``journal.json``, the changes in their order and how many of them
are in force, and beside it every text before and after one, under its SHA-256. A text is kept
before the journal names it, and the journal names a change before it is made: killed at any
point, nothing that stood is lost. Whether a change was made is seen by the documents themselves.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from loftwright.documents.alone import writing_alone
from loftwright.documents.files import read_regular, write_atomically
from loftwright.documents.flights import home_of
from loftwright.documents.journal import (
    Journal,
    Made,
    keep_text,
    kept_text,
    read_journal,
    write_journal,
)
from loftwright.documents.source import LARGEST
from loftwright.errors import Problem, ProblemError, Where

__all__ = ["Steps", "content_of", "digest_of", "redo", "steps", "undo", "write_documents"]


@dataclass(frozen=True, slots=True)
class Steps:
    """The change that an undo would take back and the one that a redo would make again.

    ``blocked`` are the documents that somebody changed since by other means, by which the undo
    is refused.
    """

    undo: Made | None
    redo: Made | None
    blocked: tuple[str, ...] = ()


def digest_of(content: bytes | None) -> str | None:
    """Return the SHA-256 of a document; None for one that is not there."""
    return None if content is None else hashlib.sha256(content).hexdigest()


def content_of(path: Path) -> bytes | None:
    """Return the bytes of a document, None where there is none.

    Raises ``ProblemError`` where it cannot be read.
    """
    return read_regular(path, LARGEST, name=path.name) if path.exists() else None


def write_documents(
    home: Path, contents: Mapping[str, bytes | None], what: str, *, now: datetime | None = None
) -> None:
    """Write documents, by file within ``home``, as one change called ``what``; None deletes one.

    What stood before is kept first, and what had been taken back can no longer be made again. Must
    be called while ``writing_alone`` holds the folder. Raises ``ProblemError`` where something
    cannot be written; the documents then are as they were.
    """
    before = {file: content_of(home / file) for file in contents}
    made = {file: content for file, content in contents.items() if content != before[file]}
    if not made:
        return
    _refuse_large(made)
    journal = _in_step(read_journal(home, anew=True), home)
    for content in (*(before[file] for file in made), *made.values()):
        if content is not None:
            keep_text(home, content)
    files = {file: (digest_of(before[file]), digest_of(content)) for file, content in made.items()}
    moment = (now or datetime.now(UTC)).isoformat(timespec="seconds")
    entry = Made(moment, what, files)
    entries = (*journal.entries[: journal.done], entry)
    write_journal(home, Journal(entries, len(entries)))
    _put(home, made, before)


def undo(folder: Path, key: str | None = None) -> Made:
    """Take back the last change, and return it; with ``key`` only where it is that of the change.

    Raises ``ProblemError``: ``undo-nothing``, ``undo-another`` where it is not, and somebody may
    have changed something since it was looked at, ``undo-changed-since`` where one of its documents
    was changed since by other means, ``undo-lost`` where a kept text is gone or damaged.
    """
    home = home_of(folder)
    with writing_alone(home / "campaign.toml"):
        journal = _in_step(read_journal(home), home)
        if journal.done == 0:
            raise _problem("undo-nothing", "there is no change to take back", "", str(folder))
        entry = journal.entries[journal.done - 1]
        _refuse_another(entry, key, "taken back")
        _step(home, entry, {file: pair[::-1] for file, pair in entry.files.items()}, "undo")
        write_journal(home, replace(journal, done=journal.done - 1))
        return entry


def redo(folder: Path, key: str | None = None) -> Made:
    """Make again the change that was taken back last, and return it; as `undo` does."""
    home = home_of(folder)
    with writing_alone(home / "campaign.toml"):
        journal = _in_step(read_journal(home), home)
        if journal.done == len(journal.entries):
            raise _problem("undo-nothing", "there is no change to make again", "", str(folder))
        entry = journal.entries[journal.done]
        _refuse_another(entry, key, "made again")
        _step(home, entry, entry.files, "redo")
        write_journal(home, replace(journal, done=journal.done + 1))
        return entry


def _refuse_another(entry: Made, key: str | None, done: str) -> None:
    if key is not None and key != entry.key:
        message = f"another change came meanwhile, and nothing was {done}; it is now: {entry.what}"
        where, mend = Where(file=min(entry.files)), "look at what it is now, and decide again"
        raise ProblemError([Problem("undo-another", message, where, mend)])


def steps(folder: Path) -> Steps:
    """Say what undo and redo would do in the campaign in ``folder``; changes nothing.

    Raises ``ProblemError`` where the journal cannot be read.
    """
    home = home_of(folder)
    journal = _in_step(read_journal(home), home)
    back = journal.entries[journal.done - 1] if journal.done else None
    again = journal.entries[journal.done] if journal.done < len(journal.entries) else None
    blocked = [] if back is None else _astray(home, back.files)
    return Steps(back, again, tuple(blocked))


def _in_step(journal: Journal, home: Path) -> Journal:
    """Return the journal as the documents show it: a change broken off was not made."""
    done = journal.done
    while done and _stand(home, journal.entries[done - 1], 0):
        done -= 1
    if done == journal.done:
        while (
            done < len(journal.entries)
            and _stand(home, journal.entries[done], 1)
            and not (done and _stand(home, journal.entries[done - 1], 1))
        ):
            done += 1
    return replace(journal, done=done)


def _stand(home: Path, entry: Made, side: int) -> bool:
    """Tell whether all documents of a change are as before it (0) or after it (1)."""
    return all(_digest_there(home, file) == pair[side] for file, pair in entry.files.items())


def _digest_there(home: Path, file: str) -> str | None:
    try:
        return digest_of(content_of(home / file))
    except ProblemError:  # a folder or a device: not what we left there
        return ""


def _astray(home: Path, files: Mapping[str, tuple[str | None, str | None]]) -> list[str]:
    """Return the documents that are neither as before a change nor as after it."""
    return [file for file, pair in files.items() if _digest_there(home, file) not in pair]


def _step(
    home: Path, entry: Made, files: Mapping[str, tuple[str | None, str | None]], verb: str
) -> None:
    """Write the second text of each pair where the first stands."""
    if astray := _astray(home, files):
        message = (
            f"the document was changed by other means after the last change through "
            f"Loftwright ({entry.what}); {verb} would lose that"
        )
        mend = "set the field anew instead, or put the document back as it was"
        where = [Where(file=file) for file in astray]
        raise ProblemError([Problem("undo-changed-since", message, each, mend) for each in where])
    contents = {file: _kept(home, file, pair[1]) for file, pair in files.items()}
    _put(home, contents, {file: content_of(home / file) for file in files})


def _kept(home: Path, file: str, digest: str | None) -> bytes | None:
    content = None if digest is None else kept_text(home, digest)
    if digest is not None and content is None:
        mend = "set the field anew; the document stays as it is"
        raise _problem("undo-lost", "the text that stood here is no longer kept", mend, file)
    return content


def _put(
    home: Path, contents: Mapping[str, bytes | None], before: Mapping[str, bytes | None]
) -> None:
    """Write documents, campaign.toml last; after an error put back what was written."""
    written: list[str] = []
    try:
        for file in sorted(contents, key=lambda file: file == "campaign.toml"):
            written.append(file)
            _put_one(home / file, contents[file])
    except ProblemError:
        for file in written:
            with suppress(ProblemError):  # the first error says what is wrong with the disk
                _put_one(home / file, before[file])
        raise


def _refuse_large(contents: Mapping[str, bytes | None]) -> None:
    """Raise ``ProblemError`` for a document that could never be read again."""
    for file, content in contents.items():
        if content is not None and len(content) > LARGEST:
            message = f"the document would be larger than {LARGEST // 1024} KiB; nothing is written"
            mend = "keep records and pictures in files of their own"
            raise ProblemError([Problem("doc-too-large", message, Where(file=file), mend)])


def _put_one(path: Path, content: bytes | None) -> None:
    if content is not None:
        write_atomically(path, content)
        return
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        message = f"the file cannot be taken away: {error.strerror or error}"
        where, mend = Where(file=str(path)), "see whether the folder may be written to"
        raise ProblemError([Problem("file-not-written", message, where, mend)]) from error


def _problem(code: str, message: str, mend: str, file: str) -> ProblemError:
    return ProblemError([Problem(code, message, Where(file=file), mend or _NOTHING)])


_NOTHING = "changes by a page, or by loftwright set, can be taken back; those by hand cannot"
