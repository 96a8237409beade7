"""Strips that pages draw windows of: those that jobs have kept, and those that pages lay here."""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Sequence
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Final, Protocol, TypeVar

from loftwright.errors import Problem, ProblemError, Where

if TYPE_CHECKING:
    from loftwright.report.strip_model import Strip
    from loftwright.report.window import LevelledStrip

__all__ = ["JobStrips", "StripShelf", "StripSource", "strip_missing"]

HELD: Final = 24  # sets of strips that pages laid here
OPEN: Final = 16  # files that are kept ready
_KEY: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,79}")
K = TypeVar("K")
V = TypeVar("V")
Stamp = tuple[int, int, int]


class StripSource(Protocol):
    """Where strips come from: a key names the strips of one page, a number one of them."""

    def find(self, key: str, number: int) -> LevelledStrip | None:
        """Return a strip, None where this source has no such one."""

    def path(self, key: str, number: int) -> Path | None:
        """Return the file that a command can read it from, None where there is none."""


def strip_missing(key: str, number: int) -> ProblemError:
    """Say that a strip is not there any more."""
    message = "the strip of this page is not kept any more"
    mend = "load the page anew, or run again what made it"
    where = Where(value=f"{key[:80]}/{number}")
    return ProblemError([Problem("strip-missing", message, where, mend)])


class JobStrips:
    """The strips that jobs have kept in their folders, below ``folder``."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._lock = Lock()
        self._open: OrderedDict[Path, tuple[Stamp, LevelledStrip]] = OrderedDict()

    def path(self, key: str, number: int) -> Path | None:
        """Return the file of a strip, None where there is none."""
        if _KEY.fullmatch(key) is None or number < 0 or number > 10**6:
            return None
        path = self.folder / key / "strips" / f"{number}.npz"
        return path if path.is_file() else None

    def find(self, key: str, number: int) -> LevelledStrip | None:
        """Return a strip, read anew only where its file has changed. Raises ``ProblemError``."""
        from loftwright.report.strip_file import read_strip

        path = self.path(key, number)
        if path is None:
            return None
        try:
            state = path.stat()
        except FileNotFoundError:  # its job was taken away in this moment
            return None
        stamp = (state.st_mtime_ns, state.st_size, state.st_ino)
        with self._lock:
            held = self._open.get(path)
            if held is not None and held[0] == stamp:
                self._open.move_to_end(path)
                return held[1]
        found = read_strip(path)
        with self._lock:
            _hold(self._open, path, (stamp, found), OPEN)
        return found


class StripShelf:
    """Strips by key; used by many threads.

    What pages lay here is looked at first, then each of ``sources``.
    """

    def __init__(self, sources: Sequence[StripSource] = ()) -> None:
        self.sources = tuple(sources)
        self._lock = Lock()
        self._laid: OrderedDict[str, list[Strip | LevelledStrip]] = OrderedDict()

    def put(self, key: str, strips: Sequence[Strip]) -> str:
        """Lay the strips of one page here, by the numbers of its figures; return their address.

        That is what the page's figures have as ``data-strips``. What was laid here longest ago
        goes when there are many. Raises ``ValueError`` for a key that no address can have: it has
        letters, digits, points, underscores and hyphens, 80 at most.
        """
        if _KEY.fullmatch(key) is None:
            raise ValueError(f"no key for strips: {key!r}")
        laid: list[Strip | LevelledStrip] = list(strips)
        with self._lock:
            _hold(self._laid, key, laid, HELD)
        return f"/strips/{key}"

    def find(self, key: str, number: int) -> LevelledStrip:
        """Return a strip. Raises ``ProblemError``: ``strip-missing``, or what reading it raises."""
        found = self._find_laid(key, number)
        if found is not None:
            return found
        for source in self.sources:
            found = source.find(key, number)
            if found is not None:
                return found
        raise strip_missing(key, number)

    def path(self, key: str, number: int) -> Path | None:
        """Return the file that a command can read a strip from, None where there is none."""
        paths = (source.path(key, number) for source in self.sources)
        return next((path for path in paths if path is not None), None)

    def _find_laid(self, key: str, number: int) -> LevelledStrip | None:
        from loftwright.report.strip_model import Strip
        from loftwright.report.window import levelled

        with self._lock:
            laid = self._laid.get(key)
            if laid is None or not 0 <= number < len(laid):
                return None
            self._laid.move_to_end(key)
            found = laid[number]
        if isinstance(found, Strip):
            # Made ready once somebody looks closer; twice at worst, which harms nothing.
            found = laid[number] = levelled(found)
        return found


def _hold(held: OrderedDict[K, V], key: K, value: V, most: int) -> None:
    held[key] = value
    held.move_to_end(key)
    while len(held) > most:
        held.popitem(last=False)
