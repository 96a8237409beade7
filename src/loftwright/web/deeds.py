"""What forms have done, to be said on the page that they lead to as long as it stands.

Anybody can write an address. So the page is led to by a key that nobody can guess, and what it
says is looked up here and held to the documents: a link cannot make a page say that something was
written, and what was changed since is not said any more. A new server knows of none.
"""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from loftwright.documents.history import content_of, digest_of
from loftwright.errors import ProblemError

__all__ = ["Deed", "Deeds"]

MOST = 256  # that are remembered


@dataclass(frozen=True, slots=True)
class Deed:
    """What was done to documents.

    ``kind`` says by which form, ``documents`` are their SHA-256 as they were left, by file (None
    for one that is not there), ``fields`` what was written, ``meanwhile`` what others had changed
    by then and was kept.
    """

    kind: str
    documents: Mapping[str, str | None]
    fields: tuple[str, ...] = ()
    meanwhile: tuple[str, ...] = ()


class Deeds:
    """The deeds of this server in the campaign at ``home``; used by many threads."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self._lock = Lock()
        self._known: OrderedDict[str, Deed] = OrderedDict()

    def note(self, deed: Deed) -> str:
        """Remember a deed, and return its key for the address of the next page."""
        key = secrets.token_urlsafe(12)
        with self._lock:
            self._known[key] = deed
            while len(self._known) > MOST:
                self._known.popitem(last=False)
        return key

    def standing(self, key: str, kind: str) -> Deed | None:
        """Return the deed of this key and kind, where its documents are still as it left them."""
        with self._lock:
            deed = self._known.get(key)
        if deed is None or deed.kind != kind:
            return None
        try:
            now = {file: digest_of(content_of(self.home / file)) for file in deed.documents}
        except ProblemError:  # said where the documents are described
            return None
        return deed if now == dict(deed.documents) else None
