"""Files that a page took in and that belong to nothing yet: ``DIR/.loftwright/inbox/<id>/``.

Each lies in a folder of its own, under a name of ours (``content``), beside what is known of it
(``about.json``). What a person called it is kept for show and for the name it gets as evidence; it
never becomes a path here.
"""

from __future__ import annotations

import json
import os
import re
import secrets
import shutil
import time
import unicodedata
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from loftwright.documents.files import read_regular, sync_folder, write_atomically
from loftwright.documents.flights import EVIDENCE, FLIGHTS, LONGEST, name_fault
from loftwright.errors import Problem, ProblemError, Where

__all__ = ["UNNAMED", "Inbox", "Received", "clean_name"]

CONTENT, ABOUT = "content", "about.json"
UNNAMED = "unnamed"
FORSAKEN = 3600.0  # s after which a half upload is taken away
KEPT = 7 * 24 * 3600.0  # s after which what a flight keeps as well is taken away
_ID, _HALF = re.compile(r"[0-9a-f]{16}"), re.compile(r"[0-9a-f]{16}\.part")
_writing: set[Path] = set()  # half uploads that this process writes to
_ABOUT_LIMIT = 16 * 1024  # bytes
_SAID = {"id": str, "name": str, "size": int, "sha256": str, "kind": str, "why": str, "sure": bool}


@dataclass(frozen=True, slots=True)
class Received:
    """One file in the inbox.

    ``name`` is what it was called, cleaned (see `clean_name`); ``path`` where its bytes lie;
    ``kind`` one of the kinds of `loftwright.evidence.kinds`, told by its bytes, with ``why`` and
    whether that is ``sure``.
    """

    id: str
    name: str
    size: int
    sha256: str
    kind: str
    why: str
    sure: bool
    path: Path


def clean_name(said: str) -> str:
    """Return what a browser or a script calls a file as a name that every system takes.

    Folders before it go, as do signs that cannot be seen, turn the text around or are refused by
    a file system; what is left is cut to a file name's length before its suffix. A name of which
    nothing is left is ``"unnamed"``.
    """
    last = re.split(r"[/\\]", unicodedata.normalize("NFC", said))[-1]
    seen = "".join(sign for sign in last if sign.isprintable() and sign not in '<>:"|?*')
    stem, point, suffix = " ".join(seen.split()).lstrip(".- ").rstrip(". ").rpartition(".")
    if not point:
        stem, suffix = suffix, ""
    if len(suffix) > 12:  # no suffix, but a sentence with a point in it
        stem, point, suffix = f"{stem}.{suffix}", "", ""
    name = (stem[: LONGEST - 16].rstrip(". ") + point + suffix).strip(". ")
    if name_fault(name) is None:
        return name
    return f"{UNNAMED}-{name}" if name and name_fault(f"{UNNAMED}-{name}") is None else UNNAMED


