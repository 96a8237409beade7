"""What was worked out of a campaign, and of which documents: short notes in ``DIR/.loftwright/``.

A note says that something was done, with what, and its answer in a sentence; the answer itself is
never taken from it. Notes may be thrown away: whatever is not noted is taken as not done.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from loftwright.documents.files import read_regular, write_atomically
from loftwright.documents.flights import home_of
from loftwright.errors import Problem, ProblemError, Where

if TYPE_CHECKING:
    from loftwright.documents.campaign import Campaign

__all__ = [
    "NOTES",
    "WORKPLACE",
    "Worked",
    "flying",
    "note_worked",
    "refuse_links",
    "what_flies",
    "worked_out",
    "workplace",
]

WORKPLACE = ".loftwright"  # folder of a campaign for what can be made again
NOTES = "worked"  # folder in it for these notes
_DEEPER = (f"{WORKPLACE}/undo/read",)
_SCHEMA = "loftwright/worked/1"
_LARGEST = 64 << 10  # bytes of a note
_MOST = 60  # notes of one verb; the oldest go
# Nothing flies by these fields of campaign.toml.
_TOLD_ONLY = ("name", "question", "units")


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """Something that was worked out.

    ``verb`` is the command, ``of`` the digest of what it was worked out of: for a forecast or a
    rehearsal `what_flies`, for what concerns a flight that of its ``flight.toml``. ``flight`` is
    that flight. ``when`` is in UTC (ISO 8601), ``says`` the answer's lead, ``is_whole`` whether
    all was done that the verb does when it is not told to do less, ``is_kept`` whether the answer
    went into the ledger.
    """

    verb: str
    of: str
    when: str = ""
    flight: str | None = None
    says: str = ""
    flights: int | None = None
    is_whole: bool = True
    is_kept: bool = False


def what_flies(hashes: Mapping[str, str], head: Mapping[str, str | None]) -> str:
    """Return one digest over what flies: names, questions and units are left out of it.

    ``hashes`` are the digests of a campaign's documents by file, ``head`` the fields of its
    campaign.toml. A comment in a vehicle makes another digest; another question does not.
    """
    told = sorted((key, each) for key, each in head.items() if each and key not in _TOLD_ONLY)
    files = sorted(each for each in hashes.items() if each[0] != "campaign.toml")
    lines = (f"{name}\0{each}\n" for name, each in (*told, *files))
    return hashlib.sha256("".join(lines).encode()).hexdigest()


def flying(campaign: Campaign) -> str:
    """Return `what_flies` of a campaign as it was read."""
    return what_flies(campaign.hashes, asdict(campaign.head))


def refuse_links(folder: Path) -> None:
    """Raise ``ProblemError`` where a campaign's workplace, or a place in it, is a link.

    What is old there is taken away by itself: a link that came with somebody's campaign would have
    that done to anything of the person's.
    """
    home = home_of(folder)
    places = (WORKPLACE, *(f"{WORKPLACE}/{each}" for each in _listed(home / WORKPLACE)), *_DEEPER)
    for name in places:
        own = os.path.join(os.path.realpath(home), *name.split("/"))
        if os.path.normcase(os.path.realpath(home / name)) != os.path.normcase(own):
            message = f"{name} of this campaign leads to another place"
            mend = "take the link away; what lay there can be made again"
            raise ProblemError([Problem("work-link", message, Where(file=name), mend)])


def _listed(place: Path) -> list[str]:
    try:
        return sorted(os.listdir(place))
    except OSError:  # it is not there yet, or in the way: who makes it says so
        return []


def workplace(folder: Path) -> Path:
    """Return the folder of a campaign for what can be made again, made where it is not there.

    Version control is told to leave it alone. Raises ``OSError`` where it cannot be made, and
    ``ProblemError`` as `refuse_links` does.
    """
    refuse_links(folder)
    place = home_of(folder) / WORKPLACE
    place.mkdir(exist_ok=True)
    ignored = place / ".gitignore"
    if not ignored.exists():
        ignored.write_text("*\n", encoding="utf-8")
    return place


def note_worked(folder: Path, worked: Worked) -> None:
    """Note what was worked out, now; an earlier note of the same is replaced.

    What was whole, or kept in the ledger, stays so: a shorter run takes nothing back.

    Raises
    ------
    OSError, ProblemError
        Where nothing can be written.
    """
    notes = workplace(folder) / NOTES
    notes.mkdir(exist_ok=True)
    when = datetime.now(UTC).isoformat(timespec="microseconds")
    key = hashlib.sha256(f"{worked.of}\0{worked.flight or ''}".encode()).hexdigest()[:16]
    path = notes / f"{worked.verb}-{key}.json"
    about = asdict(worked) | {"schema": _SCHEMA, "when": when}
    about["is_kept"] = worked.is_kept or any(each.is_kept for each in _read(path))
    about["is_whole"] = worked.is_whole or any(each.is_whole for each in _read(path))
    write_atomically(path, json.dumps(about, indent=1, ensure_ascii=False) + "\n")
    _sweep(notes, worked.verb)


def _sweep(notes: Path, verb: str) -> None:
    """Take away the oldest notes of a verb beyond what is kept."""
    own = sorted(notes.glob(f"{verb}-*.json"), key=_age)
    for path in own[: max(len(own) - _MOST, 0)]:
        path.unlink(missing_ok=True)  # another process may have been here first


def _age(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except FileNotFoundError:
        return 0.0


def worked_out(folder: Path) -> tuple[Worked, ...]:
    """Return every note of a campaign, the earliest first; what is no such note is passed over."""
    notes = home_of(folder) / WORKPLACE / NOTES
    paths = sorted(notes.glob("*.json")) if os.path.isdir(notes) else ()
    return tuple(sorted((own for path in paths for own in _read(path)), key=lambda own: own.when))


def _read(path: Path) -> Iterator[Worked]:
    """Yield the note in a file; nothing where there is none, or something else."""
    with suppress(ProblemError, ValueError, TypeError, RecursionError):
        yield _note(read_regular(path, _LARGEST))


def _note(content: bytes) -> Worked:
    """Return a note. Raises ``ValueError`` or ``TypeError`` for what is none."""
    about = json.loads(content)
    if not isinstance(about, dict) or about.pop("schema", None) != _SCHEMA:
        raise ValueError("no note of this form")
    if not all(isinstance(about.get(key), str) for key in ("verb", "of", "when", "says")):
        raise ValueError("no note of this form")
    return Worked(**about)
