"""Files that wait to be taken in, with what is said of each: ``DIR/.loftwright/takes/<id>.json``.

The file is a proposal as ``loftwright record --proposal`` reads it, so that what a person settled
on the page is what the command is given.
"""

from __future__ import annotations

import json
import os
import re
import secrets
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from loftwright.documents.files import read_regular, write_atomically
from loftwright.documents.flights import name_fault
from loftwright.errors import Problem, ProblemError, Where
from loftwright.web.incoming.inbox import KEPT, Inbox, Received

__all__ = ["Item", "Take", "Takes"]

_ID = re.compile(r"[0-9a-f]{16}")
_LARGEST = 4 << 20  # bytes of a take
# What reading a take raises that something else has written.
_OTHERS = (ValueError, TypeError, KeyError, AttributeError, OSError, RuntimeError)


@dataclass(frozen=True, slots=True)
class Item:
    """A file of a take: where its bytes lie, what it is called, what is said of it.

    ``waits`` is its id in the inbox, None for one that a flight keeps already.
    """

    path: Path
    name: str
    told: Mapping[str, Any] = field(default_factory=dict)
    waits: str | None = None


@dataclass(frozen=True, slots=True)
class Take:
    """Files that are looked at together; ``flight`` is the one they are for, where that is said.

    ``job`` is the id of the work that takes them in, once that has begun. With ``for_replay``
    they were sent to have a program replayed over them, and wait for nothing.
    """

    id: str
    items: tuple[Item, ...]
    flight: str | None = None
    job: str | None = None
    for_replay: bool = False


class Takes:
    """The takes of the campaign in ``home``."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.folder = home / ".loftwright" / "takes"

    def begin(
        self, files: Sequence[Received], flight: str | None = None, *, for_replay: bool = False
    ) -> Take:
        """Begin with files of the inbox."""
        items = (Item(each.path, each.name, _first(each), each.id) for each in files)
        number = secrets.token_hex(8)
        return self.save(Take(number, tuple(items), flight, for_replay=for_replay))

    def again(self, path: Path, flight: str) -> Take:
        """Begin with a file that ``flight`` keeps, to have its columns read otherwise."""
        return self.save(Take(secrets.token_hex(8), (Item(path, path.name),), flight))

    def save(self, take: Take) -> Take:
        """Write a take down, and return it."""
        files = [
            {
                "file": os.path.relpath(each.path, self.folder),
                "name": each.name,
                "told": dict(each.told),
                "waits": each.waits,
            }
            for each in take.items
        ]
        self.folder.mkdir(parents=True, exist_ok=True)
        said: dict[str, Any] = {"flight": take.flight, "job": take.job, "files": files}
        said |= {"for_replay": True} if take.for_replay else {}
        write_atomically(self.path(take), json.dumps(said, indent=2))
        return take

    def path(self, take: Take) -> Path:
        """Return where a take is written."""
        return self.folder / f"{take.id}.json"

    def sweep(self, is_taken: Callable[[Take], bool]) -> None:
        """Forget what waits for nothing: taken in a week ago, or its files thrown away elsewhere.

        What was taken in waits in the inbox no longer.
        """
        for each in self.all():
            with suppress(FileNotFoundError):  # another page has just forgotten it
                if is_taken(each):
                    self.settle(each)
                    is_over = time.time() - self.path(each).stat().st_mtime > KEPT
                else:
                    is_over = not any(item.path.is_file() for item in each.items)
                if is_over:
                    self.path(each).unlink()

    def strays(self, waiting: Sequence[Take]) -> list[Received]:
        """Return the files of the inbox that none of the takes in ``waiting`` shows."""
        named = {item.waits for take in waiting for item in take.items}
        return [each for each in Inbox(self.home).all() if each.id not in named]

    def find(self, number: str) -> Take:
        """Return the take with this id.

        Raises ``ProblemError`` (``upload-unknown``) where there is none, whatever ``number`` is.
        """
        if not _ID.fullmatch(number):
            raise _unknown(number)
        try:
            said = json.loads(read_regular(self.folder / f"{number}.json", _LARGEST))
            flight, job = said["flight"], said["job"]
            if any(name_fault(each) is not None for each in (flight, job) if each is not None):
                raise ValueError("no name")
            items = tuple(map(self._item, said["files"]))
            return Take(number, items, flight, job, said.get("for_replay") is True)
        except (ProblemError, *_OTHERS) as error:
            raise _unknown(number) from error

    def _item(self, said: Mapping[str, Any]) -> Item:
        """Return what is written of a file.

        Raises ``ValueError`` for one outside the campaign, and for what this never writes that,
        ``ProblemError`` or one of ``_OTHERS``.
        """
        from loftwright.cli.record_told import FileWords

        path = Path(os.path.normpath(self.folder / said["file"]))
        inside = path.is_relative_to(os.path.normpath(self.home))
        # By name and by what stands there: a take that came with a campaign may name a link in it.
        if not inside or not path.resolve().is_relative_to(self.home.resolve()):
            raise ValueError("not in the folder")
        name, waits = said["name"], said["waits"]
        if name_fault(name) is not None or not (waits is None or _ID.fullmatch(waits)):
            raise ValueError("no name")
        path.is_file()  # raises for a name that no file can have
        FileWords.of_told(path, said["told"])
        return Item(path, name, said["told"], waits)

    def all(self) -> list[Take]:
        """Return the takes that wait, the latest first."""
        if not self.folder.is_dir():
            return []
        found: list[tuple[int, Take]] = []
        for each in self.folder.glob("*.json"):
            # Others forget takes meanwhile.
            with suppress(FileNotFoundError, ProblemError):
                if _ID.fullmatch(each.stem):
                    found.append((each.stat().st_mtime_ns, self.find(each.stem)))
        return [take for _, take in sorted(found, key=lambda one: one[0], reverse=True)]

    def leave_out(self, take: Take, place: int) -> Take:
        """Take a file out of a take; what waited in the inbox is thrown away."""
        gone = take.items[place]
        left = replace(take, items=(*take.items[:place], *take.items[place + 1 :]))
        self._discard(gone)
        return self.save(left)

    def settle(self, take: Take) -> None:
        """Throw away what waits in the inbox and a flight keeps now; the take stays known."""
        inbox = Inbox(self.home)
        for each in take.items:
            with suppress(ProblemError):  # gone from here already, or the kept one cannot be read
                if each.waits is not None and inbox.is_kept(inbox.find(each.waits)):
                    inbox.discard(each.waits)

    def end(self, take: Take) -> None:
        """Forget a take: nobody wants its files."""
        for each in take.items:
            self._discard(each)
        self.path(take).unlink(missing_ok=True)

    def _discard(self, item: Item) -> None:
        if item.waits is None:
            return
        try:
            Inbox(self.home).discard(item.waits)
        except ProblemError:  # thrown away meanwhile
            return


def _unknown(number: str) -> ProblemError:
    message = "these files do not wait here any more"
    mend = "see whether the flight keeps them; else choose them again"
    return ProblemError([Problem("upload-unknown", message, Where(value=number[:40]), mend)])


def _first(received: Received) -> dict[str, str]:
    """Return what is said of a file at first: a table of which nobody knows what it is is a log."""
    found = {"name": received.name}
    if received.kind == "other":
        found["as"] = "other" if received.sure else "log"
    return found