class Inbox:
    """The inbox of the campaign in ``home``; nothing is made before the first file comes.

    Raises ``ProblemError`` (``upload-outside``) where the inbox leads out of the campaign, by a
    link for instance.
    """

    def __init__(self, home: Path) -> None:
        self.home = home
        self.folder = home / ".loftwright" / "inbox"
        if not self.folder.resolve().is_relative_to(home.resolve()):
            message = "the folder for files that come in leads out of the campaign"
            mend = "take the link away, and put a folder in its place"
            where = Where(file=str(self.folder))
            raise ProblemError([Problem("upload-outside", message, where, mend)])

    def all(self) -> tuple[Received, ...]:
        """Return every file that is whole, the latest first."""
        if not self.folder.is_dir():
            return ()
        found: list[tuple[int, Received]] = []
        for each in self.folder.iterdir():
            # Others take files away and bring new ones meanwhile.
            with suppress(FileNotFoundError, ProblemError):
                if _ID.fullmatch(each.name):
                    found.append((each.stat().st_mtime_ns, self.find(each.name)))
        return tuple(each for _, each in sorted(found, key=lambda one: one[0], reverse=True))

    def find(self, number: str) -> Received:
        """Return the file whose id is ``number``.

        Raises ``ProblemError`` (``upload-unknown``) where there is none, whatever ``number`` is.
        """
        about = self.folder / number / ABOUT if _ID.fullmatch(number) else None
        if about is None or not about.is_file():
            raise _unknown(number)
        try:
            said = json.loads(read_regular(about, _ABOUT_LIMIT))
        except (ValueError, RecursionError) as error:  # the machine went off while it was written
            raise _unknown(number) from error
        if not _is_ours(said, number):
            raise _unknown(number)
        return Received(**said, path=about.with_name(CONTENT))

    def discard(self, number: str) -> None:
        """Take the file whose id is ``number`` away; raises ``ProblemError`` as `find` does."""
        _take_away(self.find(number).path.parent)

    def size(self) -> int:
        """Return how many bytes lie in the inbox, half uploads among them."""
        if not self.folder.is_dir():
            return 0
        size = 0
        for each in self.folder.glob("*/" + CONTENT):
            with suppress(FileNotFoundError):
                size += each.stat().st_size
        return size

    def sweep(self, *, now: float | None = None) -> None:
        """Take away half uploads that nobody writes to, and old copies of what flights keep.

        How old something is, is told by a clock, which may be wrong by weeks: so a whole file of
        which no flight keeps the same bytes stays, however old it seems.
        """
        if not self.folder.is_dir():
            return
        at = time.time() if now is None else now
        for each in self.folder.iterdir():
            stamp = each / CONTENT if (each / CONTENT).is_file() else each
            # Kept or given up in this moment; or nothing is known of it any more.
            with suppress(FileNotFoundError, ProblemError):
                age = at - stamp.stat().st_mtime
                if _HALF.fullmatch(each.name):
                    if age > FORSAKEN and each not in _writing:
                        _take_away(each)
                elif age > KEPT and self.is_kept(self.find(each.name)):
                    _take_away(each)

    def is_kept(self, received: Received) -> bool:
        """Tell whether a flight keeps the same bytes; its own file is read, not its record alone.

        Raises ``ProblemError`` where that file cannot be read.
        """
        from loftwright.evidence.proposal import where_kept
        from loftwright.evidence.recorded_flight import digest_of

        for place in where_kept(self.home, received.sha256):
            flight, _, file = place.partition("/")
            path = self.home / FLIGHTS / flight / EVIDENCE / file
            whole = name_fault(file) is None and path.is_file()
            if whole and digest_of(path) == (received.sha256, received.size):
                return True
        return False

    def begin(self) -> Path:
        """Make the folder of a half upload, readable to nobody else, and return it."""
        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        draft = self.folder / f"{secrets.token_hex(8)}.part"
        _writing.add(draft)
        draft.mkdir(mode=0o700)
        return draft

    def give_up(self, draft: Path) -> None:
        """Take a half upload away, where it has not become a whole one."""
        shutil.rmtree(draft, ignore_errors=True)
        _writing.discard(draft)

    def settle(self, draft: Path, received: Received) -> Received:
        """Give a half upload its id in one step, with what is known of it on the disk before."""
        said = asdict(received)
        del said["path"]
        write_atomically(draft / ABOUT, json.dumps(said))
        place = self.folder / received.id
        os.rename(draft, place)
        sync_folder(self.folder)
        return self.find(received.id)


def _is_ours(said: Any, number: str) -> bool:
    """Tell whether this is what `settle` writes of a file: a campaign may bring something else."""
    if not isinstance(said, dict) or {key: type(each) for key, each in said.items()} != _SAID:
        return False
    return said["id"] == number and name_fault(said["name"]) is None


def _unknown(number: str) -> ProblemError:
    message = "there is no such file among those that came in"
    mend = "see whether a flight keeps it, or it was thrown away; else choose it again on the page"
    where = Where(field="file", value=number)
    return ProblemError([Problem("upload-unknown", message, where, mend)])


def _take_away(folder: Path) -> None:
    """Remove a folder; that somebody else does so at the same time is as good."""
    with suppress(FileNotFoundError):
        shutil.rmtree(folder)
