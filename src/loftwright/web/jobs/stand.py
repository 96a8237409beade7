"""What flies as the documents of a campaign stand: whether work was asked for on others.

An answer stays after the documents that it was worked out of have changed. That is told wherever
it is shown; so each job notes what would have flown when it was asked for.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from loftwright.documents.worked import what_flies

if TYPE_CHECKING:
    from loftwright.web.memory import Stamps

__all__ = ["OF_DOCUMENTS", "what_would_fly"]

MOST = 16  # campaigns of which it is kept at once

# Commands whose answer is one of the documents as they stand; others are of flights or the ledger.
OF_DOCUMENTS = frozenset(
    {
        "best", "check", "compare", "explore", "firing", "fit", "forecast", "program", "rehearse",
        "sensitivity", "tune", "whatif",
    }
)  # fmt: skip

_lock = Lock()
_known: OrderedDict[Path, tuple[Stamps, str]] = OrderedDict()


def what_would_fly(home: Path) -> str:
    """Return a digest of what flies as the documents stand; empty where there is no campaign.

    Names, questions and units are left out of it (`what_flies`). The documents need not read.
    They are looked through anew only where a file has changed.
    """
    from loftwright.web.memory import folder_stamps

    stamps = folder_stamps(home, but=frozenset({"flights"}))
    with _lock:
        known = _known.get(home)
    if known is None or known[0] != stamps:
        known = (stamps, _digest(home))
        with _lock:
            _known[home] = known
            while len(_known) > MOST:
                _known.popitem(last=False)
    return known[1]


def _digest(home: Path) -> str:
    from loftwright.documents.named import documents_named
    from loftwright.documents.reading import CAMPAIGN_FILE
    from loftwright.documents.source import load
    from loftwright.errors import ProblemError

    try:
        files = [each.file for each in documents_named(home).values()]
    except ProblemError:
        return ""
    head = load(home / CAMPAIGN_FILE, CAMPAIGN_FILE).data or {}
    told = {key: each for key, each in head.items() if isinstance(each, str)}
    return what_flies({file: _of_file(home / file) for file in files}, told)


def _of_file(path: Path) -> str:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:  # that it cannot be read is one way to stand
        return ""
