"""What was worked out of a campaign, kept until anything in its folder changes.

Twenty people who look at the same page ask for the same numbers: they are worked out once, and
whoever asks meanwhile waits for them.
"""

from __future__ import annotations

import os
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator, Mapping
from datetime import date
from pathlib import Path
from threading import Lock
from typing import Any, TypeVar

from loftwright.documents.worked import NOTES, WORKPLACE

__all__ = ["Memory", "Stamps", "folder_stamps"]

MOST = 128  # things that are kept at once

Stamps = tuple[tuple[str, int, int, int], ...]
Found = TypeVar("Found")


def folder_stamps(folder: Path, *, but: frozenset[str] = frozenset()) -> Stamps:
    """Return name, times and size of every file below ``folder``.

    Left out are what the workbench keeps for itself, and folders directly below that are named in
    ``but``. A file that was put in the place of another with the time of that one has another
    time of change all the same, where the system knows one.
    """
    return tuple(_stamps(str(folder), but | {WORKPLACE}))


def _stamps(folder: str, but: frozenset[str]) -> Iterator[tuple[str, int, int, int]]:
    try:
        with os.scandir(folder) as entries:
            found = sorted(entries, key=lambda entry: entry.name)
    except OSError:  # it has gone meanwhile
        return
    for entry in found:
        if entry.is_dir(follow_symlinks=False):
            if entry.name not in but:
                yield from _stamps(entry.path, frozenset())
            continue
        # SQLite's side files come and go with every look; only what waits in one is a change.
        if entry.name.endswith("-shm"):
            continue
        try:
            state = entry.stat()
        except OSError:
            continue
        if state.st_size or not entry.name.endswith("-wal"):
            yield entry.path, state.st_mtime_ns, state.st_ctime_ns, state.st_size


class _Place:
    """One thing that is kept, and who works it out."""

    def __init__(self) -> None:
        self.lock = Lock()
        self.stamps: tuple[Hashable, ...] | None = None
        self.found: Any = None


class Memory:
    """What was worked out of the campaign at ``home``; used by many threads."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self._lock = Lock()
        self._places: OrderedDict[Hashable, _Place] = OrderedDict()

    def recall(
        self, key: Hashable, make: Callable[[], Found], *, of: Mapping[str, str] | None = None
    ) -> Found:
        """Return what ``make`` returns; the last time's where nothing in the folder has changed.

        ``key`` stands for ``make`` and all that it depends on besides the folder and the day; where
        it depends on documents alone, these are ``of``, with their digests. What is returned is
        shared: nobody changes it. Nothing is kept where ``make`` raises.
        """
        with self._lock:
            place = self._places.setdefault(key, _Place())
            self._places.move_to_end(key)
            while len(self._places) > MOST:
                self._places.popitem(last=False)
        with place.lock:
            stamps = self._of_all() if of is None else tuple(of.items())
            if place.stamps != stamps:
                place.stamps = None
                place.found = make()
                place.stamps = stamps  # as it was before: what changed meanwhile is seen next time
            found: Found = place.found
            return found

    def _of_all(self) -> tuple[Hashable, ...]:
        """Return what tells that anything is another: the day, the folder, what was worked out."""
        notes = folder_stamps(self.home / WORKPLACE / NOTES)
        return (date.today(), *folder_stamps(self.home), *notes)
